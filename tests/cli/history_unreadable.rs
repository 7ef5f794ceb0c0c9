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
    // In RACE, by hand, in its order: floor 1, rider 2, frame 5 and its top tube 3, headset 1, steerer 2, stem 5, bar 9,
    // saddle 3; left grip 2, lever 6 and its lowest point 3, remote 3 (its clamp, too) and 3; right grip 2, lever 6,
    // shifter 3 (clamp and slot, too); hose 2, where it leaves 4, where it enters 4; fork 3, tyres 2:
    // 1 + 2 + 8 + 1 + 2 + 5 + 9 + 3 + 17 + 11 + 10 + 5 = 74.
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
