//! What `carry` says of the other bike before anything is done to it, and of figures that contradict one another.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, run};
use super::tried::flowing;

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
    let words = "A bar that bends 90 mm from its middle ends 42.2 mm back by its sweep, and its setback says 60 mm.";
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
