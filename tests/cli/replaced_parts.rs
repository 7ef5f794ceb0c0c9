//! A sheet that finds another stem or bar on the bike: every joint that holds it was opened, and no line of the recorded
//! one is evidence.

use std::fs;

use serde_json::Value;

use crate::restore::{SETUP, json, ledger, run, setup_text};

const STEM: &str = "stem { length 40 }\n    bar { roll -1.5 with=angle-gauge }\n    mark \"S1\" aligned\n    mark \"B1\" aligned";

fn step<'p>(plan: &'p Value, joint: &str) -> &'p Value {
    let steps = plan["steps"].as_array().expect("steps");
    steps.iter().find(|step| step["joint"] == joint).unwrap_or_else(|| panic!("no step at {joint}: {plan:#}"))
}

fn moves(step: &Value) -> Vec<(&str, &str)> {
    let moves = step["moves"].as_array().expect("moves");
    moves
        .iter()
        .map(|one| (one["measure"].as_str().expect("a path"), one["move"].as_str().expect("words")))
        .collect()
}

#[test]
fn another_stem_opens_the_steerer_and_the_bar() {
    let folder = ledger(&[("loan", STEM)]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(plan["headline"], "Do not ride: opened, torque unknown: stem on steerer, bar in stem.");
    let stem = step(&plan, "stem-steerer");
    assert!(
        moves(stem).contains(&("stem.length", "fit the stem of 50.0 mm; the one found is 40.0 mm")),
        "{stem:#}"
    );
    assert!(moves(stem).contains(&("stem.twist", "set it to 0.0°")), "{stem:#}");
    let first = stem["first"].as_str().expect("what comes first");
    assert!(first.contains("it drops out"), "{first}");
    assert!(first.contains("comes off first: bar in stem."), "{first}");
    let bar = step(&plan, "stem-face");
    // Read where it was recorded, and all the same to be set again: the bar comes out.
    assert_eq!(moves(bar), [("bar.roll", "set it to -1.5°"), ("bar.offset", "set it to 0.0 mm")]);
    assert_eq!((&bar["torque"]["from"], &bar["torque"]["to"]), (&Value::from(4.0), &Value::from(5.0)));
    assert!(bar["cautions"].to_string().contains("Carbon"), "{bar:#}");
    assert_eq!(bar["why"], "another stem is on the bike");
    // The recorded stem comes back with its halves of the lines.
    assert!(
        stem["line-up"].to_string().contains("S1") && bar["line-up"].to_string().contains("B1"),
        "{plan:#}"
    );
    for mark in plan["marks"].as_array().expect("marks").iter().take(4).filter(|mark| mark["name"] != "L1") {
        let expected = if mark["name"] == "R1" { "not-looked-at" } else { "on-another-part" };
        assert_eq!(mark["state"], expected, "{mark:#}");
    }
}

#[test]
fn no_range_of_the_old_stem_is_given_for_the_new_one() {
    let applied = format!("{STEM}\n    torque \"stem-face\" {{ applied 4.5 read=\"2026-05-09\" }}");
    let folder = ledger(&[("loan", &applied)]);
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    let at = |joint: &str| {
        let all = found["tightened"].as_array().expect("torques");
        all.iter().find(|one| one["joint"] == joint).cloned().unwrap_or_default()
    };
    assert_eq!(at("stem-face")["state"], "no-range");
    assert_eq!(
        at("stem-face")["words"],
        "tightened to 4.5 N·m on 2026-05-09, the recorded range is the old stem's: take the new maker's figure"
    );
    assert_eq!(at("stem-steerer")["state"], "unknown");
    assert_eq!(at("stem-steerer")["allowed"], Value::Null);
    assert_eq!(found["contradictions"], Value::Array(Vec::new()));
    let screen = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(screen.text.contains("Another stem"), "{}", screen.text);
}

#[test]
fn recording_another_stem_voids_torques_and_lines() {
    let folder = ledger(&[("loan", STEM)]);
    let file = folder.path().join("setups/rowan/race.kdl");
    let before = SETUP.replace(
        "{ ceiling \"bar\" 5; caution",
        "{ applied 4.5 read=\"2026-05-02\"; ceiling \"bar\" 5; caution",
    );
    fs::write(&file, before).expect("the setup can be written");
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(screen.text.contains("Another stem"), "{}", screen.text);
    let text = setup_text(folder.path());
    assert!(text.contains("length 40"), "{text}");
    assert!(!text.contains("applied"), "{text}");
    assert_eq!(text.matches("opened, torque not read").count(), 2, "{text}");
    assert!(!text.contains("{ drawn roll") && !text.contains("{ drawn twist"), "{text}");
    assert!(text.contains("drawn from-tip=168"), "{text}");
    assert_eq!(
        text.matches("Limits of the replaced stem: take the new maker's figures").count(),
        2,
        "{text}"
    );
    let again = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(setup_text(folder.path()), text, "{}", again.text);
    // The new stem's lines are drawn: they are evidence again.
    assert_eq!(run(folder.path(), &["check", "rowan/race"]).status, Some(0));
}

#[test]
fn another_bar_opens_all_that_is_clamped_to_it() {
    let folder = ledger(&[("loan", "bar { rise 35; material aluminium }")]);
    let setup = SETUP.replace("        width 780\n", "        width 780; rise 20\n");
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let joints: Vec<&str> =
        plan["steps"].as_array().expect("steps").iter().filter_map(|one| one["joint"].as_str()).collect();
    assert_eq!(joints, ["stem-face", "left.brake-lever", "right.brake-lever"]);
    let bar = step(&plan, "stem-face");
    assert!(
        moves(bar).contains(&("bar.rise", "fit the bar of 20.0 mm; the one found is 35.0 mm")),
        "{bar:#}"
    );
    assert!(
        moves(bar).contains(&("bar.material", "fit the bar of carbon; the one found is aluminium")),
        "{bar:#}"
    );
    assert!(
        bar["first"]
            .as_str()
            .expect("first")
            .contains("comes off first: left brake lever, right brake lever."),
        "{bar:#}"
    );
    let lever = step(&plan, "left.brake-lever");
    assert_eq!(
        moves(lever),
        [("left.brake-lever.from-tip", "set it to 168.0 mm"), ("left.brake-lever.angle", "set it to 32.0°")]
    );
}

/// Once the sheet is recorded and put away, every page still says that two clamps are of unknown torque.
#[test]
fn every_page_gives_the_verdict_that_restore_gives() {
    let later = "tyres { front 23 }";
    let folder = ledger(&[("loan", STEM), ("later", later)]);
    let sheet = folder.path().join("setups/rowan/later.kdl");
    let text = fs::read_to_string(&sheet).expect("the sheet").replace("2026-05-09", "2026-05-12");
    fs::write(&sheet, text).expect("the sheet can be written");
    let recorded = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let verdict = "Do not ride: opened, torque unknown: stem on steerer, bar in stem.";
    assert!(words(&recorded.text).contains(verdict), "{}", recorded.text);
    let kept = "opened before, torque not read since: stem on steerer, bar in stem";
    for command in ["diff", "restore", "record"] {
        let screen = run(folder.path(), &[command, "rowan/race", "--found", "rowan/later"]);
        let told = words(&screen.text).contains(&format!("Do not ride: {kept}."));
        assert!(told, "{command}: {}", screen.text);
        assert_eq!(screen.status, Some(1), "{command}: {}", screen.text);
    }
    let overview = run(folder.path(), &[]);
    assert!(words(&overview.text).contains(&format!("rowan/race: do not ride: {kept}")), "{}", overview.text);
    assert_eq!(overview.status, Some(1));
    // Each has its step: how tight, what to mind, and how that is kept.
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/later"]);
    for joint in ["stem-steerer", "stem-face"] {
        let step = step(&plan, joint);
        assert_eq!(step["why"], "opened on 2026-05-09, torque not read since");
        assert!(step["torque"]["from"].is_number() && step["tool"] == "4 mm hex", "{step:#}");
        assert!(step["cautions"].to_string().contains("take the new maker's figures"), "{step:#}");
    }
    let torque = "torque \"stem-face\" { applied 4.5 }; torque \"stem-steerer\" { applied 5.5 }";
    let text = fs::read_to_string(&sheet).expect("the sheet").replace(later, torque);
    fs::write(&sheet, text).expect("the sheet can be written");
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/later"]);
    assert!(!setup_text(folder.path()).contains("opened, torque not read"), "{}", setup_text(folder.path()));
    let overview = run(folder.path(), &[]).text;
    assert!(!overview.contains("rowan/race: do not ride"), "{overview}");
}
