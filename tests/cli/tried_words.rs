//! What `try` says on its page of what was asked for, of what goes along, and of what the file accepts.

use std::fs;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

#[test]
fn every_bad_argument_is_refused_at_once() {
    let folder = ledger();
    let asked =
        ["try", "rowan/race", "steerer.spacers", "left=200", "stem.length=200", "bar.rise=10", "bar.rise=12"];
    let (status, said) = run(folder.path(), 120, &asked);
    let said = flowing(&said);
    assert_eq!(status, 2, "{said}");
    for (number, message) in [
        (1, "`steerer.spacers` is not a change."),
        (2, "`left` is not a measure."),
        (3, "`stem.length` cannot become 200 mm: it lies between 0 and 150."),
        (4, "`bar.rise` is changed twice."),
    ] {
        assert!(said.contains(&format!("({number}) {message}")), "{number}: {said}");
    }
    let (status, said) = run(folder.path(), 120, &["try", "rowan/race", "x=1", "--keep", "y", "--by", "z"]);
    let said = flowing(&said);
    assert!(status == 2 && said.contains("(2) `y` is not a derived value."), "{said}");
    // What is known is named, where nothing that is known comes near.
    assert!(said.contains("Groups: rider,") && said.contains("These are known: grip.left.x,"), "{said}");
}

/// 740 mm is wide for nobody, 820 for everybody (beyond 800): common practice, see the rule.
#[test]
fn what_a_file_accepts_is_not_told_as_gone() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    let accepted = ROWAN.replace("    guard", "    accept wide-bar \"Wide shoulders\"\n    guard");
    fs::write(&race, &accepted).expect("written");
    let found = json(folder.path(), &["try", "rowan/race", "bar.width=820"]);
    let codes = |list: &str, found: &serde_json::Value| -> Vec<String> {
        let said = found[list].as_array().expect("a list").iter();
        said.filter_map(|one| one["code"].as_str().map(str::to_owned)).collect()
    };
    assert!(codes("accepted", &found).contains(&"wide-bar".to_owned()), "{found}");
    assert!(!codes("appears", &found).contains(&"wide-bar".to_owned()), "{found}");
    // That there was nothing to accept is no news.
    assert!(!codes("disappears", &found).contains(&"accept-unused".to_owned()), "{found}");
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "bar.width=820"]);
    let said = flowing(&said);
    assert!(
        said.contains("New, and accepted in the file") && said.contains("Accepted because: Wide shoulders"),
        "{said}"
    );
    // The way back: what was accepted is gone.
    fs::write(&race, accepted.replace("width 780", "width 820")).expect("written");
    let found = json(folder.path(), &["try", "rowan/race", "bar.width=780"]);
    assert!(codes("disappears", &found).contains(&"wide-bar".to_owned()), "{found}");
    assert!(codes("accepted", &found).is_empty(), "{found}");
}

#[test]
fn a_bike_that_stands_crooked_is_told_with_its_figures() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("twist 0", "twist -2").replace("offset 0", "offset 1.5"))
        .expect("written");
    let page = |change: &str| flowing(&run(folder.path(), 120, &["try", "rowan/race", change]).1);
    let said = page("stem.length=40");
    assert!(
        said.contains(
            "Counted as it stands now: stem twist 2° to the right, bar offset 1.5 mm to the left. To see it set \
             straight, add stem.twist=0 bar.offset=0."
        ),
        "{said}"
    );
    // Another bar opens the stem's face alone, a spacer the steerer's; what is asked for is no surprise.
    assert!(page("bar.rise=20").contains("now: bar offset 1.5 mm to the left."));
    assert!(page("steerer.spacers-below=+2").contains("now: stem twist 2° to the right. To see"));
    for change in ["stem.twist=0", "left.brake-lever.angle=+2"] {
        assert!(!page(change).contains("as it stands now"), "{change}");
    }
    let (_, said) = run(folder.path(), 120, &["carry", "rowan/race", "--onto", "alder/trail"]);
    assert!(
        flowing(&said).contains(
            "rowan/race stands crooked (stem twist 2° to the right, bar offset 1.5 mm to the left);"
        ),
        "{said}"
    );
}

/// The bar is turned so little that nothing of it is left at the places shown: neither more nor less.
#[test]
fn a_change_that_reads_as_nothing_is_called_the_same() {
    let folder = ledger();
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "bar.roll=+0.001"]);
    let zero = said.lines().filter(|line| line.trim_start().starts_with("0.00"));
    let zero: Vec<&str> = zero.filter(|line| line.contains("grip")).collect();
    for line in &zero {
        let figure = line.split_whitespace().next().expect("a figure");
        let is_nothing = figure.bytes().all(|digit| matches!(digit, b'0' | b'.'));
        assert_eq!(line.contains("the same"), is_nothing, "{line}");
    }
    assert!(zero.iter().any(|line| line.contains("the same")), "{said}");
}

/// A lever moved inboard by 10 mm takes its hose along: by its name, or because the side has nothing else. One that
/// could leave either of two controls stays, and that is said.
#[test]
fn a_hose_goes_along_with_the_control_it_leaves() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    let leaves = |name: &str, change: &str| {
        let found = json(folder.path(), &["try", "rowan/race", change]);
        let carried = found["carried"].as_array().expect("a list").clone();
        let measure = format!("hose.{name}.leaves.from-tip");
        let change = carried.into_iter().find(|one| one["measure"] == measure.as_str());
        (change.and_then(|one| one["delta"].as_f64()), found)
    };
    let moved = "left.brake-lever.from-tip=178";
    let (delta, found) = leaves("rear brake", moved);
    assert!((delta.expect("goes along") - 10.0).abs() < 1e-6, "{found}");
    assert_eq!(found["hoses"][0]["control"], "left.brake-lever");
    fs::write(&race, ROWAN.replace("rear brake", "black one")).expect("written");
    let (delta, found) = leaves("black one", moved);
    assert!((delta.expect("the only one there") - 10.0).abs() < 1e-6, "{found}");
    let two = ROWAN.replace("rear brake", "black one").replace("side=left", "side=right");
    fs::write(&race, two).expect("written");
    let (delta, found) = leaves("black one", "right.brake-lever.from-tip=178");
    assert!(delta.is_none() && found["hoses"][0]["control"].is_null(), "{found}");
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "right.brake-lever.from-tip=178"]);
    let said = flowing(&said);
    assert!(said.contains("Which control the hose `black one` leaves is not known"), "{said}");
    assert!(said.contains("brake, shift, derailleur"), "{said}");
    assert!(
        !flowing(&run(folder.path(), 120, &["try", "rowan/race", "stem.length=40"]).1)
            .contains("Which control")
    );
}

#[test]
fn a_wider_bar_asks_for_its_own_figures() {
    let folder = ledger();
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "bar.width=800"]);
    let said = flowing(&said);
    assert!(said.contains("rise, sweeps, bend and supplied width have to be its own."), "{said}");
}

/// A bar 20 mm to the left brings the left hand 20 mm further out and the right one 20 mm further in: 40 mm between
/// the two. A stem that is turned takes the hands no nearer to one another, but less of it lies across the bike.
#[test]
fn what_is_said_of_both_hands_is_what_is_computed() {
    let folder = ledger();
    let found = json(folder.path(), &["try", "rowan/race", "bar.offset=20"]);
    let derived = found["derived"].as_array().expect("a list").clone();
    let of = |name: &str| derived.iter().find(|one| one["name"] == name).expect("it is there").clone();
    let between = of("grip-difference-y");
    assert_eq!(between["title"], "left grip further out than the right");
    assert!((between["delta"].as_f64().expect("a number") - 40.0).abs() < 1e-9, "{between}");
    assert!((of("grip.left.y")["delta"].as_f64().expect("a number") - 20.0).abs() < 1e-9);
    assert_eq!(of("hand-span")["title"], "hand span, across the bike");
}

/// The grips are 29 mm below the saddle; a bar that is 75 mm higher carries them above it.
#[test]
fn what_ends_above_the_saddle_is_not_said_to_be_below_it() {
    let folder = ledger();
    let page = |change: &str| flowing(&run(folder.path(), 120, &["try", "rowan/race", change]).1);
    let said = page("bar.rise=100");
    let line = "mm higher grips below the saddle to ";
    let (_, end) = said.split_once(line).unwrap_or_else(|| panic!("{said}"));
    assert!(
        end.split_once(" mm above it").is_some_and(|(number, _)| number.parse::<f64>().is_ok()),
        "{said}"
    );
    assert!(page("bar.rise=20").contains("further below grips below the saddle"));
}

/// The bar goes 3° forward and would take the lever to 35°: at 32° still its tip stands 3° further up on the bar. At 33° it
/// stands 2° further up.
#[test]
fn a_lever_set_back_on_a_rolled_bar_is_told_on_the_bar() {
    let folder = ledger();
    let asked = |angle: &str| json(folder.path(), &["try", "rowan/race", "bar.roll=+3", angle]);
    let page = |angle: &str| flowing(&run(folder.path(), 80, &["try", "rowan/race", "bar.roll=+3", angle]).1);
    let said = page("left.brake-lever.angle:=32");
    assert!(said.contains("32° → 32° left brake lever angle 3° tip up on the bar"), "{said}");
    let said = page("left.brake-lever.angle:=33");
    assert!(said.contains("32° → 33° left brake lever angle 1° tip down, 2° tip up on the bar"), "{said}");
    let found = asked("left.brake-lever.angle:=32");
    let [roll, lever] = [0, 1].map(|index| found["changes"][index].clone());
    assert_eq!(lever["on-bar"]["direction"], "tip up", "{lever}");
    assert!((lever["on-bar"]["delta"].as_f64().expect("a number") + 3.0).abs() < 1e-9, "{lever}");
    assert!(roll.get("on-bar").is_none(), "{roll}");
    // What goes along stands on the bar as it did.
    assert!(found["carried"].as_array().expect("a list").iter().all(|one| one.get("on-bar").is_none()));
}
