//! A sheet that finds another stem or bar on the bike: every joint that holds it was opened, and no line of the recorded
//! one is evidence.

use std::fs;

use serde_json::Value;

use crate::harness::{Bench, Commit, flowing};
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
    // The recorded stem comes back with its half of the bar's line; what it meets below turned freely meanwhile.
    assert!(bar["line-up"].to_string().contains("B1"), "{plan:#}");
    assert_eq!(stem["line-up"], Value::Array(Vec::new()), "{plan:#}");
    assert!(stem["cautions"].to_string().contains("Do not set by mark S1"), "{stem:#}");
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
        found["headline"],
        "Do not ride: opened, torque unknown: stem on steerer; bar in stem opened, and not read since: bar \
         offset; tightened for another part, its maker's figure not known: bar in stem."
    );
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
    // Its clamps were opened and nobody has said since how they were tightened: that alone is to act on, no line of it.
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert_eq!(check.status, Some(1), "{}", check.text);
    assert!(
        check.text.contains("Do not ride: opened before, torque not read since: stem on steerer"),
        "{}",
        check.text
    );
    assert!(!check.text.contains("stale-mark"), "{}", check.text);
}

/// The range of the stem that is gone is told of until its caution is taken out, on the page of `check` and at a glance.
#[test]
fn the_range_of_the_old_part_is_told_until_its_caution_is_gone() {
    let folder = ledger(&[("loan", STEM)]);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    let told = || {
        let found = json(folder.path(), &["check", "rowan/race"]);
        let all = found["files"][0]["findings"].as_array().expect("findings").clone();
        all.into_iter().filter(|one| one["code"] == "range-of-the-old-part").collect::<Vec<Value>>()
    };
    let found = told();
    let on: Vec<&str> = found.iter().filter_map(|one| one["measure"].as_str()).collect();
    assert_eq!(on, ["stem-steerer", "stem-face"]);
    assert_eq!(found[0]["severity"], "caution");
    let quote = found[1]["quote"].as_str().expect("the line it stands in");
    assert!(quote.starts_with("torque \"stem-face\" 4 5"), "{quote}");
    let help = found[1]["help"].as_str().expect("what to do");
    let line = "caution \"Limits of the replaced stem: take the new maker's figures before tightening.\"";
    assert!(help.contains("new part maker's figures as from and to") && help.contains(line), "{help}");
    assert!(help.contains("delete that line alone"), "{help}");
    // New figures alone leave the caution standing; without it nothing is told.
    let file = folder.path().join("setups/rowan/race.kdl");
    let text = setup_text(folder.path()).replace("\"stem-face\" 4 5", "\"stem-face\" 5 6");
    fs::write(&file, &text).expect("written");
    assert_eq!(told().len(), 2);
    fs::write(&file, text.replace(line, "")).expect("written");
    assert_eq!(told(), Vec::<Value>::new());
}

/// A bar that was cut is to be replaced: nothing is tightened on it, and what comes off goes back on as it can slide.
#[test]
fn nothing_is_tightened_on_a_bar_that_has_to_go() {
    let folder =
        ledger(&[("loan", "bar { width 740; material aluminium }; left { brake-lever { angle 28 } }")]);
    let setup = SETUP.replace(
        "reach 62 with=caliper } }",
        "reach 62 with=caliper }\n        dropper-remote { mount own; from-tip 191; angle 20 }\n        grip { length 134; hand 62 } }\n    \
         torque \"left.brake-lever\" 2.5 4 { caution \"Carbon bar: low end.\" }",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    for joint in ["stem-face", "left.brake-lever", "left.dropper-remote", "right.brake-lever"] {
        let step = step(&plan, joint);
        assert_eq!((&step["blocked"], &step["torque"]), (&Value::from(true), &Value::Null), "{step:#}");
    }
    let screen = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert!(!screen.text.contains("Tighten to"), "{}", screen.text);
}

/// From inboard outward: 191 before 168 mm from the end, and the grip last.
#[test]
fn what_is_clamped_to_a_bar_goes_back_on_as_it_can_slide() {
    let folder = ledger(&[("loan", "bar { rise 35 }")]);
    let setup = SETUP.replace("        width 780\n", "        width 780; rise 20\n").replace(
        "reach 62 with=caliper } }",
        "reach 62 with=caliper }\n        dropper-remote { mount own; from-tip 191; angle 20 }\n        grip { length 134; hand 62 } }",
    );
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let first = step(&plan, "stem-face")["first"].as_str().expect("what comes first").to_owned();
    assert!(
        first.contains(
            "comes off first: right brake lever, left grip, left brake lever, left dropper remote. It slides back on in \
             this order, unless a clamp opens fully: left dropper remote, left brake lever, left grip, right brake \
             lever; all of it loosely"
        ),
        "{first}"
    );
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
            .contains("comes off first: right brake lever, left brake lever."),
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
    let verdict = "opened, torque unknown: stem on steerer, bar in stem.";
    assert!(flowing(&recorded.text).contains(verdict), "{}", recorded.text);
    let kept = "opened before, torque not read since: stem on steerer, bar in stem";
    for command in ["diff", "restore", "record"] {
        let screen = run(folder.path(), &[command, "rowan/race", "--found", "rowan/later"]);
        let told = flowing(&screen.text);
        let is_told = told.contains("Do not ride: ") && told.contains(kept);
        assert!(is_told, "{command}: {}", screen.text);
        assert_eq!(screen.status, Some(1), "{command}: {}", screen.text);
    }
    let overview = run(folder.path(), &[]);
    assert!(
        flowing(&overview.text).contains("rowan/race: do not ride: ")
            && flowing(&overview.text).contains(kept),
        "{}",
        overview.text
    );
    assert_eq!(overview.status, Some(1));
    // Each has its step: how tight, what to mind, and how that is kept.
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/later"]);
    for joint in ["stem-steerer", "stem-face"] {
        let step = step(&plan, joint);
        let why = step["why"].as_str().expect("why");
        assert!(
            why.starts_with("opened on 2026-05-09, torque not read since; nobody knows how it stands"),
            "{why}"
        );
        // The range is the old stem's, so none is given.
        assert!(step["torque"].is_null() && step["tool"] == "4 mm hex", "{step:#}");
        assert!(step["cautions"].to_string().contains("take the new maker's figures"), "{step:#}");
    }
    // How the new stem and the bar in it stand is read as well.
    let torque = "torque \"stem-face\" { applied 4.5 }; torque \"stem-steerer\" { applied 5.5 }; stem { twist 0 }; \
                  bar { offset 0 }";
    let text = fs::read_to_string(&sheet).expect("the sheet").replace(later, torque);
    fs::write(&sheet, text).expect("the sheet can be written");
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/later"]);
    assert!(!setup_text(folder.path()).contains("opened, torque not read"), "{}", setup_text(folder.path()));
    // The figures are known; whether they are right for the new stem is not.
    let overview = flowing(&run(folder.path(), &[]).text);
    assert!(!overview.contains("torque not read"), "{overview}");
    assert!(
        overview.contains("stem on steerer tightened for another part, its maker's figure not known"),
        "{overview}"
    );
    // The new maker's figures in place of the old one's end it.
    let text = setup_text(folder.path());
    let caution = "Limits of the replaced stem: take the new maker's figures before tightening.";
    assert_eq!(text.matches(caution).count(), 2, "{text}");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text.replace(caution, "As its maker says."))
        .expect("written");
    let overview = run(folder.path(), &[]).text;
    assert!(!overview.contains("rowan/race: do not ride"), "{overview}");
}

/// The range went with the stem; the bar's own 5 N·m did not, nor did the levers' 2.5–4 with another bar.
#[test]
fn what_the_parts_that_stayed_allow_still_holds() {
    let stem = "stem { length 40 }; torque \"stem-face\" { applied 40 }";
    let bar = "bar { rise 35 }; torque \"right.brake-lever\" { applied 6 }";
    let low = "bar { rise 35 }; torque \"right.brake-lever\" { applied 3.8 }";
    for (sheet, joint, state, words) in [
        (stem, "stem-face", "above", "above the 5 N·m that the bar allows"),
        (bar, "right.brake-lever", "above", "above the 4 N·m that the right brake lever allows"),
        // The lever's own 4 holds; but what the new bar allows in place of the old one's 3.5 nobody knows.
        (
            low,
            "right.brake-lever",
            "no-range",
            "the recorded range is the old bar's: take the new maker's figure",
        ),
    ] {
        let folder = ledger(&[("loan", sheet)]);
        let setup = SETUP.replace("        width 780\n", "        width 780; rise 20\n");
        fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
        let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
        let all = found["tightened"].as_array().expect("torques");
        let one = all.iter().find(|one| one["joint"] == joint).expect(joint);
        assert_eq!(one["state"], state, "{one:#}");
        assert!(one["words"].as_str().expect("words").ends_with(words), "{one:#}");
        let headed = found["headline"].as_str().is_some_and(|line| line.contains(words));
        assert_eq!(headed, state == "above", "{}", found["headline"]);
    }
}

#[test]
fn a_stem_turned_over_is_the_same_stem_taken_off() {
    let sheet = "stem { angle -6 }; mark \"S1\" aligned; torque \"stem-steerer\" { applied 5.5 }";
    let folder = ledger(&[("loan", sheet)]);
    let setup = SETUP.replace("angle 0; clamp-height", "angle 6; clamp-height");
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(
        found["headline"],
        "Do not ride: opened, torque unknown: bar in stem; stem on steerer opened, and not read since: stem twist."
    );
    let tightened = &found["tightened"];
    assert!(tightened.to_string().contains("within the 5–6 N·m allowed"), "{tightened:#}");
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let stem = step(&plan, "stem-steerer");
    assert!(moves(stem).contains(&("stem.angle", "turn the stem over, to 6.0°")), "{stem:#}");
    assert_eq!(step(&plan, "stem-face")["why"], "the stem is turned over");
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert!(screen.text.contains("Turned over: stem."), "{}", screen.text);
    let text = setup_text(folder.path());
    assert!(!text.contains("replaced") && !text.contains("maker's"), "{text}");
    assert!(text.contains("line from before the stem was turned over (was drawn twist=0)"), "{text}");
}

/// What was applied on a later day is known; an older sheet does not take it back.
#[test]
fn an_older_torque_is_not_written_over_a_newer_one() {
    let folder = ledger(&[("loan", "torque \"stem-face\" { applied 4.5 }")]);
    let applied = "{ applied 9 read=\"2026-05-20\"; ceiling \"bar\" 5; caution";
    let setup = SETUP.replace("{ ceiling \"bar\" 5; caution", applied);
    assert_ne!(setup, SETUP);
    fs::write(folder.path().join("setups/rowan/race.kdl"), &setup).expect("the setup can be written");
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(setup_text(folder.path()), setup, "{}", screen.text);
    let words = flowing(&screen.text);
    assert!(words.contains("It is not written: what the file has was applied on a later day."), "{words}");
}

/// A bar of another rise alone is another bar, whatever else it has alike.
#[test]
fn a_bar_of_another_rise_is_another_bar_on_every_page() {
    let folder = ledger(&[("loan", "bar { rise 35 }")]);
    let setup = SETUP.replace("        width 780\n", "        width 780; rise 20\n");
    fs::write(folder.path().join("setups/rowan/race.kdl"), setup).expect("the setup can be written");
    let found = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(found.status, Some(1), "{}", found.text);
    let words = flowing(&found.text);
    assert!(words.contains("Do not ride: opened, torque unknown: bar in stem"), "{words}");
    assert!(words.contains("Another bar:") && !words.contains("nothing moved"), "{words}");
    let recorded = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(recorded.status, Some(1), "{}", recorded.text);
    assert!(!setup_text(folder.path()).contains("{ drawn roll"), "{}", setup_text(folder.path()));
}

/// What is wrong with the bike stands in the file as it is now, whatever state the way goes back to.
#[test]
fn a_way_back_to_an_older_revision_stops_at_the_damage_of_today() {
    let commit = |subject, text| Commit { subject, files: text, tag: None };
    let noted = SETUP.replace("material carbon", "material carbon; note \"2026-05-09 damage: scored\"");
    let before = [("setups/rowan/race.kdl", SETUP)];
    let after = [("setups/rowan/race.kdl", noted.as_str())];
    let bench = Bench::recorded(&[commit("As it was", &before), commit("After the crash", &after)]);
    let plan = bench.run(&["restore", "rowan/race", "--at", "HEAD~1"]);
    let words = flowing(&plan.out);
    assert!(words.contains("Do not ride: bar: scored; no torque known: left brake lever."), "{words}");
}

/// The plate is off and the bar out while the stem is changed: nobody is told to take them off once more.
#[test]
fn a_bar_that_came_off_for_another_stem_is_not_taken_out_twice() {
    let folder = crate::restore::ledger(&[("crash", "stem { length 40 }")]);
    let plan = crate::restore::json(folder.path(), &["restore", "rowan/race", "--found", "rowan/crash"]);
    let first = |joint: &str| {
        let steps = plan["steps"].as_array().expect("steps");
        let step = steps.iter().find(|step| step["joint"] == joint).expect("the step");
        step["first"].as_str().expect("what comes first").to_owned()
    };
    let stem = first("stem-steerer");
    assert!(stem.contains("comes off first: bar in stem. The bar held: with the face plate off"), "{stem}");
    let bar = first("stem-face");
    assert!(bar.starts_with("It is back on, loosely, since the stem was fitted."), "{bar}");
    assert!(!bar.contains("plate off"), "{bar}");
}

/// The line across the bar's clamp was drawn again on the new stem, at the very same roll: on the old stem is none of it.
#[test]
fn a_line_drawn_on_the_new_stem_meets_nothing_on_the_old_one() {
    let line = SETUP.lines().find(|line| line.contains("mark \"B1\"")).expect("its line");
    let drawn = |text: &str, day: &str| {
        let dated = line.replace("roll=-1.5", &format!("roll=-1.5 read=\"{day}\""));
        assert_ne!(dated, line);
        text.replace(line, &dated)
    };
    let (old, new) = (drawn(SETUP, "2031-05-01"), SETUP.replace("length 50", "length 40"));
    let line_up = |new: &str| {
        let commit = |subject, text| Commit { subject, files: text, tag: None };
        let (before, after) = ([("setups/rowan/race.kdl", old.as_str())], [("setups/rowan/race.kdl", new)]);
        let bench = Bench::recorded(&[commit("Old stem", &before), commit("New stem", &after)]);
        let plan = bench.run(&["restore", "rowan/race", "--at", "HEAD~1", "--json"]).json();
        step(&plan, "stem-face")["line-up"].clone()
    };
    assert_eq!(line_up(&drawn(&new, "2031-05-09")), Value::Array(Vec::new()));
    // The old line itself is on both of them still.
    assert_eq!(line_up(&drawn(&new, "2031-05-01")), serde_json::json!(["B1: its two halves meet"]));
}
