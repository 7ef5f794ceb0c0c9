//! The page of `diff`: what to act on first, then what moved, what that did to the hands, and the rest.

use crate::catalogue::Weight;
use crate::compare::{
    Change, Comparison, DerivedChange, Fate, Limits, NoteChange, PartChange, Point, RangeShift, Report,
    TorqueChange, Word,
};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The measure that has a sentence of its own.
const FLOOR: &str = "floor";

/// How the working file is named where a revision could stand.
const NOW: &str = "now";

/// Writes the page; `all` lists what a short page folds.
pub fn page(page: &mut Page, report: &Report, all: bool) {
    head(page, report);
    let comparison = &report.comparison;
    damages(page, comparison);
    ground(page, comparison);
    measures(page, "Moved", comparison, Verdict::Moved);
    marks(page, comparison);
    parts(page, comparison);
    hands(page, comparison, all);
    torques(page, &comparison.torque);
    measures(page, "Read again, or another part: these cannot move", comparison, Verdict::ReRead);
    only_one_side(page, comparison);
    notes(page, &comparison.notes);
    within_reading(page, comparison, all);
    not_looked_at(page, comparison, all);
    foot(page, report);
}

fn head(page: &mut Page, report: &Report) {
    let at = |point: &Point| {
        let label = if point.label == NOW { "the working file" } else { &point.label };
        match &point.date {
            Some(date) if point.revision.is_some() => format!("{label} ({date})"),
            Some(date) => format!("{label} (measured {date})"),
            None => label.to_owned(),
        }
    };
    // Of two different files each is told by its name; it is not said twice.
    let title = if report.from.label == report.setup { "" } else { &report.setup };
    let gap = if title.is_empty() { "" } else { ": " };
    let pieces =
        [piece(Label::Title, title), plain(format!("{gap}from {} to {}", at(&report.from), at(&report.to)))];
    page.paragraph(0, 2, &pieces);
    if let Some(headline) = &report.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    for finding in &report.findings {
        page.paragraph(
            0,
            2,
            &[piece(Label::Care, "A fault may hide a difference: "), plain(finding.clone())],
        );
    }
    if !report.comparison.has_moved() {
        page.blank();
        let said =
            if report.comparison.partial { "Nothing that was looked at moved." } else { "Nothing moved." };
        page.paragraph(0, 2, &[plain(said)]);
    }
}

fn damages(page: &mut Page, comparison: &Comparison) {
    if comparison.damages.is_empty() {
        return;
    }
    page.title("Damaged");
    for damage in &comparison.damages {
        let on = part_words(&damage.on);
        page.paragraph(2, 4, &[piece(Label::Danger, format!("{on}: ")), plain(damage.text.clone())]);
    }
}

/// What the ground has to do with it: a shift that all angles share, or the floors that were taken out.
fn ground(page: &mut Page, comparison: &Comparison) {
    if let Some(shift) = &comparison.common_shift {
        let way = if shift.shift > 0.0 { "lower" } else { "higher" };
        let (value, expanded) = show::with_uncertainty(shift.shift.abs(), shift.uncertainty, 1);
        page.blank();
        let words = format!(
            "{} angles read {value} ± {expanded}° {way} at the tip, all alike: the ground probably slopes. \
             Measure it and write it down (floor). Below, that shift is taken out of every angle.",
            shift.explains.len()
        );
        page.paragraph(0, 2, &[piece(Label::Care, words)]);
    }
    let Some(floor) = comparison.changes.iter().find(|change| change.measure == FLOOR) else { return };
    page.blank();
    let said = |written: &Option<String>| written.clone().unwrap_or("not recorded".to_owned());
    let words = format!(
        "Slope of the floor: was {}, now {}. Angles are compared as on level ground.",
        said(&floor.was_written),
        said(&floor.now_written)
    );
    page.paragraph(0, 2, &[plain(words)]);
}

fn measures(page: &mut Page, title: &str, comparison: &Comparison, verdict: Verdict) {
    let changes: Vec<&Change> = told(comparison).filter(|change| change.verdict == verdict).collect();
    if changes.is_empty() {
        return;
    }
    page.title(title);
    let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change)).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// The changes that stand in lists: all but the floor's, which has its sentence.
fn told(comparison: &Comparison) -> impl Iterator<Item = &Change> {
    comparison.changes.iter().filter(|change| change.measure != FLOOR)
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
        // A count has no uncertainty to show.
        Some(uncertainty) if uncertainty > 0.0 => {
            let (_, expanded) = show::with_uncertainty(change.delta.unwrap_or(0.0), uncertainty, 1);
            let few = if change.optimistic { " or more (few repeats)" } else { "" };
            format!("was {was}, now {now}, ± {expanded}{}{few}", unit(change.unit).sign())
        }
        None if change.moved.is_some() => String::new(),
        _ => format!("was {was}, now {now}"),
    }
}

/// What marks say: those that moved first, as they come.
fn marks(page: &mut Page, comparison: &Comparison) {
    if comparison.marks.is_empty() {
        return;
    }
    page.title("Witness marks");
    for mark in &comparison.marks {
        let is_dangerous = mark.verdict == Verdict::Moved && mark.weight == Weight::SteeringAndBrakes;
        let label = if is_dangerous { Label::Danger } else { Label::Plain };
        let across = mark.title.as_ref().map(|joint| format!(" across {joint}")).unwrap_or_default();
        let said = match mark.fate {
            Fate::Added => "new".to_owned(),
            Fate::Gone => "no longer recorded".to_owned(),
            Fate::DrawnAnew => "drawn anew: look for the new line".to_owned(),
            Fate::Aligned => "lines up".to_owned(),
            Fate::Off => {
                let apart = mark.off.unwrap_or_default().abs();
                format!("stands {} mm apart: the joint turned", figure(apart))
            }
            Fate::Broken => "broken: it moved, by how much nobody knows".to_owned(),
            Fate::Missing => "not found: it tells nothing".to_owned(),
        };
        page.paragraph(2, 4, &[piece(label, format!("{}{across}: ", mark.mark)), plain(format!("{said}."))]);
    }
}

fn only_one_side(page: &mut Page, comparison: &Comparison) {
    for (verdict, title) in
        [(Verdict::Recorded, "Recorded now"), (Verdict::NotRecorded, "No longer recorded")]
    {
        let changes: Vec<&Change> = told(comparison).filter(|change| change.verdict == verdict).collect();
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
    let moved = grips(comparison, Verdict::Moved);
    let corrected = grips(comparison, Verdict::Corrected);
    let is_moved = |change: &&DerivedChange| is_shown(change, all) && change.verdict != Verdict::Corrected;
    let is_corrected =
        |change: &&DerivedChange| is_shown(change, all) && change.verdict == Verdict::Corrected;
    section(page, "What it does to the hands", &moved, comparison.derived.iter().filter(is_moved).collect());
    section(
        page,
        "Corrected on paper: the figures changed, nothing moved",
        &corrected,
        comparison.derived.iter().filter(is_corrected).collect(),
    );
    drivers(page, comparison, all);
    unknown_now(page, comparison);
    let any = comparison.derived.iter().any(|change| change.verdict != Verdict::Same);
    if comparison.partial && any {
        let words = "Taken for granted: what was not looked at did not move.";
        page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
    }
}

fn section(page: &mut Page, title: &str, sentences: &[String], shown: Vec<&DerivedChange>) {
    if shown.is_empty() && sentences.is_empty() {
        return;
    }
    page.title(title);
    for sentence in sentences {
        page.paragraph(2, 4, &[plain(sentence.clone())]);
    }
    let rows: Vec<Vec<Piece>> = shown.into_iter().map(derived_row).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// What can be computed on one side only.
fn unknown_now(page: &mut Page, comparison: &Comparison) {
    for (verdict, words) in [
        (Verdict::NotRecorded, "No longer known, for want of a measure"),
        (Verdict::Recorded, "Known now for the first time"),
    ] {
        let titles: Vec<&str> = comparison
            .derived
            .iter()
            .filter(|change| change.verdict == verdict && !change.detail)
            .map(|change| change.title)
            .collect();
        if !titles.is_empty() {
            page.blank();
            page.paragraph(2, 4, &[plain(format!("{words}: {}.", titles.join(", ")))]);
        }
    }
}

/// Grip coordinates are told as sentences unless everything is asked for.
fn is_shown(change: &DerivedChange, all: bool) -> bool {
    let moved = matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
    let told_already = matches!(change.verdict, Verdict::Recorded | Verdict::NotRecorded);
    (all && !told_already) || (moved && !change.detail && !change.name.starts_with("grip."))
}

/// Both hands in one sentence where they went the same way, else one each.
fn grips(comparison: &Comparison, verdict: Verdict) -> Vec<String> {
    let of = |side: &str| -> Vec<Option<&DerivedChange>> {
        ["x", "y", "z"].iter().map(|axis| comparison.derived(&format!("grip.{side}.{axis}"))).collect()
    };
    let (left, right) = (of("left"), of("right"));
    let delta = |change: &Option<&DerivedChange>| change.and_then(|change| change.delta).unwrap_or(0.0);
    let alike = (0..3).all(|axis| (delta(&left[axis]) - delta(&right[axis])).abs() < 1e-6);
    let hands: Vec<(&str, &Vec<Option<&DerivedChange>>)> =
        if alike { vec![("Both hands", &left)] } else { vec![("Left hand", &left), ("Right hand", &right)] };
    let mut sentences = Vec::new();
    for (hand, axes) in hands {
        let moves: Vec<String> = axes
            .iter()
            .flatten()
            .filter(|change| change.verdict == verdict)
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
    let said = match change.verdict {
        Verdict::Moved | Verdict::Corrected => amount(change),
        Verdict::WithinReading => format!("{} (within reading)", amount(change)),
        other => other.word().to_owned(),
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
    for (verdict, title) in [(Verdict::NotRecorded, "Parts gone"), (Verdict::Recorded, "Parts added")] {
        let of = |part: &&PartChange| part.verdict == verdict;
        let names: Vec<String> =
            comparison.parts.iter().filter(of).map(|part| part_words(&part.part)).collect();
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
        told(comparison).filter(|change| change.verdict == Verdict::WithinReading).collect();
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
