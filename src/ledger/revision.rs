//! Revisions: naming one commit, and what is known of it.

use chrono::{DateTime, FixedOffset};
use gix::{
    ObjectId,
    bstr::{BStr, ByteSlice},
    objs::CommitRef,
    revision::spec::parse::Error as SpecError,
};

use super::{Ledger, LedgerError, error::detail, files::nearest};

/// One commit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// The full hash in hexadecimal.
    pub id: String,
    /// What to call it: as the user asked (`v1`, `HEAD~3`); of a history, the shortened hash.
    pub label: String,
    /// When its author wrote it, with the author's own offset from UTC: a rebase leaves it as it is.
    pub date: DateTime<FixedOffset>,
    /// When it was committed as it stands, with the committer's own offset from UTC.
    pub committed: DateTime<FixedOffset>,
    /// The author's name.
    pub author: String,
    /// The first line of the message.
    pub subject: String,
}

impl Revision {
    pub(super) fn object_id(&self) -> Result<ObjectId, LedgerError> {
        ObjectId::from_hex(self.id.as_bytes())
            .map_err(|_| LedgerError::UnknownRevision { spec: self.id.clone(), nearest: None })
    }
}

impl Ledger {
    /// The commit a revision names: a hash (shortened too), a tag, a branch, `HEAD~3`, `HEAD^`, `@{1}`.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`], [`LedgerError::NoCommits`], and for a name that does not lead to one
    /// commit [`LedgerError::UnknownRevision`], [`LedgerError::BeyondHistory`],
    /// [`LedgerError::AmbiguousRevision`] or [`LedgerError::UnsupportedRevision`].
    pub fn revision(&self, spec: &str) -> Result<Revision, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        refuse_other_grammar(spec)?;
        let id = match repository.rev_parse_single(spec) {
            Ok(id) => id.detach(),
            Err(error) => return Err(explain(&repository, spec, &error)),
        };
        let object = repository.find_object(id).map_err(|_| unknown(&repository, spec))?;
        let commit = object.peel_to_commit().map_err(|_| LedgerError::UnsupportedRevision {
            spec: spec.to_owned(),
            because: "it names a file or folder, not a commit".into(),
        })?;
        describe(&repository, commit.id, spec)
    }

    /// The commit `HEAD` stands on; none before the first commit.
    pub fn head(&self) -> Result<Option<Revision>, LedgerError> {
        let repository = self.store()?.local();
        head_id(&repository)?.map(|id| describe(&repository, id, "HEAD")).transpose()
    }

    /// Whether `HEAD` stands on this commit.
    pub fn is_head(&self, revision: &Revision) -> Result<bool, LedgerError> {
        Ok(head_id(&self.store()?.local())? == Some(revision.object_id()?))
    }
}

/// Forms that name no single commit are refused before they are looked up, so that the reason is plain.
fn refuse_other_grammar(spec: &str) -> Result<(), LedgerError> {
    let because = if spec.trim().is_empty() {
        "it is empty"
    } else if ["..", "^!", "^@", "^-"].iter().any(|range| spec.contains(range)) || spec.starts_with('^') {
        "it names a range of commits"
    } else if spec.contains(':') && !spec.contains('{') {
        "it names a file or a search, not a commit"
    } else {
        return Ok(());
    };
    Err(LedgerError::UnsupportedRevision { spec: spec.to_owned(), because: because.into() })
}

/// The part of a revision before the steps: `HEAD` of `HEAD~3^2`.
fn base_of(spec: &str) -> &str {
    let steps = spec.find(['~', '^']).into_iter().chain(spec.find("@{"));
    match steps.min() {
        Some(0) if spec.starts_with('@') => "HEAD",
        Some(end) if end > 0 => &spec[..end],
        _ => spec,
    }
}

fn explain(repository: &gix::Repository, spec: &str, error: &gix::Error) -> LedgerError {
    let ambiguous = error
        .iter_errors()
        .any(|cause| matches!(cause.downcast_ref::<SpecError>(), Some(SpecError::AmbiguousPrefix { .. })));
    if ambiguous {
        return LedgerError::AmbiguousRevision { spec: spec.to_owned() };
    }
    let base = base_of(spec);
    let unborn = repository.head().is_ok_and(|head| head.is_unborn());
    if unborn && (matches!(base, "HEAD" | "@") || spec.starts_with("@{")) {
        return LedgerError::NoCommits;
    }
    if error.is_unsupported() {
        return LedgerError::UnsupportedRevision { spec: spec.to_owned(), because: detail(error) };
    }
    if base != spec && repository.rev_parse_single(base).is_ok() {
        return too_far(spec, base, repository.is_shallow().unwrap_or(false));
    }
    unknown(repository, spec)
}

/// The start is known, the steps from it lead nowhere: too many of them, or of a kind that finds nothing.
fn too_far(spec: &str, base: &str, shallow: bool) -> LedgerError {
    let in_braces = spec.split_once('{').and_then(|(_, rest)| rest.split_once('}'));
    match in_braces {
        Some((inside, _)) if inside.parse::<i64>().is_err() => LedgerError::UnsupportedRevision {
            spec: spec.to_owned(),
            because: format!("`{inside}` leads to no commit from `{base}`"),
        },
        _ => LedgerError::BeyondHistory { spec: spec.to_owned(), base: base.to_owned(), shallow },
    }
}

fn unknown(repository: &gix::Repository, spec: &str) -> LedgerError {
    let names = names_of_revisions(repository);
    if names.is_empty() && repository.head().is_ok_and(|head| head.is_unborn()) {
        return LedgerError::NoCommits;
    }
    let nearest = nearest(base_of(spec), names.iter().map(String::as_str));
    LedgerError::UnknownRevision { spec: spec.to_owned(), nearest }
}

/// Every tag and branch, for suggestions; what cannot be read is left out.
fn names_of_revisions(repository: &gix::Repository) -> Vec<String> {
    let Ok(references) = repository.references() else { return Vec::new() };
    let Ok(all) = references.all() else { return Vec::new() };
    let mut names: Vec<String> =
        all.filter_map(Result::ok).map(|reference| reference.name().shorten().to_string()).collect();
    names.sort();
    names
}

/// The commit `HEAD` leads to; none before the first commit.
pub(super) fn head_id(repository: &gix::Repository) -> Result<Option<ObjectId>, LedgerError> {
    let failed = LedgerError::git("Reading HEAD");
    let mut head = repository.head().map_err(&failed)?;
    if head.is_unborn() {
        return Ok(None);
    }
    Ok(Some(head.peel_to_commit().map_err(&failed)?.id))
}

/// A hash cut to so many digits.
pub(super) fn short(id: ObjectId, digits: usize) -> String {
    id.to_hex_with_len(digits).to_string()
}

/// Reads what is known of a commit.
pub(super) fn describe(
    repository: &gix::Repository,
    id: ObjectId,
    label: &str,
) -> Result<Revision, LedgerError> {
    let failed = LedgerError::git("Reading a revision");
    let commit = repository.find_commit(id).map_err(&failed)?;
    told(&commit.data, id, label)
}

/// The same from what the commit says.
pub(super) fn told(commit: &[u8], id: ObjectId, label: &str) -> Result<Revision, LedgerError> {
    let failed = LedgerError::git("Reading a revision");
    let decoded = CommitRef::from_bytes(commit, id.kind()).map_err(&failed)?;
    let author = decoded.author().map_err(&failed)?;
    let committed = decoded.committer().map_err(&failed)?.time().map_err(&failed)?;
    // A commit whose author's time cannot be read still has the committer's.
    let authored = author.time().unwrap_or(committed);
    Ok(Revision {
        id: id.to_string(),
        label: label.to_owned(),
        date: date(authored.seconds, authored.offset)?,
        committed: date(committed.seconds, committed.offset)?,
        author: text(author.name),
        subject: text(decoded.message().summary().as_bstr()),
    })
}

fn text(bytes: &BStr) -> String {
    bytes.to_str_lossy().trim().to_owned()
}

pub(super) fn date(seconds: i64, offset: i32) -> Result<DateTime<FixedOffset>, LedgerError> {
    let utc = DateTime::from_timestamp(seconds, 0);
    let offset = FixedOffset::east_opt(offset);
    match (utc, offset) {
        (Some(utc), Some(offset)) => Ok(utc.with_timezone(&offset)),
        _ => Err(LedgerError::Git {
            doing: "Reading the date of a revision",
            detail: format!("{seconds} seconds since 1970 is no date"),
        }),
    }
}
