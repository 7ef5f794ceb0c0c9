//! The working files: listing them and reading them as they are, line ends and all.

use std::{
    collections::BTreeSet,
    fs,
    io::Read,
    path::{Path, PathBuf},
};

use gix::bstr::ByteSlice;

use super::{
    Ledger, LedgerError, SetupFile, repository::setup_name, revision::head_id, staged::is_kdl, tree::tree_of,
};

/// Reading stops here: more than any setup may hold, so that the reader above refuses the text, while a
/// huge file given by mistake cannot fill the memory.
const MOST_BYTES_READ: u64 = 8 * 1024 * 1024;

/// A path free of links and dots, where it leads to something; else as it is.
pub fn real(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}

/// The bytes of any file, as they are; of a file beyond 8 MiB only that much.
///
/// # Errors
/// [`LedgerError::Unreadable`].
pub fn read_file(path: &Path) -> Result<Vec<u8>, LedgerError> {
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(LedgerError::unreadable(path))?;
    file.take(MOST_BYTES_READ).read_to_end(&mut bytes).map_err(LedgerError::unreadable(path))?;
    Ok(bytes)
}

impl Ledger {
    /// Every `.kdl` file under `setups/`, sorted by name: setups and as-found sheets alike. Hidden files and
    /// folders are left out; a folder reached by several symbolic links is listed once.
    pub fn setups(&self) -> Result<Vec<SetupFile>, LedgerError> {
        let folder = self.setups_folder();
        if !folder.is_dir() {
            return self.setups_at_head();
        }
        let mut found = Listing::of(&folder)?.found;
        found.sort();
        Ok(found)
    }

    /// The files that would be setups but for capital letters in `.kdl`, by their paths below `setups/`.
    pub fn passed_over(&self) -> Result<Vec<String>, LedgerError> {
        let folder = self.setups_folder();
        if !folder.is_dir() {
            return Ok(Vec::new());
        }
        let mut passed_over = Listing::of(&folder)?.passed_over;
        passed_over.sort();
        Ok(passed_over)
    }

    /// The setups of a bare repository.
    fn setups_at_head(&self) -> Result<Vec<SetupFile>, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let Some(head) = head_id(&repository)? else { return Ok(Vec::new()) };
        let Some(prefix) = store.setups_prefix(&self.setups_folder()) else { return Ok(Vec::new()) };
        let index = repository
            .index_from_tree(&tree_of(&repository, head)?)
            .map_err(LedgerError::git("Listing the files of a revision"))?;
        let paths = index.entries().iter().map(|entry| entry.path(&index));
        let names = paths.filter_map(|path| setup_name(path, prefix.as_ref()));
        let mut setups: Vec<SetupFile> = names.map(|name| self.setup_named(&name)).collect();
        setups.sort();
        Ok(setups)
    }

    /// The setup of this name, whether it exists or not.
    pub fn setup_named(&self, name: &str) -> SetupFile {
        let path = self.setups_folder().join(format!("{name}.kdl"));
        SetupFile { exists: path.is_file(), name: name.to_owned(), path }
    }

    /// The working file's bytes, as they are.
    pub fn read_now(&self, setup: &SetupFile) -> Result<Vec<u8>, LedgerError> {
        read_file(&setup.path)
    }
}

struct Listing {
    found: Vec<SetupFile>,
    passed_over: Vec<String>,
    /// Folders entered, free of symbolic links: what makes loops end.
    seen: BTreeSet<PathBuf>,
}

impl Listing {
    fn of(folder: &Path) -> Result<Listing, LedgerError> {
        let mut listing = Listing { found: Vec::new(), passed_over: Vec::new(), seen: BTreeSet::new() };
        listing.folder(folder, "")?;
        Ok(listing)
    }

    fn folder(&mut self, folder: &Path, prefix: &str) -> Result<(), LedgerError> {
        let real = folder.canonicalize().map_err(LedgerError::unreadable(folder))?;
        if !self.seen.insert(real) {
            return Ok(());
        }
        let mut folders = Vec::new();
        for entry in fs::read_dir(folder).map_err(LedgerError::unreadable(folder))? {
            let entry = entry.map_err(LedgerError::unreadable(folder))?;
            let file_name = entry.file_name().to_string_lossy().into_owned();
            let path = entry.path();
            // A symbolic link that leads nowhere is no setup.
            let Ok(kind) = fs::metadata(&path) else { continue };
            if file_name.starts_with('.') {
                continue;
            }
            if kind.is_dir() {
                // Real folders before links to them, so that a setup's name is where it really lies.
                folders.push((path.is_symlink(), file_name, path));
            } else if let Some(name) = file_name.strip_suffix(".kdl").filter(|_| kind.is_file()) {
                self.found.push(SetupFile { name: format!("{prefix}{name}"), path, exists: true });
            } else if kind.is_file() && is_kdl(file_name.as_bytes().as_bstr()) {
                self.passed_over.push(format!("{prefix}{file_name}"));
            }
        }
        folders.sort();
        for (_, name, path) in folders {
            self.folder(&path, &format!("{prefix}{name}/"))?;
        }
        Ok(())
    }
}

/// The candidate closest to a word, if one is close: a few typing slips, or the same last part
/// (`race` for `rowan/race`).
pub(super) fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<String> {
    let allowed = (word.chars().count() / 3).clamp(1, 4);
    candidates
        .filter_map(|candidate| {
            let last = candidate.rsplit('/').next().unwrap_or(candidate);
            let whole = strsim::damerau_levenshtein(word, candidate);
            let slips = whole.min(strsim::damerau_levenshtein(word, last) + usize::from(last != candidate));
            (slips <= allowed).then_some((slips, candidate))
        })
        .min()
        .map(|(_, candidate)| candidate.to_owned())
}
