//! Every code has a bad example, and the example is found out at the place its last line names.
//!
//! The places are counted by hand in the examples themselves: `// expect: CODE line LINE column COLUMN`.

use std::fs;
use std::path::{Path, PathBuf};

use clampmark::catalogue::code::{self, CODES, Severity};
use clampmark::catalogue::{Catalogue, Side};
use clampmark::check::front_brake::Hands;
use clampmark::check::{Around, RULES, check_in};
use clampmark::setup::finding::Finding;
use clampmark::setup::read::read;
use clampmark::setup::span::LineIndex;

/// The name that the examples' place would give them.
const NAME: &str = "rowan/race";

fn path(code: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/examples").join(code).with_extension("kdl")
}

fn found(bytes: &[u8]) -> Vec<Finding> {
    let catalogue = Catalogue::standard();
    // Looked at on a day after all that the examples tell, but for the one of a day to come.
    let today = chrono::NaiveDate::from_ymd_opt(2031, 1, 1);
    // Beside a setup of the same bike, where the example is about that.
    let mut hands = Hands::default();
    if String::from_utf8_lossy(bytes).contains("rowan/loan") {
        hands.add("rowan/loan", Side::Left);
    }
    let around = Around { expected_name: Some(NAME), today, hands: Some(&hands) };
    check_in(catalogue, &read(catalogue, bytes, None), around).0
}

/// Files that are too much to keep, or no text: made here. Each is at fault at its very beginning, except the deep
/// one, whose 65th block opens on line 65.
fn made(code: &str) -> Option<(Vec<u8>, usize)> {
    match code {
        // One byte more than 1 MiB.
        "too-large" => Some((vec![b' '; 1024 * 1024 + 1], 1)),
        // 65 blocks, one a line, inside one another; 64 are allowed.
        "too-deep" => Some(("a {\n".repeat(65).into_bytes(), 65)),
        // 0xFF occurs in no UTF-8 text.
        "not-utf8" => Some((b"\xff".to_vec(), 1)),
        _ => None,
    }
}

#[test]
fn every_code_is_found_in_its_example() {
    let mut wrong = Vec::new();
    for code in CODES {
        let outcome = match made(code.name) {
            Some((bytes, line)) => made_example(code, &bytes, line),
            None => example(code),
        };
        wrong.extend(outcome.err().map(|what| format!("{}: {what}", code.name)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn example(code: &code::Code) -> Result<(), String> {
    let text = fs::read_to_string(path(code.name)).map_err(|error| error.to_string())?;
    let expected =
        text.lines().last().and_then(|line| line.strip_prefix("// expect: ")).ok_or("no `// expect:`")?;
    let findings = found(text.as_bytes());
    let lines = LineIndex::new(&text);
    let said: Vec<String> = findings
        .iter()
        .map(|finding| {
            let (line, column) = finding.span.map_or((0, 0), |span| lines.line_column(span.start));
            format!("{} line {line} column {column}", finding.code.name)
        })
        .collect();
    let times = said.iter().filter(|said| *said == expected).count();
    let of_code = findings.iter().filter(|finding| finding.code == code).count();
    if times != 1 || of_code != 1 {
        return Err(format!("expected once {expected}, found {said:?}"));
    }
    alone(code, &findings)
}

fn made_example(code: &code::Code, bytes: &[u8], line: usize) -> Result<(), String> {
    let findings = found(bytes);
    let text = String::from_utf8_lossy(bytes);
    let at = findings.first().and_then(|finding| finding.span).ok_or("no place")?;
    if LineIndex::new(&text).line_column(at.start).0 != line {
        return Err(format!("expected on line {line}, found at {at:?}"));
    }
    if findings.first().is_none_or(|finding| finding.code != code) {
        return Err(format!("found {findings:?}"));
    }
    alone(code, &findings)
}

/// An example of a fault has that one fault; an example of anything milder has none, unless it is about faults.
fn alone(code: &code::Code, findings: &[Finding]) -> Result<(), String> {
    let faults: Vec<&str> = findings
        .iter()
        .filter(|finding| finding.severity == Severity::Fault)
        .map(|finding| finding.code.name)
        .collect();
    let allowed = usize::from(code.severity == Severity::Fault || code.name == "accept-fault");
    if faults.len() == allowed { Ok(()) } else { Err(format!("faults {faults:?}")) }
}

/// Whatever is no fault can be accepted with a reason, and is then not found; a fault is found all the same, and so are
/// damage and what stands in the wrong kind of file.
#[test]
fn advice_and_cautions_can_be_accepted_and_faults_cannot() {
    // Those about acceptance itself, and those that keep a file from being read so far.
    let apart = ["accept-fault", "accept-unused"];
    for code in CODES.iter().filter(|code| made(code.name).is_none() && !apart.contains(&code.name)) {
        let text = fs::read_to_string(path(code.name)).expect("an example");
        let is_read = read(Catalogue::standard(), text.as_bytes(), None).setup.is_some();
        let Some(begun) = text.find("{\n").filter(|_| is_read) else {
            assert_eq!(code.severity, Severity::Fault, "{} is not read at all", code.name);
            continue;
        };
        let (head, rest) = text.split_at(begun + 1);
        let accepted = format!("{head}\n    accept {} \"Read, and meant\"{rest}", code.name);
        let findings = found(accepted.as_bytes());
        let said = findings.iter().filter(|finding| finding.code == *code).count();
        let refused = findings.iter().any(|finding| finding.code.name == "accept-fault");
        let stands = code.severity == Severity::Fault || !code.acceptable;
        assert_eq!((said > 0, refused), (stands, stands), "{}: {findings:?}", code.name);
    }
}

#[test]
fn every_example_is_of_a_code() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/examples");
    for entry in fs::read_dir(folder).expect("the folder of examples").flatten() {
        let path = entry.path();
        if path.extension().is_some_and(|extension| extension == "kdl") {
            let name = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
            assert!(code::find(name).is_some(), "{name}.kdl is an example of nothing");
        }
    }
}

#[test]
fn a_rule_finds_nothing_but_its_own_codes() {
    let catalogue = Catalogue::standard();
    for code in CODES.iter().filter(|code| made(code.name).is_none()) {
        let text = fs::read(path(code.name)).expect("an example");
        let Some(setup) = read(catalogue, &text, None).setup else { continue };
        let context = clampmark::check::Context {
            catalogue,
            setup: &setup,
            around: Around { expected_name: Some(NAME), ..Around::default() },
            reader: &[],
        };
        for rule in RULES {
            for finding in (rule.find)(&context) {
                assert!(rule.codes.contains(&finding.code), "{} by another rule", finding.code.name);
            }
        }
    }
}

#[test]
fn a_sound_setup_has_no_fault() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/examples/sound");
    let mut seen = 0;
    for entry in fs::read_dir(folder).expect("the folder of sound setups").flatten() {
        let findings = found(&fs::read(entry.path()).expect("a setup"));
        let faults: Vec<&Finding> =
            findings.iter().filter(|finding| finding.severity == Severity::Fault).collect();
        assert!(faults.is_empty(), "{:?}: {faults:?}", entry.path());
        seen += 1;
    }
    assert!(seen > 0, "no sound setup was looked at");
}
