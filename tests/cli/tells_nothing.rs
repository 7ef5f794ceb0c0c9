//! What tells nothing is not said to have stayed, and what was opened beside it is said to be open, through the program.

use serde_json::Value;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, ledger, run};

fn write(folder: &std::path::Path, text: &str) {
    std::fs::write(folder.join("setups/rowan/race.kdl"), text).expect("the setup is written");
}

fn step<'p>(plan: &'p Value, joint: &str) -> &'p Value {
    let steps = plan["steps"].as_array().expect("steps");
    steps.iter().find(|step| step["joint"] == joint).unwrap_or_else(|| panic!("no step at {joint}: {plan:#}"))
}

/// A stale line, an angle that nothing is recorded for: neither tells whether anything moved.
#[test]
fn what_nothing_is_recorded_for_is_no_all_clear() {
    let stale = SETUP.replace("drawn roll=-1.5", "drawn roll=3");
    let unknown = SETUP
        .replace(
            "left { brake-lever { from-tip 168; angle 32 with=angle-gauge;",
            "left { brake-lever { from-tip 168; angle unmeasured;",
        )
        .replace("{ drawn from-tip=168 angle=32; reads", "{ drawn from-tip=168; reads");
    let read = "floor 0 with=angle-gauge; left { brake-lever { angle 45 with=angle-gauge } }";
    for (setup, sheet) in [(&stale, "mark \"B1\" aligned"), (&unknown, read)] {
        assert_ne!(*setup, SETUP);
        let folder = ledger(&[("loan", sheet)]);
        write(folder.path(), setup);
        for command in ["restore", "diff"] {
            let page = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
            assert!(!page.text.contains("did not move"), "{command}: {}", page.text);
            assert!(page.text.contains("Nothing on the sheet tells whether anything moved"), "{}", page.text);
            assert_eq!(page.status, Some(1), "{command}: {}", page.text);
        }
    }
    let folder = ledger(&[("loan", "mark \"L1\" missing")]);
    let page = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert!(!page.text.contains("did not move"), "{}", page.text);
}

/// On the shifter's clamp and then on the lever's: the lever's was opened for it, and is to be opened again.
#[test]
fn a_control_that_went_onto_the_levers_clamp_opened_it() {
    let own = SETUP.replace(
        "shifter { mount shared slot=inner; angle 41 }",
        "shifter { mount own; from-tip 191; angle 41 }",
    );
    assert_ne!(own, SETUP);
    let sheet = "floor 0 with=angle-gauge; right { shifter { mount shared slot=inner; angle 40 } }";
    let folder = ledger(&[("loan", sheet)]);
    write(folder.path(), &own);
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(found["headline"], "Do not ride: opened, torque unknown: front brake lever (right).");
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let lever = step(&plan, "right.brake-lever");
    assert_eq!((&lever["torque"]["from"], &lever["torque"]["to"]), (&2.5.into(), &3.5.into()), "{lever:#}");
    assert!(lever["line-up"].to_string().contains("R1"), "{lever:#}");
}

/// The bar is squared by the front wheel: that one goes in before the stem is tightened.
#[test]
fn a_stem_is_squared_by_a_wheel_that_is_in() {
    let folder = ledger(&[("flight", "opened \"stem-steerer\"; opened \"front-axle\"")]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/flight"]);
    let (stem, axle) = (step(&plan, "stem-steerer"), step(&plan, "front-axle"));
    let first = stem["first"].as_str().expect("what comes first");
    let words = format!("The wheel at the front axle goes in first, as step {} says", axle["number"]);
    assert!(first.starts_with(&words), "{first}");
    let folder = ledger(&[("flight", "opened \"stem-steerer\"")]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/flight"]);
    let stem = step(&plan, "stem-steerer");
    assert!(!stem["first"].as_str().expect("what comes first").contains("goes in first"), "{stem:#}");
}

/// The bar that is on limits the levers as its maker says, which nobody knows here.
#[test]
fn no_range_is_given_that_the_old_bar_limited() {
    let setup = SETUP.replace("        width 780\n", "        width 780; rise 20\n");
    let folder = ledger(&[("loan", "bar { rise 35 }")]);
    write(folder.path(), &setup);
    for command in ["diff", "record"] {
        let page = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
        let words = flowing(&page.text);
        assert!(!words.contains("2.5–4") && !words.contains("4–5 N·m"), "{command}: {}", page.text);
        assert!(
            words.contains("the recorded range is the old bar's: take the new maker's figure"),
            "{}",
            page.text
        );
    }
}

#[test]
fn a_line_that_can_tell_nothing_answers_no_question() {
    let folder = ledger(&[]);
    write(folder.path(), &SETUP.replace("drawn roll=-1.5", "drawn roll=3"));
    let skips = "s\n".repeat(14);
    // Floor, spacers below, above, twist; then the roll by its stale line, and by the gauge.
    let asked = crate::dialogue::ask(folder.path(), &format!("{skips}0\n15\n5\n0\nsame mark\n-1.5\nquit\n"));
    assert!(asked.text.contains("Mark B1 is stale"), "{}", asked.text);
    assert!(asked.text.contains("Measure it."), "{}", asked.text);
    let sheet = std::fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert!(!sheet.contains("B1") && sheet.contains("roll -1.5"), "{sheet}");
}

#[test]
fn what_no_line_and_no_setup_can_be_is_refused() {
    // π·22.2/2 = 34.9 mm is half way round.
    let folder = ledger(&[("loan", "mark \"L1\" off=40")]);
    let page = run(folder.path(), &["check", "rowan/loan"]);
    assert!(page.status == Some(1) && page.text.contains("(off-span)"), "{}", page.text);
    let page = run(folder.path(), &["found", "rowan/loan"]);
    assert_eq!(page.status, Some(2), "{}", page.text);
    assert!(page.text.contains("clampmark found rowan/race"), "{}", page.text);
}

/// The lines were drawn anew with the levers at 168 mm; on the way back to where they stood before, at 164, a line that
/// meets says that they still stand at 168.
#[test]
fn the_lines_of_today_do_not_vouch_for_an_older_revision() {
    let before = SETUP
        .replace(
            "left { brake-lever { from-tip 168; angle 32 ",
            "left { brake-lever { from-tip 164; angle 36 ",
        )
        .replace("{ drawn from-tip=168 angle=32; reads", "{ drawn from-tip=164 angle=36; reads");
    assert_ne!(before, SETUP);
    let path = "setups/rowan/race.kdl";
    let commit = |subject, text| Commit { subject, files: text, tag: None };
    let bench = Bench::recorded(&[commit("Before", &[(path, &before)]), commit("After", &[(path, SETUP)])]);
    let sheet = |inside: &str| {
        format!(
            "found \"rowan/race\" format=1 {{ measured \"2026-05-09\"; floor 0 with=angle-gauge; {inside} }}\n"
        )
    };
    bench.write("setups/rowan/meets.kdl", sheet("mark \"L1\" aligned"));
    let page = bench.run(&["diff", "rowan/race", "HEAD~1", "--found", "rowan/meets"]);
    assert_eq!(page.status, 1, "{}", page.out);
    assert!(page.out.contains("Nothing on the sheet tells whether anything moved"), "{}", page.out);
    // It stands where the file of today has it, and that is not where it stood then.
    let asked = ["restore", "rowan/race", "--at", "HEAD~1", "--found", "rowan/meets", "--json"];
    let plan = bench.run(&asked).json();
    let moves: Vec<&str> = step(&plan, "left.brake-lever")["moves"]
        .as_array()
        .expect("moves")
        .iter()
        .filter_map(|back| back["move"].as_str())
        .collect();
    assert_eq!(moves, ["move it 4.0 mm outboard, to 164.0 mm", "turn it 4.0° tip down, to 36.0°"]);
    // Read where they are, they go back by the rule, and not by the line.
    let read = "left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }; mark \"L1\" aligned";
    bench.write("setups/rowan/read.kdl", sheet(read));
    let plan =
        bench.run(&["restore", "rowan/race", "--at", "HEAD~1", "--found", "rowan/read", "--json"]).json();
    // The setup has no torque for that lever.
    let stops = plan["blocked"].as_array().expect("what stops");
    assert!(stops.iter().all(|stop| stop["holds-up"] == "riding"), "{plan:#}");
    let lever = step(&plan, "left.brake-lever");
    assert_eq!(lever["moves"][0]["move"], "move it 4.0 mm outboard, to 164.0 mm");
    assert_eq!((&lever["moves"][0]["mark"], &lever["line-up"]), (&Value::Null, &Value::Array(Vec::new())));
    assert!(lever["cautions"].to_string().contains("Do not line up mark L1"), "{lever:#}");
}

/// A sheet that measures nothing, but tells what was looked over: it is not empty, and no all-clear.
#[test]
fn what_was_looked_over_and_is_good_is_told_of_a_sheet_that_measures_nothing() {
    let folder = ledger(&[("loan", "// looked over and good: bar\n    // looked over and good: seat-clamp")]);
    for (command, status) in [("diff", 1), ("restore", 1), ("record", 1)] {
        let page = run(folder.path(), &[command, "rowan/race", "--found", "rowan/loan"]);
        let said = flowing(&page.text);
        assert_eq!(page.status, Some(status), "{command}: {said}");
        assert!(
            !said.contains("is empty") && !said.contains("Nothing was looked at yet"),
            "{command}: {said}"
        );
        let words = if command == "record" {
            "nothing was measured"
        } else {
            "looked over and is good (bar, seat clamp)"
        };
        assert!(said.contains(words), "{command}: {said}");
    }
}

/// Called good on the sheet by hand, and read 12° off on the same sheet: no page repeats that it is good.
#[test]
fn what_the_sheet_reads_otherwise_is_not_called_good() {
    let sheet = "// looked over and good: left.brake-lever\n    // looked over and good: seat-clamp
    floor 0 with=angle-gauge; left { brake-lever { angle 20 with=angle-gauge } }";
    let folder = ledger(&[("loan", sheet)]);
    for page in ["diff", "restore", "record"] {
        let found = json(folder.path(), &[page, "rowan/race", "--found", "rowan/loan"]);
        assert_eq!(found["good"], serde_json::json!(["seat clamp"]), "{page}: {found:#}");
    }
}
