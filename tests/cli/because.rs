//! What the page names as the cause of what the hands did: what moved, and what did not only where nothing else did.

use super::rider::{json, ledger, setup, told};

fn asked(folder: &std::path::Path, read: &str) -> String {
    let sheet = format!("found \"rowan/race\" format=1 {{ measured \"2026-05-25\"; floor 0.0; {read} }}");
    setup(folder, "rowan/found", &sheet);
    told(folder, &["diff", "rowan/race", "--found", "rowan/found"]).1
}

/// The roll reads 0.1° off, within its half degree; 5 mm of spacers are more than any reading.
#[test]
fn what_did_not_move_is_no_cause_of_what_did() {
    let folder = ledger();
    let said = asked(folder.path(), "steerer { spacers-below 20 }; bar { roll -1.4 }");
    assert!(said.contains("Because of: spacers below the stem."), "{said}");
    assert!(
        said.contains("Within reading: not moved as far as the instruments can tell bar roll."),
        "{said}"
    );
    let found = json(folder.path(), &["diff", "rowan/race", "--found", "rowan/found"]);
    let derived = found["derived"].as_array().expect("a list").clone();
    let stack = derived.iter().find(|one| one["name"] == "grip-stack").expect("the stack");
    assert_eq!(stack["driven-by"], serde_json::json!(["steerer.spacers-below", "bar.roll"]));
}

/// Two readings of half a millimetre, 0.289 as a standard deviation, make ± 0.82 mm of one difference and ± 1.15 of two:
/// 0.7 mm each is within the first, 1.4 together beyond the second.
#[test]
fn what_is_within_reading_each_and_moved_together_is_told_so() {
    let folder = ledger();
    let said = asked(folder.path(), "headset { cover 9.7 }; steerer { spacers-below 15.7 }");
    let words = ["headset cover, spacers below the stem", "spacers below the stem, headset cover"]
        .map(|both| format!("Each within reading, together beyond it: {both}."));
    assert!(words.iter().any(|words| said.contains(words)) && !said.contains("Because of"), "{said}");
}
