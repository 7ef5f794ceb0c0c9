//! What the guard must refuse, one thing at a time. Nothing here is computed: a text is changed by hand, and read.

use super::*;
use crate::metrology::unit::Unit;
use crate::setup::read::read;

const TEXT: &str = r#"setup "rowan/race" format=1 {
    measured "2026-05-02" by="own stand"
    purpose "Stage race"
    instruments { caliper tol=0.1 }
    bar { roll -1.5; offset 0 }
    left { brake-lever { from-tip 168; angle 32 } }
    torque "stem-face" 4 5 tool="4 mm hex" thread=M5 class=8.8 k=0.2 {
        ceiling "bar" 5
        slips-in-a-crash
        applied 4.5 read="2026-05-02"
        caution "Even gap."
    }
    mark "B1" on="stem-face" colour=silver width=0.3 { drawn roll=-1.5 read="2026-05-02"; reads "Lines meet" }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32 }
    guard "head tube" { note "Clear patch" }
}
"#;

fn setup(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    read.setup.expect("a setup")
}

/// What the guard says of the text with one place written otherwise.
fn judged(from: &str, to: &str, meant: Touched) -> Result<(), String> {
    let changed = TEXT.replacen(from, to, 1);
    assert_ne!(changed, TEXT, "{from}");
    only_touched(Catalogue::standard(), &setup(TEXT), &setup(&changed), meant)
}

fn measure(path: &str) -> MeasureId {
    Catalogue::standard().find(path).expect("a measure")
}

fn day(text: &str) -> Option<NaiveDate> {
    text.parse().ok()
}

#[test]
fn nothing_is_touched_that_was_not_meant() {
    for (from, to) in [
        ("2026-05-02\" by", "2026-05-03\" by"),
        ("Stage race", "Training"),
        ("caliper tol=0.1", "caliper tol=0.2"),
        ("offset 0", "offset 1"),
        ("4 5 tool", "4 6 tool"),
        ("4 mm hex", "5 mm hex"),
        ("thread=M5", "thread=M6"),
        ("class=8.8", "class=10.9"),
        ("k=0.2", "k=0.15"),
        ("ceiling \"bar\" 5", "ceiling \"bar\" 4.5"),
        ("        slips-in-a-crash\n", ""),
        ("applied 4.5", "applied 4.6"),
        ("applied 4.5 read=\"2026-05-02\"", "applied 4.5 read=\"2026-05-03\""),
        ("Even gap.", "Any gap."),
        ("colour=silver", "colour=black"),
        ("width=0.3", "width=0.5"),
        ("drawn roll=-1.5", "drawn roll=-2"),
        ("Lines meet", "Lines part"),
        ("on=\"left.brake-lever\"", "on=\"right.brake-lever\""),
        ("guard \"head tube\"", "guard \"down tube\""),
        ("Clear patch", "Black patch"),
    ] {
        assert!(judged(from, to, Touched::default()).is_err(), "{from} → {to}");
    }
    // What the reader does not tell apart may change.
    assert_eq!(judged("    bar {", "    // Seen.\n    bar {", Touched::default()), Ok(()));
}

fn drawn<'t>(
    positions: &'t [(MeasureId, NewReading)],
    without: &'t [MeasureId],
    day: Option<NaiveDate>,
) -> MarkMeant<'t> {
    MarkMeant::Drawn { positions, without, roll: RollMeant::Keep, day }
}

#[test]
fn another_mark_and_another_torque_are_told_by_name() {
    let positions = [(measure("left.brake-lever.angle"), NewReading::number("28", Unit::Degree, 0.5))];
    let meant = Touched { mark: Some(("L1", drawn(&positions, &[], None))), ..Touched::default() };
    assert_eq!(judged("angle=32", "angle=28", meant), Ok(()));
    let why = judged("angle=32", "angle=28 roll=-1.5", meant).expect_err("a roll nobody meant");
    assert_eq!(why, "the mark would not read as meant.");
    let why = judged("roll=-1.5", "roll=-2", meant).expect_err("the other mark");
    assert_eq!(why, "another mark would change, too.");
    let why = judged("angle=32", "angle=29", meant).expect_err("another number");
    assert_eq!(why, "the mark would not read as meant.");
    let why = judged("from-tip=168 angle=32", "angle=28", meant).expect_err("a position is lost");
    assert_eq!(why, "the mark would not read as meant.");
    let why = judged("angle=32", "angle=28 read=\"2026-05-09\"", meant).expect_err("a day nobody meant");
    assert_eq!(why, "the mark would not read as meant.");
}

#[test]
fn a_mark_loses_only_what_it_is_drawn_without() {
    let positions = [(measure("left.brake-lever.angle"), NewReading::number("28", Unit::Degree, 0.5))];
    let without = [measure("left.brake-lever.from-tip")];
    let meant = drawn(&positions, &without, day("2026-05-09"));
    let meant = Touched { mark: Some(("L1", meant)), ..Touched::default() };
    let from = "from-tip=168 angle=32";
    assert_eq!(judged(from, "angle=28 read=\"2026-05-09\"", meant), Ok(()));
    assert!(judged(from, "from-tip=168 angle=28 read=\"2026-05-09\"", meant).is_err(), "it is still there");
    assert!(judged(from, "angle=28 read=\"2026-05-10\"", meant).is_err(), "another day");
    let struck = Touched { mark: Some(("L1", MarkMeant::Struck)), ..Touched::default() };
    assert_eq!(judged(" { drawn from-tip=168 angle=32 }", "", struck), Ok(()));
    assert!(judged("from-tip=168 angle=32", "angle=32", struck).is_err(), "it still shows the angle");
}

#[test]
fn a_torque_reads_as_it_was_applied() {
    let after = setup(&TEXT.replace("applied 4.5 read=\"2026-05-02\"", "applied 4.2 read=\"2026-05-09\""));
    let applied = after.torque("stem-face").and_then(|torque| torque.applied.clone()).expect("a figure");
    let meant =
        |joint| Touched { applied: Some((joint, Some((&applied, day("2026-05-09"))))), ..Touched::default() };
    let from = "applied 4.5 read=\"2026-05-02\"";
    assert_eq!(judged(from, "applied 4.2 read=\"2026-05-09\"", meant("stem-face")), Ok(()));
    for wrong in [
        "applied 4.3 read=\"2026-05-09\"",
        "applied 4.2 read=\"2026-05-10\"",
        "applied (in-lb)4.2 read=\"2026-05-09\"",
    ] {
        assert!(judged(from, wrong, meant("stem-face")).is_err(), "{wrong}");
    }
    assert!(judged(from, "applied 4.2 read=\"2026-05-09\"", meant("stem-steerer")).is_err());
    // What stands beside it on the same joint is no part of what was meant.
    let more = "applied 4.2 read=\"2026-05-09\"; caution \"New.\"";
    assert!(judged(from, more, meant("stem-face")).is_err());
    let dropped = Touched { applied: Some(("stem-face", None)), ..Touched::default() };
    assert_eq!(judged("        applied 4.5 read=\"2026-05-02\"\n", "", dropped), Ok(()));
    assert!(judged(from, "applied 4.5", dropped).is_err(), "it still stands");
}

#[test]
fn a_note_is_the_one_that_was_meant_and_none_is_lost() {
    let meant = Touched { note: Some(("bar", "Creaks")), ..Touched::default() };
    assert_eq!(judged("offset 0", "offset 0; note \"Creaks\"", meant), Ok(()));
    assert!(judged("offset 0", "offset 0; note \"Rattles\"", meant).is_err());
    assert!(judged("    bar {", "    note \"Creaks\"\n    bar {", meant).is_err(), "in another place");
    assert!(judged("offset 0", "offset 0; note \"Creaks\"; note \"Creaks\"", meant).is_err(), "twice");
}
