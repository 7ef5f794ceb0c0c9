//! Positions carried over: against a fine roll grid through the model that `grips` uses, and onto the bike itself.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use clampmark::carry::parts::{self, Bar, Parts, Stem};
use clampmark::carry::search::piles;
use clampmark::carry::{Carry, carry};
use clampmark::catalogue::Catalogue;
use clampmark::catalogue::code::Severity;
use clampmark::geometry::derived::{All, find};
use clampmark::geometry::state::State;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

const FROM: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    floor 1.0
    frame { reach 470; stack 630; head-angle 64.5 }
    headset { cover 9 }
    steerer { spacers-below 15; spacers-above 5 }
    stem { length 50; angle 0; clamp-height 40; twist 0 }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5; offset 0 }
    left { grip { hand 62 }; brake-lever { from-tip 168; angle 32; lowest from-tip=196 drop=38 ahead=44 } }
    right { grip { hand 64 }; brake-lever { from-tip 170; angle 30 } }
}"#;

const ONTO: &str = r#"setup "alder/trail" format=1 {
    measured "2026-05-03"
    floor 0.4
    frame { reach 452; stack 618; head-angle 66 }
    headset { cover 7 }
    steerer { spacers-below 10; spacers-above 10 }
    stem { length 45; angle 6; clamp-height 38; twist 0 }
    bar { width 800; rise 35; back-sweep 9; up-sweep 4; setback 40; roll 1; offset 0 }
    left { grip { hand 60 }; brake-lever { from-tip 160; angle 20; lowest from-tip=190 drop=36 ahead=45 } }
    right { grip { hand 60 }; brake-lever { from-tip 160; angle 20 } }
}"#;

fn setup(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a setup")
}

fn carried(from: &str, onto: &str, parts: &Parts) -> Carry {
    carry(Catalogue::standard(), &setup(from), &setup(onto), parts).expect("can be carried")
}

fn grips(setup: &Setup) -> [f64; 6] {
    let values = State::recorded(Catalogue::standard(), setup).values(&All);
    ["left.x", "left.y", "left.z", "right.x", "right.y", "right.z"].map(|name| {
        let (place, _) = find(&format!("grip.{name}")).expect("a derived value");
        values[place].expect("known")
    })
}

fn distance(these: &[f64; 6], those: &[f64; 6]) -> f64 {
    (these.iter().zip(those).map(|(one, other)| (one - other).powi(2)).sum::<f64>() / 2.0).sqrt()
}

/// The other bike's text with these parts on, written by hand.
fn assembled(stem: &Stem, flipped: bool, bar: &Bar, spacers: f64, roll: f64) -> String {
    let angle = if flipped { -stem.angle } else { stem.angle };
    ONTO.replace("spacers-below 10", &format!("spacers-below {spacers}"))
        .replace(
            "length 45; angle 6; clamp-height 38",
            &format!("length {}; angle {angle}; clamp-height {}", stem.length, stem.clamp_height),
        )
        .replace(
            "width 800; rise 35; back-sweep 9; up-sweep 4; setback 40; roll 1",
            &format!(
                "width {}; rise {}; back-sweep {}; up-sweep {}; bend {}; roll {roll}",
                bar.width,
                bar.rise,
                bar.back_sweep,
                bar.up_sweep,
                bar.bend.expect("given by its bend"),
            ),
        )
        .replacen("hand 60", "hand 62", 1)
        .replacen("hand 60", "hand 64", 1)
}

fn a_stem() -> impl Strategy<Value = Stem> {
    (300..800_i32, -150..150_i32, 350..450_i32).prop_map(|(length, angle, clamp)| {
        let [length, angle, clamp_height] = [length, angle, clamp].map(|tenths| f64::from(tenths) / 10.0);
        Stem {
            name: format!("{length} at {angle}, {clamp_height}"),
            length,
            angle,
            clamp_height,
            clamp_diameter: None,
        }
    })
}

fn a_bar() -> impl Strategy<Value = Bar> {
    (7200..8000_i32, -100..400_i32, 40..120_i32, 0..70_i32, (-80..0_i32, 0..80_i32)).prop_map(
        |(width, rise, back, up, (from, to))| {
            let [width, rise, back_sweep, up_sweep, from, to] =
                [width, rise, back, up, from, to].map(|tenths| f64::from(tenths) / 10.0);
            let name = format!("{width} and {rise}, {back_sweep}, {up_sweep}");
            Bar {
                name,
                width,
                rise,
                back_sweep,
                up_sweep,
                setback: None,
                bend: Some(90.0),
                roll: (from, to),
                material: None,
                clamp_diameter: None,
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn never_worse_than_a_fine_grid(
        stems in prop::collection::vec(a_stem(), 1..3),
        bars in prop::collection::vec(a_bar(), 1..3),
        spacers in prop::collection::vec(prop::sample::select(vec![2.5, 5.0, 10.0]), 0..3),
    ) {
        let spacers_there = !spacers.is_empty();
        let parts = Parts {
            name: "box".into(),
            steerer_left: Some(70.0),
            stems: stems.clone(),
            bars: bars.clone(),
            spacers: spacers.clone(),
        };
        let found = carried(FROM, ONTO, &parts);
        let best = &found.assemblies[0];
        let wanted = grips(&setup(FROM));
        // Without spacers in the box the bike's own two of 10 stay.
        let heights: Vec<f64> = if spacers_there { subsets(&spacers) } else { vec![0.0, 10.0, 20.0] };
        for stem in &stems {
            for bar in &bars {
                for height in heights.iter().filter(|height| **height + stem.clamp_height <= 70.0) {
                    for flipped in [false, true] {
                        for step in 0..=16 {
                            let (low, high) = bar.roll;
                            let roll = low + (high - low) * f64::from(step) / 16.0;
                            let text = assembled(stem, flipped, bar, *height, roll);
                            let there = distance(&grips(&setup(&text)), &wanted);
                            // Written to a thousandth of a degree: half of that on arms of 100 mm is 0.0009 mm.
                            prop_assert!(best.distance <= there + 1e-3, "{} {there} {text}", best.distance);
                        }
                    }
                }
            }
        }
        prop_assert!(found.assemblies.is_sorted_by(|one, next| one.distance <= next.distance + 1e-5));
        // What is said of the best is what its setup gives.
        prop_assert!((distance(&grips(&best.setup), &wanted) - best.distance).abs() < 1e-9);
        prop_assert!(best.roll >= best_bar(&bars, &best.bar).roll.0 - 1e-9);
        prop_assert!(best.roll <= best_bar(&bars, &best.bar).roll.1 + 1e-9);
    }
}

fn best_bar<'b>(bars: &'b [Bar], name: &str) -> &'b Bar {
    bars.iter().find(|bar| bar.name == name).expect("from the box")
}

/// The height of every choice among the spacers, by counting in binary.
fn subsets(spacers: &[f64]) -> Vec<f64> {
    (0..1_u32 << spacers.len())
        .map(|chosen| {
            let taken = spacers.iter().enumerate().filter(|(place, _)| chosen >> place & 1 == 1);
            taken.map(|(_, height)| height).sum()
        })
        .collect()
}

#[test]
fn onto_itself_nothing_changes() {
    for text in [FROM, ONTO] {
        let found = carried(text, text, &Parts::default());
        let best = &found.assemblies[0];
        assert!(best.distance < 1e-9, "{}", best.distance);
        assert_eq!(found.would_be_exact, None);
        assert_eq!(best.setup, setup(text));
    }
}

#[test]
fn the_same_parts_in_a_box_give_the_same_assembly() {
    let (parts, findings) = parts::read(
        br#"parts "own" format=1 {
            steerer left=60
            stem "own" length=50 angle=0 clamp-height=40
            stem "other" length=60 angle=6 clamp-height=40
            bar "own" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90
            spacer 5 count=2
            spacer 10
        }"#,
    );
    assert_eq!(findings, []);
    let found = carried(FROM, FROM, &parts);
    let best = &found.assemblies[0];
    assert!(best.distance < 1e-9, "{}", best.distance);
    assert_eq!((best.stem.as_str(), best.bar.as_str(), best.flipped), ("own", "own", false));
    assert!((best.roll + 1.5).abs() < 1e-9);
    // 15 mm are 10 and 5: two spacers rather than none fewer.
    assert_eq!((best.spacers_below, best.spacers.len()), (15.0, 2));
}

#[test]
fn the_part_that_is_named_makes_it_exact() {
    let (mut parts, _) = parts::read(
        br#"parts "near" format=1 {
            steerer left=90
            stem "near" length=50 angle=6 clamp-height=40
            bar "own" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=-2 roll-to=0
            spacer 5 count=6
        }"#,
    );
    let first = carried(FROM, ONTO, &parts);
    let named = first.would_be_exact.expect("not exact yet");
    let (length, angle) = (named.stem_length.expect("a stem"), named.stem_angle.expect("its angle"));
    parts.stems.push(Stem { name: "named".into(), length, angle, clamp_height: 40.0, clamp_diameter: None });
    let spacers = named.spacers_below.expect("its spacers");
    parts.spacers = vec![spacers];
    let again = carried(FROM, ONTO, &parts);
    let best = &again.assemblies[0];
    // The two hands hold at different places (62 and 64), so the least distance leaves a hair at their middle.
    assert!(best.off_x.abs() < 1e-3 && best.off_z.abs() < 1e-3, "{} {}", best.off_x, best.off_z);
}

#[test]
fn controls_go_to_the_same_place_by_the_other_bikes_gauge() {
    // 32° on a floor of 1.0 is 33° to the level; on a floor of 0.4 the gauge shows 32.6°.
    let found = carried(FROM, ONTO, &Parts::default());
    let catalogue = Catalogue::standard();
    let value = |path: &str| found.assemblies[0].setup.value(&catalogue.find(path).expect("a measure"));
    assert!((value("left.brake-lever.angle").expect("set") - 32.6).abs() < 1e-9);
    assert_eq!(value("right.brake-lever.from-tip"), Some(170.0));
    assert_eq!(value("right.grip.hand"), Some(64.0));
    let left = found.controls.iter().find(|one| one.measure == "left.brake-lever.angle").expect("carried");
    assert!((left.value - 33.0).abs() < 1e-9);
    // The lever's lowest point went along with it: 160 to 168 is 8 further in, to the hair that its turn adds.
    let lowest = value("left.brake-lever.lowest.1.from-tip").expect("there");
    assert!((lowest - 198.0).abs() < 5.0 && (lowest - 190.0).abs() > 1.0, "{lowest}");
}

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

/// 1600 spacers, no two alike, make every height there is: 80 mm in thousandths and nothing at all. They were once
/// gone through pile by pile, for minutes.
#[test]
fn a_great_many_unlike_spacers_take_no_time() {
    let spacers: Vec<f64> = (0..1600_u32).map(|count| f64::from(50 + 7 * count) / 1000.0).collect();
    let begun = Instant::now();
    let found = piles(&spacers);
    assert!(begun.elapsed() < Duration::from_secs(20), "{:?}", begun.elapsed());
    // 0.05 mm is the least; from some way up every thousandth is made.
    assert!(found.len() > 70_000 && found.len() <= 80_001, "{}", found.len());
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

#[test]
fn every_fault_of_a_box_is_found_at_its_place() {
    let text = br#"parts "box" format=1 {
    stem "a" length=40 angle=6
    stem "a" lenght=40 length=500 angle=6 clamp-height=40
    bar "b" width=780 rise=25 back-sweep=8 up-sweep=5
    bar "c" width=590 rise=25 back-sweep=8 up-sweep=5 bend=300
    bar "d" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=5 roll-to=-5
    spacer
    spacer 5 count=1.5
    spacer (deg)5
    stemm "e"
    stem "f" length=40 angle=0 clamp-height=40
    stem "f" length=50 angle=0 clamp-height=40
}
setup "x""#;
    let (parts, findings) = parts::read(text);
    let codes: Vec<&str> = findings.iter().map(|finding| finding.code.name).collect();
    assert_eq!(
        codes,
        [
            "no-value",
            "unknown-word",
            "off-span",
            "no-value",
            "bend-too-wide",
            "off-span",
            "no-value",
            "off-span",
            "wrong-unit",
            "unknown-word",
            "duplicate-name",
            "unknown-word",
        ]
    );
    assert!(findings.iter().all(|finding| finding.severity == Severity::Fault && finding.span.is_some()));
    assert_eq!((parts.stems.len(), parts.bars.len(), parts.spacers.len()), (2, 0, 0));
    assert_eq!(parts::read(b"").1[0].code.name, "not-a-setup");
}

/// Two bikes alike but for their stack, read to ±3 and ±4 mm, and nothing to make up for it with: the hands are off by
/// the difference of the stacks, straight up, and of that by hand U = 2·√(3² + 4²)/√3 = 5.7735 mm.
#[test]
fn a_distance_is_as_uncertain_as_both_bikes() {
    let bike = |name: &str, stack: &str| {
        format!(
            "setup \"{name}\" format=1 {{
                measured \"2026-05-02\"
                frame {{ reach 470 tol=0.001; stack {stack}; head-angle 64.5 tol=0.0001 }}
                headset {{ cover 9 tol=0.001 }}
                steerer {{ spacers-below 0 tol=0.001; spacers-above 0 tol=0.001 }}
                stem {{ length 50 tol=0.001; angle 0 tol=0.0001; clamp-height 40 tol=0.001; twist 0 tol=0.0001 }}
                bar {{ width 780 tol=0.001; rise 25 tol=0.001; back-sweep 8 tol=0.0001; up-sweep 5 tol=0.0001
                    bend 90 tol=0.001; roll 0 tol=0.0001; offset 0 tol=0.001 }}
                left {{ grip {{ hand 62 tol=0.001 }} }}
                right {{ grip {{ hand 62 tol=0.001 }} }}
            }}"
        )
    };
    let same_bar = br#"parts "own" format=1 {
        bar "own" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=0 roll-to=0
    }"#;
    let (parts, findings) = parts::read(same_bar);
    assert!(findings.is_empty(), "{findings:?}");
    let found = carried(&bike("rowan/race", "630 tol=3"), &bike("alder/trail", "620 tol=4"), &parts);
    let best = &found.assemblies[0];
    assert!((best.distance - 10.0).abs() < 1e-6, "{}", best.distance);
    let uncertainty = best.uncertainty.expect("known");
    assert!((uncertainty - 10.0 / 3f64.sqrt()).abs() < 0.01, "{uncertainty}");
}
