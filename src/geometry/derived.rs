//! THE LIST of derived values: name, unit, the words for more and less, what each needs, and its formula.
//!
//! Formulas are plane and solid geometry in the axes of [`super::cockpit`]; trail is the usual definition
//! (Meijaard, Papadopoulos, Ruina and Schwab 2007, table 1: c = (r·cos θ − d)/sin θ).

use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_OFFSET, BAR_RISE, BAR_ROLL, BAR_SETBACK, BAR_UP_SWEEP, BAR_WIDTH,
    FRAME_FORK_OFFSET, FRAME_HEAD_ANGLE, FRAME_REACH, FRAME_STACK, FRAME_WHEEL_RADIUS, GRIP_HAND,
    HEADSET_COVER, LEVER_BITE, LEVER_BLADE, LEVER_FINGER, LEVER_REACH, SADDLE_HEIGHT, SADDLE_SETBACK,
    SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH, STEM_TWIST,
};
use crate::catalogue::{MeasureId, Row, Side};
use crate::metrology::propagate::Number;
use crate::metrology::unit::Unit;

use super::cockpit::{Hands, bike, degrees, radians, saddle};
use super::state::{Consequences, Lookup, State};

/// What a derived value needs.
#[derive(Clone, Copy, Debug)]
pub enum Need {
    /// This measure of the bike.
    Bike(Row),
    /// This measure on both sides.
    BothSides(Row),
    /// This measure on one side.
    OneSide(Row, Side),
    /// One of the two.
    Either(Row, Row),
}

/// Which coordinate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Coordinate {
    /// Forward.
    X,
    /// Left.
    Y,
    /// Up.
    Z,
}

impl Coordinate {
    /// All three.
    pub const ALL: [Coordinate; 3] = [Coordinate::X, Coordinate::Y, Coordinate::Z];

    /// What becomes of it in a mirror that stands along the bike.
    pub fn mirrored(self, value: f64) -> f64 {
        if self == Coordinate::Y { -value } else { value }
    }
}

/// What is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Formula {
    /// A coordinate of one grip point.
    Grip(Side, Coordinate),
    /// M.x
    GripReach,
    /// M.z
    GripStack,
    /// √(M.x² + M.z²)
    BottomBracketToGrips,
    /// atan2(M.z, M.x)
    GripLineAngle,
    /// `G_left.y − G_right.y`
    HandSpan,
    /// (M − H)·n
    SteeringOffset,
    /// (M − H)·u
    GripHeightOnAxis,
    /// `G_left − mirror(G_right)`
    GripDifference(Coordinate),
    /// M.x − saddle.x
    SaddleToGrips,
    /// saddle.z − M.z
    SaddleToGripDrop,
    /// (r·cos θ − d)/sin θ
    Trail,
    /// finger/blade
    FingerLeverage(Side),
    /// bite/reach
    BiteShare(Side),
}

/// One row of the list.
#[derive(Clone, Copy, Debug)]
pub struct Derived {
    /// Its name in the output and in `--json`.
    pub name: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// Its unit.
    pub unit: Unit,
    /// The word for more.
    pub more: &'static str,
    /// The word for less.
    pub less: &'static str,
    /// The formula.
    pub formula: Formula,
    /// What it needs.
    pub needs: &'static [Need],
    /// Whether it only says in another way what the others say, and is left out of short screens.
    pub detail: bool,
    /// How it is said where it lies below nothing, which its title does not say.
    pub below_nothing: Option<BelowNothing>,
}

/// The words for a value that lies below nothing: a drop that is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BelowNothing {
    /// Behind its size: "7.0 mm above it".
    pub word: &'static str,
    /// The word for more, be it there or on the way there.
    pub more: &'static str,
    /// The word for less.
    pub less: &'static str,
}

impl Derived {
    const fn detail(mut self) -> Self {
        self.detail = true;
        self
    }
}

use Need::{Bike, BothSides, Either, OneSide};

const HANDS: &[Need] = &[
    Bike(FRAME_REACH),
    Bike(FRAME_STACK),
    Bike(FRAME_HEAD_ANGLE),
    Bike(STEM_LENGTH),
    Bike(STEM_ANGLE),
    Bike(STEM_CLAMP_HEIGHT),
    Bike(BAR_WIDTH),
    Bike(BAR_RISE),
    Bike(BAR_BACK_SWEEP),
    Bike(BAR_UP_SWEEP),
    Either(BAR_SETBACK, BAR_BEND),
    BothSides(GRIP_HAND),
];
const HANDS_AND_SADDLE: &[Need] = &hands_and_saddle();

const fn hands_and_saddle() -> [Need; HANDS.len() + 2] {
    let mut needs = [Bike(SADDLE_HEIGHT); HANDS.len() + 2];
    let (hands, saddle) = needs.split_at_mut(HANDS.len());
    hands.copy_from_slice(HANDS);
    saddle[1] = Bike(SADDLE_SETBACK);
    needs
}

/// What the grip points take as it naturally is while nobody wrote it down; written as unmeasured, it is lacking.
const HANDS_NATURALLY: &[Row] = &[HEADSET_COVER, SPACERS_BELOW, STEM_TWIST, BAR_ROLL, BAR_OFFSET];
const TRAIL: &[Need] = &[Bike(FRAME_WHEEL_RADIUS), Bike(FRAME_FORK_OFFSET), Bike(FRAME_HEAD_ANGLE)];

const fn of_hands(
    name: &'static str,
    title: &'static str,
    more: &'static str,
    less: &'static str,
    formula: Formula,
) -> Derived {
    Derived {
        name,
        title,
        unit: Unit::Millimetre,
        more,
        less,
        formula,
        needs: HANDS,
        detail: false,
        below_nothing: None,
    }
}

/// Every derived value, in the order of the screens.
pub static DERIVED: &[Derived] = &[
    of_hands(
        "grip.left.x",
        "left grip, forward",
        "forward",
        "back",
        Formula::Grip(Side::Left, Coordinate::X),
    ),
    of_hands(
        "grip.left.y",
        "left grip, to the left",
        "to the left",
        "to the right",
        Formula::Grip(Side::Left, Coordinate::Y),
    ),
    of_hands("grip.left.z", "left grip, up", "up", "down", Formula::Grip(Side::Left, Coordinate::Z)),
    of_hands(
        "grip.right.x",
        "right grip, forward",
        "forward",
        "back",
        Formula::Grip(Side::Right, Coordinate::X),
    ),
    of_hands(
        "grip.right.y",
        "right grip, to the left",
        "to the left",
        "to the right",
        Formula::Grip(Side::Right, Coordinate::Y),
    ),
    of_hands("grip.right.z", "right grip, up", "up", "down", Formula::Grip(Side::Right, Coordinate::Z)),
    of_hands("grip-reach", "grip reach", "forward", "back", Formula::GripReach),
    of_hands("grip-stack", "grip stack", "up", "down", Formula::GripStack),
    of_hands("bb-to-grips", "bottom bracket to grips", "further", "nearer", Formula::BottomBracketToGrips)
        .detail(),
    Derived {
        unit: Unit::Degree,
        ..of_hands("grip-line-angle", "grip line angle", "steeper", "flatter", Formula::GripLineAngle)
            .detail()
    },
    of_hands("hand-span", "hand span, across the bike", "wider", "narrower", Formula::HandSpan),
    of_hands(
        "steering-offset",
        "hands ahead of the steering axis",
        "forward",
        "back",
        Formula::SteeringOffset,
    )
    .detail(),
    of_hands(
        "grip-height-on-axis",
        "grip height along the steering axis",
        "up",
        "down",
        Formula::GripHeightOnAxis,
    )
    .detail(),
    of_hands(
        "grip-difference-x",
        "left grip ahead of the right",
        "further forward",
        "further back",
        Formula::GripDifference(Coordinate::X),
    ),
    of_hands(
        "grip-difference-y",
        // The sum of both, as it is defined: twice what the grips' middle is off.
        "left grip further out than the right",
        "further out",
        "further in",
        Formula::GripDifference(Coordinate::Y),
    ),
    of_hands(
        "grip-difference-z",
        "left grip above the right",
        "higher",
        "lower",
        Formula::GripDifference(Coordinate::Z),
    ),
    Derived {
        needs: HANDS_AND_SADDLE,
        ..of_hands("saddle-to-grips", "saddle to grips", "longer", "shorter", Formula::SaddleToGrips)
    },
    Derived {
        needs: HANDS_AND_SADDLE,
        below_nothing: Some(BelowNothing { word: "above it", more: "lower", less: "higher" }),
        ..of_hands(
            "saddle-to-grip-drop",
            "grips below the saddle",
            "further below",
            "less far below",
            Formula::SaddleToGripDrop,
        )
    },
    Derived { needs: TRAIL, ..of_hands("trail", "trail", "longer", "shorter", Formula::Trail) },
    leverage(
        "left.finger-leverage",
        "left finger leverage",
        Formula::FingerLeverage(Side::Left),
        LEFT_LEVERAGE,
    ),
    leverage(
        "right.finger-leverage",
        "right finger leverage",
        Formula::FingerLeverage(Side::Right),
        RIGHT_LEVERAGE,
    ),
    bite("left.bite-share", "left bite, share of reach", Formula::BiteShare(Side::Left), LEFT_BITE),
    bite("right.bite-share", "right bite, share of reach", Formula::BiteShare(Side::Right), RIGHT_BITE),
];

const LEFT_LEVERAGE: &[Need] = &[OneSide(LEVER_FINGER, Side::Left), OneSide(LEVER_BLADE, Side::Left)];
const RIGHT_LEVERAGE: &[Need] = &[OneSide(LEVER_FINGER, Side::Right), OneSide(LEVER_BLADE, Side::Right)];
const LEFT_BITE: &[Need] = &[OneSide(LEVER_BITE, Side::Left), OneSide(LEVER_REACH, Side::Left)];
const RIGHT_BITE: &[Need] = &[OneSide(LEVER_BITE, Side::Right), OneSide(LEVER_REACH, Side::Right)];

const fn leverage(
    name: &'static str,
    title: &'static str,
    formula: Formula,
    needs: &'static [Need],
) -> Derived {
    Derived {
        name,
        title,
        unit: Unit::One,
        more: "further out",
        less: "further in",
        formula,
        needs,
        detail: false,
        below_nothing: None,
    }
}

const fn bite(name: &'static str, title: &'static str, formula: Formula, needs: &'static [Need]) -> Derived {
    Derived {
        name,
        title,
        unit: Unit::One,
        more: "further out",
        less: "nearer the grip",
        formula,
        needs,
        detail: false,
        below_nothing: None,
    }
}

impl Derived {
    /// The word for a change of the given sign.
    pub fn direction(&self, delta: f64) -> &'static str {
        if delta < 0.0 { self.less } else { self.more }
    }

    /// Whether it is a coordinate of one hand's grip point.
    pub fn is_of_one_hand(&self) -> bool {
        matches!(self.formula, Formula::Grip(..))
    }

    /// Whether it says how crooked the two hands lie to one another.
    pub fn is_between_hands(&self) -> bool {
        matches!(self.formula, Formula::GripDifference(_))
    }

    /// What is lacking for it in a state, each as a measure (of two alternatives, both are named).
    pub fn missing(&self, state: &State) -> Vec<MeasureId> {
        self.lacking(state).concat()
    }

    /// The same, measures of which one will do together.
    pub fn lacking(&self, state: &State) -> Vec<Vec<MeasureId>> {
        let lacking = |id: MeasureId| state.value(&id).is_none().then(|| vec![id]);
        let mut missing = Vec::new();
        for need in self.needs {
            match *need {
                Bike(row) => missing.extend(lacking(MeasureId::bike(row))),
                BothSides(row) => missing
                    .extend(Side::BOTH.into_iter().filter_map(|side| lacking(MeasureId::of(row, side)))),
                OneSide(row, side) => missing.extend(lacking(MeasureId::of(row, side))),
                Either(first, second) => {
                    let both = [lacking(MeasureId::bike(first)), lacking(MeasureId::bike(second))];
                    if let [Some(first), Some(second)] = both {
                        missing.push([first, second].concat());
                    }
                }
            }
        }
        missing.extend(self.naturals().iter().filter_map(|row| lacking(MeasureId::bike(*row))));
        missing
    }

    /// Whether the measure enters it.
    pub fn rests_on(&self, id: &MeasureId) -> bool {
        let is_needed = |need: &Need| match *need {
            Bike(row) => *id == MeasureId::bike(row),
            BothSides(row) => id.row == row,
            OneSide(row, side) => *id == MeasureId::of(row, side),
            Either(first, second) => [first, second].iter().any(|row| *id == MeasureId::bike(*row)),
        };
        self.needs.iter().any(is_needed) || self.naturals().iter().any(|row| *id == MeasureId::bike(*row))
    }

    /// The measures of the bike that enter it beside what it needs, each as it naturally is while nobody wrote it down.
    pub fn naturals(&self) -> &'static [Row] {
        let of_hands = self.needs.iter().any(|need| matches!(need, BothSides(row) if *row == GRIP_HAND));
        if of_hands { HANDS_NATURALLY } else { &[] }
    }
}

/// The derived value of that name, with its place in the list.
pub fn find(name: &str) -> Option<(usize, &'static Derived)> {
    DERIVED.iter().enumerate().find(|(_, derived)| derived.name == name)
}

/// The coordinate of one grip point.
pub fn grip(side: Side, coordinate: Coordinate) -> Option<&'static Derived> {
    DERIVED.iter().find(|derived| derived.formula == Formula::Grip(side, coordinate))
}

/// All derived values of a state, in the list's order.
pub struct All;

impl Consequences for All {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let hands = Hands::of(numbers);
        let saddle = saddle(numbers);
        DERIVED.iter().map(|derived| compute(derived.formula, hands.as_ref(), saddle, numbers)).collect()
    }
}

fn compute<N: Number>(
    formula: Formula,
    hands: Option<&Hands<N>>,
    saddle: Option<super::vector::Vector<N>>,
    numbers: &dyn Lookup<N>,
) -> Option<N> {
    match formula {
        Formula::Grip(side, coordinate) => Some(coordinate.of(hands?.grip(side))),
        Formula::GripReach => Some(hands?.middle().x),
        Formula::GripStack => Some(hands?.middle().z),
        Formula::BottomBracketToGrips => {
            let middle = hands?.middle();
            Some((middle.x * middle.x + middle.z * middle.z).sqrt())
        }
        Formula::GripLineAngle => {
            let middle = hands?.middle();
            Some(degrees(middle.z.atan2(middle.x)))
        }
        Formula::HandSpan => Some(hands?.grip(Side::Left).y - hands?.grip(Side::Right).y),
        Formula::SteeringOffset => {
            let front = hands?.bar.front();
            Some((hands?.middle() - front.head).dot(front.forward))
        }
        Formula::GripHeightOnAxis => {
            let front = hands?.bar.front();
            Some((hands?.middle() - front.head).dot(front.axis.direction))
        }
        Formula::GripDifference(coordinate) => {
            let (left, right) = (hands?.grip(Side::Left), hands?.grip(Side::Right));
            let mirrored = super::vector::Vector::new(right.x, -right.y, right.z);
            Some(coordinate.of(left - mirrored))
        }
        Formula::SaddleToGrips => Some(hands?.middle().x - saddle?.x),
        Formula::SaddleToGripDrop => Some(saddle?.z - hands?.middle().z),
        Formula::Trail => trail(numbers),
        Formula::FingerLeverage(side) => ratio(numbers, LEVER_FINGER, LEVER_BLADE, side),
        Formula::BiteShare(side) => ratio(numbers, LEVER_BITE, LEVER_REACH, side),
    }
}

fn trail<N: Number>(numbers: &dyn Lookup<N>) -> Option<N> {
    let (sine, cosine) = radians(bike(numbers, FRAME_HEAD_ANGLE)?).sin_cos();
    Some((bike(numbers, FRAME_WHEEL_RADIUS)? * cosine - bike(numbers, FRAME_FORK_OFFSET)?) / sine)
}

fn ratio<N: Number>(numbers: &dyn Lookup<N>, above: Row, below: Row, side: Side) -> Option<N> {
    Some(numbers.get(&MeasureId::of(above, side))? / numbers.get(&MeasureId::of(below, side))?)
}

impl Coordinate {
    fn of<N>(self, vector: super::vector::Vector<N>) -> N {
        match self {
            Coordinate::X => vector.x,
            Coordinate::Y => vector.y,
            Coordinate::Z => vector.z,
        }
    }
}
