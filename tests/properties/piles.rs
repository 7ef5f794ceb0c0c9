//! Piles of spacers against every choice among them, and boxes that would take long to go through.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use clampmark::carry::carry;
use clampmark::carry::parts::{Bar, Parts, Stem};
use clampmark::carry::search::piles;
use clampmark::catalogue::Catalogue;
use proptest::prelude::*;

use super::carry::{FROM, ONTO, setup};

#[test]
fn piles_are_every_height_once_by_the_fewest() {
    // 5, 5 and 10: 0, 5, 10 (one spacer, not two), 15, 20.
    let found: Vec<(f64, usize)> =
        piles(&[5.0, 5.0, 10.0]).iter().map(|pile| (pile.height, pile.spacers.len())).collect();
    assert_eq!(found, [(0.0, 0), (5.0, 1), (10.0, 1), (15.0, 2), (20.0, 3)]);
}

/// Every height of some of these spacers in thousandths, with the fewest that make it: by trying every choice.
fn by_every_choice(spacers: &[u32]) -> BTreeMap<u32, u32> {
    let mut fewest = BTreeMap::new();
    for chosen in 0..1_u32 << spacers.len() {
        let taken = spacers.iter().enumerate().filter(|(place, _)| chosen >> place & 1 == 1);
        let height: u32 = taken.map(|(_, height)| height).sum();
        if height <= 80_000 {
            let known = fewest.entry(height).or_insert(u32::MAX);
            *known = chosen.count_ones().min(*known);
        }
    }
    fewest
}

proptest! {
    #[test]
    fn piles_are_those_of_every_choice(
        spacers in prop::collection::vec(prop_oneof![1..40_000_u32, (1..20_u32).prop_map(|half| half * 2500)], 0..11),
    ) {
        let found = piles(&spacers.iter().map(|height| f64::from(*height) / 1000.0).collect::<Vec<_>>());
        let expected = by_every_choice(&spacers);
        prop_assert_eq!(found.len(), expected.len());
        for (pile, (height, fewest)) in found.iter().zip(expected) {
            prop_assert!((pile.height - f64::from(height) / 1000.0).abs() < 1e-9);
            prop_assert_eq!(pile.spacers.len(), fewest as usize);
            prop_assert!((pile.spacers.iter().sum::<f64>() - pile.height).abs() < 1e-9);
            // None is laid that is not there, and none twice.
            let mut left = spacers.clone();
            for spacer in &pile.spacers {
                let place = left.iter().position(|height| (f64::from(*height) / 1000.0 - spacer).abs() < 1e-9);
                prop_assert!(place.is_some(), "{spacer} of {spacers:?}");
                left.remove(place.unwrap_or_default());
            }
        }
    }
}

/// The piles of these, and the least time of three that it takes: a busy machine only ever adds to it.
fn timed(spacers: &[f64]) -> (usize, Duration) {
    let once = |_| {
        let begun = Instant::now();
        let found = piles(spacers);
        (found.len(), begun.elapsed())
    };
    (0..3).map(once).min_by_key(|(_, taken)| *taken).expect("three times")
}

/// Unlike spacers soon make every height there is: 80 mm in thousandths and nothing at all. Each more is one more walk
/// through those: four times as many take some four or five times as long, where to lay them on one another pair by
/// pair would take sixteen. They were once gone through pile by pile, for minutes.
#[test]
fn a_great_many_unlike_spacers_take_no_time() {
    let unlike = |many: u32| (0..many).map(|count| f64::from(50 + 7 * count) / 1000.0).collect::<Vec<f64>>();
    let mut tried = Vec::new();
    // What a busy machine adds to one of both is not added every time.
    let grows_slowly = (0..5).any(|_| {
        let ((_, few), (found, many)) = (timed(&unlike(100)), timed(&unlike(400)));
        // 0.05 mm is the least; from some way up every thousandth is made.
        assert!(found > 70_000 && found <= 80_001, "{found}");
        tried.push((few, many));
        many < few * 12
    });
    assert!(grows_slowly, "for 100 and for 400 spacers: {tried:?}");
}

#[test]
fn a_box_that_would_take_long_is_refused_with_its_count() {
    let refused = |parts: &Parts| {
        let refusal = carry(Catalogue::standard(), &setup(FROM), &setup(ONTO), parts).expect_err("refused");
        refusal.message
    };
    // 3000 unlike spacers of 1.000 mm to 3.999 mm.
    let spacers: Vec<f64> = (1000..4000_u32).map(|height| f64::from(height) / 1000.0).collect();
    let said = refused(&Parts { spacers: spacers.clone(), ..Parts::default() });
    assert!(said.contains("3000 spacers"), "{said}");
    // 1500 of them make over 70 000 heights; with 50 stems both ways up and 20 bars that is more than 100 million.
    let stem = |count: u32| Stem {
        name: format!("stem {count}"),
        length: 40.0,
        angle: 6.0,
        clamp_height: 40.0,
        clamp_diameter: None,
    };
    let bar = |count: u32| Bar {
        name: format!("bar {count}"),
        width: 780.0,
        supplied_width: None,
        rise: 20.0,
        back_sweep: 8.0,
        up_sweep: 5.0,
        setback: None,
        bend: Some(90.0),
        roll: (-5.0, 5.0),
        material: None,
        clamp_diameter: None,
    };
    let said = refused(&Parts {
        spacers: spacers[..1500].to_vec(),
        stems: (0..50).map(stem).collect(),
        bars: (0..20).map(bar).collect(),
        ..Parts::default()
    });
    assert!(said.contains("100 ways up of a stem, 20 bars"), "{said}");
}
