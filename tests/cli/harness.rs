//! A bench: a real temporary ledger, a real git repository made by the library, and the real program run on it in
//! surroundings that never vary.

use std::{
    fs,
    path::{Path, PathBuf},
};

use assert_cmd::Command;
use chrono::DateTime;
use clampmark::ledger::demo::{DemoCommit, build};
use tempfile::TempDir;

/// One commit of a bench: its subject, the files it writes, its tag. They are a day apart, from 1 May 2031.
pub struct Commit<'a> {
    pub subject: &'a str,
    pub files: &'a [(&'a str, &'a str)],
    pub tag: Option<&'a str>,
}

/// A temporary ledger.
pub struct Bench {
    folder: TempDir,
    columns: usize,
}

/// What a run came to.
pub struct Outcome {
    pub command: String,
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Bench {
    /// A folder with these files and no repository.
    pub fn without_git(files: &[(&str, &str)]) -> Bench {
        let bench = Bench { folder: tempfile::tempdir().unwrap(), columns: 80 };
        for (path, text) in files {
            bench.write(path, text);
        }
        bench
    }

    /// A repository with these commits; the last one's files are in the working folder.
    pub fn recorded(commits: &[Commit]) -> Bench {
        let bench = Bench::without_git(&[]);
        let commits: Vec<DemoCommit> = commits
            .iter()
            .enumerate()
            .map(|(index, commit)| DemoCommit {
                files: commit
                    .files
                    .iter()
                    .map(|(path, text)| ((*path).to_owned(), Some(text.as_bytes().to_vec())))
                    .collect(),
                subject: commit.subject,
                date: DateTime::parse_from_rfc3339(&format!("2031-05-{:02}T08:30:00+02:00", index + 1))
                    .unwrap(),
                tag: commit.tag,
            })
            .collect();
        build(bench.root(), &commits).unwrap();
        bench
    }

    /// The same, with somebody whom git takes for the author of what is committed.
    pub fn known_to_git(self) -> Bench {
        let config = self.root().join(".git/config");
        let known = std::fs::read_to_string(&config).unwrap();
        let who = "[user]\n\tname = Demo Rider\n\temail = rider@example.invalid\n";
        std::fs::write(&config, format!("{known}\n{who}")).unwrap();
        self
    }

    /// A repository whose second commit gives a file another path; the working folder is as it left it.
    pub fn renamed(from: &str, to: &str, text: &str) -> Bench {
        let bench = Bench::without_git(&[]);
        let date =
            |day: u32| DateTime::parse_from_rfc3339(&format!("2031-05-0{day}T08:30:00+02:00")).unwrap();
        let written = || Some(text.as_bytes().to_vec());
        let commits = [
            DemoCommit {
                files: vec![(from.to_owned(), written())],
                subject: "Measure",
                date: date(1),
                tag: None,
            },
            DemoCommit {
                files: vec![(from.to_owned(), None), (to.to_owned(), written())],
                subject: "Call it otherwise",
                date: date(2),
                tag: None,
            },
        ];
        build(bench.root(), &commits).unwrap();
        bench
    }

    /// The same bench on a terminal of that many columns.
    pub fn columns(mut self, columns: usize) -> Bench {
        self.columns = columns;
        self
    }

    /// Its folder.
    pub fn root(&self) -> &Path {
        self.folder.path()
    }

    /// Writes a file of the working folder.
    pub fn write(&self, path: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let file = self.root().join(path);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, content).unwrap();
        file
    }

    /// The program, in surroundings that never vary.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_clampmark"));
        command
            .current_dir(self.root())
            .env_clear()
            .env("PATH", std::env::var_os("PATH").unwrap_or_default())
            .env("HOME", self.root())
            .env("XDG_CONFIG_HOME", self.root().join("no-configuration"))
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .env("GIT_CEILING_DIRECTORIES", self.root().parent().unwrap())
            .env("COLUMNS", self.columns.to_string())
            .env("NO_COLOR", "1")
            .env("TZ", "UTC")
            // A day after all that the fixtures tell.
            .env("CLAMPMARK_TODAY", "2031-06-30")
            .args(arguments);
        command
    }

    /// Runs the program in the ledger's folder.
    pub fn run(&self, arguments: &[&str]) -> Outcome {
        self.outcome(arguments, &mut self.command(arguments))
    }

    /// Runs the program in a folder below.
    pub fn run_in(&self, folder: &str, arguments: &[&str]) -> Outcome {
        self.outcome(arguments, self.command(arguments).current_dir(self.root().join(folder)))
    }

    fn outcome(&self, arguments: &[&str], command: &mut Command) -> Outcome {
        let output = command.output().unwrap();
        let text = |bytes: Vec<u8>| self.without_paths(&String::from_utf8(bytes).unwrap());
        Outcome {
            command: format!("clampmark {}", arguments.join(" ")).trim_end().to_owned(),
            status: output.status.code().expect("the program ends by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }

    /// The temporary folder's name varies; nothing else does.
    fn without_paths(&self, text: &str) -> String {
        let real = self.root().canonicalize().unwrap();
        text.replace(&*real.to_string_lossy(), "[LEDGER]")
            .replace(&*self.root().to_string_lossy(), "[LEDGER]")
    }
}

impl Outcome {
    /// Everything a person sees, the exit status last.
    pub fn screen(&self) -> String {
        let complaint =
            if self.err.is_empty() { String::new() } else { format!("(standard error)\n{}", self.err) };
        format!("> {}\n{}{complaint}(exit status {})\n", self.command, self.out, self.status)
    }

    /// The one JSON object that was printed.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}", self.screen()))
    }
}

/// A page on one line, whatever its width.
pub fn flowing(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The widest line of a screen, in characters.
pub fn widest(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}
