//! One wave over a turn, mean + height·cos(φ − crest): what squared distances from a turning point become.
//!
//! Knows nothing of what waves; everything about it is in closed form.

use std::f64::consts::{PI, TAU};

/// A sinusoid over the angle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wave {
    mean: f64,
    height: f64,
    crest: f64,
}

impl Wave {
    /// The wave mean + cosine·cos φ + sine·sin φ.
    pub(super) fn new(mean: f64, cosine: f64, sine: f64) -> Self {
        Self { mean, height: cosine.hypot(sine), crest: sine.atan2(cosine) }
    }

    /// Its value after a turn by `angle`.
    pub(super) fn at(&self, angle: f64) -> f64 {
        self.mean + self.height * (angle - self.crest).cos()
    }

    /// The turn within half a turn at which the wave is highest.
    pub(super) fn crest(&self) -> f64 {
        wrapped(self.crest)
    }

    /// The turn within half a turn at which the wave is lowest.
    pub(super) fn trough(&self) -> f64 {
        wrapped(self.crest + PI)
    }

    /// The turns at which the wave rises to `level` and falls from it again, whole turns apart from others.
    /// None if it does not reach the level, or has no height and is always there.
    pub(super) fn reaching(&self, level: f64) -> Option<[f64; 2]> {
        let cosine = (level - self.mean) / self.height;
        let beside = (-1.0..=1.0).contains(&cosine).then(|| cosine.acos())?;
        Some([self.crest - beside, self.crest + beside])
    }
}

/// An angle brought into −π…π, half a turn counting as one to the left.
fn wrapped(angle: f64) -> f64 {
    PI - (PI - angle).rem_euclid(TAU)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wave_knows_its_crest_trough_and_levels() {
        // By hand: 2 + 3·sin φ: highest at 90°, lowest at −90°, at 3.5 where sin φ = 1/2: 30° and 150°.
        let wave = Wave::new(2.0, 0.0, 3.0);
        assert!((wave.crest() - PI / 2.0).abs() < 1e-15 && (wave.trough() + PI / 2.0).abs() < 1e-15);
        assert!((wave.at(PI / 2.0) - 5.0).abs() < 1e-15 && (wave.at(0.0) - 2.0).abs() < 1e-15);
        let [rising, falling] = wave.reaching(3.5).unwrap();
        assert!((rising - PI / 6.0).abs() < 1e-15 && (falling - 5.0 * PI / 6.0).abs() < 1e-15);
        assert_eq!(wave.reaching(5.1), None);
        assert_eq!(Wave::new(2.0, 0.0, 0.0).reaching(2.0), None);
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "exact in binary")]
    fn half_a_turn_is_to_the_left() {
        assert_eq!(Wave::new(0.0, -1.0, 0.0).crest(), PI);
        assert_eq!(Wave::new(0.0, 1.0, 0.0).trough(), PI);
    }
}
