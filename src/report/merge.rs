//! The page of `merge`: what could not be decided first, then what was decided and should be known.

use serde::Serialize;

use crate::merge::{Because, Conflict, Labels, Merged, OneSided, Source, in_one_line};
use crate::setup::read::{BOTH_CAUTIONS, is_of_cautions, over_a_block};

use super::screen::{Label, Page, piece, plain};

/// The result of a merge with the file's name.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// `clampmark.merge/1`.
    pub schema: &'static str,
    /// The file.
    pub file: String,
    /// Where the versions come from, as far as that is known.
    pub labels: Labels,
    /// What came of it.
    #[serde(flatten)]
    pub merged: Merged,
}

/// Writes the page.
pub fn page(page: &mut Page, report: &Report) {
    page.paragraph(0, 2, &[piece(Label::Title, report.file.clone())]);
    for conflict in &report.merged.conflicts {
        let pieces = [
            piece(Label::Danger, format!("Not decided: {}.", conflict.about)),
            plain(format!(
                " {} {}",
                version("Ours", report.labels.ours.as_ref(), &conflict.sources[0], conflict.ours.as_deref()),
                version(
                    "Theirs",
                    report.labels.theirs.as_ref(),
                    &conflict.sources[1],
                    conflict.theirs.as_deref()
                )
            )),
        ];
        page.paragraph(2, 4, &pieces);
        if let Some(one_sided) = &conflict.one_sided {
            page.paragraph(4, 4, &[plain(why(*one_sided, &report.labels))]);
        }
        if let Some([ours, theirs]) = &conflict.floors {
            let told = format!(
                "Ours was read on this floor: {ours}. Theirs on this one: {theirs}. An angle stands by the floor it \
                 was read on: keep that floor with it, or read it again."
            );
            page.paragraph(4, 4, &[plain(told)]);
        }
    }
    dangerous_together(page, &report.merged.conflicts);
    if let Some((conflict, day)) = report.merged.conflicts.iter().find_map(|one| Some((one, one.seen_on?))) {
        let sheet_of = conflict.sheet_of.map(|day| format!(" of {day}")).unwrap_or_default();
        let told = format!(
            "Seen on {day}, in a sheet{sheet_of}: between the two a line may have been drawn anew, or a joint opened and \
             tightened. Whichever you keep keeps its day; look again."
        );
        page.paragraph(2, 4, &[plain(told)]);
    }
    what_to_keep(page, &report.merged.conflicts);
    for said in &report.merged.said {
        page.paragraph(2, 4, &[plain(said.clone())]);
    }
}

/// What to do about the conflicts: of what is one line keep one; of a torque that would throw away what only the other lowered.
fn what_to_keep(page: &mut Page, conflicts: &[Conflict]) {
    if conflicts.is_empty() {
        return;
    }
    let blocks: Vec<&str> = conflicts.iter().filter_map(advice_on_a_block).collect();
    let cautions = conflicts.iter().filter(|conflict| is_of_cautions(&conflict.about)).count();
    let others = conflicts.len() - blocks.len() - cautions;
    let mut said = "Both stand in the file as `conflict`".to_owned();
    said.push_str(match (others, blocks.len() + cautions) {
        (0, _) => ".",
        (_, 0) => ": keep what stands between { } of one of them in place of the whole `conflict`, then check.",
        _ => {
            ": but for a torque, a mark and a caution keep what stands between { } of one of them in place of the whole \
             `conflict`, then check."
        }
    });
    if conflicts.iter().any(|one| one.ours.is_none() || one.theirs.is_none()) {
        said.push_str(" To keep that it is not recorded, take the whole `conflict` out.");
    }
    page.paragraph(2, 4, &[plain(said)]);
    let mut told: Vec<&str> = Vec::new();
    for advice in blocks {
        if !told.contains(&advice) {
            page.paragraph(2, 4, &[plain(format!("{advice} Then check."))]);
            told.push(advice);
        }
    }
    if cautions > 0 {
        page.paragraph(2, 4, &[plain(BOTH_CAUTIONS)]);
    }
}

fn advice_on_a_block(conflict: &Conflict) -> Option<&'static str> {
    let mut versions = [&conflict.ours, &conflict.theirs].into_iter().flatten();
    over_a_block(&conflict.about, versions.any(|text| text.contains("drawn")))
}

/// What neither side alone says, and the two together would.
fn dangerous_together(page: &mut Page, conflicts: &[Conflict]) {
    let mut told: Vec<&[String]> = Vec::new();
    for conflict in conflicts.iter().filter(|one| !one.together.is_empty()) {
        if told.contains(&conflict.together.as_slice()) {
            continue;
        }
        told.push(&conflict.together);
        let with = conflicts.iter().filter(|one| one.together == conflict.together);
        let about: Vec<&str> = with.map(|one| one.about.as_str()).collect();
        let pieces = [
            piece(Label::Danger, format!("Dangerous together: {}.", conflict.together.join("; "))),
            plain(format!(
                " Neither side alone says so. Decide these together, and read again what nobody saw so on the bike: {}.",
                about.join(", ")
            )),
        ];
        page.paragraph(2, 4, &pieces);
    }
}

/// "Ours (HEAD, 2026-05-02, own stand): angle 32."
fn version(word: &str, label: Option<&String>, source: &Source, text: Option<&str>) -> String {
    let day = source.read.map(|day| day.to_string());
    let known: Vec<&str> =
        [label, day.as_ref(), source.by.as_ref()].into_iter().flatten().map(String::as_str).collect();
    let known = if known.is_empty() { String::new() } else { format!(" ({})", known.join(", ")) };
    format!("{word}{known}: {}.", text.map_or_else(|| "not recorded".to_owned(), in_one_line))
}

fn why(one_sided: OneSided, labels: &Labels) -> String {
    let changed_by = labels.whose(one_sided.changed_by);
    match one_sided.because {
        Because::LaterSession => format!(
            "Only {changed_by} changed it; {} was measured later and has it as it was: read it again.",
            labels.whose(one_sided.changed_by.other())
        ),
        Because::RolledSince => {
            format!(
                "Only {changed_by} changed it, on the bar before the other side rolled that: read it again."
            )
        }
        Because::DangerousTogether => {
            format!("Only {changed_by} changed it; with what the other side changed it is dangerous.")
        }
        Because::PlacedTogether => format!(
            "Only {changed_by} changed it; whose clamp a control sits on, and where, is decided together."
        ),
    }
}
