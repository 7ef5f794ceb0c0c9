//! Witness marks in the text: where they are drawn, and how a sheet found them.

use chrono::NaiveDate;

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{MeasureId, joint};
use crate::metrology::unit::Unit;

use super::super::model::{Mark, MarkState, Value};
use super::super::syntax::Node;
use super::verify::{MarkMeant, RollMeant, Touched};
use super::{Edit, EditError, NewReading, Splice, insert, number, over, place};

impl Edit<'_> {
    /// Draws a mark anew: the numbers of the named measures at which it now stands, and the day. What it is drawn
    /// `without` is taken out; anything else that it shows stays. Beside a control's angle goes the roll that the bar has
    /// in the file: a gauge reads both together.
    ///
    /// # Errors
    /// [`EditError::NoSuchMark`]; [`EditError::WouldNotRead`] as for every edit.
    pub fn set_mark_drawn(
        &mut self,
        mark: &str,
        positions: &[(MeasureId, NewReading)],
        without: &[MeasureId],
        day: Option<NaiveDate>,
    ) -> Result<(), EditError> {
        let is_on_the_bar = |id: &MeasureId| joint::is_control_angle(id.row);
        let roll = self.setup.reading(&MeasureId::bike(BAR_ROLL)).map(NewReading::as_recorded);
        let roll = match &roll {
            Some(roll) if positions.iter().any(|(id, _)| is_on_the_bar(id)) => RollMeant::Is(roll),
            _ if positions.iter().map(|(id, _)| id).chain(without).any(is_on_the_bar) => RollMeant::Gone,
            _ => RollMeant::Keep,
        };
        self.draw(mark, positions, without, roll, day)
    }

    /// Says of a mark at which roll of the bar it was drawn: nobody draws it.
    ///
    /// # Errors
    /// [`EditError::NoSuchMark`]; [`EditError::WouldNotRead`] as for every edit.
    pub fn set_mark_roll(&mut self, mark: &str, roll: &NewReading) -> Result<(), EditError> {
        self.draw(mark, &[], &[], RollMeant::Is(roll), None)
    }

    fn draw(
        &mut self,
        mark: &str,
        positions: &[(MeasureId, NewReading)],
        without: &[MeasureId],
        roll: RollMeant,
        day: Option<NaiveDate>,
    ) -> Result<(), EditError> {
        let document = self.document();
        let no_mark = || EditError::NoSuchMark(mark.to_owned());
        let root = place::root(&document).ok_or_else(no_mark)?;
        let node =
            root.children.iter().find(|node| place::is_named(node, "mark", mark)).ok_or_else(no_mark)?;
        let mut entries: Vec<(&str, String)> = Vec::new();
        for (id, new) in positions {
            let old = self.drawn_unit(mark, id);
            entries.push((
                self.catalogue.measure(id.row).word(),
                number::one(new, 0, old, self.catalogue.measure(id.row).unit()),
            ));
        }
        let measure = self.catalogue.measure(BAR_ROLL);
        let roll_entry = match roll {
            RollMeant::Is(new) => {
                let old = self.setup.mark(mark).and_then(|mark| as_written(&mark.roll.as_ref()?.value));
                Some((measure.word(), number::one(new, 0, old, measure.unit())))
            }
            RollMeant::Keep | RollMeant::Gone => None,
        };
        entries.extend(roll_entry.clone());
        entries.extend(day.map(|day| ("read", format!("\"{day}\""))));
        let splices = if let Some(drawn) = node.child("drawn") {
            let is_gone = matches!(roll, RollMeant::Gone);
            let gone = without.iter().map(|id| self.catalogue.measure(id.row).word());
            let gone = gone.chain(is_gone.then(|| measure.word()));
            let gone = gone.filter_map(|word| drawn.property(word));
            let gone = gone.map(|old| insert::without_entry(&self.text, old.span));
            let beside = roll_entry.as_ref().filter(|_| drawn.property(measure.word()).is_none());
            let beside = beside.and_then(|(key, value)| {
                let angle = drawn_angle(self.setup.mark(mark)?)?;
                let angle = drawn.property(self.catalogue.measure(angle.row).word())?;
                Some(Splice::at(angle.span.end as usize, format!(" {key}={value}")))
            });
            let rest = entries.iter().filter(|(key, _)| beside.is_none() || *key != measure.word());
            let written = rest.map(|(key, value)| self.value_property_splice(drawn, key, value));
            gone.chain(beside.clone()).chain(written).collect()
        } else {
            let line: Vec<String> = entries.iter().map(|(key, value)| format!("{key}={value}")).collect();
            let line = format!("drawn {}", line.join(" "));
            vec![insert::node(&self.text, root, node, None, &line)]
        };
        let drawn = MarkMeant::Drawn { positions, without, roll, day };
        self.settle(splices, Touched { mark: Some((mark, drawn)), ..Touched::default() })
    }

    /// Says on a sheet how a mark was found.
    pub fn set_mark_state(&mut self, mark: &str, state: MarkState) -> Result<(), EditError> {
        let document = self.document();
        let root = place::root(&document).ok_or_else(|| EditError::NoSuchMark(mark.to_owned()))?;
        let off = if let MarkState::Off(apart) = state { Some(apart.to_string()) } else { None };
        let word = state.word();
        let existing = root.children.iter().find(|node| place::is_named(node, "mark", mark));
        let splices = if let Some(node) = existing {
            self.state_splices(node, word, off)
        } else {
            let found = word.map_or_else(
                || format!("off={}", off.clone().unwrap_or_default()),
                std::borrow::ToOwned::to_owned,
            );
            let line = format!("mark {} {found}", number::quoted(mark));
            vec![insert::node(&self.text, root, root, place::last_record(root), &line)]
        };
        self.settle(splices, Touched { mark: Some((mark, MarkMeant::Found(state))), ..Touched::default() })
    }

    fn state_splices(&self, node: &Node, word: Option<&str>, off: Option<String>) -> Vec<Splice> {
        let mut splices = Vec::new();
        match (node.arguments.get(1), word) {
            (Some(old), Some(word)) => splices.push(over(old.value_span, word)),
            (Some(old), None) => splices.push(insert::without_entry(&self.text, old.span)),
            (None, Some(word)) => {
                let after = node.arguments.first().map_or(node.span.end, |name| name.span.end);
                splices.push(Splice::at(after as usize, format!(" {word}")));
            }
            (None, None) => {}
        }
        match (node.property("off"), off) {
            (_, Some(apart)) => splices.push(self.property_splice(node, "off", &apart)),
            (Some(old), None) => splices.push(insert::without_entry(&self.text, old.span)),
            (None, None) => {}
        }
        // What was found on another day is found anew.
        splices.extend(node.property("read").map(|read| insert::without_entry(&self.text, read.span)));
        splices
    }

    fn drawn_unit(&self, mark: &str, id: &MeasureId) -> Option<(Unit, usize)> {
        let mark = self.setup.mark(mark)?;
        let (_, recorded) = mark.drawn.iter().find(|(drawn, _)| drawn == id)?;
        as_written(&recorded.value)
    }

    /// Takes away where a mark was drawn, for its line tells nothing any more, and puts a note in its place; the note
    /// alone where the file does not say where it was drawn. What stood there is handed to `note` as it was typed, less
    /// its quotes.
    ///
    /// # Errors
    /// [`EditError::NoSuchMark`]; [`EditError::WouldNotRead`] as for every edit.
    pub fn lose_mark(&mut self, mark: &str, note: impl Fn(Option<&str>) -> String) -> Result<(), EditError> {
        let document = self.document();
        let no_mark = || EditError::NoSuchMark(mark.to_owned());
        let root = place::root(&document).ok_or_else(no_mark)?;
        let node =
            root.children.iter().find(|node| place::is_named(node, "mark", mark)).ok_or_else(no_mark)?;
        let drawn = node.child("drawn");
        let was = drawn.map(|drawn| {
            let (start, end) = (drawn.span.end as usize, insert::entries_end(drawn));
            self.text
                .get(start..end)
                .unwrap_or_default()
                .replace('"', "")
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
        });
        let text = note(was.as_deref().filter(|was| !was.is_empty()));
        let line = format!("note {}", number::quoted(&text));
        let splice = match drawn {
            Some(drawn) => {
                Splice { start: drawn.span.start as usize, end: insert::entries_end(drawn), text: line }
            }
            None => insert::node(&self.text, root, node, node.children.last(), &line),
        };
        let on = format!("mark.{mark}");
        let struck = Some((mark, MarkMeant::Struck));
        let meant = Touched { mark: struck, note: Some((&on, &text)), ..Touched::default() };
        self.settle(vec![splice], meant)
    }
}

/// The unit and the places of a number as it stands.
fn as_written(value: &Value) -> Option<(Unit, usize)> {
    match value {
        Value::Reading(reading) => Some((reading.unit(), reading.decimals())),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}

/// The angle of a control at which a mark was drawn.
fn drawn_angle(mark: &Mark) -> Option<&MeasureId> {
    mark.drawn.iter().map(|(id, _)| id).find(|id| joint::is_control_angle(id.row))
}
