//! Damage that a note keeps in the setup: how it is written there, and the rule that finds it again.
//!
//! A setup file is the state to come back to and holds no `damage` of its own; what was found on the bike stays in it
//! as a dated note at the damaged part, until somebody takes the note out.

mod known;

use chrono::NaiveDate;

use crate::catalogue::table::BAR_MATERIAL;
use crate::catalogue::{Catalogue, caution, code, joint};
use crate::setup::dated;
use crate::setup::finding::Finding;
use crate::setup::model::{DAMAGE_NOTED as DAMAGE, Damage, Note, Part, Setup, is_seen_alike};
use crate::setup::span::Span;

use super::Context;
pub use known::part_or_joint;

/// Where the note on a damage goes: the part's group, the torque of the joint, else the top of the file; there, too, what
/// says more closely where.
pub fn place(setup: &Setup, on: &str) -> String {
    let on = known::in_full(setup, on).unwrap_or_default();
    if setup.has_part(&on) {
        on
    } else if setup.torque(&on).is_some() {
        format!("torque.{on}")
    } else {
        String::new()
    }
}

/// The note's text: "2026-05-09 damage: scored under the left clamp", with the sheet's day unless it has its own. At the top
/// it says on what.
pub fn note(damage: &Damage, place: &str, day: Option<NaiveDate>) -> String {
    let day = dated::prefix(damage.read.or(day));
    let on = match damage.on.value.as_str() {
        _ if !place.is_empty() => String::new(),
        // What is seen begins behind the first colon: a name with one of its own stands in quotes.
        on if on.contains(": ") => format!(" on \"{}\"", on.replace('"', "'")),
        on => format!(" on {on}"),
    };
    format!("{day}{DAMAGE}{on}: {}", damage.text.value)
}

/// One damage that a note tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// On which part or joint.
    pub on: String,
    /// What was seen.
    pub text: String,
    /// The note itself.
    pub note: &'s Note,
}

/// Every damage that the notes of a setup tell of.
pub fn noted(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    setup.notes.iter().filter_map(|note| {
        let (on, text) = told(&setup.parts, &note.text.value, note.place())?;
        Some(Noted { on, text, note })
    })
}

/// What the text of a note at a place tells of damage, and on what: that which it names, else the place, else the part or
/// joint with which it begins what was seen. `parts` are the groups that the file has.
pub fn told(parts: &[Part], text: &str, place: &str) -> Option<(String, String)> {
    let (_, text) = dated::split(text);
    let (word, rest) = text.split_at_checked(DAMAGE.len())?;
    if !word.eq_ignore_ascii_case(DAMAGE) {
        return None;
    }
    let (on, seen) = match rest.strip_prefix(" on ") {
        Some(rest) => match rest.strip_prefix('"') {
            Some(quoted) => quoted.split_once("\":")?,
            None => rest.split_once(':')?,
        },
        None => (place, rest.strip_prefix(':')?),
    };
    let (on, seen) = (on.trim(), seen.trim());
    match known::part_and_rest(parts, seen).filter(|_| on.is_empty()) {
        Some((on, "")) => Some((on, seen.to_owned())),
        Some((on, rest)) => Some((on, rest.to_owned())),
        None => Some((on.to_owned(), seen.to_owned())),
    }
}

/// The notes on damage of these parts, each as "bar: scored": with a part that is replaced they go.
pub fn of_parts<'s>(setup: &'s Setup, parts: &[&str]) -> Vec<(&'s Note, String)> {
    let is_theirs = |noted: &Noted| {
        known::part_or_joint(setup, &noted.on).is_some_and(|part| parts.contains(&part.as_str()))
    };
    let words = |noted: &Noted| format!("{}: {}", joint::title(&noted.on), noted.text.trim_end_matches('.'));
    noted(setup).filter(is_theirs).map(|noted| (noted.note, words(&noted))).collect()
}

/// Whether two damages are one told twice: at one place, however it is written, in the same words.
pub fn is_same(setup: &Setup, one: (&str, &str), other: (&str, &str)) -> bool {
    is_seen_alike(one.1, other.1) && known::alike(setup, one.0) == known::alike(setup, other.0)
}

/// Whether a note of the setup tells of that damage, on whatever day it was seen.
pub fn is_noted(setup: &Setup, damage: &Damage) -> bool {
    let one = (damage.on.value.as_str(), damage.text.value.as_str());
    noted(setup).any(|noted| is_same(setup, one, (&noted.on, &noted.text)))
}

/// A sheet whose damages are named as the notes of that setup name them, whatever it calls their places.
pub fn named_as_noted(setup: &Setup, sheet: &Setup) -> Setup {
    let mut named = sheet.clone();
    for damage in &mut named.damages {
        if let Some(name) = known::in_full(setup, &damage.on.value) {
            damage.on.value = name;
        }
    }
    named
}

/// Every note that tells of damage: a caution until it is taken out.
pub fn still_there(context: &Context) -> Vec<Finding> {
    noted(context.setup)
        .map(|noted| {
            let seen = noted.text.trim_end_matches('.');
            let on = if noted.on.is_empty() {
                "on what, it does not say".to_owned()
            } else {
                joint::title(&noted.on)
            };
            let message = format!("A note tells of damage: {on}: {seen}.");
            Finding::new(&code::DAMAGE_NOTED, message).at(noted.note.text.span).about(&noted.on)
        })
        .collect()
}

/// What to mind about damage on a part or joint: a scored carbon bar has rules of its own.
pub fn help(setup: &Setup, on: &str) -> &'static str {
    let bar = Catalogue::standard().measure(BAR_MATERIAL).part();
    let is_the_bar = known::part_or_joint(setup, on).as_deref() == Some(bar);
    if is_the_bar && setup.has_carbon_bar() { caution::CARBON } else { caution::MECHANIC }
}

/// Damage on what is neither a part nor a joint, told on a sheet or by a note.
pub fn elsewhere(context: &Context) -> Vec<Finding> {
    let mut findings = unknown(context.setup, context.setup);
    let strange = noted(context.setup).filter(|noted| noted.note.on.is_empty());
    let strange = strange.filter(|noted| !known::is_place(context.setup, &noted.on));
    findings.extend(strange.map(|noted| strange_place(&noted.on, noted.note.text.span)));
    findings
}

/// The damages of a sheet on what is neither a part nor a joint of `setup`.
pub fn unknown(sheet: &Setup, setup: &Setup) -> Vec<Finding> {
    let damages = sheet.damages.iter().map(|damage| &damage.on);
    let strange = damages.filter(|on| !known::is_place(setup, &on.value));
    strange.map(|on| strange_place(&on.value, on.span)).collect()
}

fn strange_place(on: &str, span: Span) -> Finding {
    let message = if on.is_empty() {
        "The note does not say on what the damage is.".to_owned()
    } else {
        format!("\"{on}\" is not a part or a joint known here.")
    };
    Finding::new(&code::DAMAGE_ELSEWHERE, message).at(span).about(on).help(known::help(on))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::model::Written;
    use crate::setup::read::read;

    #[test]
    fn a_part_named_with_a_colon_is_found_again() {
        let written = |text: &str| Written { value: text.to_owned(), span: Span::new(0, 0) };
        let damage = Damage { on: written("fork: lower leg"), text: written("cracked"), read: None };
        assert_eq!(note(&damage, "", None), "damage on \"fork: lower leg\": cracked");
    }

    #[test]
    fn a_note_on_damage_is_told_from_any_other() {
        let text = r#"setup "rowan/race" format=1 {
            note "2026-05-09 damage on frame: dent"
            note "damage: stem crack at the face"
            note "2026-05-09 Damage: Fork: lower leg bent"
            note "damage: something creaks"
            note "DAMAGE on \"fork: lower leg\": cracked: do not ride"
            bar { roll 0; note "2026-05-09 damage: scored"; note "damage is easily done here" }
            torque "stem-face" 4 5 { caution "Even gap."; note "2026-05-09 Damage: thread stripped." }
        }"#;
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        let told: Vec<(String, String)> = noted(&setup).map(|noted| (noted.on, noted.text)).collect();
        let expected = [
            ("frame", "dent"),
            ("stem", "crack at the face"),
            ("fork", "lower leg bent"),
            ("", "something creaks"),
            ("fork: lower leg", "cracked: do not ride"),
            ("bar", "scored"),
            ("stem-face", "thread stripped."),
        ];
        assert_eq!(told, expected.map(|(on, text)| (on.to_owned(), text.to_owned())));
    }
}
