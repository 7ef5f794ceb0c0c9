//! Cockpits that cannot be, or that nobody may ride: told by `check`, by `try` before anybody loosens a bolt, and by
//! the gate.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

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

/// Half the width of a reading of 1 mm expands to 1.15 mm: 9.5 mm may be 10, and counts as nearer until somebody knows.
#[test]
fn a_brake_that_bites_all_but_at_the_grip_is_nothing_to_ride_with() {
    for (bite, near) in [("3", true), ("8", true), ("9.5", true), ("10", false), ("12", false)] {
        let folder = thick(&[("bite 34", &format!("bite {bite}"))]);
        let (status, page) = run(folder.path(), 120, &["check", "rowan/race"]);
        assert_eq!(says(&checked(&folder), "bite-near-grip"), near, "{page}");
        assert_eq!((page.contains("Do not ride so."), status), (near, i32::from(near)), "{page}");
    }
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

#[test]
fn a_bite_is_read_again_where_the_lever_is_set_nearer() {
    let folder = thick(&[]);
    let note = "The left bite of 34 mm was read with the lever at 62 mm";
    let (_, _, page) = tried(&folder, &["left.brake-lever.reach=55"]);
    assert!(page.contains(note) && page.contains("Read left.brake-lever.bite again"), "{page}");
    assert!(!page.contains("The right bite"), "{page}");
    // Whoever says what it becomes has thought of it; and the same reach is no change.
    for changes in
        [&["left.brake-lever.reach=55", "left.brake-lever.bite=30"][..], &["left.brake-lever.reach=62"]]
    {
        assert!(!tried(&folder, changes).2.contains(note));
    }
}

#[test]
fn a_bar_of_another_thickness_does_not_fit_the_stem() {
    let folder = thick(&[]);
    let (_, _, page) = tried(&folder, &["bar.clamp-diameter=31.8"]);
    let note = "A bar of 31.8 mm does not fit the stem on the bike, which holds one of 35 mm";
    assert!(page.contains(note), "{page}");
    // Together with another stem it may; and a tenth is what a caliper makes of it.
    for changes in [&["bar.clamp-diameter=31.8", "stem.length=60"][..], &["bar.clamp-diameter=34.9"]] {
        assert!(!tried(&folder, changes).2.contains("does not fit the stem"));
    }
}

#[test]
fn a_narrower_bar_is_a_cut_one_and_all_on_it_is_slid() {
    let marked = "guard \"head tube, left\"\n    mark \"B1\" on=\"left.brake-lever\" { drawn from-tip=168 }\n    mark \"S1\" on=\"stem-steerer\" { drawn twist=0 }";
    let carbon = ("offset 0;", "offset 0; material carbon;");
    let folder = thick(&[("guard \"head tube, left\"", marked), carbon]);
    // 780 − 760 is 20, 10 off each end.
    let (_, _, page) = tried(&folder, &["bar.width=760"]);
    for words in [
        "this bar cut, 10 mm off each end",
        "slid inboard by 10 mm",
        "drawn again: B1.",
        "no narrower than the maker's least width",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let (_, _, page) = tried(&thick(&[]), &["bar.width=760"]);
    assert!(
        page.contains("10 mm off each end")
            && !page.contains("drawn again")
            && !page.contains("carbon bar is")
    );
    // Another bar is not cut.
    assert!(!tried(&folder, &["bar.width=760", "bar.rise=35"]).2.contains("off each end"));
}

#[test]
fn a_bar_too_narrow_for_what_is_on_it_is_a_fault() {
    let folder = thick(&[]);
    // 390/2 = 195; the right shifter's clamp, 191 and 8 mm wide, would be past it.
    let (appears, status, page) = tried(&folder, &["bar.width=390"]);
    assert!(says(&appears, "bar-too-narrow") && status == 1, "{page}");
    // 560/2 − 90 = 190 are straight: the shifter's clamp stands in the bend, the levers' at 168 do not.
    let (appears, _, page) = tried(&folder, &["bar.width=560"]);
    assert!(says(&appears, "clamp-in-bend") && !says(&appears, "bar-too-narrow"), "{page}");
    assert!(page.contains("The right shifter begins 191 mm from the bar's end"), "{page}");
    assert!(says(&checked(&thick(&[("width 780", "width 390")])), "bar-too-narrow"));
    assert!(says(&checked(&thick(&[("width 780", "width 560")])), "clamp-in-bend"));
}

#[test]
fn a_hand_off_the_grip_is_a_caution() {
    let (appears, _, page) = tried(&thick(&[]), &["left.grip.hand=150"]);
    assert!(says(&appears, "hand-off-grip") && page.contains("the hand is off the grip"), "{page}");
    assert!(says(&checked(&thick(&[("hand 62", "hand 150")])), "hand-off-grip"));
}

#[test]
fn what_nobody_rides_is_a_caution() {
    let folder = thick(&[]);
    let (appears, _, page) = tried(&folder, &["stem.twist=8"]);
    assert!(says(&appears, "stem-twisted"), "{page}");
    assert!(
        page.contains("turned 8° to the left: the bar is not square to the wheel. Do not ride so."),
        "{page}"
    );
    // Rolled forward from -1.5° to 40° the levers at 32° come to 73.5°.
    let (appears, _, page) = tried(&folder, &["bar.roll=40"]);
    assert!(says(&appears, "lever-angle-wild") && page.contains("points 73.5° below level"), "{page}");
    let (appears, ..) = tried(&folder, &["left.brake-lever.angle:=-20"]);
    assert!(says(&appears, "lever-angle-wild"));
    assert!(!says(&checked(&folder), "lever-angle-wild") && !says(&checked(&folder), "stem-twisted"));
    assert!(says(&checked(&thick(&[("twist 0", "twist 8")])), "stem-twisted"));
}
