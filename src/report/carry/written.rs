//! Which assembly was written, and what is told of that one where it is not the nearest.

use super::super::not_tightened;
use super::super::replaced;
use super::super::said::{self, accepted, said_line};
use super::super::screen::{Label, Page, piece, plain};
use super::words::{known_to, off, words};
use super::{CarryReport, controls, without_the_front_brake};
use crate::carry::{Assembly, Told};

impl CarryReport {
    /// Which of them was written, and why not the nearest; or why none was.
    pub(super) fn what_was_written(&self, page: &mut Page) {
        let place = self.picked.unwrap_or(1);
        let sound = self.carried.first_sound().map(|place| place + 1);
        let Some(name) = &self.written else {
            if self.asked_to_write {
                let words =
                    format!("Nothing was written: each of these has {} or lacks spacers.", self.amiss());
                let help = " Add parts to the box; or --pick N writes the Nth of the list all the same, with a note in it \
                            that it is not to be ridden so.";
                page.paragraph(2, 4, &[piece(Label::Danger, words), plain(help)]);
            }
            return;
        };
        let written = if place == 1 {
            format!("Written as {name}.")
        } else {
            let first = if Some(place) == sound { ", the first without a fault" } else { "" };
            format!("Written as {name}: number {place} of the list{first}.")
        };
        page.paragraph(2, 4, &[plain(written)]);
        self.not_to_ride(page, place);
        if let Some((told, assembly)) =
            self.of_the_written.as_ref().zip(self.carried.assemblies.get(place - 1))
        {
            self.told(page, place, assembly, told);
        }
    }

    fn not_to_ride(&self, page: &mut Page, place: usize) {
        let written = self.carried.assemblies.get(place - 1);
        let noted = " A note in the file says so.";
        let (why, told) = if written.is_some_and(Assembly::is_loose) {
            ("it lacks spacers above the stem", noted)
        } else if written.is_some_and(|one| !one.damaged.is_empty()) {
            ("a part of it is damaged", noted)
        } else if self.is_unsound {
            ("it has a fault", " `clampmark check` names it.")
        } else if self.carried.steerer_disagreed.is_some() {
            ("how long the steerer is has to be measured first", noted)
        } else if written.is_some_and(|one| one.may_not_reach.is_some()) {
            ("whether the steerer is long enough has to be measured first", noted)
        } else if self.carried.front_brake.is_some() {
            ("its front brake has to be settled first, as said above", noted)
        } else {
            return;
        };
        page.paragraph(2, 4, &[piece(Label::Danger, format!("Do not ride it so: {why}.")), plain(told)]);
    }

    /// What the page tells of the nearest, of the one that was written in its place.
    fn told(&self, page: &mut Page, place: usize, assembly: &Assembly, told: &Told) {
        page.title(format!("Number {place}, which was written"));
        let words = format!("  {}.", words(assembly));
        page.paragraph(2, 4, &[piece(Label::Number, known_to(assembly)), plain(words)]);
        self.put_together(page, assembly);
        page.paragraph(4, 4, &[plain(off(assembly))]);
        if let Some(replaced) = &told.replaced {
            page.blank();
            replaced::said(page, replaced);
        }
        let stands = without_the_front_brake(&told.stands);
        if !stands.is_empty() {
            page.title(format!("Stands already on {}", self.onto));
            let words = format!(" Put it right on {}, too.", self.onto);
            page.paragraph(2, 4, &[piece(Label::Danger, "Do not ride so."), plain(words)]);
            said::stands_lines(page, &stands);
        }
        if !told.appears.is_empty() {
            page.title(format!("New to say of number {place}"));
            for said in &told.appears {
                said_line(page, said);
            }
        }
        said::otherwise(page, &told.otherwise);
        accepted(page, &told.stands_accepted, &told.accepted);
        if told.controls != self.carried.told.controls {
            let straighten = self.carried.straighten.as_deref();
            controls::said(page, &format!("Then set, on number {place}"), straighten, &told.controls);
        }
        if told.opens != self.carried.told.opens {
            page.blank();
            not_tightened::said(page, &told.opens);
        }
    }
}
