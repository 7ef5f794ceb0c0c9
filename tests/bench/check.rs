//! How long checking takes beside the bare event reader over the same bytes, on one core and on two, and how it grows.
//!
//! `cargo bench --bench check`; prints ratios.

use std::time::{Duration, Instant};

use clampmark::catalogue::Catalogue;
use clampmark::check::check;
use clampmark::setup::read::read;
use just_kdl::reader::Reader;
use rayon::prelude::*;

const RACE: &str = include_str!("../git/race.kdl");
const MANY: usize = 10_000;
/// Cut down so that the whole rules, which turn the bars, end in a reasonable time; the ratio does not depend on it.
const FEW: usize = 200;

fn main() {
    let texts: Vec<String> = (0..MANY).map(text).collect();
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    let two = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("a pool");
    let bare = timed(|| texts.iter().map(|text| events(text)).sum::<usize>());
    let reading = timed(|| one.install(|| texts.par_iter().map(|text| faults(text, false)).sum::<usize>()));
    println!("reading {MANY} setups, against the bare event reader: {:.2}", ratio(reading, bare));
    let on_two = timed(|| two.install(|| texts.par_iter().map(|text| faults(text, false)).sum::<usize>()));
    println!("reading on two cores: {:.2} times as fast (target at least 1.8)", ratio(reading, on_two));
    let bare_few = timed(|| texts[..FEW].iter().map(|text| events(text)).sum::<usize>());
    let rules =
        timed(|| one.install(|| texts[..FEW].par_iter().map(|text| faults(text, true)).sum::<usize>()));
    println!(
        "check of {FEW} setups with every rule, against the bare event reader: {:.2} (target at most 1.5)",
        ratio(rules, bare_few)
    );
    let rules_two =
        timed(|| two.install(|| texts[..FEW].par_iter().map(|text| faults(text, true)).sum::<usize>()));
    println!("check on two cores: {:.2} times as fast (target at least 1.8)", ratio(rules, rules_two));
    let more = timed(|| {
        one.install(|| (0..10 * MANY).into_par_iter().map(|n| faults(&text(n), false)).sum::<usize>())
    });
    let fewer =
        timed(|| one.install(|| (0..MANY).into_par_iter().map(|n| faults(&text(n), false)).sum::<usize>()));
    println!("ten times as many: {:.2} times as long (target at most 10.5)", ratio(more, fewer));
}

/// A setup like no other.
fn text(number: usize) -> String {
    RACE.replace("rowan/race", &format!("rowan/race-{number}"))
        .replace("length 50;", &format!("length {}.{};", 35 + number % 31, number % 10))
}

fn events(text: &str) -> usize {
    Reader::new(text.as_bytes()).map_while(Result::ok).count()
}

fn faults(text: &str, rules: bool) -> usize {
    let catalogue = Catalogue::standard();
    let read = read(catalogue, text.as_bytes(), None);
    if rules { check(catalogue, &read, None).len() } else { read.findings.len() }
}

fn timed(work: impl Fn() -> usize) -> Duration {
    let run = || {
        let start = Instant::now();
        std::hint::black_box(work());
        start.elapsed()
    };
    (0..3).map(|_| run()).min().unwrap_or_default()
}

fn ratio(one: Duration, other: Duration) -> f64 {
    one.as_secs_f64() / other.as_secs_f64()
}
