//! What a setup file itself keeps against riding: damage, whatever a note forbids it for, what it reads, clamps drawn too
//! tight or too slack, clamps of steering or brakes that were opened and of which nobody has said since how they were
//! tightened, or how what they hold stands, and what a merge left undecided.
//! Every page that gives a verdict on the bike asks here.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, MeasureId, Weight, code, joint};
use crate::geometry::state::{Layer, State};
use crate::metrology::NEGLIGIBLE;
use crate::metrology::show::brief;
use crate::setup::finding::Finding;
use crate::setup::model::{Accepted, Damage, MarkState, Note, Setup};
use crate::setup::span::Span;
use crate::setup::torque::Torque;
use crate::torque::allowed;
use crate::torque::old_part::{self, of_today};

use super::as_found::as_found;
use super::opened::Noted;
use super::{damage, forbidden, forgotten, not_decided, on_sheet, opened};

/// Of where the range of a clamp begins that may turn in a crash, what it has to be tightened to before a reason may settle
/// it: below half nobody has tried it out, it is left loose, and a brake lever would turn as it is pulled. Common practice,
/// no source.
const LEAST_ACCEPTED: f64 = 0.5;

/// Damage in words, by part: "bar: scored under the left clamp". What a sheet reports again is left to it.
pub fn damages(setup: &Setup, sheet: Option<&Setup>) -> Vec<String> {
    let is_told = |on: &str, text: &str| {
        let same =
            |damage: &Damage| damage::is_same(setup, (on, text), (&damage.on.value, &damage.text.value));
        sheet.is_some_and(|sheet| sheet.damages.iter().any(same))
    };
    let noted = damage::noted(setup).map(|noted| (noted.on, noted.text));
    let own = setup.damages.iter().map(|damage| (damage.on.value.clone(), damage.text.value.clone()));
    let all: BTreeSet<(String, String)> = noted.chain(own).filter(|(on, text)| !is_told(on, text)).collect();
    let words = |(on, text): &(String, String)| {
        let on = if on.is_empty() { String::new() } else { format!("{}: ", joint::title(on)) };
        format!("{on}{}", text.trim_end_matches('.'))
    };
    all.iter().map(words).collect()
}

/// What the notes of a setup forbid to ride it for: "steerer: 10 mm of spacers are not there".
pub fn forbidden(setup: &Setup) -> impl Iterator<Item = String> {
    forbidden::noted(setup).map(|noted| noted.words())
}

/// The notes by which nobody is to ride: of damage, and those that forbid it.
pub fn notes(setup: &Setup) -> impl Iterator<Item = &Note> {
    damage::noted(setup).map(|noted| noted.note).chain(forbidden::noted(setup).map(|noted| noted.note))
}

/// Whether what stands there in the text is a note by which nobody is to ride: of damage, or one that forbids it.
pub fn keeps_from_riding(setup: &Setup, place: Span) -> bool {
    notes(setup).any(|note| place.range().contains(&(note.text.span.start as usize)))
}

/// The joints of steering and brakes that a note tells were opened, in working order, without those that are `told`
/// of as they were on that day or later: "opened before, torque not read since: stem on steerer".
pub fn left_open(setup: &Setup, told: impl Fn(&str, Option<NaiveDate>) -> bool) -> Option<String> {
    let is_dangerous = |noted: &Noted| joint::weight(noted.joint) == Weight::SteeringAndBrakes;
    let notes = opened::open(setup).filter(is_dangerous).filter(|noted| !told(noted.joint, noted.day));
    let open: BTreeSet<&str> = notes.map(|noted| noted.joint).collect();
    let in_order = joint::names().iter().filter(|name| open.contains(name.as_str()));
    let titles: Vec<String> = in_order.map(|name| joint::title(name)).collect();
    (!titles.is_empty()).then(|| format!("opened before, torque not read since: {}", titles.join(", ")))
}

/// The joints that were last tightened so that the bike is not to be ridden, without those that are `told` of as they
/// were on that day or later: drawn too tight, whatever they hold; too slack, where that lets go of steering, brakes or
/// a wheel.
pub fn badly_tightened(setup: &Setup, told: impl Fn(&str, Option<NaiveDate>) -> bool) -> Vec<String> {
    let day = |torque: &Torque| torque.applied.as_ref().and_then(|applied| applied.read);
    let known = setup.torques.iter().filter(|torque| !told(&torque.joint.value, day(torque)));
    known.filter_map(|torque| out_of_range(setup, torque)).collect()
}

/// Whether a joint of steering or brakes was last tightened below its range, and the file accepts that of it.
pub fn is_accepted_below(setup: &Setup, torque: &Torque) -> bool {
    let Some(applied) = &torque.applied else { return false };
    let newton_metres = applied.figure.value.newton_metres();
    let is_below = match allowed(&of_today(torque)) {
        Some(Ok(allowed)) => allowed.range.place_of(newton_metres) == Ordering::Less,
        Some(Err(_)) | None => false,
    };
    let holds = joint::weight(&torque.joint.value) == Weight::SteeringAndBrakes;
    is_below && holds && out_of_range(setup, torque).is_none()
}

fn out_of_range(setup: &Setup, torque: &Torque) -> Option<String> {
    let applied = &torque.applied.as_ref()?.figure.value;
    let name = &torque.joint.value;
    let said = format!("{} last tightened to {}", joint::title(name), applied.said());
    let holds = joint::weight(name) == Weight::SteeringAndBrakes;
    let torque = &of_today(torque);
    if holds && torque.range.is_none() && old_part::gone(torque).next().is_some() {
        return Some(format!(
            "{} tightened for another part, its maker's figure not known",
            joint::title(name)
        ));
    }
    let allowed = match allowed(torque)? {
        Ok(allowed) => allowed.range,
        Err(conflict) => {
            let limit = &conflict.ceiling.limit.value;
            let is_above = applied.newton_metres() > limit.newton_metres() + NEGLIGIBLE;
            return is_above.then(|| {
                format!("{said}, above the {} that the {} allows", limit.said(), conflict.ceiling.part.value)
            });
        }
    };
    let range = format!("the {}–{} N·m allowed", brief(allowed.from), brief(allowed.to));
    // A clamp may be left slack on purpose, to turn in a crash: then the file accepts it of this very joint, and says why.
    let accepts = |accepted: &&Accepted| accepted.covers(code::TORQUE_APPLIED_BELOW.name, Some(name));
    let mut accepted = setup.accepted.iter().filter(accepts);
    let names = |one: &Accepted| one.on.as_ref().is_some_and(|on| on.value == *name);
    let (is_accepted, by_name) = (accepted.clone().next().is_some(), accepted.any(names));
    let too_little = applied.newton_metres() < LEAST_ACCEPTED * allowed.from - NEGLIGIBLE;
    let lets_go = holds && !(torque.slips_in_a_crash.is_some() && by_name && !too_little);
    let unnamed = match (is_accepted, by_name) {
        (true, false) => ", accepted of no joint by name",
        (true, true) if too_little => ", less than half of where it begins: no reason settles that",
        _ => "",
    };
    match allowed.place_of(applied.newton_metres()) {
        Ordering::Greater => Some(format!("{said}, above {range}")),
        Ordering::Less if lets_go => Some(format!("{said}, below {range}{unnamed}")),
        Ordering::Less | Ordering::Equal => None,
    }
}

/// A reading by which nobody is to ride, and what `check` says of it.
#[derive(Clone, Debug)]
pub struct Reads {
    /// The finding.
    pub finding: Finding,
    /// It in short: "left brake bite 5 mm", or a whole sentence, where it is no reading alone.
    pub words: String,
    is_sentence: bool,
}

impl Reads {
    /// It in short, as what stands in the file: "recorded left brake bite 5 mm", "as recorded, the hose …".
    pub fn as_recorded(&self) -> String {
        format!("{} {}", if self.is_sentence { "as recorded," } else { "recorded" }, self.words)
    }
}

/// The readings of a bike by which nobody is to ride, as recorded or as found, whatever the file accepts.
pub fn by_reading(state: &State) -> Vec<Reads> {
    let setup = as_found(state);
    // What notes tell is told by them.
    let all = super::unridable(state.catalogue(), &setup).into_iter();
    let readings = all.filter(|finding| finding.code.acceptable);
    readings.map(|finding| in_short(state.catalogue(), &setup, finding)).collect()
}

fn in_short(catalogue: &Catalogue, setup: &Setup, finding: Finding) -> Reads {
    let id = finding.measure.as_ref().and_then(|measure| catalogue.find(measure));
    let is_dangerous = |id: &MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes;
    let reading = id.filter(is_dangerous).and_then(|id| Some((setup.reading(&id)?, id)));
    let words = match &reading {
        Some((reading, id)) => format!("{} {}", catalogue.title(id), reading.in_words()),
        None => finding.message.trim_end_matches('.').replacen("The ", "the ", 1),
    };
    Reads { words, is_sentence: reading.is_none(), finding }
}

/// What of steering and brakes the file says nobody knows any more, without what `is_known` since, by the day since when:
/// "no longer known since 2026-05-09: right brake lever place, right brake lever angle".
pub fn no_longer_known(
    catalogue: &Catalogue,
    setup: &Setup,
    is_known: impl Fn(&MeasureId) -> bool,
) -> Vec<String> {
    let unknown = forgotten::all(catalogue, setup).filter(|(id, _)| !is_known(id));
    since_when(catalogue, setup, unknown)
}

/// The same of what a sheet reads, but on ground that nobody read.
fn not_known_by_its_reading(state: &State) -> Vec<String> {
    let (catalogue, setup) = (state.catalogue(), state.setup());
    let read = state.sheet().into_iter().flat_map(|sheet| sheet.readings.keys());
    let read = read.filter(|id| state.is_on_unread_ground(id));
    let unknown = read.filter_map(|id| Some((id, forgotten::last_note(catalogue, setup, id)?)));
    since_when(catalogue, setup, unknown)
}

fn since_when<'s>(
    catalogue: &Catalogue,
    setup: &Setup,
    unknown: impl Iterator<Item = (&'s MeasureId, forgotten::Noted<'s>)>,
) -> Vec<String> {
    let mut since: Vec<(String, Vec<String>)> = Vec::new();
    for (id, noted) in unknown {
        if forgotten::weight(catalogue, setup, id) != Weight::SteeringAndBrakes {
            continue;
        }
        let (day, title) = (noted.since_words(), catalogue.title(id));
        match since.iter_mut().find(|(known, _)| *known == day) {
            Some((_, titles)) => titles.push(title),
            None => since.push((day, vec![title])),
        }
    }
    since.iter().map(|(day, titles)| format!("no longer known{day}: {}", titles.join(", "))).collect()
}

/// What a sheet tells against riding that is compared with no setup.
pub fn by_sheet_alone(catalogue: &Catalogue, sheet: &Setup) -> Vec<String> {
    let said = on_sheet::but_damage(sheet);
    let damages = sheet.damages.iter().map(|damage| format!("{}: {}", damage.on.value, damage.text.value));
    let opened = sheet.opened.iter().map(|one| format!("opened: {}", joint::title(&one.joint.value)));
    let seen = sheet.marks.iter().filter_map(|mark| Some((&mark.name.value, mark.state.as_ref()?.value)));
    let lines = seen.filter(|(_, state)| *state != MarkState::Aligned);
    let lines = lines.map(|(name, _)| format!("mark {name} was not found in line"));
    let open = sheet.in_conflict.iter().map(|one| format!("{} not decided", one.about.replacen('.', " ", 1)));
    let is_dangerous = |id: &&MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes;
    let unread = sheet.undecided.keys().filter(is_dangerous);
    let unread = unread.map(|id| format!("{} not decided", catalogue.title(id)));
    damages.chain(said).chain(opened).chain(lines).chain(open).chain(unread).collect()
}

/// What a setup keeps against riding: all of it, whatever else is told of the file.
pub fn kept(catalogue: &Catalogue, setup: &Setup) -> Vec<String> {
    reasons(&State::recorded(catalogue, setup), |_| false, |_, _| false)
}

/// The same of a setup in which these were `found` already: where no reading among them forbids to ride, the rules that would
/// find one are not asked again.
pub fn kept_beside<'f>(
    catalogue: &Catalogue,
    setup: &Setup,
    mut found: impl Iterator<Item = &'f Finding>,
) -> Vec<String> {
    let recorded = State::recorded(catalogue, setup);
    let read = if found.any(|finding| finding.code.unridable) { by_reading(&recorded) } else { Vec::new() };
    with_readings(&recorded, read, |_, _| false, |_| false)
}

/// Puts behind what is told already what is not.
pub fn add_new(told: &mut Vec<String>, more: impl IntoIterator<Item = String>) {
    let new: Vec<String> = more.into_iter().filter(|words| !told.contains(words)).collect();
    told.extend(new);
}

/// The verdict on these reasons, in one line; none if there are none.
pub fn verdict(reasons: &[String]) -> Option<String> {
    in_one_line(reasons).map(|reasons| format!("Do not ride: {reasons}."))
}

/// The reasons alone; none if there are none.
pub fn in_one_line(reasons: &[String]) -> Option<String> {
    (!reasons.is_empty()).then(|| reasons.join("; "))
}

/// All of it: what notes forbid it for, those of the sheet, too, the damage but what the sheet reports again, the measures
/// that are not `said` to read so already, of the joints those that are not `told` of, and what no sheet reads since nobody
/// knows it.
pub fn reasons(
    state: &State,
    said: impl Fn(&str) -> bool,
    told: impl Fn(&str, Option<NaiveDate>) -> bool,
) -> Vec<String> {
    with_readings(state, by_reading(state), told, said)
}

fn with_readings(
    state: &State,
    read: Vec<Reads>,
    told: impl Fn(&str, Option<NaiveDate>) -> bool,
    said: impl Fn(&str) -> bool,
) -> Vec<String> {
    let setup = state.setup();
    let is_said = |reads: &Reads| reads.finding.measure.as_deref().is_some_and(&said);
    let read = read.into_iter().filter(|reads| !is_said(reads));
    let mut noted = state.sheet().map(on_sheet::but_damage).unwrap_or_default();
    // The file may keep the sheet's words already.
    add_new(&mut noted, damages(setup, state.sheet()).into_iter().chain(forbidden(setup)));
    noted
        .into_iter()
        .chain(read.map(|reads| reads.words))
        .chain(badly_tightened(setup, &told))
        .chain(not_decided::reasons(state, &said, &told))
        .chain(left_open(setup, &told))
        .chain(no_longer_known(state.catalogue(), setup, |id| state.layer(id) != Layer::Recorded))
        .chain(not_known_by_its_reading(state))
        .collect()
}
