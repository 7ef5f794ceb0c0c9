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
