//! The completions that are committed: each is compared with what the program prints now.
//! `CLAMPMARK_REGENERATE=1 cargo test --test cli completions` writes them anew.

use std::{fs, path::Path};

use assert_cmd::Command;

/// The shells and the names under which each looks for completions.
const FILES: [(&str, &str); 5] = [
    ("bash", "clampmark.bash"),
    ("zsh", "_clampmark"),
    ("fish", "clampmark.fish"),
    ("powershell", "_clampmark.ps1"),
    ("elvish", "clampmark.elv"),
];

#[test]
fn completions_are_up_to_date() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("completions");
    let regenerate = std::env::var_os("CLAMPMARK_REGENERATE").is_some();
    for (shell, name) in FILES {
        let output =
            Command::new(env!("CARGO_BIN_EXE_clampmark")).args(["completions", shell]).output().unwrap();
        assert!(output.status.success(), "{shell}");
        let made = String::from_utf8(output.stdout).unwrap();
        for word in ["check", "grips", "diff", "completions"] {
            assert!(made.contains(word), "{shell} completes {word}");
        }
        let file = folder.join(name);
        if regenerate {
            fs::write(&file, &made).unwrap();
        }
        let kept = fs::read_to_string(&file).unwrap_or_default().replace("\r\n", "\n");
        assert!(kept == made, "completions/{name} is out of date: run with CLAMPMARK_REGENERATE=1");
    }
}
