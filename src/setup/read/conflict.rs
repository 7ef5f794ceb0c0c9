//! `conflict`: what a merge could not decide. Both versions are told, none of them counts as recorded.

use crate::catalogue::code;
use crate::catalogue::joint;
use crate::catalogue::word;

use super::super::dated;
use super::super::model::{DAMAGE_NOTED, FORGOTTEN_NOTED, Note, OPENED_NOTED, RIDING_FORBIDDEN, Written};
use super::super::syntax::{Node, Text, Value};
use super::super::undecided::{InConflict, Undecided};
use super::context::Context;

/// What to do where both versions are whole torques: one of them alone loses what only the other changed.
const OVER_A_TORQUE: &str = "Each version of a torque is a whole block, and one of them alone loses what only the other \
                             changed, a lower ceiling, too. Write one block in place of the whole `conflict`, with what \
                             is true of both: of a torque the lower limit, every ceiling, and what was last applied; \
                             settle each by itself.";

/// The same of drawn marks.
const OVER_A_DRAWN_MARK: &str = "Each version of a mark is a whole block: keep the one that was drawn last in place of \
                                 the whole `conflict`. Two marks that only share a name both stay, one of them under \
                                 another name.";

/// The same of what a sheet saw of a mark.
const OVER_A_SEEN_MARK: &str = "Of what was seen of a line keep the worse of the two in place of the whole `conflict`, \
                                `broken` or `missing` before `off=` before `aligned`, unless somebody looked at it \
                                again since.";

/// What to do where a caution was changed in two ways: a word too many hurts nobody.
pub const BOTH_CAUTIONS: &str = "Of two cautions keep both: what stands between { } of either, in place of the whole \
                                 `conflict`, unless one replaces the other.";

/// Whether a conflict of this name is over two cautions.
pub fn is_of_cautions(about: &str) -> bool {
    about.ends_with(".caution")
}

/// What to do about a conflict of this name, if it is over a whole block, a torque or a mark: of a mark by whether a version
/// tells how it was drawn. Of a torque what stands in it may be in conflict alone.
pub fn over_a_block(about: &str, is_drawn: bool) -> Option<&'static str> {
    if about.starts_with("mark.") {
        return Some(if is_drawn { OVER_A_DRAWN_MARK } else { OVER_A_SEEN_MARK });
    }
    about.strip_prefix("torque.").and_then(joint::find).map(|_| OVER_A_TORQUE)
}

/// Reads one `conflict` node: always a finding, never a reading.
pub fn conflict(context: &mut Context, node: &Node) {
    context.properties(node, word::CONFLICT.properties);
    context.at_most(node, 1);
    let Some(about) = context.text(node, 0, "what it is about, in quotes") else { return };
    notes(context, node, &about.value);
    measures(context, node, &about.value);
    record(context, node, &about.value);
    let mut versions: Vec<String> = Vec::new();
    let mut on_floors = false;
    for side in context.children(node, word::CONFLICT.children) {
        context.properties(side, word::CONFLICT_SIDE.properties);
        context.at_most(side, 0);
        let read = context.date_property(side, "read").map(|day| day.to_string());
        let by = context.text_property(side, "by").map(|by| by.value);
        let from = context.text_property(side, "from").map(|from| from.value);
        let floor = context.text_property(side, "floor").map(|floor| format!("floor: {}", floor.value));
        on_floors |= floor.is_some();
        versions.push(version(context, side, [from, read, by, floor]));
    }
    let message = if versions.is_empty() {
        format!("A `conflict` over `{}` holds neither version.", about.value)
    } else {
        format!("Two versions of `{}`: {}.", about.value, versions.join("; "))
    };
    let finding = context.find(&code::UNRESOLVED_CONFLICT, about.span, message);
    if versions.is_empty() {
        "Read it again and write that in place of the whole `conflict`; what either side had, git still knows."
            .clone_into(&mut finding.help);
        finding.measure = Some(about.value);
        return;
    }
    if is_of_cautions(&about.value) {
        BOTH_CAUTIONS.clone_into(&mut finding.help);
    }
    let mut versions = node.children.iter().flat_map(|side| &side.children);
    let is_drawn = versions.any(|version| version.child(word::DRAWN.name).is_some());
    if let Some(over_a_block) = over_a_block(&about.value, is_drawn) {
        finding.help = format!("Measure if in doubt. {over_a_block}");
    }
    finding.measure = Some(about.value);
    if on_floors {
        finding.help =
            "An angle stands by the floor it was read on: read it again on the floor that the file records, \
                        or keep that floor with it; then keep what stands between { } of one of the two in place of the \
                        whole `conflict`."
                .to_owned();
    }
}

/// Keeps every measure of both sides, a leaf or the leaves of a group, so that it counts as nothing meanwhile.
fn measures(context: &mut Context, node: &Node, about: &str) {
    let around = about.rsplit_once('.').map_or("", |(around, _)| around);
    for side in &node.children {
        for version in &side.children {
            measures_inside(context, version, around, side);
        }
    }
}

fn measures_inside(context: &mut Context, node: &Node, around: &str, side: &Node) {
    let path = if around.is_empty() { node.name.to_string() } else { format!("{around}.{}", node.name) };
    for property in &node.properties {
        let value = property.value_span.text(context.source);
        hold(context, &format!("{path}.{}", property.key), side, value.to_owned());
    }
    let values: Vec<&str> =
        node.arguments.iter().map(|argument| argument.span.text(context.source)).collect();
    hold(context, &path, side, values.join(" "));
    for child in &node.children {
        measures_inside(context, child, &path, side);
    }
}

fn hold(context: &mut Context, path: &str, side: &Node, value: String) {
    let Some(id) = context.catalogue.find(path) else { return };
    let undecided = context.measures_in_conflict.entry(id).or_default();
    *undecided.version(&side.name) = Some(value);
    if let Some(from) = source(side) {
        *undecided.source(&side.name) = Some(from);
    }
}

/// Where a side of a conflict comes from.
fn source(side: &Node) -> Option<String> {
    match &side.property("from")?.value {
        Value::Text(from) => Some(from.to_string()),
        _ => None,
    }
}

/// Keeps a mark, or a torque of which more than words is in conflict, so that it is told and counts as nothing meanwhile.
fn record(context: &mut Context, node: &Node, about: &str) {
    let Some((about, joint)) = record_of(about) else { return };
    let mut versions = Undecided::default();
    let mut on = joint.map(str::to_owned);
    for side in &node.children {
        let texts = side.children.iter().map(|version| as_typed(context, version));
        let text = Some(texts.collect::<Vec<_>>().join(", ")).filter(|text| !text.is_empty());
        *versions.version(&side.name) = text;
        *versions.source(&side.name) = source(side);
        for property in side.children.iter().flat_map(|version| &version.properties) {
            if let ("on", Value::Text(crossed)) = (&*property.key, &property.value) {
                on.get_or_insert_with(|| crossed.to_string());
            }
        }
    }
    context.records_in_conflict.push(InConflict { about: about.to_owned(), joint: on, versions });
}

/// The mark or the torque that a conflict is about, of a torque with its joint; none where it is about what is said of it.
fn record_of(about: &str) -> Option<(&str, Option<&str>)> {
    let is_words = |word: &str| about.ends_with(&format!(".{word}"));
    if is_words(word::NOTE.name) || is_words(word::CAUTION.name) {
        return None;
    }
    if about.starts_with("mark.") {
        return Some((about, None));
    }
    let rest = about.strip_prefix("torque.")?;
    let inside = |name: &&String| rest.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('.'));
    let joint = match joint::find(rest) {
        Some(_) => rest,
        None => joint::names().iter().find(inside)?,
    };
    Some((&about[.."torque.".len() + joint.len()], Some(joint)))
}

/// A version in short: of a mark how it was found or drawn, of a torque its figures.
fn as_typed(context: &Context, node: &Node) -> String {
    let typed = |node: &Node| {
        let text = node.whole.text(context.source).split_whitespace();
        text.collect::<Vec<_>>().join(" ")
    };
    if !matches!(&*node.name, "mark" | "torque") {
        return typed(node);
    }
    let figures: Vec<&str> =
        node.arguments.iter().skip(1).map(|argument| argument.span.text(context.source)).collect();
    let off = node.properties.iter().filter(|property| &*property.key == "off");
    let off = off.map(|off| format!("off={}", off.value_span.text(context.source)));
    let told = |child: &&Node| matches!(&*child.name, "drawn" | "applied" | "ceiling");
    let inside = node.children.iter().filter(told).map(typed);
    let all = [figures.join(" ")].into_iter().chain(off).chain(inside).filter(|text| !text.is_empty());
    let all = all.collect::<Vec<_>>().join(", ");
    if all.is_empty() { typed(node) } else { all }
}

/// Keeps every note of both sides by which nobody is to ride, or of what nobody knows any more.
fn notes(context: &mut Context, node: &Node, about: &str) {
    let around = about.strip_suffix("note").map_or(about, |around| around.trim_end_matches('.'));
    for version in node.children.iter().flat_map(|side| &side.children) {
        if &*version.name == word::NOTE.name {
            note(context, version, around);
        } else {
            notes_inside(context, version, about);
        }
    }
}

fn notes_inside(context: &mut Context, group: &Node, path: &str) {
    for child in &group.children {
        if &*child.name == word::NOTE.name {
            note(context, child, path);
        } else {
            notes_inside(context, child, &format!("{path}.{}", child.name));
        }
    }
}

fn note(context: &mut Context, node: &Node, on: &str) {
    let Some(Value::Text(text)) = node.arguments.first().map(|argument| &argument.value) else { return };
    let (_, told) = dated::split(text);
    let begins = |words: &str| told.get(..words.len()).is_some_and(|start| start.eq_ignore_ascii_case(words));
    let tells = |words: &str| told.contains(words);
    if begins(DAMAGE_NOTED) || begins(RIDING_FORBIDDEN) || tells(OPENED_NOTED) || tells(FORGOTTEN_NOTED) {
        let text = Written { value: text.to_string(), span: node.arguments[0].span };
        context.notes_in_conflict.push(Note { on: on.to_owned(), text });
    }
}

/// What both sides of the conflicts in a group have under one word.
pub fn on_both_sides<'n>(group: &'n Node, named: &'n str) -> impl Iterator<Item = &'n Node> {
    let conflicts = group.children.iter().filter(|child| &*child.name == word::CONFLICT.name);
    let versions = conflicts.flat_map(|conflict| &conflict.children).flat_map(|side| &side.children);
    versions.filter(move |version| &*version.name == named)
}

/// What to do about a side's line that was kept whole, with its `ours` or `theirs`; none where neither word begins it.
pub fn stray(word: &str) -> Option<String> {
    word::CONFLICT.children.contains(&word).then(|| {
        format!(
            "This is a line of a `conflict`: keep what stands between {{ }} of it, without `{word}` and all that is \
             before the brace."
        )
    })
}

/// The instruments that stand in a conflict, of one of them or of all.
pub fn undecided_instruments(node: &Node) -> impl Iterator<Item = Text> {
    let versions = node.children.iter().flat_map(|side| &side.children);
    let of_all = |version: &Node| version.children.iter().map(|one| one.name.clone()).collect();
    versions.flat_map(move |version| {
        if &*version.name == word::INSTRUMENTS.name { of_all(version) } else { vec![version.name.clone()] }
    })
}

/// "ours `angle 32` (HEAD, 2026-05-02, own stand)".
fn version(context: &Context, side: &Node, known: [Option<String>; 4]) -> String {
    let lines: Vec<String> = side
        .children
        .iter()
        .map(|child| {
            let text: Vec<&str> = child.whole.text(context.source).split_whitespace().collect();
            format!("`{}`", text.join(" "))
        })
        .collect();
    let what = if lines.is_empty() { "not recorded".to_owned() } else { lines.join(" and ") };
    let from: Vec<String> = known.into_iter().flatten().collect();
    let from = if from.is_empty() { String::new() } else { format!(" ({})", from.join(", ")) };
    format!("{} {what}{from}", side.name)
}
