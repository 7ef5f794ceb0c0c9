//! A control that a sheet finds turned or slid, and whose lowest point and hose nobody read again: they went along, as `try`
//! has it.
//!
//! Recorded on level ground, with a bar without sweeps, so that the axis of the grips lies straight across the bike: the lever
//! at 32°, 168 mm in, its lowest point 196 mm in, 38 below and 44 ahead; the hose leaves 215 mm in, 30 ahead, 5 below. At 36°
//! both have turned by 4° tip down about that axis: ahead cos 4° − below sin 4°, and below cos 4° + ahead sin 4°, of cos 4° =
//! 0.997564 and sin 4° = 0.069756. The lowest point: 43.893 − 2.651 = 41.242 ahead, 37.907 + 3.069 = 40.977 below. The hose:
//! 29.927 − 0.349 = 29.578 ahead, 4.988 + 2.093 = 7.081 below.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::kept_figure::{change, found, page, sheet};
use crate::restore::{json, ledger, setup_text};

const BIKE: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    instruments { angle-gauge tol=0.2; caliper tol=0.1 }
    floor 0 with=angle-gauge
    frame { reach 470; stack 630; head-angle 64.5; steering-stop 75
        top-tube { drop 38; slope 32; diameter 42 } }
    headset { cover 9 }
    steerer { spacers-below 15; spacers-above 5 }
    stem { length 50; angle 0; clamp-height 40; twist 0 }
    bar { width 780; rise 25; back-sweep 0; up-sweep 0; bend 90; roll 0 with=angle-gauge; offset 0 }
    left {
        grip { hand 62 }
        brake-lever { from-tip 168 with=caliper; angle 32 with=angle-gauge
            lowest from-tip=196 drop=38 ahead=44 }
    }
    right { grip { hand 62 } }
    hose "rear brake" {
        free 420; bend-radius 40
        leaves side=left from-tip=215 ahead=30 up=-5
        enters side=left down=55 back=25 out=22
    }
}
"#;

fn bike() -> TempDir {
    let folder = ledger(&[]);
    fs::write(folder.path().join("setups/rowan/race.kdl"), BIKE).expect("written");
    folder
}

/// A sheet of the ninth that reads the lever so.
fn with_lever(reads: &str) -> TempDir {
    let folder = bike();
    sheet(&folder, 9, &format!("floor 0 with=angle-gauge; left {{ brake-lever {{ {reads} }} }}"));
    folder
}

fn now(diff: &Value, measure: &str) -> f64 {
    change(diff, measure)["now"].as_f64().expect("a number")
}

fn least(clearances: &Value, which: &str) -> f64 {
    clearances[which]["least"].as_f64().expect("a length")
}

#[test]
fn what_a_lever_carries_turns_along_with_it() {
    let folder = with_lever("angle 36 with=angle-gauge");
    let diff = found(&folder, "diff");
    for (measure, expected) in [
        ("left.brake-lever.lowest.1.drop", 40.977),
        ("left.brake-lever.lowest.1.ahead", 41.242),
        ("hose.rear brake.leaves.ahead", 29.578),
        ("hose.rear brake.leaves.up", -7.081),
    ] {
        assert!((now(&diff, measure) - expected).abs() < 2e-3, "{measure}: {diff:#}");
        let change = change(&diff, measure);
        assert_eq!(
            (&change["turned-along"], &change["from-mark"]),
            (&true.into(), &false.into()),
            "{diff:#}"
        );
    }
    // Two angles and two floors to ±0.2° are a turn to ±0.4°, 0.006981 rad, and below changes by ahead for each: 0.006981 ×
    // 41.242 = 0.2879 mm. The point's own ±2 mm ahead adds sin 4° of it, 0.1395: together 0.3199, and U = 2/√3 of that.
    let uncertainty = change(&diff, "left.brake-lever.lowest.1.drop")["U"].as_f64().expect("U");
    assert!((uncertainty - 0.3694).abs() < 1e-3, "{uncertainty}");
    // By the same turn `try` has the same clearance.
    let tried = json(folder.path(), &["try", "rowan/race", "left.brake-lever.angle=36"]);
    let controls = tried["controls"].as_array().expect("controls");
    let nearest = least(&controls[0], "now");
    let clearances = diff["clearances"].as_array().expect("clearances");
    let mut least = clearances.iter().filter_map(|one| one["now"].as_f64());
    assert!(least.any(|now| (now - nearest).abs() < 0.01), "{nearest}: {diff:#}");
    assert!(clearances.iter().all(|one| one["verdict"] == "moved"), "{diff:#}");
    let (status, told) = page(&folder, &["diff"]);
    assert_eq!(status, Some(1));
    assert!(told.contains("Not read, taken along: left brake lever; rear brake hose."), "{told}");
}

#[test]
fn what_is_recorded_of_it_says_that_nobody_read_it() {
    let folder = with_lever("angle 36 with=angle-gauge; from-tip 172 with=caliper");
    let (_, told) = page(&folder, &["record"]);
    assert!(told.contains("lowest point below the bar 41.0 mm was 38 mm; taken along, not read"), "{told}");
    let text = setup_text(folder.path());
    // 4 mm inboard: 196 + 4 and 215 + 4. The lever's turn is known to 0.3 mm there, its slide to 0.14; with the ±2
    // of the point itself 2.03, rounded up.
    assert!(
        text.contains("lowest from-tip=200.0 drop=41.0 ahead=41.2 tol=2.1 read=\"2026-05-09\""),
        "{text}"
    );
    assert!(text.contains("note \"2026-05-09 lowest point taken along, not read\""), "{text}");
    assert!(text.contains("leaves side=left from-tip=219.0 ahead=29.6 up=-7.1"), "{text}");
    assert!(text.contains("note \"2026-05-09 exit taken along, not read\""), "{text}");
    // The same sheet has no more to tell.
    page(&folder, &["record"]);
    assert_eq!(setup_text(folder.path()), text);
    // Who reads the point answers its note, and not the hose's.
    sheet(&folder, 12, "left { brake-lever { lowest from-tip=200 drop=47 ahead=38 } }");
    page(&folder, &["record"]);
    let text = setup_text(folder.path());
    assert!(!text.contains("lowest point taken along") && text.contains("exit taken along"), "{text}");
    assert!(text.contains("drop=47"), "{text}");
}

/// A point that somebody read stays as read; one figure of it is not mixed with two that are worked out.
#[test]
fn a_point_that_was_read_is_not_worked_out() {
    let folder = with_lever("angle 36 with=angle-gauge; lowest from-tip=196 drop=42 ahead=41");
    let diff = found(&folder, "diff");
    assert!((now(&diff, "left.brake-lever.lowest.1.drop") - 42.0).abs() < 1e-9, "{diff:#}");
    page(&folder, &["record"]);
    let text = setup_text(folder.path());
    assert!(text.contains("drop=42") && !text.contains("lowest point taken along"), "{text}");
}

/// Within reading nothing turned, and nothing goes along.
#[test]
fn a_lever_in_its_place_carries_nothing() {
    let folder = with_lever("angle 32.2 with=angle-gauge; from-tip 168.1 with=caliper");
    let diff = found(&folder, "diff");
    assert!(!diff.to_string().contains("turned-along"), "{diff:#}");
    page(&folder, &["record"]);
    assert_eq!(setup_text(folder.path()), BIKE);
}

/// A bar rolled by 5° forward under a lever that reads 37°, as far as the bar took it: the whole turn is 5°.
/// 44 cos 5° − 38 sin 5° = 43.833 − 3.312 = 40.521 ahead, 37.855 + 3.835 = 41.690 below.
#[test]
fn a_rolled_bar_takes_along_what_sits_on_it() {
    let folder = bike();
    let rolled = "floor 0 with=angle-gauge; bar { roll 5 with=angle-gauge }";
    sheet(&folder, 9, &format!("{rolled}; left {{ brake-lever {{ angle 37 with=angle-gauge }} }}"));
    let diff = found(&folder, "diff");
    assert!((now(&diff, "left.brake-lever.lowest.1.drop") - 41.690).abs() < 2e-3, "{diff:#}");
    assert!((now(&diff, "left.brake-lever.lowest.1.ahead") - 40.521).abs() < 2e-3, "{diff:#}");
    // The lever's own clamp was not opened by that.
    assert!(!diff["tightened"].to_string().contains("left.brake-lever"), "{diff:#}");
    page(&folder, &["record"]);
    assert!(setup_text(folder.path()).contains("drop=41.7 ahead=40.5"), "{}", setup_text(folder.path()));
    // Where nobody looked at the lever nobody knows how it stands, nor its points.
    let folder = bike();
    sheet(&folder, 9, rolled);
    assert!(!found(&folder, "diff").to_string().contains("turned-along"));
}

/// What shares the lever's clamp turns with it: by 4°, 2 cos 4° − 58 sin 4° = 1.995 − 4.046 = −2.051 ahead, 57.859 + 0.140 = 57.998
/// below. A shifter on a clamp of its own stays.
#[test]
fn what_shares_the_clamp_goes_along_with_it() {
    let shifter = "lowest from-tip=196 drop=38 ahead=44 }
        shifter { mount shared slot=inner; angle 41; lowest from-tip=214 drop=58 ahead=2 }";
    for (shared, turns) in
        [(shifter.to_owned(), true), (shifter.replace("shared slot=inner", "own; from-tip 200"), false)]
    {
        let folder = with_lever("angle 36 with=angle-gauge");
        let bike = BIKE.replace("lowest from-tip=196 drop=38 ahead=44 }", &shared);
        fs::write(folder.path().join("setups/rowan/race.kdl"), bike).expect("written");
        page(&folder, &["record"]);
        let text = setup_text(folder.path());
        assert!(text.contains("drop=41.0 ahead=41.2"), "{text}");
        assert_eq!(text.contains("drop=58.0 ahead=-2.1"), turns, "{text}");
        assert_eq!(text.contains("drop=58 ahead=2 }"), !turns, "{text}");
    }
}

/// A line 0.8 mm apart on 22.2 mm is 0.8 × 360/(π × 22.2) = 4.129°, of cosine 0.997404 and sine 0.072003: 43.886 − 2.736 = 41.150
/// ahead, 37.901 + 3.168 = 41.069 below. Its ±0.5 mm is ±2.581°, 0.04504 rad: 0.04504 × 41.15 = 1.853 mm below; with the ±2 mm
/// ahead of which sin 4.129° counts, 0.144, 1.859, and U = 2/√3 of that.
#[test]
fn a_turn_that_only_a_line_tells_takes_along_as_surely_as_the_line_tells_it() {
    let folder = with_lever("reach 62");
    let line = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2026-05-02\" }\n    hose";
    let bike =
        BIKE.replace("    hose", line).replace("offset 0 }", "offset 0; grip-diameter 22.2 tol=0.0001 }");
    fs::write(folder.path().join("setups/rowan/race.kdl"), bike).expect("written");
    sheet(&folder, 9, "mark \"L1\" off=0.8");
    let diff = found(&folder, "diff");
    assert!((now(&diff, "left.brake-lever.lowest.1.drop") - 41.069).abs() < 2e-3, "{diff:#}");
    assert!((now(&diff, "left.brake-lever.lowest.1.ahead") - 41.150).abs() < 2e-3, "{diff:#}");
    let uncertainty = change(&diff, "left.brake-lever.lowest.1.drop")["U"].as_f64().expect("U");
    assert!((uncertainty - 2.147).abs() < 2e-2, "{uncertainty}");
}
