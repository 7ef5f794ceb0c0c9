//! What a clearance and a hose need, and which of it a state lacks.

use std::sync::Arc;

use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_OFFSET, BAR_RISE, BAR_ROLL, BAR_SETBACK, BAR_UP_SWEEP, BAR_WIDTH,
    FRAME_HEAD_ANGLE, FRAME_REACH, FRAME_STACK, HEADSET_COVER, HOSE_ENTERS_BACK, HOSE_ENTERS_DOWN,
    HOSE_ENTERS_OUT, HOSE_ENTERS_SIDE, HOSE_FREE, HOSE_LEAVES_AHEAD, HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_SIDE,
    HOSE_LEAVES_UP, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH, STEM_TWIST, TOP_TUBE_DIAMETER,
    TOP_TUBE_DROP, TOP_TUBE_SLOPE,
};
use crate::catalogue::{Kind, MeasureId, Row};
use crate::geometry::state::State;

use super::model::{LowestPoint, of_hose};

/// What a point on the bar needs, `setback` or `bend` aside.
const BAR: &[Row] = &[
    FRAME_REACH,
    FRAME_STACK,
    FRAME_HEAD_ANGLE,
    HEADSET_COVER,
    SPACERS_BELOW,
    STEM_LENGTH,
    STEM_ANGLE,
    STEM_CLAMP_HEIGHT,
    STEM_TWIST,
    BAR_WIDTH,
    BAR_RISE,
    BAR_BACK_SWEEP,
    BAR_UP_SWEEP,
    BAR_ROLL,
    BAR_OFFSET,
];
const TOP_TUBE: &[Row] = &[TOP_TUBE_DROP, TOP_TUBE_SLOPE, TOP_TUBE_DIAMETER];
const HOSE: &[Row] = &[
    HOSE_FREE,
    HOSE_LEAVES_SIDE,
    HOSE_LEAVES_FROM_TIP,
    HOSE_LEAVES_AHEAD,
    HOSE_LEAVES_UP,
    HOSE_ENTERS_SIDE,
    HOSE_ENTERS_DOWN,
    HOSE_ENTERS_BACK,
    HOSE_ENTERS_OUT,
];

/// The measures that a point's clearance lacks, by their written paths.
pub fn of_point(state: &State, point: &LowestPoint) -> Vec<String> {
    let mut needs: Vec<String> = point.measures().iter().filter_map(|id| lacking(state, id)).collect();
    needs.extend(bike(state, TOP_TUBE));
    needs.extend(bar(state));
    needs
}

/// The measures that a hose lacks.
pub fn of_a_hose(state: &State, hose: &Arc<str>) -> Vec<String> {
    let own = HOSE.iter().filter_map(|row| lacking(state, &of_hose(*row, hose)));
    own.chain(bar(state)).collect()
}

fn bike(state: &State, rows: &[Row]) -> Vec<String> {
    rows.iter().filter_map(|row| lacking(state, &MeasureId::bike(*row))).collect()
}

fn bar(state: &State) -> Vec<String> {
    let mut needs = bike(state, BAR);
    let ends = bike(state, &[BAR_SETBACK, BAR_BEND]);
    if ends.len() == 2 {
        needs.extend(ends);
    } else if needs.is_empty() && crate::geometry::cockpit::Bar::<f64>::of(state).is_none() {
        // All is there and yet there is no such bar: the bend lies beyond its end.
        needs.push(state.catalogue().path(&MeasureId::bike(BAR_BEND)));
    }
    needs
}

fn lacking(state: &State, id: &MeasureId) -> Option<String> {
    let known = match state.catalogue().measure(id.row).kind {
        Kind::Reading { .. } => state.value(id).is_some(),
        Kind::Choice(_) => state.choice(id).is_some(),
    };
    (!known).then(|| state.catalogue().path(id))
}
