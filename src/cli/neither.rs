//! What is said of a name that `history` cannot follow: what can be asked in its place.

use crate::history::Unknown;
use crate::ledger::shell_word;

use super::session::Failure;

/// How many measures a person reads through.
const MANY: usize = 12;

/// The first word of what a table of all revisions has, and no series.
const TOLD_IN_WORDS: [&str; 8] =
    ["torque", "note", "damage", "part", "instrument", "tolerance", "accepted", "opened"];

/// A name that is neither a measure nor a derived value.
pub fn neither(unknown: &Unknown, setup: &str) -> Failure {
    let first = unknown.name.split('.').next().unwrap_or_default();
    let history = format!("clampmark history {}", shell_word(setup));
    let help = if first == "mark" {
        format!("`{history} --marks` tells the story of each mark.")
    } else if TOLD_IN_WORDS.contains(&first) {
        format!("`{history}` tells what became of it.")
    } else {
        in_its_place(unknown)
    };
    Failure::new(format!("`{}` is neither a measure nor a derived value.", unknown.name), help)
}

fn in_its_place(unknown: &Unknown) -> String {
    let below = format!("{}.", unknown.name);
    match (&*unknown.measures, &unknown.nearest) {
        ([only], _) => format!("Did you mean `{only}`?"),
        (all @ [first, ..], _) if first.starts_with(&below) => {
            let names = all.iter().filter_map(|path| path.strip_prefix(&below));
            if all.len() <= MANY {
                let names: Vec<&str> = names.collect();
                return format!("Name one of its measures, as `{first}`: {}.", names.join(", "));
            }
            let mut groups: Vec<&str> = names.filter_map(|name| name.split('.').next()).collect();
            groups.dedup();
            format!(
                "Name one of the measures under {}.",
                typed(groups.iter().map(|group| below.clone() + group))
            )
        }
        (all @ [_, ..], _) if all.len() <= MANY => {
            format!("Name one of {}.", typed(all.iter().cloned()))
        }
        (_, Some(near)) => format!("Did you mean `{near}`?"),
        (_, None) => {
            "Name a measure by its path, as in `left.brake-lever.angle`, or a derived value.".to_owned()
        }
    }
}

/// "`left.grip`, `left.brake-lever`".
fn typed(names: impl Iterator<Item = String>) -> String {
    names.map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
