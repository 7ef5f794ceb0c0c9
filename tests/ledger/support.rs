//! Temporary ledgers, with and without the git program.

use std::{
    fmt::Write as _,
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use chrono::{DateTime, FixedOffset};
use clampmark::ledger::{
    Ledger,
    demo::{DemoCommit, build},
};
use tempfile::TempDir;

/// A setup-like text of twenty lines; changing one line leaves it 95 % alike.
pub fn text(first_line: &str) -> String {
    let mut text = format!("{first_line}\n");
    for n in 1..20 {
        writeln!(text, "line number {n} of a setup").unwrap();
    }
    text
}

pub fn write(root: &Path, path: &str, content: impl AsRef<[u8]>) -> PathBuf {
    let file = root.join(path);
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(&file, content).unwrap();
    file
}

pub fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

pub fn date(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

/// One commit for the demo builder: `files` are (path, first line of the text, or none to delete).
pub fn commit<'a>(
    subject: &'a str,
    day: u32,
    files: &[(&str, Option<&str>)],
    tag: Option<&'a str>,
) -> DemoCommit<'a> {
    let files = files
        .iter()
        .map(|(path, line)| ((*path).to_owned(), line.map(|line| text(line).into_bytes())))
        .collect();
    DemoCommit { files, subject, date: date(&format!("2031-05-{day:02}T08:30:00+02:00")), tag }
}

/// Three commits: `rowan/race` made (v1), changed, renamed to `rowan/wet` with a change (v2).
pub fn renamed_ledger() -> (TempDir, Ledger) {
    let dir = folder();
    let commits = [
        commit("Measure", 1, &[("setups/rowan/race.kdl", Some("one")), ("other.txt", Some("x"))], Some("v1")),
        commit("Lower the grips", 2, &[("setups/rowan/race.kdl", Some("two"))], None),
        commit(
            "Call it wet",
            3,
            &[("setups/rowan/race.kdl", None), ("setups/rowan/wet.kdl", Some("three"))],
            Some("v2"),
        ),
    ];
    build(dir.path(), &commits).unwrap();
    let ledger = Ledger::open(dir.path()).unwrap();
    (dir, ledger)
}

/// Runs the git program, undisturbed by any configuration of the machine, and returns what it prints.
pub fn git(folder: &Path, arguments: &[&str]) -> String {
    git_on(folder, "2031-05-01T08:30:00+02:00", arguments)
}

pub fn git_on(folder: &Path, when: &str, arguments: &[&str]) -> String {
    let output = Command::new("git")
        .args(arguments)
        .current_dir(folder)
        .env_remove("GIT_DIR")
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("GIT_AUTHOR_NAME", "Test Rider")
        .env("GIT_AUTHOR_EMAIL", "test@example.invalid")
        .env("GIT_COMMITTER_NAME", "Test Mechanic")
        .env("GIT_COMMITTER_EMAIL", "mechanic@example.invalid")
        .env("GIT_AUTHOR_DATE", when)
        .env("GIT_COMMITTER_DATE", when)
        .output()
        .expect("the git program runs");
    assert!(output.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().trim_end().to_owned()
}

/// A repository made by the git program, with one committed setup `rowan/race`.
pub fn git_ledger() -> TempDir {
    let dir = folder();
    git(dir.path(), &["init", "-q", "-b", "main"]);
    write(dir.path(), "setups/rowan/race.kdl", text("one"));
    git(dir.path(), &["add", "."]);
    git(dir.path(), &["commit", "-q", "-m", "Measure"]);
    dir
}

pub fn git_commit(folder: &Path, subject: &str) {
    git(folder, &["add", "-A"]);
    git(folder, &["commit", "-q", "--allow-empty", "-m", subject]);
}
