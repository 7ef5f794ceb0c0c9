//! What a rule of `check` skips as clear beyond doubt is clear by more than its whole uncertainty.

use clampmark::catalogue::{Catalogue, Side};
use clampmark::geometry::state::State;
use clampmark::geometry::turning::{clearances, courses, doubts, hoses, most_doubt};
use proptest::prelude::*;

use super::generator::setup_of;

/// A bike with a lever, a remote and a hose, each number anywhere between these and read anyhow.
fn bikes() -> impl Strategy<Value = String> {
    let between: [(&str, f64, f64, f64); 30] = [
        ("reach", 380.0, 540.0, 5.0),
        ("stack", 560.0, 720.0, 5.0),
        ("head-angle", 60.0, 72.0, 2.0),
        ("drop", 0.0, 120.0, 3.0),
        ("slope", 0.0, 50.0, 2.0),
        ("diameter", 28.0, 90.0, 2.0),
        ("cover", 0.0, 30.0, 1.0),
        ("spacers-below", 0.0, 60.0, 1.0),
        ("length", 30.0, 130.0, 2.0),
        ("angle", -20.0, 40.0, 2.0),
        ("clamp-height", 30.0, 50.0, 1.0),
        ("twist", -5.0, 5.0, 2.0),
        ("width", 560.0, 840.0, 5.0),
        ("rise", -20.0, 80.0, 3.0),
        ("back-sweep", 0.0, 16.0, 2.0),
        ("up-sweep", 0.0, 10.0, 2.0),
        ("bend", 40.0, 120.0, 5.0),
        ("roll", -30.0, 30.0, 2.0),
        ("offset", -10.0, 10.0, 1.0),
        ("from-tip", 120.0, 260.0, 5.0),
        ("drop", -20.0, 120.0, 3.0),
        ("ahead", -60.0, 120.0, 3.0),
        ("from-tip", 120.0, 260.0, 5.0),
        ("ahead", -20.0, 80.0, 3.0),
        ("up", -40.0, 40.0, 3.0),
        ("down", 0.0, 120.0, 3.0),
        ("back", 0.0, 60.0, 3.0),
        ("out", 0.0, 40.0, 3.0),
        ("free", 150.0, 900.0, 5.0),
        ("steering-stop", 30.0, 90.0, 5.0),
    ];
    let numbers = between.map(|(_, low, high, widest)| (low..high, 0.1..widest));
    numbers.prop_map(move |numbers| {
        let node = |place: usize| {
            let (number, tolerance) = numbers[place];
            format!("{} {number:.1} tol={tolerance:.2}; ", between[place].0)
        };
        let property = |place: usize| format!("{}={:.1} ", between[place].0, numbers[place].0);
        let nodes = |places: std::ops::Range<usize>| places.map(node).collect::<String>();
        let properties = |places: std::ops::Range<usize>| places.map(property).collect::<String>();
        let tolerance = |place: usize| format!("tol={:.2}", numbers[place].1);
        format!(
            "setup \"a\" format=1 {{
                frame {{ {} {} top-tube {{ {} }} }}
                headset {{ {} }}
                steerer {{ {} }}
                stem {{ {} }}
                bar {{ {} }}
                left {{ brake-lever {{ from-tip 160; angle 30; lowest {} {} }} }}
                hose \"rear\" {{ {} leaves side=left {} {}; enters side=left {} {} }}
            }}",
            nodes(0..3),
            node(29),
            nodes(3..6),
            node(6),
            node(7),
            nodes(8..12),
            nodes(12..19),
            properties(19..22),
            tolerance(20),
            node(28),
            properties(22..25),
            tolerance(23),
            properties(25..28),
            tolerance(26),
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn only_what_is_clear_beyond_doubt_is_left_out(text in bikes()) {
        let setup = setup_of(&text);
        let state = State::recorded(Catalogue::standard(), &setup);
        let courses = courses(&state, |_| ());
        let doubts = doubts(&state, courses.iter().flat_map(|control| &control.both));
        let ways = clearances(&state).controls;
        prop_assert_eq!((ways.len(), courses.len()), (1, 1));
        let ways = ways.iter().flat_map(|control| Side::BOTH.map(|side| control.way(side)));
        let most = most_doubt(&state);
        for (way, doubt) in ways.zip(doubts) {
            prop_assert!(way.uncertainty <= most, "{} of {most}", way.uncertainty);
            match doubt {
                Some(doubt) => {
                    prop_assert_eq!((doubt.least, doubt.contact), (way.uncertainty, way.contact_uncertainty));
                }
                None => prop_assert!(way.contact.is_none() && way.least >= way.uncertainty, "{:?}", way),
            }
        }
        for hose in hoses(&state).hoses {
            let Some(slack) = hose.slack else { continue };
            let bow = hose.uncertainty_of_bow_beyond_need(&state);
            let most_of_bow = hose.most_doubt_of_bow_beyond_need(&state);
            prop_assert!(bow.zip(most_of_bow).is_none_or(|(bow, most)| bow <= most), "{bow:?} of {most_of_bow:?}");
            prop_assert!(hose.uncertainty.is_some_and(|doubt| doubt <= most), "{:?} of {most}", hose.uncertainty);
            match hose.doubt_of_slack(&state) {
                Some(doubt) => prop_assert_eq!(Some(doubt), hose.uncertainty),
                None => prop_assert!(hose.uncertainty.is_some_and(|doubt| slack >= doubt), "{:?}", hose),
            }
        }
    }
}
