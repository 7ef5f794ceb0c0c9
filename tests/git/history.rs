//! `history` on what git made.

use std::time::{Duration, Instant};

use crate::bench::{Bench, RACE, flowing};

#[test]
#[ignore = "needs the git program"]
fn renames_are_followed_and_unreadable_revisions_stepped_over() {
    let bench = Bench::new("");
    bench.change("width 780", "widht 780");
    bench.commit("A slip");
    bench.change("widht 780", "width 760");
    bench.commit("Cut");
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    bench.commit("Call it wet");
    let text = bench.said(&["history", "rowan/wet"]);
    for said in ["Renamed from setups/rowan/race.kdl.", "20.0 mm narrower", "stepped over", "First recorded"]
    {
        assert!(text.contains(said), "{said}: {text}");
    }
    // The slip itself is not asked for, and still what came after is compared across it.
    let text = bench.said(&["history", "rowan/wet", "--since", "HEAD~2", "bar.width", "--csv"]);
    let cut = text.lines().last().unwrap();
    assert!(cut.ends_with("760 mm,moved"), "{text}");
    let text = bench.said(&["history", "rowan/wet", "--since", "HEAD~2^"]);
    assert!(text.contains("20.0 mm narrower"), "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn json_holds_the_series() {
    let bench = Bench::new("");
    bench.change("width 780", "width 760");
    bench.commit("Cut");
    let text = bench.said(&["history", "rowan/race", "bar.width", "grip-stack", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["schema"], "clampmark.history/1");
    assert_eq!(json["entries"][0]["changes"][0]["measure"], "bar.width");
    assert_eq!(json["series"][0]["points"][0]["value"], 760.0);
    // The file gives no tolerance: the table's 1 mm, so U = 2·1/√3 = 1.154701 (GUM 4.3.7).
    let expanded = json["series"][0]["points"][0]["U"].as_f64().unwrap();
    assert!((expanded - 1.154_701).abs() < 1e-6);
}

/// How long `history` takes over so many revisions that cannot be read, each with another content.
fn over_unreadable(revisions: usize) -> (Duration, String) {
    let bench = Bench::new("");
    let slip = |place| RACE.replace("width 780", &format!("widht {place}"));
    let mended = RACE.replace("width 780", "width 760");
    bench.record_many((0..revisions).map(slip).chain([mended]));
    let start = Instant::now();
    let text = bench.said(&["history", "rowan/race"]);
    (start.elapsed(), text)
}

#[test]
#[ignore = "needs the git program"]
fn unreadable_revisions_cost_as_much_each_however_many_there_are() {
    // Four times as many take four times as long; every one read anew for each other would take sixteen times, whatever else
    // the machine has to do meanwhile.
    let is_in_proportion = || {
        let (few, _) = over_unreadable(600);
        let (many, text) = over_unreadable(2400);
        assert!(text.contains("20.0 mm narrower"), "{text}");
        assert!(text.contains("Compared across 2400 unreadable revisions before it."), "{}", &text[..2000]);
        many < few * 9
    };
    assert!((0..3).any(|_| is_in_proportion()));
}

#[test]
#[ignore = "needs the git program"]
fn each_readable_revision_is_compared_with_the_readable_one_before_it() {
    let bench = Bench::new("");
    let width = |width: u32| RACE.replace("width 780", &format!("width {width}"));
    let slip = |place: u32| RACE.replace("width 780", &format!("widht {place}"));
    // Twice the same slip: what it stands for depends on where it stands.
    bench.record_many([slip(1), width(760), slip(1), slip(2), width(750), width(720)].into_iter());
    let text = bench.said(&["history", "rowan/race", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let told = json["entries"].as_array().unwrap().iter().map(|entry| {
        let moved = entry["changes"][0]["delta"].as_f64();
        (entry["event"].as_str().unwrap(), entry["stepped-over"].as_u64().unwrap(), moved)
    });
    let expected = [
        ("changed", 0, Some(-30.0)),
        ("changed", 2, Some(-10.0)),
        ("unreadable", 1, None),
        ("unreadable", 0, None),
        ("changed", 1, Some(-20.0)),
        ("unreadable", 0, None),
        ("recorded", 0, None),
    ];
    assert_eq!(told.collect::<Vec<_>>(), expected);
}

#[test]
#[ignore = "needs the git program"]
fn the_story_of_the_marks_tells_of_a_mark_and_of_a_file_that_were_taken_away() {
    let bench = Bench::new("");
    let without = {
        let start = RACE.find("    mark \"S1\"").unwrap();
        let end = start + RACE[start..].find('\n').unwrap() + 1;
        RACE.replacen(&RACE[start..end], "", 1)
    };
    bench.write("setups/rowan/race.kdl", &without);
    bench.commit("No line");
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    bench.write("setups/rowan/race.kdl", &without);
    bench.commit("Bought back");
    let text = bench.said(&["history", "rowan/race", "--marks", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let story = |mark: &str| {
        let marks = json["marks"].as_array().unwrap();
        let story = marks.iter().find(|story| story["mark"] == mark).unwrap();
        let events = story["events"].as_array().unwrap().iter();
        (
            story["gone"].as_bool().unwrap(),
            events.map(|event| event["what"].as_str().unwrap()).collect::<Vec<_>>(),
        )
    };
    assert_eq!(story("S1"), (true, vec!["gone", "drawn"]));
    assert_eq!(story("L1"), (false, vec!["back", "gone", "drawn"]));
    let page = bench.said(&["history", "rowan/race", "--marks"]);
    assert!(page.contains("back, as drawn on 2026-05-02") && !page.contains("anew"), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn the_story_of_the_marks_names_the_revisions_that_cannot_be_read() {
    let bench = Bench::new("");
    bench.change("width 780", "widht 780");
    bench.commit("A slip");
    bench.change("widht 780", "width 780");
    bench.commit("Mended");
    let page = bench.said(&["history", "rowan/race", "--marks"]);
    assert!(page.contains("A slip") && page.contains("Cannot be read whole, stepped over"), "{page}");
    let page = bench.said(&["history", "rowan/race", "--marks", "--since", "HEAD~1"]);
    assert!(!page.contains("A slip"), "{page}");
}

/// What each revision changed, by its subject: measures, torques and notes.
fn told(bench: &Bench, more: &[&str]) -> Vec<(String, Vec<String>)> {
    let asked = [&["history", "rowan/race", "--json"], more].concat();
    let json: serde_json::Value = serde_json::from_str(&bench.said(&asked)).unwrap();
    let names = |entry: &serde_json::Value, list: &str, key: &str| -> Vec<String> {
        let list = entry[list].as_array().unwrap().iter();
        list.map(|change| change[key].as_str().unwrap().to_owned()).collect()
    };
    let entries = json["entries"].as_array().unwrap().iter();
    let entries = entries.map(|entry| {
        let all = [
            names(entry, "changes", "measure"),
            names(entry, "torque", "joint"),
            names(entry, "notes", "now"),
        ];
        (entry["subject"].as_str().unwrap().to_owned(), all.concat())
    });
    entries.collect()
}

#[test]
#[ignore = "needs the git program"]
fn with_all_branches_a_change_is_told_where_it_was_made_and_not_again_at_the_merge() {
    let bench = Bench::adopted();
    bench.fork(
        &[("width 780", "width 760")],
        &[("length 50;", "length 40;"), ("tool=\"4 mm hex\"", "tool=\"T25\"")],
    );
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    let owned = |subject: &str, told: &[&str]| {
        (subject.to_owned(), told.iter().map(|&name| name.to_owned()).collect::<Vec<_>>())
    };
    let wet = owned("Wet", &["stem.length", "stem-steerer"]);
    let (dry, first) = (owned("Dry", &["bar.width"]), owned("Measure", &[]));
    let mut expected = [owned("Merge branch 'wet'", &[]), dry.clone(), wet.clone(), first.clone()];
    let mut all = told(&bench, &["--all"]);
    // The two sides have one date: in which order they come does not matter.
    all.sort();
    expected.sort();
    assert_eq!(all, expected);
    let page = bench.said(&["history", "rowan/race", "--all"]);
    assert!(page.contains("Merged: nothing in it that none of the merged versions had."), "{page}");
    // Along the first parents the merge brings what the side made.
    let brought = owned("Merge branch 'wet'", &["stem.length", "stem-steerer"]);
    assert_eq!(told(&bench, &[]), [brought, dry, first]);
}

#[test]
#[ignore = "needs the git program"]
fn what_a_merge_itself_changes_is_told_with_all_branches_too() {
    let bench = Bench::adopted();
    bench.fork(&[("width 780", "width 760")], &[("length 50;", "length 40;")]);
    bench.git(&["merge", "-q", "--no-commit", "wet"]);
    // A measure that neither side had, in the merge's own commit.
    bench.change("height 742", "height 736");
    bench.commit("Merge and lower");
    let all = told(&bench, &["--all"]);
    assert_eq!(all[0], ("Merge and lower".to_owned(), vec!["saddle.height".to_owned()]));
    let text = bench.said(&["history", "rowan/race", "--all", "stem.length", "saddle.height", "--csv"]);
    let at_merge: Vec<&str> =
        text.lines().filter(|line| line.contains(",40,") || line.contains(",736,")).collect();
    let verdicts: Vec<&str> = at_merge.iter().map(|line| line.rsplit(',').next().unwrap()).collect();
    // The stem at the merge and at the side commit; the saddle at the merge.
    assert_eq!(verdicts, ["same", "moved", "moved"], "{text}");
}

#[test]
#[ignore = "needs the git program"]
fn a_merge_is_not_said_to_rename_what_another_branch_called_otherwise() {
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50;", "length 40;");
    bench.commit("Wet");
    bench.git(&["checkout", "-q", "main"]);
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/dry.kdl"]);
    bench.commit("Call it dry");
    bench.git(&["merge", "-q", "--no-edit", "wet"]);
    let text = bench.said(&["history", "rowan/dry", "--all", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    let renamed: Vec<&str> = json["entries"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|entry| !entry["renamed-from"].is_null())
        .map(|entry| entry["subject"].as_str().unwrap())
        .collect();
    assert_eq!(renamed, ["Call it dry"]);
}

/// Deleted, and put back with another stem, one that cannot be read between if asked for.
fn put_back(through_a_slip: bool) -> Bench {
    let bench = Bench::new("");
    bench.change("width 780", "width 760");
    bench.commit("Cut");
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    let cut = RACE.replace("width 780", "width 760");
    if through_a_slip {
        bench.write("setups/rowan/race.kdl", &cut.replace("width 760", "widht 760"));
        bench.commit("A slip");
    }
    bench.write("setups/rowan/race.kdl", &cut.replace("length 50;", "length 40;"));
    bench.commit("Bought back");
    bench
}

fn entries(bench: &Bench, more: &[&str]) -> Vec<serde_json::Value> {
    let asked = [&["history", "rowan/race", "--json"], more].concat();
    let json: serde_json::Value = serde_json::from_str(&bench.said(&asked)).unwrap();
    json["entries"].as_array().unwrap().clone()
}

#[test]
#[ignore = "needs the git program"]
fn a_setup_put_back_after_its_deletion_tells_what_moved_in_between() {
    for through_a_slip in [false, true] {
        let bench = put_back(through_a_slip);
        for more in [&[][..], &["--all"], &["--since", "HEAD~1"]] {
            let newest = &entries(&bench, more)[0];
            // 50 then 40: 10 mm shorter; the bar was cut before it was sold.
            assert_eq!(newest["event"], "back", "{newest:#}");
            let changes = newest["changes"].as_array().unwrap();
            assert_eq!(changes.len(), 1, "{newest:#}");
            assert_eq!(
                (&changes[0]["measure"], &changes[0]["delta"]),
                (&"stem.length".into(), &(-10.0).into())
            );
            assert_eq!(newest["stepped-over"], u64::from(through_a_slip), "{newest:#}");
        }
        let page = bench.said(&["history", "rowan/race"]);
        let page = flowing(&page);
        assert!(page.contains("Back after its deletion, with") && page.contains("10.0 mm shorter"), "{page}");
        assert_eq!(page.matches("First recorded").count(), 1, "{page}");
        // One value: what it was before it was sold is what it is compared with.
        let table = bench.said(&["history", "rowan/race", "stem.length", "bar.width", "--csv"]);
        let newest = |name: &str| table.lines().find(|line| line.starts_with(name)).unwrap().to_owned();
        assert!(newest("stem.length").ends_with("40 mm,moved"), "{table}");
        assert!(newest("bar.width").ends_with("760 mm,same"), "{table}");
        let page = bench.said(&["history", "rowan/race", "bar.width"]);
        assert!(page.contains("back: same"), "{page}");
    }
}

#[test]
#[ignore = "needs the git program"]
fn a_setup_put_back_as_it_was_says_that_nothing_moved() {
    let bench = Bench::new("");
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    bench.write("setups/rowan/race.kdl", RACE);
    bench.commit("Bought back");
    let page = bench.said(&["history", "rowan/race"]);
    assert!(page.contains("Nothing moved since the last readable revision before it."), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn a_name_given_to_another_setup_is_not_the_old_one_back() {
    let bench = Bench::new("");
    bench.git(&["mv", "setups/rowan/race.kdl", "setups/rowan/wet.kdl"]);
    bench.commit("Call it wet");
    bench.write("setups/rowan/race.kdl", "setup \"rowan/race\" format=1 { stem { length 35; angle 6 } }\n");
    bench.commit("Another one");
    assert_eq!(entries(&bench, &[])[0]["event"], "recorded");
    // Nor is what came from a branch that knew nothing of the deletion, when all branches are followed.
    let bench = Bench::new("");
    bench.git(&["checkout", "-q", "-b", "wet"]);
    bench.change("length 50;", "length 40;");
    bench.commit("Wet");
    bench.git(&["checkout", "-q", "main"]);
    bench.git(&["rm", "-q", "setups/rowan/race.kdl"]);
    bench.commit("Sold");
    bench.git_ending(1, &["merge", "-q", "--no-edit", "wet"]);
    bench.git(&["checkout", "-q", "wet", "--", "setups/rowan/race.kdl"]);
    bench.commit("Keep it");
    let all = entries(&bench, &["--all"]);
    let events: Vec<&str> = all.iter().map(|entry| entry["event"].as_str().unwrap()).collect();
    assert!(!events.contains(&"back"), "{events:?}");
    // Along the first parents it was away, and the merge brought it back.
    assert_eq!(entries(&bench, &[])[0]["event"], "back");
}

#[test]
#[ignore = "needs the git program"]
fn a_file_that_was_never_recorded_is_said_to_be_and_the_commands_record_it() {
    let bench = Bench::new("");
    bench.write("setups/rowan/wet day.kdl", &RACE.replace("rowan/race", "rowan/wet day"));
    for more in [&[][..], &["--since", "2031-01-01"], &["--all"], &["bar.width"], &["--marks"]] {
        let page = bench.said(&[&["history", "rowan/wet day"], more].concat());
        assert!(page.contains("rowan/wet day is in no revision yet"), "{more:?}: {page}");
        assert!(!page.contains("in that time"), "{more:?}: {page}");
    }
    let json = bench.said(&["history", "rowan/wet day", "--json"]);
    assert_eq!(serde_json::from_str::<serde_json::Value>(&json).unwrap()["never-recorded"], true);
    // The commands, as a shell takes them.
    let page = bench.said(&["history", "rowan/wet day"]);
    let commands: Vec<&str> = page.lines().map(str::trim).filter(|line| line.starts_with("git ")).collect();
    assert_eq!(commands, ["git add 'setups/rowan/wet day.kdl'", "git commit -m 'Measure rowan/wet day'"]);
    bench.git(&["add", "setups/rowan/wet day.kdl"]);
    bench.git(&["commit", "-q", "-m", "Measure rowan/wet day"]);
    let page = bench.said(&["history", "rowan/wet day"]);
    assert!(page.contains("First recorded"), "{page}");
}

/// A bar cut on the 2nd, a stem swapped on the 9th.
fn two_days() -> Bench {
    let bench = Bench::new("");
    let cut = RACE.replace("width 780", "width 760");
    let shorter = cut.replace("length 50;", "length 40;");
    // An hour apart from 2031-05-03 on.
    bench.record_many([cut, shorter].into_iter());
    bench
}

#[test]
#[ignore = "needs the git program"]
fn a_measure_that_did_not_change_in_that_time_shows_what_it_stood_at() {
    let bench = two_days();
    let short = |revision: &str| bench.git(&["rev-parse", "--short=7", revision]).trim().to_owned();
    for since in ["HEAD~1", "HEAD", "2040-01-01"] {
        for more in [&[][..], &["--all"]] {
            let asked = [&["history", "rowan/race", "bar.width", "--since", since], more].concat();
            let page = bench.said(&asked);
            let row = page.lines().find(|line| line.contains("760.0")).unwrap_or_else(|| panic!("{page}"));
            let revision = if since == "HEAD~1" { "HEAD~1" } else { "HEAD" };
            assert!(row.contains("older") && row.contains(&short(revision)), "{since}: {page}");
            assert_eq!(page.matches("older").count(), 1, "{page}");
            let table = bench.said(&[&asked[..], &["--csv"]].concat());
            assert!(table.lines().last().unwrap().ends_with(",760 mm,older"), "{table}");
        }
    }
    // One that did change needs none.
    let page = bench.said(&["history", "rowan/race", "stem.length", "--since", "HEAD~1"]);
    assert!(page.contains("10.0 mm shorter") && !page.contains("older"), "{page}");
    // The program that reads along always has it.
    let json = bench.said(&["history", "rowan/race", "stem.length", "--since", "HEAD~1", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["series"][0]["start"]["value"], 50.0);
    // Before there was a file there is no value, and none is made up.
    let page = bench.said(&["history", "rowan/race", "bar.width", "--since", "2001-01-01"]);
    assert!(!page.contains("older"), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn a_value_known_less_well_in_that_time_is_told_though_what_it_was_is_older() {
    let bench = Bench::new("");
    bench.change("caliper tol=0.1", "caliper tol=0.3");
    bench.commit("Another caliper");
    let page = bench.said(&["history", "rowan/race", "left.brake-lever.reach", "--since", "HEAD~1"]);
    // U = 2·0.3/√3 = 0.346 now, 2·0.1/√3 = 0.115 before (GUM 4.3.7).
    let rows: Vec<&str> = page.lines().filter(|line| line.contains("62.00")).collect();
    assert_eq!(rows.len(), 2, "{page}");
    assert!(rows[0].contains("0.35 mm") && rows[0].contains("same, known less well"), "{page}");
    assert!(rows[1].contains("0.12 mm") && rows[1].contains("older"), "{page}");
    // One that stands as it was, doubt and all.
    let page = bench.said(&["history", "rowan/race", "bar.width", "--since", "HEAD~1"]);
    assert!(page.contains("older") && page.contains("Unchanged in 1 revision since."), "{page}");
}

#[test]
#[ignore = "needs the git program"]
fn where_a_shallow_clone_ends_nothing_is_recorded_for_the_first_time() {
    let bench = two_days();
    bench.git(&["clone", "-q", "--depth", "2", &format!("file://{}", bench.top().display()), "part"]);
    let said = |more: &[&str]| {
        let asked = [&["--ledger", "part", "history", "rowan/race"], more].concat();
        flowing(&bench.said(&asked))
    };
    for more in [&[][..], &["bar.width"], &["--marks"]] {
        let page = said(more);
        assert!(page.contains("the clone is shallow"), "{more:?}: {page}");
        assert!(page.contains("what it was before is not in this clone"), "{more:?}: {page}");
        assert!(!page.to_lowercase().contains("first recorded"), "{more:?}: {page}");
    }
    for more in [&["--csv"][..], &["bar.width", "--csv"], &["--json"], &["--marks", "--json"]] {
        let text = said(more);
        assert!(text.contains("shallow-clone-ends") && !text.contains("first recorded"), "{more:?}: {text}");
    }
    // What is not in it is not said not to be at all.
    let output = bench.clampmark(&["--ledger", "part", "diff", "rowan/race", "HEAD~2"]);
    assert_eq!(output.status.code(), Some(2));
    let refused = flowing(&String::from_utf8(output.stderr).unwrap());
    assert!(
        refused.contains("the clone is shallow") && refused.contains("git fetch --unshallow"),
        "{refused}"
    );
    // The whole of it begins where it was recorded.
    assert!(bench.said(&["history", "rowan/race"]).contains("First recorded, with "));
}

#[test]
#[ignore = "needs the git program"]
fn the_day_beside_the_author_is_the_authors() {
    let bench = Bench::new("");
    bench.change("width 780", "width 760");
    bench.git(&["add", "-A"]);
    bench.git(&["commit", "-q", "-m", "Cut", "--date", "2031-04-20T12:00:00+02:00"]);
    let page = bench.said(&["history", "rowan/race"]);
    let head = page.lines().find(|line| line.starts_with("2031-04-20 Cut (Demo Rider, "));
    assert!(head.is_some_and(|head| head.ends_with(", committed 2031-05-01)")), "{page}");
    let json: serde_json::Value =
        serde_json::from_str(&bench.said(&["history", "rowan/race", "--json"])).unwrap();
    assert_eq!(
        (&json["entries"][0]["date"], &json["entries"][0]["committed"]),
        (&"2031-04-20".into(), &"2031-05-01".into())
    );
    // It came here on the day on which it was committed.
    let since = |day: &str| bench.said(&["history", "rowan/race", "--since", day]).contains("Cut");
    assert!(since("2031-05-01") && !since("2031-05-02"));
}

/// A friend moved the lever on the 5th; I changed the stem on the 10th, and he came on top of that on the 12th: by a rebase,
/// or by a merge.
#[test]
#[ignore = "needs the git program"]
fn what_was_written_before_a_day_and_came_later_is_told_since() {
    for by_merge in [false, true] {
        let bench = Bench::new("");
        bench.git(&["switch", "-q", "-c", "friend"]);
        bench.change_on(5, "from-tip 168; angle 32", "from-tip 168; angle 25");
        bench.git(&["switch", "-q", "main"]);
        bench.change_on(10, "length 50;", "length 40;");
        if by_merge {
            bench.git_on(12, &["merge", "-q", "-m", "Both", "friend"]);
        } else {
            bench.git_on(12, &["cherry-pick", "friend"]);
        }
        for more in [&[][..], &["--all"]] {
            let asked = [&["history", "rowan/race", "--since", "2031-05-10"][..], more].concat();
            let page = bench.said(&asked);
            assert!(page.contains("7.0° tip up"), "{by_merge} {more:?}: {page}");
            let page = bench.said(&[&asked[..], &["left.brake-lever.angle"]].concat());
            assert!(page.contains("7.0° tip up"), "{by_merge} {more:?}: {page}");
        }
    }
}

#[test]
#[ignore = "needs the git program"]
fn what_a_file_that_came_back_brought_is_told_under_its_later_name_too() {
    let bench = Bench::new("");
    let file = "setups/rowan/race.kdl";
    let before = bench.read(file);
    bench.git(&["rm", "-q", file]);
    bench.commit("Gone");
    // 28 mm nearer to the grip.
    bench.write(file, &before.replace("bite 36", "bite 8"));
    bench.commit("Back after the loan");
    bench.git(&["mv", file, "setups/rowan/wet.kdl"]);
    bench.write(
        "setups/rowan/wet.kdl",
        &bench.read("setups/rowan/wet.kdl").replace("\"rowan/race\"", "\"rowan/wet\""),
    );
    bench.commit("For the wet");
    for more in [&[][..], &["--all"]] {
        let page = flowing(&bench.said(&[&["history", "rowan/wet"][..], more].concat()));
        assert!(page.contains("Back after the loan") && page.contains("28.0 mm nearer"), "{more:?}: {page}");
        assert_eq!(page.matches("First recorded").count(), 1, "{more:?}: {page}");
    }
}

/// The friend, who had moved the lever on the 5th, merged mine of the 10th into his on the 12th; I only follow. Which of the two
/// lines stood here before nobody knows.
#[test]
#[ignore = "needs the git program"]
fn what_a_merge_of_the_other_side_brought_is_told_since() {
    let bench = Bench::new("");
    bench.git(&["switch", "-q", "-c", "friend"]);
    bench.change_on(5, "from-tip 168; angle 32", "from-tip 168; angle 25");
    bench.git(&["switch", "-q", "main"]);
    bench.change_on(10, "length 50;", "length 40;");
    bench.git(&["switch", "-q", "friend"]);
    bench.git_on(12, &["merge", "-q", "-m", "Both", "main"]);
    bench.git(&["switch", "-q", "main"]);
    bench.git(&["merge", "-q", "--ff-only", "friend"]);
    for more in [&[][..], &["--all"], &["left.brake-lever.angle"]] {
        let page = bench.said(&[&["history", "rowan/race", "--since", "2031-05-10"][..], more].concat());
        assert!(page.contains("7.0° tip up"), "{more:?}: {page}");
    }
    // After it all of it stood here.
    let page = bench.said(&["history", "rowan/race", "--since", "2031-05-13"]);
    assert!(page.contains("no revision in that time"), "{page}");
}
