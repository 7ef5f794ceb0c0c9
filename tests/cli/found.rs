//! As-found sheets to fill in, and the questions of one, as a person meets them.

use std::fs;
use std::io::Write;
use std::process::Stdio;

use crate::restore::{json, ledger, program, run};

/// Every line of the template that waits for an answer, with an answer that fits it; comments stay.
fn filled(text: &str) -> String {
    let fill = |line: &str| {
        let Some(at) = line.find("    // ").filter(|_| line.contains(" ?") || line.contains(")?")) else {
            return line.to_owned();
        };
        let word = if line.contains("// mark ") {
            "aligned"
        } else if line.contains("front-brake ?") {
            "right"
        } else if line.contains("floor ?") {
            "1"
        } else if line.contains("(in)?") {
            "4"
        } else if line.contains("mount ?") {
            "shared"
        } else if line.contains("width ?") {
            "780"
        } else if line.contains("length ?") || line.contains("from-tip ?") {
            "100"
        } else {
            "20"
        };
        format!("{}{}", &line[..at + 4], line[at + 7..].replace('?', word))
    };
    text.lines().map(fill).collect::<Vec<_>>().join("\n")
}

#[test]
fn no_line_of_a_sheet_is_wider_than_a_hundred_characters() {
    let folder = ledger(&[]);
    let text = run(folder.path(), &["found", "rowan/race", "--to", "-", "--date", "2026-05-09"]).text;
    let wide: Vec<&str> = text.lines().filter(|line| line.chars().count() > 100).collect();
    assert_eq!(wide, [""; 0]);
    assert!(
        text.contains("    // One of: aligned, broken, missing, or off= the mm between its halves.\n"),
        "{text}"
    );
    // Taken out of their comments, the lines are valid as they stand.
    let sheet = filled(&text);
    assert!(sheet.contains("    mark \"L1\" aligned\n"), "{sheet}");
    fs::write(folder.path().join("setups/rowan/filled.kdl"), &sheet).expect("written");
    let checked = json(folder.path(), &["check", "rowan/filled"]);
    assert_eq!(checked["counts"]["fault"], 0, "{checked:#}\n{sheet}");
}

#[test]
fn each_occasion_has_its_own_things_to_look_over() {
    let folder = ledger(&[]);
    let looked = |after: &str| -> Vec<String> {
        let text = run(folder.path(), &["found", "rowan/race", "--after", after, "--to", "-"]).text;
        assert!(text.contains("Look at these."), "{text}");
        let lines =
            text.lines().filter_map(|line| line.split_once("// damage on=\"")?.1.split_once("\" \"…"));
        lines.filter(|(on, _)| !on.contains(' ')).map(|(on, _)| on.to_owned()).collect()
    };
    // Common practice, no source: a box presses on the frame, the bar, the levers and what the wheels leave open,
    // the fork's ends above all. The bike of these tests has no grips written.
    let flight = [
        "stem-steerer",
        "frame",
        "fork",
        "bar",
        "left.brake-lever",
        "right.brake-lever",
        "front-rotor",
        "rear-rotor",
        "front-axle",
        "rear-axle",
        "front-brake-mount",
        "rear-brake-mount",
        "left.pedal",
        "right.pedal",
    ];
    assert_eq!(looked("flight"), flight);
    let loan = looked("loan");
    assert!(flight.iter().all(|on| loan.iter().any(|known| known == on)), "{loan:?}");
    assert!(!loan.iter().any(|on| on.contains("grip")), "{loan:?}");
}

#[test]
fn json_holds_the_sheet_or_is_refused() {
    let folder = ledger(&[]);
    let asked = ["found", "rowan/race", "--date", "2026-05-09", "--to"];
    let page = run(folder.path(), &[&asked[..], &["-"]].concat()).text;
    let result = json(folder.path(), &[&asked[..], &["-"]].concat());
    assert_eq!(result["schema"], "clampmark.found/1");
    assert_eq!((&result["text"], &result["sheet"]), (&serde_json::json!(page), &serde_json::Value::Null));
    let result = json(folder.path(), &[&asked[..], &["sheet.kdl"]].concat());
    assert_eq!(result["sheet"], "sheet.kdl");
    assert_eq!(result["text"], fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet"));
    let screen = run(folder.path(), &["found", "rowan/race", "--ask", "--json"]);
    assert_eq!(screen.status, Some(2));
    let refused: serde_json::Value = serde_json::from_str(&screen.text).expect("JSON");
    assert_eq!(refused["schema"], "clampmark.failure/1");
}

#[test]
fn the_questions_fit_the_terminal_and_one_answer_is_one() {
    let folder = ledger(&[]);
    for (columns, answers, kept) in
        [("50", "0\n200\nquit\n", "1 answer kept"), ("80", "right\nquit\n", "2 answers kept")]
    {
        let mut child = program(
            folder.path(),
            &["found", "rowan/race", "--ask", "--to", "sheet.kdl", "--date", "2026-05-09"],
        )
        .env("COLUMNS", columns)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
        child.stdin.take().expect("an input").write_all(answers.as_bytes()).expect("answers");
        let said = String::from_utf8(child.wait_with_output().expect("it ends").stdout).expect("text");
        // A person's Enter ends the line of the prompt; a pipe echoes none.
        let said = said.replace(" > ", " >\n");
        let widest = said.lines().map(|line| line.chars().count()).max();
        assert!(widest <= columns.parse().ok(), "{said}");
        assert!(said.contains(kept), "{said}");
    }
}
