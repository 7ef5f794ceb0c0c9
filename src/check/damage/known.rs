//! Where damage can be: at a joint, on a part that a joint holds, on what a group of the file is about.

use crate::catalogue::{Catalogue, Side, joint};
use crate::setup::model::{Part, Setup};
use crate::setup::read::nearest;

/// Whether words name a place on a bike; a side alone is none.
pub fn is_place(setup: &Setup, on: &str) -> bool {
    part_or_joint(setup, on).is_some()
}

/// The written name of the part or joint that words on a place begin with: `bar` of "Bar, left end", `left.brake-lever`
/// of "left brake lever"; of several the one that most of the words name, for "bar in stem" is no part of the bar. What
/// follows says where on it: "fork: lower leg".
pub fn part_or_joint(setup: &Setup, on: &str) -> Option<String> {
    begun_with(&setup.parts, on).map(|(_, name)| name)
}

/// The same, and what is said behind it: `stem` and "crack at the face" of "stem: crack at the face".
pub fn part_and_rest<'w>(parts: &[Part], words: &'w str) -> Option<(String, &'w str)> {
    let (said, name) = begun_with(parts, words)?;
    let is_between = |letter: char| letter.is_whitespace() || letter == '-' || letter == '.';
    let of_the_name = said.chars().filter(|letter| !letter.is_whitespace()).count();
    let mut letters = words.char_indices().filter(|(_, letter)| !is_between(*letter));
    let (last, letter) = letters.nth(of_the_name.checked_sub(1)?)?;
    let rest = words.get(last + letter.len_utf8()..)?;
    Some((name, rest.trim_start_matches(|letter: char| is_between(letter) || ":,;–—".contains(letter))))
}

/// How the place that words begin with is called there, and its written name.
fn begun_with(parts: &[Part], on: &str) -> Option<(String, String)> {
    let catalogue = Catalogue::standard();
    let groups = catalogue.top().children.iter().map(|id| catalogue.shelf(*id));
    let joints = || joint::names().iter().map(String::as_str);
    let mut written: Vec<&str> = joint::without_a_joint().chain(joints()).collect();
    written.extend(groups.filter(|shelf| shelf.is_group()).map(|shelf| shelf.word));
    written.extend(parts.iter().map(|part| &*part.path).filter(|path| Side::parse(path).is_none()));
    let written = written.into_iter().map(|name| (spoken(name), name));
    let titled = joints().map(|name| (spoken(&joint::title(name)), name));
    let words = spoken(on);
    let named = written.chain(titled).filter(|(said, _)| begins_with(&words, said));
    named.max_by_key(|(said, _)| said.len()).map(|(said, name)| (said, name.to_owned()))
}

/// The same where the words name it and say no more of where on it.
pub fn in_full(setup: &Setup, on: &str) -> Option<String> {
    let name = part_or_joint(setup, on)?;
    let words = spoken(on);
    (words == spoken(&name) || words == spoken(&joint::title(&name))).then_some(name)
}

/// Words on a place so that two ways of writing it are one.
pub fn alike(setup: &Setup, on: &str) -> String {
    spoken(&in_full(setup, on).unwrap_or_else(|| on.to_owned()))
}

/// What was meant, if that can be guessed, and which places there are.
pub fn help(on: &str) -> String {
    let places: Vec<&str> =
        joint::without_a_joint().chain(joint::names().iter().map(String::as_str)).collect();
    let near = nearest(on, places.iter().copied());
    let meant = near.map(|near| format!("Did you mean `{near}`? ")).unwrap_or_default();
    format!(
        "{meant}Begin with a part or a joint, what more there is to say of the place behind it: {}.",
        places.join(", ")
    )
}

/// `left.brake-lever` as a person may write it, too: "Left brake lever".
fn spoken(name: &str) -> String {
    let words = name.to_lowercase().replace(['-', '.'], " ");
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn begins_with(words: &str, name: &str) -> bool {
    words.strip_prefix(name).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    #[test]
    fn a_place_is_a_part_a_joint_or_a_group_and_may_be_told_more_closely() {
        let text = r#"setup "rowan/race" format=1 { hose "front brake" { free-length 600 } }"#;
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        for on in [
            "bar",
            "Bar",
            "bar, left end",
            "fork: lower leg",
            "left.brake-lever",
            "left brake lever",
            "front-wheel",
            "rear wheel (rim)",
            "stem-face",
            "tyres",
            "hose.front brake",
        ] {
            assert!(is_place(&setup, on), "{on}");
        }
        for on in ["banana", "barn", "left", "abc", "7", "", "…"] {
            assert!(!is_place(&setup, on), "{on}");
        }
        for (on, name) in [
            ("Bar", "bar"),
            ("bar, left end", "bar"),
            ("bar in stem", "stem-face"),
            ("Bar  in stem, lower bolt", "stem-face"),
            ("left brake lever", "left.brake-lever"),
            ("stem", "stem"),
            ("stem on steerer", "stem-steerer"),
            ("rear wheel (rim)", "rear-wheel"),
        ] {
            assert_eq!(part_or_joint(&setup, on).as_deref(), Some(name), "{on}");
        }
        for (words, name, rest) in [
            ("stem crack at the face", "stem", "crack at the face"),
            ("Stem: crack", "stem", "crack"),
            ("stem, crack", "stem", "crack"),
            ("left brake lever - bent", "left.brake-lever", "bent"),
            ("left.brake-lever: bent", "left.brake-lever", "bent"),
            ("bar", "bar", ""),
        ] {
            assert_eq!(part_and_rest(&setup.parts, words), Some((name.to_owned(), rest)), "{words}");
        }
        assert_eq!(part_and_rest(&setup.parts, "stemmed"), None);
        assert_eq!(in_full(&setup, "bar, left end"), None);
        assert_eq!(alike(&setup, "Bar in stem"), alike(&setup, "stem-face"));
        assert!(help("fourk").starts_with("Did you mean `fork`? "));
    }
}
