//! What `try --write` and `carry --write` leave in the folder: the same file with the planned values in it, and honest
//! about them. The expected texts are made from the file by hand.

use std::fs;

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

use super::rider::{ROWAN, json, ledger, run};

/// The race setup as somebody keeps it, with comments, instruments and days.
fn kept_by_hand() -> String {
    ROWAN
        .replace("    floor 0.0\n", "    instruments { caliper tol=0.1 }   // the good one\n    floor 0.0\n")
        .replace("stem { length 50;", "stem { length 50 with=caliper read=\"2026-05-03\" /* twice */;")
        .replace("roll -1.5;", "roll -1.5 -1.0 -2.0 tol=0.2;")
        .replace("drop=38 ahead=44 }", "drop=38 ahead=44 tol=1 }")
        .replace("spacers-below 15;", "spacers-below (cm)1.5 tol=0.05;   ")
}

#[test]
fn a_planned_value_drops_how_the_old_one_was_read_and_keeps_everything_else() {
    let folder = ledger();
    let text = kept_by_hand();
    fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    let asked = ["stem.length=40", "steerer.spacers-below=+5", "left.brake-lever.from-tip=+4"];
    let arguments = [&["try", "rowan/race"][..], &asked, &["--write", "rowan/tried"]].concat();
    let (status, said) = run(folder.path(), 80, &arguments);
    assert_eq!(status, 0, "{said}");
    // The new stem opens both of its joints, of which the file tells no torque.
    let open = |joint: &str| format!("note \"2026-05-25 joint {joint}opened, torque not read (planned)\"");
    let fit = |part: &str| format!("note \"2026-05-25 to be fitted: {part}\"");
    // 15 + 5 = 20 mm is 2 cm. The lever slides 4 inboard and takes its lowest point and its hose along the bar with it: 200 and 219; the
    // other two figures of that point stay, and with them the tolerance they were read with.
    let note = "note \"Planned with `try` on rowan/race, not measured: steerer.spacers-below, stem.length, \
                left.brake-lever.from-tip, and what goes along: stem.angle, stem.clamp-height. Taken from the old \
                stem: stem angle 0°, stem clamp height 40 mm. Measure the new stem. Comments beside these are of what stood there before: \
                stem.length. Material and torque limits of the replaced stem are not the new maker's.\"";
    let expected = text
        .replace("\"rowan/race\"", "\"rowan/tried\"")
        .replace("length 50 with=caliper read=\"2026-05-03\" /* twice */;", "length 40 /* twice */;")
        .replace("spacers-below (cm)1.5 tol=0.05;", "spacers-below (cm)2;")
        .replace(
            "spacers-above 5 }",
            &format!(
                "spacers-above 5; {} }}",
                fit("20 mm of spacers below the stem, 5 mm of spacers above the stem")
            ),
        )
        .replace("supplied-length 50 }", &format!("supplied-length 50; {} }}", fit("another stem (40 mm)")))
        .replacen("from-tip 168;", "from-tip 172;", 1)
        .replace("lowest from-tip=196", "lowest from-tip=200")
        .replace("ahead=44 tol=1 }", &format!("ahead=44 tol=1; {} }}", open("")))
        .replace("leaves side=left from-tip=215", "leaves side=left from-tip=219")
        .replace(
            "    measured \"2026-05-02\"\n",
            &format!(
                "    measured \"2026-05-02\"\n    {note}\n    {}\n    {}\n",
                open("stem-steerer "),
                open("stem-face ")
            ),
        );
    let written = fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    assert_eq!(written, expected);
    // None of the three is tightened, and of four no torque is known.
    let (status, said) = run(folder.path(), 80, &["check", "rowan/tried"]);
    assert!(status == 1 && said.contains("7 cautions") && !said.contains("Fault."), "{said}");
}

#[test]
fn repeated_readings_become_the_one_planned_value() {
    let folder = ledger();
    fs::write(folder.path().join("setups/rowan/race.kdl"), kept_by_hand()).expect("written");
    let (status, said) =
        run(folder.path(), 80, &["try", "rowan/race", "bar.roll=+2", "--write", "rowan/rolled"]);
    assert_eq!(status, 0, "{said}");
    // The mean of −1.5, −1.0 and −2.0 is −1.5; two more is 0.5.
    let written = fs::read_to_string(folder.path().join("setups/rowan/rolled.kdl")).expect("written");
    assert!(written.contains("bend 90; roll 0.5; offset 0 }"), "{written}");
}

#[test]
fn a_carried_bar_without_its_old_bend_is_not_measured_yet() {
    let folder = ledger();
    let parts = "parts \"box\" format=1 {\n    bar \"swept\" width=780 rise=20 back-sweep=12 up-sweep=5 setback=60\n}\n";
    fs::write(folder.path().join("swept.kdl"), parts).expect("written");
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file").replace("bend 90", "bend 90 tol=3");
    fs::write(&alder, &text).expect("written");
    let asked =
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "swept.kdl", "--write", "alder/race"];
    assert_eq!(run(folder.path(), 80, &asked).0, 0);
    let written = fs::read_to_string(folder.path().join("setups/alder/race.kdl")).expect("written");
    assert!(written.contains("bend unmeasured;"), "{written}");
    assert!(written.contains("Planned with `carry` for the hands of rowan/race, not measured"), "{written}");
}

#[test]
fn a_name_stays_in_the_ledger_and_a_path_goes_where_it_says() {
    let folder = ledger();
    let write = |to: &str| run(folder.path(), 120, &["try", "rowan/race", "stem.length=45", "--write", to]);
    for name in ["../outside", "rowan/../../outside", "..", "./rowan/tried", "rowan//tried", "rowan/a b"] {
        let (status, said) = write(name);
        assert_eq!(status, 2, "{name}");
        assert!(said.contains("Stopped:") && said.contains("such as rowan/tried"), "{name}: {said}");
    }
    assert!(!folder.path().join("outside.kdl").exists() && !folder.path().join("../outside.kdl").exists());
    // Dots in a path lead where they lead; below setups/ the place gives the name, elsewhere the old one stays.
    let first = |path: &str| {
        let text = fs::read_to_string(folder.path().join(path)).expect("written");
        text.lines().next().map(str::to_owned)
    };
    assert_eq!(write("setups/rowan/../alder/tried.kdl").0, 0);
    assert_eq!(first("setups/alder/tried.kdl").as_deref(), Some("setup \"alder/tried\" format=1 {"));
    assert_eq!(write("setups/../loose.kdl").0, 0);
    assert_eq!(first("loose.kdl").as_deref(), Some("setup \"rowan/race\" format=1 {"));
}

#[test]
fn what_cannot_be_kept_says_how_near_it_comes() {
    let folder = ledger();
    // From 50 to 150 mm the stem brings the hands 100·sin 64.5° = 90.3 forward. 80 mm of spacers, 65 more than now,
    // bring them 65·cos 64.5° = 28.0 back: 62.3 short.
    let asked =
        ["try", "rowan/race", "stem.length=150", "--keep", "grip-reach", "--by", "steerer.spacers-below"];
    let (status, said) = run(folder.path(), 120, &asked);
    assert_eq!(status, 2);
    assert!(said.contains("the nearest, 80.0, misses it by 62.3 mm"), "{said}");
    // Spacers that can: 10·sin 64.5°/cos 64.5° = 20.965 more than 15.
    let asked =
        ["try", "rowan/race", "stem.length=60", "--keep", "grip-reach", "--by", "steerer.spacers-below"];
    let kept = json(folder.path(), &asked);
    let value = kept["kept"]["value"].as_f64().expect("a number");
    assert!((value - 35.965).abs() < 1e-3, "{value}");
}

#[test]
fn what_a_try_says_is_no_finer_than_anybody_reads() {
    let folder = ledger();
    let text = ROWAN.replace(
        "    guard",
        "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    guard",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    // 32 + 37.756796221 = 69.756796221, which nobody's gauge shows.
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "left.brake-lever.angle=+37.756796221"]);
    assert!(said.contains("recorded is 69.757°"), "{said}");
    assert!(!said.contains("69.7567"), "{said}");
    // A file holds three decimals of what was worked out, and what a file holds is shown as it stands there.
    let asked = ["left.brake-lever.angle=+37.756796221", "--write", "rowan/steep"];
    assert_ne!(run(folder.path(), 120, &[&["try", "rowan/race"][..], &asked].concat()).0, 2);
    let (_, differs) = run(folder.path(), 120, &["diff", "rowan/race", "rowan/steep"]);
    assert!(differs.contains("69.757°") && !differs.contains("69.7567"), "{differs}");
    // Steering to the right is said, not signed.
    assert!(!said.contains("at -"), "{said}");
}

#[test]
fn what_is_new_to_say_begins_with_the_dangerous() {
    let folder = ledger();
    let text = ROWAN.replace(
        "    guard",
        "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    guard",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    // One lever 30° steeper than the other is advice and stands further up in the file than the mark, which no longer
    // tells where the lever is: a caution.
    let tried = json(folder.path(), &["try", "rowan/race", "left.brake-lever.angle=+30"]);
    let codes: Vec<&str> = tried["appears"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|said| said["code"].as_str())
        .collect();
    assert_eq!(codes, ["stale-mark", "sides-differ"]);
}

#[test]
fn the_box_in_the_help_is_one_that_can_be_read() {
    let folder = ledger();
    let (status, help) = run(folder.path(), 80, &["carry", "--help"]);
    assert_eq!(status, 0);
    assert!(help.lines().all(|line| line.chars().count() <= 80), "{help}");
    let start = help.find("  parts \"race box\"").expect("the example");
    let end = start + help[start..].find("\n  }\n").expect("its end") + "\n  }\n".len();
    fs::write(folder.path().join("help.kdl"), &help[start..end]).expect("written");
    let (status, said) = run(folder.path(), 80, &["check", "help.kdl"]);
    assert_eq!(status, 0, "{said}");
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "help.kdl"];
    let carried = json(folder.path(), &asked);
    assert_eq!(carried["assemblies"][0]["bar"], "wide");
    assert!(help.contains(
        "The other bike keeps its own of a kind that the box does not hold (stems, bars,\nspacers)."
    ));
}

#[test]
fn what_a_person_typed_is_shown_as_typed() {
    let folder = ledger();
    let text =
        ROWAN.replacen("from-tip 168", "from-tip (m)0.1685", 1).replace("width 780", "width (in)30.7087");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let found = json(folder.path(), &["diff", "alder/trail", "rowan/race"]);
    let written = |measure: &str| {
        let changes = found["changes"].as_array().expect("a list");
        let change = changes.iter().find(|change| change["measure"] == measure).expect("the measure");
        change["now-written"].clone()
    };
    assert_eq!(written("left.brake-lever.from-tip"), "0.1685 m");
    assert_eq!(written("bar.width"), "30.7087 in");
}

#[test]
fn what_is_tried_is_what_is_written_to_the_last_digit() {
    let folder = ledger();
    let text = ROWAN
        .replace("length 50;", "length (in)1.75;")
        .replace("clamp-height 40;", "clamp-height (cm)4.0;")
        .replace("roll -1.5;", "roll -1.5 -1.0 -1.5;");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let asked = ["try", "rowan/race", "stem.length=40", "bar.roll=-5", "--keep", "grip-stack", "--by"];
    let asked = [&asked[..], &["stem.clamp-height", "--write", "rowan/tried"]].concat();
    let tried = json(folder.path(), &asked);
    let written = fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    // As typed, in the unit that it was typed in; the mean of the rolls, −1.333…, less 5.
    assert!(written.contains("stem { length (mm)40;") && written.contains("roll -6.333;"), "{written}");
    let now = |found: &serde_json::Value, name: &str| {
        let rows = found["derived"].as_array().expect("rows");
        rows.iter().find(|row| row["name"] == name).expect("the row")["now"].as_f64().expect("a number")
    };
    let again = json(folder.path(), &["try", "rowan/tried", "rider.stature=1800"]);
    for name in ["grip-stack", "grip-reach", "hand-span"] {
        assert_eq!(now(&again, name).to_bits(), now(&tried, name).to_bits(), "{name}");
    }
    let height = tried["kept"]["value"].as_f64().expect("a number");
    assert!(written.contains(&format!("clamp-height (cm){};", height / 10.0)), "{height}: {written}");
}

#[test]
fn what_is_planned_is_never_taken_for_what_is_on_the_bike() {
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", RACE)]);
    let tried = ["try", "rowan/race", "steerer.spacers-below=+5", "--write", "rowan/tried"];
    assert_ne!(bench.run(&tried).status, 2);
    let written = fs::read_to_string(bench.root().join("setups/rowan/tried.kdl")).expect("written");
    let words = "in part planned, not measured";

    let diff = bench.run(&["diff", "rowan/race", "rowan/tried"]);
    let head = flowing(diff.out.split("\n\n").next().expect("a head"));
    assert!(
        head.starts_with("rowan/tried (measured 2031-05-02, in part planned, not measured) against"),
        "{head}"
    );
    assert!(head.ends_with("against rowan/race (measured 2031-05-02)"), "only one side is planned: {head}");
    let json = bench.run(&["diff", "--json", "rowan/race", "rowan/tried"]).json();
    assert_eq!((&json["from"]["planned"], &json["to"]["planned"]), (&false.into(), &true.into()));

    let sheet = "found \"rowan/tried\" format=1 {\n    measured \"2026-05-09\"\n    steerer { spacers-below 20 }\n}\n";
    bench.write("setups/rowan/returned.kdl", sheet);
    for more in [&[][..], &["--found", "rowan/returned"]] {
        let restore = bench.run(&[&["restore", "rowan/tried"][..], more].concat());
        let top = flowing(&restore.out.lines().take(3).collect::<Vec<_>>().join(" ")).to_lowercase();
        assert!(top.contains(words), "{}", restore.screen());
    }
    assert!(!bench.run(&["restore", "rowan/race"]).out.to_lowercase().contains(words));

    let file = "setups/rowan/tried.kdl";
    let measured = changed(RACE, &[("rowan/race", "rowan/tried")]);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[(file, &measured)], tag: None },
        Commit { subject: "Plan", files: &[(file, &written)], tag: None },
    ]);
    let history = bench.run(&["history", "rowan/tried"]).out;
    assert_eq!(history.matches("In part planned, not measured.").count(), 1, "{history}");
    let newer = history.find("Plan (").expect("the plan");
    let older = history.find("Measure (").expect("the measuring");
    assert!((newer..older).contains(&history.find("In part planned").expect("said")), "{history}");
    let series = bench.run(&["history", "rowan/tried", "steerer.spacers-below"]).out;
    assert_eq!(flowing(&series).matches(words).count(), 1, "{series}");
}
