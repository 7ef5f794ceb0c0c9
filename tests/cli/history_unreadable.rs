//! Revisions that cannot be read, and what is said of those around them.

use crate::harness::flowing;
use crate::history_values::on_days;
use crate::texts::{RACE, changed};

/// Broken from the first, mended, broken again and deleted so, and back.
#[test]
fn only_what_is_compared_is_compared_across_what_cannot_be_read() {
    let broken = changed(RACE, &[("rise 25", "riss 25"), ("twist 0", "twisst 0")]);
    let turned = changed(RACE, &[("twist 0", "twist 2")]);
    let texts = [(1, Some(&*broken)), (2, Some(RACE)), (3, Some(&*broken)), (4, None), (5, Some(&*turned))];
    let bench = on_days(&texts);
    bench.write("setups/rowan/race.kdl", &turned);
    let page = flowing(&bench.run(&["history", "rowan/race"]).out);
    // 74 measures are in RACE.
    for said in [
        "Cannot be read whole, stepped over: `twisst` is not a word known in `stem`. And 1 more fault.",
        ") Nothing before it can be read. Here it has 74 measures.",
        ") Deleted.",
        ") Compared across the unreadable revision before it. Back after its deletion, with 74 measures.",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    assert_eq!(page.matches("Compared across").count(), 1, "{page}");
    assert!(!page.contains("First recorded"), "{page}");
}
