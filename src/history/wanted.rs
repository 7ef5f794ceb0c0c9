//! The values a person names: measures by their path, derived values by their name.

use crate::catalogue::{Catalogue, MeasureId, sides_written_out};
use crate::geometry::derived::{self, DERIVED, Derived};

/// One named value.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// A measure.
    Measure(MeasureId),
    /// A derived value.
    Derived(&'static Derived),
}

/// A name that is neither.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// As typed.
    pub name: String,
    /// The nearest known name, if one is near.
    pub nearest: Option<String>,
    /// The measures below it, if it is a group of them; else those of whose paths it is a part.
    pub measures: Vec<String>,
}

impl Wanted {
    /// Its name.
    pub fn name(&self, catalogue: &Catalogue) -> String {
        match self {
            Wanted::Measure(id) => catalogue.path(id),
            Wanted::Derived(derived) => derived.name.to_owned(),
        }
    }

    pub(super) fn is_measure(&self, catalogue: &Catalogue, path: &str) -> bool {
        matches!(self, Wanted::Measure(id) if catalogue.path(id) == path)
    }

    pub(super) fn is_of(&self, measure: &MeasureId) -> bool {
        matches!(self, Wanted::Measure(id) if id == measure)
    }

    pub(super) fn is_derived(&self, name: &str) -> bool {
        matches!(self, Wanted::Derived(derived) if derived.name == name)
    }
}

/// The named values, or the first name that is not known.
pub fn wanted(catalogue: &Catalogue, names: &[String]) -> Result<Vec<Wanted>, Unknown> {
    names.iter().map(|name| find(catalogue, name).ok_or_else(|| unknown(catalogue, name))).collect()
}

fn find(catalogue: &Catalogue, name: &str) -> Option<Wanted> {
    let derived = derived::find(name).map(|(_, derived)| Wanted::Derived(derived));
    derived.or_else(|| catalogue.find(name).map(Wanted::Measure))
}

fn unknown(catalogue: &Catalogue, name: &str) -> Unknown {
    let measures = || catalogue.rows().flat_map(|(_, row)| sides_written_out(row.path));
    let below: Vec<String> = measures().filter_map(|pattern| holding(&pattern, name, 0)).collect();
    let anywhere =
        |pattern: String| (1..pattern.split('.').count()).find_map(|at| holding(&pattern, name, at));
    let measures_held = if below.is_empty() { measures().filter_map(anywhere).collect() } else { below };
    let known = measures().chain(DERIVED.iter().map(|derived| derived.name.to_owned()));
    let near = known
        .map(|candidate| (strsim::damerau_levenshtein(name, &candidate), candidate))
        .filter(|(slips, candidate)| *slips <= 1 + candidate.chars().count() / 4)
        .min();
    Unknown { name: name.to_owned(), nearest: near.map(|(_, candidate)| candidate), measures: measures_held }
}

/// The path of a row's first measure in whose words these stand one after the other from this place on.
fn holding(pattern: &str, name: &str, at: usize) -> Option<String> {
    let mut path: Vec<&str> = pattern.split('.').map(|word| if word == "N" { "1" } else { word }).collect();
    let words: Vec<&str> = name.split('.').collect();
    for (here, word) in path.get_mut(at..at + words.len())?.iter_mut().zip(words) {
        // A given name may be any, but only of what is named before it.
        if *here != word && (*here != "NAME" || at > 0) {
            return None;
        }
        *here = word;
    }
    Some(path.join("."))
}
