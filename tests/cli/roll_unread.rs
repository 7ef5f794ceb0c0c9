//! A bar whose roll nobody read: what a gauge says on it of levers that only came along, through the program.
//!
//! An angle against gravity is the control's turn on the bar plus the bar's roll. Recorded: roll -1.5°, levers 32°.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::flowing;
use crate::restore::{SETUP, joints, json, ledger, run, setup_text};

pub const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
pub const DIFF: [&str; 4] = ["diff", "rowan/race", "--found", "rowan/loan"];
pub const RESTORE: [&str; 4] = ["restore", "rowan/race", "--found", "rowan/loan"];
pub const APPLIED: &str = "applied 2.8 read=\"2026-05-02\"";
const NOT_KNOWN: &str = "bar roll not read, and so not known: front brake lever angle (right)";

/// The ledger with one sheet, its levers tightened, and the setup changed by these words for others.
pub fn with(sheet: &str, changes: &[(&str, &str)]) -> TempDir {
    let folder = ledger(&[("loan", sheet)]);
    let levers = format!(
        "torque \"left.brake-lever\" 2.5 4 {{ {APPLIED}; caution \"Low.\" }}
    torque \"right.brake-lever\" 2.5 4 tool=\"T25\" {{ {APPLIED}; "
    );
    let own = ("torque \"right.brake-lever\" 2.5 4 tool=\"T25\" { ", levers.as_str());
    let mut text = SETUP.to_owned();
    for (words, others) in [&[own], changes].concat() {
        assert!(text.contains(words), "{words}");
        text = text.replacen(words, others, 1);
    }
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    folder
}

pub fn names<'v>(list: &'v Value, key: &str) -> Vec<&'v str> {
    list.as_array().expect("a list").iter().map(|one| one[key].as_str().expect("a word")).collect()
}

fn bar_step(plan: &Value) -> String {
    let steps = plan["steps"].as_array().expect("steps");
    steps.iter().find(|step| step["joint"] == "stem-face").unwrap_or_else(|| panic!("{plan:#}")).to_string()
}

pub fn words(folder: &Path, arguments: &[&str]) -> String {
    flowing(&run(folder, arguments).text)
}

/// The gauge reads 42 - 32 = 10° more, and the bar may have rolled by all of it.
#[test]
fn a_gauge_on_a_bar_that_was_let_go_tells_nothing_of_a_lever() {
    let no_place = [("mark \"B1\" on=\"stem-face\" { drawn roll=-1.5 }", "mark \"B1\" on=\"stem-face\"")];
    for (told, changes) in [
        ("mark \"B1\" broken", &[][..]),
        ("mark \"B1\" missing", &[]),
        ("mark \"B1\" off=3", &no_place),
        ("opened \"stem-face\"", &[]),
        ("bar { offset 6 }", &[]),
        ("stem { length 35 }", &[]),
        ("mark \"B9\" on=\"stem-face\" broken", &[]),
    ] {
        let folder = with(&format!("floor 0; {told}; right {{ brake-lever {{ angle 42 }} }}"), changes);
        let diff = json(folder.path(), &DIFF);
        let moved = names(&diff["changes"], "measure");
        assert!(!moved.iter().any(|path| path.ends_with("r.angle")), "{told}: {moved:?}");
        assert!(diff["headline"].as_str().expect("a headline").contains(NOT_KNOWN), "{told}: {diff:#}");
        let roll = &diff["unknown-roll"];
        assert_eq!((&roll["because"], &roll["joint"]), (&"let-go".into(), &"stem-face".into()), "{told}");
        assert_eq!(names(&roll["angles"], "measure"), ["right.brake-lever.angle"], "{told}");
        assert!(!names(&diff["not-looked-at"], "measure").contains(&"right.brake-lever.angle"), "{told}");
        assert!(!names(&diff["tightened"], "joint").contains(&"right.brake-lever"), "{told}");
        let plan = json(folder.path(), &RESTORE);
        assert!(!joints(&plan).contains(&"right.brake-lever".to_owned()), "{told}: {plan:#}");
        let said =
            "Read again when the bar is back, and before its clamp is touched: right brake lever angle.";
        assert!(bar_step(&plan).contains(said), "{told}: {plan:#}");
        let record = words(folder.path(), &RECORD);
        assert!(record.contains("None of these angles is written."), "{told}: {record}");
        let after = setup_text(folder.path());
        assert!(!after.contains("42") && after.matches(APPLIED).count() == 2, "{told}: {after}");
        let lever = after.split("right.brake-lever\" 2.5").nth(1).expect("its torque");
        assert!(!lever.split('}').next().expect("its lines").contains("opened"), "{told}: {after}");
        let line = words(folder.path(), &[]);
        // What the file keeps since is said of the bike itself.
        assert!(line.contains("do not ride:"), "{told}: {line}");
    }
}

/// The bar is back, and the levers with it: once what the bar took along is read again, nothing is left to act on, and no
/// lever is called dangerous.
#[test]
fn a_bike_put_right_after_that_reads_as_recorded() {
    let folder = with("floor 0; mark \"B1\" broken; right { brake-lever { angle 42 } }", &[]);
    run(folder.path(), &RECORD);
    let once = setup_text(folder.path());
    // What was recorded once is recorded.
    run(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()), once);
    let next = |more: &str| {
        let sheet = format!(
            "found \"rowan/race\" format=1 {{ measured \"2026-05-10\"; floor 0; bar {{ roll -1.5; offset 0 }}
            right {{ brake-lever {{ from-tip (in)6.61; angle 32 }}; {more} }}; torque \"stem-face\" {{ applied 4.5 }} }}\n"
        );
        fs::write(folder.path().join("setups/rowan/loan.kdl"), sheet).expect("written");
        json(folder.path(), &DIFF)
    };
    let diff = next("");
    let not_read = "no longer known since 2026-05-09: left brake lever angle, right shifter angle.";
    assert!(diff["headline"].as_str().is_some_and(|line| line.ends_with(not_read)), "{diff:#}");
    let diff = next("shifter { angle 41 } }; left { brake-lever { angle 32 }");
    assert_eq!((&diff["unknown-roll"], &diff["headline"]), (&Value::Null, &Value::Null), "{diff:#}");
    let plan = json(folder.path(), &RESTORE);
    assert!(!joints(&plan).contains(&"right.brake-lever".to_owned()), "{plan:#}");
}

/// A line 0.5 mm wide on 22.2 mm reads ±2.58°, half-width: U = 2·2.58/√3 = 2.98; the gauge on both days ±0.2:
/// 2·√(2·0.2²)/√3 = 0.33, the floor as much again: √(2.98² + 0.33² + 0.33²) = 3.02.
#[test]
fn a_line_that_meets_and_the_gauge_tell_the_roll_between_them() {
    let read = |angle: f64, more: &str| {
        format!(
            "floor 0 with=angle-gauge; opened \"stem-face\"; mark \"R1\" aligned; right {{ brake-lever {{ angle {angle} \
             with=angle-gauge }} }}; {more}"
        )
    };
    let folder = with(&read(42.0, ""), &[]);
    let diff = json(folder.path(), &DIFF);
    let told = &diff["unknown-roll"]["told"][0];
    assert_eq!(
        (&told["measure"], &told["rolled"]),
        (&"right.brake-lever.angle".into(), &10.0.into()),
        "{diff:#}"
    );
    assert!((told["U"].as_f64().expect("a number") - 3.02).abs() < 0.01, "{told}");
    assert_eq!(diff["contradictions"], Value::Array(Vec::new()), "{diff:#}");
    let restore = words(folder.path(), &RESTORE);
    assert!(
        restore.contains("the bar has rolled 10.0 ± 3.0° forward: right brake lever angle."),
        "{restore}"
    );
    assert!(!restore.contains("Stop here") && !restore.contains("Blocked"), "{restore}");
    // 2° is less than the line can tell: 2.0 + 3.0.
    let restore = words(with(&read(34.0, ""), &[]).path(), &RESTORE);
    assert!(restore.contains("the bar stands within 5.0° of where it was"), "{restore}");
    // The left lever tells of no roll: one of the four is false.
    let other = "mark \"L1\" aligned; left { brake-lever { angle 32 with=angle-gauge } }";
    let restore = words(with(&read(42.0, other), &[]).path(), &RESTORE);
    assert!(
        restore
            .contains("tell another roll at the left brake lever angle than at the right brake lever angle"),
        "{restore}"
    );
}

const ALIKE: &str = "left { brake-lever { angle 29 with=angle-gauge } }
    right { brake-lever { angle 29 with=angle-gauge }; shifter { angle 38 } }
    mark \"L1\" aligned; mark \"R1\" aligned";

/// All three read 3° less, the ground was read or not: the bar rolled, and no clamp on it is to be opened before it was
/// read.
#[test]
fn angles_that_read_alike_otherwise_send_to_the_bar_first() {
    for (floor, said) in [
        ("floor 0 with=angle-gauge", "and the ground was read: the bar was rolled"),
        ("", "or the ground slopes"),
    ] {
        let folder = with(&format!("{floor}\n{ALIKE}"), &[]);
        let before = setup_text(folder.path());
        let diff = json(folder.path(), &DIFF);
        assert_eq!(diff["unknown-roll"]["because"], "all-alike", "{diff:#}");
        assert_eq!(names(&diff["unknown-roll"]["angles"], "measure").len(), 3, "{diff:#}");
        assert!(!names(&diff["changes"], "verdict").contains(&"moved"), "{diff:#}");
        let plan = json(folder.path(), &RESTORE);
        assert_eq!(joints(&plan), ["inspection", "stem-face", "checks"], "{floor}");
        assert!(bar_step(&plan).contains("Read the bar's roll before anything is loosened."), "{plan:#}");
        for asked in [DIFF, RESTORE, RECORD] {
            let page = run(folder.path(), &asked);
            let text = flowing(&page.text);
            assert_eq!(page.status, Some(1), "{text}");
            assert!(text.contains(said) && text.contains("front brake lever angle (right)"), "{text}");
            assert!(!text.contains("turn it") && !text.contains("Nothing moved"), "{text}");
        }
        // Nothing is written of them but what was told.
        let after = setup_text(folder.path());
        let noted = |line: &&str| line.contains("note \"2026-05-09 the angles on it read 3.00 ± ");
        assert_eq!(after.lines().filter(noted).count(), 1, "{floor}: {after}");
        let rest: Vec<&str> = after.lines().filter(|line| !noted(line)).collect();
        assert_eq!(rest, before.lines().collect::<Vec<_>>(), "{floor}");
    }
    // Read as recorded, the roll clears the bar: then the levers were turned.
    let turned = format!("floor 0 with=angle-gauge; bar {{ roll -1.5 with=angle-gauge }}; {ALIKE}");
    let plan = json(with(&turned, &[]).path(), &RESTORE);
    assert!(joints(&plan).contains(&"left.brake-lever".to_owned()), "{plan:#}");
}

/// Put back, only the bar's own bolts were touched.
#[test]
fn a_bar_put_back_costs_no_lever_its_torque() {
    let sheet = format!("floor 0 with=angle-gauge; torque \"stem-face\" {{ applied 4.5 }}; {ALIKE}");
    let bar = ("ceiling \"bar\" 5;", "ceiling \"bar\" 5; applied 4.2 read=\"2026-05-02\";");
    let folder = with(&sheet, &[bar]);
    let page = words(folder.path(), &[&RECORD[..], &["--put-back"]].concat());
    let after = setup_text(folder.path());
    assert_eq!(after.matches(APPLIED).count(), 2, "{page}\n{after}");
    assert!(!after.contains("opened") && after.contains("applied 4.5 read=\"2026-05-09\""), "{after}");
    let line = words(folder.path(), &[]);
    assert!(!line.contains("do not ride"), "{line}");
}

/// Both lines meet and both levers read 6° more: two lines and two gauges that agree are no contradiction.
#[test]
fn two_levers_and_their_lines_tell_that_the_bar_rolled() {
    let sheet = "floor 0; left { brake-lever { angle 38 } }; right { brake-lever { angle 38 } }
        mark \"L1\" aligned; mark \"R1\" aligned";
    let folder = with(sheet, &[]);
    let plan = json(folder.path(), &RESTORE);
    assert_eq!(joints(&plan), ["inspection", "stem-face", "checks"], "{plan:#}");
    assert_eq!(json(folder.path(), &DIFF)["contradictions"], Value::Array(Vec::new()));
}

/// A line across the lever's own clamp knows nothing of the roll: 3 mm · 5.1618° = 15.5° on the bar.
#[test]
fn a_lever_whose_own_line_stands_apart_was_turned_whatever_the_gauge_reads() {
    let sheet = "floor 0; mark \"B1\" broken; mark \"R1\" off=3; right { brake-lever { angle 32 } }";
    let folder = with(sheet, &[]);
    let plan = json(folder.path(), &RESTORE);
    assert!(joints(&plan).contains(&"right.brake-lever".to_owned()), "{plan:#}");
    assert!(words(folder.path(), &DIFF).contains("15.5° tip down on the bar"), "{plan:#}");
    run(folder.path(), &RECORD);
    assert_eq!(setup_text(folder.path()).matches(APPLIED).count(), 1, "only the right one was opened");
}

/// Saddle and levers alike are the ground; 8° of it nobody parks a bike on to measure it, 2° many do.
#[test]
fn a_steep_slope_that_nobody_read_vouches_for_no_brake_lever() {
    let saddle = [("    tyres", "    saddle { height 740; tilt -1.0 with=angle-gauge }\n    tyres")];
    for (slope, status) in [(8.0, 1), (2.0, 0)] {
        let (tip, nose) = (32.0 - slope, slope - 1.0);
        let sheet = format!(
            "saddle {{ tilt {nose} with=angle-gauge }}; left {{ brake-lever {{ angle {tip} with=angle-gauge }} }}
            right {{ brake-lever {{ angle {tip} with=angle-gauge }} }}"
        );
        let folder = with(&sheet, &saddle);
        for asked in [DIFF, RESTORE] {
            let page = run(folder.path(), &asked);
            let text = flowing(&page.text);
            assert_eq!(page.status, Some(status), "{text}");
            assert_eq!(text.contains("Nothing moved"), status == 0, "{text}");
            let is_open = text.contains("it hangs on the slope of the ground, which was not read");
            assert_eq!(is_open, status == 1, "{text}");
        }
        let page = run(folder.path(), &RECORD);
        assert_eq!(page.status, Some(status), "{}", page.text);
    }
}

/// The bar came out of the old stem: tight again, and nobody has read how it stands.
#[test]
fn what_came_off_with_a_replaced_part_was_opened_and_is_not_read() {
    let sheet =
        "stem { length 35 }; torque \"stem-face\" { applied 4.5 }; torque \"stem-steerer\" { applied 5.5 }";
    let folder = with(sheet, &[]);
    let said = "bar in stem opened, and not read since: bar roll, bar offset; stem on steerer opened, and not read \
                since: stem twist";
    let forgotten = "stem twist, bar roll, bar offset, left brake lever angle, right brake lever angle, right shifter angle \
                     no longer known: another stem was fitted";
    for (asked, said) in [(DIFF, said), (RESTORE, said), (RECORD, forgotten)] {
        let text = words(folder.path(), &asked);
        assert!(text.contains(said), "{text}");
    }
}
