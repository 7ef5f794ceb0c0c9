//! Reading a text that is nearly the one read before it: what it says of unchanged nodes is taken over.
//!
//! A node of the outermost block or of a group means what it means whatever stands beside it, but for three things: the
//! instruments it names, how many of its kind stand before it, and whether something stands twice. Where one of them can
//! play a part, and wherever something is found, the whole text is read.

use std::mem;

use crate::catalogue::Catalogue;
use crate::catalogue::word;

use super::super::model::{Kind, Setup};
use super::super::span::Span;
use super::super::syntax::{Document, Edit, Node, Parser};
use super::context::Context;
use super::group;
use super::place::Place;
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
    let place = Place::top(context.catalogue);
    if setup.kind != Kind::Setup || &*node.name != "setup" || touch_counted(context, &place, node, edits) {
        return None;
    }
    let mut anew = Vec::new();
    nodes_anew(context, &place, &node.children, edits, &mut anew);
    let instruments = setup.instruments.len();
    let stretches: Vec<(Span, i32)> = anew.iter().map(|anew| (anew.edit.was, anew.edit.shift)).collect();
    carried::over(&mut setup, &stretches);
    let other = |node: &Node| [word::INSTRUMENTS.name, word::CONFLICT.name].contains(&&*node.name);
    if anew.iter().flat_map(|anew| anew.nodes).any(other) || setup.instruments.len() < instruments {
        return None;
    }
    context.instruments = mem::take(&mut setup.instruments);
    setup.name = top::head(context, node);
    for Anew { nodes, mut place, .. } in anew {
        for node in nodes {
            if place.is_top() {
                top::inside(context, &mut setup, &mut place, node);
            } else {
                group::child(context, &mut setup, &mut place, node);
            }
        }
    }
    setup.instruments = mem::take(&mut context.instruments);
    carried::in_order(&mut setup);
    context.findings.is_empty().then_some(setup)
}

/// Nodes to read anew, and where they stand.
struct Anew<'c, 'n> {
    edit: &'n Edit,
    nodes: &'n [Node],
    place: Place<'c>,
}

/// Goes down into the groups of which only some nodes read otherwise.
fn nodes_anew<'c, 'n>(
    context: &mut Context<'c>,
    place: &Place<'c>,
    nodes: &'n [Node],
    edits: &'n [Edit],
    found: &mut Vec<Anew<'c, 'n>>,
) {
    for edit in edits {
        let nodes = &nodes[edit.nodes.clone()];
        if let ([node], false) = (nodes, edit.within.is_empty())
            && let Some(inside) = place.inside_of(context, node)
            && !touch_counted(context, &inside, node, &edit.within)
        {
            nodes_anew(context, &inside, &node.children, &edit.within, found);
        } else {
            found.push(Anew { edit, nodes, place: place.clone() });
        }
    }
}

/// Whether nodes came to a block, or went, that are told apart by counting them.
fn touch_counted(context: &Context, place: &Place, block: &Node, edits: &[Edit]) -> bool {
    let new = edits.iter().flat_map(|edit| &block.children[edit.nodes.clone()]).map(|node| &node.name);
    let mut names = edits.iter().flat_map(|edit| &edit.gone).chain(new);
    names.any(|name| place.counts(context.catalogue, name))
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
            // Within groups, and in groups within them.
            vec![("reach 62 with=caliper", "reach 61.5 tol=0.2"), ("hand 62 }", "hand 61; note \"thin\" }")],
            vec![("angle 20;", ""), ("mount own;", "mount shared; ")],
            vec![
                ("dropper-remote {", "dropper-remote read=\"2026-05-09\" {"),
                ("shifter {", "shifter { note \"new\";"),
            ],
            vec![(
                "angle 32 with=angle-gauge; reach 62 with=caliper; bite 34",
                "angle 31; reach 62 with=caliper; bite 33",
            )],
            vec![("free 420;", "free 425;"), ("down=55", "down=56"), ("slope 32", "slope 31.5")],
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
            vec![("hand 62 }", "hand 62; hand 61 }")],
            vec![("bite 34 tol=1", "bite 34 tol=1; reach 61")],
            vec![("mount own;", "mount own; grip { hand 60 };")],
            // Counted, before and behind those that stay.
            vec![("blade 74; finger 66\n", "blade 74; finger 66; lowest from-tip=190 drop=30 ahead=40\n")],
            vec![("drop=47 ahead=6 }", "drop=47 ahead=6; lowest; lowest from-tip=210 drop=47 ahead=6 }")],
            vec![("mount own;", "mount own; lowest;")],
            vec![("free 420;", "free 420; clip from-start=1; free 410;")],
            // Mistakes, and what a merge left undecided.
            vec![("length 50;", "lenght 50;")],
            vec![("format=1", "format=2")],
            vec![("setup \"rowan/race\"", "found \"rowan/race\"")],
            vec![(
                "    fork {",
                "    conflict \"stem.length\" { ours { length 50 }; theirs { length 40 } }\n    fork {",
            )],
            vec![("hand 62 }", "conflict \"left.grip.hand\" { ours { hand 62 }; theirs { hand 60 } } }")],
        ];
        for neighbour in neighbours {
            let neighbour = changed(&neighbour);
            agrees(&[RACE, &neighbour, RACE, &neighbour, &neighbour]);
        }
    }
}
