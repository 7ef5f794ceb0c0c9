//! A sheet that finds the bar narrower: cut, or another one. What stays on a bar that is cut stands nearer to its ends by
//! what was cut off each.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, program, run};

/// The race bike with a whole bar's shape, and places and torques of both levers.
fn base() -> String {
    SETUP
        .replace(
            "rider { front",
            "frame { reach 470; stack 630; head-angle 64.5 }\n    headset { cover 9 }\n    rider { front",
        )
        .replace("width 780", "width 780; rise 25; back-sweep 8; up-sweep 5; bend 90")
        .replace("left { brake-lever", "left { grip { hand 62 }; brake-lever")
        .replace(
            "right { brake-lever { from-tip (in)6.61",
            "right { grip { hand 62 }; brake-lever { from-tip 168",
        )
        .replace("reach 62 with=caliper }", "reach 62 with=caliper; lowest from-tip=196 drop=38 ahead=44 }")
        .replace("from-tip=(in)6.61", "from-tip=168")
        .replace("slips-in-a-crash;", "slips-in-a-crash; applied 2.8 read=\"2026-05-02\";")
}

fn sheet(inside: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let setups = folder.path().join("setups/rowan");
    fs::create_dir_all(&setups).expect("folders");
    fs::write(setups.join("race.kdl"), base()).expect("written");
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-09\"\n    {inside}\n}}\n");
    fs::write(setups.join("loan.kdl"), text).expect("written");
    folder
}

fn text(folder: &Path) -> String {
    fs::read_to_string(folder.join("setups/rowan/race.kdl")).expect("the file")
}

fn found(folder: &Path) -> Value {
    json(folder, &["diff", "rowan/race", "--found", "rowan/loan"])
}

fn change<'f>(found: &'f Value, measure: &str) -> Option<&'f Value> {
    found["changes"].as_array().expect("changes").iter().find(|change| change["measure"] == measure)
}

fn derived(found: &Value, name: &str) -> f64 {
    let all = found["derived"].as_array().expect("figures");
    let one = all.iter().find(|one| one["name"] == name).unwrap_or_else(|| panic!("no {name}: {found:#}"));
    one["delta"].as_f64().expect("a number")
}

const FOUND: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

/// Nobody knows whether it was cut, so nobody knows where the levers stand.
#[test]
fn a_narrower_bar_is_asked_about_and_nothing_is_written() {
    let folder =
        sheet("bar { width 760 }\n    left { brake-lever { from-tip 163 } }\n    tyres { front 25 }");
    for command in ["diff", "restore", "record"] {
        let screen = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
        let said = flowing(&screen.text);
        assert_eq!(screen.status, Some(1), "{command}: {said}");
        assert!(said.contains("Do not ride: bar"), "{command}: {said}");
        assert!(said.contains("was it cut, or is it another bar?"), "{command}: {said}");
        assert!(said.contains("`bar { supplied-width 780 }`"), "{command}: {said}");
    }
    // 163 from which end: beside a width of 780 it would be a false place. The tyre has no part in that.
    let kept = "material carbon\n        note \"2026-05-09 do not ride: found 20 mm narrower: cut, or another one, nobody says\"\n";
    let expected = base().replace("front 23", "front 25 read=\"2026-05-09\"");
    assert_eq!(text(folder.path()), expected.replace("material carbon\n", kept));
    assert_eq!(found(folder.path())["narrower"]["is-cut"], false);
}

/// 780 to 760 is 10 mm off each end: 168 from the old end is 158 from the new one.
#[test]
fn places_that_agree_with_a_cut_say_so_themselves() {
    let inside = "bar { width 760 }\n    left { brake-lever { from-tip 158 } }\n    right { brake-lever { from-tip 158 } }\n    \
                  mark \"L1\" aligned";
    let folder = sheet(inside);
    let found = found(folder.path());
    assert_eq!(found["narrower"]["is-cut"], true);
    assert_eq!(found["headline"], Value::Null, "{found:#}");
    assert_eq!(found["contradictions"], Value::Array(Vec::new()));
    assert_eq!(found["tightened"], Value::Array(Vec::new()));
    let lever = change(&found, "left.brake-lever.from-tip").expect("the lever's place");
    assert_eq!(lever["carried"], "saw");
    let screen = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert!(!screen.text.contains("move it"), "{}", screen.text);
    assert!(screen.text.contains("it was cut"), "{}", screen.text);
    let screen = run(folder.path(), &FOUND);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let text = text(folder.path());
    for words in [
        "width 760 read=\"2026-05-09\"; supplied-width 780",
        "left { grip { hand 62 }; brake-lever { from-tip 158 ",
        "right { grip { hand 62 }; brake-lever { from-tip 158 ",
        // 196 from the old end, on the lever that stayed.
        "lowest from-tip=186.0 drop=38",
        "drawn from-tip=158 angle=32; reads",
        "applied 2.8 read=\"2026-05-02\"",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let again = flowing(&run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]).text);
    assert!(again.contains("Nothing moved"), "{again}");
}

/// A line on the bar that still meets its lever is on the same bar.
#[test]
fn a_line_that_meets_tells_the_same_bar_and_the_lever_is_where_it_was_on_it() {
    let folder = sheet("bar { width 760 }\n    mark \"L1\" aligned");
    let found = found(folder.path());
    assert_eq!(found["narrower"]["is-cut"], true);
    assert_eq!(change(&found, "left.brake-lever.from-tip").expect("told by its line")["carried"], "saw");
    let screen = run(folder.path(), &FOUND);
    assert_eq!(screen.status, Some(1));
    let text = text(folder.path());
    assert!(text.contains("left { grip { hand 62 }; brake-lever { from-tip 158"), "{text}");
    // Of the right lever nobody knows whether it was slid along.
    assert!(text.contains("from-tip unmeasured"), "{text}");
    assert!(
        text.contains("from-tip no longer known: the bar was cut 10 mm off each end; it read 168 mm before"),
        "{text}"
    );
    assert!(flowing(&screen.text).contains("Do not ride"), "{}", screen.text);
    assert!(screen.text.contains("right brake lever place no longer known"), "{}", screen.text);
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert!(check.text.contains("unmeasured"), "{}", check.text);
}

/// A lever that reads as before from the end that was cut was slid inboard by as much: its clamp was opened.
#[test]
fn a_lever_that_was_slid_along_was_opened() {
    let folder = sheet("bar { width 760; supplied-width 780 }\n    right { brake-lever { from-tip 168 } }");
    let found = found(folder.path());
    let lever = change(&found, "right.brake-lever.from-tip").expect("it moved on the bar");
    assert_eq!(lever["verdict"], "moved");
    assert_eq!(lever["moved"], "10.0 mm inboard on the bar");
    assert_eq!(lever["put-back"], "10.0 mm outboard on the bar, to 158 mm from the new end");
    assert!(
        found["headline"].as_str().expect("a headline").contains("front brake lever place (right) moved")
    );
    assert!(found["tightened"][0]["words"].as_str().expect("words").contains("opened, torque unknown"));
    assert_eq!(run(folder.path(), &FOUND).status, Some(1));
    let text = text(folder.path());
    assert!(text.contains("right { grip { hand 62 }; brake-lever { from-tip 168"), "{text}");
    assert!(!text.contains("applied 2.8"), "{text}");
    // The line stayed on the bar.
    assert!(text.contains("mark \"R1\" on=\"right.brake-lever\" { drawn from-tip=158"), "{text}");
}

/// What is cut off each end, 10 mm, takes 10·tan 5° = 0.8749 mm of the rise with it; another bar of that shape has all of it.
/// What `try` tells of the cut is the witness for the rest.
#[test]
fn the_hands_are_those_of_a_bar_that_was_cut() {
    let folder = sheet("bar { width 760; supplied-width 780 }\n    left { brake-lever { from-tip 158 } }");
    let told = found(folder.path());
    let tried = json(folder.path(), &["try", "rowan/race", "bar.width=760"]);
    let another = sheet("bar { width 760; supplied-width 760 }");
    let another = found(another.path());
    for name in ["grip-stack", "grip-reach"] {
        assert!((derived(&told, name) - derived(&tried, name)).abs() < 1e-9, "{name}");
    }
    // Along the steering axis, 64.5° from level, and rolled back by 1.5°: 0.8749·sin 63° = 0.7795.
    let lower = derived(&another, "grip-stack") - derived(&told, "grip-stack");
    assert!((lower - 0.7795).abs() < 1e-3, "{lower}");
}

#[test]
fn a_bar_supplied_as_narrow_is_another_one() {
    let folder = sheet(
        "bar { width 760; supplied-width 760 }\n    left { brake-lever { from-tip 158 } }\n    mark \"B1\" aligned",
    );
    let found = found(folder.path());
    assert_eq!(found["narrower"], Value::Null);
    assert_eq!(found["replaced"]["parts"][0], "bar");
}

/// Two revisions of a bar that was cut between them.
#[test]
fn between_two_revisions_a_cut_moves_no_lever() {
    let folder = sheet("");
    let git = |asked: &[&str]| {
        let asked =
            [&["-c", "user.name=A", "-c", "user.email=a@b", "-c", "commit.gpgsign=false"], asked].concat();
        let output = std::process::Command::new("git").current_dir(folder.path()).args(asked).output();
        output.is_ok_and(|output| output.status.success())
    };
    if !git(&["init", "-q"]) {
        return;
    }
    assert!(git(&["add", "setups/rowan/race.kdl"]) && git(&["commit", "-qm", "Measure"]));
    let cut = base()
        .replace("width 780", "width 760; supplied-width 780")
        .replace("brake-lever { from-tip 168", "brake-lever { from-tip 158");
    fs::write(folder.path().join("setups/rowan/race.kdl"), cut).expect("written");
    let output = program(folder.path(), &["--json", "diff", "rowan/race"]).output().expect("it runs");
    let found: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(change(&found, "left.brake-lever.from-tip").expect("the lever's place")["carried"], "saw");
    assert_eq!(found["headline"], Value::Null, "{found:#}");
}

/// Whoever finds no line on the bar may have another bar in the hand; one lever may stand there by chance.
#[test]
fn lines_that_are_gone_and_one_place_alone_tell_of_no_saw() {
    let places = "left { brake-lever { from-tip 158 } }\n    right { brake-lever { from-tip 158 } }";
    for inside in [
        format!("bar {{ width 760 }}\n    {places}\n    mark \"L1\" missing"),
        "bar { width 760 }\n    left { brake-lever { from-tip 158 } }".to_owned(),
    ] {
        let folder = sheet(&inside);
        assert_eq!(found(folder.path())["narrower"]["is-cut"], false, "{inside}");
        assert_eq!(run(folder.path(), &FOUND).status, Some(1));
        assert!(text(folder.path()).contains("width 780;"), "{inside}");
    }
    let folder = sheet(&format!("bar {{ width 760 }}\n    {places}"));
    assert_eq!(found(folder.path())["narrower"]["is-cut"], true);
}

/// A grip comes off for the saw.
#[test]
fn the_grips_of_a_bar_that_was_cut_were_off() {
    let folder = sheet("bar { width 760 }\n    mark \"L1\" aligned");
    let grip = "    torque \"left.grip\" 2 3 { applied 2.5 read=\"2026-05-02\" }\n}\n";
    let with_grip = format!("{}\n{grip}", base().trim_end().trim_end_matches('}'));
    fs::write(folder.path().join("setups/rowan/race.kdl"), with_grip).expect("written");
    let tightened = found(folder.path())["tightened"].clone();
    assert_eq!((&tightened[0]["joint"], &tightened[0]["state"]), (&"left.grip".into(), &"unknown".into()));
    run(folder.path(), &FOUND);
    assert!(!text(folder.path()).contains("applied 2.5"), "{}", text(folder.path()));
}

/// A hose leaves its lever where that stands: 10 mm nearer to the new end, unless the lever was slid along with the end.
#[test]
fn a_hose_leaves_a_cut_bar_where_its_lever_stands() {
    let hose = "hose \"rear brake\" { free 420; bend-radius 40; leaves side=left from-tip=215 ahead=30 up=-5\n    \
                enters side=left down=55 back=25 out=22 }\n    tyres {";
    for (told, left) in [
        ("mark \"L1\" aligned", "from-tip=205.0 ahead=30"),
        ("bar { supplied-width 780 }", "from-tip=205.0 ahead=30"),
        ("bar { supplied-width 780 }; left { brake-lever { from-tip 168 } }", "from-tip=215 ahead=30"),
        ("bar { supplied-width 780 }; left { brake-lever { from-tip 163 } }", "from-tip=210.0 ahead=30"),
    ] {
        let inside = match told.strip_prefix("bar { supplied-width 780 }") {
            Some(rest) => format!("bar {{ width 760; supplied-width 780 }}{rest}"),
            None => format!("bar {{ width 760 }}; {told}"),
        };
        let folder = sheet(&inside);
        let setup = base().replacen("tyres {", hose, 1);
        fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("written");
        let screen = run(folder.path(), &FOUND);
        assert!(text(folder.path()).contains(left), "{told}: {}\n{}", text(folder.path()), screen.text);
    }
}

/// Cut and recorded, the page of the two revisions heads with it as the sheet's did; its lines nobody drew.
#[test]
fn a_bar_cut_between_two_revisions_is_said_to_be_cut() {
    let inside = "bar { width 760; supplied-width 780 }\n    left { brake-lever { from-tip 158 } }
    right { brake-lever { from-tip 158 } }";
    let files = [("setups/rowan/race.kdl", &*base())];
    let bench = Bench::recorded(&[Commit { subject: "Measure", files: &files, tag: None }]);
    let sheet = format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-09\"\n    {inside}\n}}\n");
    bench.write("setups/rowan/loan.kdl", sheet);
    let told = |arguments: &[&str]| {
        let page = flowing(&bench.run(arguments).out);
        assert!(
            page.contains("Bar 20 mm narrower: it was cut. The bar was cut, 10 mm off each end."),
            "{page}"
        );
        assert!(!page.contains("drawn anew"), "{page}");
    };
    told(&["diff", "rowan/race", "--found", "rowan/loan"]);
    bench.run(&FOUND);
    told(&["diff", "rowan/race"]);
    bench.run(&[&FOUND[..], &["--commit", "-m", "As found"]].concat());
    let story = bench.run(&["history", "rowan/race", "--marks"]).out;
    assert!(!story.contains("drawn anew"), "{story}");
}
