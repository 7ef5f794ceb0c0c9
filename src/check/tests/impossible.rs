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
