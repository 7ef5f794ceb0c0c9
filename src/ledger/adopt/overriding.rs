//! Attributes that others set and that git takes before ours: it then shows or merges setups as bare text, in silence.

use std::collections::BTreeSet;
use std::path::Path;

use gix::attrs::StateRef;
use gix::worktree::stack::state::attributes::Source;

use super::super::{Ledger, LedgerError, real};

const DOING: &str = "Reading git's attributes";

impl Ledger {
    /// Where git is told otherwise than by us how to show and merge setups: the file, and what it says there. While our
    /// own line is not yet `written`, only what would count before it.
    ///
    /// # Errors
    /// What cannot be read of the repository.
    pub fn overriding(&self, written: bool) -> Result<BTreeSet<(String, String)>, LedgerError> {
        let store = self.store()?;
        let repository = store.local();
        let mut found = BTreeSet::new();
        if repository.workdir().is_none() {
            return Ok(found);
        }
        let index = repository.index_or_empty().map_err(LedgerError::git(DOING))?;
        let mut stack = repository
            .attributes_only(&index, Source::WorktreeThenIdMapping)
            .map_err(LedgerError::git(DOING))?;
        let mut outcome = stack.selected_attribute_matches(["diff", "merge"]);
        for setup in self.setups()? {
            let Some(path) = store.path_of(&setup) else { continue };
            let Ok(platform) = stack.at_entry(&path, None) else { continue };
            platform.matching_attributes(&mut outcome);
            for one in outcome.iter_selected() {
                let is_ours =
                    matches!(one.assignment.state, StateRef::Value(value) if value.as_bstr() == "clampmark");
                let Some(source) = one.location.source.filter(|_| !is_ours) else { continue };
                if written || self.counts_before_ours(source) {
                    found.insert((self.below_top(source), one.assignment.to_string()));
                }
            }
        }
        Ok(found)
    }

    /// Whether git takes a file's attributes before those beside `setups/`: the nearer ones, and the repository's own.
    fn counts_before_ours(&self, source: &Path) -> bool {
        let top = self.worktree().unwrap_or(self.root());
        source.ends_with("info/attributes")
            || real(&top.join(source)).starts_with(real(&self.setups_folder()))
    }
}
