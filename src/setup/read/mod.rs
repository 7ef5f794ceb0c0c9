//! From text to a setup: every fault of a file at once, each with its place and what to do.
//!
//! The walk follows the catalogue's shelves, so it knows the grammar of measures, groups and named things, but
//! not a single measure by name. It never stops early: what can be read is read.

mod broken;
mod carried;
mod conflict;
mod context;
mod group;
mod mark;
mod place;
mod records;
mod successive;
pub mod text_conflict;
mod top;
mod torque;
mod versions;
mod wrench;

pub use carried::without_places;
pub use conflict::{BOTH_CAUTIONS, is_of_cautions, over_a_block};
pub use context::{iso_date, nearest, syntax_finding};
pub use successive::Successive;

use crate::catalogue::{Catalogue, code};

use super::finding::Finding;
use super::model::Setup;
use super::syntax::{self, Document, SyntaxFault};

/// What came out of a file: the setup as far as it could be read, and every finding.
#[derive(Clone, Debug)]
pub struct Read {
    /// The setup; none when the text holds neither `setup` nor `found`.
    pub setup: Option<Setup>,
    /// What is wrong with the text, in the order of the text.
    pub findings: Vec<Finding>,
}

impl Read {
    /// Whether any finding is a fault.
    pub fn has_fault(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == crate::catalogue::code::Severity::Fault)
    }
}

/// Reads a setup or an as-found sheet. `base` is the setup a sheet belongs to, whose instruments it inherits.
pub fn read(catalogue: &Catalogue, bytes: &[u8], base: Option<&Setup>) -> Read {
    let (document, faults) = syntax::parse(bytes);
    of_document(catalogue, bytes, (base, false), &document, faults)
}

/// Reads one version of a file that is to be merged. An as-found sheet may name instruments of its setup, of which another
/// version may be the right one, or none is at hand: such a name is no fault here. What was read with an instrument that
/// `base` does not have has as good as no half-width, so that nothing is taken for within reading that may not be.
pub fn read_version(catalogue: &Catalogue, bytes: &[u8], base: Option<&Setup>) -> Read {
    let (document, faults) = syntax::parse(bytes);
    of_document(catalogue, bytes, (base, true), &document, faults)
}

/// `elsewhere`: whether a sheet's instruments may stand in a setup that is not at hand.
fn of_document(
    catalogue: &Catalogue,
    bytes: &[u8],
    (base, elsewhere): (Option<&Setup>, bool),
    document: &Document,
    faults: Vec<SyntaxFault>,
) -> Read {
    let source = std::str::from_utf8(bytes).unwrap_or_default();
    let unresolved = text_conflict::findings(source, !faults.is_empty());
    if !unresolved.is_empty() {
        return Read { setup: None, findings: unresolved };
    }
    let mut context = context::Context::new(catalogue, source, base);
    context.elsewhere = elsewhere;
    context.garbled = !faults.is_empty();
    // Too deep a file is refused: what stands above its 64th level is a fragment, and says nothing reliable.
    let refused = faults.iter().any(|fault| fault.kind == syntax::SyntaxFaultKind::TooDeep);
    let mut setup = if refused { None } else { top::file(&mut context, document) };
    let is_undecided = context.findings.iter().any(|finding| finding.code == &code::UNRESOLVED_CONFLICT);
    if let Some(setup) = setup.as_mut().filter(|_| is_undecided) {
        setup.versions = versions::of(catalogue, source, (base, elsewhere), document);
    }
    let mut findings = context.findings;
    broken::keep_fresh(&mut findings, &broken::heads(document));
    findings.extend(faults.into_iter().map(context::syntax_finding));
    findings.sort_by_key(|finding| finding.span.map(|span| span.start));
    Read { setup, findings }
}
