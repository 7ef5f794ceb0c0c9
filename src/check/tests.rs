//! What the examples cannot show: acknowledgement, as-found sheets, and where a rule keeps silent.

mod impossible;

use super::check;
use crate::catalogue::Catalogue;
use crate::catalogue::code::Severity;
use crate::setup::finding::Finding;
use crate::setup::read::read;

fn found(text: &str) -> Vec<Finding> {
    let catalogue = Catalogue::standard();
    check(catalogue, &read(catalogue, text.as_bytes(), None), None)
}

fn setup(inside: &str) -> Vec<Finding> {
    found(&format!("setup \"rowan/race\" format=1 {{\nmeasured \"2026-05-02\"\n{inside}\n}}\n"))
}

/// The codes found, without the missing measures and marks that every fragment of a setup has.
fn codes(findings: &[Finding]) -> Vec<&'static str> {
    // Advice on sharing a clamp has its own tests.
    let aside = ["missing-measure", "position-without-mark", "shared-clamp"];
    findings.iter().map(|finding| finding.code.name).filter(|name| !aside.contains(name)).collect()
}

const WHOLE: &str = "frame { reach 470; stack 630; head-angle 64.5; }
    stem { length 50; angle 0; clamp-height 40; }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; }
    left { grip { hand 62; }; }
    right { grip { hand 62; }; }
    torque \"stem-steerer\" 5 6 { caution \"Preload first.\"; }";

#[test]
fn a_whole_setup_has_no_findings() {
    assert_eq!(setup(WHOLE), []);
}

#[test]
fn each_missing_measure_is_found_once() {
    // Taken away by hand: the head angle, the bend (which `setback` could replace) and one hand.
    let holed = WHOLE.replace("head-angle 64.5;", "").replace("bend 90;", "").replacen("hand 62;", "", 1);
    let measures: Vec<Option<String>> = setup(&holed).into_iter().map(|finding| finding.measure).collect();
    for expected in ["frame.head-angle", "bar.setback", "left.grip.hand"] {
        assert!(measures.contains(&Some(expected.to_owned())), "{expected} in {measures:?}");
    }
    assert_eq!(measures.len(), 3);
    // The other of two alternatives, and a measure said to be unmeasured, are not missing.
    assert_eq!(setup(&WHOLE.replace("bend 90", "setback 40")), []);
    assert_eq!(codes(&setup(&WHOLE.replace("head-angle 64.5", "head-angle unmeasured"))), ["unmeasured"]);
    assert!(setup(&WHOLE.replace("head-angle 64.5", "head-angle unmeasured")).len() == 1);
}

#[test]
fn an_acknowledged_caution_is_silent() {
    let lever = "left { brake-lever { from-tip 168; blade 74; finger 76; }; }
        torque \"left.brake-lever\" 2 4 { caution \"Low end.\"; }";
    assert_eq!(codes(&setup(lever)), ["finger-beyond-blade"]);
    let accepted = format!("{lever}\naccept finger-beyond-blade \"Blade with a hooked end\"");
    assert_eq!(codes(&setup(&accepted)), Vec::<&str>::new());
}

#[test]
fn an_acknowledged_fault_is_still_a_fault() {
    let findings = setup("saddle { height 400; setback 400; }\naccept saddle-impossible \"It is like that\"");
    assert_eq!(codes(&findings), ["saddle-impossible", "accept-fault"]);
    assert_eq!(findings.iter().filter(|finding| finding.severity == Severity::Fault).count(), 1);
    // Nor can the acknowledgement itself be acknowledged away.
    let findings = setup(
        "saddle { height 400; setback 400; }
        accept saddle-impossible \"It is like that\"
        accept accept-fault \"And that too\"",
    );
    assert_eq!(codes(&findings), ["saddle-impossible", "accept-fault", "accept-unused"]);
}

#[test]
fn a_sheet_is_not_asked_for_what_was_not_looked_at() {
    let sheet = "found \"rowan/race\" format=1 {
        measured \"2026-05-09\"
        stem { twist 1; }
        left { brake-lever { angle 28; }; }
        right { shifter { mount shared slot=inner; }; }
    }";
    assert_eq!(codes(&found(sheet)), Vec::<&str>::new());
    assert_eq!(codes(&found(&sheet.replace("measured \"2026-05-09\"", ""))), ["no-date"]);
}

#[test]
fn a_shared_clamp_needs_a_lever() {
    let shared = "right { shifter { mount shared slot=inner; angle 41; }; }";
    assert_eq!(codes(&setup(shared)), ["slot-without-shared"]);
}

#[test]
fn a_clamp_on_carbon_must_say_so_unless_it_squeezes_nothing() {
    let torque = |joint: &str, caution: &str| {
        format!(
            "bar {{ material carbon; }}
            frame {{ material carbon; }}
            right {{ brake-lever {{ from-tip 168; }}; shifter {{ mount shared slot=inner; }}; }}
            torque \"right.brake-lever\" 2 4 {{ caution \"On CARBON: low end.\"; }}
            torque \"{joint}\" 4 5 {{ caution \"{caution}\"; }}"
        )
    };
    assert_eq!(codes(&setup(&torque("stem-face", "Even gap."))), ["torque-carbon"]);
    assert_eq!(codes(&setup(&torque("seat-clamp", "Even gap."))), ["torque-carbon"]);
    assert_eq!(codes(&setup(&torque("stem-face", "Carbon bar: paste."))), Vec::<&str>::new());
    // Pedals squeeze neither bar nor frame; the shifter sits on the lever's clamp.
    assert_eq!(codes(&setup(&torque("left.pedal", "Left-hand thread."))), Vec::<&str>::new());
    assert_eq!(codes(&setup(&torque("right.shifter", "Low end."))), Vec::<&str>::new());
}

#[test]
fn a_blank_caution_is_none() {
    let torque =
        |caution: &str| codes(&setup(&format!("torque \"stem-face\" 4 5 {{ caution \"{caution}\"; }}")));
    assert_eq!(torque("Even gap."), Vec::<&str>::new());
    assert_eq!(torque(""), ["torque-without-caution"]);
    assert_eq!(torque(" \\n "), ["torque-without-caution"]);
}

#[test]
fn levers_and_remotes_may_slip_and_nothing_else() {
    let slipping = |joint: &str| {
        codes(&setup(&format!("torque \"{joint}\" 2 4 {{ slips-in-a-crash; caution \"Low end.\"; }}")))
    };
    for joint in ["left.brake-lever", "right.shifter", "left.dropper-remote", "right.lockout"] {
        assert_eq!(slipping(joint), Vec::<&str>::new(), "{joint}");
    }
    for joint in ["stem-face", "stem-steerer", "left.grip", "seat-clamp", "left.pedal"] {
        assert_eq!(slipping(joint), ["torque-slips"], "{joint}");
    }
}

#[test]
fn the_limits_of_a_torque_belong_to_it() {
    // 3.5 N·m is the bar's limit and is still allowed; 3.6 is not; 2.4 is below 2.5.
    let applied = |figure: &str| {
        codes(&setup(&format!(
            "torque \"left.brake-lever\" 2.5 4 {{ ceiling \"bar\" 3.5; applied {figure}; caution \"Low end.\"; }}"
        )))
    };
    assert_eq!(applied("3.5"), Vec::<&str>::new());
    assert_eq!(applied("2.5"), Vec::<&str>::new());
    assert_eq!(applied("3.6"), ["torque-applied-above"]);
    assert_eq!(applied("2.4"), ["torque-applied-below"]);
    // A ceiling at the range's very beginning leaves that one torque.
    let narrow = "torque \"stem-face\" 4 5 { ceiling \"bar\" 4; caution \"Even gap.\"; }";
    assert_eq!(codes(&setup(narrow)), Vec::<&str>::new());
}

#[test]
fn one_wrench_that_fits_is_enough() {
    // 5 to 5.5 N·m: 6 % leaves nothing (5.30 above 5.17), 4 % does (5.20 to 5.28).
    let torque = "torque \"stem-face\" 5 5.5 { caution \"Even gap.\"; }";
    let with = |wrenches: &str| codes(&setup(&format!("instruments {{ {wrenches} }}\n{torque}")));
    assert_eq!(with("coarse tol-percent=6;"), ["torque-wrench-deviation"]);
    assert_eq!(with("coarse tol-percent=6; fine tol-percent=4 high=5.1;"), ["torque-wrench-deviation"]);
    assert_eq!(with("coarse tol-percent=6; fine tol-percent=4 low=2 high=14;"), Vec::<&str>::new());
}

#[test]
fn findings_come_in_the_order_of_the_text() {
    let findings = found("setup \"rowan/race\" format=1 {\nbar { widht 780; bend unmeasured; }\n}\n");
    let starts: Vec<u32> =
        findings.iter().filter_map(|finding| finding.span.map(|span| span.start)).collect();
    assert!(starts.is_sorted(), "{starts:?}");
    assert_eq!(starts.len(), findings.len());
}

#[test]
fn clamps_grips_and_saws_are_judged_beyond_reading() {
    // U = 2·√(sum of a²/3). Place ± 0.5 and grip ± 1: 1.2910. Two places ± 0.5: 0.8165, of 8 mm. Two widths ± 1: 1.6330.
    for (code, quiet, loud) in [
        (
            "control-inside-grip",
            "left { grip { length 134 }; brake-lever { from-tip 132.8 } }",
            "left { grip { length 134 }; brake-lever { from-tip 132.7 } }",
        ),
        (
            "clamps-overlap",
            "left { brake-lever { from-tip 168 }; lockout { from-tip 160.8 } }",
            "left { brake-lever { from-tip 168 }; lockout { from-tip 160.9 } }",
        ),
        (
            "bar-wider-than-supplied",
            "bar { width 781.6; supplied-width 780 }",
            "bar { width 781.7; supplied-width 780 }",
        ),
    ] {
        assert!(!codes(&setup(quiet)).contains(&code), "{code}: {quiet}");
        assert!(codes(&setup(loud)).contains(&code), "{code}: {loud}");
    }
    // What shares the lever's clamp begins where the lever does.
    let shared =
        "left { grip { length 134 }; brake-lever { from-tip 168 }; lockout { mount shared slot=inner } }";
    assert!(!codes(&setup(shared)).contains(&"clamps-overlap"));
}

#[test]
fn a_value_that_cannot_be_read_is_not_called_missing_too() {
    let lever = |place: &str| {
        format!(
            "right {{ brake-lever {{ from-tip {place}; }}; }}
            torque \"right.brake-lever\" 2 4 {{ caution \"Low end.\"; }}"
        )
    };
    assert_eq!(codes(&setup(&lever("168"))), Vec::<&str>::new());
    for (place, code) in [
        ("1680", "off-span"),
        ("far", "not-a-number"),
        ("(deg)168", "wrong-unit"),
        ("(ell)2", "unknown-unit"),
    ] {
        assert_eq!(codes(&setup(&lever(place))), [code], "{place}");
    }
    // The same of what the grip points need.
    assert_eq!(codes(&setup(&WHOLE.replace("head-angle 64.5", "head-angle 645"))), ["off-span"]);
    // Whoever names no place at all is still asked for one.
    assert_eq!(codes(&setup(&lever("168").replace("from-tip 168", "angle 32"))), ["control-without-place"]);
}
