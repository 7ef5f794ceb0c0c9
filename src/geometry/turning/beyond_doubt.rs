//! What is so far apart that no reading can leave it in doubt, told without working out any uncertainty.

use crate::geometry::state::State;
use crate::metrology::COVERAGE_FACTOR;
use crate::metrology::unit::Quantity;

/// Nothing that turns, and nothing that it may meet, lies further from the top of the head tube, in millimetres: half
/// of the widest bar with the longest stem on the highest pile of spacers that the table's spans accept, and the length
/// of top tube that is looked at.
const ARM: f64 = 1000.0;

/// A bound on the expanded uncertainty of any clearance and any slack of the state, in millimetres: a length moves a
/// body by no more than itself, an angle by no more than itself on the longest arm (first order, as all of it).
pub fn most_doubt(state: &State) -> f64 {
    let moved = state.doubts().map(|(quantity, uncertainty)| match quantity {
        Quantity::Length => uncertainty,
        Quantity::Angle => uncertainty.to_radians() * ARM,
        Quantity::Torque | Quantity::Pressure | Quantity::Count | Quantity::Ratio => 0.0,
    });
    COVERAGE_FACTOR * moved.map(|moved| moved * moved).sum::<f64>().sqrt()
}
