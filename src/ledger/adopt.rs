//! Making git understand setups, and undoing it: the attributes beside `setups/`, git's local configuration, the hook
//! before a commit.
//!
//! Only says what each file would hold; nothing is written before the caller says so, and each file is then replaced
//! in one step. What others wrote in these files stays as it is.

use std::fs;
use std::path::{Path, PathBuf};

use gix::bstr::{BStr, ByteSlice};
use gix::config::{File, Source, file::Metadata, source};

use super::{Ledger, LedgerError, write_atomically};

/// What setup files are to git.
const ATTRIBUTES: &str = "setups/**/*.kdl diff=clampmark merge=clampmark";
/// By this line we know our own hook.
const HOOK_MARK: &str = "# Written by `clampmark adopt`; `clampmark adopt --undo` takes it away.";

/// What is to become of one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileChange {
    /// Where it is.
    pub path: PathBuf,
    /// What it is to git.
    pub purpose: &'static str,
    /// The lines put in or taken out.
    pub lines: Vec<String>,
    /// Whether git locks it while it writes: then so do we.
    pub locked: bool,
    /// What to do.
    pub action: Action,
}

/// What to do with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// It is as it should be.
    Nothing,
    /// Write it.
    Write {
        /// What it holds now; none if it does not exist.
        was: Option<Vec<u8>>,
        /// What it is to hold.
        now: Vec<u8>,
        /// Whether the system may run it.
        executable: bool,
    },
    /// Remove it: nothing but ours is in it.
    Remove,
    /// Leave it to the user, and why.
    Leave(String),
}

impl FileChange {
    /// Does it.
    pub fn carry_out(&self) -> Result<(), LedgerError> {
        match &self.action {
            Action::Nothing | Action::Leave(_) => Ok(()),
            Action::Remove => fs::remove_file(&self.path).map_err(LedgerError::unwritable(&self.path)),
            Action::Write { was, now, executable } => {
                let _lock = if self.locked { Some(lock(&self.path)?) } else { None };
                write_atomically(&self.path, was.as_deref(), now)?;
                if *executable { make_executable(&self.path) } else { Ok(()) }
            }
        }
    }
}

/// Keeps git, and whoever else asks for its lock, from writing the file until this is dropped.
fn lock(path: &Path) -> Result<gix::lock::Marker, LedgerError> {
    let at_once = gix::lock::acquire::Fail::Immediately;
    gix::lock::Marker::acquire_to_hold_resource(path, at_once, None, 0).map_err(|_| LedgerError::Git {
        doing: "Changing git's configuration",
        detail: format!(
            "another git is at work here, or one was killed (wait for it, or take {}.lock away)",
            path.display()
        ),
    })
}

#[cfg(unix)]
fn make_executable(path: &Path) -> Result<(), LedgerError> {
    use std::os::unix::fs::PermissionsExt;
    let permissions = fs::Permissions::from_mode(0o755);
    fs::set_permissions(path, permissions).map_err(LedgerError::unwritable(path))
}

#[cfg(not(unix))]
fn make_executable(_: &Path) -> Result<(), LedgerError> {
    Ok(())
}

impl Ledger {
    /// What it takes to make git understand setups; `program` is how a shell starts this program.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and files that cannot be read.
    pub fn adoption(&self, program: &str) -> Result<Vec<FileChange>, LedgerError> {
        let attributes = self.attributes_file();
        let config = self.config_file()?;
        let (hook, owner) = self.hook_file()?;
        Ok(vec![
            with_line(attributes)?,
            with_config(config, &settings(program))?,
            with_hook(hook, owner.as_deref(), &self.hook_text(program))?,
        ])
    }

    /// What it takes to undo that.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and files that cannot be read.
    pub fn abandonment(&self) -> Result<Vec<FileChange>, LedgerError> {
        let (hook, _) = self.hook_file()?;
        Ok(vec![
            without_line(self.attributes_file())?,
            without_config(self.config_file()?, &settings(""))?,
            without_hook(hook)?,
        ])
    }

    /// In the folder that holds `setups/`, which may be below the repository's top.
    fn attributes_file(&self) -> PathBuf {
        self.root().join(".gitattributes")
    }

    fn config_file(&self) -> Result<PathBuf, LedgerError> {
        Ok(self.store()?.local().common_dir().join("config"))
    }

    /// The hook's file; and if its folder is configured outside this repository, where.
    fn hook_file(&self) -> Result<(PathBuf, Option<String>), LedgerError> {
        let repository = self.store()?.local();
        let usual = repository.common_dir().join("hooks").join("pre-commit");
        let snapshot = repository.config_snapshot();
        let Some((folder, section)) = snapshot.plumbing().raw_value_with_section("core.hooksPath").ok()
        else {
            return Ok((usual, None));
        };
        let plain = PathBuf::from(folder.to_str_lossy().into_owned());
        let folder = match snapshot.trusted_path("core.hooksPath") {
            Ok(Some(folder)) => folder,
            _ => plain,
        };
        // A relative folder is meant from where hooks run: the top of the working tree.
        let folder = repository.workdir().unwrap_or(self.root()).join(folder);
        let shared = section.meta().source.kind() != source::Kind::Repository;
        let owner = shared.then(|| folder.display().to_string());
        Ok((folder.join("pre-commit"), owner))
    }

    fn hook_text(&self, program: &str) -> String {
        let top = self.worktree().unwrap_or(self.root());
        let root = self.root().canonicalize().unwrap_or_else(|_| self.root().to_path_buf());
        let below = root.strip_prefix(top).ok().filter(|below| !below.as_os_str().is_empty());
        let ledger = below.map(|below| format!(" --ledger={}", shell_word(&below.to_string_lossy())));
        format!("#!/bin/sh\n{HOOK_MARK}\nexec {program} gate{}\n", ledger.unwrap_or_default())
    }
}

/// A word that a shell takes as it is.
pub fn shell_word(word: &str) -> String {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || "-_./+,:@%".contains(letter);
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else {
        format!("'{}'", word.replace('\'', "'\\''"))
    }
}

/// Section, key and value of everything configured. A path may begin with a hyphen and is no option for that.
fn settings(program: &str) -> Vec<(&'static str, &'static str, String)> {
    vec![
        ("diff", "command", format!("{program} git-diff --")),
        ("diff", "textconv", format!("{program} git-text --")),
        ("merge", "name", "setups, measure by measure".to_owned()),
        ("merge", "driver", format!("{program} merge --path=%P -- %O %A %B")),
    ]
}

fn contents(path: &Path) -> Result<Option<Vec<u8>>, LedgerError> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(LedgerError::unreadable(path)(error)),
    }
}

fn change(path: PathBuf, purpose: &'static str, lines: Vec<String>, action: Action) -> FileChange {
    FileChange { path, purpose, lines, locked: purpose == CONFIG_PURPOSE, action }
}

const ATTRIBUTES_PURPOSE: &str = "which files are setups";

fn is_our_line(line: &&[u8]) -> bool {
    line.trim() == ATTRIBUTES.as_bytes()
}

fn with_line(path: PathBuf) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    if text.lines().any(|line| is_our_line(&line)) {
        return Ok(change(path, ATTRIBUTES_PURPOSE, Vec::new(), Action::Nothing));
    }
    let line_end: &[u8] = if text.contains_str("\r\n") { b"\r\n" } else { b"\n" };
    let mut now = text;
    if !now.is_empty() && !now.ends_with(b"\n") {
        now.extend_from_slice(line_end);
    }
    now.extend_from_slice(ATTRIBUTES.as_bytes());
    now.extend_from_slice(line_end);
    let action = Action::Write { was, now, executable: false };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}

fn without_line(path: PathBuf) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let kept: Vec<&[u8]> = text.lines_with_terminator().filter(|line| !is_our_line(line)).collect();
    let now = kept.concat();
    if now == text {
        return Ok(change(path, ATTRIBUTES_PURPOSE, Vec::new(), Action::Nothing));
    }
    let action = if now.is_empty() { Action::Remove } else { Action::Write { was, now, executable: false } };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}

const CONFIG_PURPOSE: &str = "how git shows and merges them";

fn parsed(path: &Path, bytes: &[u8]) -> Result<File, LedgerError> {
    let failed = LedgerError::git("Reading git's configuration");
    let metadata = Metadata::from(Source::Local).at(path);
    File::from_bytes_no_includes(bytes, metadata, gix::config::file::init::Options::default()).map_err(failed)
}

/// The subsection of git's configuration that is ours.
fn ours() -> &'static BStr {
    BStr::new("clampmark")
}

fn with_config(
    path: PathBuf,
    settings: &[(&'static str, &'static str, String)],
) -> Result<FileChange, LedgerError> {
    let failed = LedgerError::git("Changing git's configuration");
    let was = contents(&path)?;
    let mut file = parsed(&path, was.as_deref().unwrap_or_default())?;
    let mut lines = Vec::new();
    for (section, key, value) in settings {
        let known = file.raw_value_by(*section, Some(ours()), *key).ok();
        if known.as_deref().map(|known| known.as_bytes()) == Some(value.as_bytes()) {
            continue;
        }
        let mut section_mut = file.section_mut_or_create_new(*section, Some(ours())).map_err(&failed)?;
        section_mut.set(*key, value.as_str()).map_err(&failed)?;
        lines.push(format!("{section}.clampmark.{key} = {value}"));
    }
    let action = if lines.is_empty() {
        Action::Nothing
    } else {
        Action::Write { was, now: file.to_bstring().into(), executable: false }
    };
    Ok(change(path, CONFIG_PURPOSE, lines, action))
}

fn without_config(
    path: PathBuf,
    settings: &[(&'static str, &'static str, String)],
) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let mut file = parsed(&path, was.as_deref().unwrap_or_default())?;
    let mut lines = Vec::new();
    for (section, key, _) in settings {
        let Ok(mut section_mut) = file.section_mut(*section, Some(ours())) else { continue };
        if let Some(value) = section_mut.remove(key) {
            lines.push(format!("{section}.clampmark.{key} = {value}"));
        }
    }
    for section in ["diff", "merge"] {
        let empty =
            file.section(section, Some(ours())).is_ok_and(|section| section.value_names().next().is_none());
        if empty {
            file.remove_section(section, Some(ours()));
        }
    }
    let action = if lines.is_empty() {
        Action::Nothing
    } else {
        Action::Write { was, now: file.to_bstring().into(), executable: false }
    };
    Ok(change(path, CONFIG_PURPOSE, lines, action))
}

const HOOK_PURPOSE: &str = "the gate before a commit";

fn with_hook(path: PathBuf, owner: Option<&str>, text: &str) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let command = text.lines().last().unwrap_or_default().trim_start_matches("exec ").to_owned();
    let leave = |why: String| Action::Leave(format!("{why} Add to it yourself: {command} || exit 1"));
    let lines = vec![command.clone()];
    let action = match (owner, &was) {
        (_, Some(known)) if known == text.as_bytes() => Action::Nothing,
        (Some(folder), _) => leave(format!("The hooks in {folder} serve other repositories too.")),
        (None, Some(known)) if !known.contains_str(HOOK_MARK) => {
            leave("There is another hook already.".to_owned())
        }
        (None, Some(known)) if !is_ours_alone(known) => leave("Something was added to our hook.".to_owned()),
        (None, _) => Action::Write { was, now: text.as_bytes().to_vec(), executable: true },
    };
    Ok(change(path, HOOK_PURPOSE, if action == Action::Nothing { Vec::new() } else { lines }, action))
}

/// Whether a hook holds what was written here, perhaps by another version or from another place, and nothing else.
fn is_ours_alone(hook: &[u8]) -> bool {
    let mut lines = hook.lines();
    let (shell, mark, command) = (lines.next(), lines.next(), lines.next());
    let runs_the_gate = |command: &[u8]| command.starts_with(b"exec ") && command.contains_str(" gate");
    shell == Some(b"#!/bin/sh")
        && mark == Some(HOOK_MARK.as_bytes())
        && command.is_some_and(runs_the_gate)
        && lines.next().is_none()
}

fn without_hook(path: PathBuf) -> Result<FileChange, LedgerError> {
    let known = contents(&path)?.filter(|known| known.contains_str(HOOK_MARK));
    let (lines, action) = match known {
        None => (Vec::new(), Action::Nothing),
        Some(known) if is_ours_alone(&known) => (vec!["the whole file".to_owned()], Action::Remove),
        Some(_) => {
            let why = "Something was added to our hook. Take the line with `gate` out of it yourself.";
            (Vec::new(), Action::Leave(why.to_owned()))
        }
    };
    Ok(change(path, HOOK_PURPOSE, lines, action))
}
