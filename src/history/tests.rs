use std::sync::Arc;

use chrono::DateTime;

use super::*;
use crate::catalogue::Catalogue;
use crate::metrology::verdict::Verdict;
use crate::setup::read::read;

fn content(inside: &str) -> Arc<Content> {
    let text = format!("setup \"rowan/race\" format=1 {{\n{inside}\n}}\n");
    Arc::new(Content { read: read(Catalogue::standard(), text.as_bytes(), None), moved: Vec::new() })
}

fn stamp(short: &str) -> Stamp {
    Stamp {
        revision: format!("{short}0000"),
        short: short.to_owned(),
        date: DateTime::parse_from_rfc3339("2031-05-02T23:30:00-02:00").expect("a moment"),
        committed: DateTime::parse_from_rfc3339("2031-05-09T12:00:00Z").expect("a moment"),
        author: "Demo Rider".to_owned(),
        subject: "Change".to_owned(),
        path: "setups/rowan/race.kdl".to_owned(),
        renamed_from: None,
        renamed_to: None,
        cut: false,
        reaches_before: false,
    }
}

fn step(before: Option<Arc<Content>>, after: Option<Arc<Content>>) -> Step {
    Step { stamp: stamp("a1"), before, after, merge: None, stepped_over: 0, back: false }
}

#[test]
fn a_revision_tells_what_moved_and_keeps_the_authors_day() {
    let before = content("left { brake-lever { from-tip 168 tol=0.5; angle 32 tol=0.2 } }");
    let after = content("left { brake-lever { from-tip 174 tol=0.5; angle 32 tol=0.2 } }");
    let entry = entry(Catalogue::standard(), &step(Some(before), Some(after)), &[]);
    // 23:30 at −02:00 is the 3rd in UTC, the 2nd where it was written.
    assert_eq!((entry.date.as_str(), entry.committed.as_str()), ("2031-05-02", "2031-05-09"));
    let [change] = entry.changes.as_slice() else { panic!("one change: {:?}", entry.changes) };
    assert_eq!((change.measure.as_str(), change.verdict), ("left.brake-lever.from-tip", Verdict::Moved));
    // U = 2·√2·0.5/√3 = 0.816497 (GUM 4.3.7, 5.1.2; independent readings).
    assert!((change.uncertainty.expect("a number") - 0.816_497).abs() < 1e-6);
}

#[test]
fn first_deleted_and_unreadable_are_told_apart() {
    let sound = content("frame { reach 470 }");
    let broken = content("frame { raech 470 }");
    let event = |before: Option<&Arc<Content>>, after: Option<&Arc<Content>>| {
        entry(Catalogue::standard(), &step(before.cloned(), after.cloned()), &[]).event
    };
    assert_eq!(event(None, Some(&sound)), Event::Recorded);
    assert_eq!(event(Some(&sound), None), Event::Deleted);
    assert_eq!(event(Some(&sound), Some(&broken)), Event::Unreadable);
}

#[test]
fn a_series_has_each_value_with_its_own_uncertainty() {
    let catalogue = Catalogue::standard();
    let names = ["left.brake-lever.angle".to_owned()];
    let wanted = wanted(catalogue, &names).expect("a measure");
    let old = content("left { brake-lever { angle 32 tol=0.2 } }");
    let new = content("left { brake-lever { angle 32.1 tol=0.2 } }");
    let entries = [
        entry(catalogue, &step(Some(old.clone()), Some(new)), &wanted),
        entry(catalogue, &step(None, Some(old)), &wanted),
    ];
    let series = series(catalogue, &wanted, &entries, None);
    let verdicts: Vec<_> = series[0].points.iter().map(|point| point.verdict).collect();
    assert_eq!(verdicts, [Some(Verdict::WithinReading), None]);
    // U = 2·0.2/√3 = 0.230940 (GUM 4.3.7).
    assert!((series[0].points[1].uncertainty.expect("a reading") - 0.230_940).abs() < 1e-6);
}

#[test]
fn an_unknown_name_brings_the_nearest() {
    let names = ["left.brake-lever.angel".to_owned()];
    let unknown = wanted(Catalogue::standard(), &names).expect_err("a slip of the keys");
    assert_eq!(unknown.nearest.as_deref(), Some("left.brake-lever.angle"));
}

const MARK: &str = "mark \"L1\" on=\"left.brake-lever\" { drawn angle=32 tol=0.2 read=\"2031-05-01\" }";

fn story(insides: &[String]) -> Vec<What> {
    let mut marks = Marks::new(Catalogue::standard());
    for inside in insides {
        marks.follow(&stamp("a1"), &content(inside));
    }
    let stories = marks.finish(&[]);
    assert_eq!(stories.len(), 1);
    stories[0].events.iter().rev().map(|event| event.what).collect()
}

fn lever(angle: f64, rest: &str) -> String {
    format!("left {{ brake-lever {{ angle {angle} tol=0.2 }} }}\n{rest}")
}

#[test]
fn a_mark_goes_stale_and_true_again_and_is_drawn_anew() {
    let moved = MARK.replace("angle=32", "angle=28");
    let events = story(&[
        lever(32.0, MARK),
        // 0.3 < U = √2·0.23094 = 0.3266: within reading.
        lever(32.3, MARK),
        lever(28.0, MARK),
        lever(32.0, MARK),
        lever(28.0, MARK),
        lever(28.0, &moved),
        lever(28.0, ""),
    ]);
    let expected = [What::Drawn, What::Stale, What::TrueAgain, What::Stale, What::DrawnAnew, What::Gone];
    assert_eq!(events, expected);
}

#[test]
fn a_mark_is_judged_on_level_ground() {
    // The floor rose by 2°: 30° read now is 32° to the bike, where the mark was drawn on a level floor.
    let level = "floor 0 tol=0.2\n".to_owned();
    let slope = "floor 2 tol=0.2\n".to_owned();
    let events = story(&[level + &lever(32.0, MARK), slope + &lever(30.0, MARK)]);
    // Nothing left it; but `check`, which sees one file on one ground, holds 32° against 30°.
    assert_eq!(events, [What::Drawn, What::NoEvidence]);
}

#[test]
fn a_floor_that_is_taken_out_makes_no_mark_true_again() {
    let on = |floor: &str, angle: f64| format!("{floor}\n{}", lever(angle, MARK));
    // Read on 3° more the lever points 3° lower: U = 2·√(2·0.2²/3 + 2·0.2²/3) = 0.46. Without a floor nobody knows.
    let events =
        story(&[on("floor 0 tol=0.2", 32.0), on("floor 3 tol=0.2", 32.0), on("", 32.0), on("", 32.1)]);
    assert_eq!(events, [What::Drawn, What::Stale, What::GroundNotRead]);
    // Back on the ground where it was drawn it is.
    let level = on("floor 0 tol=0.2", 32.0);
    let events = story(&[level.clone(), on("floor 3 tol=0.2", 32.0), on("", 32.0), level.clone()]);
    assert_eq!(events, [What::Drawn, What::Stale, What::GroundNotRead, What::TrueAgain]);
    // What always stood on level ground stands there still.
    assert_eq!(story(&[level, on("", 32.0)]), [What::Drawn, What::GroundNotRead]);
}

#[test]
fn a_floor_that_is_put_in_beside_the_same_readings_was_that_of_the_drawing() {
    let on = |floor: &str, angle: f64| format!("{floor}\n{}", lever(angle, MARK));
    assert_eq!(story(&[on("", 32.0), on("floor 3 tol=0.2", 32.0)]), [What::Drawn]);
    // From then on the slope counts: 29° on 6° are 32° on 3°, and the file says 32° of the line.
    let events = story(&[on("", 32.0), on("floor 3 tol=0.2", 32.0), on("floor 6 tol=0.2", 29.0)]);
    assert_eq!(events, [What::Drawn, What::NoEvidence]);
    // Read anew along with it, nobody knows on what ground the line was drawn.
    let events = story(&[on("", 32.0), on("", 28.0), on("floor 3 tol=0.2", 32.1)]);
    assert_eq!(events, [What::Drawn, What::Stale, What::GroundReadSince]);
}

#[test]
fn a_mark_drawn_and_damage_noted_are_no_quiet_revision() {
    let before = content(&lever(32.0, ""));
    let after = content(&lever(32.0, &format!("{MARK}\ndamage on=\"bar\" \"scored\"")));
    let told = entry(Catalogue::standard(), &step(Some(before), Some(after.clone())), &[]);
    assert!(!told.is_quiet());
    assert_eq!((told.marks[0].mark.as_str(), told.marks[0].fate), ("L1", crate::compare::Fate::Added));
    assert_eq!((told.damages[0].on.as_str(), told.damages[0].text.as_str()), ("bar", "scored"));
    // What stood there before is not told again.
    let again = entry(Catalogue::standard(), &step(Some(after.clone()), Some(after)), &[]);
    assert!(again.is_quiet());
}

fn sheet(inside: &str) -> Arc<Content> {
    let text = format!("found \"rowan/race\" format=1 {{\nmeasured \"2031-05-09\"\n{inside}\n}}\n");
    Arc::new(Content { read: read(Catalogue::standard(), text.as_bytes(), None), moved: Vec::new() })
}

/// What a sheet had told on one line, and the merge of it with another that went on from the same has no more.
#[test]
fn what_a_merge_of_sheets_did_not_take_is_named_as_it_was_told() {
    let (start, line) =
        ("mark \"S1\" aligned", "mark \"S1\" broken\nmark \"L1\" off=0.8\nopened \"stem-face\"");
    let merge = Merge {
        first: "m10000".to_owned(),
        beside: vec![("x10000".to_owned(), sheet(line))],
        parted: vec![Some(sheet(start))],
        only_passes_on: false,
    };
    let step = Step { merge: Some(merge), ..step(Some(sheet(start)), Some(sheet(start))) };
    let told = entry(Catalogue::standard(), &step, &[]);
    let [version] = told.joined.not_taken.as_slice() else { panic!("one: {:?}", told.joined) };
    let words: Vec<(&str, Option<&str>, Option<&str>)> =
        version.told.iter().map(|one| (one.what.as_str(), one.was.as_deref(), one.now.as_deref())).collect();
    let expected = [
        ("bar in stem", Some("opened"), None),
        ("mark S1", Some("broken"), Some("aligned")),
        ("mark L1", Some("found apart"), None),
    ];
    assert_eq!(words, expected);
    assert!(version.others_named.is_empty(), "{:?}", version.others_named);
}

/// Two lines that had merged one another parted at two commits: 32° on one, 28° on the other. One line set 30° since.
#[test]
fn what_lines_had_of_one_another_before_is_no_change_of_theirs() {
    let at = |angle: f64| content(&lever(angle, ""));
    let merge = |beside: f64| Merge {
        first: "m10000".to_owned(),
        beside: vec![("x10000".to_owned(), at(beside))],
        parted: vec![Some(at(32.0)), Some(at(28.0))],
        only_passes_on: false,
    };
    let merged = |beside| Step { merge: Some(merge(beside)), ..step(Some(at(30.0)), Some(at(30.0))) };
    let told = entry(Catalogue::standard(), &merged(28.0), &[]);
    assert!(told.joined.merged && told.joined.not_taken.is_empty(), "{:?}", told.joined);
    // What it set itself was not taken.
    let told = entry(Catalogue::standard(), &merged(26.0), &[]);
    assert_eq!(told.joined.not_taken[0].changes[0].was_written.as_deref(), Some("26°"));
}
