//! What the way back does not set: what nobody is to ride with, and what is clamped to a damaged part.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, ledger, run};
use crate::texts::{RACE, changed};

const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];
const RACE_FILE: &str = "setups/rowan/race.kdl";

fn steps(plan: &Value) -> Vec<Value> {
    plan["steps"].as_array().expect("steps").clone()
}

fn words(folder: &Path, arguments: &[&str]) -> String {
    flowing(&run(folder, arguments).text)
}

/// 6 mm is nearer to the grip than 10, 78° further down than 70, and 8° further out of square than 5: common practice,
/// no source.
#[test]
fn nothing_is_set_to_what_nobody_is_to_ride_with() {
    for (was, recorded, found, title) in [
        ("reach 62 with=caliper", "bite 6", "left { brake-lever { bite 34 } }", "left brake lever adjusters"),
        (
            "angle 32 with=angle-gauge; reach",
            "angle 78 with=angle-gauge; reach",
            "floor 0 with=angle-gauge; left { brake-lever { angle 32 with=angle-gauge } }",
            "left brake lever",
        ),
        ("twist 0", "twist 8", "stem { twist 0 }", "stem on steerer"),
    ] {
        let folder = ledger(&[("loan", found)]);
        let text = SETUP.replacen(was, recorded, 1);
        assert_ne!(text, SETUP);
        fs::write(folder.path().join(RACE_FILE), text).expect("written");
        for asked in [&RESTORE[..], &RESTORE[..2]] {
            let plan = json(folder.path(), asked);
            let steps = steps(&plan);
            let step = steps.iter().find(|step| step["title"] == title).expect("a step");
            assert_eq!(step["blocked"], true, "{step:#}");
            assert!(step["held-up"].to_string().contains("It is recorded so: "), "{step:#}");
            assert_eq!((&step["torque"], &step["tool"]), (&Value::Null, &Value::Null), "{step:#}");
            let path = match title {
                "left brake lever adjusters" => "left.brake-lever.bite",
                "left brake lever" => "left.brake-lever.angle",
                _ => "stem.twist",
            };
            let set = step["moves"].as_array().expect("moves");
            assert!(set.iter().all(|one| one["measure"] != path), "{step:#}");
            assert!(plan["headline"].to_string().contains("Do not ride: "), "{plan:#}");
        }
        let told = words(folder.path(), &RESTORE);
        for wrong in ["nearer the grip, to", "to 78", "to 8.0°"] {
            assert!(!told.contains(wrong), "{wrong}: {told}");
        }
    }
}

/// An older revision keeps what is wrong with it, whatever is known today. 30.75 in are 781.05 mm.
#[test]
fn the_way_back_to_an_older_revision_keeps_what_is_wrong_with_that_one() {
    for (was, then, said) in [
        ("bite 34", "bite 6", "recorded left brake bite 6 mm"),
        ("width (in)30.75", "width 801.05", "bar width is 20.0 mm narrower than recorded"),
    ] {
        let old = changed(RACE, &[(was, then)]);
        let files = [(RACE_FILE, old.as_str())];
        let now = [(RACE_FILE, RACE)];
        let bench = Bench::recorded(&[
            Commit { subject: "Then", files: &files, tag: Some("c0") },
            Commit { subject: "Now", files: &now, tag: None },
        ]);
        bench.write(
            "setups/rowan/loan.kdl",
            "found \"rowan/race\" format=1 {\n    measured \"2031-05-09\"\n    tyres { front (psi)23 }\n}\n",
        );
        for asked in [&["--at", "c0"][..], &["--at", "c0", "--found", "rowan/loan"]] {
            let plan = bench.run(&[&["restore", "rowan/race", "--json"], asked].concat()).json();
            let headline = plan["headline"].as_str().unwrap_or_default();
            // A full rebuild finds no bar that is cut.
            if asked.len() > 2 || was.starts_with("bite") {
                assert!(
                    headline.starts_with("Do not ride: ") && headline.contains(said),
                    "{asked:?}: {plan:#}"
                );
            }
            let sets = steps(&plan)
                .into_iter()
                .flat_map(|step| step["moves"].as_array().cloned().unwrap_or_default());
            let is_set = sets.into_iter().any(|one| one["measure"] == "left.brake-lever.bite");
            assert!(!is_set || was.starts_with("width"), "{plan:#}");
        }
    }
}

/// Everything that is tightened in or on a damaged part is blocked, without a torque and without how it is done.
#[test]
fn every_joint_on_a_damaged_part_is_blocked() {
    for (on, also, joint) in [
        ("fork", "opened \"front-axle\"", "front-axle"),
        ("fork", "opened \"front-brake-mount\"", "front-brake-mount"),
        ("frame", "opened \"rear-axle\"", "rear-axle"),
        ("frame", "opened \"rear-brake-mount\"", "rear-brake-mount"),
        ("frame", "saddle { height 730 }", "seat-clamp"),
        ("front-wheel", "opened \"front-rotor\"", "front-rotor"),
        ("rear-wheel", "opened \"rear-rotor\"", "rear-rotor"),
        ("front-brake", "opened \"front-brake-mount\"", "front-brake-mount"),
        ("rear-brake", "opened \"rear-brake-mount\"", "rear-brake-mount"),
        ("crank", "opened \"left.pedal\"", "left.pedal"),
        ("saddle", "saddle { tilt 4 }", "saddle-rails"),
        ("saddle", "saddle { height 730 }", "seat-clamp"),
        ("seatpost", "saddle { tilt 4 }", "saddle-rails"),
        ("steerer", "stem { twist 4 }", "stem-steerer"),
        ("stem", "bar { roll 4 with=angle-gauge }", "stem-face"),
        (
            "right.shifter",
            "floor 0 with=angle-gauge; right { brake-lever { angle 20 with=angle-gauge } }",
            "right.brake-lever",
        ),
    ] {
        let folder = ledger(&[("loan", &format!("damage on=\"{on}\" \"cracked\"\n    {also}"))]);
        let torques = format!(
            "    saddle {{ height 742; setback 168; tilt -1.0 }}\n    torque \"{joint}\" 9 11 tool=\"6 mm hex\" {{ caution \"Seat it.\" }}\n    tyres"
        );
        // What the file has of the joint already makes room.
        let kept: Vec<&str> =
            SETUP.lines().filter(|line| !line.contains(&format!("torque \"{joint}\""))).collect();
        let text = kept.join("\n").replacen("    tyres", &torques, 1) + "\n";
        fs::write(folder.path().join(RACE_FILE), text).expect("written");
        let plan = json(folder.path(), &RESTORE);
        let steps = steps(&plan);
        let step = steps.iter().find(|step| step["joint"] == joint).expect("a step for the joint");
        assert_eq!((&step["blocked"], &step["torque"]), (&Value::Bool(true), &Value::Null), "{on}: {step:#}");
        assert!(step["held-up"].to_string().contains("cracked"), "{on}: {step:#}");
        let told = words(folder.path(), &RESTORE);
        for wrong in ["Tighten to 9–11", "Pull the lever and hold it", "Wheel seated fully", "Rails centred"]
        {
            assert!(!told.contains(wrong), "{on}: {told}");
        }
    }
    // What does not sit on it is done as ever.
    let folder = ledger(&[("loan", "damage on=\"saddle\" \"cracked\"; stem { twist 4 }")]);
    let plan = json(folder.path(), &RESTORE);
    let steer = steps(&plan).into_iter().find(|step| step["joint"] == "stem-steerer").expect("a step");
    assert_eq!((&steer["blocked"], &steer["torque"]["to"]), (&Value::Bool(false), &Value::from(6.0)));
}
