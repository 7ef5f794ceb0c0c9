//! What `carry` says of the other bike before anything is done to it, and of figures that contradict one another.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

const ASKED: [&str; 4] = ["carry", "rowan/race", "--onto", "alder/trail"];

fn alder(folder: &Path, changes: &[(&str, &str)]) {
    let file = folder.join("setups/alder/trail.kdl");
    let mut text = fs::read_to_string(&file).expect("there");
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    fs::write(file, text).expect("written");
}

fn said(folder: &Path) -> String {
    flowing(&run(folder, 80, &ASKED).1)
}

#[test]
fn what_was_changed_for_how_it_stands_is_said() {
    let folder = ledger();
    assert!(said(folder.path()).contains("As it stands, alder/trail misses by"));
    alder(folder.path(), &[("hand 62", "hand 58")]);
    let words = "As it stands, but hands set where they go: alder/trail misses by";
    assert!(said(folder.path()).contains(words), "{}", said(folder.path()));
    alder(folder.path(), &[("hand 58", "hand unmeasured"), ("twist 0", "twist 2")]);
    let words = "As it stands, but straightened, hands taken where they go, for where they are now is not known: \
                 alder/trail misses by";
    assert!(said(folder.path()).contains(words), "{}", said(folder.path()));
    let found = json(folder.path(), &ASKED);
    assert_eq!(found["as-it-stands-but"][0], "straightened");
}

/// Half of 780 mm less 90 to the bend, at 8°: 300·tan 8° = 42.2 mm.
#[test]
fn bend_and_setback_that_contradict_one_another_are_told() {
    let folder = ledger();
    let words =
        "A bar that bends 90 mm from its middle ends 42.2 mm back by its sweep, and its setback says 60 mm.";
    for (setback, is_told) in [("42", false), ("60", true)] {
        let text = ROWAN.replace("bend 90;", &format!("bend 90; setback {setback};"));
        fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
        let (_, page) = run(folder.path(), 80, &["check", "rowan/race"]);
        assert_eq!(flowing(&page).contains(words), is_told, "{page}");
        let text = format!(
            "parts \"b\" format=1 {{
                bar \"both\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 setback={setback}
            }}"
        );
        fs::write(folder.path().join("b.kdl"), text).expect("written");
        let (status, page) = run(folder.path(), 80, &["check", "b.kdl"]);
        assert_eq!((status == 1, flowing(&page).contains(words)), (false, is_told), "{page}");
        let (status, page) = run(folder.path(), 80, &[&ASKED[..], &["--parts", "b.kdl"]].concat());
        assert_eq!((status == 2, flowing(&page).contains(words)), (is_told, is_told), "{page}");
    }
}

/// A lever 78° below level is accepted: that gives the reason, and everybody is told first and has to act on it.
#[test]
fn what_nobody_is_to_ride_with_is_told_though_it_is_accepted() {
    let folder = ledger();
    let accept = "{\n    accept lever-angle-wild \"pumptrack\"\n    accept no-date \"an old one\"";
    let wild = ROWAN.replace("    measured \"2026-05-02\"\n", "").replacen('{', accept, 1);
    let wild =
        wild.replace("width 780", "width 820").replace("from-tip 168; angle 32", "from-tip 168; angle 78");
    fs::write(folder.path().join("setups/rowan/race.kdl"), wild).expect("written");
    let (status, page) = run(folder.path(), 80, &["check", "rowan/race"]);
    let page = flowing(&page);
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}: {page}"));
    let accepted = at("Caution, accepted. The left brake lever points 78° below level");
    assert!(status == 1 && accepted < at("Advice.") && accepted < at("(no-date)"), "{page}");
    let words = "Stands already, and accepted in the file caution (lever-angle-wild): The left brake lever points 78°";
    for asked in
        [&["try", "rowan/race", "stem.length=45"][..], &["carry", "rowan/race", "--onto", "rowan/race"]]
    {
        let (status, page) = run(folder.path(), 80, asked);
        assert!(status == 1 && flowing(&page).contains(words), "{asked:?}: {page}");
    }
}

#[test]
fn nothing_comes_apart_where_nothing_is_changed() {
    let folder = ledger();
    let (_, page) = run(folder.path(), 80, &["carry", "rowan/race", "--onto", "rowan/race"]);
    let page = flowing(&page);
    assert!(page.contains("Nothing is to be changed on rowan/race."), "{page}");
    assert!(!page.contains("come apart for this") && !page.contains("Before riding"), "{page}");
    let page = said(folder.path());
    assert!(page.contains("Steering and brakes come apart for this."), "{page}");
    assert!(page.contains("Before riding: Steering turns freely from stop to stop"), "{page}");
}

/// The alder's bar is 800 mm and the rowan's 780: 10 mm off each end. From one of 781 mm half a millimetre comes off.
#[test]
fn a_saw_is_named_where_it_is_worth_it_and_minded_on_carbon() {
    let folder = ledger();
    let carbon = "A carbon bar is cut only where its maker allows";
    let page = said(folder.path());
    assert!(page.contains("10.0 mm off each end of this. A carbon bar"), "{page}");
    alder(folder.path(), &[("bar { width 800;", "bar { material aluminium; width 800;")]);
    let page = said(folder.path());
    assert!(page.contains("10.0 mm off each end of this.") && !page.contains(carbon), "{page}");
    alder(folder.path(), &[("width 800;", "width 781;")]);
    let page = said(folder.path());
    assert!(!page.contains("mm off each end of this") && page.contains("is nothing for a saw"), "{page}");
}
