//! From what a user types to a setup: a name, a path, or something only the history still has.

use std::path::{Component, Path, PathBuf};

use super::{
    Ledger, LedgerError, SetupFile,
    files::{nearest, real},
    history::was_ever_recorded,
    revision::head_id,
};

impl Ledger {
    /// The setup a user means: `rowan/race`, `rowan/race.kdl`, `setups/rowan/race.kdl`, or a path relative to
    /// `cwd` or absolute. A file outside `setups/` may be named by its path. A setup that was deleted but is
    /// in the history (first parents of `HEAD`) is found too, with `exists` false.
    ///
    /// # Errors
    /// [`LedgerError::UnknownSetup`].
    pub fn resolve(&self, named: &str, cwd: &Path) -> Result<SetupFile, LedgerError> {
        let candidates = self.candidates(named, cwd);
        if let Some(path) = candidates.iter().find(|path| path.is_file()) {
            return Ok(self.setup_at(path));
        }
        if let Some(setup) = self.resolve_in_history(&candidates)? {
            return Ok(setup);
        }
        let setups = self.setups()?;
        let word = named.strip_suffix(".kdl").unwrap_or(named);
        let word = word.strip_prefix("setups/").unwrap_or(word);
        let nearest = nearest(word, setups.iter().map(|setup| setup.name.as_str()));
        Err(LedgerError::UnknownSetup { named: named.to_owned(), nearest })
    }

    /// The files a name could mean, likeliest first: what looks like a path is tried as one before it is
    /// tried as a name below `setups/`.
    fn candidates(&self, named: &str, cwd: &Path) -> Vec<PathBuf> {
        let given = Path::new(named);
        let looks_like_path = given.is_absolute()
            || named.starts_with('.')
            || given.extension().is_some_and(|end| end == "kdl");
        let setups = self.setups_folder();
        let bases = if looks_like_path {
            [cwd, setups.as_path(), self.root()]
        } else {
            [setups.as_path(), cwd, self.root()]
        };
        let mut candidates: Vec<PathBuf> = Vec::new();
        if named.trim().is_empty() {
            return candidates;
        }
        // Bases that are the same folder must not cost a second search.
        let mut add = |path: PathBuf| {
            if !candidates.contains(&path) {
                candidates.push(path);
            }
        };
        for base in bases {
            let path = without_dots(&base.join(given));
            if path.extension().is_none_or(|end| end != "kdl") {
                let mut with_end = path.clone().into_os_string();
                with_end.push(".kdl");
                add(PathBuf::from(with_end));
            }
            add(path);
        }
        candidates
    }

    fn resolve_in_history(&self, candidates: &[PathBuf]) -> Result<Option<SetupFile>, LedgerError> {
        let Ok(store) = self.store() else { return Ok(None) };
        let repository = store.local();
        let Some(head) = head_id(&repository)? else { return Ok(None) };
        for path in candidates.iter().filter(|path| path.extension().is_some_and(|end| end == "kdl")) {
            let setup = self.setup_at(path);
            let Some(inside) = store.path_of(&setup) else { continue };
            if was_ever_recorded(store, head, inside.as_ref())? {
                return Ok(Some(setup));
            }
        }
        Ok(None)
    }

    /// The setup at a path. Outside `setups/` its name is its path, seen from the ledger where it lies below.
    fn setup_at(&self, path: &Path) -> SetupFile {
        let setups = self.setups_folder();
        let below = |folder: &Path| {
            let lexical = path.strip_prefix(folder).ok().map(Path::to_path_buf);
            lexical.or_else(|| real(path).strip_prefix(real(folder)).ok().map(Path::to_path_buf))
        };
        let relative = below(&setups).or_else(|| below(&self.root)).unwrap_or_else(|| path.to_path_buf());
        let parts: Vec<_> = relative.iter().map(|part| part.to_string_lossy()).collect();
        let whole =
            if relative.is_absolute() { relative.to_string_lossy().into_owned() } else { parts.join("/") };
        let name = whole.strip_suffix(".kdl").unwrap_or(&whole).to_owned();
        SetupFile { name, path: path.to_path_buf(), exists: path.is_file() }
    }
}

/// The whole path from the top, without `.` and `..`.
pub(super) fn absolute(path: &Path) -> Result<PathBuf, LedgerError> {
    std::path::absolute(path).map(|path| without_dots(&path)).map_err(LedgerError::unreadable(path))
}

/// The path without `.` and `..`, as its words have it: no link is followed.
pub fn without_dots(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                plain.pop();
            }
            other => plain.push(other),
        }
    }
    plain
}
