//! Whether the spacers still add up: steerer and top cap are set for one height of everything between them.
//!
//! A spacer that goes from above the stem to below it leaves the height as it was. One that is left out, or another
//! stem, does not: then the bearing's preload is another (common practice, no source), or somebody measured wrongly.

use serde::Serialize;

use crate::catalogue::table::{HEADSET_COVER, SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::catalogue::{MeasureId, Row};
use crate::geometry::state::{Consequences, Difference, Layer, Lookup, State};
use crate::metrology::propagate::Number;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Value;

/// How the height of everything on the steerer differs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SpacersShift {
    /// Now minus was, mm.
    pub delta: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// Whether the spacers above the stem were looked at; only an as-found sheet can leave them out.
    pub above_looked_at: bool,
    /// By how much, in mm, the stem's clamp ends above where everything on the steerer ended before, if it does for
    /// sure: there may be no steerer inside it.
    pub past_the_steerer: Option<f64>,
}

/// Everything between head tube and top cap, as far as both states record it.
struct OnTheSteerer(Vec<Row>);

impl Consequences for OnTheSteerer {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let heights = self.0.iter().map(|row| numbers.get(&MeasureId::bike(*row)));
        vec![heights.into_iter().try_fold(N::zero(), |sum, height| Some(sum + height?))]
    }
}

/// The difference, if it is more than reading explains; none unless both states record the spacers on both sides of
/// the stem.
pub fn shift(difference: &Difference) -> Option<SpacersShift> {
    let is_read = |state: &State, row| matches!(state.held(&MeasureId::bike(row)), Some(Value::Reading(_)));
    let recorded = |row: &Row| is_read(&difference.from, *row) && is_read(&difference.to, *row);
    if ![SPACERS_BELOW, SPACERS_ABOVE].iter().all(recorded) {
        return None;
    }
    let rows = [HEADSET_COVER, SPACERS_BELOW, STEM_CLAMP_HEIGHT, SPACERS_ABOVE];
    let is_alike = |row: &Row| {
        let id = MeasureId::bike(*row);
        let written = difference.from.held(&id).zip(difference.to.held(&id));
        written.is_some_and(|(was, now)| was.is_written_like(now))
    };
    if rows.iter().filter(|row| recorded(row)).all(is_alike) {
        return None;
    }
    let (propagated, _) = difference.propagate(&OnTheSteerer(rows.into_iter().filter(recorded).collect()));
    let output = propagated.output(0)?;
    let (delta, uncertainty) = (output.value, output.expanded_uncertainty());
    let above = difference.to.layer(&MeasureId::bike(SPACERS_ABOVE));
    let above_looked_at = difference.to.sheet().is_none() || above != Layer::Recorded;
    // What lies above the stem now stands on nothing that was there before.
    let above = difference.to.value(&MeasureId::bike(SPACERS_ABOVE)).unwrap_or(0.0);
    let past = delta - above;
    (judge(delta, uncertainty) == Verdict::Moved).then_some(SpacersShift {
        delta,
        uncertainty,
        above_looked_at,
        past_the_steerer: (past > 0.0 && judge(past, uncertainty) == Verdict::Moved).then_some(past),
    })
}
