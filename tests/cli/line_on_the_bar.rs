//! A line across a control's clamp lies on the bar: it stands for the control's angle less the bar's roll on the day it
//! was drawn, whatever a gauge reads since.
//!
//! The setup's levers stand at 32° on a bar that is rolled by -1.5°: on the bar that is 33.5°.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, ledger, run, setup_text};

const SHEET: [&str; 3] = ["rowan/race", "--found", "rowan/loan"];
/// The bar rolled by hand from -1.5° to 1.5° on a later day.
const ROLL: &str = "roll 1.5 with=angle-gauge read=\"2026-05-20\"";

/// The setup with the bar rolled by hand, its right lever read on it at so many degrees, and its lines drawn as told.
fn rolled(lever: &str, drawn: &str) -> String {
    let text = SETUP.replace("roll -1.5 with=angle-gauge", ROLL);
    let read = format!("from-tip (in)6.61; angle {lever} with=angle-gauge read=\"2026-05-20\"");
    let text = text.replace("from-tip (in)6.61; angle 32 with=angle-gauge", &read);
    text.replace("drawn from-tip=(in)6.61 angle=32", &format!("drawn from-tip=(in)6.61 {drawn}"))
}

fn with(text: &str, sheet: &str) -> TempDir {
    let folder = ledger(&[("loan", sheet)]);
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let later = folder.path().join("setups/rowan/loan.kdl");
    let sheet = fs::read_to_string(&later).expect("the sheet").replace("2026-05-09", "2026-05-22");
    fs::write(later, sheet).expect("written");
    folder
}

fn mark<'v>(plan: &'v Value, name: &str) -> &'v Value {
    let marks = plan["marks"].as_array().expect("marks");
    marks.iter().find(|mark| mark["name"] == name).unwrap_or_else(|| panic!("{name}: {plan:#}"))
}

fn page(folder: &Path, command: &str) -> String {
    flowing(&run(folder, &[&[command][..], &SHEET].concat()).text)
}

/// Rolled by 3° and the lever set back to 32°: on the bar the setup wants it at 32 - 1.5 = 30.5°, and the line was drawn at
/// 33.5°. One that meets tells of a lever 3° tip down of that: the line says nothing of where the setup wants it.
#[test]
fn a_lever_set_back_on_a_rolled_bar_leaves_its_line_behind() {
    let folder = with(&rolled("32", "angle=32 roll=-1.5"), "mark \"R1\" aligned");
    let check = flowing(&run(folder.path(), &["check", "rowan/race"]).text);
    let stale = "Mark R1 is stale: drawn at right brake lever angle 32° with the bar's roll at -1.5°, recorded is 32° at 1.5°.";
    assert!(check.contains(stale), "{check}");
    let diff = page(folder.path(), "diff");
    assert!(!diff.contains("R1 across right brake lever: lines up"), "{diff}");
    assert!(!diff.contains("Nothing moved"), "{diff}");
    let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
    assert_eq!(mark(&plan, "R1")["state"], "stale", "{plan:#}");
    // In a step that loosens the clamp nobody is sent to the line.
    let sheet =
        "mark \"R1\" aligned; right { brake-lever { angle 42 with=angle-gauge } }; floor 0 with=angle-gauge";
    let folder = with(&rolled("32", "angle=32 roll=-1.5"), sheet);
    let restore = page(folder.path(), "restore");
    assert!(restore.contains("Do not line up mark R1: it is stale."), "{restore}");
}

/// Gone along with the bar, the lever reads 32 + 3 = 35° and its line meets.
#[test]
fn a_lever_that_went_along_with_the_bar_has_a_line_that_meets() {
    let folder = with(&rolled("35", "angle=32 roll=-1.5"), "mark \"R1\" aligned");
    let check = flowing(&run(folder.path(), &["check", "rowan/race"]).text);
    assert!(!check.contains("Mark R1 is stale"), "{check}");
    let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
    let line = mark(&plan, "R1");
    assert_eq!((&line["state"], line["turned"].as_f64()), (&"aligned".into(), Some(0.0)), "{line:#}");
    assert!(page(folder.path(), "diff").contains("R1 across right brake lever: lines up"));
}

/// 2 mm on 22.2 mm are 2 · 360 / (π · 22.2) = 10.32° since the line was drawn, at 33.5° on the bar. The setup wants
/// 34 - 1.5 = 32.5°, within reading of that: the lever stands 10.32 + 1 = 11.32° tip down of it.
#[test]
fn what_a_line_tells_apart_is_told_from_where_it_lies_on_the_bar() {
    let folder = with(&rolled("34.0", "angle=32 tol=1 roll=-1.5"), "mark \"R1\" off=2");
    let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
    let turned = mark(&plan, "R1")["turned"].as_f64().expect("degrees");
    assert!((turned - 11.324).abs() < 0.005, "{turned}");
}

/// Nobody knows at which roll such a line was drawn: it is no evidence, and how to make it one again is said.
#[test]
fn a_line_older_than_the_reading_of_the_roll_tells_nothing_until_its_roll_is_written() {
    for lever in ["32", "35"] {
        let text = rolled(lever, "angle=32 read=\"2026-05-02\"");
        let folder = with(&text, "mark \"R1\" aligned");
        let check = flowing(&run(folder.path(), &["check", "rowan/race"]).text);
        assert!(
            check.contains(
                "Mark R1 is no evidence: drawn 2026-05-02, but the bar's roll was read 2026-05-20, and the line does \
                 not say at which roll it was drawn."
            ),
            "{check}"
        );
        assert!(check.contains("the roll that the bar had on that day (roll=…), and not today's"), "{check}");
        assert!(!check.contains("roll=1.5"), "{check}");
        let diff = page(folder.path(), "diff");
        assert!(
            diff.contains(
                "R1 across right brake lever: drawn before the bar's roll was read, and at no written roll: it tells \
                 nothing."
            ),
            "{diff}"
        );
        assert!(!diff.contains("Nothing moved"), "{diff}");
        // Once it is written the line is judged: 32 + 3 = 35.
        let folder = with(&text.replace("angle=32 read", "angle=32 roll=-1.5 read"), "mark \"R1\" aligned");
        let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
        let expected = if lever == "35" { "aligned" } else { "stale" };
        assert_eq!(mark(&plan, "R1")["state"], expected, "{lever}: {plan:#}");
    }
}

/// A roll read anew within reading leaves a line that says its roll where it is.
#[test]
fn a_roll_read_anew_within_reading_costs_no_line() {
    let text = SETUP
        .replace("roll -1.5 with=angle-gauge", "roll -1.4 with=angle-gauge read=\"2026-05-20\"")
        .replace("angle=32;", "angle=32 roll=-1.5;");
    let folder = with(&text, "mark \"L1\" aligned");
    let plan = json(folder.path(), &[&["restore"][..], &SHEET].concat());
    assert_eq!(mark(&plan, "L1")["state"], "aligned", "{plan:#}");
}

/// What draws a line says at which roll; and what records a roll leaves the line where it was drawn.
#[test]
fn a_line_that_is_drawn_says_its_roll_and_keeps_it() {
    let lever = "floor 0 with=angle-gauge; left { brake-lever { from-tip 168; angle 38 with=angle-gauge } }";
    let folder = ledger(&[("loan", lever)]);
    run(folder.path(), &[&["record"][..], &SHEET, &["--mark"]].concat());
    let drawn = "drawn from-tip=168 angle=38 roll=-1.5 read=\"2026-05-09\"";
    assert!(setup_text(folder.path()).contains(drawn), "{}", setup_text(folder.path()));
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2026-05-12\"\n    floor 0 with=angle-gauge
    bar { roll 2.5 with=angle-gauge }; mark \"L1\" aligned; mark \"R1\" aligned\n}\n";
    fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
    run(folder.path(), &[&["record"][..], &SHEET].concat());
    let text = setup_text(folder.path());
    // 38 + 4, 32 + 4; the line itself is where it was drawn, and one that did not say its roll does now.
    assert!(text.contains("angle 42.0 ") && text.contains("angle 36.0 "), "{text}");
    assert!(text.contains(drawn) && text.contains("drawn from-tip=(in)6.61 angle=32 roll=-1.5 }"), "{text}");
    let check = flowing(&run(folder.path(), &["check", "rowan/race"]).text);
    let is_sound = |name: &str| !check.contains(&format!("Mark {name} is"));
    assert!(is_sound("L1") && is_sound("R1"), "{check}");
}

#[test]
fn a_roll_beside_a_line_that_is_not_on_the_bar_is_no_word() {
    let text = SETUP.replace("drawn twist=0", "drawn twist=0 roll=-1.5");
    let folder = with(&text, "mark \"L1\" aligned");
    let check = flowing(&run(folder.path(), &["check", "rowan/race"]).text);
    assert!(check.contains("`roll`"), "{check}");
}

fn story(bench: &Bench) -> String {
    let story = bench.run(&["history", "rowan/race", "--marks"]);
    let (_, right) = story.out.split_once("Mark R1").expect("its story");
    flowing(right.split("\nMark ").next().expect("its story"))
}

/// A history knows the roll on the day a line was drawn, whether or not the line says it. Where the line was left behind it
/// says so; where it was not, `check` cannot know, and the history tells what to write beside it.
#[test]
fn the_story_of_a_line_knows_of_the_roll_it_was_drawn_at() {
    for (lever, told) in [("32", "went stale: right.brake-lever.angle"), ("35", "no evidence from here on")] {
        let after = rolled(lever, "angle=32");
        let files = [("setups/rowan/race.kdl", SETUP)];
        let later = [("setups/rowan/race.kdl", &*after)];
        let bench = Bench::recorded(&[
            Commit { subject: "Measure", files: &files, tag: None },
            Commit { subject: "Roll the bar", files: &later, tag: None },
        ]);
        let story = story(&bench);
        assert!(story.contains(told) && !story.contains("Stands where"), "{lever}: {story}");
        let mend = "the bar stood at -1.5°: under `drawn` write roll=-1.5 beside the angle.";
        assert_eq!(story.contains(mend), lever == "35", "{lever}: {story}");
    }
}

/// Nobody draws a line by writing down at which roll it was drawn, as long as it is the roll of that day.
#[test]
fn a_roll_written_beside_a_line_is_no_new_line() {
    let says = |roll: &str| SETUP.replace("6.61 angle=32 }", &format!("6.61 angle=32{roll} }}"));
    for (before, after, is_new) in [
        ("", " roll=-1.5", false),
        (" roll=-1.5", "", false),
        ("", " roll=0.5", true),
        (" roll=-1.5", " roll=0.5", true),
    ] {
        let files = [("setups/rowan/race.kdl", &*says(before))];
        let bench = Bench::recorded(&[Commit { subject: "Measure", files: &files, tag: None }]);
        bench.write("setups/rowan/race.kdl", says(after));
        let diff = bench.run(&["diff", "rowan/race"]).out;
        assert_eq!(
            diff.contains("R1 across right brake lever: drawn anew"),
            is_new,
            "{before} to {after}: {diff}"
        );
        assert!(!diff.contains("L1 across"), "{diff}");
    }
}

/// On the way back to a revision from before the bar was rolled the lines are those of today: drawn at 35° on a bar rolled by
/// 1.5°, which is 33.5° on the bar, where the lever stood then at 32° and -1.5°.
#[test]
fn a_line_of_today_leads_back_to_where_its_lever_stood_on_the_bar() {
    let after = rolled("35", "angle=35 read=\"2026-05-20\"");
    let (files, later) = ([("setups/rowan/race.kdl", SETUP)], [("setups/rowan/race.kdl", &*after)]);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &files, tag: Some("then") },
        Commit { subject: "Roll the bar", files: &later, tag: None },
    ]);
    let plan = bench.run(&["restore", "rowan/race", "--at", "then", "--json"]).json();
    assert_eq!(mark(&plan, "R1")["state"], "not-looked-at", "{plan:#}");
    // One without a roll that is older than today's reading of it, and the same then, was drawn at the roll of then.
    assert_eq!(mark(&plan, "L1")["state"], "not-looked-at", "{plan:#}");
}
