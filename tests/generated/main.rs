//! Pages generated from the program's own lists are committed, and are up to date.
//!
//! With `CLAMPMARK_REGENERATE=1` in the environment they are written anew instead of compared.

mod format;
mod readme;

use std::fs;
use std::path::{Path, PathBuf};

use clampmark::catalogue::code::{CODES, Code};
use clampmark::report::codes;

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(path)
}

#[track_caller]
fn golden(path: &str, page: &str) {
    let file = here(path);
    if std::env::var_os("CLAMPMARK_REGENERATE").is_some_and(|value| value == "1") {
        fs::write(&file, page).expect("the page can be written");
    }
    let committed = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        committed == page,
        "{path} is out of date: run the tests with CLAMPMARK_REGENERATE=1 and commit it"
    );
}

/// A code's bad example without the line that is for the test.
fn example(code: &Code) -> Option<String> {
    let text = fs::read_to_string(here("examples").join(code.name).with_extension("kdl")).ok()?;
    let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with("// expect:")).collect();
    Some(lines.join("\n"))
}

#[test]
fn the_page_of_codes() {
    let page = codes::markdown(example);
    for code in CODES {
        assert!(page.contains(&format!("\n## {}\n", code.name)), "{} has no section", code.name);
    }
    golden("generated/findings.md", &page);
}
