//! The brake at the finger: how much of the blade's leverage it has, and where the pads start to hold.

use serde::Serialize;

use crate::catalogue::table::{LEVER_BITE, LEVER_BLADE, LEVER_FINGER, LEVER_REACH};
use crate::catalogue::{MeasureId, Side};
use crate::geometry::derived::{All, find};
use crate::geometry::state::{Consequences, Lookup, State};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::propagate::Number;
use crate::metrology::show;
use crate::metrology::unit::Unit;

use super::Figure;

/// Room that the fingers closed round the grip take up above its surface, mm: common practice, no source.
pub const KNUCKLE_ROOM: f64 = 20.0;

/// Whether the pads hold before the blade is down at the knuckles of the fingers that stay on the grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Knuckles {
    /// It bites before them.
    Before,
    /// Too near to tell by these readings.
    TooNearToTell,
    /// It does not.
    After,
}

impl Knuckles {
    /// Of a brake that bites so far from the grip, mm, and how sure that is.
    pub fn at(bite: f64, expanded: f64) -> Knuckles {
        let spare = bite - KNUCKLE_ROOM;
        if spare > expanded {
            Knuckles::Before
        } else if spare < -expanded {
            Knuckles::After
        } else {
            Knuckles::TooNearToTell
        }
    }

    /// In one sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Knuckles::Before => "Bites before the knuckles.",
            Knuckles::TooNearToTell => {
                "Bites about where the knuckles are: too near to tell by this reading."
            }
            Knuckles::After => {
                "The blade is down at the knuckles before it bites, unless it clears them sideways."
            }
        }
    }
}

/// One brake at the finger.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Brake {
    /// Which side.
    pub side: Side,
    /// Finger over blade: 1 is the blade's very end.
    pub finger_leverage: Option<Figure>,
    /// Bite over reach: 1 bites at once.
    pub bite_share: Option<Figure>,
    /// Where the pads start to hold, blade to grip.
    pub bite: Option<Figure>,
    /// How far the blade travels before that.
    pub travel_to_bite: Option<Figure>,
    /// Whether it bites before the knuckles.
    pub knuckles: Option<Knuckles>,
    /// What the readings give that cannot be, in place of the figures that rest on it.
    pub refused: Vec<String>,
    /// The room that was taken for the knuckles, mm.
    pub knuckle_room: f64,
}

struct Travel(Side);

impl Consequences for Travel {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let bite = numbers.get(&MeasureId::of(LEVER_BITE, self.0));
        let reach = numbers.get(&MeasureId::of(LEVER_REACH, self.0));
        vec![bite, reach.zip(bite).map(|(reach, bite)| reach - bite)]
    }
}

/// The brake of that side; none if nothing of it is known.
pub fn of(state: &State, side: Side) -> Option<Brake> {
    let (ratios, ..) = state.propagate(&All);
    let ratio = |name: &str| {
        let (place, _) = find(&format!("{side}.{name}"))?;
        Some(Figure::of(ratios.output(place)?, Unit::One))
    };
    let (travel, ..) = state.propagate(&Travel(side));
    let length = |output| Some(Figure::of(travel.output(output)?, Unit::Millimetre));
    let (bite, travel) = (length(0), length(1));
    let mut brake = Brake {
        side,
        finger_leverage: ratio("finger-leverage"),
        bite_share: ratio("bite-share"),
        knuckles: bite.as_ref().map(|bite| Knuckles::at(bite.value, bite.expanded)),
        bite,
        travel_to_bite: travel,
        refused: Vec::new(),
        knuckle_room: KNUCKLE_ROOM,
    };
    let is_there = brake.finger_leverage.is_some() || brake.bite.is_some();
    refuse(state, &mut brake);
    is_there.then_some(brake)
}

/// Takes out what rests on readings that contradict one another, and says which they are.
fn refuse(state: &State, brake: &mut Brake) {
    let side = brake.side;
    let read = |row| state.value(&MeasureId::of(row, side)).map(show::brief).unwrap_or_default();
    if brake.travel_to_bite.as_ref().is_some_and(|travel| travel.value < -NEGLIGIBLE) {
        (brake.travel_to_bite, brake.bite_share, brake.knuckles, brake.bite) = (None, None, None, None);
        brake.refused.push(format!(
            "No figures of the {side} brake's bite: by the readings it bites {} mm from the grip, further out than its \
             lever rests ({} mm). Measure both again from the grip's surface.",
            read(LEVER_BITE),
            read(LEVER_REACH),
        ));
    }
    // Within reading a finger at the blade's very end may come out beyond it.
    let is_beyond = |leverage: &Figure| leverage.value - 1.0 > leverage.expanded;
    if brake.finger_leverage.as_ref().is_some_and(is_beyond) {
        brake.finger_leverage = None;
        brake.refused.push(format!(
            "No figure of the {side} finger's place: by the readings it pulls {} mm from the pivot, and the blade ends at \
             {} mm. Measure both again from the pivot.",
            read(LEVER_FINGER),
            read(LEVER_BLADE),
        ));
    }
}
