//! `.pre-commit-hooks.yaml`, by which a hook runner builds the gate from this repository: what it says is so.

use regex::Regex;
use yaml_rust2::{Yaml, YamlLoader};

use crate::bench::{Bench, RACE};

/// The only hook the file defines.
fn hook() -> Yaml {
    let text = include_str!("../../.pre-commit-hooks.yaml");
    let documents = YamlLoader::load_from_str(text).unwrap();
    let [Yaml::Array(hooks)] = documents.as_slice() else { panic!("one document, a list: {documents:?}") };
    let [hook] = hooks.as_slice() else { panic!("one hook: {hooks:?}") };
    hook.clone()
}

fn text(key: &str) -> String {
    hook()[key].as_str().unwrap_or_else(|| panic!("`{key}` is a text")).to_owned()
}

/// The words a runner starts, without the program itself.
fn arguments() -> Vec<String> {
    let entry = text("entry");
    let mut words = entry.split_whitespace().map(str::to_owned);
    // Language `rust` installs what `cargo install` builds at the repository's top: the entry begins with its name.
    assert_eq!(words.next().as_deref(), Some(env!("CARGO_PKG_NAME")));
    assert!(env!("CARGO_BIN_EXE_clampmark").ends_with(env!("CARGO_PKG_NAME")));
    words.collect()
}

/// The runner looks for the pattern anywhere in the path from the repository's top, and starts no hook without a hit.
fn files() -> Regex {
    Regex::new(&text("files")).unwrap()
}

#[test]
fn it_has_the_keys_of_the_convention_and_nothing_else() {
    // The convention's words, from memory.
    let needed = ["id", "name", "entry", "language"];
    let also = ["description", "files", "pass_filenames"];
    let hook = hook();
    let keys: Vec<&str> = hook.as_hash().unwrap().keys().map(|key| key.as_str().unwrap()).collect();
    for key in needed {
        assert!(keys.contains(&key) && !text(key).is_empty(), "{key}");
    }
    assert!(keys.iter().all(|key| needed.contains(key) || also.contains(key)), "{keys:?}");
    assert_eq!(text("language"), "rust");
    // The gate looks at what is staged itself: it takes no paths.
    assert_eq!(hook["pass_filenames"], Yaml::Boolean(false));
}

#[test]
fn its_pattern_fits_setups_and_nothing_else() {
    let files = files();
    for path in ["setups/race.kdl", "setups/rowan/race.kdl", "bikes/of ours/setups/rowan/race.kdl"] {
        assert!(files.is_match(path), "{path}");
    }
    for path in [
        "setups.kdl",
        "race.kdl",
        "mysetups/race.kdl",
        "setups/rowan/race.kdl.orig",
        "setups/rowan/racekdl",
        "setups/README.md",
        "notes/setups-old/race.kdl",
    ] {
        assert!(!files.is_match(path), "{path}");
    }
}

fn gate(bench: &Bench, more: &[&str]) -> (Option<i32>, String) {
    let arguments = arguments();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).chain(more.iter().copied()).collect();
    let output = bench.clampmark(&arguments);
    (output.status.code(), String::from_utf8([output.stdout, output.stderr].concat()).unwrap())
}

#[test]
#[ignore = "needs the git program"]
fn its_entry_stops_a_staged_fault_and_lets_the_rest_through() {
    let bench = Bench::new("");
    assert_eq!(gate(&bench, &[]).0, Some(0), "nothing is staged");
    bench.change("width 780", "width 7800");
    bench.git(&["add", "-A"]);
    let (status, said) = gate(&bench, &[]);
    assert!(status == Some(1) && said.contains("The commit is stopped"), "{said}");
    // What its description says: cautions and advice pass.
    bench.change("width 7800", "width 810");
    bench.change("setup \"rowan/race\"", "setup \"rowan/wet\"");
    bench.git(&["add", "-A"]);
    let (status, said) = gate(&bench, &[]);
    assert!(status == Some(0) && said.contains("2 cautions") && said.contains("advice"), "{said}");
}

#[test]
#[ignore = "needs the git program"]
fn whatever_the_gate_checks_makes_the_runner_start_it() {
    let bench = Bench::new("");
    let paths = [
        "setups/a/x.kdl",
        "friend/setups/y.kdl",
        "mysetups/z.kdl",
        "setups/README.md",
        "friend/setups/old.txt",
    ];
    for path in paths {
        bench.write(path, &RACE.replace("rowan/race", "a/x"));
    }
    bench.git(&["add", "-A"]);
    let (_, said) = gate(&bench, &["--json"]);
    let report: serde_json::Value = serde_json::from_str(&said).unwrap();
    let checked = report["files"].as_array().unwrap().iter();
    let mut checked: Vec<&str> = checked.map(|file| file["path"].as_str().unwrap()).collect();
    checked.sort_unstable();
    let files = files();
    let mut fitting: Vec<&str> = paths.into_iter().filter(|path| files.is_match(path)).collect();
    fitting.sort_unstable();
    assert_eq!(checked, fitting);
}
