//! A joint that a note of the setup keeps as opened, and that a sheet of a later day says nothing of: `restore` has a step
//! for it, and `diff` tells of it, whatever the joint holds.

use crate::kept_figure::{bike, found, page, sheet};
use crate::restore::joints;

const NOTE: &str = "note \"2026-05-05 joint opened, torque not read\"";
const AS_RECORDED: &str =
    "floor 0 with=angle-gauge; left { brake-lever { angle 30 with=angle-gauge; from-tip 168 } }";

/// The seat clamp and the shifter's, which keep nobody from riding.
fn opened() -> tempfile::TempDir {
    let torques = format!(
        "torque \"seat-clamp\" 5 6 {{ ceiling \"post\" 5.5; caution \"Past its mark.\"; {NOTE} }}
    torque \"right.shifter\" 1.5 2.5 {{ caution \"Just so.\"; {NOTE} }}
    mark \"L1\" "
    );
    bike(&[("mark \"L1\" ", &torques)])
}

#[test]
fn a_joint_that_a_note_keeps_open_is_told_by_diff_as_by_restore() {
    let folder = opened();
    sheet(&folder, 9, AS_RECORDED);
    let plan = found(&folder, "restore");
    let steps = joints(&plan);
    let diff = found(&folder, "diff");
    let told: Vec<&str> = diff["opened-before"]
        .as_array()
        .expect("joints")
        .iter()
        .filter_map(|one| one["joint"].as_str())
        .collect();
    // In working order, as the steps are.
    assert_eq!(told, ["right.shifter", "seat-clamp"], "{diff:#}");
    assert!(told.iter().all(|joint| steps.iter().any(|step| step == joint)), "{steps:?}");
    assert_eq!([page(&folder, &["diff"]).0, page(&folder, &["restore"]).0], [Some(1), Some(1)]);
    let (_, screen) = page(&folder, &["diff"]);
    // The lower limit holds: 5.5 of the post.
    for words in [
        "Opened before, not tightened since",
        "seat clamp: opened on 2026-05-05, torque not read since; tighten to 5–5.5 N·m.",
        "right shifter: opened on 2026-05-05, torque not read since; tighten to 1.5–2.5 N·m.",
    ] {
        assert!(screen.contains(words), "{words}: {screen}");
    }
    assert!(!screen.contains("Do not ride"), "{screen}");
}

/// What the sheet itself tells of it is told once; and once both are tight both commands are content.
#[test]
fn a_torque_on_the_sheet_answers_it() {
    let folder = opened();
    let shifter = "torque \"right.shifter\" { applied 2 }";
    sheet(&folder, 9, &format!("{AS_RECORDED}; {shifter}"));
    let diff = found(&folder, "diff");
    assert_eq!(diff["opened-before"].as_array().expect("joints").len(), 1, "{diff:#}");
    sheet(&folder, 9, &format!("{AS_RECORDED}; {shifter}; torque \"seat-clamp\" {{ applied 5.2 }}"));
    assert_eq!([page(&folder, &["diff"]).0, page(&folder, &["restore"]).0], [Some(0), Some(0)]);
    assert!(found(&folder, "diff").get("opened-before").is_none());
}
