//! Texts merged by paragraph: a paragraph that both sides changed apart cannot be decided.

use similar::{Algorithm, DiffOp, TextDiff, capture_diff_slices};

/// Three texts made one, or two that differ only where both sides changed a paragraph apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Paragraphs {
    /// The whole text with our version of what is not decided.
    pub ours: String,
    /// The same with theirs.
    pub theirs: String,
    /// Our version of what is not decided alone, and theirs.
    pub apart: Option<[String; 2]>,
}

/// The paragraphs of three texts made one, as far as that is decided.
pub fn merged(base: &str, ours: &str, theirs: &str) -> Paragraphs {
    let split = |text: &'_ str| -> Vec<String> { text.split("\n\n").map(str::to_owned).collect() };
    let (base, ours, theirs) = (split(base), split(ours), split(theirs));
    let (in_ours, in_theirs) = (kept(&base, &ours), kept(&base, &theirs));
    let mut result = Stretches::default();
    let (mut from, mut from_ours, mut from_theirs) = (0, 0, 0);
    for place in 0..=base.len() {
        // Both sides kept this paragraph (the end counts as kept): what lies before it stands alone.
        let here = match (in_ours.get(place), in_theirs.get(place)) {
            (Some(Some(ours)), Some(Some(theirs))) => (*ours, *theirs),
            (None, None) => (ours.len(), theirs.len()),
            _ => continue,
        };
        let stretch = (&base[from..place], &ours[from_ours..here.0], &theirs[from_theirs..here.1]);
        result.merge(stretch.0, stretch.1, stretch.2);
        result.decided(base.get(place..=place).unwrap_or_default());
        (from, from_ours, from_theirs) = (place + 1, here.0 + 1, here.1 + 1);
    }
    let one = |paragraphs: Vec<String>| paragraphs.join("\n\n");
    let apart = (result.apart != <[Vec<String>; 2]>::default()).then(|| result.apart.map(one));
    let [ours, theirs] = result.whole.map(one);
    Paragraphs { ours, theirs, apart }
}

/// The paragraphs so far: of the whole in our version and in theirs, and of what is not decided alone.
#[derive(Default)]
struct Stretches {
    whole: [Vec<String>; 2],
    apart: [Vec<String>; 2],
}

impl Stretches {
    fn decided(&mut self, paragraphs: &[String]) {
        for whole in &mut self.whole {
            whole.extend_from_slice(paragraphs);
        }
    }

    fn merge(&mut self, base: &[String], ours: &[String], theirs: &[String]) {
        if ours == theirs || theirs == base {
            self.decided(ours);
        } else if ours == base {
            self.decided(theirs);
        } else if base.len() > 1 && base.len() == ours.len() && base.len() == theirs.len() {
            for place in 0..base.len() {
                let place = place..=place;
                self.merge(&base[place.clone()], &ours[place.clone()], &theirs[place]);
            }
        } else {
            for (side, paragraphs) in [ours, theirs].into_iter().enumerate() {
                self.whole[side].extend_from_slice(paragraphs);
                self.apart[side].extend_from_slice(paragraphs);
            }
        }
    }
}

/// Where each paragraph of the base stands in the other text, if it was kept.
fn kept(base: &[String], other: &[String]) -> Vec<Option<usize>> {
    let mut places = vec![None; base.len()];
    for op in capture_diff_slices(Algorithm::Myers, base, other) {
        if let DiffOp::Equal { old_index, new_index, len } = op {
            for step in 0..len {
                places[old_index + step] = Some(new_index + step);
            }
        }
    }
    places
}

/// A text on one line, its paragraphs told apart.
pub fn in_one_line(text: &str) -> String {
    let mut paragraphs: Vec<Vec<&str>> = vec![Vec::new()];
    for line in text.lines() {
        match paragraphs.last_mut() {
            Some(last) if !line.trim().is_empty() => last.extend(line.split_whitespace()),
            _ => paragraphs.push(Vec::new()),
        }
    }
    let filled = paragraphs.iter().filter(|words| !words.is_empty());
    filled.map(|words| words.join(" ")).collect::<Vec<_>>().join(" / ")
}

/// Which text of `others` each of `texts` became: the equal one, else one that is more alike than not.
pub fn matched(texts: &[String], others: &[String]) -> Vec<Option<usize>> {
    let mut free: Vec<bool> = vec![true; others.len()];
    let mut matches: Vec<Option<usize>> = vec![None; texts.len()];
    for (text, found) in texts.iter().zip(&mut matches) {
        *found = others.iter().enumerate().position(|(place, other)| free[place] && other == text);
        if let Some(place) = *found {
            free[place] = false;
        }
    }
    for (text, found) in texts.iter().zip(&mut matches).filter(|(_, found)| found.is_none()) {
        let alike = |place: &usize| TextDiff::from_words(text.as_str(), others[*place].as_str()).ratio();
        let best = (0..others.len()).filter(|place| free[*place]).map(|place| (alike(&place), place));
        let best = best.filter(|(ratio, _)| *ratio >= 0.5).max_by(|a, b| a.0.total_cmp(&b.0));
        *found = best.map(|(_, place)| place);
        if let Some(place) = *found {
            free[place] = false;
        }
    }
    matches
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The text, if all of it is decided.
    fn decided(base: &str, ours: &str, theirs: &str) -> Option<String> {
        let merged = merged(base, ours, theirs);
        assert!(merged.apart.is_some() || merged.ours == merged.theirs);
        merged.apart.is_none().then_some(merged.ours)
    }

    #[test]
    fn different_paragraphs_merge_and_the_same_one_does_not() {
        let base = "one\n\ntwo\n\nthree";
        assert_eq!(
            decided(base, "ONE\n\ntwo\n\nthree", "one\n\ntwo\n\nTHREE").as_deref(),
            Some("ONE\n\ntwo\n\nTHREE")
        );
        // Neighbours without a kept paragraph between them.
        assert_eq!(
            decided(base, "ONE\n\ntwo\n\nthree", "one\n\nTWO\n\nthree").as_deref(),
            Some("ONE\n\nTWO\n\nthree")
        );
        assert_eq!(decided(base, "one\n\n2\n\nthree", "one\n\nII\n\nthree"), None);
        assert_eq!(
            decided(base, "one\n\n2\n\nthree", "one\n\n2\n\nthree").as_deref(),
            Some("one\n\n2\n\nthree")
        );
        assert_eq!(
            decided(base, "one\n\nthree", "one\n\ntwo\n\nthree\n\nfour").as_deref(),
            Some("one\n\nthree\n\nfour")
        );
    }

    #[test]
    fn beside_a_paragraph_that_is_not_decided_the_others_merge() {
        let expected = Paragraphs {
            ours: "ONE\n\n2\n\nTHREE".to_owned(),
            theirs: "ONE\n\nII\n\nTHREE".to_owned(),
            apart: Some(["2".to_owned(), "II".to_owned()]),
        };
        assert_eq!(merged("one\n\ntwo\n\nthree", "ONE\n\n2\n\nthree", "one\n\nII\n\nTHREE"), expected);
    }

    #[test]
    fn a_text_is_found_again_though_it_changed() {
        let texts = ["the left clamp creaks in the wet".to_owned(), "new grips".to_owned()];
        let others = ["unrelated".to_owned(), "the left clamp creaks when wet".to_owned()];
        assert_eq!(matched(&texts, &others), [Some(1), None]);
    }
}
