//! In which order contents are read from packs fastest.
//!
//! A pack keeps most contents as differences from others, in chains. The reader keeps the content asked for and none of
//! those it went through to get there: asked against the chain, it begins anew at its root every time. What a content
//! differs from stands before it in nearly every pack, so in the order of their places each is found from the last.

use std::{
    fs,
    path::PathBuf,
    sync::{Arc, OnceLock},
};

use gix::{ObjectId, odb::pack::index};

/// Where contents stand in the packs of a repository. Only a hint: what is in none of them counts as standing first.
pub(super) struct PackOrder {
    store: Arc<gix::odb::Store>,
    /// Opened when first asked: whoever reads one content has no need of an order.
    indices: OnceLock<Vec<index::File>>,
}

impl PackOrder {
    /// Of a repository's packs, as far as they can be read.
    pub(super) fn of(repository: &gix::Repository) -> Self {
        Self { store: repository.objects.store(), indices: OnceLock::new() }
    }

    fn indices(&self) -> &[index::File] {
        self.indices.get_or_init(|| {
            let mut folders = vec![self.store.path().to_owned()];
            folders.extend(self.store.alternate_db_paths().into_iter().flatten());
            let files =
                folders.iter().flat_map(|folder| fs::read_dir(folder.join("pack"))).flatten().flatten();
            let is_index = |path: &PathBuf| path.extension().is_some_and(|extension| extension == "idx");
            let paths = files.map(|file| file.path()).filter(is_index);
            paths.filter_map(|path| index::File::at(path, self.store.object_hash()).ok()).collect()
        })
    }

    /// The pack and the place in it.
    pub(super) fn place(&self, id: &ObjectId) -> Option<(usize, u64)> {
        self.indices()
            .iter()
            .enumerate()
            .find_map(|(pack, index)| Some((pack, index.pack_offset_at_index(index.lookup(id)?))))
    }
}
