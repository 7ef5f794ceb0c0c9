//! `git merge`, `rebase`, `cherry-pick`, `stash` through our merge driver.

use crate::bench::{Bench, RACE, flowing};

const SETUP: &str = "setups/rowan/race.kdl";

/// A branch `wet` that changed one thing, and `main` that changed another.
fn forked(on_main: (&str, &str), on_wet: (&str, &str)) -> Bench {
    let bench = Bench::adopted();
    bench.fork(&[on_main], &[on_wet]);
    bench
}

/// Two measures on one line, which lines cannot merge.
fn one_line() -> Bench {
    forked(("length 50; angle 0", "length 40; angle 0"), ("length 50; angle 0", "length 50; angle 6"))
}

fn is_both(bench: &Bench) {
    let expected = RACE.replace("length 50; angle 0", "length 40; angle 6");
    assert_eq!(bench.read(SETUP), expected);
}

#[test]
#[ignore = "needs the git program"]
fn two_measures_on_one_line_merge() {
    let bench = one_line();
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    is_both(&bench);
    let text = bench.said(&["history", "rowan/race"]);
    assert!(text.contains("Merge branch"), "{text}");
    assert!(!text.contains("Wet"), "the first parents alone: {text}");
    assert!(bench.said(&["history", "rowan/race", "--all"]).contains("Wet"));
}

#[test]
#[ignore = "needs the git program"]
fn rebase_cherry_pick_and_stash_merge_the_same_way() {
    let bench = one_line();
    bench.git(&["checkout", "-q", "wet"]);
    bench.git(&["rebase", "-q", "main"]);
    is_both(&bench);
    let bench = one_line();
    bench.git(&["cherry-pick", "wet"]);
    is_both(&bench);
    let bench = Bench::adopted();
    bench.change("length 50; angle 0", "length 50; angle 6");
    bench.git(&["stash", "-q"]);
    bench.change("length 50; angle 0", "length 40; angle 0");
    bench.commit("Dry");
    bench.git(&["stash", "pop", "-q"]);
    is_both(&bench);
}

#[test]
#[ignore = "needs the git program"]
fn a_conflict_stands_in_the_file_and_check_finds_it() {
    let bench = forked(("length 50;", "length 40;"), ("length 50;", "length 60;"));
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    let of = "2026-05-02, own stand, wheels on the floor";
    let told =
        format!("Not decided: stem.length. Ours (HEAD, {of}): length 40. Theirs (wet, {of}): length 60.");
    assert!(flowing(&text).contains(&told), "{text}");
    let file = bench.read(SETUP);
    assert!(
        file.contains(
            "ours read=\"2026-05-02\" by=\"own stand, wheels on the floor\" from=\"HEAD\" { length 40 }"
        ),
        "{file}"
    );
    let check = bench.said(&["check", "rowan/race"]);
    assert!(
        check.contains("Two versions of `stem.length`") && check.contains("theirs `length 60` (wet,"),
        "{check}"
    );
    // The gate does not let it through.
    bench.git(&["add", "-A"]);
    let text = bench.git_ending(1, &["commit", "-m", "Merge"]);
    assert!(text.contains("The commit is stopped"), "{text}");
    // One line kept, and it goes on.
    let start = file.find("conflict").unwrap();
    let end = start + file[start..].find("\n    }").unwrap() + "\n    }".len();
    bench.write(SETUP, &format!("{}length 40{}", &file[..start], &file[end..]));
    bench.commit("Merge");
    assert_eq!(bench.read(SETUP), RACE.replace("length 50;", "length 40;"));
}

#[test]
#[ignore = "needs the git program"]
fn a_checkout_with_crlf_merges_and_keeps_its_line_ends() {
    let bench = one_line();
    bench.git(&["config", "core.autocrlf", "true"]);
    bench.git(&["checkout", "-q", "wet"]);
    bench.git(&["rm", "-q", "--cached", SETUP]);
    bench.git(&["reset", "-q", "--hard"]);
    assert!(bench.read(SETUP).contains("\r\n"));
    bench.git(&["merge", "-q", "--no-edit", "main"]);
    let expected = RACE.replace("length 50; angle 0", "length 40; angle 6").replace('\n', "\r\n");
    assert_eq!(bench.read(SETUP), expected);
    assert_eq!(bench.clampmark(&["history", "rowan/race"]).status.code(), Some(0));
}

#[test]
#[ignore = "needs the git program"]
fn what_cannot_be_merged_by_measure_is_marked_and_does_not_get_past_the_gate() {
    let bench = Bench::adopted();
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50; angle 0", "lenght 40; angle 0");
    bench.change("height 742 tol=1", "height 736 tol=1");
    bench.git(&["commit", "-q", "-a", "--no-verify", "-m", "Wet, with a slip"]);
    bench.git(&["checkout", "-q", "main"]);
    bench.change("roll -1.5", "roll 2.0");
    bench.commit("Dry");
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    assert!(text.contains("Their version cannot be read") && text.contains("lenght"), "{text}");
    let file = bench.read(SETUP);
    for reading in ["lenght 40", "length 50", "height 736", "height 742", "roll 2.0", "roll -1.5"] {
        assert!(file.contains(reading), "{reading} is lost: {file}");
    }
    for mark in ["<<<<<<< ours (HEAD)\n", "\n||||||| base (", "\n>>>>>>> theirs (wet)\n"] {
        assert!(file.contains(mark), "{mark}: {file}");
    }
    // What the saddle was before stands between the two versions.
    assert_eq!(file.matches("height 742").count(), 2, "{file}");
    // One finding for each place, at its mark, and none for what the marks do to the text around them.
    let check = bench.said(&["check", "rowan/race", "--json"]);
    let check: serde_json::Value = serde_json::from_str(&check).unwrap();
    let findings = check["files"][0]["findings"].as_array().unwrap();
    let told: Vec<_> =
        findings.iter().map(|found| (found["code"].as_str().unwrap(), found["line"].as_u64())).collect();
    let marks = file.lines().enumerate().filter(|(_, line)| line.starts_with("<<<<<<< "));
    let expected: Vec<_> = marks.map(|(place, _)| ("unresolved-conflict", Some(place as u64 + 1))).collect();
    assert_eq!(expected.len(), 3, "stem, bar and saddle");
    assert_eq!(told, expected);
    bench.git(&["add", "-A"]);
    let text = bench.git_ending(1, &["commit", "-m", "Merge"]);
    assert!(text.contains("conflict marks") && text.contains("The commit is stopped"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn an_instrument_that_one_side_took_away_loses_no_reading() {
    let bench = Bench::adopted();
    bench.change("instruments {", "instruments {\n        own-gauge tol=0.3");
    bench.commit("A gauge");
    bench.fork(
        &[("\n        own-gauge tol=0.3", "")],
        &[("slot=inner; angle 41", "slot=inner; angle 38 with=own-gauge")],
    );
    bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("angle 38 with=own-gauge") && file.contains("angle 41"), "{file}");
    bench.git(&["add", "-A"]);
    bench.git_ending(1, &["commit", "-m", "Merge"]);
}

/// The setup with each conflict's one side kept, as `check` says: the line in braces in place of the whole node.
fn keeping(side: &str, text: &str) -> String {
    let mut text = text.to_owned();
    while let Some(start) = text.find("conflict ") {
        let end = start + text[start..].find("\n        }").expect("its end") + "\n        }".len();
        let kept = text[start..end].lines().find(|line| line.trim().starts_with(side)).expect("the side");
        let kept = kept[kept.find("{ ").expect("a version") + 2..].trim_end_matches(" }").to_owned();
        text.replace_range(start..end, &kept);
    }
    text
}

#[test]
#[ignore = "needs the git program"]
fn a_line_kept_from_a_conflict_keeps_its_day() {
    let measured = "\"2026-05-02\" by=\"own stand, wheels on the floor\"";
    let bench = Bench::adopted();
    bench.fork(
        &[(measured, "\"2026-05-12\" by=\"mechanic\""), ("reach 62", "reach 59")],
        &[(measured, "\"2026-05-10\" by=\"rider\""), ("reach 62", "reach 65")],
    );
    bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("measured \"2026-05-12\""), "{file}");
    bench.write(SETUP, &keeping("theirs", &file));
    bench.commit("Merge");
    // As a merge without a conflict would have written it.
    assert!(bench.read(SETUP).contains("reach 65 with=caliper read=\"2026-05-10\""), "{}", bench.read(SETUP));
    bench.write(SETUP, &keeping("ours", &file));
    assert!(bench.read(SETUP).contains("reach 59 with=caliper; bite"), "{}", bench.read(SETUP));
}

#[test]
#[ignore = "needs the git program"]
fn a_conflict_says_on_which_floor_each_angle_was_read() {
    let bench = forked(("floor 0.0", "floor 1.0"), ("angle 32 with", "angle 35 with"));
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    assert!(text.contains("Ours was read on this floor: 1.0°. Theirs on this one: 0.0°."), "{text}");
    let check = bench.said(&["check", "rowan/race"]);
    let check = flowing(&check);
    assert!(check.contains("floor: 1.0°)") && check.contains("floor: 0.0°)"), "{check}");
    assert!(check.contains("An angle stands by the floor it was read on"), "{check}");
}

#[test]
#[ignore = "needs the git program"]
fn a_torque_and_a_mark_in_conflict_have_their_own_days() {
    let applied = "applied 2.8 read=\"2026-05-02\"";
    let drawn = "drawn from-tip=168 angle=32 read=\"2026-05-02\"";
    let bench = Bench::adopted();
    bench.fork(
        &[
            (applied, "applied 2.6 read=\"2026-05-12\""),
            (drawn, "drawn from-tip=172 angle=32 read=\"2026-05-13\""),
        ],
        &[
            (applied, "applied 3.1 read=\"2026-05-10\""),
            (drawn, "drawn from-tip=170 angle=32 read=\"2026-05-11\""),
        ],
    );
    bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    for (side, day, what) in [
        ("ours", "2026-05-12", "applied 2.6"),
        ("theirs", "2026-05-10", "applied 3.1"),
        ("ours", "2026-05-13", "mark \"L1\""),
        ("theirs", "2026-05-11", "mark \"L1\""),
    ] {
        let lines = file.lines().filter(|line| line.contains(what)).map(str::trim);
        let beginning = format!("{side} read=\"{day}\"");
        assert_eq!(lines.filter(|line| line.starts_with(&beginning)).count(), 1, "{beginning}: {file}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn an_older_reading_against_a_later_session_is_a_conflict() {
    let measured = "\"2026-05-02\" by=\"own stand, wheels on the floor\"";
    let bench = Bench::adopted();
    bench.fork(
        &[(measured, "\"2026-05-20\" by=\"mechanic\"")],
        &[(measured, "\"2026-05-10\" by=\"rider\""), ("reach 62", "reach 65")],
    );
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    let text = flowing(&text);
    assert!(text.contains("Not decided: left.brake-lever.reach."), "{text}");
    assert!(text.contains("keep what stands between { } of one of them"), "{text}");
    let file = bench.read(SETUP);
    let theirs =
        "theirs read=\"2026-05-10\" by=\"rider\" from=\"wet\" { reach 65 with=caliper read=\"2026-05-10\" }";
    assert!(
        file.contains("ours read=\"2026-05-20\" by=\"mechanic\" from=\"HEAD\" { reach 62 with=caliper }"),
        "{file}"
    );
    assert!(file.contains(theirs), "{file}");
}

#[test]
#[ignore = "needs the git program"]
fn no_comment_of_ours_goes_untold() {
    let bench = forked(("length 50;", "length 50 /* as bought */;"), ("length 50;", "length 40;"));
    let text = bench.git(&["merge", "--no-edit", "wet"]);
    assert!(text.contains("our comment beside it stays: /* as bought */"), "{text}");
    assert!(bench.read(SETUP).contains("length 40 /* as bought */;"), "{}", bench.read(SETUP));
    let bench = forked(("roll -1.5 with", "roll -1.5 /* shaky */ with"), ("roll -1.5 with", "roll 2.0 with"));
    let text = bench.git(&["merge", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("roll 2.0 with") && !file.contains("shaky"), "{file}");
    assert!(text.contains("our comment inside it is not kept: /* shaky */"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn what_they_disable_is_disabled_and_told() {
    let bench = forked(("length 50;", "length 40;"), ("mark \"S1\"", "/-mark \"S1\""));
    let text = bench.git(&["merge", "--no-edit", "wet"]);
    assert!(text.contains("`mark.S1` is disabled with `/-`, as wet has it."), "{text}");
    let expected = RACE.replace("length 50;", "length 40;").replace("mark \"S1\"", "/-mark \"S1\"");
    assert_eq!(bench.read(SETUP), expected);
}
