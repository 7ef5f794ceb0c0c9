//! The page of `diff`: what to act on first, then what moved, what that did to the hands, and the rest.

use crate::catalogue::Weight;
use crate::compare::{
    Change, Comparison, DerivedChange, Limits, NoteChange, Point, RangeShift, Report, TorqueChange, Word,
};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use super::screen::{Align, Label, Page, Piece, piece, plain};

/// Writes the page; `all` lists what a short page folds.
pub fn page(page: &mut Page, report: &Report, all: bool) {
    head(page, report);
    let comparison = &report.comparison;
    shift(page, comparison);
    measures(page, "Moved", comparison, Verdict::Moved);
    only_one_side(page, comparison);
    measures(page, "Read again, cannot move", comparison, Verdict::ReRead);
    hands(page, comparison, all);
    torques(page, &comparison.torque);
    parts(page, comparison);
    notes(page, &comparison.notes);
    within_reading(page, comparison, all);
    not_looked_at(page, comparison, all);
    foot(page, report);
}

fn head(page: &mut Page, report: &Report) {
    let at = |point: &Point| match &point.date {
        Some(date) if point.revision.is_some() => format!("{} ({date})", point.label),
        Some(date) => format!("{} (measured {date})", point.label),
        None => point.label.clone(),
    };
    let pieces = [
        piece(Label::Title, report.setup.clone()),
        plain(format!("  from {} to {}", at(&report.from), at(&report.to))),
    ];
    page.paragraph(0, 2, &pieces);
    if let Some(headline) = &report.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    for finding in &report.findings {
        page.paragraph(0, 2, &[piece(Label::Care, "Read with a fault: "), plain(finding.clone())]);
    }
    if !report.comparison.has_moved() {
        page.blank();
        let said =
            if report.comparison.partial { "Nothing that was looked at moved." } else { "Nothing moved." };
        page.paragraph(0, 2, &[plain(said)]);
    }
}

fn shift(page: &mut Page, comparison: &Comparison) {
    let Some(shift) = &comparison.common_shift else { return };
    let way = if shift.shift > 0.0 { "lower" } else { "higher" };
    let (value, expanded) = show::with_uncertainty(shift.shift.abs(), shift.uncertainty, 1);
    page.blank();
    let words = format!(
        "{} angles read {value} ± {expanded}° {way} at the tip alike: the ground probably slopes; measure it (floor). \
         The angles below are judged with that shift taken out.",
        shift.explains.len()
    );
    page.paragraph(0, 2, &[plain(words)]);
}

fn measures(page: &mut Page, title: &str, comparison: &Comparison, verdict: Verdict) {
    let changes: Vec<&Change> =
        comparison.changes.iter().filter(|change| change.verdict == verdict).collect();
    if changes.is_empty() {
        return;
    }
    page.title(title);
    let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change)).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

fn measure_row(change: &Change) -> Vec<Piece> {
    let label = if change.weight == Weight::SteeringAndBrakes && change.verdict == Verdict::Moved {
        Label::Danger
    } else {
        Label::Plain
    };
    vec![
        piece(label, change.title.clone()),
        piece(Label::Number, change.moved.clone().unwrap_or_default()),
        piece(Label::Quiet, was_now(change)),
    ]
}

fn was_now(change: &Change) -> String {
    let was = change.was_written.as_deref().unwrap_or("not recorded");
    let now = change.now_written.as_deref().unwrap_or("not recorded");
    match change.uncertainty {
        Some(uncertainty) if change.delta.is_some() => {
            let (_, expanded) = show::with_uncertainty(change.delta.unwrap_or(0.0), uncertainty, 1);
            format!("was {was}, now {now}, ± {expanded}{}", unit(change.unit).sign())
        }
        _ if change.moved.is_some() => String::new(),
        _ => format!("was {was}, now {now}"),
    }
}

fn only_one_side(page: &mut Page, comparison: &Comparison) {
    for (verdict, title) in
        [(Verdict::Recorded, "Recorded now"), (Verdict::NotRecorded, "No longer recorded")]
    {
        let changes: Vec<&Change> =
            comparison.changes.iter().filter(|change| change.verdict == verdict).collect();
        if changes.is_empty() {
            continue;
        }
        page.title(title);
        let value =
            |change: &Change| change.now_written.clone().or(change.was_written.clone()).unwrap_or_default();
        let rows: Vec<Vec<Piece>> = changes
            .iter()
            .map(|change| vec![plain(change.title.clone()), piece(Label::Number, value(change))])
            .collect();
        page.table(2, &[Align::Left, Align::Left], &rows);
    }
}

fn hands(page: &mut Page, comparison: &Comparison, all: bool) {
    let shown: Vec<&DerivedChange> =
        comparison.derived.iter().filter(|change| is_shown(change, all)).collect();
    let sentences = grips(comparison);
    if shown.is_empty() && sentences.is_empty() {
        return;
    }
    page.title("What it does to the hands");
    for sentence in sentences {
        page.paragraph(2, 4, &[plain(sentence)]);
    }
    let rows: Vec<Vec<Piece>> = shown.iter().map(|change| derived_row(change)).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    drivers(page, comparison, all);
    if comparison.partial {
        page.paragraph(
            2,
            4,
            &[piece(Label::Quiet, "Taken for granted: what was not looked at did not move.")],
        );
    }
}

/// Grip coordinates are told as sentences unless everything is asked for.
fn is_shown(change: &DerivedChange, all: bool) -> bool {
    let moved = matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    all || (moved && !change.detail && !change.name.starts_with("grip."))
}

/// Both hands in one sentence where they went the same way, else one each.
fn grips(comparison: &Comparison) -> Vec<String> {
    let of = |side: &str| -> Vec<Option<&DerivedChange>> {
        ["x", "y", "z"].iter().map(|axis| comparison.derived(&format!("grip.{side}.{axis}"))).collect()
    };
    let (left, right) = (of("left"), of("right"));
    let delta = |change: Option<&DerivedChange>| change.and_then(|change| change.delta).unwrap_or(0.0);
    let alike = (0..3).all(|axis| (delta(left[axis]) - delta(right[axis])).abs() < 1e-6);
    let hands: Vec<(&str, &Vec<Option<&DerivedChange>>)> =
        if alike { vec![("Both hands", &left)] } else { vec![("Left hand", &left), ("Right hand", &right)] };
    let mut sentences = Vec::new();
    for (hand, axes) in hands {
        let moves: Vec<String> = axes
            .iter()
            .flatten()
            .filter(|change| matches!(change.verdict, Verdict::Moved | Verdict::Corrected))
            .map(|change| amount(change))
            .collect();
        if !moves.is_empty() {
            sentences.push(format!("{hand}: {}.", moves.join(", ")));
        }
    }
    sentences
}

fn amount(change: &DerivedChange) -> String {
    let (Some(delta), Some(uncertainty)) = (change.delta, change.uncertainty) else { return String::new() };
    let (value, expanded) = show::with_uncertainty(delta.abs(), uncertainty, 1);
    let sign = unit(change.unit).sign();
    format!("{value} ± {expanded}{sign} {}", change.direction)
}

fn derived_row(change: &DerivedChange) -> Vec<Piece> {
    let sign = unit(change.unit).sign();
    let places = if change.unit == "1" { 2 } else { 1 };
    let value =
        |value: Option<f64>| value.map_or("unknown".to_owned(), |value| show::plain(value, places) + sign);
    let verdict = if change.verdict == Verdict::Moved { "" } else { change.verdict.word() };
    let said = match change.verdict {
        Verdict::Same => "same".to_owned(),
        Verdict::Recorded | Verdict::NotRecorded => verdict.to_owned(),
        _ if verdict.is_empty() => amount(change),
        _ => format!("{} ({verdict})", amount(change)),
    };
    let rough = if change.rough { ", roughly" } else { "" };
    vec![
        plain(change.title),
        piece(Label::Number, said),
        piece(Label::Quiet, format!("was {}, now {}{sign}{rough}", value(change.was), value(change.now))),
    ]
}

/// The measures behind what the page says moved.
fn drivers(page: &mut Page, comparison: &Comparison, all: bool) {
    let mut drivers: Vec<&str> = Vec::new();
    let moved = |change: &&DerivedChange| matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    for change in comparison.derived.iter().filter(moved).filter(|change| all || !change.detail) {
        for driver in &change.driven_by {
            let measure = comparison.changes.iter().find(|measure| measure.measure == *driver);
            let title = measure.map_or(driver.as_str(), |measure| &measure.title);
            if !drivers.contains(&title) {
                drivers.push(title);
            }
        }
    }
    if !drivers.is_empty() {
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Because of: {}.", drivers.join(", ")))]);
    }
}

fn unit(word: &str) -> Unit {
    Unit::ALL.iter().copied().find(|unit| unit.word() == word).unwrap_or(Unit::One)
}

fn torques(page: &mut Page, changes: &[TorqueChange]) {
    if changes.is_empty() {
        return;
    }
    page.title("Torque");
    for change in changes {
        let mut said: Vec<String> = Vec::new();
        let range = |limits: Option<Limits>| {
            limits.map_or("nothing".to_owned(), |limits| {
                format!("{}–{} N·m", figure(limits.from), figure(limits.to))
            })
        };
        if change.shift != RangeShift::Same {
            said.push(format!(
                "range {}: was {}, now {}",
                shift_word(change.shift),
                range(change.was),
                range(change.now)
            ));
        }
        if change.allowed_shift != RangeShift::Same
            && (change.ceiling_changed || change.allowed_now != change.now)
        {
            let because = if change.ceiling_changed { ", because a ceiling changed" } else { "" };
            said.push(format!(
                "allowed {}: was {}, now {}{because}",
                shift_word(change.allowed_shift),
                range(change.allowed_was),
                range(change.allowed_now)
            ));
        }
        said.extend(change.also.iter().cloned());
        page.paragraph(
            2,
            4,
            &[piece(Label::Care, change.title.clone()), plain(format!(": {}.", said.join("; ")))],
        );
    }
}

/// A torque to as many places as it needs, two at most.
fn figure(value: f64) -> String {
    let text = show::plain(value, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn shift_word(shift: RangeShift) -> &'static str {
    match shift {
        RangeShift::Same => "unchanged",
        RangeShift::Wider => "wider",
        RangeShift::Narrower => "narrower",
        RangeShift::Up => "moved up",
        RangeShift::Down => "moved down",
        RangeShift::Recorded => "recorded",
        RangeShift::NotRecorded => "no longer recorded",
        RangeShift::Empty => "empty: the limits contradict one another",
    }
}

fn parts(page: &mut Page, comparison: &Comparison) {
    for (verdict, title) in [
        (Verdict::Recorded, "Parts added"),
        (Verdict::NotRecorded, "Parts gone"),
        (Verdict::Moved, "Marks drawn anew"),
    ] {
        let names: Vec<String> = comparison
            .parts
            .iter()
            .filter(|part| part.verdict == verdict)
            .map(|part| part_words(&part.part))
            .collect();
        if !names.is_empty() {
            page.title(title);
            page.paragraph(2, 4, &[plain(format!("{}.", names.join(", ")))]);
        }
    }
}

/// `left.dropper-remote` → "left dropper remote"; `mark.L1` → "mark L1".
fn part_words(path: &str) -> String {
    match path.split_once('.') {
        Some((kind @ ("guard" | "hose" | "mark"), name)) => format!("{kind} \"{name}\""),
        _ => path.replace(['.', '-'], " "),
    }
}

fn notes(page: &mut Page, changes: &[NoteChange]) {
    if changes.is_empty() {
        return;
    }
    page.title("Notes");
    for change in changes {
        let on = if change.on.is_empty() { String::new() } else { format!("{}: ", part_words(&change.on)) };
        match (&change.was, &change.now) {
            (Some(was), None) => page.paragraph(2, 4, &[plain(format!("{on}gone: “{was}”"))]),
            (None, Some(now)) => page.paragraph(2, 4, &[plain(format!("{on}new: “{now}”"))]),
            _ => page.paragraph(2, 4, &note_words(&on, change)),
        }
    }
}

/// The later text, each gone run in ‹…› marked as gone, each new run in «…».
fn note_words(on: &str, change: &NoteChange) -> Vec<Piece> {
    let mut pieces = vec![plain(on.to_owned())];
    for run in &change.words {
        let text = run.text.trim_matches(' ');
        let (before, after) = edges(&run.text);
        match run.fate {
            Word::Kept => pieces.push(plain(run.text.clone())),
            Word::Gone => pieces.push(piece(Label::Quiet, format!("{before}(gone: {text}){after}"))),
            Word::New => pieces.push(piece(Label::Number, format!("{before}(new: {text}){after}"))),
        }
    }
    pieces
}

fn edges(text: &str) -> (&'static str, &'static str) {
    (if text.starts_with(' ') { " " } else { "" }, if text.ends_with(' ') { " " } else { "" })
}

fn within_reading(page: &mut Page, comparison: &Comparison, all: bool) {
    let changes: Vec<&Change> =
        comparison.changes.iter().filter(|change| change.verdict == Verdict::WithinReading).collect();
    if changes.is_empty() {
        return;
    }
    page.title("Within reading: not moved as far as the instruments can tell");
    if all {
        let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change)).collect();
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
        return;
    }
    let names: Vec<&str> = changes.iter().map(|change| change.title.as_str()).collect();
    page.paragraph(2, 4, &[plain(format!("{}.", names.join(", ")))]);
}

fn not_looked_at(page: &mut Page, comparison: &Comparison, all: bool) {
    let of = |dangerous: bool| -> Vec<&str> {
        comparison
            .not_looked_at
            .iter()
            .filter(|measure| (measure.weight == Weight::SteeringAndBrakes) == dangerous)
            .map(|measure| measure.title.as_str())
            .collect()
    };
    let (dangerous, rest) = (of(true), of(false));
    if dangerous.is_empty() && rest.is_empty() {
        return;
    }
    page.title("Not looked at: may have moved");
    if !dangerous.is_empty() {
        page.paragraph(
            2,
            4,
            &[piece(Label::Care, format!("Steering and brakes: {}.", dangerous.join(", ")))],
        );
    }
    if !rest.is_empty() && (all || rest.len() <= 8) {
        page.paragraph(2, 4, &[plain(format!("The rest: {}.", rest.join(", ")))]);
    } else if !rest.is_empty() {
        page.paragraph(2, 4, &[plain(format!("And {} others; --all names them.", rest.len()))]);
    }
}

fn foot(page: &mut Page, report: &Report) {
    if report.cautions.is_empty() {
        return;
    }
    page.title("Before riding");
    for caution in &report.cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
}
