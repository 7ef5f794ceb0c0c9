//! `torque`: a range for a joint, with its ceilings, cautions and what was last applied.

use crate::catalogue::code;
use crate::catalogue::word;
use crate::metrology::unit::Unit;

use super::super::model::{Kind, Setup, Written};
use super::super::span::Span;
use super::super::syntax::{Argument, Node, Value};
use super::super::torque::{Applied, Ceiling, Torque, TorqueFigure, TorqueRange};
use super::context::Context;
use super::{conflict, group, records, wrench};

/// Beyond anything on a bicycle, in N·m (common practice, no source).
const HIGHEST: f64 = 150.0;

/// Reads one `torque` node.
pub fn torque(context: &mut Context, setup: &mut Setup, node: &Node) {
    let earlier = context.findings.len();
    context.properties(node, word::TORQUE.properties);
    context.at_most(node, 3);
    let Some(joint) = context
        .text(node, 0, "the joint's name in quotes")
        .and_then(|written| records::joint_name(context, written))
    else {
        return;
    };
    // A sheet says what was applied; the range is the setup's.
    let is_bare = setup.kind == Kind::Found && node.arguments.len() == 1;
    let range = if is_bare { None } else { range(context, node, &joint.value) };
    let mut torque = Torque {
        range,
        tool: context.text_property(node, "tool").map(|written| written.value),
        thread: context.text_property(node, "thread"),
        class: class(context, node),
        factor: factor(context, node),
        ceilings: Vec::new(),
        slips_in_a_crash: None,
        applied: None,
        cautions: Vec::new(),
        joint,
    };
    let note_place = format!("torque.{}", torque.joint.value);
    for child in context.children(node, word::TORQUE.children) {
        match &*child.name {
            "ceiling" => ceiling(context, &mut torque, child),
            "slips-in-a-crash" => slips(context, &mut torque, child),
            "applied" => applied(context, &mut torque, child),
            "caution" => caution(context, &mut torque, child),
            _ => group::note(context, setup, &note_place, child),
        }
    }
    // Until somebody decides, both are to be heeded.
    for version in conflict::on_both_sides(node, word::CAUTION.name) {
        caution(context, &mut torque, version);
    }
    let mut told = node.children.iter().chain(conflict::on_both_sides(node, word::APPLIED.name));
    if is_bare && torque.applied.is_none() && !told.any(|child| &*child.name == word::APPLIED.name) {
        let message = format!("The torque of `{}` does not say what was applied.", torque.joint.value);
        context.find(&code::NO_VALUE, node.span, message).help =
            "Write for instance: torque \"stem-face\" { applied 4.5 }.".to_owned();
    }
    // Whatever is wrong inside is about this joint: what it hides may be a limit.
    for finding in &mut context.findings[earlier..] {
        finding.measure.get_or_insert_with(|| torque.joint.value.clone());
    }
    if setup.torque(&torque.joint.value).is_some() {
        let message = format!("The torque of `{}` stands twice.", torque.joint.value);
        context.find(&code::DUPLICATE_NAME, torque.joint.span, message).measure =
            Some(torque.joint.value.clone());
        // Nobody knows which of the two holds, so neither does.
        if let Some(first) = setup.torques.iter_mut().find(|first| first.joint.value == torque.joint.value) {
            first.range = None;
            first.applied = None;
        }
        return;
    }
    setup.torques.push(torque);
}

fn range(context: &mut Context, node: &Node, joint: &str) -> Option<Written<TorqueRange>> {
    let about = Some(joint.to_owned());
    let (Some(from), Some(to)) = (node.arguments.get(1), node.arguments.get(2)) else {
        let span = node.arguments.get(1).map_or(node.span, |argument| argument.span);
        context
            .find(
                &code::TORQUE_SINGLE_FIGURE,
                span,
                format!("The torque of `{joint}` is not a range from–to."),
            )
            .measure = about;
        return None;
    };
    let span = Span { start: from.span.start, end: to.span.end };
    if from.annotation != to.annotation {
        let message = format!("The two figures of `{joint}` do not carry the same unit.");
        let finding = context.find(&code::MIXED_UNITS, span, message);
        finding.measure = about;
        "Write the unit before both: (in-lb)35 (in-lb)45.".clone_into(&mut finding.help);
        return None;
    }
    let low = figure(context, from, joint)?;
    let high = figure(context, to, joint)?;
    if (low.newton_metres() - high.newton_metres()).abs() < crate::metrology::NEGLIGIBLE {
        let message = format!("The torque of `{joint}` is one figure written twice, not a range from–to.");
        context.find(&code::TORQUE_SINGLE_FIGURE, span, message).measure = about;
        return None;
    }
    let message = format!(
        "The range of `{joint}` runs from {}{} down to {}{}.",
        low.digits,
        low.unit.sign(),
        high.digits,
        high.unit.sign()
    );
    let range = TorqueRange::new(low, high);
    if range.is_none() {
        context.find(&code::TORQUE_INVERTED, span, message).measure = about;
    }
    range.map(|value| Written { value, span })
}

/// A property as a torque figure.
pub fn figure_property(context: &mut Context, node: &Node, key: &str) -> Option<Written<TorqueFigure>> {
    let property = node.property(key)?;
    let argument = Argument {
        annotation: property.annotation.clone(),
        value: property.value.clone(),
        span: property.span,
        value_span: property.value_span,
    };
    figure(context, &argument, &node.name).map(|value| Written { value, span: property.span })
}

fn figure(context: &mut Context, argument: &Argument, joint: &str) -> Option<TorqueFigure> {
    let unit = context.unit(argument.annotation.as_deref(), Unit::NewtonMetre, argument.span)?;
    let digits = argument.value_span.text(context.source).to_owned();
    let Value::Number(value) = argument.value else {
        context
            .find(&code::NOT_A_NUMBER, argument.span, format!("A torque is a number, not {digits}."))
            .measure = Some(joint.to_owned());
        return None;
    };
    let figure = TorqueFigure { value, unit, digits };
    let plain = figure.newton_metres();
    if !(plain > 0.0 && plain <= HIGHEST) {
        let message = format!("{}{} is no torque of a bicycle's joint.", figure.digits, unit.sign());
        context.find(&code::TORQUE_OFF_SPAN, argument.span, message).measure = Some(joint.to_owned());
        return None;
    }
    Some(figure)
}

/// `class=8.8` is a number to the grammar and a name to a mechanic: the digits as typed are kept.
fn class(context: &mut Context, node: &Node) -> Option<Written<String>> {
    let property = node.property("class")?;
    let value = match &property.value {
        Value::Text(text) => text.to_string(),
        _ => property.value_span.text(context.source).to_owned(),
    };
    Some(Written { value, span: property.span })
}

/// The torque factor K; the span is common practice, no source.
fn factor(context: &mut Context, node: &Node) -> Option<Written<f64>> {
    let written = context.number_property(node, "k")?;
    if (0.05..=0.5).contains(&written.value) {
        return Some(written);
    }
    let message = format!("A torque factor of {} lies outside 0.05 to 0.5.", written.value);
    context.find(&code::OFF_SPAN, written.span, message);
    None
}

fn ceiling(context: &mut Context, torque: &mut Torque, node: &Node) {
    context.properties(node, word::CEILING.properties);
    context.children(node, word::CEILING.children);
    context.at_most(node, 2);
    let Some(part) = context.text(node, 0, "the part's name in quotes") else { return };
    let Some(argument) = node.arguments.get(1) else {
        context.find(&code::NO_VALUE, node.span, format!("The ceiling of \"{}\" has no figure.", part.value));
        return;
    };
    if let Some(limit) = figure(context, argument, &torque.joint.value) {
        torque.ceilings.push(Ceiling { part, limit: Written { value: limit, span: argument.span } });
    }
}

fn slips(context: &mut Context, torque: &mut Torque, node: &Node) {
    context.properties(node, word::SLIPS.properties);
    context.children(node, word::SLIPS.children);
    context.at_most(node, 0);
    torque.slips_in_a_crash = Some(node.span);
}

fn applied(context: &mut Context, torque: &mut Torque, node: &Node) {
    context.properties(node, word::APPLIED.properties);
    context.children(node, word::APPLIED.children);
    context.at_most(node, 1);
    let read = context.date_property(node, "read");
    let with = wrench::with(context, node).map(|instrument| instrument.name);
    let Some(argument) = node.arguments.first() else {
        context.find(&code::NO_VALUE, node.span, "`applied` has no figure.");
        return;
    };
    let Some(figure) = figure(context, argument, &torque.joint.value) else { return };
    if torque.applied.is_some() {
        context.find(&code::DUPLICATE_MEASURE, node.span, "`applied` stands twice; the last one counts.");
    }
    torque.applied = Some(Applied { figure: Written { value: figure, span: argument.span }, read, with });
}

fn caution(context: &mut Context, torque: &mut Torque, node: &Node) {
    context.properties(node, word::CAUTION.properties);
    context.children(node, word::CAUTION.children);
    context.at_most(node, 1);
    // A blank one cautions nobody: the torque then stands without, and a rule says so.
    if let Some(text) = context.text(node, 0, "a text in quotes").filter(|text| !text.value.trim().is_empty())
    {
        torque.cautions.push(text);
    }
}
