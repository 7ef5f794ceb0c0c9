//! `accept CODE "why"`: what was read and is accepted. Faults cannot be, nor damage.

use crate::catalogue::code::{self, Severity};
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::{Accepted, Setup};

/// The findings without the acknowledged advice and cautions, and with what is wrong with the acknowledgements; and what
/// was acknowledged.
pub fn acknowledged(setup: &Setup, findings: Vec<Finding>) -> (Vec<Finding>, Vec<Acknowledged>) {
    let about: Vec<Finding> =
        setup.accepted.iter().filter_map(|accepted| misplaced(accepted, &findings)).collect();
    let (mut standing, mut accepted) = (Vec::new(), Vec::new());
    for finding in findings {
        let reason = setup.accepted.iter().find(|accepted| accepted.code.value == finding.code.name);
        match reason.filter(|_| can_be(&finding)) {
            Some(reason) => accepted.push(Acknowledged { finding, why: reason.why.value.clone() }),
            None => standing.push(finding),
        }
    }
    standing.extend(about);
    (standing, accepted)
}

/// Whether a finding can be accepted: no fault, and nothing that is said until it is gone.
fn can_be(finding: &Finding) -> bool {
    finding.severity != Severity::Fault && finding.code.acceptable
}

fn misplaced(accepted: &Accepted, findings: &[Finding]) -> Option<Finding> {
    let name = &accepted.code.value;
    let mut found = findings.iter().filter(|finding| finding.code.name == name).peekable();
    let (code, message) = if found.peek().is_none() {
        (&code::ACCEPT_UNUSED, format!("`{name}` is accepted, and nothing of the kind is found."))
    } else if found.all(|finding| finding.severity == Severity::Fault) {
        (&code::ACCEPT_FAULT, format!("`{name}` is a fault: accepting it does not make it safe."))
    } else if code::find(name).is_some_and(|code| !code.acceptable) {
        (&code::ACCEPT_FAULT, format!("`{name}` cannot be accepted: it is said until it is gone."))
    } else {
        return None;
    };
    Some(Finding::new(code, message).at(accepted.code.span))
}
