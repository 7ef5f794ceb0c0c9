//! Carrying a position over with a large box, against the clock: 200 stems both ways up, 50 bars, every pile of eight
//! spacers. Prints the times; fails if the best of five takes a second.

use std::hint::black_box;
use std::time::{Duration, Instant};

use clampmark::carry::carry;
use clampmark::carry::parts::{Bar, Parts, Stem};
use clampmark::catalogue::Catalogue;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

const BIKE: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02"
    frame { reach 470; stack 630; head-angle 64.5 }
    headset { cover 9 }
    steerer { spacers-below 15; spacers-above 5 }
    stem { length 50; angle 0; clamp-height 40; twist 0 }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5; offset 0 }
    left { grip { hand 62 } }
    right { grip { hand 62 } }
}"#;

fn main() {
    let from = setup(BIKE);
    let onto = setup(&BIKE.replace("reach 470; stack 630", "reach 452; stack 618").replace("rowan", "alder"));
    let parts = large_box();
    let mut best = Duration::MAX;
    let mut considered = 0;
    for _ in 0..5 {
        let start = Instant::now();
        let found = carry(Catalogue::standard(), &from, &onto, black_box(&parts));
        best = best.min(start.elapsed());
        considered = found.map_or(0, |found| black_box(found).considered);
    }
    println!("carry: {considered} assemblies of 200 stems, 50 bars and every pile in {best:.1?}");
    assert!(considered > 0, "the box fits");
    assert!(best < Duration::from_secs(1), "too slow: {best:?}");
}

fn setup(text: &str) -> Setup {
    read(Catalogue::standard(), text.as_bytes(), None).setup.expect("the text above is a setup")
}

fn large_box() -> Parts {
    let stems = (0..200_u32).map(|count| Stem {
        name: format!("stem {count}"),
        length: 30.0 + f64::from(count % 20) * 2.5,
        angle: 1.0 + f64::from(count / 20) * 1.7,
        clamp_height: 38.0,
        clamp_diameter: None,
    });
    let bars = (0..50_u32).map(|count| Bar {
        name: format!("bar {count}"),
        width: 740.0 + f64::from(count % 5) * 15.0,
        supplied_width: None,
        rise: f64::from(count / 5) * 5.0,
        back_sweep: 8.0,
        up_sweep: 5.0,
        setback: None,
        bend: Some(90.0),
        roll: (-5.0, 5.0),
        material: None,
        clamp_diameter: None,
    });
    Parts {
        name: "large".into(),
        steerer_left: Some(110.0),
        stems: stems.collect(),
        bars: bars.collect(),
        spacers: vec![2.0, 2.5, 3.0, 5.0, 5.0, 10.0, 10.0, 15.0],
        ..Parts::default()
    }
}
