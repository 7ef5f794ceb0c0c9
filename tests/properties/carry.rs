//! Positions carried over: against a fine roll grid through the model that `grips` uses, and onto the bike itself.

use clampmark::carry::parts::{self, Bar, Parts, Stem};
use clampmark::carry::{Carry, carry};
use clampmark::catalogue::Catalogue;
use clampmark::catalogue::code::Severity;
use clampmark::geometry::derived::{All, find};
use clampmark::geometry::state::State;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

pub(super) const FROM: &str = r#"setup "rowan/race" format=1 {
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

pub(super) const ONTO: &str = r#"setup "alder/trail" format=1 {
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

pub(super) fn setup(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a setup")
}

pub(super) fn carried(from: &str, onto: &str, parts: &Parts) -> Carry {
    carry(Catalogue::standard(), &setup(from), &setup(onto), parts).expect("can be carried")
}

pub(super) fn grips(setup: &Setup) -> [f64; 6] {
    let values = State::recorded(Catalogue::standard(), setup).values(&All);
    ["left.x", "left.y", "left.z", "right.x", "right.y", "right.z"].map(|name| {
        let (place, _) = find(&format!("grip.{name}")).expect("a derived value");
        values[place].expect("known")
    })
}

pub(super) fn distance(these: &[f64; 6], those: &[f64; 6]) -> f64 {
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
                "width {}; {}rise {}; back-sweep {}; up-sweep {}; bend {}; roll {roll}",
                bar.width,
                before_the_saw(bar),
                bar.rise,
                bar.back_sweep,
                bar.up_sweep,
                bar.bend.expect("given by its bend"),
            ),
        )
        .replacen("hand 60", "hand 62", 1)
        .replacen("hand 60", "hand 64", 1)
}

/// The width before the saw, as a setup has it.
fn before_the_saw(bar: &Bar) -> String {
    bar.supplied_width.map(|supplied| format!("supplied-width {supplied}; ")).unwrap_or_default()
}

pub(super) fn a_stem() -> impl Strategy<Value = Stem> {
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

pub(super) fn a_bar() -> impl Strategy<Value = Bar> {
    let cut = prop::option::of(1..400_i32);
    (7200..8000_i32, cut, -100..400_i32, 40..120_i32, 0..70_i32, (-80..0_i32, 0..80_i32)).prop_map(
        |(width, cut, rise, back, up, (from, to))| {
            let supplied_width = cut.map(|cut| f64::from(width + cut) / 10.0);
            let [width, rise, back_sweep, up_sweep, from, to] =
                [width, rise, back, up, from, to].map(|tenths| f64::from(tenths) / 10.0);
            let name = format!("{width} of {supplied_width:?} and {rise}, {back_sweep}, {up_sweep}");
            Bar {
                name,
                width,
                supplied_width,
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

/// The bar of [`FROM`].
pub(super) fn own_bar(roll: (f64, f64)) -> Bar {
    Bar {
        name: "own".into(),
        width: 780.0,
        supplied_width: None,
        rise: 25.0,
        back_sweep: 8.0,
        up_sweep: 5.0,
        setback: None,
        bend: Some(90.0),
        roll,
        material: None,
        clamp_diameter: None,
    }
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
            ..Parts::default()
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
pub(super) fn subsets(spacers: &[f64]) -> Vec<f64> {
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

/// A bike with another stem, bar and pile than [`FROM`], written by hand.
fn a_bike(stem: &Stem, bar: &Bar, spacers: &[f64], roll: f64, twist: f64) -> String {
    FROM.replace(
        "spacers-below 15; spacers-above 5",
        &format!("spacers-below {}", spacers.iter().sum::<f64>()),
    )
    .replace(
        "length 50; angle 0; clamp-height 40; twist 0",
        &format!(
            "length {}; angle {}; clamp-height {}; twist {twist}",
            stem.length, stem.angle, stem.clamp_height
        ),
    )
    .replace(
        "width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5",
        &format!(
            "width {}; {}rise {}; back-sweep {}; up-sweep {}; bend 90; roll {roll}",
            bar.width,
            before_the_saw(bar),
            bar.rise,
            bar.back_sweep,
            bar.up_sweep
        ),
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// With its own parts among others in the box, or with none in it, a bike's hands come to the very place.
    #[test]
    fn onto_the_same_bike_nothing_is_off(
        stems in prop::collection::vec(a_stem(), 1..4),
        bars in prop::collection::vec(a_bar(), 1..4),
        spacers in prop::collection::vec(prop::sample::select(vec![2.0, 2.5, 3.0, 5.0, 10.0]), 0..5),
        chosen in prop::sample::subsequence(vec![0_usize, 1, 2, 3], 0..4),
        way in 0.0..1.0_f64,
    ) {
        let (stem, bar) = (&stems[stems.len() / 2], &bars[bars.len() / 2]);
        let under: Vec<f64> = chosen.iter().filter_map(|place| spacers.get(*place)).copied().collect();
        let roll = (bar.roll.0 + (bar.roll.1 - bar.roll.0) * way).clamp(bar.roll.0, bar.roll.1);
        let bike = a_bike(stem, bar, &under, (roll * 10.0).round() / 10.0, 0.0);
        let parts = Parts { stems: stems.clone(), bars: bars.clone(), spacers, ..Parts::default() };
        for parts in [parts, Parts::default()] {
            let found = carried(&bike, &bike, &parts);
            // Written to a thousandth of a degree, on a bar whose grips lie some 100 mm from the clamp: 0.0009 mm.
            prop_assert!(found.assemblies[0].distance < 1e-3, "{}", found.assemblies[0].distance);
        }
        let itself = carried(&bike, &bike, &Parts::default());
        prop_assert_eq!(&itself.assemblies[0].setup, &setup(&bike));
    }
}

/// Nobody knows how long the steerer is of which not all that stands on it is recorded: what stands above the stem is
/// then not known either, and not made up from what is left in the box.
#[test]
fn of_a_steerer_that_nobody_knows_nothing_is_said() {
    let onto = ONTO.replace("spacers-above 10", "spacers-above unmeasured");
    let parts = Parts { spacers: vec![5.0; 30], ..Parts::default() };
    let found = carried(FROM, &onto, &parts);
    let best = &found.assemblies[0];
    assert_eq!((best.spacers_above, best.spacers_lacking), (None, None));
    let above = Catalogue::standard().find("steerer.spacers-above").expect("a measure");
    assert_eq!(best.setup.value(&above), None);
}

/// One spacer or none, on a bike that is too low for any: nearer with it by its height. That height and none are read to
/// ±0.5 mm each: by hand U of their difference is 2·√(0.5² + 0.5²)/√3 = 0.8165 mm. 5 mm are more than that and 0.4 are
/// not; that the frame's stack is known to 2·4/√3 = 4.6 mm has no part in it, for it is the same frame.
#[test]
fn what_two_assemblies_have_in_common_leaves_no_doubt_of_their_order() {
    let low = FROM.replace("stack 630", "stack 600 tol=4");
    for (spacer, apart) in [(5.0, true), (0.4, false)] {
        let parts = Parts {
            steerer_left: Some(60.0),
            spacers: vec![spacer],
            bars: vec![own_bar((-1.5, -1.5))],
            ..Parts::default()
        };
        let found = carried(FROM, &low, &parts);
        let told: Vec<_> = found.assemblies.iter().map(|one| (one.spacers_below, one.told_apart)).collect();
        assert_eq!(told, [(spacer, None), (0.0, Some(apart))]);
        assert!(found.assemblies[0].uncertainty.expect("known") > 4.0);
    }
}

/// The hands come to the very place with a spacer, and without it lie its height lower along an axis of 80°. Both stacks are
/// read to ±0.1 mm, and no spacer counts as ±0.5 mm: by hand U = √((2·0.1·√2/√3·sin 80°)² + (2·0.5/√3)²) = 0.5993 mm.
/// What is off by as much may be nearer by twice as much: 1.3 mm are told apart, 1.1 mm are not.
#[test]
fn the_very_place_is_no_nearer_than_the_readings_tell() {
    for (spacer, apart) in [("1.3", true), ("1.1", false)] {
        let bike = |name: &str| {
            let tight = "tol=0.0001";
            format!(
                "setup \"{name}\" format=1 {{
                    measured \"2026-05-02\"
                    frame {{ reach 470 {tight}; stack 630 tol=0.1; head-angle 80 {tight} }}
                    headset {{ cover 9 {tight} }}
                    steerer {{ spacers-below {spacer} {tight}; spacers-above 0 {tight} }}
                    stem {{ length 50 {tight}; angle 0 {tight}; clamp-height 40 {tight}; twist 0 {tight} }}
                    bar {{ width 780 {tight}; rise 0 {tight}; back-sweep 0 {tight}; up-sweep 0 {tight}
                        bend 90 {tight}; roll 0 {tight}; offset 0 {tight} }}
                    left {{ grip {{ hand 62 {tight} }} }}
                    right {{ grip {{ hand 62 {tight} }} }}
                }}"
            )
        };
        let text = "parts \"own\" format=1 {
            bar \"own\" width=780 rise=0 back-sweep=0 up-sweep=0 bend=90 roll-from=0 roll-to=0
        }";
        let (parts, findings) = parts::read(text.as_bytes());
        assert!(findings.is_empty(), "{findings:?}");
        let found = carried(&bike("rowan/race"), &bike("alder/trail"), &parts);
        let told: Vec<_> = found.assemblies.iter().map(|one| one.told_apart).collect();
        assert!(found.assemblies[0].distance < 1e-9);
        assert_eq!(told, [None, Some(apart)], "{spacer}");
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

/// Both hands hold alike and the bike's own bar is too narrow or too wide: the bar that is named and the stem that is
/// named with it bring them there together. A wider bar of the same bend sets the hands back, a cut one brings them
/// forward. Where the file has bend and setback, the setback counts (300·tan 8° = 42.16 mm, or 45); and a bar that was cut
/// is named as cut from as wide, or as one that was not.
#[test]
fn the_parts_that_are_named_do_it_together() {
    let level = |text: &str| text.replace("hand 64", "hand 62");
    let text = "parts \"near\" format=1 {
        steerer left=90
        stem \"near\" length=50 angle=6 clamp-height=40
        spacer 5 count=6
    }";
    let (near, findings) = parts::read(text.as_bytes());
    assert_eq!(findings, []);
    for (width, bend, supplied) in [
        ("width 760", "bend 90", None),
        ("width 800", "bend 90", Some(800.0)),
        ("width 760", "bend 90; setback 45", None),
        ("width 800", "bend 90; setback 45", Some(800.0)),
        ("width 760", "setback 45", None),
        ("width 720; supplied-width 800", "bend 90", Some(800.0)),
        ("width 720; supplied-width 800", "bend 90; setback 45", Some(800.0)),
        ("width 720; supplied-width 770", "bend 90", None),
    ] {
        let onto = level(FROM)
            .replace("rowan/race", "alder/trail")
            .replace("width 780", width)
            .replace("bend 90", bend)
            .replace("reach 470; stack 630", "reach 452; stack 612");
        let first = carried(&level(FROM), &onto, &near);
        let named = first.would_be_exact.expect("not exact yet");
        let bar_width = named.bar_width.expect("a bar");
        assert!((bar_width - 780.0).abs() < 0.01, "{bar_width}");
        assert_eq!(named.bar_supplied_width, supplied, "{width}; {bend}");
        let sentence = named.sentences.iter().find(|one| one.contains("a bar")).expect("a sentence");
        assert_eq!(
            sentence.contains("cut from 800 mm"),
            width.contains("720; supplied-width 800"),
            "{sentence}"
        );
        assert_eq!(sentence.contains("not cut"), width.contains("770"), "{sentence}");
        // The other bike with what is named on it, written by hand.
        let best = &first.assemblies[0];
        let (length, angle) = (named.stem_length.expect("a stem"), named.stem_angle.expect("its angle"));
        let spacers = named.spacers_below.expect("its spacers");
        let cut = supplied.map(|supplied| format!("; supplied-width {supplied}")).unwrap_or_default();
        let with_it = onto
            .replace(width, &format!("width {bar_width}{cut}"))
            .replace("length 50; angle 0", &format!("length {length}; angle {angle}"))
            .replace("spacers-below 15", &format!("spacers-below {spacers}"))
            .replace("roll -1.5", &format!("roll {}", best.roll));
        let off = distance(&grips(&setup(&with_it)), &grips(&setup(&level(FROM))));
        assert!(off < 0.05, "{width}; {bend}: {off}");
    }
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
    let left =
        found.told.controls.iter().find(|one| one.measure == "left.brake-lever.angle").expect("carried");
    assert!((left.value - 33.0).abs() < 1e-9);
    // The lever's lowest point went along with it: 160 to 168 is 8 further in, to the hair that its turn adds.
    let lowest = value("left.brake-lever.lowest.1.from-tip").expect("there");
    assert!((lowest - 198.0).abs() < 5.0 && (lowest - 190.0).abs() > 1.0, "{lowest}");
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
