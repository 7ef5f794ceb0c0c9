//! What `carry` and `try` say of what no figure shows: a bar that was cut, a pile and its top cap, who rides the bike, a
//! stem turned over, lines that turned with the bar.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

fn setup(folder: &Path, name: &str, text: &str) {
    fs::write(folder.join(format!("setups/{name}.kdl")), text).expect("written");
}

fn written(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(format!("setups/{name}.kdl"))).expect("written")
}

fn own_box(folder: &Path, bar: &str) {
    let text = format!(
        "parts \"own\" format=1 {{
            steerer left=60
            stem \"own\" length=50 angle=0 clamp-height=40
            bar \"own\" width=780 {bar}rise=25 back-sweep=8 up-sweep=5 bend=90
            spacer 15
            spacer 5
        }}"
    );
    fs::write(folder.join("own.kdl"), text).expect("written");
}

/// 800 mm cut to 780 lost 10 mm of each end, which rose 10·tan 5° = 0.87 mm: the same figures are the same bike.
#[test]
fn a_bar_of_the_box_may_have_been_cut() {
    let folder = ledger();
    let cut = ROWAN.replace("width 780;", "width 780; supplied-width 800;");
    setup(folder.path(), "rowan/race", &cut);
    let asked = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "own.kdl"];
    own_box(folder.path(), "supplied-width=800 ");
    let found = json(folder.path(), &[&asked[..], &["--write", "rowan/again"]].concat());
    let best = &found["assemblies"][0];
    assert!(best["distance"].as_f64().expect("a distance") < 1e-6, "{best}");
    assert_eq!((&best["stem"], &best["bar"]), (&"own".into(), &"own".into()));
    assert!(found["replaced"].is_null() && found["would-be-exact"].is_null(), "{found}");
    assert!(written(folder.path(), "rowan/again").contains("width 780; supplied-width 800;"));
    // One that was not cut is another, and lies higher.
    own_box(folder.path(), "");
    let found = json(folder.path(), &asked);
    assert_eq!(found["replaced"]["parts"], serde_json::json!(["bar"]));
    own_box(folder.path(), "supplied-width=770 ");
    let (status, said) = run(folder.path(), 120, &["check", "own.kdl"]);
    assert!(status == 1 && said.contains("(bar-wider-than-supplied)"), "{said}");
}

#[test]
fn a_pile_is_said_to_need_room_for_its_top_cap() {
    let folder = ledger();
    own_box(folder.path(), "");
    let asked =
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "own.kdl", "--write", "alder/race"];
    let (_, said) = run(folder.path(), 120, &asked);
    let clears = "The top cap has to clear the steerer's end by 2 to 3 mm";
    assert!(flowing(&said).contains(clears), "{said}");
    assert!(written(folder.path(), "alder/race").contains(clears));
    // Both say what is meant by what is left: the height of the pile, as the bike's own figures give it.
    let (_, help) = run(folder.path(), 80, &["carry", "--help"]);
    let help = flowing(&help);
    assert!(help.contains("spacers below, the stem's clamp, spacers above."), "{help}");
    assert!(
        help.contains("from -10 to 10 degrees") && help.contains("supplied-width= if it was cut"),
        "{help}"
    );
    let own = json(folder.path(), &["carry", "rowan/race", "--onto", "rowan/race"]);
    let boxed = json(folder.path(), &["carry", "rowan/race", "--onto", "rowan/race", "--parts", "own.kdl"]);
    for found in [own, boxed] {
        assert_eq!(found["assemblies"][0]["spacers-above"], 5.0, "{found}");
    }
}

#[test]
fn a_front_brake_on_the_other_hand_comes_before_all() {
    let folder = ledger();
    let alder = written(folder.path(), "alder/trail");
    // The rear brake's hose leaves the other lever.
    let other = alder
        .replace("stature 1780; front-brake right", "stature 1650; front-brake left")
        .replace("leaves side=left", "leaves side=right");
    assert_ne!(other, alder);
    setup(folder.path(), "alder/trail", &other);
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    let (_, said) = run(folder.path(), 120, &asked);
    let said = flowing(&said);
    let words = "The front brake is on the other hand on this bike: the left on alder/trail (its hose `rear brake` \
                 leaves the right lever), the right on rowan/race (its hose `rear brake` leaves the left lever). \
                 Local law decides; tell the rider before anybody rides.";
    let first = said.find(words).unwrap_or_else(|| panic!("{said}"));
    assert!(first < said.find("the nearest of").expect("the best"), "{said}");
    assert!(
        said.contains("The rider of rowan/race is 1780 mm tall and that of alder/trail 1650 mm"),
        "{said}"
    );
    setup(folder.path(), "alder/trail", &alder);
    let found = json(folder.path(), &asked);
    assert!(found["front-brake"].is_null(), "{found}");
    assert!(!found["notes"].to_string().contains("mm tall"), "{found}");
}

/// The rider's word is the same on both files, and the hoses of the other bike know better: its front brake's leaves
/// the left lever, its rear brake's the right.
#[test]
fn the_hoses_tell_which_hand_has_the_front_brake() {
    let folder = ledger();
    let front = "    hose \"front brake\" { leaves side=right from-tip=215 ahead=30 up=-5 }\n    guard";
    let race = ROWAN.replace("    guard", front);
    setup(folder.path(), "rowan/race", &race);
    let alder = written(folder.path(), "alder/trail").replace("    guard", front);
    let swapped = alder
        .replace("leaves side=right", "leaves side=other")
        .replace("leaves side=left", "leaves side=right")
        .replace("leaves side=other", "leaves side=left");
    setup(folder.path(), "alder/trail", &swapped);
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    let (_, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    let words = "The front brake is on the other hand on this bike: the left on alder/trail (its hose `front brake` \
                 leaves the left lever), the right on rowan/race (its hose `front brake` leaves the right lever).";
    let first = said.find(words).unwrap_or_else(|| panic!("{said}"));
    let best = said.find("the nearest of").expect("the best");
    // What `check` says of the other bike anyhow comes first, too: of each of the two hoses.
    let caution = "alder/trail: The hose `front brake` leaves the left lever, but the rider's front brake is on the right";
    let caution = said.find(caution).unwrap_or_else(|| panic!("{said}"));
    assert!(first < best && caution < best, "{said}");
    let found = json(folder.path(), &asked);
    assert_eq!(found["front-brake-cautions"].as_array().map(Vec::len), Some(2), "{found}");
    // A word that is as the hoses are leaves no caution; the hands are still not the same.
    setup(folder.path(), "alder/trail", &swapped.replace("front-brake right", "front-brake left"));
    let found = json(folder.path(), &asked);
    assert_eq!(found["front-brake-cautions"], serde_json::json!([]), "{found}");
    assert!(found["front-brake"].is_string(), "{found}");
    // Two words, but hoses alike: the same hand.
    setup(folder.path(), "alder/trail", &alder.replace("front-brake right", "front-brake left"));
    let found = json(folder.path(), &asked);
    assert!(found["front-brake"].is_null(), "{found}");
    assert_eq!(found["front-brake-cautions"].as_array().map(Vec::len), Some(2), "{found}");
    // Hoses whose names tell nothing leave it to the words.
    let nameless = |text: &str| text.replace("front brake\"", "black\"").replace("rear brake\"", "grey\"");
    setup(folder.path(), "rowan/race", &nameless(&race));
    setup(folder.path(), "alder/trail", &nameless(&alder.replace("front-brake right", "front-brake left")));
    let found = json(folder.path(), &asked);
    let words = found["front-brake"].as_str().expect("the words");
    assert!(words.contains("the left on alder/trail, the right on rowan/race."), "{words}");
}

const BARE: &str = "setup \"alder/bare\" format=1 {
    measured \"2026-05-02\"
    floor 2.0
    frame { reach 452; stack 618; head-angle 64.5 }
    headset { cover 9 }
    MORE
}
";

/// A frame on which nothing is recorded yet: its controls go where they are on the first bike. Its front wheel stands
/// 2° higher, so that a lever 32° below the level reads 30° by its own gauge.
#[test]
fn a_bare_frame_is_written_with_the_controls_as_carried() {
    let folder = ledger();
    own_box(folder.path(), "");
    let race = ROWAN.replace("shifter { mount own; from-tip 191;", "shifter { mount shared slot=outer;");
    assert_ne!(race, ROWAN);
    setup(folder.path(), "rowan/race", &race);
    setup(folder.path(), "alder/bare", &BARE.replace("MORE", ""));
    let asked = ["carry", "rowan/race", "--onto", "alder/bare", "--parts", "own.kdl"];
    let (_, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    assert!(said.contains("32° tip down left brake lever angle not recorded there"), "{said}");
    assert!(said.contains("--write writes it as carried, a figure and no reading."), "{said}");
    let found = json(folder.path(), &[&asked[..], &["--write", "alder/new"]].concat());
    let controls = found["controls"].as_array().expect("a list");
    let of = |measure: &str| controls.iter().find(|one| one["measure"] == measure).expect("it is there");
    assert_eq!(of("right.brake-lever.from-tip")["onto"], "added");
    let text = written(folder.path(), "alder/new");
    for line in [
        "left { grip { hand 62; note \"2026-05-25 joint opened, torque not read (planned)\" }; brake-lever { from-tip 168; angle 30;",
        "shifter { mount shared slot=outer; angle 39 }",
        "Carried figures, no readings: left.brake-lever.from-tip, left.brake-lever.angle,",
    ] {
        assert!(text.contains(line), "{line}: {text}");
    }
    let checked = json(folder.path(), &["check", "alder/new"]);
    assert_eq!(checked["counts"]["fault"], 0, "{checked}");
    // A file that tells of one control tells of all but the levers, which every bike has.
    let some = "left { dropper-remote { mount own; from-tip 200; angle 20 } }";
    setup(folder.path(), "alder/bare", &BARE.replace("MORE", some));
    let found = json(folder.path(), &[&asked[..], &["--write", "alder/other"]].concat());
    let controls = found["controls"].as_array().expect("a list");
    let of = |measure: &str| controls.iter().find(|one| one["measure"] == measure).expect("it is there");
    assert_eq!(of("left.brake-lever.angle")["onto"], "added");
    assert_eq!(of("right.shifter.angle")["onto"], "not-there");
    let text = written(folder.path(), "alder/other");
    assert!(
        text.contains("brake-lever { from-tip 168; angle 30; note") && !text.contains("shifter {"),
        "{text}"
    );
}

fn marked() -> String {
    ROWAN.replace(
        "    guard",
        "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 read=\"2026-05-02\" }\n    \
         mark \"B1\" on=\"stem-face\" { drawn roll=-1.5 offset=0 }\n    \
         mark \"S1\" on=\"stem-steerer\" { drawn twist=0 }\n    guard",
    )
}

/// A lever that went along with the bar reads 32 + 5 = 37°, and its line still meets: it was drawn at 32° on a bar rolled by
/// -1.5°. That of the bar does not.
#[test]
fn a_line_on_the_bar_turns_with_the_bar() {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &marked());
    let asked = ["try", "rowan/race", "bar.roll=+5", "--write", "rowan/rolled"];
    let (_, said) = run(folder.path(), 120, &asked);
    assert!(!said.contains("Mark L1 is stale") && said.contains("Mark B1 is stale"), "{said}");
    let text = written(folder.path(), "rowan/rolled");
    assert!(text.contains("drawn from-tip=168 angle=32 roll=-1.5 read=\"2026-05-02\""), "{text}");
    let (_, said) = run(folder.path(), 120, &["check", "rowan/rolled"]);
    assert!(!said.contains("Mark L1 is stale") && said.contains("Mark B1 is stale"), "{said}");
    // One that was turned on the bar until the gauge reads as before has left its line behind.
    let asked = ["try", "rowan/race", "bar.roll=+5", "left.brake-lever.angle=32"];
    let (_, said) = run(folder.path(), 120, &asked);
    assert!(said.contains("Mark L1 is stale"), "{said}");
}

/// What stood on the old stem is no line any more: the page calls it that, and not stale, as the written file does.
#[test]
fn a_line_on_a_part_that_goes_is_not_called_stale() {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &marked());
    let asked = ["try", "rowan/race", "bar.rise=35", "bar.roll=+5", "--write", "rowan/risen"];
    let found = json(folder.path(), &asked);
    assert!(found["replaced"]["marks"].to_string().contains("B1"), "{found}");
    let stale = |found: &serde_json::Value| found["appears"].to_string().matches("stale-mark").count();
    assert_eq!(stale(&found), 0, "{found}");
    let (_, said) = run(folder.path(), 120, &["check", "rowan/risen"]);
    assert!(!said.contains("is stale"), "{said}");
}

#[test]
fn a_stem_turned_over_comes_off_for_it() {
    let folder = ledger();
    let angled = marked().replace("length 50; angle 0", "length 50; angle 6");
    setup(folder.path(), "rowan/race", &angled);
    let asked = ["try", "rowan/race", "stem.angle:=-6", "--write", "rowan/over"];
    let (_, said) = run(folder.path(), 120, &asked);
    let said = flowing(&said);
    assert!(
        said.contains("Turned over: stem. That takes it off the bike, and the bar out of it:")
            && said.contains("Lines drawn before are no evidence: marks B1, S1."),
        "{said}"
    );
    let text = written(folder.path(), "rowan/over");
    assert!(text.contains("The stem is to be turned over, for which it comes off the bike."), "{text}");
    assert!(text.contains("line from before the stem was turned over (was drawn twist=0)"), "{text}");
    assert!(!text.contains("Limits of the replaced"), "{text}");
}

/// 40 mm in place of 50 asks for more roll than anybody rides.
#[test]
fn a_bar_rolled_beyond_all_use_is_told() {
    let folder = ledger();
    let asked = |step: &'static str| ["try", "rowan/race", step, "--keep", "grip-reach", "--by", "bar.roll"];
    let (_, said) = run(folder.path(), 120, &asked("stem.length=40"));
    assert!(flowing(&said).contains("`carry` rolls one no further than 10° either way"), "{said}");
    let (_, said) = run(folder.path(), 120, &asked("stem.length=49"));
    assert!(!said.contains("rolls one no further"), "{said}");
}

/// 0.44 of 1780 mm is 783.2 mm: 660 mm are 123.2 mm less.
#[test]
fn a_rule_of_thumb_is_told_as_one() {
    let folder = ledger();
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "bar.width=660"]);
    let words = "about 120 mm less than goes with a stature of 1780 mm (common practice, no source)";
    assert!(flowing(&said).contains(words), "{said}");
}

/// The box holds a stem and spacers and no bar: of the bike's own the bar alone is counted.
#[test]
fn what_the_box_leaves_out_of_count_is_told() {
    let folder = ledger();
    let text = "parts \"few\" format=1 {
        steerer left=60
        stem \"short\" length=40 angle=6 clamp-height=40
        spacer 10 count=2
    }";
    fs::write(folder.path().join("few.kdl"), text).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "few.kdl"];
    let (_, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    let words = "only what is in the box was counted, and not the stem and spacers on alder/trail.";
    assert!(said.contains(words), "{said}");
    // The bike's own stem, by its figures: 50 mm, level, 40 mm high. It takes the alder's own bar, 800 mm.
    own_box(folder.path(), "");
    let notes = json(folder.path(), &["carry", "rowan/race", "--onto", "alder/trail", "--parts", "own.kdl"]);
    assert!(notes["notes"].to_string().contains("and not the bar and spacers on alder/trail."), "{notes}");
    let notes = json(folder.path(), &["carry", "rowan/race", "--onto", "alder/trail"]);
    assert!(!notes["notes"].to_string().contains("was counted"), "{notes}");
}

/// Reach 62 mm on the one, 70 on the other, which bites at 40.
#[test]
fn a_lever_whose_blade_stands_elsewhere_is_told_with_both_figures() {
    let folder = ledger();
    let asked = ["carry", "rowan/race", "--onto", "alder/trail"];
    let (_, said) = run(folder.path(), 80, &asked);
    assert!(!said.contains("is not carried"), "{said}");
    let alder = written(folder.path(), "alder/trail");
    setup(folder.path(), "alder/trail", &alder.replacen("reach 62; bite 34;", "reach 70; bite 40;", 1));
    let (_, said) = run(folder.path(), 80, &asked);
    let said = flowing(&said);
    let words = "Lever reach is not carried: left 62 mm (bites at 34 mm) on rowan/race, 70 mm (bites at 40 mm) on \
                 alder/trail. The screw";
    assert!(said.contains(words), "{said}");
}

/// 62 mm becomes 36: 26 mm nearer, and the bite of 34 comes to 8 if it goes along as far.
#[test]
fn a_bite_that_may_go_along_is_told_by_how_much() {
    let folder = ledger();
    let (_, said) = run(folder.path(), 80, &["try", "rowan/race", "left.brake-lever.reach=36"]);
    let said = flowing(&said);
    assert!(
        said.contains(
            "Moved as far as the lever it would bite at 8 mm, all but at the grip: do not ride so."
        ),
        "{said}"
    );
    let (_, said) = run(folder.path(), 80, &["try", "rowan/race", "left.brake-lever.reach=60"]);
    let said = flowing(&said);
    assert!(said.contains("Moved as far as the lever it would bite at 32 mm."), "{said}");
}
