//! Reading a setup as it was at a revision.

use std::sync::Arc;

use gix::{
    ObjectId,
    bstr::{BString, ByteSlice},
    objs::FindExt,
};

use super::{
    BlobId, Ledger, LedgerError, Revision, SetupFile,
    pack_order::PackOrder,
    renames::{located_at_head, renamed_from},
    revision::{describe, head_id},
    tree::{blob_at, tree_of},
    walk::Walk,
};

/// A setup's text at a revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtRevision {
    /// The bytes as git keeps them.
    pub bytes: Vec<u8>,
    /// The path inside the repository at that revision.
    pub path: String,
    /// The id of the content.
    pub blob: BlobId,
}

/// Reads contents by id. Keeps caches that belong to one thread: make one for each.
pub struct BlobReader {
    repository: gix::Repository,
    order: Arc<PackOrder>,
}

impl BlobReader {
    /// The bytes of many contents, in the order in which they are asked for.
    pub fn read_many(&self, ids: &[&BlobId]) -> Result<Vec<Vec<u8>>, LedgerError> {
        let mut texts = vec![Vec::new(); ids.len()];
        let mut places: Vec<usize> = (0..ids.len()).collect();
        let in_pack =
            |place: &usize| self.order.place(&ObjectId::from_hex(ids[*place].as_hex().as_bytes()).ok()?);
        places.sort_by_cached_key(in_pack);
        let mut buffer = Vec::new();
        for place in places {
            texts[place] = content(&self.repository, ids[place], &mut buffer)?;
        }
        Ok(texts)
    }
}

/// The bytes of a content, by way of a buffer: what it is unpacked in takes several times its size.
fn content(repository: &gix::Repository, id: &BlobId, buffer: &mut Vec<u8>) -> Result<Vec<u8>, LedgerError> {
    let failed = LedgerError::git("Reading a setup from a revision");
    let id = ObjectId::from_hex(id.as_hex().as_bytes()).map_err(&failed)?;
    Ok(repository.objects.find_blob(&id, buffer).map_err(&failed)?.data.to_vec())
}

impl Ledger {
    /// A reader for the calling thread; faster than [`Ledger::read_blob`] for many reads.
    pub fn blob_reader(&self) -> Result<BlobReader, LedgerError> {
        let store = self.store()?;
        let mut repository = store.own();
        // Every content is read once: keeping it would be work for nothing.
        repository.object_cache_size(0);
        Ok(BlobReader { repository, order: store.pack_order() })
    }

    /// The bytes of a content.
    pub fn read_blob(&self, id: &BlobId) -> Result<Vec<u8>, LedgerError> {
        content(&self.store()?.local(), id, &mut Vec::new())
    }

    /// The revision a working file is compared with: `HEAD`, if the setup is in it under this name or the one
    /// it had before a rename that is not committed yet; otherwise it was never recorded.
    ///
    /// # Errors
    /// [`LedgerError::NoRepository`] and failures of the repository.
    pub fn last_recorded(&self, setup: &SetupFile) -> Result<Option<Revision>, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let Some(head) = head_id(&repository)? else { return Ok(None) };
        let Some(path) = store.path_of(setup) else { return Ok(None) };
        let tree = tree_of(&repository, head)?;
        match located_at_head(store, &repository, tree, setup, path.as_ref())? {
            Some(_) => describe(&repository, head, "HEAD").map(Some),
            None => Ok(None),
        }
    }

    /// The setup as it was at a revision, renames followed; none if it was not part of that revision.
    pub fn read_at(&self, setup: &SetupFile, revision: &Revision) -> Result<Option<AtRevision>, LedgerError> {
        let target = revision.object_id()?;
        let Some((path, id)) = self.place_in_commit(setup, target)? else { return Ok(None) };
        let blob = BlobId::of(id);
        let bytes = self.read_blob(&blob)?;
        Ok(Some(AtRevision { bytes, path: path.to_str_lossy().into_owned(), blob }))
    }

    /// The path a setup has in a commit, and its content there: its present path where that exists; else the one found
    /// by walking back from `HEAD`; else, for a commit that is not behind `HEAD`, one of its earlier paths, or the most
    /// similar file.
    pub(super) fn place_in_commit(
        &self,
        setup: &SetupFile,
        target: ObjectId,
    ) -> Result<Option<(BString, ObjectId)>, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let Some(path) = store.path_of(setup) else { return Ok(None) };
        let tree = tree_of(&repository, target)?;
        if let Some(id) = blob_at(&repository, tree, path.as_ref())? {
            return Ok(Some((path, id)));
        }
        let Some(head) = head_id(&repository)? else { return Ok(None) };
        let head_tree = tree_of(&repository, head)?;
        let start = located_at_head(store, &repository, head_tree, setup, path.as_ref())?;
        let start = start.map_or(path, |(path, _)| path);
        let mut earlier = vec![start.clone()];
        for step in Walk::new(store, head, start.clone(), false)? {
            let step = step?;
            if step.id == target {
                return Ok(step.blob.map(|id| (step.path, id)));
            }
            earlier.extend(step.renamed_from);
        }
        for old in earlier {
            if let Some(id) = blob_at(&repository, tree, old.as_ref())? {
                return Ok(Some((old, id)));
            }
        }
        renamed_from(&repository, tree, head_tree, start.as_ref())
    }
}
