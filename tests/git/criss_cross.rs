//! Branches that were merged with each other before: git then makes one beginning of several with our driver, and what is
//! undecided there is nobody's business.

use crate::bench::{Bench, RACE};

const SETUP: &str = "setups/rowan/race.kdl";

/// `main` and `wet` changed the stem apart, then each took the other in and settled on 40 mm; then each changed something
/// else. `theirs` is what `wet` had first in place of `length 50;`.
fn crossed(theirs: &str) -> Bench {
    let bench = Bench::adopted();
    let commit = |subject: &str| bench.git(&["commit", "-q", "-a", "--no-verify", "-m", subject]);
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50;", theirs);
    commit("Wet");
    bench.git(&["tag", "wet-1"]);
    bench.git(&["checkout", "-q", "main"]);
    bench.change("length 50;", "length 40;");
    commit("Dry");
    bench.git(&["tag", "dry-1"]);
    bench.git(&["merge", "-q", "--no-edit", "--no-verify", "-s", "ours", "wet-1"]);
    bench.change("height 742", "height 736");
    commit("Lower");
    bench.git(&["checkout", "-q", "wet"]);
    bench.git(&["merge", "-q", "--no-edit", "--no-verify", "-s", "ours", "dry-1"]);
    bench.change(theirs, "length 40;");
    bench.change("width 780", "width 760");
    commit("Cut");
    bench.git(&["checkout", "-q", "main"]);
    // Both first commits are beginnings of the merge to come.
    assert_eq!(bench.git(&["merge-base", "--all", "main", "wet"]).lines().count(), 2);
    bench
}

#[test]
#[ignore = "needs the git program"]
fn what_two_beginnings_disagree_about_is_not_told() {
    let bench = crossed("length 60;");
    let text = bench.git(&["merge", "--no-edit", "wet"]);
    for word in ["Not decided", "conflict", "Stopped"] {
        assert!(!text.contains(word), "{word}: {text}");
    }
    let expected = RACE
        .replace("length 50;", "length 40;")
        .replace("height 742", "height 736")
        .replace("width 780", "width 760");
    assert_eq!(bench.read(SETUP), expected, "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_beginning_that_cannot_be_read_is_not_told_and_decides_nothing() {
    let bench = crossed("lenght 60;");
    let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
    assert!(!text.contains("Stopped") && !text.contains("lenght"), "{text}");
    // What was before either side is lost: both stand there, and neither is taken unseen.
    assert_eq!(text.matches("Not decided").count(), 2, "{text}");
    let file = bench.read(SETUP);
    for reading in ["width 780", "width 760", "height 742", "height 736"] {
        assert!(file.contains(reading), "{reading}: {file}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn what_the_merge_itself_cannot_decide_is_told_once() {
    let bench = crossed("length 60;");
    bench.git(&["checkout", "-q", "wet"]);
    bench.change("height 742", "height 730");
    bench.git(&["commit", "-q", "-a", "--no-verify", "-m", "Lower still"]);
    bench.git(&["checkout", "-q", "main"]);
    // A length of the marks of the repository's own says nothing of beginnings.
    for attributes in ["", "*.kdl conflict-marker-size=20\n"] {
        std::fs::write(bench.top().join(".git/info/attributes"), attributes).unwrap();
        let text = bench.git_ending(1, &["merge", "--no-edit", "wet"]);
        assert_eq!(text.matches("Not decided").count(), 1, "{text}");
        assert!(text.contains("saddle.height"), "{text}");
        bench.git(&["merge", "--abort"]);
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_git_that_names_no_versions_tells_by_the_length_of_its_marks() {
    let bench = Bench::new("");
    for (letters, is_told) in [("%L", true), ("7", true), ("8", true), ("9", false), ("11", false)] {
        bench.write("base", RACE);
        bench.write("ours", &RACE.replace("length 50;", "length 40;"));
        bench.write("theirs", &RACE.replace("length 50;", "length 60;"));
        let size = format!("--marker-size={letters}");
        let labels = ["--ours-label=%X", "--theirs-label=%Y"];
        let asked = [&["merge", &size][..], &labels, &["base", "ours", "theirs"]].concat();
        let output = bench.clampmark(&asked);
        // Undecided it is all the same.
        assert_eq!(output.status.code(), Some(1), "{letters}");
        assert_eq!(!output.stdout.is_empty(), is_told, "{letters}");
        assert!(output.stderr.is_empty());
        assert!(bench.read("ours").contains("conflict"));
    }
}
