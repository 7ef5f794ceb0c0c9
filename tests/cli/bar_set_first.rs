//! A bar whose clamp was opened before and whose roll nobody reads: it is set first, and levers read before that are not turned by
//! what the gauge showed then.
//!
//! Recorded: roll 0°, levers 30° and 32°, shifter 41°.

use crate::kept_figure::{bike, found, page, sheet};

const OPENED: [(&str, &str); 1] = [(
    "    stem {",
    "    note \"2026-05-03 joint stem-face opened, torque not read\"
    torque \"stem-face\" 4 5 { caution \"Even gaps.\" }
    stem {",
)];

/// Rolled back by 6° with all on it, and the left lever turned back by 6°: the right one reads 32 - 6 = 26°, and stands at 32°
/// again as soon as the bar is back, where the left one reads 36°.
#[test]
fn a_lever_read_before_the_bar_is_set_is_read_again_and_not_turned_by_that() {
    let folder = bike(&OPENED);
    sheet(
        &folder,
        9,
        "floor 0 with=angle-gauge; left { brake-lever { angle 30 with=angle-gauge } }
        right { brake-lever { angle 26 with=angle-gauge }; shifter { angle 35 with=angle-gauge } }",
    );
    let told = page(&folder, &["restore"]).1;
    assert!(told.contains("bar roll: set it to 0.0°"), "{told}");
    let again = "Read again when the bar is back, and before its clamp is touched: left brake lever angle, right brake \
                 lever angle, right shifter angle.";
    assert!(told.contains(again), "{told}");
    assert!(told.contains("right brake lever angle: set it to 32.0°, read again first, mark R1"), "{told}");
    assert!(!told.contains("turn it 6.0°"), "{told}");
    let plan = found(&folder, "restore");
    let steps = plan["steps"].as_array().expect("steps");
    let lever = steps.iter().find(|step| step["joint"] == "right.brake-lever").expect("a step");
    let moves = lever["moves"].as_array().expect("moves");
    let angle = moves.iter().find(|one| one["measure"] == "right.brake-lever.angle").expect("the angle");
    assert!(angle["delta"].is_null() && angle["now"] == 26.0, "{lever:#}");
}

/// Where the roll is read, how far the lever is to be turned on the bar is known.
#[test]
fn with_its_roll_read_the_bar_needs_no_second_look() {
    let folder = bike(&OPENED);
    sheet(
        &folder,
        9,
        "floor 0 with=angle-gauge; bar { roll 0 with=angle-gauge; offset 0 }
        right { brake-lever { angle 26 with=angle-gauge } }",
    );
    let told = page(&folder, &["restore"]).1;
    assert!(told.contains("right brake lever angle: turn it 6.0° tip down, to 32.0°"), "{told}");
    assert!(!told.contains("Read again when the bar is back"), "{told}");
}
