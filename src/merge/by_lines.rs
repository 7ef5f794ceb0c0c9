//! The versions side by side, line by line, where measures cannot be merged: nothing is decided, and whatever
//! differs stands between the conflict marks that every tool knows.

use std::ops::Range;

use similar::{Algorithm, DiffOp, DiffTag, capture_diff_slices};

use crate::setup::read::text_conflict::{BASE, BETWEEN, OURS, THEIRS};

use super::labels::{Labels, named};

/// Both versions in one text, and whether they stand between marks anywhere: where they differ in nothing but their
/// line ends ours is given back. The lines they have in common stand once, and between the two versions what both came
/// from, so that one can see who changed what; each of our lines keeps its own end, the others end as our first does.
pub fn marked(base: &[u8], ours: &[u8], theirs: &[u8], labels: &Labels) -> (Vec<u8>, bool) {
    let whole: Vec<&[u8]> = ours.split_inclusive(|byte| *byte == b'\n').collect();
    let line_end: &[u8] =
        if whole.first().is_some_and(|line| line.ends_with(b"\r\n")) { b"\r\n" } else { b"\n" };
    let before = ours;
    let (base, ours, theirs) = (lines(base), lines(ours), lines(theirs));
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
    let mark = |mark: &str, word: &str, label: Option<&String>| format!("{mark} {}", named(word, label));
    for stretch in stretches(&base, &ours, &theirs) {
        let (mine, yours) = (&whole[stretch.ours.clone()], &theirs[stretch.theirs]);
        if ours[stretch.ours] == *yours {
            put_ours(&mut text, mine);
            continue;
        }
        put(&mut text, &[mark(OURS, "ours", labels.ours.as_ref()).as_bytes()]);
        put_ours(&mut text, mine);
        if let Some(common) = stretch.base {
            put(&mut text, &[mark(BASE, "base", labels.base.as_ref()).as_bytes()]);
            put(&mut text, &base[common]);
        }
        put(&mut text, &[BETWEEN.as_bytes()]);
        put(&mut text, yours);
        put(&mut text, &[mark(THEIRS, "theirs", labels.theirs.as_ref()).as_bytes()]);
    }
    (text, true)
}

/// Lines that answer to one another in all versions; those of the base where it is known.
struct Stretch {
    base: Option<Range<usize>>,
    ours: Range<usize>,
    theirs: Range<usize>,
}

/// The whole texts in stretches: between lines that all three have in common, whatever stands there in each. Without a
/// base, or with one that has no line in common with both, the two sides alone.
fn stretches(base: &[&[u8]], ours: &[&[u8]], theirs: &[&[u8]]) -> Vec<Stretch> {
    let (in_ours, in_theirs) = (kept(base, ours), kept(base, theirs));
    let mut stretches = Vec::new();
    let (mut from, mut from_ours, mut from_theirs) = (0, 0, 0);
    for (place, here) in in_ours.iter().zip(&in_theirs).enumerate() {
        let (Some(mine), Some(yours)) = here else { continue };
        let apart = Stretch { base: Some(from..place), ours: from_ours..*mine, theirs: from_theirs..*yours };
        let common =
            Stretch { base: Some(place..place + 1), ours: *mine..mine + 1, theirs: *yours..yours + 1 };
        stretches.extend([apart, common]);
        (from, from_ours, from_theirs) = (place + 1, mine + 1, yours + 1);
    }
    if stretches.is_empty() {
        let changes = capture_diff_slices(Algorithm::Myers, ours, theirs).into_iter();
        let two =
            |change: DiffOp| Stretch { base: None, ours: change.old_range(), theirs: change.new_range() };
        return changes.map(two).collect();
    }
    stretches.push(Stretch {
        base: Some(from..base.len()),
        ours: from_ours..ours.len(),
        theirs: from_theirs..theirs.len(),
    });
    stretches
}

/// Where each line of the base stands in another version, if it was kept.
fn kept(base: &[&[u8]], other: &[&[u8]]) -> Vec<Option<usize>> {
    let mut kept = vec![None; base.len()];
    for change in capture_diff_slices(Algorithm::Myers, base, other) {
        if change.tag() == DiffTag::Equal {
            for (place, here) in change.old_range().zip(change.new_range()) {
                kept[place] = Some(here);
            }
        }
    }
    kept
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

    /// Without a base or names.
    fn both(ours: &[u8], theirs: &[u8]) -> (Vec<u8>, bool) {
        marked(b"", ours, theirs, &Labels::default())
    }

    #[test]
    fn what_differs_stands_twice_and_what_does_not_once() {
        let text = both(b"a\r\nb\r\nc\r\nd", b"a\nB\nc\nd\ne\n").0;
        let expected = "a\n<<<<<<< ours\nb\n=======\nB\n>>>>>>> theirs\nc\nd\n<<<<<<< ours\n=======\ne\n>>>>>>> theirs\n";
        assert_eq!(String::from_utf8(text), Ok(expected.replace('\n', "\r\n")));
    }

    #[test]
    fn a_side_that_is_empty_or_no_text_is_kept_too() {
        let expected = b"<<<<<<< ours\n=======\n\xff\n>>>>>>> theirs\n".to_vec();
        assert_eq!(both(b"", b"\xff\n"), (expected, true));
        assert_eq!(both(b"a\n", b"a\n"), (b"a\n".to_vec(), false));
    }

    #[test]
    fn every_line_of_ours_keeps_its_own_end() {
        let expected = b"a\nb\r\n<<<<<<< ours\nc\n=======\nC\n>>>>>>> theirs\nd\n".to_vec();
        assert_eq!(both(b"a\nb\r\nc\nd\n", b"a\nb\nC\r\nd\n"), (expected, true));
        assert_eq!(both(b"a\r\nb", b"a\nb\n"), (b"a\r\nb".to_vec(), false));
    }

    #[test]
    fn what_both_came_from_stands_between_them_with_all_names() {
        let labels = Labels::of(Some("1a2b3c4"), Some("HEAD"), Some("wet"));
        let text = marked(b"a\nb\nc\nd\ne\n", b"a\nB\nc\nx\ne\n", b"a\nb\nc\nx\ny\n", &labels);
        // Ours changed b, both changed d alike, theirs changed e.
        let expected = "a\n<<<<<<< ours (HEAD)\nB\n||||||| base (1a2b3c4)\nb\n=======\nb\n>>>>>>> theirs (wet)\nc\n\
                        <<<<<<< ours (HEAD)\nx\ne\n||||||| base (1a2b3c4)\nd\ne\n=======\nx\ny\n>>>>>>> theirs (wet)\n";
        assert_eq!(String::from_utf8(text.0), Ok(expected.to_owned()));
        // A base that has no line in common says nothing.
        let text = marked(b"z\n", b"a\nb\n", b"a\nc\n", &Labels::default()).0;
        let expected = "a\n<<<<<<< ours\nb\n=======\nc\n>>>>>>> theirs\n";
        assert_eq!(String::from_utf8(text), Ok(expected.to_owned()));
    }
}
