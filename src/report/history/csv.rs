//! `history` as comma-separated values: the named values, or everything that differs, a line each.

use std::fmt::Write as _;

use crate::compare::{
    Also, Change, Held, LastApplied, Limits, NoteChange, RangeShift, TorqueChange, told_first,
};
use crate::history::{Entry, Event, NotTaken, Place, Report, Series};
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use super::revision::{fate, from_to};

/// The report as comma-separated values: the named values, or every change.
pub fn csv(report: &Report) -> String {
    let mut text = String::new();
    if report.series.is_empty() {
        text.push_str("revision,date,author,subject,event,measure,was,now,delta,U,unit,verdict\n");
        for entry in &report.entries {
            whole(&mut text, entry);
        }
        return text;
    }
    text.push_str("name,revision,date,value,U,unit,written,verdict\n");
    for series in &report.series {
        let older = series.unchanged_since().into_iter().map(|start| (start, "older"));
        for (point, became) in series.points.iter().map(|point| (point, became(series, point))).chain(older) {
            let became = match point.ground {
                Some(ground) => format!("{became} ({ground})"),
                None => became.to_owned(),
            };
            let cells = [
                series.name.clone(),
                point.revision.clone(),
                point.date.clone(),
                full(point.value),
                full(point.uncertainty),
                series.unit.to_owned(),
                point.written.clone().unwrap_or_default(),
                became,
            ];
            line(&mut text, &cells);
        }
    }
    text
}

/// What became of a value at one revision.
fn became(series: &Series, point: &Place) -> &'static str {
    match (point.event, point.verdict) {
        _ if point.kept.is_some() => "kept",
        (Event::Deleted | Event::Unreadable | Event::ShallowCloneEnds, _) => point.event.word(),
        _ if series.is_never_recorded() => "never recorded",
        (_, None) if !point.is_recorded() => Verdict::NotRecorded.word(),
        (Event::Back, None) => "recorded again",
        (_, None) => "first recorded",
        (_, Some(verdict)) => verdict.word(),
    }
}

/// One thing that differs: what it is, what it was, and what became of it.
#[derive(Default)]
struct Row {
    what: String,
    was: String,
    now: String,
    delta: String,
    uncertainty: String,
    unit: &'static str,
    verdict: &'static str,
}

/// A revision, a line for each thing that differs, and one without where nothing does.
fn whole(text: &mut String, entry: &Entry) {
    let renamed = match (&entry.renamed_from, &entry.renamed_to) {
        (Some(from), _) => Some((from, &entry.path)),
        (None, Some(to)) => Some((&entry.path, to)),
        (None, None) => None,
    };
    let path = |(was, now): (&String, &String)| row_of_words("path".to_owned(), Some(was), Some(now));
    let mut rows: Vec<Row> = renamed.map(path).into_iter().collect();
    rows.extend(entry.changes.iter().map(measure));
    rows.extend(entry.common_shift.iter().map(|shift| Row {
        what: "common-shift".to_owned(),
        delta: full(Some(shift.shift)),
        uncertainty: full(Some(shift.uncertainty)),
        unit: Unit::Degree.word(),
        verdict: if shift.is_the_ground { "the ground" } else { "the bar or the ground" },
        ..Row::default()
    }));
    rows.extend(entry.unread_ground.angles.iter().map(|angle| Row {
        what: "floor-not-read".to_owned(),
        now: angle.title.clone(),
        verdict: entry.on_unread_ground(&angle.id).unwrap_or_default(),
        ..Row::default()
    }));
    rows.extend(entry.parts.iter().map(|part| Row {
        what: format!("part.{}", part.part),
        verdict: part.verdict.word(),
        ..Row::default()
    }));
    rows.extend(entry.marks.iter().map(|mark| Row {
        what: format!("mark.{}", mark.mark),
        verdict: fate(mark),
        ..Row::default()
    }));
    rows.extend(
        told_first(&entry.damages, &entry.besides)
            .map(|damage| row_of_words(format!("damage.{}", damage.on), None, Some(&damage.said()))),
    );
    rows.extend(
        entry.besides.iter().map(|one| row_of_words(one.about.clone(), one.was.as_ref(), one.now.as_ref())),
    );
    rows.extend(entry.torque.iter().flat_map(torque));
    rows.extend(entry.instruments.iter().map(|change| {
        row_of_words(format!("instrument.{}", change.instrument), change.was.as_ref(), change.now.as_ref())
    }));
    rows.extend(
        entry
            .read_otherwise
            .iter()
            .map(|one| row_of_words(format!("tolerance.{}", one.measure), Some(&one.was), Some(&one.now))),
    );
    rows.extend(entry.notes.iter().map(note));
    rows.extend(entry.joined.not_taken.iter().flat_map(not_taken));
    if rows.is_empty() {
        rows.push(Row::default());
    }
    for row in rows {
        let cells = [
            entry.revision.clone(),
            entry.date.clone(),
            entry.author.clone(),
            entry.subject.clone(),
            entry.event.word().to_owned(),
            row.what,
            row.was,
            row.now,
            row.delta,
            row.uncertainty,
            row.unit.to_owned(),
            row.verdict.to_owned(),
        ];
        line(text, &cells);
    }
}

/// What a merge did not take of one version: what it was there, and what it is in the merge.
fn not_taken(version: &NotTaken) -> Vec<Row> {
    let mut rows: Vec<Row> = version.changes.iter().map(measure).collect();
    rows.extend(version.torque.iter().flat_map(torque));
    rows.extend(
        version.told.iter().map(|one| row_of_words(one.about.clone(), one.was.as_ref(), one.now.as_ref())),
    );
    let open = version.left_open.iter().map(|one| (format!("note.{}", one.joint), one.note.clone()));
    let notes = version.forbidding.iter().map(|note| (format!("note.{}", note.on), note.text.clone()));
    let notes = open.chain(notes);
    let damages = version.damages.iter().map(|damage| (format!("damage.{}", damage.on), damage.said()));
    rows.extend(notes.chain(damages).map(|(what, was)| Row {
        what: what.trim_end_matches('.').to_owned(),
        was,
        ..Row::default()
    }));
    rows.extend(version.notes.iter().map(note));
    for row in &mut rows {
        row.verdict = "not taken";
    }
    rows
}

fn measure(change: &Change) -> Row {
    let held = |held: &Option<Held>| match held {
        Some(Held::Number(number)) => full(Some(*number)),
        Some(Held::Word(word)) => (*word).to_owned(),
        None => String::new(),
    };
    Row {
        what: change.measure.clone(),
        was: held(&change.was),
        now: held(&change.now),
        delta: full(change.delta),
        uncertainty: full(change.uncertainty),
        unit: change.unit,
        verdict: change.verdict.word(),
    }
}

/// A line for the range, for what the ceilings leave of it, and for each other thing that differs.
fn torque(change: &TorqueChange) -> Vec<Row> {
    let range = |limits: Option<Limits>| limits.map(from_to).unwrap_or_default();
    let mut rows = Vec::new();
    if change.shift != RangeShift::Same {
        rows.push(Row {
            what: format!("torque.{}", change.joint),
            was: range(change.was),
            now: range(change.now),
            unit: change.unit,
            verdict: change.shift.word(),
            ..Row::default()
        });
    }
    if change.ceiling_changed {
        rows.push(Row {
            what: format!("torque.{}.allowed", change.joint),
            was: range(change.allowed_was),
            now: range(change.allowed_now),
            unit: change.unit,
            verdict: change.allowed_shift.word(),
            ..Row::default()
        });
    }
    rows.extend(change.also.iter().flat_map(|also| {
        let (which, was, now) = match also {
            Also::Ceiling { part, was, now } => {
                (format!("ceiling.{part}"), was.clone().unwrap_or_default(), now.clone().unwrap_or_default())
            }
            Also::Word { what, was, now } => {
                ((*what).to_owned(), was.clone().unwrap_or_default(), now.clone().unwrap_or_default())
            }
            Also::Applied { was, now } => return applied(&change.joint, was.as_ref(), now.as_ref()),
            Also::TurnsInACrash(now) => ("slips-in-a-crash".to_owned(), (!now).to_string(), now.to_string()),
        };
        vec![Row {
            what: format!("torque.{}.{which}", change.joint),
            was,
            now,
            verdict: "changed",
            ..Row::default()
        }]
    }));
    rows
}

/// A line for the figures, and one for the days where these differ. Figures in two units carry them along.
fn applied(joint: &str, was: Option<&LastApplied>, now: Option<&LastApplied>) -> Vec<Row> {
    let one_unit = was.zip(now).is_none_or(|(was, now)| was.figure.unit == now.figure.unit);
    let figure = |last: &LastApplied| {
        let sign = if one_unit { "" } else { last.figure.unit.sign() };
        format!("{}{sign}", last.figure.digits)
    };
    let mut figures =
        row_of_words(format!("torque.{joint}.applied"), was.map(figure).as_ref(), now.map(figure).as_ref());
    if one_unit {
        figures.unit = now.or(was).map_or("", |last| last.figure.unit.word());
    }
    if was.zip(now).is_some_and(|(was, now)| was.is_same_figure(now)) {
        figures.verdict = Verdict::Same.word();
    }
    let day = |last: Option<&LastApplied>| last.and_then(|last| last.read).map(|day| day.to_string());
    let (then, since) = (day(was), day(now));
    let mut rows = vec![figures];
    if then != since {
        rows.push(row_of_words(format!("torque.{joint}.applied.read"), then.as_ref(), since.as_ref()));
    }
    rows
}

/// Which note, by where it stands: `note`, `note.left.brake-lever`, `note.caution.stem-face`.
fn note(change: &NoteChange) -> Row {
    let what = if change.on.is_empty() { "note".to_owned() } else { format!("note.{}", change.on) };
    row_of_words(what, change.was.as_ref(), change.now.as_ref())
}

fn row_of_words(what: String, was: Option<&String>, now: Option<&String>) -> Row {
    let verdict = match (was, now) {
        (None, _) => Verdict::Recorded.word(),
        (_, None) => Verdict::NotRecorded.word(),
        _ => "changed",
    };
    let text = |text: Option<&String>| text.cloned().unwrap_or_default();
    Row { what, was: text(was), now: text(now), verdict, ..Row::default() }
}

/// A number in full.
fn full(number: Option<f64>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}

/// One line (RFC 4180): a cell with a comma, quote or line end stands in quotes.
fn line(text: &mut String, cells: &[String]) {
    for (index, cell) in cells.iter().enumerate() {
        let gap = if index == 0 { "" } else { "," };
        if cell.contains([',', '"', '\n', '\r']) {
            let _ = write!(text, "{gap}\"{}\"", cell.replace('"', "\"\""));
        } else {
            let _ = write!(text, "{gap}{cell}");
        }
    }
    text.push('\n');
}
