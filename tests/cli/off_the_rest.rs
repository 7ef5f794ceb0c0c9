//! A bar whose roll nobody read: the control that does not read as the rest there does, and what is left to do once the
//! bar is back, through the program.
//!
//! Recorded: levers 32°, shifter 41°, remote 20°.

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{joints, json, run, setup_text};
use crate::roll_unread::{APPLIED, DIFF, RECORD, RESTORE, names, with, words};

const REMOTE: (&str, &str) = (
    "reach 62 with=caliper } }",
    "reach 62 with=caliper }; dropper-remote { mount own; from-tip 191; angle 20 } }",
);
const BAR: (&str, &str) = ("ceiling \"bar\" 5;", "ceiling \"bar\" 5; applied 4.2 read=\"2026-05-02\";");

/// Three read 3° more, the right lever 60 - 32 = 28°: 25° off the rest.
fn one_off(more: &str) -> TempDir {
    let sheet = format!(
        "{more}; left {{ brake-lever {{ angle 35 }}; dropper-remote {{ angle 23 }} }}
        right {{ brake-lever {{ angle 60 }}; shifter {{ angle 44 }} }}"
    );
    with(&sheet, &[REMOTE, BAR])
}

fn put_back(folder: &TempDir) -> (Option<i32>, String) {
    let page = run(folder.path(), &[&RECORD[..], &["--put-back"]].concat());
    (page.status, flowing(&page.text))
}

#[test]
fn a_lever_off_the_rest_was_turned_whatever_the_bar_did() {
    for more in ["floor 0", "floor 0; mark \"B1\" broken"] {
        let folder = one_off(more);
        let diff = json(folder.path(), &DIFF);
        let said = "front brake lever angle (right) moved 25.0° tip down off the rest on the bar";
        assert!(diff["headline"].as_str().expect("a headline").contains(said), "{more}: {diff:#}");
        let changes = diff["changes"].as_array().expect("changes");
        let lever = changes.iter().find(|change| change["measure"] == "right.brake-lever.angle");
        let lever = lever.unwrap_or_else(|| panic!("{more}: {diff:#}"));
        assert!((lever["delta"].as_f64().expect("a number") - 25.0).abs() < 1e-6, "{lever:#}");
        assert_eq!((&lever["verdict"], &lever["from-mark"]), (&"moved".into(), &false.into()), "{lever:#}");
        assert_eq!(
            names(&diff["unknown-roll"]["angles"], "measure"),
            ["left.brake-lever.angle", "left.dropper-remote.angle"],
            "{more}"
        );
        let of_the_roll = diff["unknown-roll"]["words"].as_str().expect("words");
        assert!(of_the_roll.starts_with("Right brake lever angle reads 25.00 ±"), "{of_the_roll}");
        assert!(names(&diff["tightened"], "joint").contains(&"right.brake-lever"), "{more}: {diff:#}");
        let plan = json(folder.path(), &RESTORE);
        assert!(joints(&plan).contains(&"right.brake-lever".to_owned()), "{more}: {plan:#}");
        // What shares its clamp reads as the rest: it turned in its slot.
        assert!(plan.to_string().contains("it turned in its slot on the lever's clamp"), "{more}: {plan:#}");
        run(folder.path(), &RECORD);
        let after = setup_text(folder.path());
        assert_eq!(after.matches(APPLIED).count(), 1, "only the right one was opened: {after}");
        assert!(!after.contains("60"), "{after}");
    }
}

/// The way back opens the stem's bolts and the right lever; the left one has not been looked at since.
#[test]
fn a_bar_put_back_asks_for_its_torque_and_for_what_was_set_aside() {
    let folder = one_off("floor 0");
    let (status, page) = put_back(&folder);
    assert_eq!(status, Some(1), "{page}");
    assert!(!page.contains("nothing to record"), "{page}");
    assert!(
        page.contains("left brake lever angle no longer known: not read since the bar is back"),
        "{page}"
    );
    assert!(page.contains("opened, torque unknown: bar in stem, right brake lever"), "{page}");
    let after = setup_text(folder.path());
    assert!(!after.contains("applied 4.2") && after.matches(APPLIED).count() == 1, "{after}");
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert!(flowing(&check.text).contains("Do not ride: opened before"), "{}", check.text);
    assert!(flowing(&check.text).contains("left brake lever angle"), "{}", check.text);
}

#[test]
fn a_lever_read_on_a_bar_that_was_let_go_is_asked_for_when_the_bar_is_back() {
    let sheet = "floor 0; mark \"B1\" broken; right { brake-lever { angle 60 } }; torque \"stem-face\" { applied 4.5 }";
    let folder = with(sheet, &[BAR]);
    let (status, page) = put_back(&folder);
    assert_eq!(status, Some(1), "{page}");
    assert!(
        page.contains("right brake lever angle no longer known: not read since the bar is back"),
        "{page}"
    );
    let after = setup_text(folder.path());
    assert!(
        after.contains("applied 4.5 read=\"2026-05-09\"")
            && after.contains("it read 32° at a roll of -1.5° before"),
        "{after}"
    );
    let check = words(folder.path(), &["check", "rowan/race"]);
    assert!(
        check.contains("Do not ride: no longer known since 2026-05-09: right brake lever angle"),
        "{check}"
    );
    put_back(&folder);
    assert_eq!(setup_text(folder.path()), after, "what is told once is told");
}

/// Levers 3° tip down, saddle 3° nose down: front wheel lower, or a bar that rolled and a saddle that slipped.
#[test]
fn what_sits_on_a_bar_that_was_let_go_vouches_for_no_ground() {
    let saddle = [
        ("    tyres", "    saddle { height 740; tilt -1.0 with=angle-gauge }\n    tyres"),
        ("    floor 0.0 with=angle-gauge\n", ""),
    ];
    let sheet = "mark \"B1\" broken; saddle { tilt -4.0 with=angle-gauge }
        left { brake-lever { angle 35 with=angle-gauge } }; right { brake-lever { angle 35 with=angle-gauge } }";
    let folder = with(sheet, &saddle);
    let diff = json(folder.path(), &DIFF);
    assert_eq!(diff["common-shift"], Value::Null, "{diff:#}");
    assert!(names(&diff["changes"], "measure").contains(&"saddle.tilt"), "{diff:#}");
    let page = words(folder.path(), &RESTORE);
    assert!(page.contains("saddle tilt: turn it 3.0° nose up") && !page.contains("slopes"), "{page}");
}

#[test]
fn a_bar_line_that_meets_speaks_against_a_roll() {
    let no_roll = [
        ("        roll -1.5 with=angle-gauge   // line on the bar\n", ""),
        ("{ drawn roll=-1.5 }", "{ drawn offset=0 }"),
        REMOTE,
    ];
    let sheet = "floor 0; left { brake-lever { angle 35 }; dropper-remote { angle 23 } }
        right { brake-lever { angle 35 } }; mark \"B1\" aligned";
    let folder = with(sheet, &no_roll);
    let said =
        "mark B1 across the bar's clamp meets, and speaks against a roll: before anybody opens the stem";
    for asked in [DIFF, RESTORE, RECORD] {
        let page = run(folder.path(), &asked);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(flowing(&page.text).contains(said), "{}", page.text);
    }
    let plan = json(folder.path(), &RESTORE);
    assert!(!joints(&plan).contains(&"stem-face".to_owned()), "{plan:#}");
}
