//! Uncertainties against the propagation of distributions (JCGM 101:2008): a million draws of every reading, each
//! rectangular over its half-width, through the same model; U is twice the standard deviation of what comes out.
//!
//! Which readings two revisions share is known here from how they were made, not asked of the program.

use clampmark::catalogue::Catalogue;
use clampmark::geometry::derived::{All, DERIVED};
use clampmark::geometry::state::{Consequences, Difference, State};
use clampmark::metrology::propagate::Propagated;
use rayon::prelude::*;

use crate::bikes::{Dice, Numbers, Readings, bike, measure, setup};

/// Draws in all, in chunks with a seed each so that the order of threads does not matter.
const CHUNKS: u64 = 50;
const DRAWS_A_CHUNK: usize = 20_000;

/// How far U may be off.
const WITHIN: f64 = 0.03;

/// Two copies of a bike, of which the second may differ in some readings; drawn together.
struct Pair {
    /// Place, value, half-width of what both rest on.
    shared: Vec<(usize, f64, f64)>,
    /// What only the first, and only the second rests on.
    own: [Vec<(usize, f64, f64)>; 2],
}

impl Pair {
    fn new(first: &Readings, second: &Readings, changed: &[&str]) -> Pair {
        let drawn = |readings: &Readings, own: bool| {
            let wanted = readings.iter().filter(|(path, _)| changed.contains(path) == own);
            wanted
                .map(|(path, &(value, half_width))| (Numbers::place(&measure(path)), value, half_width))
                .collect::<Vec<_>>()
        };
        Pair { shared: drawn(first, false), own: [drawn(first, true), drawn(second, true)] }
    }

    fn draw(&self, dice: &mut Dice, numbers: &mut [Numbers; 2]) {
        let [first, second] = numbers;
        for &(place, value, half_width) in &self.shared {
            let drawn = value + half_width * (2.0 * dice.roll() - 1.0);
            first.put(place, drawn);
            second.put(place, drawn);
        }
        for (own, numbers) in self.own.iter().zip([first, second]) {
            for &(place, value, half_width) in own {
                numbers.put(place, value + half_width * (2.0 * dice.roll() - 1.0));
            }
        }
    }
}

/// The standard deviations of what `result` makes of the draws.
fn deviations(
    pair: &Pair,
    seed: u64,
    result: impl Fn(&[Numbers; 2]) -> Vec<Option<f64>> + Sync,
) -> Vec<Option<f64>> {
    let sums: Vec<Vec<Option<[f64; 2]>>> = (0..CHUNKS)
        .into_par_iter()
        .map(|chunk| {
            let mut dice = Dice(seed.wrapping_mul(1_000_003) ^ (chunk << 40));
            let mut numbers = [Numbers::new(), Numbers::new()];
            let mut sums: Vec<Option<[f64; 2]>> = Vec::new();
            let mut origin: Vec<Option<f64>> = Vec::new();
            for _ in 0..DRAWS_A_CHUNK {
                pair.draw(&mut dice, &mut numbers);
                let results = result(&numbers);
                if origin.is_empty() {
                    // Sums of squares lose digits far from zero: every chunk counts from its own first draw.
                    origin.clone_from(&results);
                    sums = results.iter().map(|result| result.map(|_| [0.0, 0.0])).collect();
                }
                for ((sum, result), origin) in sums.iter_mut().zip(&results).zip(&origin) {
                    if let (Some(sum), Some(result), Some(origin)) = (sum, result, origin) {
                        sum[0] += result - origin;
                        sum[1] += (result - origin).powi(2);
                    }
                }
            }
            sums
        })
        .collect();
    (0..DERIVED.len()).map(|place| within_chunks(&sums, place)).collect()
}

/// The variance within the chunks, averaged: their means differ by a part in 20 000 of it, far below what is asked.
#[expect(clippy::cast_precision_loss, reason = "small counts")]
fn within_chunks(sums: &[Vec<Option<[f64; 2]>>], place: usize) -> Option<f64> {
    let count = DRAWS_A_CHUNK as f64;
    let variances: Option<Vec<f64>> = sums
        .iter()
        .map(|chunk| chunk[place].map(|[sum, squares]| (squares - sum * sum / count) / (count - 1.0)))
        .collect();
    let variances = variances?;
    Some((variances.iter().sum::<f64>() / variances.len() as f64).sqrt())
}

/// Every expanded uncertainty that is not flagged as rough agrees; returns how many were compared.
#[track_caller]
fn agree(propagated: &Propagated, deviations: &[Option<f64>], which: &str) -> usize {
    let mut compared = 0;
    for ((derived, output), deviation) in DERIVED.iter().zip(&propagated.outputs).zip(deviations) {
        assert_eq!(output.is_some(), deviation.is_some(), "{which}: {}", derived.name);
        let (Some(output), Some(deviation)) = (output, deviation) else { continue };
        let (found, expected) = (output.expanded_uncertainty(), 2.0 * deviation);
        // What is exactly nothing on both sides, or does not depend on anything that changed.
        if expected < 1e-9 || output.rough {
            assert!(output.rough || found < 1e-9, "{which}: {} has U = {found}", derived.name);
            continue;
        }
        compared += 1;
        let off = (found / expected - 1.0).abs();
        assert!(off < WITHIN, "{which}: U({}) = {found}, drawn {expected}", derived.name);
    }
    compared
}

#[test]
fn derived_values_of_random_bikes() {
    for seed in 1..=4 {
        let readings = bike(&mut Dice(seed));
        let setup = setup(&readings);
        let (propagated, ..) = State::recorded(Catalogue::standard(), &setup).propagate(&All);
        let pair = Pair::new(&readings, &readings, &[]);
        let drawn = deviations(&pair, seed, |[first, _]| All.of::<f64>(first));
        // All but the right finger's leverage, which these bikes do not have.
        assert!(
            agree(&propagated, &drawn, &format!("bike {seed}")) >= DERIVED.len() - 2,
            "most are compared"
        );
    }
}

#[test]
fn differences_of_two_revisions_that_share_readings() {
    let changes: [&[&str]; 3] = [
        &["steerer.spacers-below"],
        &["steerer.spacers-below", "bar.roll", "left.grip.hand", "right.grip.hand"],
        &[
            "stem.length",
            "stem.angle",
            "stem.twist",
            "saddle.height",
            "left.brake-lever.bite",
            "frame.fork-offset",
        ],
    ];
    for (seed, changed) in (11..).zip(changes) {
        let mut dice = Dice(seed);
        let first = bike(&mut dice);
        let mut second = first.clone();
        for path in changed {
            // Another reading of the same measure, a few units away.
            second.get_mut(path).expect("the bike has it").0 += 1.0 + dice.tenth(0.0, 2.0);
        }
        let (was, now) = (setup(&first), setup(&second));
        let state = |setup| State::recorded(Catalogue::standard(), setup);
        let (propagated, _) = Difference { from: state(&was), to: state(&now) }.propagate(&All);
        let pair = Pair::new(&first, &second, changed);
        let drawn = deviations(&pair, seed, |[first, second]| {
            let (was, now) = (All.of::<f64>(first), All.of::<f64>(second));
            was.into_iter().zip(now).map(|(was, now)| Some(now? - was?)).collect()
        });
        assert!(agree(&propagated, &drawn, &format!("{changed:?}")) >= 6, "several are compared");
    }
}
