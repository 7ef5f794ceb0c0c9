//! A measure that stands in a conflict is not known: not as either version has it, and not as if it were left out.

use std::fs;

use crate::harness::{Bench, Commit, Outcome, flowing};
use crate::texts::{PLUMB, RACE, changed};

const PLUMB_FILE: &str = "setups/alder/plumb.kdl";
const RACE_FILE: &str = "setups/rowan/race.kdl";

/// A repository that holds the base; in its working folder ours and theirs are merged, which cannot be decided.
fn merged(file: &str, base: &str, ours: &str, theirs: &str) -> Bench {
    let bench = Bench::recorded(&[Commit { subject: "Record", files: &[(file, base)], tag: None }]);
    for (name, text) in [("base", base), (file, ours), ("theirs", theirs)] {
        bench.write(name, text);
    }
    let outcome = bench.run(&["merge", "base", file, "theirs"]);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    bench
}

fn derived(outcome: &Outcome, name: &str) -> serde_json::Value {
    outcome.json()["derived"][name]["value"].clone()
}

#[test]
fn undecided_spacers_are_neither_none_nor_gone() {
    let spacers = |count: &str| changed(PLUMB, &[("spacers-below 20", count)]);
    let bench = merged(PLUMB_FILE, PLUMB, &spacers("spacers-below 30"), &spacers("spacers-below 25"));
    // As nothing they would take the grips 20·sin 80° = 19.7 mm down.
    let overview = bench.run(&[]);
    assert_eq!(overview.status, 1, "{}", overview.screen());
    assert!(!overview.out.contains("grips down"), "{}", overview.screen());
    assert!(!overview.out.contains("628.4"), "{}", overview.screen());
    let grips = bench.run(&["grips", "alder/plumb", "--json"]);
    assert!(derived(&grips, "grip-stack").is_null(), "{}", grips.screen());
    assert!(!grips.out.contains("assumed\":[{\"measure\":\"steerer.spacers-below"), "{}", grips.screen());
    let diff = bench.run(&["diff", "alder/plumb"]);
    assert_eq!(diff.status, 1, "{}", diff.screen());
    let said = flowing(&diff.out);
    assert!(said.contains("Not decided spacers below the stem"), "{}", diff.screen());
    assert!(said.contains("ours 30, theirs 25"), "{}", diff.screen());
    assert!(!said.contains("No longer recorded"), "{}", diff.screen());
    assert!(!said.contains("mm down"), "{}", diff.screen());
    // Decided, it is known: 10 mm more than recorded, 648.07 + 10·sin 80° = 657.92.
    bench.write(PLUMB_FILE, spacers("spacers-below 30"));
    let stack = derived(&bench.run(&["grips", "alder/plumb", "--json"]), "grip-stack").as_f64().unwrap();
    assert!((stack - 657.92).abs() < 0.01, "{stack}");
}

#[test]
fn what_only_both_sides_record_is_undecided_as_well() {
    // The recorded text has no twist, which counts as none; ours and theirs have another each.
    let twist = |twist: &str| changed(PLUMB, &[("clamp-height 40", twist)]);
    let (ours, theirs) = (twist("clamp-height 40; twist 1"), twist("clamp-height 40; twist -2"));
    let bench = merged(PLUMB_FILE, PLUMB, &ours, &theirs);
    let diff = bench.run(&["diff", "alder/plumb"]);
    let said = flowing(&diff.out);
    assert!(said.contains("Not decided stem twist"), "{}", diff.screen());
    assert!(said.contains("ours 1, theirs -2"), "{}", diff.screen());
    let grips = bench.run(&["grips", "alder/plumb", "--json"]);
    assert!(derived(&grips, "grip-reach").is_null(), "{}", grips.screen());
}

#[test]
fn an_undecided_stem_twist_is_told_at_the_top() {
    let twist = |twist: &str| changed(RACE, &[("twist 0", twist)]);
    let bench = merged(RACE_FILE, RACE, &twist("twist 1"), &twist("twist 2"));
    let overview = flowing(&bench.run(&[]).out);
    assert!(overview.contains("1 measure of steering or brakes differs"), "{overview}");
    let diff = bench.run(&["diff", "rowan/race"]);
    let headline = diff.out.lines().take(6).collect::<Vec<_>>().join(" ");
    assert!(flowing(&headline).contains("stem twist not decided, ours 1, theirs 2"), "{}", diff.screen());
    // Decided, it is known again.
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    let (before, rest) = text.split_once("conflict \"stem.twist\"").unwrap();
    let after = rest.split_once("theirs").unwrap().1.split_once('\n').unwrap().1.split_once('}').unwrap().1;
    bench.write(RACE_FILE, format!("{before}twist 2{after}"));
    let diff = flowing(&bench.run(&["diff", "rowan/race"]).out);
    assert!(diff.contains("stem twist") && !diff.contains("ecided"), "{diff}");
}

/// What `check` finds, but for the conflict itself.
fn found(bench: &Bench, name: &str) -> Vec<(String, String)> {
    let json = bench.run(&["check", name, "--json"]).json();
    let findings = json["files"][0]["findings"].as_array().unwrap().iter();
    let text = |finding: &serde_json::Value, key: &str| finding[key].as_str().unwrap_or_default().to_owned();
    let all = findings.map(|finding| (text(finding, "code"), text(finding, "measure")));
    all.filter(|(code, _)| code != "unresolved-conflict").collect()
}

#[test]
fn a_clamp_that_is_not_decided_counts_neither_as_its_own_nor_as_the_levers() {
    // The base does not say; ours puts it into a slot of the lever's clamp, theirs gives it one of its own.
    let mount = |mount: &str| changed(RACE, &[("shifter { mount shared slot=inner;", mount)]);
    let base = mount("shifter {");
    let bench = merged(RACE_FILE, &base, &mount("shifter { mount shared;"), &mount("shifter { mount own;"));
    let of_the_shifter: Vec<_> = found(&bench, "rowan/race")
        .into_iter()
        .filter(|(_, measure)| measure.starts_with("right.shifter"))
        .collect();
    // A clamp of its own without a place would be a caution, one shared with the lever a piece of advice.
    assert!(of_the_shifter.is_empty(), "{of_the_shifter:?}");
    let diff = bench.run(&["diff", "rowan/race"]);
    let said = flowing(&diff.out);
    assert!(said.contains("Not decided right shifter mount ours shared, theirs own"), "{}", diff.screen());
    // Decided, each is told again.
    bench.write(RACE_FILE, mount("shifter { mount own;"));
    assert!(found(&bench, "rowan/race").iter().any(|(_, measure)| measure == "right.shifter"));
}

#[test]
fn a_bar_that_may_be_carbon_is_treated_as_carbon_until_it_is_decided() {
    let material =
        |word: &str| changed(RACE, &[("material carbon", word), ("Carbon bar: even gap", "Even gap")]);
    let (steel, carbon) = (material("material steel"), material("material carbon"));
    let base = material("material aluminium");
    let no_word_of_carbon = |bench: &Bench| {
        found(bench, "rowan/race").contains(&("torque-carbon".to_owned(), "stem-face".to_owned()))
    };
    for (ours, theirs) in [(&steel, &carbon), (&carbon, &steel)] {
        let bench = merged(RACE_FILE, &base, ours, theirs);
        assert!(no_word_of_carbon(&bench), "{}", bench.run(&["check"]).screen());
        let diff = flowing(&bench.run(&["diff", "rowan/race"]).out);
        assert!(
            diff.contains("bar material not decided, ours") && diff.contains("If in doubt, have a"),
            "{diff}"
        );
    }
    // Of two others neither is carbon.
    let bench = merged(RACE_FILE, &carbon, &steel, &material("material titanium"));
    assert!(!no_word_of_carbon(&bench), "{}", bench.run(&["check"]).screen());
}

#[test]
fn an_undecided_hand_on_the_front_brake_names_no_lever_front_or_rear() {
    let hand =
        |hand: &str| changed(RACE, &[("front-brake right", hand), ("hose \"rear brake\"", "hose \"rear\"")]);
    let base = hand("stature 1781");
    let base = base.replace("        stature 1781\n", "");
    let (right, left) = (hand("front-brake right"), hand("front-brake left"));
    let bench = merged(RACE_FILE, &base, &right, &left);
    bench.write(
        "sheet.kdl",
        "found \"rowan/race\" format=1 { floor 0; right { brake-lever { angle 20 tol=0.2 } } }\n",
    );
    let diff = bench.run(&["diff", "rowan/race", "--found", "sheet.kdl"]);
    let said = flowing(&diff.out);
    assert!(said.contains("right brake lever angle moved"), "{}", diff.screen());
    assert!(!said.contains("front brake lever") && !said.contains("rear brake lever"), "{}", diff.screen());
    let diff = flowing(&bench.run(&["diff", "rowan/race"]).out);
    assert!(diff.contains("front brake hand not decided, ours right, theirs left"), "{diff}");
}

#[test]
fn an_undecided_torque_of_steering_is_neither_gone_nor_a_joint_without_torque() {
    let range = |range: &str| changed(RACE, &[("torque \"stem-face\" 4 5 ", range)]);
    let (ours, theirs) = (range("torque \"stem-face\" 4 6 "), range("torque \"stem-face\" 3 4 "));
    let bench = merged(RACE_FILE, RACE, &ours, &theirs);
    assert!(!found(&bench, "rowan/race").contains(&("torque-missing".to_owned(), "stem-face".to_owned())));
    let diff = bench.run(&["diff", "rowan/race"]);
    let said = flowing(&diff.out);
    let told = "Do not ride: torque of bar in stem not decided, ours 4 6, ceiling \"bar\" 5, theirs 3 4, ceiling \"bar\" 5.";
    assert!(diff.status == 1 && said.contains(told), "{}", diff.screen());
    assert!(!said.contains("no longer") && !said.contains("gone"), "{}", diff.screen());
    // Said once.
    assert!(!said.contains("Changed on"), "{}", diff.screen());
    let overview = flowing(&bench.run(&[]).out);
    assert!(overview.contains("a mark or torque of steering or brakes is not decided"), "{overview}");
}

#[test]
fn a_conflict_taken_out_whole_is_no_silent_loss_of_a_brake() {
    let lever = "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle 32 with=angle-gauge;";
    let without = changed(RACE, &[(lever, &lever.replace(" angle 32 with=angle-gauge;", ""))]);
    let bench = Bench::recorded(&[Commit { subject: "Record", files: &[(RACE_FILE, RACE)], tag: None }]);
    bench.write(RACE_FILE, &without);
    let diff = bench.run(&["diff", "rowan/race"]);
    assert_eq!(diff.status, 1, "{}", diff.screen());
    let said = flowing(&diff.out);
    let told = "No longer recorded, on steering or brakes: right brake lever angle.";
    assert!(said.contains(told) && !said.contains("Nothing moved."), "{}", diff.screen());
}
