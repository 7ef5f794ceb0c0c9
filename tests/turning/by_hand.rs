//! One bike that can be worked out with pencil and paper.
//!
//! Head angle 80°, so u = (−cos 80°, 0, sin 80°) and n = (sin 80°, 0, cos 80°). No stem length, no rise, no sweep, no
//! setback: the bar's middle S lies on the steering axis, 40/2 = 20 mm above the top of the head tube H. The bar is
//! 800 mm wide, so 200 mm in from its left end is S + 200·y.
//!
//! The lever's lowest point lies h along −u from there: ahead = h·cos 80°, drop = h·sin 80°. With h = 70:
//! ahead = 12.155372, drop = 68.936543, and Q = H − 50·u + 200·y. Turned by φ (u × y = −n):
//! Q(φ) = H − 50·u + 200·cos φ·y − 200·sin φ·n.
//!
//! The top tube starts at H − 40·u and with a slope of 10° runs along −n: (−cos 10°, 0, −sin 10°) = −(sin 80°, 0,
//! cos 80°). Turned to the left the point stands 200·sin φ along it, so the distance is √(10² + (200·cos φ)²), less
//! 20 mm of radius. Turned to the right it is in front of the tube's start, √(10² + 200²) from it at any angle.

use clampmark::geometry::turning::{HoseEnd, PROOF_GAP, steered};

use super::support::{control, near, setup, state, turned};

/// Everything is known to a millionth, but for the tube's diameter and the stop.
fn bike(stop: &str, more: &str) -> String {
    format!(
        r#"setup "rowan/race" format=1 {{
    measured "2026-05-02"
    instruments {{ exact tol=0.000001; }}
    frame {{
        reach 470 with=exact; stack 630 with=exact; head-angle 80 with=exact
        {stop}
        top-tube {{ drop 40 with=exact; slope 10 with=exact; diameter 40 tol=1; }}
    }}
    headset {{ cover 0 with=exact; }}
    steerer {{ spacers-below 0 with=exact; }}
    stem {{ length 0 with=exact; angle 0 with=exact; clamp-height 40 with=exact; twist 0 with=exact; }}
    bar {{
        width 800 with=exact; rise 0 with=exact; back-sweep 0 with=exact; up-sweep 0 with=exact
        setback 0 with=exact; roll 0 with=exact; offset 0 with=exact
    }}
    left {{ brake-lever {{ from-tip 168; lowest from-tip=200 drop=68.936543 ahead=12.155372 with=exact; }}; }}
    {more}
}}
"#
    )
}

#[test]
fn least_at_the_stop_with_the_stops_own_tolerance() {
    let turning = turned(&bike("steering-stop 60 tol=2", ""));
    let lever = control(&turning, "left.brake-lever");
    // √(100 + (200·0.5)²) − 20 = √10100 − 20 = 100.498756 − 20.
    near(lever.left.least, 80.498_756, 1e-5);
    near(lever.left.at, 60.0, 1e-12);
    assert!(lever.left.at_stop && lever.left.gap <= PROOF_GAP);
    // The diameter: 0.5 · 1/√3. The stop: dC/dφ = −200²·sin 60°·cos 60°/100.498756 = −17320.508/100.498756 =
    // −172.345 mm/rad = −3.007996 mm a degree; · 2/√3. Both in quadrature: √(0.288675² + 3.473335²) = 3.485310; twice
    // that.
    near(lever.left.uncertainty, 6.970_62, 1e-3);
    assert_eq!((lever.left.contact, lever.left.contact_uncertainty), (None, None));
    // To the right: √(10² + 200²) − 20 = 180.249844 at any angle, so straight ahead counts.
    near(lever.right.least, 180.249_844, 1e-5);
    near(lever.right.at, 0.0, 1e-6);
    // Only the diameter: 2 · 0.5 · 1/√3.
    near(lever.right.uncertainty, 0.577_350, 1e-5);
}

#[test]
fn contact_without_a_stop() {
    let turning = turned(&bike("", ""));
    assert_eq!((turning.stop, turning.turned), (None, 180.0));
    let way = &control(&turning, "left.brake-lever").left;
    // Least where the bar lies along the tube, 90° left: 10 − 20 = −10.
    near(way.least, -10.0, 1e-5);
    near(way.at, 90.0, 1e-3);
    near(way.uncertainty, 0.577_350, 1e-5);
    // Touches at √(100 + (200·cos φ)²) = 20: cos φ = √300/200 = 0.0866025, φ = 85.031816°.
    near(way.contact.expect("a contact"), 85.031_816, 1e-5);
    // U = 0.577350 mm over 200²·sin φ·cos φ/20 = 40000·0.996243·0.0866025/20 = 172.554 mm/rad = 3.011641 mm a degree:
    // 0.191706°.
    near(way.contact_uncertainty.expect("a contact"), 0.191_706, 1e-5);
    assert!(turning.is_limited());
}

#[test]
fn the_nearest_of_several_lowest_points_counts() {
    // A second point 60 mm along −u from the bar: Q = H − 40·u, in the plane of the tube: at 60° it is 100 − 20 = 80
    // away, nearer than the first point's 80.498756. ahead = 60·cos 80° = 10.418891, drop = 60·sin 80° = 59.088465.
    let two = bike("steering-stop 60 tol=2", "").replace(
        "ahead=12.155372 with=exact;",
        "ahead=12.155372 with=exact; lowest from-tip=200 drop=59.088465 ahead=10.418891 with=exact;",
    );
    let turning = turned(&two);
    let lever = control(&turning, "left.brake-lever");
    near(lever.left.least, 80.0, 1e-5);
    assert_eq!(lever.left.lowest, 2);
}

#[test]
fn the_profile_is_the_least_on_each_piece() {
    let turning = turned(&bike("steering-stop 60 tol=2", ""));
    let profile = &control(&turning, "left.brake-lever").profile;
    assert_eq!((profile.from, profile.to, profile.least.len()), (-60.0, 60.0, 50));
    // The last piece ends at the stop; the one before it 120°/50 = 2.4° earlier: √(100 + (200·cos 57.6°)²) − 20 with
    // cos 57.6° = 0.535827: √(100 + 11484.4) − 20 = 87.631.
    near(profile.least[49], 80.498_756, 1e-5);
    near(profile.least[48], 87.631, 1e-2);
    near(profile.least[0], 180.249_844, 1e-5);
}

#[test]
fn one_angle_and_the_way_to_it() {
    let setup = setup(&bike("", ""));
    let at = steered(&state(&setup), 60.0);
    let lever = at.controls.first().expect("the lever");
    near(lever.clearance, 80.498_756, 1e-5);
    near(lever.way.least, 80.498_756, 1e-5);
    // At an angle that is given, only the diameter is uncertain.
    near(lever.uncertainty, 0.577_350, 1e-5);
    // Past the tube, 120° is as near as 60°, and on the way lies the contact.
    let past = steered(&state(&setup), 120.0);
    let lever = past.controls.first().expect("the lever");
    near(lever.clearance, 80.498_756, 1e-5);
    near(lever.way.least, -10.0, 1e-5);
    assert!(past.is_limited() && !at.is_limited());
}

/// From S + 200·y = H + 20·u + 200·y to H − 80·u + 150·y: chord² = 100² + 200² + 150² − 2·200·150·cos φ =
/// 72 500 − 60 000·cos φ.
fn hose(free: f64) -> String {
    format!(
        r#"hose "rear brake" {{
        free {free} tol=3; bend-radius 100
        leaves side=left from-tip=200 ahead=0 up=0 with=exact
        enters side=left down=80 back=0 out=150 with=exact
    }}"#
    )
}

#[test]
fn a_hose_long_enough() {
    let turning = turned(&bike("steering-stop 60 tol=2", &hose(250.0)));
    let hose = turning.hoses.first().expect("the hose");
    // Straight √12500 = 111.803399, at the stop √42500 = 206.155281; 250 less that.
    near(hose.straight.expect("a chord"), 111.803_399, 1e-5);
    near(hose.longest.expect("a chord"), 206.155_281, 1e-5);
    near(hose.at.expect("an angle"), 60.0, 1e-12);
    near(hose.slack.expect("slack"), 43.844_719, 1e-5);
    assert_eq!((hose.tight_at, hose.tight_left, hose.tight_right), (None, None, None));
    assert!(!hose.beyond_not_looked_at && hose.end == HoseEnd::Frame);
    // Free length: 3/√3. Stop: 30000·sin 60°/206.155281 = 126.025 mm/rad = 2.199555 mm a degree, · 2/√3. Twice
    // √(1.732051² + 2.539827²) = 6.148405.
    near(hose.uncertainty.expect("slack"), 6.148_405, 1e-3);
    // Machinery's Handbook, 31st edition, page 83: c = 2·r·sin(l/2r), h = r·(1 − cos(l/2r)); shortest straight ahead.
    let radius = hose.tightest_radius.expect("a radius");
    near(2.0 * radius * (250.0 / (2.0 * radius)).sin(), 111.803_399, 1e-5);
    near(hose.bow.expect("a bow"), radius * (1.0 - (250.0 / (2.0 * radius)).cos()), 1e-6);
    near(hose.shortest_at.expect("an angle"), 0.0, 1e-9);
    // By hand: sin x/x = 111.803/250 = 0.447214 for x between 2.01 (0.450358) and 2.02 (0.445979), so the radius
    // 250/2x is between 61.9 and 62.2: less than the 100 allowed.
    assert!((61.8..62.3).contains(&radius) && hose.bends_too_tight());
}

#[test]
fn a_hose_that_goes_tight() {
    let turning = turned(&bike("steering-stop 75 tol=2", &hose(200.0)));
    let hose = turning.hoses.first().expect("the hose");
    // 72500 − 60000·cos φ = 200²: cos φ = 32500/60000, φ = 57.202832°, to both sides alike.
    near(hose.tight_at.expect("tight"), 57.202_83, 1e-4);
    near(hose.tight_left.expect("tight"), 57.202_83, 1e-4);
    near(hose.tight_right.expect("tight"), -57.202_83, 1e-4);
    assert!(turning.is_limited());
}

#[test]
fn without_a_stop_a_hose_is_looked_at_to_sixty_degrees() {
    let turning = turned(&bike("", &hose(210.0)));
    let hose = turning.hoses.first().expect("the hose");
    // Tight at cos φ = (72500 − 44100)/60000 = 0.473333, 61.7°: beyond what was looked at.
    assert_eq!((hose.tight_at, hose.turned), (None, Some(60.0)));
    assert!(hose.beyond_not_looked_at);
    // The angle has no reading there: only the free length is uncertain, 2 · 3/√3.
    near(hose.uncertainty.expect("slack"), 3.464_102, 1e-4);
}

#[test]
fn a_hose_on_the_fork_has_only_a_length() {
    let fork = r#"hose "front brake" { free 600; enters on=fork; }"#;
    let turning = turned(&bike("", fork));
    let hose = turning.hoses.first().expect("the hose");
    assert_eq!((hose.end, hose.free, hose.slack, hose.bow), (HoseEnd::Fork, Some(600.0), None, None));
    assert!(turning.missing.iter().all(|missing| !missing.part.starts_with("hose")));
}
