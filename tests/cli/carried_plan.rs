//! What `carry` and `try` say of the work itself: what turns along with a bar that is rolled, which lines and which torques
//! count no more, and what nobody knows of either bike.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::rider::{ROWAN, json, ledger, run, setup, told};

const MARKS: &str =
    "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2026-05-02\" }
    mark \"B1\" on=\"stem-face\" { drawn roll=-1.5 offset=0 }
    mark \"S1\" on=\"stem-steerer\" { drawn twist=0 }
";
const TORQUES: &str =
    "    torque \"stem-steerer\" 5 6 { applied 5.5 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"stem-face\" 4 5 { applied 4.5 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"left.brake-lever\" 2.5 4 { applied 3 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"right.brake-lever\" 2.5 4 { applied 3 read=\"2026-05-02\"; caution \"Its maker.\" }
    torque \"left.lockout\" 1.5 2 { applied 1.8 read=\"2026-05-02\"; caution \"Its maker.\" }
";
const LOCKOUT: &str =
    "        lockout { mount own; from-tip 205; angle 10; lowest from-tip=214 drop=40 ahead=4 }\n";

/// The rowan, and its twin with a lockout that the rowan does not have: all that goes on the steerer stands below the
/// stem, so that nothing but the bar is to be touched.
fn twins(more: &str) -> tempfile::TempDir {
    let folder = ledger();
    let race = ROWAN.replace("spacers-below 15; spacers-above 5", "spacers-below 20; spacers-above 0");
    assert_ne!(race, ROWAN);
    setup(folder.path(), "rowan/race", &race);
    let twin = race
        .replace("rowan/race", "alder/twin")
        .replacen("angle 32;", "angle 32.3;", 1)
        .replacen("    left {\n", &format!("    left {{\n{LOCKOUT}"), 1)
        .replace("    guard", &format!("{more}    guard"));
    setup(folder.path(), "alder/twin", &twin);
    folder
}

/// A box of one bar, rolled to 8.5° and not otherwise: 10° further forward than the −1.5° it has.
fn rolled(folder: &Path, width: u32) {
    let bar = format!(
        "bar \"own\" width={width} rise=25 back-sweep=8 up-sweep=5 bend=90 roll-from=8.5 roll-to=8.5"
    );
    fs::write(folder.join("own.kdl"), format!("parts \"own\" format=1 {{ {bar} }}")).expect("written");
}

const ASKED: [&str; 6] = ["carry", "rowan/race", "--onto", "alder/twin", "--parts", "own.kdl"];

fn of<'v>(found: &'v Value, measure: &str) -> &'v Value {
    let all = found["controls"].as_array().expect("a list");
    all.iter().find(|one| one["measure"] == measure).unwrap_or_else(|| panic!("{measure}: {found}"))
}

fn is_near(value: &Value, wanted: f64) -> bool {
    value.as_f64().is_some_and(|value| (value - wanted).abs() < 1e-6)
}

fn written(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(format!("setups/{name}.kdl"))).expect("written")
}

/// 32.3 + 10 = 42.3°, 32 + 10 = 42°, and both are to be 32; nobody sets the lockout: 10 + 10 = 20°.
#[test]
fn what_turns_along_with_the_bar_is_told_with_where_it_comes_to() {
    let folder = twins("");
    rolled(folder.path(), 780);
    let (_, said) = told(folder.path(), &ASKED);
    for words in [
        "32° tip down left brake lever angle now 32.3° tip down, goes to 42.3° tip down with the bar: set it",
        "32° tip down right brake lever angle goes to 42° tip down with the bar: set it back",
        "168 mm left brake lever place is there",
        "20° tip down left lockout angle now 10° tip down, goes along with the bar",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let found = json(folder.path(), &[&ASKED[..], &["--write", "alder/rolled"]].concat());
    let lever = of(&found, "left.brake-lever.angle");
    assert!(is_near(&lever["now"], 32.3) && is_near(&lever["then"], 42.3) && is_near(&lever["value"], 32.0));
    assert_eq!(lever["meanwhile"], "turns");
    let lockout = of(&found, "left.lockout.angle");
    assert!(lockout["onto"] == "kept" && is_near(&lockout["value"], 20.0), "{lockout}");
    // Where it hangs is what `try` makes of the same roll.
    let asked = ["try", "alder/twin", "bar.roll:=8.5", "--write", "alder/tried"];
    run(folder.path(), 80, &asked);
    let line = |name: &str| {
        let text = written(folder.path(), name);
        text.lines().find(|line| line.contains("lockout {")).expect("the lockout").to_owned()
    };
    assert!(line("alder/rolled").contains("angle 20;"), "{}", line("alder/rolled"));
    assert_eq!(line("alder/rolled"), line("alder/tried"));
}

/// Another bar takes nothing along: whatever sits on the old one comes off and goes back to where it was.
#[test]
fn on_another_bar_everything_is_set_anew() {
    let folder = twins("");
    rolled(folder.path(), 760);
    let (_, said) = told(folder.path(), &ASKED);
    for words in [
        "32° tip down right brake lever angle comes off with the bar: set it",
        "168 mm left brake lever place comes off with the bar: set it",
        "10° tip down left lockout angle comes off with the bar: put it back so",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let found = json(folder.path(), &[&ASKED[..], &["--write", "alder/other"]].concat());
    assert!(of(&found, "left.brake-lever.angle")["then"].is_null(), "{found}");
    assert!(written(folder.path(), "alder/other").contains("lockout { mount own; from-tip 205; angle 10;"));
}

/// The line of the lever turned with the bar to 42° and the lever is set to 32; that of the bar stands at −1.5°.
#[test]
fn lines_that_the_plan_makes_stale_are_told() {
    let folder = twins(MARKS);
    rolled(folder.path(), 780);
    let (_, said) = told(folder.path(), &[&ASKED[..], &["--write", "alder/rolled"]].concat());
    let (_, checked) = told(folder.path(), &["check", "alder/rolled"]);
    for mark in ["L1", "B1"] {
        let words = format!("Mark {mark} is stale");
        assert!(said.contains(&words) && checked.contains(&words), "{words}: {said} {checked}");
    }
    assert!(!said.contains("Mark S1 is stale"), "{said}");
    // Of another bar they are lines of what is gone, and told so.
    rolled(folder.path(), 760);
    let (_, said) = told(folder.path(), &ASKED);
    assert!(said.contains("no evidence: marks L1, B1.") && !said.contains("is stale"), "{said}");
}

fn applied(text: &str) -> Vec<&str> {
    let joint = |line: &&str| line.contains("applied ") && !line.contains("note");
    text.lines().filter(joint).filter_map(|line| line.split('"').nth(1)).collect()
}

/// The bar rolls in the stem and both levers are turned on it; the lockout goes along and the stem is left alone.
#[test]
fn a_torque_from_before_the_plan_counts_no_more() {
    let folder = twins(TORQUES);
    rolled(folder.path(), 780);
    let asked = [&ASKED[..], &["--write", "alder/rolled"]].concat();
    let (_, said) = told(folder.path(), &asked);
    let words = "Opened for this, and not tightened yet: bar in stem, left brake lever, right brake lever, right \
                 shifter. What was last applied there counts no more: tighten each to its range before you ride. No \
                 torque is known of right shifter: take the part maker's.";
    assert!(said.contains(words), "{said}");
    let text = written(folder.path(), "alder/rolled");
    assert_eq!(applied(&text), ["stem-steerer", "left.lockout"], "{text}");
    let found = json(folder.path(), &ASKED);
    let joints = found["opens"]["not-tightened"].as_array().expect("a list");
    let joints: Vec<&Value> = joints.iter().map(|one| &one["joint"]).collect();
    assert_eq!(joints, ["stem-face", "left.brake-lever", "right.brake-lever"]);
}

#[test]
fn a_stem_turned_over_and_spacers_moved_are_not_tightened_either() {
    let folder = ledger();
    let torques: Vec<&str> = TORQUES.lines().filter(|line| !line.contains("lockout")).collect();
    let race = ROWAN.replace("    guard", &format!("{}\n    guard", torques.join("\n")));
    setup(folder.path(), "rowan/race", &race.replace("angle 0;", "angle 6;"));
    for (change, left) in [
        (
            &["steerer.spacers-below=+5", "steerer.spacers-above=-5"][..],
            vec!["stem-face", "left.brake-lever", "right.brake-lever"],
        ),
        (&["stem.angle:=-6"], vec!["left.brake-lever", "right.brake-lever"]),
        (&["bar.roll=+3", "left.brake-lever.from-tip=-5"], vec!["stem-steerer", "right.brake-lever"]),
        // To stay at 32° on a bar that is rolled it has to be turned on it; at 37° it does not.
        (&["bar.roll=+5", "left.brake-lever.angle=32"], vec!["stem-steerer", "right.brake-lever"]),
        (
            &["bar.roll=+5", "left.brake-lever.angle=37"],
            vec!["stem-steerer", "left.brake-lever", "right.brake-lever"],
        ),
    ] {
        let asked = [&["try", "rowan/race"][..], change, &["--write", "rowan/tried"]].concat();
        let (_, said) = told(folder.path(), &asked);
        assert!(said.contains("and not tightened yet:"), "{change:?}: {said}");
        let text = written(folder.path(), "rowan/tried");
        assert_eq!(applied(&text), left, "{change:?}: {text}");
        assert!(
            text.contains(
                "torque not read (planned: applied before this was opened for the change, not since)"
            ),
            "{text}"
        );
        fs::remove_file(folder.path().join("setups/rowan/tried.kdl")).expect("gone");
    }
}

#[test]
fn of_a_bike_of_which_nobody_knows_how_it_stands_no_hands_are_carried() {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &ROWAN.replace("twist 0", "twist unmeasured"));
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    let (status, said) = told(folder.path(), &asked);
    assert!(status == 2 && said.contains("Missing for them: stem twist."), "{status}: {said}");
    setup(folder.path(), "rowan/race", ROWAN);
    let alder = written(folder.path(), "alder/trail");
    let unknown = alder.replace("twist 0", "twist unmeasured").replace("offset 0", "offset unmeasured");
    setup(folder.path(), "alder/trail", &unknown);
    let (_, said) = told(folder.path(), &asked);
    assert!(
        said.contains("How alder/trail stands is not known (stem twist, bar offset): set it straight")
            && said.contains("As it stands, but straightened: alder/trail misses by")
            && said.contains(
                "hose ends were left as they are: how the bar lies is not known, for want of stem twist, bar offset."
            ),
        "{said}"
    );
}

/// Left out, the spacers above the stem count as none: 15 mm below it and its clamp of 40 are all that the steerer takes.
/// Where they are unmeasured nobody knows.
#[test]
fn spacers_above_the_stem_that_are_left_out_count_as_none() {
    let folder = ledger();
    let alder = written(folder.path(), "alder/trail").replace("stack 618", "stack 560");
    let text = "parts \"high\" format=1 { stem \"s\" length=50 angle=-20 clamp-height=40; spacer 10 count=4; spacer 5 }";
    fs::write(folder.path().join("high.kdl"), text).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "high.kdl"];
    setup(folder.path(), "alder/trail", &alder.replace("; spacers-above 5", ""));
    let found = json(folder.path(), &asked);
    for one in found["assemblies"].as_array().expect("a list") {
        assert!(one["spacers-below"].as_f64().is_some_and(|below| below <= 15.0), "{one}");
        assert!(one["may-not-reach"].is_null(), "{one}");
    }
    setup(folder.path(), "alder/trail", &alder.replace("spacers-above 5", "spacers-above unmeasured"));
    let (status, said) = told(folder.path(), &[&asked[..], &["--write", "alder/high"]].concat());
    // All 45 mm below it: 30 more than the 15 there now.
    let words = "Whether the steerer is long enough is not known, and the stem's clamp ends 30 mm higher than now. Do not ride so";
    assert!(status == 1 && said.contains(words), "{status}: {said}");
    let text = written(folder.path(), "alder/high");
    assert!(text.contains("do not ride: whether the steerer is long enough is not known"), "{text}");
}

#[test]
fn an_angle_read_on_ground_that_nobody_read_is_told() {
    let folder = ledger();
    let words =
        "The slope of the ground was not read (floor), and is taken for level: left brake lever angle";
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    for said in [told(folder.path(), &asked).1, told(folder.path(), &["body", "rowan/race"]).1] {
        assert!(!said.contains(words), "{said}");
    }
    setup(folder.path(), "rowan/race", &ROWAN.replace("    floor 0.0\n", ""));
    let (_, said) = told(folder.path(), &asked);
    assert!(said.contains(&format!("{words} of rowan/race, ")), "{said}");
    assert!(!said.contains("angle of alder/trail"), "{said}");
    let (_, said) = told(folder.path(), &["body", "rowan/race"]);
    assert!(said.contains(&format!("{words}, right brake lever angle. On other ground")), "{said}");
    let found = json(folder.path(), &["body", "rowan/race"]);
    assert_eq!(found["floor-not-read"].as_array().map(Vec::len), Some(2), "{found}");
}

/// The shifter stands at 191 mm on a clamp of its own, and on the other bike on the lever's.
#[test]
fn a_place_that_cannot_be_carried_is_told() {
    let folder = ledger();
    let alder = written(folder.path(), "alder/trail");
    let shared = alder.replace("shifter { mount own; from-tip 191;", "shifter { mount shared slot=inner;");
    assert_ne!(shared, alder);
    setup(folder.path(), "alder/trail", &shared);
    let (_, said) = told(folder.path(), &["carry", "rowan/race", "--onto", "alder/trail"]);
    let words = "right shifter place (191 mm on rowan/race, on the lever's clamp on alder/trail)";
    assert!(said.contains(words), "{said}");
}
