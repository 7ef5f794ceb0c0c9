//! The words that are not measures: instruments, guards, damages, opened joints, acknowledgements.

use crate::catalogue::Side;
use crate::catalogue::code;
use crate::catalogue::joint;
use crate::catalogue::word;

use super::super::model::{
    Accepted, Damage, Guard, Instrument, InstrumentKind, Kind, Opened, Setup, Tolerance, Written,
};
use super::super::syntax::Node;
use super::context::{Context, is_blank, nearest};
use super::group;
use super::wrench;

/// The instruments of the file.
pub fn instruments(context: &mut Context, node: &Node) {
    context.at_most(node, 0);
    for child in &node.children {
        if &*child.name == word::CONFLICT.name {
            super::conflict::conflict(context, child);
            context.undecided.extend(super::conflict::undecided_instruments(child));
            continue;
        }
        context.properties(child, word::INSTRUMENT.properties);
        context.children(child, word::INSTRUMENT.children);
        context.at_most(child, 0);
        let name: &str = &child.name;
        if context.instruments.iter().any(|earlier| &*earlier.name == name) {
            context.find(
                &code::DUPLICATE_NAME,
                child.span,
                format!("The instrument `{name}` is defined twice."),
            );
            continue;
        }
        let is_wrench = wrench::PROPERTIES.iter().any(|key| child.property(key).is_some());
        let kind = if is_wrench {
            wrench::wrench(context, child).map(InstrumentKind::Wrench)
        } else {
            half_width(context, child).map(InstrumentKind::Reads)
        };
        if let Some(kind) = kind {
            context.instruments.push(Instrument { name: name.into(), kind, span: child.span });
        }
    }
}

fn half_width(context: &mut Context, node: &Node) -> Option<Tolerance> {
    let name = &node.name;
    match context.tolerance(node) {
        Some(Written { value, span }) if value.half_width == 0.0 => {
            let message = format!("No instrument reads without error, so `{name}` needs a tolerance.");
            context.find(&code::BAD_TOLERANCE, span, message);
            None
        }
        Some(written) => Some(written.value),
        None if node.property("tol").is_some() => None,
        None => {
            let message = format!("The instrument `{name}` does not say how well it reads.");
            context.find(&code::BAD_TOLERANCE, node.span, message).help =
                format!("Write for instance: {name} tol=0.5.");
            None
        }
    }
}

/// A protective patch.
pub fn guard(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::GUARD.properties);
    context.at_most(node, 1);
    let Some(place) = context.filled(node, 0, "the place in quotes") else { return };
    side_misspelt(context, &place);
    let on = format!("guard.{}", place.value);
    for child in context.children(node, word::GUARD.children) {
        group::note(context, setup, &on, child);
    }
    if setup.guards.iter().any(|earlier| earlier.place.value == place.value) {
        context.find(
            &code::DUPLICATE_NAME,
            place.span,
            format!("The guard \"{}\" stands twice.", place.value),
        );
        return;
    }
    setup.guards.push(Guard { place });
}

/// A guard's place is free text but for its side: a side that is misspelt would let the guard count for both.
fn side_misspelt(context: &mut Context, place: &Written<String>) {
    let lower = place.value.to_lowercase();
    let words = || lower.split(|letter: char| !letter.is_alphabetic());
    if words().any(|word| Side::parse(word).is_some()) {
        return;
    }
    let slip = words()
        .find_map(|word| Some((word, Side::BOTH.into_iter().find(|side| is_slip_of(word, side.word()))?)));
    if let Some((word, side)) = slip {
        let message = format!("`{word}` in a guard's place is no side: `left` and `right` are.");
        context.find(&code::UNKNOWN_WORD, place.span, message).help = format!("Did you mean `{side}`?");
    }
}

/// Whether a word is another with one letter too few, one too many or two changed over, but for its first: other
/// letters may be another word, such as a lift or something bright.
fn is_slip_of(word: &str, meant: &str) -> bool {
    let letters = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.sort_unstable();
        letters
    };
    let is_near = word.len() > 2 && word.chars().next() == meant.chars().next();
    let is_near = is_near && strsim::damerau_levenshtein(word, meant) == 1;
    is_near && (word.len() != meant.len() || letters(word) == letters(meant))
}

/// What only a sheet tells; in a setup a note keeps it.
fn of_a_sheet(context: &mut Context, setup: &Setup, node: &Node, note: &str) {
    if setup.kind == Kind::Setup {
        let message = format!("`{}` is told on an as-found sheet.", node.name);
        context.find(&code::OUT_OF_PLACE, node.span, message).help =
            format!("Keep it here as a note: {note}");
    }
}

/// A damage.
pub fn damage(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::DAMAGE.properties);
    context.children(node, word::DAMAGE.children);
    context.at_most(node, 1);
    of_a_sheet(context, setup, node, "note \"2026-05-09 damage: …\" in the part's group.");
    let text = context.filled(node, 0, "what is seen, in quotes");
    let on = context.text_property(node, "on");
    if on.is_none() && node.property("on").is_none() {
        context.find(&code::NOT_A_TEXT, node.span, "`damage` does not say on what.").help =
            "Write for instance: damage on=\"bar\" \"…\".".to_owned();
    }
    if let Some(on) = on.as_ref().filter(|on| on.value.trim().is_empty() || is_blank(&on.value)) {
        context.find(&code::EMPTY_TEXT, on.span, "`damage` does not say on what.").help =
            "Write for instance: damage on=\"bar\" \"…\".".to_owned();
        return;
    }
    let read = context.date_property(node, "read");
    if let (Some(on), Some(text)) = (on, text) {
        setup.damages.push(Damage { on, text, read });
    }
}

/// A joint that is apart, or was opened.
pub fn opened(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::OPENED.properties);
    context.children(node, word::OPENED.children);
    context.at_most(node, 1);
    of_a_sheet(context, setup, node, "note \"2026-05-09 joint stem-face opened, torque not read\".");
    let read = context.date_property(node, "read");
    let joint = context.text(node, 0, "the joint's name in quotes");
    let Some(joint) = joint.and_then(|written| joint_name(context, written)) else { return };
    let day = read.or_else(|| setup.day());
    match setup.opened.iter().position(|told| told.joint.value == joint.value) {
        // Told twice, it was open on the later day, too.
        Some(at) if setup.day_opened(&joint.value) < day => setup.opened[at].read = read,
        Some(_) => {}
        None => setup.opened.push(Opened { joint, read }),
    }
}

/// An acknowledged finding.
pub fn accept(context: &mut Context, setup: &mut Setup, node: &Node) {
    context.properties(node, word::ACCEPT.properties);
    context.children(node, word::ACCEPT.children);
    context.at_most(node, 2);
    let Some(code) = context.text(node, 0, "the code of the finding") else { return };
    let Some(why) = context.filled(node, 1, "the reason, in quotes") else { return };
    if code::find(&code.value).is_none() {
        let message = format!("`{}` is not the code of any finding.", code.value);
        let word = code.value.clone();
        context.unknown(code.span, message, &word, code::CODES.iter().map(|code| code.name));
        return;
    }
    let on = context.text_property(node, "on");
    setup.accepted.push(Accepted { code, on, why });
}

/// A joint's name, which must be one a bike has.
pub fn joint_name(context: &mut Context, written: Written<String>) -> Option<Written<String>> {
    if joint::find(&written.value).is_some() {
        return Some(written);
    }
    let names = joint::names();
    let near = nearest(&written.value, names.iter().map(String::as_str));
    let sided = match Side::parse(written.value.split('.').next().unwrap_or_default()) {
        None => {
            names.iter().find(|name| name.strip_prefix("left.") == Some(&*written.value)).map(String::as_str)
        }
        Some(_) => None,
    };
    let help = match (sided, near) {
        (Some(_), _) => Some(format!("Say which side: `left.{0}` or `right.{0}`.", written.value)),
        (None, Some(near)) => Some(format!("Did you mean `{near}`?")),
        (None, None) => None,
    };
    let finding = context.find(
        &code::UNKNOWN_JOINT,
        written.span,
        format!("`{}` is not a joint known here.", written.value),
    );
    if let Some(help) = help {
        finding.help = help;
    }
    None
}

#[cfg(test)]
mod tests {
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    #[test]
    fn a_setup_tells_nothing_of_how_a_bike_was_found() {
        let codes = |inside: &str| {
            let text = format!("setup \"rowan/race\" format=1 {{ {inside} }}");
            let read = read(Catalogue::standard(), text.as_bytes(), None);
            read.findings.iter().map(|finding| finding.code.name).collect::<Vec<_>>()
        };
        for (inside, expected) in [
            ("damage on=\"bar\" \"scored\"", "out-of-place"),
            ("mark \"L1\" aligned on=\"left.brake-lever\"", "out-of-place"),
            ("mark \"L1\" on=\"left.brake-lever\" off=0.8", "out-of-place"),
            ("mark \"L1\" on=\"left.brake-lever\" { drawn angle=1; drawn angle=2 }", "duplicate-part"),
            ("mark \"\" on=\"left.brake-lever\"", "empty-text"),
            ("hose \" \" { free 400 }", "empty-text"),
            ("guard \"\"", "empty-text"),
            ("accept wide-bar \"\"", "empty-text"),
            // A side that is misspelt.
            ("guard \"head tube, lfet\"", "unknown-word"),
            ("guard \"Rigth of the head tube\"", "unknown-word"),
            ("guard \"head tube (righ)\"", "unknown-word"),
        ] {
            assert_eq!(codes(inside), [expected], "{inside}");
        }
        // No side, a side, and words that are others.
        for place in [
            "top tube",
            "head tube, left",
            "RIGHT",
            "by the lift",
            "light patch",
            "bright patch",
            "tight bend, left, lfet",
        ] {
            assert!(codes(&format!("guard \"{place}\"")).is_empty(), "{place}");
        }
    }
}
