//! Which assemblies can be built as they are: without a fault, be it new or one that stands on the other bike already,
//! and with the spacers that they need.

use crate::catalogue::Catalogue;
use crate::catalogue::code::Severity;
use crate::setup::model::Setup;
use crate::trial::{Said, SaidOfBoth, SaidStill, a_fault_stands, said};

use super::{Assembly, BEST, Problem, assembled, replaces};

/// What is said of the best, and which can be built in its place.
pub struct Judged {
    /// What `check` says of the best beside what it says of the other bike now.
    pub said: SaidOfBoth,
    /// Whether each of them has one and the same fault that stands already.
    pub stands_in_all: bool,
    /// Where the best cannot be built: the place of the first that can.
    pub sound: Option<usize>,
    /// That one, where it is none of the list but comes behind it.
    pub beyond: Option<Assembly>,
}

/// Judges the best of the list.
pub fn judged(problem: &Problem, onto: &Setup, first: &Assembly, assemblies: &[Assembly]) -> Judged {
    let catalogue = problem.catalogue;
    let said = said_of(catalogue, onto, first);
    let stands_in_all = is_in_all(catalogue, onto, &said.stands, assemblies);
    let mut judged = Judged { said, stands_in_all, sound: None, beyond: None };
    let is_built = first.is_to_be_built() && !has_a_fault(&judged.said.appears, &judged.said.stands);
    // What no part of the box mends is no reason to look for one that does.
    if is_built || stands_in_all {
        return judged;
    }
    judged.sound = assemblies.iter().position(|assembly| is_sound(catalogue, onto, assembly));
    if judged.sound.is_none() {
        judged.beyond = further_sound(problem, onto, &first.setup);
        judged.sound = judged.beyond.as_ref().map(|_| assemblies.len());
    }
    judged
}

/// Whether there is a fault among what appears or stands.
pub fn has_a_fault(appears: &[Said], stands: &[SaidStill]) -> bool {
    a_fault_stands(stands) || appears.iter().any(|said| said.severity == Severity::Fault)
}

/// What `check` says of an assembly beside what it says of the other bike now.
pub fn said_of(catalogue: &Catalogue, onto: &Setup, assembly: &Assembly) -> SaidOfBoth {
    let replaced = replaces(catalogue, onto, assembly);
    said(catalogue, onto, &assembly.setup).but_of_lines_that_are_gone(replaced.as_ref())
}

/// Whether an assembly can be built as it is: it has no fault, new or old, no part of it is
/// damaged, and the spacers that it needs are there.
pub fn is_sound(catalogue: &Catalogue, onto: &Setup, assembly: &Assembly) -> bool {
    let SaidOfBoth { appears, stands, .. } = said_of(catalogue, onto, assembly);
    assembly.is_to_be_built() && !has_a_fault(&appears, &stands)
}

/// Whether one of these faults is in every assembly.
fn is_in_all(catalogue: &Catalogue, onto: &Setup, stands: &[SaidStill], assemblies: &[Assembly]) -> bool {
    if !a_fault_stands(stands) {
        return false;
    }
    let each: Vec<SaidOfBoth> =
        assemblies.iter().map(|assembly| said_of(catalogue, onto, assembly)).collect();
    let faults = stands.iter().filter(|still| still.said.severity == Severity::Fault);
    faults.map(|still| &still.said).any(|fault| {
        let is_it = |still: &SaidStill| still.said.code == fault.code && still.said.measure == fault.measure;
        each.iter().all(|said| said.stands.iter().any(is_it))
    })
}

/// Where none of the best can be built, the best further down that can, as far as spacers or
/// damage keep the others from it.
fn further_sound(problem: &Problem, onto: &Setup, first: &Setup) -> Option<Assembly> {
    let candidates = problem.best_to_be_built(BEST);
    let mut assemblies = candidates.iter().filter_map(|candidate| assembled(problem, candidate));
    let mut found = assemblies.find(|assembly| is_sound(problem.catalogue, onto, assembly))?;
    found.told_apart = problem.is_told_apart(first, &found.setup);
    Some(found)
}
