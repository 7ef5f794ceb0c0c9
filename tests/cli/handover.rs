//! What a tired person is told at the handover: nothing weaker than what the sheet says, and no all-clear on half a sheet.

use std::fs;
use std::path::Path;

use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{SETUP, Screen, json, ledger, run, setup_text};

const SHEET: &str = "rowan/back";

/// The ledger with one sheet, the setup changed by these words for others.
fn with(inside: &str, changes: &[(&str, &str)]) -> TempDir {
    let folder = ledger(&[("back", inside)]);
    let mut text = SETUP.to_owned();
    for (words, others) in changes {
        assert!(text.contains(words), "{words}");
        text = text.replacen(words, others, 1);
    }
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("a setup can be written");
    folder
}

fn on_sheet(folder: &Path, command: &str) -> Screen {
    let mut screen = run(folder, &[command, "rowan/race", "--found", SHEET]);
    // Words are looked for across the lines that a screen breaks them into.
    screen.text = flowing(&screen.text);
    screen
}

fn diff(inside: &str, changes: &[(&str, &str)]) -> Screen {
    on_sheet(with(inside, changes).path(), "diff")
}

const BELOW_THE_RANGE: (&str, &str) = ("ceiling \"bar\" 3.5", "ceiling \"bar\" 2");
const SEAT_CLAMP: (&str, &str) = (
    "    tyres",
    "    saddle { height 700 }\n    torque \"seat-clamp\" 5 6 { caution \"Paste.\" }\n    tyres",
);

#[test]
fn limits_that_contradict_one_another_excuse_nothing() {
    // The range is 2.5–4, the bar allows 2: 9 is above everything, 1.5 is above nothing, and no torque is right.
    let screen = diff("torque \"right.brake-lever\" { applied 9 }", &[BELOW_THE_RANGE]);
    assert!(
        screen.text.contains("Do not ride: front brake lever (right) tightened to 9 N·m"),
        "{}",
        screen.text
    );
    assert!(screen.text.contains("above the 2 N·m that the bar allows"), "{}", screen.text);
    let screen = diff("torque \"right.brake-lever\" { applied 1.5 }", &[BELOW_THE_RANGE]);
    assert!(screen.text.contains("its limits contradict one another"), "{}", screen.text);
    assert_eq!(screen.status, Some(1));
}

#[test]
fn a_slack_seat_clamp_is_no_reason_not_to_ride_and_an_over_tightened_one_is() {
    let screen = diff("torque \"seat-clamp\" { applied 1 }", &[SEAT_CLAMP]);
    assert!(screen.text.contains("tightened to 1 N·m"), "{}", screen.text);
    assert!(!screen.text.contains("Do not ride"), "{}", screen.text);
    let screen = diff("torque \"seat-clamp\" { applied 9 }", &[SEAT_CLAMP]);
    let said = "Do not ride: seat clamp tightened to 9 N·m, above the 5–6 N·m allowed (look its parts over for damage)";
    assert!(screen.text.contains(said), "{}", screen.text);
}

const NOTED: (&str, &str) = ("material carbon", "material carbon; note \"2026-05-09 Damage: scored.\"");

#[test]
fn damage_is_said_whatever_is_accepted_and_what_is_accepted_is_counted() {
    let accept = ("    tyres", "    accept damage-noted \"Seen\"\n    tyres");
    let folder = with("", &[NOTED, accept]);
    let checked = run(folder.path(), &["check", "rowan/race"]).text;
    assert!(checked.contains("A note tells of damage: bar: scored. (damage-noted)"), "{checked}");
    assert!(checked.contains("(accept-fault)"), "{checked}");
    let unmeasured =
        ("    tyres", "    saddle { height unmeasured }\n    accept unmeasured \"Later\"\n    tyres");
    let folder = with("", &[unmeasured]);
    assert_eq!(json(folder.path(), &["check", "rowan/race"])["counts"]["accepted"], 1);
    let checked = run(folder.path(), &["check", "rowan/race"]).text;
    assert!(checked.trim_end().ends_with("1 accepted."), "{checked}");
    let overview = run(folder.path(), &[]).text;
    assert!(overview.contains("1 accepted"), "{overview}");
}

#[test]
fn the_overview_begins_with_what_forbids_riding() {
    let folder = with("mark \"R1\" broken", &[NOTED]);
    let overview = run(folder.path(), &[]).text;
    assert!(overview.contains("rowan/race: do not ride: bar: scored"), "{overview}");
    assert!(
        overview.contains("rowan/back: do not ride: mark R1 on the front brake lever (right)"),
        "{overview}"
    );
}

#[test]
fn a_mark_that_lines_up_against_a_reading_is_said_and_nothing_is_lined_up() {
    // 168 - 155 = 13 mm nearer to the tip; the line is half a millimetre wide.
    let folder = with("left { brake-lever { from-tip 155 } }; mark \"L1\" aligned", &[]);
    let said = "ark L1 lines up, yet left brake lever place reads 13.0 mm outboard: unless the bar was cut, one of the two is false";
    for command in ["diff", "restore", "record"] {
        let screen = on_sheet(folder.path(), command);
        assert!(screen.text.contains(said), "{command}: {}", screen.text);
        assert_eq!(screen.status, Some(1), "{command}");
        assert!(!screen.text.contains("Line up mark L1"), "{}", screen.text);
    }
    // 0.3 mm along the bar is less than the line is wide: nothing to say.
    let screen = diff("left { brake-lever { from-tip 168.3 } }; mark \"L1\" aligned", &[]);
    assert!(!screen.text.contains("false"), "{}", screen.text);
    // An angle may have gone with the bar, which nobody looked at; where the bar and the ground were, it may not.
    let angle = "left { brake-lever { angle 50 with=angle-gauge } }; mark \"L1\" aligned";
    assert!(diff(angle, &[]).text.contains("unless the bar rolled, one of the two is false"));
    let looked = format!("floor 0; bar {{ roll -1.5 }}; {angle}");
    assert!(diff(&looked, &[]).text.contains("tip down: one of the two is false"));
}

#[test]
fn the_way_back_begins_with_everything_that_forbids_riding() {
    let folder = with(
        "damage on=\"bar\" \"scored\"; damage on=\"stem\" \"cracked\"; right { brake-lever { from-tip 155 } }",
        &[],
    );
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", SHEET]);
    let headline = plan["headline"].as_str().expect("a headline");
    for said in ["bar: scored", "stem: cracked", "front brake lever place (right) moved"] {
        assert!(headline.contains(said), "{headline}");
    }
    // The lever's clamp sits on the scored bar: no torque is given for it.
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("its step");
    assert_eq!((&lever["blocked"], &lever["torque"]), (&serde_json::json!(true), &serde_json::Value::Null));
    let screen = on_sheet(folder.path(), "restore").text;
    assert!(screen.contains("Blocked: bar: scored."), "{screen}");
    assert!(!screen.contains("Tighten to"), "{screen}");
}

#[test]
fn a_lever_that_went_with_the_bar_has_both_its_figures_said() {
    // Rolled from -1.5° to 1.1°: 2.6°. The lever from 32° to 38.5°: 6.5°, of which 6.5 - 2.6 = 3.9° on the bar.
    let sheet = "floor 0 with=angle-gauge; bar { roll 1.1 with=angle-gauge }
        left { brake-lever { angle 38.5 with=angle-gauge } }";
    let screen = on_sheet(with(sheet, &[]).path(), "restore").text;
    let moved = "moved 6.5° tip down: 3.9° tip down on the bar, 2.6° tip down with the bar's roll";
    assert!(screen.contains(moved), "{screen}");
    assert!(screen.contains("turn it 3.9° tip up on the bar (its roll back brings 2.6° tip up)"), "{screen}");
}

#[test]
fn spacers_come_off_with_the_fork_held_and_carbon_is_minded() {
    let sheet = "steerer { spacers-below 5 with=caliper; spacers-above 15 with=caliper }";
    let screen = on_sheet(with(sheet, &[]).path(), "restore").text;
    let (held, preload) =
        (screen.find("fork held").expect("said"), screen.find("bearing preload").expect("said"));
    assert!(held < preload, "{screen}");
    let carbon = carbon();
    assert!(!diff(sheet, &[]).text.contains(&carbon));
    assert!(diff("bar { roll 1.5 }", &[]).text.contains(&carbon));
}

/// The standing caution, its spaces as `diff` here has them.
fn carbon() -> String {
    flowing(clampmark::catalogue::caution::CARBON)
}

#[test]
fn an_empty_sheet_is_no_all_clear() {
    for inside in ["", "floor 1.0"] {
        let folder = with(inside, &[]);
        let before = setup_text(folder.path());
        for command in ["diff", "restore", "record"] {
            let screen = on_sheet(folder.path(), command);
            assert_eq!(screen.status, Some(1), "{command}: {}", screen.text);
            assert!(
                screen.text.contains("Nothing was") || screen.text.contains("nothing was"),
                "{}",
                screen.text
            );
            assert!(!screen.text.contains("moved."), "{}", screen.text);
            assert!(!screen.text.contains(" others "), "{command}: {}", screen.text);
        }
        assert_eq!(setup_text(folder.path()), before);
    }
}

#[test]
fn a_faulty_sheet_is_no_all_clear() {
    for inside in [
        "damage \"bar\" \"scored\"",
        "left { brake-lever { angel 32 } }",
        "mark \"S1\" aligned off=1",
        "left { brake-lever { angle ? } }",
        "torque \"stem-face\" { applied 4.5 }; torque \"stem-face\" { applied 9 }",
    ] {
        let screen = diff(inside, &[]);
        assert_eq!(screen.status, Some(1), "{}", screen.text);
        assert!(screen.text.contains("may hide a difference:"), "{}", screen.text);
        for clear in ["Nothing moved", "did not move", "lines up", "within"] {
            assert!(!screen.text.contains(clear), "{inside}: {}", screen.text);
        }
    }
    let screen = diff("} } }\n bar { roll ? ; rol 1; width ?; offset ? }", &[]);
    assert_eq!(screen.text.matches("may hide a difference").count(), 1, "{}", screen.text);
}

#[test]
fn one_mistake_on_a_known_mark_is_one_fault() {
    for inside in ["mark \"L1\" lost", "mark \"L1\" ?"] {
        let checked = json(with(inside, &[]).path(), &["check", "rowan/back"]);
        assert_eq!(checked["counts"]["fault"], 1, "{inside}: {checked:#}");
    }
}

#[test]
fn an_empty_file_is_called_empty_and_blocks_no_sheet() {
    let folder = ledger(&[]);
    let sheet = folder.path().join("setups/rowan/race-found-2026-05-10.kdl");
    fs::write(&sheet, "").expect("an empty file");
    let overview = run(folder.path(), &[]).text;
    assert!(overview.contains("rowan/race-found-2026-05-10  empty file"), "{overview}");
    let screen = run(folder.path(), &["found", "rowan/race", "--after", "flight", "--date", "2026-05-10"]);
    assert_eq!(screen.status, Some(0), "{}", screen.text);
    let text = fs::read_to_string(&sheet).expect("a sheet");
    assert!(text.contains("    // damage on=\"front-rotor\" \"…\"\n"), "{text}");
}

#[test]
fn the_sheet_is_named_so_that_the_command_can_be_typed() {
    let folder = ledger(&[]);
    let screen = run(folder.path(), &["found", "rowan/race", "--date", "2026-05-10"]).text;
    let command = "  clampmark restore rowan/race --found rowan/race-found-2026-05-10";
    assert!(screen.lines().any(|line| line == command), "{screen}");
    let screen =
        run(folder.path(), &["found", "rowan/race", "--date", "2026-05-11", "--to", "my sheet.kdl"]).text;
    assert!(screen.contains("--found 'my sheet.kdl'"), "{screen}");
    let screen = run(folder.path(), &["found", "rowan/race", "--date", "9.5.2026"]);
    assert_eq!(screen.status, Some(2));
    assert!(screen.text.contains("2026-05-09"), "{}", screen.text);
    let bare = "setup \"rowan/bare\" format=1 {\n    measured \"2026-05-02\"\n}\n";
    fs::write(folder.path().join("setups/rowan/bare.kdl"), bare).expect("a setup can be written");
    for asked in [&[][..], &["--ask"], &["--to", "-"], &["--json"]] {
        let screen = run(folder.path(), &[&["found", "rowan/bare", "--date", "2026-05-10"], asked].concat());
        assert_eq!(screen.status, Some(1), "{}", screen.text);
        let says = if asked == ["--json"] { "\"sheet\": null" } else { "so no sheet was written" };
        let words = flowing(&screen.text);
        assert!(words.contains(says), "{}", screen.text);
        assert!(!folder.path().join("setups/rowan/bare-found-2026-05-10.kdl").exists());
    }
}
