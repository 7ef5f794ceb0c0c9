//! Making git understand setups, and undoing it: the attributes beside `setups/`, git's local configuration, the hooks
//! before a commit and before a merge's.
//!
//! Only says what each file would hold; nothing is written before the caller says so, and each file is then replaced
//! in one step. What others wrote in these files stays as it is.

use std::fs;
use std::path::{Component, Path, PathBuf};

use gix::bstr::ByteSlice;
use gix::config::source;

use super::{Ledger, LedgerError, write_atomically};

mod config;

use config::{Known, Records, settings, with_block, without_block, written};

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
    Remove {
        /// How many of the folders around it were made for it: they go, too, if they are empty.
        folders: usize,
    },
    /// Leave it to the user, and why.
    Leave(String),
}

impl FileChange {
    /// Does it.
    pub fn carry_out(&self) -> Result<(), LedgerError> {
        match &self.action {
            Action::Nothing | Action::Leave(_) => Ok(()),
            Action::Remove { folders } => {
                fs::remove_file(&self.path).map_err(LedgerError::unwritable(&self.path))?;
                for folder in self.path.ancestors().skip(1).take(*folders) {
                    // One that holds something by now stays.
                    let _ = fs::remove_dir(folder);
                }
                Ok(())
            }
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
        let config = self.config_file()?;
        let attributes = with_line(self.attributes_file())?;
        let mut hooks = Vec::new();
        for (name, purpose) in HOOKS {
            let (file, owner) = self.hook_file(name)?;
            hooks.push(with_hook(file, purpose, owner.as_deref(), &self.hook_text(program))?);
        }
        let mut records = Records::default();
        if matches!(attributes.action, Action::Write { .. }) {
            records.attributes.push(self.below_top(&attributes.path));
        }
        let new = |hook: &&FileChange| matches!(hook.action, Action::Write { was: None, .. });
        if let Some(hook) = hooks.iter().find(new) {
            records.hook_folders =
                hook.path.ancestors().skip(1).take_while(|folder| !folder.exists()).count();
        }
        let config = with_config(config, program, records)?;
        Ok([vec![attributes, config], hooks].concat())
    }

    /// What it takes to undo that.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and files that cannot be read.
    pub fn abandonment(&self) -> Result<Vec<FileChange>, LedgerError> {
        let config = self.config_file()?;
        let records = Known::of(&config, &contents(&config)?.unwrap_or_default())?.records;
        let attributes = self.attributes_file();
        let ours = records.attributes.contains(&self.below_top(&attributes));
        let mut changes = vec![without_line(attributes, ours)?, without_config(config)?];
        for (name, purpose) in HOOKS {
            changes.push(without_hook(self.hook_file(name)?.0, purpose, records.hook_folders)?);
        }
        Ok(changes)
    }

    /// A file as it is called from the top of the working tree.
    fn below_top(&self, file: &Path) -> String {
        let top = self.worktree().unwrap_or(self.root());
        let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let folder = real(file.parent().unwrap_or(file));
        let below = folder.strip_prefix(real(top)).unwrap_or(&folder);
        below.join(file.file_name().unwrap_or_default()).to_string_lossy().into_owned()
    }

    /// In the folder that holds `setups/`, which may be below the repository's top.
    fn attributes_file(&self) -> PathBuf {
        self.root().join(".gitattributes")
    }

    fn config_file(&self) -> Result<PathBuf, LedgerError> {
        Ok(self.common_folder()?.join("config"))
    }

    /// The repository's own folder, which all its working trees share: from a second one the way there goes back and
    /// forth, and nobody wants to read that.
    fn common_folder(&self) -> Result<PathBuf, LedgerError> {
        let folder = self.store()?.local().common_dir().to_path_buf();
        let winds = folder.components().any(|part| part == Component::ParentDir);
        Ok(folder.canonicalize().ok().filter(|_| winds).unwrap_or(folder))
    }

    /// The hook's file; and if its folder is configured outside this repository, where.
    fn hook_file(&self, name: &str) -> Result<(PathBuf, Option<String>), LedgerError> {
        let repository = self.store()?.local();
        let usual = self.common_folder()?.join("hooks").join(name);
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
        Ok((folder.join(name), owner))
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
    // A file without a line end at its end gets none: by that it is given back as it was.
    let ended = text.ends_with(b"\n") || was.is_none();
    let (before, after) = if ended { (&b""[..], line_end) } else { (line_end, &b""[..]) };
    let before = if text.is_empty() { b"" } else { before };
    let now = [&text, before, ATTRIBUTES.as_bytes(), after].concat();
    let action = Action::Write { was, now, executable: false };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}

fn without_line(path: PathBuf, ours: bool) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let lines: Vec<&[u8]> = text.lines_with_terminator().collect();
    let Some(place) = lines.iter().rposition(is_our_line).filter(|_| ours) else {
        return Ok(change(path, ATTRIBUTES_PURPOSE, Vec::new(), Action::Nothing));
    };
    let mut now = lines[..place].concat();
    let ended = text.ends_with(b"\n");
    if place + 1 == lines.len() && !ended {
        // A carriage return was put in only where other lines end in one.
        let kept = now.strip_suffix(b"\n").map(|kept| {
            let whole = kept.strip_suffix(b"\r").filter(|_| kept.contains_str("\r\n"));
            whole.unwrap_or(kept)
        });
        now.truncate(kept.map_or(now.len(), <[u8]>::len));
    }
    now.extend_from_slice(&lines[place + 1..].concat());
    let action = if now.is_empty() && ended {
        Action::Remove { folders: 0 }
    } else {
        Action::Write { was, now, executable: false }
    };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}

const CONFIG_PURPOSE: &str = "how git shows and merges them";

fn with_config(path: PathBuf, program: &str, new: Records) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let known = Known::of(&path, &text)?;
    let settings = settings(program);
    let missing = settings.iter().filter(|setting| !known.has(setting));
    let mut lines: Vec<String> =
        missing.map(|(section, key, value)| format!("{section}.clampmark.{key} = {value}")).collect();
    let mut records = known.records.clone();
    for path in new.attributes.into_iter().filter(|path| !known.records.attributes.contains(path)) {
        lines.push(format!("clampmark.attributes = {path}"));
        records.attributes.push(path);
    }
    if new.hook_folders > 0 {
        lines.push(format!("clampmark.hookFolders = {}", new.hook_folders));
        records.hook_folders = new.hook_folders;
    }
    let action = if lines.is_empty() {
        Action::Nothing
    } else {
        let now = with_block(&without_block(&text), &settings, &records);
        Action::Write { was, now, executable: false }
    };
    Ok(change(path, CONFIG_PURPOSE, lines, action))
}

fn without_config(path: PathBuf) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let now = without_block(&text);
    if now == text {
        return Ok(change(path, CONFIG_PURPOSE, Vec::new(), Action::Nothing));
    }
    let lines = written(&text);
    Ok(change(path, CONFIG_PURPOSE, lines, Action::Write { was, now, executable: false }))
}

/// Git runs the first before a commit that somebody makes, the second before the commit of a merge that went through
/// by itself.
const HOOKS: [(&str, &str); 2] =
    [("pre-commit", "the gate before a commit"), ("pre-merge-commit", "the gate before a merge's commit")];

fn with_hook(
    path: PathBuf,
    purpose: &'static str,
    owner: Option<&str>,
    text: &str,
) -> Result<FileChange, LedgerError> {
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
    Ok(change(path, purpose, if action == Action::Nothing { Vec::new() } else { lines }, action))
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

fn without_hook(path: PathBuf, purpose: &'static str, folders: usize) -> Result<FileChange, LedgerError> {
    let known = contents(&path)?.filter(|known| known.contains_str(HOOK_MARK));
    let (lines, action) = match known {
        None => (Vec::new(), Action::Nothing),
        Some(known) if is_ours_alone(&known) => {
            (vec!["the whole file".to_owned()], Action::Remove { folders })
        }
        Some(_) => {
            let why = "Something was added to our hook. Take the line with `gate` out of it yourself.";
            (Vec::new(), Action::Leave(why.to_owned()))
        }
    };
    Ok(change(path, purpose, lines, action))
}
