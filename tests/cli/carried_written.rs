//! `carry --write` of another assembly than the nearest: what is told of that one.

use std::fs;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

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

/// 65 mm, less a clamp of 38 and the one spacer of 20 below: 7 have to go above, and the other of 20 alone is there for
/// it. That is 13 mm more.
#[test]
fn above_the_stem_stands_a_pile_of_the_spacers_that_are_left() {
    let folder = ledger();
    let text = "parts \"few\" format=1 {
        steerer left=65
        stem \"s\" length=50 angle=0 clamp-height=38
        spacer 20 count=2
    }";
    fs::write(folder.path().join("few.kdl"), text).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "few.kdl"];
    let found = json(folder.path(), &asked);
    let all = found["assemblies"].as_array().expect("a list");
    let is_it = |one: &&serde_json::Value| one["spacers"] == serde_json::json!([20.0]);
    let place = all.iter().position(|one| is_it(&one)).expect("one on 20 mm");
    let one = &all[place];
    assert_eq!(
        [&one["spacers-above"], &one["above"], &one["spacers-over"], &one["spacers-lacking"]],
        [&7.0.into(), &serde_json::json!([20.0]), &13.0.into(), &0.0.into()],
        "{one}"
    );
    let pick = (place + 1).to_string();
    let (_, said) =
        run(folder.path(), 80, &[&asked[..], &["--pick", &pick, "--write", "rowan/few"]].concat());
    let said = flowing(&said);
    let words = "7 mm have to go above the stem, and the least that is there for it is 1 spacer of 20 mm. The top cap \
                 then stands 13 mm higher: see that its bolt still reaches (common practice, no source).";
    assert!(said.contains(words), "{said}");
    let file = fs::read_to_string(folder.path().join("setups/rowan/few.kdl")).expect("written");
    assert!(file.contains("spacers-below 20") && file.contains("spacers-above 20"), "{file}");
    assert!(file.contains("13 mm higher than the steerer asks for"), "{file}");
}

/// The rowan's own piles are 15 and 5 mm, and nobody said what they are made of.
#[test]
fn a_recorded_pile_is_not_called_a_spacer() {
    let folder = ledger();
    let (_, said) = run(folder.path(), 80, &["carry", "rowan/race", "--onto", "alder/trail"]);
    let said = flowing(&said);
    assert!(said.contains("the recorded 15 mm below") && !said.contains("1 spacer of"), "{said}");
    assert!(said.contains("Each recorded pile of spacers was taken as it is"), "{said}");
}

/// In shape the rowan's own bar; but that is of aluminium, and a carbon one is clamped by its own maker's figure.
#[test]
fn a_bar_of_the_same_shape_and_another_material_is_another_bar() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    let text = ROWAN.replace("bar { width 780;", "bar { width 780; material aluminium; clamp-diameter 31.8;");
    fs::write(&race, text).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "m.kdl"];
    for (more, parts) in [
        (" material=carbon", serde_json::json!(["bar"])),
        (" clamp-diameter=35", serde_json::json!(["bar"])),
        (" material=aluminium clamp-diameter=31.8", serde_json::Value::Null),
        ("", serde_json::Value::Null),
    ] {
        let bar = format!("bar \"m\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90{more}");
        let stem = "stem \"s\" length=50 angle=0 clamp-height=40";
        let text = format!("parts \"m\" format=1 {{ {stem}; {bar}; spacer 15; spacer 5 }}");
        fs::write(folder.path().join("m.kdl"), text).expect("written");
        let found = json(folder.path(), &asked);
        assert_eq!(found["replaced"]["parts"], parts, "{more}: {found}");
        assert_eq!(found["is-as-it-stands"], parts.is_null(), "{more}: {found}");
    }
}
