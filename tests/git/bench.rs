//! A repository made by the git program, in surroundings that never vary.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// A sound setup with torque, marks and notes.
pub const RACE: &str = include_str!("race.kdl");

pub struct Bench {
    folder: TempDir,
    /// The ledger's folder, below the repository's top or the same.
    pub ledger: PathBuf,
}

impl Bench {
    /// A repository with one commit that holds `setups/rowan/race.kdl`; the ledger lies in `below`.
    pub fn new(below: &str) -> Bench {
        Bench::hashing("sha1", below)
    }

    /// The same, where git names its objects by that hash.
    pub fn hashing(hash: &str, below: &str) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        let ledger = folder.path().join(below);
        let bench = Bench { folder, ledger };
        bench.git(&["init", "-q", "-b", "main", &format!("--object-format={hash}")]);
        bench.write("setups/rowan/race.kdl", RACE);
        bench.commit("Measure");
        bench
    }

    /// The same, and the ledger has adopted it.
    pub fn adopted() -> Bench {
        let bench = Bench::new("");
        assert_eq!(bench.clampmark(&["adopt"]).status.code(), Some(0));
        bench.commit("Adopt");
        bench
    }

    pub fn top(&self) -> &Path {
        self.folder.path()
    }

    pub fn write(&self, path: &str, text: &str) {
        let file = self.ledger.join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(file, text).unwrap();
    }

    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.ledger.join(path)).unwrap()
    }

    /// Changes the setup's text.
    pub fn change(&self, from: &str, to: &str) {
        let text = self.read("setups/rowan/race.kdl");
        assert!(text.contains(from), "{from} is not in the setup");
        self.write("setups/rowan/race.kdl", &text.replacen(from, to, 1));
    }

    /// Runs git; what it prints, both ways, if it ends with that status.
    pub fn git_ending(&self, status: i32, arguments: &[&str]) -> String {
        let output = self.run("git", arguments);
        let text = [output.stdout, output.stderr].concat();
        let text = String::from_utf8_lossy(&text).into_owned();
        assert_eq!(output.status.code(), Some(status), "git {arguments:?}: {text}");
        text
    }

    pub fn git(&self, arguments: &[&str]) -> String {
        self.git_ending(0, arguments)
    }

    pub fn commit(&self, subject: &str) -> String {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "--allow-empty", "-m", subject])
    }

    pub fn clampmark(&self, arguments: &[&str]) -> Output {
        self.run(env!("CARGO_BIN_EXE_clampmark"), arguments)
    }

    pub fn said(&self, arguments: &[&str]) -> String {
        String::from_utf8(self.clampmark(arguments).stdout).unwrap()
    }

    fn run(&self, program: &str, arguments: &[&str]) -> Output {
        let when = "2031-05-01T08:30:00+02:00";
        Command::new(program)
            .args(arguments)
            .current_dir(self.ledger_or_top())
            .env_remove("GIT_DIR")
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .env("GIT_PAGER", "cat")
            .env("GIT_EDITOR", "true")
            .env("COLUMNS", "100")
            .env("GIT_AUTHOR_NAME", "Demo Rider")
            .env("GIT_AUTHOR_EMAIL", "rider@example.invalid")
            .env("GIT_COMMITTER_NAME", "Demo Mechanic")
            .env("GIT_COMMITTER_EMAIL", "mechanic@example.invalid")
            .env("GIT_AUTHOR_DATE", when)
            .env("GIT_COMMITTER_DATE", when)
            .output()
            .expect("the program runs")
    }

    fn ledger_or_top(&self) -> PathBuf {
        if self.ledger.is_dir() { self.ledger.clone() } else { self.top().to_path_buf() }
    }
}
