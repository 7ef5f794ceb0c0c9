//! The hooks that run the gate: known by their mark, written over and taken away only where nothing was added to them.

use std::path::PathBuf;

use gix::bstr::ByteSlice;

use super::super::LedgerError;
use super::others_hook::{Runs, runs};
use super::{Action, FileChange, change, contents, is_executable, shell_word};

/// By this line we know our own hook.
const HOOK_MARK: &str = "# Written by `clampmark adopt`; `clampmark adopt --undo` takes it away.";

/// Git runs the first before a commit that somebody makes, the second before the commit of a merge that went through
/// by itself.
pub const HOOKS: [(&str, &str); 2] =
    [("pre-commit", "the gate before a commit"), ("pre-merge-commit", "the gate before a merge's commit")];

/// What a hook runs. Git starts it at the top of the working tree, and the gate finds there whatever is staged, of
/// however many ledgers: none is named.
pub fn hook_text(program: &str) -> String {
    format!("#!/bin/sh\n{HOOK_MARK}\nexec {program} gate\n")
}

/// The hook with this text; `owner` is its folder where that serves other repositories too.
pub fn with_hook(
    path: PathBuf,
    purpose: &'static str,
    owner: Option<&str>,
    text: &str,
) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let command = text.lines().last().unwrap_or_default().trim_start_matches("exec ").to_owned();
    let leave = |why: String| Action::Leave(format!("{why} Add to it yourself: {command} || exit 1"));
    let mut lines = vec![command.clone()];
    let ignored = was.is_some() && !is_executable(&path);
    let action = match (owner, &was) {
        (_, Some(known)) if known == text.as_bytes() && ignored => {
            lines = vec!["the right to be run: without it git ignores the hook".to_owned()];
            Action::Write { was: was.clone(), now: text.as_bytes().to_vec(), executable: true }
        }
        (_, Some(known)) if known == text.as_bytes() => Action::Nothing,
        (_, Some(known)) if is_of_others(known) && of_others(known, &command) == Runs::Surely && ignored => {
            let file = shell_word(&path.to_string_lossy());
            Action::Leave(format!("The system may not run it, so git ignores it. Allow it: chmod +x {file}"))
        }
        // Whoever has a hook of his own and put the gate into it has done all there is to do.
        (_, Some(known)) if is_of_others(known) && of_others(known, &command) == Runs::Surely => {
            Action::Nothing
        }
        (_, Some(known)) if is_of_others(known) && of_others(known, &command) == Runs::Perhaps => {
            Action::Leave(format!(
                "The hook there names the gate, but whether a fault then stops the commit cannot be told. Let it say on a \
                 line of its own, before anything that may end it: {command} || exit 1"
            ))
        }
        (Some(folder), _) => leave(format!("The hooks in {folder} serve other repositories too.")),
        (None, Some(known)) if is_of_others(known) => leave("There is another hook already.".to_owned()),
        (None, Some(known)) if !is_ours_alone(known) => leave("Something was added to our hook.".to_owned()),
        (None, _) => Action::Write { was, now: text.as_bytes().to_vec(), executable: true },
    };
    Ok(change(path, purpose, if action == Action::Nothing { Vec::new() } else { lines }, action))
}

fn is_of_others(hook: &[u8]) -> bool {
    !hook.contains_str(HOOK_MARK)
}

/// What a hook that others wrote does about the gate, by this command or by the program's plain name.
fn of_others(hook: &[u8], command: &str) -> Runs {
    runs(hook, &[command, concat!(env!("CARGO_PKG_NAME"), " gate")])
}

/// Whether a hook holds what was written here, perhaps by another version or from another place, and nothing else.
fn is_ours_alone(hook: &[u8]) -> bool {
    let mut lines = hook.lines();
    let (shell, mark, command) = (lines.next(), lines.next(), lines.next());
    let runs_the_gate = |command: &[u8]| command.starts_with(b"exec ") && command.contains_str(" gate");
    shell == Some(b"#!/bin/sh")
        && mark == Some(HOOK_MARK.as_bytes())
        && command.is_some_and(runs_the_gate)
        && lines.next().is_none()
}

/// The hook taken away, with the folders that were made for it.
pub fn without_hook(path: PathBuf, purpose: &'static str, folders: usize) -> Result<FileChange, LedgerError> {
    let known = contents(&path)?.filter(|known| known.contains_str(HOOK_MARK));
    let (lines, action) = match known {
        None => (Vec::new(), Action::Nothing),
        Some(known) if is_ours_alone(&known) => {
            (vec!["the whole file".to_owned()], Action::Remove { folders })
        }
        Some(_) => {
            let why = "Something was added to our hook. Take the line with `gate` out of it yourself.";
            (Vec::new(), Action::Leave(why.to_owned()))
        }
    };
    Ok(change(path, purpose, lines, action))
}
