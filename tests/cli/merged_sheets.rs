//! Two versions of an as-found sheet made one: what tells of danger goes only with a word.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";

/// The demo's setup with a mark on the rear brake lever's clamp and one on the stem's.
fn setup() -> String {
    let marks = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    \
                 mark \"S1\" on=\"stem-steerer\" { drawn twist=0 }\n    fork {";
    changed(RACE, &[("    fork {", marks)])
}

fn sheet(lines: &str) -> String {
    format!(
        "found \"rowan/race\" format=1 {{\n    measured \"2031-05-20\" by=\"rider\"\n    floor 0{lines}\n}}\n"
    )
}

/// The three sheets merged beside their setup, and what ours then holds.
fn merged(base: &str, ours: &str, theirs: &str) -> (Bench, Outcome, String) {
    let files = [(RACE_FILE, &*setup()), ("base", base), (SHEET_FILE, ours), ("theirs", theirs)];
    let bench = Bench::without_git(&files);
    let outcome = bench.run(&["merge", "base", SHEET_FILE, "theirs", "--path", SHEET_FILE]);
    let text = fs::read_to_string(bench.root().join(SHEET_FILE)).unwrap();
    (bench, outcome, text)
}

const REACH: &str = "\n    left { brake-lever { reach 62 with=caliper } }";
const NEARER: &str = "\n    left { brake-lever { reach 58 with=caliper } }";

#[test]
fn what_was_found_open_or_out_of_line_goes_only_with_a_word() {
    for (danger, milder, told) in [
        ("\n    opened \"stem-face\"", "", "`opened`: \"stem-face\" is no longer there, as"),
        (
            "\n    mark \"L1\" broken",
            "\n    mark \"L1\" aligned",
            "`mark.L1`: \"broken\" is \"aligned\" now, as",
        ),
        ("\n    mark \"L1\" missing", "", "`mark.L1`: \"missing\" is no longer there, as"),
        (
            "\n    mark \"S1\" off=0.8",
            "\n    mark \"S1\" off=-0.4",
            "`mark.S1`: \"off=0.8\" is \"off=-0.4\" now, as",
        ),
        (
            "\n    mark \"S1\" broken",
            "\n    mark \"S1\" off=0.8",
            "`mark.S1`: \"broken\" is \"off=0.8\" now, as",
        ),
    ] {
        let base = sheet(&format!("{danger}{REACH}"));
        let (ours, theirs) = (sheet(&format!("{danger}{NEARER}")), sheet(&format!("{milder}{REACH}")));
        for (one, other, who) in [(&ours, &theirs, "theirs"), (&theirs, &ours, "ours")] {
            let (_, outcome, text) = merged(&base, one, other);
            // By the letter one side alone changed it.
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert!(text.contains("reach 58") && !text.contains(danger.trim()), "{text}");
            let expected =
                format!("{told} {who} has it: make sure that it is put right before anybody rides.");
            assert!(flowing(&outcome.out).contains(&expected), "{expected}\n{}", outcome.screen());
        }
        // What gets graver needs no word.
        let (_, outcome, _) = merged(&theirs, &sheet(&format!("{milder}{NEARER}")), &base);
        assert!(!outcome.out.contains("make sure"), "{}", outcome.screen());
    }
}

#[test]
fn what_stands_in_a_conflict_is_not_called_gone() {
    let mark = |state: &str| sheet(&format!("\n    mark \"L1\" {state}{REACH}"));
    let (_, outcome, text) = merged(&mark("off=0.8"), &mark("broken"), &mark("aligned"));
    assert!(outcome.status == 1 && text.contains("conflict \"mark.L1\""), "{text}");
    assert!(!outcome.out.contains("make sure"), "{}", outcome.screen());
    // One note in two words is undecided; what is not in that conflict is gone all the same.
    let note = |words: &str| format!("\n    note \"do not ride: {words}\"");
    let damage = "\n    damage on=\"bar\" \"scored\"";
    let base = sheet(&format!("{}{damage}", note("bar scored in the left clamp")));
    let ours = sheet(&format!("{}{damage}", note("bar scored in the right clamp")));
    let theirs = sheet(&note("bar cracked in the left clamp"));
    let (_, outcome, text) = merged(&base, &ours, &theirs);
    assert!(outcome.status == 1 && text.contains("conflict \"note\""), "{text}");
    let said = flowing(&outcome.out);
    assert!(said.contains("`damage`: \"bar: scored\" is no longer there, as theirs has it"), "{said}");
    assert_eq!(said.matches("make sure").count(), 1, "{said}");
}

#[test]
fn an_opened_joint_is_answered_by_the_torque_it_was_tightened_to() {
    let base = sheet(&format!("\n    opened \"stem-face\"{REACH}"));
    let theirs = sheet(&format!("\n    torque \"stem-face\" {{ applied 4.5 }}{REACH}"));
    let (_, outcome, _) = merged(&base, &sheet(&format!("\n    opened \"stem-face\"{NEARER}")), &theirs);
    let said = flowing(&outcome.out);
    assert!(!said.contains("make sure") && said.contains("The torque of `stem-face` is new"), "{said}");
}

#[test]
fn a_note_of_a_joint_left_open_goes_only_with_a_word_unless_a_torque_answers_it() {
    let applied = "2.5 4 tool=\"T25\" {\n        applied 2.8 read=\"2031-05-12\"";
    let note = "note \"2031-05-09 joint opened, torque not read\"";
    let base = changed(RACE, &[("2.5 4 tool=\"T25\" {", &format!("2.5 4 tool=\"T25\" {{\n        {note}"))]);
    let ours = changed(&base, &[("rebound 7", "rebound 9")]);
    let merged = |theirs: &str| {
        let bench = Bench::without_git(&[("base", &base), (RACE_FILE, &ours), ("theirs", theirs)]);
        flowing(&bench.run(&["merge", "base", RACE_FILE, "theirs"]).out)
    };
    let said = merged(RACE);
    let told = "`torque.left.brake-lever.note`: \"2031-05-09 joint opened, torque not read\" is no longer there, as \
                theirs has it: make sure that it is put right before anybody rides.";
    assert!(said.contains(told), "{said}");
    let said = merged(&changed(RACE, &[("2.5 4 tool=\"T25\" {", applied)]));
    assert!(!said.contains("make sure"), "{said}");
}

#[test]
fn an_undecided_mark_or_torque_of_a_sheet_is_told_at_the_top() {
    let mark = |state: &str| sheet(&format!("\n    mark \"L1\" {state}"));
    let torque = |applied: &str| sheet(&format!("\n    torque \"stem-face\" {{ applied {applied} }}"));
    for (base, ours, theirs, told, listed) in [
        (
            mark("broken"),
            mark("missing"),
            mark("aligned"),
            "mark L1 across rear brake lever (left) not decided, ours missing, theirs aligned",
            "mark L1 across left brake lever ours missing, theirs aligned",
        ),
        (
            torque("4.5"),
            torque("4.8"),
            torque("9"),
            "torque of bar in stem not decided, ours applied 4.8, theirs applied 9",
            "torque of bar in stem ours applied 4.8, theirs applied 9",
        ),
    ] {
        let (bench, outcome, text) = merged(&base, &ours, &theirs);
        assert!(outcome.status == 1 && text.contains("conflict \""), "{text}");
        let told = format!("o not ride: {told}");
        let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
        let said = flowing(&diff.out);
        assert!(diff.status == 1 && said.contains(&told), "{}", diff.screen());
        assert!(said.contains(&format!("Not decided {listed}")), "{}", diff.screen());
        assert!(!said.contains("says nothing of the bike yet"), "{}", diff.screen());
        let json = bench.run(&["diff", "rowan/race", "--found", "rowan/back", "--json"]).json();
        assert!(listed.contains(json["not-decided"][0]["versions"].as_str().unwrap()), "{json}");
        assert!(flowing(&bench.run(&[]).out).contains(&told), "{}", bench.run(&[]).screen());
        // The way back is not planned from it.
        let restore = bench.run(&["restore", "rowan/race", "--found", "rowan/back"]);
        assert!(restore.status == 2 && restore.err.contains("Two versions of"), "{}", restore.screen());
        // Without its setup the sheet tells it all the same.
        fs::remove_file(bench.root().join(RACE_FILE)).unwrap();
        let said = flowing(&bench.run(&[]).out);
        assert!(said.contains("not decided; compared with no setup"), "{said}");
    }
}

#[test]
fn an_undecided_reading_of_a_sheet_is_not_as_the_setup_has_it() {
    let twist = |twist: &str| sheet(&format!("\n    stem {{ twist {twist} }}"));
    let (bench, _, _) = merged(&sheet(""), &twist("3"), &twist("-2"));
    let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
    let said = flowing(&diff.out);
    assert!(said.contains("o not ride: stem twist not decided, ours 3, theirs -2"), "{}", diff.screen());
    assert!(said.contains("Not decided stem twist ours 3, theirs -2 recorded 0°"), "{}", diff.screen());
    // Nothing is worked out from the twist that the setup has.
    let json = bench.run(&["diff", "rowan/race", "--found", "rowan/back", "--json"]).json();
    let derived = json["derived"].as_array().unwrap();
    let reach = derived.iter().find(|one| one["name"] == "grip.left.x").expect("grip.left.x");
    assert!(reach["now"].is_null() && reach["was"].is_number(), "{reach}");
    assert!(!json["not-looked-at"].to_string().contains("stem.twist"), "{json}");
    let overview = flowing(&bench.run(&[]).out);
    assert!(overview.contains("stem twist not decided, ours 3, theirs -2"), "{overview}");
}

/// The setup's 32° were read on level ground. On ground that falls 4° to the front they are 36° or 28° to the level: either
/// way 4° from where the lever was.
#[test]
fn what_either_version_of_a_sheet_forbids_is_forbidden_though_it_hangs_on_another_conflict() {
    let on = |floor: &str, angle: &str| {
        sheet(&format!("\n    left {{ brake-lever {{ angle {angle} tol=0.5 }} }}")).replace("floor 0", floor)
    };
    for (ours, theirs, whose) in [
        (on("floor 0 tol=0.1", "32"), on("floor -4", "32"), "theirs"),
        (on("floor -4", "32"), on("floor 0 tol=0.1", "32"), "ours"),
    ] {
        let (bench, outcome, text) = merged(&on("floor 0", "32"), &ours, &theirs);
        assert!(outcome.status == 1 && text.contains("conflict \"floor\""), "{text}");
        // It is in the file as either has it: nothing went.
        assert!(!outcome.out.contains("nobody rides"), "{}", outcome.screen());
        for asked in [&[][..], &["diff", "rowan/race", "--found", "rowan/back"]] {
            let outcome = bench.run(asked);
            let said = flowing(&outcome.out);
            let told = said.split("o not ride: rear brake lever angle (left) moved 4.0°").nth(1);
            let whose = format!(", as {whose} has it");
            assert!(
                outcome.status == 1 && told.is_some_and(|rest| rest.contains(&whose)),
                "{}",
                outcome.screen()
            );
        }
    }
    // An angle that is itself in conflict is told once, as not decided.
    let (bench, _, _) = merged(&on("floor 0", "32"), &on("floor 0", "40"), &on("floor 0", "44"));
    let said = flowing(&bench.run(&[]).out);
    assert!(said.contains("not decided, ours 40, theirs 44") && !said.contains("has it"), "{said}");
}

#[test]
fn an_undecided_floor_of_a_sheet_leaves_no_angle_on_it_known() {
    let on = |floor: &str| sheet("\n    left { brake-lever { angle 32 tol=0.2 } }").replace("floor 0", floor);
    let (bench, outcome, text) = merged(&on("floor 0"), &on("floor 2"), &on("floor -2"));
    assert!(outcome.status == 1 && text.contains("conflict \"floor\""), "{text}");
    let diff = bench.run(&["diff", "rowan/race", "--found", "rowan/back"]);
    let said = flowing(&diff.out);
    assert!(said.contains("Slope of the floor: was 0.0°, now not decided. Until it is, no angle"), "{said}");
    // By ours the lever is at 34° to the level, by theirs at 30°, and was at 32°: that is told of them, and of no other.
    let of_both = "moved 2.0° tip down, as ours has it; rear brake lever angle (left) moved 2.0° tip up, as theirs has it";
    assert!(said.contains(of_both) && !said.contains("taken for level"), "{said}");
    assert_eq!(said.matches("° tip").count(), 2, "{said}");
}

/// The bar is found rolled forward by 7.3° (6 less the mean of -1.5, -1.0 and -1.5) on one side, and on the other the lever
/// that is clamped on it at the angle to the ground that it had: together the lever was turned on the bar.
#[test]
fn what_both_sides_of_a_sheet_say_only_together_is_told() {
    let rolled = sheet("\n    bar { roll 6 with=angle-gauge }");
    let lever = sheet("\n    left { brake-lever { angle 32 with=angle-gauge } }");
    for (ours, theirs) in [(&rolled, &lever), (&lever, &rolled)] {
        let (_, outcome, text) = merged(&sheet(""), ours, theirs);
        assert!(outcome.status == 0 && text.contains("roll 6") && text.contains("angle 32"), "{text}");
        let said = flowing(&outcome.out);
        let told = "Do not ride before it is looked at: what both sides saw says together that";
        assert!(said.contains(told), "{}", outcome.screen());
    }
    // What one of them says by itself is told by it.
    let moved = sheet("\n    left { brake-lever { angle 28 with=angle-gauge } }");
    let (_, outcome, _) = merged(&sheet(""), &moved, &sheet(REACH));
    assert!(!outcome.out.contains("together"), "{}", outcome.screen());
}

/// One sheet, recorded as found in one clone and with `--put-back` in the other.
#[test]
fn a_sheet_put_back_on_one_side_and_kept_on_the_other_is_told() {
    let found = sheet(
        "\n    left { brake-lever { angle 28 with=angle-gauge } }\n    torque \"left.brake-lever\" { applied 3 }",
    );
    let recorded = |more: &[&str]| {
        let bench = Bench::without_git(&[(RACE_FILE, RACE), (SHEET_FILE, &found)]);
        let outcome = bench.run(&[&["record", "rowan/race", "--found", "rowan/back"], more].concat());
        let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
        assert!(text.contains("applied 3 read=\"2031-05-20\""), "{}\n{text}", outcome.screen());
        text
    };
    let (kept, back) = (recorded(&[]), recorded(&["--put-back"]));
    assert!(kept.contains("angle 28") && back.contains("angle 32"), "{kept}\n{back}");
    for (ours, theirs, whose, other) in [(&kept, &back, "ours", "theirs"), (&back, &kept, "theirs", "ours")] {
        let bench = Bench::without_git(&[("base", RACE), (RACE_FILE, ours), ("theirs", theirs)]);
        let outcome = bench.run(&["merge", "base", RACE_FILE, "theirs"]);
        let said = flowing(&outcome.out);
        for told in [
            format!("read 2031-05-20, as {whose} has it; {other} has `angle 32"),
            "and tightened the left brake lever on 2031-05-20, as after putting it back: look again"
                .to_owned(),
        ] {
            assert!(said.contains(&told), "{told}: {}", outcome.screen());
        }
    }
    // Neither has anything to say of it where the lever was let be.
    let bench = Bench::without_git(&[("base", RACE), (RACE_FILE, &back), ("theirs", RACE)]);
    let outcome = bench.run(&["merge", "base", RACE_FILE, "theirs"]);
    assert!(!outcome.out.contains("putting it back"), "{}", outcome.screen());
}
