//! One sheet that is recorded twice: what was worked out of its own lines stays known.

use crate::restore::{json, ledger, run, setup_text};

const ARGUMENTS: [&str; 4] = ["record", "rowan/race", "--found", "rowan/back"];

/// What `record` heads its page with, the first time and the second.
fn twice(folder: &std::path::Path) -> [String; 2] {
    [(); 2].map(|()| json(folder, &ARGUMENTS)["headline"].to_string())
}

/// 1 mm on 22.2 mm are 360/(π·22.2) = 5.16°: the lever's tip stands at 32 + 5.2 = 37.2°.
#[test]
fn a_lever_that_only_its_line_tells_of_stays_known_and_is_told_to_have_moved() {
    let sheet = "opened \"left.brake-lever\"; mark \"L1\" off=1; left { brake-lever { from-tip 168 } }
        torque \"left.brake-lever\" { applied 3 }";
    let folder = ledger(&[("back", sheet)]);
    let diff = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/back"])["headline"].to_string();
    let first = json(folder.path(), &ARGUMENTS)["headline"].to_string();
    let moved = "rear brake lever angle (left) moved 5.2° tip down";
    for headline in [diff, first] {
        assert!(headline.starts_with(&format!("\"Do not ride: {moved}")), "{headline}");
    }
    let written = setup_text(folder.path());
    assert!(written.contains("from-tip 168; angle 37.2 tol=2.6"), "{written}");
    let second = run(folder.path(), &ARGUMENTS);
    assert!(!second.text.contains("no longer known"), "{}", second.text);
    assert_eq!(setup_text(folder.path()), written);
    let diff = run(folder.path(), &["diff", "rowan/race", "--found", "rowan/back"]);
    assert!(!diff.text.contains("within the line's width"), "{}", diff.text);
    // Nor is it let go once the line is drawn where it was found.
    for more in [&["--mark"][..], &[]] {
        let again = run(folder.path(), &[&ARGUMENTS, more].concat());
        assert!(!again.text.contains("no longer known"), "{more:?}: {}", again.text);
    }
    let check = run(folder.path(), &["check", "rowan/race"]);
    assert!(!check.text.contains("no longer known"), "{}", check.text);
    // Without a word of its line it is not known.
    let sheet = "opened \"left.brake-lever\"; torque \"left.brake-lever\" { applied 3 }";
    let later = ledger(&[("back", sheet)]);
    let headline = json(later.path(), &ARGUMENTS)["headline"].to_string();
    assert!(headline.contains("left brake lever angle no longer known"), "{headline}");
}

/// 2 mm on the bar's 35 mm are 2·360/(π·35) = 6.55°: from 32° the levers came to 38.5° with it.
#[test]
fn levers_that_a_rolled_bar_carried_stay_known() {
    let sheet = "opened \"stem-face\"; bar { offset 0 }; mark \"B1\" off=2; mark \"L1\" aligned
        mark \"R1\" aligned; torque \"stem-face\" { applied 4.5 }";
    let folder = ledger(&[("back", sheet)]);
    let [first, second] = twice(folder.path());
    let levers = "turned along with the bar: rear brake lever angle (left), front brake lever angle (right)";
    assert_eq!(first, format!("\"Do not ride: {levers}.\""));
    assert_eq!(second, "null");
    let written = setup_text(folder.path());
    assert_eq!(written.matches("angle 38.5").count(), 2, "{written}");
    assert!(!written.contains("unmeasured"), "{written}");
}
