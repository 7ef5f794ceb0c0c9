//! What if: a setup with some measures changed, and what follows from it, before anybody loosens a bolt.
//!
//! The changed values are taken as exact; what goes along with them (a lever's points when it is turned, the levers
//! when the bar is rolled) is worked out first. Knows nothing of files and screens.

mod carried;
mod change;
mod crooked;
mod keep;
mod lacking;
mod mind;
mod number;
mod opened;
mod refusal;
mod said;
mod slides;
mod steerer;
mod taken_over;
mod turned;

use std::collections::BTreeSet;

use serde::Serialize;

pub use carried::take_along;
pub use change::{Asked, To, measure, put, worked_out};
pub use crooked::crooked;
pub use keep::Wish;
pub use lacking::points_left_where_they_are;
pub use opened::{NotTightened, Opens, ToTighten, opens};
pub use refusal::Refusal;
pub use said::{Said, SaidAccepted, SaidOfBoth, SaidStill, a_fault_stands, said};
pub use slides::{Slides, to_be_set};
pub use steerer::{NearPile, SteererChange, USUAL_SPACERS};
pub use taken_over::{TOP_CAP, TakenOver};
pub use turned::{ControlChange, HoseChange};

pub use crate::compare::{CUT_CARBON, Sawn};
use mind::Minded;

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::compare::{Comparison, DerivedChange, Held, OnBar, Replaced, Shorter, compare, replaced};
use crate::geometry::grips::Missing;
use crate::geometry::state::{Difference, State};
use crate::metrology::{NEGLIGIBLE, show};
use crate::setup::model::{Setup, Value};

/// How far a bar is rolled either way from its maker's line, degrees: common practice, no source.
pub const ROLL: f64 = 10.0;

/// One measure that becomes another.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MeasureChange {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What it was.
    pub was: Option<Held>,
    /// What it becomes.
    pub now: Option<Held>,
    /// Now minus was.
    pub delta: Option<f64>,
    /// The unit.
    pub unit: &'static str,
    /// The change in a word: "longer".
    pub direction: Option<&'static str>,
    /// By how much a control turns on the bar, where that is rolled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on_bar: Option<TurnedOnBar>,
}

/// How a control turns on a bar that itself is rolled.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TurnedOnBar {
    /// By how much, in degrees.
    pub delta: f64,
    /// Which way: "tip up".
    pub direction: &'static str,
}

/// What was asked to stay, and what gave way.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Kept {
    /// The derived value that stays.
    pub keep: &'static str,
    /// The measure that gave way.
    pub by: String,
    /// What it becomes.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Where spacers give way and no usual ones are so high: the next piles.
    pub near: Vec<NearPile>,
}

/// A tried change and what follows.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Trial {
    /// The measures as asked for.
    pub changes: Vec<MeasureChange>,
    /// What was solved for.
    pub kept: Option<Kept>,
    /// That a stem was asked to stand out of square to the wheel.
    pub twisted: Option<String>,
    /// What becomes of the pile on the steerer, if it does not stay as high as it is.
    pub steerer: Option<SteererChange>,
    /// The parts that are not those on the bike now.
    pub replaced: Option<Replaced>,
    /// The figures of replaced parts that count for the new ones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_over: Option<TakenOver>,
    /// What a saw moves, where the bar is cut.
    #[serde(skip)]
    pub sawn: Option<Sawn>,
    /// What goes along with them.
    pub carried: Vec<MeasureChange>,
    /// The derived values.
    pub derived: Vec<DerivedChange>,
    /// Those that rest on what is changed and cannot be computed even so.
    pub missing: Vec<Missing>,
    /// What `check` would say that it does not say now.
    pub appears: Vec<Said>,
    /// What keeps anybody from riding and stands already.
    pub stands: Vec<SaidStill>,
    /// What else it would say in other words than now.
    pub otherwise: Vec<SaidStill>,
    /// What it would find, too, and the file accepts.
    pub accepted: Vec<SaidAccepted>,
    /// What nobody is to ride with, stands already, and the file accepts.
    pub stands_accepted: Vec<SaidAccepted>,
    /// What it would no longer say.
    pub disappears: Vec<Said>,
    /// Each control against the top tube.
    pub controls: Vec<ControlChange>,
    /// Each hose.
    pub hoses: Vec<HoseChange>,
    /// What it opens, and what is then to be checked.
    pub opens: Opens,
    /// What to bear in mind.
    pub notes: Vec<String>,
    /// The setup with the changes.
    #[serde(skip)]
    pub setup: Setup,
    /// The measures that differ in it.
    #[serde(skip)]
    pub differing: Vec<MeasureId>,
}

impl Trial {
    /// Whether the spacers were to give way, and no usual ones make the height that was worked out.
    pub fn is_piled_by_nobody(&self) -> bool {
        self.kept.as_ref().is_some_and(|kept| !kept.near.is_empty())
    }

    /// Whether it brings something unsafe: a twisted stem, one over the steerer's end, a loose headset, a fault, a contact or a hose
    /// that goes tight, or what else nobody is to ride with; or leaves one that stands already.
    pub fn is_worse(&self) -> bool {
        if self.twisted.is_some() || self.steerer.as_ref().is_some_and(SteererChange::is_unsafe) {
            return true;
        }
        let accepted = self.accepted.iter().chain(&self.stands_accepted);
        !self.stands.is_empty()
            || accepted.into_iter().any(|one| one.stands)
            || self.appears.iter().any(Said::is_to_act_on)
            || self.controls.iter().any(ControlChange::is_worse)
            || self.hoses.iter().any(HoseChange::is_worse)
    }
}

/// Tries changes on a setup; with a wish, one more measure gives way so that a derived value stays.
pub fn try_changes(
    catalogue: &Catalogue,
    setup: &Setup,
    asked: &[Asked],
    wish: Option<&Wish>,
) -> Result<Trial, Refusal> {
    let mut asked = asked.to_vec();
    let mut changed = setup.clone();
    let mut ids = BTreeSet::new();
    for one in &asked {
        if !ids.insert(one.id.clone()) {
            let path = catalogue.path(&one.id);
            return Err(Refusal::new(format!("`{path}` is changed twice."), "Say it once."));
        }
        change::apply(catalogue, &mut changed, one)?;
    }
    let mut kept = None;
    if let Some(wish) = wish {
        let solved = solve(catalogue, setup, &changed, wish, &ids)?;
        change::apply(catalogue, &mut changed, &solved.0)?;
        ids.insert(wish.by.clone());
        asked.push(solved.0);
        kept = Some(solved.1);
    }
    let mut notes: Vec<String> =
        asked.iter().filter_map(|one| change::step_in_words(catalogue, setup, one)).collect();
    notes.extend(too_far(setup, &changed, &ids, wish));
    notes.extend(Minded { catalogue, was: setup, now: &changed, asked: &ids }.notes());
    if carried::take_along(catalogue, setup, &mut changed, &ids).is_none() {
        notes.push(lacking::left_where_they_are(catalogue, setup, &changed));
    }
    notes.extend(carried::left_where_they_are(setup, &ids));
    Ok(follow(catalogue, setup, changed, &ids, kept, notes))
}

/// That a bar would be rolled further than anybody rolls one.
fn too_far(setup: &Setup, changed: &Setup, ids: &BTreeSet<MeasureId>, wish: Option<&Wish>) -> Option<String> {
    let roll = MeasureId::bike(BAR_ROLL);
    let value = changed.value(&roll).filter(|_| ids.contains(&roll))?;
    let words = rolled_too_far(setup.value(&roll), value)?;
    let gives_way = wish.is_some_and(|wish| wish.by == roll);
    Some(if gives_way { format!("{words} Let another measure give way.") } else { words })
}

/// The same of a bar at that roll, degrees, that `stands` at another now; none if it was rolled as far before.
pub fn rolled_too_far(stands: Option<f64>, roll: f64) -> Option<String> {
    let is_far = roll.abs() > ROLL.max(stands.unwrap_or(0.0).abs()) + NEGLIGIBLE;
    is_far.then(|| {
        format!(
            "Rolled to {}° the bar lies as nobody rides it: `carry` rolls one no further than {ROLL}° either way unless a box \
             says so (common practice, no source), for sweep and grips then point elsewhere.",
            show::typed(roll, 1)
        )
    })
}

fn solve(
    catalogue: &Catalogue,
    setup: &Setup,
    changed: &Setup,
    wish: &Wish,
    ids: &BTreeSet<MeasureId>,
) -> Result<(Asked, Kept), Refusal> {
    let path = catalogue.path(&wish.by);
    if ids.contains(&wish.by) {
        let message = format!("`{path}` is both changed and asked to give way.");
        return Err(Refusal::new(message, "Leave one of the two out."));
    }
    let mut ids = ids.clone();
    ids.insert(wish.by.clone());
    let attempt = keep::Attempt { catalogue, was: setup, changed, ids, wish };
    let number = keep::solve(&attempt)?;
    let not_written = || Refusal::new(format!("`{path}` cannot become {number}."), "Name another measure.");
    let written = change::worked_out(catalogue, changed, &wish.by, number, 0.0).ok_or_else(not_written)?;
    let value = written.value();
    let to =
        To::Value { number: written.written_mean(), digits: written.digits().concat(), unit: written.unit() };
    let unit = catalogue.measure(wish.by.row).unit().word();
    let kept = Kept { keep: wish.keep.name, by: path, value, unit, near: keep::near(&attempt, value) };
    Ok((Asked { id: wish.by.clone(), to }, kept))
}

fn follow(
    catalogue: &Catalogue,
    setup: &Setup,
    mut changed: Setup,
    asked: &BTreeSet<MeasureId>,
    kept: Option<Kept>,
    notes: Vec<String>,
) -> Trial {
    let replaced = replaced(catalogue, setup, &changed, Shorter::Sawn);
    if let Some(replaced) = &replaced {
        replaced.take_notes_out(&mut changed);
    }
    let sawn = Sawn::of(setup, &changed, replaced.as_ref());
    if let Some(sawn) = &sawn {
        sawn.shift_lines(catalogue, &mut changed);
    }
    let (from, to) = (State::recorded(catalogue, setup), State::recorded(catalogue, &changed));
    let differs = |id: &&MeasureId| {
        setup.recorded(id).map(|was| &was.value) != changed.recorded(id).map(|now| &now.value)
    };
    let differing: Vec<MeasureId> = changed.readings.keys().filter(differs).cloned().collect();
    let change = |id: &MeasureId| measure_change(&from, &to, id);
    let SaidOfBoth { appears, stands, otherwise, accepted, stands_accepted, disappears } =
        said(catalogue, setup, &changed).but_of_lines_that_are_gone(replaced.as_ref());
    let (controls, hoses) = turned::turned(&from, &to);
    let to_change = to_be_set(catalogue, setup, &changed, asked);
    let opens = opened::opens(catalogue, &changed, &to_change, replaced.as_ref(), sawn.as_ref());
    let crooked = crooked::as_it_stands(catalogue, &changed, asked, &opens.joints);
    let taken_over = TakenOver::of(catalogue, setup, asked, replaced.as_ref());
    let changes = asked.iter().map(change).collect();
    let carried = differing.iter().filter(|id| !asked.contains(id)).map(change).collect();
    let twisted = crooked::twisted(catalogue, &changed, asked);
    let (steerer, missing) = (steerer::steerer(&from, &to), lacking::missing(&to, asked));
    let Comparison { derived, taken_for_granted, .. } = compare(from, to);
    let granted = taken_for_granted.into_iter().map(str::to_owned);
    let unread = taken_over.as_ref().map(|taken| taken.unread(catalogue, &mut changed)).unwrap_or_default();
    Trial {
        changes,
        kept,
        twisted,
        steerer,
        missing,
        opens,
        replaced,
        taken_over,
        sawn,
        carried,
        derived,
        appears,
        stands,
        otherwise,
        accepted,
        stands_accepted,
        disappears,
        controls,
        hoses,
        notes: crooked.into_iter().chain(granted).chain(notes).collect(),
        differing: differing.into_iter().chain(unread).collect(),
        setup: changed,
    }
}

fn measure_change(from: &State, to: &State, id: &MeasureId) -> MeasureChange {
    let catalogue = from.catalogue();
    let measure = catalogue.measure(id.row);
    let held = |state: &State| match state.setup().recorded(id).map(|recorded| &recorded.value) {
        Some(Value::Choice(word)) => Some(Held::Word(word)),
        Some(Value::Unmeasured) => Some(Held::Word("unmeasured")),
        Some(Value::Reading(_)) | None => state.value(id).map(Held::Number),
    };
    let delta = to.value(id).zip(from.value(id)).map(|(now, was)| now - was);
    MeasureChange {
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was: held(from),
        now: held(to),
        delta,
        unit: measure.unit().word(),
        direction: delta.filter(|delta| *delta != 0.0).map(|delta| measure.direction(delta)),
        on_bar: turned_on_bar(from, to, id),
    }
}

/// How a control turns on the bar; none where the bar is not rolled, or takes it along.
fn turned_on_bar(from: &State, to: &State, id: &MeasureId) -> Option<TurnedOnBar> {
    let roll = MeasureId::bike(BAR_ROLL);
    let rolled = to.value(&roll)? - from.value(&roll)?;
    if !joint::is_control_angle(id.row) || rolled.abs() < NEGLIGIBLE {
        return None;
    }
    let difference = Difference { from: *from, to: *to };
    let delta = difference.propagate(&OnBar(id)).0.output(0)?.value;
    let direction = from.catalogue().measure(id.row).direction(delta);
    (delta.abs() >= 0.05).then_some(TurnedOnBar { delta, direction })
}
