//! Three versions of a setup file made one: measure by measure, never line by line.
//!
//! What only one side changed is taken, but for a reading that a later session of the other side contradicts: which of
//! the two is true today nobody knows who has not read again, so it becomes a conflict. What both changed alike stays; what
//! they changed apart becomes a `conflict` node that holds both versions, unless the two readings agree within reading:
//! then the newer one wins and it is said. Torque is never decided that way. The text of ours stays as it is but for the
//! spliced places; what theirs added to the comments is put in where its place is still there, and told where it is not.
//!
//! Three things hang together with all readings of one session and are watched for that: the day it was measured (a
//! reading that would come under another day gets its own `read=`, in a conflict too), the instruments (one that would be
//! read with another tolerance gets its own `tol=`), and the floor (an angle against gravity is never put under another
//! session's floor).
//!
//! Refuses to know git and files.

mod around;
mod by_lines;
mod comments;
mod labels;
mod notes;
mod session;
mod softened;
mod stops;
#[cfg(test)]
mod tests;
mod together;
mod tree;
mod version;
mod walk;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::catalogue::code::{self, Severity};
use crate::setup::finding::Finding;
use crate::setup::model::{Setup, Value};
use crate::setup::read::read_version;

pub use by_lines::marked;
pub use labels::Labels;
pub use notes::in_one_line;
pub use session::Side;

use together::{Held, Outcome, Sides};
use version::Version;
use walk::Walk;

/// What could not be decided.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Conflict {
    /// The written path of the measure or part.
    pub about: String,
    /// Our version, word for word, of a note the paragraphs that differ; none where we have none.
    pub ours: Option<String>,
    /// Their version.
    pub theirs: Option<String>,
    /// Whence ours is, and theirs, as their lines in the text say.
    pub sources: [Source; 2],
    /// Who alone changed it, and why it is in conflict all the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub one_sided: Option<OneSided>,
    /// The floors that ours and theirs were read on, where angles against gravity stand on two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floors: Option<[String; 2]>,
    /// The day on which a side of a sheet saw this, where the merged sheet bears another day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seen_on: Option<NaiveDate>,
    /// The day that the merged sheet bears then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet_of: Option<NaiveDate>,
    /// What it makes dangerous with others that are in conflict for that, though each side alone is not.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub together: Vec<String>,
}

/// When something was read, and who did it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Source {
    /// The day: its own, else its file's.
    pub read: Option<NaiveDate>,
    /// Who.
    pub by: Option<String>,
}

/// What only one side changed, and is in conflict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OneSided {
    /// Who changed it.
    pub changed_by: Side,
    /// Why it is in conflict.
    pub because: Because,
}

/// Why something is in conflict that only one side changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// The other side was measured later, and has it as it was.
    LaterSession,
    /// It says with its neighbour on whose clamp a control sits, and where: that one is in conflict.
    PlacedTogether,
    /// It was read before the other side rolled the bar.
    RolledSince,
    /// With what the other side changed it is dangerous.
    DangerousTogether,
}

/// Three versions made one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Merged {
    /// The text.
    #[serde(skip)]
    pub text: String,
    /// What could not be decided; each stands in the text as a `conflict` node.
    pub conflicts: Vec<Conflict>,
    /// What was decided and a person should know, one sentence each.
    pub said: Vec<String>,
}

/// Why there is no merging by measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// What, one sentence.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
}

impl Refusal {
    fn new(message: impl Into<String>, help: impl Into<String>) -> Refusal {
        Refusal { message: message.into(), help: help.into() }
    }
}

/// The three versions of a file; a base that is empty is none.
#[derive(Clone, Copy, Debug)]
pub struct Versions<'a> {
    /// What both came from.
    pub base: &'a [u8],
    /// Ours.
    pub ours: &'a [u8],
    /// Theirs.
    pub theirs: &'a [u8],
}

/// Merges `ours` and `theirs`, which both came from `base` (empty if they have no common beginning); the labels stand
/// beside what could not be decided. A sheet is read without its setup.
///
/// # Errors
/// A [`Refusal`] if ours or theirs cannot be read without a fault, or one is a setup and the other a sheet.
pub fn merge(
    catalogue: &Catalogue,
    base: &[u8],
    ours: &[u8],
    theirs: &[u8],
    labels: &Labels,
) -> Result<Merged, Refusal> {
    merge_beside(catalogue, None, Versions { base, ours, theirs }, labels)
}

/// The same of an as-found sheet with the setup it belongs to, whose instruments it inherits.
///
/// # Errors
/// As [`merge`].
pub fn merge_beside(
    catalogue: &Catalogue,
    beside: Option<&Setup>,
    versions: Versions,
    labels: &Labels,
) -> Result<Merged, Refusal> {
    let Versions { base, ours, theirs } = versions;
    let ours = sound(catalogue, beside, ours, "Our")?;
    let theirs = sound(catalogue, beside, theirs, "Their")?;
    if ours.setup.kind != theirs.setup.kind {
        return Err(Refusal::new(
            "One side is a setup, the other an as-found sheet.",
            "Keep them in two files.",
        ));
    }
    // A beginning that is lost or was itself in conflict decides nothing: what differs then is a conflict.
    let base = Version::of(catalogue, base, beside).ok();
    let sides = Sides { catalogue, beside, base: base.as_ref(), ours: &ours, theirs: &theirs, labels };
    let Outcome { mut merged, setup: outcome, .. } = together::weighed(&sides)?;
    // The dangerous first.
    let outcome = stops::Outcome { catalogue, beside, labels, setup: &outcome };
    let gone = stops::gone(&ours.setup, &theirs.setup, &outcome);
    let versions: Vec<&Setup> = [Some(&ours), Some(&theirs), base.as_ref()]
        .into_iter()
        .flatten()
        .map(|version| &version.setup)
        .collect();
    let together = stops::together(&versions, &outcome);
    merged.said.splice(..0, together.into_iter().chain(gone));
    Ok(merged)
}

/// The walk with what is held otherwise, and what comes of it.
fn walked(sides: &Sides, held: &Held) -> Result<Outcome, Refusal> {
    let Sides { catalogue, beside, base, ours, theirs, labels } = *sides;
    let mut walk = Walk::new(catalogue, base, ours, theirs, labels, held).finish();
    let text = walk.text().ok_or_else(|| {
        Refusal::new("Two changes fall on the same place of the text.", "Merge the two files by hand.")
    })?;
    let (text, lost) = comments::brought_over(base.map(|base| base.text.as_str()), &theirs.text, &text);
    walk.said.extend(lost.iter().map(|comment| format!("Their comment is not taken over: {comment}")));
    let merged = Merged { text, conflicts: walk.conflicts, said: walk.said };
    let setup = verify((catalogue, beside), &merged, &ours.setup, &theirs.setup)?;
    Ok(Outcome { merged, setup, decided: walk.decided })
}

fn sound(
    catalogue: &Catalogue,
    beside: Option<&Setup>,
    bytes: &[u8],
    whose: &str,
) -> Result<Version, Refusal> {
    let refuse = |finding: &Finding| {
        Refusal::new(
            format!("{whose} version cannot be read: {}", finding.message),
            "Mend that version first, then merge again.",
        )
    };
    match Version::of(catalogue, bytes, beside) {
        Ok(version) if version.faults.is_empty() => Ok(version),
        Ok(version) => Err(refuse(&version.faults[0])),
        Err(finding) => Err(refuse(&finding)),
    }
}

/// Reads the merged text again: it must be sound but for its conflicts, and hold nothing that neither side wrote. Gives back
/// what it reads.
fn verify(
    (catalogue, beside): (&Catalogue, Option<&Setup>),
    merged: &Merged,
    ours: &Setup,
    theirs: &Setup,
) -> Result<Setup, Refusal> {
    let again = read_version(catalogue, merged.text.as_bytes(), beside);
    let told = |finding: &&Finding| {
        let instrument = finding.code == &code::UNKNOWN_INSTRUMENT && !merged.conflicts.is_empty();
        finding.severity == Severity::Fault && finding.code != &code::UNRESOLVED_CONFLICT && !instrument
    };
    let by_hand = "Merge the two files by hand.";
    if let Some(fault) = again.findings.iter().find(told) {
        return Err(Refusal::new(format!("The merged text would not read: {}", fault.message), by_hand));
    }
    let Some(setup) = again.setup else {
        return Err(Refusal::new("The merged text would hold no setup.", by_hand));
    };
    // What was read with an instrument that is not decided has no half-width of its own yet.
    let half_width_counts =
        !merged.conflicts.iter().any(|conflict| conflict.about.starts_with("instruments"));
    for (id, recorded) in &setup.readings {
        let written = |side: &Setup| {
            let alike = |was: &Value| is_as_written(was, &recorded.value, half_width_counts);
            side.recorded(id).is_some_and(|side| alike(&side.value))
        };
        if !written(ours) && !written(theirs) {
            let path = catalogue.path(id);
            return Err(Refusal::new(format!("`{path}` would hold what neither side wrote."), by_hand));
        }
    }
    Ok(setup)
}

/// The same numbers with the same doubt. The day and the instrument may be written another way.
fn is_as_written(was: &Value, now: &Value, half_width_counts: bool) -> bool {
    match (was, now) {
        (Value::Reading(was), Value::Reading(now)) => {
            was.values() == now.values()
                && was.unit() == now.unit()
                && (!half_width_counts || was.half_width().total_cmp(&now.half_width()).is_eq())
        }
        _ => was == now,
    }
}
