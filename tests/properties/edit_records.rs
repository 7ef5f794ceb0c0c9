//! Editing what is no measure: torques applied, marks drawn and struck out, notes. Only the meant bytes change.
//!
//! As for the measures, the expected text is made from the places at which the parts were put while building the file.

use std::ops::Range;

use chrono::NaiveDate;
use clampmark::catalogue::{Catalogue, MeasureId};
use clampmark::metrology::unit::Unit;
use clampmark::setup::edit::{Edit, NewReading};
use clampmark::setup::model::{Setup, Written};
use clampmark::setup::span::Span;
use clampmark::setup::torque::{Applied, TorqueFigure};
use proptest::prelude::*;

/// A file, and where the nodes stand that are edited.
struct Built {
    text: String,
    applied: Option<Range<usize>>,
    drawn: Option<Range<usize>>,
    gap: &'static str,
}

/// What varies in a file.
#[derive(Clone, Copy, Debug)]
struct Look {
    newline: &'static str,
    gap: &'static str,
    between: &'static str,
    applied: Option<&'static str>,
    drawn: Option<&'static str>,
    notes: usize,
}

fn looks() -> impl Strategy<Value = Look> {
    let one = |texts: &'static [&'static str]| prop::sample::select(texts);
    let maybe = |texts: &'static [&'static str]| prop::option::of(prop::sample::select(texts));
    (
        one(&["\n", "\r\n"]),
        one(&[" ", "  ", "\t", " /* by hand */ "]),
        one(&["; ", " ;", "N        ", " // \"aside\" {N        ", ";NN        ", "; /-note \"old\"; "]),
        maybe(&["4.2", "4.20 read=\"2026-05-02\"", "(in-lb)40 read=\"2026-05-02\""]),
        maybe(&[
            "from-tip=168 angle=32",
            "from-tip=168.0 angle=32 read=\"2026-05-02\"",
            "angle=32 tol=1 from-tip=168",
        ]),
        0..4_usize,
    )
        .prop_map(|(newline, gap, between, applied, drawn, notes)| Look {
            newline,
            gap,
            between,
            applied,
            drawn,
            notes,
        })
}

fn build(look: &Look) -> Built {
    let mut text = String::new();
    let between = look.between.replace('N', look.newline);
    let put = |text: &mut String, line: &str| text.push_str(&line.replace('N', look.newline));
    put(&mut text, "setup \"rowan/race\" format=1 {N    measured \"2026-05-02\"");
    for note in 0..look.notes {
        put(&mut text, &format!("N    note \"number {note} }} ; {{\""));
    }
    put(&mut text, "N    right { brake-lever { from-tip 168; angle 32; note \"low\" } }");
    put(&mut text, "N    torque \"stem-face\" 4 5 thread=M5 class=8.8 { ");
    put(&mut text, "ceiling \"bar\" 5");
    let node = |text: &mut String, word: &str, inside: Option<&str>| {
        let inside = inside?;
        put(text, &between);
        let start = text.len();
        put(text, &format!("{word}{}{inside}", look.gap));
        Some(start..text.len())
    };
    let applied = node(&mut text, "applied", look.applied);
    text.push_str(&between);
    text.push_str("caution \"Even gap.\" }");
    text.push_str(look.newline);
    text.push_str("    mark \"R1\" on=\"right.brake-lever\" { reads \"Line meets the split\"");
    let drawn = node(&mut text, "drawn", look.drawn);
    text.push_str(" }");
    text.push_str(look.newline);
    text.push('}');
    Built { text, applied, drawn, gap: look.gap }
}

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 5, 9).expect("a day")
}

fn id(path: &str) -> MeasureId {
    Catalogue::standard().find(path).expect("the table has the measure")
}

fn open(text: &str) -> Edit<'static> {
    Edit::new(Catalogue::standard(), text, None).expect("the file is sound")
}

fn torque(digits: &str) -> Applied {
    let value = digits.parse().expect("a number");
    let figure = TorqueFigure { value, unit: Unit::NewtonMetre, digits: digits.to_owned() };
    Applied { figure: Written { value: figure, span: Span::default() }, read: None, with: None }
}

fn replaced(text: &str, range: &Range<usize>, by: &str) -> String {
    let mut text = text.to_owned();
    text.replace_range(range.clone(), by);
    text
}

/// Everything but the notes, without where.
fn said(setup: &Setup) -> String {
    let torques: Vec<_> = setup.torques.iter().map(|torque| (&torque.joint.value, &torque.tool)).collect();
    let marks: Vec<_> =
        setup.marks.iter().map(|mark| (&mark.name.value, &mark.reads, mark.drawn.len())).collect();
    format!("{:?} {torques:?} {marks:?}", setup.readings.keys().collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_torque_is_written_over_and_taken_out(look in looks()) {
        let built = build(&look);
        let mut edit = open(&built.text);
        edit.set_applied("stem-face", &torque("4.7"), Some(day())).expect("it is written");
        let now = edit.setup().torque("stem-face").and_then(|torque| torque.applied.clone()).expect("a torque");
        prop_assert_eq!((now.figure.value.digits.as_str(), now.read), ("4.7", Some(day())));
        let Some(range) = &built.applied else {
            prop_assert!(open(&built.text).drop_applied("stem-face", "opened").is_err());
            return Ok(());
        };
        let expected = format!("applied{}4.7 read=\"2026-05-09\"", built.gap);
        prop_assert_eq!(edit.text(), replaced(&built.text, range, &expected));
        let mut edit = open(&built.text);
        edit.drop_applied("stem-face", "opened").expect("it is taken out");
        // A comment beside the figure is somebody's own, and stays.
        let kept = if built.gap.contains("/*") { format!(" {}", built.gap.trim()) } else { String::new() };
        prop_assert_eq!(edit.text(), replaced(&built.text, range, &format!("note \"opened\"{kept}")));
    }

    #[test]
    fn a_mark_is_struck_out_and_drawn_again(look in looks()) {
        let built = build(&look);
        let positions = [
            (id("right.brake-lever.from-tip"), NewReading::number("170", Unit::Millimetre, 0.5)),
            (id("right.brake-lever.angle"), NewReading::number("30", Unit::Degree, 0.5)),
        ];
        let mut edit = open(&built.text);
        edit.lose_mark("R1", |_| "struck".to_owned()).expect("it is struck out");
        if let Some(range) = &built.drawn {
            prop_assert_eq!(edit.text(), replaced(&built.text, range, "note \"struck\""));
        }
        let mark = &edit.setup().marks[0];
        prop_assert!(mark.drawn.is_empty() && mark.drawn_on.is_none());
        edit.set_mark_drawn("R1", &positions, &[], Some(day())).expect("it is drawn");
        let mark = &edit.setup().marks[0];
        prop_assert_eq!((mark.drawn.len(), mark.drawn_on), (2, Some(day())));
        prop_assert!(edit.setup().notes.iter().any(|note| note.on == "mark.R1" && note.text.value == "struck"));
        prop_assert_eq!(edit.setup().notes.len(), look.notes + 2);
    }

    #[test]
    fn a_note_adds_one_stretch(look in looks(), on in prop::sample::select(vec![
        "", "right.brake-lever", "torque.stem-face", "mark.R1",
    ]), text in "[ -~\u{a0}-\u{2030}\u{202a}-\u{202e}\u{feff}]{1,20}") {
        let built = build(&look);
        let mut edit = open(&built.text);
        let before = said(edit.setup());
        prop_assume!(!text.trim().is_empty());
        edit.add_note(on, &text).expect("it is noted");
        prop_assert!(edit.setup().notes.iter().any(|note| note.on == on && note.text.value == text));
        prop_assert_eq!(said(edit.setup()), before);
        let after = edit.text();
        let head = built.text.bytes().zip(after.bytes()).take_while(|(was, now)| was == now).count();
        let tail = built.text.bytes().rev().zip(after.bytes().rev()).take_while(|(was, now)| was == now).count();
        prop_assert!(head + tail >= built.text.len(), "{after}");
    }
}
