//! Notes on damage: at the top of a file, in a box of parts, and of a part that is replaced.

use std::fs;

use super::rider::{ROWAN, json, ledger, setup, told};

#[test]
fn a_note_at_the_top_may_begin_with_the_part() {
    let folder = ledger();
    for note in ["stem crack at the face", "stem: crack at the face", "Stem, crack at the face"] {
        let text = ROWAN.replacen('{', &format!("{{\n    note \"damage: {note}\""), 1);
        setup(folder.path(), "rowan/race", &text);
        let (status, said) = told(folder.path(), &["check", "rowan/race"]);
        assert!(status == 1 && !said.contains("damage-elsewhere"), "{said}");
        assert!(said.contains("A note tells of damage: stem: crack at the face."), "{said}");
        let (_, said) = told(folder.path(), &[]);
        assert!(said.contains("do not ride: stem: crack at the face") && !said.contains(": :"), "{said}");
    }
    setup(folder.path(), "rowan/race", &ROWAN.replacen('{', "{\n    note \"damage: it creaks\"", 1));
    let (_, said) = told(folder.path(), &[]);
    assert!(said.contains("do not ride: it creaks"), "{said}");
    let (_, said) = told(folder.path(), &["check", "rowan/race"]);
    assert!(said.contains("damage-elsewhere"), "{said}");
}

const PARTS: &str = r#"parts "borrowed" format=1 {
    steerer left=60
    stem "own" length=50 angle=0 clamp-height=40
    stem "other" length=45 angle=0 clamp-height=40
    spacer 15
    spacer 5
    NOTE
}
"#;

#[test]
fn nothing_is_built_with_a_part_that_the_box_calls_damaged() {
    let folder = ledger();
    let asked = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "own.kdl"];
    let with =
        |note: &str| fs::write(folder.path().join("own.kdl"), PARTS.replace("NOTE", note)).expect("written");
    with("");
    assert_eq!(json(folder.path(), &asked)["assemblies"][0]["stem"], "own");
    assert_eq!(told(folder.path(), &asked).0, 0);
    with("note \"damage on stem own: cracked at the face\"");
    let (status, said) = told(folder.path(), &["check", "own.kdl"]);
    assert!(status == 1 && said.contains("A note tells of damage: stem own: cracked at the face."), "{said}");
    let (status, said) = told(folder.path(), &asked);
    assert_eq!(status, 1, "{said}");
    let words = "The box tells of damage: stem own: cracked at the face.";
    let first = said.find(words).unwrap_or_else(|| panic!("{said}"));
    assert!(first < said.find("the nearest of").expect("the best"), "{said}");
    assert!(said.contains("Do not build it so. The next without a fault"), "{said}");
    // The other stem is written in its place; the damaged one but with a note.
    let found = json(folder.path(), &[&asked[..], &["--write", "rowan/whole"]].concat());
    let picked = usize::try_from(found["picked"].as_u64().expect("one")).expect("a small number");
    assert_eq!(found["assemblies"][picked - 1]["stem"], "other", "{found}");
    let (status, said) =
        told(folder.path(), &[&asked[..], &["--pick", "1", "--write", "rowan/cracked"]].concat());
    assert!(status == 1 && said.contains("Do not ride it so: a part of it is damaged."), "{said}");
    let (status, said) = told(folder.path(), &["check", "rowan/cracked"]);
    assert!(status == 1 && said.contains("(damage-noted)"), "{said}");
    // With every stem damaged nothing is written.
    with("note \"damage on stem: cracked at the face\"");
    let (status, said) = told(folder.path(), &[&asked[..], &["--write", "rowan/none"]].concat());
    let words = "Nothing was written: each of these has a fault, a damaged part or lacks spacers.";
    assert!(status == 1 && said.contains(words), "{said}");
}

/// Another rise is another bar: what was seen on the old one is not on it.
#[test]
fn damage_goes_with_the_part_that_is_replaced() {
    let folder = ledger();
    let scored = ROWAN.replace("bar { width 780;", "bar { note \"2026-05-09 damage: scored\"; width 780;");
    assert_ne!(scored, ROWAN);
    setup(folder.path(), "rowan/race", &scored);
    let (status, said) = told(folder.path(), &["try", "rowan/race", "stem.length=45"]);
    assert!(status == 1 && said.contains("A note tells of damage: bar: scored."), "{said}");
    let (status, said) = told(folder.path(), &["try", "rowan/race", "bar.rise=30", "--write", "rowan/high"]);
    let words = "What was noted of damage goes with the replaced part: bar: scored.";
    assert!(status == 0 && said.contains(words), "{said}");
    let file = fs::read_to_string(folder.path().join("setups/rowan/high.kdl")).expect("written");
    assert!(!file.contains("damage: scored") && file.contains(words), "{file}");
    assert!(!told(folder.path(), &["check", "rowan/high"]).1.contains("damage-noted"));
    let text = "parts \"b\" format=1 {
        bar \"low\" width=780 rise=15 back-sweep=8 up-sweep=5 bend=90
    }";
    fs::write(folder.path().join("b.kdl"), text).expect("written");
    let asked = ["carry", "alder/trail", "--onto", "rowan/race", "--parts", "b.kdl", "--write", "rowan/low"];
    let (_, said) = told(folder.path(), &asked);
    assert!(said.contains(words), "{said}");
    let file = fs::read_to_string(folder.path().join("setups/rowan/low.kdl")).expect("written");
    assert!(!file.contains("damage: scored") && file.contains(words), "{file}");
}
