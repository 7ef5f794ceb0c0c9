//! The values a person names: measures by their path, derived values by their name.

use crate::catalogue::{Catalogue, MeasureId};
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
    let measures = catalogue.rows().flat_map(|(_, row)| crate::catalogue::sides_written_out(row.path));
    let known = measures.chain(DERIVED.iter().map(|derived| derived.name.to_owned()));
    let near = known
        .map(|candidate| (strsim::damerau_levenshtein(name, &candidate), candidate))
        .filter(|(slips, candidate)| *slips <= 1 + candidate.chars().count() / 4)
        .min();
    Unknown { name: name.to_owned(), nearest: near.map(|(_, candidate)| candidate) }
}
