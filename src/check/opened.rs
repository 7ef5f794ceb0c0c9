//! Joints of which a note keeps that they were opened and nobody read a torque since: how that is written, and the rule
//! that finds it again.
//!
//! A sheet that tells of an opened joint is put away; that its clamp may be loose must not go with it. The note stays in
//! the setup until what was applied since is written, or somebody takes it out.

use chrono::NaiveDate;

use crate::catalogue::{code, joint};
use crate::setup::dated;
use crate::setup::finding::Finding;
use crate::setup::model::{Note, OPENED_NOTED as OPENED, Setup};

use super::Context;

const JOINT: &str = "joint ";

/// Where the note on a joint goes: its torque, the part of that name, else the top of the file.
pub fn place(setup: &Setup, joint: &str) -> String {
    if setup.torque(joint).is_some() {
        format!("torque.{joint}")
    } else if setup.has_part(joint) {
        joint.to_owned()
    } else {
        String::new()
    }
}

/// The note's text: "2026-05-09 joint opened, torque not read". At the top it says which.
pub fn note(joint: &str, place: &str, day: Option<NaiveDate>) -> String {
    let day = dated::prefix(day);
    let which = if place.is_empty() { format!("{joint} ") } else { String::new() };
    format!("{day}{JOINT}{which}{OPENED}")
}

/// One joint that a note tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// Its name.
    pub joint: &'s str,
    /// The day on which it was found open.
    pub day: Option<NaiveDate>,
    /// What somebody wrote behind it.
    pub behind: &'s str,
    /// The note itself.
    pub note: &'s Note,
}

impl Noted<'_> {
    /// What stays of the note once it is answered: what somebody wrote behind it, with its day.
    pub fn left(&self) -> Option<String> {
        (!self.behind.is_empty()).then(|| format!("{}{}", dated::prefix(self.day), self.behind))
    }
}

/// Every joint that the notes of a setup tell was opened.
pub fn noted(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    setup.notes.iter().filter_map(|note| {
        let (day, text) = dated::split(&note.text.value);
        // Somebody may write on behind it; it stays what it is until it is taken out.
        let (which, behind) = text.strip_prefix(JOINT)?.split_once(OPENED)?;
        let which = which.trim_end();
        let behind =
            behind.trim_start_matches(|c: char| c.is_whitespace() || ".,;:–-".contains(c)).trim_end();
        let here = note.place();
        let joint = if which.is_empty() { here } else { which };
        joint::find(joint).map(|_| Noted { joint, day, behind, note })
    })
}

/// Whether what was last applied to the joint was applied since the note.
pub fn is_tightened_since(setup: &Setup, noted: &Noted) -> bool {
    let applied = setup.torque(noted.joint).and_then(|torque| torque.applied.as_ref());
    applied.is_some_and(|applied| noted.day.is_none_or(|day| applied.read.is_some_and(|read| read >= day)))
}

/// The notes of joints of which nobody has said since how they were tightened.
pub fn open(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    noted(setup).filter(|noted| !is_tightened_since(setup, noted))
}

/// Every joint that was opened and not tightened since, as far as the file tells: a caution, once a joint.
pub fn still_open(context: &Context) -> Vec<Finding> {
    let mut last: Vec<Noted> = Vec::new();
    for noted in open(context.setup) {
        match last.iter_mut().find(|known| known.joint == noted.joint) {
            Some(known) if known.day <= noted.day => *known = noted,
            Some(_) => {}
            None => last.push(noted),
        }
    }
    last.into_iter()
        .map(|noted| {
            let on = noted.day.map(|day| format!(" on {day}")).unwrap_or_default();
            let title = joint::title(noted.joint);
            let message =
                format!("A note tells that the {title} was opened{on}: its torque is not known since.");
            Finding::new(&code::OPENED_NOTED, message).at(noted.note.text.span).about(noted.joint)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    #[test]
    fn a_later_torque_answers_the_note_and_an_older_one_does_not() {
        let text = r#"setup "rowan/race" format=1 {
            note "2026-05-09 joint seat-clamp opened, torque not read"
            note "The joint was opened, torque not read by me"
            left { brake-lever { from-tip 168; note "2026-05-09 joint opened, torque not read" } }
            torque "stem-face" 4 5 { applied 4.5 read="2026-05-09"; note "2026-05-09 joint opened, torque not read" }
            torque "stem-steerer" 5 6 { applied 5.5 read="2026-05-08"; note "2026-05-09 joint opened, torque not read. Ask!" }
        }"#;
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        let still: Vec<&str> = open(&setup).map(|noted| noted.joint).collect();
        assert_eq!(still, ["seat-clamp", "left.brake-lever", "stem-steerer"]);
        let left: Vec<String> = noted(&setup).filter_map(|noted| noted.left()).collect();
        assert_eq!(left, ["2026-05-09 Ask!"]);
    }
}
