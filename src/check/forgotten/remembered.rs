//! What a sheet that reads a forgotten measure again is compared with: the figure that its note keeps.
//!
//! That nobody knew how a clamp stood is no reason to take wherever it is found next for its place: the place it had
//! before it was let go is the one that somebody set and rode.

use std::borrow::Cow;

use crate::catalogue::table::{BAR_ROLL, FLOOR};
use crate::catalogue::{Catalogue, MeasureId, joint};
use crate::check::{before_the_roll, lines};
use crate::metrology::reading::Reading;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{MarkState, Recorded, Setup, Value};

use super::{AT_ROLL, Noted, carried, noted};

/// The setup that a sheet is compared with: what it reads of what nobody knew stands there as it read before, and what it finds
/// where a bar that was rolled took it along stands there.
pub fn remembered<'s>(catalogue: &Catalogue, setup: &'s Setup, sheet: &Setup) -> Cow<'s, Setup> {
    let day = sheet.day();
    let is_read = |id: &MeasureId| {
        let recorded = sheet.recorded(id).or_else(|| sheet.aside.get(id));
        recorded.is_some_and(|recorded| matches!(recorded.value, Value::Reading(_)))
    };
    let one = |id: &MeasureId| {
        let noted = noted(catalogue, setup, id).filter(|_| is_read(id))?;
        // What was read before the clamp was let go tells nothing of what became of it.
        let is_older = noted.since.zip(day).is_some_and(|(since, day)| day < since);
        let old = reading_of(catalogue, id, &noted).filter(|_| !is_older)?;
        let at_roll = roll_of(catalogue, &noted).zip(bar_roll(catalogue, setup, is_read));
        let reading = if let Some((then, now)) = at_roll {
            carried::at_roll(catalogue, id, &old, &then, &now)?
        } else if carried::is_by_the_bar(noted.because) {
            carried::along(catalogue, setup, id, (noted.because, noted.since), &old)?
        } else {
            Some(old).filter(|_| is_of_this_bar(catalogue, setup, id, &noted, is_read))?
        };
        let value = Value::Reading(reading);
        Some((id.clone(), Recorded { value, ..setup.recorded(id)?.clone() }))
    };
    let known: Vec<(MeasureId, Recorded)> = setup.readings.keys().filter_map(one).collect();
    let is_known = |id: &MeasureId| known.iter().any(|(one, _)| one == id);
    let along = |id: &MeasureId| Some((id.clone(), taken_along(catalogue, setup, sheet, id)?));
    let along: Vec<(MeasureId, Recorded)> =
        setup.readings.keys().filter(|id| !is_known(id)).filter_map(along).collect();
    if known.is_empty() && along.is_empty() {
        return Cow::Borrowed(setup);
    }
    let mut whole = setup.clone();
    let is_unsure = |id: &&MeasureId| !is_told_by_its_line(catalogue, setup, sheet, id);
    let unsure = along.iter().map(|(id, _)| id).filter(is_unsure);
    whole.unsure = unsure.filter_map(|id| Some((id.clone(), setup.reading(id)?.clone()))).collect();
    whole.readings.extend(known.into_iter().chain(along));
    Cow::Owned(whole)
}

/// What an angle that was read before the bar was rolled reads since, where the sheet finds the control there: then nobody
/// touched its clamp, unless it was set back and turned by as much afterwards, which only a line tells. Found elsewhere it is
/// held against what is recorded.
fn taken_along(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, id: &MeasureId) -> Option<Recorded> {
    let found = sheet.reading(id)?;
    let before = before_the_roll::read_before(catalogue, setup, id)?;
    let day = sheet.day_of(Some(found)).filter(|day| before.since.is_none_or(|since| *day >= since))?;
    let (then, now) = (before.then?.roll, lines::roll_now(catalogue, setup)?);
    let along = carried::at_roll(catalogue, id, setup.reading(id)?, &then, &now)?;
    let floors = [setup, sheet].map(|on| on.value(&MeasureId::bike(FLOOR)));
    let slope = match floors {
        [Some(was), Some(is)] => is - was,
        [None, None] => 0.0,
        _ => return None,
    };
    let rolled = sheet.value(&lines::roll()).map_or(0.0, |roll| roll - now.value());
    let apart = found.value() + slope - rolled - along.value();
    let expanded = found.expanded_uncertainty().hypot(along.expanded_uncertainty());
    let is_there = judge(apart, expanded) != Verdict::Moved;
    let value = Value::Reading(along.read_on(day));
    is_there.then_some(Recorded { value, ..setup.recorded(id)?.clone() })
}

/// Whether a sheet tells that a line of the control's own clamp meets: then nobody turned it on the bar.
fn is_told_by_its_line(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, id: &MeasureId) -> bool {
    setup.joint_of(catalogue, id).is_some_and(|joint| {
        let mut lines = setup.marks_on(joint).filter(|mark| mark.drawn.iter().any(|(drawn, _)| drawn == id));
        lines.any(|mark| sheet.seen(&mark.name.value) == Some(MarkState::Aligned))
    })
}

/// Whether the old figure still says where the part is to stand. An angle on a bar that was let go goes with the roll
/// of that time: it does only where the sheet reads that, too.
fn is_of_this_bar(
    catalogue: &Catalogue,
    setup: &Setup,
    id: &MeasureId,
    noted: &Noted,
    is_read: impl Fn(&MeasureId) -> bool,
) -> bool {
    // It was read on a bar that stands otherwise now, or from an end that is not there.
    if carried::is_by_the_bar(noted.because) {
        return false;
    }
    let is_by_its_own_clamp = || {
        let joint = setup.joint_of(catalogue, id);
        let mark = noted.because.strip_prefix("mark ").and_then(|words| words.split(' ').next());
        let crossed = mark.and_then(|name| setup.mark(name)).and_then(|mark| mark.on.as_ref());
        crossed.is_some_and(|on| joint == Some(&*setup.clamp_of(&on.value)))
            || joint.is_some_and(|name| noted.because == format!("the {} was opened", joint::title(name)))
    };
    let roll = MeasureId::bike(BAR_ROLL);
    let is_roll_read = || super::noted(catalogue, setup, &roll).is_some() && is_read(&roll);
    !joint::is_control_angle(id.row) || is_by_its_own_clamp() || is_roll_read()
}

/// How the bar stood when a kept figure was read, where the note says so.
fn roll_of(catalogue: &Catalogue, noted: &Noted) -> Option<Reading> {
    let (_, roll) = noted.read.split_once(AT_ROLL)?;
    figure_of(catalogue, &MeasureId::bike(BAR_ROLL), roll)
}

/// How the bar stands in the file, or, where nobody knows that, how it stood before it was let go: that only where it is read
/// again, for then how far it was rolled since is known, too.
fn bar_roll(catalogue: &Catalogue, setup: &Setup, is_read: impl Fn(&MeasureId) -> bool) -> Option<Reading> {
    let roll = MeasureId::bike(BAR_ROLL);
    let kept = || {
        let noted = noted(catalogue, setup, &roll).filter(|_| is_read(&roll))?;
        reading_of(catalogue, &roll, &noted)
    };
    setup.reading(&roll).cloned().or_else(kept)
}

/// The figure to which a measure that nobody reads is to be set, as its note has it: none where the bar it was read on
/// stands nobody knows how.
pub fn figure(catalogue: &Catalogue, setup: &Setup, id: &MeasureId, noted: &Noted) -> Option<String> {
    let is_set_too = |_: &MeasureId| true;
    let reading = reading_of(catalogue, id, noted)?;
    if let Some((then, now)) = roll_of(catalogue, noted).zip(bar_roll(catalogue, setup, is_set_too)) {
        return carried::at_roll(catalogue, id, &reading, &then, &now).map(|reading| reading.in_words());
    }
    is_of_this_bar(catalogue, setup, id, noted, is_set_too).then(|| reading.in_words())
}

/// The figure that a note keeps, as far as it can be read: "168 mm", "32° on 2026-05-02", "32.50° (mean of 3)".
fn reading_of(catalogue: &Catalogue, id: &MeasureId, noted: &Noted) -> Option<Reading> {
    let read = noted.read.split_once(AT_ROLL).map_or(noted.read, |(read, _)| read);
    figure_of(catalogue, id, read)
}

fn figure_of(catalogue: &Catalogue, id: &MeasureId, read: &str) -> Option<Reading> {
    let (figure, day) = match read.rsplit_once(" on ") {
        Some((figure, day)) => (figure, Some(day.parse().ok()?)),
        None => (read, None),
    };
    let figure = figure.split_once(" (").map_or(figure, |(mean, _)| mean);
    let measure = catalogue.measure(id.row);
    let in_unit = |unit: &Unit| {
        let digits = figure.strip_suffix(unit.sign())?;
        let value: f64 = digits.parse().ok()?;
        Reading::new([value], [digits], *unit, measure.unit(), measure.tolerance())
    };
    let reading = Unit::ALL.iter().find_map(in_unit)?;
    Some(match day {
        Some(day) => reading.read_on(day),
        None => reading,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    fn setup(text: &str) -> Setup {
        read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup")
    }

    #[test]
    fn what_is_read_again_stands_where_the_note_has_it() {
        let file = setup(
            r#"setup "rowan/race" format=1 { right { brake-lever { from-tip unmeasured; angle unmeasured
                note "2026-05-09 from-tip no longer known: mark R1 was found broken; it read 6.5 in before"
                note "2026-05-09 angle no longer known: the bar was rolled; it read 32° before" } }
                mark "R1" on="right.brake-lever" }"#,
        );
        let sheet = |day: &str| {
            setup(&format!(
                "found \"rowan/race\" format=1 {{ measured \"{day}\"
                    right {{ brake-lever {{ from-tip 150; angle 5 }} }} }}"
            ))
        };
        let catalogue = Catalogue::standard();
        let place = catalogue.find("right.brake-lever.from-tip").expect("a measure");
        let angle = catalogue.find("right.brake-lever.angle").expect("a measure");
        let later = sheet("2026-05-10");
        let known = remembered(catalogue, &file, &later);
        // 6.5 inches of 25.4 mm.
        assert!((known.reading(&place).expect("known").value() - 165.1).abs() < 1e-9);
        // The angle was read on a bar that stands otherwise since.
        assert!(known.reading(&angle).is_none());
        let older = sheet("2026-05-08");
        assert!(matches!(remembered(catalogue, &file, &older), Cow::Borrowed(_)));
    }
}
