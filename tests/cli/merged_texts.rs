//! Notes and cautions in a merge: what kept a bike from being ridden goes only with a word, and two cautions are two.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

pub fn merged(base: &str, ours: &str, theirs: &str) -> (Bench, Outcome, String) {
    let bench = Bench::without_git(&[("base", base), (RACE_FILE, ours), ("theirs", theirs)]);
    let outcome = bench.run(&["merge", "base", RACE_FILE, "theirs"]);
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    (bench, outcome, text)
}

/// The setup with a note of these paragraphs, as far in as its node and as its lines stand.
fn noted(indent: &str, paragraphs: &[&str]) -> String {
    let note = paragraphs.join(&format!("\n\n{indent}"));
    changed(RACE, &[("    fork {", &format!("    note \"\"\"\n{indent}{note}\n{indent}\"\"\"\n    fork {{"))])
}

const STOP: &str = "Do not ride: bar cracked under the left clamp.";
const TYRES: &str = "New tyres fitted in March, tubeless, with fresh sealant and narrow valves.";
const GRIPS: &str = "Grips are from the spare box.";
const GLUED: &str = "Grips are from the spare box, glued.";

#[test]
fn a_stop_goes_with_its_paragraph_only_with_a_word() {
    let base = noted("    ", &[STOP, TYRES, GRIPS]);
    let (tidied, glued) = (noted("    ", &[TYRES, GRIPS]), noted("    ", &[STOP, TYRES, GLUED]));
    for (ours, theirs, who) in [(&glued, &tidied, "theirs"), (&tidied, &glued, "ours")] {
        let (_, outcome, text) = merged(&base, ours, theirs);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert_eq!(text, noted("    ", &[TYRES, GLUED]));
        let told = format!("`note`: \"{STOP}\" is no longer there, as {who} has it: make sure");
        assert!(flowing(&outcome.out).contains(&told), "{}", outcome.screen());
    }
    // Where another paragraph is in conflict neither version has it.
    let taped = noted("    ", &[TYRES, "Grips are from the spare box, taped."]);
    let (_, outcome, text) = merged(&base, &glued, &taped);
    assert!(outcome.status == 1 && !text.contains("Do not ride"), "{text}");
    assert!(flowing(&outcome.out).contains(&format!("\"{STOP}\" is no longer there, as theirs has it")));
    // In other words it is still there.
    let closer = noted("    ", &["Do not ride: bar cracked right under the left clamp.", TYRES, GRIPS]);
    let (_, outcome, text) = merged(&base, &glued, &closer);
    assert!(
        text.contains("cracked right under") && !outcome.out.contains("no longer"),
        "{}",
        outcome.screen()
    );
}

#[test]
fn a_merged_note_keeps_the_layout_of_ours() {
    for indent in ["    ", "        ", ""] {
        let base = noted(indent, &["Left in a car.", TYRES, GRIPS]);
        let (ours, theirs) = (
            noted(indent, &["Left in a van.", TYRES, GRIPS]),
            noted("  ", &["Left in a car.", TYRES, GLUED]),
        );
        let (_, _, text) = merged(&base, &ours, &theirs);
        assert_eq!(text, noted(indent, &["Left in a van.", TYRES, GLUED]));
    }
}

#[test]
fn a_stop_goes_with_the_group_around_it_only_with_a_word() {
    let chafed = "Do not ride: chafed through at the head tube.";
    let noted = changed(RACE, &[("free 420;", &format!("note \"{chafed}\"; free 420;"))]);
    let (start, end) = (RACE.find("    hose").unwrap(), RACE.find("    torque \"stem-steerer\"").unwrap());
    let without = format!("{}{}", &RACE[..start], &RACE[end..]);
    let ours = changed(&noted, &[("rebound 7", "rebound 9")]);
    for (one, other, who) in [(&ours, &without, "theirs"), (&without, &ours, "ours")] {
        let (_, outcome, text) = merged(&noted, one, other);
        assert!(outcome.status == 0 && !text.contains("chafed"), "{}", outcome.screen());
        let told = format!("\"{chafed}\" is no longer there, as {who} has it");
        assert!(flowing(&outcome.out).contains(&told), "{}", outcome.screen());
        // The dangerous first.
        assert!(outcome.out.lines().nth(1).unwrap().contains("hose.rear brake.note"), "{}", outcome.screen());
    }
    // Both sides took it out: neither takes it from the other.
    let (_, outcome, _) = merged(&noted, &without, &without);
    assert!(!outcome.out.contains("no longer"), "{}", outcome.screen());
}

#[test]
fn a_damage_that_one_side_took_out_is_told() {
    let sheet = |lines: &str| {
        format!("found \"rowan/race\" format=1 {{\n    stem {{ length 50 tol=1 }}{lines}\n}}\n")
    };
    let (with, without) = (sheet("\n    damage on=\"bar\" \"Dent on the right\""), sheet(""));
    for (ours, theirs, who) in [(&with, &without, "theirs"), (&without, &with, "ours")] {
        let (_, outcome, _) = merged(&with, ours, theirs);
        let told = format!("`damage`: \"bar: Dent on the right\" is no longer there, as {who} has it");
        assert!(flowing(&outcome.out).contains(&told), "{}", outcome.screen());
    }
}

const EVEN: &str = "caution \"Carbon bar: even gap top and bottom, assembly paste, never above the lower of the two limits.\"";

fn with_caution(caution: &str) -> String {
    changed(RACE, &[(EVEN, &format!("{EVEN}\n        {caution}"))])
}

#[test]
fn two_new_cautions_are_both_kept() {
    let mine = "caution \"Only with the short bolts.\"";
    let yours = "caution \"Threads are dry: no grease.\"";
    let ours =
        changed(&with_caution(mine), &[(mine, &format!("applied 4.6 read=\"2031-05-12\"\n        {mine}"))]);
    let (bench, outcome, text) = merged(RACE, &ours, &with_caution(yours));
    assert_eq!(outcome.status, 0, "{}", outcome.screen());
    assert_eq!(text, changed(&ours, &[(mine, &format!("{mine}\n        {yours}"))]));
    let said = flowing(&outcome.out);
    assert!(
        said.contains("The torque of `stem-face` holds what either side changed in it: check it"),
        "{said}"
    );
    assert!(!said.contains("as theirs has it") && !said.contains("caution"), "{said}");
    let sheet = bench.run(&["torque", "rowan/race"]);
    assert!(sheet.out.contains("Only with the short bolts.") && sheet.out.contains("Threads are dry"));
    // From one side alone it is theirs.
    let (_, outcome, _) = merged(RACE, RACE, &with_caution(yours));
    let said = flowing(&outcome.out);
    assert!(said.contains("The torque of `stem-face` is taken as theirs has it"), "{said}");
    assert!(!said.contains("is new"), "{said}");
}

#[test]
fn a_range_without_a_block_is_not_taken_in_silence() {
    let base = "setup \"rowan/race\" format=1 {\n    torque \"stem-face\" 4 5\n}\n";
    let (_, outcome, text) = merged(base, base, &base.replace("4 5", "4 6"));
    assert!(text.contains("\"stem-face\" 4 6\n"), "{text}");
    assert!(
        flowing(&outcome.out).contains("The torque of `stem-face` is taken as theirs has it"),
        "{}",
        outcome.screen()
    );
    let (_, _, text) = merged(base, &base.replace("4 5", "4 4.5"), &base.replace("4 5", "4 6"));
    assert!(text.contains("conflict \"torque.stem-face\""), "{text}");
}

#[test]
fn a_caution_that_goes_is_told_and_one_changed_two_ways_counts_in_both() {
    let ours = changed(RACE, &[("rebound 7", "rebound 9")]);
    let without = changed(RACE, &[(EVEN, "")]);
    for (one, other, who) in [(&ours, &without, "theirs"), (&without, &ours, "ours")] {
        let (_, outcome, _) = merged(RACE, one, other);
        let told = "limits.\" is no longer there, as";
        assert!(
            flowing(&outcome.out).contains(&format!("{told} {who} has it: check it")),
            "{}",
            outcome.screen()
        );
    }
    let (ours, theirs) = (
        changed(RACE, &[("even gap top", "wider gap top")]),
        changed(RACE, &[("even gap top", "no gap top")]),
    );
    let (bench, outcome, text) = merged(RACE, &ours, &theirs);
    assert!(text.contains("conflict \"torque.stem-face.caution\""), "{text}");
    let both = "Of two cautions keep both: what stands between { } of either";
    for outcome in [&outcome, &bench.run(&["check", "rowan/race"])] {
        assert_eq!(outcome.status, 1);
        let said = flowing(&outcome.out);
        assert!(said.contains(both) && !said.contains("whole block"), "{}", outcome.screen());
    }
    // Until then the sheet of torques has both, and says where the conflict is.
    let sheet = bench.run(&["torque", "rowan/race"]);
    let said = flowing(&sheet.out);
    assert!(said.contains("wider gap top") && said.contains("no gap top"), "{}", sheet.screen());
    assert!(!said.contains("elsewhere"), "{}", sheet.screen());
}

#[test]
fn a_note_of_an_opened_joint_counts_on_either_side_of_a_conflict() {
    let noted = |more: &str| {
        let note = format!(
            "caution \"Set the bearing\n        note \"2031-05-09 joint opened, torque not read{more}\""
        );
        let (caution, note) = note.split_once('\n').unwrap();
        changed(RACE, &[(caution, &format!("{}\n        {caution}", note.trim()))])
    };
    // Ours answered it, theirs wrote more into it.
    let (bench, _, text) = merged(&noted(""), RACE, &noted(". Ask the shop."));
    assert!(text.contains("conflict \"torque.stem-steerer.note\""), "{text}");
    let overview = flowing(&bench.run(&[]).out);
    assert!(
        overview.contains("do not ride: opened before, torque not read since: stem on steerer"),
        "{overview}"
    );
    let check = flowing(&bench.run(&["check", "rowan/race"]).out);
    assert!(check.contains("A note tells that the stem on steerer was opened on 2031-05-09"), "{check}");
}
