//! Two changes, each safe by itself, that are dangerous together: the merge decides neither.

use crate::harness::flowing;
use crate::merged_texts::merged;
use crate::texts::{RACE, changed};

/// Both ways round: what is in conflict, and what is told.
fn both_ways(base: &str, one: &str, other: &str, about: &[&str], danger: &str) {
    for (ours, theirs) in [(one, other), (other, one)] {
        let (bench, outcome, text) = merged(base, ours, theirs);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
        let said = flowing(&outcome.out);
        assert!(said.contains(&format!("Dangerous together: {danger}")), "{danger}\n{said}");
        assert_eq!(said.matches("Dangerous together").count(), 1, "{}", outcome.screen());
        assert_eq!(text.matches("conflict \"").count(), about.len(), "{text}");
        for about in about {
            assert!(text.contains(&format!("conflict \"{about}\" {{")), "{about}\n{text}");
        }
        assert_eq!(bench.run(&["check"]).status, 1);
    }
}

#[test]
fn spacers_and_a_taller_stem_do_not_put_the_clamp_past_the_steerer() {
    // Cover 9, below 15, clamp 40, above 5: everything ends at 69 mm. A spacer put below, 9 + 20 + 40 + 0, and a taller stem,
    // 9 + 15 + 45 + 0, end there, too; both together at 9 + 20 + 45 + 0 = 74 mm.
    let spacer =
        changed(RACE, &[("spacers-below 15", "spacers-below 20"), ("spacers-above 5", "spacers-above 0")]);
    let taller =
        changed(RACE, &[("clamp-height 40", "clamp-height 45"), ("spacers-above 5", "spacers-above 0")]);
    let danger = "the stem's clamp ends 5.00 ± ";
    both_ways(RACE, &spacer, &taller, &["steerer.spacers-below", "stem.clamp-height"], danger);
    // Beside a spacer of 5 mm that stays above, the taller stem ends where the steerer did.
    let above = changed(RACE, &[("clamp-height 40", "clamp-height 45")]);
    let below = changed(RACE, &[("rebound 7", "rebound 9")]);
    assert_eq!(merged(RACE, &above, &below).1.status, 0);
}

#[test]
fn a_lever_turned_on_one_side_and_a_bar_rolled_on_the_other_are_decided_together() {
    // The mean of -1.5, -1.0 and -1.5 is -1.33, that of 2.5, 3.0 and 2.5 is 2.67: 4.0° further forward. A lever that reads 7°
    // less on it was turned 7 + 4 = 11° on the bar, if it was read behind the roll; nobody knows whether it was.
    let rolled = changed(RACE, &[("roll -1.5 -1.0 -1.5", "roll 2.5 3.0 2.5")]);
    let turned = changed(
        RACE,
        &[(
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 32",
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 25",
        )],
    );
    for (ours, theirs, whose) in [(&rolled, &turned, "theirs"), (&turned, &rolled, "ours")] {
        let (_, outcome, text) = merged(RACE, ours, theirs);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
        assert!(
            text.contains("conflict \"right.brake-lever.angle\" {") && text.contains("roll 2.5 3.0 2.5"),
            "{text}"
        );
        let said = flowing(&outcome.out);
        let why =
            format!("Only {whose} changed it, on the bar before the other side rolled that: read it again.");
        assert!(said.contains(&why), "{said}");
        assert_eq!(text.matches("conflict \"").count(), 1, "{text}");
    }
    // Read three days after the bar was: it went along by the 4.0°.
    let along = changed(
        RACE,
        &[(
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 32",
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 36 read=\"2031-05-05\"",
        )],
    );
    for (ours, theirs) in [(&rolled, &along), (&along, &rolled)] {
        let (_, outcome, text) = merged(RACE, ours, theirs);
        assert!(
            outcome.status == 0 && text.contains("angle 36") && text.contains("roll 2.5"),
            "{}",
            outcome.screen()
        );
    }
}

#[test]
fn what_has_nothing_to_do_with_one_another_is_merged() {
    let left = "left {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle ";
    let right = left.replace("left {", "right {");
    let one = changed(RACE, &[(&format!("{left}32"), &format!("{left}28"))]);
    let other = changed(RACE, &[(&format!("{right}32"), &format!("{right}25"))]);
    assert_eq!(merged(RACE, &one, &other).1.status, 0, "each tells of its own lever");
    let further = changed(
        RACE,
        &[(
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168",
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 158",
        )],
    );
    assert_eq!(merged(RACE, &further, &other).1.status, 0, "and of its angle and its place");
}

#[test]
fn a_hose_of_one_side_and_the_front_brake_of_the_other_are_decided_together() {
    // A hose to the rear brake leaves the left lever: whoever has the front brake on the left has it on another lever.
    let start = RACE.find("    hose \"rear brake\" {").expect("a hose");
    let end = start + RACE[start..].find("    torque").expect("its end");
    let base = [&RACE[..start], &RACE[end..]].concat();
    let left = changed(&base, &[("front-brake right", "front-brake left")]);
    let about = ["rider.front-brake", "hose.rear brake"];
    both_ways(&base, RACE, &left, &about, "");
}
