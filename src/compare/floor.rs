//! The ground under the bike: a shift that all angles against gravity share is the floor, not the levers.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::catalogue::table::{BAR_ROLL, LEVER_ANGLE};
use crate::catalogue::{Gravity, MeasureId, joint};
use crate::geometry::state::{Consequences, Difference, InputId, Layer, Level, Lookup};
use crate::metrology::COVERAGE_FACTOR;
use crate::metrology::propagate::Number;
use crate::metrology::show::with_uncertainty;
use crate::metrology::verdict::{Verdict, judge};

use super::on_bar::{self, OnBar};

/// What is said of angles that all read otherwise by as much, also in the note that keeps it.
pub const ALL_ALIKE: &str = ", all alike";

/// The fewest angles that can vouch for a common shift.
const FEWEST: usize = 3;

/// Ground that slopes by more than this, in degrees, is not where a bike is measured: 5 in 100; common practice, no source.
const STEEPEST: f64 = 3.0;

/// More rounds than this the search for the angles that agree never takes: each round can only drop or regain a few.
const MOST_ROUNDS: usize = 10;

/// The shift that the angles against gravity share.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CommonShift {
    /// By how much tips point lower, in degrees.
    pub shift: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// Whether it can only be the ground, and is left out of every verdict: not where all the angles that it explains sit
    /// on a bar whose roll nobody looked at.
    pub is_the_ground: bool,
    /// Whether it is more than the ground slopes where a bike is measured, and nobody read the slope on one side: then it
    /// vouches for no brake lever.
    pub is_steep: bool,
    /// Whether the later readings say how their ground slopes: what nobody knows is the ground of the earlier ones.
    pub of_the_earlier: bool,
    /// The angles it explains within reading.
    pub explains: Vec<String>,
    /// The angles that it does not explain.
    pub leaves: Vec<String>,
    #[serde(skip)]
    left_over: BTreeMap<MeasureId, LeftOver>,
}

/// What the shift leaves of one angle's change, in the angle's own sense.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LeftOver {
    /// In degrees.
    pub delta: f64,
    /// Its expanded uncertainty: what the angle and the shift have in common cancels.
    #[serde(rename = "U")]
    pub uncertainty: f64,
}

impl CommonShift {
    /// What it leaves of an angle that was read anew; none for any other measure.
    pub fn left_over(&self, id: &MeasureId) -> Option<LeftOver> {
        self.left_over.get(id).copied().filter(|_| self.is_the_ground)
    }

    /// How far and which way, with its uncertainty: "3.0 ± 0.3° higher".
    pub(super) fn far(&self) -> String {
        let way = if self.shift > 0.0 { "lower" } else { "higher" };
        let (value, expanded) = with_uncertainty(self.shift.abs(), self.uncertainty, 1);
        format!("{value} ± {expanded}° {way}")
    }

    /// The same as a note keeps it.
    pub fn noted(&self) -> String {
        let (far, count) = (self.far(), self.explains.len());
        if self.is_the_ground {
            format!("{count} angles read {far} at tip or nose{ALL_ALIKE}: the ground probably sloped")
        } else {
            format!(
                "{count} angles on the bar read {far} at the tip{ALL_ALIKE}: the bar was rolled, or the ground sloped"
            )
        }
    }

    /// What to make of it.
    pub fn words(&self) -> String {
        let far = self.far();
        let count = self.explains.len();
        if self.is_steep && self.of_the_earlier {
            return format!(
                "{count} angles read {far} at tip or nose, all alike: the ground probably sloped where the file's own were \
                 read, but where a bike is measured it seldom slopes by so much. Find out its slope, and write it in the \
                 file (floor), before a brake lever is taken to be in its place. Below, that shift is taken out of every angle."
            );
        }
        if self.is_steep {
            return format!(
                "{count} angles read {far} at tip or nose, all alike: the ground probably slopes, but where a bike is \
                 measured it seldom slopes by so much. Read the slope (floor) before a brake lever is taken to be in its \
                 place. Below, that shift is taken out of every angle."
            );
        }
        if self.is_the_ground && self.of_the_earlier {
            return format!(
                "{count} angles read {far} at tip or nose, all alike: the ground probably sloped where the file's own were \
                 read, which it does not say. Below, that shift is taken out of every angle."
            );
        }
        if self.is_the_ground {
            return format!(
                "{count} angles read {far} at tip or nose, all alike: the ground probably slopes. \
                 Measure it and write it down (floor). Below, that shift is taken out of every angle."
            );
        }
        format!(
            "{count} angles on the bar read {far} at the tip, all alike: the bar was rolled, or the \
             ground slopes. Read the bar's roll or the ground (floor) before a lever is turned for it."
        )
    }
}

/// One angle read anew, as a tip-down shift.
struct Angle {
    id: MeasureId,
    /// Whether it sits on a bar that was rolled, which is no slope of the ground: then the shift is that on the bar.
    on_bar: bool,
    sign: f64,
    shift: f64,
    standard: f64,
}

/// The common shift, if no floor was recorded on one of the sides at least, three angles or more were read on both,
/// and one shift explains at least three of them and more than half within reading.
pub fn common_shift(difference: &Difference) -> Option<CommonShift> {
    let is_floor_read = difference.from.floor().is_some() && difference.to.floor().is_some();
    if is_floor_read { None } else { shared(difference) }
}

/// The same whether or not the ground was read: then it can only be the bar.
pub fn shared(difference: &Difference) -> Option<CommonShift> {
    let mut angles = angles(difference);
    // What sits on a bar that was let go vouches for no ground: the bar may have brought all of it.
    if on_bar::let_go(&difference.to).is_some() {
        angles.retain(|angle| !joint::is_control_angle(angle.id.row));
    }
    let (found, set) = agreed(difference, &angles)?;
    // Where no angle would be accused there is nothing to explain.
    let accused = set.iter().any(|place| {
        let angle = &angles[*place];
        judge(angle.shift, COVERAGE_FACTOR * angle.standard) == Verdict::Moved
    });
    let is_shift = judge(found.shift, found.uncertainty) == Verdict::Moved;
    if is_roll_known(difference) && is_the_bar_alone(&angles, &set) {
        return None;
    }
    let is_the_ground = stands_off_the_bar(difference, &angles, &set);
    let is_steep = is_the_ground && is_steep(difference, &angles, &set, &found);
    (accused && is_shift).then_some(CommonShift { is_the_ground, is_steep, ..found })
}

/// Whether most angles read as they did, to the level on both sides: then the ground that nobody read was level.
pub(super) fn is_borne_out(difference: &Difference) -> bool {
    let angles = angles(difference);
    let agreed = agreed(difference, &angles);
    agreed.is_some_and(|(found, set)| {
        judge(found.shift, found.uncertainty) != Verdict::Moved
            && stands_off_the_bar(difference, &angles, &set)
    })
}

/// What most angles of controls agree on, whether the ground brought it, the bar or nothing.
pub(super) fn on_the_bar(difference: &Difference) -> Option<CommonShift> {
    let mut angles = angles(difference);
    angles.retain(|angle| joint::is_control_angle(angle.id.row));
    agreed(difference, &angles).map(|(found, _)| found)
}

/// The shift that explains at least three of these and more than half, and the places of those that it explains.
fn agreed(difference: &Difference, angles: &[Angle]) -> Option<(CommonShift, Vec<usize>)> {
    let mut set = first_guess(angles);
    for _ in 0..MOST_ROUNDS {
        if set.len() < FEWEST || set.len() * 2 <= angles.len() {
            return None;
        }
        let (found, explained) = fit(difference, angles, &set)?;
        if explained == set {
            return Some((found, set));
        }
        set = explained;
    }
    None
}

/// Whether something else than a roll of the bar has to be behind a shift of these: one of them is not on the bar, or it is
/// known how the bar stands.
fn stands_off_the_bar(difference: &Difference, angles: &[Angle], set: &[usize]) -> bool {
    let is_off = |place: &usize| !joint::is_control_angle(angles[*place].id.row);
    is_roll_known(difference) || set.iter().any(is_off)
}

/// Whether the later state tells how the bar stands. Two files vouch for the roll that they record.
fn is_roll_known(difference: &Difference) -> bool {
    difference.to.sheet().is_none() || difference.to.layer(&MeasureId::bike(BAR_ROLL)) != Layer::Recorded
}

/// Whether only what sits on the bar shares a shift, and what does not sit there, the saddle, stands as it did: no ground
/// slopes under a bar alone. Of a saddle that reads a third thing nobody knows how the ground was.
fn is_the_bar_alone(angles: &[Angle], set: &[usize]) -> bool {
    let is_on_bar = |angle: &Angle| joint::is_control_angle(angle.id.row);
    let stands = |angle: &Angle| judge(angle.shift, COVERAGE_FACTOR * angle.standard) != Verdict::Moved;
    set.iter().all(|place| is_on_bar(&angles[*place]))
        && angles.iter().any(|angle| !is_on_bar(angle) && stands(angle))
}

/// Whether a sheet or its file leaves the slope unread behind a brake lever, and it is more than ground where a bike is
/// measured.
fn is_steep(difference: &Difference, angles: &[Angle], set: &[usize], shift: &CommonShift) -> bool {
    let floors = [difference.from.floor(), difference.to.floor()];
    let is_unread = difference.to.sheet().is_some() && floors.iter().any(Option::is_none);
    let of_a_brake = |place: &usize| angles[*place].id.row == LEVER_ANGLE;
    is_unread && set.iter().any(of_a_brake) && shift.shift.abs() - shift.uncertainty > STEEPEST
}

/// The angles read anew on both sides. One that a mark tells was not read against gravity.
fn angles(difference: &Difference) -> Vec<Angle> {
    let catalogue = difference.from.catalogue();
    let rolled = on_bar::is_rolled(difference);
    let mut found = Vec::new();
    for id in difference.to.readings() {
        let sign = match catalogue.measure(id.row).gravity {
            Gravity::None => continue,
            Gravity::TipDown => 1.0,
            Gravity::NoseUp => -1.0,
        };
        if difference.to.layer(id) == Layer::Turn {
            continue;
        }
        let layer = difference.to.layer(id);
        let as_before = difference.from.layer(id) == layer
            && difference.is_shared(&InputId { layer, measure: id.clone() });
        let on_bar = rolled && on_bar::is_told_anew(difference, id);
        if as_before && !on_bar {
            continue;
        }
        let (propagated, _) =
            if on_bar { difference.propagate(&OnBar(id)) } else { difference.propagate(&Level(id)) };
        let Some(output) = propagated.output(0) else { continue };
        found.push(Angle {
            id: id.clone(),
            on_bar,
            sign,
            shift: sign * output.value,
            standard: output.standard_uncertainty,
        });
    }
    found
}

/// The largest set of angles, by their places, that lie within reading of one of them.
fn first_guess(angles: &[Angle]) -> Vec<usize> {
    let around = |seed: &Angle| -> Vec<usize> {
        let near = |angle: &Angle| {
            let within = COVERAGE_FACTOR * angle.standard.hypot(seed.standard);
            (angle.shift - seed.shift).abs() <= within
        };
        (0..angles.len()).filter(|place| near(&angles[*place])).collect()
    };
    let sets = angles.iter().map(around);
    sets.fold(Vec::new(), |best, set| if set.len() > best.len() { set } else { best })
}

/// The shift that fits the set best, and the places of the angles it explains.
fn fit(difference: &Difference, angles: &[Angle], set: &[usize]) -> Option<(CommonShift, Vec<usize>)> {
    let weight = |angle: &Angle| angle.standard.max(1e-6).powi(-2);
    let total: f64 = set.iter().map(|place| weight(&angles[*place])).sum();
    let weights = (0..angles.len())
        .map(|place| if set.contains(&place) { weight(&angles[place]) / total } else { 0.0 })
        .collect();
    let catalogue = difference.from.catalogue();
    let (propagated, _) = difference.propagate(&Residuals { angles, weights });
    let shift = propagated.output(0)?;
    let mut found = CommonShift {
        shift: shift.value,
        uncertainty: shift.expanded_uncertainty(),
        is_the_ground: true,
        is_steep: false,
        of_the_earlier: difference.to.floor().is_some(),
        explains: Vec::new(),
        leaves: Vec::new(),
        left_over: BTreeMap::new(),
    };
    let mut explained = Vec::new();
    for (place, angle) in angles.iter().enumerate() {
        let output = propagated.output(place + 1)?;
        let left = LeftOver { delta: angle.sign * output.value, uncertainty: output.expanded_uncertainty() };
        let path = catalogue.path(&angle.id);
        if judge(left.delta, left.uncertainty) == Verdict::Moved {
            found.leaves.push(path);
        } else {
            explained.push(place);
            found.explains.push(path);
        }
        found.left_over.insert(angle.id.clone(), left);
    }
    Some((found, explained))
}

/// The weighted mean of the tip-down angles (least squares for one constant), then each angle less that mean.
struct Residuals<'a> {
    angles: &'a [Angle],
    weights: Vec<f64>,
}

impl Consequences for Residuals<'_> {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let stands = |angle: &Angle| {
            if angle.on_bar { OnBar(&angle.id).of(numbers).pop()? } else { numbers.level(&angle.id) }
        };
        let tips: Vec<Option<N>> =
            self.angles.iter().map(|angle| Some(stands(angle)? * angle.sign)).collect();
        let mut mean = Some(N::zero());
        for (tip, weight) in tips.iter().zip(&self.weights).filter(|(_, weight)| **weight != 0.0) {
            mean = mean.zip(*tip).map(|(mean, tip)| mean + tip * *weight);
        }
        let less = tips.into_iter().map(|tip| Some(tip? - mean?));
        std::iter::once(mean).chain(less).collect()
    }
}
