//! THE LIST of joints: everything that can be loosened, in the order a mechanic puts a bike together.
//!
//! Orders, proofs and preparations are common practice, no source.

use super::super::measure::Weight::{Comfort, Handling, SteeringAndBrakes};
use super::super::table;
use super::{Apart, FreeHalf, Grasp, Joint, Look, Occasion, Shows};

const LOAN: &[Occasion] = &[Occasion::Loan];
const BOTH: &[Occasion] = &[Occasion::Flight, Occasion::Loan];

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
    sits_on: &[],
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
        sits_on: &["saddle", "seatpost"],
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
        sits_on: &["front-wheel"],
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
        sits_on: &["rear-wheel"],
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
        sits_on: &["fork"],
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
        sits_on: &["frame"],
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
        sits_on: &["fork"],
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
        sits_on: &["frame"],
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
