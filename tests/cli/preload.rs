//! The bearing's preload: told by `record` wherever the pile on the steerer changed or the stem was off.

use crate::harness::flowing;
use crate::restore::{ledger, run};

fn recorded(inside: &str) -> (Option<i32>, String) {
    let folder = ledger(&[("loan", inside)]);
    let screen = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--mark"]);
    (screen.status, flowing(&screen.text))
}

/// 15 to 10 mm below the stem, and nobody looked above it.
#[test]
fn less_on_the_steerer_is_told_when_it_is_recorded() {
    let torque = "stem { twist 0 }\n    torque \"stem-steerer\" { applied 5.5 }";
    let (status, said) = recorded(&format!("steerer {{ spacers-below 10 with=caliper }}\n    {torque}"));
    assert_eq!(status, Some(1), "{said}");
    assert!(said.contains("5.00 ± ") && said.contains("mm less on the steerer."), "{said}");
    assert!(said.contains("set the bearing preload again"), "{said}");
}

/// 5 mm from below to above: as high as before, but the stem was off for it. So it was for another stem as high.
#[test]
fn a_stem_that_was_off_asks_for_the_preload_whatever_the_height() {
    let moved =
        "steerer { spacers-below 10 with=caliper; spacers-above 10 with=caliper }\n    stem { twist 0 }";
    for inside in [moved, "stem { length 40; twist 0 }"] {
        let (status, said) = recorded(&format!("{inside}\n    torque \"stem-steerer\" {{ applied 5.5 }}"));
        assert_eq!(status, Some(1), "{said}");
        assert!(said.contains("The stem was off the steerer. Set the bearing preload again"), "{said}");
    }
    let (_, said) = recorded("tyres { front 25 }");
    assert!(!said.contains("preload"), "{said}");
}
