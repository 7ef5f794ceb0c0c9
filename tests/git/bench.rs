//! A repository made by the git program, in surroundings that never vary.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// A sound setup with torque, marks and notes.
pub const RACE: &str = include_str!("race.kdl");

/// A page on one line, wherever it was broken.
pub fn flowing(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

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

    /// A clone of it; the ledger lies at its top.
    pub fn cloned(&self) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        let ledger = folder.path().join("clone");
        self.git(&["clone", "-q", ".", ledger.to_str().unwrap()]);
        Bench { folder, ledger }
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

    /// Goes on from here on two branches, a commit each: `main`, on which it ends, and `wet`.
    pub fn fork(&self, on_main: &[(&str, &str)], on_wet: &[(&str, &str)]) {
        let changed = |subject: &str, changes: &[(&str, &str)]| {
            for (from, to) in changes {
                self.change(from, to);
            }
            self.commit(subject);
        };
        self.git(&["checkout", "-q", "-b", "wet"]);
        changed("Wet", on_wet);
        self.git(&["checkout", "-q", "main"]);
        changed("Dry", on_main);
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

    /// A commit of all there is, or what else git is told to do, on a day of May 2031.
    pub fn git_on(&self, day: u32, arguments: &[&str]) -> String {
        let when = format!("2031-05-{day:02}T08:30:00+02:00");
        let mut command = self.command("git", arguments);
        let output = command.env("GIT_AUTHOR_DATE", &when).env("GIT_COMMITTER_DATE", &when).output().unwrap();
        assert!(output.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Changes the setup's text and commits it on a day of May 2031.
    pub fn change_on(&self, day: u32, from: &str, to: &str) {
        self.change(from, to);
        self.git_on(day, &["commit", "-q", "-a", "-m", &format!("{from} to {to}")]);
    }

    /// The shortened hash, as the program shows it.
    pub fn short(&self, revision: &str) -> String {
        self.git(&["rev-parse", "--short=9", revision]).trim().to_owned()
    }

    pub fn clampmark(&self, arguments: &[&str]) -> Output {
        self.run(env!("CARGO_BIN_EXE_clampmark"), arguments)
    }

    pub fn said(&self, arguments: &[&str]) -> String {
        String::from_utf8(self.clampmark(arguments).stdout).unwrap()
    }

    /// Adds a commit to `main` for each of these contents of the setup, an hour apart.
    pub fn record_many(&self, contents: impl Iterator<Item = String>) {
        let mut importer = self.command("git", &["fast-import", "--quiet", "--force"]);
        let mut importer = importer.stdin(Stdio::piped()).spawn().expect("git fast-import");
        let mut pipe = importer.stdin.take().expect("its input");
        for (place, content) in contents.enumerate() {
            let seconds = 1_935_600_000 + place * 3600;
            let from = if place == 0 { "from refs/heads/main^0\n" } else { "" };
            let subject = format!("Revision {place}");
            let written = write!(
                pipe,
                "commit refs/heads/main\ncommitter Demo Rider <rider@example.invalid> {seconds} +0200\n\
                 data {}\n{subject}\n{from}M 100644 inline setups/rowan/race.kdl\ndata {}\n{content}\n",
                subject.len(),
                content.len()
            );
            written.expect("git reads");
        }
        drop(pipe);
        assert!(importer.wait().expect("git ends").success());
        self.git(&["reset", "-q", "--hard", "main"]);
    }

    fn run(&self, program: &str, arguments: &[&str]) -> Output {
        self.command(program, arguments).output().expect("the program runs")
    }

    /// A program in surroundings that never vary.
    fn command(&self, program: &str, arguments: &[&str]) -> Command {
        let when = "2031-05-01T08:30:00+02:00";
        let mut command = Command::new(program);
        command
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
            .env("GIT_COMMITTER_DATE", when);
        command
    }

    fn ledger_or_top(&self) -> PathBuf {
        if self.ledger.is_dir() { self.ledger.clone() } else { self.top().to_path_buf() }
    }
}
