//! How long checking takes beside the bare event reader over the same bytes, on one core and on two; how the program
//! itself grows from 10,000 setups to 100,000, and how much memory it takes.
//!
//! A setup in a ledger is mostly a variant of its neighbour, and is read by what differs from it, as the program does it
//! in a row of files; for comparison the same is done with setups whose neighbours are of other bikes.
//!
//! `cargo bench --bench check`; prints ratios. The memory is what Linux says of the process (`VmHWM` in proc(5)).

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use clampmark::catalogue::Catalogue;
use clampmark::check::check;
use clampmark::setup::read::Successive;
use just_kdl::reader::Reader;
use rayon::prelude::*;

const RACE: &str = include_str!("../git/race.kdl");
/// Of other bikes, or of the same bike written otherwise.
const OTHERS: [&str; 3] = [
    include_str!("../../setups/rowan/race.kdl"),
    include_str!("../../setups/alder/trail.kdl"),
    include_str!("../../setups/rowan/home.kdl"),
];
/// How many the program reads in a row.
const RUN: usize = 32;
const MANY: usize = 10_000;
/// How often the ledgers are checked in turn.
const TURNS: u32 = 2;

fn main() {
    let texts: Vec<String> = (0..MANY).map(text).collect();
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    let two = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("a pool");
    let bare = timed(|| bare_of(&texts));
    let reading = timed(|| one.install(|| all(&texts, false)));
    let rules = timed(|| one.install(|| all(&texts, true)));
    let on_two = timed(|| two.install(|| all(&texts, true)));
    let bare_on_two = timed(|| two.install(|| texts.par_chunks(RUN).map(bare_of).sum::<usize>()));
    println!("{MANY} setups of {} bytes, one core", texts[0].len());
    println!("bare event reader      {bare:>8.1?}");
    println!("reading                {reading:>8.1?}  {:.2} times the bare reader", ratio(reading, bare));
    println!(
        "check, every rule      {rules:>8.1?}  {:.2} times the bare reader (target at most 1.5)",
        ratio(rules, bare)
    );
    println!(
        "check on two cores     {on_two:>8.1?}  {:.2} times as fast (target at least 1.8)",
        ratio(rules, on_two)
    );
    println!(
        "bare reader on two     {bare_on_two:>8.1?}  {:.2} times as fast: what the machine gives",
        ratio(bare, bare_on_two)
    );
    drop(texts);
    let unlike: Vec<String> = (0..MANY).map(unlike).collect();
    let bare = timed(|| bare_of(&unlike));
    let rules = timed(|| one.install(|| all(&unlike, true)));
    println!("neighbours of other bikes, one core: {:.2} times the bare reader", ratio(rules, bare));
    drop(unlike);
    program();
}

/// A setup like no other.
fn text(number: usize) -> String {
    RACE.replace("rowan/race", &format!("rowan/race-{number}"))
        .replace("length 50;", &format!("length {}.{};", 35 + number % 31, number % 10))
}

/// A setup that has as good as nothing in common with the one before it.
fn unlike(number: usize) -> String {
    OTHERS[number % OTHERS.len()].replace("rider {", &format!("rider {{ note \"number {number}\";"))
}

fn events(text: &str) -> usize {
    Reader::new(text.as_bytes()).map_while(Result::ok).count()
}

fn bare_of(run: &[String]) -> usize {
    run.iter().map(|text| events(text)).sum()
}

fn all(texts: &[String], rules: bool) -> usize {
    texts.par_chunks(RUN).map(|run| found(run, rules)).sum()
}

fn found(run: &[String], rules: bool) -> usize {
    let catalogue = Catalogue::standard();
    let mut texts = Successive::new(catalogue);
    let one = |text: &String| {
        let read = texts.read(text.as_bytes());
        if rules { check(catalogue, &read, None).len() } else { read.findings.len() }
    };
    run.iter().map(one).sum()
}

/// How the program itself grows from 10,000 setups to 100,000. Each turn checks the small ledger ten times and the large
/// one once, so that both are timed over an equal stretch: the best of a few short runs would be held against a long
/// one that has its share of whatever else the machine does.
fn program() {
    let ledgers = [MANY, 10 * MANY].map(|count| (tempfile::tempdir().expect("a temporary folder"), count));
    for (folder, count) in &ledgers {
        fill(folder.path(), *count);
    }
    // Else the machine would still be writing the files to its disk while they are read. Where there is no such program
    // nothing is lost but quiet.
    let _ = Command::new("sync").status();
    let [(few, _), (more, _)] = &ledgers;
    let (mut on_few, mut on_more) = (Duration::ZERO, Duration::ZERO);
    let mut memory = [None; 2];
    for _ in 0..TURNS {
        for _ in 0..10 {
            on_few += checked(few.path(), &mut memory[0]);
        }
        on_more += checked(more.path(), &mut memory[1]);
    }
    let said = |memory: Option<u64>| {
        memory.map_or("memory unknown".to_owned(), |peak| format!("{:.1} MB at most", in_megabytes(peak)))
    };
    println!("the program, {MANY:>6} setups {:>8.1?}, {}", on_few / (10 * TURNS), said(memory[0]));
    println!(
        "the program, {:>6} setups {:>8.1?}, {} (target 64 MB)",
        10 * MANY,
        on_more / TURNS,
        said(memory[1])
    );
    println!(
        "ten times as many setups: {:.2} times as long (target at most 10.5)",
        10.0 * ratio(on_more, on_few)
    );
}

/// How long `clampmark check` takes over the ledger in that folder; `peak` rises to the most memory it took.
fn checked(folder: &Path, peak: &mut Option<u64>) -> Duration {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_clampmark"))
        .arg("check")
        .current_dir(folder)
        .stdout(Stdio::null())
        .spawn()
        .expect("the program runs");
    while child.try_wait().expect("its status").is_none() {
        *peak = (*peak).max(most_memory(&child));
        std::thread::sleep(Duration::from_millis(5));
    }
    start.elapsed()
}

fn fill(folder: &Path, count: usize) {
    for number in 0..count {
        let bike = folder.join(format!("setups/rowan-{}", number / 1000));
        if number % 1000 == 0 {
            fs::create_dir_all(&bike).expect("a folder");
        }
        let name = format!("rowan-{}/race-{number}", number / 1000);
        let text = text(number).replace(&format!("rowan/race-{number}"), &name);
        fs::write(bike.join(format!("race-{number}.kdl")), text).expect("a file");
    }
}

/// The most memory the process has had so far, in kibibytes; none where the system does not say.
fn most_memory(child: &Child) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn in_megabytes(kibibytes: u64) -> f64 {
    kibibytes as f64 * 1024.0 / 1e6
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
