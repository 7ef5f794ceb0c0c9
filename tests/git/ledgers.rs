//! Several ledgers in one repository: one hook and one driver for all of them, and each staged setup is checked in its
//! own ledger.

use std::fs;

use crate::bench::{Bench, RACE};

const LINE: &str = "setups/**/*.kdl diff=clampmark merge=clampmark\n";

/// `bikes/` with `rowan/race`, and `friend/` with `alder/trail`, each a ledger; the commands run at the top.
fn two_ledgers() -> Bench {
    let bench = Bench::new("");
    bench.git(&["rm", "-q", "-r", "setups"]);
    bench.write("bikes/setups/rowan/race.kdl", RACE);
    bench.write("friend/setups/alder/trail.kdl", &RACE.replace("rowan/race", "alder/trail"));
    bench.commit("Two ledgers");
    bench
}

fn touched(bench: &Bench) -> Vec<Option<String>> {
    let files = [
        "bikes/.gitattributes",
        "friend/.gitattributes",
        ".git/config",
        ".git/hooks/pre-commit",
        ".git/hooks/pre-merge-commit",
    ];
    files.iter().map(|file| fs::read_to_string(bench.top().join(file)).ok()).collect()
}

fn slip(bench: &Bench, file: &str, from: &str, to: &str) {
    let text = bench.read(file);
    assert!(text.contains(from), "{from} in {file}");
    bench.write(file, &text.replacen(from, to, 1));
    bench.git(&["add", "-A"]);
}

const BIKES: &str = "bikes/setups/rowan/race.kdl";
const FRIEND: &str = "friend/setups/alder/trail.kdl";

#[test]
#[ignore = "needs the git program"]
fn a_fault_in_either_of_two_ledgers_stops_the_commit() {
    let bench = two_ledgers();
    bench.said(&["--ledger", "bikes", "adopt"]);
    bench.said(&["--ledger", "friend", "adopt"]);
    bench.commit("Adopt");
    for file in [BIKES, FRIEND] {
        slip(&bench, file, "width 780", "width 7800");
        let text = bench.git_ending(1, &["commit", "-m", "A slip"]);
        assert!(text.contains(file) && text.contains("The commit is stopped"), "{text}");
        slip(&bench, file, "width 7800", "width 780");
    }
    // Both at once.
    slip(&bench, BIKES, "width 780", "width 7800");
    slip(&bench, FRIEND, "width 780", "width 7801");
    let text = bench.git_ending(1, &["commit", "-m", "Two slips"]);
    assert!(text.contains("7800") && text.contains("7801"), "{text}");
    // A ledger that is named is checked alone.
    slip(&bench, FRIEND, "width 7801", "width 780");
    assert_eq!(bench.clampmark(&["--ledger", "friend", "gate"]).status.code(), Some(0));
    assert_eq!(bench.clampmark(&["--ledger", "bikes", "gate"]).status.code(), Some(1));
    assert_eq!(bench.clampmark(&["gate"]).status.code(), Some(1));
}

#[test]
#[ignore = "needs the git program"]
fn a_page_of_git_diff_names_the_ledger_below_the_top() {
    let bench = two_ledgers();
    bench.said(&["--ledger", "bikes", "adopt"]);
    bench.said(&["--ledger", "friend", "adopt"]);
    bench.commit("Adopt");
    slip(&bench, BIKES, "length 50;", "length 40;");
    slip(&bench, FRIEND, "length 50;", "length 40;");
    let text = bench.git(&["diff", "--cached"]);
    for file in [BIKES, FRIEND] {
        assert!(text.contains(&format!("{file}: from git's copy")), "{text}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_ledger_that_is_only_staged_is_checked_and_one_inside_another_belongs_to_it() {
    let bench = two_ledgers();
    slip(&bench, FRIEND, "width 780", "width 7800");
    fs::remove_dir_all(bench.top().join("friend")).unwrap();
    let output = bench.clampmark(&["gate"]);
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stdout));
    bench.git(&["reset", "-q", "--hard"]);
    // `setups` inside a ledger is a folder of its own setups: the name follows from the outer one.
    let inner = RACE.replace("rowan/race", "old/setups/race");
    bench.write("bikes/setups/old/setups/race.kdl", &inner);
    bench.git(&["add", "-A"]);
    let page = bench.said(&["gate"]);
    assert!(!page.contains("name-differs"), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn a_sheet_is_read_on_the_setup_of_its_own_ledger() {
    let bench = two_ledgers();
    let sheet = "found \"alder/trail\" format=1 { right { brake-lever { angle 28 with=own-gauge } } }\n";
    bench.write("friend/setups/alder/found.kdl", sheet);
    slip(&bench, FRIEND, "instruments {", "instruments { own-gauge tol=0.2;");
    let output = bench.clampmark(&["gate"]);
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(0), "{text}");
    // The same sheet in the ledger whose setups do not have that bike.
    bench.write("bikes/setups/rowan/found.kdl", sheet);
    bench.git(&["add", "-A"]);
    let output = bench.clampmark(&["gate"]);
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains("The sheet is for `alder/trail`") && text.contains("bikes/setups/rowan"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn the_second_ledger_adds_to_the_first_and_only_the_last_takes_the_hook_away() {
    let bench = two_ledgers();
    let before = touched(&bench);
    bench.said(&["--ledger", "bikes", "adopt"]);
    let first = touched(&bench);
    bench.said(&["--ledger", "friend", "adopt"]);
    let both = touched(&bench);
    assert_eq!(first[3..], both[3..], "one hook for both");
    assert_eq!((both[0].as_deref(), both[1].as_deref()), (Some(LINE), Some(LINE)));
    for ledger in ["bikes", "friend"] {
        let again = bench.said(&["--ledger", ledger, "adopt"]);
        assert!(again.contains("Everything is in place already."), "{again}");
    }
    assert_eq!(touched(&bench), both);
    // The second undone: as it was with the first alone.
    let text = bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert!(text.contains("stay: another ledger of this repository needs them (bikes)"), "{text}");
    assert_eq!(touched(&bench), first);
    let text = bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert!(text.contains("Nothing of ours is here."), "{text}");
    assert_eq!(touched(&bench), first);
    // The first undone: the second still works.
    bench.said(&["--ledger", "friend", "adopt"]);
    bench.said(&["--ledger", "bikes", "adopt", "--undo"]);
    assert_eq!(touched(&bench)[..2], [None, Some(LINE.to_owned())]);
    bench.commit("Adopted by one");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    slip(&bench, FRIEND, "length 50; angle 0", "length 50; angle 6");
    bench.commit("Wet");
    bench.git(&["checkout", "-q", "main"]);
    slip(&bench, FRIEND, "length 50; angle 0", "length 40; angle 0");
    bench.commit("Dry");
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    assert!(bench.read(FRIEND).contains("length 40; angle 6"), "{}", bench.read(FRIEND));
    slip(&bench, FRIEND, "width 780", "width 7800");
    bench.git_ending(1, &["commit", "-m", "A slip"]);
    bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert_eq!(touched(&bench), before);
}

#[test]
#[ignore = "needs the git program"]
fn what_an_earlier_version_recorded_of_two_ledgers_is_known() {
    let bench = two_ledgers();
    let before = touched(&bench);
    bench.said(&["--ledger", "bikes", "adopt"]);
    bench.said(&["--ledger", "friend", "adopt"]);
    // It recorded the attributes files alone, and its hook named the last ledger.
    let config = bench.top().join(".git/config");
    let text = fs::read_to_string(&config).unwrap();
    let earlier = text.replace("\tledger = \"bikes\"\n", "").replace("\tledger = \"friend\"\n", "");
    assert_ne!(text, earlier);
    fs::write(&config, earlier).unwrap();
    let hook = bench.top().join(".git/hooks/pre-commit");
    let text = fs::read_to_string(&hook).unwrap();
    fs::write(&hook, text.replace(" gate\n", " gate --ledger=friend\n")).unwrap();
    // A new adoption of either mends the hook.
    bench.said(&["--ledger", "friend", "adopt"]);
    assert_eq!(fs::read_to_string(&hook).unwrap(), text);
    bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert!(hook.is_file());
    bench.said(&["--ledger", "bikes", "adopt", "--undo"]);
    assert_eq!(touched(&bench), before);
}

#[test]
#[ignore = "needs the git program"]
fn a_ledger_on_another_branch_keeps_its_gate_until_it_is_asked_twice() {
    let bench = two_ledgers();
    let before = touched(&bench);
    bench.said(&["--ledger", "bikes", "adopt"]);
    bench.said(&["--ledger", "friend", "adopt"]);
    fs::rename(bench.top().join("bikes"), bench.top().join("elsewhere")).unwrap();
    let text = bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert!(text.contains("needs them (bikes)"), "{text}");
    assert!(bench.top().join(".git/hooks/pre-commit").is_file());
    bench.said(&["--ledger", "friend", "adopt", "--undo"]);
    assert_eq!(touched(&bench)[2..], before[2..]);
}

#[test]
#[ignore = "needs the git program"]
fn a_repository_inside_a_ledger_is_not_stopped_by_what_is_staged_around_it() {
    let bench = Bench::adopted();
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    let inner = bench.top().join("tools");
    fs::create_dir(&inner).unwrap();
    let inner = inner.to_str().unwrap();
    bench.git(&["-C", inner, "init", "-q"]);
    let mut gate = std::process::Command::new(env!("CARGO_BIN_EXE_clampmark"));
    let output = gate.arg("gate").current_dir(inner).env_remove("GIT_DIR").output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
    // The ledger's own gate is shut.
    assert_eq!(bench.clampmark(&["gate"]).status.code(), Some(1));
}

#[cfg(unix)]
#[test]
#[ignore = "needs the git program"]
fn a_ledger_whose_setups_are_a_link_is_checked_where_the_program_runs() {
    let bench = Bench::new("");
    bench.git(&["mv", "setups", "kept"]);
    std::os::unix::fs::symlink("kept", bench.top().join("setups")).unwrap();
    bench.commit("A link");
    let file = bench.top().join("kept/rowan/race.kdl");
    fs::write(&file, RACE.replace("width 780", "width 7800")).unwrap();
    bench.git(&["add", "-A"]);
    assert_eq!(bench.clampmark(&["gate"]).status.code(), Some(1));
}
