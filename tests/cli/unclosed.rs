//! A comment that is opened and never closed hides all that stands behind it, through the program.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::kept_figure::{bike, page, sheet};
use crate::restore::{run, setup_text};
use crate::roll_unread::words;

const NOTE: &str = "    /* for now\n    note \"do not ride: the fork leaks\"\n    saddle {";

/// The note, the saddle, two sides in four lines, four marks and the closing brace: 1 + 1 + 3 + 4 + 1.
#[test]
fn the_fault_points_at_where_it_opens_and_tells_how_much_is_not_read() {
    let folder = bike(&[("    saddle {", NOTE)]);
    let told = words(folder.path(), &["check", "rowan/race"]);
    assert!(told.starts_with("rowan/race line 7, column 5 /* for now Fault."), "{told}");
    assert!(told.contains("This comment is never closed: none of the 10 lines below it is read."), "{told}");
    for command in ["grips", "diff"] {
        let words: &[&str] = if command == "diff" { &["--found", "rowan/loan"] } else { &[] };
        sheet(&folder, 9, "bar { offset 2 }");
        let told = flowing(&run(folder.path(), &[&[command, "rowan/race"], words].concat()).text);
        assert!(told.contains("none of the 10 lines below it is read"), "{command}: {told}");
    }
    let restore = run(folder.path(), &["restore", "rowan/race"]);
    assert!(restore.status != Some(0) && !restore.text.contains("full rebuild"), "{}", restore.text);
}

#[test]
fn nothing_behind_it_is_lost_by_a_command_that_writes() {
    let folder = bike(&[("    saddle {", NOTE)]);
    let before = setup_text(folder.path());
    sheet(&folder, 9, "bar { offset 2 }");
    for options in [&["record"][..], &["record", "--put-back"], &["record", "--mark", "--all"]] {
        let (status, told) = page(&folder, options);
        assert_ne!(status, Some(0), "{told}");
        assert_eq!(setup_text(folder.path()), before, "{options:?}: {told}");
    }
    // Of a sheet that hides something nothing is written either.
    let folder = bike(&[]);
    let before = setup_text(folder.path());
    sheet(&folder, 9, "bar { offset 2 }\n    /* damage on=\"bar\" \"scored\"");
    let (status, told) = page(&folder, &["record"]);
    assert_ne!(status, Some(0), "{told}");
    assert_eq!(setup_text(folder.path()), before, "{told}");
}

/// One side leaves a comment open, the other moves the bar: the outcome holds every line of both.
#[test]
fn a_merge_keeps_what_stands_behind_it() {
    let folder = bike(&[]);
    let base = setup_text(folder.path());
    let ours = base.replace("    saddle {", NOTE);
    let theirs = base.replace("offset 0; clamp", "offset 2; clamp");
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    for (one, other) in [(&ours, &theirs), (&theirs, &ours)] {
        write("base", &base);
        write("ours", one);
        write("theirs", other);
        let screen = run(folder.path(), &["merge", "base", "ours", "theirs"]);
        assert_ne!(screen.status, Some(0), "{}", screen.text);
        let merged = fs::read_to_string(Path::new(folder.path()).join("ours")).expect("the outcome");
        for line in ours.lines().chain(theirs.lines()) {
            assert!(merged.contains(line.trim()), "{line}: {merged}");
        }
    }
}
