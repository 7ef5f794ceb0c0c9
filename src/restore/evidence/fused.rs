//! Several lines across one joint: what they tell together of one measure.
//!
//! Two that agree within their uncertainties (|d| ≤ U of the difference) are as good as one: the finer is taken, for a
//! coarse line adds nothing to a fine one, and the figure stays one that somebody can look up on the bike. Of lines about
//! as fine as each other the one that turned further is taken: a move is not to be talked away by a line beside it.
//! Of two that disagree one is false, and nobody can tell which from the sheet: neither is evidence of anything.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::MeasureId;
use crate::geometry::state::Turns;
use crate::metrology::reading::Reading;
use crate::metrology::verdict::{Verdict, judge};

/// Up to this many times the half-width of the finest, a line is as fine as it: the diameter's share in it grows with
/// the turn.
const AS_FINE: f64 = 1.1;

/// What one line tells of one measure.
#[derive(Clone, Debug)]
pub(super) struct Told {
    /// The mark.
    pub(super) mark: String,
    /// Of what.
    pub(super) id: MeasureId,
    /// By how much it differs from what is recorded.
    pub(super) turn: Reading,
    /// Whether the line crosses that measure's own clamp, and does not tell of what only goes along with it.
    pub(super) is_own: bool,
}

/// Two lines of which one must be false.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// Of what they tell differently.
    pub id: MeasureId,
    /// Each mark by its name, and what it tells; in the file's order.
    pub lines: [(String, Reading); 2],
}

/// What lines tell together.
#[derive(Debug, Default)]
pub(super) struct Fused {
    /// The turn of each measure that its lines agree on.
    pub(super) turns: Turns,
    /// The mark that each of these was taken from.
    pub(super) taken: BTreeMap<MeasureId, String>,
    /// Of each measure that its lines do not agree on, the two that differ most.
    pub(super) clashes: Vec<Clash>,
}

/// Puts together what lines tell.
pub(super) fn fuse(told: &[Told]) -> Fused {
    let mut fused = Fused::default();
    let mut belied: BTreeSet<&str> = BTreeSet::new();
    let ids: BTreeSet<&MeasureId> = told.iter().map(|one| &one.id).collect();
    for id in &ids {
        let lines: Vec<&Told> = told.iter().filter(|one| one.id == **id && one.is_own).collect();
        let apart: Vec<(&Told, &Told)> = pairs(&lines).filter(|(one, other)| disagree(one, other)).collect();
        belied.extend(apart.iter().flat_map(|(one, other)| [&*one.mark, &*other.mark]));
        let furthest = apart.into_iter().max_by(|one, other| gap(one).total_cmp(&gap(other)));
        fused.clashes.extend(furthest.map(|(one, other)| Clash {
            id: (*id).clone(),
            lines: [one, other].map(|told| (told.mark.clone(), told.turn.clone())),
        }));
    }
    let is_open = |id: &MeasureId| fused.clashes.iter().any(|clash| clash.id == *id);
    for id in ids.into_iter().filter(|id| !is_open(id)) {
        let sound = told.iter().filter(|one| one.id == *id && !belied.contains(&*one.mark));
        if let Some(best) = best(&sound.collect::<Vec<_>>()) {
            fused.turns.insert(id.clone(), best.turn.clone());
            fused.taken.insert(id.clone(), best.mark.clone());
        }
    }
    fused
}

fn pairs<'l, 't>(lines: &'l [&'t Told]) -> impl Iterator<Item = (&'t Told, &'t Told)> + 'l {
    lines.iter().enumerate().flat_map(|(index, one)| {
        let later = lines.get(index + 1..).unwrap_or_default();
        later.iter().map(move |other| (*one, *other))
    })
}

/// Whether two lines differ by more than both can be misread.
fn disagree(one: &Told, other: &Told) -> bool {
    let together = one.turn.expanded_uncertainty().hypot(other.turn.expanded_uncertainty());
    judge(one.turn.value() - other.turn.value(), together) == Verdict::Moved
}

fn gap((one, other): &(&Told, &Told)) -> f64 {
    (one.turn.value() - other.turn.value()).abs()
}

/// The line to go by, of those across the measure's own clamp if there are any.
fn best<'t>(lines: &[&'t Told]) -> Option<&'t Told> {
    let has_own = lines.iter().any(|one| one.is_own);
    let lines = || lines.iter().copied().filter(|one| one.is_own == has_own);
    let finest = lines().map(|one| one.turn.half_width()).min_by(f64::total_cmp)?;
    let fine = lines().filter(|one| one.turn.half_width() <= finest * AS_FINE);
    fine.max_by(|one, other| one.turn.value().abs().total_cmp(&other.turn.value().abs()))
}
