//! Recording what was found: what is dangerous is said first and stays in the file.

use std::fs;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

#[test]
fn damage_is_said_first_and_stays_in_the_file() {
    let folder = ledger(&[("loan", "damage on=\"bar\" \"scored under the left clamp\"")]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let words = flowing(&screen.text);
    let expected = "rowan/race recorded from the sheet Do not ride on it until it is replaced or a qualified \
                    mechanic has passed it: bar: scored under the left clamp. Carbon: inspect";
    assert!(words.starts_with(expected), "{}", screen.text);
    // One line more, behind what the bar's group holds, and nothing else.
    let expected = SETUP.replace(
        "        material carbon\n",
        "        material carbon\n        note \"2026-05-09 damage: scored under the left clamp\"\n",
    );
    assert_eq!(setup_text(folder.path()), expected);
    // The same sheet again says it again, and writes nothing twice.
    let again = run(folder.path(), &RECORD);
    assert_eq!(again.status, Some(1), "{}", again.text);
    assert!(again.text.contains("Do not ride on it"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), expected);
    // Without any sheet the steps back stop there, and check speaks of it.
    let plan = json(folder.path(), &["restore", "rowan/race"]);
    assert_eq!(
        plan["headline"],
        "Do not ride: bar: scored under the left clamp; no torque known: left brake lever."
    );
    assert!(run(folder.path(), &["check", "rowan/race"]).text.contains("damage-noted"));
}

#[test]
fn damage_on_what_has_no_group_stands_at_the_top() {
    let folder = ledger(&[(
        "loan",
        "damage on=\"frame\" \"dent in the \\\"down tube\\\"\"; damage on=\"stem-face\" \"thread stripped\"",
    )]);
    let result = json(folder.path(), &RECORD);
    assert_eq!(result["damages"][0]["noted-at"], "");
    assert_eq!(result["damages"][1]["noted-at"], "torque.stem-face");
    assert_eq!(result["damages"][1]["written"], true);
    let expected = SETUP
        .replace(
            "    measured \"2026-05-02\"\n",
            "    measured \"2026-05-02\"\n    note \"2026-05-09 damage on frame: dent in the \\\"down tube\\\"\"\n",
        )
        .replace(
            "caution \"Carbon bar: even gap.\" }",
            "caution \"Carbon bar: even gap.\"; note \"2026-05-09 damage: thread stripped\" }",
        );
    assert_eq!(setup_text(folder.path()), expected);
}

/// Whoever draws a new line across the joint and later finds it aligned must not be told that nothing moved.
#[test]
fn a_broken_mark_is_no_evidence_any_more() {
    let folder = ledger(&[
        ("loan", "mark \"L1\" broken"),
        ("later", "mark \"L1\" aligned"),
        (
            "set",
            "floor 0 with=angle-gauge; left { brake-lever { from-tip 170; angle 30 with=angle-gauge } }
    mark \"L1\" aligned",
        ),
    ]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(screen.text.contains("Mark L1 was found broken: the left brake lever"), "{}", screen.text);
    let expected = SETUP.replace(
        "drawn from-tip=168 angle=32; reads",
        "note \"2026-05-09 found broken (was drawn from-tip=168 angle=32): no evidence until drawn again\"; reads",
    );
    // And nobody says where it stands, nor how tight it is.
    let opened = "from-tip unmeasured; angle unmeasured; reach 62 with=caliper; \
                  note \"2026-05-09 from-tip no longer known: mark L1 was found broken; it read 168 mm before\"; \
                  note \"2026-05-09 angle no longer known: mark L1 was found broken; it read 32° at a roll of -1.5° before\"; \
                  note \"2026-05-09 joint opened, torque not read\" }";
    let before = "from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper }";
    let expected = expected.replace(before, opened);
    assert_eq!(setup_text(folder.path()), expected);
    let again = run(folder.path(), &RECORD);
    assert!(
        again.text.contains("nothing to record") && again.text.contains("found broken"),
        "{}",
        again.text
    );
    assert_eq!(again.status, Some(1));
    assert_eq!(setup_text(folder.path()), expected);
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/later"]);
    let not_looked_at = found["not-looked-at"].to_string();
    assert!(not_looked_at.contains("left.brake-lever.angle"), "{not_looked_at}");
    // Measured and drawn again, it counts again.
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/set", "--mark"]);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn from-tip=170 angle=30 roll=-1.5 read=\"2026-05-09\""), "{text}");
}

/// The lever stands where it was read, and how tight nobody says: that is left to act on.
#[test]
fn what_was_found_broken_and_drawn_anew_says_so_in_a_note() {
    let folder = ledger(&[(
        "loan",
        "floor 0 with=angle-gauge; left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }\n    mark \"L1\" broken
    torque \"left.brake-lever\" 2 3 { applied 2.5 }",
    )]);
    let asked = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(0), "{}", screen.text);
    assert!(screen.text.contains("The mark is drawn anew."), "{}", screen.text);
    let expected = SETUP.replace(
        "drawn from-tip=168 angle=32; reads \"Line meets the split\" }",
        "drawn from-tip=168 angle=32 roll=-1.5 read=\"2026-05-09\"; reads \"Line meets the split\"; note \"2026-05-09 found broken, drawn anew\" }",
    );
    assert_eq!(setup_text(folder.path()), expected);
    let again = run(folder.path(), &asked);
    assert_eq!(again.status, Some(0), "{}", again.text);
    assert!(again.text.contains("nothing to record"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), expected);
}

/// The figure on the sheet is the last that was applied; the range is the setup's.
#[test]
fn a_torque_on_the_sheet_is_judged_by_the_recorded_range() {
    let folder = ledger(&[
        // 4.2 lies within 4–5; 4.6 above 3.5, the bar's limit, which cuts 2.5–4; 44 in·lb is 4.97 N·m (NIST SP 811),
        // below 5.
        (
            "loan",
            "torque \"stem-face\" { applied 4.2 }\n    torque \"right.brake-lever\" { applied 4.6 read=\"2026-05-08\" }
    torque \"stem-steerer\" { applied (in-lb)44 }",
        ),
    ]);
    assert_eq!(run(folder.path(), &["check", "rowan/loan"]).status, Some(0));
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    let states: Vec<(&str, &str)> = found["tightened"]
        .as_array()
        .expect("torques")
        .iter()
        .map(|one| (one["joint"].as_str().expect("a joint"), one["state"].as_str().expect("a state")))
        .collect();
    let expected = [("right.brake-lever", "above"), ("stem-steerer", "below"), ("stem-face", "within")];
    // Beyond the limit before short of it.
    assert_eq!(states, expected);
    let headline = found["headline"].as_str().expect("a headline");
    let expected = "Do not ride: front brake lever (right) tightened to 4.6 N·m on 2026-05-08, above the 2.5–3.5 N·m allowed";
    assert!(headline.starts_with(expected), "{headline}");
    let screen = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(screen.status, Some(1));
    assert!(screen.text.contains("bar in stem: tightened to 4.2 N·m, within the 4–5 N·m"), "{}", screen.text);
    // What is out of its range is worked on, and nothing else.
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let joints: Vec<&str> =
        plan["steps"].as_array().expect("steps").iter().filter_map(|step| step["joint"].as_str()).collect();
    assert_eq!(joints, ["stem-steerer", "right.brake-lever"]);
    // Recording writes it, and says it.
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected = SETUP
        .replace(
            "{ caution \"Preload first.\" }",
            "{ applied (in-lb)44 read=\"2026-05-09\"; caution \"Preload first.\" }",
        )
        .replace(
            "{ ceiling \"bar\" 5; caution",
            "{ ceiling \"bar\" 5; applied 4.2 read=\"2026-05-09\"; caution",
        )
        .replace("slips-in-a-crash; caution", "slips-in-a-crash; applied 4.6 read=\"2026-05-08\"; caution");
    assert_eq!(setup_text(folder.path()), expected);
}

#[test]
fn a_joint_that_was_opened_has_an_unknown_torque() {
    let folder = ledger(&[
        ("loan", "bar { roll 3 with=angle-gauge }\n    mark \"L1\" broken\n    mark \"R1\" aligned"),
        ("tight", "bar { roll 3 with=angle-gauge }\n    torque \"stem-face\" { applied 4.5 }"),
        ("still", "bar { roll -1.4 with=angle-gauge }\n    mark \"L1\" off=0.2"),
        ("empty", "torque \"stem-face\""),
    ]);
    let told = |sheet: &str| {
        let found = json(folder.path(), &["diff", "rowan/race", "--found", sheet]);
        let words = |one: &serde_json::Value| format!("{} {}", one["joint"], one["words"]).replace('"', "");
        found["tightened"].as_array().expect("torques").iter().map(words).collect::<Vec<_>>()
    };
    // No torque is known as applied: what was never known is unknown since no day.
    assert_eq!(
        told("rowan/loan"),
        ["stem-face opened, torque unknown; tighten to 4–5 N·m", "left.brake-lever opened, torque unknown"]
    );
    assert_eq!(told("rowan/tight"), ["stem-face tightened to 4.5 N·m, within the 4–5 N·m allowed"]);
    // 0.2 mm on a line of 0.5 mm is within the line.
    assert_eq!(told("rowan/still"), [""; 0]);
    assert!(run(folder.path(), &["check", "rowan/empty"]).text.contains("no-value"));
    let screen = run(folder.path(), &RECORD);
    assert!(screen.text.contains("bar in stem: opened, torque unknown"), "{}", screen.text);
}

/// The ledger under git, by the library alone; who commits is told by the repository.
fn recorded(sheets: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = ledger(sheets);
    let files = vec![("setups/rowan/race.kdl".to_owned(), Some(SETUP.as_bytes().to_vec()))];
    let date = chrono::DateTime::parse_from_rfc3339("2031-05-01T08:30:00+02:00").expect("a date");
    let commit = clampmark::ledger::demo::DemoCommit { files, subject: "Measure", date, tag: None };
    clampmark::ledger::demo::build(folder.path(), &[commit]).expect("a repository");
    let configuration = folder.path().join(".git/config");
    let text = fs::read_to_string(&configuration).expect("a configuration");
    let who = "[user]\n\tname = Demo Rider\n\temail = rider@example.invalid\n";
    fs::write(&configuration, text + who).expect("written");
    folder
}

fn branch(folder: &std::path::Path) -> String {
    fs::read_to_string(folder.join(".git/refs/heads/main")).expect("the branch")
}

#[test]
fn a_file_with_a_fault_is_written_and_not_committed() {
    // 9 N·m is above the 5 N·m of the bar: a fault of the setup from now on.
    let folder = recorded(&[("loan", "torque \"stem-face\" { applied 9 }"), ("fine", "tyres { front 25 }")]);
    let before = branch(folder.path());
    let asked = ["record", "rowan/race", "--found", "setups/rowan/loan.kdl", "--commit", "-m", "As found"];
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let words = flowing(&screen.text);
    assert!(words.contains("Not committed: the file is written, but a fault keeps it out"), "{words}");
    assert!(words.contains("torque-applied-above"), "{words}");
    assert!(setup_text(folder.path()).contains("applied 9 read=\"2026-05-09\""));
    assert_eq!(branch(folder.path()), before);
    // Mended in the file, the same goes in, though there is nothing left to write.
    let mended = setup_text(folder.path()).replace("torque \"stem-face\" 4 5 ", "torque \"stem-face\" 8 10 ");
    let mended = mended.replace("ceiling \"bar\" 5", "ceiling \"bar\" 10");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &mended).expect("written");
    let screen = run(folder.path(), &asked);
    assert!(
        screen.text.contains("nothing to record") && screen.text.contains("Committed as"),
        "{}",
        screen.text
    );
    assert_eq!(setup_text(folder.path()), mended);
    let before = branch(folder.path());
    let screen = run(folder.path(), &asked);
    assert!(!screen.text.contains("Committed as"), "{}", screen.text);
    assert_eq!(branch(folder.path()), before);
    // And so does another.
    fs::write(folder.path().join("setups/rowan/race.kdl"), SETUP).expect("written");
    let asked = ["record", "rowan/race", "--found", "setups/rowan/fine.kdl", "--commit", "-m", "As found"];
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(0), "{}", screen.text);
    assert_ne!(branch(folder.path()), before);
}

/// A commit that no branch holds is lost with the next checkout.
#[test]
fn nothing_is_committed_where_no_branch_would_hold_it() {
    let folder = recorded(&[("loan", "tyres { front 25 }")]);
    let asked = ["record", "rowan/race", "--found", "setups/rowan/loan.kdl", "--commit", "-m", "As found"];
    let (head, tip) = (folder.path().join(".git/HEAD"), branch(folder.path()));
    fs::write(&head, &tip).expect("written");
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    assert!(screen.text.contains("on no branch") && screen.text.contains("git switch"), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), SETUP);
    assert_eq!(fs::read_to_string(&head).expect("HEAD"), tip);
    // In the middle of a merge there is nothing to repair, but to finish.
    fs::write(&head, "ref: refs/heads/main\n").expect("written");
    fs::write(folder.path().join(".git/MERGE_HEAD"), &tip).expect("written");
    let screen = run(folder.path(), &asked);
    assert!(
        screen.text.contains("Finish it or abort it") && !screen.text.contains("fsck"),
        "{}",
        screen.text
    );
    fs::remove_file(folder.path().join(".git/MERGE_HEAD")).expect("it is there");
    let screen = run(folder.path(), &asked);
    assert!(screen.text.contains(" on main."), "{}", screen.text);
}

#[test]
fn a_locked_index_refuses_the_commit_with_nothing_changed() {
    let folder = recorded(&[("loan", "tyres { front 25 }")]);
    let before = branch(folder.path());
    let lock = folder.path().join(".git/index.lock");
    fs::write(&lock, "").expect("written");
    let asked = ["record", "rowan/race", "--found", "setups/rowan/loan.kdl", "--commit", "-m", "As found"];
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    assert!(screen.text.contains("index.lock"), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), SETUP);
    assert_eq!(branch(folder.path()), before);
    let ledger = clampmark::ledger::Ledger::open(folder.path()).expect("a ledger");
    let setup = ledger.resolve("rowan/race", folder.path()).expect("the setup");
    // And asked straight out, the branch stays where it was, too.
    assert!(ledger.commit_file(&setup, SETUP.as_bytes(), "As found").is_err());
    assert_eq!(branch(folder.path()), before);
    fs::remove_file(&lock).expect("it is there");
    assert_eq!(run(folder.path(), &asked).status, Some(0));
    assert!(!lock.exists());
}

#[test]
fn one_mark_and_several_are_told_as_such() {
    let moved = "floor 0 with=angle-gauge; left { brake-lever { angle 20 with=angle-gauge } }";
    let folder = ledger(&[
        ("one", moved),
        ("two", &format!("{moved}; right {{ brake-lever {{ angle 20 with=angle-gauge }} }}")),
    ]);
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/one"]);
    assert!(screen.text.contains("No longer evidence: mark L1. Draw it again"), "{}", screen.text);
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/two"]);
    assert!(screen.text.contains("No longer evidence: marks L1, R1. Draw them again"), "{}", screen.text);
}

/// A figure for a joint of which the setup has no torque has no place in it: that is said, not dropped.
#[test]
fn a_torque_without_a_place_in_the_file_is_told() {
    let folder = ledger(&[("loan", "torque \"left.brake-lever\" { applied 3 }")]);
    let result = json(folder.path(), &RECORD);
    let told = &result["tightened"][0];
    assert_eq!((&told["state"], &told["in-file"]), (&"no-range".into(), &false.into()));
    let screen = run(folder.path(), &RECORD);
    let words = flowing(&screen.text);
    assert!(words.contains("The file has no torque of this joint, so it is not written down."), "{words}");
    assert_eq!(setup_text(folder.path()), SETUP);
}

#[test]
fn the_suggested_message_says_what_was_written() {
    let folder = recorded(&[
        ("tight", "torque \"stem-face\" { applied 4.5 }"),
        ("told", "note \"Ridden in the wet\""),
        ("lost", "mark \"L1\" broken"),
    ]);
    for (sheet, subject) in [
        ("tight", "torques as applied"),
        ("told", "notes from the sheet"),
        ("lost", "left brake lever left open; broken marks struck out"),
    ] {
        let sheet = format!("setups/rowan/{sheet}.kdl");
        let screen = run(folder.path(), &["record", "rowan/race", "--found", &sheet]);
        let expected = format!("git commit -m 'rowan/race: {subject}'");
        assert!(screen.text.contains(&expected), "{}", screen.text);
    }
}

/// Written, and then git cannot store it: the store's folders are taken by files, which stops an administrator, too.
#[test]
fn a_commit_that_fails_leaves_the_file_written_and_says_so() {
    let folder = recorded(&[("loan", "tyres { front 25 }")]);
    let before = branch(folder.path());
    let taken: Vec<_> = (0..256)
        .map(|number| folder.path().join(format!(".git/objects/{number:02x}")))
        .filter(|place| !place.exists())
        .collect();
    for place in &taken {
        fs::write(place, "").expect("written");
    }
    let asked = ["record", "rowan/race", "--found", "setups/rowan/loan.kdl", "--commit", "-m", "As found"];
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    let words = flowing(&screen.text);
    assert!(words.contains("rowan/race is changed already, but it was not committed."), "{words}");
    let expected = SETUP.replace("front 23;", "front 25 read=\"2026-05-09\";");
    assert_eq!(setup_text(folder.path()), expected);
    assert_eq!(branch(folder.path()), before);
    assert!(!folder.path().join(".git/index.lock").exists());
    // With the store mended, the same command commits what is written already.
    for place in &taken {
        fs::remove_file(place).expect("it is there");
    }
    let screen = run(folder.path(), &asked);
    assert_eq!(screen.status, Some(0), "{}", screen.text);
    assert!(screen.text.contains("Committed as"), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), expected);
    assert_ne!(branch(folder.path()), before);
}

/// Where the front wheel stands 5° lower, every tip reads 5° further down than on level ground: read −28° there, the
/// lever stands at −33°, and −30° is the least that a lever may have in the file.
#[test]
fn a_sound_file_is_not_sent_to_be_mended() {
    let inside = "floor -5 with=angle-gauge; left { brake-lever { angle -28 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside)]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    let words = flowing(&screen.text);
    assert!(words.contains("rowan/race was not changed."), "{words}");
    assert!(words.contains("The file is sound: look at what the sheet says there"), "{words}");
    assert!(!words.contains("mend the file first"), "{words}");
    assert_eq!(setup_text(folder.path()), SETUP);
}

#[test]
fn a_file_with_a_fault_of_its_own_is_sent_to_be_mended() {
    let folder = ledger(&[("loan", "tyres { front 25 }")]);
    let faulty = SETUP.replace("width 780", "width wide");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &faulty).expect("written");
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(2), "{}", screen.text);
    assert!(screen.text.contains("clampmark check rowan/race"), "{}", screen.text);
    assert_eq!(setup_text(folder.path()), faulty);
}

/// On the lever's clamp a shifter has no place of its own along the bar: the old one would be a fault.
#[test]
fn a_control_that_went_onto_a_shared_clamp_leaves_its_place_behind() {
    let folder = ledger(&[("loan", "right { shifter { mount shared slot=inner } }")]);
    let own = SETUP.replace(
        "shifter { mount shared slot=inner; angle 41 }",
        "shifter { mount own; from-tip 193; angle 41 }",
    );
    assert_ne!(own, SETUP);
    fs::write(folder.path().join("setups/rowan/race.kdl"), own).expect("written");
    run(folder.path(), &RECORD);
    let text = setup_text(folder.path());
    assert!(text.contains("shifter { mount shared read=\"2026-05-09\" slot=inner; angle 41 }"), "{text}");
    assert!(!run(folder.path(), &["check", "rowan/race"]).text.contains("Fault"));
}
