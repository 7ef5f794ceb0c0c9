//! While a merge is undecided, what any version forbids is forbidden, and nobody rides on what of steering and brakes is open.

use std::fs;

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";

/// The setup merged from three versions, and a sheet beside it that reads these lines.
fn merged(base: &str, ours: &str, theirs: &str, sheet: &str) -> Bench {
    let files = [("base", base), (RACE_FILE, ours), ("theirs", theirs)];
    let bench = Bench::without_git(&files);
    let outcome = bench.run(&["merge", "base", RACE_FILE, "theirs", "--path", RACE_FILE]);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    if !sheet.is_empty() {
        bench.write(SHEET_FILE, as_found(sheet));
    }
    bench
}

fn as_found(lines: &str) -> String {
    format!("found \"rowan/race\" format=1 {{\n    measured \"2031-05-20\"\n    floor 0\n    {lines}\n}}\n")
}

fn said(bench: &Bench, arguments: &[&str]) -> String {
    let outcome = bench.run(arguments);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    flowing(&outcome.out)
}

/// A torque with what was applied to it.
fn stem_face(range: &str, applied: &str) -> String {
    let torque = format!("torque \"stem-face\" {range} tool=\"4 mm hex\" thread=M5 class=8.8 {{{applied}");
    changed(RACE, &[("torque \"stem-face\" 4 5 tool=\"4 mm hex\" thread=M5 class=8.8 {", &torque)])
}

#[test]
fn what_each_version_forbids_is_forbidden_until_it_is_decided() {
    let bite = |bite: &str| changed(RACE, &[("bite 36 tol=1", bite)]);
    let (two, five) = (bite("bite 2 tol=0.5"), bite("bite 5 tol=1"));
    for (ours, theirs, first, last) in [(&two, &five, "2", "5"), (&five, &two, "5", "2")] {
        let bench = merged(RACE, ours, theirs, "saddle { tilt -1.0 with=angle-gauge }");
        let told = format!(
            "o not ride: right brake bite {first} mm, as ours has it; right brake bite {last} mm, as theirs has it; right \
             brake bite not decided, ours {first}, theirs {last}"
        );
        for asked in [
            &[][..],
            &["check", "rowan/race"],
            &["diff", "rowan/race", "--found", "rowan/back"],
            &["torque", "rowan/race"],
        ] {
            let page = said(&bench, asked);
            assert!(page.contains(&told), "{asked:?}: {page}");
        }
        // There is no way back to it, and that says so as well.
        let restore = bench.run(&["restore", "rowan/race"]);
        assert!(restore.status == 2 && flowing(&restore.err).contains(&told), "{}", restore.screen());
        let json = bench.run(&["check", "rowan/race", "--json"]).json();
        assert!(json["files"][0]["not-to-ride"].as_str().unwrap().contains("brake bite 2 mm"), "{json}");
    }
}

#[test]
fn the_way_back_to_a_revision_tells_what_is_undecided_today() {
    let twist = |twist: &str| changed(RACE, &[("twist 0", twist)]);
    let bench = Bench::recorded(&[Commit { subject: "Record", files: &[(RACE_FILE, RACE)], tag: None }]);
    for (name, text) in [("base", RACE), (RACE_FILE, &twist("twist 1")), ("theirs", &twist("twist 2"))] {
        bench.write(name, text);
    }
    assert_eq!(bench.run(&["merge", "base", RACE_FILE, "theirs"]).status, 1);
    let page = flowing(&bench.run(&["restore", "rowan/race", "--at", "HEAD"]).out);
    assert!(page.contains("Do not ride: stem twist not decided, ours 1, theirs 2"), "{page}");
}

#[test]
fn a_version_that_forbids_nothing_takes_nothing_from_the_other() {
    let bite = |bite: &str| changed(RACE, &[("bite 36 tol=1", bite)]);
    let bench = merged(RACE, &bite("bite 2 tol=0.5"), &bite("bite 30 tol=1"), "");
    let page = said(&bench, &[]);
    assert!(
        page.contains("do not ride: right brake bite 2 mm, as ours has it; right brake bite not"),
        "{page}"
    );
    // What is no matter of steering or brakes may wait.
    let reads = |tilt: &str| changed(RACE, &[("tilt -1.0", tilt)]);
    let page = said(&merged(RACE, &reads("tilt -3.0"), &reads("tilt 2.0"), ""), &[]);
    assert!(!page.contains("do not ride"), "{page}");
}

#[test]
fn an_undecided_torque_of_steering_is_not_ridden_on_and_judged_in_either_version() {
    let applied = |figure: &str| format!("\n        applied {figure} read=\"2031-05-02\"");
    // 4 to 5 N·m, for the bar takes no more than 5.
    let both = "o not ride: bar in stem last tightened to 8 N·m, above the 4–5 N·m allowed; torque of bar in stem not decided";
    let bench = merged(
        &stem_face("4 5", &applied("8")),
        &stem_face("4 5.5", &applied("8")),
        &stem_face("4 6", &applied("8")),
        "",
    );
    for asked in [&[][..], &["check", "rowan/race"], &["torque", "rowan/race"]] {
        let page = said(&bench, asked);
        assert!(page.contains(both), "{asked:?}: {page}");
    }
    let bench = merged(RACE, &stem_face("4 5", &applied("8")), &stem_face("4 5", &applied("9")), "");
    let page = said(&bench, &[]);
    for (figure, side) in [("8", "ours"), ("9", "theirs")] {
        let told = format!(
            "bar in stem last tightened to {figure} N·m, above the 4–5 N·m allowed, as {side} has it"
        );
        assert!(page.contains(&told), "{page}");
    }
    // Nothing is wrong with either: only that nobody knows which.
    let bench = merged(RACE, &stem_face("4 5.5", ""), &stem_face("3 5", ""), "");
    let page = said(&bench, &["check", "rowan/race"]);
    assert!(page.contains("Do not ride: torque of bar in stem not decided, ours 4 5.5"), "{page}");
}

#[test]
fn a_sheet_beyond_both_versions_of_its_setup_is_no_new_value() {
    let angle = |angle: &str| {
        changed(
            RACE,
            &[(
                "angle 32 with=angle-gauge; reach 62 with=caliper; bite 36",
                &format!("angle {angle} with=angle-gauge; reach 62 with=caliper; bite 36"),
            )],
        )
    };
    let lines = "right { brake-lever { angle 32 with=angle-gauge } }";
    let bench = merged(RACE, &angle("20"), &angle("44"), lines);
    let told =
        "o not ride: front brake lever angle (right) found 32°, recorded is not decided, ours 20, theirs 44";
    let diff = ["diff", "rowan/race", "--found", "rowan/back"];
    let page = said(&bench, &diff);
    assert!(page.contains(told), "{page}");
    assert!(page.contains("Not decided right brake lever angle ours 20, theirs 44 found 32°"), "{page}");
    assert!(!page.contains("Recorded now"), "{page}");
    let page = said(&bench, &[]);
    assert!(page.contains(&format!("rowan/back: d{told}")), "{page}");
    // Not read on the sheet it was not looked at, and is not decided either.
    bench.write(SHEET_FILE, as_found("saddle { tilt -1.0 with=angle-gauge }"));
    let json = bench.run(&[&diff[..], &["--json"]].concat()).json();
    let left = json["not-looked-at"].as_array().unwrap();
    assert!(left.iter().any(|one| one["measure"] == "right.brake-lever.angle"), "{json}");
    let page = said(&bench, &diff);
    assert!(page.contains("o not ride: right brake lever angle not decided, ours 20, theirs 44"), "{page}");
}

#[test]
fn a_torque_found_is_judged_by_what_both_versions_allow() {
    let found = |ours: &str, theirs: &str, applied: &str| {
        let lines = format!("torque \"stem-face\" {{ applied {applied} }}");
        let bench = merged(RACE, &stem_face(ours, ""), &stem_face(theirs, ""), &lines);
        (said(&bench, &["diff", "rowan/race", "--found", "rowan/back"]), said(&bench, &[]))
    };
    // Both have the bar's ceiling of 5 N·m.
    let (diff, overview) = found("4 5.5", "4 6", "9");
    let told = "o not ride: bar in stem tightened to 9 N·m, above the 4–5 N·m allowed";
    assert!(diff.contains(told) && !diff.contains("no range is recorded"), "{diff}");
    assert!(overview.contains(&format!("rowan/back: d{told}")), "{overview}");
    // 4.2 N·m lies within 4 to 5 and below 4.5 to 5: as long as nobody decides, it is below.
    let (diff, _) = found("4 5.5", "4.5 5", "4.2");
    let told = "bar in stem tightened to 4.2 N·m, below the 4.5–5 N·m allowed, and its range is not decided";
    assert!(diff.contains(told), "{diff}");
}

#[test]
fn the_overview_tells_of_a_sheet_what_diff_tells() {
    // The setup does not say which hand the front brake is on; the sheet does, and the hoses cross it.
    let setup = changed(RACE, &[("        front-brake right\n", "")]);
    let files = [(RACE_FILE, &*setup), (SHEET_FILE, &*as_found("rider { front-brake left }"))];
    let bench = Bench::without_git(&files);
    let told =
        "o not ride: the hose `rear brake` leaves the left lever, but the rider's front brake is on the left";
    for asked in [
        &["diff", "rowan/race", "--found", "rowan/back"][..],
        &["restore", "rowan/race", "--found", "rowan/back"],
    ] {
        let page = said(&bench, asked);
        assert!(page.contains(told), "{asked:?}: {page}");
    }
    let page = said(&bench, &[]);
    assert!(page.contains(&format!("rowan/back: d{told}")), "{page}");
    // What the setup itself reads stands in the setup's line alone.
    let setup = changed(RACE, &[("bite 36 tol=1", "bite 2 tol=0.5")]);
    bench.write(RACE_FILE, setup);
    bench.write(SHEET_FILE, as_found("saddle { tilt -1.0 with=angle-gauge }"));
    let page = said(&bench, &[]);
    assert_eq!(page.matches("do not ride").count(), 1, "{page}");
}

#[test]
fn two_damages_of_one_part_are_told_once() {
    let sheet = as_found("damage on=\"bar\" \"scored\"\n    damage on=\"bar\" \"bent\"");
    let bench = Bench::without_git(&[(RACE_FILE, RACE), (SHEET_FILE, &sheet)]);
    let page = said(&bench, &[]);
    assert!(page.contains("do not ride: bar damaged") && !page.contains("damaged; bar damaged"), "{page}");
}

#[test]
fn a_note_outside_the_marks_of_a_merge_by_lines_is_told() {
    let note = "note \"do not ride: bar cracked\"\n    torque \"stem-face\"";
    let base = changed(RACE, &[("torque \"stem-face\"", note)]);
    let ours = changed(&base, &[("bite 36", "bite 30")]);
    // A bar of 7800 mm cannot be read.
    let theirs = changed(&base, &[("width (in)30.75", "width 7800")]);
    let bench = Bench::without_git(&[("base", &base), (RACE_FILE, &ours), ("theirs", &theirs)]);
    assert_eq!(bench.run(&["merge", "base", RACE_FILE, "theirs"]).status, 2);
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    assert!(text.contains("<<<<<<<") && text.contains("bar cracked"), "{text}");
    for asked in [&[][..], &["check", "rowan/race"]] {
        let page = said(&bench, asked);
        assert!(page.contains("o not ride: bar cracked"), "{asked:?}: {page}");
    }
    // Between the marks it is told of the side that has it; a sheet tells its own.
    let between = |ours: &str, theirs: &str| {
        format!(
            "<<<<<<< ours\n    {ours}\n||||||| base\n    fork {{ rebound 1 }}\n=======\n    {theirs}\n>>>>>>> theirs"
        )
    };
    let marked = between("note \"do not ride: stem cracked\"", "note \"dry\"");
    bench.write(RACE_FILE, changed(RACE, &[("    fork {", &format!("{marked}\n    fork {{"))]));
    let page = said(&bench, &["check", "rowan/race"]);
    assert!(page.contains("Do not ride: stem cracked"), "{page}");
    bench.write(RACE_FILE, RACE);
    bench.write(
        SHEET_FILE,
        as_found(&format!("opened \"stem-face\"\n{}", between("saddle { height 1 }", ""))),
    );
    let page = said(&bench, &["check", "rowan/back"]);
    assert!(page.contains("Do not ride: opened: bar in stem"), "{page}");
}

/// A crossed hand says by itself that nobody is to ride so; what the file forbids besides is told all the same.
#[test]
fn one_finding_that_forbids_hides_no_other() {
    let crossed = |bite: &str| {
        changed(RACE, &[("front-brake right", "front-brake left"), ("bite 36 tol=1", bite)]).replacen(
            '{',
            "{\n    note \"do not ride: bar cracked\"",
            1,
        )
    };
    let (two, five) = (crossed("bite 2 tol=0.5"), crossed("bite 5 tol=1"));
    let bench = merged(RACE, &two, &five, "");
    let overview = said(&bench, &[]);
    let check = said(&bench, &["check", "rowan/race"]);
    let json = bench.run(&["check", "rowan/race", "--json"]).json();
    let line = json["files"][0]["not-to-ride"].as_str().expect("a line").to_owned();
    for words in [
        "o not ride: bar cracked; ",
        "the hand that expects the other brake pulls this one",
        "right brake bite 2 mm, as ours has it; right brake bite 5 mm, as theirs has it",
    ] {
        for page in [&overview, &check, &line] {
            assert!(page.contains(words), "{words}: {page}");
        }
    }
}
