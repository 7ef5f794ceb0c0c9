//! What `history` can be asked for, said to whoever asks for something near it.

use crate::harness::{Bench, flowing};
use crate::history_values::recorded;
use crate::texts::RACE;

fn refused(bench: &Bench, name: &str) -> String {
    let outcome = bench.run(&["history", "rowan/race", name]);
    assert_eq!(outcome.status, 2, "{}", outcome.screen());
    let said = flowing(&outcome.screen());
    assert!(said.contains(&format!("`{name}` is neither a measure nor a derived value. ")), "{said}");
    said
}

#[test]
fn a_group_and_a_part_of_a_path_name_the_measures_they_hold() {
    let bench = recorded(&[RACE]);
    for (name, help) in [
        (
            "left.brake-lever",
            "Name one of its measures, as `left.brake-lever.from-tip`: from-tip, angle, reach, bite, blade, finger, \
             lowest.1.from-tip, lowest.1.drop, lowest.1.ahead.",
        ),
        ("left", "Name one of the measures under `left.grip`, `left.brake-lever`, `left.shifter`, "),
        (
            "hose.rear brake",
            "Name one of its measures, as `hose.rear brake.free`: free, bend-radius, leaves.side, ",
        ),
        ("hose", "Name one of its measures, as `hose.NAME.free`: NAME.free, NAME.bend-radius, "),
        ("front-brake", "Did you mean `rider.front-brake`?"),
        ("bite", "Name one of `left.brake-lever.bite`, `right.brake-lever.bite`."),
        // A slip of the keys is one still.
        ("left.brake-lever.angel", "Did you mean `left.brake-lever.angle`?"),
        (
            "nothing.like-it",
            "Name a measure by its path, as in `left.brake-lever.angle`, or a derived value.",
        ),
    ] {
        let said = refused(&bench, name);
        assert!(said.contains(help), "{help}: {said}");
    }
}

/// The names under which a table has them.
#[test]
fn what_has_no_series_is_told_where_it_is_told() {
    let bench = recorded(&[RACE]);
    for name in ["torque.left.brake-lever", "torque.left.brake-lever.applied", "damage.bar", "note"] {
        let said = refused(&bench, name);
        assert!(said.contains("`clampmark history rowan/race` tells what became of it."), "{said}");
    }
    let said = refused(&bench, "mark.L1");
    assert!(said.contains("`clampmark history rowan/race --marks` tells the story of each mark."), "{said}");
}
