use crate::harness::flowing;
use crate::harness::{Bench, Commit, widest};
use crate::texts::{PLUMB, RACE, RETURNED, changed};

fn close(value: &serde_json::Value, expected: f64, within: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - expected).abs() < within, "{value} is not {expected}");
}

#[test]
fn a_bike_that_a_pocket_calculator_can_follow() {
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB)]);
    let outcome = bench.run(&["grips", "alder/plumb", "--json"]);
    let json = outcome.json();
    assert_eq!(outcome.status, 0);
    assert_eq!(json["schema"], "clampmark.grips/1");
    // The arithmetic stands beside the text of the setup.
    close(&json["grips"]["left"]["x"], 442.29446, 1e-5);
    close(&json["grips"]["left"]["y"], 290.0, 1e-9);
    close(&json["grips"]["left"]["z"], 648.07472, 1e-5);
    close(&json["grips"]["right"]["x"], 442.29446, 1e-5);
    close(&json["grips"]["right"]["y"], -290.0, 1e-9);
    let derived = &json["derived"];
    close(&derived["grip-reach"]["value"], 442.29446, 1e-5);
    close(&derived["grip-stack"]["value"], 648.07472, 1e-5);
    close(&derived["hand-span"]["value"], 580.0, 1e-9);
    // √(442.29446² + 648.07472²) = √(195624.39 + 420000.84) = 784.6179.
    close(&derived["bb-to-grips"]["value"], 784.6179, 1e-3);
    // Ahead of the axis by the stem; up it by spacers and half the clamp.
    close(&derived["steering-offset"]["value"], 50.0, 1e-9);
    close(&derived["grip-height-on-axis"]["value"], 40.0, 1e-9);
}

/// By hand, with the table's tolerances: each half-width times its effect, squared, summed, /3, root, times 2.
#[test]
fn its_uncertainty_by_hand() {
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB)]);
    let json = bench.run(&["grips", "alder/plumb", "--why", "grip-reach", "--json"]).json();
    // Span: width 1 and both hands 1 each; 2·√(3/3) = 2.
    close(&json["derived"]["hand-span"]["U"], 2.0, 1e-9);
    // Reach, squares of half-width × effect: frame reach 1; head angle (0.3° = 0.0052360)·(40·0.98481 + 50·0.17365)
    // = 0.25172 → 0.063361; cover and spacers (0.5·0.17365)² = 0.0075384 each; half the clamp 0.0018846;
    // stem length (0.5·0.98481)² = 0.2424617; stem angle (0.0087266·50·0.17365)² = 0.0057407; rise 0.17365² =
    // 0.0301537; back sweep (0.0087266·(250 − 60)·0.98481)² = 2.6662644; up sweep (0.0087266·60·0.17365)² =
    // 0.0082668. Sum 4.03321; U = 2·√(4.03321/3) = 2.31897.
    close(&json["derived"]["grip-reach"]["U"], 2.31897, 1e-4);
    // Stack: 1; (0.0052360·(40·0.17365 − 50·0.98481))² = 0.0490416; (0.5·0.98481)² = 0.2424617 twice; half the clamp
    // 0.0606154; (0.5·0.17365)² = 0.0075384; (0.0087266·50·0.98481)² = 0.1846441; 0.98481² = 0.9698463;
    // (0.0087266·190·0.17365)² = 0.0828979; (0.0087266·60·0.98481)² = 0.2658877. Sum 3.10539; U = 2.03483.
    close(&json["derived"]["grip-stack"]["U"], 2.03483, 1e-4);
    // The same squares over their sum.
    let shares = json["why"]["shares"].as_array().unwrap();
    for (place, (measure, share)) in
        [("bar.back-sweep", 0.66108), ("frame.reach", 0.24794), ("stem.length", 0.06012)]
            .into_iter()
            .enumerate()
    {
        assert_eq!(shares[place]["measure"], measure);
        close(&shares[place]["share"], share, 1e-4);
    }
    let sum: f64 = shares.iter().map(|share| share["share"].as_f64().unwrap()).sum();
    assert!((sum - 1.0).abs() < 1e-12);
}

#[test]
fn what_was_assumed_and_what_is_missing() {
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB)]);
    let json = bench.run(&["grips", "alder/plumb", "--json"]).json();
    assert_eq!(json["assumed"], serde_json::json!(["headset.cover", "stem.twist", "bar.roll", "bar.offset"]));
    let trail = serde_json::json!(["frame.wheel-radius", "frame.fork-offset"]);
    let missing = json["missing"].as_array().unwrap();
    assert!(missing.iter().any(|missing| missing["derived"] == "trail" && missing["needs"] == trail));
}

#[test]
fn what_is_unmeasured_takes_the_grip_points_with_it() {
    // Either figure of the bar would do; both stand in the list that programs read.
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &changed(PLUMB, &[("; bend 100", "")]))]);
    let outcome = bench.run(&["grips", "alder/plumb"]);
    assert!(outcome.out.contains("  bar setback or bend – for the grip points"), "{}", outcome.screen());
    let json = bench.run(&["grips", "alder/plumb", "--json"]).json();
    assert_eq!(json["missing"][0]["needs"], serde_json::json!(["bar.setback", "bar.bend"]));
    let text = changed(PLUMB, &[("bend 100", "bend 100; roll unmeasured")]);
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &text)]);
    let outcome = bench.run(&["grips", "alder/plumb", "--json"]);
    assert_eq!(outcome.json()["grips"], serde_json::Value::Null);
    let missing = outcome.json()["missing"][0].clone();
    assert_eq!(missing["derived"], "grip.left.x");
    assert_eq!(missing["needs"], serde_json::json!(["bar.roll"]));
    insta::assert_snapshot!(bench.run(&["grips", "alder/plumb"]).screen());
}

#[test]
fn screens() {
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", RACE), ("setups/alder/plumb.kdl", PLUMB)]);
    insta::assert_snapshot!("race", bench.run(&["grips", "rowan/race"]).screen());
    insta::assert_snapshot!("plumb", bench.run(&["grips", "alder/plumb"]).screen());
    insta::assert_snapshot!("why", bench.run(&["grips", "rowan/race", "--why", "grip-stack"]).screen());
    insta::assert_snapshot!("json", bench.run(&["grips", "alder/plumb", "--json"]).screen());
    let bench = bench.columns(120);
    insta::assert_snapshot!("race_wide", bench.run(&["grips", "rowan/race"]).screen());
}

#[test]
fn nothing_is_wider_than_the_page() {
    let mut bench = Bench::without_git(&[("setups/rowan/race.kdl", RACE)]);
    for columns in [80, 100, 120] {
        bench = bench.columns(columns);
        for more in [vec![], vec!["--why", "saddle-to-grip-drop"]] {
            let outcome = bench.run(&[vec!["grips", "rowan/race"], more].concat());
            assert!(widest(&outcome.out) <= columns, "{}", outcome.screen());
        }
    }
}

#[test]
fn a_hand_beyond_the_straight_part_is_told() {
    // The straight part is 350 − 300 = 50 mm long; the hand is at 60.
    let text = changed(PLUMB, &[("bend 100", "bend 300")]);
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &text)]);
    let notes = bench.run(&["grips", "alder/plumb", "--json"]).json()["notes"].to_string();
    assert!(notes.contains("The left hand lies further in than the straight outer part"), "{notes}");
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB)]);
    assert_eq!(bench.run(&["grips", "alder/plumb", "--json"]).json()["notes"], serde_json::json!([]));
}

#[test]
fn few_repeats_are_told() {
    let text = changed(PLUMB, &[("reach 400", "reach 399 401 400")]);
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &text)]);
    let notes = bench.run(&["grips", "alder/plumb", "--json"]).json()["notes"].to_string();
    assert!(notes.contains("optimistic: frame reach"), "{notes}");
}

#[test]
fn at_a_revision() {
    let higher = changed(PLUMB, &[("spacers-below 20", "spacers-below 30")]);
    let bench = Bench::recorded(&[
        Commit { subject: "Measure", files: &[("setups/alder/plumb.kdl", PLUMB)], tag: Some("venue-1") },
        Commit { subject: "Raise", files: &[("setups/alder/plumb.kdl", &higher)], tag: None },
    ]);
    let stack = |arguments: &[&str]| {
        let json = bench.run(&[&["grips", "alder/plumb", "--json"], arguments].concat()).json();
        (json["derived"]["grip-stack"]["value"].clone(), json["revision"].clone())
    };
    // 10 mm more up the axis: 10·0.9848078 = 9.84808 higher.
    let (now, revision) = stack(&[]);
    close(&now, 657.92280, 1e-5);
    assert_eq!(revision, serde_json::Value::Null);
    for earlier in ["venue-1", "HEAD~1"] {
        let (was, revision) = stack(&["--at", earlier]);
        close(&was, 648.07472, 1e-5);
        assert_eq!(revision.as_str().map(str::len), Some(40));
    }
    insta::assert_snapshot!("at_a_tag", bench.run(&["grips", "alder/plumb", "--at", "venue-1"]).screen());
    let unknown = bench.run(&["grips", "alder/plumb", "--at", "venue-2"]);
    assert_eq!(unknown.status, 2);
    assert!(unknown.err.contains("venue-1"), "{}", unknown.screen());
}

#[test]
fn questions_that_cannot_be_answered() {
    let bench =
        Bench::without_git(&[("setups/rowan/race.kdl", RACE), ("setups/rowan/returned.kdl", RETURNED)]);
    let asked: [&[&str]; 5] = [
        &["grips", "rowan/rase"],
        &["grips", "rowan/race", "--why", "grip-stak"],
        &["grips", "rowan/race", "--why", "trail"],
        &["grips", "rowan/returned"],
        &["grips", "rowan/race", "--at", "HEAD"],
    ];
    let screens: Vec<String> = asked
        .iter()
        .map(|arguments| {
            let outcome = bench.run(arguments);
            assert_eq!(outcome.status, 2, "{}", outcome.screen());
            outcome.screen()
        })
        .collect();
    insta::assert_snapshot!(screens.join("\n"));
}

#[test]
fn a_saddle_near_its_limit_is_rough() {
    // 399 ± 2 mm behind a height of 400: at 401 there is no such saddle.
    let text = changed(PLUMB, &[("left {", "saddle { height 400; setback 399 }\n    left {")]);
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", &text)]);
    let json = bench.run(&["grips", "alder/plumb", "--json"]).json();
    assert_eq!(json["derived"]["saddle-to-grip-drop"]["rough"], true);
    assert_eq!(json["derived"]["grip-stack"]["rough"], false);
    let screen = bench.run(&["grips", "alder/plumb"]).screen();
    let line = screen.lines().find(|line| line.contains("grips below the saddle")).unwrap();
    assert!(line.ends_with("± is rough"), "{screen}");
}

#[test]
fn what_a_fresh_file_lacks_is_listed_once() {
    let bench = Bench::without_git(&[]);
    assert_eq!(bench.run(&["new", "rowan/first"]).status, 0);
    let said = flowing(&bench.run(&["grips", "rowan/first"]).out);
    let (_, missing) = said.split_once("Missing ").expect("what is missing");
    let (missing, _) = missing.split_once(" Measured").expect("what was measured");
    assert_eq!(missing.matches("stem clamp height").count(), 1, "{missing}");
    assert!(
        missing.contains("the grip points, and saddle height, saddle setback – for saddle to grips"),
        "{missing}"
    );
}
