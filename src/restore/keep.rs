//! What must not vanish when a sheet is folded into a setup: damage, broken marks, and torques.
//!
//! Damage becomes a dated note at its part. A mark that was found broken or gone loses the place it was drawn at, for a
//! line drawn since then would be taken for the old one; a dated note says so. The last torque of a joint is written
//! over the one before.

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::table::BAR_MATERIAL;
use crate::catalogue::{MeasureId, Weight, caution, joint};
use crate::check::damage;
use crate::compare::TorqueFound;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::{Mark, MarkState, Setup};
use crate::setup::torque::Applied;

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
    /// Whether it was drawn anew.
    pub drawn_anew: bool,
    /// Whether the file was changed for it now.
    pub written: bool,
    /// All of it, in sentences.
    pub words: String,
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
}

impl MarkLost {
    /// Whether nothing shows any more how the joint stands.
    pub fn is_open(&self) -> bool {
        !self.drawn_anew
    }
}

/// Keeps the damage of a sheet in the setup.
pub fn damages(edit: &mut Edit, sheet: &Setup, day: Option<NaiveDate>) -> Result<Vec<DamageKept>, EditError> {
    let mut kept = Vec::new();
    for found in &sheet.damages {
        let setup = edit.setup();
        let on = found.on.value.as_str();
        let carbon = on == "bar" && setup.choice(&MeasureId::bike(BAR_MATERIAL)) == Some("carbon");
        let noted_at = damage::place(setup, on);
        let text = damage::note(found, &noted_at, day);
        let written = add_note(edit, &noted_at, &text)?;
        kept.push(DamageKept {
            on: on.to_owned(),
            title: joint::title(on),
            text: found.text.value.trim_end_matches('.').to_owned(),
            help: if carbon { caution::CARBON } else { caution::MECHANIC },
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

/// Writes the torques that a sheet says were applied; a wrench that only the sheet knows is left out.
pub fn torques(
    edit: &mut Edit,
    sheet: &Setup,
    found: Vec<TorqueFound>,
    day: Option<NaiveDate>,
) -> Result<Vec<TorqueKept>, EditError> {
    let mut kept = Vec::new();
    for found in found {
        let applied = sheet.torque(&found.joint).and_then(|torque| torque.applied.as_ref());
        let written = match (applied, edit.setup().torque(&found.joint)) {
            (Some(applied), Some(ours)) => {
                let day = applied.read.or(day);
                let known = ours.applied.as_ref();
                let same = |known: &Applied| known.figure.value == applied.figure.value && known.read == day;
                let is_new = !known.is_some_and(same);
                if is_new && edit.set_applied(&found.joint, applied, day).is_err() {
                    let bare = Applied { with: None, ..applied.clone() };
                    edit.set_applied(&found.joint, &bare, day)?;
                }
                is_new
            }
            _ => false,
        };
        let in_file = edit.setup().torque(&found.joint).is_some();
        kept.push(TorqueKept { found, written, in_file });
    }
    Ok(kept)
}

/// Strikes out where the broken and missing marks of a sheet were drawn, except those that were `drawn` anew.
pub fn marks(
    edit: &mut Edit,
    sheet: &Setup,
    drawn: &[String],
    day: Option<NaiveDate>,
) -> Result<Vec<MarkLost>, EditError> {
    let mut lost = Vec::new();
    for found in &sheet.marks {
        let how = match found.state.as_ref().map(|state| state.value) {
            Some(MarkState::Broken) => "broken",
            Some(MarkState::Missing) => "gone",
            _ => continue,
        };
        let name = found.name.value.as_str();
        let ours = edit.setup().marks.iter().find(|mark| mark.name.value == name).cloned();
        // Drawn on the day of the sheet, it was drawn anew after it: the same sheet is being recorded again.
        let since = |mark: &Mark| day.is_some() && mark.drawn_on == day;
        let drawn_anew = drawn.iter().any(|drawn| drawn == name) || ours.as_ref().is_some_and(since);
        let written = match &ours {
            _ if drawn_anew => false,
            Some(ours) => strike(edit, ours, how, day)?,
            None => add_note(edit, "", &stranger(found, how, day))?,
        };
        let on = ours.as_ref().and_then(|mark| mark.on.as_ref()).or(found.on.as_ref());
        lost.push(said(name, how, on.map(|on| on.value.as_str()), drawn_anew, written));
    }
    lost.sort_by_key(|mark| (mark.drawn_anew, mark.weight));
    Ok(lost)
}

/// "2026-05-09 found broken (was drawn from-tip=168 angle=32): no evidence until drawn again".
fn strike(edit: &mut Edit, mark: &Mark, how: &str, day: Option<NaiveDate>) -> Result<bool, EditError> {
    let begins = format!("{}found {how}", dated(day));
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
fn stranger(mark: &Mark, how: &str, day: Option<NaiveDate>) -> String {
    let on = mark.on.as_ref().map(|on| format!(" on {}", on.value)).unwrap_or_default();
    format!("{}mark {}{on} found {how}", dated(day), mark.name.value)
}

fn dated(day: Option<NaiveDate>) -> String {
    day.map(|day| format!("{day} ")).unwrap_or_default()
}

fn said(name: &str, how: &str, on: Option<&str>, drawn_anew: bool, written: bool) -> MarkLost {
    let weight = on.and_then(joint::find).map_or(Weight::Record, |(_, joint)| joint.weight);
    let place = on.map_or_else(|| "its joint".to_owned(), |on| format!("the {}", joint::title(on)));
    let mut words = format!("Mark {name} was found {how}: {place} was loosened or turned.");
    if weight == Weight::SteeringAndBrakes {
        words.push_str(" Do not ride until it is set, tightened and tried.");
    }
    words.push_str(if drawn_anew {
        " The mark is drawn anew."
    } else {
        " The mark is no evidence until it is drawn again (record with --mark)."
    });
    MarkLost { mark: name.to_owned(), joint: on.map(str::to_owned), weight, drawn_anew, written, words }
}
