//! What keeps a bike from being ridden and is not in the merged file: asked of the outcome, for a note or a damage may go in
//! many ways: alone, with its paragraph, with the group around it.

use std::collections::BTreeMap;

use crate::check::not_to_ride;
use crate::setup::model::Setup;

use super::notes::matched;
use super::session::Side;

/// A sentence for each stop that a side has and the merged file has not, be it in other words.
pub fn gone(ours: &Setup, theirs: &Setup, merged: &Setup) -> Vec<String> {
    let mut said = Vec::new();
    for (had, taken_by) in [(ours, Side::Theirs), (theirs, Side::Ours)] {
        for (path, text) in without(had, merged) {
            said.push(format!(
                "`{path}`: \"{text}\" is no longer there, as {} have it: make sure that it is put right before anybody \
                 rides.",
                taken_by.they()
            ));
        }
    }
    said
}

/// The stops of one that the other has not: notes may have changed in their words, each damage is one of its own.
fn without(had: &Setup, merged: &Setup) -> Vec<(String, String)> {
    let (notes, others) = (notes(had), notes(merged));
    let mut without = Vec::new();
    for (path, texts) in notes {
        let here = others.get(&path).map(Vec::as_slice).unwrap_or_default();
        let lost = matched(&texts, here).into_iter().zip(texts).filter(|(found, _)| found.is_none());
        without.extend(lost.map(|(_, text)| (path.clone(), text)));
    }
    let is_there = |on: &str, text: &str| {
        merged.damages.iter().any(|damage| damage.on.value == on && damage.text.value == text)
    };
    let damages = had.damages.iter().map(|damage| (&damage.on.value, &damage.text.value));
    let lost = damages.filter(|(on, text)| !is_there(on, text));
    without.extend(lost.map(|(on, text)| ("damage".to_owned(), format!("{on}: {}", on_one_line(text)))));
    without
}

/// The beginnings of the notes by which nobody is to ride, by the notes' paths: what a note says further on is not why.
fn notes(setup: &Setup) -> BTreeMap<String, Vec<String>> {
    let mut notes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for note in not_to_ride::notes(setup) {
        let path = if note.on.is_empty() { "note".to_owned() } else { format!("{}.note", note.on) };
        let beginning = note.text.value.split("\n\n").next().unwrap_or_default();
        notes.entry(path).or_default().push(on_one_line(beginning));
    }
    notes
}

fn on_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
