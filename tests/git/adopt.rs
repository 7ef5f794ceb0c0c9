//! Adopting a repository, again, and undoing it.

use std::fs;

use crate::bench::{Bench, flowing};

/// Everything `adopt` touches.
fn touched(bench: &Bench) -> Vec<Option<String>> {
    let files = [
        bench.ledger.join(".gitattributes"),
        bench.top().join(".git/config"),
        bench.top().join(".git/hooks/pre-commit"),
        bench.top().join(".git/hooks/pre-merge-commit"),
    ];
    files.iter().map(|file| fs::read_to_string(file).ok()).collect()
}

#[test]
#[ignore = "needs the git program"]
fn adopting_twice_is_adopting_once_and_undoing_leaves_no_trace() {
    let bench = Bench::new("");
    let before = touched(&bench);
    assert!(bench.said(&["adopt", "--dry-run"]).contains("nothing was written"));
    assert_eq!(touched(&bench), before);
    bench.said(&["adopt"]);
    let adopted = touched(&bench);
    assert_ne!(adopted, before);
    assert!(bench.said(&["adopt"]).contains("Everything is in place already."));
    assert_eq!(touched(&bench), adopted);
    bench.said(&["adopt", "--undo"]);
    assert_eq!(touched(&bench), before);
    assert!(bench.said(&["adopt", "--undo"]).contains("Nothing of ours is here."));
}

#[test]
#[ignore = "needs the git program"]
fn what_an_earlier_version_wrote_is_brought_up_to_date_and_comes_out_whole() {
    let bench = Bench::new("");
    let before = touched(&bench);
    bench.said(&["adopt"]);
    let adopted = touched(&bench);
    let names = " --base-label=%S --ours-label=%X --theirs-label=%Y";
    let text = adopted[1].clone().unwrap();
    let start = text.find(" merge --path=%P").unwrap();
    let end = start + text[start..].find("\"\n").unwrap();
    for then in ["", names, &format!(" --marker-size=%L{names}")] {
        let earlier = format!("{} merge --path=%P{then} -- %O %A %B{}", &text[..start], &text[end..]);
        assert_ne!(earlier, text);
        let config = bench.top().join(".git/config");
        fs::write(&config, &earlier).unwrap();
        bench.said(&["adopt"]);
        assert_eq!(touched(&bench), adopted);
        fs::write(&config, &earlier).unwrap();
        bench.said(&["adopt", "--undo"]);
        assert_eq!(touched(&bench), before);
        bench.said(&["adopt"]);
    }
}

#[test]
#[ignore = "needs the git program"]
fn what_others_wrote_stays() {
    let bench = Bench::new("");
    bench.write(".gitattributes", "*.txt text");
    bench.git(&["config", "diff.clampmark.binary", "false"]);
    let before = touched(&bench)[1].clone();
    bench.said(&["adopt"]);
    // The file had no line end at its end.
    assert_eq!(bench.read(".gitattributes"), "*.txt text\nsetups/**/*.kdl diff=clampmark merge=clampmark");
    bench.said(&["adopt", "--undo"]);
    assert_eq!(bench.read(".gitattributes"), "*.txt text");
    assert_eq!(touched(&bench)[1], before);
}

#[test]
#[ignore = "needs the git program"]
fn a_configuration_that_git_is_writing_is_left_alone_and_said() {
    let bench = Bench::new("");
    let before = touched(&bench)[1].clone();
    // The file git takes while it writes its configuration: git-config(1), "config.lock".
    let lock = bench.top().join(".git/config.lock");
    fs::write(&lock, "").unwrap();
    let output = bench.clampmark(&["adopt"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("config.lock"), "{said}");
    assert_eq!(touched(&bench)[1], before);
    fs::remove_file(&lock).unwrap();
    assert_eq!(bench.clampmark(&["adopt"]).status.code(), Some(0));
    assert!(!lock.exists());
}

#[test]
#[ignore = "needs the git program"]
fn another_hook_is_left_alone_and_said() {
    let bench = Bench::new("");
    let hook = bench.top().join(".git/hooks/pre-commit");
    fs::create_dir_all(hook.parent().unwrap()).unwrap();
    fs::write(&hook, "#!/bin/sh\nexit 0\n").unwrap();
    let output = bench.clampmark(&["adopt"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("Left to you."));
    assert_eq!(fs::read_to_string(&hook).unwrap(), "#!/bin/sh\nexit 0\n");
}

#[test]
#[ignore = "needs the git program"]
fn what_was_added_to_our_hook_is_neither_written_over_nor_removed() {
    let bench = Bench::adopted();
    let hook = bench.top().join(".git/hooks/pre-commit");
    let ours = fs::read_to_string(&hook).unwrap();
    let theirs = ours.replace("exec ", "./lint-notes || exit 1\nexec ");
    fs::write(&hook, &theirs).unwrap();
    for arguments in [&["adopt"][..], &["adopt", "--undo"]] {
        let output = bench.clampmark(arguments);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert_eq!(fs::read_to_string(&hook).unwrap(), theirs, "{arguments:?}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_hooks_folder_of_the_repository_is_used() {
    let bench = Bench::new("");
    bench.git(&["config", "core.hooksPath", "tools/hooks"]);
    bench.said(&["adopt"]);
    assert!(bench.top().join("tools/hooks/pre-commit").is_file());
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    bench.git_ending(1, &["commit", "-m", "A slip"]);
}

#[test]
#[ignore = "needs the git program"]
fn a_ledger_below_the_top_works_too() {
    let bench = Bench::new("bikes of ours");
    bench.said(&["adopt"]);
    bench.change("length 50;", "length 40;");
    assert!(bench.git(&["diff"]).contains("10.0 mm shorter"));
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    bench.git_ending(1, &["commit", "-m", "A slip"]);
}

#[test]
#[ignore = "needs the git program"]
fn paths_that_begin_with_a_hyphen_are_no_options() {
    let bench = Bench::new("-odd");
    bench.said(&["adopt"]);
    bench.write("setups/-x.kdl", "setup \"-x\" format=1 { stem { length 50; angle 0 } }\n");
    bench.commit("Adopt");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50;", "length 40;");
    bench.write("setups/-x.kdl", "setup \"-x\" format=1 { stem { length 40; angle 0 } }\n");
    for arguments in [&["diff"][..], &["diff", "HEAD", "--", "setups/-x.kdl"]] {
        assert!(bench.git(arguments).contains("10.0 mm shorter"), "{arguments:?}");
    }
    bench.commit("Shorter");
    assert!(bench.git(&["show"]).contains("+stem length: 40 mm"));
    bench.git(&["checkout", "-q", "main"]);
    bench.change("angle 0; clamp", "angle 6; clamp");
    bench.write("setups/-x.kdl", "setup \"-x\" format=1 { stem { length 50; angle 6 } }\n");
    bench.commit("Higher");
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    assert!(bench.read("setups/-x.kdl").contains("length 40; angle 6"));
    assert!(bench.read("setups/rowan/race.kdl").contains("length 40; angle 6"));
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    let text = bench.git_ending(1, &["commit", "-m", "A slip"]);
    assert!(text.contains("7800"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn undoing_gives_back_every_byte_and_folder_and_takes_nothing_of_the_users() {
    let ours = "setups/**/*.kdl diff=clampmark merge=clampmark";
    for attributes in [
        "",
        "\n",
        "*.txt text\n\n",
        "*.txt text\r\n",
        "*.txt text",
        "*.txt text\r",
        &format!("{ours}\n*.txt text\n"),
    ] {
        let bench = Bench::new("");
        bench.write(".gitattributes", attributes);
        bench.git(&["config", "diff.clampmark.command", "show-mine"]);
        bench.git(&["config", "merge.clampmark.recursive", "binary"]);
        bench.git(&["config", "core.hooksPath", "tools/of ours/hooks"]);
        let before = touched(&bench);
        bench.said(&["adopt"]);
        assert!(bench.git(&["config", "diff.clampmark.command"]).contains("git-diff"));
        assert!(bench.top().join("tools/of ours/hooks/pre-commit").is_file());
        bench.said(&["adopt"]);
        bench.said(&["adopt", "--undo"]);
        assert_eq!(touched(&bench), before, "{attributes:?}");
        assert!(!bench.top().join("tools").exists());
    }
}

#[test]
#[ignore = "needs the git program"]
fn what_the_user_writes_after_adopting_outlives_the_undoing() {
    let bench = Bench::new("");
    bench.said(&["adopt"]);
    bench.git(&["config", "diff.clampmark.binary", "false"]);
    bench.git(&["config", "merge.clampmark.driver", "mine %A"]);
    bench.git(&["config", "user.name", "Demo Rider"]);
    bench.write(".gitattributes", &(bench.read(".gitattributes") + "*.txt text\n"));
    bench.said(&["adopt", "--undo"]);
    assert_eq!(bench.read(".gitattributes"), "*.txt text\n");
    let asked = |key: &str| bench.git(&["config", key]).trim().to_owned();
    assert_eq!(asked("diff.clampmark.binary"), "false");
    assert_eq!(asked("merge.clampmark.driver"), "mine %A");
    assert_eq!(asked("user.name"), "Demo Rider");
    bench.git_ending(1, &["config", "diff.clampmark.command"]);
}

#[test]
#[ignore = "needs the git program"]
fn a_line_that_came_with_the_clone_is_not_ours_to_take_away() {
    let bench = Bench::adopted();
    let other = tempfile::tempdir().unwrap();
    let top = bench.top().to_str().unwrap();
    let clone = other.path().join("clone");
    bench.git(&["clone", "-q", top, clone.to_str().unwrap()]);
    let ledger = format!("--ledger={}", clone.display());
    bench.said(&[&ledger, "adopt"]);
    bench.said(&[&ledger, "adopt", "--undo"]);
    assert!(clone.join(".gitattributes").is_file());
    assert!(bench.git(&["-C", clone.to_str().unwrap(), "status", "--short"]).is_empty());
}

#[cfg(unix)]
fn may_be_run(hook: &std::path::Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(hook, fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
#[ignore = "needs the git program"]
fn an_own_hook_that_runs_the_gate_is_all_there_is_to_do() {
    let bench = Bench::new("");
    let hook = bench.top().join(".git/hooks/pre-commit");
    fs::create_dir_all(hook.parent().unwrap()).unwrap();
    for line in ["clampmark gate || exit 1\n./lint-notes", "./lint-notes || exit 1\nexec clampmark gate"] {
        let own = format!("#!/bin/sh\n{line}\n");
        fs::write(&hook, &own).unwrap();
        #[cfg(unix)]
        may_be_run(&hook);
        let output = bench.clampmark(&["adopt"]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
        assert_eq!(bench.clampmark(&["adopt", "--undo"]).status.code(), Some(0));
        assert_eq!(fs::read_to_string(&hook).unwrap(), own);
    }
    // One that only tells of it, or goes on all the same, stops nothing: the commit is made.
    for line in [
        "# clampmark gate",
        "clampmark gate || true",
        "echo clampmark gate",
        "clampmark gate\necho done",
        "clampmark gate || exit 0",
        "exit 0\nclampmark gate",
        "if false; then\nclampmark gate\nfi",
        "cat <<END\nclampmark gate\nEND",
    ] {
        fs::write(&hook, format!("#!/bin/sh\n{line}\n")).unwrap();
        let output = bench.clampmark(&["adopt"]);
        assert_eq!(output.status.code(), Some(1), "{line}");
        assert!(String::from_utf8_lossy(&output.stdout).contains("Left to you."), "{line}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn an_undoing_says_which_other_working_trees_lose_it() {
    let bench = Bench::adopted();
    bench.git(&["worktree", "add", "-q", "other", "-b", "other"]);
    let own = bench.top().canonicalize().unwrap();
    let text = |arguments: &[&str]| flowing(&bench.said(arguments));
    let said = text(&["adopt", "--undo", "--dry-run"]);
    assert!(said.contains(&format!("they go for {}, too.", own.join("other").display())), "{said}");
    let said = text(&["--ledger", "other", "adopt", "--undo", "--dry-run"]);
    assert!(said.contains(&format!("they go for {}, too.", own.display())), "{said}");
    bench.git(&["worktree", "remove", "--force", "other"]);
    let said = text(&["adopt", "--undo"]);
    assert!(!said.contains("working trees"), "{said}");
}

#[cfg(unix)]
#[test]
#[ignore = "needs the git program"]
fn a_hook_that_may_not_be_run_is_not_in_place() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::adopted();
    let hook = bench.top().join(".git/hooks/pre-commit");
    let forbid = || fs::set_permissions(&hook, fs::Permissions::from_mode(0o644)).unwrap();
    forbid();
    let said = bench.said(&["adopt"]);
    assert!(said.contains("git ignores the hook") && !said.contains("in place already"), "{said}");
    assert_eq!(fs::metadata(&hook).unwrap().permissions().mode() & 0o777, 0o755);
    assert!(bench.said(&["adopt"]).contains("Everything is in place already."));
    // Another's hook is not ours to change.
    fs::write(&hook, "#!/bin/sh\nclampmark gate || exit 1\n").unwrap();
    forbid();
    let output = bench.clampmark(&["adopt"]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("chmod +x"), "{said}");
    assert_eq!(fs::metadata(&hook).unwrap().permissions().mode() & 0o777, 0o644);
}

#[test]
#[ignore = "needs the git program"]
fn attributes_that_git_takes_before_ours_are_told() {
    let places = ["setups/.gitattributes", ".git/info/attributes", ".gitattributes"];
    for (place, line) in places.into_iter().zip(["*.kdl merge=union", "*.kdl -diff", "*.kdl binary"]) {
        for adopted in [true, false] {
            let bench = if adopted { Bench::adopted() } else { Bench::new("") };
            let before = fs::read_to_string(bench.ledger.join(place)).unwrap_or_default();
            fs::create_dir_all(bench.ledger.join(place).parent().unwrap()).unwrap();
            fs::write(bench.ledger.join(place), format!("{before}{line}\n")).unwrap();
            let output = bench.clampmark(&["adopt"]);
            let said = String::from_utf8_lossy(&output.stdout).into_owned();
            // In the same file ours is written below it, and git takes the last line.
            if place == ".gitattributes" && !adopted {
                assert_eq!(output.status.code(), Some(0), "{said}");
                continue;
            }
            assert_eq!(output.status.code(), Some(1), "{place}: {said}");
            assert!(said.contains(place) && said.contains("git takes that before ours"), "{said}");
            assert!(!said.contains("in place already"), "{said}");
        }
    }
    // What speaks of other files, or of something else, is no matter.
    let bench = Bench::adopted();
    bench.write("setups/.gitattributes", "*.txt merge=union\n*.kdl text\n");
    assert!(bench.said(&["adopt"]).contains("Everything is in place already."));
}

/// The attributes come along with a clone; git's settings and hooks do not.
#[test]
#[ignore = "needs the git program"]
fn a_clone_of_an_adopted_ledger_says_that_it_is_not_adopted_itself() {
    let told = "Adopted, but not in this clone: git checks no setup here and merges them as any text; for that: clampmark adopt";
    let bench = Bench::adopted();
    bench.commit("Adopt");
    assert!(!flowing(&bench.said(&[])).contains(told));
    let clone = bench.cloned();
    assert!(flowing(&clone.said(&[])).contains(told), "{}", clone.said(&[]));
    assert!(clone.said(&["--json"]).contains("\"adopted-elsewhere\": true"));
    assert!(clone.said(&["adopt"]).contains("puts in"));
    assert!(!flowing(&clone.said(&[])).contains(told), "{}", clone.said(&[]));
    // Nobody adopted: nothing to say.
    assert!(!flowing(&Bench::new("").said(&[])).contains(told));
}
