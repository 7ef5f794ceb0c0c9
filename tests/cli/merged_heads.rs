//! A line that a side left as it was under a head of another day was seen again on that day: so the side changed it, whether the
//! other one took it out or has written out the day that the base had.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";

/// What a sheet tells of how something was found.
const SEEN: [&str; 4] = [
    "opened \"left.brake-lever\"",
    "mark \"L1\" broken",
    "mark \"L1\" off=0.9 { note \"by the split\" }",
    "damage on=\"bar\" \"scored\"",
];

fn sheet(day: u32, line: &str) -> String {
    format!(
        "found \"rowan/race\" format=1 {{\n    measured \"2031-05-{day:02}\"\n    saddle {{ height 742 tol=1 }}\n    {line}\n}}\n"
    )
}

/// A line with a day of its own, before its block.
fn dated(line: &str, day: u32) -> String {
    let (head, block) = line.find(" {").map_or((line, ""), |block| line.split_at(block));
    format!("{head} read=\"2031-05-{day:02}\"{block}")
}

fn merged(file: &str, base: &str, ours: &str, theirs: &str) -> (Outcome, String) {
    let mark = "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=-1.3 read=\"2031-05-01\" }\n    fork {";
    let race = changed(RACE, &[("    fork {", mark)]);
    let bench = Bench::without_git(&[(RACE_FILE, &race), ("base", base), (file, ours), ("theirs", theirs)]);
    let outcome = bench.run(&["merge", "base", file, "theirs", "--path", file]);
    let text = fs::read_to_string(bench.root().join(file)).unwrap();
    (outcome, text)
}

#[test]
fn what_was_seen_again_since_is_not_taken_out_by_an_older_sheet() {
    for seen in SEEN {
        let (base, out, again) = (sheet(9, seen), sheet(9, ""), sheet(16, seen));
        for (ours, theirs, taker) in [(&again, &out, "theirs"), (&out, &again, "ours")] {
            let (outcome, text) = merged(SHEET_FILE, &base, ours, theirs);
            assert!(outcome.status == 1 && text.contains("conflict \""), "{seen}: {}", outcome.screen());
            assert!(text.contains(seen), "{text}");
            let said = flowing(&outcome.out);
            assert!(said.contains("2031-05-16") && said.contains("2031-05-09"), "{said}");
            let why = format!("Only {taker} changed it");
            assert!(said.contains(&why) && said.contains("was measured later"), "{said}");
        }
        // A sheet of a later day that no longer has it saw it put right.
        for (ours, theirs) in [(sheet(16, seen), sheet(20, "")), (sheet(20, ""), sheet(16, seen))] {
            let (outcome, text) = merged(SHEET_FILE, &base, &ours, &theirs);
            assert!(outcome.status == 0 && !text.contains(seen), "{text}");
            assert!(flowing(&outcome.out).contains("make sure that it is put right"), "{}", outcome.screen());
        }
    }
}

#[test]
fn what_was_seen_again_is_of_the_later_day_whichever_side_wrote_out_the_older() {
    for seen in SEEN {
        let (again, kept) = (sheet(16, seen), sheet(12, &dated(seen, 2)));
        for (ours, theirs, who) in [(&again, &kept, "ours"), (&kept, &again, "theirs")] {
            let (outcome, text) = merged(SHEET_FILE, &sheet(2, seen), ours, theirs);
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert!(text.contains("measured \"2031-05-16\"") && text.contains(seen), "{text}");
            assert!(!text.contains("read="), "{text}");
            let said = flowing(&outcome.out);
            let told =
                format!("seen on 2031-05-02 and on 2031-05-16; of the two 2031-05-16 stays, as {who} has it");
            assert!(said.contains(&told), "{said}");
        }
    }
    // The merged sheet bears a day later still: the line keeps its own.
    let (again, kept) = (sheet(16, SEEN[0]), sheet(20, &dated(SEEN[0], 2)));
    for (ours, theirs) in [(&again, &kept), (&kept, &again)] {
        let (_, text) = merged(SHEET_FILE, &sheet(2, SEEN[0]), ours, theirs);
        assert!(text.contains(&dated(SEEN[0], 16)), "{text}");
    }
}

/// The same of what was applied, in a block.
#[test]
fn a_torque_found_again_is_of_the_later_day_from_either_side() {
    let torque =
        |day: u32, own: &str| sheet(day, &format!("torque \"left.brake-lever\" {{ applied 2.8{own} }}"));
    let (again, kept) = (torque(16, ""), torque(20, " read=\"2031-05-02\""));
    for (ours, theirs) in [(&again, &kept), (&kept, &again)] {
        let (_, text) = merged(SHEET_FILE, &torque(2, ""), ours, theirs);
        assert!(text.contains("applied 2.8 read=\"2031-05-16\""), "{text}");
    }
}

#[test]
fn a_day_that_one_side_alone_corrects_is_taken() {
    for (seen, days) in SEEN.into_iter().flat_map(|seen| [(seen, (2, 8)), (seen, (8, 2))]) {
        let (base, corrected) = (sheet(9, &dated(seen, days.0)), sheet(9, &dated(seen, days.1)));
        for (ours, theirs) in [(&base, &corrected), (&corrected, &base)] {
            let (outcome, text) = merged(SHEET_FILE, &base, ours, theirs);
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert_eq!(&text, &corrected);
            assert!(!outcome.out.contains("seen on"), "{}", outcome.screen());
        }
    }
    // Nor does a new session put a day beside what the other side let be.
    let (base, anew) = (sheet(9, SEEN[3]), sheet(16, SEEN[3]));
    for (ours, theirs) in [(&base, &anew), (&anew, &base)] {
        assert_eq!(merged(SHEET_FILE, &base, ours, theirs).1, anew);
    }
}

fn setup(day: u32, angle: &str, more: &str) -> String {
    format!(
        "setup \"rowan/race\" format=1 {{\n    measured \"2031-05-{day:02}\"\n    instruments {{ angle-gauge tol=0.2 }}\n    \
         floor 0.0 with=angle-gauge read=\"2031-05-01\"\n    left {{ brake-lever {{ angle {angle} }} }}\n{more}}}\n"
    )
}

#[test]
fn a_reading_read_again_is_of_the_later_day_from_either_side() {
    let (undated, old) = ("32 with=angle-gauge", "32 with=angle-gauge read=\"2031-05-02\"");
    let base = setup(2, undated, "");
    // Read again by the file of the 16th; the file of the 20th keeps the reading of the 2nd.
    let (again, kept) = (setup(16, undated, ""), setup(20, old, "    saddle { height 742 tol=1 }\n"));
    for (ours, theirs) in [(&again, &kept), (&kept, &again)] {
        let (outcome, text) = merged(RACE_FILE, &base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("angle 32 with=angle-gauge read=\"2031-05-16\""), "{text}");
    }
    // And if the other side read it on the 12th.
    let twelfth = kept.replace("05-02", "05-12");
    for (ours, theirs) in [(&again, &twelfth), (&twelfth, &again)] {
        let (outcome, text) = merged(RACE_FILE, &base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert!(text.contains("angle 32 with=angle-gauge read=\"2031-05-16\""), "{text}");
    }
}

/// 4° between the two rolls: what was read on the 16th, before that, is in conflict from either side.
#[test]
fn a_reading_read_again_before_the_bar_was_rolled_is_in_conflict_from_either_side() {
    let bar = |roll: &str| format!("    bar {{ roll {roll} with=angle-gauge }}\n");
    let (undated, old) = ("32 with=angle-gauge", "32 with=angle-gauge read=\"2031-05-02\"");
    let base = setup(2, undated, &bar("-1.5"));
    let again = setup(16, undated, &bar("-1.5").replace(" }", " read=\"2031-05-02\" }"));
    let rolled = setup(20, old, &bar("-5.5"));
    for (ours, theirs, who) in [(&again, &rolled, "ours"), (&rolled, &again, "theirs")] {
        let (outcome, text) = merged(RACE_FILE, &base, ours, theirs);
        assert!(outcome.status == 1, "{text}");
        assert!(text.contains("conflict \"left.brake-lever.angle\""), "{text}");
        assert!(text.contains("roll -5.5 with=angle-gauge }"), "{text}");
        let said = flowing(&outcome.out);
        assert!(said.contains(&format!("Only {who} changed it, on the bar before")), "{said}");
    }
}
