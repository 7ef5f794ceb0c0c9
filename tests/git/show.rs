//! `git diff`, `git show`, `git log -p`.

use crate::bench::Bench;

#[test]
#[ignore = "needs the git program"]
fn git_diff_shows_what_moved() {
    let bench = Bench::adopted();
    bench.change("length 50;", "length 40;");
    let text = bench.git(&["diff"]);
    assert!(text.contains("rowan/race: from"), "{text}");
    assert!(text.contains("10.0 mm shorter"), "{text}");
    assert!(!text.contains("@@"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn show_and_log_list_line_by_line_and_fully_when_asked() {
    let bench = Bench::adopted();
    bench.change("length 50;", "length 40;");
    bench.commit("Shorter stem");
    for arguments in [vec!["show"], vec!["log", "-p", "-1"]] {
        let text = bench.git(&arguments);
        assert!(text.contains("-stem length: 50 mm") && text.contains("+stem length: 40 mm"), "{text}");
        // What it does to the hands stands beside it.
        assert!(text.contains("→ grip reach"), "{text}");
        let text = bench.git(&[&arguments[..], &["--ext-diff"]].concat());
        assert!(text.contains("10.0 mm shorter"), "{text}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn new_deleted_and_broken_files_are_shown_too() {
    let bench = Bench::adopted();
    bench.write("setups/alder/dry.kdl", "setup \"alder/dry\" format=1 { measured \"2031-05-02\" }\n");
    bench.git(&["add", "-A"]);
    assert!(bench.git(&["diff", "--cached"]).contains("alder/dry: new."));
    bench.commit("Another bike");
    bench.git(&["rm", "-q", "setups/alder/dry.kdl"]);
    assert!(bench.git(&["diff", "--cached"]).contains("alder/dry: deleted."));
    bench.change("width 780", "widht 780");
    assert!(bench.git(&["diff"]).contains("widht"));
}

#[test]
#[ignore = "needs the git program"]
fn spaces_and_other_letters_in_paths_do_no_harm() {
    let bench = Bench::adopted();
    let path = "setups/röwan süd/dry day's.kdl";
    bench.write(path, "setup \"röwan süd/dry day's\" format=1 { stem { length 50 } }\n");
    bench.commit("A path");
    bench.write(path, "setup \"röwan süd/dry day's\" format=1 { stem { length 40 } }\n");
    let text = bench.git(&["diff"]);
    assert!(text.contains("röwan süd/dry day's: from") && text.contains("10.0 mm shorter"), "{text}");
    let text = bench.said(&["history", path]);
    assert!(text.contains("A path"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_repository_that_hashes_with_sha_256_is_read_like_any_other() {
    let bench = Bench::hashing("sha256", "");
    assert_eq!(bench.clampmark(&["adopt"]).status.code(), Some(0));
    bench.change("length 50", "length 40");
    let diff = bench.git(&["diff", "--ext-diff"]);
    assert!(diff.contains("stem length") && diff.contains("10"), "{diff}");
    bench.git(&["add", "-A"]);
    bench.git(&["commit", "-q", "-m", "Shorter"]);
    let revision = bench.git(&["rev-parse", "HEAD"]);
    assert_eq!(revision.trim().len(), 64, "SHA-256 is 256 bits, 64 hexadecimal digits (FIPS 180-4)");
    let history = bench.said(&["history", "rowan/race", "--json"]);
    assert!(history.contains(revision.trim()), "{history}");
    let compared = bench.said(&["diff", "rowan/race", "HEAD~1", revision.trim()]);
    assert!(compared.contains("stem length"), "{compared}");
}

#[test]
#[ignore = "needs the git program"]
fn a_change_of_a_comment_alone_is_said_and_can_be_seen() {
    let bench = Bench::adopted();
    bench.change("the hand that pulls the front brake", "front brake hand");
    let diff = bench.git(&["diff"]);
    assert!(diff.contains("Nothing moved.") && diff.contains("The text differs all the same"), "{diff}");
    let bare = bench.git(&["diff", "--no-ext-diff", "--no-textconv"]);
    assert!(bare.contains("// front brake hand"), "{bare}");
}

#[test]
#[ignore = "needs the git program"]
fn what_is_accepted_or_read_more_often_is_no_mere_comment() {
    for (from, to, told) in [
        (
            "    stem { length 50;",
            "    accept wide-bar \"tried\"\n    stem { length 50;",
            "accepted wide-bar: told now: tried",
        ),
        ("steerer { ", "steerer { diameter unmeasured; ", "told now: unmeasured"),
        ("tilt -1.0 with", "tilt -1.0 -1.0 -1.0 with", "read 3 times, was read 1 time"),
        ("setup \"rowan/race\"", "setup \"rowan/dry\"", "name: rowan/dry, was rowan/race"),
    ] {
        let bench = Bench::adopted();
        bench.change(from, to);
        let diff = bench.git(&["diff"]);
        assert!(diff.contains(told), "{diff}");
        assert!(!diff.contains("its comments"), "{diff}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn what_a_sheet_no_longer_tells_is_told() {
    let sheet = "setups/rowan/found.kdl";
    let text = "found \"rowan/race\" format=1 {\n    measured \"2031-05-09\"\n    opened \"stem-face\"\n    \
                damage on=\"bar\" \"dent on the left\"\n}\n";
    let without =
        |line: &str| -> String { text.split_inclusive('\n').filter(|one| !one.contains(line)).collect() };
    let bench = Bench::adopted();
    bench.write(sheet, text);
    bench.commit("Found");
    for (line, told) in
        [("opened", "bar in stem: no longer told, was: opened"), ("damage", "damage on bar: no longer told")]
    {
        let shorter: String = without(line);
        bench.write(sheet, &shorter);
        let diff = bench.git(&["diff"]);
        assert!(diff.contains(told) && !diff.contains("its comments"), "{diff}");
        bench.commit("Shorter");
        let history = bench.said(&["history", "rowan/found"]);
        assert!(history.contains(told), "{history}");
        bench.write(sheet, text);
        bench.commit("Whole");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_conflict_is_listed_beside_what_each_side_recorded() {
    let bench = Bench::adopted();
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50;", "length 40;");
    bench.commit("Wet");
    bench.git(&["checkout", "-q", "main"]);
    bench.change("length 50;", "length 60;");
    bench.commit("Long");
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    // Git combines the two sides with the file: what they agree on is not told.
    let text = bench.git(&["diff"]);
    assert!(text.contains("- stem length: 60 mm") && text.contains(" -stem length: 40 mm"), "{text}");
    assert!(text.contains("++not decided: Two versions of `stem.length`"), "{text}");
    assert!(!text.contains("bar width"), "{text}");
    // Against one side: what was read moved nowhere, what is not decided is said.
    let text = bench.git(&["diff", "HEAD"]);
    assert!(text.contains("Two versions of `stem.length`"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_new_name_or_mode_alone_is_not_said_to_differ_in_its_text() {
    let bench = Bench::adopted();
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/dry.kdl"]);
    let text = bench.git(&["diff", "--cached", "-M"]);
    assert!(text.contains("rowan/race, now rowan/dry: not a letter differs."), "{text}");
    bench.git(&["update-index", "--chmod=+x", "setups/rowan/dry.kdl"]);
    // The modes of git's own objects: a plain file and one that may be run.
    let text = bench.git(&["diff", "--cached", "-M"]);
    assert!(text.contains("Its mode was 100644 and is 100755."), "{text}");
}
