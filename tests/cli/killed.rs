//! A program killed at any moment leaves the old file or the new one, never anything else.
#![cfg(unix)]

use std::fs;
use std::path::PathBuf;
use std::process::{Child, Stdio};
use std::time::Duration;

use crate::dialogue::{ask, asking};
use crate::restore::{SETUP, ledger, program, run};

/// The program killed at many moments: whatever stands in the file is one of `allowed`. Of a machine that has grown
/// slower meanwhile, later moments are tried until two of them were seen.
fn killed(
    times: u32,
    longest: u64,
    start: impl Fn() -> Child,
    look: impl Fn() -> Option<Vec<u8>>,
    allowed: &[Option<Vec<u8>>],
    reset: impl Fn(),
) -> usize {
    // Any generator will do: the moments only have to be spread (xorshift, Marsaglia 2003, from memory).
    let mut state: u64 = 0x9E37_79B9_7F4A_7C15;
    let mut seen = std::collections::BTreeSet::new();
    let mut longest = longest;
    for turn in 0..times * 4 {
        if turn >= times {
            if seen.len() > 1 {
                break;
            }
            longest += longest / 50;
        }
        reset();
        let mut child = start();
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        std::thread::sleep(Duration::from_micros(state % longest));
        child.kill().expect("it can be killed");
        child.wait().expect("it ends");
        let now = look();
        let which = allowed.iter().position(|text| *text == now);
        assert!(
            which.is_some(),
            "neither old nor new: {:?}",
            now.map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
        );
        seen.extend(which);
    }
    seen.len()
}

#[test]
fn a_killed_record_leaves_the_old_file_or_the_new() {
    let folder =
        ledger(&[("loan", "right { brake-lever { angle 28 with=angle-gauge } }; mark \"L1\" broken")]);
    let path = folder.path().join("setups/rowan/race.kdl");
    let arguments = ["record", "rowan/race", "--found", "rowan/loan", "--mark"];
    let began = std::time::Instant::now();
    run(folder.path(), &arguments);
    let longest = u64::try_from(began.elapsed().as_micros()).unwrap_or(20_000).max(2_000) * 3 / 2;
    let new = fs::read(&path).expect("the new file");
    assert_ne!(new, SETUP.as_bytes());
    let allowed = [Some(SETUP.as_bytes().to_vec()), Some(new)];
    let start = || {
        program(folder.path(), &arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts")
    };
    let reset = || fs::write(&path, SETUP).expect("the old file");
    let seen = killed(250, longest, start, || fs::read(&path).ok(), &allowed, reset);
    assert_eq!(seen, 2, "the moments missed the old file or the new");
}

#[test]
fn a_killed_dialogue_keeps_every_answer_given() {
    let folder = ledger(&[]);
    let path: PathBuf = folder.path().join("sheet.kdl");
    let (good, skip) = ("good\n", "s\n");
    let looked = [good, "cracked\n", "b\n", good, good, good, good, good, good, good, good, skip, skip, skip];
    let answers = [&looked[..], &["0\n", "15\n", "5\n", "0.5\n", "-1.5\n", "2\n"]].concat();
    // The sheet after so many answers, each from a dialogue that ended there.
    let mut allowed = vec![None];
    for count in 1..=answers.len() {
        ask(folder.path(), &answers[..count].concat());
        allowed.push(fs::read(&path).ok());
        fs::remove_file(&path).expect("a sheet after an answer");
    }
    let began = std::time::Instant::now();
    ask(folder.path(), &answers.concat());
    let longest = u64::try_from(began.elapsed().as_micros()).unwrap_or(40_000).max(2_000) * 3 / 2;
    let start = || {
        let mut child = asking(folder.path());
        let mut input = child.stdin.take().expect("an input");
        // It may be dead already.
        let _ = std::io::Write::write_all(&mut input, answers.concat().as_bytes());
        child
    };
    let reset = || {
        let _ = fs::remove_file(&path);
    };
    let seen = killed(250, longest, start, || fs::read(&path).ok(), &allowed, reset);
    assert!(seen > 1, "the moments missed the dialogue");
}
