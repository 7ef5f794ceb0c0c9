//! What physically changed between two states of one bike: measures, derived values, parts, torques, marks, notes.
//!
//! Every difference is judged by its own uncertainty, in which readings that both states share cancel. The result is
//! a plain struct; it knows no files, revisions or screens.

mod anew;
mod as_either;
mod besides;
mod bite_before;
mod clamped;
mod derived;
mod differing;
mod first_read;
mod floor;
mod headline;
mod instruments;
mod looked_at;
mod marks;
mod measures;
mod off_the_rest;
mod on_bar;
mod opened_before;
pub mod overview;
mod read_before;
mod read_before_open;
mod replaced;
mod report;
mod saddle;
mod sawn;
mod seen_open;
mod shared_clamp;
mod spacers;
mod texts;
mod tightened;
mod torques;
mod turning;
mod undecided;
mod unknown_roll;
mod unread_ground;

use chrono::NaiveDate;
use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::table::{LEVER_BITE, LEVER_REACH};
use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::geometry::state::{Difference, State};
use crate::metrology::verdict::Verdict;
use crate::setup::model::Setup;

pub use anew::measured_anew;
pub use besides::{Beside, told_first, told_of_joints};
pub use clamped::HELD;
pub use derived::DerivedChange;
pub use first_read::FirstRead;
pub use floor::{ALL_ALIKE, CommonShift, LeftOver};
pub use headline::{
    along_with_the_bar, dangerous_differences, dangerous_moves, dangerous_moves_but_damage, each_dangerous,
    each_said, opened_and_not_read, roll_not_known, worked_out_moved,
};
pub use instruments::{InstrumentChange, ReadOtherwise};
pub use looked_at::NotLookedAt;
use looked_at::{looked_at, not_looked_at};
pub use marks::{
    Bar, Carry, Contradiction, DamageFound, Fate, MarkChange, new_damages, noted_damages, noted_marks,
    went_along,
};
pub use measures::{Carrier, Change, Held, typed};
pub use off_the_rest::off_the_rest;
pub use on_bar::{OnBar, is_let_go};
pub use opened_before::{OpenedBefore, opened_before};
pub use read_before::{ReadBefore, WasReadBefore, held_against_old, read_before_its_own_roll};
pub use read_before_open::ReadBeforeOpen;
pub use replaced::{Replaced, Shorter, found_moved, found_replaced, replaced};
pub use report::{Point, Relation, Report};
pub use sawn::{
    CUT_CARBON, FOUND_NARROWER, FromTheMiddle, Narrower, Sawn, as_told, cut_off, is_along_the_bar,
    is_from_the_end, slides,
};
pub use seen_open::replaced_on;
pub use spacers::SpacersShift;
pub use texts::{NoteChange, PartChange, Word, WordChange};
pub use tightened::{Tightness, TorqueFound};
pub use torques::{Also, LastApplied, Limits, RangeShift, TorqueChange};
pub use turning::{ClearanceChange, Shift, SlackChange};
pub use undecided::RecordUndecided;
pub use unknown_roll::{RollOpen, SetAside, ToldRoll, UnknownRoll, control_angles, unknown_roll};
pub use unread_ground::{Angle, UnreadGround, unread_ground_words, without_ground};

/// Everything that differs between two states.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Comparison {
    /// The measures whose reading differs or stands on one side only, dangerous first.
    pub changes: Vec<Change>,
    /// Every derived value that either state has, in the list's order.
    pub derived: Vec<DerivedChange>,
    /// The least clearance of every control to each side, that either state has.
    pub clearances: Vec<ClearanceChange>,
    /// The slack of every hose that goes to the frame in either state.
    pub slack: Vec<SlackChange>,
    /// How the height of all spacers and the stem's clamp on the steerer differs, if it does.
    pub spacers: Option<SpacersShift>,
    /// Marks and torques that the later text leaves undecided.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_decided: Vec<RecordUndecided>,
    /// Controls, hoses and guards that came or went.
    pub parts: Vec<PartChange>,
    /// Witness marks that came, went or were drawn anew, and how a sheet found them.
    pub marks: Vec<MarkChange>,
    /// Marks that say another thing than the readings of the same sheet.
    pub contradictions: Vec<Contradiction>,
    /// Damage that a sheet reports; of a setup and what became of it, that the later text notes for the first time.
    pub damages: Vec<DamageFound>,
    /// Torque ranges that differ.
    pub torque: Vec<TorqueChange>,
    /// The joints that a sheet tells are apart or were opened.
    pub opened: Vec<String>,
    /// What a sheet reads for the first time since its clamp was let go.
    #[serde(skip)]
    pub first_read: Vec<FirstRead>,
    /// Instruments that came, went or read otherwise than before.
    pub instruments: Vec<InstrumentChange>,
    /// Measures that stand as they were, but with another tolerance or instrument.
    pub read_otherwise: Vec<ReadOtherwise>,
    /// What a sheet leaves known of the torque of joints that were opened or tightened.
    pub tightened: Vec<TorqueFound>,
    /// Notes that differ, word by word.
    pub notes: Vec<NoteChange>,
    /// What else the two texts tell otherwise: of a sheet damage, opened joints and lines; of a setup what is accepted.
    pub besides: Vec<Beside>,
    /// A shift that all angles against gravity share, where no floor was recorded.
    pub common_shift: Option<CommonShift>,
    /// That the bar's roll is open, and the angles on it that tell nothing of their clamps for that.
    pub unknown_roll: Option<UnknownRoll>,
    /// The angles of controls on a bar that was rolled after they were read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_before_the_roll: Vec<ReadBefore>,
    /// Where brakes bite whose levers' reach was set otherwise after that was read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_before_the_reach: Vec<ReadBefore>,
    /// The angles whose earlier figure was read before the bar was rolled, and that are told again since.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub was_read_before_the_roll: Vec<WasReadBefore>,
    /// The angles against gravity whose ground nobody tells, where nothing else tells of it.
    #[serde(flatten)]
    pub unread_ground: UnreadGround,
    /// The parts that a sheet shows to be others than recorded, if any.
    pub replaced: Option<Replaced>,
    /// A bar that is narrower: cut, or of a sheet nobody says whether it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub narrower: Option<Narrower>,
    /// What is taken for granted where something is worked out from it, in sentences.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub taken_for_granted: Vec<&'static str>,
    /// What could have moved and was not looked at, dangerous first; only of an as-found sheet.
    pub not_looked_at: Vec<NotLookedAt>,
    /// How many readings, lines and torques of the as-found sheet tell whether something moved.
    pub looked_at: usize,
    /// Whether the later state is an as-found sheet on the earlier one, so that much was not looked at.
    pub partial: bool,
}

impl Comparison {
    /// Words it so that it is true of a comparison that runs from the newer point to the older one: nobody tightened
    /// anything again on the day of the older.
    pub fn told_backwards(&mut self) {
        for also in self.torque.iter_mut().flat_map(|change| &mut change.also) {
            also.tell_backwards();
        }
    }

    /// Whether anything physically changed. What was only written down for the first time, or no longer, did not move.
    pub fn has_moved(&self) -> bool {
        let moved = |verdict: Verdict| verdict == Verdict::Moved;
        self.changes.iter().any(|change| moved(change.verdict))
            || self.derived.iter().any(|change| moved(change.verdict))
            || self.clearances.iter().any(|change| moved(change.shift.verdict))
            || self.slack.iter().any(|change| moved(change.shift.verdict))
            || self.marks.iter().any(|change| moved(change.verdict))
            || !self.parts.is_empty()
    }

    /// Whether there is nothing at all to tell: what the texts say of the bike is the same.
    pub fn is_silent(&self) -> bool {
        self.changes.is_empty()
            && self.not_decided.is_empty()
            && self.parts.is_empty()
            && self.marks.is_empty()
            && self.damages.is_empty()
            && self.opened.is_empty()
            && self.torque.is_empty()
            && self.instruments.is_empty()
            && self.read_otherwise.is_empty()
            && self.notes.is_empty()
            && self.besides.is_empty()
    }

    /// In place of a word that nothing moved, where that hangs on a slope of the ground that nobody read.
    pub fn ground_in_doubt(&self) -> Option<&'static str> {
        ground_in_doubt(self.common_shift.as_ref(), &self.unread_ground)
    }

    /// Whether there is anything to act on: something moved or broke, or what a joint may be tightened to changed.
    pub fn is_to_act_on(&self) -> bool {
        let open = |found: &TorqueFound| found.state != Tightness::Within;
        self.has_moved()
            || !self.damages.is_empty()
            || !self.not_decided.is_empty()
            || self.unknown_roll.is_some()
            || self.ground_in_doubt().is_some()
            || self.partial && !self.was_read_before_the_roll.is_empty()
            || self.marks.iter().any(|change| change.fate == Fate::OldOrNew)
            || self.torque.iter().any(TorqueChange::has_shifted)
            || self.tightened.iter().any(open)
    }

    /// Whether something moved that no one can move without opening a joint of the steering or the brakes: a spacer.
    pub fn opened_steering_or_brakes(&self) -> bool {
        let is_dangerous = |joint: &str| joint::weight(joint) == Weight::SteeringAndBrakes;
        let mut by_part = self.replaced.iter().flat_map(|replaced| &replaced.joints);
        self.moved_at_their_joint().any(|change| change.joint.as_deref().is_some_and(is_dangerous))
            || by_part.any(|joint| is_dangerous(joint))
    }

    /// The measures that moved at the joint that holds them, and not only along with the bar or the lever.
    pub fn moved_at_their_joint(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.verdict == Verdict::Moved && !change.went_along())
    }

    /// The measures that the later text leaves undecided.
    pub fn undecided(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.undecided.is_some())
    }

    /// The same without the measures and torques that are not decided, for those who tell of them in their own words.
    #[must_use]
    pub fn without_undecided(&self) -> Comparison {
        let mut decided = self.clone();
        decided.changes.retain(|change| change.undecided.is_none());
        decided.not_decided.retain(|one| !one.about.starts_with("torque."));
        decided
    }

    /// Whether a measure, a mark or a torque of steering or brakes is left undecided.
    pub fn is_open_on_steering_or_brakes(&self) -> bool {
        let mut weights =
            self.undecided().map(|change| change.weight).chain(self.not_decided.iter().map(|one| one.weight));
        weights.any(|weight| weight == Weight::SteeringAndBrakes)
    }

    /// The measures on steering and brakes that moved at the joint that holds them.
    pub fn dangerous(&self) -> impl Iterator<Item = &Change> {
        self.moved_at_their_joint().filter(|change| change.weight == Weight::SteeringAndBrakes)
    }

    /// The measures of steering and brakes that only the earlier state has, in words.
    pub fn no_longer_recorded(&self) -> Option<String> {
        let is_gone = |change: &&Change| {
            change.verdict == Verdict::NotRecorded
                && change.weight == Weight::SteeringAndBrakes
                && change.undecided.is_none()
                && change.now.is_none()
        };
        let gone: Vec<&str> =
            self.changes.iter().filter(is_gone).map(|change| change.title.as_str()).collect();
        (!gone.is_empty()).then(|| gone.join(", "))
    }

    /// The joints of steering and brakes that were opened and of which nobody says how they were tightened again.
    pub fn left_open(&self) -> impl Iterator<Item = &TorqueFound> {
        let is_open = |found: &&TorqueFound| {
            found.state == Tightness::Unknown && found.weight == Weight::SteeringAndBrakes
        };
        self.tightened.iter().filter(is_open)
    }

    /// The joints of steering and brakes that were tightened, but to whose part nobody knows the maker's figure.
    pub fn unjudged(&self) -> impl Iterator<Item = &TorqueFound> {
        let is_unjudged = |found: &&TorqueFound| {
            let dangerous = found.weight == Weight::SteeringAndBrakes;
            dangerous && found.state == Tightness::NoRange && found.of_the_old_part
        };
        self.tightened.iter().filter(is_unjudged)
    }

    /// Whether the sheet tells what is known of a joint's torque on that day, if there is one, or later.
    pub fn tells_torque_of(&self, joint: &str, day: Option<NaiveDate>) -> bool {
        let is_later = |found: &TorqueFound| day.is_none_or(|day| found.day.is_none_or(|told| told >= day));
        // That it was opened is told of it whenever that was.
        let tells = |found: &TorqueFound| found.state == Tightness::Unknown || is_later(found);
        self.tightened.iter().any(|found| found.joint == joint && tells(found))
    }

    /// Whether a measure got less by wear or a defect, and no setting: a bite nearer to the grip, unless the lever was set
    /// nearer as well and takes it along.
    pub fn is_worn(&self, id: &MeasureId) -> bool {
        let got_less = |id: &MeasureId| {
            let mut moved = self.changes.iter().filter(|change| change.verdict == Verdict::Moved);
            moved.any(|change| change.id == *id && change.delta.is_some_and(|delta| delta < 0.0))
        };
        let reach = MeasureId { row: LEVER_REACH, subject: id.subject.clone() };
        let is_such = Catalogue::standard().measure(id.row).caution_of_less.is_some();
        is_such && got_less(id) && !(id.row == LEVER_BITE && got_less(&reach))
    }

    /// Whether a measure is told to have moved on steering or brakes.
    pub fn says_dangerous(&self, measure: &str) -> bool {
        self.dangerous().any(|change| change.measure == measure)
    }

    /// The marks that say that a joint of steering or brakes moved.
    pub fn dangerous_marks(&self) -> impl Iterator<Item = &MarkChange> {
        self.marks
            .iter()
            .filter(|mark| mark.verdict == Verdict::Moved && mark.weight == Weight::SteeringAndBrakes)
    }

    /// The joints that a sheet tells were tightened outside their range.
    pub fn badly_tightened(&self) -> impl Iterator<Item = &TorqueFound> {
        self.tightened.iter().filter(|found| found.state.is_outside())
    }

    /// Of the damage what takes no other's place in the text: of the rest it is told what was told before.
    pub fn new_damages(&self) -> impl Iterator<Item = &DamageFound> {
        besides::told_first(&self.damages, &self.besides)
    }

    /// The joints that cannot be as they were left: something they hold moved, or their mark is broken or gone.
    pub fn opened(&self) -> BTreeSet<&str> {
        tightened::opened(self)
    }

    /// The last day on which a sheet tells or shows that a joint was open; none where nothing on it has a day.
    pub fn last_open(&self, setup: &Setup, sheet: &Setup, joint: &str) -> Option<NaiveDate> {
        seen_open::seen_open(self, setup, sheet, joint).day
    }

    /// Whether a measure is read for the first time since its clamp was let go.
    pub fn is_first_read(&self, id: &MeasureId) -> bool {
        self.first_read.iter().any(|first| first.id == *id)
    }

    /// Works out anew which joints were opened, once it is settled what the marks of a sheet say.
    pub fn review_torques(&mut self, state: &State) {
        self.tightened = tightened::found(self, state);
    }

    /// The change of a derived value.
    pub fn derived(&self, name: &str) -> Option<&DerivedChange> {
        self.derived.iter().find(|change| change.name == name)
    }
}

/// Compares two states; `to` may be an as-found state on top of another setup.
pub fn compare(from: State, to: State) -> Comparison {
    let difference = Difference { from, to };
    let mut comparison = with_hands(from, to);
    comparison.clearances = turning::clearance_changes(&difference);
    comparison.slack = turning::slack_changes(&difference);
    comparison
}

/// The same without turning the bars, which costs most.
pub fn with_hands(from: State, to: State) -> Comparison {
    let mut comparison = as_written(from, to);
    comparison.derived = derived::changes(&Difference { from, to });
    comparison
}

/// In place of a word that nothing moved: what these leave in doubt.
pub fn ground_in_doubt(shift: Option<&CommonShift>, ground: &UnreadGround) -> Option<&'static str> {
    (shift.is_some_and(|shift| shift.is_steep) || ground.in_doubt).then_some(unread_ground::NOT_KNOWN)
}

/// Whether angles that all read otherwise by as much are put down to ground whose slope nobody read.
pub fn is_put_down_to_the_ground(from: State, to: State) -> bool {
    let whole = to.sheet().filter(|sheet| !sheet.aside.is_empty()).map(Setup::whole);
    let to = whole.as_deref().map_or(to, |whole| to.with_sheet(whole));
    floor::common_shift(&Difference { from, to }).is_some_and(|shift| shift.is_the_ground)
}

/// Whether it is in doubt what moved, because the earlier state alone does not tell on what slope its angles were read.
pub fn is_ground_of_the_earlier_in_doubt(from: State, to: State) -> bool {
    let ground = unread_ground::unread_ground(&Difference { from, to });
    ground.of_the_earlier && ground.in_doubt
}

/// The same without what has to be computed from the readings: for going through many revisions.
pub fn as_written(from: State, to: State) -> Comparison {
    let difference = Difference { from, to };
    // What was set aside for it is needed to tell what the bar or the ground has to do with it.
    let whole = to.sheet().filter(|sheet| !sheet.aside.is_empty()).map(Setup::whole);
    let as_read = Difference { from, to: whole.as_deref().map_or(to, |whole| to.with_sheet(whole)) };
    let common_shift = floor::common_shift(&as_read);
    let instruments = instruments::instruments(&difference);
    let differing = differing::differing(&difference);
    let changes = measures::changes(&difference, &differing, common_shift.as_ref());
    let mut comparison = Comparison {
        derived: Vec::new(),
        clearances: Vec::new(),
        slack: Vec::new(),
        spacers: spacers::shift(&difference),
        not_decided: undecided::records(&difference),
        parts: texts::parts(&difference),
        marks: marks::changes(&difference),
        contradictions: Vec::new(),
        damages: marks::damages(&difference),
        torque: torques::changes(&difference),
        opened: marks::opened(&difference),
        first_read: Vec::new(),
        read_otherwise: instruments::read_otherwise(from.catalogue(), &differing, &instruments),
        instruments,
        tightened: Vec::new(),
        notes: texts::notes(&difference),
        besides: Vec::new(),
        read_before_the_roll: read_before::left(&difference),
        read_before_the_reach: bite_before::left(&difference, &changes),
        changes,
        was_read_before_the_roll: read_before::was(&difference),
        unread_ground: match common_shift {
            Some(_) => UnreadGround::default(),
            None => unread_ground::unread_ground(&as_read),
        },
        common_shift,
        unknown_roll: whole.is_some().then(|| unknown_roll(&as_read)).flatten(),
        replaced: to.sheet().and_then(|sheet| found_replaced(&from, sheet)),
        narrower: match to.sheet() {
            Some(sheet) => sawn::narrower(&from, sheet),
            None => sawn::cut_since(&difference),
        },
        taken_for_granted: saddle::granted(&difference).into_iter().collect(),
        not_looked_at: Vec::new(),
        looked_at: to.sheet().map_or(0, |sheet| looked_at(&from, sheet)),
        partial: to.sheet().is_some(),
    };
    if comparison.partial {
        comparison.first_read = first_read::first_read(&from, &comparison.changes);
    }
    comparison.besides = besides::besides(&difference, &differing, &comparison.torque, &comparison.marks);
    // Where a control stands that turned along is told by what it turned along with.
    let is_aside = |id: &MeasureId| to.sheet().is_some_and(|sheet| sheet.aside.contains_key(id));
    let is_told =
        |one: &NotLookedAt| is_aside(&one.id) || comparison.changes.iter().any(|change| change.id == one.id);
    let left = not_looked_at(&to);
    comparison.not_looked_at = left.into_iter().filter(|one| !is_told(one)).collect();
    comparison.review_torques(&to);
    comparison
}
