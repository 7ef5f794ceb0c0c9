//! What an as-found sheet looked at, and what it leaves open.

use serde::Serialize;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{HeldBy, MeasureId, Weight};
use crate::geometry::state::{Layer, State};
use crate::setup::model::{Mark, MarkState, Setup};

/// A measure that could have moved and that the as-found sheet says nothing of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotLookedAt {
    /// Which measure.
    #[serde(skip)]
    pub id: MeasureId,
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// The joint that holds it.
    pub joint: Option<String>,
    /// How much it matters.
    pub weight: Weight,
}

/// How many readings and lines of a sheet tell whether something moved: what nothing is recorded for tells nothing, and
/// of a line only whether its halves meet. How tight a clamp is tells nothing of where it stands, and the slope of the
/// ground is no part of the bike.
pub fn looked_at(from: &State, sheet: &Setup) -> usize {
    let readings = sheet.readings.keys().filter(|id| {
        let is_known = from.number(id).is_some() || from.choice(id).is_some() || from.value(id).is_some();
        id.row != FLOOR && is_known
    });
    let meets = |mark: &&Mark| {
        let state = mark.state.as_ref().map(|state| state.value);
        matches!(state, Some(MarkState::Aligned | MarkState::Off(_)))
    };
    readings.count() + sheet.marks.iter().filter(meets).count()
}

/// What can move on this bike and was neither read nor told by a mark; empty for a state without a sheet.
pub fn not_looked_at(state: &State) -> Vec<NotLookedAt> {
    if state.sheet().is_none() {
        return Vec::new();
    }
    let catalogue = state.catalogue();
    let can_move = |id: &&MeasureId| {
        let measure = catalogue.measure(id.row);
        // What goes along with a part is told by where the part stands.
        let set = measure.can_move() && measure.held_by != HeldBy::Cutting && !measure.goes_along();
        set && state.layer(id) == Layer::Recorded
    };
    let mut left: Vec<NotLookedAt> = state
        .setup()
        .readings
        .keys()
        .chain(state.setup().undecided.keys())
        .filter(can_move)
        .map(|id| NotLookedAt {
            id: id.clone(),
            measure: catalogue.path(id),
            title: catalogue.title(id),
            joint: state.setup().joint_of(catalogue, id).map(str::to_owned),
            weight: catalogue.measure(id.row).weight,
        })
        .collect();
    left.sort_by(|one, other| (one.weight, &one.id).cmp(&(other.weight, &other.id)));
    left
}
