//! Reading a text that is nearly the one read before it: what it says of unchanged nodes is taken over.
//!
//! A node of the outermost block means what it means whatever stands beside it, but for three things: the instruments it
//! names, how many of its kind stand before it, and whether something stands twice. Where one of them can play a part,
//! and wherever something is found, the whole text is read.

use std::mem;

use crate::catalogue::word;
use crate::catalogue::{Catalogue, Taking};

use super::super::model::{Kind, Setup};
use super::super::syntax::{Document, Edit, Parser};
use super::context::Context;
use super::group::Place;
use super::{Read, carried, of_document, top};

/// Reads one text after another as [`super::read`] does, in less time where each is nearly the one before it.
pub struct Successive<'c> {
    catalogue: &'c Catalogue,
    parser: Parser,
    /// What the parser's text says, if nothing was found in it.
    last: Option<Setup>,
}

impl<'c> Successive<'c> {
    /// Nothing read yet.
    pub fn new(catalogue: &'c Catalogue) -> Self {
        Successive { catalogue, parser: Parser::default(), last: None }
    }

    /// The next text.
    pub fn read(&mut self, bytes: &[u8]) -> Read {
        let parsed = self.parser.parse(bytes);
        let nearly = self.last.take().zip(parsed.edits.as_deref());
        let again = nearly.and_then(|(last, edits)| {
            let source = std::str::from_utf8(bytes).ok()?;
            again(&mut Context::new(self.catalogue, source, None), last, parsed.document, edits)
        });
        let read = match again {
            Some(setup) => Read { setup: Some(setup), findings: Vec::new() },
            None => of_document(self.catalogue, bytes, (None, false), parsed.document, parsed.faults),
        };
        self.last = read.setup.as_ref().filter(|_| read.findings.is_empty()).cloned();
        read
    }
}

/// What the text says now, from what it said before; none where the whole of it must be read.
fn again(context: &mut Context, mut setup: Setup, document: &Document, edits: &[Edit]) -> Option<Setup> {
    let [node] = document.nodes.as_slice() else { return None };
    let new = || edits.iter().flat_map(|edit| &node.children[edit.nodes.clone()]);
    let catalogue = context.catalogue;
    let are_counted = catalogue.top().children.iter().any(|id| catalogue.shelf(*id).taking == Taking::Count);
    if setup.kind != Kind::Setup || &*node.name != "setup" || are_counted {
        return None;
    }
    let instruments = setup.instruments.len();
    carried::over(&mut setup, edits);
    let other = new().any(|node| [word::INSTRUMENTS.name, word::CONFLICT.name].contains(&&*node.name));
    if other || setup.instruments.len() < instruments {
        return None;
    }
    context.instruments = mem::take(&mut setup.instruments);
    setup.name = top::head(context, node);
    let mut place = Place::top(catalogue);
    for node in new() {
        top::inside(context, &mut setup, &mut place, node);
    }
    setup.instruments = mem::take(&mut context.instruments);
    carried::in_order(&mut setup);
    context.findings.is_empty().then_some(setup)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    const RACE: &str = include_str!("../../../tests/git/race.kdl");

    /// Every text read after the one before it, and by itself.
    fn agrees(texts: &[&str]) {
        let catalogue = Catalogue::standard();
        let mut successive = Successive::new(catalogue);
        for text in texts {
            let after = successive.read(text.as_bytes());
            let alone = read(catalogue, text.as_bytes(), None);
            assert_eq!((after.setup, after.findings), (alone.setup, alone.findings), "{text}");
        }
    }

    fn changed(changes: &[(&str, &str)]) -> String {
        changes.iter().fold(RACE.to_owned(), |text, (was, now)| {
            assert!(text.contains(was), "{was}");
            text.replacen(was, now, 1)
        })
    }

    #[test]
    fn what_a_text_says_is_the_same_after_any_neighbour() {
        let neighbours = [
            vec![("length 50;", "length 35.25;"), ("angle 32 with", "angle 29.5 with")],
            vec![("rowan/race", "rowan/another")],
            vec![("// Lengths mm", "// Lengths in mm"), ("hand 62", "hand 61")],
            vec![(
                "    floor 0.0 with=angle-gauge      // slope of the ground, + = front wheel higher\n",
                "",
            )],
            vec![("    headset {", "    accept wide-bar \"tried\"\n    opened \"stem-face\"\n    headset {")],
            vec![("    guard \"head tube, left\"", "    guard \"top tube\"\n    guard \"head tube, left\"")],
            vec![("    torque \"stem-face\"", "    torque \"seat-clamp\" 5 6\n    torque \"stem-face\"")],
            vec![("    mark \"S1\"", "    mark \"S2\" on=\"stem-face\"\n    note \"wet\"\n    mark \"S1\"")],
            vec![
                ("    saddle {", "    note \"2026-05-09 dry\"\n    saddle {"),
                ("applied 2.8", "applied 3.0"),
            ],
            vec![("measured \"2026-05-02\"", "measured \"2026-05-03\""), ("Two-day", "Three-day")],
        ];
        for neighbour in neighbours {
            agrees(&[RACE, &changed(&neighbour), RACE, RACE]);
        }
    }

    #[test]
    fn what_one_node_does_to_another_is_seen() {
        let neighbours = [
            // Instruments read other nodes.
            vec![("caliper tol=0.1", "caliper tol=0.2")],
            vec![("        caliper tol=0.1\n", "")],
            vec![("    instruments {", "    instruments { tape tol=1; }\n    instruments {")],
            // What stands twice, before and behind what was there.
            vec![("    headset {", "    stem { length 60 }\n    headset {")],
            vec![("    saddle {", "    stem { length 60 }\n    saddle {")],
            vec![("    headset {", "    mark \"S1\" on=\"stem-face\"\n    headset {")],
            vec![("    fork {", "    torque \"stem-face\" 5 6\n    fork {")],
            vec![("    fork {", "    measured \"2026-05-03\"\n    fork {")],
            // Mistakes, and what a merge left undecided.
            vec![("length 50;", "lenght 50;")],
            vec![("format=1", "format=2")],
            vec![("setup \"rowan/race\"", "found \"rowan/race\"")],
            vec![(
                "    fork {",
                "    conflict \"stem.length\" { ours { length 50 }; theirs { length 40 } }\n    fork {",
            )],
        ];
        for neighbour in neighbours {
            let neighbour = changed(&neighbour);
            agrees(&[RACE, &neighbour, RACE, &neighbour, &neighbour]);
        }
    }
}
