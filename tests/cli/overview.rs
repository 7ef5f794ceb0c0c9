use crate::harness::{Bench, Commit, flowing, widest};
use crate::texts::{PLUMB, RACE, RETURNED, changed};

fn ledger() -> Bench {
    Bench::recorded(&[Commit {
        subject: "Measure",
        files: &[
            ("setups/alder/plumb.kdl", PLUMB),
            ("setups/rowan/race.kdl", RACE),
            ("setups/rowan/returned.kdl", RETURNED),
        ],
        tag: Some("venue-1"),
    }])
}

#[test]
fn what_differs_is_said_in_words() {
    let bench = ledger();
    bench.write("setups/alder/plumb.kdl", changed(PLUMB, &[("spacers-below 20", "spacers-below 25")]));
    let outcome = bench.run(&[]);
    assert_eq!(outcome.status, 1);
    assert!(widest(&outcome.out) <= 80);
    insta::assert_snapshot!("differs", outcome.screen());
    let json = bench.run(&["--json"]).json();
    assert_eq!(json["schema"], "clampmark.ledger/1");
    let hands = &json["setups"][0]["recorded"]["hands"];
    assert_eq!(hands["name"], "grip-stack");
    assert_eq!(hands["direction"], "up");
    // 5·sin 80° = 5·0.9848078; U from two spacer readings of ±0.5: 2·0.9848078·0.5·√(2/3) = 0.80409.
    assert!((hands["delta"].as_f64().unwrap() - 4.924_039).abs() < 1e-5);
    assert!((hands["U"].as_f64().unwrap() - 0.804_09).abs() < 1e-4);
    insta::assert_snapshot!("differs_json", bench.run(&["--json"]).screen());
}

#[test]
fn as_recorded() {
    let bench = Bench::recorded(&[Commit {
        subject: "Measure",
        files: &[("setups/alder/plumb.kdl", PLUMB)],
        tag: None,
    }]);
    let json = bench.run(&["--json"]).json();
    assert_eq!(json["setups"][0]["recorded"]["state"], "same");
    // White space and comments move nothing.
    bench.write("setups/alder/plumb.kdl", format!("// washed\n{}", PLUMB.replace("; ", ";   ")));
    assert_eq!(bench.run(&["--json"]).json()["setups"][0]["recorded"]["state"], "same");
    bench.write("setups/alder/plumb.kdl", changed(PLUMB, &[("spacers-below 20", "spacers-below 20.3")]));
    assert_eq!(bench.run(&["--json"]).json()["setups"][0]["recorded"]["state"], "within-reading");
}

/// A bolt that was tightened again was not read again.
#[test]
fn a_torque_that_was_applied_again_is_called_so() {
    let bench = ledger();
    bench.write(
        "setups/rowan/race.kdl",
        changed(RACE, &[("        slips-in-a-crash\n", "        slips-in-a-crash\n        applied 2.8\n")]),
    );
    let outcome = bench.run(&[]);
    // What wants attention is the sheet of how the bike came back, with its lever moved.
    assert_eq!(outcome.status, 1);
    let said = flowing(&outcome.out);
    assert!(said.contains("; tightened or noted again since it was recorded, nothing moved."), "{said}");
    assert_eq!(bench.run(&["--json"]).json()["setups"][1]["recorded"]["state"], "torque-noted");
}

#[test]
fn a_brake_that_moved_is_named() {
    let bench = ledger();
    bench.write("setups/rowan/race.kdl", changed(RACE, &[("front-brake right", "front-brake left")]));
    let outcome = bench.run(&[]);
    assert_eq!(outcome.status, 1);
    assert!(outcome.out.contains("steering or brakes"), "{}", outcome.screen());
}

#[test]
fn faults_and_files_never_recorded() {
    let bench = ledger();
    bench.write(
        "setups/alder/new.kdl",
        PLUMB.replace("alder/plumb", "alder/new").replace("reach 400", "reach 40"),
    );
    bench.write("setups/alder/loan.kdl", RETURNED.replace("rowan/race", "alder/sold"));
    let outcome = bench.run(&[]);
    assert_eq!(outcome.status, 1);
    insta::assert_snapshot!(outcome.screen());
}

#[test]
fn without_a_repository_it_says_so_once() {
    let bench = Bench::without_git(&[("setups/alder/plumb.kdl", PLUMB), ("setups/rowan/race.kdl", RACE)]);
    let outcome = bench.run(&[]);
    assert_eq!(outcome.out.matches("No git repository").count(), 1);
    insta::assert_snapshot!(outcome.screen());
    insta::assert_snapshot!("wide", bench.columns(120).run(&[]).screen());
}

#[test]
fn an_empty_ledger_says_how_to_begin() {
    let bench = Bench::without_git(&[("setups/.keep", "")]);
    let outcome = bench.run(&[]);
    assert_eq!(outcome.status, 0);
    insta::assert_snapshot!(outcome.screen());
}

#[test]
fn a_reading_newer_than_its_file_shows_its_day() {
    let read = changed(RACE, &[("bite 36 tol=1", "bite 36 tol=1 read=\"2031-06-05\"")]);
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", &read)]);
    let overview = bench.run(&[]);
    assert!(overview.out.contains("last read") && overview.out.contains("2031-06-05"), "{}", overview.out);
    assert_eq!(bench.run(&["--json"]).json()["setups"][0]["last-read"], "2031-06-05");
    // Where nothing was read since, there is no such column.
    let bench = Bench::without_git(&[("setups/rowan/race.kdl", RACE)]);
    assert!(!bench.run(&[]).out.contains("last read"));
}

/// A sheet that no setup stands behind tells its own danger all the same.
#[test]
fn a_sheet_compared_with_no_setup_still_tells_what_is_damaged() {
    let sheet = changed(
        RETURNED,
        &[("    right {", "    damage on=\"front-rotor\" \"bent\"\n    opened \"stem-face\"\n    right {")],
    );
    let said = "do not ride: front-rotor: bent; opened: bar in stem; compared with no setup";
    // Its setup is not here; then it is here under a name that its first line does not bear.
    let stray = Bench::without_git(&[("setups/rowan/returned.kdl", &sheet)]);
    let other = changed(&sheet, &[("found \"rowan/race\"", "found \"rowan/enduro\"")]);
    let renamed =
        Bench::without_git(&[("setups/rowan/enduro.kdl", RACE), ("setups/rowan/returned.kdl", &other)]);
    for bench in [stray, renamed] {
        let overview = bench.run(&[]);
        assert_eq!(overview.status, 1, "{}", overview.screen());
        assert!(flowing(&overview.out).contains(said), "{}", overview.screen());
    }
}

/// A setup keeps its figures on its own line, under their heading, however long its sheet or its own name is.
#[test]
fn a_long_name_folds_no_row() {
    let read = changed(RACE, &[("bite 36 tol=1", "bite 36 tol=1 read=\"2031-06-05\"")]);
    let long = "rowan/three-days-of-rain-in-the-high-forest";
    let renamed = changed(&read, &[("setup \"rowan/race\"", &format!("setup \"{long}\""))]);
    let sheet = "found \"rowan/race\" format=1 { measured \"2026-11-29\" }";
    let with_sheet = [
        ("setups/rowan/race.kdl", &*read),
        ("setups/rowan/race-found-2026-11-29.kdl", sheet),
        (&format!("setups/{long}.kdl"), &*renamed),
    ];
    for files in [&with_sheet[..2], &with_sheet[..]] {
        let page = Bench::without_git(files).run(&[]).out;
        assert!(widest(&page) <= 80, "{page}");
        let heading = page.lines().next().expect("a line");
        let ends = |line: &str, words: &str| line.find(words).map(|at| at + words.len());
        assert!(heading.contains("last read") && heading.ends_with("grip stack"), "{page}");
        let rows: Vec<&str> = page.lines().filter(|line| line.matches(" mm").count() == 2).collect();
        assert_eq!(rows.len(), files.len() - 1, "{page}");
        for row in rows {
            let place = |line: &str| line.chars().count();
            assert_eq!(place(row), place(heading), "{page}");
            assert_eq!(
                ends(row, "2031-06-05").map(|end| end - 10),
                ends(heading, "last read").map(|end| end - 9)
            );
        }
        assert!(page.contains("  rowan/race-found-2026-11-29  2026-11-29"), "{page}");
    }
}
