//! Controls on a bar that was rolled: their angles are read against gravity, so they turn along with it.
//!
//! Where the bar was rolled, the angle of a control is judged both ways: against gravity, as it is read, and on the
//! bar, which alone tells whether its clamp was opened. A lever that stands on the bar as it did went along; one that
//! was turned back until the gauge read as before was opened all the same.

use crate::catalogue::table::{BAR_OFFSET, BAR_ROLL};
use crate::catalogue::{MeasureId, joint};
use crate::check::forgotten;
use crate::geometry::state::{Consequences, Difference, Layer, Level, Lookup, State};
use crate::metrology::propagate::{Number, Output};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, MarkState, Setup};

use super::anew::{is_older_than_the_roll, is_read_again};
use super::floor::LeftOver;
use super::measures::{Carrier, Change};
use super::replaced::{found_moved, found_replaced};
use super::sawn;

/// The angle of a control relative to the bar it sits on: rolled forward, the bar takes the tip down with it.
pub struct OnBar<'i>(pub &'i MeasureId);

impl Consequences for OnBar<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let roll = numbers.get(&MeasureId::bike(BAR_ROLL));
        vec![numbers.level(self.0).zip(roll).map(|(angle, roll)| angle - roll)]
    }
}

/// The angle of a control that its mark tells, as a gauge would read it: a line on the bar knows nothing of the roll.
struct ByGauge<'i>(&'i MeasureId);

impl Consequences for ByGauge<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let roll = numbers.get(&MeasureId::bike(BAR_ROLL));
        vec![numbers.level(self.0).zip(roll).map(|(angle, roll)| angle + roll)]
    }
}

/// How a control's angle differs where the bar was rolled.
pub struct BothWays {
    /// Against gravity, on level ground.
    pub as_read: LeftOver,
    /// On the bar.
    pub on_bar: LeftOver,
}

impl BothWays {
    /// Whether a gauge reads otherwise.
    pub fn reads_moved(&self) -> bool {
        self.as_read.verdict() == Verdict::Moved
    }

    /// Whether it is read otherwise, and yet stands on the bar as it did.
    pub fn went_along(&self) -> bool {
        self.reads_moved() && self.on_bar.verdict() != Verdict::Moved
    }

    /// Whether it was moved on the bar, however it reads.
    pub fn moved_on_bar(&self) -> bool {
        self.on_bar.verdict() == Verdict::Moved
    }
}

impl LeftOver {
    fn of(output: &Output) -> LeftOver {
        LeftOver { delta: output.value, uncertainty: output.expanded_uncertainty() }
    }

    fn verdict(self) -> Verdict {
        judge(self.delta, self.uncertainty)
    }
}

/// Whether the bar was rolled beyond reading: of one setup, for two bikes never had one bar.
pub fn is_rolled(difference: &Difference) -> bool {
    let roll = MeasureId::bike(BAR_ROLL);
    let by_mark = difference.to.layer(&roll) == Layer::Turn;
    let (was, now) = (difference.from.number(&roll), difference.to.number(&roll));
    // What a mark tells is told from the recorded roll, or from its natural value.
    let is_told_otherwise = by_mark || was.zip(now).is_some_and(|(was, now)| !was.is_same_reading(now));
    let one_setup = difference.from.setup().name.value == difference.to.setup().name.value;
    if !(is_told_otherwise && one_setup) {
        return false;
    }
    let (propagated, _) = difference.propagate(&Level(&roll));
    propagated.output(0).is_some_and(|output| LeftOver::of(output).verdict() == Verdict::Moved)
}

/// Whether a sheet leaves the bar's roll open: nobody read it, and the bar was let go, or what is read on it was set aside
/// for that. What a line on the bar then tells of a control is where it stands on the bar, and not to the level.
pub fn is_let_go(found: &State) -> bool {
    let_go(found).is_some() || found.sheet().is_some_and(|sheet| !sheet.aside.is_empty())
}

/// What shows on a sheet that the bar moved in its stem, if something does, and nobody knows how far, for its roll was not
/// read: its line is broken, gone or stands apart without saying from where; it was opened, shifted, or came out for
/// another part. Or it was so before, and its roll is not read since.
pub(super) fn let_go(found: &State) -> Option<String> {
    let (sheet, setup) = (found.sheet()?, found.setup());
    let roll = MeasureId::bike(BAR_ROLL);
    let joint = setup.joint_of(found.catalogue(), &roll)?;
    if found.layer(&roll) != Layer::Recorded {
        return None;
    }
    let strangers = sheet.marks_on(joint).filter(|mark| setup.mark(&mark.name.value).is_none());
    if let Some(words) = setup.marks_on(joint).find_map(|mark| says_it_moved(sheet, mark, &roll)) {
        return Some(words);
    }
    let is_lost =
        |mark: &&Mark| matches!(sheet.seen(&mark.name.value), Some(MarkState::Broken | MarkState::Missing));
    if let Some(mark) = strangers.filter(is_lost).last() {
        return says_it_moved(sheet, mark, &roll);
    }
    if sheet.tells_open(joint) {
        return Some(format!("the {} was opened", joint::title(joint)));
    }
    let recorded = State::recorded(found.catalogue(), setup);
    let replaced = found_replaced(&recorded, sheet);
    if let Some(replaced) = replaced.filter(|replaced| replaced.joints.iter().any(|name| name == joint)) {
        return Some(replaced.found());
    }
    if found_moved(&recorded, sheet, &MeasureId::bike(BAR_OFFSET)) {
        return Some("the bar was shifted in the stem".to_owned());
    }
    let_go_before(found, sheet)
}

/// That the file itself no longer knows the bar's roll: nobody has read it since it was let go, and a later sheet that does not
/// read it either tells as little of a clamp.
fn let_go_before(found: &State, sheet: &Setup) -> Option<String> {
    let noted = forgotten::noted(found.catalogue(), found.setup(), &MeasureId::bike(BAR_ROLL))?;
    let day = sheet.day();
    let is_older = noted.since.zip(day).is_some_and(|(since, day)| day < since);
    (!is_older).then(|| format!("is no longer known{}, when {}", noted.since_words(), noted.because))
}

/// What a line across the bar's joint says of a move whose size it does not tell.
fn says_it_moved(sheet: &Setup, mark: &Mark, roll: &MeasureId) -> Option<String> {
    let name = &mark.name.value;
    let is_drawn_at = mark.drawn.iter().any(|(id, _)| id == roll);
    match sheet.seen(name)? {
        MarkState::Broken => Some(format!("mark {name} is broken")),
        MarkState::Missing => Some(format!("mark {name} is gone")),
        MarkState::Off(apart) if !is_drawn_at && apart != 0.0 => {
            Some(format!("the halves of mark {name} stand apart"))
        }
        MarkState::Off(_) | MarkState::Aligned => None,
    }
}

/// Whether the angle of a control was read anew, or told by its mark, and so can have gone along with the bar. The
/// reading of an earlier day was not taken on the rolled bar, and one that is older than its own bar's roll tells nothing of
/// a place on it.
pub fn is_told_anew(difference: &Difference, id: &MeasureId) -> bool {
    let told = match difference.to.layer(id) {
        Layer::Found => difference.to.number(id).is_some(),
        Layer::Turn => true,
        Layer::Recorded => {
            let is_of_its_bar = |state: &State| !is_older_than_the_roll(state, id);
            is_read_again(difference, id, &MeasureId::bike(BAR_ROLL))
                && is_of_its_bar(&difference.from)
                && is_of_its_bar(&difference.to)
        }
    };
    joint::is_control_angle(id.row) && told
}

/// How an angle that was told anew differs on a bar that was rolled; `ground` is what a common slope of the ground
/// leaves of it on the bar.
pub fn both_ways(difference: &Difference, id: &MeasureId, ground: Option<LeftOver>) -> Option<BothWays> {
    let by_mark = difference.to.layer(id) == Layer::Turn;
    let level = difference.propagate(&Level(id)).0;
    let level = LeftOver::of(level.output(0)?);
    if by_mark {
        let read = difference.propagate(&ByGauge(id)).0;
        return Some(BothWays { as_read: LeftOver::of(read.output(0)?), on_bar: level });
    }
    let on_bar = difference.propagate(&OnBar(id)).0;
    let on_bar = LeftOver::of(on_bar.output(0)?);
    Some(BothWays { as_read: level, on_bar: ground.unwrap_or(on_bar) })
}

impl Change {
    /// Whether it only went along with the bar, or with the lever whose clamp it shares, or is counted from an end that was cut
    /// off: its own joint stayed shut. A point that was taken along tells of no joint either.
    pub fn went_along(&self) -> bool {
        self.turned_along || matches!(self.carried, Some(Carrier::Bar | Carrier::Lever | Carrier::Saw))
    }

    /// What it went along with, to follow its title: ", with the bar".
    pub fn along_with(&self) -> &'static str {
        match self.carried {
            Some(Carrier::Bar) => ", with the bar",
            Some(Carrier::Lever) => ", with the brake lever",
            Some(Carrier::Saw) => ", on the narrower bar",
            Some(Carrier::Control) | None => "",
        }
    }

    /// On what both its figures were read, to follow them: " on the rolled bar".
    pub fn on_what(&self) -> &'static str {
        match self.moved_on_bar() {
            true if sawn::is_along_the_bar(self.id.row) => ", from the ends of the cut bar",
            true => " on the rolled bar",
            false => "",
        }
    }

    /// Whether it moved on the bar that was rolled or cut as well, so that its figures against gravity do not tell the move.
    pub fn moved_on_bar(&self) -> bool {
        let stayed = matches!(self.carried, Some(Carrier::Bar | Carrier::Saw));
        self.verdict == Verdict::Moved && !stayed && self.on_bar.is_some()
    }
}
