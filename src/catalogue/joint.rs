//! THE LIST of joints: everything that can be loosened, in the order a mechanic puts a bike together,
//! and the controls that sit on the bar.
//!
//! Orders, proofs and preparations are common practice, no source.

mod control;
mod shows;

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::measure::Weight;
use super::measure::Weight::{Comfort, Handling, SteeringAndBrakes};
use super::table::{self, Row};
use super::{Catalogue, MeasureId, Side};
pub use control::{CONTROLS, Control, is_control_angle, left_by};
pub use shows::Shows;

/// What a bike has come back from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Occasion {
    /// Boxed: joints that travel opens, and the tyres.
    Flight,
    /// Ridden by somebody else, who may have crashed and not say so: everything that a person would turn.
    Loan,
}

const LOAN: &[Occasion] = &[Occasion::Loan];
const BOTH: &[Occasion] = &[Occasion::Flight, Occasion::Loan];

/// Something to look over, because no figure tells of it.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// The part that comes loose at the joint, where the look is at the part and not at the joint itself.
    part: Option<(&'static str, &'static str)>,
    /// When.
    pub after: &'static [Occasion],
}

impl Look {
    /// At the joint: good is what proves it done.
    const fn itself(after: &'static [Occasion]) -> Look {
        Look { part: None, after }
    }

    /// At a part, and what is so where it is good.
    const fn of(part: &'static str, good: &'static str, after: &'static [Occasion]) -> Look {
        Look { part: Some((part, good)), after }
    }
}

/// A joint taken apart.
#[derive(Clone, Copy, Debug)]
pub struct Apart {
    /// What then is not held, and has to be.
    pub then: &'static str,
    /// In which order it comes apart and together again.
    pub order: &'static str,
    /// What carries the other half of a line across it, where that is free to turn once it is apart.
    pub line_on: Option<FreeHalf>,
}

/// What carries one half of a line and turns freely while the joint is apart.
#[derive(Clone, Copy, Debug)]
pub struct FreeHalf {
    /// Which part: "a spacer or the top cap".
    pub on: &'static str,
    /// When it turned, as a note says it afterwards: "the stem was off or loose".
    pub when: &'static str,
}

/// How firmly a joint has to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grasp {
    /// Whatever happens.
    Firm,
    /// A clamp that may be left just tight enough to turn in a crash.
    MaySlip,
    /// A part that some bikes have without a bolt: where no torque is written it may need none.
    MayHaveNoBolt,
}

/// One clamped or bolted connection.
#[derive(Clone, Debug)]
pub struct Joint {
    /// `SIDE.brake-lever`; `SIDE` stands for left or right.
    pub name: &'static str,
    /// In plain words, without its side.
    pub title: &'static str,
    /// What it does to a rider when it slips.
    pub weight: Weight,
    /// Opened, turned or taken off when the bike is boxed.
    pub opened_for_travel: bool,
    /// What is looked over here, figures apart, when the bike comes back.
    pub looked_over: &'static [Look],
    /// The row that says what the squeezed part is made of, where a clamp can crush it.
    pub squeezes: Option<Row>,
    /// The part, by its group, whose maker gives its range; none where the clamped control or the joint's own maker does.
    pub range_of: Option<&'static str>,
    /// The parts, by their groups, whose makers limit its torque: with another of them the old limit is void.
    pub limited_by: &'static [&'static str],
    /// The parts without a joint of their own that come loose here: their damage stops the work at it.
    pub holds: &'static [&'static str],
    /// What a line across it can show.
    pub shows: Shows,
    /// The joint that holds what this one is squared by, which has to be in before.
    pub squared_by: Option<&'static str>,
    /// A brake whose lever is pulled while this is apart closes on nothing.
    pub carries_braking: bool,
    /// How firmly it has to hold.
    pub grasp: Grasp,
    /// What it may do to a rider where it is too slack, in words that follow its title.
    pub if_slack: &'static str,
    /// What to mind where it comes apart, and not only loose.
    pub apart: Option<Apart>,
    /// What must be right before this joint is tightened.
    pub before: &'static str,
    /// What shows that it is done.
    pub proof: &'static str,
}

/// What most joints have, so that each says only what is its own.
const PLAIN: Joint = Joint {
    name: "",
    title: "",
    weight: Handling,
    opened_for_travel: false,
    looked_over: &[],
    squeezes: None,
    range_of: None,
    limited_by: &[],
    holds: &[],
    shows: Shows::NOTHING,
    squared_by: None,
    carries_braking: false,
    grasp: Grasp::Firm,
    if_slack: "",
    apart: None,
    before: "",
    proof: "",
};

/// The standard joints, in working order.
pub static JOINTS: &[Joint] = &[
    Joint {
        name: "stem-steerer",
        title: "stem on steerer",
        weight: SteeringAndBrakes,
        opened_for_travel: true,
        looked_over: &[
            Look::itself(BOTH),
            Look::of("frame", "No crack, dent or wrinkle; look behind the head tube above all.", BOTH),
            Look::of("fork", "Legs straight, no crack; look at the crown and the axle above all.", LOAN),
        ],
        range_of: Some("stem"),
        limited_by: &["stem"],
        holds: &["stem", "steerer", "headset", "fork", "frame"],
        shows: Shows::TWIST,
        squared_by: Some("front-axle"),
        if_slack: "it may turn on the steerer",
        apart: Some(Apart {
            then: "Front wheel on the floor and the fork held: with the top cap and the stem off nothing holds the fork, and it drops out.",
            order: "Undo the top cap, loosen the stem bolts, lift the stem off, put right what goes on the steerer, stem and top cap back on.",
            line_on: Some(FreeHalf { on: "a spacer or the top cap", when: "the stem was off or loose" }),
        }),
        before: "Set the bearing preload at the top cap first, stem bolts loose: no play, bars fall freely to both sides.",
        proof: "Bar square, sighted along the front wheel; it does not turn against the wheel by hand. Wheels in, front brake on: no knock.",
        ..PLAIN
    },
    Joint {
        name: "stem-face",
        title: "bar in stem",
        weight: SteeringAndBrakes,
        opened_for_travel: true,
        looked_over: &[Look::of(
            "bar",
            "Straight, no score, crease or dent; look beside every clamp above all.",
            BOTH,
        )],
        squeezes: Some(table::BAR_MATERIAL),
        range_of: Some("stem"),
        limited_by: &["stem", "bar"],
        holds: &["bar"],
        shows: Shows::roll(&[table::BAR_OFFSET]),
        if_slack: "the bar may roll under the hands",
        apart: Some(Apart {
            then: "The bar held: with the face plate off nothing holds it, and it hangs by its hoses.",
            order: "Loosen the bolts in turn, plate off, bar out; plate back on, every bolt started by hand.",
            line_on: None,
        }),
        before: "Look the bar over, all of it: a scored or creased bar goes no further.",
        proof: "Gaps above and below the bar alike; leaning hard on both grips does not roll the bar.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.brake-lever",
        title: "brake lever",
        weight: SteeringAndBrakes,
        opened_for_travel: true,
        looked_over: &[Look::itself(BOTH)],
        squeezes: Some(table::BAR_MATERIAL),
        limited_by: &["bar"],
        shows: Shows::control(table::LEVER_ANGLE, &[table::LEVER_FROM_TIP]),
        grasp: Grasp::MaySlip,
        if_slack: "it may turn under braking",
        before: "Set the lever before anything that shares the bar with it.",
        proof: "With the wheels in and pulled hard, the lever bites before the grip and its clamp does not turn.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.shifter",
        title: "shifter",
        weight: Handling,
        opened_for_travel: true,
        squeezes: Some(table::BAR_MATERIAL),
        limited_by: &["bar"],
        shows: Shows::control(table::SHIFTER_ANGLE, &[table::SHIFTER_FROM_TIP]),
        grasp: Grasp::MaySlip,
        if_slack: "it may turn on the bar",
        before: "Brake lever first, then the shifter.",
        proof: "Both paddles reach their full throw and nothing turns on the bar.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.dropper-remote",
        title: "dropper remote",
        weight: Handling,
        opened_for_travel: true,
        squeezes: Some(table::BAR_MATERIAL),
        limited_by: &["bar"],
        shows: Shows::control(table::DROPPER_ANGLE, &[table::DROPPER_FROM_TIP]),
        grasp: Grasp::MaySlip,
        if_slack: "it may turn on the bar",
        before: "Brake lever and shifter first, then the remote.",
        proof: "The post drops and returns, and the remote does not turn on the bar.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.lockout",
        title: "lockout",
        weight: Handling,
        opened_for_travel: true,
        squeezes: Some(table::BAR_MATERIAL),
        limited_by: &["bar"],
        shows: Shows::control(table::LOCKOUT_ANGLE, &[table::LOCKOUT_FROM_TIP]),
        grasp: Grasp::MaySlip,
        if_slack: "it may turn on the bar",
        before: "Brake lever and shifter first, then the lockout.",
        proof: "It clicks both ways and does not turn on the bar.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.grip",
        title: "grip",
        weight: SteeringAndBrakes,
        opened_for_travel: false,
        looked_over: &[Look::itself(LOAN)],
        squeezes: Some(table::BAR_MATERIAL),
        grasp: Grasp::MayHaveNoBolt,
        range_of: Some("grip"),
        limited_by: &["grip", "bar"],
        shows: Shows::sliding(&[table::GRIP_HAND]),
        if_slack: "it may turn or slide off under the hand",
        before: "Controls in place first.",
        proof: "Twisted hard with both hands, the grip stays where it is.",
        ..PLAIN
    },
    Joint {
        name: "seat-clamp",
        title: "seat clamp",
        weight: Comfort,
        opened_for_travel: true,
        looked_over: &[Look::itself(BOTH)],
        squeezes: Some(table::FRAME_MATERIAL),
        holds: &["saddle", "seatpost"],
        if_slack: "the saddle may sink or turn",
        before: "Post inserted past its mark.",
        proof: "The saddle does not turn when twisted by hand.",
        ..PLAIN
    },
    Joint {
        name: "saddle-rails",
        title: "saddle on its rails",
        weight: Comfort,
        opened_for_travel: false,
        if_slack: "the saddle may tip",
        before: "Rails centred in the clamp.",
        proof: "Leaning on nose and tail does not tip it.",
        ..PLAIN
    },
    Joint {
        name: "front-rotor",
        title: "front rotor",
        weight: SteeringAndBrakes,
        opened_for_travel: false,
        looked_over: &[Look::itself(BOTH)],
        carries_braking: true,
        if_slack: "it may come loose under braking",
        before: "Rotor and pads free of grease.",
        proof: "Every bolt is tight; spun by hand, the rotor runs true.",
        ..PLAIN
    },
    Joint {
        name: "rear-rotor",
        title: "rear rotor",
        weight: SteeringAndBrakes,
        opened_for_travel: false,
        looked_over: &[Look::itself(BOTH)],
        carries_braking: true,
        if_slack: "it may come loose under braking",
        before: "Rotor and pads free of grease.",
        proof: "Every bolt is tight; spun by hand, the rotor runs true.",
        ..PLAIN
    },
    Joint {
        name: "front-axle",
        title: "front axle",
        weight: SteeringAndBrakes,
        opened_for_travel: true,
        looked_over: &[Look::itself(BOTH)],
        holds: &["front-wheel"],
        carries_braking: true,
        if_slack: "the wheel may come loose",
        before: "Wheel seated fully in the fork, rotor between the pads.",
        proof: "The wheel spins freely, has no play, and the brake bites.",
        ..PLAIN
    },
    Joint {
        name: "rear-axle",
        title: "rear axle",
        weight: SteeringAndBrakes,
        opened_for_travel: true,
        looked_over: &[Look::itself(BOTH)],
        holds: &["rear-wheel"],
        carries_braking: true,
        if_slack: "the wheel may come loose",
        before: "Wheel seated fully in the frame, rotor between the pads.",
        proof: "The wheel spins freely, has no play, and the brake bites.",
        ..PLAIN
    },
    Joint {
        name: "front-brake-mount",
        title: "front brake on its mount",
        weight: SteeringAndBrakes,
        opened_for_travel: false,
        looked_over: &[Look::itself(BOTH)],
        carries_braking: true,
        if_slack: "it may come loose under braking",
        before: "Pull the lever and hold it while the bolts are drawn down, so that the pads centre.",
        proof: "The rotor runs free between the pads and the brake bites without a knock.",
        ..PLAIN
    },
    Joint {
        name: "rear-brake-mount",
        title: "rear brake on its mount",
        weight: SteeringAndBrakes,
        opened_for_travel: false,
        looked_over: &[Look::itself(BOTH)],
        carries_braking: true,
        if_slack: "it may come loose under braking",
        before: "Pull the lever and hold it while the bolts are drawn down, so that the pads centre.",
        proof: "The rotor runs free between the pads and the brake bites without a knock.",
        ..PLAIN
    },
    Joint {
        name: "SIDE.pedal",
        title: "pedal",
        weight: Handling,
        opened_for_travel: true,
        looked_over: &[Look::itself(BOTH)],
        if_slack: "it may come out of the crank",
        before: "Left pedal has a left-hand thread; start both by hand.",
        proof: "No play, and the crank does not creak under a standing rider.",
        ..PLAIN
    },
];

/// The joint of that name (`left.brake-lever` finds `SIDE.brake-lever`), with its place in working order.
pub fn find(name: &str) -> Option<(usize, &'static Joint)> {
    JOINTS.iter().enumerate().find(|(_, joint)| matches(joint.name, name))
}

/// The joint that holds a part which has none of its own.
pub fn holding(part: &str) -> Option<&'static Joint> {
    JOINTS.iter().find(|joint| joint.holds.contains(&part))
}

/// Every part that has no joint of its own and comes loose at one, in working order.
pub fn held() -> impl Iterator<Item = &'static str> {
    JOINTS.iter().flat_map(|joint| joint.holds.iter().copied())
}

/// The parts that joints hold or are limited by, each once.
pub fn parts() -> impl Iterator<Item = &'static str> {
    let all =
        JOINTS.iter().flat_map(|joint| joint.limited_by.iter().chain(joint.holds).chain(&joint.range_of));
    all.copied().collect::<BTreeSet<_>>().into_iter()
}

/// Every joint a bike can have, sides written out, in working order.
pub fn names() -> &'static [String] {
    static NAMES: LazyLock<Vec<String>> =
        LazyLock::new(|| JOINTS.iter().flat_map(|joint| super::sides_written_out(joint.name)).collect());
    &NAMES
}

/// The rotation that a line across a joint shows, and the diameter it lies on.
pub fn rotation(name: &str) -> Option<(MeasureId, MeasureId)> {
    let (_, joint) = find(name)?;
    joint.shows.rotation(name.split('.').next().and_then(Side::parse))
}

/// Whether a line across any joint shows a shift of this row: places along the bar.
pub fn shows_shift(row: Row) -> bool {
    JOINTS.iter().any(|joint| joint.shows.shifts.contains(&row))
}

/// The title of a joint by its written name, side first: "left brake lever".
pub fn title(name: &str) -> String {
    let side = name.split('.').next().filter(|word| matches!(*word, "left" | "right"));
    match (find(name), side) {
        (Some((_, joint)), Some(side)) => format!("{side} {}", joint.title),
        (Some((_, joint)), None) => joint.title.to_owned(),
        (None, _) => name.to_owned(),
    }
}

/// What carries the other half of a line across the joint of that name, where that turns freely once it is apart.
pub fn loose_half(name: &str) -> Option<&'static str> {
    Some(find(name)?.1.apart?.line_on?.on)
}

/// When that turned, as a note says it afterwards: "the stem was off or loose".
pub fn was_loose(name: &str) -> Option<&'static str> {
    Some(find(name)?.1.apart?.line_on?.when)
}

/// What slipping at the joint of that name does; of one that is not known no more than a record's.
pub fn weight(name: &str) -> Weight {
    find(name).map_or(Weight::Record, |(_, joint)| joint.weight)
}

/// Whether the joint of that name clamps the bar.
pub fn squeezes_bar(name: &str) -> bool {
    find(name).is_some_and(|(_, joint)| joint.squeezes == Some(table::BAR_MATERIAL))
}

/// Whether the joint of that name is tightened on that part: squeezes it, lets it go, or is limited by it.
pub fn clamps(catalogue: &Catalogue, name: &str, part: &str) -> bool {
    let is_of = |joint: &Joint| {
        let squeezed = joint.squeezes.map(|row| catalogue.measure(row).part());
        squeezed == Some(part) || joint.holds.contains(&part) || joint.limited_by.contains(&part)
    };
    find(name).is_some_and(|(_, joint)| is_of(joint))
}

/// Everything to look over after that, in working order: the part or joint by its written name, the joint it is at, and
/// what is so where it is good.
pub fn looked_over(after: Occasion) -> impl Iterator<Item = (String, String, &'static str)> {
    let looks = JOINTS.iter().flat_map(|joint| joint.looked_over.iter().map(move |look| (joint, look)));
    looks.filter(move |(_, look)| look.after.contains(&after)).flat_map(|(joint, look)| {
        let names = super::sides_written_out(joint.name).into_iter();
        names.map(move |name| match look.part {
            Some((part, good)) => (part.to_owned(), name, good),
            None => (name.clone(), name, joint.proof),
        })
    })
}

/// The joint of which a look at that part or joint tells that it is apart: a part that is looked over beside its joint
/// leaves it to the joint.
pub fn apart_at(on: &str) -> Option<&str> {
    if find(on).is_some() {
        return Some(on);
    }
    let joint = holding(on)?;
    let is_looked_over = joint.looked_over.iter().any(|look| look.part.is_none());
    (!is_looked_over).then_some(joint.name)
}

fn matches(pattern: &str, name: &str) -> bool {
    match pattern.strip_prefix("SIDE.") {
        Some(rest) => name.strip_prefix("left.").or_else(|| name.strip_prefix("right.")) == Some(rest),
        None => pattern == name,
    }
}
