//! What goes along when a bar is rolled or cut or a shared clamp turned, though the sheet does not read it.
//!
//! A control's angle is read against gravity and its mark is drawn on the bar: once the bar is rolled, the recorded
//! angle is no longer the one on the bike, whether or not anybody touched the control. Where a mark tells how the
//! control stands on the bar, the new angle is worked out from it; where none does, the angle is no longer known. So it is
//! with a place that is counted from the end of the bar, once that is cut.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS, Control};
use crate::catalogue::table::{BAR_ROLL, BAR_WIDTH, FLOOR, HOSE_LEAVES_FROM_TIP, HOSE_LEAVES_SIDE};
use crate::catalogue::{Catalogue, Gravity, Kind, MeasureId, Side, Weight};
use crate::check::forgotten;
use crate::check::forgotten::carried::{CUT, ROLLED, cut, rolled};
use crate::check::lines::{self, Since};
use crate::check::marks::staleness;
use crate::compare;
use crate::geometry::state::{Difference, InputId, Layer, State, Turns};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;
use crate::setup::edit::{Edit, EditError, NewReading};
use crate::setup::model::{Mark, Setup, Value};

/// A recorded measure that nobody knows any more.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NoLongerKnown {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
    /// What a slip at its joint does.
    pub weight: Weight,
    /// What was recorded, with its unit.
    pub was: String,
    /// All of it, in one sentence.
    pub words: String,
    #[serde(skip)]
    pub(super) because: String,
}

impl NoLongerKnown {
    /// Those of steering and brakes, what one thing did to them together: "left brake lever angle, right brake lever
    /// angle no longer known: the bar was rolled".
    pub(super) fn dangerous(all: &[NoLongerKnown]) -> Vec<String> {
        let mut by_cause: Vec<(&str, Vec<&str>)> = Vec::new();
        for one in all.iter().filter(|one| one.weight == Weight::SteeringAndBrakes) {
            match by_cause.iter_mut().find(|(because, _)| *because == one.because) {
                Some((_, titles)) => titles.push(&one.title),
                None => by_cause.push((&one.because, vec![&one.title])),
            }
        }
        let words = |(because, titles): &(&str, Vec<&str>)| {
            format!("{} no longer known: {because}", titles.join(", "))
        };
        by_cause.iter().map(words).collect()
    }
}

/// A line on a bar that was rolled or cut, which reads otherwise though it stands where it was drawn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LineCarried {
    /// Its mark.
    pub mark: String,
    /// The measure's written path.
    pub measure: String,
    /// The measure in plain words.
    pub title: String,
    /// What it read, with its unit.
    pub was: String,
    /// What it reads, with its unit.
    pub now: String,
    /// Whether its place is counted from an end that was cut off.
    #[serde(skip)]
    pub by_saw: bool,
}

/// A difference of two readings and its half-width, in degrees; of places along the bar in mm.
#[derive(Clone, Copy)]
pub(super) struct Turn {
    pub(super) degrees: f64,
    pub(super) half_width: f64,
}

impl Turn {
    /// Both turns, one after the other; the half-widths in quadrature (GUM 5.1.2).
    fn and(self, other: Turn) -> Turn {
        Turn { degrees: self.degrees + other.degrees, half_width: self.half_width.hypot(other.half_width) }
    }

    fn reading(self) -> Option<Reading> {
        let digits = show::plain(self.degrees, 3);
        Reading::new([self.degrees], [digits], Unit::Degree, Unit::Degree, self.half_width)
    }
}

/// What nobody knows any more.
pub(super) struct Unknown {
    pub(super) id: MeasureId,
    /// What became of it.
    pub(super) because: String,
    /// The day on which that was seen, if not that of the recording.
    pub(super) day: Option<NaiveDate>,
}

impl Unknown {
    pub(super) fn of(id: MeasureId, because: &str) -> Unknown {
        Unknown { id, because: because.to_owned(), day: None }
    }
}

/// What went along.
#[derive(Default)]
pub(super) struct Carried {
    /// By how much each control's angle against gravity differs from the recorded one.
    pub(super) turns: Turns,
    /// Those of them that stand on the bar as recorded: their lines still meet.
    pub(super) along: Vec<MeasureId>,
    /// What nobody knows any more, and what became of it: "the bar was rolled".
    pub(super) unknown: Vec<Unknown>,
    /// By how much the bar was rolled, if it was.
    roll: Option<Turn>,
    /// What was cut off each end of the bar, mm, if it was.
    cut_off: Option<f64>,
}

/// The bar's roll, which every control on it goes along with.
pub(super) fn roll() -> MeasureId {
    MeasureId::bike(BAR_ROLL)
}

/// What goes along with what is written.
pub(super) fn carried(found: &State, turns: &Turns, all: &[MeasureId]) -> Carried {
    let roll = all.contains(&roll()).then(|| difference(found, &roll())).flatten();
    let recorded = State::recorded(found.catalogue(), found.setup());
    let is_cut = all.contains(&MeasureId::bike(BAR_WIDTH));
    let cut_off = is_cut.then(|| compare::cut_off(&Difference { from: recorded, to: *found })).flatten();
    let mut carried = Carried { roll, cut_off, ..Carried::default() };
    for (side, control) in found.setup().controls() {
        one(&mut carried, found, turns, all, side, control);
        if let Some(half) = cut_off {
            place(&mut carried, found, MeasureId::of(control.from_tip, side));
            lowest(&mut carried, found, side, control, half);
        }
    }
    if let Some(half) = cut_off {
        hose_ends(&mut carried, found, half);
    }
    carried.turns.extend(along(found, turns, &carried, all));
    carried
}

/// The points that go along with what is written of the controls and the bar.
fn along(found: &State, turns: &Turns, carried: &Carried, all: &[MeasureId]) -> Turns {
    let Some(sheet) = found.sheet() else { return Turns::new() };
    let against_gravity: Turns =
        turns.iter().chain(&carried.turns).map(|(id, turn)| (id.clone(), turn.clone())).collect();
    let found = found.found(sheet, Some(&against_gravity));
    super::along::points(&found, all, carried.cut_off.is_some())
}

/// The same of all that a sheet finds to have moved, be it written or not.
pub fn points_along(recorded: &State, sheet: &Setup, turns: &Turns) -> Turns {
    let found = recorded.found(sheet, Some(turns));
    let comparison = compare::as_written(*recorded, found);
    let moved = comparison.changes.iter().filter(|change| change.verdict == Verdict::Moved);
    let moved: Vec<MeasureId> = moved.map(|change| change.id.clone()).collect();
    along(&found, turns, &carried(&found, turns, &moved), &moved)
}

/// The place of a control on a bar that was cut: nobody knows it who has not looked whether it was slid along.
fn place(carried: &mut Carried, found: &State, id: MeasureId) {
    if found.layer(&id) == Layer::Recorded && found.setup().reading(&id).is_some() {
        carried.unknown.push(Unknown::of(id, CUT));
    }
}

/// By how much what goes along with a control reads otherwise from the new end of a bar that was cut: as its control does,
/// where that was looked at; else it stands where it stood on the bar, whose middle stayed.
fn along_with(found: &State, side: Side, control: &Control, half: f64) -> f64 {
    let holder = CONTROLS.first().filter(|_| found.setup().is_shared(side, control)).unwrap_or(control);
    let place = MeasureId::of(holder.from_tip, side);
    let recorded = found.setup().value(&place).filter(|_| found.layer(&place) != Layer::Recorded);
    found.value(&place).zip(recorded).map_or(-half, |(now, was)| now - was)
}

/// The lowest points of a control on a bar that was cut: counted from the same end, they go with it.
fn lowest(carried: &mut Carried, found: &State, side: Side, control: &Control, half: f64) {
    let [from_tip, ..] = control.lowest;
    let is_here = |id: &&MeasureId| id.row == from_tip && id.subject.side == Some(side);
    for id in found.setup().readings.keys().filter(is_here) {
        slid(carried, found, id, along_with(found, side, control, half));
    }
}

/// Where hoses leave a bar that was cut: each with the control that it leaves, where that is known.
fn hose_ends(carried: &mut Carried, found: &State, half: f64) {
    let setup = found.setup();
    for id in setup.readings.keys().filter(|id| id.row == HOSE_LEAVES_FROM_TIP) {
        let leaves = MeasureId { row: HOSE_LEAVES_SIDE, subject: id.subject.clone() };
        let side = setup.choice(&leaves).and_then(Side::parse);
        let name = id.subject.name.as_deref().unwrap_or_default();
        let is_there =
            |side: Side| move |control: &Control| setup.has_part(&format!("{side}.{}", control.name));
        let control = side.and_then(|side| Some((side, joint::left_by(name, is_there(side))?)));
        let by = control.map_or(-half, |(side, control)| along_with(found, side, control, half));
        slid(carried, found, id, by);
    }
}

/// A place that nobody read and that is counted from an end that was cut off.
fn slid(carried: &mut Carried, found: &State, id: &MeasureId, by: f64) {
    let is_read = found.layer(id) != Layer::Recorded;
    let reading = Reading::new([by], [show::plain(by, 3)], Unit::Millimetre, Unit::Millimetre, 0.0);
    carried.turns.extend(reading.filter(|_| !is_read && by != 0.0).map(|reading| (id.clone(), reading)));
}

fn one(
    carried: &mut Carried,
    found: &State,
    turns: &Turns,
    all: &[MeasureId],
    side: Side,
    control: &Control,
) {
    let id = MeasureId::of(control.angle, side);
    let is_read = |id: &MeasureId| found.layer(id) == Layer::Found;
    if is_read(&id) || found.setup().reading(&id).is_none() {
        return;
    }
    let lever = CONTROLS.first().map(|lever| MeasureId::of(lever.angle, side));
    let lever = lever.filter(|_| found.setup().is_shared(side, control));
    if let Some(lever) = lever.clone().filter(is_read) {
        let turned = all.contains(&lever).then(|| difference(found, &lever)).flatten();
        let turned = turned.filter(|turned| is_possible(found, &id, *turned));
        let reading = turned.and_then(Turn::reading);
        carried.turns.extend(reading.map(|reading| (id, reading)));
        return;
    }
    let Some(roll) = carried.roll else { return };
    // What sits on the lever's clamp and was not read is where the clamp is.
    let Some(told) = turns.get(&id).or_else(|| turns.get(&lever?)) else {
        carried.unknown.push(Unknown::of(id, ROLLED));
        return;
    };
    let told = Turn { degrees: told.value(), half_width: told.half_width() };
    let turned = roll.and(told);
    // No control stands so: the mark or the roll was misread.
    if !is_possible(found, &id, turned) {
        carried.unknown.push(Unknown::of(id, ROLLED));
        return;
    }
    if let Some(reading) = turned.reading() {
        if told.degrees.abs() < NEGLIGIBLE {
            carried.along.push(id.clone());
        }
        carried.turns.insert(id, reading);
    }
}

/// Whether a recorded angle may read so after such a turn.
fn is_possible(found: &State, id: &MeasureId, turned: Turn) -> bool {
    let after = found.setup().value(id).map(|recorded| recorded + turned.degrees);
    after.is_some_and(|after| is_in_span(found.catalogue(), id, after))
}

fn is_in_span(catalogue: &Catalogue, id: &MeasureId, value: f64) -> bool {
    matches!(catalogue.measure(id.row).kind, Kind::Reading { low, high, .. } if (low..=high).contains(&value))
}

/// Found less recorded, both taken to level ground.
pub(super) fn difference(found: &State, id: &MeasureId) -> Option<Turn> {
    let recorded = State::recorded(found.catalogue(), found.setup());
    let degrees = found.level_value(id)? - recorded.level_value(id)?;
    // A turn told by a mark is the difference itself.
    let turn = found.reading(&InputId { layer: Layer::Turn, measure: id.clone() });
    if let Some(turn) = turn.filter(|_| found.layer(id) == Layer::Turn) {
        return Some(Turn { degrees, half_width: turn.half_width() });
    }
    let against_gravity = found.catalogue().measure(id.row).gravity != Gravity::None;
    let floors = [found.floor(), recorded.setup().reading(&MeasureId::bike(FLOOR))];
    let floors = floors.into_iter().flatten().filter(|_| against_gravity);
    let ends = [found.number(id), recorded.number(id)].into_iter().flatten();
    let half_width = ends.chain(floors).map(Reading::half_width).fold(0.0, f64::hypot);
    Some(Turn { degrees, half_width })
}

impl Carried {
    /// Takes over into the file where the lines of the controls stand now: on the bar they are where they were drawn,
    /// and the bar was rolled or cut. One that went along says from now on at which roll it was drawn; what is counted
    /// from an end that was cut off is counted from the new one. Their day stays: nobody drew them.
    pub(super) fn shift_marks(
        &self,
        catalogue: &Catalogue,
        before: &Setup,
        edit: &mut Edit,
    ) -> Result<Vec<LineCarried>, EditError> {
        let mut lines = Vec::new();
        if self.roll.is_none() && self.cut_off.is_none() {
            return Ok(lines);
        }
        let marks = edit.setup().marks.clone();
        for mark in &marks {
            let name = &mark.name.value;
            // One that was no evidence before is none for having been rolled along.
            let went_along = self.roll.is_some()
                && mark.roll.is_none()
                && lines::is_on_the_bar(mark)
                && staleness(catalogue, before, mark).is_none();
            let then = went_along.then(|| lines::with_its_roll(catalogue, before, mark)).flatten();
            if let Some(then) = then.as_ref().and_then(lines::said) {
                edit.set_mark_roll(name, &NewReading::as_recorded(then))?;
            }
            let positions: Vec<(MeasureId, NewReading)> =
                mark.drawn.iter().filter_map(|(id, _)| self.shifted(catalogue, mark, id)).collect();
            if !positions.is_empty() {
                edit.set_mark_drawn(name, &positions, &[], None)?;
            }
            let after = edit.setup();
            let carried =
                mark.drawn.iter().filter_map(|(id, _)| line_carried(catalogue, (before, mark), after, id));
            lines.extend(carried);
        }
        Ok(lines)
    }

    /// What became of a measure, as its note keeps it: with how far the bar moved, to know it again by.
    fn by_how_much(&self, because: &str) -> String {
        let by_roll = self.roll.filter(|_| because == ROLLED).map(|roll| rolled(roll.degrees));
        let by_saw = self.cut_off.filter(|_| because == CUT).map(cut);
        by_roll.or(by_saw).unwrap_or_else(|| because.to_owned())
    }

    /// Where a control's line is counted from an end that was cut.
    fn shifted(&self, catalogue: &Catalogue, mark: &Mark, id: &MeasureId) -> Option<(MeasureId, NewReading)> {
        let by = -self.cut_off.filter(|_| compare::is_along_the_bar(id.row))?;
        let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
        let Value::Reading(drawn) = &recorded.value else { return None };
        if !is_in_span(catalogue, id, drawn.value() + by) {
            return None;
        }
        let value = show::plain(drawn.value() + by, drawn.decimals().max(1));
        Some((id.clone(), NewReading::number(value, drawn.default_unit(), drawn.half_width())))
    }

    /// Writes of what nobody knows that it is not known; a note keeps what was recorded, of an angle on the bar with the roll
    /// at which it was: the file as it was `before`.
    pub(super) fn forget(
        &self,
        catalogue: &Catalogue,
        before: &Setup,
        edit: &mut Edit,
        day: Option<NaiveDate>,
    ) -> Result<Vec<NoLongerKnown>, EditError> {
        let mut gone = Vec::new();
        for Unknown { id, because, day: seen_on } in &self.unknown {
            let Some(reading) = edit.setup().reading(id).cloned() else { continue };
            let title = catalogue.title(id);
            let was = compare::typed(&reading);
            let word = catalogue.measure(id.row).word();
            let at_roll = before.reading(&roll()).filter(|_| joint::is_control_angle(id.row));
            let day = seen_on.or(day);
            let note = forgotten::note(word, &self.by_how_much(because), &reading, at_roll, day);
            edit.set_unmeasured(id)?;
            edit.add_note(&forgotten::place(catalogue, id), &note)?;
            gone.push(NoLongerKnown {
                measure: catalogue.path(id),
                weight: forgotten::weight(catalogue, edit.setup(), id),
                words: format!("{title} no longer known: {because}"),
                because: because.clone(),
                title,
                was,
            });
        }
        Ok(gone)
    }
}

/// A line that reads otherwise than before.
fn line_carried(
    catalogue: &Catalogue,
    (before, mark): (&Setup, &Mark),
    after: &Setup,
    id: &MeasureId,
) -> Option<LineCarried> {
    let was = reads(catalogue, before, mark, id)?;
    let now = reads(catalogue, after, after.mark(&mark.name.value)?, id)?;
    (was != now).then(|| LineCarried {
        mark: mark.name.value.clone(),
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was,
        now,
        by_saw: compare::is_along_the_bar(id.row),
    })
}

/// Those lines that nobody drew anew and that were not struck out.
pub(super) fn undrawn(lines: Vec<LineCarried>, after: &Setup, drawn: &[String]) -> Vec<LineCarried> {
    let has_line = |name: &str| {
        let mark = after.mark(name);
        mark.is_some_and(|mark| !mark.drawn.is_empty())
    };
    lines.into_iter().filter(|line| !drawn.contains(&line.mark) && has_line(&line.mark)).collect()
}

/// What a gauge or a ruler reads where a mark was drawn, with its unit.
fn reads(catalogue: &Catalogue, setup: &Setup, mark: &Mark, id: &MeasureId) -> Option<String> {
    let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
    let Value::Reading(drawn) = &recorded.value else { return None };
    let Since::Rolled(rolled) = lines::since(catalogue, setup, mark, id) else { return None };
    if rolled.degrees.abs() < NEGLIGIBLE {
        return Some(compare::typed(drawn));
    }
    let unit = drawn.default_unit();
    Some(format!("{}{}", show::plain(drawn.value() + rolled.degrees, drawn.decimals().max(1)), unit.sign()))
}
