//! What a setup file itself keeps against riding: damage, whatever a note forbids it for, what it reads, clamps drawn too
//! tight or too slack, and clamps of steering or brakes that were opened and of which nobody has said since how they were tightened.
//! Every page that gives a verdict on the bike asks here.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use crate::catalogue::{Catalogue, MeasureId, Weight, joint};
use crate::metrology::show::brief;
use crate::setup::finding::Finding;
use crate::setup::model::{Damage, Setup};
use crate::setup::torque::Torque;
use crate::torque::allowed;

use super::{damage, forbidden, opened};

/// Damage in words, by part: "bar: scored under the left clamp". What a sheet reports again is left to it.
pub fn damages(setup: &Setup, sheet: Option<&Setup>) -> Vec<String> {
    let is_told = |on: &str, text: &str| {
        let same = |damage: &Damage| damage.on.value == on && damage.text.value == text;
        sheet.is_some_and(|sheet| sheet.damages.iter().any(same))
    };
    let noted = damage::noted(setup).map(|noted| (noted.on, noted.text));
    let own = setup.damages.iter().map(|damage| (damage.on.value.clone(), damage.text.value.clone()));
    let all: BTreeSet<(String, String)> = noted.chain(own).filter(|(on, text)| !is_told(on, text)).collect();
    all.iter().map(|(on, text)| format!("{}: {}", joint::title(on), text.trim_end_matches('.'))).collect()
}

/// What the notes of a setup forbid to ride it for: "steerer: 10 mm of spacers are not there".
pub fn forbidden(setup: &Setup) -> impl Iterator<Item = String> {
    forbidden::noted(setup).map(|noted| noted.words())
}

/// The joints of steering and brakes that a note tells were opened, in working order, without those that are `told`
/// of already: "opened before, torque not read since: stem on steerer".
pub fn left_open(setup: &Setup, told: impl Fn(&str) -> bool) -> Option<String> {
    let is_dangerous = |name: &&str| joint::weight(name) == Weight::SteeringAndBrakes;
    let open: BTreeSet<&str> = opened::open(setup).map(|noted| noted.joint).filter(is_dangerous).collect();
    let in_order = joint::names().iter().filter(|name| open.contains(name.as_str()) && !told(name));
    let titles: Vec<String> = in_order.map(|name| joint::title(name)).collect();
    (!titles.is_empty()).then(|| format!("opened before, torque not read since: {}", titles.join(", ")))
}

/// The joints that were last tightened so that the bike is not to be ridden, without those that are `told` of already:
/// drawn too tight, whatever they hold; too slack, where that lets go of steering, brakes or a wheel.
pub fn badly_tightened(setup: &Setup, told: impl Fn(&str) -> bool) -> Vec<String> {
    let known = setup.torques.iter().filter(|torque| !told(&torque.joint.value));
    known.filter_map(out_of_range).collect()
}

fn out_of_range(torque: &Torque) -> Option<String> {
    let applied = &torque.applied.as_ref()?.figure.value;
    let allowed = allowed(torque)?.ok()?.range;
    let name = &torque.joint.value;
    let range = format!("the {}–{} N·m allowed", brief(allowed.from), brief(allowed.to));
    let said = format!("{} last tightened to {}", joint::title(name), applied.said());
    // A clamp may be left slack on purpose, to turn in a crash.
    let is_meant = torque.slips_in_a_crash.is_some();
    let lets_go = joint::weight(name) == Weight::SteeringAndBrakes && !is_meant;
    match allowed.place_of(applied.newton_metres()) {
        Ordering::Greater => Some(format!("{said}, above {range}")),
        Ordering::Less if lets_go => Some(format!("{said}, below {range}")),
        Ordering::Less | Ordering::Equal => None,
    }
}

/// A reading by which nobody is to ride, and what `check` says of it.
#[derive(Clone, Debug)]
pub struct Reads {
    /// The finding.
    pub finding: Finding,
    /// It in short: "left brake bite 5 mm".
    pub words: String,
}

/// The readings of a setup by which nobody is to ride, without what the file accepts and what a sheet reads anew.
pub fn by_reading(catalogue: &Catalogue, setup: &Setup, sheet: Option<&Setup>) -> Vec<Reads> {
    let read_anew = |id: &MeasureId| sheet.is_some_and(|sheet| sheet.recorded(id).is_some());
    // What notes tell is told by them.
    let readings = super::unridable(catalogue, setup).into_iter().filter(|finding| finding.code.acceptable);
    let reads = readings.filter_map(|finding| {
        let id = finding.measure.as_ref().and_then(|measure| catalogue.find(measure));
        if id.as_ref().is_some_and(read_anew) {
            return None;
        }
        let is_dangerous = |id: &MeasureId| catalogue.measure(id.row).weight == Weight::SteeringAndBrakes;
        let reading = id.filter(is_dangerous).and_then(|id| Some((setup.reading(&id)?, id)));
        let words = match reading {
            Some((reading, id)) => format!("{} {}", catalogue.title(&id), reading.in_words()),
            None => finding.message.trim_end_matches('.').replacen("The ", "the ", 1),
        };
        Some(Reads { finding, words })
    });
    reads.collect()
}

/// The verdict on these reasons, in one line; none if there are none.
pub fn verdict(reasons: &[String]) -> Option<String> {
    (!reasons.is_empty()).then(|| format!("Do not ride: {}.", reasons.join("; ")))
}

/// All of it: what notes forbid it for, the damage but what the sheet reports again, what it reads, and of the joints
/// those that are not `told` of already.
pub fn reasons(
    catalogue: &Catalogue,
    setup: &Setup,
    sheet: Option<&Setup>,
    told: impl Fn(&str) -> bool,
) -> Vec<String> {
    let tightened = badly_tightened(setup, &told);
    damages(setup, sheet)
        .into_iter()
        .chain(forbidden(setup))
        .chain(by_reading(catalogue, setup, sheet).into_iter().map(|reads| reads.words))
        .chain(tightened)
        .chain(left_open(setup, &told))
        .collect()
}
