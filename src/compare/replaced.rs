//! Which parts a changed setup no longer has, or a sheet shows to be others: their figures in the file are then those of
//! a part that is gone, every joint that holds one was opened, and a line drawn on one tells nothing.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::joint::{self, JOINTS};
use crate::catalogue::table::{BAR_SUPPLIED_WIDTH, BAR_WIDTH};
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Side};
use crate::check::damage;
use crate::geometry::state::{Difference, State};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, Note, Setup, Value};
use crate::setup::torque::Torque;
use crate::torque::old_part;

use super::measures::{self, Change};
use super::sawn;

/// A thousandth of a millimetre or degree is what writing a figure down may cost.
const ALIKE: f64 = 1e-3;

/// The parts that are not those on the bike now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Replaced {
    /// By their group: `stem`, `bar`.
    pub parts: Vec<&'static str>,
    /// The parts that are turned over: still the same, with the same limits, but they were off the bike.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub turned_over: Vec<&'static str>,
    /// The joints whose recorded torque was a figure of theirs.
    pub torques: Vec<String>,
    /// The marks that were drawn on them.
    pub marks: Vec<String>,
    /// The damage that the file notes of them, in words: it goes with them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub damage: Vec<String>,
    /// The notes that tell of that.
    #[serde(skip)]
    pub notes: Vec<Note>,
    /// Every joint of the bike that holds one of them.
    #[serde(skip)]
    pub joints: Vec<String>,
    /// Their figures that differ.
    #[serde(skip)]
    pub figures: Vec<MeasureId>,
}

impl Replaced {
    /// The parts in words: "stem and bar".
    pub fn words(&self) -> String {
        self.parts.join(" and ")
    }

    /// Whether one of these measures is a figure of theirs.
    pub fn has_one_of(&self, measures: &[&MeasureId]) -> bool {
        measures.iter().any(|id| self.figures.contains(id))
    }

    /// What was found, for the reason of a step: "another stem is on the bike", "the stem is turned over".
    pub fn found(&self) -> String {
        self.told("is on the bike", "is turned over")
    }

    /// What happened to them: "another stem was fitted", "the stem was turned over".
    pub fn came_off(&self) -> String {
        self.told("was fitted", "was turned over")
    }

    fn told(&self, another_is: &str, same_is: &str) -> String {
        let another = (!self.parts.is_empty()).then(|| format!("another {} {another_is}", self.words()));
        let over = (!self.turned_over.is_empty())
            .then(|| format!("the {} {same_is}", self.turned_over.join(" and ")));
        another.into_iter().chain(over).collect::<Vec<_>>().join("; ")
    }

    /// What a file has to note that is written so.
    pub fn note(&self) -> String {
        if self.parts.is_empty() {
            return format!(
                "The {} is to be turned over, for which it comes off the bike.",
                self.turned_over.join(" and ")
            );
        }
        let limits =
            format!("Material and torque limits of the replaced {} are not the new maker's.", self.words());
        self.gone_with_them().map_or(limits.clone(), |gone| format!("{limits} {gone}"))
    }

    /// That the damage noted on the old parts is not the new ones'.
    pub fn gone_with_them(&self) -> Option<String> {
        let noted = self.damage.join("; ");
        (!noted.is_empty()).then(|| format!("What was noted of damage goes with the replaced part: {noted}."))
    }

    /// Takes the notes on damage of the old parts out of a setup that has others.
    pub fn take_notes_out(&self, setup: &mut Setup) {
        setup.notes.retain(|note| !self.notes.contains(note));
    }

    /// What stands in place of where a mark was drawn, in such a file.
    pub fn no_line(&self, was: Option<&str>) -> String {
        let was = was.map(|was| format!(" (was drawn {was})")).unwrap_or_default();
        let line = if self.parts.is_empty() {
            format!("line from before the {} was turned over", self.turned_over.join(" and "))
        } else {
            format!("line of the replaced {}", self.words())
        };
        format!("{line}{was}: no evidence until drawn again")
    }

    /// What has to stand at each of [`Replaced::torques`] in such a file.
    pub fn caution(&self) -> String {
        old_part::caution(&self.words())
    }
}

/// What becomes of a part whose figure gets smaller and that a saw can shorten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shorter {
    /// It is cut.
    Sawn,
    /// It is another one.
    Another,
}

/// What `then` has other parts for than `now`, and what it has turned over; none if it is put together from what is on
/// the bike as it is.
pub fn replaced(catalogue: &Catalogue, now: &Setup, then: &Setup, shorter: Shorter) -> Option<Replaced> {
    let ids: BTreeSet<&MeasureId> = now.readings.keys().chain(then.readings.keys()).collect();
    let is_anothers = |id: &MeasureId| is_of_another_part(catalogue, id, now, then, shorter);
    let figures =
        ids.into_iter().filter(|id| is_anothers(id) || is_to_be_turned_over(catalogue, id, now, then));
    let mut found = with_figures(catalogue, now, figures.cloned().collect(), is_anothers)?;
    let noted = damage::of_parts(now, &found.parts);
    (found.notes, found.damage) = noted.into_iter().map(|(note, words)| (note.clone(), words)).unzip();
    Some(found)
}

/// The parts of a recorded setup that a sheet shows to be others, by what it reads beyond reading, and those that it
/// shows turned over: their joints were opened, too. A bar found narrower may be the same one, cut.
pub fn found_replaced(recorded: &State, sheet: &Setup) -> Option<Replaced> {
    let difference = Difference { from: *recorded, to: recorded.found(sheet, None) };
    let catalogue = recorded.catalogue();
    let is_another = |id: &&MeasureId| {
        let measure = catalogue.measure(id.row);
        let cut = measure.held_by == HeldBy::Cutting;
        // A narrower bar that was supplied no wider is not the recorded one, which has lost nothing so far.
        if id.row == BAR_SUPPLIED_WIDTH && sawn::narrowed(&difference).is_some() {
            return sawn::supplied(&difference) == Some(Verdict::Moved);
        }
        if !(measure.is_of_the_part() || cut) {
            return false;
        }
        // A figure that cannot move is called corrected; on a sheet it is more safely another part's.
        let differs = |change: &Change| matches!(change.verdict, Verdict::Moved | Verdict::Corrected);
        let change = measures::change(&difference, id, None, false).filter(differs);
        change.is_some_and(|change| !cut || change.delta.is_some_and(|delta| delta > 0.0))
    };
    let figures = sheet.readings.keys().filter(is_another).cloned().collect();
    with_figures(catalogue, recorded.setup(), figures, |id| !is_turned_over(&difference, id))
}

/// Whether a sheet reads a measure beyond reading from where it was recorded.
pub fn found_moved(recorded: &State, sheet: &Setup, id: &MeasureId) -> bool {
    let difference = Difference { from: *recorded, to: recorded.found(sheet, None) };
    measures::change(&difference, id, None, false).is_some_and(|change| change.verdict == Verdict::Moved)
}

/// Whether a figure has but changed its sign, within reading.
fn is_turned_over(difference: &Difference, id: &MeasureId) -> bool {
    let (Some(was), Some(now)) = (difference.from.number(id), difference.to.number(id)) else { return false };
    let apart = was.value().abs() - now.value().abs();
    let doubt = was.expanded_uncertainty().hypot(now.expanded_uncertainty());
    was.value() * now.value() < 0.0 && judge(apart, doubt) != Verdict::Moved
}

/// What goes with the parts whose figures these are; none if no joint's maker's limit is theirs. Where none of a part's
/// figures is another's, it is the same part turned over.
fn with_figures(
    catalogue: &Catalogue,
    now: &Setup,
    figures: Vec<MeasureId>,
    is_anothers: impl Fn(&MeasureId) -> bool,
) -> Option<Replaced> {
    let is_limiting = |part: &str| JOINTS.iter().any(|joint| joint.limited_by.contains(&part));
    let part = |id: &MeasureId| catalogue.measure(id.row).part();
    // A part whose maker limits no torque leaves none behind that is not the new one's.
    let limiting = || figures.iter().filter(|id| is_limiting(part(id)));
    let places: BTreeSet<(&'static str, Option<Side>)> =
        limiting().map(|id| (part(id), id.subject.side)).collect();
    let mut parts: Vec<&'static str> = limiting().filter(|id| is_anothers(id)).map(part).collect();
    parts.dedup();
    let mut turned_over: Vec<&'static str> =
        limiting().map(part).filter(|part| !parts.contains(part)).collect();
    turned_over.dedup();
    if places.is_empty() {
        return None;
    }
    let is_anothers_joint = |name: &str| {
        let limited_by = joint::find(name).map_or(&[][..], |(_, joint)| joint.limited_by);
        limited_by.iter().any(|part| parts.contains(part))
    };
    let holds_one = |name: &str| {
        let side = name.split_once('.').and_then(|(side, _)| Side::parse(side));
        let is_here = |on: Option<Side>| on.is_none() || side.is_none() || on == side;
        let limited_by = joint::find(name).map_or(&[][..], |(_, joint)| joint.limited_by);
        places.iter().any(|(part, on)| limited_by.contains(part) && is_here(*on))
    };
    let is_theirs = |torque: &&Torque| {
        let ceiling = |part: &&str| torque.ceilings.iter().any(|ceiling| ceiling.part.value == **part);
        holds_one(&torque.joint.value) && is_anothers_joint(&torque.joint.value) || parts.iter().any(ceiling)
    };
    let torques = now.torques.iter().filter(is_theirs).map(|torque| torque.joint.value.clone()).collect();
    let crosses_one = |mark: &&Mark| mark.on.as_ref().is_some_and(|on| holds_one(&on.value));
    let marks = now.marks.iter().filter(crosses_one).map(|mark| mark.name.value.clone()).collect();
    let joints =
        joint::names().iter().filter(|name| holds_one(name) && now.has_joint(name)).cloned().collect();
    let (damage, notes) = (Vec::new(), Vec::new());
    Some(Replaced { parts, turned_over, torques, marks, damage, notes, joints, figures })
}

/// Whether a figure differs that only another part can have otherwise. A part turned over, which changes a sign, is
/// the same part.
fn is_of_another_part(
    catalogue: &Catalogue,
    id: &MeasureId,
    now: &Setup,
    then: &Setup,
    shorter: Shorter,
) -> bool {
    let measure = catalogue.measure(id.row);
    let cut = measure.held_by == HeldBy::Cutting;
    if id.row == BAR_SUPPLIED_WIDTH {
        let widths = as_supplied(now).zip(as_supplied(then));
        return widths.is_some_and(|(was, is)| (was - is).abs() > ALIKE);
    }
    if !measure.is_of_the_part() && !cut {
        return false;
    }
    match (held(now, id), held(then, id)) {
        (Some(Value::Reading(was)), Some(Value::Reading(is))) => {
            let (was, is) = (was.value().abs(), is.value().abs());
            let differs = (was - is).abs() > ALIKE;
            differs && !(cut && is < was && shorter == Shorter::Sawn)
        }
        (Some(Value::Choice(was)), Some(Value::Choice(is))) => was != is,
        (was, is) => was.is_some() != is.is_some(),
    }
}

/// How wide the bar was before any saw: what is not recorded as cut was not. A saw alone leaves it as it is.
fn as_supplied(setup: &Setup) -> Option<f64> {
    let width = |row| setup.value(&MeasureId::bike(row));
    width(BAR_SUPPLIED_WIDTH).or_else(|| width(BAR_WIDTH))
}

/// Whether a figure of a part only changes its sign.
fn is_to_be_turned_over(catalogue: &Catalogue, id: &MeasureId, now: &Setup, then: &Setup) -> bool {
    let (Some(was), Some(is)) = (now.value(id), then.value(id)) else { return false };
    catalogue.measure(id.row).is_of_the_part() && was * is < 0.0 && (was + is).abs() <= ALIKE
}

/// The value, if it is known.
fn held<'s>(setup: &'s Setup, id: &MeasureId) -> Option<&'s Value> {
    setup.recorded(id).map(|recorded| &recorded.value).filter(|value| **value != Value::Unmeasured)
}
