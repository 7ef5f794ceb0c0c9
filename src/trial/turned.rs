//! What a change does to the room around the controls and to the hoses when the bars are turned.

use serde::Serialize;

use crate::geometry::state::State;
use crate::geometry::turning::{ControlTurn, HoseTurn, turning};
use crate::setup::hoses::{HoseOn, hoses_on};

/// A control against the top tube, over both ways of turning.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ControlChange {
    /// Which control.
    pub control: String,
    /// In plain words.
    pub title: String,
    /// Least clearance as it was, mm.
    pub was: Option<Clearance>,
    /// As it would be.
    pub now: Option<Clearance>,
}

/// A least clearance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Clearance {
    /// In mm, negative = overlap.
    pub least: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: f64,
    /// The turn at which it falls, degrees, − = right.
    pub at: f64,
    /// The turn of the first contact.
    pub contact: Option<f64>,
}

impl ControlChange {
    /// Whether it would touch and did not.
    pub fn is_worse(&self) -> bool {
        let touches = |clearance: Option<Clearance>| clearance.is_some_and(|found| found.contact.is_some());
        touches(self.now) && !touches(self.was)
    }
}

/// A hose at its longest.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HoseChange {
    /// Its name.
    pub name: String,
    /// The control that it leaves and goes along with, as far as that is known: `left.brake-lever`.
    pub control: Option<String>,
    /// As it was.
    pub was: Option<Slack>,
    /// As it would be.
    pub now: Option<Slack>,
}

/// What is left of a hose.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Slack {
    /// Free length less the longest distance between its ends, mm.
    #[serde(rename = "slack")]
    pub left: f64,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// The turn at which it goes tight.
    pub tight_at: Option<f64>,
}

impl HoseChange {
    /// Whether it would go tight and did not.
    pub fn is_worse(&self) -> bool {
        let tight = |slack: Option<Slack>| slack.is_some_and(|found| found.tight_at.is_some());
        tight(self.now) && !tight(self.was)
    }
}

/// Controls and hoses of two states side by side.
pub fn turned(from: &State, to: &State) -> (Vec<ControlChange>, Vec<HoseChange>) {
    let (was, now) = (turning(from), turning(to));
    let controls = now.controls.iter().map(|control| {
        let before = was.controls.iter().find(|before| before.control == control.control);
        ControlChange {
            control: control.control.clone(),
            title: control.title.clone(),
            was: before.map(least),
            now: Some(least(control)),
        }
    });
    let leaves = hoses_on(from.setup());
    let hoses = now.hoses.iter().map(|hose| HoseChange {
        name: hose.name.clone(),
        control: leaves.iter().find(|on| on.hose == hose.name).and_then(HoseOn::control_path),
        was: was.hoses.iter().find(|before| before.name == hose.name).and_then(slack),
        now: slack(hose),
    });
    (controls.collect(), hoses.collect())
}

/// The lesser of both ways, with the earlier contact.
fn least(control: &ControlTurn) -> Clearance {
    let [left, right] = control.ways();
    let way = if right.least < left.least { right } else { left };
    let contacts = [left.contact, right.contact].into_iter().flatten();
    Clearance {
        least: way.least,
        uncertainty: way.uncertainty,
        at: way.at,
        contact: contacts.min_by(|one, other| one.abs().total_cmp(&other.abs())),
    }
}

fn slack(hose: &HoseTurn) -> Option<Slack> {
    Some(Slack { left: hose.slack?, uncertainty: hose.uncertainty, tight_at: hose.tight_at })
}
