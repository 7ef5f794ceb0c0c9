//! A position carried over, as a page: the best assembly and what it is off by, then the others.

mod controls;
mod to_fit;
mod words;
mod written;

use serde::Serialize;

use crate::carry::{self, Assembly, Carry, SHOWN, Told};
use crate::catalogue::{capital, caution, code};
use crate::metrology::show;
use crate::trial::{SaidStill, a_fault_stands};

use super::faults::faults;
use super::floor_not_read;
use super::not_tightened;
use super::replaced;
use super::said::{self, accepted, said_line};
use super::screen::{Align, Label, Page, Piece, piece, plain};

pub use to_fit::{bar_to_fit, may_not_fit_together, spacers_to_fit, stem_to_fit};
use words::{above, damaged, known_to, may_not_reach, millimetres, named, off, words};
pub use words::{forbids, stands_over};

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
    /// What is at fault in the first file, with its place.
    pub findings: Vec<String>,
    /// What is in the other bike's.
    pub findings_onto: Vec<String>,
    /// What was found.
    #[serde(flatten)]
    pub carried: Carry,
    /// Whether one was to be written.
    #[serde(skip)]
    pub asked_to_write: bool,
    /// The name under which one was written.
    pub written: Option<String>,
    /// Which one, counted from 1.
    pub picked: Option<usize>,
    /// What is told of that one, where it is not the nearest, of which all else is told.
    pub of_the_written: Option<Told>,
    /// Whether that one, else the best, is not to be built as it is.
    #[serde(skip)]
    pub is_unsound: bool,
}

impl CarryReport {
    /// Its schema.
    pub const SCHEMA: &str = "clampmark.carry/1";

    /// Fills the page.
    pub fn write(&self, page: &mut Page) {
        page.title(format!("The hands of {} on {}", self.setup, self.onto));
        faults(page, &self.setup, &self.findings);
        faults(page, &self.onto, &self.findings_onto);
        for words in self.carried.front_brake.iter().chain(&self.carried.front_brake_cautions) {
            page.paragraph(2, 4, &[piece(Label::Care, words.clone())]);
            page.blank();
        }
        if let Some(disagreed) = &self.carried.steerer_disagreed {
            let words = capital(&disagreed.words(&self.onto));
            let help = " Measure it first: on another length the headset is left loose, or the stem's clamp stands over the \
                        steerer's end. Do not ride so.";
            page.paragraph(2, 4, &[piece(Label::Danger, words), plain(help)]);
            page.blank();
        }
        if !self.carried.damage_in_the_box.is_empty() {
            let words = format!("The box tells of damage: {}.", self.carried.damage_in_the_box.join("; "));
            let help = " Build nothing with a part that has it until a qualified mechanic has passed it.";
            page.paragraph(2, 4, &[piece(Label::Danger, words), plain(help)]);
            page.blank();
        }
        let is_damaged = said::damage_stands(&self.carried.told.stands);
        if is_damaged {
            self.stands(page);
            page.blank();
        }
        if let Some(best) = self.carried.assemblies.first() {
            self.best(page, best);
        }
        if let Some(replaced) = &self.carried.told.replaced {
            page.blank();
            replaced::said(page, replaced);
        }
        if !is_damaged {
            self.stands(page);
        }
        self.said(page);
        self.others(page);
        controls::said(page, "Then set", self.carried.straighten.as_deref(), &self.carried.told.controls);
        floor_not_read::said_inside(page, &self.carried.floor_not_read);
        if !self.carried.told.opens.joints.is_empty() {
            page.blank();
            not_tightened::said(page, &self.carried.told.opens);
        }
        for note in &self.carried.notes {
            page.blank();
            page.paragraph(2, 4, &[piece(Label::Quiet, note.clone())]);
        }
        self.comes_apart(page);
        self.what_was_written(page);
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
            page.paragraph(4, 4, &[plain(self.as_it_stands(stands, best))]);
        }
        self.put_together(page, best);
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

    /// That steering and brakes come apart, and what is done before anybody rides; nothing does where nothing is changed.
    fn comes_apart(&self, page: &mut Page) {
        page.blank();
        if self.carried.is_as_it_stands && self.of_the_written.is_none() {
            let words = format!("Nothing is to be changed on {}.", self.onto);
            return page.paragraph(2, 4, &[plain(words)]);
        }
        let lead = piece(Label::Care, "Steering and brakes come apart for this. ");
        page.paragraph(2, 4, &[lead, plain(caution::MECHANIC)]);
        let checks = format!("Before riding: {}", caution::STANDING_CHECKS.join(" "));
        page.paragraph(2, 4, &[plain(checks)]);
    }

    /// What goes above its stem, and whether stem and bar go together.
    fn put_together(&self, page: &mut Page, assembly: &Assembly) {
        if let Some(words) = damaged(assembly) {
            page.paragraph(4, 4, &[piece(Label::Danger, words)]);
        }
        if let Some(words) = may_not_reach(assembly) {
            page.paragraph(4, 4, &[piece(Label::Danger, words)]);
        }
        if let Some(words) = above(assembly) {
            let label = if assembly.is_loose() { Label::Danger } else { Label::Plain };
            page.paragraph(4, 4, &[piece(label, words)]);
        }
        if let Some(words) = &assembly.rolled_too_far {
            page.paragraph(4, 4, &[piece(Label::Care, words.clone())]);
        }
        if assembly.may_not_fit {
            page.paragraph(4, 4, &[piece(Label::Care, self.may_not_fit(assembly))]);
        }
    }

    fn as_it_stands(&self, stands: f64, best: &Assembly) -> String {
        let onto = &self.onto;
        let but = self.carried.as_it_stands_but.join(", ");
        let so =
            if but.is_empty() { "As it stands, ".to_owned() } else { format!("As it stands, but {but}: ") };
        if stands < SHOWN {
            return format!("{so}{onto} has them there already.");
        }
        let nothing = if stands <= best.distance + SHOWN { ": nothing here brings them nearer" } else { "" };
        format!("{so}{onto} misses by {}{nothing}.", millimetres(stands))
    }

    /// What is known of both clamp diameters, and where it stands.
    fn may_not_fit(&self, best: &Assembly) -> String {
        let known = |part: &str, name: &str, across: Option<f64>, is_own: bool| {
            let across =
                across.map_or("not recorded".to_owned(), |across| format!("{} mm", show::brief(across)));
            let named = named(part, name);
            match &self.parts {
                Some(parts) if !is_own => format!("{named} {across} (clamp-diameter in {parts})"),
                _ => format!("{named} {across} (bar.clamp-diameter of {})", self.onto),
            }
        };
        format!(
            "Whether that stem takes that bar is not known. Clamp diameters: {}, {}. Compare them first.",
            known("stem", &best.stem, best.stem_clamp_diameter, best.stem == carry::OWN),
            known("bar", &best.bar, best.bar_clamp_diameter, best.bar_is_own),
        )
    }

    fn said(&self, page: &mut Page) {
        self.appears(page);
        said::otherwise(page, &self.carried.told.otherwise);
        accepted(page, &self.carried.told.stands_accepted, &self.carried.told.accepted);
    }

    /// What stands on the other bike already, before what is new.
    fn stands(&self, page: &mut Page) {
        let Carry { told: Told { stands, .. }, stands_in_all, .. } = &self.carried;
        let stands = &without_the_front_brake(stands);
        if stands.is_empty() {
            return;
        }
        page.title(format!("Stands already on {}", self.onto));
        if *stands_in_all {
            let words = format!(
                " Every assembly listed here has it: no part of the box mends that. Put it right on {} first.",
                self.onto
            );
            page.paragraph(2, 4, &[piece(Label::Danger, "Do not ride so."), plain(words)]);
        } else if a_fault_stands(stands) {
            self.not_to_build(page);
        } else {
            let words = format!(" Put it right on {}, too.", self.onto);
            page.paragraph(2, 4, &[piece(Label::Danger, "Do not ride so."), plain(words)]);
        }
        said::stands_lines(page, stands);
    }

    fn appears(&self, page: &mut Page) {
        let Carry { told: Told { appears, stands, .. }, stands_in_all, .. } = &self.carried;
        let is_told = *stands_in_all || a_fault_stands(stands);
        let tells = self.carried.is_unsound() && !is_told;
        if appears.is_empty() && !tells {
            return;
        }
        page.title("New to say");
        if tells {
            self.not_to_build(page);
        }
        for said in appears {
            said_line(page, said);
        }
    }

    /// That the best is not to be built, and which of the others is.
    fn not_to_build(&self, page: &mut Page) {
        let sound = self.carried.sound.and_then(|place| Some((place, self.carried.assemblies.get(place)?)));
        let next = match sound {
            Some((place, next)) => format!(
                " The next without a fault and with spacers enough is number {}: {}, {}.{}",
                place + 1,
                millimetres(next.distance),
                words(next),
                if next.may_not_fit { format!(" {}", self.may_not_fit(next)) } else { String::new() }
            ),
            None if self.carried.assemblies.len() > 1 => {
                format!(" Each of those below has {} or lacks spacers, too.", self.amiss())
            }
            None => String::new(),
        };
        page.paragraph(2, 4, &[piece(Label::Danger, "Do not build it so."), plain(next)]);
    }

    /// What can be amiss with an assembly, but for its spacers.
    fn amiss(&self) -> &'static str {
        if self.carried.damage_in_the_box.is_empty() { "a fault" } else { "a fault, a damaged part" }
    }

    fn others(&self, page: &mut Page) {
        let rows: Vec<Vec<Piece>> = (1..).zip(&self.carried.assemblies).skip(1).map(row).collect();
        if rows.is_empty() {
            return;
        }
        page.title("The next nearest");
        page.table(2, &[Align::Right, Align::Right, Align::Left], &rows);
        if self.carried.assemblies.iter().skip(1).any(is_alike) {
            let words = format!("{ALIKE}: by these readings it cannot be told whether the first is nearer.");
            page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
        }
    }
}

/// What stands without that of the front brake's hand, which the page begins with.
fn without_the_front_brake(stands: &[SaidStill]) -> Vec<SaidStill> {
    let is_other = |still: &&SaidStill| still.said.code != code::FRONT_BRAKE_HAND.name;
    stands.iter().filter(is_other).cloned().collect()
}

/// Stands before the distance of an assembly that cannot be told from the first.
const ALIKE: char = '≈';

fn is_alike(assembly: &Assembly) -> bool {
    assembly.told_apart == Some(false)
}

/// An assembly with its number in the list.
fn row((number, assembly): (usize, &Assembly)) -> Vec<Piece> {
    let distance = millimetres(assembly.distance);
    let distance = if is_alike(assembly) { format!("{ALIKE} {distance}") } else { distance };
    vec![piece(Label::Quiet, number.to_string()), piece(Label::Number, distance), plain(words(assembly))]
}
