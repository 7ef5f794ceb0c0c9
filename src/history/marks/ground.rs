//! The ground on which a mark was drawn: its slope shifts every angle against gravity that is read beside it.
//!
//! It is known from the revision that drew the line, or from a later one that writes a slope down beside the very readings of
//! that drawing. Nothing that lay between the two makes a difference.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::model::{Mark, Setup};

/// What of the ground behind an angle is told on one side only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Its slope was known when the line was drawn, and is not recorded now.
    NotRead,
    /// Its slope is recorded now, and was not when the line was drawn.
    ReadSince,
}

/// The ground of a drawing.
pub struct OfTheDrawing {
    floor: Option<Reading>,
    /// What is recorded beside it of each angle against gravity at which the line was drawn, and of what day that is.
    angles: Vec<(MeasureId, Option<OnDay>)>,
}

/// A reading and its day, by itself or by its file.
type OnDay = (Reading, Option<NaiveDate>);

impl OfTheDrawing {
    /// As the setup has it that drew the line.
    pub fn of(catalogue: &Catalogue, setup: &Setup, mark: &Mark) -> OfTheDrawing {
        let angles = mark.drawn.iter().map(|(id, _)| id);
        let angles = angles.filter(|id| catalogue.measure(id.row).gravity != Gravity::None);
        OfTheDrawing {
            floor: setup.reading(&MeasureId::bike(FLOOR)).cloned(),
            angles: angles.map(|id| (id.clone(), on_day(setup, id))).collect(),
        }
    }

    /// The slope, if it is known.
    pub fn floor(&self) -> Option<&Reading> {
        self.floor.as_ref()
    }

    /// The line went along with the bar, and reads otherwise beside what is recorded there by as much as the bar was rolled:
    /// it is told on the ground that it was drawn on, whatever the ground is there.
    pub fn goes_along(&mut self, there: OfTheDrawing) {
        if self.floor.is_none() && there.floor.is_none() {
            self.angles = there.angles;
        }
    }

    /// A slope of their day, beside the very readings that stood there, was that of the drawing, too.
    pub fn is_told_by(&mut self, setup: &Setup) {
        let floor = on_day(setup, &MeasureId::bike(FLOOR));
        let Some((floor, day)) = floor.filter(|_| self.floor.is_none() && !self.angles.is_empty()) else {
            return;
        };
        let is_of_the_drawing = |(id, drawn): &(MeasureId, Option<OnDay>)| {
            let both = drawn.as_ref().zip(on_day(setup, id));
            both.is_some_and(|((was, then), (now, since))| {
                was.is_same_reading(&now) && *then == since && since == day
            })
        };
        if self.angles.iter().all(is_of_the_drawing) {
            self.floor = Some(floor);
        }
    }

    /// What is told on one side only of this ground and that under a setup, and the angles that hang on it.
    pub fn told_on_one_side(&self, catalogue: &Catalogue, setup: &Setup) -> (Option<Ground>, Vec<String>) {
        let now = setup.reading(&MeasureId::bike(FLOOR));
        let told = match (&self.floor, now) {
            _ if self.angles.is_empty() => None,
            (Some(_), None) => Some(Ground::NotRead),
            (None, Some(_)) => Some(Ground::ReadSince),
            (Some(_), Some(_)) | (None, None) => None,
        };
        let angles = self.angles.iter().filter(|_| told.is_some());
        (told, angles.map(|(id, _)| catalogue.path(id)).collect())
    }
}

fn on_day(setup: &Setup, id: &MeasureId) -> Option<OnDay> {
    let reading = setup.reading(id)?;
    Some((reading.clone(), setup.day_of(Some(reading))))
}
