//! What must not vanish when a sheet is folded into a setup: damage, broken marks, torques, and notes.
//!
//! Damage becomes a dated note at its part. A mark that was found broken or gone loses the place it was drawn at, for a
//! line drawn since then would be taken for the old one; a dated note says so. The last torque of a joint is written
//! over the one before; that of a joint that was opened since holds no more and makes room for a dated note.

mod accepted_below;
mod along;
mod told;
mod torques;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{Catalogue, Weight, joint};
use crate::check::{damage, forbidden};
use crate::compare::{self, Comparison, Replaced, TorqueFound};
use crate::setup::dated;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Mark, MarkState, Setup};

use super::evidence::{self, MarkReport, MarkVerdict};
pub use along::along;
pub use told::told;
pub use torques::{open_unseen, torques};

/// One damage that was found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DamageKept {
    /// On which part or joint.
    pub on: String,
    /// In plain words.
    pub title: String,
    /// What is seen.
    pub text: String,
    /// What to mind.
    pub help: &'static str,
    /// The group whose note keeps it; empty for the top of the file.
    pub noted_at: String,
    /// Whether the note was written now, or was there before.
    pub written: bool,
}

/// One mark that was found broken or gone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkLost {
    /// Its name.
    pub mark: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// What slipping there does.
    pub weight: Weight,
    /// How it was found: broken, gone.
    pub how: &'static str,
    /// Whether it was drawn anew.
    pub drawn_anew: bool,
    /// Whether nobody can tell if the sheet speaks of the line before or of the new one.
    pub doubtful: bool,
    /// Whether the file was changed for it now.
    pub written: bool,
    /// All of it, in sentences.
    pub words: String,
}

/// What the file keeps of the torque of a joint that was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trace {
    /// A note, or a figure that was applied since.
    Kept,
}

/// What was done to the note that a joint was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OpenedNote {
    /// It was written.
    Written,
    /// It was taken out, for what was applied since is written.
    TakenOut,
}

/// What is known of one joint's torque.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TorqueKept {
    /// What the sheet tells.
    #[serde(flatten)]
    pub found: TorqueFound,
    /// Whether what was applied was written now.
    pub written: bool,
    /// Whether the file has a torque of this joint, where what is applied can stand.
    pub in_file: bool,
    /// The day of what the file has, where that was applied later, so that nothing was written over it.
    pub newer: Option<NaiveDate>,
    /// Whether what the file had as applied was taken out now, because the joint was opened since.
    pub dropped: bool,
    /// What was done now to the note that it was opened, if anything.
    pub note: Option<OpenedNote>,
    /// The day of both that note and what was applied, where the note was taken out: a day does not tell which came first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub same_day: Option<NaiveDate>,
    /// What somebody wrote behind a note that was taken out: notes of their own now.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<String>,
    /// What the file keeps of its torque, if the joint was opened and nobody says how it was tightened.
    pub trace: Option<Trace>,
}

/// One note of the sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NoteKept {
    /// The group it stands in on the sheet; empty for the top.
    pub on: String,
    /// The note.
    pub text: String,
    /// The group whose note keeps it; empty for the top of the file.
    pub noted_at: String,
    /// Whether the note was written now, or was there before.
    pub written: bool,
}

impl MarkLost {
    /// Whether nothing shows any more how the joint stands.
    pub fn is_open(&self) -> bool {
        !self.drawn_anew || self.doubtful
    }

    /// "mark L1 on the left brake lever found broken".
    pub fn in_short(&self) -> String {
        let on = self.joint.as_deref().map(|on| format!(" on the {}", joint::title(on))).unwrap_or_default();
        format!("mark {}{on} found {}", self.mark, self.how)
    }
}

/// Keeps the damage of a sheet in the setup.
pub fn damages(edit: &mut Edit, sheet: &Setup, day: Option<NaiveDate>) -> Result<Vec<DamageKept>, EditError> {
    let mut kept = Vec::new();
    for found in &sheet.damages {
        let setup = edit.setup();
        let on = found.on.value.as_str();
        let noted_at = damage::place(setup, on);
        let text = damage::note(found, &noted_at, day);
        // What a note tells already is not told twice, whenever it was seen again.
        let written = !damage::is_noted(edit.setup(), found) && add_note(edit, &noted_at, &text)?;
        kept.push(DamageKept {
            on: on.to_owned(),
            title: joint::title(on),
            text: found.text.value.trim_end_matches('.').to_owned(),
            help: damage::help(edit.setup(), on),
            noted_at,
            written,
        });
    }
    Ok(kept)
}

/// Adds a note unless it is there already.
fn add_note(edit: &mut Edit, on: &str, text: &str) -> Result<bool, EditError> {
    if edit.setup().notes.iter().any(|note| note.on == on && note.text.value == text) {
        return Ok(false);
    }
    edit.add_note(on, text).map(|()| true)
}

/// Keeps the notes of a sheet: in the group they stand in, else at the top, dated.
pub fn notes(edit: &mut Edit, sheet: &Setup, day: Option<NaiveDate>) -> Result<Vec<NoteKept>, EditError> {
    let mut kept = Vec::new();
    for note in &sheet.notes {
        let words = note.text.value.trim();
        let is_dated = dated::split(words).0.is_some();
        let date = if is_dated { String::new() } else { dated::prefix(day) };
        let (noted_at, text, written) = match add_note(edit, &note.on, &format!("{date}{words}")) {
            Err(EditError::NotThere(_)) => {
                let text = format!("{date}on {}: {words}", note.on);
                (String::new(), text.clone(), add_note(edit, "", &text)?)
            }
            written => (note.on.clone(), format!("{date}{words}"), written?),
        };
        kept.push(NoteKept { on: note.on.clone(), text, noted_at, written });
    }
    Ok(kept)
}

/// Keeps of parts that were recorded in place of others what the file's torques and lines are then worth: nothing, until
/// the new maker's figure is written and the line is drawn again.
pub fn replaced(
    edit: &mut Edit,
    replaced: &Replaced,
    day: Option<NaiveDate>,
    drawn: &[String],
    is_held: &dyn Fn(&str) -> bool,
) -> Result<(), EditError> {
    // A plan's note may have said it before the part was fitted.
    let words = replaced.note();
    let is_said =
        edit.setup().notes.iter().any(|note| note.on.is_empty() && note.text.value.contains(&words));
    if !replaced.parts.is_empty() && !is_said {
        add_note(edit, "", &format!("{}{words}", dated::prefix(day)))?;
    }
    let caution = replaced.caution();
    for joint in replaced.torques.iter().filter(|joint| !is_held(joint)) {
        let torque = edit.setup().torque(joint);
        if !torque.is_some_and(|torque| torque.cautions.iter().any(|known| known.value == caution)) {
            edit.add_caution(joint, &caution)?;
        }
    }
    for mark in replaced.marks.iter().filter(|mark| !drawn.contains(mark)) {
        let ours = edit.setup().mark(mark);
        if ours.is_some_and(|ours| !ours.drawn.is_empty()) {
            edit.lose_mark(mark, |was| format!("{}{}", dated::prefix(day), replaced.no_line(was)))?;
        }
    }
    Ok(())
}

/// Keeps that a bar of another thickness is in the old stem: nobody is to ride so before it is known what the stem clamps.
/// Another stem ends that.
pub fn clamped(
    edit: &mut Edit,
    comparison: &Comparison,
    is_written: bool,
    day: Option<NaiveDate>,
) -> Result<(), EditError> {
    let is_new = comparison.replaced.as_ref().is_some_and(|replaced| replaced.parts.contains(&"stem"));
    if is_new {
        let kept = |setup: &Setup| -> Vec<(String, String)> {
            let noted = forbidden::noted(setup).filter(|noted| noted.why.starts_with(compare::HELD));
            noted.map(|noted| (noted.note.on.clone(), noted.note.text.value.clone())).collect()
        };
        for (on, text) in kept(edit.setup()) {
            edit.remove_note(&on, &text)?;
        }
    }
    let Some(why) = comparison.may_not_clamp().filter(|_| is_written) else { return Ok(()) };
    let on = forbidden::place_of_the_stem(edit.setup());
    let until = ". Take this note out once the stem is known to be made for that bar";
    add_note(edit, on, &format!("{}{}{until}", dated::prefix(day), forbidden::note(&why))).map(drop)
}

/// What a recording does with marks.
pub struct Drawing<'a> {
    /// The marks that were drawn anew.
    pub drawn: &'a [String],
    /// Whether marks were to be drawn anew.
    pub redraw: bool,
    /// The joints at which nothing is written.
    pub is_held: &'a dyn Fn(&str) -> bool,
    /// The measures, by their paths, that were written.
    pub is_written: &'a dyn Fn(&str) -> bool,
}

/// Strikes out where the broken and missing marks of a sheet were drawn, except those that were `drawn` anew, now or
/// before.
pub fn marks(
    catalogue: &Catalogue,
    edit: &mut Edit,
    sheet: &Setup,
    reports: &[MarkReport],
    drawing: &Drawing,
) -> Result<Vec<MarkLost>, EditError> {
    let Drawing { drawn, redraw, is_held, .. } = *drawing;
    let mut lost = Vec::new();
    for found in &sheet.marks {
        let Some(state) = found.state.as_ref().map(|state| state.value) else { continue };
        let how = match state {
            MarkState::Broken => "broken",
            MarkState::Missing => "gone",
            MarkState::Off(_) => "off",
            MarkState::Aligned => continue,
        };
        let name = found.name.value.as_str();
        let day = sheet.day_seen(name);
        let is_off = how == "off";
        let report = reports.iter().find(|report| report.name == name);
        if is_off && !report.is_some_and(|report| is_untold(report, drawing)) {
            continue;
        }
        let ours = edit.setup().mark(name).cloned();
        let drawn_since = report.is_some_and(|report| report.state == MarkVerdict::DrawnSince);
        let doubtful = drawn_since && report.is_some_and(|report| report.doubtful);
        let drawn_anew = drawn.iter().any(|drawn| drawn == name) || drawn_since;
        let unread = ours
            .as_ref()
            .map(|mark| unread(catalogue, edit.setup(), sheet, mark, is_off))
            .unwrap_or_default();
        let keeps_its_place =
            |ours: &Mark| is_off && !report.is_some_and(|report| hides_its_turn(catalogue, ours, report));
        let written = match &ours {
            _ if drawn_anew => false,
            Some(ours) if keeps_its_place(ours) => false,
            Some(ours) if ours.on.as_ref().is_some_and(|on| is_held(&on.value)) => false,
            Some(ours) => strike(edit, ours, state, day)?,
            None => add_note(edit, "", &stranger(found, state, day))?,
        };
        let on = ours.as_ref().and_then(|mark| mark.on.as_ref()).or(found.on.as_ref());
        let left = match ours {
            _ if drawn_since => evidence::TAKEN_AS_TOLD.to_owned(),
            _ if drawn_anew => " The mark is drawn anew.".to_owned(),
            None => " The file has no such mark; a note at the top keeps it.".to_owned(),
            _ if is_off && written => format!(
                " How far is not recorded: the mark does not say from where it turned. It is no evidence until it is drawn \
                 again (measure there{unread}, record with --mark)."
            ),
            _ if is_off => format!(
                " How far is not recorded: the mark does not say from where it turned. Measure it, too{unread}."
            ),
            Some(_) if redraw && unread.is_empty() => {
                " The mark is not drawn anew: nothing is written of that joint from this sheet.".to_owned()
            }
            Some(_) if redraw => format!(
                " The mark is not drawn anew: the sheet does not say where the joint stands. Measure it, too{unread}."
            ),
            Some(_) => format!(
                " The mark is no evidence until it is drawn again (measure there{unread}, record with --mark)."
            ),
        };
        let how_and_when = seen_on(how, found.seen_on);
        let mut one =
            said(name, (how, &how_and_when), on.map(|on| on.value.as_str()), drawn_anew, written, &left);
        one.doubtful = doubtful;
        lost.push(one);
    }
    lost.sort_by_key(|mark| (!mark.is_open(), mark.weight));
    Ok(lost)
}

/// Whether a line that stands apart says something that the readings written from it do not keep.
fn is_untold(report: &MarkReport, drawing: &Drawing) -> bool {
    if report.joint.as_deref().is_some_and(drawing.is_held) {
        return false;
    }
    let is_written = report.measure.as_deref().is_some_and(drawing.is_written);
    report.state == MarkVerdict::DrawnSince || report.tells_a_move() && !is_written
}

/// Whether a line that stands apart was drawn, but not at what it turned by: nothing written from it keeps that it no
/// longer meets.
fn hides_its_turn(catalogue: &Catalogue, mark: &Mark, report: &MarkReport) -> bool {
    let Some(turn) = &report.measure else { return false };
    !mark.drawn.is_empty() && !mark.drawn.iter().any(|(id, _)| catalogue.path(id) == *turn)
}

/// ": left brake lever place, left brake lever angle": what a mark shows and the sheet does not read; of one that stands
/// `apart` all that a line there shows, for its gap may be of any of it.
fn unread(catalogue: &Catalogue, setup: &Setup, sheet: &Setup, mark: &Mark, apart: bool) -> String {
    let drawn = if apart { Vec::new() } else { mark.drawn.clone() };
    let shown = evidence::shown(catalogue, setup, &Mark { drawn, ..mark.clone() }).into_iter();
    let unread: Vec<String> =
        shown.filter(|id| sheet.reading(id).is_none()).map(|id| catalogue.title(&id)).collect();
    if unread.is_empty() { String::new() } else { format!(": {}", unread.join(", ")) }
}

/// "2026-05-09 found broken (was drawn from-tip=168 angle=32): no evidence until drawn again".
fn strike(edit: &mut Edit, mark: &Mark, state: MarkState, day: Option<NaiveDate>) -> Result<bool, EditError> {
    let Some(begins) = evidence::found_words(day, state) else { return Ok(false) };
    let on = format!("mark.{}", mark.name.value);
    let is_said = |note: &crate::setup::model::Note| note.on == on && note.text.value.starts_with(&begins);
    if mark.drawn.is_empty() && edit.setup().notes.iter().any(is_said) {
        return Ok(false);
    }
    edit.lose_mark(&mark.name.value, |was| {
        let was = was.map(|was| format!(" (was drawn {was})")).unwrap_or_default();
        format!("{begins}{was}: no evidence until drawn again")
    })?;
    Ok(true)
}

/// The note on a mark that only the sheet has.
fn stranger(mark: &Mark, state: MarkState, day: Option<NaiveDate>) -> String {
    let found = evidence::found_words(None, state).unwrap_or_default();
    let on = mark.on.as_ref().map(|on| format!(" on {}", on.value)).unwrap_or_default();
    format!("{}mark {}{on} {found}", dated::prefix(day), mark.name.value)
}

/// "broken", of another day than the sheet's with that: "broken on 2026-05-09".
fn seen_on(how: &str, day: Option<NaiveDate>) -> String {
    day.map_or_else(|| how.to_owned(), |day| format!("{how} on {day}"))
}

fn said(
    name: &str,
    (how, how_and_when): (&'static str, &str),
    on: Option<&str>,
    drawn_anew: bool,
    written: bool,
    left: &str,
) -> MarkLost {
    let weight = on.map_or(Weight::Record, joint::weight);
    let place = on.map_or_else(|| "its joint".to_owned(), |on| format!("the {}", joint::title(on)));
    let opened = if how == "gone" { format!("take {place} for") } else { format!("{place} was") };
    let mut words = format!("Mark {name} was found {how_and_when}: {opened} loosened or turned.");
    if weight == Weight::SteeringAndBrakes {
        words.push_str(" Do not ride until it is set, tightened and tried.");
    }
    words.push_str(left);
    let (mark, joint) = (name.to_owned(), on.map(str::to_owned));
    MarkLost { mark, joint, weight, how, drawn_anew, doubtful: false, written, words }
}
