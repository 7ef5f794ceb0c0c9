//! Files that go with a commit though they keep from riding: with them goes what they tell, and nothing else says it.

use std::collections::BTreeSet;

use crate::catalogue::table::{BAR_ROLL, LEVER_ANGLE};
use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::ledger::{Ledger, Revision, SetupFile, Staged};
use crate::setup::model::{Kind, Setup, Value};
use crate::setup::read::read;

use super::session::{Failure, Session};
use super::since_commit::SinceCommit;
use super::stop;

/// The deleted files that told something against riding which no staged file tells, each with what is said of it.
pub fn told(
    session: &Session,
    ledger: &Ledger,
    staged: &Staged,
) -> Result<Vec<(SetupFile, String)>, Failure> {
    if staged.deleted.is_empty() {
        return Ok(Vec::new());
    }
    let here = Here { catalogue: session.catalogue(), ledger, head: ledger.revision("HEAD")? };
    let mut kept = Vec::new();
    for file in &staged.changed {
        let text = ledger.read_staged(file)?;
        kept.extend(text.and_then(|text| here.stop(&text)));
    }
    let mut all = Vec::new();
    for file in &staged.deleted {
        let Some(was) = ledger.read_at(file, &here.head)? else { continue };
        // A file under another name is not gone, and what a setup keeps of a sheet is not lost with it.
        let Some(why) = here.stop(&was.bytes).filter(|why| !kept.contains(why)) else { continue };
        let said = format!("It is taken out with this commit, and it says: do not ride: {why}.");
        all.push((file.clone(), said));
    }
    Ok(all)
}

/// What a staged sheet tells against riding beside its setup as that is staged: what moved on it, too.
pub fn forbids(session: &Session, ledger: &Ledger, bytes: &[u8]) -> Option<String> {
    let alone = read(session.catalogue(), bytes, None).setup?;
    if alone.kind != Kind::Found {
        return None;
    }
    let here = Here { catalogue: session.catalogue(), ledger, head: ledger.revision("HEAD").ok()? };
    let why = here.stop(bytes)?;
    Some(format!("Do not ride: {why}."))
}

/// What of steering and brakes a setup had as it was last recorded, in either version of a conflict, too, and that is no longer
/// in it as it is staged: whoever takes out a whole conflict takes out both.
pub fn of_steering_or_brakes(SinceCommit { catalogue, was, now }: &SinceCommit) -> Option<String> {
    let mut gone = measures(catalogue, was, now);
    gone.extend(torques(was, now));
    (!gone.is_empty()).then(|| format!("No longer in the file, on steering or brakes: {}.", gone.join(", ")))
}

/// The measures, in words. The roll of the bar is one where the brakes hang on it: left out it counts as none.
fn measures(catalogue: &Catalogue, was: &[Setup], now: &Setup) -> Vec<String> {
    let has_brakes = now.readings.keys().chain(now.undecided.keys()).any(|id| id.row == LEVER_ANGLE);
    let is_roll = |id: &MeasureId| has_brakes && id.row == BAR_ROLL;
    let is_dangerous =
        |id: &&MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes || is_roll(id);
    let is_gone = |id: &&MeasureId| now.recorded(id).is_none() && !now.undecided.contains_key(id);
    let is_told = |id: &MeasureId, value: &Value| match value {
        Value::Unmeasured => false,
        Value::Reading(reading) => !is_roll(id) || reading.value() != 0.0,
        Value::Choice(_) => true,
    };
    let known = was.iter().flat_map(|was| &was.readings);
    let known = known.filter(|(id, recorded)| is_told(id, &recorded.value)).map(|(id, _)| id);
    let ids: BTreeSet<&MeasureId> = known.chain(was.iter().flat_map(|was| was.undecided.keys())).collect();
    ids.into_iter().filter(is_dangerous).filter(is_gone).map(|id| catalogue.title(id)).collect()
}

/// The torques, in words and in working order.
fn torques(was: &[Setup], now: &Setup) -> impl Iterator<Item = String> {
    let has = |of: &Setup, joint: &str| of.torque(joint).is_some() || of.is_torque_in_conflict(joint);
    let is_gone = move |joint: &&String| was.iter().any(|was| has(was, joint)) && !has(now, joint);
    let dangerous = joint::names().iter().filter(|joint| joint::weight(joint) == Weight::SteeringAndBrakes);
    dangerous.filter(is_gone).map(|joint| format!("torque of the {}", joint::title(joint)))
}

/// A ledger, and what was last recorded of it.
struct Here<'a> {
    catalogue: &'a Catalogue,
    ledger: &'a Ledger,
    head: Revision,
}

impl Here<'_> {
    /// What a text tells against riding, a sheet beside its setup as that is staged, or as it was where that goes as well.
    fn stop(&self, text: &[u8]) -> Option<String> {
        let alone = read(self.catalogue, text, None).setup?;
        if alone.kind == Kind::Setup {
            return stop::kept(self.catalogue, &alone);
        }
        let Some(setup) = self.setup_of(&alone) else { return stop::says_alone(self.catalogue, &alone) };
        let sheet = read(self.catalogue, text, Some(&setup)).setup?;
        stop::on_setup(self.catalogue, &setup, &sheet, &[])
    }

    fn setup_of(&self, sheet: &Setup) -> Option<Setup> {
        let file = self.ledger.setup_named(&sheet.name.value);
        let staged = self.ledger.read_staged(&file).ok().flatten();
        let bytes = staged.or_else(|| Some(self.ledger.read_at(&file, &self.head).ok()??.bytes))?;
        read(self.catalogue, &bytes, None).setup.filter(|setup| setup.kind == Kind::Setup)
    }
}
