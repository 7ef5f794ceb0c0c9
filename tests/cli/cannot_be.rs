//! Cockpits that cannot be, or that nobody may ride: told by `check`, by `try` before anybody loosens a bolt, and by
//! the gate.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use super::rider::{ROWAN, json, ledger, run};
use super::tried::flowing;

/// The rowan with a bar that is 35 mm across in the stem, and grips of a known length.
fn thick(more: &[(&str, &str)]) -> TempDir {
    let folder = ledger();
    let mut text = ROWAN
        .replace("offset 0 }", "offset 0; clamp-diameter 35.0 }")
        .replace("grip { hand 62 }", "grip { length 134; hand 62 }");
    for (was, now) in more {
        assert!(text.contains(was), "{was} is not in the file");
        text = text.replacen(was, now, 1);
    }
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    folder
}

fn codes(said: &Value) -> Vec<&str> {
    said.as_array().expect("a list").iter().filter_map(|one| one["code"].as_str()).collect()
}

/// What `try` says anew, its exit status, and its page on one line.
fn tried(folder: &TempDir, changes: &[&str]) -> (Vec<String>, i32, String) {
    let asked = [&["try", "rowan/race"], changes].concat();
    let found = json(folder.path(), &asked);
    let (status, said) = run(folder.path(), 120, &asked);
    (codes(&found["appears"]).into_iter().map(str::to_owned).collect(), status, flowing(&said))
}

/// What `check` says of the file.
fn checked(folder: &TempDir) -> Vec<String> {
    let found = json(folder.path(), &["check", "rowan/race"]);
    codes(&found["files"][0]["findings"]).into_iter().map(str::to_owned).collect()
}

fn says(codes: &[String], code: &str) -> bool {
    codes.iter().any(|said| said == code)
}

#[test]
fn a_brake_that_meets_the_grip_first_is_a_fault() {
    let folder = thick(&[]);
    assert!(!says(&checked(&folder), "bite-at-grip"));
    let (appears, status, page) = tried(&folder, &["left.brake-lever.bite=0"]);
    assert!(says(&appears, "bite-at-grip") && status == 1, "{page}");
    assert!(
        page.contains("The left brake bites 0 mm from the grip: ") && page.contains("Do not ride;"),
        "{page}"
    );
    let folder = thick(&[("bite 34", "bite 0")]);
    assert!(says(&checked(&folder), "bite-at-grip"));
    assert_eq!(run(folder.path(), 120, &["check", "rowan/race"]).0, 1);
}

#[test]
fn a_stem_inside_the_steerer_is_a_fault() {
    let folder = thick(&[]);
    // (28.6 + 35)/2 = 31.8.
    let (appears, status, page) = tried(&folder, &["stem.length=31.7"]);
    assert!(says(&appears, "stem-too-short") && status == 1, "{page}");
    assert!(page.contains("cannot come nearer than 31.8 mm"), "{page}");
    assert!(!says(&tried(&folder, &["stem.length=35"]).0, "stem-too-short"));
    assert!(says(&checked(&thick(&[("length 50; angle", "length 20; angle")])), "stem-too-short"));
}
