//! Spacers that are lacking or left over at the step that orders them. The rowan has 15 mm below its stem and 5 above: 20 in
//! all.

use super::rider::{ledger, setup, told};

#[test]
fn a_step_says_which_spacers_nobody_has() {
    let folder = ledger();
    let asked = |below: u32, above: u32| {
        let sheet = format!(
            "found \"rowan/race\" format=1 {{
                measured \"2026-05-25\"
                steerer {{ spacers-below {below}; spacers-above {above} }}
            }}"
        );
        setup(folder.path(), "rowan/found", &sheet);
        told(folder.path(), &["restore", "rowan/race", "--found", "rowan/found"]).1
    };
    let said = asked(5, 10);
    assert!(said.contains("Found: 15 mm of spacers in all, recorded 20 mm: 5 mm are lacking."), "{said}");
    let said = asked(25, 5);
    assert!(said.contains("Found: 30 mm of spacers in all, recorded 20 mm: 10 mm are left over."), "{said}");
    // From one side of the stem to the other none is lost.
    let said = asked(5, 15);
    assert!(said.contains("fit 10.0 mm more") && !said.contains("spacers in all"), "{said}");
}
