//! That nothing which is not to be ridden is written as if it were: what `try --write` and `carry --write` leave of it in
//! the file, and who tells it again.

use std::fs;
use std::path::Path;

use super::rider::{above_the_stem, json, ledger, run};
use crate::harness::flowing;

/// 70 mm of pile: 20 below, the clamp 40 and 10 above, for which none is left; or the clamp 50 and nothing above.
const LACKING: &str = "parts \"lack\" format=1 {
    steerer left=70
    stem \"tall\" length=60 angle=0 clamp-height=40
    stem \"other\" length=40 angle=0 clamp-height=50
    spacer 20
}
";

fn carry(folder: &Path, parts: &str, more: &[&str]) -> (i32, String) {
    fs::write(folder.join("lack.kdl"), parts).expect("written");
    let asked = [&["carry", "rowan/race", "--onto", "alder/trail", "--parts", "lack.kdl"], more].concat();
    let (status, said) = run(folder, 120, &asked);
    (status, flowing(&said))
}

fn written(folder: &Path, name: &str) -> Option<String> {
    fs::read_to_string(folder.join(format!("setups/{name}.kdl"))).ok()
}

/// `check`, the overview and `restore` each tell it of a file.
#[track_caller]
fn is_told_everywhere(folder: &Path, name: &str, words: &str) {
    for asked in [&["check", name][..], &[], &["restore", name]] {
        let (_, said) = run(folder, 200, asked);
        let said = flowing(&said);
        assert!(said.contains(words), "{asked:?}: {said}");
    }
}

#[test]
fn the_best_that_can_be_ridden_is_written() {
    let folder = ledger();
    above_the_stem(folder.path(), 15);
    let (status, said) = carry(folder.path(), LACKING, &["--write", "alder/sound"]);
    assert_eq!(status, 0, "{said}");
    assert!(said.contains("Do not build it so."), "{said}");
    assert!(said.contains("of the list, the first without a fault."), "{said}");
    let text = written(folder.path(), "alder/sound").expect("written");
    // The other stem, whose clamp and the spacer make the pile.
    assert!(text.contains("clamp-height 50"), "{text}");
    assert!(!text.contains("do not ride"), "{text}");
    let found = json(
        folder.path(),
        &["carry", "rowan/race", "--onto", "alder/trail", "--parts", "lack.kdl", "--write", "alder/again"],
    );
    let picked = usize::try_from(found["picked"].as_u64().expect("a number")).expect("small");
    assert!(picked > 1);
    assert_eq!(found["assemblies"][picked - 1]["stem"], "other");
}

#[test]
fn nothing_is_written_if_none_can_be_ridden_unless_it_is_picked() {
    let folder = ledger();
    let lacking = LACKING.replace("spacer 20", "spacer 5");
    let (status, said) = carry(folder.path(), &lacking, &["--write", "alder/none"]);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("Nothing was written: each of these has a fault or lacks spacers."), "{said}");
    assert_eq!(written(folder.path(), "alder/none"), None);
    let (status, said) = carry(folder.path(), &lacking, &["--write", "alder/none", "--pick", "99"]);
    assert!(status == 2 && said.contains("There is no assembly 99 in the list"), "{said}");
    let (status, said) = carry(folder.path(), &lacking, &["--pick", "1"]);
    assert!(status == 2 && said.contains("--write"), "{said}");
    let (status, said) = carry(folder.path(), &lacking, &["--write", "alder/picked", "--pick", "1"]);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("Do not ride it so: it lacks spacers above the stem."), "{said}");
    is_told_everywhere(folder.path(), "alder/picked", "of the spacers above the stem");
    // What stands recorded on that steerer is not on it: nothing is carried onto it without a box that says what is.
    let (status, said) = run(folder.path(), 120, &["carry", "rowan/race", "--onto", "alder/picked"]);
    assert!(
        status == 2 && flowing(&said).contains("What is recorded on the steerer is then not what is there"),
        "{said}"
    );
    let with = ["carry", "rowan/race", "--onto", "alder/picked", "--parts", "lack.kdl"];
    assert_ne!(run(folder.path(), 120, &with).0, 2);
}

/// Ten ways of a stem that lacks 10 mm come before the one that lacks nothing, 150 mm long: that is found all the same.
#[test]
fn one_that_can_be_ridden_is_looked_for_beyond_the_best() {
    let folder = ledger();
    above_the_stem(folder.path(), 15);
    let stem =
        |place: u32| format!("    stem \"near {place}\" length={} angle=0 clamp-height=40\n", 50 + place);
    let stems = (0..12).map(stem).collect::<Vec<_>>().concat();
    let parts = LACKING
        .replace("    stem \"tall\" length=60 angle=0 clamp-height=40\n", &stems)
        .replace("length=40 angle=0 clamp-height=50", "length=150 angle=0 clamp-height=50");
    let (status, said) = carry(folder.path(), &parts, &["--write", "alder/far"]);
    assert_eq!(status, 0, "{said}");
    assert!(
        said.contains("Written as alder/far: number 11 of the list, the first without a fault."),
        "{said}"
    );
    assert!(written(folder.path(), "alder/far").expect("written").contains("length 150"), "{said}");
}

/// 5 mm stand above the stem: 30 more below it reach 25 over the end; none above leaves 5 to lack.
#[test]
fn a_tried_pile_that_cannot_be_ridden_says_so_in_its_file() {
    let folder = ledger();
    for (change, name, words) in [
        ("steerer.spacers-below=+30", "rowan/over", "at least 25 mm over the steerer's end and can come off"),
        ("steerer.spacers-above=0", "rowan/loose", "5 mm less stand on the steerer than before"),
    ] {
        let (status, said) = run(folder.path(), 120, &["try", "rowan/race", change, "--write", name]);
        assert_eq!(status, 1, "{said}");
        is_told_everywhere(folder.path(), name, words);
        // It is said until it is taken out, whatever is tried on it next.
        let next = ["try", name, "steerer.spacers-above=+2"];
        let (_, said) = run(folder.path(), 120, &next);
        assert!(flowing(&said).contains("A note tells not to ride the bike as it is recorded"), "{said}");
    }
    // 5 more fit as far as anybody knows, 15 + 40 + 5 + 5 = 65 mm; nobody has measured that.
    let higher = ["try", "rowan/race", "steerer.spacers-below=+5", "--write", "rowan/higher"];
    assert_eq!(run(folder.path(), 120, &higher).0, 0);
    let (_, said) = run(folder.path(), 120, &["carry", "rowan/race", "--onto", "rowan/higher"]);
    assert!(flowing(&said).contains("that its steerer takes a pile of 65 mm is taken from there"), "{said}");
    let (_, said) =
        run(folder.path(), 120, &["try", "rowan/race", "stem.length=45", "--write", "rowan/sound"]);
    assert!(!written(folder.path(), "rowan/sound").expect(&said).contains("do not ride"), "{said}");
}

/// 10 mm less stem ask for 4.77 mm more than the 15 below it: 10·cos(64.5°)/sin(64.5°). Usual spacers make 19 and 20.
#[test]
fn a_pile_that_no_spacers_make_is_not_written() {
    let folder = ledger();
    let asked = ["try", "rowan/race", "stem.length=40", "--keep", "grip-stack", "--by"];
    let spacers = [&asked[..], &["steerer.spacers-below"]].concat();
    assert_eq!(run(folder.path(), 80, &spacers).0, 0);
    let (status, said) = run(folder.path(), 80, &[&spacers[..], &["--write", "rowan/pile"]].concat());
    let said = flowing(&said);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("19.77 mm steerer.spacers-below keeps"), "{said}");
    let words = "Nothing was written: no usual spacers make that pile. Give one in place of --keep and --by: \
                 steerer.spacers-below:=19 or steerer.spacers-below:=20;";
    assert!(said.contains(words), "{said}");
    assert_eq!(written(folder.path(), "rowan/pile"), None);
    let found = json(folder.path(), &[&spacers[..], &["--write", "rowan/pile"]].concat());
    assert!(found["written"].is_null() && found["not-written"].is_string(), "{found}");
    // As it says: one of the piles, asked for by its height.
    let near = ["try", "rowan/race", "stem.length=40", "steerer.spacers-below:=20", "--write", "rowan/pile"];
    assert_eq!(run(folder.path(), 80, &near).0, 0);
    assert!(written(folder.path(), "rowan/pile").expect("written").contains("spacers-below 20;"));
    // What is no pile is written as it was worked out.
    let angle = [&asked[..], &["stem.angle", "--write", "rowan/angle"]].concat();
    let found = json(folder.path(), &angle);
    assert!(found["not-written"].is_null() && found["written"] == "rowan/angle", "{found}");
}

/// Headset cover to top cap are 60.6 mm; the clamp takes 40 and the spacers 20: 0.6 lack, or 1 where they are 61.
#[test]
fn a_pile_that_lacks_less_than_a_millimetre_is_not_loose() {
    let folder = ledger();
    let parts = |left: &str| {
        format!(
            "parts \"lack\" format=1 {{
                steerer left={left}
                stem \"tall\" length=60 angle=0 clamp-height=40
                spacer 10 count=2
            }}"
        )
    };
    let (status, said) = carry(folder.path(), &parts("60.6"), &["--write", "alder/near"]);
    assert_eq!(status, 0, "{said}");
    assert!(
        said.contains("and 0.6 mm of them are not there: the top cap clears the steerer's end by that"),
        "{said}"
    );
    assert!(!said.contains("Do not ride so") && !said.contains("Do not build it so"), "{said}");
    assert!(!written(folder.path(), "alder/near").expect("written").contains("do not ride"));
    let (status, said) = carry(folder.path(), &parts("61"), &["--write", "alder/loose"]);
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("and 1 mm of them are not there: without them"), "{said}");
    assert_eq!(written(folder.path(), "alder/loose"), None);
}
