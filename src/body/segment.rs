//! The three lengths of the body that the arm line needs, and what the open survey says of them.
//!
//! A length the rider recorded counts. One that is not recorded is stature times a ratio of the survey, which is
//! kept as a row of a table of its own: it stands in no file, counts as the survey's mean with the survey's spread
//! for its tolerance, and so goes through the same propagation as every reading. Knows nothing of postures.

use std::sync::LazyLock;

use crate::catalogue::measure::Measure;
use crate::catalogue::table::{RIDER_FOREARM, RIDER_STATURE, RIDER_TORSO, RIDER_UPPER_ARM, ROWS};
use crate::catalogue::{Catalogue, MeasureId, Row};
use crate::geometry::cockpit::bike;
use crate::geometry::state::Lookup;
use crate::metrology::propagate::Number;
use crate::metrology::show::{brief, plain};
use crate::setup::model::Setup;

/// One length of the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Segment {
    /// From the seat to the point of the shoulder.
    Torso,
    /// From the point of the shoulder to the elbow.
    UpperArm,
    /// From the elbow to the middle of the grip.
    Forearm,
}

/// What the survey says of a segment.
struct Figure {
    path: &'static str,
    recorded: Row,
    /// Mean share of stature.
    share: f64,
    /// Two standard deviations of that share.
    two_deviations: f64,
}

/// Shares of stature and their spread in ANSUR II (2012, report NATICK/TR-15/007, public data of 4082 men and 1986
/// women). The deviation of a share is the residual deviation about the stature line, s·√(1 − r²), over the mean
/// stature; of men and women the wider is taken, to four places.
///
/// - Upper arm (acromion–radiale): s 17.165, r 0.793, stature 1628.473 (women): 10.457/1628.473 = 0.0064.
/// - Forearm (elbow to the centre of grip): s 18.02; its r is not published with the rest, so that of
///   radiale–stylion, the less correlated of the two lengths it lies between, stands in: r 0.687 (women):
///   13.095/1628.473 = 0.0080. That errs on the wide side.
/// - Torso (sitting acromial height): s 27.83; its r is not published with the rest either, so the lowest that is,
///   the hand's, stands in: r 0.646 (women): 21.243/1628.473 = 0.0130. That errs on the wide side too.
static FIGURES: [Figure; 3] = [
    Figure { path: "body.torso-share", recorded: RIDER_TORSO, share: 0.343, two_deviations: 2.0 * 0.0130 },
    Figure {
        path: "body.upper-arm-share",
        recorded: RIDER_UPPER_ARM,
        share: 0.191,
        two_deviations: 2.0 * 0.0064,
    },
    Figure {
        path: "body.forearm-share",
        recorded: RIDER_FOREARM,
        share: 0.199,
        two_deviations: 2.0 * 0.0080,
    },
];

/// How far the elbow is opened, degrees: 165 unless told, give or take 5.
const ELBOW: (&str, f64, f64) = ("body.elbow-opening", 165.0, 5.0);
/// Narrowest and widest opening that can be asked for, degrees: an arm does not fold to nothing, nor bend backwards.
pub const ELBOW_SPAN: (f64, f64) = (60.0, 180.0);

static TABLE: LazyLock<Catalogue> = LazyLock::new(|| {
    let shares = FIGURES.iter().map(|figure| {
        Measure::ratio(figure.path, 0.0, 1.0, figure.two_deviations).absent_counts(figure.share)
    });
    let (path, opening, tolerance) = ELBOW;
    let elbow = Measure::angle(path, ELBOW_SPAN.0, ELBOW_SPAN.1, tolerance).absent_counts(opening);
    Catalogue::with_rows(ROWS.iter().cloned().chain(shares).chain([elbow]).collect::<Vec<_>>())
});

/// The standard table with the body's own rows behind it.
pub fn table() -> &'static Catalogue {
    &TABLE
}

/// A row of the body, by its place behind the standard ones.
fn own_row(place: usize) -> MeasureId {
    // The standard table is far shorter than a u16 counts: its rows are numbered by one.
    MeasureId::bike(Row(u16::try_from(ROWS.len() + place).unwrap_or(u16::MAX)))
}

/// The elbow's opening, as a measure of [`table`].
pub fn elbow() -> MeasureId {
    own_row(FIGURES.len())
}

impl Segment {
    /// All three.
    pub const ALL: [Segment; 3] = [Segment::Torso, Segment::UpperArm, Segment::Forearm];

    /// In plain words.
    pub fn word(self) -> &'static str {
        match self {
            Segment::Torso => "torso",
            Segment::UpperArm => "upper arm",
            Segment::Forearm => "forearm",
        }
    }

    fn article(self) -> &'static str {
        if self == Segment::UpperArm { "An" } else { "A" }
    }

    fn figure(self) -> &'static Figure {
        &FIGURES[self as usize]
    }

    /// The measure that records it.
    pub fn recorded(self) -> MeasureId {
        MeasureId::bike(self.figure().recorded)
    }

    /// Its share of stature, as a measure of [`table`].
    pub fn share(self) -> MeasureId {
        own_row(self as usize)
    }

    /// Mean share of stature and its tolerance.
    pub fn survey(self) -> (f64, f64) {
        (self.figure().share, self.figure().two_deviations)
    }

    /// Its length in mm: as recorded, else stature times its share; none if neither is known.
    pub fn length<N: Number>(self, numbers: &dyn Lookup<N>) -> Option<N> {
        bike(numbers, self.figure().recorded)
            .or_else(|| Some(bike(numbers, RIDER_STATURE)? * numbers.get(&self.share())?))
    }
}

/// A length further from the survey's share of the stature than so many times that share's spread is nobody's: four
/// standard deviations, beyond which one of some ten thousand is.
const NOBODYS: f64 = 2.0;

/// A length that does not go with the stature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AtOdds {
    /// Which.
    pub measure: MeasureId,
    /// That it does not, in one sentence.
    pub words: String,
}

/// The lengths of the rider that do not go with the stature, beyond what reading explains.
pub fn at_odds(setup: &Setup) -> Vec<AtOdds> {
    let Some(stature) = setup.reading(&MeasureId::bike(RIDER_STATURE)) else { return Vec::new() };
    let odd = |segment: Segment| {
        let measure = segment.recorded();
        let (length, (share, spread)) = (setup.reading(&measure)?, segment.survey());
        let (by_survey, widest) = (stature.value() * share, NOBODYS * spread * stature.value());
        let read = length.expanded_uncertainty().hypot(share * stature.expanded_uncertainty());
        let words = format!(
            "{} {} of {} mm and a stature of {} mm do not go together: by an open survey it is {} mm, and nobody's is more \
             than {} mm off that.",
            segment.article(),
            segment.word(),
            brief(length.value()),
            brief(stature.value()),
            plain(by_survey, 0),
            plain(widest, 0),
        );
        ((length.value() - by_survey).abs() > widest + read).then_some(AtOdds { measure, words })
    };
    Segment::ALL.into_iter().filter_map(odd).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    /// 0.343, 0.191 and 0.199 of 1780 are 610.5, 340.0 and 354.2; four deviations of 0.0130, 0.0064 and 0.0080 are 92.6,
    /// 45.6 and 57.0; readings of 5 mm add at most 2·5/√3 = 5.8 and a third of that again.
    #[test]
    fn lengths_that_nobody_has_together_are_told() {
        let told = |lengths: &str| -> Vec<String> {
            let text = format!("setup \"rowan/race\" format=1 {{ rider {{ stature 1780; {lengths} }} }}");
            let setup = read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup");
            at_odds(&setup).into_iter().map(|odd| odd.words).collect()
        };
        assert_eq!(told("torso 700; upper-arm 300; forearm 410"), Vec::<String>::new());
        assert_eq!(told("upper-arm 380"), Vec::<String>::new());
        assert_eq!(
            told("torso 712; upper-arm 393; forearm 290"),
            [
                "A torso of 712 mm and a stature of 1780 mm do not go together: by an open survey it is 611 mm, and nobody's \
                 is more than 93 mm off that.",
                "An upper arm of 393 mm and a stature of 1780 mm do not go together: by an open survey it is 340 mm, and \
                 nobody's is more than 46 mm off that.",
                "A forearm of 290 mm and a stature of 1780 mm do not go together: by an open survey it is 354 mm, and \
                 nobody's is more than 57 mm off that.",
            ]
        );
    }
}
