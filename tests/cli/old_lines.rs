//! A line that is no evidence since before: on a sheet that finds everything as recorded it is nothing to act on, for `record`
//! as for `diff`, `restore` and the overview.

use crate::kept_figure::{bike, found, page, sheet};
use crate::restore::{run, setup_text};

const AS_RECORDED: &str =
    "floor 0 with=angle-gauge; left { brake-lever { angle 30 with=angle-gauge; from-tip 168 } }";

/// Each command's exit status on the bike as it stands.
fn statuses(folder: &tempfile::TempDir) -> [Option<i32>; 4] {
    let [diff, restore, record] = ["diff", "restore", "record"].map(|command| page(folder, &[command]).0);
    [diff, restore, record, run(folder.path(), &[]).status]
}

/// The line was drawn at 25°, and the lever stands at 30°.
#[test]
fn a_line_that_was_stale_before_is_told_and_nothing_to_act_on() {
    let folder = bike(&[("drawn from-tip=168 angle=30", "drawn from-tip=168 angle=25")]);
    let before = setup_text(folder.path());
    sheet(&folder, 9, AS_RECORDED);
    assert_eq!(statuses(&folder), [Some(0); 4]);
    let told = page(&folder, &["record"]).1;
    assert!(told.contains("As before, no evidence: mark L1. Draw it again on the bike"), "{told}");
    assert_eq!(found(&folder, "record")["stale"], serde_json::json!(["L1"]));
    // Who has the lines drawn anew is told which one was not.
    sheet(&folder, 9, "mark \"R1\" aligned");
    assert_eq!(page(&folder, &["record", "--mark"]).0, Some(1));
    assert_eq!(setup_text(folder.path()), before);
    // A line that this very recording leaves behind is to be drawn.
    sheet(&folder, 9, &AS_RECORDED.replace("angle 30", "angle 34"));
    let (status, told) = page(&folder, &["record"]);
    assert_eq!(status, Some(1), "{told}");
    assert!(told.contains("As before, no evidence: mark L1"), "{told}");
    sheet(&folder, 10, "right { brake-lever { angle 20 with=angle-gauge } }; floor 0 with=angle-gauge");
    let (status, told) = page(&folder, &["record"]);
    assert_eq!(status, Some(1), "{told}");
    assert!(told.contains("No longer evidence: marks L1, R1."), "{told}");
}

/// The line was struck out on the fifth; that it is still gone is no news.
#[test]
fn a_line_that_was_struck_out_before_is_told_and_nothing_to_act_on() {
    let line = "{ drawn from-tip=168 angle=30 roll=0 read=\"2026-05-02\" }";
    let struck = "{ note \"2026-05-05 found broken (was drawn from-tip=168 angle=30 roll=0 read=2026-05-02): no evidence \
                  until drawn again\" }";
    let folder = bike(&[(line, struck)]);
    for seen in ["broken", "missing"] {
        sheet(&folder, 9, &format!("{AS_RECORDED}; mark \"L1\" {seen}"));
        assert_eq!(statuses(&folder), [Some(0); 4], "{seen}");
        let told = page(&folder, &["record"]).1;
        assert!(told.contains("Mark L1 on the left brake lever was struck out on 2026-05-05"), "{told}");
    }
}
