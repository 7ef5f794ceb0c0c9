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
    Catalogue::with_rows(ROWS.iter().cloned().chain(shares).chain([elbow]).collect())
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
