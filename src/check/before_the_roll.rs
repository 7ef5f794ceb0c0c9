//! Angles of controls that were read before the bar was rolled.
//!
//! Who rolls the bar takes along what sits on it. Where only the roll was written afterwards, an angle beside it is what a
//! gauge read on the bar as it stood before: the control went along by as much as the bar was rolled, or somebody set it
//! back, and the file does not say which. Nothing may be set to such a figure alone. Whoever holds one against a line, sets
//! a lever to it, or tells what is wrong with a file asks here.
//!
//! A file tells it by its days, that of the angle and the later one of the roll, and by a line that was drawn at the angle's
//! figure and says another roll. How the bar stood then a line tells that was drawn on that day. Where no line does, the roll may
//! only have been read again, or written for the first time: nobody knows whether the bar was rolled. That is a caution, and
//! the figure stays the one to set to. Only where the file shows that the bar was rolled since is it undecided what to set to.

use chrono::NaiveDate;

use crate::catalogue::code;
use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::metrology::reading::Reading;
use crate::metrology::show::plain;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::finding::Finding;
use crate::setup::model::{Mark, Setup, Value};

use super::lines::{self, Rolled};
use super::{Context, planned};

/// That an angle was read before the bar was rolled, or may have been.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadBefore {
    /// The day of the angle.
    pub read: Option<NaiveDate>,
    /// The day of the roll, where it is a later one.
    pub since: Option<NaiveDate>,
    /// How the bar stood when the angle was read; none where nobody knows that, nor whether it was rolled since.
    pub then: Option<Then>,
}

/// How the bar stood on a day, and what became of it since.
#[derive(Clone, Debug, PartialEq)]
pub struct Then {
    /// Its roll.
    pub roll: Reading,
    /// The line that tells it; none where the revisions do.
    pub line: Option<String>,
    /// By how much it was rolled since.
    pub rolled: Rolled,
}

/// How a line stands to an angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToTheLine {
    /// As it was drawn.
    There,
    /// Elsewhere.
    Left,
    /// There or elsewhere: nobody says on which bar the angle was read.
    Undecided,
}

impl ReadBefore {
    /// What the angle reads where the control went along with the bar and nobody touched its clamp: "36.0°".
    pub fn went_along(&self, angle: &Reading) -> Option<String> {
        let rolled = self.then.as_ref()?.rolled;
        let sign = angle.default_unit().sign();
        Some(format!("{}{sign}", plain(angle.value() + rolled.degrees, angle.decimals().max(1))))
    }

    /// On which bar it was read, to follow "was": "read 2026-05-02 with the bar at 0°; on 2026-05-20 it stood at 4°".
    pub fn words(&self, setup: &Setup) -> String {
        let read = self.read.map_or_else(|| "read".to_owned(), |day| format!("read {day}"));
        let Some(now) = setup.reading(&lines::roll()).map(Reading::in_words) else {
            return format!("{read}, and the bar's roll is not written");
        };
        let since = self.since.map(|day| format!("on {day}"));
        let Some(then) = &self.then else {
            return format!("{read}, and the bar's roll, {now}, only {}", since.unwrap_or_default());
        };
        let was = then.roll.in_words();
        match (since, &then.line) {
            (Some(since), _) => format!("{read} with the bar at {was}; {since} it stood at {now}"),
            (None, Some(line)) => format!("read with the bar at {now} or, as mark {line} has it, at {was}"),
            (None, None) => format!("{read} with the bar at {was}, which stands at {now} now"),
        }
    }
}

/// Whether the angle of a control was read before the bar was rolled, as far as the file tells.
pub fn read_before(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Option<ReadBefore> {
    let angle = setup.reading(id).filter(|_| joint::is_control_angle(id.row))?;
    if setup.undecided.contains_key(&lines::roll()) || is_planned(catalogue, setup, id) {
        return None;
    }
    let roll = setup.reading(&lines::roll());
    let read = setup.day_of(Some(angle));
    let of_roll = roll.and_then(|roll| setup.day_of(Some(roll)));
    match read.zip(of_roll) {
        Some((read, of_roll)) if read > of_roll => None,
        Some((day, of_roll)) if day < of_roll => {
            if is_confirmed(catalogue, setup, id, angle, of_roll) {
                return None;
            }
            let then = roll_of_the_day(catalogue, setup, id, angle, day);
            let is_as_it_was = then.as_ref().is_some_and(|then| !then.rolled.is_beyond_reading());
            (!is_as_it_was).then_some(ReadBefore { read, since: Some(of_roll), then })
        }
        _ => {
            let then =
                drawn_beside(catalogue, setup, id).or_else(|| with_another(catalogue, setup, id, read))?;
            // A roll that nobody wrote counts as the natural one, and is no figure that anybody read.
            Some(ReadBefore { read, since: None, then: roll.map(|_| then) })
        }
    }
}

/// How a line that was drawn there stands to an angle; `rolled` is what became of the bar since it was drawn, `on_slope` what
/// another slope of the ground makes of it, with its uncertainty.
pub fn to_the_line(
    (drawn, now): (&Reading, &Reading),
    rolled: Rolled,
    on_slope: (f64, f64),
    before: Option<&ReadBefore>,
) -> ToTheLine {
    let read = drawn.expanded_uncertainty().hypot(now.expanded_uncertainty()).hypot(on_slope.1);
    let has_left = |by: Rolled| {
        let delta = now.value() - drawn.value() - by.degrees + on_slope.0;
        judge(delta, read.hypot(by.expanded_uncertainty())) == Verdict::Moved
    };
    let Some(before) = before else {
        return if has_left(rolled) { ToTheLine::Left } else { ToTheLine::There };
    };
    let Some(then) = &before.then else { return ToTheLine::Undecided };
    match (has_left(rolled), has_left(until(then, rolled))) {
        (true, true) => ToTheLine::Left,
        (false, false) => ToTheLine::There,
        _ => ToTheLine::Undecided,
    }
}

/// What became of the bar from the drawing of a line until an angle was read; `rolled` is what became of it until now.
fn until(then: &Then, rolled: Rolled) -> Rolled {
    Rolled { degrees: rolled.degrees - then.rolled.degrees, ..then.rolled }
}

/// The line of a control's own clamp that meets where the bar took the control along, if nobody touched that clamp.
pub fn line_that_went_along(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    before: &ReadBefore,
) -> Option<String> {
    let (angle, then) = (setup.reading(id)?, before.then.as_ref()?);
    let is_there = |(mark, drawn): &(&Mark, &Reading)| {
        let rolled = until(then, lines::rolled(catalogue, setup, mark, id));
        lines::said(mark).is_some()
            && to_the_line((drawn, angle), rolled, (0.0, 0.0), None) == ToTheLine::There
    };
    own_lines(setup, id).find(is_there).map(|(mark, _)| mark.name.value.clone())
}

/// A plan's figures are no readings: they say how the bike is to stand, all of it together.
fn is_planned(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> bool {
    setup.is_planned() && {
        let unread = planned::unread(catalogue, setup);
        unread.contains(id) || unread.contains(&lines::roll())
    }
}

/// The angles of controls that a sheet read on an earlier day than its own roll, which is not the recorded one: nobody knows on
/// which bar.
pub fn on_a_sheet(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Vec<MeasureId> {
    let roll = sheet.reading(&lines::roll());
    let is_rolled = roll
        .and_then(|roll| lines::since_roll(catalogue, setup, roll))
        .is_some_and(Rolled::is_beyond_reading);
    let since = sheet.day_of(roll).filter(|_| is_rolled);
    let is_older = |id: &&MeasureId| {
        let read = sheet.reading(id).and_then(|angle| sheet.day_of(Some(angle)));
        joint::is_control_angle(id.row) && read.zip(since).is_some_and(|(read, since)| read < since)
    };
    sheet.readings.keys().filter(is_older).cloned().collect()
}

fn day_of(setup: &Setup, mark: &Mark) -> Option<NaiveDate> {
    mark.drawn_on.or_else(|| setup.day())
}

fn drawn_at<'m>(mark: &'m Mark, id: &MeasureId) -> Option<&'m Reading> {
    let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
    match &recorded.value {
        Value::Reading(reading) => Some(reading),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}

/// What a line tells of the bar on its day: at which roll it was drawn, be it a control's own or the bar's.
fn told_by(catalogue: &Catalogue, setup: &Setup, mark: &Mark) -> Option<Then> {
    let roll = lines::said(mark).or_else(|| drawn_at(mark, &MeasureId::bike(BAR_ROLL)))?;
    let rolled = lines::since_roll(catalogue, setup, roll)?;
    Some(Then { roll: roll.clone(), line: Some(mark.name.value.clone()), rolled })
}

/// The lines of a control's own clamp, with the figure at which each was drawn.
fn own_lines<'s>(setup: &'s Setup, id: &'s MeasureId) -> impl Iterator<Item = (&'s Mark, &'s Reading)> {
    setup.marks.iter().filter_map(move |mark| Some((mark, drawn_at(mark, id)?)))
}

fn is_copied(drawn: &Reading, angle: &Reading) -> bool {
    (drawn.value() - angle.value()).abs() <= lines::rounded(drawn, angle)
}

/// Whether a line was drawn before an angle was read: it is no proof of where that angle was read.
fn is_older(setup: &Setup, mark: &Mark, read: Option<NaiveDate>) -> bool {
    read.zip(day_of(setup, mark)).is_some_and(|(read, drawn)| drawn < read)
}

/// Whether a line tells that the control stood there on the bar as it stands: drawn at the angle and not before it, on the day
/// of the roll or later, or beside the very same roll.
fn is_confirmed(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    angle: &Reading,
    of_roll: NaiveDate,
) -> bool {
    let read = setup.day_of(Some(angle));
    own_lines(setup, id).filter(|(mark, _)| !is_older(setup, mark, read)).any(|(mark, drawn)| {
        let apart = drawn.expanded_uncertainty().hypot(angle.expanded_uncertainty());
        let is_on_this_bar = match told_by(catalogue, setup, mark) {
            Some(then) => !then.rolled.is_beyond_reading(),
            None => day_of(setup, mark).is_some_and(|day| day >= of_roll),
        };
        is_on_this_bar && judge(angle.value() - drawn.value(), apart) != Verdict::Moved
    })
}

/// How the bar stood when an angle was read: as the control's own line says that was drawn at that figure, else as any line of
/// that day does.
fn roll_of_the_day(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    angle: &Reading,
    day: NaiveDate,
) -> Option<Then> {
    let told = |mark: &Mark| told_by(catalogue, setup, mark);
    let mut copied = own_lines(setup, id)
        .filter(|(mark, drawn)| is_copied(drawn, angle) && !is_older(setup, mark, Some(day)));
    let of_the_day = || setup.marks.iter().filter(|mark| day_of(setup, mark) == Some(day)).find_map(told);
    copied.find_map(|(mark, _)| told(mark)).or_else(of_the_day)
}

/// What the control's own line tells that was drawn at the angle's very figure, at another roll than the bar's, and not
/// before the day of the angle: it was copied there and not read again, as far as the days go.
fn drawn_beside(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> Option<Then> {
    let angle = setup.reading(id)?;
    let read = setup.day_of(Some(angle));
    let mut own =
        own_lines(setup, id).filter(|(mark, drawn)| is_copied(drawn, angle) && !is_older(setup, mark, read));
    own.find_map(|(mark, _)| {
        let then = lines::said(mark).and_then(|_| told_by(catalogue, setup, mark))?;
        then.rolled.is_beyond_reading().then_some(then)
    })
}

/// The same of another control that was read on the same day, unless this one's own line tells where it stands on this bar.
fn with_another(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    read: Option<NaiveDate>,
) -> Option<Then> {
    let angle = setup.reading(id)?;
    let is_at = |mark: &Mark, drawn: &Reading| {
        let rolled = lines::said(mark).and_then(|roll| lines::since_roll(catalogue, setup, roll));
        rolled.is_some_and(|rolled| to_the_line((drawn, angle), rolled, (0.0, 0.0), None) == ToTheLine::There)
    };
    if own_lines(setup, id).any(|(mark, drawn)| is_at(mark, drawn)) {
        return None;
    }
    let others = setup.readings.keys().filter(|other| *other != id && joint::is_control_angle(other.row));
    let mut others =
        others.filter(|other| setup.reading(other).is_some_and(|one| setup.day_of(Some(one)) == read));
    others.find_map(|other| drawn_beside(catalogue, setup, other))
}

/// An angle that was read before the bar was rolled.
pub type Old<'s> = (&'s MeasureId, &'s Reading, ReadBefore);

/// Every angle of a setup that was read before the bar was rolled, brakes first.
pub fn all<'s>(catalogue: &'s Catalogue, setup: &'s Setup) -> Vec<Old<'s>> {
    let before = setup.readings.keys().filter_map(|id| {
        let before = read_before(catalogue, setup, id)?;
        Some((id, setup.reading(id)?, before))
    });
    let mut all: Vec<_> = before.collect();
    all.sort_by_key(|(id, ..)| catalogue.measure(id.row).weight);
    all
}

/// Whether the file accepts that an angle was read before the bar was rolled.
pub fn is_accepted(catalogue: &Catalogue, setup: &Setup, id: &MeasureId) -> bool {
    let path = catalogue.path(id);
    setup.accepted.iter().any(|accepted| accepted.covers(code::READ_BEFORE_ROLL.name, Some(&path)))
}

/// Angles that were read before the bar was rolled: those of one day and roll in one finding, but each that the file accepts by
/// name in one of its own, so that the others are told still.
pub fn rule(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let code = code::READ_BEFORE_ROLL.name;
    let is_accepted = |path: &String| {
        setup.accepted.iter().any(|accepted| accepted.on.is_some() && accepted.covers(code, Some(path)))
    };
    let key = |old: &Old| (old.2.words(setup), Some(catalogue.path(old.0)).filter(is_accepted));
    let mut groups: Vec<Vec<Old>> = Vec::new();
    for old in all(catalogue, setup) {
        let of_its_own = key(&old);
        match groups.iter_mut().find(|group| group.first().map(key).as_ref() == Some(&of_its_own)) {
            Some(group) => group.push(old),
            None => groups.push(vec![old]),
        }
    }
    groups.iter().filter_map(|group| finding(context, group)).collect()
}

/// What is found of angles that were read on one day and roll; of those whose roll is known with what they read had the bar
/// alone moved.
fn finding(context: &Context, group: &[Old]) -> Option<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let one = |(id, angle, before): &Old| {
        let along =
            before.went_along(angle).map(|along| format!(" ({along} gone along)")).unwrap_or_default();
        format!("{} {}{along}", catalogue.title(id), angle.in_words())
    };
    let titles: Vec<String> = group.iter().map(one).collect();
    let (id, _, before) = group.first()?;
    let open = match before.then {
        Some(_) => "Gone along with the bar or set back: nobody says which.",
        None => "Nobody says whether the bar was rolled in between.",
    };
    let words = before.words(setup).replacen("read", "Read", 1);
    let message = format!("{words}: {}. {open}", titles.join(", "));
    let at = setup.recorded(id)?.span;
    Some(Finding::new(&code::READ_BEFORE_ROLL, message).at(at).about(catalogue.path(id)))
}
