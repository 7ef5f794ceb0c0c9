//! `mark`: a line across a joint, where it was drawn and how it was found.

use std::slice;

use chrono::NaiveDate;

use crate::catalogue::joint::{is_control_angle, rotation};
use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{MeasureId, code, word};

use super::super::model::{Kind, Mark, MarkState, Recorded, Setup, Written};
use super::super::syntax::{Argument, Node};
use super::context::{Context, nearest};
use super::group::{self, Common};
use super::records::joint_name;

/// The widest line that still tells where it was, in mm: common practice, no source.
const WIDEST_LINE: f64 = 5.0;

/// Half way round a bar of 22.2 mm where the levers sit, π·22.2/2 mm: on thicker tubes no line is measured further apart.
const HALF_WAY_ROUND: f64 = 35.0;

/// What slides, a post in its frame, slides no further than it is long: common practice, no source.
const FURTHEST_APART: f64 = 500.0;

/// A witness mark.
pub fn mark(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::MARK.properties);
    context.at_most(node, 2);
    let Some(name) = context.filled(node, 0, "a name in quotes") else { return };
    let has_on = node.property("on").is_some();
    let on = context.text_property(node, "on").and_then(|written| joint_name(context, written));
    let known = context.base.and_then(|base| base.mark(&name.value)).and_then(|mark| mark.on.as_ref());
    let joint = on.as_ref().or(known).map(|on| on.value.clone());
    let state = mark_state(context, node, joint.as_deref());
    if let Some(state) = state.as_ref().filter(|_| setup.kind == Kind::Setup) {
        let message = format!("How the mark \"{}\" was found is told on an as-found sheet.", name.value);
        context.find(&code::OUT_OF_PLACE, state.span, message);
    }
    let seen_on = seen_on(context, setup, node, state.is_some());
    // A mistyped name would let a broken mark pass unseen.
    if let Some(base) = context.base
        && !has_on
        && !base.marks.iter().any(|known| known.name.value == name.value)
    {
        let message = format!("The setup has no mark \"{}\".", name.value);
        context.unknown(name.span, message, &name.value, base.marks.iter().map(|known| &*known.name.value));
    }
    // What is wrong with how a known mark was found is said already.
    let known = context.base.is_some_and(|base| base.marks.iter().any(|one| one.name.value == name.value));
    let is_told = known && (node.arguments.len() > 1 || node.property("off").is_some());
    if !has_on && state.is_none() && !is_told {
        context
            .find(
                &code::UNKNOWN_JOINT,
                node.span,
                format!("The mark \"{}\" does not say which joint it crosses.", name.value),
            )
            .help = "Write on=\"left.brake-lever\", or how it was found: aligned, broken, missing, off=0.8."
            .to_owned();
    }
    let mut mark = Mark {
        colour: context.text_property(node, "colour").map(|written| written.value),
        width: line_width(context, node),
        name,
        on,
        drawn: Vec::new(),
        roll: None,
        drawn_on: None,
        reads: None,
        state,
        seen_on,
    };
    let note_place = format!("mark.{}", mark.name.value);
    for child in context.children(node, word::MARK.children) {
        match &*child.name {
            "drawn" => {
                if setup.kind == Kind::Found {
                    let message =
                        "Where a mark was drawn stands in the setup; a sheet says how it was found.";
                    context.find(&code::OUT_OF_PLACE, child.span, message);
                } else if is_again(node, child) {
                    context.find(&code::DUPLICATE_PART, child.span, "`drawn` stands twice on this mark.");
                    continue;
                }
                drawn(context, &mut mark, child);
            }
            "reads" => {
                if is_again(node, child) {
                    context.find(&code::DUPLICATE_PART, child.span, "`reads` stands twice on this mark.");
                }
                context.properties(child, word::READS.properties);
                context.at_most(child, 1);
                mark.reads = context.text(child, 0, "a text in quotes").map(|written| written.value);
            }
            _ => group::note(context, setup, &note_place, child),
        }
    }
    if setup.marks.iter().any(|earlier| earlier.name.value == mark.name.value) {
        context.find(
            &code::DUPLICATE_NAME,
            mark.name.span,
            format!("The mark \"{}\" stands twice.", mark.name.value),
        );
        return;
    }
    setup.marks.push(mark);
}

/// When it was found so, if not on the sheet's day.
fn seen_on(context: &mut Context, setup: &Setup, node: &Node, is_found: bool) -> Option<NaiveDate> {
    let property = node.property("read")?;
    if setup.kind == Kind::Setup || !is_found {
        let message = "`read` on a mark says when it was found as a sheet tells it.";
        context.find(&code::OUT_OF_PLACE, property.span, message).help =
            "When its line was drawn stands beside that: drawn from-tip=168 read=\"2026-05-02\".".to_owned();
    }
    context.date_property(node, "read").filter(|_| is_found)
}

/// Whether a node of the same word stands before this one.
fn is_again(parent: &Node, child: &Node) -> bool {
    let same = parent.children.iter().filter(|other| other.name == child.name);
    same.take_while(|other| other.span != child.span).next().is_some()
}

/// The line's width in mm.
fn line_width(context: &mut Context, node: &Node) -> Option<f64> {
    let Written { value, span } = context.number_property(node, "width")?;
    if value > 0.0 && value <= WIDEST_LINE {
        return Some(value);
    }
    let message = format!("A line is not {value} mm wide: more than 0 and at most {WIDEST_LINE}.");
    context.find(&code::OFF_SPAN, span, message);
    None
}

/// How far the halves of a line stand apart, in mm: across a joint that turns no further than half way round.
fn apart(context: &mut Context, node: &Node, joint: Option<&str>) -> Option<Written<MarkState>> {
    let Written { value, span } = context.number_property(node, "off")?;
    let slides = joint.is_some_and(|joint| rotation(joint).is_none());
    let furthest = if slides { FURTHEST_APART } else { HALF_WAY_ROUND };
    if value.abs() <= furthest {
        return Some(Written { value: MarkState::of_apart(value), span });
    }
    let why = if slides { "no part slides so far" } else { "35 is half way round" };
    let message = format!("Two halves of a line do not stand {value} mm apart: {why}.");
    context.find(&code::OFF_SPAN, span, message);
    None
}

fn mark_state(context: &mut Context, node: &Node, joint: Option<&str>) -> Option<Written<MarkState>> {
    let off = apart(context, node, joint);
    let Some(argument) = node.arguments.get(1) else { return off };
    if let Some(off) = off {
        let message = "A mark is found in one way: `off` says that its halves stand apart.";
        context.find(&code::TOO_MANY_VALUES, off.span, message).help =
            "Leave the word or the `off`.".to_owned();
        // Until that is mended the graver of the two is taken.
        return Some(off);
    }
    let written = context.text_of(argument, "How the mark was found")?;
    let state = match written.value.as_str() {
        "aligned" => MarkState::Aligned,
        "broken" => MarkState::Broken,
        "missing" => MarkState::Missing,
        "?" => {
            let message =
                group::left_open(&format!("mark {}", node.arguments[0].value_span.text(context.source)));
            context.find(&code::UNKNOWN_CHOICE, written.span, message).help = group::LEFT_OPEN.to_owned();
            return None;
        }
        other => {
            let message = format!("A mark is found aligned, broken or missing, not `{other}`.");
            let near = nearest(other, ["aligned", "broken", "missing"].into_iter());
            let finding = context.find(&code::UNKNOWN_CHOICE, written.span, message);
            if let Some(near) = near {
                finding.help = format!("Did you mean `{near}`?");
            }
            return None;
        }
    };
    Some(Written { value: state, span: written.span })
}

/// The positions a mark was drawn at: properties named as the measures its joint holds.
fn drawn(context: &mut Context, mark: &mut Mark, node: &Node) {
    let catalogue = context.catalogue;
    let joint = mark.on.as_ref().map(|on| &*on.value);
    let measures = || joint.into_iter().flat_map(|joint| catalogue.held_by(joint).iter().cloned());
    let lies_on_the_bar = measures().any(|(_, id)| is_control_angle(id.row));
    let roll = catalogue.measure(BAR_ROLL).word();
    if joint.is_some() {
        let own = measures().map(|(word, _)| word).chain(lies_on_the_bar.then_some(roll));
        let known: Vec<&str> = word::DRAWN.properties.iter().copied().chain(own).collect();
        context.properties(node, &known);
    }
    context.children(node, word::DRAWN.children);
    context.at_most(node, 0);
    let common = Common::of(context, node, None);
    mark.drawn_on = common.read;
    let mut at = |word: &str, id: &MeasureId| {
        let property = node.property(word)?;
        let argument = Argument {
            annotation: property.annotation.clone(),
            value: property.value.clone(),
            span: property.span,
            value_span: property.value_span,
        };
        let value = group::value(context, id, slice::from_ref(&argument), &common)?;
        Some(Recorded { value, span: property.span, node: property.span })
    };
    let positions: Vec<_> = measures().filter_map(|(word, id)| Some((id.clone(), at(word, &id)?))).collect();
    mark.roll = at(roll, &MeasureId::bike(BAR_ROLL)).filter(|_| lies_on_the_bar);
    mark.drawn.extend(positions);
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    fn codes(mark: &str) -> Vec<&'static str> {
        let text = format!("found \"rowan/race\" format=1 {{ mark \"L1\" on=\"left.brake-lever\" {mark} }}");
        let read = read(Catalogue::standard(), text.as_bytes(), None);
        read.findings.iter().map(|finding| finding.code.name).collect()
    }

    #[test]
    fn nothing_of_a_mark_is_ignored_silently() {
        for (mark, expected) in [
            ("aligned width=0.3", &[][..]),
            ("off=-0.8", &[][..]),
            // Half way round a bar of 22.2 mm is 34.9 mm; nobody measures two halves further apart.
            ("off=71", &["off-span"][..]),
            ("off=-1e300", &["off-span"][..]),
            ("aligned width=0", &["off-span"][..]),
            ("aligned width=-0.5", &["off-span"][..]),
            ("aligned off=3", &["too-many-values"][..]),
            // Where it was drawn, and only once, is the setup's to say.
            ("aligned { drawn from-tip=168 }", &["out-of-place"][..]),
            ("aligned { reads \"One.\"; reads \"Two.\" }", &["duplicate-part"][..]),
        ] {
            assert_eq!(codes(mark), expected, "{mark}");
        }
    }
}
