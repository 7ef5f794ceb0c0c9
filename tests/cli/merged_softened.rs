//! What a merge tells of what became milder, by whose name it tells it, and which figures it names.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";
const SHEET_FILE: &str = "setups/rowan/back.kdl";
const LABELS: [&str; 4] = ["--ours-label", "HEAD", "--theirs-label", "bert"];

fn merged_as(path: &str, base: &str, ours: &str, theirs: &str, more: &[&str]) -> (Bench, Outcome, String) {
    let bench = Bench::without_git(&[(RACE_FILE, RACE)]);
    for (name, text) in [("base", base), (path, ours), ("theirs", theirs)] {
        bench.write(name, text);
    }
    let outcome = bench.run(&[&["merge", "base", path, "theirs", "--path", path], more].concat());
    let text = fs::read_to_string(bench.root().join(path)).unwrap();
    (bench, outcome, text)
}

fn merged(base: &str, ours: &str, theirs: &str) -> (Bench, Outcome, String) {
    merged_as(RACE_FILE, base, ours, theirs, &LABELS)
}

/// What hangs on nothing else.
fn elsewhere(text: &str) -> String {
    changed(text, &[("steep and rough", "steep and wet")])
}

#[test]
fn what_a_setup_reads_or_was_tightened_to_softens_only_with_a_word() {
    let bite = changed(RACE, &[("bite 36 tol=1", "bite 2 tol=1")]);
    let tight = |figure: &str| {
        let applied = format!("class=8.8 {{\n        applied {figure}\n        ceiling \"bar\" 5");
        changed(RACE, &[("class=8.8 {\n        ceiling \"bar\" 5", &applied)])
    };
    // 8 N·m where the bar allows 5, and 2 N·m of 2.5 to 3.5: below half of the 2.5 no reason would settle it.
    let (too_tight, slack) =
        (tight("8"), changed(RACE, &[("tool=\"T25\" {", "tool=\"T25\" {\n        applied 2")]));
    let meant = "    accept torque-applied-below \"I ride slowly\" on=\"left.brake-lever\"\n    fork {";
    for (danger, milder, told) in [
        (&bite, changed(RACE, &[("bite 36 tol=1; ", "")]), "`right.brake-lever.bite`: by"),
        (&bite, changed(RACE, &[("bite 36 tol=1", "bite unmeasured")]), "right brake bite 2 mm"),
        (&too_tight, RACE.to_owned(), "bar in stem last tightened to 8 N·m, above the 4–5 N·m allowed"),
        (&slack, changed(&slack, &[("    fork {", meant)]), "`torque.left.brake-lever`: by"),
    ] {
        let other = elsewhere(danger);
        for (ours, theirs, who) in [(&other, &milder, "ours (HEAD)"), (&milder, &other, "theirs (bert)")] {
            let (_, outcome, text) = merged(danger, ours, theirs);
            assert_eq!(outcome.status, 0, "{}", outcome.screen());
            assert!(text.contains("steep and wet"), "{text}");
            let said = flowing(&outcome.out);
            assert!(
                said.contains(told) && said.contains(&format!("by {who} nobody rides: ")),
                "{told}: {said}"
            );
            assert!(said.contains("make sure that it is put right before anybody rides."), "{said}");
            assert_eq!(said.matches("nobody rides: ").count(), 1, "once: {said}");
        }
        // What gets graver needs no word.
        let (_, outcome, _) = merged(&milder, &elsewhere(&milder), danger);
        assert!(!outcome.out.contains("nobody rides"), "{}", outcome.screen());
    }
    // Read again on a later day, it was put right.
    let better = changed(RACE, &[("bite 36 tol=1", "bite 36 tol=1 read=\"2031-05-20\"")]);
    let (_, outcome, _) = merged(&bite, &elsewhere(&bite), &better);
    assert!(!outcome.out.contains("nobody rides"), "{}", outcome.screen());
    // Undecided, both versions stand.
    let (ours, theirs) = (
        changed(RACE, &[("bite 36 tol=1", "bite 2 tol=1")]),
        changed(RACE, &[("bite 36 tol=1", "bite 20 tol=1")]),
    );
    let (_, outcome, text) = merged(RACE, &ours, &theirs);
    assert!(outcome.status == 1 && text.contains("conflict \"right.brake-lever.bite\""), "{text}");
    assert!(!outcome.out.contains("nobody rides"), "{}", outcome.screen());
}

#[test]
fn what_a_sheet_found_moved_softens_only_with_a_word() {
    let sheet = |twist: &str, lines: &str| {
        format!(
            "found \"rowan/race\" format=1 {{\n    measured \"2031-05-20\" by=\"rider\"\n    floor 0\n{twist}{lines}}}\n"
        )
    };
    let height = "    saddle { height 742 tol=1 }\n";
    let twisted = "    stem { twist 3.5 tol=1 }\n";
    for milder in [
        "",
        "    stem { twist unmeasured }\n",
        "    stem { twist 0 tol=1 }\n",
        "    stem { twist 3.5 tol=6 }\n",
    ] {
        let (base, other) = (sheet(twisted, ""), sheet(twisted, height));
        let milder = sheet(milder, "");
        for (ours, theirs, who) in [(&other, &milder, "ours (HEAD)"), (&milder, &other, "theirs (bert)")] {
            let (_, outcome, text) = merged_as(SHEET_FILE, &base, ours, theirs, &LABELS);
            assert!(outcome.status == 0 && text.contains("height 742"), "{text}\n{}", outcome.screen());
            let said = flowing(&outcome.out);
            let told = format!("`stem.twist`: by {who} nobody rides: stem twist moved 3.5");
            assert!(said.contains(&told), "{told}\n{}", outcome.screen());
            assert_eq!(said.matches("nobody rides: ").count(), 1, "once: {said}");
        }
    }
}

#[test]
fn a_side_is_called_as_git_calls_it() {
    let danger = changed(RACE, &[("stem { length", "stem { note \"do not ride: bar cracked\"; length")]);
    let other = elsewhere(&danger);
    for (ours, theirs, more, told) in [
        (&other, RACE, &LABELS[..], "is no longer there, as bert has it:"),
        (&RACE.to_owned(), &*other, &LABELS, "is no longer there, as HEAD has it:"),
        (&other, RACE, &[], "is no longer there, as theirs has it:"),
    ] {
        let (_, outcome, _) = merged_as(RACE_FILE, &danger, ours, theirs, more);
        assert!(flowing(&outcome.out).contains(told), "{told}: {}", outcome.screen());
    }
}

#[test]
fn a_torque_that_is_taken_names_its_figures() {
    let range = ("torque \"stem-face\" 4 5 ", "torque \"stem-face\" 4 8 ");
    let ceiling = ("class=8.8 {\n        ceiling \"bar\" 5\n", "class=8.8 {\n");
    let applied = ("tool=\"T25\" {", "tool=\"T25\" {\n        applied 2.8 read=\"2031-05-02\"");
    for (change, told) in [
        (range, "The torque of `stem-face` is taken as bert has it (`4 8`, not `4 5`): check it"),
        (
            ceiling,
            "The torque of `stem-face` is taken as bert has it (without `ceiling \"bar\" 5`): check it",
        ),
        (
            applied,
            "The torque of `left.brake-lever` is taken as bert has it (`applied 2.8 read=\"2031-05-02\"`): check it",
        ),
    ] {
        let (_, outcome, _) = merged(RACE, &elsewhere(RACE), &changed(RACE, &[change]));
        assert!(flowing(&outcome.out).contains(told), "{told}\n{}", outcome.screen());
    }
}

#[test]
fn what_is_to_be_fitted_or_compared_goes_only_with_a_word() {
    for (note, told) in [
        ("to be fitted: new front pads", "make sure that it was fitted."),
        ("2031-05-02 to be compared first: stem faces", "make sure that it was compared."),
    ] {
        let base = changed(RACE, &[("    fork {", &format!("    note \"{note}\"\n    fork {{"))]);
        let (_, outcome, text) = merged(&base, &elsewhere(&base), RACE);
        assert!(!text.contains(note), "{text}");
        let told = format!("`note`: \"{note}\" is no longer there, as bert has it: {told}");
        assert!(flowing(&outcome.out).contains(&told), "{told}\n{}", outcome.screen());
    }
}

#[test]
fn a_clamp_of_another_and_a_place_of_its_own_are_decided_together() {
    let place = "mount own; from-tip 191";
    let ours = changed(RACE, &[(place, "mount own; from-tip 180")]);
    let theirs = changed(RACE, &[(place, "mount shared slot=inner")]);
    for (ours, theirs, placed_by) in [(&ours, &theirs, "theirs (bert)"), (&theirs, &ours, "ours (HEAD)")] {
        let (bench, outcome, text) = merged(RACE, ours, theirs);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
        let why = format!(
            "Only {placed_by} changed it; whose clamp a control sits on, and where, is decided together."
        );
        assert_eq!(flowing(&outcome.out).matches("Only ").count(), 1, "{}", outcome.screen());
        assert!(flowing(&outcome.out).contains(&why), "{why}\n{}", outcome.screen());
        for about in ["left.dropper-remote.mount", "left.dropper-remote.from-tip"] {
            assert!(text.contains(&format!("conflict \"{about}\" {{")), "{about}: {text}");
        }
        // No version but a conflict is at fault.
        let json = bench.run(&["check", "rowan/race", "--json"]).json();
        let findings = json["files"][0]["findings"].as_array().unwrap().iter();
        let faults = findings.filter(|finding| finding["severity"] == "fault");
        assert!(
            faults.clone().count() == 2 && faults.clone().all(|one| one["code"] == "unresolved-conflict")
        );
        // Of the place one side has none: there nothing stands between { }.
        assert!(
            flowing(&outcome.out).contains("To keep that it is not recorded, take the whole `conflict` out."),
            "{}",
            outcome.screen()
        );
    }
    // The clamp alone is one side's to change.
    let theirs = changed(RACE, &[(place, "mount shared slot=inner")]);
    let (_, outcome, _) = merged(RACE, &elsewhere(RACE), &theirs);
    assert_eq!(outcome.status, 0, "{}", outcome.screen());
}

#[test]
fn paragraphs_in_a_message_stand_apart() {
    let note = |end: &str| {
        let note = format!(
            "    note \"\"\"\n        Before every stage.\n\n        {end}\n        \"\"\"\n    fork {{"
        );
        changed(RACE, &[("    fork {", &note)])
    };
    let base = note("do not ride: left lever loose\n\n        Marks looked at.");
    let (ours, theirs) = (
        note("do not ride: left lever bent\n\n        Marks gone."),
        note("Lever clean.\n\n        Marks new."),
    );
    let (_, outcome, _) = merged(&base, &ours, &theirs);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    let said = flowing(&outcome.out);
    assert!(said.contains("do not ride: left lever bent / Marks gone."), "{said}");
}

/// One side forbids it for something else than the base did, in much the same words; what only says more is the same.
#[test]
fn a_note_that_forbids_riding_goes_for_no_other_without_a_word() {
    let noted = |text: &str, note: &str| {
        changed(
            text,
            &[("    torque \"stem-face\"", &format!("    note \"{note}\"\n    torque \"stem-face\""))],
        )
    };
    for (before, after, is_told) in [
        ("do not ride: hose nicked", "do not ride: bar cracked", true),
        ("do not ride: front brake hose nicked", "do not ride: rear brake hose nicked", true),
        ("2031-05-14 damage on bar: scored", "2031-05-14 damage on stem: scored", true),
        ("do not ride: hose nicked", "do not ride: hose nicked at the lever", false),
    ] {
        let (base, other) = (noted(RACE, before), noted(RACE, after));
        let aside = elsewhere(&base);
        for (ours, theirs, whose) in [(&other, &aside, "HEAD"), (&aside, &other, "bert")] {
            let (_, outcome, text) = merged(&base, ours, theirs);
            assert!(outcome.status == 0 && text.contains(after), "{text}");
            let said = flowing(&outcome.out);
            let told = format!("\"{before}\" is \"{after}\" now, as {whose} has it");
            let lost = format!("\"{before}\" is no longer there, as {whose} has it");
            assert_eq!(
                said.contains(&told) || said.contains(&lost),
                is_told,
                "{before}: {}",
                outcome.screen()
            );
        }
    }
}
