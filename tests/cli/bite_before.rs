//! A lever that was set nearer to the grip: where its brake bites was read before that.

use crate::harness::{Bench, Commit, flowing};
use crate::texts::{RACE, changed};

const FILE: &str = "setups/rowan/race.kdl";
const LEFT: &str = "reach 62 with=caliper; bite 34";
const SAID: &str = "Read before the lever's reach was set: left brake bite.";

fn diff(now: &str) -> String {
    let (was, now) = ([(FILE, RACE)], [(FILE, now)]);
    let commit = |files| Commit { subject: "Write", files, tag: None };
    let bench = Bench::recorded(&[commit(&was), commit(&now)]);
    flowing(&bench.run(&["diff", "rowan/race", "HEAD~1", "HEAD"]).out)
}

/// 62 to 40 mm is 22 mm nearer; a bite that came along stands at 34 - 22 = 12 mm, which nobody read.
#[test]
fn a_bite_that_was_not_read_again_is_told_where_the_reach_was_set() {
    let nearer = |left: &str| diff(&changed(RACE, &[(LEFT, left)]));
    let page = nearer("reach 40 with=caliper; bite 34");
    assert!(page.contains(SAID), "{page}");
    for read_again in ["reach 40 with=caliper; bite 12", "reach 40 with=caliper; bite 34 read=\"2031-05-20\""]
    {
        let page = nearer(read_again);
        assert!(!page.contains(SAID), "{page}");
    }
    // Read again, and still before the reach was set.
    let page = nearer("reach 40 with=caliper read=\"2031-05-20\"; bite 34 read=\"2031-05-10\"");
    assert!(page.contains(SAID), "{page}");
    // Within reading: the caliper reads to 0.1 mm.
    let page = nearer("reach 62.05 with=caliper; bite 34");
    assert!(!page.contains(SAID), "{page}");
}
