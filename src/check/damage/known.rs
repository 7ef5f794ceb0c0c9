//! Where damage can be: at a joint, on a part that a joint holds, on what a group of the file is about.

use crate::catalogue::{Catalogue, Side, joint};
use crate::setup::model::Setup;
use crate::setup::read::nearest;

/// Whether words name a place on a bike; a side alone is none. What follows the place's name says where on it: "fork: lower leg".
pub fn is_place(setup: &Setup, on: &str) -> bool {
    let catalogue = Catalogue::standard();
    let mut groups = catalogue.top().children.iter().map(|id| catalogue.shelf(*id));
    let on = spoken(on);
    let is_named = |name: &str| begins_with(&on, &spoken(name));
    joint::held().any(is_named)
        || joint::names().iter().any(|name| is_named(name))
        || groups.any(|shelf| shelf.is_group() && is_named(shelf.word))
        || setup.parts.iter().any(|part| Side::parse(&part.path).is_none() && is_named(&part.path))
}

/// What was meant, if that can be guessed, and which places there are.
pub fn help(on: &str) -> String {
    let places: Vec<&str> = joint::held().chain(joint::names().iter().map(String::as_str)).collect();
    let near = nearest(on, places.iter().copied());
    let meant = near.map(|near| format!("Did you mean `{near}`? ")).unwrap_or_default();
    format!(
        "{meant}Begin with a part or a joint, what more there is to say of the place behind it: {}.",
        places.join(", ")
    )
}

/// `left.brake-lever` as a person may write it, too: "Left brake lever".
fn spoken(name: &str) -> String {
    name.to_lowercase().replace(['-', '.'], " ")
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
        assert!(help("fourk").starts_with("Did you mean `fork`? "));
    }
}
