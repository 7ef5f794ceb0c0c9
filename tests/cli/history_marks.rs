//! The stories of marks that are no evidence for another reason than that a position left them.
//!
//! RACE is read on a floor of 0°, its left lever at 32°, with a line there that was drawn so.

use crate::harness::flowing;
use crate::history_ground::{FLOOR, STEEP};
use crate::history_values::recorded;
use crate::texts::{RACE, changed};

const MARK: (&str, &str) = (
    "    fork { pressure",
    "    mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 roll=-1.3 read=\"2031-05-02\" }\n    fork { pressure",
);

/// The line was stale on 3°; nothing on ground that nobody read can make it true.
#[test]
fn no_mark_comes_true_again_on_unread_ground() {
    let level = changed(RACE, &[MARK]);
    let (steep, none) = (level.replacen(FLOOR, STEEP, 1), level.replacen(FLOOR, "", 1));
    let bench = recorded(&[&level, &steep, &none]);
    let story = bench.run(&["history", "rowan/race", "--marks"]);
    let page = flowing(&story.out);
    assert!(!page.contains("true again") && page.contains("Stale: the recorded position"), "{page}");
    assert!(page.contains("slope of the ground not read, taken for level"), "{page}");
    assert_eq!(story.status, 1);
    let json = bench.run(&["history", "rowan/race", "--marks", "--json"]).json();
    let mark = &json["marks"][0];
    let events: Vec<&str> =
        mark["events"].as_array().unwrap().iter().filter_map(|event| event["what"].as_str()).collect();
    assert_eq!(events, ["ground-not-read", "stale", "drawn"], "{mark:#}");
    assert_eq!((&mark["stale"], &mark["ground"]), (&true.into(), &"not-read".into()), "{mark:#}");
    // Always on level ground it stands where it stood, and that is said to hang on it.
    let story = recorded(&[&level, &none]).run(&["history", "rowan/race", "--marks"]);
    let page = flowing(&story.out);
    let stands =
        "Stands where the setup wants it, if the ground is level: its slope is not recorded now (floor).";
    assert!(page.contains(stands), "{page}");
    assert_eq!(story.status, 0);
}

/// The bar's roll was read again a month later, and the line does not say at which it was drawn: `check` calls it no
/// evidence, and so does its story.
#[test]
fn a_mark_that_check_calls_no_evidence_stands_nowhere() {
    let silent = (MARK.0, MARK.1.replace(" roll=-1.3", ""));
    let marked = changed(RACE, &[(silent.0, silent.1.as_str())]);
    let later = marked.replacen("measured \"2031-05-02\"", "measured \"2031-06-01\"", 1);
    let bench = recorded(&[&marked, &later]);
    let why = "Mark L1 is no evidence: drawn 2031-05-02, but the bar's roll was read 2031-06-01, and the line does not \
               say at which roll it was drawn.";
    let check = flowing(&bench.run(&["check"]).out);
    assert!(check.contains(why), "{check}");
    let story = bench.run(&["history", "rowan/race", "--marks"]);
    let page = flowing(&story.out);
    assert!(page.contains(why) && page.contains("no evidence from here on"), "{page}");
    assert!(!page.contains("Stands where the setup wants it"), "{page}");
    assert_eq!(story.status, 1);
    let json = bench.run(&["history", "rowan/race", "--marks", "--json"]).json();
    let mark = &json["marks"][0];
    assert_eq!(
        (&mark["stale"], &mark["events"][0]["what"]),
        (&true.into(), &"no-evidence".into()),
        "{mark:#}"
    );
    assert!(mark["no-evidence"].as_str().is_some_and(|said| said.starts_with(why)), "{mark:#}");
    // With the roll beside the line it is evidence again: nobody drew it.
    let said = changed(RACE, &[MARK]).replacen("measured \"2031-05-02\"", "measured \"2031-06-01\"", 1);
    let story = recorded(&[&marked, &later, &said]).run(&["history", "rowan/race", "--marks"]);
    let page = flowing(&story.out);
    assert!(page.contains("evidence again") && !page.contains("drawn anew"), "{page}");
    assert_eq!(story.status, 0);
}

const LEVER: &str = "angle 32 with=angle-gauge; reach 62 with=caliper; bite 34";
const SESSION: (&str, &str) = ("measured \"2031-05-02\"", "measured \"2031-06-01\"");

/// The marked setup with this floor, its left lever at so many degrees.
fn marked(floor: &str, degrees: u32) -> String {
    let text = changed(RACE, &[MARK, (LEVER, &LEVER.replace("32", &degrees.to_string()))]);
    text.replacen(FLOOR, floor, 1)
}

fn floor(degrees: u32) -> String {
    FLOOR.replace("0.0", &format!("{degrees}.0"))
}

/// The page of the marks, its exit status, and what happened by the JSON, newest first.
fn story(texts: &[&str]) -> (String, i32, Vec<String>) {
    let bench = recorded(texts);
    let outcome = bench.run(&["history", "rowan/race", "--marks"]);
    let json = bench.run(&["history", "rowan/race", "--marks", "--json"]).json();
    let events = json["marks"][0]["events"].as_array().expect("events").clone();
    let what = events.iter().map(|event| event["what"].as_str().expect("a word").to_owned());
    (flowing(&outcome.out), outcome.status, what.collect())
}

const STANDS: &str = "Stands where the setup wants it.";
const IF_DRAWN_ON_LEVEL: &str = "Stands where the setup wants it, if it was drawn on level ground: the slope was not \
                                 recorded then (floor).";
const IF_LEVEL: &str =
    "Stands where the setup wants it, if the ground is level: its slope is not recorded now (floor).";

/// A floor beside the very figures is that of the drawing, unless it was read on another day than they were then.
#[test]
fn a_floor_of_a_later_session_is_not_that_of_the_drawing() {
    let (none, sloping) = (marked("", 32), marked(&floor(4), 32));
    let (page, status, events) = story(&[&none, &sloping]);
    assert!(page.contains(STANDS) && status == 0, "{page}");
    assert_eq!(events, ["drawn"]);
    // All was read again a month later, the same figure on 4°; or the floor alone.
    let session = changed(&sloping, &[SESSION]);
    let alone = marked(&floor(4).replace('\n', " read=\"2031-06-01\"\n"), 32);
    for later in [session, alone] {
        let (page, _, events) = story(&[&none, &later]);
        assert!(page.contains(IF_DRAWN_ON_LEVEL) && !page.contains(STANDS), "{page}");
        assert_eq!(events, ["ground-read-since", "drawn"]);
    }
}

/// Drawn at 32°, turned to 36° before anybody read the floor: the floor beside 36° is not that under 32°.
#[test]
fn a_floor_is_that_of_the_drawing_by_the_readings_of_the_drawing() {
    let (none, turned) = (marked("", 32), marked("", 36));
    let [sloping, level] = [marked(&floor(4), 36), marked(&floor(0), 36)];
    let (page, status, events) = story(&[&none, &turned, &sloping, &level]);
    assert!(page.contains("Stale: the recorded position") && status == 1, "{page}");
    assert!(!page.contains("write that under `drawn`"), "{page}");
    assert_eq!(events, ["ground-read-since", "stale", "drawn"]);
    // Whatever lay between: beside 32° of that day it is.
    let (page, status, _) = story(&[&none, &turned, &marked(&floor(4), 32)]);
    assert!(page.contains(STANDS) && status == 0, "{page}");
}

/// 35° on ground that nobody read may be where the line is, and may not be.
#[test]
fn what_nobody_knows_of_a_mark_is_not_remembered_as_known() {
    let [level, turned, back] = [marked(FLOOR, 32), marked("", 35), marked("", 32)];
    let (page, status, events) = story(&[&level, &turned]);
    let why = "Mark L1 is stale: drawn at left brake lever angle 32°, recorded is 35°. Nobody knows on which ground that \
               was read: read its slope (floor), or draw the line anew.";
    assert!(page.contains(why) && status == 1, "{page}");
    assert_eq!(events, ["no-evidence", "ground-not-read", "drawn"]);
    for (texts, expected) in [
        (&[&*level, &*back][..], &["ground-not-read", "drawn"][..]),
        (&[&level, &turned, &back], &["evidence-again", "no-evidence", "ground-not-read", "drawn"]),
    ] {
        let (page, status, events) = story(texts);
        assert!(page.contains(IF_LEVEL) && status == 0, "{page}");
        assert_eq!(events, expected);
    }
}

/// The bar rolled 5° forward, from −1.3° to 3.7°, and the lever with it, from 32° to 37°; the line was written anew beside
/// that, and the floor taken out or put in.
#[test]
fn a_line_that_went_along_with_the_bar_was_drawn_on_the_ground_it_was() {
    let along = |text: &str| {
        let line = ("angle=32 roll=-1.3", "angle=37 roll=3.7");
        changed(text, &[("roll -1.5 -1.0 -1.5", "roll 3.7"), line])
    };
    let [level, none] = [FLOOR, ""].map(|floor| along(&marked(floor, 37)));
    for (before, after, said, event) in
        [(FLOOR, &none, IF_LEVEL, "ground-not-read"), ("", &level, IF_DRAWN_ON_LEVEL, "ground-read-since")]
    {
        let (page, status, events) = story(&[&marked(before, 32), after]);
        assert!(page.contains(said) && status == 0, "{page}");
        assert_eq!(events, [event, "drawn"]);
    }
    let (page, status, events) = story(&[&marked(FLOOR, 32), &level]);
    assert!(page.contains(STANDS) && status == 0, "{page}");
    assert_eq!(events, ["drawn"]);
    // 37° on 3° are 40° to the level, and the line stands for 37°: as a difference has it, the lever was turned 3° on the bar.
    let steep = along(&marked(STEEP, 37));
    let (page, status, _) = story(&[&marked(FLOOR, 32), &steep]);
    assert!(page.contains("went stale: left.brake-lever.angle") && status == 1, "{page}");
    let diff = recorded(&[&marked(FLOOR, 32), &steep]).run(&["diff", "rowan/race", "HEAD~1", "HEAD"]);
    let page = flowing(&diff.out);
    assert!(page.contains("8.0° tip down (3.0° tip down on the bar) left brake lever angle"), "{page}");
}

#[test]
fn a_mark_that_is_gone_hangs_on_no_ground() {
    let bench = recorded(&[&marked(FLOOR, 32), &marked("", 32), &RACE.replacen(FLOOR, "", 1)]);
    let json = bench.run(&["history", "rowan/race", "--marks", "--json"]).json();
    let mark = &json["marks"][0];
    assert_eq!((&mark["gone"], &mark["ground"]), (&true.into(), &serde_json::Value::Null), "{mark:#}");
}
