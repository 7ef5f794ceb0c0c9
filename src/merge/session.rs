//! What all readings of one session share: whose day and whose floor the merged file has, and which of two readings
//! that agree within reading is the better one.

use std::cmp::Ordering;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::{Difference, Level, State};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Recorded, Value};
use crate::setup::syntax::Node;
use crate::setup::undecided::SIDES;

use super::tree::{is_same, is_same_of_another_day, is_same_undated};
use super::version::{Version, reading};

/// What stands between two sources of one day's readings.
const BETWEEN_SOURCES: &str = "; ";

/// Whose version stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Ours.
    Ours,
    /// Theirs.
    Theirs,
    /// The newer of two that agree within reading.
    Newer(Side),
    /// Neither: both are shown.
    Apart,
}

/// One of the two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Ours.
    Ours,
    /// Theirs.
    Theirs,
}

impl Choice {
    /// The side whose version stays; none where neither does.
    pub const fn side(self) -> Option<Side> {
        match self {
            Choice::Ours | Choice::Newer(Side::Ours) => Some(Side::Ours),
            Choice::Theirs | Choice::Newer(Side::Theirs) => Some(Side::Theirs),
            Choice::Apart => None,
        }
    }
}

impl Side {
    /// The other one.
    pub const fn other(self) -> Side {
        match self {
            Side::Ours => Side::Theirs,
            Side::Theirs => Side::Ours,
        }
    }

    /// Its word in a `conflict`.
    pub const fn word(self) -> &'static str {
        SIDES[self.place()]
    }

    /// Where it stands where ours is first.
    pub const fn place(self) -> usize {
        match self {
            Side::Ours => 0,
            Side::Theirs => 1,
        }
    }
}

/// The three versions.
#[derive(Clone, Copy)]
pub struct Three<'a> {
    pub catalogue: &'a Catalogue,
    pub base: Option<&'a Version>,
    pub ours: &'a Version,
    pub theirs: &'a Version,
}

impl<'a> Three<'a> {
    /// The version of a side.
    pub fn version(&self, side: Side) -> &'a Version {
        match side {
            Side::Ours => self.ours,
            Side::Theirs => self.theirs,
        }
    }

    /// Whether the floor that a side added would come under angles that the other read later, and does not say on what ground.
    pub fn is_floor_under_others(&self, side: Side) -> bool {
        let (own, other) = (self.version(side), self.version(side.other()));
        let is_added = own.floor().is_some()
            && other.floor().is_none()
            && self.base.is_none_or(|base| base.floor().is_none() && base.day() != other.day());
        let is_earlier = own.day().zip(other.day()).is_some_and(|(own, other)| own < other);
        is_added && is_earlier && other.has_gravity(self.catalogue, &other.root)
    }

    /// Whether ours is what the base had.
    pub fn ours_is_base(&self, base: Option<&Node>, ours: Option<&Node>) -> bool {
        same(self.base, base, self.ours, ours)
    }

    /// Whether theirs is what the base had.
    pub fn theirs_is_base(&self, base: Option<&Node>, theirs: Option<&Node>) -> bool {
        same(self.base, base, self.theirs, theirs)
    }

    /// Whether both sides have the same.
    pub fn is_agreed(&self, ours: Option<&Node>, theirs: Option<&Node>) -> bool {
        same(Some(self.ours), ours, self.theirs, theirs)
    }

    /// Whose version of a node without a block stays.
    pub fn choose(&self, base: Option<&Node>, ours: &Node, theirs: &Node) -> Choice {
        if self.is_agreed(Some(ours), Some(theirs)) {
            Choice::Ours
        } else if is_same_of_another_day((self.ours, ours), (self.theirs, theirs)) {
            self.of_which_day(base, ours, theirs)
        } else if self.theirs_is_base(base, Some(theirs)) {
            if self.is_overtaken(Side::Ours, ours, theirs) { Choice::Apart } else { Choice::Ours }
        } else if self.ours_is_base(base, Some(ours)) {
            if self.is_overtaken(Side::Theirs, theirs, ours) { Choice::Apart } else { Choice::Theirs }
        } else if &*ours.name == "measured" {
            self.later_session(ours, theirs)
        } else {
            self.newer_within_reading(ours, theirs)
        }
    }

    /// Of one thing that both sides say, each of its day, the day it had gives way to another, and of two others the later stays.
    fn of_which_day(&self, base: Option<&Node>, ours: &Node, theirs: &Node) -> Choice {
        let is_later = self.ours.day_of(ours) > self.theirs.day_of(theirs);
        match self.dated_alone(base, ours, theirs) {
            Some(Side::Ours) => Choice::Ours,
            Some(Side::Theirs) => Choice::Theirs,
            None => Choice::Newer(if is_later { Side::Ours } else { Side::Theirs }),
        }
    }

    /// The side that alone gave what both have as the base had it another day, be it by the head of its file: left standing
    /// under that, it was seen again.
    pub fn dated_alone(&self, base: Option<&Node>, ours: &Node, theirs: &Node) -> Option<Side> {
        let (version, node) = self.base.zip(base)?;
        let sides = [(Side::Ours, ours), (Side::Theirs, theirs)];
        let is_one = |(side, own): (Side, &Node)| is_same_undated((version, node), (self.version(side), own));
        if !sides.into_iter().all(is_one) {
            return None;
        }
        let moved = |(side, own): &(Side, &Node)| self.version(*side).day_of(own) != version.day_of(node);
        let mut moved = sides.into_iter().filter(moved).map(|(side, _)| side);
        moved.next().filter(|_| moved.next().is_none())
    }

    /// Whether a reading that one side changed is older than a session of the other, by which it stands elsewhere: of the
    /// two nobody but who reads again knows which is true today.
    fn is_overtaken(&self, side: Side, changed: &Node, left: &Node) -> bool {
        let (version, other) = (self.version(side), self.version(side.other()));
        let holds = |version: &Version, node: &Node| {
            let mut measures = version.measures(node).peekable();
            measures.peek().is_some() && measures.all(|(_, recorded)| recorded.value != Value::Unmeasured)
        };
        let (ours, theirs) = if side == Side::Ours { (changed, left) } else { (left, changed) };
        version.day_of(changed).is_some_and(|read| self.is_newer_session(side.other(), left, Some(read)))
            && holds(version, changed)
            && holds(other, left)
            && self.newer_within_reading(ours, theirs) == Choice::Apart
    }

    /// Whether a side was measured anew, and what it says there is of a later day.
    pub fn is_newer_session(&self, side: Side, node: &Node, day: Option<NaiveDate>) -> bool {
        let version = self.version(side);
        let is_new = self.base.is_some_and(|base| base.day() != version.day());
        is_new && version.day_of(node) > day
    }

    /// Both sources of two sessions on one day, each named once; none if it is one session, or two days.
    pub fn both_sources(&self) -> Option<String> {
        let (ours, theirs) = (self.ours.setup.measured.as_ref()?, self.theirs.setup.measured.as_ref()?);
        let (mine, yours) = (ours.by.as_deref()?, theirs.by.as_deref()?);
        if ours.date != theirs.date || mine == yours {
            return None;
        }
        // In a fixed order, so that it is the same from either side.
        let (first, second) = if mine <= yours { (mine, yours) } else { (yours, mine) };
        let mut sources: Vec<&str> = Vec::new();
        for source in first.split(BETWEEN_SOURCES).chain(second.split(BETWEEN_SOURCES)) {
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
        Some(sources.join(BETWEEN_SOURCES))
    }

    /// The later session gives the file its day; of two on one day, a fixed one.
    fn later_session(&self, ours: &Node, theirs: &Node) -> Choice {
        let by_text = || self.ours.plain_text(ours, "\n").cmp(&self.theirs.plain_text(theirs, "\n"));
        match self.ours.day().cmp(&self.theirs.day()).then_with(by_text) {
            Ordering::Less => Choice::Theirs,
            Ordering::Equal | Ordering::Greater => Choice::Ours,
        }
    }

    /// Of two that agree within reading the newer one, of one day the finer one.
    pub fn newer_within_reading(&self, ours: &Node, theirs: &Node) -> Choice {
        let mine: Vec<(&MeasureId, &Recorded)> = self.ours.measures(ours).collect();
        let yours: Vec<(&MeasureId, &Recorded)> = self.theirs.measures(theirs).collect();
        let alike = mine.iter().map(|(id, _)| id).eq(yours.iter().map(|(id, _)| id));
        if mine.is_empty() || !alike {
            return Choice::Apart;
        }
        let state = |version: &'a Version| State::recorded(self.catalogue, &version.setup);
        let difference = Difference { from: state(self.ours), to: state(self.theirs) };
        let mut equal = true;
        for (id, _) in &mine {
            let (propagated, _) = difference.propagate(&Level(id));
            let Some(output) = propagated.output(0) else { return Choice::Apart };
            match judge(output.value, output.expanded_uncertainty()) {
                Verdict::Same => {}
                Verdict::WithinReading => equal = false,
                _ => return Choice::Apart,
            }
        }
        let day = self.ours.day_of(ours).cmp(&self.theirs.day_of(theirs));
        let finer = || half_width(&yours).total_cmp(&half_width(&mine));
        let order = match day.then_with(finer) {
            // The same number on the same day, written in two ways: which one does not matter, only that it is
            // the same one from either side.
            Ordering::Equal if equal => {
                ours.whole.text(&self.ours.text).cmp(theirs.whole.text(&self.theirs.text))
            }
            order => order,
        };
        match order {
            Ordering::Greater => Choice::Newer(Side::Ours),
            Ordering::Less => Choice::Newer(Side::Theirs),
            Ordering::Equal if equal => Choice::Newer(Side::Ours),
            Ordering::Equal => Choice::Apart,
        }
    }
}

fn half_width(measures: &[(&MeasureId, &Recorded)]) -> f64 {
    let widths = measures.iter().filter_map(|(_, recorded)| Some(reading(&recorded.value)?.half_width()));
    widths.fold(0.0, f64::max)
}

fn same(
    one_version: Option<&Version>,
    one: Option<&Node>,
    other_version: &Version,
    other: Option<&Node>,
) -> bool {
    match (one_version.zip(one), other) {
        (Some((version, one)), Some(other)) => is_same((version, one), (other_version, other)),
        (None, None) => true,
        _ => false,
    }
}
