//! Our line in the attributes file beside `setups/`.

use std::path::PathBuf;

use gix::bstr::ByteSlice;

use super::super::LedgerError;
use super::{Action, FileChange, change, contents};

/// What setup files are to git.
const ATTRIBUTES: &str = "setups/**/*.kdl diff=clampmark merge=clampmark";
const ATTRIBUTES_PURPOSE: &str = "which files are setups";

fn is_our_line(line: &&[u8]) -> bool {
    line.trim() == ATTRIBUTES.as_bytes()
}

/// The file with our line.
pub fn with_line(path: PathBuf) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    if text.lines().any(|line| is_our_line(&line)) {
        return Ok(change(path, ATTRIBUTES_PURPOSE, Vec::new(), Action::Nothing));
    }
    let line_end: &[u8] = if text.contains_str("\r\n") { b"\r\n" } else { b"\n" };
    // A file without a line end at its end gets none: by that it is given back as it was.
    let ended = text.ends_with(b"\n") || was.is_none();
    let (before, after) = if ended { (&b""[..], line_end) } else { (line_end, &b""[..]) };
    let before = if text.is_empty() { b"" } else { before };
    let now = [&text, before, ATTRIBUTES.as_bytes(), after].concat();
    let action = Action::Write { was, now, executable: false };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}

/// The file without it, if it is ours to take away.
pub fn without_line(path: PathBuf, ours: bool) -> Result<FileChange, LedgerError> {
    let was = contents(&path)?;
    let text = was.clone().unwrap_or_default();
    let lines: Vec<&[u8]> = text.lines_with_terminator().collect();
    let Some(place) = lines.iter().rposition(is_our_line).filter(|_| ours) else {
        return Ok(change(path, ATTRIBUTES_PURPOSE, Vec::new(), Action::Nothing));
    };
    let mut now = lines[..place].concat();
    let ended = text.ends_with(b"\n");
    if place + 1 == lines.len() && !ended {
        // A carriage return was put in only where other lines end in one.
        let kept = now.strip_suffix(b"\n").map(|kept| {
            let whole = kept.strip_suffix(b"\r").filter(|_| kept.contains_str("\r\n"));
            whole.unwrap_or(kept)
        });
        now.truncate(kept.map_or(now.len(), <[u8]>::len));
    }
    now.extend_from_slice(&lines[place + 1..].concat());
    let action = if now.is_empty() && ended {
        Action::Remove { folders: 0 }
    } else {
        Action::Write { was, now, executable: false }
    };
    Ok(change(path, ATTRIBUTES_PURPOSE, vec![ATTRIBUTES.to_owned()], action))
}
