//! What can go wrong with files and revisions, said in one sentence, and what to do about it in another.

use std::{fmt, io, path::PathBuf};

/// A failure of the ledger. `Display` says what happened, [`LedgerError::help`] what to do.
#[derive(Debug)]
#[non_exhaustive]
pub enum LedgerError {
    /// No folder holding `setups/` was found at or above the starting place.
    NoLedger {
        /// Where the search began.
        start: PathBuf,
    },
    /// The named setup is neither in the working folder nor anywhere in the history.
    UnknownSetup {
        /// The name or path as the user gave it.
        named: String,
        /// The setup whose name is closest, if any is close.
        nearest: Option<String>,
    },
    /// The ledger lies in no git repository.
    NoRepository {
        /// The ledger's folder.
        root: PathBuf,
    },
    /// The repository exists, but nothing was ever committed to the branch in use.
    NoCommits,
    /// No commit, tag or branch goes by this name.
    UnknownRevision {
        /// The revision as the user gave it.
        spec: String,
        /// The tag or branch whose name is closest, if any is close.
        nearest: Option<String>,
    },
    /// The revision starts at something known, but steps beyond what is recorded there (`HEAD~900`).
    BeyondHistory {
        /// The revision as the user gave it.
        spec: String,
        /// The part before the steps.
        base: String,
        /// Whether the clone is shallow: what is asked for may be recorded elsewhere.
        shallow: bool,
    },
    /// A shortened hash that fits several objects.
    AmbiguousRevision {
        /// The revision as the user gave it.
        spec: String,
    },
    /// A way of naming revisions that does not lead to one single commit here.
    UnsupportedRevision {
        /// The revision as the user gave it.
        spec: String,
        /// Why it cannot be used.
        because: String,
    },
    /// The file's content is not what it was when it was read; nothing was written.
    ChangedUnderneath {
        /// The file.
        path: PathBuf,
    },
    /// A file that was to be created exists; nothing was written.
    AlreadyThere {
        /// The file.
        path: PathBuf,
    },
    /// The file is marked read-only; nothing was written.
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// A file or folder could not be read.
    Unreadable {
        /// The file or folder.
        path: PathBuf,
        /// The operating system's reason.
        source: io::Error,
    },
    /// A file could not be written; its previous content stands.
    Unwritable {
        /// The file.
        path: PathBuf,
        /// The operating system's reason.
        source: io::Error,
    },
    /// A repository is there but cannot be opened: damaged configuration, an unknown format.
    BrokenRepository {
        /// The ledger's folder.
        root: PathBuf,
        /// What the git library reports.
        detail: String,
    },
    /// The repository is sound, and nothing can be committed to it as it stands.
    NotNow {
        /// Why.
        why: String,
        /// One sentence on what the user can do.
        help: String,
    },
    /// Reading from or writing to an opened repository failed.
    Git {
        /// What was being done.
        doing: &'static str,
        /// What the git library reports.
        detail: String,
    },
}

impl LedgerError {
    /// One sentence on what the user can do.
    pub fn help(&self) -> String {
        match self {
            Self::NoLedger { .. } => {
                "Go to a folder that holds `setups/`, or name it with `--ledger DIR`.".into()
            }
            Self::UnknownSetup { nearest: Some(nearest), .. }
            | Self::UnknownRevision { nearest: Some(nearest), .. } => format!("Did you mean `{nearest}`?"),
            Self::UnknownSetup { nearest: None, .. } => {
                "Name a setup as its path below `setups/`, without `.kdl`.".into()
            }
            Self::NoRepository { .. } => {
                "Without git only files can be compared; run `git init` and commit to keep revisions.".into()
            }
            Self::NoCommits => "Commit the setups once (git add setups, git commit); until then only files can be compared.".into(),
            Self::UnknownRevision { nearest: None, .. } => {
                "Give a commit hash, a tag, a branch or `HEAD~1`; `git log --oneline` lists them.".into()
            }
            Self::BeyondHistory { shallow: true, .. } => {
                "What is older is not in this clone: `git fetch --unshallow` brings it.".into()
            }
            Self::BeyondHistory { base, .. } => format!("Take fewer steps back from `{base}`."),
            Self::AmbiguousRevision { .. } => "Give more digits of the hash.".into(),
            Self::UnsupportedRevision { .. } => {
                "Name one commit: a hash, a tag, a branch or `HEAD~1`.".into()
            }
            Self::ChangedUnderneath { .. } => "Look at the file's new content, then run this again.".into(),
            Self::AlreadyThere { .. } => "Choose another name, or move the existing file away first.".into(),
            Self::ReadOnly { .. } => "Make the file writable if it is really to be changed.".into(),
            Self::Unreadable { .. } | Self::Unwritable { .. } => {
                "Check that the path exists, and its permissions and free space.".into()
            }
            Self::BrokenRepository { .. } => {
                "Repair the repository (`git fsck` and `git config --list` tell more); files can still be compared.".into()
            }
            Self::NotNow { help, .. } => help.clone(),
            Self::Git { .. } => "Run `git fsck` to see whether the repository is whole.".into(),
        }
    }

    /// Wraps a failure of the git library.
    pub(super) fn git(doing: &'static str) -> impl Fn(gix::Error) -> Self {
        move |error| Self::Git { doing, detail: detail(&error) }
    }

    pub(super) fn unreadable(path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |source| Self::Unreadable { path, source }
    }

    pub(super) fn unwritable(path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |source| Self::Unwritable { path, source }
    }
}

/// The git library's error as one line: what failed, and the deepest cause where that says more.
pub(super) fn detail(error: &gix::Error) -> String {
    let top = error.to_string();
    let cause = error.probable_cause().to_string();
    let text = if top.contains(&cause) { top } else { format!("{top}: {cause}") };
    text.split_whitespace().collect::<Vec<_>>().join(" ").trim_end_matches('.').to_owned()
}

impl fmt::Display for LedgerError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoLedger { start } => {
                write!(out, "No ledger at or above {}: no folder there holds `setups/`.", start.display())
            }
            Self::UnknownSetup { named, .. } => write!(out, "There is no setup `{named}`."),
            Self::NoRepository { root } => {
                write!(out, "The ledger {} is not in a git repository.", root.display())
            }
            Self::NoCommits => write!(out, "The repository has no commits yet."),
            Self::UnknownRevision { spec, .. } => write!(out, "There is no revision `{spec}`."),
            Self::BeyondHistory { spec, base, shallow: true } => {
                write!(out, "`{spec}` asks for more history than `{base}` has here: the clone is shallow.")
            }
            Self::BeyondHistory { spec, base, .. } => {
                write!(out, "`{spec}` asks for more history than `{base}` has.")
            }
            Self::AmbiguousRevision { spec } => write!(out, "`{spec}` fits more than one revision."),
            Self::UnsupportedRevision { spec, because } => {
                write!(out, "`{spec}` cannot be used here: {because}.")
            }
            Self::ChangedUnderneath { path } => {
                write!(out, "{} changed while it was being worked on; nothing was written.", path.display())
            }
            Self::AlreadyThere { path } => {
                write!(out, "{} already exists; nothing was written.", path.display())
            }
            Self::ReadOnly { path } => {
                write!(out, "{} is marked read-only; nothing was written.", path.display())
            }
            Self::Unreadable { path, source } => {
                write!(out, "{} could not be read: {source}.", path.display())
            }
            Self::Unwritable { path, source } => {
                write!(out, "{} could not be written: {source}.", path.display())
            }
            Self::BrokenRepository { root, detail } => {
                write!(out, "The git repository of {} cannot be opened: {detail}.", root.display())
            }
            Self::NotNow { why, .. } => write!(out, "Committing failed: {why}."),
            Self::Git { doing, detail } => write!(out, "{doing} failed: {detail}."),
        }
    }
}

impl std::error::Error for LedgerError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Unreadable { source, .. } | Self::Unwritable { source, .. } => Some(source),
            _ => None,
        }
    }
}
