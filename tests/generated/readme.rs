//! What the README shows is true of the program.

use std::fs;
use std::path::Path;

use clampmark::catalogue::Catalogue;
use clampmark::setup::read::read;

fn text(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

#[test]
fn its_example_file_reads_without_a_finding() {
    let readme = text("README.md");
    let block = readme.split("```kdl\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let read = read(Catalogue::standard(), block.as_bytes(), None);
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    assert_eq!(block.lines().count(), 10, "ten lines are promised");
}

#[test]
fn its_two_commands_are_the_ones_that_are_checked() {
    let readme = text("README.md");
    let checked = text(".ci/run");
    for command in ["cargo run --release -- tour", "cargo test"] {
        assert!(readme.contains(&format!("\n    {command}\n")), "the README does not name {command}");
        let run = checked.lines().any(|line| line.contains(command));
        assert!(run, ".ci/run does not run {command}");
    }
}

#[test]
fn every_file_it_points_to_is_there() {
    let readme = text("README.md");
    for target in readme.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
        assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join(target).exists(), "{target}");
    }
}
