//! What a merge leaves in the file and says of it, through the program.

use std::fs;

use crate::harness::{Bench, Outcome, flowing};
use crate::texts::{RACE, changed};

const RACE_FILE: &str = "setups/rowan/race.kdl";

/// The three versions merged, and what ours then holds.
fn merged(base: &str, ours: &str, theirs: &str, more: &[&str]) -> (Bench, Outcome, String) {
    let bench = Bench::without_git(&[("base", base), (RACE_FILE, ours), ("theirs", theirs)]);
    let asked = [&["merge", "base", RACE_FILE, "theirs"], more].concat();
    let outcome = bench.run(&asked);
    let text = fs::read_to_string(bench.root().join(RACE_FILE)).unwrap();
    (bench, outcome, text)
}

/// The codes of what `check` finds at fault.
fn faults(bench: &Bench) -> Vec<String> {
    let json = bench.run(&["check", "rowan/race", "--json"]).json();
    let findings = json["files"][0]["findings"].as_array().unwrap().iter();
    let faults = findings.filter(|finding| finding["severity"] == "fault");
    faults.map(|finding| finding["code"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn two_sources_of_one_day_are_both_kept() {
    let by = |who: &str| changed(RACE, &[("by=\"own stand, wheels on the floor\"", who)]);
    let (workshop, park) = (by("by=\"workshop\""), by("by=\"car park\""));
    for (ours, theirs) in [(&workshop, &park), (&park, &workshop)] {
        let (_, outcome, text) = merged(RACE, ours, theirs, &[]);
        assert_eq!(outcome.status, 0, "{}", outcome.screen());
        assert_eq!(text, by("by=\"car park; workshop\""));
        let said = flowing(&outcome.out);
        assert!(said.contains("names both sources: car park; workshop."), "{}", outcome.screen());
    }
    // Merged once more, neither is named twice.
    let both = by("by=\"car park; workshop\"");
    assert_eq!(merged(RACE, &both, &workshop, &[]).2, both);
}

#[test]
fn an_undecided_instrument_is_not_unknown_besides() {
    let base = changed(RACE, &[("stem { length 50;", "stem { length 50 with=rule;")]);
    let ours = changed(&base, &[("rule tol=0.5", "rule tol=1.0")]);
    let theirs = changed(&base, &[("rule tol=0.5", "rule tol=0.2")]);
    let (bench, outcome, text) = merged(&base, &ours, &theirs, &[]);
    assert_eq!(outcome.status, 1, "{}", outcome.screen());
    assert!(text.contains("length 50 with=rule;"), "{text}");
    assert_eq!(faults(&bench), ["unresolved-conflict"]);
    // One that nobody ever defined is unknown all the same.
    bench.write(RACE_FILE, text.replacen("length 50 with=rule;", "length 50 with=ruler;", 1));
    assert_eq!(faults(&bench), ["unresolved-conflict", "unknown-instrument"]);
}

#[test]
fn a_comment_inside_a_comment_comes_over_as_one() {
    // KDL 2.0, 3.16: comments of several lines may stand inside one another.
    let comment = "/* Both levers /* left first */ were moved */";
    let theirs = changed(RACE, &[("    left {\n", &format!("    {comment}\n    left {{\n"))]);
    let ours = changed(RACE, &[("rebound 7", "rebound 9")]);
    let (_, outcome, text) = merged(RACE, &ours, &theirs, &[]);
    assert_eq!(text, changed(&theirs, &[("rebound 7", "rebound 9")]));
    assert_eq!(outcome.screen().lines().count(), 2, "nothing is lost: {}", outcome.screen());
}

#[test]
fn a_conflict_names_the_branches_and_stays_readable() {
    let ours = changed(RACE, &[("stem { length 50;", "stem { length 40;")]);
    let theirs = changed(RACE, &[("stem { length 50;", "stem { length 60;")]);
    let labels = ["--base-label", "1a2b3c4", "--ours-label", "HEAD", "--theirs-label", "wet \"race\""];
    let (bench, outcome, text) = merged(RACE, &ours, &theirs, &labels);
    let said = flowing(&outcome.out);
    // Whence either is stands here as it does in the file, and as `check` has it.
    let of = "2031-05-02, own stand, wheels on the floor";
    let told = format!("Ours (HEAD, {of}): length 40. Theirs (wet \"race\", {of}): length 60.");
    assert!(said.contains(&told), "{told}\n{said}");
    assert!(!said.contains("Only "), "both changed it: {said}");
    assert!(text.contains("from=\"HEAD\" { length 40 }"), "{text}");
    assert!(text.contains("from=\"wet \\\"race\\\"\" { length 60 }"), "{text}");
    assert_eq!(faults(&bench), ["unresolved-conflict"]);
    let check = flowing(&bench.run(&["check", "rowan/race"]).out);
    assert!(check.contains("ours `length 40` (HEAD, 2031-05-02, own stand"), "{check}");
    // A git that knows no names leaves its place-holders.
    let (_, _, text) = merged(RACE, &ours, &theirs, &["--ours-label=%X", "--theirs-label=%Y"]);
    assert!(!text.contains("from=\""), "{text}");
}

#[test]
fn what_one_side_alone_changed_is_in_conflict_for_a_reason() {
    let session = "measured \"2031-05-02\" by=\"own stand, wheels on the floor\"";
    let ours = changed(
        RACE,
        &[(session, "measured \"2031-05-30\" by=\"workshop\""), ("stem { length 50;", "stem { length 40;")],
    );
    // Dated anew, and nothing else.
    let theirs = changed(RACE, &[(session, "measured \"2031-06-01\" by=\"car park\"")]);
    // The newer one dates the file.
    let forty = "length 40 read=\"2031-05-30\"";
    let (mine, yours) = ("2031-05-30, workshop", "2031-06-01, car park");
    for (one, other, changed_by) in [(&ours, &theirs, "ours"), (&theirs, &ours, "theirs")] {
        let labels = ["--ours-label", "HEAD", "--theirs-label", "bert"];
        let (bench, outcome, _) = merged(RACE, one, other, &labels);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
        let (here, there, told) = if changed_by == "ours" {
            (format!("(HEAD, {mine}): {forty}."), format!("(bert, {yours}): length 50."), "Only ours (HEAD)")
        } else {
            (
                format!("(HEAD, {yours}): length 50."),
                format!("(bert, {mine}): {forty}."),
                "Only theirs (bert)",
            )
        };
        let left = if changed_by == "ours" { "theirs (bert)" } else { "ours (HEAD)" };
        let said = flowing(&outcome.out);
        let told = format!(
            "Not decided: stem.length. Ours {here} Theirs {there} {told} changed it; {left} was measured later and has it \
             as it was: read it again."
        );
        assert!(said.contains(&told), "{told}\n{}", outcome.screen());
        let check = flowing(&bench.run(&["check", "rowan/race"]).out);
        let (of_ours, of_theirs) = if changed_by == "ours" { (mine, yours) } else { (yours, mine) };
        assert!(check.contains(&format!("(HEAD, {of_ours})")), "{check}");
        assert!(check.contains(&format!("(bert, {of_theirs})")), "{check}");
        // Once more, for the words in the JSON.
        bench.write(RACE_FILE, one);
        let asked = [&["merge", "base", RACE_FILE, "theirs", "--json"], &labels[..]].concat();
        let json = bench.run(&asked).json();
        let conflict = &json["conflicts"][0];
        assert_eq!(conflict["one-sided"]["changed-by"], changed_by, "{json}");
        assert_eq!(conflict["one-sided"]["because"], "later-session", "{json}");
        let (day, by) = of_theirs.split_once(", ").unwrap();
        assert_eq!(
            (&conflict["sources"][1]["read"], &conflict["sources"][1]["by"]),
            (&day.into(), &by.into())
        );
    }
}

#[test]
fn a_text_with_marks_in_it_hides_no_fault_elsewhere() {
    let marks = "note \"\"\"\n<<<<<<< ours\nwet\n=======\ndry\n>>>>>>> theirs\n\"\"\"\n    fork {";
    let noted = changed(RACE, &[("fork {", marks)]);
    let bench = Bench::without_git(&[(RACE_FILE, &changed(&noted, &[("rebound 7", "rebound ?")]))]);
    let found = faults(&bench);
    assert!(!found.is_empty() && !found.contains(&"unresolved-conflict".to_owned()), "{found:?}");
}

#[test]
fn a_line_of_a_conflict_kept_whole_says_what_of_it_to_keep() {
    let stray = "ours read=\"2031-05-02\" by=\"own stand\" { length 50 }";
    for text in [
        changed(RACE, &[("stem { length 50;", &format!("stem {{ {stray};"))]),
        changed(RACE, &[("rule tol=0.5", "theirs { rule tol=0.5 }")]),
        changed(
            RACE,
            &[("class=8.8 {\n        ceiling \"bar\" 5", "class=8.8 {\n        ours { ceiling \"bar\" 5 }")],
        ),
    ] {
        let bench = Bench::without_git(&[(RACE_FILE, &text)]);
        let outcome = bench.run(&["check", "rowan/race"]);
        assert_eq!(outcome.status, 1);
        let said = flowing(&outcome.out);
        assert!(said.contains("keep what stands between { } of it, without `"), "{}", outcome.screen());
    }
}

#[test]
fn on_an_undecided_conflict_no_command_works_in_silence() {
    let ours = changed(RACE, &[("stem { length 50;", "stem { length 40;")]);
    let theirs = changed(RACE, &[("stem { length 50;", "stem { length 60;")]);
    let (bench, _, _) = merged(RACE, &ours, &theirs, &[]);
    let found = bench.run(&["found", "rowan/race", "--to", "sheet.kdl"]);
    assert_eq!(found.status, 2, "{}", found.screen());
    let said = flowing(&found.err);
    assert!(said.contains("ours `length 40`") && said.contains("theirs `length 60`"), "{}", found.screen());
    assert!(!bench.root().join("sheet.kdl").exists());
    for asked in [&["body", "rowan/race"][..], &["try", "rowan/race", "tyres.front=22"]] {
        let outcome = bench.run(asked);
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
    }
}

#[test]
fn of_blocks_in_conflict_what_is_true_of_both_is_to_be_kept() {
    // Ours tightened it again, theirs looked up a lower range: whoever keeps one of the blocks loses the other's news.
    let caution = "caution \"Carbon bar: even gap";
    let applied = (caution, "applied 4.8 read=\"2031-05-12\"; caution \"Carbon bar: even gap");
    let range = ("torque \"stem-face\" 4 5 ", "torque \"stem-face\" 4 4.6 ");
    let (ours, theirs) = (changed(RACE, &[applied]), changed(RACE, &[range]));
    let (bench, outcome, text) = merged(RACE, &ours, &theirs, &[]);
    assert!(text.contains("conflict \"torque.stem-face\""), "{text}");
    let told =
        "with what is true of both: of a torque the lower limit, every ceiling, and what was last applied";
    for outcome in [outcome, bench.run(&["check", "rowan/race"])] {
        assert_eq!(outcome.status, 1, "{}", outcome.screen());
        let said = flowing(&outcome.out);
        assert!(said.contains(told), "{}", outcome.screen());
        assert!(!said.contains("between { } of one"), "it would lose a limit: {}", outcome.screen());
    }
    // A reading is one line: there nothing else is lost.
    let (ours, theirs) =
        (changed(RACE, &[("length 50;", "length 40;")]), changed(RACE, &[("length 50;", "length 60;")]));
    let (_, outcome, _) = merged(RACE, &ours, &theirs, &[]);
    assert!(!outcome.out.contains("whole block"), "{}", outcome.screen());
    // Beside a torque it is said of the reading alone.
    let both = |side: &str, length: &str| changed(side, &[("length 50;", length)]);
    let range = changed(RACE, &[range]);
    let applied = changed(RACE, &[applied]);
    let (_, outcome, _) = merged(RACE, &both(&applied, "length 40;"), &both(&range, "length 60;"), &[]);
    let said = flowing(&outcome.out);
    assert!(
        said.contains("but for a torque, a mark and a caution keep what stands between"),
        "{}",
        outcome.screen()
    );
}

#[test]
fn a_commit_is_named_in_nine_digits() {
    let ours = changed(RACE, &[("stem { length 50;", "stem { length 40;")]);
    let theirs = changed(RACE, &[("stem { length 50;", "stem { length 60;")]);
    let whole = "8d0468f2a1b3c4d5e6f708192a3b4c5d6e7f8091";
    let (_, outcome, text) = merged(RACE, &ours, &theirs, &["--theirs-label", whole]);
    assert!(text.contains("from=\"8d0468f2a\" { length 60 }"), "{text}");
    assert!(flowing(&outcome.out).contains("Theirs (8d0468f2a, "), "{}", outcome.screen());
}

#[test]
fn whose_version_is_which_is_told_where_it_is_not_decided() {
    // In a rebase HEAD is what one's own commits are put upon.
    let turned = |angle: &str| {
        let lever =
            "right {\n        grip { length 134; hand 62 }\n        brake-lever { from-tip 168; angle ";
        changed(RACE, &[(&format!("{lever}32"), &format!("{lever}{angle}"))])
    };
    let labels = ["--ours-label", "HEAD", "--theirs-label", "8d0468f (lever down)"];
    let (bench, _, _) = merged(RACE, &turned("28"), &turned("36"), &labels);
    for asked in [&[][..], &["check"]] {
        let outcome = bench.run(asked);
        let told = "right brake lever angle not decided, ours (HEAD) 28, theirs (8d0468f (lever down)) 36";
        assert!(flowing(&outcome.out).contains(told), "{}", outcome.screen());
    }
}

#[test]
fn a_conflict_that_holds_neither_version_says_so() {
    let empty = changed(RACE, &[("stem { length 50;", "stem { conflict \"stem.length\" {\n    }\n")]);
    let bench = Bench::without_git(&[(RACE_FILE, &empty)]);
    let check = bench.run(&["check"]);
    let said = flowing(&check.out);
    assert!(said.contains("A `conflict` over `stem.length` holds neither version."), "{}", check.screen());
    assert!(said.contains("Read it again"), "{}", check.screen());
}

#[test]
fn a_torque_that_went_as_its_joint_was_opened_is_of_that_day() {
    let with =
        |inside: &str| changed(RACE, &[("tool=\"T25\" {", &format!("tool=\"T25\" {{\n        {inside}"))]);
    let base = with("applied 2.8 read=\"2031-05-02\"");
    let tightened = with("applied 3 read=\"2031-05-20\"");
    let opened = with("note \"2031-05-24 joint opened, torque not read\"");
    let (_, outcome, text) = merged(&base, &opened, &tightened, &["--ours-label", "HEAD"]);
    // The one that was opened is the later.
    assert!(flowing(&outcome.out).contains("Ours (HEAD, 2031-05-24): "), "{}", outcome.screen());
    assert!(text.contains("ours read=\"2031-05-24\""), "{text}");
}

#[test]
fn a_note_against_riding_counts_on_either_side_of_a_conflict() {
    let with =
        |note: &str| changed(RACE, &[("stem { length 50;", &format!("stem {{ note \"{note}\"; length 50;"))]);
    let notes = [
        (
            "damage: cracked at the face",
            "damage: cracked at the face, and deeper",
            "stem: cracked at the face, and deeper",
        ),
        ("do not ride: one bolt is lost", "do not ride: both bolts are lost", "stem: both bolts are lost"),
    ];
    for (was, now, told) in notes {
        // One side took the note out, the other one wrote more into it.
        for (ours, theirs) in [(RACE.to_owned(), with(now)), (with(now), RACE.to_owned())] {
            let (bench, _, text) = merged(&with(was), &ours, &theirs, &[]);
            assert!(text.contains("conflict \"stem.note\""), "{text}");
            let git_diff =
                ["git-diff", RACE_FILE, "base", "1111111", "100644", RACE_FILE, "0000000", "100644"];
            for asked in [&["check"][..], &[], &git_diff] {
                let outcome = bench.run(asked);
                let said = flowing(&outcome.out);
                let verdict = if asked == ["check"] { "A note tells" } else { "o not ride: " };
                let told_so = said.split(verdict).skip(1).any(|rest| rest.contains(told));
                assert!(told_so, "{asked:?}: {}", outcome.screen());
            }
        }
    }
}
