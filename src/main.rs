//! The program: hands the command line to the library and exits with its status.
fn main() {}
