//! Recording lines that nobody broke and that tell nothing any more, and drawing those that have no place, through the
//! program.

use std::fs;
use std::path::Path;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

const RECORD: [&str; 4] = ["record", "rowan/race", "--found", "rowan/loan"];
const MARK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];
const PUT_BACK: [&str; 5] = ["record", "rowan/race", "--found", "rowan/loan", "--put-back"];
const OPENED: &str = "opened \"stem-steerer\"\n    torque \"stem-steerer\" { applied 5.5 }";
const SWAPPED: &str = "steerer { spacers-below 5 with=caliper; spacers-above 15 with=caliper }
    torque \"stem-steerer\" { applied 5.5 }";

fn is_narrow(text: &str) -> bool {
    text.lines().filter(|line| !line.contains("git commit")).all(|line| line.chars().count() <= 80)
}

/// A sheet of another day.
fn sheet(folder: &Path, name: &str, day: &str, inside: &str) {
    let text = format!("found \"rowan/race\" format=1 {{\n    measured \"{day}\"\n    {inside}\n}}\n");
    fs::write(folder.join(format!("setups/rowan/{name}.kdl")), text).expect("a sheet can be written");
}

/// The line of a mark in the file.
fn line_of(folder: &Path, mark: &str) -> String {
    let text = setup_text(folder);
    let begins = format!("mark \"{mark}\"");
    text.lines().find(|line| line.trim().starts_with(&begins)).expect("the mark").trim().to_owned()
}

#[test]
fn a_line_freed_by_an_open_stem_is_not_called_broken() {
    for inside in [OPENED.to_owned(), format!("{OPENED}\n    mark \"S1\" aligned")] {
        let folder = ledger(&[("loan", &inside)]);
        let page = run(folder.path(), &PUT_BACK);
        assert_eq!(page.status, Some(1), "{}", page.text);
        assert!(!page.text.contains("broken") && !page.text.contains("Do not ride"), "{}", page.text);
        let said = "Mark S1 on the stem on steerer is no evidence since the stem was off or loose on 2026-05-09: its \
                    line meets a spacer or the top cap, which was then free to turn. It is struck out. Draw the line \
                    again, then record with --mark.";
        assert!(flowing(&page.text).contains(said), "{}", page.text);
        assert!(is_narrow(&page.text), "{}", page.text);
        assert_eq!(
            line_of(folder.path(), "S1"),
            "mark \"S1\" on=\"stem-steerer\" { note \"2026-05-09 the stem was off or loose (was drawn twist=0): no \
             evidence until drawn again\" }"
        );
        // The same sheet again tells nothing that the file does not know.
        let again = run(folder.path(), &PUT_BACK);
        assert!(again.text.contains("nothing to record"), "{}", again.text);
    }
    // A line that the sheet calls broken stays so.
    let folder = ledger(&[("loan", &format!("{OPENED}\n    mark \"S1\" broken"))]);
    run(folder.path(), &PUT_BACK);
    assert!(line_of(folder.path(), "S1").contains("note \"2026-05-09 found broken (was drawn twist=0)"));
}

#[test]
fn a_freed_line_is_drawn_where_the_stem_was_put_back() {
    let folder = ledger(&[("loan", OPENED)]);
    let page = run(folder.path(), &[&PUT_BACK[..], &["--mark"]].concat());
    assert_eq!(page.status, Some(0), "{}", page.text);
    assert!(page.text.contains("Drawn anew in the file: mark S1."), "{}", page.text);
    let drawn = "mark \"S1\" on=\"stem-steerer\" { drawn twist=0 read=\"2026-05-09\"; note \"2026-05-09 the stem was \
                 off or loose, drawn anew\" }";
    assert_eq!(line_of(folder.path(), "S1"), drawn);
    // That sheet was before the new line.
    run(folder.path(), &[&PUT_BACK[..], &["--mark"]].concat());
    assert_eq!(line_of(folder.path(), "S1"), drawn);
}

#[test]
fn a_line_that_swapped_spacers_freed_is_struck_out() {
    let folder = ledger(&[("loan", &format!("{SWAPPED}\n    mark \"S1\" aligned"))]);
    let page = run(folder.path(), &RECORD);
    assert_eq!(page.status, Some(1), "{}", page.text);
    let said =
        "It is struck out. Since then stem twist is not known: measure there, and add it to the sheet.";
    assert!(flowing(&page.text).contains(said), "{}", page.text);
    let struck =
        "note \"2026-05-09 the stem was off or loose (was drawn twist=0): no evidence until drawn again\"";
    assert!(line_of(folder.path(), "S1").contains(struck), "{}", setup_text(folder.path()));
    // A later sheet that finds it aligned does not tell the twist.
    sheet(folder.path(), "later", "2026-05-12", "mark \"S1\" aligned");
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/later"]);
    let left = diff["not-looked-at"].as_array().expect("a list");
    assert!(left.iter().any(|one| one["measure"] == "stem.twist"), "{diff:#}");
    // Read at that place, it is known, and its line is still to be drawn.
    let folder = ledger(&[("loan", &format!("stem {{ twist 0 }}\n    {SWAPPED}"))]);
    let said = json(folder.path(), &RECORD);
    assert_eq!(said["freed"][0]["unknown"], serde_json::json!([]), "{said:#}");
    assert!(line_of(folder.path(), "S1").contains(struck), "{said:#}");
    // Or is drawn there already, as the user says.
    let folder = ledger(&[("loan", &format!("stem {{ twist 0 }}\n    {SWAPPED}"))]);
    let page = run(folder.path(), &MARK);
    // As high a pile as before; the bearing's preload is to be set all the same.
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(line_of(folder.path(), "S1").contains("{ drawn twist=0 read=\"2026-05-09\"; note"));
}

#[test]
fn a_line_drawn_after_the_stem_was_off_stays() {
    let folder = ledger(&[("loan", SWAPPED)]);
    let drawn = "drawn twist=0 read=\"2026-05-10\"";
    let text = SETUP.replace("drawn twist=0", drawn);
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    run(folder.path(), &RECORD);
    assert!(line_of(folder.path(), "S1").contains(drawn), "{}", setup_text(folder.path()));
}

const BROKEN: &str = "mark \"L1\" broken; mark \"S1\" broken";
const READ: &str = "floor 0.0 with=angle-gauge; stem { twist 0 }
    left { brake-lever { from-tip 168; angle 32 with=angle-gauge } }
    torque \"stem-steerer\" { applied 5.5 }";

#[test]
fn a_struck_mark_is_drawn_though_the_sheet_does_not_name_it() {
    let folder = ledger(&[("loan", BROKEN)]);
    run(folder.path(), &RECORD);
    sheet(folder.path(), "loan", "2026-05-10", READ);
    let page = run(folder.path(), &MARK);
    assert!(page.text.contains("Drawn anew in the file: marks L1, S1."), "{}", page.text);
    // The notes that they had no line are over.
    assert_eq!(
        line_of(folder.path(), "S1"),
        "mark \"S1\" on=\"stem-steerer\" { drawn twist=0 read=\"2026-05-10\" }"
    );
    let lever = line_of(folder.path(), "L1");
    assert!(lever.contains("{ drawn from-tip=168 angle=32 roll=-1.5 read=\"2026-05-10\"; reads"), "{lever}");
    assert!(!lever.contains("note"), "{lever}");
}

#[test]
fn a_struck_mark_drawn_the_same_day_keeps_how_it_was_found() {
    let folder = ledger(&[("loan", BROKEN)]);
    run(folder.path(), &RECORD);
    sheet(folder.path(), "after", "2026-05-09", READ);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/after", "--mark"]);
    let stem = "mark \"S1\" on=\"stem-steerer\" { drawn twist=0 read=\"2026-05-09\"; note \"2026-05-09 found broken \
                (was drawn twist=0): drawn anew since\" }";
    assert_eq!(line_of(folder.path(), "S1"), stem);
    // The sheet of the morning tells of the line before.
    run(folder.path(), &RECORD);
    assert_eq!(line_of(folder.path(), "S1"), stem);
}

#[test]
fn a_struck_mark_that_is_not_drawn_is_told_of() {
    let folder = ledger(&[("loan", BROKEN)]);
    run(folder.path(), &RECORD);
    let inside = "floor 0.0 with=angle-gauge; left { brake-lever { angle 32 with=angle-gauge } }";
    sheet(folder.path(), "loan", "2026-05-10", inside);
    let page = run(folder.path(), &MARK);
    assert_eq!(page.status, Some(1), "{}", page.text);
    let said = "Mark L1 on the left brake lever is not drawn anew: the sheet does not read: left brake lever place. \
                Measure it, add it to the sheet and record with --mark again.";
    assert!(flowing(&page.text).contains(said) && is_narrow(&page.text), "{}", page.text);
    assert!(!page.text.contains("Mark S1"), "{}", page.text);
    // What was read before it was found broken does not tell where it stands.
    sheet(folder.path(), "loan", "2026-05-08", READ);
    let page = run(folder.path(), &MARK);
    let said = "is not drawn anew: it was struck out on 2026-05-09, after the day of the sheet.";
    assert!(flowing(&page.text).contains(said), "{}", page.text);
    assert!(!line_of(folder.path(), "L1").contains("drawn from-tip=168 angle=32 read"), "{}", page.text);
}

#[test]
fn lines_on_a_new_stem_are_drawn_at_what_is_read() {
    let inside = "floor 0.0 with=angle-gauge; stem { length 40; twist 0 }
        bar { roll -1.5 with=angle-gauge; offset 0 }
        mark \"S1\" missing; mark \"B1\" missing";
    let folder = ledger(&[("loan", inside)]);
    let page = run(folder.path(), &MARK);
    assert!(!page.text.contains("not drawn anew"), "{}", page.text);
    assert!(page.text.contains("Drawn anew in the file: marks B1, S1."), "{}", page.text);
    assert_eq!(
        line_of(folder.path(), "S1"),
        "mark \"S1\" on=\"stem-steerer\" { drawn twist=0 read=\"2026-05-09\"; note \"2026-05-09 found gone, drawn \
         anew\" }"
    );
}

#[test]
fn a_line_on_a_new_stem_that_is_not_drawn_is_told_of() {
    let inside = "floor 0.0 with=angle-gauge; stem { length 40 }; bar { roll -1.5 with=angle-gauge }";
    let folder = ledger(&[("loan", inside)]);
    let text = SETUP.replace("{ drawn roll=-1.5 }", "{ drawn roll=-1.5 offset=0 }");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let page = run(folder.path(), &MARK);
    let said =
        "Mark B1 on the bar in stem is not drawn anew: the sheet does not read: bar offset. Measure it,";
    assert!(flowing(&page.text).contains(said), "{}", page.text);
}

#[test]
fn halves_no_millimetre_apart_meet() {
    let folder = ledger(&[("loan", "mark \"L1\" off=0; mark \"S1\" off=-0.0")]);
    let diff = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(diff.status, Some(0), "{}", diff.text);
    assert!(!diff.text.contains("apart"), "{}", diff.text);
    let said = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]);
    assert_eq!(said["marks"][0]["fate"], "aligned", "{said:#}");
}

#[test]
fn any_joint_that_was_opened_and_not_tightened_is_to_be_acted_on() {
    let folder = ledger(&[("loan", "opened \"left.pedal\"")]);
    let torque = "torque \"stem-steerer\"";
    let pedal = format!("torque \"left.pedal\" 35 40 tool=\"8 mm hex\"\n    {torque}");
    fs::write(folder.path().join("setups/rowan/race.kdl"), SETUP.replacen(torque, &pedal, 1))
        .expect("written");
    let page = run(folder.path(), &RECORD);
    assert!(page.text.contains("left pedal: opened, torque unknown"), "{}", page.text);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert_eq!(run(folder.path(), &["diff", "rowan/race", "--found", "rowan/loan"]).status, Some(1));
}
