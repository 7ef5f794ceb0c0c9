//! What a line of paint across a joint can show.

use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, BAR_GRIP_DIAMETER, BAR_ROLL, STEERER_DIAMETER, STEM_TWIST,
};
use crate::catalogue::{MeasureId, Row, Side, Subject};

/// The rows that a line across a joint tells of.
#[derive(Clone, Copy, Debug)]
pub struct Shows {
    /// The angle by which the part turns there, and the diameter the line lies on.
    turn: Option<(Row, Row)>,
    /// The places along which it slides there, as far as a line tells them.
    pub shifts: &'static [Row],
}

impl Shows {
    /// Only that the joint was opened.
    pub const NOTHING: Shows = Shows { turn: None, shifts: &[] };

    /// The stem on the steerer.
    pub const TWIST: Shows = Shows { turn: Some((STEM_TWIST, STEERER_DIAMETER)), shifts: &[] };

    /// The bar in the stem.
    pub const fn roll(shifts: &'static [Row]) -> Shows {
        Shows { turn: Some((BAR_ROLL, BAR_CLAMP_DIAMETER)), shifts }
    }

    /// A control on the bar, which turns by that angle.
    pub const fn control(angle: Row, shifts: &'static [Row]) -> Shows {
        Shows { turn: Some((angle, BAR_GRIP_DIAMETER)), shifts }
    }

    /// What slides and shows no turn.
    pub const fn sliding(shifts: &'static [Row]) -> Shows {
        Shows { turn: None, shifts }
    }

    /// The rotation on that side, and the diameter of the bike that the line lies on.
    pub(super) fn rotation(self, side: Option<Side>) -> Option<(MeasureId, MeasureId)> {
        let (row, across) = self.turn?;
        let subject = side.map_or(Subject::BIKE, Subject::side);
        Some((MeasureId { row, subject }, MeasureId::bike(across)))
    }
}
