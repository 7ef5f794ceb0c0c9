//! `history` on what git made.

use crate::bench::Bench;

#[test]
#[ignore = "needs the git program"]
fn renames_are_followed_and_unreadable_revisions_stepped_over() {
    let bench = Bench::new("");
    bench.change("width 780", "widht 780");
    bench.commit("A slip");
    bench.change("widht 780", "width 760");
    bench.commit("Cut");
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    bench.commit("Call it wet");
    let text = bench.said(&["history", "rowan/wet"]);
    for said in ["Renamed from setups/rowan/race.kdl.", "20.0 mm narrower", "stepped over", "First recorded"]
    {
        assert!(text.contains(said), "{said}: {text}");
    }
    // The slip itself is not asked for, and still what came after is compared across it.
    let text = bench.said(&["history", "rowan/wet", "--since", "HEAD~2", "bar.width", "--csv"]);
    let cut = text.lines().last().unwrap();
    assert!(cut.ends_with("760 mm,moved"), "{text}");
    let text = bench.said(&["history", "rowan/wet", "--since", "HEAD~2^"]);
    assert!(text.contains("20.0 mm narrower"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn json_holds_the_series() {
    let bench = Bench::new("");
    bench.change("width 780", "width 760");
    bench.commit("Cut");
    let text = bench.said(&["history", "rowan/race", "bar.width", "grip-stack", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["schema"], "clampmark.history/1");
    assert_eq!(json["entries"][0]["changes"][0]["measure"], "bar.width");
    assert_eq!(json["series"][0]["points"][0]["value"], 760.0);
    // The file gives no tolerance: the table's 1 mm, so U = 2·1/√3 = 1.154701 (GUM 4.3.7).
    let expanded = json["series"][0]["points"][0]["U"].as_f64().unwrap();
    assert!((expanded - 1.154_701).abs() < 1e-6);
}
