//! `accept CODE "why"`: what was read and is accepted. Faults cannot be, nor damage.

use crate::catalogue::code::{self, Severity};
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::{Accepted, Setup};

/// The findings without the acknowledged advice and cautions, and with what is wrong with the acknowledgements; and what
/// was acknowledged. Of `unasked` codes nobody looked whether there is anything to accept.
pub fn acknowledged(
    setup: &Setup,
    findings: Vec<Finding>,
    unasked: &[&code::Code],
) -> (Vec<Finding>, Vec<Acknowledged>) {
    let is_asked = |accepted: &&Accepted| unasked.iter().all(|code| code.name != accepted.code.value);
    let asked = setup.accepted.iter().filter(is_asked);
    let about: Vec<Finding> = asked.filter_map(|accepted| misplaced(accepted, &findings)).collect();
    let (mut standing, mut accepted) = (Vec::new(), Vec::new());
    for finding in findings {
        match reason(setup, &finding).filter(|_| can_be(&finding)) {
            Some(reason) => accepted.push(Acknowledged { finding, why: reason.why.value.clone() }),
            None => standing.push(finding),
        }
    }
    standing.extend(about);
    (standing, accepted)
}

/// The acknowledgement that covers a finding: one that names its measure before one of all of its kind.
fn reason<'s>(setup: &'s Setup, finding: &Finding) -> Option<&'s Accepted> {
    let covering = setup.accepted.iter().filter(|accepted| covers(accepted, finding));
    covering.min_by_key(|accepted| accepted.on.is_none())
}

fn covers(accepted: &Accepted, finding: &Finding) -> bool {
    accepted.covers(finding.code.name, finding.measure.as_deref())
}

/// Whether a finding can be accepted: no fault, and nothing that is said until it is gone.
fn can_be(finding: &Finding) -> bool {
    finding.severity != Severity::Fault && finding.code.acceptable
}

fn misplaced(accepted: &Accepted, findings: &[Finding]) -> Option<Finding> {
    let name = &accepted.code.value;
    let mut found = findings.iter().filter(|finding| covers(accepted, finding)).peekable();
    let (code, message) = if found.peek().is_none() {
        return Some(unused(accepted, findings));
    } else if found.all(|finding| finding.severity == Severity::Fault) {
        (&code::ACCEPT_FAULT, format!("`{name}` is a fault: accepting it does not make it safe."))
    } else if code::find(name).is_some_and(|code| !code.acceptable) {
        (&code::ACCEPT_FAULT, format!("`{name}` cannot be accepted: it is said until it is gone."))
    } else {
        return None;
    };
    Some(Finding::new(code, message).at(accepted.code.span))
}

/// That there is nothing of the kind; where it is found elsewhere than the acknowledgement says, on what.
fn unused(accepted: &Accepted, findings: &[Finding]) -> Finding {
    let name = &accepted.code.value;
    let on = accepted.on.as_ref().map(|on| format!(" on `{}`", on.value)).unwrap_or_default();
    let message = format!(
        "`{name}` is accepted{on}, and nothing of the kind is found{}.",
        if on.is_empty() { "" } else { " there" }
    );
    let unused = Finding::new(&code::ACCEPT_UNUSED, message).at(accepted.code.span);
    let elsewhere = findings.iter().filter(|finding| finding.code.name == name);
    let elsewhere: Vec<String> =
        elsewhere.filter_map(|finding| Some(format!("`{}`", finding.measure.as_ref()?))).collect();
    if on.is_empty() || elsewhere.is_empty() {
        return unused;
    }
    unused.help(format!("It is found on {}: name that, or remove the `accept`.", elsewhere.join(", ")))
}
