//! `carry --write` of another assembly than the nearest: what is told of that one.

use std::fs;

use super::rider::{json, ledger, run};
use super::tried::flowing;

/// The rowan's own figures, 50 mm, and a stem of 29 mm: 21 mm shorter than the one that the bike was sold with.
const PARTS: &str = r#"parts "two stems" format=1 {
    steerer left=60
    stem "own" length=50 angle=0 clamp-height=40 clamp-diameter=31.8
    stem "tiny" length=29 angle=0 clamp-height=40
    bar "own" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 clamp-diameter=31.8
    spacer 15
    spacer 5
}
"#;

#[test]
fn what_is_written_in_place_of_the_nearest_is_told_of() {
    let folder = ledger();
    fs::write(folder.path().join("two.kdl"), PARTS).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "two.kdl"];
    let found = json(folder.path(), &[&asked[..], &["--write", "rowan/first"]].concat());
    assert!(found["of-the-written"].is_null(), "{found}");
    let all = found["assemblies"].as_array().expect("a list");
    let tiny = all.iter().position(|one| one["stem"] == "tiny").expect("the short stem") + 1;
    assert!(tiny > 1, "{found}");
    let place = tiny.to_string();
    let picked = [&asked[..], &["--pick", &place, "--write", "rowan/tiny"]].concat();
    let (_, said) = run(folder.path(), 80, &picked);
    let said = flowing(&said);
    let (above, block) = said
        .split_once(&format!("Number {tiny}, which was written"))
        .unwrap_or_else(|| panic!("no block: {said}"));
    assert!(!above.contains("(short-stem)"), "{said}");
    for words in [
        "stem tiny (29 mm, level)",
        "Clamp diameters: stem tiny not recorded",
        "Another stem: the old one's torque limits",
        "advice (short-stem)",
    ] {
        assert!(block.contains(words), "{words}: {said}");
    }
    let picked = [&asked[..], &["--pick", &place, "--write", "rowan/again"]].concat();
    let found = json(folder.path(), &picked);
    let told = &found["of-the-written"];
    assert_eq!(told["replaced"]["parts"], serde_json::json!(["stem"]), "{found}");
    assert!(told["appears"].to_string().contains("short-stem"), "{found}");
}
