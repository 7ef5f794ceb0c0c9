use chrono::DateTime;
use clampmark::ledger::demo::{DemoCommit, build};
use serde_json::Value;

use crate::harness::{Bench, Commit, Outcome, flowing, widest};
use crate::texts::{PLUMB, RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

/// The spacer moved from above to below the stem; the same instrument read both.
const SPACER: [(&str, &str); 1] =
    [("spacers-below 15 with=caliper; spacers-above 5", "spacers-below 20 with=caliper; spacers-above 0")];

/// A guard, two marks and a note beside what RACE has.
const MARKS: (&str, &str) = (
    "    fork { pressure",
    r#"    guard "head tube, left" { note "Clear patch where the rear hose touches" }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32 read="2031-05-02"; reads "Line meets the split of the clamp" }
    mark "S1" on="stem-steerer" { drawn twist=0; reads "Stem line meets the line on the cap" }
    fork { pressure"#,
);

/// RACE, then the spacer moved, then a remark that moves nothing.
fn three_venues() -> Bench {
    let moved = changed(RACE, &SPACER);
    let remarked = format!("// wet\n{moved}");
    Bench::recorded(&[
        Commit {
            subject: "Measure",
            files: &[(RACE_FILE, RACE), ("setups/alder/plumb.kdl", PLUMB)],
            tag: Some("venue-1"),
        },
        Commit { subject: "Raise the grips", files: &[(RACE_FILE, &moved)], tag: Some("venue-2") },
        Commit { subject: "A remark", files: &[(RACE_FILE, &remarked)], tag: None },
    ])
}

/// RACE recorded, the working file changed.
fn after(changes: &[(&str, &str)]) -> Bench {
    between(RACE, &changed(RACE, changes))
}

fn between(was: &str, now: &str) -> Bench {
    let bench = Bench::recorded(&[Commit { subject: "Measure", files: &[(RACE_FILE, was)], tag: None }]);
    bench.write(RACE_FILE, now);
    bench
}

fn diff(bench: &Bench) -> Outcome {
    bench.run(&["diff", "rowan/race"])
}

fn derived<'j>(json: &'j Value, name: &str) -> &'j Value {
    let rows = json["derived"].as_array().expect("a list");
    rows.iter().find(|row| row["name"] == name).expect("it is computed")
}

fn close(value: &Value, expected: f64, within: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - expected).abs() < within, "{value} is not {expected}");
}

#[test]
fn a_spacer_between_two_tags() {
    let bench = three_venues();
    let outcome = bench.run(&["diff", "rowan/race", "venue-1", "venue-2"]);
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("spacer", outcome.screen());
    insta::assert_snapshot!(
        "spacer_all",
        bench.run(&["diff", "rowan/race", "venue-1", "venue-2", "--all"]).screen()
    );
    let wide = bench.columns(120).run(&["diff", "rowan/race", "venue-1", "venue-2"]);
    insta::assert_snapshot!("spacer_wide", wide.screen());
}

/// 5·sin 64.5° = 4.512926 and 5·cos 64.5° = 2.152555; U as worked out by hand in the test of the numbers (0.148979 up,
/// 0.083728 back, 0.163299 of the spacers themselves).
#[test]
fn a_spacer_as_json() {
    let bench = three_venues();
    let json = bench.run(&["diff", "rowan/race", "venue-1", "venue-2", "--json"]).json();
    assert_eq!(json["schema"], "clampmark.diff/1");
    assert_eq!(json["setup"], "rowan/race");
    assert_eq!((&json["from"]["label"], &json["to"]["label"]), (&"venue-1".into(), &"venue-2".into()));
    assert_eq!((&json["from"]["date"], &json["to"]["date"]), (&"2031-05-01".into(), &"2031-05-02".into()));
    assert_eq!(json["from"]["revision"].as_str().map(str::len), Some(40));
    let below = &json["changes"][0];
    assert_eq!(below["measure"], "steerer.spacers-below");
    close(&below["was"], 15.0, 1e-12);
    close(&below["now"], 20.0, 1e-12);
    close(&below["delta"], 5.0, 1e-12);
    close(&below["U"], 0.163_299, 1e-6);
    assert_eq!((&below["unit"], &below["verdict"]), (&"mm".into(), &"moved".into()));
    assert_eq!(
        (&below["weight"], &below["put-back"]),
        (&"handling".into(), &"5.0 mm fewer, to 15.0 mm".into())
    );
    for name in ["grip-stack", "grip.left.z", "grip.right.z"] {
        let row = derived(&json, name);
        close(&row["delta"], 4.512_926, 1e-6);
        close(&row["U"], 0.148_979, 1e-6);
        assert_eq!((&row["verdict"], &row["unit"]), (&"moved".into(), &"mm".into()));
        assert_eq!(row["driven-by"], serde_json::json!(["steerer.spacers-below"]));
    }
    close(&derived(&json, "grip.left.x")["delta"], -2.152_555, 1e-6);
    close(&derived(&json, "grip.left.x")["U"], 0.083_728, 1e-6);
    assert_eq!(derived(&json, "grip.left.y")["verdict"], "same");
    for list in ["marks", "torque", "notes", "findings", "parts", "damages", "not-looked-at"] {
        assert_eq!(json[list], serde_json::json!([]), "{list}");
    }
    // A spacer moves only with the stem off the steerer: the checks before riding belong with it.
    let cautions = json["cautions"].as_array().expect("a list");
    assert!(
        cautions
            .iter()
            .any(|caution| caution.as_str().is_some_and(|text| text.contains("Steering turns freely")))
    );
    assert_eq!((&json["headline"], &json["common-shift"]), (&Value::Null, &Value::Null));
}

/// However the two points are named, they are the same two points.
#[test]
fn revisions_by_any_name() {
    let bench = three_venues();
    let moved = |arguments: &[&str]| {
        let outcome = bench.run(&[&["diff", "rowan/race"], arguments, &["--json"]].concat());
        let json = outcome.json();
        (outcome.status, json["changes"].as_array().map(Vec::len).expect("a list"))
    };
    assert_eq!(moved(&["venue-1", "main"]), (1, 2));
    assert_eq!(moved(&["HEAD~2", "HEAD~1"]), (1, 2));
    assert_eq!(moved(&["HEAD~2"]), (1, 2));
    assert_eq!(moved(&["HEAD~1", "HEAD"]), (0, 0));
    assert_eq!(moved(&["venue-2", "venue-1"]), (1, 2));
    assert_eq!(moved(&["now", "venue-1"]), (1, 2));
    let hash = bench.run(&["diff", "rowan/race", "venue-1", "--json"]).json();
    let hash = hash["from"]["revision"].as_str().expect("a hash").to_owned();
    assert_eq!(moved(&[&hash[..8]]), (1, 2));
    // The working file as recorded: nothing to act on.
    insta::assert_snapshot!("nothing_moved", diff(&bench).screen());
    assert_eq!(bench.run_in("setups/rowan", &["diff", "race.kdl", "venue-1"]).status, 1);
}

/// The same quantities, typed otherwise.
#[test]
fn looks_are_no_change() {
    let (head, rest) = RACE.split_once("    headset").expect("it has one");
    let reordered = {
        // The fork's line to the top.
        let fork = RACE.lines().find(|line| line.trim_start().starts_with("fork ")).expect("it has one");
        changed(RACE, &[(fork, ""), ("    instruments {", &format!("{fork}\n    instruments {{"))])
    };
    let texts = [
        RACE.replace('\n', "\r\n"),
        format!("\u{feff}{RACE}"),
        format!("{head}\n\n    // washed\n    /* and dried */\n    headset{rest}"),
        RACE.replace("; ", ";\n        "),
        reordered,
        changed(
            RACE,
            &[
                ("reach 470 with=sheet", "reach (cm)47.0 with=sheet"),
                ("width (in)30.75", "width 781.05"),
                ("setback 168 tol=2", "setback (m)0.168 tol=(mm)2"),
                ("2.5 4 tool", "(N-m)2.50 (N-m)4.0 tool"),
            ],
        ),
    ];
    for text in texts {
        let outcome = diff(&between(RACE, &text));
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(outcome.out.ends_with("\n\nNothing moved.\n"), "{}", outcome.screen());
    }
}

/// Dangerous first, and the front brake before all.
#[test]
fn brakes_and_steering_come_first() {
    let bench = after(&[
        ("front-brake right", "front-brake left"),
        ("bite 36 tol=1", "bite 31 tol=1"),
        ("twist 0", "twist 2.5"),
        ("rebound 7", "rebound 9"),
        ("height 742 tol=1", "height 747 tol=1"),
        ("stem { length 50", "stem { length 50.4"),
    ]);
    let outcome = diff(&bench);
    assert_eq!(outcome.status, 1);
    let second = outcome.out.lines().nth(2).expect("a headline");
    // The rear brake's hose leaves the left lever still: until that is found out nobody is to ride.
    assert!(second.starts_with("Do not ride: the hose `rear brake` leaves the left lever"), "{second}");
    let words = flowing(&outcome.out);
    assert!(
        words.contains("Changed on steering or brakes: the front brake is on the left hand now;"),
        "{words}"
    );
    assert!(widest(&outcome.out) <= 80);
    insta::assert_snapshot!("dangerous", outcome.screen());
    insta::assert_snapshot!(
        "dangerous_wide",
        bench.columns(120).run(&["diff", "rowan/race", "--all"]).screen()
    );
}

/// 2.5–4 N·m under a ceiling of 3.5, then 3: allowed 2.5–3.
#[test]
fn torque_notes_parts_and_marks() {
    let was = changed(RACE, &[MARKS]);
    let now = changed(
        &was,
        &[
            ("ceiling \"bar\" 3.5", "ceiling \"bar\" 3"),
            ("\"stem-steerer\" 5 6 tool=\"4 mm hex\"", "\"stem-steerer\" 5 7 tool=\"5 mm hex\""),
            ("steep and rough", "steep, wet and rough"),
            ("touches\" }", "touches at full lock\" }"),
            (
                "        dropper-remote { mount own; from-tip 191; angle 20; lowest from-tip=205 drop=47 ahead=6 }\n",
                "",
            ),
            (
                "shifter { mount shared slot=inner; angle 41 }",
                "shifter { mount shared slot=inner; angle 41 }\n        lockout { mount own; from-tip 188; angle 30 }",
            ),
            (
                "drawn from-tip=168 angle=32 read=\"2031-05-02\"",
                "drawn from-tip=168 angle=32 read=\"2031-05-09\"",
            ),
            (
                "    mark \"S1\" on=\"stem-steerer\" { drawn twist=0; reads \"Stem line meets the line on the cap\" }\n",
                "",
            ),
        ],
    );
    let bench = between(&was, &now);
    let outcome = diff(&bench);
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("records", outcome.screen());
    let json = bench.run(&["diff", "rowan/race", "--json"]).json();
    let lever =
        json["torque"].as_array().expect("a list").iter().find(|row| row["joint"] == "left.brake-lever");
    let lever = lever.expect("its ceiling changed");
    assert_eq!((&lever["shift"], &lever["allowed-shift"]), (&"same".into(), &"narrower".into()));
    close(&lever["allowed-now"]["to"], 3.0, 1e-12);
}

#[test]
fn readings_recorded_unmeasured_and_repeated() {
    let bench = after(&[
        ("roll -1.5 -1.0 -1.5 with=angle-gauge", "roll unmeasured"),
        ("tilt -1.0", "tilt -1.2 -1.1"),
        ("wheel-radius 371", "wheel-radius 371\n        fork-offset 44"),
        ("bite 34 tol=1", "bite 35 tol=1"),
    ]);
    let outcome = diff(&bench);
    // Nothing moved; but the roll is no longer known, and nobody finds back to it.
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("recorded", outcome.screen());
}

/// The left lever hangs 9 mm lower than it did, and the hose leaves 4 mm further ahead: both sit on what can move. On a
/// sheet the lever's clamp is what has to be opened for it.
#[test]
fn a_lowest_point_goes_along_with_its_control() {
    let lower = ("from-tip=196 drop=38", "from-tip=196 drop=47");
    let bench = after(&[lower, ("ahead=30 up=-5", "ahead=38 up=-5")]);
    let json = bench.run(&["diff", "rowan/race", "--json"]).json();
    let changes = json["changes"].as_array().expect("a list");
    let change =
        |measure: &str| changes.iter().find(|change| change["measure"] == measure).expect("it differs");
    let lowest = change("left.brake-lever.lowest.1.drop");
    assert_eq!((&lowest["verdict"], &lowest["joint"]), (&"moved".into(), &"left.brake-lever".into()));
    let exit = change("hose.rear brake.leaves.ahead");
    assert_eq!((&exit["verdict"], &exit["joint"]), (&"moved".into(), &Value::Null));
    let screen = diff(&bench).out;
    assert!(!screen.contains("cannot move"), "{screen}");
    assert!(screen.contains("9.0 mm lower   left brake lever lowest point below the bar"), "{screen}");
    let sheet = "found \"rowan/race\" format=1 {\n    left { brake-lever { lowest from-tip=196 drop=47 ahead=44 } }\n}\n";
    bench.write(RACE_FILE, RACE);
    bench.write("setups/rowan/found.kdl", sheet);
    let plan = bench.run(&["restore", "rowan/race", "--found", "rowan/found", "--json"]).json();
    let steps = plan["steps"].as_array().expect("a list");
    let lever = steps.iter().find(|step| step["joint"] == "left.brake-lever").expect("it moved");
    let why = lever["why"].as_str().expect("a reason");
    assert_eq!(why, "left brake lever lowest point below the bar moved 9.0 mm lower");
    // Nobody sets a lowest point: a rebuild does not ask for it, and nobody is blamed for not looking at it.
    let rebuild = bench.run(&["restore", "rowan/race"]).out;
    assert!(!rebuild.contains("lowest point"), "{rebuild}");
    let left = plan["not-looked-at"].as_array().expect("a list");
    let named = left.iter().filter_map(|one| one["measure"].as_str()).any(|path| path.contains(".lowest."));
    assert!(!named, "{left:?}");
}

/// The sheet's figure was read again: on paper the hands stand 4 mm higher, and nothing moved.
#[test]
fn a_corrected_sheet() {
    let outcome = diff(&after(&[("stack 630 with=sheet", "stack 634 with=sheet")]));
    assert_eq!(outcome.status, 0);
    insta::assert_snapshot!("corrected", outcome.screen());
}

#[test]
fn a_slope_that_was_not_measured() {
    // All four angles against gravity read 2° lower at the tip, the saddle's nose 2° higher: a front wheel on a step.
    let sloping = [
        ("    floor 0.0 with=angle-gauge\n", ""),
        (
            "from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper; bite 34",
            "from-tip 168; angle 30 with=angle-gauge; reach 62 with=caliper; bite 34",
        ),
        ("shared slot=inner; angle 41", "shared slot=inner; angle 39"),
        ("from-tip 191; angle 20", "from-tip 191; angle 18"),
        ("tilt -1.0", "tilt 1.0"),
    ];
    let right = (
        "angle 32 with=angle-gauge; reach 62 with=caliper; bite 36",
        "angle 30 with=angle-gauge; reach 62 with=caliper; bite 36",
    );
    let outcome = diff(&after(&[&sloping[..], &[right]].concat()));
    // Nothing moved; but the slope of the ground is no longer known.
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("slope", outcome.screen());
    // The right lever turned 4° up as well: 26.
    let moved = (right.0, "angle 26 with=angle-gauge; reach 62 with=caliper; bite 36");
    let outcome = diff(&after(&[&sloping[..], &[moved]].concat()));
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("slope_and_a_lever", outcome.screen());
    // With the floor written down the same readings are the same bike.
    let recorded = ("floor 0.0 with=angle-gauge", "floor 2.0 with=angle-gauge");
    let outcome = diff(&after(&[&[recorded], &sloping[1..], &[right]].concat()));
    assert_eq!(outcome.status, 0);
    insta::assert_snapshot!("floor", outcome.screen());
}

/// A lowest point goes with its control: it is told as the control's, and not as what cannot move.
#[test]
fn a_lowest_point_goes_with_its_control() {
    let was = "from-tip 191; angle 20; lowest from-tip=205 drop=47 ahead=6";
    let bench = after(&[(was, "from-tip 181; angle 20; lowest from-tip=195 drop=40 ahead=6")]);
    let screen = diff(&bench).screen();
    assert!(screen.contains("10 mm outboard") || screen.contains("10.0 mm outboard"), "{screen}");
    assert!(!screen.contains("these cannot move"), "{screen}");
    let expected = "Lowest points: they go with the control that carries them\n  left dropper remote.\n";
    assert!(screen.contains(expected), "{screen}");
    let all = bench.run(&["diff", "rowan/race", "--all"]).screen();
    assert!(all.contains("was 47 mm, now 40 mm"), "{all}");
}

#[test]
fn a_bike_as_found() {
    let bench = between(RACE, &changed(RACE, &[MARKS]));
    bench.write(
        "setups/rowan/returned.kdl",
        r#"found "rowan/race" format=1 {
    measured "2031-05-20" by="car park"
    floor 1.4 with=angle-gauge
    note "Came back clean"
    right { brake-lever { angle 28 with=angle-gauge } }
    mark "L1" aligned
    mark "S1" off=0.8
    damage on="bar" "scored under the left clamp"
}
"#,
    );
    let outcome = bench.run(&["diff", "rowan/race", "--found", "rowan/returned"]);
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("found", outcome.screen());
    // A sheet is known for one without being called so.
    let unasked = bench.run(&["diff", "rowan/race", "rowan/returned", "--json"]).json();
    assert_eq!(
        unasked["changes"],
        bench.run(&["diff", "rowan/race", "--found", "rowan/returned", "--json"]).json()["changes"]
    );
    assert_eq!(unasked["partial"], true);
    // 28 + 1.4 − 32 = −2.6; U of two gauges and two floors of ±0.2: 2·√(4·0.04/3) = 0.461880.
    close(&unasked["changes"][0]["delta"], -2.6, 1e-9);
    close(&unasked["changes"][0]["U"], 0.461_880, 1e-6);
    insta::assert_snapshot!(
        "found_all",
        bench.run(&["diff", "rowan/race", "--found", "rowan/returned", "--all"]).screen()
    );
    insta::assert_snapshot!(
        "not_a_sheet",
        bench.run(&["diff", "rowan/race", "--found", "rowan/race"]).screen()
    );
}

#[test]
fn files_and_setups_without_a_repository() {
    let wet = changed(RACE, &SPACER).replace("rowan/race", "rowan/wet");
    let bench = Bench::without_git(&[("one.kdl", RACE), ("other.kdl", &wet)]);
    let outcome = bench.run(&["diff", "one.kdl", "other.kdl"]);
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!("two_files", outcome.screen());
    assert_eq!(bench.run(&["diff", "one.kdl", "one.kdl"]).status, 0);
    insta::assert_snapshot!("one_file_alone", bench.run(&["diff", "one.kdl"]).screen());
    let bench = Bench::without_git(&[(RACE_FILE, RACE), ("setups/rowan/wet.kdl", &wet)]);
    let by_name = bench.run(&["diff", "rowan/race", "rowan/wet"]);
    assert_eq!(by_name.status, 1);
    assert!(
        by_name.out.starts_with("rowan/wet (measured 2031-05-02) against rowan/race (measured 2031-05-02)"),
        "{}",
        by_name.screen()
    );
    insta::assert_snapshot!("no_repository", diff(&bench).screen());
    insta::assert_snapshot!("no_repository_revision", bench.run(&["diff", "rowan/race", "HEAD~1"]).screen());
}

/// Two bikes stand against one another: nothing moved from one to the other, nothing was corrected, nothing tightened.
#[test]
fn two_setups_differ_and_nothing_moved() {
    let other = changed(
        RACE,
        &[
            ("setup \"rowan/race\"", "setup \"alder/race\""),
            ("reach 470", "reach 480"),
            ("front-brake right", "front-brake left"),
            ("floor 0.0", "floor 1.0"),
            ("spacers-below 15", "spacers-below 10"),
            ("material carbon", "material aluminium"),
            ("bite 36 tol=1", "bite 31 tol=1"),
            ("height 742 tol=1", "height 742.4 tol=1"),
            ("wheel-radius 371", "wheel-radius 371\n        fork-offset 44"),
            ("stature 1780", ""),
            (
                "        dropper-remote { mount own; from-tip 191; angle 20; lowest from-tip=205 drop=47 ahead=6 }\n",
                "",
            ),
            ("\"stem-steerer\" 5 6 tool=\"4 mm hex\"", "\"stem-steerer\" 6 7 tool=\"5 mm hex\""),
            ("        slips-in-a-crash\n", "        applied 2.8 read=\"2031-05-02\"\n"),
            ("ceiling \"bar\" 3.5", "ceiling \"bar\" 3"),
            ("steep and rough", "flat and fast"),
        ],
    );
    let bench = Bench::recorded(&[Commit {
        subject: "Measure",
        files: &[(RACE_FILE, RACE), ("setups/alder/race.kdl", &other)],
        tag: None,
    }]);
    let outcome = bench.run(&["diff", "rowan/race", "alder/race"]);
    assert_eq!(outcome.status, 1);
    let screens = [
        outcome.screen(),
        bench.run(&["diff", "rowan/race", "alder/race", "--all"]).screen(),
        bench.columns(120).run(&["diff", "rowan/race", "alder/race"]).screen(),
    ];
    for screen in &screens {
        for word in
            ["oved", " now", " was", "Read again", "gone", "corrected", "added", "longer recorded", "preload"]
        {
            assert!(!screen.contains(word), "`{word}` in\n{screen}");
        }
    }
    assert!(widest(&outcome.out) <= 80);
    insta::assert_snapshot!("two_setups", screens.join("\n"));
    // Through time the same two texts keep the wording of time.
    let through_time = between(RACE, &other.replace("alder/race", "rowan/race"));
    assert!(diff(&through_time).out.contains("\nMoved\n"));
    let relation = |bench: &Bench, arguments: &[&str]| {
        bench.run(&[&["diff"], arguments, &["--json"]].concat()).json()["relation"].clone()
    };
    assert_eq!(relation(&through_time, &["rowan/race"]), "revisions");
    let bench =
        Bench::without_git(&[(RACE_FILE, RACE), ("setups/alder/race.kdl", &other), ("old.kdl", RACE)]);
    assert_eq!(relation(&bench, &["rowan/race", "alder/race"]), "setups");
    // A copy of the same setup is the same setup.
    assert_eq!(relation(&bench, &["old.kdl", "rowan/race"]), "revisions");
    // Only the frame differs: no one can move that, and it is a difference all the same.
    let frame =
        changed(RACE, &[("setup \"rowan/race\"", "setup \"alder/race\""), ("stack 630", "stack 640")]);
    bench.write("setups/alder/race.kdl", &frame);
    let outcome = bench.run(&["diff", "rowan/race", "alder/race"]);
    assert_eq!(outcome.status, 1);
    assert!(outcome.out.contains("Both hands: 10.00 ± 0.82 mm up."), "{}", outcome.screen());
}

/// A spacer that went from above the stem to below it leaves everything on the steerer as high as it was; one that came
/// from nowhere does not. U of two readings with a caliper of ±0.1: 2·√(2·0.1²/3) = 0.163299.
#[test]
fn spacers_that_do_not_add_up() {
    let sum = |changes: &[(&str, &str)]| {
        after(changes).run(&["diff", "rowan/race", "--json"]).json()["spacers"].clone()
    };
    assert_eq!(sum(&SPACER), Value::Null);
    // A stem 5 mm taller in place of a spacer of 5 mm.
    let stem = [("spacers-below 15", "spacers-below 10"), ("clamp-height 40", "clamp-height 45")];
    assert_eq!(sum(&stem), Value::Null);
    // Within reading: 2·√(2·0.1²/3) is more than 0.1.
    assert_eq!(sum(&[("spacers-below 15", "spacers-below 15.1")]), Value::Null);
    let more = [("spacers-below 15", "spacers-below 20")];
    let shift = sum(&more);
    close(&shift["delta"], 5.0, 1e-9);
    close(&shift["U"], 0.163_299, 1e-6);
    let screen = diff(&after(&more)).out;
    let said = flowing(&screen);
    assert!(
        said.contains(
            "All spacers and the stem's clamp together: 5.00 ± 0.16 mm more on the steerer. The top cap is set for the \
             old height: set the bearing preload again, or measure the spacers again."
        ),
        "{screen}"
    );
    let bench = after(&[]);
    let sheet = "found \"rowan/race\" format=1 {\n    steerer { spacers-below 10 with=caliper }\n}\n";
    bench.write("setups/rowan/found.kdl", sheet);
    let screen = bench.run(&["diff", "rowan/race", "--found", "rowan/found"]).out;
    let said = flowing(&screen);
    assert!(
        said.contains("5.00 ± 0.16 mm less on the steerer. Nobody looked at the spacers above"),
        "{screen}"
    );
}

#[test]
fn a_setup_that_was_renamed() {
    let bench = Bench::without_git(&[]);
    let commit = |subject: &'static str, day: u32, files: Vec<(String, Option<Vec<u8>>)>, tag| DemoCommit {
        files,
        subject,
        date: DateTime::parse_from_rfc3339(&format!("2031-05-{day:02}T08:30:00+02:00")).expect("a date"),
        tag,
    };
    let wet = changed(RACE, &SPACER).replace("setup \"rowan/race\"", "setup \"rowan/wet\"");
    let commits = [
        commit("Measure", 1, vec![(RACE_FILE.to_owned(), Some(RACE.as_bytes().to_vec()))], Some("venue-1")),
        commit(
            "Call it wet",
            2,
            vec![(RACE_FILE.to_owned(), None), ("setups/rowan/wet.kdl".to_owned(), Some(wet.into_bytes()))],
            None,
        ),
    ];
    build(bench.root(), &commits).expect("a new folder");
    let outcome = bench.run(&["diff", "rowan/wet", "venue-1"]);
    assert_eq!(outcome.status, 1);
    assert!(outcome.out.contains("spacers below the stem"), "{}", outcome.screen());
    assert_eq!(bench.run(&["diff", "rowan/wet"]).status, 0);
}

#[test]
fn what_cannot_be_compared() {
    let bench = three_venues();
    let screens = |questions: &[&[&str]]| -> String {
        questions
            .iter()
            .map(|question| {
                let outcome = bench.run(question);
                assert_eq!(outcome.status, 2, "{}", outcome.screen());
                outcome.screen() + "\n"
            })
            .collect()
    };
    bench.write("setups/rowan/new.kdl", RACE);
    bench.write("setups/rowan/torn.kdl", "stem { length 50 }\n");
    std::fs::remove_file(bench.root().join("setups/alder/plumb.kdl")).expect("it was there");
    insta::assert_snapshot!(
        "refused",
        screens(&[
            &["diff", "rowan/race", "venu-1"],
            &["diff", "rowan/race", "HEAD~9"],
            &["diff", "rowan/rase"],
            &["diff", "rowan/new"],
            &["diff", "rowan/new", "venue-1"],
            &["diff", "alder/plumb"],
            &["diff", "rowan/race", "rowan/torn"],
        ])
    );
    // A deleted file lives on in its revisions.
    assert_eq!(bench.run(&["diff", "alder/plumb", "venue-1", "venue-2"]).status, 0);
    let json = bench.run(&["diff", "rowan/race", "venu-1", "--json"]);
    assert_eq!((json.status, &json.json()["schema"]), (2, &"clampmark.failure/1".into()));
}

#[test]
fn a_fault_is_said_because_it_may_hide_a_difference() {
    let outcome = diff(&after(&[("rebound 7", "rebond 7")]));
    insta::assert_snapshot!("faulty", outcome.screen());
}

#[test]
fn a_difference_is_shown_no_finer_than_it_is_known() {
    // Both read to ± 2 mm: U = 2·√(2·4/3) = 3.27, so one decimal of 57.484 − 48.968 = 8.516 is left.
    let fine = |length: &str| changed(PLUMB, &[("rise 0", &format!("rise {length} tol=2"))]);
    let bench = Bench::without_git(&[
        ("setups/alder/plumb.kdl", &fine("48.968")),
        ("setups/alder/other.kdl", &fine("57.484").replace("alder/plumb", "alder/other")),
    ]);
    let outcome = bench.run(&["diff", "alder/plumb", "alder/other"]);
    assert!(outcome.out.contains("8.5 mm higher") && !outcome.out.contains("8.516"), "{}", outcome.screen());
    // The figures themselves stand as they were typed.
    assert!(outcome.out.contains("57.484 mm vs 48.968 mm"), "{}", outcome.screen());
    // The way back neither; where it ends is what was recorded.
    let spacers = changed(PLUMB, &[("spacers-below 20", "spacers-below 20.125 tol=2")]);
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &spacers)]);
    let sheet = "found \"alder/plumb\" format=1 {\n    measured \"2031-05-09\"\n    steerer { spacers-below 28.641 tol=2 }\n}\n";
    bench.write("setups/alder/returned.kdl", sheet);
    let outcome = bench.run(&["restore", "alder/plumb", "--found", "alder/returned"]);
    assert!(outcome.out.contains("fit 8.5 mm fewer, to 20.125 mm"), "{}", outcome.screen());
}

/// An axle that is loose is not damaged: what was seen is said. Spacers that are left out are fewer.
#[test]
fn the_headline_says_what_was_seen_at_a_joint() {
    let folder = crate::restore::ledger(&[(
        "loan",
        "steerer { spacers-above 0 with=caliper }; damage on=\"front-axle\" \"loose.\"",
    )]);
    let found = crate::restore::json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    let headline = found["headline"].as_str().expect("a headline");
    assert!(headline.starts_with("Do not ride: front axle: loose;"), "{headline}");
    let screen = crate::restore::run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert!(screen.text.contains("5.0 mm fewer"), "{}", screen.text);
}

/// A bar rolled 4° forward takes the blade 4° down: one that still reads 32° was turned 4° up on the bar.
#[test]
fn a_lever_that_reads_as_before_on_a_rolled_bar_is_not_said_to_have_moved_by_nothing() {
    let inside = "bar { roll 2.5 with=angle-gauge }; left { brake-lever { angle 32 with=angle-gauge } }";
    let folder = crate::restore::ledger(&[("loan", inside)]);
    let plan = crate::restore::json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "left.brake-lever").expect("the lever's step");
    let why = lever["why"].as_str().expect("why");
    assert!(!why.contains("moved 0.0°"), "{why}");
    assert!(why.contains("moved 4.0° tip up on the bar, 4.0° tip down with the bar's roll"), "{why}");
}
