//! Files that git holds and the working folder has lost, or that one side of a merge deleted.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, RACE, flowing};

fn overview(bench: &Bench) -> (i32, String, Value) {
    let output = bench.clampmark(&[]);
    let json = serde_json::from_str(&bench.said(&["--json"])).unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    (output.status.code().unwrap(), flowing(&said), json)
}

fn second(bench: &Bench) {
    bench.write("setups/rowan/wet race.kdl", &RACE.replace("rowan/race", "rowan/wet race"));
    bench.commit("Measure for the wet");
}

#[test]
#[ignore = "needs the git program"]
fn a_file_that_is_gone_is_told_and_comes_back_by_the_command() {
    let bench = Bench::new("");
    second(&bench);
    assert_eq!(overview(&bench).2["gone"], serde_json::json!([]));
    fs::remove_file(bench.ledger.join("setups/rowan/wet race.kdl")).unwrap();
    let (status, said, json) = overview(&bench);
    assert_eq!(status, 1, "{said}");
    let command = "git restore -- 'setups/rowan/wet race.kdl'";
    assert!(
        said.contains(&format!(
            "rowan/wet race: recorded in git, but its file is gone; `{command}` brings it back."
        )),
        "{said}"
    );
    assert!(!said.contains("All"), "{said}");
    assert_eq!(json["gone"][0]["bring-back"], command);
    bench.git(&["restore", "--", "setups/rowan/wet race.kdl"]);
    assert_eq!(overview(&bench).0, 0);
}

#[test]
#[ignore = "needs the git program"]
fn what_was_let_go_renamed_or_left_out_is_not_gone() {
    let bench = Bench::new("");
    second(&bench);
    // Another name, not told to git yet.
    let [from, to] = ["wet race", "mud"].map(|name| bench.ledger.join(format!("setups/rowan/{name}.kdl")));
    fs::rename(&from, &to).unwrap();
    assert_eq!(overview(&bench).2["gone"], serde_json::json!([]));
    fs::rename(&to, &from).unwrap();
    // A sparse checkout.
    bench.git(&["update-index", "--skip-worktree", "setups/rowan/wet race.kdl"]);
    fs::remove_file(&from).unwrap();
    assert_eq!(overview(&bench).2["gone"], serde_json::json!([]));
    bench.git(&["update-index", "--no-skip-worktree", "setups/rowan/wet race.kdl"]);
    assert_eq!(overview(&bench).2["gone"][0]["setup"], "rowan/wet race");
    // Told to git.
    bench.git(&["rm", "-q", "setups/rowan/wet race.kdl"]);
    assert_eq!(overview(&bench).2["gone"], serde_json::json!([]));
}

#[test]
#[ignore = "needs the git program"]
fn what_one_side_of_a_merge_deleted_is_not_called_never_recorded() {
    let bench = Bench::new("");
    second(&bench);
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    bench.git(&["checkout", "-q", "main"]);
    bench.change("length 50;", "length 40;");
    bench.commit("Shorter");
    let stands = |bench: &Bench| {
        let (status, said, json) = overview(bench);
        assert_eq!(status, 1, "{said}");
        assert!(said.contains("one side deleted it and the other changed it"), "{said}");
        assert!(!said.contains("never recorded"), "{said}");
        assert_eq!(json["setups"][0]["recorded"]["state"], "one-side-deleted");
        // And no check passes it, as the gate would not.
        let check = bench.clampmark(&["check", "rowan/race"]);
        let said = String::from_utf8_lossy(&check.stdout).replace("\n    ", " ");
        assert_eq!(check.status.code(), Some(1), "{said}");
        assert!(said.contains("Git has not settled a merge of this file."), "{said}");
        assert!(said.contains("`git add` keeps it, `git rm` lets it go."), "{said}");
    };
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    stands(&bench);
    bench.git(&["merge", "--abort"]);
    bench.git(&["checkout", "-q", "wet"]);
    bench.git_ending(1, &["merge", "-q", "--no-edit", "main"]);
    stands(&bench);
}

#[test]
#[ignore = "needs the git program"]
fn what_was_deleted_and_is_here_again_was_recorded_once() {
    let bench = Bench::new("");
    second(&bench);
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    bench.write("setups/rowan/race.kdl", RACE);
    let (_, said, json) = overview(&bench);
    assert_eq!(json["setups"][0]["recorded"]["state"], "deleted-before");
    assert!(said.contains("deleted in git earlier, and here again, not recorded yet"), "{said}");
    // The comparison names it alike, with the revision that can be compared with.
    let last = bench.git(&["log", "-1", "--format=%h", "HEAD~1", "--", "setups/rowan/race.kdl"]);
    let diff = bench.clampmark(&["diff", "rowan/race"]);
    let said = flowing(&String::from_utf8_lossy(&diff.stderr));
    assert_eq!(diff.status.code(), Some(2), "{said}");
    assert!(said.contains("was deleted in git earlier, and is here again, not recorded yet"), "{said}");
    assert!(said.contains(&format!("clampmark diff rowan/race {}", last.trim())), "{said}");
}

#[test]
#[ignore = "needs the git program"]
fn what_was_never_on_this_side_and_changed_on_the_other_is_not_called_never_recorded() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    // So unlike the other that git does not take it for that one under another name.
    let wet = "setup \"rowan/wet\" format=1 {\n    measured \"2026-05-30\"\n    stem { length 50 }\n}\n";
    bench.write("setups/rowan/wet.kdl", wet);
    bench.commit("Wet");
    bench.write("setups/rowan/wet.kdl", &wet.replace("length 50", "length 40"));
    bench.commit("Shorter");
    bench.git(&["checkout", "-q", "main"]);
    // Only the change is taken over, of a file that is not here.
    bench.git_ending(1, &["cherry-pick", "wet"]);
    let said = |arguments: &[&str], status: i32| {
        let output = bench.clampmark(arguments);
        assert_eq!(output.status.code(), Some(status), "{arguments:?}");
        let said = flowing(&String::from_utf8([output.stdout, output.stderr].concat()).unwrap());
        assert!(!said.contains("never"), "{said}");
        assert!(said.contains("one side deleted") && said.contains("`git add` keeps it"), "{said}");
    };
    said(&["diff", "rowan/wet"], 2);
    said(&["history", "rowan/wet"], 0);
    said(&[], 1);
}
