//! What of a plan nobody rides or makes: a bar rolled beyond all use, and spacers of half a millimetre.

use std::fs;

use super::rider::{json, ledger, setup, told};

const TOO_FAR: &str = "the bar lies as nobody rides it: `carry` rolls one no further than 10° either way unless a box says \
                       so (common practice, no source), for sweep and grips then point elsewhere.";

#[test]
fn a_bar_rolled_beyond_all_use_is_told_however_it_comes_there() {
    let folder = ledger();
    let (_, said) = told(folder.path(), &["try", "rowan/race", "bar.roll=40"]);
    assert!(said.contains(&format!("Rolled to 40° {TOO_FAR}")) && !said.contains("give way"), "{said}");
    let (_, said) = told(folder.path(), &["try", "rowan/race", "bar.roll=10"]);
    assert!(!said.contains("nobody rides it"), "{said}");
    // One that lies so already is not rolled there.
    let text = fs::read_to_string(folder.path().join("setups/rowan/race.kdl")).expect("the file");
    setup(folder.path(), "rowan/race", &text.replace("roll -1.5", "roll -20"));
    let (_, said) = told(folder.path(), &["try", "rowan/race", "bar.roll:=-18"]);
    assert!(!said.contains("nobody rides it"), "{said}");
    let bar = |roll: u32| {
        let bar = "bar \"wide\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90";
        format!("parts \"box\" format=1 {{ {bar} roll-from={roll} roll-to={roll} }}")
    };
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
    fs::write(folder.path().join("box.kdl"), bar(38)).expect("written");
    let (_, said) = told(folder.path(), &asked);
    assert!(said.contains(&format!("Rolled to 38° {TOO_FAR}")), "{said}");
    fs::write(folder.path().join("box.kdl"), bar(10)).expect("written");
    let found = json(folder.path(), &asked);
    assert!(found["assemblies"][0]["rolled-too-far"].is_null(), "{found}");
}

/// 60.5 mm are left, of which the clamp takes 40 and both spacers 20: over the stem stand none, or one of 10 mm on 10
/// below, and half a millimetre of nothing.
#[test]
fn half_a_millimetre_of_spacers_is_not_written() {
    let folder = ledger();
    let parts = "parts \"box\" format=1 { steerer left=60.5; spacer 10 count=2 }";
    fs::write(folder.path().join("box.kdl"), parts).expect("written");
    let asked = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl"];
    let found = json(folder.path(), &asked);
    let all = found["assemblies"].as_array().expect("a list");
    for (place, one) in (1..).zip(all) {
        let below = one["spacers-below"].as_f64().expect("a height");
        let (name, place) = (format!("alder/{place}"), place.to_string());
        told(folder.path(), &[&asked[..], &["--write", &name, "--pick", &place]].concat());
        let text = fs::read_to_string(folder.path().join(format!("setups/{name}.kdl"))).expect("written");
        let line = text.lines().find(|line| line.contains("steerer {")).expect("the spacers");
        let above = 20.0 - below;
        assert!(line.contains(&format!("spacers-above {above};")), "{below}: {line}");
    }
    assert_eq!(all.len(), 3, "{found}");
}
