//! Where the controls go, and what building does to them before anybody sets them.

use super::super::screen::{Align, Label, Page, Piece, piece, plain};
use super::words::{trimmed, turned};
use crate::carry::{CarriedControl, Meanwhile, Onto, SHOWN};
use crate::catalogue::Catalogue;

/// A title and a table, if there is anything to set.
pub(super) fn said(page: &mut Page, title: &str, straighten: Option<&str>, controls: &[CarriedControl]) {
    if controls.is_empty() && straighten.is_none() {
        return;
    }
    page.title(title);
    if let Some(words) = straighten {
        page.paragraph(2, 4, &[piece(Label::Care, words.to_owned())]);
    }
    if controls.is_empty() {
        return;
    }
    let rows: Vec<Vec<Piece>> = controls
        .iter()
        .map(|control| {
            let value = piece(Label::Number, set_at(control, control.value));
            vec![value, plain(control.title.clone()), piece(Label::Quiet, so_far(control))]
        })
        .collect();
    page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
    page.paragraph(2, 4, &[piece(Label::Quiet, "Places from the tip along the bar; angles to the level.")]);
    for (is_so, words) in [
        (Onto::Added, "Not recorded there: --write writes it as carried, a figure and no reading."),
        (
            Onto::Kept,
            "Goes along: the first bike tells nothing of it. Set it back if it served where it was.",
        ),
    ] {
        if controls.iter().any(|control| control.onto == is_so) {
            page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
        }
    }
}

/// A value of a control: a place in mm, an angle as the table says it.
fn set_at(control: &CarriedControl, value: f64) -> String {
    match Catalogue::standard().find(&control.measure) {
        Some(id) if control.unit == "deg" => turned(id.row, value, "level"),
        _ => format!("{} mm", trimmed(value)),
    }
}

/// What it is now, and where it comes to before it is set.
fn so_far(control: &CarriedControl) -> String {
    let at = |value: f64| set_at(control, value);
    let is_at = |value: f64| (value - control.value).abs() < SHOWN;
    let now = control.now.filter(|now| !is_at(*now)).map(|now| format!("now {}", at(now)));
    let with = if control.meanwhile == Meanwhile::TurnsWithTheLever { "lever" } else { "bar" };
    let rest = match (control.onto, control.meanwhile, control.then) {
        (Onto::NotThere, ..) => return "not on the other bike".to_owned(),
        (Onto::Added, ..) => return "not recorded there".to_owned(),
        (Onto::Kept, Meanwhile::ComesOff, _) => "comes off with the bar: put it back so".to_owned(),
        (Onto::Kept, _, Some(_)) => format!("goes along with the {with}"),
        (Onto::Kept, ..) => format!("turns with the {with}: read it then"),
        (Onto::Set, Meanwhile::Stays, _) if control.now.is_some_and(is_at) => return "is there".to_owned(),
        (Onto::Set, Meanwhile::Stays, _) => return now.unwrap_or_default(),
        (Onto::Set, Meanwhile::ComesOff, _) => "comes off with the bar: set it".to_owned(),
        (Onto::Set, _, Some(then)) if is_at(then) => format!("comes there with the {with}"),
        (Onto::Set, _, Some(then)) => {
            let back = if now.is_none() { "set it back" } else { "set it" };
            format!("goes to {} with the {with}: {back}", at(then))
        }
        (Onto::Set, ..) => format!("turns with the {with}: set it"),
    };
    now.into_iter().chain([rest]).collect::<Vec<_>>().join(", ")
}
