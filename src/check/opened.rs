//! Joints of which a note keeps that they were opened and nobody read a torque since: how that is written, and the rule
//! that finds it again.
//!
//! A sheet that tells of an opened joint is put away; that its clamp may be loose must not go with it. A plan is written
//! before anybody opens what it opens, and nobody has tightened that for it either. The note stays in the setup until what
//! was applied since is written, or somebody takes it out.

use chrono::NaiveDate;

use crate::catalogue::{code, joint};
use crate::setup::dated;
use crate::setup::finding::Finding;
use crate::setup::model::{Note, OPENED_NOTED as OPENED, Setup};

use super::Context;

const JOINT: &str = "joint ";
/// Stands in brackets behind it on what is planned, and why what was applied before counts no more.
const PLANNED: &str = "(planned";
/// What such a note of an earlier program ended with; it was put in the place of what was applied, and bore no day.
const ONCE: &str = ": torque not read";
const TO_THE_REPLACED: &str = "applied to the replaced ";
const NOT_TO_THE_NEW: &str = ", not to what is planned";

/// Why what was applied to a joint counts no more, where a change opens it.
pub const BEFORE_THE_CHANGE: &str = "applied before this was opened for the change, not since";
/// The same where what it holds has to be slid along a bar that is cut.
pub const BEFORE_THE_SAW: &str = "applied before the bar was cut and this slid along it";

/// The same where it was applied to these parts, and others are planned.
pub fn to_the_replaced(parts: &str) -> String {
    format!("{TO_THE_REPLACED}{parts}{NOT_TO_THE_NEW}")
}

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

/// The text on a joint that something planned opens, with why what was applied before counts no more, if anything was.
pub fn planned(joint: &str, place: &str, day: NaiveDate, why: Option<&str>) -> String {
    let why = why.map(|why| format!(": {why}")).unwrap_or_default();
    format!("{} {PLANNED}{why})", note(joint, place, Some(day)))
}

/// One joint that a note tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// Its name.
    pub joint: &'s str,
    /// The day on which it was found open, or was planned to be opened.
    pub day: Option<NaiveDate>,
    /// Whether it was only planned to be opened that day.
    pub is_planned: bool,
    /// What somebody wrote behind it.
    pub behind: &'s str,
    /// The note itself.
    pub note: &'s Note,
}

impl Noted<'_> {
    /// How it came to be open: "opened on 2026-05-09", "opened for what was planned on 2026-05-25".
    pub fn how(&self) -> String {
        let on = self.day.map(|day| format!(" on {day}")).unwrap_or_default();
        let planned = if self.is_planned { " for what was planned" } else { "" };
        format!("opened{planned}{on}")
    }

    /// What stays of the note once it is answered: what somebody wrote behind it, with its day.
    pub fn left(&self) -> Option<String> {
        (!self.behind.is_empty()).then(|| format!("{}{}", dated::prefix(self.day), self.behind))
    }
}

/// Every joint that the notes of a setup tell was opened.
pub fn noted(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    setup.notes.iter().filter_map(|note| {
        let (day, text) = dated::split(&note.text.value);
        let (which, is_planned, behind) = as_written(text).or_else(|| as_once_written(text))?;
        let behind =
            behind.trim_start_matches(|c: char| c.is_whitespace() || ".,;:–-".contains(c)).trim_end();
        let here = note.place();
        let joint = if which.is_empty() { here } else { which };
        joint::find(joint).map(|_| Noted { joint, day, is_planned, behind, note })
    })
}

/// Which joint it names, if it names one, whether it was planned, and what somebody wrote behind it: it stays what it is
/// until it is taken out.
fn as_written(text: &str) -> Option<(&str, bool, &str)> {
    let (which, behind) = text.strip_prefix(JOINT)?.split_once(OPENED)?;
    let planned = behind.trim_start().strip_prefix(PLANNED).and_then(|planned| planned.split_once(')'));
    Some((which.trim_end(), planned.is_some(), planned.map_or(behind, |(_, behind)| behind)))
}

/// The same of a note as plans once had it.
fn as_once_written(text: &str) -> Option<(&str, bool, &str)> {
    let (why, behind) = text.split_once(ONCE)?;
    let replaced = why.strip_prefix(TO_THE_REPLACED).is_some_and(|parts| parts.ends_with(NOT_TO_THE_NEW));
    (replaced || why == BEFORE_THE_CHANGE || why == BEFORE_THE_SAW).then_some(("", true, behind))
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
            let (title, how) = (joint::title(noted.joint), noted.how());
            let is = if noted.is_planned { "is" } else { "was" };
            let message = format!("A note tells that the {title} {is} {how}: its torque is not known since.");
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

    #[test]
    fn what_a_plan_opens_is_open_as_plans_have_it_and_once_had_it() {
        let day = NaiveDate::from_ymd_opt(2026, 5, 25).expect("a day");
        let top = planned("stem-steerer", "", day, None);
        assert_eq!(top, "2026-05-25 joint stem-steerer opened, torque not read (planned)");
        let own = planned("left.brake-lever", "left.brake-lever", day, Some(BEFORE_THE_SAW));
        let bar = to_the_replaced("stem and bar");
        let text = format!(
            r#"setup "rowan/race" format=1 {{
            note "{top}"
            left {{ brake-lever {{ from-tip 168; note "{own}. Ask!" }} }}
            torque "stem-face" 4 5 {{ note "{bar}: torque not read" }}
            torque "right.brake-lever" 2 3 {{ note "{BEFORE_THE_CHANGE}: torque not read" }}
            torque "left.shifter" 2 3 {{ note "{BEFORE_THE_SAW}: torque not read"; applied 2.5 read="2026-05-01" }}
            torque "right.shifter" 2 3 {{ note "applied by hand: torque not read" }}
        }}"#
        );
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        let still: Vec<&str> = open(&setup).map(|noted| noted.joint).collect();
        assert_eq!(still, ["stem-steerer", "left.brake-lever", "stem-face", "right.brake-lever"]);
        assert!(noted(&setup).all(|noted| noted.is_planned));
        let left: Vec<String> = noted(&setup).filter_map(|noted| noted.left()).collect();
        assert_eq!(left, ["2026-05-25 Ask!"]);
    }
}
