//! How long a long history takes beside git itself: 10,000 commits, 2,000 of which touch one setup.
//!
//! `cargo bench --bench history`; prints ratios, each of the best of several runs. Needs the git program.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RACE: &str = include_str!("../git/race.kdl");
const COMMITS: usize = 10_000;
/// Every fifth commit touches the setup.
const EVERY: usize = 5;
const RUNS: usize = 20;

fn main() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    if !git(folder.path(), &["init", "-q", "-b", "main"]) {
        println!("The git program is not here: nothing to compare with.");
        return;
    }
    fill(folder.path());
    let clampmark = env!("CARGO_BIN_EXE_clampmark");
    let file = "setups/rowan/race.kdl";
    let [log, history, json] = best(
        folder.path(),
        [
            ("git", &["log", "-p", "--", file]),
            (clampmark, &["history", "rowan/race"]),
            (clampmark, &["history", "rowan/race", "--json"]),
        ],
    );
    report("history, against git log -p", history, log, 0.5);
    report("history --json, against git log -p", json, log, 0.5);
    let [git_diff, diff, version] = best(
        folder.path(),
        [
            ("git", &["diff", "HEAD~5", "HEAD", "--", file]),
            (clampmark, &["diff", "rowan/race", "HEAD~5", "HEAD"]),
            (clampmark, &["--version"]),
        ],
    );
    report("diff, against git diff", diff, git_diff, 1.0);
    println!("starting the program alone, against git diff: {:.2}", ratio(version, git_diff));
}

fn report(what: &str, ours: Duration, theirs: Duration, target: f64) {
    println!(
        "{what}: {:.2} (target at most {target}); {:.1} ms against {:.1} ms",
        ratio(ours, theirs),
        ours.as_secs_f64() * 1e3,
        theirs.as_secs_f64() * 1e3
    );
}

fn ratio(ours: Duration, theirs: Duration) -> f64 {
    ours.as_secs_f64() / theirs.as_secs_f64()
}

fn git(folder: &Path, arguments: &[&str]) -> bool {
    Command::new("git").args(arguments).current_dir(folder).status().is_ok_and(|status| status.success())
}

/// The shortest of several runs of each, output thrown away; they take turns, so that all have the same machine.
fn best<const N: usize>(folder: &Path, commands: [(&str, &[&str]); N]) -> [Duration; N] {
    let run = |(program, arguments): (&str, &[&str])| {
        let start = Instant::now();
        let status = Command::new(program)
            .args(arguments)
            .current_dir(folder)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .stdout(Stdio::null())
            .status()
            .expect("the program runs");
        assert!(status.code().is_some_and(|code| code < 2), "{program} {arguments:?}");
        start.elapsed()
    };
    let mut best = [Duration::MAX; N];
    for _ in 0..RUNS {
        for (best, command) in best.iter_mut().zip(commands) {
            *best = run(command).min(*best);
        }
    }
    best
}

/// Imports the history: the setup in a ledger of 100 others, one of which every other commit touches.
fn fill(folder: &Path) {
    let mut importer = Command::new("git")
        .args(["fast-import", "--quiet"])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .spawn()
        .expect("git fast-import");
    let mut pipe = importer.stdin.take().expect("its input");
    for commit in 0..COMMITS {
        let subject = format!("Venue {commit}");
        let mut text = format!(
            "commit refs/heads/main\ncommitter Demo Rider <rider@example.invalid> {} +0200\ndata {}\n{subject}\n",
            1_900_000_000 + commit * 3600,
            subject.len()
        );
        let touched = commit % EVERY == 0;
        let path = if touched { "rowan/race".to_owned() } else { format!("alder/venue-{}", commit % 100) };
        // A lever is read anew for every venue, and no reading comes twice: no content is read twice.
        let angle = format!("angle {}.{:04} with", 28 + commit % 7, commit);
        let content = RACE.replace("length 50;", &format!("length {};", 35 + commit % 31)).replacen(
            "angle 32 with",
            &angle,
            1,
        );
        let _ = write!(text, "M 100644 inline setups/{path}.kdl\ndata {}\n{content}\n", content.len());
        pipe.write_all(text.as_bytes()).expect("git reads");
    }
    drop(pipe);
    assert!(importer.wait().expect("git ends").success());
    assert!(git(folder, &["reset", "-q", "--hard", "main"]));
}
