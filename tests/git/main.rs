//! What real git makes of setups once the ledger has adopted it: differences, merges, and the gate before a commit.
//!
//! Whatever runs the git program is left out of an ordinary run: `cargo test --test git -- --ignored`.

mod adopt;
mod bench;
mod criss_cross;
mod driver;
mod gate;
mod history;
mod hook_file;
mod ledgers;
mod lost;
mod merge;
mod merged_history;
mod merged_words;
mod show;
