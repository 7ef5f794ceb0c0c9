//! The gate before a commit.

use crate::bench::{Bench, flowing};

#[test]
#[ignore = "needs the git program"]
fn a_fault_stops_a_commit_and_what_is_staged_counts() {
    let bench = Bench::adopted();
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    // The working file is mended, what is staged is not.
    bench.change("width 7800", "width 770");
    let text = bench.git_ending(1, &["commit", "-m", "A slip"]);
    assert!(text.contains("7800"), "{text}");
    bench.git(&["add", "-A"]);
    bench.git(&["commit", "-q", "-m", "Mended"]);
    // And the other way round: a slip in the working file alone stops nothing.
    bench.change("width 770", "width 760");
    bench.git(&["add", "-A"]);
    bench.change("width 760", "widht 760");
    bench.git(&["commit", "-q", "-m", "Cut"]);
}

#[test]
#[ignore = "needs the git program"]
fn cautions_and_advice_pass() {
    let bench = Bench::adopted();
    // A name that differs from the file's place is a caution.
    bench.change("setup \"rowan/race\"", "setup \"rowan/wet\"");
    bench.git(&["add", "-A"]);
    let text = bench.git(&["commit", "-m", "Name"]);
    assert!(text.contains("the commit goes on"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_bar_with_no_room_for_its_levers_stops_a_commit() {
    let bench = Bench::adopted();
    // Half of 350 is 175: less half a stem of 40, no clamp begins further in than 147 from the end.
    bench.change("width 780", "width 350");
    bench.git(&["add", "-A"]);
    let text = bench.git_ending(1, &["commit", "-m", "Cut"]);
    assert!(text.contains("bar-too-narrow"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn advice_is_counted_and_not_read_out_at_every_commit() {
    let bench = Bench::adopted();
    // 810 mm lies outside the 720 to 800 mm that bars come in (common practice, no source): advice.
    bench.change("width 780", "width 810");
    bench.git(&["add", "-A"]);
    assert!(bench.said(&["check"]).contains("Advice."));
    let text = bench.git(&["commit", "-m", "Wide"]);
    assert!(!text.contains("Advice."), "{text}");
    assert!(text.contains("1 file checked") && text.contains("advice"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_branch_without_setups_is_let_through() {
    let bench = Bench::adopted();
    bench.git(&["checkout", "-q", "--orphan", "pages"]);
    bench.git(&["rm", "-q", "-r", "-f", "."]);
    bench.write("index.txt", "words\n");
    bench.commit("Words");
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_is_checked_on_its_setup_as_that_is_staged() {
    let bench = Bench::adopted();
    let sheet = "found \"rowan/race\" format=1 { right { brake-lever { angle 28 with=own-gauge } } }\n";
    bench.write("setups/rowan/found.kdl", sheet);
    bench.git(&["add", "-A"]);
    // The instrument stands in the working file alone: the commit would hold a sheet that cannot be read.
    bench.change("instruments {", "instruments { own-gauge tol=0.2;");
    let text = bench.git_ending(1, &["commit", "-m", "Too early"]);
    assert!(text.contains("own-gauge"), "{text}");
    bench.git(&["add", "-A"]);
    bench.git(&["commit", "-q", "-m", "Both"]);
}

#[test]
#[ignore = "needs the git program"]
fn what_a_commit_takes_from_the_working_files_is_checked_too() {
    let bench = Bench::adopted();
    bench.change("width 780", "width 7800");
    // Git stages in an index of its own for these.
    for arguments in
        [&["commit", "-a", "-m", "A slip"][..], &["commit", "-m", "A slip", "setups/rowan/race.kdl"]]
    {
        let text = bench.git_ending(1, arguments);
        assert!(text.contains("7800"), "{text}");
    }
    bench.change("width 7800", "width 760");
    bench.git(&["commit", "-q", "-m", "Cut", "setups/rowan/race.kdl"]);
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_that_goes_through_by_itself_meets_the_gate_too() {
    let bench = Bench::adopted();
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("width 780", "width 7800");
    bench.git(&["commit", "-q", "-a", "--no-verify", "-m", "A slip"]);
    bench.git(&["checkout", "-q", "main"]);
    bench.write("notes.txt", "Dry.\n");
    bench.commit("Dry");
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    assert!(text.contains("7800") && text.contains("The commit is stopped"), "{text}");
}

const SHEET: &str = "found \"rowan/race\" format=1 { right { brake-lever { angle 28 with=own-gauge } } }\n";

/// A setup with a sheet that hangs on its instrument, both recorded.
fn with_a_sheet() -> Bench {
    let bench = Bench::adopted();
    bench.change("instruments {", "instruments { own-gauge tol=0.2;");
    bench.write("setups/rowan/found.kdl", SHEET);
    bench.commit("Arrived");
    bench
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_is_checked_where_only_its_setup_changes() {
    let bench = with_a_sheet();
    bench.change("length 50;", "length 40;");
    bench.git(&["commit", "-q", "-a", "-m", "Shorter"]);
    bench.change("own-gauge tol=0.2;", "");
    let text = bench.git_ending(1, &["commit", "-a", "-m", "Away with it"]);
    assert!(text.contains("setups/rowan/found.kdl") || text.contains("rowan/found"), "{text}");
    assert!(text.contains("own-gauge") && text.contains("The commit is stopped"), "{text}");
    // With the sheet gone, too, nothing hangs on it.
    bench.git(&["rm", "-q", "setups/rowan/found.kdl"]);
    bench.git(&["commit", "-q", "-a", "-m", "Both"]);
}

#[test]
#[ignore = "needs the git program"]
fn a_setup_that_goes_or_is_renamed_is_told_of_its_sheets() {
    for arguments in
        [&["rm", "-q", "setups/rowan/race.kdl"][..], &["mv", "setups/rowan/race.kdl", "setups/rowan/dry.kdl"]]
    {
        let bench = with_a_sheet();
        bench.git(arguments);
        let output = bench.clampmark(&["gate"]);
        let said = String::from_utf8(output.stdout).unwrap();
        let said = flowing(&said);
        assert!(said.contains("The sheet is for `rowan/race`"), "{arguments:?}: {said}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_name_that_nobody_reads_is_told() {
    let bench = Bench::adopted();
    for path in ["setups/rowan/UP.KDL", "setups/rowan/.hidden.kdl"] {
        bench.write(path, "no setup");
        bench.git(&["add", "-A"]);
        let output = bench.clampmark(&["gate"]);
        let said = String::from_utf8(output.stdout).unwrap();
        assert_eq!(output.status.code(), Some(0), "{said}");
        assert!(said.contains("It is not checked") && said.contains(&path[7..]), "{path}: {said}");
        bench.commit("Passed over");
    }
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/race.KDL"]);
    let output = bench.clampmark(&[]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("setups/rowan/race.KDL: no command reads it"), "{said}");
}

#[test]
#[ignore = "needs the git program"]
fn what_a_deleted_file_told_against_riding_is_told_at_its_end() {
    let bench = Bench::adopted();
    let sheet = "found \"rowan/race\" format=1 {\n    measured \"2031-05-20\"\n    opened \"stem-face\"\n}\n";
    bench.write("setups/rowan/back.kdl", sheet);
    bench.commit("As found");
    // Under another name it is still there.
    bench.git(&["mv", "setups/rowan/back.kdl", "setups/rowan/returned.kdl"]);
    let text = flowing(&bench.git(&["commit", "-m", "Rename"]));
    assert!(!text.contains("taken out"), "{text}");
    bench.git(&["rm", "-q", "setups/rowan/returned.kdl"]);
    let told = "rowan/returned It is taken out with this commit, and it says: do not ride: opened, torque unknown: bar in stem";
    let text = flowing(&bench.git(&["commit", "-m", "Away"]));
    assert!(text.contains(told) && text.contains("the commit goes on"), "{text}");
    assert!(!text.contains("nothing found"), "{text}");
    // Recorded since, it is history.
    bench.write("setups/rowan/back.kdl", sheet);
    bench.commit("As found again");
    bench.change("measured \"2026-05-02\"", "measured \"2031-05-21\"");
    bench.git(&["rm", "-q", "setups/rowan/back.kdl"]);
    bench.git(&["add", "-A"]);
    let text = flowing(&bench.git(&["commit", "-m", "Settled"]));
    assert!(!text.contains("taken out"), "{text}");
    // A setup with its note goes alike.
    bench.change("    fork {", "    note \"do not ride: bar cracked\"\n    fork {");
    bench.commit("Cracked");
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    let text = flowing(&bench.git(&["commit", "-m", "Sold"]));
    assert!(text.contains("and it says: do not ride: bar cracked"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn during_a_merge_the_gate_names_each_conflict_as_check_does() {
    let bench = Bench::adopted();
    bench.fork(&[("twist 0", "twist 1")], &[("twist 0", "twist 2")]);
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let output = bench.clampmark(&["gate"]);
    let text = flowing(&String::from_utf8(output.stdout).unwrap());
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(
        text.contains("Git has not settled a merge of this file.") && !text.contains("git show"),
        "{text}"
    );
    let line =
        bench.read("setups/rowan/race.kdl").lines().position(|line| line.contains("conflict \"stem.twist\""));
    assert!(text.contains(&format!("line {},", line.unwrap() + 1)), "{text}");
    assert!(text.contains("Two versions of `stem.twist`: ours `twist 1`"), "{text}");
    assert!(text.contains("Do not ride: stem twist not decided, ours (HEAD) 1, theirs (wet) 2"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_that_forbids_riding_goes_in_and_out_with_a_word() {
    let bench = Bench::adopted();
    let sheet = "setups/rowan/back.kdl";
    // The front lever stands 12 degrees from where the setup has it.
    bench.write(
        sheet,
        "found \"rowan/race\" format=1 {\n    measured \"2026-06-03\"\n    floor 0\n    right { brake-lever { angle 20 with=angle-gauge } }\n}\n",
    );
    bench.git(&["add", "-A"]);
    let told = "o not ride: front brake lever angle (right) moved 12.0° tip up";
    for asked in [&["diff", "--cached"][..], &["commit", "-m", "Back from a loan"]] {
        let text = flowing(&bench.git(asked));
        assert!(text.contains(told), "{asked:?}: {text}");
    }
    bench.git(&["rm", "-q", sheet]);
    let text = flowing(&bench.git(&["diff", "--cached"]));
    assert!(text.contains("deleted. It says: d") && text.contains(told), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_conflict_taken_out_whole_takes_no_brake_out_in_silence() {
    let bench = Bench::adopted();
    let lever = "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle ";
    let turned = |angle: &str| format!("{lever}{angle}");
    bench.fork(&[(&turned("32"), &turned("36"))], &[(&turned("32"), &turned("28"))]);
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    // As it is where somebody takes the whole conflict out.
    bench.git(&["checkout", "-q", "--ours", "setups/rowan/race.kdl"]);
    bench.change("168; angle 36 with=angle-gauge;", "168;");
    let told = "No longer in the file, on steering or brakes: right brake lever angle.";
    // What git has not settled `check` tells of any file, and once it is staged of one that is named.
    let text = flowing(&bench.said(&["check"]));
    assert!(text.contains(told), "{text}");
    bench.git(&["add", "-A"]);
    let text = flowing(&bench.said(&["check", "rowan/race"]));
    assert!(text.contains(told), "{text}");
    let text = flowing(&bench.git(&["commit", "-m", "Settled"]));
    assert!(text.contains(told), "{text}");
}

/// Git knows that the roll was written after the angle beside it, where the file bears one day for both.
#[test]
#[ignore = "needs the git program"]
fn a_roll_written_alone_is_told_with_the_angles_that_are_older() {
    let bench = Bench::adopted();
    bench.change("roll -1.5", "roll 2.5");
    let words = "The bar's roll is another than last recorded, and these were read before: left brake lever angle, right brake \
                 lever angle, right shifter angle, left dropper remote angle. Gone along with the bar or set back: nobody says \
                 which. (read-before-roll)";
    let checked = flowing(&bench.said(&["check", "rowan/race"]));
    assert!(checked.contains(words), "{checked}");
    bench.git(&["add", "-A"]);
    let text = flowing(&bench.git(&["commit", "-m", "Rolled"]));
    assert!(text.contains(words) && text.contains("the commit goes on"), "{text}");
    // What is read again is not told, and nothing is where the roll is as it was.
    bench.change("roll 2.5", "roll 3.5");
    bench.change("angle 32", "angle 33");
    let checked = flowing(&bench.said(&["check", "rowan/race"]));
    let left = "were read before: right brake lever angle, right shifter angle, left dropper remote angle.";
    assert!(checked.contains(left), "{checked}");
    bench.git(&["checkout", "-q", "setups"]);
    bench.change("width 780", "width 775");
    let checked = bench.said(&["check", "rowan/race"]);
    assert!(!checked.contains("read-before-roll"), "{checked}");
}
