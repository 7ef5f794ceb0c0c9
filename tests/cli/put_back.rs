//! Recording that a bike stands as recorded again, through the program.

use std::fs;

use crate::harness::flowing;
use crate::restore::{SETUP, json, ledger, run, setup_text};

/// A loan: spacers swapped, the right lever 4.5° up and its line broken; both joints set again and tightened.
const LOAN: &str = "floor 1.4 with=angle-gauge
    steerer { spacers-below 5 with=caliper; spacers-above 15 with=caliper }
    right { brake-lever { angle 26.1 with=angle-gauge } }
    mark \"R1\" broken
    mark \"L1\" off=0.6
    torque \"stem-steerer\" { applied 5.5 }
    torque \"right.brake-lever\" { applied 3 }
    torque \"left.brake-lever\" { applied 3 }";

#[test]
fn what_was_put_back_keeps_the_file_as_it_was_but_for_torques() {
    let folder = ledger(&[("loan", LOAN)]);
    // The way back names the command.
    let page = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let command = "clampmark record rowan/race --found rowan/loan --put-back";
    assert!(page.text.contains(command), "{}", page.text);
    let said =
        json(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back", "--mark"]);
    assert_eq!((&said["changes"], &said["put-back"]), (&serde_json::json!([]), &true.into()), "{said:#}");
    // Nobody can tell whether 3 N·m are right for the left lever: the file has no range for it.
    let headline = "Do not ride: opened before, torque not read since: left brake lever.";
    assert_eq!(said["headline"], headline, "{said:#}");
    let text = setup_text(folder.path());
    for kept in
        ["spacers-below 15 with=caliper; spacers-above 5", "from-tip (in)6.61; angle 32 with=angle-gauge }"]
    {
        assert!(text.contains(kept), "{kept}: {text}");
    }
    assert!(text.contains("applied 5.5 read=\"2026-05-09\""), "{text}");
    // The broken line was drawn again where the lever stands; the other meets again and stays.
    assert!(
        text.contains("mark \"R1\" on=\"right.brake-lever\" { drawn from-tip=(in)6.61 angle=32"),
        "{text}"
    );
    assert!(said["marks"].to_string().contains("R1"), "{said:#}");
    let after = run(folder.path(), &["check", "rowan/race"]);
    assert!(
        after.text.contains("Do not ride: opened before, torque not read since: left brake lever.\n"),
        "{}",
        after.text
    );
}

#[test]
fn a_line_that_is_broken_stays_so_until_it_is_drawn() {
    let folder = ledger(&[("loan", LOAN)]);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    let text = setup_text(folder.path());
    assert!(!text.contains("mark \"R1\" on=\"right.brake-lever\" { drawn"), "{text}");
    assert!(text.contains("mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32"), "{text}");
}

#[test]
fn a_joint_of_unknown_torque_stays_open_though_it_was_put_back() {
    let folder =
        ledger(&[("loan", "floor 0 with=angle-gauge; right { brake-lever { angle 28 with=angle-gauge } }")]);
    let page = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(page.text.contains("Do not ride: opened, torque unknown: right brake lever."), "{}", page.text);
    assert!(
        setup_text(folder.path()).contains("angle 32 with=angle-gauge }"),
        "{}",
        setup_text(folder.path())
    );
}

#[test]
fn a_sheet_against_itself_is_not_put_back() {
    let sheet = "floor 0 with=angle-gauge; bar { roll -1.5 with=angle-gauge }
        left { brake-lever { angle 27 with=angle-gauge } }; mark \"L1\" aligned";
    let folder = ledger(&[("loan", sheet)]);
    let page = run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    assert_eq!(page.status, Some(2), "{}", page.text);
    assert!(page.text.contains("Nobody knows what was to be put back"), "{}", page.text);
    assert_eq!(setup_text(folder.path()), SETUP);
}

/// 12 N·m on a carbon bar, and nobody wrote a range: that is no torque known to be right, and the file keeps it so.
#[test]
fn a_torque_without_a_range_is_not_settled() {
    let told = "opened \"stem-face\"; floor 0; bar { roll -1.5; offset 0 }; left { brake-lever { angle 32 } }; \
                torque \"stem-face\" { applied 12 }";
    let folder = ledger(&[("loan", told)]);
    let text =
        SETUP.lines().filter(|line| !line.contains("torque \"stem-face\"")).collect::<Vec<_>>().join("\n");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text + "\n").expect("written");
    let asked = ["record", "rowan/race", "--found", "rowan/loan", "--put-back"];
    let page = run(folder.path(), &asked);
    assert_eq!(page.status, Some(1), "{}", page.text);
    assert!(flowing(&page.text).contains("Do not ride"), "{}", page.text);
    let after = setup_text(folder.path());
    let note =
        "joint stem-face opened, torque not read by a range: 12 N·m on the sheet, and none is recorded";
    assert!(after.contains(note), "{after}");
    // Once more changes nothing, and the ledger tells of it by the setup's own line.
    run(folder.path(), &asked);
    assert_eq!(setup_text(folder.path()), after);
    let overview = run(folder.path(), &[]);
    assert_eq!(overview.status, Some(1), "{}", overview.text);
    assert!(
        flowing(&overview.text)
            .contains("rowan/race: do not ride: opened before, torque not read since: bar in stem"),
        "{}",
        overview.text
    );
}

/// A lever's reach is set by a screw that nobody tightens: no torque tells that it was put back, and another reading does.
#[test]
fn what_no_bolt_holds_is_put_back_by_reading_it_again() {
    let read = |reach: &str| {
        format!("left {{ brake-lever {{ reach {reach} with=caliper }} }}; tyres {{ front 25 }}")
    };
    let folder = ledger(&[("loan", &read("50"))]);
    let asked = ["record", "rowan/race", "--found", "rowan/loan", "--put-back"];
    let page = run(folder.path(), &asked);
    assert_eq!(page.status, Some(1), "{}", page.text);
    let words = flowing(&page.text);
    for said in [
        "Do not ride: left brake lever reach 50 mm on the sheet, recorded 62 mm, not read since.",
        "read it again, and write that on the sheet in place of 50 mm",
        "front tyre 25 psi on the sheet, recorded 23 psi.",
    ] {
        assert!(words.contains(said), "{said}: {}", page.text);
    }
    assert!(!words.contains("What the sheet reads is what the setup says"), "{}", page.text);
    assert_eq!(setup_text(folder.path()), SETUP);
    let said = json(folder.path(), &asked);
    assert_eq!(said["not-told-back"][0]["measure"], "left.brake-lever.reach", "{said:#}");
    // The way back says so, too.
    let plan = run(folder.path(), &["restore", "rowan/race", "--found", "rowan/loan"]);
    let told = "No torque tells that this was put back: left brake lever reach, front tyre.";
    assert!(flowing(&plan.text).contains(told), "{}", plan.text);
    let overview = || run(folder.path(), &[]);
    assert!(overview().text.contains("left"), "{}", overview().text);
    assert_eq!(overview().status, Some(1), "{}", overview().text);
    // Read again as recorded, the sheet stands against nothing.
    let again = read("62").replace("25", "23");
    let again = format!("found \"rowan/race\" format=1 {{\n    measured \"2026-05-09\"\n    {again}\n}}\n");
    fs::write(folder.path().join("setups/rowan/loan.kdl"), again).expect("written");
    assert_eq!(overview().status, Some(0), "{}", overview().text);
}

/// The torque of another joint tells nothing of a reach.
#[test]
fn a_torque_elsewhere_does_not_put_a_reach_back() {
    let read = "steerer { spacers-below 5 with=caliper; spacers-above 15 with=caliper }
    left { brake-lever { reach 50 with=caliper } }
    torque \"stem-steerer\" { applied 5.5 }";
    let folder = ledger(&[("loan", read)]);
    run(folder.path(), &["record", "rowan/race", "--found", "rowan/loan", "--put-back"]);
    let overview = run(folder.path(), &[]);
    assert_eq!(overview.status, Some(1), "{}", overview.text);
    assert!(flowing(&overview.text).contains("left brake lever reach 50 mm"), "{}", overview.text);
}
