//! Recording what witness marks, torques and notes tell: once, from where it was measured, and nothing that was not.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const MARK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];
const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];

/// The setup with one of its lines written otherwise.
fn with(folder: &Path, from: &str, to: &str) -> String {
    let text = SETUP.replace(from, to);
    assert_ne!(text, SETUP, "{from}");
    fs::write(folder.join("setups/rowan/race.kdl"), &text).expect("written");
    text
}

fn moved(folder: &Path, sheet: &str) -> Vec<String> {
    let found = json(folder, &["diff", "rowan/race", "--found", sheet]);
    let changes = found["changes"].as_array().expect("changes");
    let moved = changes.iter().filter(|change| change["verdict"] == "moved");
    moved.map(|change| change["measure"].as_str().expect("a measure").to_owned()).collect()
}

/// Drawn at 160 and recorded at 168, the mark is stale; found broken, nobody knows where the lever stands.
#[test]
fn a_stale_mark_found_broken_is_not_drawn_where_nobody_measured() {
    let folder = ledger(&[("loan", "mark \"L1\" broken")]);
    with(folder.path(), "drawn from-tip=168 angle=32; reads", "drawn from-tip=160 angle=32; reads");
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected = "does not say where the joint stands. Measure it, too: left brake lever place, left brake lever angle.";
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
    let text = setup_text(folder.path());
    let note =
        "note \"2026-05-09 found broken (was drawn from-tip=160 angle=32): no evidence until drawn again\"";
    assert!(text.contains(note) && !text.contains("drawn from-tip=168 angle=32 read"), "{text}");
    // The angle alone does not say where along the bar it stands.
    let folder =
        ledger(&[("loan", "left { brake-lever { angle 28 with=angle-gauge } }\n    mark \"L1\" broken")]);
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    assert!(!setup_text(folder.path()).contains("drawn from-tip=168 angle=28"), "{}", screen.text);
}

/// Drawn in the morning, broken the same day: that is not the sheet recorded twice.
#[test]
fn a_mark_drawn_and_broken_on_one_day_is_struck_out() {
    let folder = ledger(&[("loan", "mark \"L1\" broken")]);
    with(
        folder.path(),
        "drawn from-tip=168 angle=32; reads",
        "drawn from-tip=168 angle=32 read=\"2026-05-09\"; reads",
    );
    assert_eq!(run(folder.path(), &RECORD).status, Some(1));
    assert!(
        setup_text(folder.path()).contains("found broken (was drawn from-tip=168 angle=32 read=2026-05-09)")
    );
}

/// 0.8 mm on 28.6 mm is 0.8·360/(π·28.6) = 3.2°, by hand.
#[test]
fn a_turn_is_told_once() {
    let folder = ledger(&[("loan", "mark \"S1\" off=0.8"), ("week", "mark \"S1\" off=0.8")]);
    let sheet = folder.path().join("setups/rowan/week.kdl");
    let later = fs::read_to_string(&sheet).expect("the sheet").replace("2026-05-09", "2026-05-16");
    fs::write(&sheet, later).expect("written");
    assert_eq!(moved(folder.path(), "rowan/loan"), ["stem.twist"]);
    let screen = run(folder.path(), &RECORD);
    assert!(setup_text(folder.path()).contains("twist 3.2 "), "{}", screen.text);
    let once = setup_text(folder.path());
    for sheet in ["rowan/loan", "rowan/week"] {
        assert_eq!(moved(folder.path(), sheet), [""; 0], "{sheet}");
        let again = run(folder.path(), &["record", "rowan/race", "--found", sheet]);
        assert!(again.text.contains("nothing to record"), "{}", again.text);
        assert_eq!(setup_text(folder.path()), once);
    }
    // Drawn again on the bike after it was recorded, from the same sheet.
    let screen = run(folder.path(), &MARK);
    assert!(screen.text.contains("Drawn anew in the file: mark S1"), "{}", screen.text);
    let text = setup_text(folder.path());
    let drawn = "drawn twist=3.2 read=\"2026-05-09\"; note \"2026-05-09 found off=0.8, drawn anew\"";
    assert!(text.contains(drawn), "{text}");
}

#[test]
fn a_sheet_recorded_with_its_marks_tells_nothing_any_more() {
    let folder = ledger(&[("loan", "mark \"S1\" off=0.8")]);
    run(folder.path(), &MARK);
    let once = setup_text(folder.path());
    assert!(
        once.contains("drawn twist=3.2 read=\"2026-05-09\"; note \"2026-05-09 found off=0.8, drawn anew\"")
    );
    assert_eq!(moved(folder.path(), "rowan/loan"), [""; 0]);
    let plan = json(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    // Nothing is left to turn back; the torque that the file does not know is.
    let joints: Vec<&str> =
        plan["steps"].as_array().expect("steps").iter().filter_map(|step| step["joint"].as_str()).collect();
    assert_eq!(joints, ["stem-steerer"], "{plan}");
    assert_eq!(plan["steps"][1]["why"], "opened on 2026-05-09, torque not read since");
    let again = run(folder.path(), &MARK);
    assert!(again.text.contains("nothing to record"), "{}", again.text);
    assert!(!again.text.contains("Drawn anew in the file"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), once);
}

/// A twist of 0 was recorded on the sheet's own day; the mark tells 3.2° all the same.
#[test]
fn a_turn_is_told_although_the_measure_was_read_that_day() {
    let folder = ledger(&[("loan", "mark \"S1\" off=0.8")]);
    with(folder.path(), "twist 0 }", "twist 0 read=\"2026-05-09\" }");
    let screen = run(folder.path(), &RECORD);
    assert!(setup_text(folder.path()).contains("twist 3.2 "), "{}", screen.text);
}

/// A grip's line shows no turn, and 3 mm apart do not say where the grip stands.
#[test]
fn a_mark_that_stands_apart_is_not_drawn_where_nobody_measured() {
    let folder = ledger(&[("loan", "mark \"G1\" off=3")]);
    let from = "    mark \"S1\"";
    let to = "    mark \"G1\" on=\"left.grip\" { drawn hand=62 }\n    mark \"S1\"";
    let text =
        with(folder.path(), from, to).replace("left { brake-lever", "left { grip { hand 62 }; brake-lever");
    fs::write(folder.path().join("setups/rowan/race.kdl"), &text).expect("written");
    let screen = run(folder.path(), &MARK);
    let opened = "hand 62; note \"2026-05-09 joint opened, torque not read\" }";
    assert_eq!(setup_text(folder.path()), text.replace("hand 62 }", opened), "{}", screen.text);
}

#[test]
fn a_struck_mark_is_drawn_at_what_was_read_and_tells_no_turn() {
    let struck = "note \"2026-05-08 found broken: no evidence until drawn again\"; reads";
    let folder = ledger(&[
        (
            "loan",
            "floor 0 with=angle-gauge; left { brake-lever { angle 30 with=angle-gauge } }\n    mark \"L1\" aligned",
        ),
        ("off", "mark \"L1\" off=2"),
    ]);
    let text = with(folder.path(), "drawn from-tip=168 angle=32; reads", struck);
    // 2 mm on 22.2 mm would be 10.3°.
    assert_eq!(moved(folder.path(), "rowan/off"), [""; 0]);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/off", "--mark"]);
    // How far nobody knows: the angle from before it turned is none of today.
    let unknown = "angle unmeasured; reach 62 with=caliper; note \"2026-05-09 angle no longer known: mark L1 was found apart; it \
                   read 32° at a roll of -1.5° before\"; note \"2026-05-09 joint opened, torque not read\" }";
    assert_eq!(
        setup_text(folder.path()),
        text.replace("angle 32 with=angle-gauge; reach 62 with=caliper }", unknown)
    );
    run(folder.path(), &MARK);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn angle=30 roll=-1.5 read=\"2026-05-09\""), "{text}");
    assert!(!text.contains("drawn from-tip=168 angle=30"), "{text}");
}

#[test]
fn notes_on_the_sheet_stay() {
    let folder = ledger(&[(
        "loan",
        "note \"Ridden in the wet\"
    bar { roll -1.5 with=angle-gauge; note \"Creaks\" }
    left { shifter { note \"Borrowed\" } }
    mark \"L1\" aligned { note \"Line is faint\" }",
    )]);
    let result = json(folder.path(), &RECORD);
    let kept: Vec<(&str, &str)> = result["notes"]
        .as_array()
        .expect("notes")
        .iter()
        .map(|note| (note["noted-at"].as_str().expect("a place"), note["text"].as_str().expect("a text")))
        .collect();
    let expected = [
        ("", "2026-05-09 Ridden in the wet"),
        ("bar", "2026-05-09 Creaks"),
        ("", "2026-05-09 on left.shifter: Borrowed"),
        ("mark.L1", "2026-05-09 Line is faint"),
    ];
    assert_eq!(kept, expected);
    let expected = SETUP
        .replace(
            "    measured \"2026-05-02\"\n",
            "    measured \"2026-05-02\"\n    note \"2026-05-09 Ridden in the wet\"\n    \
             note \"2026-05-09 on left.shifter: Borrowed\"\n",
        )
        .replace("        material carbon\n", "        material carbon\n        note \"2026-05-09 Creaks\"\n")
        .replace(
            "reads \"Line meets the split\" }",
            "reads \"Line meets the split\"; note \"2026-05-09 Line is faint\" }",
        );
    assert_eq!(setup_text(folder.path()), expected);
    let again = run(folder.path(), &RECORD);
    assert!(again.text.contains("nothing to record") && again.text.contains("Creaks"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), expected);
}

#[test]
fn a_torque_from_before_the_joint_was_opened_holds_no_more() {
    let folder = ledger(&[
        ("loan", "bar { roll 3 with=angle-gauge }"),
        ("tight", "bar { roll -1.5 with=angle-gauge }\n    torque \"stem-face\" { applied 4.5 }"),
    ]);
    with(
        folder.path(),
        "{ ceiling \"bar\" 5; caution",
        "{ ceiling \"bar\" 5; applied 4.2 read=\"2026-05-02\"; caution",
    );
    let screen = run(folder.path(), &RECORD);
    assert!(
        flowing(&screen.text).contains("holds no more: it is taken out, and a note says so."),
        "{}",
        screen.text
    );
    let text = setup_text(folder.path());
    assert!(
        text.contains("{ ceiling \"bar\" 5; note \"2026-05-09 joint opened, torque not read\"; caution"),
        "{text}"
    );
    // One that was read with it does.
    with(
        folder.path(),
        "{ ceiling \"bar\" 5; caution",
        "{ ceiling \"bar\" 5; applied 4.2 read=\"2026-05-02\"; caution",
    );
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/tight"]);
    let text = setup_text(folder.path());
    assert!(text.contains("{ ceiling \"bar\" 5; applied 4.5 read=\"2026-05-09\"; caution"), "{text}");
}

#[test]
fn the_headline_tells_everything_that_is_dangerous() {
    let folder = ledger(&[("loan", "mark \"L1\" broken\n    torque \"right.brake-lever\" { applied 4.6 }")]);
    let result = json(folder.path(), &RECORD);
    // The bar's 3.5 cuts the lever's 2.5–4.
    assert_eq!(
        result["headline"],
        "Do not ride: mark L1 on the left brake lever found broken; right brake lever tightened to 4.6 N·m, \
         above the 2.5–3.5 N·m allowed; left brake lever place, left brake lever angle no longer known: mark L1 was found \
         broken; opened, torque unknown: left brake lever."
    );
}

/// Opened and not known how tight: steering and brakes are to be acted on.
#[test]
fn an_opened_brake_lever_is_to_be_acted_on() {
    let folder = ledger(&[("loan", "left { brake-lever { angle 20 with=angle-gauge; from-tip 168 } }")]);
    assert_eq!(run(folder.path(), &MARK).status, Some(1));
    let folder = ledger(&[("loan", "tyres { front 25 }")]);
    assert_eq!(run(folder.path(), &RECORD).status, Some(0));
}

/// All three numbers of a lowest point are read again: then its tolerance and its day are those of the sheet.
#[test]
fn a_lowest_point_read_again_as_a_whole_is_a_new_reading() {
    let folder = ledger(&[
        ("loan", "left { brake-lever { lowest from-tip=196 drop=60 ahead=44 tol=1 } }"),
        ("one", "left { brake-lever { lowest drop=60 tol=1 } }"),
    ]);
    let before = "lowest from-tip=196 drop=38 ahead=44 tol=3 read=\"2026-05-02\"";
    let with_lowest = |after: &str| {
        SETUP.replace("reach 62 with=caliper } }", &format!("reach 62 with=caliper; {after} }} }}"))
    };
    let file = folder.path().join("setups/rowan/race.kdl");
    fs::write(&file, with_lowest(before)).expect("written");
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/one"]);
    // What the lever can reach lowest moved: its clamp was opened.
    let opened = "note \"2026-05-09 joint opened, torque not read\"";
    let one = format!("lowest from-tip=196 drop=60 ahead=44 tol=3 read=\"2026-05-02\"; {opened}");
    assert_eq!(setup_text(folder.path()), with_lowest(&one));
    fs::write(&file, with_lowest(before)).expect("written");
    run(folder.path(), &RECORD);
    let all = format!("lowest from-tip=196 drop=60 ahead=44 tol=1 read=\"2026-05-09\"; {opened}");
    assert_eq!(setup_text(folder.path()), with_lowest(&all));
}

/// U+2028 ends a line in KDL, and U+202E turns the text around.
#[test]
fn hidden_characters_are_written_as_escapes() {
    let folder = ledger(&[("loan", "damage on=\"bar\" \"scored\\u{2028}left\\u{202e}\"")]);
    let screen = run(folder.path(), &RECORD);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let text = setup_text(folder.path());
    assert!(text.contains("note \"2026-05-09 damage: scored\\u{2028}left\\u{202e}\""), "{text}");
}

/// A mark's name may hold any character; its line in the sheet stays one line.
#[test]
fn a_marks_name_is_quoted_in_the_sheet() {
    let folder = ledger(&[]);
    with(folder.path(), "mark \"S1\"", "mark \"S\\n1\"");
    let sheet = run(folder.path(), &["found", "rowan/race", "--to", "-"]).text;
    assert!(sheet.contains("    // mark \"S\\n1\" ?\n"), "{sheet}");
}

/// The sign is told where a person fills the sheet in.
#[test]
fn a_sheet_tells_the_sign_of_a_line_that_stands_apart() {
    let folder = ledger(&[]);
    let sheet = run(folder.path(), &["found", "rowan/race", "--to", "-"]).text;
    for (mark, plus) in [("L1", "tip down"), ("B1", "forward"), ("S1", "to the left")] {
        let expected = format!(
            "    // off= is + if the half on the loosened part turned {plus}, - if not.\n    // mark \"{mark}\" ?"
        );
        assert!(sheet.contains(&expected), "{mark} {plus}: {sheet}");
    }
    let help = flowing(&run(folder.path(), &["found", "--help"]).text);
    assert!(
        help.contains("has turned tip down (lever, remote), forward (bar) or to the left (stem)"),
        "{help}"
    );
}

/// Rolled with the bar, the lever never moved on it; in the file both are to stand as they were read.
#[test]
fn a_lever_that_rolled_with_the_bar_is_recorded_with_it() {
    let folder = ledger(&[(
        "loan",
        "floor 0 with=angle-gauge; bar { roll 3 with=angle-gauge }; left { brake-lever { angle 36.5 with=angle-gauge } }",
    )]);
    run(folder.path(), &RECORD);
    let text = setup_text(folder.path());
    assert!(text.contains("angle 36.5 with=angle-gauge read=\"2026-05-09\""), "{text}");
    assert_eq!(moved(folder.path(), "rowan/loan"), [""; 0]);
}

/// The lever was opened and its angle read; where it stands along the bar nobody measured, so no line vouches for it.
#[test]
fn a_mark_is_not_drawn_at_what_nobody_read_at_an_opened_joint() {
    let inside = "floor 0 with=angle-gauge; left { brake-lever { angle 28 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside), ("later", "mark \"L1\" aligned")]);
    let result = json(folder.path(), &MARK);
    assert_eq!(result["marks"], serde_json::json!(["L1"]), "{result}");
    assert_eq!(result["left-out"][0]["measure"], "left.brake-lever.from-tip", "{result}");
    let text = setup_text(folder.path());
    let drawn = "drawn angle=28 roll=-1.5 read=\"2026-05-09\"; reads \"Line meets the split\"; \
                 note \"2026-05-09 drawn anew, from-tip not read\" }";
    assert!(text.contains(drawn), "{text}");
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/later"]);
    assert!(found["not-looked-at"].to_string().contains("left.brake-lever.from-tip"), "{found}");
    let again = run(folder.path(), &MARK);
    assert!(again.text.contains("nothing to record"), "{}", again.text);
    assert_eq!(setup_text(folder.path()), text);
    // Measured after all and put on the sheet, it is drawn there, too.
    let sheet = folder.path().join("setups/rowan/loan.kdl");
    let more = fs::read_to_string(&sheet).expect("the sheet").replace("angle 28", "from-tip 170; angle 28");
    fs::write(&sheet, more).expect("written");
    run(folder.path(), &MARK);
    let text = setup_text(folder.path());
    assert!(text.contains("drawn angle=28 roll=-1.5 read=\"2026-05-09\" from-tip=170; reads"), "{text}");
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/later"]);
    assert!(!found["not-looked-at"].to_string().contains("left.brake-lever.from-tip"), "{found}");
}

#[test]
fn the_page_says_which_measure_a_mark_drawn_anew_does_not_show() {
    let inside = "floor 0 with=angle-gauge; left { brake-lever { angle 28 with=angle-gauge } }";
    let folder = ledger(&[("loan", inside)]);
    let screen = run(folder.path(), &MARK);
    assert_eq!(screen.status, Some(1), "{}", screen.text);
    let expected = "Mark L1 does not show the left brake lever place any more: the joint was opened, and the sheet does not \
                    read it. Measure it, add it to the sheet and record with --mark again.";
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
    // Recorded first and drawn on the bike after that, it is the same.
    let folder = ledger(&[("loan", inside)]);
    run(folder.path(), &RECORD);
    let screen = run(folder.path(), &MARK);
    assert!(flowing(&screen.text).contains(expected), "{}", screen.text);
    assert!(
        setup_text(folder.path()).contains("drawn angle=28 roll=-1.5 read"),
        "{}",
        setup_text(folder.path())
    );
}

/// What the sheet's own marks tell is known: 2 mm on 22.2 mm is a turn, and no place along the bar.
#[test]
fn a_line_that_stands_apart_tells_the_turn_and_not_the_place() {
    let folder = ledger(&[("loan", "mark \"L1\" off=-2")]);
    run(folder.path(), &MARK);
    let text = setup_text(folder.path());
    // 32 - 2·360/(π·22.2) = 32 - 10.32 = 21.7, by hand.
    let drawn = "drawn angle=21.7 roll=-1.5 read=\"2026-05-09\"; reads \"Line meets the split\"";
    assert!(text.contains(drawn), "{text}");
    assert!(text.contains("note \"2026-05-09 found off=-2, drawn anew, from-tip not read\""), "{text}");
}

/// Rolled with the bar, and its line meets: it stands along the bar where it stood.
#[test]
fn a_line_that_meets_keeps_what_it_shows() {
    let folder = ledger(&[(
        "loan",
        "bar { roll 3 with=angle-gauge }; left { brake-lever { angle 36.5 with=angle-gauge } }
    mark \"L1\" aligned",
    )]);
    let result = json(folder.path(), &MARK);
    assert_eq!(result["left-out"], serde_json::json!([]), "{result}");
    let text = setup_text(folder.path());
    // Read at 32° and the 4.5° from -1.5° to 3°; nobody drew it, so no day, and it stands where it was drawn.
    assert!(text.contains("drawn from-tip=168 angle=32 roll=-1.5; reads"), "{text}");
}

/// The line meets, and yet the angle is read elsewhere: neither is written, and no line is drawn from either.
#[test]
fn a_mark_that_a_reading_belies_is_not_drawn() {
    let folder =
        ledger(&[("loan", "left { brake-lever { angle 28 with=angle-gauge } }\n    mark \"L1\" aligned")]);
    assert_eq!(run(folder.path(), &MARK).status, Some(1));
    assert_eq!(setup_text(folder.path()), SETUP);
}

/// 32.2 is within reading of 32: written with --all, and the lever was not opened. Nobody read its place, so that its line is
/// none of this day.
#[test]
fn a_joint_that_was_not_opened_keeps_what_its_mark_shows() {
    let folder =
        ledger(&[("loan", "floor 0 with=angle-gauge; left { brake-lever { angle 32.2 with=angle-gauge } }")]);
    let result = json(folder.path(), &[&MARK[..], &["--all"]].concat());
    assert_eq!(result["left-out"], serde_json::json!([]), "{result}");
    let text = setup_text(folder.path());
    assert!(text.contains("angle 32.2 with=angle-gauge"), "{text}");
    assert!(text.contains("drawn from-tip=168 angle=32; reads"), "{text}");
}

/// Drawn anew from the morning's sheet, and broken again at noon: the second sheet is not the first told twice.
#[test]
fn a_second_break_on_one_day_is_told_by_what_the_sheet_reads() {
    let read = |angle: u8| {
        format!(
            "floor 0 with=angle-gauge; left {{ brake-lever {{ from-tip 168; angle {angle} with=angle-gauge }} }}\n    mark \"L1\" broken"
        )
    };
    let folder = ledger(&[("loan", &read(32)), ("noon", &read(25)), ("bare", "mark \"L1\" broken")]);
    run(folder.path(), &MARK);
    let state = |sheet: &str| {
        let plan = json(folder.path(), &["restore", "rowan/race", "--found", sheet]);
        let marks = plan["marks"].as_array().expect("marks").clone();
        marks.iter().find(|mark| mark["name"] == "L1").expect("the mark")["state"].clone()
    };
    assert_eq!(state("rowan/loan"), "drawn-since");
    // It reads the lever elsewhere than the file has it since.
    assert_eq!(state("rowan/noon"), "broken");
    // It does not read what the line was drawn from.
    assert_eq!(state("rowan/bare"), "broken");
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/bare"]);
    let text = setup_text(folder.path());
    assert!(
        text.contains("found broken (was drawn from-tip=168 angle=32 roll=-1.5 read=2026-05-09)"),
        "{text}"
    );
}

/// Nothing tells the same sheet from one that reads the same: what is assumed is said, and how to say otherwise.
#[test]
fn a_sheet_that_reads_the_same_is_taken_for_the_one_recorded() {
    let inside = "floor 0 with=angle-gauge; left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }\n    mark \"L1\" broken";
    let folder = ledger(&[("loan", inside)]);
    run(folder.path(), &MARK);
    let again = run(folder.path(), &MARK);
    let expected =
        "this is taken to be about the old line. If the new one was found so, give the sheet a later day";
    assert!(flowing(&again.text).contains(expected), "{}", again.text);
    let back = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    assert!(flowing(&back.text).contains(expected), "{}", back.text);
    let sheet = folder.path().join("setups/rowan/loan.kdl");
    let later = fs::read_to_string(&sheet).expect("the sheet").replace("2026-05-09", "2026-05-10");
    fs::write(&sheet, later).expect("written");
    let struck = run(folder.path(), &RECORD);
    assert!(setup_text(folder.path()).contains("2026-05-10 found broken (was drawn"), "{}", struck.text);
}
