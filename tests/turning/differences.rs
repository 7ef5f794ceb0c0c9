//! Clearances and slack of two states: what they share cancels.

use clampmark::compare::compare;
use clampmark::geometry::turning::hoses;
use clampmark::metrology::reading::Reading;
use clampmark::metrology::verdict::Verdict;
use clampmark::setup::model::{Setup, Value};
use clampmark::trial::put;

use super::support::{near, setup, state, usual};

/// The example of `by_hand`, where the least clearance at the stop of 60° is √(100 + (200·0.5)²) − 20.
fn square(diameter: f64, out: f64, free: f64) -> String {
    format!(
        r#"setup "rowan/race" format=1 {{
    measured "2026-05-02"
    frame {{
        reach 470; stack 630; head-angle 80; steering-stop 60
        top-tube {{ drop 40; slope 10; diameter {diameter} tol=1; }}
    }}
    stem {{ length 0; angle 0; clamp-height 40; }}
    bar {{ width 800; rise 0; back-sweep 0; up-sweep 0; setback 0; }}
    left {{ brake-lever {{ from-tip 168; lowest from-tip=200 drop=68.936543 ahead=12.155372; }}; }}
    hose "rear brake" {{
        free {free} tol=3
        leaves side=left from-tip=200 ahead=0 up=0
        enters side=left down=80 back=0 out={out}
    }}
}}
"#
    )
}

#[test]
fn a_re_read_diameter_corrects_and_everything_shared_cancels() {
    let (was, now) = (setup(&square(40.0, 150.0, 250.0)), setup(&square(50.0, 150.0, 250.0)));
    let comparison = compare(state(&was), state(&now));
    let left = comparison.clearances.first().expect("the lever, turned left");
    // Half of 10 mm nearer; each diameter 0.5·1/√3, two of them: 2·√2·0.288675 = 0.816497. The stop, the stem and all
    // the rest are shared.
    near(left.shift.delta.unwrap(), -5.0, 1e-9);
    near(left.shift.uncertainty.unwrap(), 0.816_497, 1e-5);
    assert_eq!(left.shift.driven_by, ["frame.top-tube.diameter"]);
    // A tube cannot have moved.
    assert_eq!(left.shift.verdict, Verdict::Corrected);
    assert_eq!(comparison.slack[0].shift.verdict, Verdict::Same);
    assert!(!comparison.has_moved());
}

#[test]
fn a_cut_hose_has_less_slack() {
    let (was, now) = (setup(&square(40.0, 150.0, 250.0)), setup(&square(40.0, 150.0, 230.0)));
    let comparison = compare(state(&was), state(&now));
    let slack = comparison.slack.first().expect("the hose");
    // 20 mm less; two free lengths, 3/√3 each: 2·√2·1.732051 = 4.898979.
    near(slack.shift.delta.unwrap(), -20.0, 1e-9);
    near(slack.shift.uncertainty.unwrap(), 4.898_979, 1e-5);
    assert_eq!((slack.shift.verdict, slack.shift.unit), (Verdict::Moved, "mm"));
    assert_eq!(slack.shift.driven_by, ["hose.rear brake.free"]);
    assert!(comparison.has_moved());
}

#[test]
fn each_state_is_taken_at_its_own_angle() {
    // Without a stop the least clearance lies inside: a twist moves its place and leaves it as it is.
    let (was, now) = (setup(&usual("", 0.0)), setup(&usual("", 4.0)));
    let comparison = compare(state(&was), state(&now));
    let of = |control: &str| {
        comparison.clearances.iter().filter(move |change| change.control == control).collect::<Vec<_>>()
    };
    let lockout = of("left.lockout")[0];
    near(lockout.shift.delta.unwrap(), 0.0, 1e-8);
    assert_eq!(of("left.lockout").len(), 2);
}

#[test]
fn what_only_one_side_has() {
    let with = setup(&usual("", 0.0));
    let without = setup(&usual("", 0.0).replace("lowest from-tip=190 drop=0 ahead=0; }", "}"));
    let comparison = compare(state(&with), state(&without));
    let gone = comparison.clearances.iter().filter(|change| change.shift.verdict == Verdict::NotRecorded);
    assert_eq!(gone.count(), 4);
}

#[test]
fn a_lowest_point_goes_where_its_lever_goes() {
    // No joint holds a lowest point, and yet it is no figure of the frame: 10 mm lower may be 10 mm of movement. Of
    // them 10·sin 80° = 9.848 go along −u, where the point lay 10 below the tube's start, and 10·cos 80° = 1.736 back
    // along the tube. Straight ahead the distance was √(200² + 10²) = 200.249844 and becomes √(200² + 19.848²) =
    // 200.982453; turning right it only grows.
    let (was, now) =
        (square(40.0, 150.0, 250.0), square(40.0, 150.0, 250.0).replace("drop=68.936543", "drop=78.936543"));
    let (was, now) = (setup(&was), setup(&now));
    let comparison = compare(state(&was), state(&now));
    let right = &comparison.clearances[1].shift;
    near(right.delta.unwrap(), 0.732_609, 1e-4);
    assert_eq!(right.driven_by, ["left.brake-lever.lowest.1.drop"]);
    assert_ne!(right.verdict, Verdict::Corrected);
    // 30 mm lower is more than reading explains.
    let lower = setup(&square(40.0, 150.0, 250.0).replace("drop=68.936543", "drop=98.936543"));
    assert_eq!(compare(state(&was), state(&lower)).clearances[1].shift.verdict, Verdict::Moved);
}

/// How much further a hose bows than it needs to: both bows rest on the same ends, and what they share cancels. Against
/// central differences of the whole model over every reading, summed as GUM 5.1.2 says, twice that.
#[test]
fn how_far_a_bow_goes_beyond_what_is_needed_shares_its_ends() {
    let bike = setup(&usual("steering-stop 75;", 0.0).replace("free 420", "free 600"));
    let beyond = |setup: &Setup| {
        let found = hoses(&state(setup)).hoses;
        let hose = found.first().expect("the hose");
        hose.bow.expect("a bow") - hose.bow_needed.expect("a bow")
    };
    let mut variance = 0.0;
    for id in bike.readings.keys() {
        let Some(reading) = bike.reading(id) else { continue };
        let at = |step: f64| {
            let mut shifted = bike.clone();
            let exact = Reading::exact(reading.value() + step, reading.default_unit());
            put(&mut shifted, id, Value::Reading(exact));
            beyond(&shifted)
        };
        variance += ((at(0.01) - at(-0.01)) / 0.02 * reading.standard_uncertainty()).powi(2);
    }
    let mut found = hoses(&state(&bike)).hoses;
    let hose = found.first_mut().expect("the hose");
    hose.add_uncertainty_of_bends(&state(&bike));
    let expanded = hose.uncertainty_of_bow_beyond_need(&state(&bike)).expect("worked out");
    near(expanded, 2.0 * variance.sqrt(), 0.01);
    // Not that of the bow alone.
    assert!((expanded - hose.bow_uncertainty.expect("worked out")).abs() > 0.1, "{hose:?}");
}
