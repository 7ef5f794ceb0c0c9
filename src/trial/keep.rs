//! Which value of one measure keeps a derived value where it was.
//!
//! The model is a black box of one variable within the measure's span: it is scanned outwards from where the measure
//! stands for a change of sign, and that is closed in on by halving. Nothing is assumed of its shape, so a value
//! that is touched but not crossed between two looks can be missed; the answer then says how near it comes.

use std::collections::BTreeSet;

use crate::catalogue::measure::Kind;
use crate::catalogue::table::SPACERS_BELOW;
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::derived::{All, DERIVED, Derived, Need, find};
use crate::geometry::state::State;
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::model::{Setup, Value};

use super::Refusal;
use super::carried::take_along;
use super::change::change_to;
use super::crooked;
use super::steerer::{self, NearPile};

/// Looks over the measure's span.
const LOOKS: u32 = 512;

/// The measure that keeps a derived value.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Which derived value stays.
    pub keep: &'static Derived,
    /// Its place in the list.
    place: usize,
    /// Which measure gives way.
    pub by: MeasureId,
}

impl Wish {
    /// From the two names.
    pub fn new(catalogue: &Catalogue, setup: &Setup, keep: &str, by: &str) -> Result<Wish, Refusal> {
        let (place, keep) = find(keep).ok_or_else(|| {
            let names = DERIVED.iter().map(|derived| derived.name);
            let known: Vec<&str> = names.clone().collect();
            let help = format!("These are known: {}.", known.join(", "));
            Refusal::unknown(format!("`{keep}` is not a derived value."), keep, names, help)
        })?;
        let id = super::change::measure(catalogue, by)?;
        super::change::is_there(catalogue, setup, &id)?;
        let wish = Wish { keep, place, by: id };
        if let Some(why) = crooked::never_gives_way(&wish.by) {
            let message = format!("`{by}` does not give way: {why}.");
            return Err(Refusal::new(message, wish.others(catalogue, setup)));
        }
        if !catalogue.measure(wish.by.row).can_give_way() {
            let message = format!("`{by}` does not give way: nobody can set it.");
            return Err(Refusal::new(message, wish.others(catalogue, setup)));
        }
        Ok(wish)
    }

    /// Which measures could give way.
    fn others(&self, catalogue: &Catalogue, setup: &Setup) -> String {
        let does = |id: &MeasureId| {
            let (wish, ids) = (Wish { by: id.clone(), ..self.clone() }, BTreeSet::from([id.clone()]));
            Attempt { catalogue, was: setup, changed: setup, ids, wish: &wish }.has_effect()
        };
        let can: Vec<String> =
            can_give_way(catalogue, self.keep).filter(does).map(|id| catalogue.path(&id)).collect();
        match can[..] {
            [] => format!("Nothing that can be set changes {}.", self.keep.name),
            _ => format!("For {} these can: {}.", self.keep.name, can.join(", ")),
        }
    }
}

/// The measures of the bike that a derived value rests on and that a person can set or swap.
fn can_give_way(catalogue: &Catalogue, keep: &'static Derived) -> impl Iterator<Item = MeasureId> {
    let needed = keep.needs.iter().filter_map(|need| match *need {
        Need::Bike(row) => Some(MeasureId::bike(row)),
        Need::OneSide(row, side) => Some(MeasureId::of(row, side)),
        Need::BothSides(_) | Need::Either(..) => None,
    });
    let naturals = keep.naturals().iter().map(|row| MeasureId::bike(*row));
    needed
        .chain(naturals)
        .filter(|id| catalogue.measure(id.row).can_give_way() && crooked::never_gives_way(id).is_none())
}

/// A change that one more measure is to make good.
pub struct Attempt<'a> {
    /// The table.
    pub catalogue: &'a Catalogue,
    /// The setup as it is.
    pub was: &'a Setup,
    /// The setup with the change, nothing taken along yet.
    pub changed: &'a Setup,
    /// The measures that were changed, with the one that gives way.
    pub ids: BTreeSet<MeasureId>,
    /// What is to stay, and what gives way.
    pub wish: &'a Wish,
}

impl Attempt<'_> {
    /// The derived value with the measure that gives way at this value: on the very setup that would come of it.
    fn value(&self, at: f64) -> Option<f64> {
        let unit = self.catalogue.measure(self.wish.by.row).unit();
        let mut trial = self.changed.clone();
        change_to(&mut trial, &self.wish.by, Value::Reading(Reading::exact(at, unit)));
        // Where the bar's shape is not known nothing goes along, and nothing is lost.
        let _ = take_along(self.catalogue, self.was, &mut trial, &self.ids);
        value(self.catalogue, &trial, self.wish.place)
    }

    /// Whether the derived value answers to the measure, as far as that can be told: a little to either side of where it
    /// stands.
    fn has_effect(&self) -> bool {
        let Kind::Reading { low, high, .. } = self.catalogue.measure(self.wish.by.row).kind else {
            return false;
        };
        let stands = State::recorded(self.catalogue, self.changed).value(&self.wish.by);
        let (from, step) = (stands.unwrap_or(f64::midpoint(low, high)), (high - low) / 100.0);
        let near = [from, from - step, from + step].map(|at| self.value(at.clamp(low, high)));
        let [Some(here), others @ ..] = near else { return true };
        let is_otherwise = |other: Option<f64>| other.is_none_or(|other| (other - here).abs() > NEGLIGIBLE);
        others.into_iter().any(is_otherwise)
    }
}

/// Gives the value of `wish.by` at which the derived value is what it was.
pub fn solve(attempt: &Attempt) -> Result<f64, Refusal> {
    let Attempt { catalogue, was, changed, wish, .. } = *attempt;
    let path = catalogue.path(&wish.by);
    let measure = catalogue.measure(wish.by.row);
    let Kind::Reading { low, high, unit, .. } = measure.kind else {
        return Err(Refusal::new(format!("`{path}` is no number."), "Name a measure with a number."));
    };
    let not_known = || {
        let lacking = wish.keep.missing(&State::recorded(catalogue, was));
        let needs: Vec<String> = lacking.iter().map(|id| catalogue.path(id)).collect();
        Refusal::new(
            format!("`{}` is not known, so it cannot be kept.", wish.keep.name),
            if needs.is_empty() {
                "See what `clampmark grips` says.".into()
            } else {
                format!("Record {}.", needs.join(", "))
            },
        )
    };
    let target = value(catalogue, was, wish.place).ok_or_else(not_known)?;
    if !attempt.has_effect() {
        let message = format!("`{path}` has no effect on {}, so it cannot keep it.", wish.keep.name);
        return Err(Refusal::new(message, wish.others(catalogue, was)));
    }
    let from = State::recorded(catalogue, changed).value(&wish.by).unwrap_or(f64::midpoint(low, high));
    let mut miss = |at: f64| attempt.value(at).map(|value| value - target);
    search(&mut miss, from.clamp(low, high), (low, high)).map_err(|nearest| {
        let kept = wish.keep;
        let words = match nearest {
            Some((at, by)) => format!(
                "No {path} between {low} and {high}{} keeps {}: the nearest, {}, misses it by {}{}.",
                unit.sign(),
                kept.name,
                show::plain(at, 1),
                show::plain(by.abs(), 1),
                kept.unit.sign(),
            ),
            None => format!("{} cannot be computed at any {path} between {low} and {high}.", kept.name),
        };
        Refusal::new(words, "Let another measure give way, or keep another value.")
    })
}

/// The piles of usual spacers next to a solved one, and what each leaves; none if other things than the spacers under
/// the stem give way.
pub fn near(attempt: &Attempt, solved: f64) -> Vec<NearPile> {
    let wish = attempt.wish;
    let Some(target) =
        value(attempt.catalogue, attempt.was, wish.place).filter(|_| wish.by.row == SPACERS_BELOW)
    else {
        return Vec::new();
    };
    let left = |(height, spacers)| {
        let off = attempt.value(height)? - target;
        Some(NearPile { height, spacers, off, direction: wish.keep.direction(off) })
    };
    steerer::near(solved).into_iter().filter_map(left).collect()
}

fn value(catalogue: &Catalogue, setup: &Setup, place: usize) -> Option<f64> {
    State::recorded(catalogue, setup)
        .values(&All)
        .get(place)
        .copied()
        .flatten()
        .filter(|value| value.is_finite())
}

/// The root nearest to `from`, or the nearest miss: where, and by how much.
fn search(
    miss: &mut impl FnMut(f64) -> Option<f64>,
    from: f64,
    (low, high): (f64, f64),
) -> Result<f64, Option<(f64, f64)>> {
    let mut nearest: Option<(f64, f64)> = None;
    let step = (high - low) / f64::from(LOOKS);
    let start = miss(from);
    let mut edges = [(from, start), (from, start)];
    for look in 0..=LOOKS {
        for (edge, direction) in edges.iter_mut().zip([1.0, -1.0]) {
            let (before, missed_before) = *edge;
            let at = (from + direction * step * f64::from(look)).clamp(low, high);
            let missed = miss(at);
            if let Some(missed) = missed {
                if missed.abs() < 1e-12 {
                    return Ok(at);
                }
                if nearest.is_none_or(|(_, least)| missed.abs() < f64::abs(least)) {
                    nearest = Some((at, missed));
                }
                if missed_before.is_some_and(|before| before.signum() * missed.signum() < 0.0) {
                    return Ok(close_in(miss, before, at));
                }
            }
            *edge = (at, missed);
        }
    }
    Err(nearest)
}

/// Halves between two places of opposite sign until nothing is left to halve.
fn close_in(miss: &mut impl FnMut(f64) -> Option<f64>, one: f64, other: f64) -> f64 {
    let (mut one, mut other) = (one, other);
    let sign = miss(one).unwrap_or(0.0).signum();
    for _ in 0..200 {
        let middle = f64::midpoint(one, other);
        if (middle - one).abs() <= f64::EPSILON || (middle - other).abs() <= f64::EPSILON {
            break;
        }
        match miss(middle) {
            Some(missed) if missed.signum() * sign > 0.0 => one = middle,
            Some(_) => other = middle,
            None => break,
        }
    }
    f64::midpoint(one, other)
}
