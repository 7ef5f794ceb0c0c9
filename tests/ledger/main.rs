//! The ledger room against real folders and real git repositories.
//!
//! Where the git program is asked, it is the independent witness; those tests are marked, for the program
//! itself must not need it. Everything else is built by hand or with the demo builder.

mod demo_setups;
mod files;
mod history;
mod revisions;
mod situations;
mod staged;
mod support;
mod writing;
