//! Making git understand setups, and undoing it: the attributes beside `setups/`, git's local configuration, the hooks
//! before a commit and before a merge's.
//!
//! Only says what each file would hold; nothing is written before the caller says so, and each file is then replaced
//! in one step. What others wrote in these files stays as it is.

use std::fs;
use std::path::{Component, Path, PathBuf};

use gix::bstr::ByteSlice;
use gix::config::source;

use super::{Ledger, LedgerError, real, write_atomically};

mod attributes;
mod config;
mod hook;
mod others_hook;
mod overriding;

use attributes::{with_line, without_line};
use config::{Known, Records, settings, with_block, without_block, without_records, written};
use hook::{HOOKS, hook_text, with_hook, without_hook};

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

/// Whether the system may run it: git passes over a hook that it may not, and says so at most in passing.
#[cfg(unix)]
fn is_executable(path: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    fs::metadata(path).is_ok_and(|file| file.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_executable(_: &Path) -> bool {
    true
}

#[cfg(not(unix))]
fn make_executable(_: &Path) -> Result<(), LedgerError> {
    Ok(())
}

/// What it takes to undo an adoption.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Abandonment {
    /// The files.
    pub files: Vec<FileChange>,
    /// The other ledgers of the repository for which the hooks and git's settings stay, from the top of the working
    /// tree.
    pub stays_for: Vec<String>,
    /// The other working trees of the repository, which have the hooks and git's settings no more where these go.
    pub goes_for: Vec<PathBuf>,
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
            hooks.push(with_hook(file, purpose, owner.as_deref(), &hook_text(program))?);
        }
        let mut records = Records { ledgers: vec![self.place()], ..Records::default() };
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

    /// Whether git merges setups as an earlier version of this program told it: adopting once more renews that.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and a configuration that cannot be read.
    pub fn merges_as_told_earlier(&self) -> Result<bool, LedgerError> {
        let config = self.config_file()?;
        let text = contents(&config)?.unwrap_or_default();
        Ok(Known::of(&config, &text)?.has_earlier_driver())
    }

    /// Whether the ledger was adopted, but not in this clone: the attributes came with it, and git's settings did not.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and attributes that cannot be read.
    pub fn is_adopted_elsewhere(&self) -> Result<bool, LedgerError> {
        let has_driver = self.store()?.local().config_snapshot().string("merge.clampmark.driver").is_some();
        Ok(!has_driver && with_line(self.attributes_file())?.action == Action::Nothing)
    }

    /// What it takes to undo that. The hooks and git's settings are one for all ledgers of a repository: they go with
    /// the last one.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], and files that cannot be read.
    pub fn abandonment(&self) -> Result<Abandonment, LedgerError> {
        let config = self.config_file()?;
        let records = Known::of(&config, &contents(&config)?.unwrap_or_default())?.records;
        let attributes = self.attributes_file();
        let (place, line) = (self.place(), self.below_top(&attributes));
        let stays_for = self.served_beside(&records);
        let mut files = vec![without_line(attributes, records.attributes.contains(&line))?];
        if stays_for.is_empty() {
            files.push(without_config(config)?);
            for (name, purpose) in HOOKS {
                files.push(without_hook(self.hook_file(name)?.0, purpose, records.hook_folders)?);
            }
        } else {
            files.push(without_ledger(config, &[("attributes", &line), ("ledger", &place)])?);
        }
        let goes_for = if stays_for.is_empty() { self.other_working_trees()? } else { Vec::new() };
        Ok(Abandonment { files, stays_for, goes_for })
    }

    /// The working trees of the repository beside this one.
    fn other_working_trees(&self) -> Result<Vec<PathBuf>, LedgerError> {
        let repository = self.store()?.local();
        let linked = repository.worktrees().map_err(LedgerError::git("Looking for other working trees"))?;
        let linked = linked.into_iter().filter_map(|tree| tree.base().ok());
        let common = self.common_folder()?;
        let main =
            common.file_name().filter(|name| *name == ".git").and(common.parent()).map(Path::to_path_buf);
        let own = real(self.worktree().unwrap_or(self.root()));
        let trees = main.into_iter().chain(linked).map(|tree| real(&tree));
        Ok(trees.filter(|tree| *tree != own && tree.is_dir()).collect())
    }

    /// The other ledgers that were adopted. One that is not in the working tree may be on another branch: whoever undoes
    /// this ledger leaves it its gate. Whoever then asks again means that one, for there is no other way to it.
    fn served_beside(&self, records: &Records) -> Vec<String> {
        let (place, top) = (self.place(), self.worktree().unwrap_or(self.root()));
        let others: Vec<String> = records.places().into_iter().filter(|other| *other != place).collect();
        let is_here = |other: &String| top.join(other).join("setups").is_dir();
        let asks_again = !records.places().contains(&place);
        if asks_again && !others.iter().any(is_here) { Vec::new() } else { others }
    }

    /// The ledger's folder as it is called from the top of the working tree: `.` is the top itself.
    fn place(&self) -> String {
        let file = self.below_top(&self.attributes_file());
        config::folder_of(&file).to_owned()
    }

    /// A file as it is called from the top of the working tree.
    fn below_top(&self, file: &Path) -> String {
        let top = self.worktree().unwrap_or(self.root());
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
    for place in new.ledgers.into_iter().filter(|place| !known.records.ledgers.contains(place)) {
        lines.push(format!("clampmark.ledger = {place}"));
        records.ledgers.push(place);
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

/// The configuration with what it records of one ledger taken out.
fn without_ledger(path: PathBuf, own: &[(&str, &str)]) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let (now, lines) = without_records(&text, own);
    let action =
        if lines.is_empty() { Action::Nothing } else { Action::Write { was, now, executable: false } };
    Ok(change(path, CONFIG_PURPOSE, lines, action))
}
