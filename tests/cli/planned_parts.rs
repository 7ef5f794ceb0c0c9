//! The parts that a plan asks for: which they are and which way up they go stands in the written file, and at the steps by
//! which the bike is put together. The demo bikes are the rowan and the alder.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::rider::{json, ledger, run, setup, told};
use crate::harness::widest;

/// One stem, one bar and spacers of 22 mm together: 22 + 38 are the 60 mm that the alder's steerer takes.
const BOX: &str = "parts \"box\" format=1 {
    stem \"long\" length=60 angle=10 clamp-height=38
    bar \"wide\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=5 roll-to=5
    spacer 5 count=2
    spacer 10
    spacer 2
}
";
const ASKED: [&str; 6] = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];

/// Writes the assembly with the stem turned over on all of the spacers.
fn planned() -> tempfile::TempDir {
    let folder = ledger();
    fs::write(folder.path().join("box.kdl"), BOX).expect("written");
    let found = json(folder.path(), &ASKED);
    let all = found["assemblies"].as_array().expect("a list");
    let is_it = |one: &Value| one["flipped"] == true && one["spacers-below"] == 22.0;
    let place = all.iter().position(is_it).expect("one on all of the spacers") + 1;
    let place = place.to_string();
    let asked = [&ASKED[..], &["--write", "alder/race", "--pick", &place]].concat();
    let (_, said) = told(folder.path(), &asked);
    assert!(said.contains("Written as alder/race"), "{said}");
    folder
}

fn written(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(format!("setups/{name}.kdl"))).expect("written")
}

const STEM: &str = "stem long turned over (60 mm, 10° falling, clamp 38 mm high)";
const BAR: &str = "bar wide (780 mm wide, rise 25 mm, back sweep 8°, up sweep 5°)";
const SPACERS: &str = "below the stem 4 spacers, 22 mm (10 + 2 × 5 + 2); above it none";

#[test]
fn what_is_put_together_of_a_plan_names_the_parts() {
    let folder = planned();
    let text = written(folder.path(), "alder/race");
    for words in [STEM, BAR, SPACERS] {
        assert!(text.contains(&format!("note \"2026-05-25 to be fitted: {words}\"")), "{words}: {text}");
    }
    let (_, page) = run(folder.path(), 80, &["restore", "alder/race"]);
    assert!(widest(&page) <= 80, "{page}");
    let steps = json(folder.path(), &["restore", "alder/race"]);
    let steps = steps["steps"].as_array().expect("a list").clone();
    let at = |joint: &str| steps.iter().find(|step| step["joint"] == joint).expect("a step")["fit"].clone();
    assert_eq!(at("stem-steerer"), serde_json::json!([STEM, SPACERS]));
    assert_eq!(at("stem-face"), serde_json::json!([BAR]));
    assert_eq!(at("left.brake-lever"), Value::Null);
    let (_, said) = told(folder.path(), &["restore", "alder/race"]);
    for words in [format!("Fit: {STEM}. Fit: {SPACERS}."), format!("Fit: {BAR}.")] {
        assert!(said.contains(&words), "{words}: {said}");
    }
    assert!(said.contains("stem length: 60.0 mm, as the one to fit has it"), "{said}");
}

/// Neither part of the box says what it is across in the stem.
#[test]
fn that_the_stem_may_not_take_the_bar_is_kept() {
    let folder = planned();
    let doubt = "whether stem long takes bar wide is not known; clamp diameters: stem long not recorded, bar wide not \
                 recorded";
    let text = written(folder.path(), "alder/race");
    assert!(text.contains(&format!("note \"2026-05-25 to be compared first: {doubt}\"")), "{text}");
    let (_, said) = told(folder.path(), &["restore", "alder/race"]);
    let mind = "Mind: Whether stem long takes bar wide is not known; clamp diameters: stem long not recorded, bar wide not \
                recorded: compare them before they go together.";
    assert!(said.contains(mind), "{said}");
}

/// What the sheet reads as planned is on; another stem than planned has yet to give way to it.
#[test]
fn what_a_sheet_finds_fitted_is_fitted_no_more() {
    let folder = planned();
    let fit = |stem: &str, joint: &str| {
        let sheet = format!(
            "found \"alder/race\" format=1 {{ measured \"2026-05-25\"; {stem}; bar {{ roll 5; width 780 }} }}"
        );
        setup(folder.path(), "alder/found", &sheet);
        let found = json(folder.path(), &["restore", "alder/race", "--found", "alder/found"]);
        let steps = found["steps"].as_array().expect("a list").clone();
        steps.iter().find(|step| step["joint"] == joint).expect("a step")["fit"].clone()
    };
    assert_eq!(fit("stem { length 60; angle -10 }", "stem-steerer"), serde_json::json!([SPACERS]));
    assert_eq!(fit("stem { length 50; angle 0 }", "stem-steerer"), serde_json::json!([STEM, SPACERS]));
    assert_eq!(fit("stem { length 60 }", "stem-face"), Value::Null);
    assert_eq!(
        fit("steerer { spacers-below 22; spacers-above 0 }", "stem-steerer"),
        serde_json::json!([STEM])
    );
}

#[test]
fn a_try_names_the_parts_by_what_was_asked_of_them() {
    let folder = ledger();
    let asked = ["stem.length=40", "bar.rise=20", "steerer.spacers-below=+5", "steerer.spacers-above=-5"];
    told(folder.path(), &[&["try", "rowan/race"][..], &asked, &["--write", "rowan/tried"]].concat());
    let (_, said) = told(folder.path(), &["restore", "rowan/tried"]);
    for words in [
        "Fit: another stem (40 mm). Fit: 20 mm of spacers below the stem, no spacers above the stem.",
        "Fit: another bar (rise 20 mm).",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// A plan made of a plan asks for its own parts in place of the earlier ones.
#[test]
fn a_plan_of_a_plan_asks_for_one_stem() {
    let folder = planned();
    let asked = ["try", "alder/race", "stem.length=55", "--write", "alder/again"];
    told(folder.path(), &asked);
    let text = written(folder.path(), "alder/again");
    let notes: Vec<&str> = text.matches("to be fitted: ").collect();
    assert!(notes.len() == 3 && text.contains("to be fitted: another stem (55 mm)"), "{text}");
    assert!(!text.contains("to be compared first"), "{text}");
    // Turned over, it is still the long one, and still not known to take the bar.
    told(folder.path(), &["try", "alder/race", "stem.angle:=10", "--write", "alder/over"]);
    let text = written(folder.path(), "alder/over");
    let stem = format!(
        "to be fitted: the stem turned over (60 mm, 10° rising, clamp 38 mm high); it was to be {STEM}\""
    );
    assert!(text.contains(&stem) && text.contains("to be compared first: whether stem long takes"), "{text}");
}

/// A plan of before names no parts; its cautions tell which are others, and its figures what they are like.
#[test]
fn a_plan_that_names_none_tells_the_parts_by_their_figures() {
    let folder = planned();
    let text = written(folder.path(), "alder/race");
    let is_of_before = |line: &&str| !line.contains("to be fitted");
    let torque = "    torque \"stem-steerer\" 5 6 { caution \"Limits of the replaced stem and bar: take the new maker's \
                  figures before tightening.\" }\n    guard";
    let parts = "    steerer { spacers-below 22 }\n    stem { length 60; angle -10 }\n    bar { width 780; rise 25 }\n";
    let mut lines: Vec<&str> = text.lines().filter(is_of_before).collect();
    lines.insert(lines.len() - 3, parts.trim_end());
    setup(folder.path(), "alder/race", &lines.join("\n").replace("    guard", torque));
    let (_, said) = told(folder.path(), &["restore", "alder/race"]);
    for words in ["Fit: another stem (60 mm, 10° falling).", "Fit: another bar (780 mm wide, rise 25 mm)."] {
        assert!(said.contains(words), "{words}: {said}");
    }
}
