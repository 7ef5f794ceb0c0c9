//! What is told in words merges, too: damages and opened joints of as-found sheets, notes by paragraph.

use crate::bench::Bench;

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
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let expected =
        "Ours (HEAD): note \"One strap was loose.\". Theirs (wet): note \"Two straps were loose.\".";
    assert!(told.contains(expected), "{told}");
    // Whichever is kept, everything else is merged in it.
    let file = bench.read(SHEET);
    assert_eq!((file.matches("Left in a van.").count(), file.matches("Wet.").count()), (2, 2), "{file}");
    assert!(!file.contains("Left in a car.") && !file.contains("Dry."), "{file}");
    let check = bench.said(&["check", SHEET]);
    assert_eq!(check.matches("Two versions of `note`").count(), 1, "{check}");
}
