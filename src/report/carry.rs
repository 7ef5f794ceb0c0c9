//! A position carried over, as a page: the best assembly and what it is off by, then the others.

use serde::Serialize;

use crate::carry::{self, Assembly, CarriedControl, Carry, Onto, SHOWN};
use crate::catalogue::table::{BAR_ROLL, STEM_ANGLE};
use crate::catalogue::{Catalogue, Row, caution};
use crate::metrology::show;

use super::replaced;
use super::screen::{Align, Label, Page, Piece, piece, plain};
use super::trial::said_line;

/// The result of `carry`.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CarryReport {
    /// `clampmark.carry/1`
    pub schema: &'static str,
    /// The setup whose hands are wanted.
    pub setup: String,
    /// The other bike.
    pub onto: String,
    /// The box of parts.
    pub parts: Option<String>,
    /// What was found.
    #[serde(flatten)]
    pub carried: Carry,
    /// The name under which the best was written.
    pub written: Option<String>,
}

impl CarryReport {
    /// Its schema.
    pub const SCHEMA: &str = "clampmark.carry/1";

    /// Fills the page.
    pub fn write(&self, page: &mut Page) {
        page.title(format!("The hands of {} on {}", self.setup, self.onto));
        if let Some(best) = self.carried.assemblies.first() {
            self.best(page, best);
        }
        if let Some(replaced) = &self.carried.replaced {
            replaced::said(page, replaced);
        }
        self.said(page);
        self.others(page);
        controls(page, self.carried.straighten.as_deref(), &self.carried.controls);
        for note in &self.carried.notes {
            page.blank();
            page.paragraph(2, 4, &[piece(Label::Quiet, note.clone())]);
        }
        page.blank();
        page.paragraph(
            2,
            4,
            &[piece(Label::Care, "Steering and brakes come apart for this. "), plain(caution::MECHANIC)],
        );
        if let Some(name) = &self.written {
            page.paragraph(2, 4, &[plain(format!("Written as {name}."))]);
        }
    }

    fn best(&self, page: &mut Page, best: &Assembly) {
        page.paragraph(
            2,
            4,
            &[
                piece(Label::Number, known_to(best)),
                plain(format!("  the nearest of {} assemblies: {}.", self.carried.considered, words(best))),
            ],
        );
        if let Some(stands) = self.carried.as_it_stands {
            let nothing =
                if stands <= best.distance + SHOWN { ": nothing here brings them nearer" } else { "" };
            let words = format!("As it stands, {} misses by {}{nothing}.", self.onto, millimetres(stands));
            page.paragraph(4, 4, &[plain(words)]);
        }
        if best.spacers_above >= SHOWN {
            page.paragraph(4, 4, &[plain(above(best))]);
        }
        if best.may_not_fit {
            let words = "Whether that stem takes that bar is not known: compare their clamp diameters first.";
            page.paragraph(4, 4, &[piece(Label::Care, words)]);
        }
        match &self.carried.would_be_exact {
            None => page.paragraph(4, 4, &[plain("The hands come to the very place.")]),
            Some(exact) => {
                page.paragraph(4, 4, &[plain(off(best))]);
                for sentence in &exact.sentences {
                    page.paragraph(4, 4, &[plain(sentence.clone())]);
                }
            }
        }
    }

    fn said(&self, page: &mut Page) {
        if self.carried.appears.is_empty() {
            return;
        }
        page.title("New to say");
        if self.carried.is_unsound() {
            let next = match self.carried.sound.and_then(|place| self.carried.assemblies.get(place)) {
                Some(next) => {
                    format!(" The next without a fault: {}, {}.", millimetres(next.distance), words(next))
                }
                None => " None of those below is without a fault.".to_owned(),
            };
            page.paragraph(2, 4, &[piece(Label::Danger, "Do not build it so."), plain(next)]);
        }
        for said in &self.carried.appears {
            said_line(page, said);
        }
    }

    fn others(&self, page: &mut Page) {
        let rows: Vec<Vec<Piece>> = self.carried.assemblies.iter().skip(1).map(row).collect();
        if rows.is_empty() {
            return;
        }
        page.title("The next nearest");
        page.table(2, &[Align::Right, Align::Left], &rows);
    }
}

fn millimetres(value: f64) -> String {
    format!("{} mm", show::plain(value, 1))
}

/// A distance with how well it is known.
fn known_to(assembly: &Assembly) -> String {
    let Some(uncertainty) = assembly.uncertainty else { return millimetres(assembly.distance) };
    let (distance, expanded) = show::with_uncertainty(assembly.distance, uncertainty, 1);
    format!("{distance} ± {expanded} mm")
}

fn trimmed(value: f64) -> String {
    let text = show::plain(value, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// What has to stand above the stem, and what of it nobody has.
fn above(assembly: &Assembly) -> String {
    let (above, lacking) = (trimmed(assembly.spacers_above), trimmed(assembly.spacers_lacking));
    if assembly.spacers_lacking < SHOWN {
        return format!("{above} mm of spacers go above the stem.");
    }
    format!(
        "{above} mm of spacers have to go above the stem, and {lacking} mm of them are not there: without them the top \
         cap meets the steerer before it presses on the bearings."
    )
}

/// What an assembly is made of.
fn words(assembly: &Assembly) -> String {
    let over = if assembly.flipped { " turned over" } else { "" };
    let spacers = match assembly.spacers.len() {
        0 => "no spacers below".to_owned(),
        1 => format!("1 spacer of {} mm below", trimmed(assembly.spacers_below)),
        many => format!("{many} spacers below, {} mm", trimmed(assembly.spacers_below)),
    };
    format!(
        "stem {}{over} ({} mm, {}), {spacers}, bar {} {}",
        assembly.stem,
        trimmed(assembly.stem_length),
        turned(STEM_ANGLE, assembly.stem_angle, "level"),
        assembly.bar,
        rolled(assembly.roll),
    )
}

fn turned(row: Row, degrees: f64, none: &str) -> String {
    carry::turned(Catalogue::standard(), row, degrees, none)
}

fn rolled(degrees: f64) -> String {
    match &*turned(BAR_ROLL, degrees, "") {
        "" => "not rolled".to_owned(),
        turned => format!("rolled {turned}"),
    }
}

/// What is left over, in words.
fn off(assembly: &Assembly) -> String {
    let ways = [
        (assembly.off_x, "further forward", "further back"),
        (assembly.off_z, "higher", "lower"),
        (assembly.off_span, "wider apart", "closer together"),
    ];
    let words: Vec<String> = ways
        .into_iter()
        .filter(|(value, ..)| value.abs() >= SHOWN)
        .map(|(value, more, less)| {
            format!("{} {}", millimetres(value.abs()), if value < 0.0 { less } else { more })
        })
        .collect();
    match &words[..] {
        [] => "The hands end within 0.05 mm of the wanted place.".to_owned(),
        [only] => format!("The hands end {only} than wanted."),
        [first @ .., last] => format!("The hands end {} and {last} than wanted.", first.join(", ")),
    }
}

fn row(assembly: &Assembly) -> Vec<Piece> {
    vec![piece(Label::Number, millimetres(assembly.distance)), plain(words(assembly))]
}

/// A value of a control: a place in mm, an angle as the table says it.
fn set_at(control: &CarriedControl, value: f64) -> String {
    match Catalogue::standard().find(&control.measure) {
        Some(id) if control.unit == "deg" => turned(id.row, value, "level"),
        _ => format!("{} mm", trimmed(value)),
    }
}

fn controls(page: &mut Page, straighten: Option<&str>, controls: &[CarriedControl]) {
    if controls.is_empty() && straighten.is_none() {
        return;
    }
    page.title("Then set");
    if let Some(words) = straighten {
        page.paragraph(2, 4, &[piece(Label::Care, words.to_owned())]);
    }
    if controls.is_empty() {
        return;
    }
    let rows: Vec<Vec<Piece>> = controls
        .iter()
        .map(|control| {
            let now = match (control.onto, control.now) {
                (Onto::NotThere, _) => "not on the other bike".to_owned(),
                (Onto::Set, Some(now)) if (now - control.value).abs() < 0.05 => "is there".to_owned(),
                (Onto::Set, Some(now)) => format!("now {}", set_at(control, now)),
                (Onto::Set, None) => String::new(),
            };
            let value = piece(Label::Number, set_at(control, control.value));
            vec![value, plain(control.title.clone()), piece(Label::Quiet, now)]
        })
        .collect();
    page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
    page.paragraph(2, 4, &[piece(Label::Quiet, "Places from the tip along the bar; angles to the level.")]);
}
