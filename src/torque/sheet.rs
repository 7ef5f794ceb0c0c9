//! The torque sheet of a setup: everything a hand with a wrench needs to know, joint by joint.

use super::old_part::of_today;
use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::caution;
use crate::catalogue::code::{self, Severity};
use crate::catalogue::joint;
use crate::metrology::unit::Unit;
use crate::setup::checked::NewerSheet;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;
use crate::setup::torque::{Applied, Torque};

use super::allowed::allowed;
use super::wrench::{self, Wrench, true_torque};
use super::{Extension, Preload, Range, RangeIn, deviation_that_would_do, preload};

/// What the hand holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Request {
    /// The wrench; without one there are no settings.
    pub wrench: Option<Wrench>,
    /// What sits on its drive.
    pub extension: Option<Extension>,
}

/// The sheet. Torques in N·m, beside them in the unit written.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TorqueSheet {
    /// `clampmark.torque/1`
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// The point it was taken at: `now`, or the revision as it was named.
    pub label: String,
    /// The revision's full name; none for the working file.
    pub revision: Option<String>,
    /// When the setup was measured.
    pub measured: Option<NaiveDate>,
    /// Whether values of it are planned, not measured.
    pub planned: bool,
    /// One line to act on, if the file keeps anything against riding.
    pub headline: Option<String>,
    /// A newer sheet that was neither written in nor put back.
    #[serde(rename = "newer-sheet", skip_serializing_if = "Option::is_none")]
    pub newer_sheet: Option<NewerSheet>,
    /// The wrench the settings are for.
    pub wrench: Option<Wrench>,
    /// The wrenches the file defines.
    pub wrenches: Vec<String>,
    /// The extension the settings are for.
    pub extension: Option<Extension>,
    /// The joints, in working order.
    pub joints: Vec<JointTorque>,
    /// Joints of steering and brakes that have a position and no torque.
    pub without_torque: Vec<String>,
    /// Faults of the file's text that stand under no joint: what they hide may concern torque.
    pub unread_faults: usize,
    /// Joints of which two versions of the torque stand in conflict.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub undecided: Vec<String>,
    /// What holds for every joint.
    pub cautions: Vec<&'static str>,
    /// What to check before riding.
    pub standing_checks: &'static [&'static str],
}

impl TorqueSheet {
    /// Whether the bike is not to be ridden, any joint has a fault, or a fault of the text may hide one.
    pub fn is_to_act_on(&self) -> bool {
        self.headline.is_some()
            || self.newer_sheet.as_ref().is_some_and(|newer| newer.to_act_on)
            || self.unread_faults > 0
            || self.joints.iter().any(|joint| !joint.faults.is_empty())
    }
}

/// One joint.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct JointTorque {
    /// Its written name.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// The joint's own range.
    pub from: Option<f64>,
    /// The joint's own range.
    pub to: Option<f64>,
    /// The same as typed, with units.
    pub written: Option<[String; 2]>,
    /// What every part allows; none if that is nothing, or the range could not be read.
    pub allowed: Option<Range>,
    /// The same in the range's unit, where that is not N·m.
    pub allowed_as_written: Option<RangeIn>,
    /// The part whose limit cuts the range.
    pub limited_by: Option<String>,
    /// The settings that keep the true torque inside; none without a wrench, or if this one cannot.
    pub settings: Option<Range>,
    /// Those of the settings that the wrench has.
    pub settings_on_wrench: Option<Range>,
    /// The same in the range's unit, where that is not N·m.
    pub settings_as_written: Option<RangeIn>,
    /// The largest deviation (a fraction) of a wrench that can hold the allowed range.
    pub deviation_that_would_do: Option<f64>,
    /// The tool.
    pub tool: Option<String>,
    /// Thread and class, as written.
    pub bolt: Option<String>,
    /// What the bolt carries at the top of the allowed range.
    pub preload: Option<Preload>,
    /// What was last applied.
    pub applied: Option<LastApplied>,
    /// Whether the clamp is meant to turn in a crash.
    pub slips_in_a_crash: bool,
    /// What must be mended first.
    pub faults: Vec<String>,
    /// What to mind: found ones first, then the file's own.
    pub cautions: Vec<String>,
    /// What is worth knowing.
    pub advice: Vec<String>,
}

/// The torque last applied.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct LastApplied {
    /// In its unit.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// In N·m.
    pub newton_metres: f64,
    /// As typed, with units.
    pub written: String,
    /// When, if written.
    pub date: Option<NaiveDate>,
    /// With which wrench, if written.
    pub with: Option<String>,
    /// Between what the true torque lay, in N·m, where the wrench is known.
    pub true_torque: Option<Range>,
}

/// The sheet of a setup. `findings` are the checks' findings on the same file: those about a joint stand under it.
/// `read` are the reader's alone: a fault among them may have cost the file a torque.
pub fn sheet(
    setup: &Setup,
    label: &str,
    revision: Option<String>,
    request: &Request,
    findings: &[Finding],
    read: &[Finding],
) -> TorqueSheet {
    let mut joints: Vec<JointTorque> =
        setup.torques.iter().map(|torque| joint_torque(setup, torque, request, findings)).collect();
    joints.sort_by_key(|row| joint::find(&row.joint).map_or(usize::MAX, |(order, _)| order));
    let stray = |finding: &&Finding| {
        let is_here = |torque: &Torque| is_about(finding, &torque.joint.value);
        finding.severity == Severity::Fault && !setup.torques.iter().any(is_here)
    };
    let missing = findings.iter().filter(|finding| finding.code == &code::TORQUE_MISSING);
    TorqueSheet {
        schema: "clampmark.torque/1",
        setup: setup.name.value.clone(),
        label: label.to_owned(),
        revision,
        measured: setup.day(),
        planned: setup.is_planned(),
        headline: None,
        newer_sheet: None,
        wrench: request.wrench.clone(),
        wrenches: setup.wrenches().map(|(name, _)| name.to_owned()).collect(),
        extension: request.extension,
        joints,
        without_torque: missing.filter_map(|finding| finding.measure.clone()).collect(),
        unread_faults: read.iter().filter(stray).count(),
        undecided: read.iter().filter_map(undecided).collect(),
        cautions: vec![caution::MAKER, caution::LOWER_LIMIT, caution::CARBON, caution::MECHANIC],
        standing_checks: caution::STANDING_CHECKS,
    }
}

/// The joint whose torque a conflict is about.
fn undecided(finding: &Finding) -> Option<String> {
    let about = finding.measure.as_ref().filter(|_| finding.code == &code::UNRESOLVED_CONFLICT)?;
    about.strip_prefix("torque.").filter(|joint| joint::find(joint).is_some()).map(str::to_owned)
}

/// Whether a finding is about the torque of a joint, or about a conflict of something in it.
fn is_about(finding: &Finding, joint: &str) -> bool {
    let Some(about) = finding.measure.as_deref() else { return false };
    let inside = about.strip_prefix("torque.").and_then(|rest| rest.strip_prefix(joint));
    about == joint || inside.is_some_and(|rest| rest.starts_with('.'))
}

fn joint_torque(setup: &Setup, torque: &Torque, request: &Request, findings: &[Finding]) -> JointTorque {
    // The limits of a part that is gone are no figures to tighten by.
    let torque = &of_today(torque);
    let written = torque.range.as_ref().map(|range| &range.value);
    let fits = allowed(torque).and_then(Result::ok);
    let range = fits.as_ref().map(|fits| fits.range);
    let unit = written
        .map(|range| (range.from().unit, range.to().unit))
        .filter(|(from, to)| from == to && *from != Unit::NewtonMetre)
        .map(|(from, _)| from);
    let in_unit = |range: Option<Range>| range?.in_unit(unit?);
    let settings = request
        .wrench
        .as_ref()
        .and_then(|wrench| wrench::settings(torque, wrench, request.extension.as_ref()));
    let on_wrench = request.wrench.as_ref().zip(settings).and_then(|(wrench, settings)| wrench.has(settings));
    let said = Said::of(torque, request, settings, findings);
    JointTorque {
        joint: torque.joint.value.clone(),
        title: joint::title(&torque.joint.value),
        from: written.map(|range| range.from().newton_metres()),
        to: written.map(|range| range.to().newton_metres()),
        written: written.map(|range| [range.from().said(), range.to().said()]),
        allowed: range,
        allowed_as_written: in_unit(range),
        limited_by: fits.and_then(|fits| fits.limited_by.map(|ceiling| ceiling.part.value.clone())),
        settings,
        settings_on_wrench: on_wrench,
        settings_as_written: in_unit(on_wrench),
        deviation_that_would_do: range.map(deviation_that_would_do),
        tool: torque.tool.clone(),
        bolt: torque
            .thread
            .as_ref()
            .zip(torque.class.as_ref())
            .map(|(thread, class)| format!("{} {}", thread.value, class.value)),
        preload: preload(torque),
        applied: torque.applied.as_ref().map(|applied| last_applied(setup, applied)),
        slips_in_a_crash: torque.slips_in_a_crash.is_some(),
        faults: said.faults,
        cautions: said.cautions,
        advice: said.advice,
    }
}

fn last_applied(setup: &Setup, applied: &Applied) -> LastApplied {
    let figure = &applied.figure.value;
    let newton_metres = figure.newton_metres();
    let wrench = applied.with.as_ref().and_then(|with| setup.wrenches().find(|(name, _)| *name == &**with));
    LastApplied {
        value: figure.value,
        unit: figure.unit,
        newton_metres,
        written: figure.said(),
        date: applied.read,
        with: applied.with.as_deref().map(str::to_owned),
        true_torque: wrench.map(|(_, wrench)| true_torque(newton_metres, wrench.deviation)),
    }
}

/// What is said under a joint.
#[derive(Default)]
struct Said {
    faults: Vec<String>,
    cautions: Vec<String>,
    advice: Vec<String>,
}

impl Said {
    fn of(torque: &Torque, request: &Request, settings: Option<Range>, findings: &[Finding]) -> Said {
        let mut said = Said::default();
        let about = |finding: &&Finding| is_about(finding, &torque.joint.value);
        for finding in findings.iter().filter(about).filter(|finding| !is_told_here(finding)) {
            let list = match finding.severity {
                Severity::Fault => &mut said.faults,
                Severity::Caution => &mut said.cautions,
                Severity::Advice => &mut said.advice,
            };
            list.push(finding.message.clone());
        }
        if let Some(wrench) = &request.wrench {
            said.cautions.extend(wrench_caution(torque, wrench, request, settings));
        }
        said.cautions.extend(torque.cautions.iter().map(|caution| caution.value.clone()));
        said
    }
}

/// The checks speak of the file's wrenches, the sheet speaks of the one in hand; and the file's own caution on a part that
/// was replaced stands here in full.
fn is_told_here(finding: &Finding) -> bool {
    let told = [&code::TORQUE_WRENCH_DEVIATION, &code::TORQUE_WRENCH_RANGE, &code::RANGE_OF_THE_OLD_PART];
    told.contains(&finding.code)
}

fn wrench_caution(
    torque: &Torque,
    wrench: &Wrench,
    request: &Request,
    settings: Option<Range>,
) -> Option<String> {
    if let Some(finding) = wrench::unfit(torque, wrench, request.extension.as_ref()) {
        return Some(finding.message);
    }
    let settings = settings?;
    let usable = wrench.has(settings)?;
    (usable != settings).then(|| {
        format!("Not all settings that would do are there: {} {}.", wrench.title(), wrench::own_range(wrench))
    })
}
