//! The verdict on a difference between two values, from its size and its uncertainty.
//!
//! This module does not know what the two values are of, nor what can move.

use serde::Serialize;

use super::NEGLIGIBLE;

/// What is said of one measure or one derived value when two states are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The two values are equal.
    Same,
    /// They differ by no more than reading them can explain.
    WithinReading,
    /// They differ by more than that.
    Moved,
    /// They differ by more than that, but nothing there can move: one of them was read wrongly.
    ReRead,
    /// A derived value differs only because readings of what cannot move were replaced.
    Corrected,
    /// Only the later state has it.
    Recorded,
    /// Only the earlier state has it.
    NotRecorded,
    /// A partial sheet does not have it, so nothing is known.
    NotLookedAt,
}

impl Verdict {
    /// The verdict in words, for a screen.
    pub const fn word(self) -> &'static str {
        match self {
            Verdict::Same => "same",
            Verdict::WithinReading => "within reading",
            Verdict::Moved => "moved",
            Verdict::ReRead => "re-read",
            Verdict::Corrected => "corrected",
            Verdict::Recorded => "recorded",
            Verdict::NotRecorded => "not recorded",
            Verdict::NotLookedAt => "not looked at",
        }
    }

    /// Whether something physically moved.
    pub const fn is_move(self) -> bool {
        matches!(self, Verdict::Moved)
    }
}

/// The size of the `E_n` score, |Δ|/U(Δ), with U the expanded uncertainty of the difference (ISO 13528,
/// ISO/IEC 17043; they keep the sign of Δ). Infinite when U is 0 and Δ is not; 0 when both are.
pub fn normalised_error(delta: f64, expanded: f64) -> f64 {
    if delta == 0.0 { 0.0 } else { (delta / expanded).abs() }
}

/// The verdict on a difference `delta` with expanded uncertainty `expanded`, both in one unit: *same* below 1e-9,
/// *moved* when `E_n` exceeds 1 (by more than rounding) or nothing is uncertain, else *within reading*.
pub fn judge(delta: f64, expanded: f64) -> Verdict {
    if delta.abs() < NEGLIGIBLE {
        Verdict::Same
    } else if normalised_error(delta, expanded) <= 1.0 + 1e-9 {
        Verdict::WithinReading
    } else {
        Verdict::Moved
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Verdict; 8] = [
        Verdict::Same,
        Verdict::WithinReading,
        Verdict::Moved,
        Verdict::ReRead,
        Verdict::Corrected,
        Verdict::Recorded,
        Verdict::NotRecorded,
        Verdict::NotLookedAt,
    ];

    #[test]
    fn json_says_the_words_with_hyphens() {
        for verdict in ALL {
            let json = serde_json::to_string(&verdict).expect("a verdict is a plain word");
            assert_eq!(json, format!("\"{}\"", verdict.word().replace(' ', "-")));
        }
    }

    #[test]
    fn only_moved_is_a_move() {
        assert_eq!(ALL.into_iter().filter(|verdict| verdict.is_move()).collect::<Vec<_>>(), [Verdict::Moved]);
    }

    #[test]
    fn same_is_tested_first() {
        assert_eq!(judge(9e-10, 0.0), Verdict::Same);
        assert_eq!(judge(-9e-10, 1e-12), Verdict::Same);
    }

    #[test]
    fn an_exact_difference_has_moved() {
        assert!(normalised_error(1e-6, 0.0).is_infinite());
        assert_eq!(judge(1e-6, 0.0), Verdict::Moved);
    }

    #[test]
    fn nothing_over_nothing_is_nothing() {
        assert!(normalised_error(0.0, 0.0).abs() < f64::EPSILON);
    }

    #[test]
    fn what_is_not_a_number_is_never_excused() {
        assert_eq!(judge(f64::NAN, 1.0), Verdict::Moved);
        assert_eq!(judge(1.0, f64::NAN), Verdict::Moved);
    }
}
