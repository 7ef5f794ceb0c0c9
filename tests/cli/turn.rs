//! `turn`: its screens, its JSON, its exit status, and the drawing that only a terminal gets.

use crate::harness::flowing;
use std::fs;
use std::path::Path;
use std::process;

use assert_cmd::Command;
use insta::assert_snapshot;
use serde_json::Value;
use tempfile::TempDir;

const SETUP: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    frame {
        reach 470; stack 630; head-angle 64.5; steering-stop 75
        top-tube { drop 38; slope 32; diameter 42; }
    }
    headset { cover 9; }
    steerer { spacers-below 15; }
    stem { length 50; angle 0; clamp-height 40; twist 0; }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5; }
    left {
        brake-lever { from-tip 168; lowest from-tip=196 drop=38 ahead=44; }
        dropper-remote { mount own; from-tip 191; angle 20; lowest from-tip=205 drop=112 ahead=6; }
    }
    right {
        brake-lever { from-tip 168; lowest from-tip=196 drop=38 ahead=44; }
        shifter { mount own; from-tip 190; angle 41; }
    }
    hose "rear brake" {
        free 240; bend-radius 40
        leaves side=left from-tip=215 ahead=30 up=-5
        enters side=left down=55 back=25 out=22
    }
    hose "front brake" { free 610; enters on=fork; }
}
"#;

/// A ledger that is no repository, with one setup in it.
fn ledger(text: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("setups/rowan/race.kdl");
    fs::create_dir_all(file.parent().expect("a folder")).expect("folders can be made");
    fs::write(file, text).expect("a setup can be written");
    folder
}

/// The setup with levers so low that turning meets the tube, and a hose too short to turn.
fn limited() -> String {
    SETUP.replace("drop=112", "drop=140").replace("free 240", "free 215").replace("steering-stop 75", "")
}

fn turn(folder: &Path, columns: &str, arguments: &[&str]) -> (String, Option<i32>) {
    let output = Command::cargo_bin("clampmark")
        .expect("the program is built")
        .current_dir(folder)
        .env("COLUMNS", columns)
        .env("NO_COLOR", "1")
        .args(["turn", "rowan/race"])
        .args(arguments)
        .output()
        .expect("the program runs");
    let text = [output.stdout, output.stderr].concat();
    (String::from_utf8(text).expect("text"), output.status.code())
}

fn json(text: &str, arguments: &[&str]) -> Value {
    let folder = ledger(text);
    let (text, _) = turn(folder.path(), "80", &[arguments, &["--json"]].concat());
    serde_json::from_str(&text).expect("one JSON object")
}

#[test]
fn clear_all_the_way() {
    let folder = ledger(SETUP);
    let (text, status) = turn(folder.path(), "80", &[]);
    assert_eq!(status, Some(0));
    assert_snapshot!(text);
}

#[test]
fn on_a_wide_screen() {
    assert_snapshot!(turn(ledger(SETUP).path(), "120", &[]).0);
}

#[test]
fn limited_steering_is_acted_on() {
    let folder = ledger(&limited());
    let (text, status) = turn(folder.path(), "80", &[]);
    assert_eq!(status, Some(1));
    assert_snapshot!(text);
}

#[test]
fn to_one_angle() {
    let folder = ledger(SETUP);
    let (text, status) = turn(folder.path(), "80", &["--to", "-40"]);
    assert_eq!(status, Some(0));
    assert_snapshot!(text);
}

#[test]
fn what_cannot_be_asked() {
    let folder = ledger(SETUP);
    let mut screens = Vec::new();
    for degrees in ["80", "-200", "nan"] {
        let (text, status) = turn(folder.path(), "80", &["--to", degrees]);
        assert_eq!(status, Some(2));
        screens.push(text);
    }
    assert_snapshot!(screens.concat());
}

#[test]
fn the_help_says_what_is_left_out() {
    let help = turn(ledger(SETUP).path(), "80", &["--help"]).0.replace('\n', " ");
    let help = flowing(&help);
    assert!(help.contains("The head tube, the fork crown and the bar itself are left out"), "{help}");
}

#[test]
fn json_has_the_fixed_parts() {
    let object = json(SETUP, &[]);
    assert_eq!((object["schema"].as_str(), object["stop"].as_f64()), (Some("clampmark.turn/1"), Some(75.0)));
    assert_eq!(object["units"], serde_json::json!({ "length": "mm", "angle": "deg" }));
    let control = &object["controls"][0];
    assert_eq!(control["control"], "left.brake-lever");
    for side in ["left", "right"] {
        for key in ["least", "U", "at", "gap"] {
            assert!(control[side][key].is_f64(), "{side} {key}");
        }
        assert!(control[side]["gap"].as_f64().is_some_and(|gap| gap <= 0.01));
        for key in ["contact", "contact-U"] {
            assert!(control[side].get(key).is_some_and(Value::is_null), "{side} {key}");
        }
    }
    let hose = object["hoses"][0].as_object().expect("a hose");
    let fixed = [
        "name",
        "longest",
        "at",
        "slack",
        "U",
        "tight-at",
        "tight-left",
        "tight-right",
        "bow",
        "tightest-radius",
    ];
    for key in fixed {
        assert!(hose.contains_key(key), "{key}");
    }
    assert_eq!(object["missing"][0]["part"], "right.shifter");
}

#[test]
fn a_pipe_gets_no_drawing() {
    assert!(!turn(ledger(SETUP).path(), "120", &[]).0.contains("along the turn"));
}

/// The program's output on a terminal of that many columns, made by the `script` program of util-linux.
fn on_a_terminal(folder: &Path, columns: &str) -> String {
    let program = assert_cmd::cargo::cargo_bin("clampmark");
    let command = format!("{} turn rowan/race --colour never", program.display());
    let output = process::Command::new("script")
        .args(["--quiet", "--return", "--command", &command, "/dev/null"])
        .current_dir(folder)
        .env("COLUMNS", columns)
        .stdin(process::Stdio::null())
        .output()
        .expect("`script` runs");
    String::from_utf8(output.stdout).expect("text").replace('\r', "")
}

#[test]
#[ignore = "needs script"]
fn a_terminal_gets_a_drawing_if_it_is_wide_enough() {
    let folder = ledger(SETUP);
    let wide = on_a_terminal(folder.path(), "80");
    assert!(wide.contains("Clearance along the turn, in whole cm"), "{wide}");
    // 2 + 19 + 2 columns before the line, and fifty soundings.
    let line = wide.lines().find(|line| line.starts_with("  left dropper remote  ")).expect("a line");
    assert_eq!(line.chars().count(), 73);
    assert!(!on_a_terminal(folder.path(), "60").contains("along the turn"));
}
