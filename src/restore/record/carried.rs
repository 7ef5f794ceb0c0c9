//! What goes along when a bar is rolled or a shared clamp turned, though the sheet does not read it.
//!
//! A control's angle is read against gravity and its mark is drawn on the bar: once the bar is rolled, the recorded
//! angle is no longer the one on the bike, whether or not anybody touched the control. Where a mark tells how the
//! control stands on the bar, the new angle is worked out from it; where none does, the angle is no longer known.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS, Control};
use crate::catalogue::table::{BAR_ROLL, FLOOR};
use crate::catalogue::{Catalogue, Gravity, Kind, MeasureId, Side, Weight};
use crate::check::forgotten;
use crate::compare;
use crate::geometry::state::{InputId, Layer, State, Turns};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::setup::edit::{Edit, EditError, NewReading};
use crate::setup::model::{Mark, Setup, Value};

/// What became of the angles on a bar that was rolled.
const ROLLED: &str = "the bar was rolled";

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

/// A measure that was not known any more, and was read again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct KnownAgain {
    /// Its written path.
    pub measure: String,
    /// In plain words.
    pub title: String,
}

/// A line on a rolled bar, which reads otherwise though it stands where it was drawn.
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
}

/// Takes out the notes on what is known again: what they keep is over, and the new reading stands beside them.
pub(super) fn known_again(
    catalogue: &Catalogue,
    edit: &mut Edit,
    changed: &[&MeasureId],
) -> Result<Vec<KnownAgain>, EditError> {
    let mut known = Vec::new();
    for id in changed {
        let over: Vec<String> =
            forgotten::notes(catalogue, edit.setup(), id).map(|(_, note)| note.text.value.clone()).collect();
        for text in &over {
            edit.remove_note(&forgotten::place(catalogue, id), text)?;
        }
        if !over.is_empty() {
            known.push(KnownAgain { title: catalogue.title(id), measure: catalogue.path(id) });
        }
    }
    Ok(known)
}

/// A difference of two readings and its half-width, in degrees.
#[derive(Clone, Copy)]
struct Turn {
    degrees: f64,
    half_width: f64,
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

/// What went along.
#[derive(Default)]
pub(super) struct Carried {
    /// By how much each control's angle against gravity differs from the recorded one.
    pub(super) turns: Turns,
    /// Those of them that stand on the bar as recorded: their lines still meet.
    pub(super) along: Vec<MeasureId>,
    /// What nobody knows any more, and what became of it: "the bar was rolled".
    pub(super) unknown: Vec<(MeasureId, String)>,
    /// By how much the bar was rolled, if it was.
    roll: Option<Turn>,
}

/// The bar's roll, which every control on it goes along with.
pub(super) fn roll() -> MeasureId {
    MeasureId::bike(BAR_ROLL)
}

/// What goes along with what is written.
pub(super) fn carried(found: &State, turns: &Turns, all: &[MeasureId]) -> Carried {
    let roll = all.contains(&roll()).then(|| difference(found, &roll())).flatten();
    let mut carried = Carried { roll, ..Carried::default() };
    for (side, control) in found.setup().controls() {
        one(&mut carried, found, turns, all, side, control);
    }
    carried
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
        carried.unknown.push((id, ROLLED.to_owned()));
        return;
    };
    let told = Turn { degrees: told.value(), half_width: told.half_width() };
    let turned = roll.and(told);
    // No control stands so: the mark or the roll was misread.
    if !is_possible(found, &id, turned) {
        carried.unknown.push((id, ROLLED.to_owned()));
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
fn difference(found: &State, id: &MeasureId) -> Option<Turn> {
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
    /// and the bar was rolled. Their day stays: nobody drew them.
    pub(super) fn shift_marks(
        &self,
        catalogue: &Catalogue,
        edit: &mut Edit,
    ) -> Result<Vec<LineCarried>, EditError> {
        let mut lines = Vec::new();
        let Some(roll) = self.roll else { return Ok(lines) };
        for mark in edit.setup().marks.clone() {
            let name = &mark.name.value;
            let positions: Vec<(MeasureId, NewReading)> =
                mark.drawn.iter().filter_map(|(id, _)| shifted(catalogue, &mark, id, roll.degrees)).collect();
            if positions.is_empty() {
                continue;
            }
            let was = edit.text().to_owned();
            edit.set_mark_drawn(name, &positions, &[], None)?;
            if was != edit.text() {
                let after = edit.setup();
                lines
                    .extend(positions.iter().filter_map(|(id, _)| line_carried(catalogue, &mark, after, id)));
            }
        }
        Ok(lines)
    }

    /// Writes of what nobody knows that it is not known; a note keeps what was recorded.
    pub(super) fn forget(
        &self,
        catalogue: &Catalogue,
        edit: &mut Edit,
        day: Option<NaiveDate>,
    ) -> Result<Vec<NoLongerKnown>, EditError> {
        let mut gone = Vec::new();
        for (id, because) in &self.unknown {
            let Some(reading) = edit.setup().reading(id).cloned() else { continue };
            let title = catalogue.title(id);
            let was = compare::typed(&reading);
            let note = forgotten::note(catalogue.measure(id.row).word(), because, &reading, day);
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

fn line_carried(catalogue: &Catalogue, mark: &Mark, after: &Setup, id: &MeasureId) -> Option<LineCarried> {
    let now = after.mark(&mark.name.value)?;
    Some(LineCarried {
        mark: mark.name.value.clone(),
        measure: catalogue.path(id),
        title: catalogue.title(id),
        was: drawn_words(mark, id)?,
        now: drawn_words(now, id)?,
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

/// Where a mark was drawn, with its unit.
fn drawn_words(mark: &Mark, id: &MeasureId) -> Option<String> {
    let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
    match &recorded.value {
        Value::Reading(reading) => Some(compare::typed(reading)),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}

/// Where a control's line now reads.
fn shifted(
    catalogue: &Catalogue,
    mark: &Mark,
    id: &MeasureId,
    degrees: f64,
) -> Option<(MeasureId, NewReading)> {
    let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
    let Value::Reading(drawn) = &recorded.value else { return None };
    if !joint::is_control_angle(id.row) || !is_in_span(catalogue, id, drawn.value() + degrees) {
        return None;
    }
    let value = show::plain(drawn.value() + degrees, drawn.decimals().max(1));
    Some((id.clone(), NewReading::number(value, drawn.default_unit(), drawn.half_width())))
}
