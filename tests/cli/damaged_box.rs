//! Notes of damage in a box of parts, as people write them: they keep `carry` from calling it good.

use std::fs;

use super::rider::{ledger, run};
use crate::harness::flowing;

const ASKED: [&str; 6] = ["carry", "rowan/race", "--onto", "rowan/race", "--parts", "b.kdl"];

#[test]
fn a_damage_told_in_free_words_is_told_first() {
    let folder = ledger();
    for (note, part) in [
        ("damage on the wide bar", "bar wide"),
        ("2026-05-09 damage on bar wide", "bar wide"),
        ("do not ride: stem short cracked", "stem short"),
        ("damage on spacer 5", "stem short"),
    ] {
        let text = format!(
            "parts \"b\" format=1 {{
                steerer left=60
                stem \"short\" length=50 angle=0 clamp-height=40
                bar \"wide\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90
                spacer 5 count=4
                note \"{note}\"
            }}"
        );
        fs::write(folder.path().join("b.kdl"), text).expect("written");
        let (status, said) = run(folder.path(), 80, &ASKED);
        let said = flowing(&said);
        assert_eq!(status, 1, "{note}: {said}");
        let first = said.find("The box tells of damage:").unwrap_or_else(|| panic!("{note}: {said}"));
        assert!(first < said.find("the nearest of").expect("the nearest"), "{note}: {said}");
        assert!(said.contains(&format!("note in the box says: {part}: ")), "{note}: {said}");
        let (_, said) = run(folder.path(), 80, &["check", "b.kdl"]);
        assert!(flowing(&said).contains("A note tells of damage:"), "{note}: {said}");
    }
    // Spacers alone: stem and bar are the bike's own.
    let text = "parts \"b\" format=1 { steerer left=60; spacer 5 count=4; note \"damage on spacer 5\" }";
    fs::write(folder.path().join("b.kdl"), text).expect("written");
    let (status, said) = run(folder.path(), 80, &ASKED);
    assert_eq!(status, 1, "{said}");
    assert!(flowing(&said).contains("A part of it is damaged"), "{said}");
}
