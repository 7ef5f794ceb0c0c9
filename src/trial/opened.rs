//! Which joints a change opens, what comes off there, and what is to be minded and checked before anybody rides.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::joint::{self, JOINTS};
use crate::catalogue::{Catalogue, MeasureId, Weight, capital, caution};
use crate::check::opened;
use crate::compare::Replaced;
use crate::setup::model::Setup;
use crate::torque::allowed;
use crate::torque::old_part::of_today;

use crate::compare::Sawn;

/// What a change opens.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Opens {
    /// The joints, in working order.
    pub joints: Vec<String>,
    /// Those of them that the file says were tightened: to what counts no more.
    pub not_tightened: Vec<NotTightened>,
    /// Those of which a file that is written of the change keeps that nobody has tightened them for it.
    #[serde(skip)]
    pub to_tighten: Vec<ToTighten>,
    /// All of the joints in plain words.
    #[serde(skip)]
    pub titles: Vec<String>,
    /// Those of them of which the file tells no torque that is the maker's of what is then on the bike, in plain words.
    pub no_torque_known: Vec<String>,
    /// What comes apart there and not only loose, and what has to be right before it is tightened again.
    pub apart: Vec<String>,
    /// What to mind and to check, where steering or brakes are opened.
    pub cautions: Vec<&'static str>,
}

/// A joint whose last torque was applied before it is opened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotTightened {
    /// The joint.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// Why that torque counts no more.
    pub why: String,
}

/// A joint that is opened, or of which what was applied counts no more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToTighten {
    /// The joint.
    pub joint: String,
    /// Why what was last applied there counts no more, if anything was.
    pub why: Option<String>,
}

/// What it opens to give these measures their new values.
pub fn opens(
    catalogue: &Catalogue,
    now: &Setup,
    changed: &BTreeSet<&MeasureId>,
    replaced: Option<&Replaced>,
    sawn: Option<&Sawn>,
) -> Opens {
    let held = changed.iter().filter_map(|id| now.joint_of(catalogue, id));
    let by_part = replaced.iter().flat_map(|replaced| &replaced.joints).map(String::as_str);
    // What sits on a bar that is cut is slid along it.
    let by_saw = sawn.iter().flat_map(|sawn| &sawn.slid).map(String::as_str);
    let opened: BTreeSet<&str> = held.chain(by_part).chain(by_saw).collect();
    let joints: Vec<String> =
        joint::names().iter().filter(|name| opened.contains(name.as_str())).cloned().collect();
    let comes_off = |name: &str| {
        let is_held = |id: &&&MeasureId| now.joint_of(catalogue, id) == Some(name);
        changed.iter().filter(is_held).any(|id| catalogue.measure(id.row).comes_apart())
    };
    let apart = JOINTS.iter().filter(|joint| joint.apart.is_some() && comes_off(joint.name));
    let apart = apart.map(|joint| format!("{} comes apart: {}", capital(joint.title), joint.before));
    let weighs = |weight: Weight| weight == Weight::SteeringAndBrakes;
    let is_dangerous = joints.iter().any(|name| weighs(joint::weight(name)))
        || changed.iter().any(|id| weighs(catalogue.measure(id.row).weight));
    let on_carbon = now.has_carbon_bar() && joints.iter().any(|name| joint::squeezes_bar(name));
    let mut cautions: Vec<&'static str> = Vec::new();
    for id in changed {
        let own = catalogue.measure(id.row).caution.filter(|own| !cautions.contains(own));
        cautions.extend(own);
    }
    if on_carbon && !cautions.contains(&caution::CARBON) {
        cautions.push(caution::CARBON);
    }
    if is_dangerous {
        cautions.extend([caution::MAKER, caution::LOWER_LIMIT, caution::MECHANIC]);
        cautions.extend(caution::STANDING_CHECKS);
    }
    let to_tighten = to_tighten(now, &joints, replaced, sawn);
    Opens {
        apart: apart.collect(),
        not_tightened: to_tighten.iter().filter_map(not_tightened).collect(),
        to_tighten,
        titles: joints.iter().map(|name| joint::title(name)).collect(),
        no_torque_known: no_torque_known(now, &joints, replaced),
        joints,
        cautions,
    }
}

/// The joints without a range, or with one that was another part's.
fn no_torque_known(now: &Setup, opened: &[String], replaced: Option<&Replaced>) -> Vec<String> {
    let of_another_part = |joint: &String| replaced.is_some_and(|replaced| replaced.torques.contains(joint));
    let is_known = |joint: &String| {
        let torque = now.torque(joint).map(of_today);
        torque.is_some_and(|torque| matches!(allowed(&torque), Some(Ok(_)))) && !of_another_part(joint)
    };
    opened.iter().filter(|joint| !is_known(joint)).map(|joint| joint::title(joint)).collect()
}

/// The joints that are opened, and those to which something was applied that is another part's.
fn to_tighten(
    now: &Setup,
    joints: &[String],
    replaced: Option<&Replaced>,
    sawn: Option<&Sawn>,
) -> Vec<ToTighten> {
    let of_another_part = |joint: &String| replaced.is_some_and(|replaced| replaced.torques.contains(joint));
    let is_slid = |joint: &String| sawn.is_some_and(|sawn| sawn.slid.contains(joint));
    let why = |joint: &String| match replaced {
        Some(replaced) if of_another_part(joint) => opened::to_the_replaced(&replaced.words()),
        _ if is_slid(joint) => opened::BEFORE_THE_SAW.to_owned(),
        _ => opened::BEFORE_THE_CHANGE.to_owned(),
    };
    let is_tightened = |joint: &String| now.torque(joint).is_some_and(|torque| torque.applied.is_some());
    let is_to_be = |joint: &&String| joints.contains(joint) || of_another_part(joint) && is_tightened(joint);
    let all = joint::names().iter().filter(is_to_be);
    all.map(|joint| ToTighten { joint: joint.clone(), why: is_tightened(joint).then(|| why(joint)) })
        .collect()
}

fn not_tightened(one: &ToTighten) -> Option<NotTightened> {
    let ToTighten { joint, why } = one;
    let why = format!("{}: torque not read", why.as_ref()?);
    Some(NotTightened { joint: joint.clone(), title: joint::title(joint), why })
}
