//! A setup as a list, one line for each thing that can differ: so that a difference of lines is a difference of bikes.

use std::fmt::Write as _;

use crate::catalogue::Catalogue;
use crate::catalogue::joint;
use crate::compare::typed;
use crate::geometry::derived::{All, DERIVED};
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::{Kind, Mark, Setup, Value};
use crate::setup::torque::{Torque, TorqueFigure};

/// The list: measures in the table's order, what follows for the hands, torque, marks, then words.
pub fn listing(catalogue: &Catalogue, setup: &Setup) -> String {
    let mut list = String::new();
    let kind = if setup.kind == Kind::Found { "as found, " } else { "" };
    let _ = writeln!(list, "{kind}{}", setup.name.value);
    if let Some(measured) = &setup.measured {
        let by = measured.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
        let _ = writeln!(list, "measured: {}{by}", measured.date);
    }
    for (id, recorded) in &setup.readings {
        let _ = writeln!(list, "{}: {}", catalogue.title(id), value(&recorded.value));
    }
    hands(&mut list, catalogue, setup);
    for torque in &setup.torques {
        let _ = writeln!(list, "torque, {}: {}", joint::title(&torque.joint.value), self::torque(torque));
    }
    for mark in &setup.marks {
        let _ = writeln!(list, "mark {}: {}", mark.name.value, self::mark(catalogue, mark));
    }
    for guard in &setup.guards {
        let _ = writeln!(list, "guard: {}", guard.place.value);
    }
    for damage in &setup.damages {
        let _ = writeln!(list, "damage, {}: {}", damage.on.value, damage.said());
    }
    for accepted in &setup.accepted {
        let on = accepted.on.as_ref().map(|on| format!(" on {}", on.value)).unwrap_or_default();
        let _ = writeln!(list, "accepted, {}{on}: {}", accepted.code.value, accepted.why.value);
    }
    words(&mut list, setup);
    list
}

fn value(value: &Value) -> String {
    match value {
        Value::Reading(reading) => {
            let sign = reading.default_unit().sign();
            let width = show::plain(reading.half_width(), 3);
            let width = width.trim_end_matches('0').trim_end_matches('.');
            let day = reading.read().map(|day| format!(", read {day}")).unwrap_or_default();
            let by = reading.instrument().map(|name| format!(", {name}")).unwrap_or_default();
            format!("{} ± {width}{sign}{by}{day}", typed(reading))
        }
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "not measured yet".to_owned(),
    }
}

fn hands(list: &mut String, catalogue: &Catalogue, setup: &Setup) {
    let values = State::recorded(catalogue, setup).values(&All);
    for (derived, value) in DERIVED.iter().zip(values).filter(|(derived, _)| !derived.detail) {
        if let Some(value) = value {
            let places = if derived.unit.sign().is_empty() { 2 } else { 1 };
            let _ =
                writeln!(list, "→ {}: {}{}", derived.title, show::plain(value, places), derived.unit.sign());
        }
    }
}

fn figure(figure: &TorqueFigure) -> String {
    format!("{}{}", figure.digits, figure.unit.sign())
}

fn torque(torque: &Torque) -> String {
    let mut said = Vec::new();
    if let Some(range) = &torque.range {
        said.push(format!("{} to {}", figure(range.value.from()), figure(range.value.to())));
    }
    said.extend(torque.tool.iter().map(|tool| format!("tool {tool}")));
    let bolt: Vec<&str> =
        [&torque.thread, &torque.class].into_iter().flatten().map(|word| word.value.as_str()).collect();
    if !bolt.is_empty() {
        said.push(format!("bolt {}", bolt.join(" ")));
    }
    let ceilings = torque.ceilings.iter();
    said.extend(
        ceilings.map(|ceiling| format!("{} at most {}", ceiling.part.value, figure(&ceiling.limit.value))),
    );
    if torque.slips_in_a_crash.is_some() {
        said.push("slips in a crash".to_owned());
    }
    if let Some(applied) = &torque.applied {
        let day = applied.read.map(|day| format!(" on {day}")).unwrap_or_default();
        said.push(format!("last applied {}{day}", figure(&applied.figure.value)));
    }
    said.extend(torque.cautions.iter().map(|caution| caution.value.replace('\n', " ")));
    said.join("; ")
}

fn mark(catalogue: &Catalogue, mark: &Mark) -> String {
    let mut said: Vec<String> = mark.on.iter().map(|on| format!("on {}", on.value)).collect();
    said.extend(
        mark.drawn.iter().map(|(id, drawn)| {
            format!("drawn at {} {}", catalogue.measure(id.row).word(), value(&drawn.value))
        }),
    );
    said.extend(mark.roll.iter().map(|roll| format!("at a roll of {}", value(&roll.value))));
    said.extend(mark.drawn_on.iter().map(|day| format!("on {day}")));
    said.extend(mark.reads.iter().map(|reads| reads.replace('\n', " ")));
    said.extend(mark.state.iter().map(|state| format!("found {:?}", state.value).to_lowercase()));
    said.join("; ")
}

fn words(list: &mut String, setup: &Setup) {
    for line in setup.purpose.iter().flat_map(|purpose| purpose.value.lines()) {
        let _ = writeln!(list, "purpose: {line}");
    }
    for note in &setup.notes {
        let on = if note.on.is_empty() { String::new() } else { format!(", {}", note.on) };
        for line in note.text.value.lines() {
            let _ = writeln!(list, "note{on}: {line}");
        }
    }
}
