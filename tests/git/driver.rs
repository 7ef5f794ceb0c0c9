//! The merge driver where the program cannot be run, and in a place with an odd name.

use std::fs;
use std::process::Command;

use crate::bench::{Bench, RACE, flowing};

const SETUP: &str = "setups/rowan/race.kdl";

/// An adopted repository on whose two branches one thing each was changed, with the driver line changed.
fn forked(on_main: (&str, &str), on_wet: (&str, &str), driver: impl Fn(&str) -> String) -> Bench {
    let bench = Bench::adopted();
    bench.fork(&[on_main], &[on_wet]);
    let line = bench.git(&["config", "merge.clampmark.driver"]);
    bench.git(&["config", "merge.clampmark.driver", &driver(line.trim_end())]);
    bench
}

/// The program has another name than git was told.
fn nowhere(line: &str) -> String {
    let program = line.split(" merge --path").next().unwrap();
    line.replacen(program, "clampmark-is-nowhere", 1)
}

#[test]
#[ignore = "needs the git program"]
fn where_the_program_cannot_be_run_git_merges_by_lines_and_loses_nothing() {
    // Far apart: lines merge as well.
    let bench =
        forked(("floor 0.0", "floor 0.5"), ("tyres { front (psi)23", "tyres { front (psi)21"), nowhere);
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    let expected = RACE.replace("floor 0.0", "floor 0.5").replace("front (psi)23", "front (psi)21");
    assert_eq!(bench.read(SETUP), expected);
    // The same line: both stand between marks, which `check` knows.
    let bench = forked(
        ("length 50; angle 0", "length 40; angle 0"),
        ("length 50; angle 0", "length 50; angle 6"),
        nowhere,
    );
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("length 40; angle 0") && file.contains("length 50; angle 6"), "{file}");
    assert!(
        file.contains("\n<<<<<<< ") && file.contains("\n||||||| ") && file.contains("\n>>>>>>> "),
        "{file}"
    );
    let check = bench.said(&["check"]);
    assert!(check.contains("conflict marks"), "{check}");
    bench.git(&["add", "-A"]);
    let text = bench.git_ending(1, &["commit", "-m", "Merge"]);
    assert!(text.contains("The commit is stopped"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn what_the_program_itself_says_is_the_end_of_it() {
    // A conflict by measure: exit status 1, and no merge by lines over it.
    let bench = forked(("length 50;", "length 40;"), ("length 50;", "length 60;"), str::to_owned);
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("conflict \"stem.length\"") && !file.contains("<<<<<<<"), "{file}");
}

#[test]
#[ignore = "needs the git program"]
fn ours_alone_left_by_a_merge_that_failed_is_told_everywhere() {
    // As an earlier version wrote the line: git then keeps ours and says no more of it.
    let bench = forked(
        ("length 50;", "length 40;"),
        ("reach 62 with=caliper; bite 34", "reach 58 with=caliper; bite 34"),
        |line| nowhere(line).split("; ").next().unwrap().to_owned(),
    );
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    assert_eq!(bench.read(SETUP), RACE.replace("length 50;", "length 40;"));
    let alone = "holds our version alone: what the other side changed is not in it";
    for asked in [&["check"][..], &[], &["gate"]] {
        let output = bench.clampmark(asked);
        let said = flowing(&String::from_utf8(output.stdout).unwrap());
        assert_eq!(output.status.code(), Some(1), "{asked:?}: {said}");
        assert!(said.contains(alone), "{asked:?}: {said}");
    }
    let said = flowing(&bench.said(&["gate"]));
    assert!(
        said.contains("`git show :3:setups/rowan/race.kdl`") && said.contains("The commit is stopped"),
        "{said}"
    );
    // Brought in by hand: nothing is at fault in the file; git alone waits.
    bench.change("reach 62 with=caliper; bite 34", "reach 58 with=caliper; bite 34");
    assert_eq!(bench.clampmark(&["check"]).status.code(), Some(0), "{}", bench.said(&["check"]));
    let said = flowing(&bench.said(&[]));
    assert!(said.contains("git has not settled a merge of it: `git add` it"), "{said}");
    let output = bench.clampmark(&["gate"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8(output.stdout).unwrap().contains("Git has not settled a merge of this file."));
    bench.commit("Merge");
    assert_eq!(bench.clampmark(&[]).status.code(), Some(0), "{}", bench.said(&[]));
}

#[test]
#[ignore = "needs the git program"]
fn a_per_cent_sign_in_the_programs_place_is_no_place_holder() {
    let bench = Bench::new("");
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("p%A");
    fs::create_dir(&folder).unwrap();
    let program = folder.join("clampmark");
    let here = env!("CARGO_BIN_EXE_clampmark");
    fs::hard_link(here, &program).or_else(|_| fs::copy(here, &program).map(|_| ())).unwrap();
    let adopted =
        Command::new(&program).arg("adopt").current_dir(bench.top()).env_remove("GIT_DIR").output().unwrap();
    assert_eq!(adopted.status.code(), Some(0));
    assert!(bench.git(&["config", "merge.clampmark.driver"]).contains("p%%A"));
    bench.commit("Adopt");
    bench.fork(
        &[("length 50; angle 0", "length 40; angle 0")],
        &[("length 50; angle 0", "length 50; angle 6")],
    );
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    assert_eq!(bench.read(SETUP), RACE.replace("length 50; angle 0", "length 40; angle 6"));
    // Found again, and taken away whole.
    let run = |arguments: &[&str]| {
        let output = Command::new(&program).args(arguments).current_dir(bench.top()).output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    assert!(run(&["adopt"]).contains("Everything is in place already."));
    run(&["adopt", "--undo"]);
    assert!(!fs::read_to_string(bench.top().join(".git/config")).unwrap().contains("clampmark"));
}

#[test]
#[ignore = "needs the git program"]
fn a_git_that_fills_in_no_names_leaves_none_of_its_place_holders_in_the_file() {
    // Such a git leaves %S, %X and %Y as they are: what a doubled per cent sign does in any.
    let nameless = |line: &str| {
        let names = ["S", "X", "Y"].iter();
        names
            .fold(line.replace("%%X", "\u{1}"), |line, name| {
                line.replace(&format!("%{name}"), &format!("%%{name}"))
            })
            .replace('\u{1}', "%%X")
    };
    let change = [("length 50;", "length 40;"), ("length 50;", "length 60;")];
    let bench = forked(change[0], change[1], |line| nameless(&nowhere(line)));
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    for mark in ["<<<<<<< ours\n", "||||||| base\n", ">>>>>>> theirs\n"] {
        assert!(file.contains(mark), "{mark}{file}");
    }
    let bench = forked(change[0], change[1], nameless);
    let said = bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("conflict \"stem.length\"") && !said.contains('%'), "{said}{file}");
    assert!(!file.contains("from=\"%") && !file.contains("<<<<<<<"), "{file}");
    // A git that knows them names the versions.
    let bench = forked(change[0], change[1], nowhere);
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    let file = bench.read(SETUP);
    assert!(file.contains("<<<<<<< HEAD\n") && file.contains(">>>>>>> wet\n"), "{file}");
}

#[test]
#[ignore = "needs the git program"]
fn a_driver_line_of_an_earlier_version_is_told_until_it_is_renewed() {
    let told = "Git merges setups as an earlier version was adopted; to renew it: clampmark adopt";
    let bench = Bench::adopted();
    assert!(!flowing(&bench.said(&[])).contains(told));
    let line = bench.git(&["config", "merge.clampmark.driver"]);
    let line = line.trim_end();
    let earlier = line.split("; case %X").next().unwrap().to_owned()
        + "; git merge-file --diff3 --marker-size=%L -L %X -L %S -L %Y %A %O %B";
    for earlier in [earlier.as_str(), line.split("; ").next().unwrap()] {
        bench.git(&["config", "merge.clampmark.driver", earlier]);
        assert!(flowing(&bench.said(&[])).contains(told), "{}", bench.said(&[]));
        assert!(bench.said(&["--json"]).contains("\"adopted-earlier\""));
        // A commit of a setup is told of it, and goes on; any other is none of its business.
        bench.write("notes.txt", earlier);
        bench.git(&["add", "notes.txt"]);
        assert_eq!(bench.said(&["gate"]), "");
        let sheet = "found \"rowan/race\" format=1 { measured \"2026-05-20\"; stem { twist 0 } }\n";
        bench.write("setups/rowan/found.kdl", sheet);
        bench.git(&["add", "-A"]);
        assert_eq!(bench.said(&["gate"]), format!("{told}\n"));
        assert!(bench.said(&["gate", "--json"]).contains("\"adopted-earlier\": true"));
        let text = bench.git(&["commit", "-m", "Found"]);
        assert!(flowing(&text).contains(told), "{text}");
        bench.git(&["rm", "-q", "setups/rowan/found.kdl"]);
        assert!(bench.said(&["adopt"]).contains("puts in"));
        assert!(!flowing(&bench.said(&[])).contains(told), "{}", bench.said(&[]));
        assert_eq!(bench.git(&["config", "merge.clampmark.driver"]).trim_end(), line);
        bench.commit("Put right");
        assert_eq!(bench.said(&["gate"]), "");
    }
    // One that somebody wrote is theirs.
    bench.git(&["config", "--replace-all", "merge.clampmark.driver", "mine %A"]);
    assert!(!flowing(&bench.said(&[])).contains(told));
}
