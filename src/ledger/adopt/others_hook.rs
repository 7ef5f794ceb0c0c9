//! Hooks that others wrote: whether they run the gate and stop where it fails.
//!
//! Only what can be told line by line is certain. Whatever may lead past the gate, or swallow its exit status, leaves a
//! doubt, and a doubt is left to the user.

use gix::bstr::ByteSlice;

/// What a hook does about the gate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Runs {
    /// It runs it, and the commit stops where that fails.
    Surely,
    /// It names it; whether the commit stops cannot be told.
    Perhaps,
    /// It has nothing to do with it.
    No,
}

/// What a hook does about the gate, which is run by one of these commands.
pub fn runs(hook: &[u8], commands: &[&str]) -> Runs {
    let text = hook.to_str_lossy();
    let names_it = |line: &str| commands.iter().any(|command| line.contains(command));
    let lines: Vec<&str> = text.lines().map(without_comment).filter(|line| !line.is_empty()).collect();
    if !lines.iter().any(|line| names_it(line)) {
        return Runs::No;
    }
    let shell = text.lines().next().unwrap_or_default();
    if is_for_a_shell(shell) && stops(&lines, commands, ends_at_a_failure(shell)) {
        Runs::Surely
    } else {
        Runs::Perhaps
    }
}

/// Whether a first line names a shell of the usual kind.
fn is_for_a_shell(line: &str) -> bool {
    let Some(words) = line.strip_prefix("#!") else { return false };
    let mut words = words.split_whitespace().map(|word| word.rsplit('/').next().unwrap_or(word));
    let program = words.find(|word| !matches!(*word, "env" | "-S"));
    program.is_some_and(|program| matches!(program, "sh" | "bash" | "dash" | "ksh" | "zsh"))
}

/// Whether the shell ends where a command fails: `set -e`, `set -euo pipefail`, or the same behind `#!`.
fn ends_at_a_failure(line: &str) -> bool {
    let options =
        line.split_whitespace().skip(1).filter(|word| word.starts_with('-') && !word.starts_with("--"));
    options.into_iter().any(|word| word.contains('e'))
}

fn stops(lines: &[&str], commands: &[&str], mut ends: bool) -> bool {
    for (place, line) in lines.iter().enumerate() {
        if let Some(rest) = commands.iter().find_map(|command| behind(line, &format!("exec {command}"))) {
            return rest.is_empty();
        }
        if let Some(rest) = commands.iter().find_map(|command| behind(line, command)) {
            return rest.strip_prefix("||").map_or_else(
                || rest.is_empty() && (ends || place + 1 == lines.len()),
                |otherwise| is_a_stop(otherwise.trim()),
            );
        }
        if !goes_on(line) {
            return false;
        }
        ends |= line.starts_with("set ") && ends_at_a_failure(line);
    }
    false
}

/// What stands behind a command at the start of a line.
fn behind<'l>(line: &'l str, command: &str) -> Option<&'l str> {
    let rest = line.strip_prefix(command)?;
    (rest.is_empty() || rest.starts_with([' ', '\t', '|'])).then_some(rest.trim())
}

/// `exit 1`: 0 is no failure, and a shell keeps eight bits of the number.
fn is_a_stop(command: &str) -> bool {
    let number = command.strip_prefix("exit ").map(|number| number.trim().parse::<u8>());
    number.is_some_and(|number| number.is_ok_and(|number| number != 0))
}

/// Words that may lead elsewhere than to the next line.
const ELSEWHERE: [&str; 27] = [
    "exit", "exec", "return", "eval", "trap", "source", "alias", ".", "if", "then", "else", "elif", "fi",
    "for", "while", "until", "do", "done", "case", "esac", "select", "function", "kill", "break", "continue",
    "unset", "[[",
];

/// Whether the line after this one is surely the next to be run, unless the hook stops here with a failure.
fn goes_on(line: &str) -> bool {
    let line = match line.rsplit_once("||") {
        Some((before, otherwise)) if is_a_stop(otherwise.trim()) => before.trim(),
        _ => line,
    };
    // Everything a hook says may go elsewhere: this only turns its output.
    if line.strip_prefix("exec ").is_some_and(|rest| rest.split_whitespace().all(|word| word.contains('>'))) {
        return true;
    }
    let is_open = line.contains("<<")
        || ["\\", "&&", "||", "|", "{", "("].iter().any(|end| line.ends_with(end))
        || ["\"", "'", "`"].iter().any(|quote| line.matches(quote).count() % 2 == 1)
        || line.matches('(').count() != line.matches(')').count()
        || line.contains("()")
        || line.starts_with(['{', '}', '(', ')']);
    let unsets = line.starts_with("set ") && line.contains('+');
    let mut words = line.split(|letter: char| letter.is_whitespace() || ";|&(){}".contains(letter));
    !is_open && !unsets && !words.any(|word| ELSEWHERE.contains(&word))
}

/// A line without what is said behind a `#`, where that is certain.
fn without_comment(line: &str) -> &str {
    let line = line.trim();
    if line.starts_with('#') {
        return "";
    }
    match line.split_once(" #") {
        Some((command, _)) if !command.contains(['"', '\'', '`', '\\']) => command.trim_end(),
        _ => line,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(lines: &str) -> Runs {
        runs(format!("#!/bin/sh\n{lines}\n").as_bytes(), &["'/a b/clampmark' gate", "clampmark gate"])
    }

    #[test]
    fn what_surely_stops_the_commit_is_known() {
        for hook in [
            "clampmark gate",
            "'/a b/clampmark' gate",
            "exec clampmark gate",
            "./lint-notes || exit 1\nexec clampmark gate\necho never",
            "clampmark gate || exit 1\n./lint-notes",
            "clampmark gate||exit 255\n./lint-notes",
            "set -e\nclampmark gate\n./lint-notes",
            "set -euo pipefail\n\n# Setups first.\nclampmark gate # the setups\n./lint-notes",
            "exec 1>&2\nPATH=\"$PATH:/opt/bin\"\nclampmark gate || exit 2\nif true; then ./lint-notes; fi",
            "echo \"Checking\"\n./lint-notes \"$(git rev-parse HEAD)\"\nclampmark gate",
        ] {
            assert_eq!(of(hook), Runs::Surely, "{hook}");
        }
        let with_option = b"#!/usr/bin/env -S bash -e\nclampmark gate\n./lint-notes\n";
        assert_eq!(runs(with_option, &["clampmark gate"]), Runs::Surely);
    }

    #[test]
    fn what_may_lead_past_the_gate_or_swallow_its_answer_is_a_doubt() {
        for hook in [
            "clampmark gate\necho done",
            "clampmark gate || true",
            "clampmark gate || exit 0",
            "clampmark gate || exit 256",
            "clampmark gate || exit",
            "clampmark gate || echo exit 1",
            "clampmark gate | tee log",
            "clampmark gate &",
            "clampmark gate; true",
            "clampmark gate --json\ntrue",
            "exec clampmark gate || true",
            "exit 0\nclampmark gate",
            "test -n \"$HURRY\" && exit 0\nclampmark gate",
            "./lint-notes || exit 0\nclampmark gate",
            "if false; then\n    clampmark gate || exit 1\nfi",
            "cat <<END\nclampmark gate\nEND\nclampmark gate",
            "false && \\\nclampmark gate",
            "false &&\nclampmark gate",
            "check() {\n    clampmark gate || exit 1\n}",
            "echo 'we\nclampmark gate\n'",
            "exec ./other-hook\nclampmark gate",
            "set -e\nset +e\nclampmark gate\n./lint-notes",
            "trap 'exit 0' EXIT\nclampmark gate",
            "echo clampmark gate",
        ] {
            assert_eq!(of(hook), Runs::Perhaps, "{hook}");
        }
        assert_eq!(runs(b"#!/usr/bin/python3\nclampmark gate\n", &["clampmark gate"]), Runs::Perhaps);
        for hook in ["# clampmark gate", "./lint-notes", ""] {
            assert_eq!(of(hook), Runs::No, "{hook}");
        }
    }
}
