//! What else the texts say otherwise: what a sheet tells of damage, opened joints, lines and torques, and of a setup what
//! is accepted, how a line looks, how often something was read, and its name.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::geometry::state::Difference;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::setup::model::{Accepted, Damage, Kind, Mark, MarkState, Opened, Setup, Value, seen};

use super::differing::Differing;
use super::{DamageFound, MarkChange, TorqueChange};

/// One thing that is told otherwise, and moved nothing by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Beside {
    /// By what name a file knows it: `damage.bar`, `mark.L1`, the path of a measure.
    pub about: String,
    /// What it is, in plain words: "damage on bar", "mark L1".
    pub what: String,
    /// What was told; none if nothing was.
    pub was: Option<String>,
    /// What is told; none if nothing is.
    pub now: Option<String>,
    /// Whether it tells of damage or of a joint that is open, or no longer does.
    pub grave: bool,
}

impl Beside {
    /// Whether it is damage that was not told before.
    pub fn is_new_damage(&self) -> bool {
        self.was.is_none() && self.about.starts_with(DAMAGE)
    }

    /// Whether it tells now what such damage does.
    pub fn tells_of(&self, damage: &DamageFound) -> bool {
        self.about == of_damage(&damage.on) && self.now.as_ref() == Some(&damage.text)
    }

    /// Whether it is the name of the setup.
    pub fn is_name(&self) -> bool {
        self.about == NAME
    }

    /// "damage on bar: no longer told, was: dent".
    pub fn in_words(&self) -> String {
        match (&self.was, &self.now) {
            (Some(was), Some(now)) => format!("{}: {now}, was {was}", self.what),
            (Some(was), None) => format!("{}: no longer told, was: {was}", self.what),
            (None, now) => format!("{}: told now: {}", self.what, now.as_deref().unwrap_or_default()),
        }
    }
}

const DAMAGE: &str = "damage.";
const NAME: &str = "name";

fn of_damage(on: &str) -> String {
    format!("{DAMAGE}{on}")
}

/// Of new damage what takes no other's place: what is told otherwise is told with what was told before.
pub fn told_first<'c>(
    damages: &'c [DamageFound],
    besides: &'c [Beside],
) -> impl Iterator<Item = &'c DamageFound> {
    let is_otherwise =
        |damage: &DamageFound| besides.iter().any(|one| one.was.is_some() && one.tells_of(damage));
    damages.iter().filter(move |damage| !is_otherwise(damage))
}

/// What stands under one name in a text.
struct Told {
    about: String,
    what: String,
    said: String,
    grave: bool,
    /// When it was seen, if not on the sheet's day.
    seen_on: Option<NaiveDate>,
    /// When it was seen.
    day: Option<NaiveDate>,
}

impl Told {
    fn new(about: impl Into<String>, what: impl Into<String>, said: impl Into<String>) -> Told {
        Told {
            about: about.into(),
            what: what.into(),
            said: said.into(),
            grave: false,
            seen_on: None,
            day: None,
        }
    }

    fn grave(self) -> Told {
        Told { grave: true, ..self }
    }

    /// Whether it says the same of the same day, as far as either says of which: a sheet that is of another day as a whole
    /// tells that once.
    fn is(&self, other: &Told) -> bool {
        let of_one_day = self.day == other.day || self.seen_on.or(other.seen_on).is_none();
        self.about == other.about && self.said == other.said && of_one_day
    }

    /// What it says, with its day if it has one of its own.
    fn in_words(&self) -> String {
        seen(&self.said, self.seen_on)
    }
}

/// What differs between two texts and no list of measures, torques and marks tells; the grave first.
pub fn besides(
    difference: &Difference,
    differing: &[Differing],
    torques: &[TorqueChange],
    marks: &[MarkChange],
) -> Vec<Beside> {
    if difference.to.sheet().is_some() {
        return Vec::new();
    }
    let (from, to) = (difference.from.setup(), difference.to.setup());
    let mut found = if tell_the_same(from, to) { Vec::new() } else { told_otherwise(told(from), told(to)) };
    // What went or came as a whole is told by its own list.
    found.retain(|one| {
        !torques.iter().any(|torque| one.about == of_torque(&torque.joint))
            && !marks.iter().any(|mark| one.about == of_mark(&mark.mark))
    });
    found.extend(readings(difference.from.catalogue(), differing));
    found.sort_by_key(|one| !one.grave);
    found
}

/// Whether all that [`told`] tells stands in both setups alike, and in the same order: so it is with most neighbours.
fn tell_the_same(from: &Setup, to: &Setup) -> bool {
    let opened = |one: &Opened, other: &Opened| one.joint.value == other.joint.value;
    let state = |mark: &Mark| mark.state.as_ref().map(|state| state.value);
    let mark = |one: &Mark, other: &Mark| {
        one.name.value == other.name.value
            && state(one) == state(other)
            && one.colour == other.colour
            && one.width == other.width
    };
    let on = |accepted: &Accepted| accepted.on.as_ref().map(|on| on.value.clone());
    let accepted = |one: &Accepted, other: &Accepted| {
        one.code.value == other.code.value && on(one) == on(other) && one.why.value == other.why.value
    };
    [from.kind, to.kind] == [Kind::Setup; 2]
        && from.name.value == to.name.value
        && are_alike(&from.damages, &to.damages, Damage::is)
        && are_alike(&from.opened, &to.opened, opened)
        && are_alike(&from.marks, &to.marks, mark)
        && are_alike(&from.accepted, &to.accepted, accepted)
}

fn are_alike<T>(one: &[T], other: &[T], alike: impl Fn(&T, &T) -> bool) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| alike(one, other))
}

fn told_otherwise(mut was: Vec<Told>, mut now: Vec<Told>) -> Vec<Beside> {
    was.retain(|one| match now.iter().position(|other| other.is(one)) {
        Some(at) => {
            now.remove(at);
            false
        }
        None => true,
    });
    let mut found = Vec::new();
    for one in was {
        let partner = now.iter().position(|other| other.about == one.about);
        let later = partner.map(|at| now.remove(at));
        let grave = one.grave || later.as_ref().is_some_and(|later| later.grave);
        let (was, later) = (Some(one.in_words()), later.map(|later| later.in_words()));
        found.push(Beside { about: one.about, what: one.what, was, now: later, grave });
    }
    found.extend(now.into_iter().map(|one| Beside {
        was: None,
        now: Some(one.in_words()),
        about: one.about,
        what: one.what,
        grave: one.grave,
    }));
    found
}

fn told(setup: &Setup) -> Vec<Told> {
    let mut told = vec![Told::new(NAME, NAME, setup.name.value.clone())];
    let damages = setup.damages.iter();
    told.extend(damages.map(|damage| {
        let on = &damage.on.value;
        Told::new(of_damage(on), format!("damage on {on}"), &*damage.text.value).grave()
    }));
    let opened = setup.opened.iter();
    told.extend(opened.map(|one| {
        let joint = &one.joint.value;
        let told = Told::new(format!("opened.{joint}"), joint::title(joint), "opened").grave();
        Told { seen_on: one.read, day: setup.day_opened(joint), ..told }
    }));
    told.extend(setup.marks.iter().map(|one| {
        let day = setup.day_seen(&one.name.value);
        Told { seen_on: one.seen_on, day, ..mark(one) }
    }));
    // Of a setup the list of torques tells what was applied.
    if setup.kind == Kind::Found {
        told.extend(setup.torques.iter().filter_map(|torque| {
            let applied = torque.applied.as_ref()?;
            let day = applied.read.map(|day| format!(" on {day}")).unwrap_or_default();
            let said = format!("applied {}{day}", applied.figure.value.said());
            let joint = &torque.joint.value;
            Some(Told::new(of_torque(joint), format!("torque, {}", joint::title(joint)), said))
        }));
    }
    told.extend(setup.accepted.iter().map(accepted));
    told
}

/// What a sheet tells of joints that are open and of torques, as a sheet that is new tells it.
pub fn told_of_joints(sheet: &Setup) -> Vec<Beside> {
    let told = told(sheet).into_iter();
    let told = told.filter(|one| one.about.starts_with("opened.") || one.about.starts_with("torque."));
    let new = |one: Told| Beside {
        was: None,
        now: Some(one.in_words()),
        about: one.about,
        what: one.what,
        grave: one.grave,
    };
    let mut told: Vec<Beside> = told.map(new).collect();
    told.sort_by_key(|one| !one.grave);
    told
}

fn of_torque(joint: &str) -> String {
    format!("torque.{joint}")
}

fn of_mark(name: &str) -> String {
    format!("mark.{name}")
}

fn accepted(accepted: &Accepted) -> Told {
    let code = &accepted.code.value;
    let (about, what) = match &accepted.on {
        Some(on) => (format!("accepted.{code}.{}", on.value), format!("accepted {code} on {}", on.value)),
        None => (format!("accepted.{code}"), format!("accepted {code}")),
    };
    Told::new(about, what, &*accepted.why.value)
}

fn mark(mark: &Mark) -> Told {
    let mut said = Vec::new();
    let mut is_apart = false;
    if let Some(state) = &mark.state {
        is_apart = state.value != MarkState::Aligned;
        said.push(match state.value {
            MarkState::Off(apart) => format!("off {apart} mm"),
            other => other.to_string(),
        });
    }
    said.extend(mark.colour.clone());
    said.extend(mark.width.map(|width| format!("{width} mm wide")));
    let said = if said.is_empty() { "nothing else".to_owned() } else { said.join(", ") };
    let name = &mark.name.value;
    let told = Told::new(of_mark(name), format!("mark {name}"), said);
    if is_apart { told.grave() } else { told }
}

fn is_same_mean(was: &Reading, now: &Reading) -> bool {
    (was.value() - now.value()).abs() < NEGLIGIBLE
}

/// Readings of the same mean from other repeats, and measures newly told to be unmeasured, or no longer.
fn readings(catalogue: &Catalogue, differing: &[Differing]) -> Vec<Beside> {
    let word = |value: &Value| (*value == Value::Unmeasured).then(|| "unmeasured".to_owned());
    let of_measure = |id: &MeasureId, was, now| Beside {
        about: catalogue.path(id),
        what: catalogue.title(id),
        was,
        now,
        grave: false,
    };
    let mut found = Vec::new();
    for one in differing {
        let (was, now) = match (one.was, one.now) {
            (Some(Value::Reading(was)), Some(Value::Reading(now))) if is_same_mean(was, now) => {
                if was.values().len() == now.values().len() {
                    continue;
                }
                let times =
                    |count: usize| format!("read {count} {}", if count == 1 { "time" } else { "times" });
                (Some(times(was.values().len())), Some(times(now.values().len())))
            }
            (None, Some(now)) => (None, word(now)),
            _ => continue,
        };
        if now.is_some() {
            found.push(of_measure(one.id, was, now));
        }
    }
    let gone = differing.iter().filter(|one| one.now.is_none());
    found.extend(gone.filter_map(|one| Some(of_measure(one.id, Some(word(one.was?)?), None))));
    found
}
