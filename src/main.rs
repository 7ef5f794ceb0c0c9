//! The program: hands the command line to the library and exits with its status.

use std::process::ExitCode;

/// Setups are many small pieces of memory, taken on one core and given back on another: the system's own allocator has
/// the cores wait for each other.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    clampmark::cli::run(std::env::args_os())
}
