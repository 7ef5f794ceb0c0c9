//! A slope of the ground that is taken out of a setup or put in, between two revisions and over all of them.
//!
//! RACE is read on a floor of 0°, its levers at 32°.

use crate::harness::{Bench, flowing};
use crate::history_values::recorded;
use crate::texts::{RACE, changed};

pub const FLOOR: &str = "    floor 0.0 with=angle-gauge\n";
pub const STEEP: &str = "    floor 3.0 with=angle-gauge\n";
const ANGLES: &str = "saddle tilt, left brake lever angle, right brake lever angle, right shifter angle, left dropper remote angle";
const NOT_KNOWN: &str =
    "Not known whether anything moved: it hangs on the slope of the ground, which was not read.";

/// On level ground, on 3°, and on ground of which nobody tells.
fn three_floors() -> Bench {
    recorded(&[RACE, &RACE.replacen(FLOOR, STEEP, 1), &RACE.replacen(FLOOR, "", 1)])
}

/// 32° on 3° was 35° to level ground. On ground that nobody read it is anything.
#[test]
fn a_floor_taken_out_tells_nothing_of_what_moved() {
    let bench = three_floors();
    let taken = format!("The slope of the ground was not read (floor), and is taken for level: {ANGLES}.");
    let gone = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    let page = flowing(&gone.out);
    assert!(page.contains(&taken) && page.contains(NOT_KNOWN) && !page.contains("Nothing moved"), "{page}");
    assert_eq!(gone.status, 1);
    let json = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD", "--json"]).json();
    assert_eq!(json["floor-not-read"].as_array().map(Vec::len), Some(5), "{json:#}");
    assert_eq!((&json["floor-in-doubt"], &json["floor-of-the-earlier"]), (&true.into(), &false.into()));
    // Where it was level it may be so still; but nobody says so.
    let level = bench.run(&["diff", "rowan/race", "HEAD~2", "HEAD"]);
    let page = flowing(&level.out);
    assert!(page.contains(&taken) && page.contains("Nothing moved."), "{page}");
    let json = bench.run(&["diff", "rowan/race", "HEAD~2", "HEAD", "--json"]).json();
    assert_eq!(json["floor-in-doubt"], false, "{json:#}");
    // From the newer to the older it is as unknown.
    let back = flowing(&bench.run(&["diff", "rowan/race", "HEAD", "HEAD~1"]).out);
    assert!(back.contains(&taken) && back.contains(NOT_KNOWN), "{back}");
}

/// Two setups that read alike, one of them on ground of which it does not tell.
#[test]
fn two_setups_on_different_ground_are_not_told_to_be_alike() {
    let bench = recorded(&[&RACE.replacen(FLOOR, STEEP, 1)]);
    let other = RACE.replacen(FLOOR, "", 1).replacen("\"rowan/race\"", "\"rowan/home\"", 1);
    bench.write("setups/rowan/home.kdl", other);
    let outcome = bench.run(&["diff", "rowan/race", "rowan/home"]);
    let page = flowing(&outcome.out);
    assert!(
        page.contains("Not known whether anything differs: it hangs on the slope of the ground"),
        "{page}"
    );
    assert!(page.contains(&format!("is taken for level: {ANGLES}.")), "{page}");
    assert!(page.contains("Slope of the floor: not recorded vs 3.0°."), "{page}");
    assert_eq!(outcome.status, 1);
}

#[test]
fn a_history_tells_a_floor_taken_out_as_a_difference_does() {
    let bench = three_floors();
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    let told = format!("slope of the ground not read, not known whether moved: {ANGLES}");
    assert!(page.contains(&told), "{page}");
    let json = bench.run(&["history", "rowan/race", "--json"]).json();
    let entry = &json["entries"][0];
    assert_eq!(entry["floor-not-read"].as_array().map(Vec::len), Some(5), "{entry:#}");
    assert_eq!(entry["floor-in-doubt"], true, "{entry:#}");
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    let row = "floor-not-read,,saddle tilt,,,,\"slope of the ground not read, not known whether moved\"";
    assert!(table.contains(row), "{table}");
    let value = ["history", "rowan/race", "left.brake-lever.angle"];
    let page = flowing(&bench.run(&value).out);
    assert!(page.contains("same, slope of the ground not read, not known whether moved, "), "{page}");
    // Only a saddle height knows nothing of the ground.
    let other = flowing(&bench.run(&["history", "rowan/race", "saddle.height"]).out);
    assert!(!other.contains("ground"), "{other}");
    let json = bench.run(&[&value[..], &["--json"]].concat()).json();
    let point = &json["series"][0]["points"][0];
    assert_eq!(point["ground"], "slope of the ground not read, not known whether moved", "{point:#}");
    assert!(json["series"][0]["points"][1]["ground"].is_null(), "{json:#}");
    let table = bench.run(&[&value[..], &["--csv"]].concat()).out;
    // The comma in it is no end of a cell (RFC 4180).
    assert!(table.contains(",\"same (slope of the ground not read, not known whether moved)\""), "{table}");
}

/// One angle was read anew, and is judged as on level ground; of those that read as they did nobody knows.
#[test]
fn an_angle_read_anew_decides_nothing_of_the_others() {
    // −1.0° at the nose, then −6.0°.
    let tilted = changed(&RACE.replacen(FLOOR, "", 1), &[("tilt -1.0", "tilt -6.0")]);
    let bench = recorded(&[&RACE.replacen(FLOOR, STEEP, 1), &tilted]);
    let levers = ANGLES.strip_prefix("saddle tilt, ").expect("the saddle first");
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    for said in [
        format!("slope of the ground not read, not known whether moved: {levers} "),
        "slope of the ground not read, taken for level: saddle tilt ".to_owned(),
    ] {
        assert!(page.contains(&said), "{said}: {page}");
    }
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    for row in [
        "floor-not-read,,saddle tilt,,,,\"slope of the ground not read, taken for level\"",
        "floor-not-read,,left brake lever angle,,,,\"slope of the ground not read, not known whether moved\"",
    ] {
        assert!(table.contains(row), "{row}: {table}");
    }
    let value = flowing(&bench.run(&["history", "rowan/race", "left.brake-lever.angle"]).out);
    assert!(value.contains("same, slope of the ground not read, not known whether moved"), "{value}");
    let value = flowing(&bench.run(&["history", "rowan/race", "saddle.tilt"]).out);
    assert!(value.contains(", slope of the ground not read, taken for level"), "{value}");
}

/// The same figures on a slope that was written down later.
#[test]
fn a_floor_put_in_tells_nothing_of_what_moved_before() {
    let (none, steep) = (RACE.replacen(FLOOR, "", 1), RACE.replacen(FLOOR, STEEP, 1));
    let bench = recorded(&[&none, &steep]);
    let outcome = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    let page = flowing(&outcome.out);
    let told = format!(
        "The slope of the ground was not read before (floor): {ANGLES}. Each that reads as it did has moved, unless it was \
         read on the slope that is recorded now; what reads otherwise is judged as if the ground was level before."
    );
    assert!(page.contains(&told) && page.contains(NOT_KNOWN), "{page}");
    assert_eq!(outcome.status, 1);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    let told = format!("slope of the ground read now, not before, not known whether moved: {ANGLES}");
    assert!(page.contains(&told) && !page.contains("taken for level"), "{page}");
    let value = flowing(&bench.run(&["history", "rowan/race", "saddle.tilt"]).out);
    assert!(
        value.contains("same, slope of the ground read now, not before, not known whether moved"),
        "{value}"
    );
    // Level ground is what it was taken for.
    let bench = recorded(&[&none, RACE]);
    let outcome = bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    let told =
        format!("The slope of the ground was not read before (floor), and was taken for level: {ANGLES}.");
    let page = flowing(&outcome.out);
    assert!(page.contains(&told) && page.contains("Nothing moved."), "{page}");
    assert_eq!(outcome.status, 0);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    assert!(
        page.contains(&format!("slope of the ground read now, before taken for level: {ANGLES}")),
        "{page}"
    );
}

/// What most angles share, of which `diff` says that it is the ground's, a history does not pass over.
#[test]
fn a_history_tells_a_shift_that_all_angles_share() {
    // All read 2° less at the tip, and the saddle 2° more at the nose.
    let text = RACE.replacen(FLOOR, "", 1).replace("angle 32 with", "angle 30 with");
    let text =
        changed(&text, &[("angle 41", "angle 39"), ("angle 20", "angle 18"), ("tilt -1.0", "tilt 1.0")]);
    let bench = recorded(&[RACE, &text]);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    // Three by a gauge of ±0.2° and two that weigh little, on one floor of ±0.2°:
    // U = 2·√(2·0.04/3/3 + 0.04/3) = 0.298.
    assert!(page.contains("5 angles read 2.00 ± 0.30° higher at tip or nose, all alike"), "{page}");
    let json = bench.run(&["history", "rowan/race", "--json"]).json();
    assert_eq!(json["entries"][0]["common-shift"]["is-the-ground"], true, "{json:#}");
    let table = bench.run(&["history", "rowan/race", "--csv"]).out;
    assert!(table.contains("changed,common-shift,,,-2"), "{table}");
}
