//! What a sheet tells that its setup does not hold yet, by the day of each thing, as `check`, `torque` and `restore` tell it and
//! as the overview does, through the program.
//!
//! Recorded on 2026-05-02 on level ground: left lever 30°, right lever 32°, all clamps tightened that day.

use std::fs;

use tempfile::TempDir;

use crate::harness::flowing;
use crate::kept_figure::{bike, page, sheet};
use crate::restore::{json, run, setup_text};
use crate::roll_unread::words;

const TURNED: &str = "floor 0 with=angle-gauge; left { brake-lever { angle 24 with=angle-gauge } }";
const TORQUES: &str = "torque \"stem-face\" 4 5 { applied 5 read=\"2026-05-02\"; caution \"c\" }\n    \
                       torque \"left.brake-lever\" 2.5 4 { applied 3 read=\"2026-05-02\"; caution \"c\" }\n    mark \"L1\"";
const COMMANDS: [&[&str]; 4] =
    [&["check"], &["check", "rowan/race"], &["torque", "rowan/race"], &["restore", "rowan/race"]];

fn written(folder: &TempDir, name: &str, inside: &str) {
    let text = format!("found \"rowan/race\" format=1 {{\n    {inside}\n}}\n");
    fs::write(folder.path().join(format!("setups/rowan/{name}.kdl")), text).expect("written");
}

fn forbids(folder: &TempDir, day: &str) {
    let overview = words(folder.path(), &[]);
    assert!(overview.contains("rowan/loan: do not ride"), "{overview}");
    let news = format!(
        "A newer sheet of this setup, rowan/loan of {day}, is not written in, and says not to ride: clampmark diff \
         rowan/race --found rowan/loan"
    );
    for command in COMMANDS {
        let screen = run(folder.path(), command);
        let told = flowing(&screen.text);
        assert!(told.contains(&news), "{command:?}: {told}");
        assert_eq!(screen.status, Some(1), "{command:?}: {told}");
    }
}

fn is_silent(folder: &TempDir) {
    let overview = words(folder.path(), &[]);
    assert!(!overview.contains("rowan/loan: do not ride"), "{overview}");
    for command in COMMANDS {
        let told = words(folder.path(), command);
        assert!(!told.contains("not written in"), "{command:?}: {told}");
    }
}

/// A merge writes what it takes over with the day it was seen on; some sheets have no other.
#[test]
fn what_a_sheet_saw_after_its_own_day_is_news() {
    for own in ["measured \"2026-05-20\"; ", ""] {
        for seen in [
            "mark \"L1\" broken read=\"2026-05-26\"",
            "opened \"stem-face\" read=\"2026-05-26\"",
            "floor 0 with=angle-gauge; left { brake-lever { angle 24 with=angle-gauge read=\"2026-05-26\" } }",
        ] {
            let folder = bike(&[("measured \"2026-05-02\"", "measured \"2026-05-25\"")]);
            written(&folder, "loan", &format!("{own}{seen}"));
            forbids(&folder, "2026-05-26");
        }
    }
}

/// The setup tells of tyres since, or bears a note since: the lever it still has of the day before. And the bike may have
/// fallen on the day it was measured.
#[test]
fn what_else_was_written_since_does_not_silence_a_sheet() {
    for since in
        ["tyres { front (psi)23 tol=0.5 read=\"2026-05-10\" }", "note \"2026-05-10 chain oiled\"", ""]
    {
        let folder = bike(&[("    mark \"L1\"", &format!("    {since}\n    mark \"L1\""))]);
        sheet(&folder, 9, TURNED);
        forbids(&folder, "2026-05-09");
        sheet(&folder, 2, &format!("{TURNED}; mark \"L1\" broken"));
        forbids(&folder, "2026-05-02");
    }
}

#[test]
fn what_was_recorded_by_its_own_day_is_written_in() {
    let folder = bike(&[("mark \"L1\"", TORQUES)]);
    sheet(&folder, 20, "mark \"L1\" broken read=\"2026-05-16\"; opened \"stem-face\" read=\"2026-05-18\"");
    forbids(&folder, "2026-05-18");
    page(&folder, &["record"]);
    is_silent(&folder);
    // The setup says itself what nobody has done since.
    assert!(words(folder.path(), &["check"]).contains("Do not ride: "), "{}", setup_text(folder.path()));
    // The lever set, its line drawn and its clamp tightened two days after it was seen.
    let read = "left { brake-lever { from-tip 168 read=\"2026-05-18\"; angle 30 with=angle-gauge read=\"2026-05-18\" } }";
    let torque = TORQUES.replace("applied 3 read=\"2026-05-02\"", "applied 3 read=\"2026-05-18\"");
    let folder = bike(&[
        ("left { brake-lever { from-tip 168; angle 30 with=angle-gauge } }", read),
        ("mark \"L1\"", &torque),
        ("angle=30 roll=0 read=\"2026-05-02\"", "angle=30 roll=0 read=\"2026-05-18\""),
    ]);
    sheet(&folder, 20, "mark \"L1\" broken read=\"2026-05-16\"");
    is_silent(&folder);
    sheet(&folder, 20, "mark \"L1\" broken read=\"2026-05-19\"");
    forbids(&folder, "2026-05-19");
}

/// A later sheet that looked at the same and found it as recorded, its clamp tightened, leaves nothing of the older one.
#[test]
fn a_later_sheet_refutes_what_it_looked_at_itself() {
    let folder = bike(&[("mark \"L1\"", TORQUES)]);
    sheet(&folder, 9, TURNED);
    let back = "measured \"2026-05-12\"; floor 0 with=angle-gauge; left { brake-lever { angle 30 with=angle-gauge } }; \
                mark \"L1\" aligned";
    let tight = format!("{back}; torque \"left.brake-lever\" {{ applied 3 }}");
    written(&folder, "returned", &tight);
    is_silent(&folder);
    // Nobody tells how its clamp was tightened, or looked at another lever.
    written(&folder, "returned", back);
    forbids(&folder, "2026-05-09");
    written(&folder, "returned", &tight.replace("left", "right").replace("mark \"L1\" aligned; ", ""));
    forbids(&folder, "2026-05-09");
    // A lever's reach is turned at a screw: no clamp is opened for it.
    let reach =
        ("left { brake-lever { from-tip 168;", "left { brake-lever { from-tip 168; reach 62 tol=0.5;");
    let folder = bike(&[reach]);
    sheet(&folder, 9, "left { brake-lever { reach 50 tol=0.5 } }");
    forbids(&folder, "2026-05-09");
    written(&folder, "returned", "measured \"2026-05-20\"; left { brake-lever { reach 62 tol=0.5 } }");
    is_silent(&folder);
}

#[test]
fn what_holds_neither_steering_nor_brakes_turns_nothing_red() {
    let folder = bike(&[(
        "mark \"L1\"",
        &TORQUES.replace("    mark", "    tyres { front (psi)23 tol=0.5 }\n    mark"),
    )]);
    sheet(&folder, 20, "tyres { front (psi)26 tol=0.5 }");
    let news = "A newer sheet of this setup, rowan/loan of 2026-05-20, is not written in: clampmark diff";
    let before = [Some(0), Some(0), Some(0), Some(1)];
    for (command, status) in COMMANDS.into_iter().zip(before) {
        let screen = run(folder.path(), command);
        let told = flowing(&screen.text);
        assert!(told.contains(news), "{command:?}: {told}");
        assert_eq!(screen.status, status, "{command:?}: {told}");
    }
    let told = json(folder.path(), &["torque", "rowan/race"]);
    assert_eq!(told["newer-sheet"]["to-act-on"], false, "{told:#}");
    assert_eq!(told["newer-sheet"]["not-to-ride"], false);
}

/// The file does not tell on what slope it was read: 27° on 3° of slope may be its 30°, and `record` has nothing to write.
#[test]
fn what_recording_would_not_write_is_not_news() {
    let folder = bike(&[("    floor 0 with=angle-gauge\n", "")]);
    sheet(&folder, 20, "floor 3 with=angle-gauge; left { brake-lever { angle 27 with=angle-gauge } }");
    is_silent(&folder);
    let told = page(&folder, &["record"]).1;
    assert!(told.contains("nothing to record"), "{told}");
}
