//! Builds a repository with a given history, without a git program and without any git configuration.

use std::{fs, path::Path};

use chrono::{DateTime, FixedOffset};
use gix::{
    ObjectId, ThreadSafeRepository,
    actor::SignatureRef,
    bstr::ByteSlice,
    create::{Kind, Options},
    index::{entry::Stat, fs::Metadata},
    objs::tree::EntryKind,
    refs::transaction::PreviousValue,
};

use super::LedgerError;

/// One commit to make.
#[derive(Debug, Clone)]
pub struct DemoCommit<'a> {
    /// Files to write (path with `/`, content) or, without content, to delete.
    pub files: Vec<(String, Option<Vec<u8>>)>,
    /// The message.
    pub subject: &'a str,
    /// The date of author and committer.
    pub date: DateTime<FixedOffset>,
    /// An annotated tag to set on the commit.
    pub tag: Option<&'a str>,
}

const NAME: &str = "Demo Rider";
const MAIL: &str = "rider@example.invalid";
const DOING: &str = "Building the demo repository";

/// Makes a repository in `dir` (created if need be; it must not be one yet) with these commits on the branch
/// `main`, and the last commit's files in the working folder: `git status` finds nothing to commit.
pub fn build(dir: &Path, commits: &[DemoCommit<'_>]) -> Result<(), LedgerError> {
    let failed = LedgerError::git(DOING);
    let options = Options { destination_must_be_empty: Some(false), ..Options::default() };
    let open = gix::open::Options::isolated();
    let repository: gix::Repository =
        ThreadSafeRepository::init_opts(dir, Kind::WithWorktree, options, open).map_err(&failed)?.into();
    let mut tree = repository.empty_tree().id;
    let mut parent = None;
    for commit in commits {
        tree = next_tree(&repository, tree, commit)?;
        parent = Some(record(&repository, tree, parent, commit)?);
    }
    if parent.is_some() {
        check_out(&repository, dir, tree)?;
    }
    Ok(())
}

fn next_tree(
    repository: &gix::Repository,
    tree: ObjectId,
    commit: &DemoCommit<'_>,
) -> Result<ObjectId, LedgerError> {
    let failed = LedgerError::git(DOING);
    let mut editor = repository.edit_tree(tree).map_err(&failed)?;
    for (path, content) in &commit.files {
        match content {
            Some(content) => {
                let blob = repository.write_blob(content).map_err(&failed)?;
                editor.upsert(path, EntryKind::Blob, blob).map_err(&failed)?;
            }
            None => {
                editor.remove(path).map_err(&failed)?;
            }
        }
    }
    Ok(editor.write().map_err(&failed)?.detach())
}

fn record(
    repository: &gix::Repository,
    tree: ObjectId,
    parent: Option<ObjectId>,
    commit: &DemoCommit<'_>,
) -> Result<ObjectId, LedgerError> {
    let failed = LedgerError::git(DOING);
    let time = commit.date.format("%s %z").to_string();
    let signature = SignatureRef { name: NAME.into(), email: MAIL.into(), time: &time };
    let id = repository
        .commit_as(signature, signature, "HEAD", commit.subject, tree, parent)
        .map_err(&failed)?
        .detach();
    if let Some(tag) = commit.tag {
        repository
            .tag(
                tag,
                id,
                gix::objs::Kind::Commit,
                Some(signature),
                commit.subject,
                PreviousValue::MustNotExist,
            )
            .map_err(&failed)?;
    }
    Ok(id)
}

/// Writes the files of a tree and the index that says they are as recorded.
fn check_out(repository: &gix::Repository, dir: &Path, tree: ObjectId) -> Result<(), LedgerError> {
    let failed = LedgerError::git(DOING);
    let mut index = repository.index_from_tree(&tree).map_err(&failed)?;
    for (entry, path) in index.entries_mut_with_paths() {
        let file = dir.join(gix::path::from_bstr(path.as_bstr()).map_err(&failed)?);
        if let Some(folder) = file.parent() {
            fs::create_dir_all(folder).map_err(LedgerError::unwritable(folder))?;
        }
        let blob = repository.find_blob(entry.id).map_err(&failed)?;
        fs::write(&file, &blob.data).map_err(LedgerError::unwritable(&file))?;
        let metadata = Metadata::from_path_no_follow(&file).map_err(LedgerError::unreadable(&file))?;
        // A clock before 1970 leaves the dates empty: git then compares the contents.
        entry.stat = Stat::from_fs(&metadata).unwrap_or_default();
    }
    index.write(gix::index::write::Options::default()).map_err(&failed)
}
