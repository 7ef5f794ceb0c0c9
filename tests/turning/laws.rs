//! Laws that hold whatever the numbers.

use clampmark::catalogue::Side;
use clampmark::geometry::turning::{Way, turning};

use super::support::{USUAL, control, near, setup, state, turned, usual};

#[test]
fn a_symmetric_bike_turns_alike_to_both_sides() {
    for stop in ["", "steering-stop 75;"] {
        let turning = turned(&usual(stop, 0.0));
        for name in ["brake-lever", "lockout"] {
            let left = control(&turning, &format!("left.{name}"));
            let right = control(&turning, &format!("right.{name}"));
            mirrored(&left.left, &right.right);
            mirrored(&left.right, &right.left);
        }
    }
}

fn mirrored(one: &Way, other: &Way) {
    near(one.least, other.least, 1e-9);
    near(one.uncertainty, other.uncertainty, 1e-9);
    near(one.at, -other.at, 1e-6);
    assert_eq!(one.contact.is_some(), other.contact.is_some());
    near(one.contact.unwrap_or(0.0), -other.contact.unwrap_or(0.0), 1e-6);
}

#[test]
fn a_twisted_stem_shifts_every_angle_of_a_control_without_offsets() {
    // The twist turns the bar about the steering axis as the steering does, so what happened at φ happens at φ − τ.
    let straight = turned(&usual("", 0.0));
    for twist in [-6.0, 2.5, 9.0] {
        let twisted = turned(&usual("", twist));
        for (name, side) in [("left.lockout", Side::Left), ("right.lockout", Side::Right)] {
            let before = control(&straight, name).way(side);
            let after = control(&twisted, name).way(side);
            near(after.least, before.least, 1e-8);
            near(after.at, before.at - twist, 1e-4);
        }
    }
}

#[test]
fn a_twisted_stem_shifts_a_contact_alike() {
    // A low bar, and a thick tube that falls less steeply than the bar's plane of turn, so that they meet.
    let low = |twist| {
        turned(
            &usual("", twist)
                .replace("slope 32; diameter 42;", "slope 18; diameter 90;")
                .replace("rise 25", "rise -40"),
        )
    };
    let (before, after) = (low(0.0), low(4.0));
    let contact = |turning| control(turning, "left.lockout").left.contact.expect("a contact");
    near(contact(&after), contact(&before) - 4.0, 1e-5);
    let contact = |turning| control(turning, "right.lockout").right.contact.expect("a contact");
    near(contact(&after), contact(&before) - 4.0, 1e-5);
}

#[test]
fn inches_give_the_same_millimetres() {
    // 1 in = 25.4 mm exactly. The tolerance of a reading is the measure's own, in mm, whatever the unit written.
    let inches = USUAL
        .replace("reach 470", "reach (in)18.503937007874016")
        .replace("stack 630", "stack (in)24.803149606299213")
        .replace("length 50", "length (in)1.968503937007874")
        .replace("width 780", "width (in)30.708661417322835")
        .replace("diameter 42", "diameter (in)1.6535433070866142")
        .replace("from-tip=196", "from-tip=(in)7.716535433070866")
        .replace("drop=38", "drop=(in)1.4960629921259843")
        .replace("free 420", "free (in)16.535433070866141");
    assert_ne!(inches, *USUAL);
    let (metric, imperial) = (turned(&USUAL), turned(&inches));
    for (one, other) in metric.controls.iter().zip(&imperial.controls) {
        for (one, other) in one.ways().into_iter().zip(other.ways()) {
            near(one.least, other.least, 1e-9);
            near(one.uncertainty, other.uncertainty, 1e-9);
            near(one.at, other.at, 1e-6);
        }
    }
    near(metric.hoses[0].slack.unwrap(), imperial.hoses[0].slack.unwrap(), 1e-9);
    near(metric.hoses[0].uncertainty.unwrap(), imperial.hoses[0].uncertainty.unwrap(), 1e-9);
}

#[test]
fn what_is_missing_is_named() {
    let without = USUAL.replace("slope 32; ", "").replace("bend 90;", "").replace("down=55 ", "");
    let turning = turned(&without);
    assert!(turning.controls.is_empty() && turning.hoses.is_empty());
    let needs = |part: &str| {
        let missing = turning.missing.iter().find(|missing| missing.part == part);
        missing.map(|missing| missing.needs.clone()).unwrap_or_default()
    };
    assert_eq!(needs("left.brake-lever"), ["frame.top-tube.slope", "bar.setback", "bar.bend"]);
    assert_eq!(needs("hose.rear brake"), ["hose.rear brake.enters.down", "bar.setback", "bar.bend"]);
}

#[test]
fn a_control_without_a_lowest_point_is_named() {
    let turning = turned(&USUAL.replace("lowest from-tip=190 drop=0 ahead=0; }", "}"));
    assert_eq!(turning.controls.len(), 2);
    let missing: Vec<&str> = turning.missing.iter().map(|missing| missing.part.as_str()).collect();
    assert_eq!(missing, ["left.lockout", "right.lockout"]);
    assert_eq!(
        turning.missing[0].needs,
        ["left.lockout.lowest.1.from-tip", "left.lockout.lowest.1.drop", "left.lockout.lowest.1.ahead"]
    );
}

#[test]
fn an_unmeasured_stop_is_no_stop_and_is_named() {
    let setup = setup(&usual("steering-stop unmeasured;", 0.0));
    let turning = turning(&state(&setup));
    assert_eq!((turning.stop, turning.turned), (None, 180.0));
    assert!(turning.missing.iter().any(|missing| missing.part == "frame.steering-stop"));
}

#[test]
fn what_is_counted_as_usual_and_taken_straight_on_is_said() {
    let turning = turned(
        &USUAL.replace("headset { cover 9; }", "").replace("lowest from-tip=190", "lowest from-tip=310"),
    );
    assert_eq!(turning.assumed, ["headset.cover"]);
    // The straight outer part is (780/2 − 90)·√(1 + tan² 8° + tan² 5°) = 300·1.01362 = 304.1 mm long.
    assert_eq!(turning.continued, ["left.lockout.lowest.1.from-tip", "right.lockout.lowest.1.from-tip"]);
}
