//! Witness marks: on joints the bike does not have, drawn elsewhere than recorded, or not drawn at all.

use std::iter;

use crate::catalogue::code;
use crate::catalogue::joint;
use crate::catalogue::{Catalogue, MeasureId, Weight};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::finding::Finding;
use crate::setup::model::{InConflict, Mark, Setup, Value};
use crate::setup::span::Span;

use super::Context;

/// Marks on joints the bike does not have, stale marks, and positions without any mark on a joint that travel opens.
pub fn marks(context: &Context) -> Vec<Finding> {
    of_marks(context.catalogue, context.setup)
}

/// The first drawn position that no longer agrees with the recorded one (`E_n` > 1 with the uncertainties of both),
/// in words. Both stand on the setup's own floor, which cancels between them.
pub fn staleness(catalogue: &Catalogue, setup: &Setup, mark: &Mark) -> Option<String> {
    mark.drawn.iter().find_map(|(id, drawn)| {
        let now = setup.recorded(id)?;
        let (was, is) = match (&drawn.value, &now.value) {
            (Value::Reading(drawn), Value::Reading(now)) => {
                let expanded = drawn.expanded_uncertainty().hypot(now.expanded_uncertainty());
                if judge(now.value() - drawn.value(), expanded) != Verdict::Moved {
                    return None;
                }
                (drawn.in_words(), now.in_words())
            }
            (Value::Choice(drawn), Value::Choice(now)) if drawn != now => {
                ((*drawn).to_owned(), (*now).to_owned())
            }
            _ => return None,
        };
        Some(format!("drawn at {} {was}, recorded is {is}", catalogue.title(id)))
    })
}

fn of_marks(catalogue: &Catalogue, setup: &Setup) -> Vec<Finding> {
    let mut findings = Vec::new();
    for mark in &setup.marks {
        let name = &mark.name.value;
        if let Some(on) = mark.on.as_ref().filter(|on| !setup.has_joint(&on.value)) {
            let message =
                format!("Mark {name} is on the {}, which this bike does not have.", joint::title(&on.value));
            findings.push(
                Finding::new(&code::MARK_WITHOUT_JOINT, message).at(on.span).about(format!("mark.{name}")),
            );
        } else if let Some(why) = staleness(catalogue, setup, mark) {
            let message = format!("Mark {name} is stale: {why}.");
            findings.push(
                Finding::new(&code::STALE_MARK, message).at(mark.name.span).about(format!("mark.{name}")),
            );
        }
    }
    findings.extend(unmarked(catalogue, setup));
    findings
}

/// Joints opened for travel whose recorded positions no mark shows: all in one finding, at the first of them, but each
/// that the file accepts by name in one of its own, so that the others are told still.
fn unmarked(catalogue: &Catalogue, setup: &Setup) -> Vec<Finding> {
    let mut without: Vec<(String, &MeasureId, Span)> = Vec::new();
    let mut findings = Vec::new();
    // Figures of the parts themselves need no mark: what turns or slides does.
    let positions = setup.readings.iter().filter_map(|(id, recorded)| {
        let measure = catalogue.measure(id.row);
        let position = measure.weight != Weight::Record && !measure.is_of_the_part();
        let joint = setup.joint_of(catalogue, id).filter(|_| position)?;
        Some((joint, id, recorded.span))
    });
    let positions: Vec<(&str, &MeasureId, Span)> = positions.collect();
    for name in joint::names() {
        let Some((_, id, span)) = positions.iter().find(|(joint, ..)| joint == name) else { continue };
        let travels = joint::find(name).is_some_and(|(_, joint)| joint.opened_for_travel);
        let in_conflict = |one: &InConflict| {
            one.about.starts_with("mark.") && one.joint.as_deref().is_none_or(|joint| joint == name)
        };
        let is_marked = setup.marks_on(name).next().is_some() || setup.in_conflict.iter().any(in_conflict);
        if !travels || is_marked {
            continue;
        }
        let held = positions.iter().filter(|(joint, ..)| joint == name).map(|(_, id, _)| catalogue.path(id));
        let own = iter::once(name.clone()).chain(held).find(|about| accepts_by_name(setup, about));
        match own {
            Some(about) => findings.push(without_mark(&joint::title(name), *span, about)),
            None => without.push((joint::title(name), id, *span)),
        }
    }
    if let Some((_, id, span)) = without.first() {
        let titles: Vec<&str> = without.iter().map(|(title, ..)| title.as_str()).collect();
        findings.push(without_mark(&titles.join(", "), *span, catalogue.path(id)));
    }
    findings
}

/// Whether the file accepts that a joint, or what it holds, has no mark: of that one and not of all.
fn accepts_by_name(setup: &Setup, about: &str) -> bool {
    let code = code::POSITION_WITHOUT_MARK.name;
    setup.accepted.iter().any(|accepted| accepted.on.is_some() && accepted.covers(code, Some(about)))
}

fn without_mark(titles: &str, span: Span, about: String) -> Finding {
    let message = format!("No mark shows where these stood: {titles}.");
    Finding::new(&code::POSITION_WITHOUT_MARK, message).at(span).about(about)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    fn codes(text: &str) -> Vec<String> {
        let read = read(Catalogue::standard(), text.as_bytes(), None);
        let setup = read.setup.expect("a setup");
        of_marks(Catalogue::standard(), &setup)
            .iter()
            .map(|finding| format!("{} {}", finding.code.name, finding.measure.clone().unwrap_or_default()))
            .collect()
    }

    #[test]
    fn a_mark_on_a_shared_clamp_belongs_to_the_lever() {
        let text = r#"setup "a" format=1 {
            left { brake-lever { from-tip 168 }; shifter { mount shared slot=inner; angle 41 } }
            mark "L1" on="left.brake-lever" { drawn from-tip=168 }
            mark "L2" on="left.shifter"
            mark "R1" on="right.lockout"
        }"#;
        assert_eq!(codes(text), ["mark-without-joint mark.L2", "mark-without-joint mark.R1"]);
    }

    #[test]
    fn stale_and_missing_marks_are_found() {
        let text = r#"setup "a" format=1 {
            stem { length 50 }
            bar { roll 0; offset 0 }
            left { brake-lever { from-tip 168 } }
            mark "L1" on="left.brake-lever" { drawn from-tip=160 }
        }"#;
        // The stem's length is the part's own: no mark can show it. The bar's roll has none and needs one.
        assert_eq!(codes(text), ["stale-mark mark.L1", "position-without-mark bar.roll"]);
    }
}
