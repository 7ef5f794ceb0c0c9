//! The range that every part of a joint allows.

use std::cmp::Ordering;

use crate::catalogue::{code, joint};
use crate::metrology::NEGLIGIBLE;
use crate::setup::finding::Finding;
use crate::setup::torque::{Ceiling, Torque};

use super::Range;

/// The allowed range of a joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Allowed<'a> {
    /// In N·m.
    pub range: Range,
    /// The ceiling that cuts the joint's own range, where one is strictly lower.
    pub limited_by: Option<&'a Ceiling>,
}

/// A ceiling below the whole of the joint's own range: nothing is allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conflict<'a> {
    /// The ceiling.
    pub ceiling: &'a Ceiling,
}

/// The joint's range cut by every ceiling, in N·m; none if the file gives no range.
pub fn allowed(torque: &Torque) -> Option<Result<Allowed<'_>, Conflict<'_>>> {
    let written = &torque.range.as_ref()?.value;
    let (from, to) = (written.from().newton_metres(), written.to().newton_metres());
    let lowest = torque.ceilings.iter().min_by(|first, second| limit(first).total_cmp(&limit(second)));
    let limited_by = lowest.filter(|ceiling| limit(ceiling) < to - NEGLIGIBLE);
    let top = limited_by.map_or(to, limit);
    Some(match (Range::new(from, top), limited_by) {
        (Some(range), _) => Ok(Allowed { range, limited_by }),
        (None, Some(ceiling)) => Err(Conflict { ceiling }),
        (None, None) => Ok(Allowed { range: Range { from, to }, limited_by: None }),
    })
}

fn limit(ceiling: &Ceiling) -> f64 {
    ceiling.limit.value.newton_metres()
}

/// What is to be said of the range and of what was last applied.
pub fn findings(torque: &Torque) -> Vec<Finding> {
    match allowed(torque) {
        None => Vec::new(),
        Some(Err(conflict)) => vec![conflict_finding(torque, conflict)],
        Some(Ok(allowed)) => applied_finding(torque, &allowed).into_iter().collect(),
    }
}

fn conflict_finding(torque: &Torque, conflict: Conflict<'_>) -> Finding {
    let name = &torque.joint.value;
    let begins = torque.range.as_ref().map(|range| range.value.from().said()).unwrap_or_default();
    let ceiling = conflict.ceiling;
    let message = format!(
        "The {} asks for at least {begins}, and the limit of \"{}\" is {}.",
        joint::title(name),
        ceiling.part.value,
        ceiling.limit.value.said()
    );
    Finding::new(&code::TORQUE_NO_RANGE, message).at(ceiling.limit.span).about(name)
}

fn applied_finding(torque: &Torque, allowed: &Allowed<'_>) -> Option<Finding> {
    let applied = torque.applied.as_ref()?;
    let written = torque.range.as_ref()?;
    let said = applied.figure.value.said();
    let (code, message) = match allowed.range.place_of(applied.figure.value.newton_metres()) {
        Ordering::Greater => {
            let limit = match allowed.limited_by {
                Some(ceiling) => {
                    format!("{}, the limit of \"{}\"", ceiling.limit.value.said(), ceiling.part.value)
                }
                None => written.value.to().said(),
            };
            (&code::TORQUE_APPLIED_ABOVE, format!("{said} was last applied, above {limit}."))
        }
        Ordering::Less => {
            let low = written.value.from().said();
            (&code::TORQUE_APPLIED_BELOW, format!("{said} was last applied, below {low}."))
        }
        Ordering::Equal => return None,
    };
    Some(Finding::new(code, message).at(applied.figure.span).about(&torque.joint.value))
}
