//! The program: hands the command line to the library and exits with its status.

use std::process::ExitCode;

fn main() -> ExitCode {
    clampmark::cli::run(std::env::args_os())
}
