//! What a change does to the pile on the steerer: its height is set by the steerer's own, and the top cap with it.
//!
//! Whatever goes in below the stem has to come out above it. If more goes in than stands above, the stem's clamp comes
//! to stand over the steerer's end; if less stands on it than did, the top cap meets the steerer before it presses on
//! the bearings (both common practice, no source). Refuses to know how long the steerer is: no reading says.

use serde::Serialize;

use crate::catalogue::table::{HEADSET_COVER, SPACERS_ABOVE, SPACERS_BELOW, STEM_CLAMP_HEIGHT};
use crate::catalogue::{MeasureId, Row};
use crate::geometry::state::State;
use crate::metrology::show;

/// A pile that changes by less than this, mm, stays as high as it is: no spacer is as thin.
const AS_HIGH: f64 = 0.05;
/// The heights that spacers usually have, mm: common practice, no source.
pub const USUAL_SPACERS: [u16; 6] = [2, 3, 5, 10, 15, 20];

/// A pile on the steerer that becomes higher or lower, or of which nobody knows whether it does.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SteererChange {
    /// How much higher everything on the steerer becomes together, mm; below nothing if lower; none if what stands there
    /// now is not known.
    pub grows_by: Option<f64>,
    /// The spacers above the stem before the change, mm, left out as none; nothing if nobody knows.
    pub above_was: Option<f64>,
    /// Whether that is none because none are recorded.
    pub above_is_assumed: bool,
    /// How far, at least, the stem's clamp would stand over the steerer's end, mm.
    pub over_the_end: Option<f64>,
    /// The measure for want of which nobody knows whether the steerer reaches, by its title, where one is wanting.
    pub unknown_for_want_of: Option<String>,
    /// The change that would keep the pile as high as it was.
    pub instead: Option<String>,
}

impl SteererChange {
    /// Whether less stands on the steerer than did, so that the top cap meets it and leaves the headset loose.
    pub fn is_loose(&self) -> bool {
        self.grows_by.is_some_and(|grows_by| grows_by <= -AS_HIGH)
    }

    /// Whether nobody may ride so, or before somebody has looked.
    pub fn is_unsafe(&self) -> bool {
        self.over_the_end.is_some() || self.unknown_for_want_of.is_some() || self.is_loose()
    }
}

/// What stands on the steerer, from below.
const PILE: [Row; 4] = [HEADSET_COVER, SPACERS_BELOW, STEM_CLAMP_HEIGHT, SPACERS_ABOVE];

/// How much higher one part of the pile becomes; none if it becomes another and one of the two is not known. What nobody
/// knows and nobody touches stays as it is.
fn grown(from: &State, to: &State, row: Row) -> Option<f64> {
    let id = MeasureId::bike(row);
    match (from.value(&id), to.value(&id)) {
        (Some(was), Some(now)) => Some(now - was),
        (None, None) => Some(0.0),
        _ => None,
    }
}

/// What a change does to the pile; none if it stays as high as it was.
pub fn steerer(from: &State, to: &State) -> Option<SteererChange> {
    let above = MeasureId::bike(SPACERS_ABOVE);
    let title = |row: Row| from.catalogue().title(&MeasureId::bike(row));
    let grown = |row: Row| grown(from, to, row);
    let below: Option<f64> = PILE.into_iter().filter(|row| *row != SPACERS_ABOVE).map(grown).sum();
    let grows_by = below.zip(grown(SPACERS_ABOVE)).map(|(below, above)| below + above);
    let above_was = from.value(&above);
    let over_the_end =
        below.zip(above_was).map(|(rises_by, above)| rises_by - above).filter(|over| *over > AS_HIGH);
    // A stem that goes up needs spacers above it to take the place of, and only somebody who has read them knows of any.
    let rises_unseen = above_was.is_none() && below.is_some_and(|rises_by| rises_by >= AS_HIGH);
    let unknown = PILE.into_iter().find(|row| grown(*row).is_none());
    let unknown_for_want_of = unknown.or_else(|| rises_unseen.then_some(SPACERS_ABOVE)).map(title);
    let is_as_high = grows_by.is_some_and(|grows_by| grows_by.abs() < AS_HIGH);
    if is_as_high && over_the_end.is_none() && unknown_for_want_of.is_none() {
        return None;
    }
    let instead = below.filter(|_| above_was.is_some() && over_the_end.is_none()).map(|rises_by| {
        let sign = if rises_by > 0.0 { "" } else { "+" };
        format!("{}={sign}{}", from.catalogue().path(&above), show::typed(-rises_by, 3))
    });
    let above_is_assumed = above_was.is_some() && from.setup().recorded(&above).is_none();
    Some(SteererChange { grows_by, above_was, above_is_assumed, over_the_end, unknown_for_want_of, instead })
}

/// A pile of usual spacers near one that was worked out.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NearPile {
    /// Its height, mm.
    pub height: f64,
    /// Its spacers, mm each, the tallest first.
    pub spacers: Vec<u16>,
    /// How far it leaves the value that was to stay from where it was.
    pub off: f64,
    /// That in a word.
    pub direction: &'static str,
}

/// The next lower and the next higher pile of usual spacers, each as few of them as do; none if the height itself is
/// one's.
pub fn near(height: f64) -> Vec<(f64, Vec<u16>)> {
    let mut piles: Vec<Option<Vec<u16>>> = vec![Some(Vec::new())];
    // One spacer more than the highest that is asked for, so that there is a next higher one.
    while f64::from(u16::try_from(piles.len()).unwrap_or(u16::MAX)) <= height.max(0.0) + 4.0 {
        let with = |spacer: &u16| {
            let below = piles.len().checked_sub(usize::from(*spacer))?;
            let mut pile = piles.get(below)?.clone()?;
            pile.push(*spacer);
            Some(pile)
        };
        let fewest = USUAL_SPACERS.iter().filter_map(with).min_by_key(Vec::len);
        piles.push(fewest);
    }
    let piles = (0_u16..).map(f64::from).zip(piles);
    let piles: Vec<(f64, Vec<u16>)> = piles
        .filter_map(|(height, pile)| {
            let mut pile = pile?;
            pile.sort_unstable_by(|one, other| other.cmp(one));
            Some((height, pile))
        })
        .collect();
    if piles.iter().any(|(at, _)| (at - height).abs() < AS_HIGH) {
        return Vec::new();
    }
    let lower = piles.iter().rfind(|(at, _)| *at < height);
    let higher = piles.iter().find(|(at, _)| *at > height);
    lower.into_iter().chain(higher).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::near;

    #[test]
    fn the_next_piles_of_usual_spacers() {
        // By hand from 2, 3, 5, 10, 15 and 20: 19 takes three (15 + 2 + 2), 4 takes two; 1 cannot be piled.
        assert_eq!(near(19.936), [(19.0, vec![15, 2, 2]), (20.0, vec![20])]);
        assert_eq!(near(0.6), [(0.0, vec![]), (2.0, vec![2])]);
        assert_eq!(near(3.5), [(3.0, vec![3]), (4.0, vec![2, 2])]);
        for height in [0.0, 5.0, 25.0, 20.02] {
            assert!(near(height).is_empty(), "{height}");
        }
    }
}
