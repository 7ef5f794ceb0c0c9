//! `history` where lines were merged: what a merge decided, and what lies behind a revision on another line.

use crate::bench::{Bench, RACE, flowing};

const ANGLE: &str = "left.brake-lever.angle";
const LEFT: &str = "from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper; bite 34";

fn angle(degrees: u32) -> String {
    LEFT.replace("angle 32", &format!("angle {degrees}"))
}

/// The lever at 32°; on `ann` 28° from the 3rd, on `main` 30° from the 2nd; merged on the 5th as `how` has it.
fn two_angles(how: &[&str]) -> Bench {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "ann"]);
    bench.change_on(3, LEFT, &angle(28));
    bench.git(&["checkout", "-q", "main"]);
    bench.change_on(2, LEFT, &angle(30));
    bench.git_on(5, &[&["merge", "-q", "-m", "Decide"], how, &["ann"]].concat());
    bench
}

fn series(bench: &Bench) -> serde_json::Value {
    let text = bench.said(&["history", "rowan/race", "--all", ANGLE, "--json"]);
    serde_json::from_str::<serde_json::Value>(&text).unwrap()["series"][0].clone()
}

#[test]
#[ignore = "needs the git program"]
fn the_newest_row_of_a_value_is_what_the_merge_decided() {
    for (how, kept, passed, from, not) in [
        (&["-s", "ours"][..], 30.0, "28", "HEAD^1", "HEAD^2"),
        (&["-X", "theirs"], 28.0, "30", "HEAD^2", "HEAD^1"),
    ] {
        let bench = two_angles(how);
        let (from, not) = (bench.short(from), bench.short(not));
        let page = bench.said(&["history", "rowan/race", "--all", ANGLE]);
        let rows: Vec<&str> = page.lines().filter(|line| line.contains("2031-05-")).collect();
        assert_eq!(rows.len(), 4, "{page}");
        let said = format!("kept from {from}, not {passed}° of {not}");
        assert!(rows[0].contains(&format!("{kept:.2}")) && flowing(&page).contains(&said), "{said}: {page}");
        let table = bench.said(&["history", "rowan/race", "--all", ANGLE, "--csv"]);
        let newest = table.lines().nth(1).unwrap();
        assert!(newest.ends_with(&format!(",{kept}°,kept")), "{table}");
        let point = &series(&bench)["points"][0];
        assert_eq!((&point["value"], &point["kept"]["from"]), (&kept.into(), &from.as_str().into()));
        assert_eq!(point["kept"]["not"][0]["short"], not.as_str());
        // The page of all measures tells it as well.
        let page = flowing(&bench.said(&["history", "rowan/race", "--all"]));
        let said = format!(
            "Decide (Demo Rider, {}) Merged: nothing in it that none of the merged versions had. Not taken of what \
             {not} had changed: left brake lever angle {passed}° kept {kept}°",
            bench.short("HEAD")
        );
        assert!(page.starts_with(&format!("2031-05-05 {said}")), "{said}: {page}");
        let table = bench.said(&["history", "rowan/race", "--all", "--csv"]);
        assert!(table.lines().nth(1).unwrap().ends_with(",not taken"), "{table}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn the_newest_row_is_that_of_head_where_one_line_went_there_and_back() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "ann"]);
    bench.change_on(2, LEFT, &angle(28));
    bench.git(&["checkout", "-q", "main"]);
    bench.change_on(3, LEFT, &angle(34));
    bench.change_on(4, &angle(34), LEFT);
    bench.git_on(5, &["merge", "-q", "-m", "Merge", "ann"]);
    let points = series(&bench)["points"].clone();
    let values: Vec<f64> =
        points.as_array().unwrap().iter().map(|one| one["value"].as_f64().unwrap()).collect();
    assert_eq!(values, [28.0, 32.0, 34.0, 28.0, 32.0]);
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_that_decided_nothing_has_no_row() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "ann"]);
    bench.change_on(2, LEFT, &angle(28));
    bench.git(&["checkout", "-q", "main"]);
    bench.write("notes.txt", "n");
    bench.git(&["add", "notes.txt"]);
    bench.git_on(3, &["commit", "-q", "-m", "Elsewhere"]);
    bench.git_on(5, &["merge", "-q", "-m", "Merge", "ann"]);
    assert_eq!(series(&bench)["points"].as_array().unwrap().len(), 2);
    for more in [&[][..], &[ANGLE]] {
        let page = bench.said(&[&["history", "rowan/race", "--all"], more].concat());
        assert!(!page.contains("Merge") && !page.contains("kept"), "{page}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_tells_the_note_against_riding_that_it_did_not_take() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "ann"]);
    bench.change_on(2, "    guard \"head", "    note \"Do not ride: bar cracked.\"\n    guard \"head");
    bench.git(&["checkout", "-q", "main"]);
    bench.change_on(3, "width 780", "width 760");
    bench.git_on(5, &["merge", "-q", "-m", "Mine", "-s", "ours", "ann"]);
    let page = flowing(&bench.said(&["history", "rowan/race", "--all"]));
    let said = format!("Not taken of what {} had changed: its note not to be ridden", bench.short("ann"));
    assert!(page.contains(&said) && page.contains("“Do not ride: bar cracked.”"), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn what_a_revision_has_behind_it_on_any_line_is_not_after_it() {
    let bench = Bench::new("");
    bench.git(&["branch", "rel"]);
    bench.change_on(2, LEFT, &angle(28));
    bench.change_on(3, "length 50;", "length 40;");
    bench.git(&["checkout", "-q", "rel"]);
    bench.git_on(4, &["merge", "-q", "--no-ff", "-m", "For the race", "main"]);
    bench.git(&["tag", "v1"]);
    bench.git(&["checkout", "-q", "main"]);
    assert_eq!(bench.git(&["log", "--oneline", "v1..main"]), "");
    let page = bench.said(&["history", "rowan/race", "--since", "v1"]);
    assert_eq!(page.trim(), "rowan/race: no revision in that time.");
    // What stands is told from the line that is asked about.
    let page = bench.said(&["history", "rowan/race", ANGLE, "--since", "v1"]);
    assert!(page.contains("28.00") && page.contains("older"), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_that_brings_what_the_revision_had_says_that_it_may_be_older() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change_on(2, "length 50;", "length 40;");
    bench.git(&["tag", "venue"]);
    bench.git(&["checkout", "-q", "main"]);
    bench.change_on(3, LEFT, &angle(28));
    bench.git_on(4, &["merge", "-q", "-m", "Merge", "wet"]);
    bench.change_on(5, "width 780", "width 760");
    let older = "some of this may be older than that";
    let page = flowing(&bench.said(&["history", "rowan/race", "--since", "venue"]));
    assert_eq!(page.matches(older).count(), 1, "{page}");
    assert!(page.contains(&format!("Merged what the revision asked from had already: {older}. stem length")));
    let page = flowing(&bench.said(&["history", "rowan/race", "stem.length", "--since", "venue"]));
    assert!(page.contains("10.0 mm shorter, in part perhaps older"), "{page}");
    // With all lines the change is told where it was made, and that is not asked for.
    let page = flowing(&bench.said(&["history", "rowan/race", "--all", "--since", "venue"]));
    assert!(!page.contains("stem length") && !page.contains(older), "{page}");
    // Nor is anything older of a revision that lies behind both sides.
    let page = flowing(&bench.said(&["history", "rowan/race", "--since", "venue~1"]));
    assert!(page.contains("stem length 10.0 mm shorter") && !page.contains(older), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn the_story_of_the_marks_is_told_along_one_line_only() {
    let bench = two_angles(&["-s", "ours"]);
    let output = bench.clampmark(&["history", "rowan/race", "--marks", "--all"]);
    assert_eq!(output.status.code(), Some(2));
    let said = flowing(&String::from_utf8(output.stderr).unwrap());
    assert!(said.contains("`--marks` and `--all` do not go together"), "{said}");
}

/// Both lines measured the bike for the first time, each by itself: nothing of it is known from before they parted.
#[test]
#[ignore = "needs the git program"]
fn a_merge_of_two_first_recordings_tells_what_it_did_not_take() {
    let bench = Bench::new("");
    let wet = RACE.replacen("rowan/race", "rowan/wet", 1);
    let noted = wet.replacen(
        "    guard \"head",
        "    note \"Do not ride: crack at the clamp.\"\n    guard \"head",
        1,
    );
    assert_ne!(noted, wet);
    let added = |day: u32, text: &str| {
        bench.write("setups/rowan/wet.kdl", text);
        bench.git(&["add", "-A"]);
        bench.git_on(day, &["commit", "-q", "-m", "Measure for the wet"]);
    };
    bench.git(&["checkout", "-q", "-b", "ann"]);
    added(2, &noted.replacen("length 50;", "length 40;", 1));
    bench.git(&["checkout", "-q", "main"]);
    added(3, &wet);
    bench.git_on(5, &["merge", "-q", "-m", "Mine", "-s", "ours", "ann"]);
    let page = flowing(&bench.said(&["history", "rowan/wet", "--all"]));
    let said = format!("Not taken of what {} had changed: its note not to be ridden", bench.short("ann"));
    assert!(page.contains(&said) && page.contains("“Do not ride: crack at the clamp.”"), "{page}");
    assert!(page.contains("stem length 40 mm kept 50 mm"), "{page}");
    // The merge's own row tells it of one value, too.
    let page = flowing(&bench.said(&["history", "rowan/wet", "--all", "stem.length"]));
    let said = format!("kept from {}, not 40 mm of {}", bench.short("HEAD^1"), bench.short("ann"));
    assert!(page.contains(&said), "{said}: {page}");
}

/// Ours had read the floor as level, theirs as 3°; the merge leaves it out, and every angle reads as it did in both.
#[test]
#[ignore = "needs the git program"]
fn what_is_in_doubt_against_one_version_is_in_doubt_after_the_merge() {
    const FLOOR: &str =
        "    floor 0.0 with=angle-gauge      // slope of the ground, + = front wheel higher\n";
    let steep = FLOOR.replace("0.0", "3.0");
    for (ours, theirs) in [(FLOOR, &*steep), (&steep, FLOOR)] {
        let bench = Bench::new("");
        bench.change_on(1, FLOOR, &FLOOR.replace("0.0", "1.0"));
        let from = FLOOR.replace("0.0", "1.0");
        bench.git(&["checkout", "-q", "-b", "ann"]);
        bench.change_on(2, &from, theirs);
        bench.git(&["checkout", "-q", "main"]);
        bench.change_on(3, &from, ours);
        bench.git(&["merge", "-q", "-s", "ours", "--no-commit", "ann"]);
        bench.change(ours, "");
        bench.git_on(5, &["commit", "-q", "-a", "-m", "Left out"]);
        let page = flowing(&bench.said(&["history", "rowan/race", "--all"]));
        let merged = page.split("2031-05-03").next().unwrap();
        assert!(
            merged.contains("slope of the ground not read, not known whether moved: saddle tilt"),
            "{merged}"
        );
        assert!(!merged.contains("taken for level"), "{merged}");
    }
}

/// What stands is named as kept, not as what came after; and what else was not taken by its name.
#[test]
#[ignore = "needs the git program"]
fn a_merge_names_what_it_kept_of_a_torque_and_what_else_it_did_not_take() {
    const APPLIED: &str = "applied 2.8 read=\"2026-05-02\"";
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "ann"]);
    for (from, to) in [
        (APPLIED, "applied 3.3 read=\"2026-05-04\""),
        ("\"left.brake-lever\" 2.5 4 tool=\"T25\"", "\"left.brake-lever\" 2.5 4 tool=\"T27\""),
        ("\"stem-face\" 4 5", "\"stem-face\" 4 4.5"),
        ("drawn from-tip=168 angle=32", "drawn from-tip=166 angle=32"),
        (
            "    mark \"S1\" on=\"stem-steerer\" colour=silver { drawn twist=0; reads \"Stem line meets the line on the top cap\" }\n",
            "",
        ),
        ("caliper tol=0.1", "caliper tol=0.2"),
        ("height 742 tol=1", "height 742 tol=2"),
        ("head tube, left", "head tube, low"),
    ] {
        bench.change(from, to);
    }
    bench.git_on(2, &["commit", "-q", "-a", "-m", "Theirs"]);
    bench.git(&["checkout", "-q", "main"]);
    bench.change_on(3, APPLIED, "applied 3 read=\"2026-05-03\"");
    bench.git_on(5, &["merge", "-q", "-m", "Mine", "-s", "ours", "ann"]);
    let page = flowing(&bench.said(&["history", "rowan/race", "--all"]));
    // The guard's note went with it and came with it.
    for said in [
        "torque, bar in stem: 4 to 4.5 N·m, kept 4 to 5 N·m.",
        "torque, left brake lever: tool T27, kept T25; last applied 3.3 N·m on 2026-05-04, kept 3 N·m on 2026-05-03.",
        "Also: mark L1 drawn anew; mark S1 no longer recorded; guard.head tube, left gone; guard.head tube, low added; \
         instrument caliper, ±0.2, kept ±0.1; saddle height read ±2 mm, kept ±1 mm; 2 notes.",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let json = bench.said(&["history", "rowan/race", "--all", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let not_taken = &json["entries"][0]["not-taken"][0];
    assert_eq!(not_taken["others"], 6, "{not_taken:#}");
    assert_eq!(not_taken["others-named"][1], "mark S1 no longer recorded", "{not_taken:#}");
}
