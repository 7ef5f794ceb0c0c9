//! The questions of a sheet, asked one at a time: through a pipe, and on a real terminal.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use crate::harness::flowing;
use crate::restore::{Screen, ledger, program};

/// The fourteen things to look over after a flight, all skipped.
pub const NOT_LOOKED_OVER: &str = "s\ns\ns\ns\ns\ns\ns\ns\ns\ns\ns\ns\ns\ns\n";

/// Answers to the questions of the setup, in their order; the wrong ones are asked for again.
pub fn ask(folder: &Path, answers: &str) -> Screen {
    let mut child = asking(folder);
    std::io::Write::write_all(&mut child.stdin.take().expect("an input"), answers.as_bytes())
        .expect("answers");
    let output = child.wait_with_output().expect("the program ends");
    let text = String::from_utf8([output.stdout, output.stderr].concat()).expect("text");
    Screen { text, status: output.status.code() }
}

pub fn asking(folder: &Path) -> Child {
    let arguments =
        ["found", "rowan/race", "--ask", "--after", "flight", "--to", "sheet.kdl", "--date", "2026-05-09"];
    program(folder, &arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts")
}

#[test]
fn the_dialogue_says_at_once_what_moved_and_can_go_on_later() {
    let folder = ledger(&[]);
    // Floor, spacers below, above (gone back to), twist; then the box is closed for the day.
    let first = ask(folder.path(), &format!("{NOT_LOOKED_OVER}0\n15\nfive\n5\nback\n10\nquit\n"));
    // 5 mm of spacers more.
    assert_eq!(first.status, Some(1), "{}", first.text);
    assert!(first.text.contains("Say a number such as 168.5"), "{}", first.text);
    assert!(first.text.contains("moved 5.0 mm more"), "{}", first.text);
    let sheet = fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert_eq!(
        sheet,
        "found \"rowan/race\" format=1 {\n    measured \"2026-05-09\"\n    floor 0 with=angle-gauge\n    \
         steerer { spacers-below 15 with=caliper; spacers-above 10 with=caliper }\n}\n"
    );
    let second = ask(folder.path(), &format!("{NOT_LOOKED_OVER}0.2\nsame mark\n"));
    assert!(second.text.contains("stem twist"), "{}", second.text);
    let sheet = fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert!(sheet.contains("stem { twist 0.2 }") && sheet.contains("mark \"B1\" aligned"), "{sheet}");
}

/// A person at a terminal: `script` gives the program a real one.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn the_dialogue_works_on_a_terminal() {
    let heard = heard_measuring(&[
        ("slope of the floor", "0\n"),
        ("spacers below", "10\n"),
        ("spacers above", "quit\n"),
    ]);
    assert!(heard.0.contains("moved 5.0 mm fewer"), "{}", heard.0);
    assert!(heard.1.contains("spacers-below 10 with=caliper"), "{}", heard.1);
}

/// Short words, help, units behind and before the number, and a comma where the file wants a point.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn every_sort_of_answer_works_on_a_terminal() {
    let (heard, sheet) = heard_measuring(&[
        ("slope of the floor", "?\n"),
        ("just Enter", "0\n"),
        ("spacers below", "1,5\n"),
        ("Write it with a point: 1.5.", "1,5 cm\n"),
        ("spacers above", "b\n"),
        ("Answered: 1.5 cm", "in 0.59\n"),
        ("spacers above", "deg 5\n"),
        ("does not fit here", "0.5cm\n"),
        ("stem twist", "same mark\n"),
        ("bar roll", "q\n"),
    ]);
    // An inch is 25.4 mm by definition: 0.59 in is 14.986 mm; 0.014 mm off 15 is less than two caliper readings of
    // ±0.1 can tell apart.
    assert!(heard.contains("within reading"), "{heard}");
    assert!(sheet.contains("floor 0 with=angle-gauge"), "{sheet}");
    let spacers = "spacers-below (in)0.59 with=caliper; spacers-above (cm)0.5 with=caliper";
    assert!(sheet.contains(spacers), "{sheet}");
    assert!(sheet.contains("mark \"S1\" aligned") && !sheet.contains("twist"), "{sheet}");
}

/// The marks' question names every word, and `?` tells what each means.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn a_mark_is_asked_with_every_word_that_answers_it() {
    let mut answers = vec![("slope of the floor", "\n")];
    for title in [
        "spacers below",
        "spacers above",
        "stem twist",
        "bar roll",
        "bar offset",
        "lever place",
        "lever angle",
        "lever place",
        "lever angle",
        "shifter mount",
        "shifter angle",
        "front tyre",
        "rear tyre",
    ] {
        answers.push((title, "\n"));
    }
    answers.extend([("mark L1", "?\n"), ("nobody knows how far", "off=0.8\n"), ("mark R1", "q\n")]);
    let (heard, sheet) = heard_measuring(&answers);
    assert!(heard.contains("[aligned, off=…, broken, missing]"), "{heard}");
    assert!(sheet.contains("mark \"L1\" off=0.8"), "{sheet}");
    // A lever's turn is plus with its tip down.
    let said = flowing(&heard);
    for words in ["off=0.8: they stand 0.8 mm apart", "has not turned tip down", "missing: the line is gone"]
    {
        assert!(said.contains(words), "{said}");
    }
}

/// What is looked over is asked first: `good` is good, words are damage, and what was left is named at the end.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn what_a_box_can_hurt_is_looked_over_on_a_terminal() {
    let folder = ledger(&[]);
    let heard = on_a_terminal(
        folder.path(),
        &[
            ("stem on steerer", "b\n"),
            ("This is the first question.", "\n"),
            ("Say `good` if it is so", "y\n"),
            ("frame", "cracked\n"),
            ("fork", "b\n"),
            ("Answered: cracked", "good\n"),
            ("fork", "y\n"),
            ("bar.", "scored\n"),
            ("left brake lever", "y\n"),
            ("right brake lever", "15\n"),
            ("Say in words what you see", "y\n"),
            ("front rotor", "y\n"),
            ("rear rotor", "good\n"),
            ("front axle", "loose\n"),
            ("rear axle", "q\n"),
        ],
    );
    let said = flowing(&heard);
    let left = "Not looked over, so no all-clear: rear axle, front brake on its mount, rear brake on its mount, left \
         pedal, right pedal.";
    assert!(said.contains(left), "{said}");
    let sheet = fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet");
    assert!(
        sheet.contains("damage on=\"bar\" \"scored\"\n    damage on=\"front-axle\" \"loose\"\n"),
        "{sheet}"
    );
    assert!(!sheet.contains("cracked"), "{sheet}");
    // Opened again, it asks only for what is left.
    let heard = on_a_terminal(folder.path(), &[("rear axle", "q\n")]);
    assert!(!heard.contains("/30 front axle"), "{heard}");
}

/// Going back replaces: `same` does not stand beside the number it corrects, nor a number beside `same`.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn an_answer_gone_back_to_is_replaced() {
    let to_the_roll = [
        ("slope of the floor", "\n"),
        ("spacers below", "\n"),
        ("spacers above", "\n"),
        ("stem twist", "\n"),
    ];
    let answered =
        |last: &[(&'static str, &'static str)]| heard_measuring(&[&to_the_roll[..], last].concat()).1;
    let sheet = answered(&[
        ("bar roll", "-4\n"),
        ("bar offset", "b\n"),
        ("Answered: -4", "same mark\n"),
        ("bar offset", "q\n"),
    ]);
    assert!(sheet.contains("mark \"B1\" aligned") && !sheet.contains("roll"), "{sheet}");
    let sheet = answered(&[
        ("bar roll", "same mark\n"),
        ("bar offset", "b\n"),
        ("Answered: same mark", "-4\n"),
        ("bar offset", "q\n"),
    ]);
    assert!(sheet.contains("roll -4") && !sheet.contains("mark"), "{sheet}");
    let sheet = answered(&[
        ("bar roll", "-4\n"),
        ("bar offset", "b\n"),
        ("bar roll", "skip\n"),
        ("bar offset", "q\n"),
    ]);
    assert!(!sheet.contains("roll"), "{sheet}");
}

/// A slope that no floor has is asked again, and taken when it is typed again.
#[test]
#[cfg(unix)]
#[ignore = "needs the program `script` of util-linux"]
fn a_floor_that_no_floor_is_is_asked_again() {
    let (heard, sheet) = heard_measuring(&[
        ("slope of the floor", "15\n"),
        ("is a lot for the slope of the floor", "0\n"),
        ("spacers below", "15\n"),
        ("spacers above", "q\n"),
    ]);
    let said = flowing(&heard);
    // 32° and no slope when it was recorded: 15° of slope add 15°.
    assert!(
        said.contains("left brake lever angle that reads 32° as recorded would count as moved by 15°"),
        "{said}"
    );
    assert!(sheet.contains("floor 0 ") && sheet.contains("spacers-below 15 "), "{sheet}");
    let (_, sheet) = heard_measuring(&[
        ("slope of the floor", "7\n"),
        ("is a lot", "7°\n"),
        ("is a lot", "7°\n"),
        ("spacers below", "q\n"),
    ]);
    assert!(sheet.contains("floor 7 "), "{sheet}");
}

/// The terminal's words and the sheet, everything that comes before the measures looked over and good.
#[cfg(unix)]
fn heard_measuring(answers: &[(&str, &str)]) -> (String, String) {
    let folder = ledger(&[]);
    let looked = [
        "stem on steerer",
        "frame",
        "fork",
        "bar",
        "left brake lever",
        "right brake lever",
        "front rotor",
        "rear rotor",
        "front axle",
        "rear axle",
        "front brake on its mount",
        "rear brake on its mount",
        "left pedal",
        "right pedal",
    ];
    let looked = looked.map(|title| (title, "y\n"));
    let heard = on_a_terminal(folder.path(), &[&looked[..], answers].concat());
    (heard, fs::read_to_string(folder.path().join("sheet.kdl")).expect("the sheet"))
}

/// What a terminal shows of the questions, each answered when its prompt has been seen; then nobody answers any more.
#[cfg(unix)]
fn on_a_terminal(folder: &Path, answers: &[(&str, &str)]) -> String {
    let inside = format!(
        "'{}' found rowan/race --ask --after flight --to sheet.kdl --date 2026-05-09",
        env!("CARGO_BIN_EXE_clampmark")
    );
    // A question that never comes is a failure, and no wait without end.
    let mut child = Command::new("timeout")
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .args(["60", "script", "-qec", &inside, "/dev/null"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("script starts");
    let mut input = child.stdin.take().expect("an input");
    let mut output = child.stdout.take().expect("an output");
    let mut heard = String::new();
    for (prompt, answer) in answers {
        wait_for(&mut output, &mut heard, prompt);
        wait_for(&mut output, &mut heard, " > ");
        std::io::Write::write_all(&mut input, answer.as_bytes()).expect("an answer");
    }
    wait_for(&mut output, &mut heard, "kept");
    drop(input);
    let mut rest = Vec::new();
    std::io::Read::read_to_end(&mut output, &mut rest).expect("the terminal can be read");
    heard.push_str(&String::from_utf8_lossy(&rest));
    child.wait().expect("script ends");
    heard
}

/// Reads on until the words have been said since the last time, wherever the terminal broke them.
#[cfg(unix)]
fn wait_for(output: &mut impl std::io::Read, heard: &mut String, words: &str) {
    let from = heard.len();
    let mut byte = [0];
    let mut bytes = Vec::new();
    let said = |bytes: &[u8]| flowing(&String::from_utf8_lossy(bytes));
    while !said(&bytes).contains(words.trim()) {
        let count = output.read(&mut byte).expect("the terminal can be read");
        assert_eq!(count, 1, "the terminal closed before `{words}`: {}", &heard[from..]);
        bytes.push(byte[0]);
    }
    heard.push_str(&String::from_utf8_lossy(&bytes));
}

/// What is damage stops all work: a slip of the hand, or a word meant for another question, is none.
#[test]
fn a_word_that_tells_of_no_damage_is_not_kept_as_damage() {
    let folder = ledger(&[]);
    let sheet = folder.path().join("sheet.kdl");
    let refused = [
        "left",
        "right",
        "Left",
        "15",
        "168.5",
        "168.5 0.2",
        "in 6.63",
        "12 deg",
        "shared",
        "own",
        "off=0.8",
        "Same mark",
        "x",
        "\u{1b}[A",
        "ben\u{8}",
    ];
    for word in refused {
        let screen = ask(folder.path(), &format!("{word}\nquit\n"));
        assert!(screen.text.contains("0 answers kept."), "{word}: {}", screen.text);
        assert!(!sheet.exists(), "{word}");
    }
    for word in ["abc", "nope", "Wrong"] {
        let screen = ask(folder.path(), &format!("{word}\n{word}s\nquit\n"));
        assert!(screen.text.contains(&format!("`{word}` would be kept as damage")), "{}", screen.text);
        assert!(!sheet.exists(), "{word}");
    }
    for (words, kept) in [
        ("abc\nabc", "\"abc\""),
        ("Bent", "\"Bent\""),
        ("scored left of the stem", "\"scored left of the stem\""),
        ("not good", "\"not good\""),
    ] {
        ask(folder.path(), &format!("{words}\nquit\n"));
        let text = fs::read_to_string(&sheet).expect("a sheet");
        assert!(text.contains(&format!("damage on=\"stem-steerer\" {kept}\n")), "{text}");
        fs::remove_file(&sheet).expect("it goes");
    }
}

#[test]
fn that_a_thing_is_good_may_be_said_in_several_words_and_letters() {
    let folder = ledger(&[]);
    let sheet = folder.path().join("sheet.kdl");
    for words in ["all good", "OK", "Looks fine.", "Yes", "it is ok", "nothing"] {
        ask(folder.path(), &format!("{words}\nQUIT\n"));
        let text = fs::read_to_string(&sheet).expect("a sheet");
        assert!(text.contains("// looked over and good: stem-steerer") && !text.contains("damage"), "{text}");
        fs::remove_file(&sheet).expect("it goes");
    }
    for words in ["Skip", "not looked at"] {
        let screen = ask(folder.path(), &format!("{words}\nquit\n"));
        assert!(screen.text.contains("skipped: not looked at") && !sheet.exists(), "{}", screen.text);
    }
}

/// An Enter too many vouches for nothing; and what was found good is named at the end.
#[test]
fn what_is_looked_over_is_not_good_by_an_empty_line() {
    let folder = ledger(&[]);
    let sheet = folder.path().join("sheet.kdl");
    let screen = ask(folder.path(), "\n\n\nquit\n");
    assert!(screen.text.contains("Say `good` if it is so") && !sheet.exists(), "{}", screen.text);
    let screen = ask(folder.path(), "\ny\ngood\nquit\n");
    assert!(screen.text.contains("Looked over and good: stem on steerer, frame."), "{}", screen.text);
    let text = fs::read_to_string(&sheet).expect("a sheet");
    assert_eq!(text.matches("looked over and good").count(), 2, "{text}");
}

/// Bytes that are no text are no empty line either.
#[test]
fn what_cannot_be_read_is_no_answer() {
    let folder = ledger(&[]);
    let mut child = asking(folder.path());
    let mut input = child.stdin.take().expect("an input");
    std::io::Write::write_all(&mut input, b"\xff\xfe\nquit\n").expect("answers");
    drop(input);
    let output = child.wait_with_output().expect("the program ends");
    let said = String::from_utf8(output.stdout).expect("text");
    assert!(said.contains("0 answers kept") && said.contains("type it again"), "{said}");
}

/// Who reads an inch rule because the file is in inches forgets to say so.
#[test]
fn a_plain_number_that_looks_like_one_in_the_recorded_unit_is_asked_again() {
    let folder = ledger(&[]);
    let sheet = folder.path().join("sheet.kdl");
    // Nine questions before the right lever's place.
    let before = format!("{NOT_LOOKED_OVER}{}", "\n".repeat(8));
    // 165 mm is 6.5 in, as good as recorded. Whatever else is plain may be inches: it is asked, and typed again it is so.
    for (typed, kept, is_asked) in [
        ("6.5\nin 6.5\n", "from-tip (in)6.5", true),
        ("5.2\nin 5.2\n", "from-tip (in)5.2", true),
        ("120\n120\n", "from-tip 120", true),
        ("165\n", "from-tip 165", false),
    ] {
        let screen = ask(folder.path(), &format!("{before}{typed}quit\n"));
        let asked = flowing(&screen.text).contains("it was recorded as 6.61 in");
        assert_eq!(asked, is_asked, "{}", screen.text);
        let text = fs::read_to_string(&sheet).expect("a sheet");
        assert!(text.contains(&format!("right {{ brake-lever {{ {kept}")), "{text}");
        fs::remove_file(&sheet).expect("it goes");
    }
}

/// A sheet that is opened again says so, and whose day its readings have.
#[test]
fn a_dialogue_that_goes_on_says_so() {
    let folder = ledger(&[]);
    let first = ask(folder.path(), "good\ncracked\nquit\n");
    assert!(!first.text.contains("goes on"), "{}", first.text);
    let words = |screen: &Screen| flowing(&screen.text);
    let again = words(&ask(folder.path(), "quit\n"));
    assert!(again.contains("The sheet of 2026-05-09 goes on: 2 answers stand on it."), "{again}");
    assert!(
        again.contains("Kept as damage: frame: cracked") && !again.contains("count as of that day"),
        "{again}"
    );
    let arguments = ["found", "rowan/race", "--ask", "--to", "sheet.kdl", "--date", "2026-05-12"];
    let mut child = program(folder.path(), &arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    std::io::Write::write_all(&mut child.stdin.take().expect("an input"), b"0.1\nq\n").expect("answers");
    drop(child.wait_with_output().expect("the program ends"));
    let output = program(folder.path(), &arguments).stdin(Stdio::null()).output().expect("it runs");
    let later = flowing(&String::from_utf8(output.stdout).expect("text"));
    assert!(later.contains("What is read now will count as of that day"), "{later}");
}
