//! What `try` and `carry` say where a change is not to be ridden, and what they end with where it opens steering or
//! brakes.

use super::rider::{json, ledger, run};
use super::tried::WRITTEN;
use crate::harness::flowing;

const CHECKS: &str = "Steering turns freely from stop to stop without play or a notch.";

#[test]
fn a_pile_that_no_longer_reaches_the_top_cap_is_a_danger() {
    let folder = ledger();
    for change in ["steerer.spacers-below=0", "steerer.spacers-above=0", "stem.clamp-height=36"] {
        let (status, said) = run(folder.path(), 120, &["try", "rowan/race", change]);
        assert_eq!(status, 1, "{change}: {said}");
        let said = flowing(&said);
        let danger = said.find("the headset would be loose. Do not ride so.").expect("the danger");
        assert!(danger < said.find(" → ").expect("the change"), "{said}");
        assert!(said.contains("set the bearing preload again"), "{said}");
    }
    // What goes out below goes in above: the height stays, but the stem comes off for it.
    let moved = ["try", "rowan/race", "steerer.spacers-below=-5", "steerer.spacers-above=+5"];
    let (status, said) = run(folder.path(), 120, &moved);
    let said = flowing(&said);
    assert_eq!(status, 0, "{said}");
    assert!(!said.contains("headset would be loose"), "{said}");
    assert!(
        said.contains("Stem on steerer comes apart: Set the bearing preload at the top cap first"),
        "{said}"
    );
    // Square to the wheel again: loosened, not taken off.
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "stem.twist=1"]);
    assert!(!flowing(&said).contains("comes apart"), "{said}");
}

#[test]
fn a_change_on_steering_or_brakes_ends_with_the_checks() {
    let folder = ledger();
    for change in ["stem.length=40", "bar.rise=20", "bar.roll=+2", "left.brake-lever.angle=+2"] {
        let (_, said) = run(folder.path(), 120, &["try", "rowan/race", change]);
        let said = flowing(&said);
        let (_, end) = said.split_once("Before riding").unwrap_or_else(|| panic!("{change}: {said}"));
        assert!(end.contains(CHECKS) && end.contains("have a qualified mechanic look"), "{end}");
    }
    let opens = json(folder.path(), &["try", "rowan/race", "stem.length=40"])["opens"].clone();
    // Another stem: its own clamp, and the face that holds the bar.
    assert_eq!(opens["joints"], serde_json::json!(["stem-steerer", "stem-face"]));
    // Nothing is opened where nothing changes, nor for a saddle.
    for change in ["stem.length=50", "saddle.height=740"] {
        let (_, said) = run(folder.path(), 120, &["try", "rowan/race", change]);
        assert!(!said.contains(CHECKS), "{change}: {said}");
    }
}

#[test]
fn an_assembly_without_its_top_spacers_is_not_to_be_built() {
    let folder = ledger();
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
    let (status, said) = run(folder.path(), 120, &asked);
    let said = flowing(&said);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("and the headset is loose. Do not ride so."), "{said}");
    assert!(said.contains("Do not build it so."), "{said}");
}

/// The box has 20 mm of spacers, 5 of them go below; 32 mm have to stand above.
#[test]
fn what_is_written_tells_of_stale_comments_and_spacers_that_are_not_there() {
    let folder = ledger();
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = std::fs::read_to_string(&alder).expect("the file");
    let commented = text.replace("bar { width 800;", "bar { width 800 // an inch tape was at hand\n       ");
    assert_ne!(commented, text);
    std::fs::write(&alder, commented).expect("written");
    let (_, said) = run(folder.path(), 120, &WRITTEN);
    let written = std::fs::read_to_string(folder.path().join("setups/alder/race.kdl")).expect(&said);
    assert!(written.contains("Comments beside these are of what stood there before: bar.width"), "{written}");
    assert!(written.contains("do not ride: of the spacers above the stem 17 mm are not there"), "{written}");
    let (_, said) = run(folder.path(), 120, &["try", "alder/trail", "bar.width=780", "--write", "alder/cut"]);
    let written = std::fs::read_to_string(folder.path().join("setups/alder/cut.kdl")).expect(&said);
    assert!(written.contains("what stood there before: bar.width."), "{written}");
}

/// A reading of the twist is good to half a degree: 0.4° may be nothing, 3° is a twisted stem.
#[test]
fn nobody_steers_with_a_twisted_stem() {
    let folder = ledger();
    let keep = |by: &'static str| {
        ["try", "rowan/race", "stem.length=40", "--keep", "grip-reach", "--by", by].map(str::to_owned)
    };
    let page = |asked: &[String]| {
        let asked: Vec<&str> = asked.iter().map(String::as_str).collect();
        let (status, said) = run(folder.path(), 80, &asked);
        (status, flowing(&said))
    };
    let (status, said) = page(&keep("stem.twist"));
    assert_eq!(status, 2, "{said}");
    assert!(said.contains("`stem.twist` does not give way: nobody steers with a twisted stem"), "{said}");
    assert!(
        said.contains("For grip-reach these can: stem.length") && said.matches("stem.twist").count() == 1
    );
    // Nor is it named where another is refused.
    let (status, said) = page(&keep("saddle.height"));
    assert!(status == 2 && !said.contains("stem.twist"), "{said}");
    let asked = ["try", "rowan/race", "stem.twist=8", "--write", "rowan/twisted"].map(str::to_owned);
    let (status, said) = page(&asked);
    assert_eq!(status, 1, "{said}");
    let danger =
        "Do not ride so: the stem would be turned 8° to the left, and the bar not be square to the wheel.";
    assert!(said.find(danger).expect("the danger") < said.find(" → ").expect("the change"), "{said}");
    let found = json(folder.path(), &["try", "rowan/race", "stem.twist:=-8"]);
    assert!(found["twisted"].as_str().is_some_and(|words| words.contains("8° to the right")), "{found}");
    // The written file says so as well.
    let (_, said) = run(folder.path(), 120, &["check", "rowan/twisted"]);
    assert!(flowing(&said).contains("stem: the stem is turned out of square to the wheel"), "{said}");
    // From more than 1° on `check` and `try` ask to set it square, and from more than 5° on nobody rides it.
    let (status, said) = page(&["try", "rowan/race", "stem.twist=3"].map(str::to_owned));
    assert!(
        status == 0 && said.contains("caution (stem-not-square): The stem is turned 3° to the left"),
        "{said}"
    );
    assert!(!said.contains("Do not ride so"), "{said}");
    for change in ["stem.twist=0.4", "stem.twist=1", "stem.twist=3", "stem.twist=0", "stem.length=40"] {
        let found = json(folder.path(), &["try", "rowan/race", change]);
        assert!(found["twisted"].is_null(), "{change}: {found}");
    }
}
