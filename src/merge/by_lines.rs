//! Two versions side by side, line by line, where measures cannot be merged: nothing is decided, and whatever
//! differs stands between the conflict marks that every tool knows.

use similar::{Algorithm, DiffTag, capture_diff_slices};

use crate::setup::read::text_conflict::{BETWEEN, OURS, THEIRS};

/// Both versions in one text, and whether they stand between marks anywhere: where they differ in nothing but their
/// line ends ours is given back. The lines they have in common stand once; each of our lines keeps its own end, the
/// others end as our first line does.
pub fn marked(ours: &[u8], theirs: &[u8]) -> (Vec<u8>, bool) {
    let whole: Vec<&[u8]> = ours.split_inclusive(|byte| *byte == b'\n').collect();
    let line_end: &[u8] =
        if whole.first().is_some_and(|line| line.ends_with(b"\r\n")) { b"\r\n" } else { b"\n" };
    let before = ours;
    let (ours, theirs) = (lines(ours), lines(theirs));
    if ours == theirs {
        return (before.to_vec(), false);
    }
    let mut text = Vec::new();
    let put = |text: &mut Vec<u8>, lines: &[&[u8]]| {
        for line in lines {
            text.extend_from_slice(line);
            text.extend_from_slice(line_end);
        }
    };
    // The last line may have none; a mark could follow it.
    let put_ours = |text: &mut Vec<u8>, lines: &[&[u8]]| {
        for line in lines {
            text.extend_from_slice(line);
            if !line.ends_with(b"\n") {
                text.extend_from_slice(line_end);
            }
        }
    };
    for change in capture_diff_slices(Algorithm::Myers, &ours, &theirs) {
        let (mine, yours) = (&whole[change.old_range()], &theirs[change.new_range()]);
        if change.tag() == DiffTag::Equal {
            put_ours(&mut text, mine);
            continue;
        }
        let (above, below) = (format!("{OURS} ours"), format!("{THEIRS} theirs"));
        put(&mut text, &[above.as_bytes()]);
        put_ours(&mut text, mine);
        put(&mut text, &[BETWEEN.as_bytes()]);
        put(&mut text, yours);
        put(&mut text, &[below.as_bytes()]);
    }
    (text, true)
}

/// The lines of a text without their ends.
fn lines(text: &[u8]) -> Vec<&[u8]> {
    let mut lines: Vec<&[u8]> = text.split(|byte| *byte == b'\n').collect();
    if lines.last().is_some_and(|last| last.is_empty()) {
        lines.pop();
    }
    lines.into_iter().map(|line| line.strip_suffix(b"\r").unwrap_or(line)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_stands_twice_and_what_does_not_once() {
        let text = marked(b"a\r\nb\r\nc\r\nd", b"a\nB\nc\nd\ne\n").0;
        let expected = "a\n<<<<<<< ours\nb\n=======\nB\n>>>>>>> theirs\nc\nd\n<<<<<<< ours\n=======\ne\n>>>>>>> theirs\n";
        assert_eq!(String::from_utf8(text), Ok(expected.replace('\n', "\r\n")));
    }

    #[test]
    fn a_side_that_is_empty_or_no_text_is_kept_too() {
        let expected = b"<<<<<<< ours\n=======\n\xff\n>>>>>>> theirs\n".to_vec();
        assert_eq!(marked(b"", b"\xff\n"), (expected, true));
        assert_eq!(marked(b"a\n", b"a\n"), (b"a\n".to_vec(), false));
    }

    #[test]
    fn every_line_of_ours_keeps_its_own_end() {
        let expected = b"a\nb\r\n<<<<<<< ours\nc\n=======\nC\n>>>>>>> theirs\nd\n".to_vec();
        assert_eq!(marked(b"a\nb\r\nc\nd\n", b"a\nb\nC\r\nd\n"), (expected, true));
        assert_eq!(marked(b"a\r\nb", b"a\nb\n"), (b"a\r\nb".to_vec(), false));
    }
}
