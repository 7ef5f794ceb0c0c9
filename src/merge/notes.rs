//! Texts merged by paragraph: a paragraph that both sides changed apart cannot be decided.

use similar::{Algorithm, DiffOp, TextDiff, capture_diff_slices};

/// The paragraphs of three texts made one; none if both sides changed one of them apart.
pub fn merged(base: &str, ours: &str, theirs: &str) -> Option<String> {
    let split = |text: &'_ str| -> Vec<String> { text.split("\n\n").map(str::to_owned).collect() };
    let (base, ours, theirs) = (split(base), split(ours), split(theirs));
    let (in_ours, in_theirs) = (kept(&base, &ours), kept(&base, &theirs));
    let mut result: Vec<String> = Vec::new();
    let (mut from, mut from_ours, mut from_theirs) = (0, 0, 0);
    for place in 0..=base.len() {
        // Both sides kept this paragraph (the end counts as kept): what lies before it stands alone.
        let here = match (in_ours.get(place), in_theirs.get(place)) {
            (Some(Some(ours)), Some(Some(theirs))) => (*ours, *theirs),
            (None, None) => (ours.len(), theirs.len()),
            _ => continue,
        };
        let stretch = (&base[from..place], &ours[from_ours..here.0], &theirs[from_theirs..here.1]);
        result.extend(stretch_merged(stretch.0, stretch.1, stretch.2)?);
        result.extend(base.get(place).cloned());
        (from, from_ours, from_theirs) = (place + 1, here.0 + 1, here.1 + 1);
    }
    Some(result.join("\n\n"))
}

fn stretch_merged(base: &[String], ours: &[String], theirs: &[String]) -> Option<Vec<String>> {
    if ours == theirs || theirs == base {
        return Some(ours.to_vec());
    }
    if ours == base {
        return Some(theirs.to_vec());
    }
    if base.len() > 1 && base.len() == ours.len() && base.len() == theirs.len() {
        let one = |place: usize| {
            let place = place..=place;
            stretch_merged(&base[place.clone()], &ours[place.clone()], &theirs[place])
        };
        return (0..base.len()).map(one).collect::<Option<Vec<_>>>().map(|parts| parts.concat());
    }
    None
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

    #[test]
    fn different_paragraphs_merge_and_the_same_one_does_not() {
        let base = "one\n\ntwo\n\nthree";
        assert_eq!(
            merged(base, "ONE\n\ntwo\n\nthree", "one\n\ntwo\n\nTHREE").as_deref(),
            Some("ONE\n\ntwo\n\nTHREE")
        );
        // Neighbours without a kept paragraph between them.
        assert_eq!(
            merged(base, "ONE\n\ntwo\n\nthree", "one\n\nTWO\n\nthree").as_deref(),
            Some("ONE\n\nTWO\n\nthree")
        );
        assert_eq!(merged(base, "one\n\n2\n\nthree", "one\n\nII\n\nthree"), None);
        assert_eq!(
            merged(base, "one\n\n2\n\nthree", "one\n\n2\n\nthree").as_deref(),
            Some("one\n\n2\n\nthree")
        );
        assert_eq!(
            merged(base, "one\n\nthree", "one\n\ntwo\n\nthree\n\nfour").as_deref(),
            Some("one\n\nthree\n\nfour")
        );
    }

    #[test]
    fn a_text_is_found_again_though_it_changed() {
        let texts = ["the left clamp creaks in the wet".to_owned(), "new grips".to_owned()];
        let others = ["unrelated".to_owned(), "the left clamp creaks when wet".to_owned()];
        assert_eq!(matched(&texts, &others), [Some(1), None]);
    }
}
