//! The page of `diff`: what to act on first, then what moved, what that did to the hands, and the rest.

mod hands;
mod head;
mod records;
mod turning;
mod words;

use std::collections::BTreeSet;

use crate::catalogue::Weight;
use crate::catalogue::joint::{self, CONTROLS};
use crate::catalogue::table::FLOOR;
use crate::compare::{Beside, Carrier, Change, Comparison, Fate, PartChange, Report, held_against_old};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;
use crate::setup::model::seen;

use self::hands::hands;
use self::head::head;
use self::records::{instruments, notes, opened_before, read_before_open, tightened, torques};
use self::words::{BY_MARK, Words};
use super::not_looked_at::not_looked_at;
use super::pile;
use super::screen::{Align, Label, Page, Piece, piece, plain};

/// How the working file is named where a revision could stand.
const NOW: &str = "now";

/// How many measures of less weight a short page names as not looked at.
const MOST_NAMED: usize = 8;

/// Writes the page; `all` lists what a short page folds.
pub fn page(page: &mut Page, report: &Report, all: bool) {
    let words = &Words::of(report);
    head(page, report, words);
    let comparison = &report.comparison;
    damages(page, comparison);
    besides(page, comparison, words, true);
    contradictions(page, comparison);
    if let Some(replaced) = &comparison.replaced {
        page.blank();
        super::replaced::said(page, replaced);
    }
    narrower(page, comparison);
    ground(page, comparison, words);
    not_decided(page, comparison);
    measures(page, words, comparison, Verdict::Moved);
    spacers(page, comparison, words);
    // The lines of paint on two bikes have nothing to do with one another.
    if !words.is_of_two_setups() {
        marks(page, comparison, words);
    }
    tightened(page, &comparison.tightened);
    opened_before(page, &report.opened_before);
    read_before_open(page, &report.read_before_open);
    parts(page, comparison, words);
    hands(page, comparison, words, all);
    turning::turning(page, comparison, words, all);
    torques(page, &comparison.torque, words);
    // With what another bike was measured is no difference between them.
    if !words.is_of_two_setups() {
        instruments(page, comparison, words);
    }
    measures(page, words, comparison, Verdict::ReRead);
    lowest_points(page, comparison, words, all);
    only_one_side(page, comparison, words, all);
    notes(page, &comparison.notes, words);
    besides(page, comparison, words, false);
    within_reading(page, comparison, words, all);
    not_looked_at(page, &comparison.not_looked_at, if all { usize::MAX } else { MOST_NAMED });
    foot(page, report, words);
}

/// What a sheet says against itself.
fn contradictions(page: &mut Page, comparison: &Comparison) {
    if comparison.contradictions.is_empty() {
        return;
    }
    page.title("Contradictory: look again");
    for one in &comparison.contradictions {
        page.paragraph(2, 4, &[piece(Label::Danger, format!("{}.", one.words))]);
    }
}

fn damages(page: &mut Page, comparison: &Comparison) {
    let mut new = comparison.new_damages().peekable();
    if new.peek().is_some() {
        page.title("Damaged");
    }
    for damage in new {
        let on = part_words(&damage.on);
        page.paragraph(2, 4, &[piece(Label::Danger, format!("{on}: ")), plain(damage.said())]);
    }
}

/// A bar that is narrower, cut or not.
fn narrower(page: &mut Page, comparison: &Comparison) {
    let Some(narrower) = &comparison.narrower else { return };
    page.blank();
    let figures = if narrower.is_cut {
        ""
    } else {
        " What is worked out below takes it for another bar with the recorded rise, sweeps and bend."
    };
    // Of one that was cut the headline says nothing, for it forbids no ride.
    if narrower.is_cut {
        page.paragraph(0, 2, &[piece(Label::Care, format!("{}.", narrower.headline()))]);
        page.blank();
    }
    page.paragraph(2, 4, &[piece(Label::Care, narrower.words.clone()), plain(figures)]);
}

/// What the ground has to do with it: a shift that all angles share, or the floors that were taken out.
fn ground(page: &mut Page, comparison: &Comparison, words: &Words) {
    if let Some(shift) = &comparison.common_shift {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, shift.words())]);
    }
    super::unknown_roll::said(page, comparison.unknown_roll.as_ref());
    read_before_the_roll(page, comparison);
    was_read_before_the_roll(page, comparison);
    read_before_the_reach(page, comparison);
    super::floor_not_read::said_between(page, &comparison.unread_ground, !words.is_neutral());
    let Some(floor) = comparison.changes.iter().find(|change| change.id.row == FLOOR) else { return };
    page.blank();
    let said = |written: &Option<String>| written.clone().unwrap_or("not recorded".to_owned());
    let (was, mut now) = (said(&floor.was_written), said(&floor.now_written));
    let mut levelled = if floor.delta.is_some() { " Angles are compared as on level ground." } else { "" };
    if floor.undecided.is_some() {
        "not decided".clone_into(&mut now);
        levelled = " Until it is, no angle against gravity is compared.";
    }
    let both = words.both(&was, &now);
    page.paragraph(0, 2, &[plain(format!("Slope of the floor: {both}.{levelled}"))]);
}

/// What is written as it was read before the bar was rolled.
fn read_before_the_roll(page: &mut Page, comparison: &Comparison) {
    let titles: Vec<&str> =
        comparison.read_before_the_roll.iter().map(|angle| angle.title.as_str()).collect();
    let (it, was) = match titles.len() {
        0 => return,
        1 => ("It", "it was"),
        _ => ("They", "they were"),
    };
    page.blank();
    if comparison.partial {
        let said = format!(
            "Read on an earlier day than the bar's roll: {}. Nobody says whether the bar was rolled in between: read again.",
            titles.join(", ")
        );
        return page.paragraph(0, 2, &[piece(Label::Care, said)]);
    }
    let said = format!(
        "Read before the bar was rolled: {}. {it} turned with it, unless {was} set back since: read again.",
        titles.join(", ")
    );
    page.paragraph(0, 2, &[piece(Label::Care, said)]);
}

/// What is written as it was read before a lever was set nearer to the grip or further from it.
fn read_before_the_reach(page: &mut Page, comparison: &Comparison) {
    let titles: Vec<&str> = comparison.read_before_the_reach.iter().map(|bite| bite.title.as_str()).collect();
    if titles.is_empty() {
        return;
    }
    page.blank();
    let said = format!(
        "Read before the lever's reach was set: {}. The screw that sets it usually takes the bite along (common practice, no \
         source), and its share below is of two days: read again before riding.",
        titles.join(", ")
    );
    page.paragraph(0, 2, &[piece(Label::Care, said)]);
}

/// What is held against a figure that was read before the bar was rolled: whether it moved, the two do not say.
fn was_read_before_the_roll(page: &mut Page, comparison: &Comparison) {
    let Some(said) = held_against_old(&comparison.was_read_before_the_roll) else { return };
    page.blank();
    page.paragraph(0, 2, &[piece(Label::Care, said)]);
}

fn measures(page: &mut Page, words: &Words, comparison: &Comparison, verdict: Verdict) {
    let changes: Vec<&Change> = told(comparison)
        .filter(|change| change.verdict == verdict && !went_along(change, comparison))
        .collect();
    if changes.is_empty() {
        return;
    }
    page.title(if verdict == Verdict::Moved { words.moved() } else { words.cannot_move() });
    let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change, words)).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// What else the two texts tell otherwise; what two setups accept and how they are named has nothing to do with one another.
fn besides(page: &mut Page, comparison: &Comparison, words: &Words, grave: bool) {
    let is_told = |one: &Beside| comparison.new_damages().any(|damage| one.tells_of(damage));
    let besides = comparison.besides.iter();
    let all: Vec<&Beside> = besides.filter(|one| one.grave == grave && !is_told(one)).collect();
    if all.is_empty() || words.is_of_two_setups() {
        return;
    }
    page.title(if grave {
        "Told otherwise of damage, marks or opened joints"
    } else {
        "Also told otherwise"
    });
    let label = if grave { Label::Danger } else { Label::Plain };
    for one in all {
        page.paragraph(2, 4, &[piece(label, one.in_words())]);
    }
}

/// What a conflict in the later text leaves open: it is not gone, and no version of it counts.
fn not_decided(page: &mut Page, comparison: &Comparison) {
    let changes: Vec<&Change> = comparison.undecided().collect();
    let records = &comparison.not_decided;
    if changes.is_empty() && records.is_empty() {
        return;
    }
    page.title("Not decided");
    let row = |change: &&Change| {
        let was = match (&change.was_written, &change.now_written) {
            (Some(was), _) => format!("recorded {was}"),
            (None, Some(found)) => format!("found {found}"),
            (None, None) => String::new(),
        };
        vec![plain(change.title.clone()), plain(change.undecided.clone().unwrap_or_default()), plain(was)]
    };
    let records = records.iter();
    let records = records.map(|one| vec![plain(one.in_words()), plain(one.versions.clone()), plain("")]);
    let rows: Vec<Vec<Piece>> = changes.iter().map(row).chain(records).collect();
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// The changes that stand in lists: all but the floor's, which has its sentence.
fn told(comparison: &Comparison) -> impl Iterator<Item = &Change> {
    comparison.changes.iter().filter(|change| change.id.row != FLOOR)
}

/// Spacers that do not add up to what they were.
fn spacers(page: &mut Page, comparison: &Comparison, words: &Words) {
    let Some(spacers) = comparison.spacers.as_ref().filter(|_| !words.is_of_two_setups()) else { return };
    let [sentence, look] = pile::found(spacers);
    page.blank();
    page.paragraph(0, 2, &[piece(Label::Care, sentence), plain(format!(" {look}"))]);
}

/// Whether a lowest point only went along with its control, of which the list tells the move already.
fn went_along(change: &Change, comparison: &Comparison) -> bool {
    let carries = |other: &Change| {
        other.carried != Some(Carrier::Control)
            && other.verdict == Verdict::Moved
            && other.joint == change.joint
    };
    change.turned_along
        || change.carried == Some(Carrier::Control)
            && change.joint.is_some()
            && comparison.changes.iter().any(carries)
}

/// The lowest points and hose ends that went along with their controls, those that nobody read apart.
fn lowest_points(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    let differs = |change: &&Change| change.verdict == Verdict::Moved && went_along(change, comparison);
    let changes: Vec<&Change> = comparison.changes.iter().filter(differs).collect();
    if changes.is_empty() {
        return;
    }
    let has_hose = changes.iter().any(|change| change.joint.is_none());
    let what = if has_hose { "Lowest points and hose ends" } else { "Lowest points" };
    page.title(format!("{what}: they go with the control that carries them"));
    if all {
        let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change, words)).collect();
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
        return;
    }
    for not_read in [false, true] {
        let changes = changes.iter().filter(|change| change.turned_along == not_read);
        let carriers: BTreeSet<String> = changes.filter_map(|change| carrier_of(change)).collect();
        if carriers.is_empty() {
            continue;
        }
        let carriers = carriers.into_iter().collect::<Vec<_>>().join("; ");
        let how = if not_read { "Not read, taken along: " } else { "" };
        page.paragraph(2, 4, &[plain(format!("{how}{carriers}."))]);
    }
}

/// The control whose lowest point a change is of, or the hose whose end: "left shifter", "rear brake hose".
fn carrier_of(change: &Change) -> Option<String> {
    if let Some(hose) = &change.id.subject.name {
        return Some(format!("{hose} hose"));
    }
    let control = CONTROLS.iter().find(|control| control.lowest.contains(&change.id.row))?;
    Some(format!("{} {}", change.id.subject.side?, control.title))
}

fn measure_row(change: &Change, words: &Words) -> Vec<Piece> {
    let moved_there = change.verdict == Verdict::Moved && !change.went_along();
    let label =
        if change.weight == Weight::SteeringAndBrakes && moved_there { Label::Danger } else { Label::Plain };
    let (was, now) = (change.was_written.as_deref(), change.now_written.as_deref());
    let moved = match (was, now, change.delta) {
        (Some(was), Some(now), None) if words.is_of_two_setups() => words.both(was, now),
        _ => change.moved.clone().unwrap_or_default(),
    };
    vec![
        piece(Label::Number, moved),
        piece(label, format!("{}{}", change.title, change.along_with())),
        piece(Label::Quiet, was_now(change, words)),
    ]
}

fn was_now(change: &Change, words: &Words) -> String {
    let was = change.was_written.as_deref().unwrap_or("not recorded");
    let now = change.now_written.as_deref().unwrap_or("not recorded");
    let both = format!("{}{}", words.both(was, now), change.on_what());
    // Where the bar's roll or a common shift was taken out, what is left has its own.
    let own = change.on_bar.filter(|_| change.moved_on_bar()).or(change.left_over);
    let uncertainty = own.map(|left| left.uncertainty).or(change.uncertainty);
    match uncertainty {
        // A count has no uncertainty to show.
        Some(uncertainty) if uncertainty > 0.0 => {
            let (_, expanded) = show::with_uncertainty(change.delta.unwrap_or(0.0), uncertainty, 1);
            let few = if change.optimistic { " or more (few repeats)" } else { "" };
            format!("{both}, ± {expanded}{}{few}", Unit::of_word(change.unit).sign())
        }
        None if change.moved.is_some() => String::new(),
        _ => both,
    }
}

/// What marks say: those that moved first, as they come.
fn marks(page: &mut Page, comparison: &Comparison, words: &Words) {
    if comparison.marks.is_empty() {
        return;
    }
    page.title("Witness marks");
    for mark in &comparison.marks {
        let is_dangerous = mark.verdict == Verdict::Moved && mark.weight == Weight::SteeringAndBrakes;
        let label = if is_dangerous { Label::Danger } else { Label::Plain };
        let across = mark.title.as_ref().map(|joint| format!(" across {joint}")).unwrap_or_default();
        let said = match mark.fate {
            fate @ (Fate::Added | Fate::Gone | Fate::DrawnAnew) => words.line(fate),
            Fate::StruckOut => {
                "its place is no longer recorded: it tells nothing until drawn again".to_owned()
            }
            Fate::Aligned => format!("lines up{}", against(comparison, &mark.mark).unwrap_or_default()),
            Fate::Off => {
                let apart = show::brief(mark.off.unwrap_or_default().abs());
                let turned = mark.verdict == Verdict::Moved;
                let slides = mark.joint.as_deref().is_some_and(|joint| joint::rotation(joint).is_none());
                let says = match (turned, slides) {
                    (true, true) => ": it moved by as much",
                    (true, false) => ": the joint turned",
                    (false, _) => ": within the line's width",
                };
                format!("stands {apart} mm apart{}", against(comparison, &mark.mark).unwrap_or(says))
            }
            Fate::Broken => "broken: it moved, by how much nobody knows".to_owned(),
            Fate::Missing => "gone: it cannot tell whether the joint held; take it for opened".to_owned(),
            Fate::OldOrNew if mark.same_day => {
                "drawn anew on the day of the sheet: look whether the new line meets".to_owned()
            }
            Fate::OldOrNew => {
                "drawn anew after the day of the sheet: look whether the new line meets".to_owned()
            }
            Fate::OnAnotherPart => "it no longer meets the line it was drawn to: it tells nothing".to_owned(),
            Fate::Stale => "drawn at another place than the recorded one: it tells nothing".to_owned(),
            Fate::AngleReadBefore => {
                "the angle beside it was read before the bar was rolled: read that again first".to_owned()
            }
            Fate::RollUnknown => {
                "drawn before the bar's roll was read, and at no written roll: it tells nothing".to_owned()
            }
        };
        page.paragraph(
            2,
            4,
            &[
                piece(label, format!("{}{across}: ", mark.mark)),
                plain(format!("{}.", seen(&said, mark.read))),
            ],
        );
    }
}

/// What else on the sheet says otherwise than a mark.
fn against(comparison: &Comparison, mark: &str) -> Option<&'static str> {
    let one = comparison.contradictions.iter().find(|one| one.is_of(mark))?;
    Some(if one.other_mark.is_some() { ", against another mark" } else { ", against a reading" })
}

/// A measure of a part that came or went as a whole: the part says it.
fn is_of_a_part(change: &Change, comparison: &Comparison) -> bool {
    let inside = |part: &PartChange| {
        change.measure.strip_prefix(&*part.part).is_some_and(|rest| rest.starts_with('.'))
    };
    comparison.parts.iter().any(inside)
}

fn only_one_side(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    for verdict in [Verdict::Recorded, Verdict::NotRecorded] {
        let changes: Vec<&Change> = told(comparison)
            .filter(|change| change.verdict == verdict && change.undecided.is_none())
            .filter(|change| all || !is_of_a_part(change, comparison))
            .collect();
        if changes.is_empty() {
            continue;
        }
        page.title(words.one_side(verdict));
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

fn parts(page: &mut Page, comparison: &Comparison, words: &Words) {
    for verdict in [Verdict::NotRecorded, Verdict::Recorded] {
        let of = |part: &&PartChange| part.verdict == verdict;
        let names: Vec<String> =
            comparison.parts.iter().filter(of).map(|part| part_words(&part.part)).collect();
        if !names.is_empty() {
            page.title(words.parts(verdict));
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

/// What did not move, what instruments read apart from what only a line tells.
fn within_reading(page: &mut Page, comparison: &Comparison, words: &Words, all: bool) {
    for (by_mark, title) in [(false, words.within_reading()), (true, BY_MARK)] {
        let is_within = |change: &&Change| change.verdict == Verdict::WithinReading && !change.turned_along;
        let changes = told(comparison).filter(is_within).filter(|change| change.from_mark == by_mark);
        let changes: Vec<&Change> = changes.collect();
        if changes.is_empty() {
            continue;
        }
        page.title(title);
        if all {
            let rows: Vec<Vec<Piece>> = changes.iter().map(|change| measure_row(change, words)).collect();
            page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
        } else {
            let names: Vec<&str> = changes.iter().map(|change| change.title.as_str()).collect();
            page.paragraph(2, 4, &[plain(format!("{}.", names.join("; ")))]);
        }
    }
}

fn foot(page: &mut Page, report: &Report, words: &Words) {
    if report.cautions.is_empty() {
        return;
    }
    page.title(words.foot());
    for caution in &report.cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
}
