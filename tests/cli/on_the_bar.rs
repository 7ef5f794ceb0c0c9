//! Controls on a bar that was rolled, and on a shared clamp that was turned: an angle against gravity turns along, and
//! only the angle on the bar tells whether a clamp was opened.

use serde_json::Value;
use tempfile::TempDir;

use crate::harness::{Bench, Commit, flowing};
use crate::restore::{SETUP, json, ledger, run};

const SHEET: &str = "rowan/back";
const RACE: &str = include_str!("../git/race.kdl");

fn with(inside: &str) -> TempDir {
    ledger(&[("back", inside)])
}

fn page(folder: &TempDir, command: &str) -> String {
    let text = run(folder.path(), &[command, "rowan/race", "--found", SHEET]).text;
    flowing(&text)
}

fn found(folder: &TempDir, command: &str) -> Value {
    json(folder.path(), &[command, "rowan/race", "--found", SHEET])
}

fn change<'v>(diff: &'v Value, measure: &str) -> &'v Value {
    let changes = diff["changes"].as_array().expect("changes");
    changes.iter().find(|change| change["measure"] == measure).unwrap_or_else(|| panic!("{measure}: {diff}"))
}

fn is_near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap_or(f64::NAN);
    assert!((value - expected).abs() < 1e-3, "{value} for {expected}");
}

/// The bar took it 6.9° tip down and somebody 3° more: 9.9° as read, of which 3° are its own.
#[test]
fn a_lever_that_went_along_and_moved_besides_has_both_said() {
    let folder = with(
        "floor 0 with=angle-gauge; bar { roll 5.4 with=angle-gauge }
        left { brake-lever { angle 41.9 with=angle-gauge } }",
    );
    let moved = "moved 9.9° tip down (3.0° tip down on the bar)";
    for command in ["diff", "restore"] {
        let told = page(&folder, command);
        assert!(told.contains(&format!("rear brake lever angle (left) {moved}")), "{command}: {told}");
    }
}

/// Rolled from -1.5° to 5.4° the bar took its levers 6.9° tip down; one that reads 32.1° was turned back by
/// 6.9 - 0.1 = 6.8° on the bar, one that reads 32° sharp by all 6.9°.
#[test]
fn a_lever_that_was_turned_back_until_the_gauge_read_as_before_moved_on_the_bar() {
    for (reads, turned) in [("32.1", "6.8"), ("32", "6.9")] {
        let folder = with(&format!(
            "floor 0 with=angle-gauge; bar {{ roll 5.4 with=angle-gauge }}
            left {{ brake-lever {{ angle {reads} with=angle-gauge }} }}"
        ));
        let moved = format!("left brake lever angle moved {turned}° tip up on the bar");
        // The setup names the right hand for the front brake.
        let headline =
            format!("Do not ride: rear brake lever angle (left) moved {turned}° tip up on the bar");
        for command in ["diff", "restore"] {
            let told = found(&folder, command)["headline"].to_string();
            assert!(told.contains(&headline), "{command}: {told}");
        }
        let diff = found(&folder, "diff");
        let lever = change(&diff, "left.brake-lever.angle");
        assert_eq!((&lever["verdict"], &lever["carried"]), (&"moved".into(), &Value::Null), "{moved}");
        is_near(&lever["on-bar"]["delta"], -turned.parse::<f64>().expect("a number"));
        // Angle, roll and floor, each read on two days to ±0.2°: six rectangular readings, 2·√6·0.2/√3.
        is_near(&lever["on-bar"]["U"], 2.0 * 6f64.sqrt() * 0.2 / 3f64.sqrt());
        let opened = diff["tightened"].as_array().expect("joints");
        assert!(opened.iter().any(|one| one["joint"] == "left.brake-lever"), "{diff}");
        let steps = found(&folder, "restore")["steps"].clone();
        let step = steps.as_array().expect("steps").iter().find(|step| step["joint"] == "left.brake-lever");
        assert!(step.is_some(), "{steps}");
        let record = run(folder.path(), &["record", "rowan/race", "--found", SHEET]).text;
        assert!(record.contains("brake lever"), "{record}");
    }
}

/// The setup as it was recorded later, its bar rolled from -1.5° to 5.4° and its left lever read anew, or not.
fn later(lever: &str) -> Bench {
    let after = SETUP.replace("roll -1.5 with=angle-gauge ", "roll 5.4 with=angle-gauge ").replace(
        "left { brake-lever { from-tip 168; angle 32 with=angle-gauge;",
        &format!("left {{ brake-lever {{ from-tip 168; {lever};"),
    );
    assert!(after.contains("roll 5.4") && after.contains(lever));
    let path = "setups/rowan/race.kdl";
    Bench::recorded(&[
        Commit { subject: "Before", files: &[(path, SETUP)], tag: Some("before") },
        Commit { subject: "After", files: &[(path, &after)], tag: None },
    ])
}

#[test]
fn between_two_revisions_a_lever_is_judged_on_the_bar_too() {
    let diff = |lever: &str| {
        let told = later(lever).run(&["diff", "rowan/race", "before", "--json"]).out;
        serde_json::from_str::<Value>(&told).expect("JSON")
    };
    let turned_back = diff("angle 32.1 with=angle-gauge");
    let headline = turned_back["headline"].to_string();
    assert!(headline.contains("rear brake lever angle (left) moved 6.8° tip up on the bar"), "{headline}");
    let along = diff("angle 38.9 with=angle-gauge");
    assert_eq!(change(&along, "left.brake-lever.angle")["carried"], "bar");
    assert_eq!(along["headline"], Value::Null, "{along}");
    // The same reading as before was not read on the rolled bar, and accuses nobody.
    let unread = diff("angle 32 with=angle-gauge");
    assert!(!unread["changes"].to_string().contains("brake-lever"), "{unread}");
}

/// Two revisions between which the bar was rolled from -1.5° to 5.4° and the left lever still reads 32°.
fn reading_as_before(measured: &str, read: &str) -> Value {
    let (was, now) = ("roll -1.5 with=angle-gauge ", "roll 5.4 with=angle-gauge ");
    let lever = "left { brake-lever { from-tip 168; angle 32 with=angle-gauge";
    let dated = SETUP.replace("measured \"2026-05-02\"", &format!("measured \"{measured}\""));
    let after = dated.replace(was, now).replace(lever, &format!("{lever}{read}"));
    let path = "setups/rowan/race.kdl";
    let bench = Bench::recorded(&[
        Commit { subject: "Before", files: &[(path, SETUP)], tag: Some("before") },
        Commit { subject: "After", files: &[(path, &after)], tag: None },
    ]);
    bench.run(&["diff", "rowan/race", "before", "--json"]).json()
}

#[test]
fn whether_a_lever_was_read_on_the_rolled_bar_is_told_by_its_day_wherever_that_is_written() {
    assert!(SETUP.contains("measured \"2026-05-02\""));
    let told = |diff: &Value| {
        diff["headline"].to_string().contains("rear brake lever angle (left) moved 6.9° tip up")
    };
    // Read on the day on which the whole bike was, or on that day by itself: 6.9° less than the roll took it down.
    for (measured, read) in
        [("2026-05-20", ""), ("2026-05-20", " read=\"2026-05-20\""), ("2026-05-02", " read=\"2026-05-20\"")]
    {
        let diff = reading_as_before(measured, read);
        assert!(told(&diff), "{measured}{read}: {diff}");
    }
    // On the day it was read before, or before the bar's roll: not on the rolled bar.
    for (measured, read) in [
        ("2026-05-02", ""),
        ("2026-05-02", " read=\"2026-05-02\""),
        ("2026-05-20", " read=\"2026-05-02\""),
        ("2026-05-20", " read=\"2026-05-10\""),
    ] {
        let diff = reading_as_before(measured, read);
        assert!(!diff["changes"].to_string().contains("left.brake-lever"), "{measured}{read}: {diff}");
    }
}

/// No floor was read, and four angles read 6.9° lower: the bar's roll explains them all, and the ground nothing.
#[test]
fn a_rolled_bar_is_no_slope_of_the_ground() {
    let folder = with(
        "bar { roll 5.4 with=angle-gauge }
        left { brake-lever { angle 38.9 with=angle-gauge } }
        right { brake-lever { angle 38.9 with=angle-gauge }; shifter { angle 47.9 } }",
    );
    let diff = found(&folder, "diff");
    assert_eq!(diff["common-shift"], Value::Null, "{diff}");
    for control in ["left.brake-lever", "right.brake-lever", "right.shifter"] {
        assert_eq!(change(&diff, &format!("{control}.angle"))["carried"], "bar", "{control}");
    }
    // Ground that falls by 3° besides is told, and by that much: 38.9 + 3 and 47.9 + 3.
    let folder = with(
        "bar { roll 5.4 with=angle-gauge }
        left { brake-lever { angle 41.9 with=angle-gauge } }
        right { brake-lever { angle 41.9 with=angle-gauge }; shifter { angle 50.9 } }",
    );
    let diff = found(&folder, "diff");
    is_near(&diff["common-shift"]["shift"], 3.0);
    assert!(
        found(&folder, "restore")["steps"]
            .as_array()
            .expect("steps")
            .iter()
            .all(|step| { step["joint"] != "left.brake-lever" && step["joint"] != "right.brake-lever" })
    );
}

/// 2 mm on the bar's 35 mm are 2·360/(π·35) = 6.548°, 1 mm on 22.2 mm 5.162°; a gauge would read the sum of both.
#[test]
fn what_marks_alone_tell_of_a_lever_is_told_on_the_bar() {
    let folder = with("mark \"B1\" off=2.0; mark \"L1\" off=1.0; mark \"R1\" aligned");
    let diff = found(&folder, "diff");
    let headline = diff["headline"].as_str().expect("a headline");
    assert!(headline.contains("rear brake lever angle (left) moved 5.2° tip down on the bar"), "{headline}");
    assert!(headline.contains("turned along with the bar: front brake lever angle (right)"), "{headline}");
    is_near(&change(&diff, "left.brake-lever.angle")["on-bar"]["delta"], 5.162);
    is_near(&change(&diff, "left.brake-lever.angle")["now"], 32.0 + 6.548 + 5.162);
    assert_eq!(change(&diff, "right.brake-lever.angle")["carried"], "bar");
    let restore = page(&folder, "restore");
    let back = "turn it 5.2° tip up on the bar (its roll back brings 6.5° tip up), to 32.0°, mark L1";
    assert!(restore.contains(back), "{restore}");
    let along = "come back with it, their clamps stay shut: right brake lever, right shifter.";
    assert!(restore.contains(along), "{restore}");
    let lever = &found(&folder, "restore")["steps"][2]["moves"];
    let angle =
        lever.as_array().expect("moves").iter().find(|one| one["measure"] == "left.brake-lever.angle");
    is_near(&angle.expect("its angle")["now"], 32.0 + 6.548 + 5.162);
}

#[test]
fn a_bar_of_which_only_the_mark_was_looked_at_names_the_levers_on_it() {
    let folder = with("mark \"B1\" off=2.0");
    for command in ["diff", "restore"] {
        let headline = found(&folder, command)["headline"].to_string();
        let unread = "turned along with the bar unless turned since, nobody looked: rear brake lever angle (left), \
                      front brake lever angle (right)";
        assert!(headline.contains(unread), "{command}: {headline}");
    }
    assert!(page(&folder, "restore").contains("nobody looked, read them when it is back: left brake lever"));
}

/// Read 6° lower than recorded, the right lever took the shifter on its clamp along, from 41° to 47°.
#[test]
fn what_shares_the_clamp_of_a_lever_that_turned_is_told_to_have_turned_along() {
    let folder = with("floor 0 with=angle-gauge; right { brake-lever { angle 38 with=angle-gauge } }");
    let diff = found(&folder, "diff");
    let shifter = change(&diff, "right.shifter.angle");
    assert_eq!((&shifter["carried"], &shifter["verdict"]), (&"lever".into(), &"moved".into()));
    is_near(&shifter["now"], 47.0);
    assert!(page(&folder, "diff").contains("6.0° tip down right shifter angle, with the brake lever"));
    let restore = page(&folder, "restore");
    let back = "right shifter angle: it turned along with the brake lever: back with it, to 41.0°";
    assert!(restore.contains(back), "{restore}");
    assert!(!diff["not-looked-at"].to_string().contains("right.shifter.angle"), "{diff}");
    // Read itself, it is told to have turned with the lever as well, and by its own figure.
    let folder = with(
        "floor 0 with=angle-gauge; right { brake-lever { angle 38 with=angle-gauge }; shifter { angle 47.4 } }",
    );
    let diff = found(&folder, "diff");
    assert_eq!(change(&diff, "right.shifter.angle")["carried"], "lever");
    is_near(&change(&diff, "right.shifter.angle")["now"], 47.4);
}

/// Recorded with the bar alone read, the angles on it are no longer known: that is told once, where each is set, and
/// holds up nothing else but the ride.
#[test]
fn an_angle_that_is_no_longer_known_is_told_at_its_own_joint() {
    let folder = with("floor 0 with=angle-gauge; bar { roll 5.4 with=angle-gauge; offset 0 }");
    run(folder.path(), &["record", "rowan/race", "--found", SHEET]);
    let rebuild = run(folder.path(), &["restore", "rowan/race"]).text;
    let rebuild = flowing(&rebuild);
    assert!(!rebuild.contains("never measured") && !rebuild.contains("Stop here"), "{rebuild}");
    let known = "right shifter angle is no longer known since 2026-05-09, when the bar was rolled 6.9° forward; it read 41° at a roll of -1.5° before.";
    assert_eq!(rebuild.matches(known).count(), 1, "{rebuild}");
    let levers = "Do not ride: left brake lever angle no longer known; right brake lever angle no longer known; no torque known: left brake lever.";
    assert!(rebuild.contains(levers), "{rebuild}");
    let plan = json(folder.path(), &["restore", "rowan/race"]);
    let held_up: Vec<&str> = plan["steps"]
        .as_array()
        .expect("steps")
        .iter()
        .filter(|step| step["held-up"].is_string())
        .filter_map(|step| step["joint"].as_str().or(step["kind"].as_str()))
        .collect();
    assert_eq!(held_up, ["left.brake-lever", "right.brake-lever", "checks"]);
}

/// A line drawn at -1.3° where the mean of three readings is -1.333° says that nothing turned, and no gauge said so.
#[test]
fn what_only_a_line_tells_is_not_told_as_read_and_every_page_counts_alike() {
    let folder = with("mark \"B1\" aligned; mark \"L1\" aligned");
    let setup = folder.path().join("setups/rowan/race.kdl");
    let text = SETUP
        .replace("roll -1.5 with", "roll -1.5 -1.0 -1.5 with")
        .replace("drawn roll=-1.5", "drawn roll=-1.3");
    std::fs::write(&setup, text).expect("written");
    let diff = page(&folder, "diff");
    assert!(diff.contains("By its mark alone: not moved as far as the line can tell bar roll."), "{diff}");
    assert!(!diff.contains("Within reading"), "{diff}");
    let left = found(&folder, "diff")["not-looked-at"].as_array().expect("measures").len();
    let counted = format!("Nothing moved of the 2 looked at; {left} measures were not looked at.");
    for command in ["diff", "restore"] {
        assert!(page(&folder, command).contains(&counted), "{command}: {counted} {}", page(&folder, command));
    }
    assert_eq!(found(&folder, "restore")["not-looked-at"].as_array().map(Vec::len), Some(left));
    assert_eq!(found(&folder, "diff")["looked-at"], found(&folder, "restore")["looked-at"]);
}

/// A gauge on a lever that the bar carried along reads the roll, and its line still meets: nobody is sent to draw it.
#[test]
fn a_line_that_still_meets_is_not_drawn_again_because_its_angle_was_read_too() {
    let folder = with(
        "floor 0 with=angle-gauge; bar { roll 5.4 with=angle-gauge }
        left { brake-lever { angle 38.9 with=angle-gauge } }; mark \"L1\" aligned; mark \"R1\" aligned",
    );
    let recorded = json(folder.path(), &["record", "rowan/race", "--found", SHEET, "--mark"]);
    assert_eq!(recorded["marks"], serde_json::json!(["B1"]), "{recorded:#}");
    // In the file its line stands where it was drawn: at 32° on a bar rolled by -1.5°.
    let text = crate::restore::setup_text(folder.path());
    assert!(
        text.contains("mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=-1.5; reads"),
        "{text}"
    );
}

/// The bar's line is broken and nobody read its roll: a line on the bar tells where a lever stands on it, and no angle to
/// the level, which nobody can know.
#[test]
fn on_a_bar_of_unknown_roll_a_line_tells_no_angle_to_the_level() {
    let folder = with("mark \"B1\" broken; mark \"L1\" off=-0.8; mark \"R1\" aligned");
    let diff = run(folder.path(), &["diff", "rowan/race", "--found", SHEET]).text;
    // 0.8 mm on 22.2 mm: 0.8 · 360 / (π · 22.2) = 4.13°.
    assert!(diff.contains("moved 4.1° tip up on the bar"), "{diff}");
    run(folder.path(), &["record", "rowan/race", "--found", SHEET]);
    let text = crate::restore::setup_text(folder.path());
    // Nor is the one from before known any more; its place along the bar is.
    let unknown = "angle no longer known: mark B1 was found broken; it read 32° at a roll of -1.5° before";
    assert!(text.contains("left { brake-lever { from-tip 168; angle unmeasured; reach"), "{text}");
    assert_eq!(text.matches(unknown).count(), 2, "{text}");
}

/// Read at 18.5°, the bar that stood at -1.5° took both levers from 32° to 52°: however tight it is again, the hands find them
/// 20° lower. A bar read as it stood tells of none.
#[test]
fn a_bolt_that_was_tightened_again_sets_no_lever_back() {
    let rolled = "floor 0 with=angle-gauge; torque \"stem-face\" { applied 4.5 }
        bar { roll 18.5 with=angle-gauge; offset 0 }";
    let read = "left { brake-lever { from-tip 168; angle 52 with=angle-gauge } }
        right { brake-lever { from-tip 168; angle 52 with=angle-gauge } }";
    let levers = "rear brake lever angle (left), front brake lever angle (right)";
    let folder = with(&format!("{rolled}\n{read}"));
    for command in ["diff", "restore", "record"] {
        let headline = found(&folder, command)["headline"].to_string();
        assert_eq!(headline, format!("\"Do not ride: turned along with the bar: {levers}.\""), "{command}");
    }
    let folder = with(rolled);
    for command in ["diff", "restore"] {
        let headline = found(&folder, command)["headline"].to_string();
        let unread = "turned along with the bar unless turned since, nobody looked";
        assert_eq!(headline, format!("\"Do not ride: {unread}: {levers}.\""), "{command}");
    }
    let headline = found(&folder, "record")["headline"].to_string();
    let unknown = "left brake lever angle, right brake lever angle, right shifter angle no longer known";
    assert_eq!(headline, format!("\"Do not ride: {unknown}: the bar was rolled.\""));
    // Shifted in the stem, it turned freely: nobody read how it stands.
    let folder = with("bar { offset 4 }; torque \"stem-face\" { applied 4.5 }");
    for command in ["diff", "restore"] {
        let headline = found(&folder, command)["headline"].to_string();
        assert!(
            headline.contains("bar in stem opened, and not read since: bar roll"),
            "{command}: {headline}"
        );
    }
    let still = "floor 0 with=angle-gauge; bar { roll -1.5 with=angle-gauge; offset 0 }
        torque \"stem-face\" { applied 4.5 }";
    let folder = with(&format!("{still}\n{}", read.replace("52", "32")));
    for command in ["diff", "restore", "record"] {
        assert_eq!(found(&folder, command)["headline"], serde_json::Value::Null, "{command}");
    }
}

/// The bar was rolled and only that was written: the levers' angles are those of before, on the same day or an earlier one.
#[test]
fn what_was_read_before_the_bar_was_rolled_is_told_of_two_revisions() {
    let words = "Read before the bar was rolled: left brake lever angle, right brake lever angle, right shifter angle, left \
                 dropper remote angle. They turned with it, unless they were set back since: read again.";
    let rolled = |other: &str| {
        RACE.replace("roll -1.5 with=angle-gauge", &format!("roll 2.5 with=angle-gauge{other}"))
    };
    let both_read = rolled("").replace("measured \"2026-05-02\"", "measured \"2026-06-01\"");
    let left_read = rolled(" read=\"2026-06-01\"").replacen(
        "angle 32 with=angle-gauge",
        "angle 28 with=angle-gauge read=\"2026-06-01\"",
        1,
    );
    let said = |text: &str| {
        let path = "setups/rowan/race.kdl";
        let bench = Bench::recorded(&[
            Commit { subject: "Measured", files: &[(path, RACE)], tag: None },
            Commit { subject: "Rolled", files: &[(path, text)], tag: None },
        ]);
        let asked = ["diff", "rowan/race", "HEAD~1", "HEAD"];
        let before = bench.run(&[&asked[..], &["--json"]].concat()).json()["read-before-the-roll"].clone();
        (flowing(&bench.run(&asked).out), before)
    };
    for other in ["", " read=\"2026-06-01\""] {
        let (page, before) = said(&rolled(other));
        assert!(page.contains(words), "{page}");
        assert_eq!(before.as_array().map(Vec::len), Some(4), "{before}");
        assert_eq!(before[0]["measure"], "left.brake-lever.angle");
    }
    // All of it was read again on the new day: then the levers were set back, and that is told.
    let (page, before) = said(&both_read);
    assert!(
        before.is_null() && page.contains("on the rolled bar") && !page.contains("Read before"),
        "{page}"
    );
    let (page, before) = said(&left_read);
    assert!(page.contains("Read before the bar was rolled: right brake lever angle, "), "{page}");
    assert_eq!(before.as_array().map(Vec::len), Some(3), "{before}");
}
