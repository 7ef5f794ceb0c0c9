//! The page of `history --marks`: the story of each witness mark.

use crate::history::{Event, Ground, MarkEvent, MarkHistory, Report, What};

use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::revision::revision;

/// Writes the story of the marks.
pub fn marks(page: &mut Page, report: &Report) {
    if report.marks.is_empty() {
        let said = format!("{}: no such mark is recorded in that time.", report.setup);
        page.paragraph(0, 2, &[plain(said)]);
    }
    for story in &report.marks {
        page.title(format!("Mark {}{}", story.mark, joint(story)));
        let state = state(story);
        page.paragraph(2, 4, &[state]);
        let rows: Vec<Vec<Piece>> = story
            .events
            .iter()
            .map(|event| {
                vec![
                    plain(event.date.clone()),
                    plain(happened(event)),
                    piece(Label::Quiet, event.short.clone()),
                ]
            })
            .collect();
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    }
    // What happened to a mark there is not known.
    for entry in report.entries.iter().filter(|entry| entry.event == Event::Unreadable) {
        revision(page, entry);
    }
}

fn state(story: &MarkHistory) -> Piece {
    if story.gone {
        return piece(Label::Quiet, "No longer recorded.");
    }
    if let Some(found) = &story.found {
        let label = if story.found_off { Label::Danger } else { Label::Plain };
        return piece(label, format!("{}.", found.replacen("found", "Found", 1)));
    }
    if let Some(why) = &story.no_evidence {
        return piece(Label::Danger, why.clone());
    }
    if story.stale {
        return piece(Label::Danger, "Stale: the recorded position is not where it was drawn. Draw it anew.");
    }
    plain(match story.ground {
        None => "Stands where the setup wants it.",
        Some(Ground::NotRead) => {
            "Stands where the setup wants it, if the ground is level: its slope is not recorded now (floor)."
        }
        Some(Ground::ReadSince) => {
            "Stands where the setup wants it, if it was drawn on level ground: the slope was not recorded then (floor)."
        }
    })
}

fn joint(story: &MarkHistory) -> String {
    story.joint.as_ref().map(|joint| format!(" on {joint}")).unwrap_or_default()
}

/// "found broken (on 2026-05-09)".
fn found(event: &MarkEvent) -> String {
    let found = event.found.as_deref().unwrap_or("named, and not how it was found");
    let on = event.seen_on.as_ref().map(|day| format!(" (on {day})")).unwrap_or_default();
    format!("{found}{on}")
}

fn happened(event: &MarkEvent) -> String {
    let on = event.drawn_on.as_ref().map(|day| format!(" (on {day})")).unwrap_or_default();
    match event.what {
        What::Drawn => format!("drawn{on}"),
        What::Found => found(event),
        What::ShallowCloneEnds => {
            format!(
                "there already{on}{}; the clone is shallow and ends here, what it was before is not in this clone",
                event.found.as_ref().map(|_| format!(", {}", found(event))).unwrap_or_default()
            )
        }
        What::DrawnAnew => format!("drawn anew{on}"),
        What::Back => {
            let on = event.drawn_on.as_ref().map(|day| format!(" on {day}")).unwrap_or_default();
            format!("back, as drawn{on}")
        }
        What::Stale => format!("went stale: {}", event.measures.join(", ")),
        What::TrueAgain => "true again: the setup came back to it".to_owned(),
        What::NoEvidence => "no evidence from here on".to_owned(),
        What::EvidenceAgain => "evidence again".to_owned(),
        What::GroundNotRead => "slope of the ground not read, taken for level".to_owned(),
        What::GroundReadSince => "slope of the ground read now, not when drawn".to_owned(),
        What::Gone => "no longer recorded".to_owned(),
    }
}
