//! The page of `diff`: what to act on first, then what moved, what that did to the hands, and the rest.

mod hands;
mod records;
mod turning;

use std::collections::BTreeSet;

use crate::catalogue::Weight;
use crate::compare::{Change, Comparison, Fate, PartChange, Point, Report};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use self::hands::hands;
use self::records::{notes, tightened, torques};
use super::not_looked_at::not_looked_at;
use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The measure that has a sentence of its own.
const FLOOR: &str = "floor";

/// What parts a control's path from that of its lowest point.
const LOWEST: &str = ".lowest.";

/// How the working file is named where a revision could stand.
const NOW: &str = "now";

/// How many measures of less weight a short page names as not looked at.
const MOST_NAMED: usize = 8;

/// Writes the page; `all` lists what a short page folds.
pub fn page(page: &mut Page, report: &Report, all: bool) {
    head(page, report);
    let comparison = &report.comparison;
    damages(page, comparison);
    ground(page, comparison);
    measures(page, "Moved", comparison, Verdict::Moved);
    marks(page, comparison);
    tightened(page, &comparison.tightened);
    parts(page, comparison);
    hands(page, comparison, all);
    turning::turning(page, comparison, all);
    torques(page, &comparison.torque);
    measures(page, "Read again, or another part: these cannot move", comparison, Verdict::ReRead);
    lowest_points(page, comparison, all);
    only_one_side(page, comparison, all);
    notes(page, &comparison.notes);
    within_reading(page, comparison, all);
    not_looked_at(page, &comparison.not_looked_at, if all { usize::MAX } else { MOST_NAMED });
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
            "{} angles read {value} ± {expanded}° {way} at tip or nose, all alike: the ground probably slopes. \
             Measure it and write it down (floor). Below, that shift is taken out of every angle.",
            shift.explains.len()
        );
        page.paragraph(0, 2, &[piece(Label::Care, words)]);
    }
    let Some(floor) = comparison.changes.iter().find(|change| change.measure == FLOOR) else { return };
    page.blank();
    let said = |written: &Option<String>| written.clone().unwrap_or("not recorded".to_owned());
    let (was, now) = (said(&floor.was_written), said(&floor.now_written));
    let levelled = if floor.delta.is_some() { " Angles are compared as on level ground." } else { "" };
    page.paragraph(0, 2, &[plain(format!("Slope of the floor: was {was}, now {now}.{levelled}"))]);
}

fn measures(page: &mut Page, title: &str, comparison: &Comparison, verdict: Verdict) {
    let listed = |change: &&Change| change.verdict == verdict && carrier(change).is_none();
    let changes: Vec<&Change> = told(comparison).filter(listed).collect();
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

/// The control whose lowest point a change is of.
fn carrier(change: &Change) -> Option<String> {
    let (control, _) = change.measure.split_once(LOWEST)?;
    Some(part_words(control))
}

/// The controls whose lowest points differ: they go where the control goes.
fn lowest_points(page: &mut Page, comparison: &Comparison, all: bool) {
    let differs = |change: &&Change| {
        matches!(change.verdict, Verdict::ReRead | Verdict::Moved) && carrier(change).is_some()
    };
    let changes: Vec<&Change> = comparison.changes.iter().filter(differs).collect();
    let controls: BTreeSet<String> = changes.iter().copied().filter_map(carrier).collect();
    if controls.is_empty() {
        return;
    }
    let controls: Vec<String> = controls.into_iter().collect();
    page.title("Lowest points read anew: they go with the control that carries them");
    if all {
        let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change)).collect();
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    } else {
        page.paragraph(2, 4, &[plain(format!("{}.", controls.join("; ")))]);
    }
}

fn measure_row(change: &Change) -> Vec<Piece> {
    let label = if change.weight == Weight::SteeringAndBrakes && change.verdict == Verdict::Moved {
        Label::Danger
    } else {
        Label::Plain
    };
    vec![
        piece(Label::Number, change.moved.clone().unwrap_or_default()),
        piece(label, change.title.clone()),
        piece(Label::Quiet, was_now(change)),
    ]
}

fn was_now(change: &Change) -> String {
    let was = change.was_written.as_deref().unwrap_or("not recorded");
    let now = change.now_written.as_deref().unwrap_or("not recorded");
    // Where a common shift was taken out, what is left has its own.
    let uncertainty = change.left_over.map(|left| left.uncertainty).or(change.uncertainty);
    match uncertainty {
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
            Fate::StruckOut => {
                "its place is no longer recorded: it tells nothing until drawn again".to_owned()
            }
            Fate::Aligned => "lines up".to_owned(),
            Fate::Off => {
                let apart = show::brief(mark.off.unwrap_or_default().abs());
                let turned = mark.verdict == Verdict::Moved;
                let says = if turned { "the joint turned" } else { "within the line's width" };
                format!("stands {apart} mm apart: {says}")
            }
            Fate::Broken => "broken: it moved, by how much nobody knows".to_owned(),
            Fate::Missing => "not found: it tells nothing".to_owned(),
            Fate::Stale => "drawn at another place than the recorded one: it tells nothing".to_owned(),
        };
        page.paragraph(2, 4, &[piece(label, format!("{}{across}: ", mark.mark)), plain(format!("{said}."))]);
    }
}

/// A measure of a part that came or went as a whole: the part says it.
fn is_of_a_part(change: &Change, comparison: &Comparison) -> bool {
    let inside = |part: &PartChange| {
        change.measure.strip_prefix(&*part.part).is_some_and(|rest| rest.starts_with('.'))
    };
    comparison.parts.iter().any(inside)
}

fn only_one_side(page: &mut Page, comparison: &Comparison, all: bool) {
    for (verdict, title) in
        [(Verdict::Recorded, "Recorded now"), (Verdict::NotRecorded, "No longer recorded")]
    {
        let changes: Vec<&Change> = told(comparison)
            .filter(|change| change.verdict == verdict && (all || !is_of_a_part(change, comparison)))
            .collect();
        if changes.is_empty() {
            continue;
        }
        page.title(title);
        let value = |change: &Change| match verdict {
            Verdict::Recorded => change.now_written.clone(),
            _ => change.was_written.clone(),
        };
        let rows: Vec<Vec<Piece>> = changes
            .iter()
            .map(|change| {
                let value = value(change).unwrap_or_default();
                vec![piece(Label::Number, value), plain(change.title.clone())]
            })
            .collect();
        page.table(2, &[Align::Left, Align::Left], &rows);
    }
}

fn unit(word: &str) -> Unit {
    Unit::ALL.iter().copied().find(|unit| unit.word() == word).unwrap_or(Unit::One)
}

fn parts(page: &mut Page, comparison: &Comparison) {
    for (verdict, title) in [(Verdict::NotRecorded, "Parts gone"), (Verdict::Recorded, "Parts added")] {
        let of = |part: &&PartChange| part.verdict == verdict;
        let names: Vec<String> =
            comparison.parts.iter().filter(of).map(|part| part_words(&part.part)).collect();
        if !names.is_empty() {
            page.title(title);
            page.paragraph(2, 4, &[plain(format!("{}.", names.join("; ")))]);
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
    page.paragraph(2, 4, &[plain(format!("{}.", names.join("; ")))]);
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
