//! Setups of which a note tells that they are not to be ridden: how that is written, and the rule that finds it again.
//!
//! What is planned may ask for spacers that are not there or for a longer steerer. No figure of the file tells that
//! afterwards, for a pile of spacers adds up whether somebody has them or not; the note does, until it is taken out.

use crate::catalogue::code;
use crate::catalogue::joint;
use crate::setup::dated;
use crate::setup::finding::Finding;
use crate::setup::model::{Note, RIDING_FORBIDDEN as WORDS, Setup};

use super::Context;

/// Where the note on the pile of spacers goes.
const STEERER: &str = "steerer";
/// Where the note on a stem goes.
const STEM: &str = "stem";
/// Where the note on the front brake's hand goes.
const RIDER: &str = "rider";

/// Where a note on the pile on the steerer goes: its group, else the top of the file.
pub fn place_of_the_pile(setup: &Setup) -> &'static str {
    if setup.has_part(STEERER) { STEERER } else { "" }
}

/// Where a note on how the stem stands goes: its group, which is there where a figure of it is.
pub fn place_of_the_stem(setup: &Setup) -> &'static str {
    if setup.has_part(STEM) { STEM } else { "" }
}

/// Where a note on which hand pulls the front brake goes: its group, else the top of the file.
pub fn place_of_the_brake_hand(setup: &Setup) -> &'static str {
    if setup.has_part(RIDER) { RIDER } else { "" }
}

/// The note's text: "do not ride: 10 mm of spacers are not there".
pub fn note(why: &str) -> String {
    format!("{WORDS}: {why}")
}

/// One note that forbids it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted<'s> {
    /// Why.
    pub why: &'s str,
    /// The note itself.
    pub note: &'s Note,
}

impl Noted<'_> {
    /// The part or joint at which it stands; nothing at the top of the file.
    pub fn on(&self) -> &str {
        self.note.place()
    }

    /// Where and why, without a full stop: "steerer: 10 mm of spacers are not there".
    pub fn words(&self) -> String {
        let why = self.why.trim_end_matches('.');
        if self.on().is_empty() { why.to_owned() } else { format!("{}: {why}", joint::title(self.on())) }
    }
}

/// Every note of a setup that forbids to ride it.
pub fn noted(setup: &Setup) -> impl Iterator<Item = Noted<'_>> {
    setup.notes.iter().filter_map(|note| {
        let (_, text) = dated::split(&note.text.value);
        let (words, rest) = text.split_at_checked(WORDS.len())?;
        let why = rest.strip_prefix(':').filter(|_| words.eq_ignore_ascii_case(WORDS))?.trim();
        (!why.is_empty()).then_some(Noted { why, note })
    })
}

/// The note on the pile on the steerer, if there is one: what is recorded of the pile then tells nobody how long the
/// steerer is.
pub fn of_the_pile(setup: &Setup) -> Option<Noted<'_>> {
    noted(setup).find(|noted| noted.note.on == place_of_the_pile(setup))
}

/// Every such note: a caution until it is taken out.
pub fn still_so(context: &Context) -> Vec<Finding> {
    let found = noted(context.setup).map(|noted| {
        let message = format!("A note tells not to ride it so: {}.", noted.words());
        Finding::new(&code::NOT_TO_RIDE_NOTED, message).at(noted.note.text.span).about(noted.on())
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::setup::read::read;

    #[test]
    fn a_note_that_forbids_riding_is_told_from_any_other() {
        let text = r#"setup "rowan/race" format=1 {
            note "Do not ride: the frame is cracked."
            note "Do not ride in the wet"
            note "do not ride:"
            steerer { spacers-below 5; note "2026-05-09 do not ride: 10 mm of spacers are not there" }
        }"#;
        let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
        let told: Vec<String> = noted(&setup).map(|noted| noted.words()).collect();
        assert_eq!(told, ["the frame is cracked", "steerer: 10 mm of spacers are not there"]);
    }
}
