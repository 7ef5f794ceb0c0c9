//! Cockpits that cannot be, or that nobody may ride. Expanded uncertainty of a reading of half-width a: U = 2a/√3; of
//! several, the root of the sum of squares.

use crate::setup::finding::Finding;

use super::{codes, setup};

/// Whether a code is found in a fragment of a setup.
fn has(code: &str, inside: &str) -> bool {
    codes(&setup(inside)).contains(&code)
}

fn only(code: &str, inside: &str) -> Finding {
    let mut found = setup(inside).into_iter().filter(|finding| finding.code.name == code);
    let first = found.next().unwrap_or_else(|| panic!("no {code} in {inside}"));
    assert!(found.next().is_none(), "{code} twice in {inside}");
    first
}

#[test]
fn a_brake_that_does_not_bite_is_a_fault() {
    let lever = |bite: &str| format!("left {{ brake-lever {{ from-tip 168; reach 62; bite {bite}; }}; }}");
    // Read ± 1: U = 1.1547; ± 0.5: 0.5774.
    for (bite, is_said) in [
        ("0", true),
        ("1.1", true),
        ("1.2", false),
        ("34", false),
        ("0.6 tol=0.5", false),
        ("0.5 tol=0.5", true),
    ] {
        assert_eq!(has("bite-at-grip", &lever(bite)), is_said, "{bite}");
    }
    let said = only("bite-at-grip", &lever("0")).message;
    assert!(
        said.starts_with("The left brake bites 0 mm from the grip: ") && said.contains("Do not ride"),
        "{said}"
    );
    assert!(only("bite-at-grip", &lever("1")).message.contains("± 1.2 mm"));
    // Below nothing is off the span, and a fault as well.
    assert!(has("off-span", &lever("-5")));
}

#[test]
fn a_stem_is_no_shorter_than_bar_and_steerer_are_thick() {
    let stem = |length: &str, angle: &str, more: &str| {
        format!("stem {{ length {length}; angle {angle}; {more}; }}\nbar {{ clamp-diameter 35.0; }}")
    };
    // (28.6 + 35)/2 = 31.8. Length ± 0.5, angle 0, both diameters ± 0.1 and by half: U = 2·√((0.25 + 2·0.0025)/3) =
    // 0.5831: 31.217.
    for (length, is_said) in [("31.3", false), ("31.2", true), ("20", true), ("50", false)] {
        assert_eq!(has("stem-too-short", &stem(length, "0", "")), is_said, "{length}");
    }
    // 34 mm rising by 25°: 34·cos 25° = 30.814 is what lies between the axes; 34·cos 17° = 32.514.
    assert!(has("stem-too-short", &stem("34", "25", "clamp-height 40")));
    assert!(!has("stem-too-short", &stem("34", "17", "clamp-height 40")));
    let said = only("stem-too-short", &stem("20", "0", "")).message;
    assert!(said.contains(" 20 mm from the steerer's") && said.contains("nearer than 31.8 mm"), "{said}");
    // 44 mm rising by 45°: 31.113 apart, and 31.113 up. Over a clamp 20 mm high the bar's underside would have to be
    // above 10: 31.113 − 17.5 = 13.613 is. Over one of 40, or falling, it is not.
    let steep = |angle: &str, clamp: &str| stem("44 tol=0.1", &format!("{angle} tol=0.1"), clamp);
    assert!(!has("stem-too-short", &steep("45", "clamp-height 20")));
    assert!(has("stem-too-short", &steep("45", "clamp-height 40")));
    assert!(has("stem-too-short", &steep("-45", "clamp-height 20")));
    // A bar of unknown thickness is as thin as may be.
    assert!(!has("stem-too-short", "stem { length 20; angle 0; }"));
}

#[test]
fn what_is_on_the_bar_has_room_beside_the_stem() {
    let lever = |bar: &str, side: &str, place: &str| {
        format!("bar {{ {bar}; }}\n{side} {{ brake-lever {{ from-tip {place}; }}; }}")
    };
    // Half of 400 less half a stem of 40 and a clamp of 8: 172. Place ± 0.5, width ± 1 by half, offset ± 0.5: U = 1.
    for (bar, side, place, is_said) in [
        ("width 400", "left", "172.9", false),
        ("width 400", "left", "173.1", true),
        // Along a bar that sweeps by 8° and 5° it is √(1 + tan² 8° + tan² 5°) = 1.0136 times as far: 181.1/1.0136 is
        // 178.7, and 21.3 are left.
        ("width 400; back-sweep 8; up-sweep 5", "left", "173.1", false),
        // Shifted to the left, the left end stands further from the stem and the right one nearer: 200 − 10 − 173 = 17.
        ("width 400; offset 10", "left", "173.1", false),
        ("width 400; offset 10", "right", "165", true),
        ("width 400", "right", "165", false),
    ] {
        assert_eq!(has("bar-too-narrow", &lever(bar, side, place)), is_said, "{bar} {side} {place}");
    }
    // A grip of 180 on a bar of 350 ends past its middle; what shares the lever's clamp has no place of its own.
    assert!(has("bar-too-narrow", "bar { width 350; }\nright { grip { length 180; }; }"));
    let shared =
        "bar { width 400; }\nright { brake-lever { from-tip 190; }; shifter { mount shared slot=inner; }; }";
    assert_eq!(only("bar-too-narrow", shared).measure.as_deref(), Some("right.brake-lever.from-tip"));
}

#[test]
fn a_clamp_in_the_bend_is_a_caution() {
    // 390 − 220 = 170 are straight; the clamp's 8. Place ± 0.5, width ± 1 by half, bend ± 5: U = 2·√(25.5/3) = 5.831.
    let lever = |place: &str| {
        format!("bar {{ width 780; bend 220; }}\nleft {{ brake-lever {{ from-tip {place}; }}; }}")
    };
    assert!(!has("clamp-in-bend", &lever("167.8")));
    assert!(has("clamp-in-bend", &lever("167.9")));
    // Where the stem is, there is no bend to speak of.
    let stem = "bar { width 380; bend 120; }\nleft { brake-lever { from-tip 190; }; }";
    assert!(has("bar-too-narrow", stem) && !has("clamp-in-bend", stem));
}

#[test]
fn a_hand_beyond_the_grip_is_a_caution() {
    // Two readings ± 1: U = 1.633.
    let hand = |hand: &str| format!("left {{ grip {{ length 134; hand {hand}; }}; }}");
    assert!(!has("hand-off-grip", &hand("135.6")));
    assert!(has("hand-off-grip", &hand("135.7")));
}

#[test]
fn a_stem_out_of_square_and_a_lever_rolled_away_are_cautions() {
    // Read ± 0.5: U = 0.5774 beyond 5°.
    let stem = |twist: &str| format!("stem {{ twist {twist}; }}");
    for (twist, is_said) in [("5.5", false), ("5.6", true), ("-5.5", false), ("-5.6", true), ("0", false)] {
        assert_eq!(has("stem-twisted", &stem(twist)), is_said, "{twist}");
    }
    assert!(only("stem-twisted", &stem("-8")).message.contains("8° to the right"));
    let lever = |floor: &str, angle: &str| {
        format!("{floor}\nleft {{ brake-lever {{ from-tip 168; angle {angle}; }}; }}")
    };
    for (angle, is_said) in [("70.5", false), ("70.6", true), ("-0.5", false), ("-0.6", true), ("32", false)]
    {
        assert_eq!(has("lever-angle-wild", &lever("", angle)), is_said, "{angle}");
    }
    // With the front wheel 3° higher a lever that is 68.5° below level would be 71.5° below it on level ground.
    assert!(!has("lever-angle-wild", &lever("", "68.5")));
    assert!(has("lever-angle-wild", &lever("floor 3", "68.5")));
}
