//! The spacers above the stem: a pile of those that are left, as high as the steerer asks for.

use super::{Problem, controls, put};
use crate::carry::LOOSE;
use crate::carry::search::{self, Candidate, Pile};
use crate::catalogue::MeasureId;
use crate::catalogue::table::{SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::geometry::state::State;
use crate::setup::model::Setup;

/// What goes above a stem.
#[derive(Clone, Debug, PartialEq)]
pub struct Above {
    /// How much has to stand there, mm.
    pub wanted: f64,
    /// The pile that stands there: of those that reach, the lowest; else the tallest there is.
    pub pile: Pile,
}

impl Above {
    /// How much of what has to stand there no spacer is there for, mm.
    pub fn lacking(&self) -> f64 {
        (self.wanted - self.pile.height).max(0.0)
    }

    /// How much more stands there than has to, mm.
    pub fn over(&self) -> f64 {
        (self.pile.height - self.wanted).max(0.0)
    }
}

impl Problem<'_> {
    /// What goes above the stem: what the steerer leaves over it has to be filled with the spacers that are not below.
    /// None if nobody knows how long the steerer is.
    pub fn above(&self, candidate: &Candidate) -> Option<Above> {
        let (stem, below) = (self.stems.get(candidate.stem)?, self.piles.get(candidate.pile)?);
        let wanted = self.task.above(stem, below)?;
        Some(Above { wanted, pile: filling(&left(&self.spacers, &below.spacers), wanted) })
    }

    /// What stands above the stem: what the steerer asks for, else what stands there if the stem stays where it is.
    pub(super) fn put_above(&self, setup: &mut Setup, candidate: &Candidate) {
        let value = |setup: &Setup, row| setup.value(&MeasureId::bike(row));
        let stays = [SPACERS_BELOW, STEM_CLAMP_HEIGHT]
            .into_iter()
            .all(|row| value(setup, row) == value(&self.as_it_is, row));
        match self.above(candidate) {
            // What is lacking and leaves the headset loose has to be there before anybody rides. For less nobody makes a
            // spacer: then there stands what there is.
            Some(above) => {
                let is_loose = above.lacking() >= LOOSE;
                let stands = if is_loose { above.wanted } else { above.pile.height };
                let counted = self.above_as_it_is();
                // What is left out and counts as that already stays out.
                if value(setup, SPACERS_ABOVE).is_some()
                    || counted.is_none_or(|was| (was - stands).abs() > 1e-9)
                {
                    put(self.catalogue, setup, SPACERS_ABOVE, stands);
                }
            }
            None if !stays && value(setup, SPACERS_ABOVE).is_some() => {
                controls::put_unmeasured(setup, SPACERS_ABOVE);
            }
            None => {}
        }
    }

    /// What stands above the stem of the other bike as it is, mm: what is left out counts as nothing.
    fn above_as_it_is(&self) -> Option<f64> {
        State::recorded(self.catalogue, &self.as_it_is).value(&MeasureId::bike(SPACERS_ABOVE))
    }
}

/// The spacers that are not in a pile.
fn left(all: &[f64], pile: &[f64]) -> Vec<f64> {
    let mut left = all.to_vec();
    for spacer in pile {
        if let Some(place) = left.iter().position(|one| one.total_cmp(spacer).is_eq()) {
            left.swap_remove(place);
        }
    }
    left
}

/// The lowest pile that reaches a height, unless one that is not yet loose comes nearer; the tallest if none reaches.
fn filling(spacers: &[f64], wanted: f64) -> Pile {
    if wanted <= 1e-6 {
        return Pile { height: 0.0, spacers: Vec::new() };
    }
    let (short, reaching): (Vec<Pile>, Vec<Pile>) =
        search::piles_of_some(spacers).into_iter().partition(|pile| pile.height < wanted - 1e-6);
    let lowest = reaching.into_iter().min_by(|one, other| one.height.total_cmp(&other.height));
    let tallest = short.into_iter().max_by(|one, other| one.height.total_cmp(&other.height));
    let (Some(lowest), Some(tallest)) = (lowest.clone(), tallest.clone()) else {
        return lowest.or(tallest).unwrap_or(Pile { height: 0.0, spacers: Vec::new() });
    };
    let is_near = wanted - tallest.height < LOOSE && lowest.height - wanted >= LOOSE;
    if is_near { tallest } else { lowest }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled(spacers: &[f64], wanted: f64) -> (f64, Vec<f64>) {
        let pile = filling(spacers, wanted);
        (pile.height, pile.spacers)
    }

    #[test]
    fn what_is_left_fills_what_has_to_be_filled() {
        // Of two of 20 mm one stands below: over 7 mm only the other can stand.
        assert_eq!(left(&[20.0, 20.0], &[20.0]), [20.0]);
        assert_eq!(filled(&[20.0], 7.0), (20.0, vec![20.0]));
        assert_eq!(filled(&[10.0, 5.0, 3.0], 7.0), (8.0, vec![5.0, 3.0]));
        assert_eq!(filled(&[10.0, 5.0], 0.0), (0.0, vec![]));
        // 16 mm: 10 + 5 lack 1 mm, which is loose; with a spacer more there is none that reaches.
        assert_eq!(filled(&[10.0, 5.0], 16.0), (15.0, vec![10.0, 5.0]));
        // 15.5 mm: half a millimetre less is nearer than 4.5 more.
        assert_eq!(filled(&[20.0, 10.0, 5.0], 15.5), (15.0, vec![10.0, 5.0]));
        assert_eq!(filled(&[20.0, 10.0, 4.0], 15.5), (20.0, vec![20.0]));
    }
}
