//! What could not be taken from a file is said wherever something is worked out from the rest of it.

use std::fs;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

#[test]
fn what_was_not_taken_from_a_file_is_said_before_what_follows_from_the_rest() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("stature 1780;", "stature 1780; torso 950;")).expect("written");
    let refused = "Read with a fault: rowan/race, in line 4, column 33, ";
    for asked in [
        &["body", "rowan/race"][..],
        &["try", "rowan/race", "stem.length=40"],
        &["carry", "rowan/race", "--onto", "alder/trail"],
    ] {
        let (_, said) = run(folder.path(), 120, asked);
        let said = flowing(&said);
        assert!(said.contains(refused) && said.contains("950 mm lies outside 350 to 800 mm."), "{said}");
    }
    let (_, said) = run(folder.path(), 120, &["carry", "alder/trail", "--onto", "rowan/race"]);
    assert!(flowing(&said).contains(refused), "{said}");
    let (_, said) = run(folder.path(), 160, &["body", "rowan/race"]);
    assert!(
        flowing(&said).contains("open survey data. Not the recorded one: 950 mm lies outside 350 to 800 mm."),
        "{said}"
    );
    let found = json(folder.path(), &["body", "rowan/race"]);
    assert!(
        found["segments"][0]["refused"].is_string() && found["segments"][1]["refused"].is_null(),
        "{found}"
    );
}
