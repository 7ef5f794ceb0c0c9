//! `body` of a bike that nobody is to ride so: that is said first, and nothing of it is praised.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

const LEFT: &str = "from-tip 168; angle 32; reach 62; bite 34; blade 74; finger 66";

fn body(folder: &Path, left: &str) -> (i32, String) {
    assert!(ROWAN.contains(LEFT));
    let text = ROWAN.replacen(LEFT, left, 1);
    fs::write(folder.join("setups/rowan/race.kdl"), text).expect("written");
    let (status, said) = run(folder, 80, &["body", "rowan/race"]);
    (status, flowing(&said))
}

#[test]
fn what_nobody_is_to_ride_comes_first_and_is_not_praised() {
    let folder = ledger();
    let suits = "Takes load off the forearm";
    let (status, said) = body(folder.path(), LEFT);
    assert!(status == 0 && !said.contains("Do not ride") && said.matches(suits).count() == 2, "{said}");
    for (from, to, words) in [
        ("bite 34", "bite 0", "Do not ride: left brake bite 0 mm."),
        ("bite 34", "bite 8", "Do not ride: left brake bite 8 mm."),
        ("angle 32", "angle 78", "Do not ride: left brake lever angle 78°."),
        ("angle 32", "angle -10", "Do not ride: left brake lever angle −10°."),
    ] {
        let (status, said) = body(folder.path(), &LEFT.replace(from, to));
        let said = said.replace("angle -10", "angle −10");
        assert_eq!(status, 1, "{to}: {said}");
        let first = said.find(words).unwrap_or_else(|| panic!("{to}: {said}"));
        assert!(first < said.find("arm line").expect("the arm line"), "{said}");
        // Of the right side alone.
        assert_eq!(said.matches(suits).count() + said.matches("Suits riding").count(), 1, "{to}: {said}");
        assert!(!said.contains("Bites before the knuckles"), "{to}: {said}");
    }
}

/// 64 mm of 62 would be −2 mm of travel and 103 % of the reach; 80 of 74 mm a place of 1.08 along the blade.
#[test]
fn what_cannot_be_is_refused_with_the_readings_that_make_it_so() {
    let folder = ledger();
    let (_, said) = body(folder.path(), &LEFT.replace("bite 34", "bite 64"));
    assert!(!said.contains("103 %") && !said.contains("-2"), "{said}");
    let words = "by the readings it bites 64 mm from the grip, further out than its lever rests (62 mm).";
    assert!(said.contains(words), "{said}");
    let (_, said) = body(folder.path(), &LEFT.replace("finger 66", "finger 80"));
    assert!(!said.contains("1.08"), "{said}");
    let words = "by the readings it pulls 80 mm from the pivot, and the blade ends at 74 mm.";
    assert!(said.contains(words), "{said}");
    let found = json(folder.path(), &["body", "rowan/race"]);
    assert!(found["brakes"][0]["finger-leverage"].is_null(), "{found}");
    assert!(found["brakes"][0]["refused"][0].is_string(), "{found}");
}
