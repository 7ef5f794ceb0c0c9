//! What is told in words merges, too: damages and opened joints of as-found sheets, notes by paragraph.

use crate::bench::{Bench, flowing};

const SHEET: &str = "setups/rowan/found.kdl";
const FOUND: &str =
    "found \"rowan/race\" format=1 {\n    measured \"2026-06-02\"\n    stem { length 50 tol=0.1 }\n}\n";

/// A sheet that two branches go on with; the merge ends with that status.
fn merged(start: &str, ours: &str, theirs: &str, status: i32) -> (Bench, String) {
    let bench = Bench::adopted();
    bench.write(SHEET, start);
    bench.commit("Arrived");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.write(SHEET, theirs);
    bench.commit("Rider");
    bench.git(&["checkout", "-q", "main"]);
    bench.write(SHEET, ours);
    bench.commit("Mechanic");
    let told = bench.git_ending(status, &["merge", "--no-edit", "wet"]);
    (bench, told)
}

#[test]
#[ignore = "needs the git program"]
fn two_damages_two_opened_joints_and_two_notes_are_four_findings_more() {
    let with = |lines: &str| FOUND.replace("    stem", &format!("{lines}    stem"));
    let ours = with(
        "    damage on=\"bar\" \"Scratch at the left clamp\"\n    opened \"stem-face\"\n    note \"Left in a car.\"\n",
    );
    let theirs = with(
        "    damage on=\"bar\" \"Dent on the right\"\n    opened \"stem-steerer\"\n    note \"One strap was loose.\"\n",
    );
    let (bench, _) = merged(FOUND, &ours, &theirs, 0);
    let file = bench.read(SHEET);
    for line in ours.lines().chain(theirs.lines()).filter(|line| *line != "}") {
        assert_eq!(file.matches(line).count(), 1, "{line}: {file}");
    }
    // One that both tell stands once; one that is mended on one side is gone.
    let both = with("    damage on=\"bar\" \"Dent\"\n    damage on=\"saddle\" \"Torn\"\n");
    let (bench, _) = merged(
        &with("    damage on=\"saddle\" \"Torn\"\n"),
        &both,
        &with("    damage on=\"bar\" \"Dent\"\n"),
        0,
    );
    assert_eq!(bench.read(SHEET), with("    damage on=\"bar\" \"Dent\"\n"));
}

#[test]
#[ignore = "needs the git program"]
fn a_conflict_in_a_note_leaves_the_other_paragraphs_merged() {
    let with = |paragraphs: [&str; 3]| {
        let note = paragraphs.join("\n\n    ");
        FOUND.replace("    stem", &format!("    note \"\"\"\n    {note}\n    \"\"\"\n    stem"))
    };
    let (bench, told) = merged(
        &with(["Left in a car.", "Straps held.", "Dry."]),
        &with(["Left in a van.", "One strap was loose.", "Dry."]),
        &with(["Left in a car.", "Two straps were loose.", "Wet."]),
        1,
    );
    let told = flowing(&told);
    let expected = "Ours (HEAD, 2026-06-02): note \"One strap was loose.\". Theirs (wet, 2026-06-02): note \"Two straps were loose.\".";
    assert!(told.contains(expected), "{told}");
    // Whichever is kept, everything else is merged in it.
    let file = bench.read(SHEET);
    assert_eq!((file.matches("Left in a van.").count(), file.matches("Wet.").count()), (2, 2), "{file}");
    assert!(!file.contains("Left in a car.") && !file.contains("Dry."), "{file}");
    let check = bench.said(&["check", SHEET]);
    assert_eq!(check.matches("Two versions of `note`").count(), 1, "{check}");
}

/// A sheet whose angles and lengths were read with the setup's own instruments.
const WITH_GAUGE: &str = "found \"rowan/race\" format=1 {\n    measured \"2026-06-02\" by=\"rider\"\n    \
     stem { length 50 with=caliper; angle 0 tol=0.5 }\n    \
     left { brake-lever { angle 32 with=angle-gauge; reach 62 with=caliper } }\n}\n";

#[test]
#[ignore = "needs the git program"]
fn a_sheet_that_names_its_setups_instruments_merges_by_measure() {
    let ours = WITH_GAUGE.replace("angle 0 tol=0.5", "angle 6 tol=0.5");
    let theirs = WITH_GAUGE.replace("length 50 with=caliper", "length 40 with=caliper");
    let (bench, text) = merged(WITH_GAUGE, &ours, &theirs, 0);
    // Two measures of one line, and no tolerance beside what the setup's instrument says.
    let expected = ours.replace("length 50 with=caliper", "length 40 with=caliper");
    assert_eq!(bench.read(SHEET), expected, "{text}");
    assert!(!text.contains("Stopped"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn readings_of_a_sheet_agree_or_not_by_the_setups_instruments() {
    // The setup's caliper reads to ±0.1: two readings agree within U = 2·√2·0.1/√3 = 0.163 mm (GUM 4.3.7, 5.1.2).
    assert!(include_str!("race.kdl").contains("caliper tol=0.1\n"));
    let reach =
        |reach: &str| WITH_GAUGE.replace("reach 62 with=caliper", &format!("reach {reach} with=caliper"));
    let (bench, text) =
        merged(WITH_GAUGE, &reach("62.1 read=\"2026-06-03\""), &reach("62.2 read=\"2026-06-04\""), 0);
    assert!(bench.read(SHEET).contains("reach 62.2"), "the later one: {text}");
    let (_, text) = merged(WITH_GAUGE, &reach("62.1"), &reach("62.4"), 1);
    assert!(text.contains("Not decided: left.brake-lever.reach"), "{text}");
}

/// The three merged by the program alone, beside no setup at all: its exit status, what it says, and what ours then holds.
fn merged_alone(base: &str, ours: &str, theirs: &str) -> (Option<i32>, String, String) {
    let bench = Bench::new("");
    for (file, text) in [("base", base), ("ours", ours), ("theirs", theirs)] {
        bench.write(file, text);
    }
    let output = bench.clampmark(&["merge", "base", "ours", "theirs"]);
    let text = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    (output.status.code(), text, bench.read("ours"))
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_whose_instruments_are_nowhere_still_merges_and_takes_nothing_for_within_reading() {
    let lonely = WITH_GAUGE.replace("rowan/race", "rowan/gone");
    let ours = lonely.replace("angle 0 tol=0.5", "angle 6 tol=0.5");
    let theirs = lonely.replace("length 50 with=caliper", "length 40 with=caliper");
    let (status, text, file) = merged_alone(&lonely, &ours, &theirs);
    assert_eq!(status, Some(0), "{text}");
    assert_eq!(file, ours.replace("length 50 with=caliper", "length 40 with=caliper"));
    // How well that caliper reads nobody knows: a tenth apart is undecided, though the table's half-width would cover it.
    let length = |length: &str| lonely.replace("length 50 with", &format!("length {length} with"));
    let (status, text, file) = merged_alone(&lonely, &length("49.9"), &length("49.8"));
    assert_eq!(status, Some(1), "{text}");
    assert!(text.contains("Not decided: stem.length") && file.contains("conflict"), "{text}{file}");
    // An instrument of neither is no fault of a sheet alone: a setup that names one is still at fault.
    let setup = "setup \"rowan/race\" format=1 { stem { length 50 with=nowhere } }\n";
    let (status, text, _) = merged_alone(setup, setup, &setup.replace("50", "40"));
    assert!(status == Some(2) && text.contains("nowhere"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_of_a_ledger_below_the_top_finds_its_setup() {
    let bench = Bench::new("bikes");
    bench.write("setups/rowan/found.kdl", WITH_GAUGE);
    bench.said(&["adopt"]);
    bench.commit("Adopt");
    // Within what the setup's caliper can tell: the later of two readings, and nothing is left to decide.
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.write(
        "setups/rowan/found.kdl",
        &WITH_GAUGE.replace("reach 62 with=caliper", "reach 62.2 with=caliper read=\"2026-06-04\""),
    );
    bench.commit("Rider");
    bench.git(&["checkout", "-q", "main"]);
    bench.write(
        "setups/rowan/found.kdl",
        &WITH_GAUGE.replace("reach 62 with=caliper", "reach 62.1 with=caliper read=\"2026-06-03\""),
    );
    bench.commit("Mechanic");
    let text = bench.git(&["merge", "--no-edit", "wet"]);
    assert!(bench.read("setups/rowan/found.kdl").contains("reach 62.2"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn what_a_merge_of_sheets_did_not_take_is_told_as_it_was_found() {
    let with = |lines: &str| FOUND.replace("    stem", &format!("{lines}    stem"));
    let bench = Bench::adopted();
    bench.write(SHEET, FOUND);
    bench.commit("Arrived");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.write(SHEET, &with("    mark \"L1\" on=\"left.brake-lever\" missing\n    opened \"stem-face\"\n"));
    bench.commit("Rider");
    bench.git(&["checkout", "-q", "main"]);
    bench.write(SHEET, &with("    note \"Left in a car.\"\n"));
    bench.commit("Mechanic");
    bench.git(&["merge", "-q", "--no-edit", "-s", "ours", "wet"]);
    let page = flowing(&bench.said(&["history", SHEET, "--all"]));
    let told = format!(
        "Not taken of what {} had changed: bar in stem opened mark L1 found gone",
        bench.short("wet")
    );
    assert!(page.contains(&told), "{told}: {page}");
    let table = bench.said(&["history", SHEET, "--all", "--csv"]);
    let rows = table.lines().filter(|line| line.ends_with(",not taken"));
    assert_eq!(
        rows.filter(|row| row.contains("opened.stem-face") || row.contains("mark.L1")).count(),
        2,
        "{table}"
    );
}
