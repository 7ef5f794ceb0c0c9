//! Which hand pulls the front brake: nobody rides before that is known.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, ledger, setup, told};

/// The rear brake's hose leaves the left lever, so the front brake is on the right.
#[test]
fn a_word_against_the_hoses_is_to_be_acted_on_everywhere() {
    let folder = ledger();
    let right = "rider { stature 1780; front-brake right }";
    assert!(ROWAN.contains(right));
    assert_eq!(told(folder.path(), &["check", "rowan/race"]).0, 0);
    assert_eq!(told(folder.path(), &["carry", "rowan/race", "--onto", "alder/trail"]).0, 0);
    let contrary = ROWAN.replace(right, "rider { stature 1780; front-brake left }");
    setup(folder.path(), "rowan/race", &contrary);
    let words = "he hose `rear brake` leaves the left lever, but the rider's front brake is on the left";
    for asked in [
        &["check", "rowan/race"][..],
        &["try", "rowan/race", "stem.length=45"],
        &["carry", "rowan/race", "--onto", "rowan/race"],
        &["carry", "rowan/race", "--onto", "alder/trail"],
        &["carry", "alder/trail", "--onto", "rowan/race"],
        &["body", "rowan/race"],
        &["grips", "rowan/race"],
        &["turn", "rowan/race"],
    ] {
        let (status, said) = told(folder.path(), asked);
        assert!(status == 1 && said.contains(words), "{asked:?}: {status}: {said}");
    }
    let (status, said) = told(folder.path(), &[]);
    assert_eq!(status, 1, "{said}");
    // What is put back is the recorded bike: a sentence of its own stays one.
    let (status, said) = told(folder.path(), &["restore", "rowan/race"]);
    assert!(status == 1 && said.contains(&format!("Do not ride: as recorded, t{words}")), "{status}: {said}");
    // The other way round, too: what the word of the first bike says is told beside what its hoses do.
    let (_, said) = told(folder.path(), &["carry", "rowan/race", "--onto", "alder/trail"]);
    let both = "By the rider's word it is on the other, the left on rowan/race.";
    assert!(said.contains(both), "{said}");
    let accepted = contrary.replacen('{', "{\n    accept front-brake-hand \"swapped before the race\"", 1);
    setup(folder.path(), "rowan/race", &accepted);
    for asked in [&["check", "rowan/race"][..], &["carry", "alder/trail", "--onto", "rowan/race"]] {
        let (status, said) = told(folder.path(), asked);
        assert_eq!(status, 0, "{asked:?}: {said}");
    }
}

#[test]
fn a_bike_that_tells_nothing_of_its_front_brake_is_told_as_one() {
    let folder = ledger();
    let alder = fs::read_to_string(folder.path().join("setups/alder/trail.kdl")).expect("there");
    let silent = alder.replace("; front-brake right", "").replace("hose \"rear brake\"", "hose \"grey\"");
    assert_ne!(silent, alder);
    setup(folder.path(), "alder/trail", &silent);
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    let (status, said) = told(folder.path(), &asked);
    assert_eq!(status, 1, "{said}");
    let words = "Which hand pulls the front brake is not known of alder/trail: find out which lever stops which wheel";
    let first = said.find(words).unwrap_or_else(|| panic!("{said}"));
    assert!(first < said.find("the nearest of").expect("the best"), "{said}");
    let (status, said) = told(folder.path(), &[&asked[..], &["--write", "alder/new"]].concat());
    assert_eq!(status, 1, "{said}");
    let file = fs::read_to_string(folder.path().join("setups/alder/new.kdl")).expect("written");
    assert!(file.contains(&format!("note \"do not ride: {words}")), "{file}");
    told_of_the_file(folder.path(), "alder/new", "hand pulls the front brake is not known");
    // Both tell, and of different hands: whoever rides has to be told.
    let left = alder
        .replace("front-brake right", "front-brake left")
        .replace("leaves side=left", "leaves side=right");
    setup(folder.path(), "alder/trail", &left);
    let (status, said) = told(folder.path(), &asked);
    assert!(status == 1 && said.contains("tell the rider before anybody rides"), "{status}: {said}");
    let (_, said) = told(folder.path(), &[&asked[..], &["--write", "alder/left"]].concat());
    assert!(said.contains("Do not ride it so: its front brake has to be settled first"), "{said}");
    let file = fs::read_to_string(folder.path().join("setups/alder/left.kdl")).expect("written");
    assert!(
        file.contains("The front brake is on the other hand on this bike: the left on alder/trail"),
        "{file}"
    );
    told_of_the_file(folder.path(), "alder/left", "front brake is on the other hand");
}

/// That every page on a file that was written tells not to ride it so, and why.
fn told_of_the_file(folder: &Path, name: &str, words: &str) {
    for command in ["check", "grips", "body", "torque", "turn"] {
        let (status, said) = told(folder, &[command, name]);
        assert!(status == 1 && said.contains(words), "{command}: {status}: {said}");
    }
    let (status, said) = told(folder, &[]);
    assert!(status == 1 && said.contains(words), "{status}: {said}");
}

/// By its hose the rowan's front brake is on the right; in a second setup of it the rear brake's hose leaves the right lever.
#[test]
fn two_setups_of_one_bike_with_the_front_brake_on_either_hand_are_told() {
    let folder = ledger();
    assert!(!told(folder.path(), &["check"]).1.contains("front-brake-differs"));
    let swapped = ROWAN
        .replace("rowan/race", "rowan/loan")
        .replace("front-brake right", "front-brake left")
        .replace("leaves side=left", "leaves side=right");
    setup(folder.path(), "rowan/loan", &swapped);
    let left = "The front brake is on the left here, by the hose `rear brake`, and on the right in rowan/race, which is the \
                same bike";
    let right =
        "The front brake is on the right here, by the hose `rear brake`, and on the left in rowan/loan";
    for asked in [&["check"][..], &["check", "rowan"]] {
        let (_, said) = told(folder.path(), asked);
        assert!(said.contains(left) && said.contains(right), "{asked:?}: {said}");
        assert_eq!(said.matches("(front-brake-differs)").count(), 2, "{said}");
    }
    // One alone is compared all the same.
    let (status, said) = told(folder.path(), &["check", "rowan/loan"]);
    assert!(status == 0 && said.contains(left) && !said.contains(right), "{said}");
    // Meant: accepted with the reason, and no page says that there is nothing to accept.
    let accept = "{\n    accept front-brake-differs \"swapped for the loan\"";
    setup(folder.path(), "rowan/loan", &swapped.replacen('{', accept, 1));
    let (_, said) = told(folder.path(), &["check", "rowan/loan"]);
    assert!(said.contains("Caution, accepted. The front brake is on the left here"), "{said}");
    for asked in [&["check", "rowan/loan"][..], &["torque", "rowan/loan"], &[]] {
        assert!(!told(folder.path(), asked).1.contains("accept-unused"), "{asked:?}");
    }
}

/// Of seventy setups of one bike the last has the front brake on the other hand: each is told of the first that differs.
#[test]
fn of_many_setups_each_is_held_against_the_first_that_differs() {
    let folder = ledger();
    let named = |number: usize| ROWAN.replace("rowan/race", &format!("rowan/venue-{number}"));
    for number in 11..80 {
        setup(folder.path(), &format!("rowan/venue-{number}"), &named(number));
    }
    let swapped = named(80).replace("front-brake right", "front-brake left");
    setup(folder.path(), "rowan/venue-80", &swapped.replace("leaves side=left", "leaves side=right"));
    let (_, said) = told(folder.path(), &["check"]);
    let count = |words: &str| said.split_whitespace().collect::<Vec<_>>().join(" ").matches(words).count();
    // The race setup and the sixty-nine others with the brake on the right name the only one on the left.
    assert_eq!(count("and on the left in rowan/venue-80"), 70, "{said}");
    // By name `race` comes first of those on the right.
    assert_eq!(count("and on the right in rowan/race"), 1, "{said}");
}
