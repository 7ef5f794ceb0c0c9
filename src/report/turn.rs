//! The page of `turn`: what touches first, then what is close, then what is clear, then the hoses.

use std::cmp::Ordering;

use serde::Serialize;

use crate::geometry::turning::{ControlTurn, HoseEnd, HoseTurn, Steered, Turning, Way};
use crate::metrology::show;

use super::screen::{Align, Label, Page, Piece, piece, plain};
use super::soundings;

/// What `turn` found.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// `clampmark.turn/1`
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// The point it was taken at: `now`, or the revision as it was named.
    pub label: String,
    /// The revision's full name; none for the working file.
    pub revision: Option<String>,
    /// Why nobody is to ride it, in one line.
    pub headline: Option<String>,
    /// The units of every number here.
    pub units: Units,
    /// Everything over the whole turn.
    #[serde(flatten)]
    pub turning: Turning,
    /// The same at one angle, if asked for.
    pub to: Option<Steered>,
    /// What the bars and controls may also meet, and nobody computed.
    pub left_out: &'static [&'static str],
    /// What to do by hand.
    pub cautions: &'static [&'static str],
    /// What was wrong with the file.
    pub findings: Vec<String>,
}

/// The units of a report.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Units {
    /// `mm`
    pub length: &'static str,
    /// `deg`
    pub angle: &'static str,
}

impl Report {
    /// Whether a control touches or a hose goes tight, at the angle asked for or anywhere.
    pub fn is_limited(&self) -> bool {
        self.to.as_ref().map_or_else(|| self.turning.is_limited(), Steered::is_limited)
    }
}

/// Writes the page; `draws` says whether the output is a terminal, where a drawing helps.
pub fn page(page: &mut Page, report: &Report, draws: bool) {
    head(page, report);
    if let Some(to) = &report.to {
        to_one_angle(page, to);
    } else {
        controls(page, &report.turning.controls);
        if draws {
            soundings::draw(page, &report.turning.controls);
        }
        hoses(page, &report.turning.hoses);
    }
    left_open(page, report);
    foot(page, report);
}

fn head(page: &mut Page, report: &Report) {
    let turning = &report.turning;
    let how_far = match (&report.to, turning.stop, turning.stop_uncertainty) {
        (Some(to), ..) => format!("bars turned to {}", direction(to.angle)),
        (None, Some(stop), Some(uncertainty)) => {
            let (stop, expanded) = show::with_uncertainty(stop, uncertainty, 1);
            format!("bars turned to the stop, {stop} ± {expanded}° each way")
        }
        _ => "bars turned right round: no stop is recorded".to_owned(),
    };
    let setup = piece(Label::Title, report.setup.clone());
    page.paragraph(0, 2, &[setup, plain(format!("  {}, {how_far}", report.label))]);
    if let Some(headline) = &report.headline {
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    for finding in &report.findings {
        page.paragraph(0, 2, &[piece(Label::Care, "Read with a fault: "), plain(finding.clone())]);
    }
}

fn controls(page: &mut Page, controls: &[ControlTurn]) {
    let mut rows: Vec<(&str, &str, &Way)> = Vec::new();
    for control in controls {
        rows.push((&control.title, "left", &control.left));
        rows.push((&control.title, "right", &control.right));
    }
    // The nearest first: what is worst is read first.
    rows.sort_by(|a, b| a.2.least.total_cmp(&b.2.least));
    for (title, label) in [
        ("Meets the top tube", Label::Danger),
        ("Too close to call", Label::Care),
        ("Clears the top tube", Label::Number),
    ] {
        let rows: Vec<Vec<Piece>> = rows
            .iter()
            .filter(|(.., way)| label_of(way) == label)
            .map(|(control, side, way)| way_row(control, side, way, label))
            .collect();
        if !rows.is_empty() {
            page.title(title);
            page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
        }
    }
}

fn label_of(way: &Way) -> Label {
    match way.contact {
        Some(_) => Label::Danger,
        None if way.is_too_close_to_call() => Label::Care,
        None => Label::Number,
    }
}

fn way_row(control: &str, side: &str, way: &Way, label: Label) -> Vec<Piece> {
    let mut words = format!("{control}, turning {side}");
    if let Some(contact) = way.contact {
        words += &contact_words(contact, way.contact_uncertainty);
    }
    let stop = if way.at_stop { ", the stop" } else { "" };
    vec![
        piece(label, length(way.least, way.uncertainty)),
        plain(format!("{}{stop}", at(way.at))),
        plain(words),
    ]
}

fn contact_words(contact: f64, uncertainty: Option<f64>) -> String {
    match uncertainty {
        Some(uncertainty) => {
            let (angle, expanded) = show::with_uncertainty(contact.abs(), uncertainty, 1);
            let side = if contact < 0.0 { "right" } else { "left" };
            format!(": touches first at {angle} ± {expanded}° {side}")
        }
        None => format!(": touches first {}", direction(contact)),
    }
}

fn hoses(page: &mut Page, hoses: &[HoseTurn]) {
    if hoses.is_empty() {
        return;
    }
    page.title("Hoses");
    for hose in hoses {
        let (Some(slack), Some(uncertainty)) = (hose.slack, hose.uncertainty) else {
            on_fork(page, hose);
            continue;
        };
        let label = match (hose.tight_at, hose.is_too_close_to_call()) {
            (Some(_), _) => Label::Danger,
            (None, true) => Label::Care,
            (None, false) => Label::Number,
        };
        let apart = format!(
            " slack, {}: its ends are furthest apart ({} mm) {}; {}",
            hose.name,
            show::plain(hose.longest.unwrap_or(0.0), 0),
            at(hose.at.unwrap_or(0.0)),
            tight(hose)
        );
        page.paragraph(2, 4, &[piece(label, length(slack, uncertainty)), plain(apart)]);
        bends(page, hose);
    }
}

fn on_fork(page: &mut Page, hose: &HoseTurn) {
    let free = hose.free.map_or_else(String::new, |free| format!(", {} mm free", show::plain(free, 0)));
    debug_assert_eq!(hose.end, HoseEnd::Fork);
    page.paragraph(2, 4, &[plain(format!("{}: turns with the bars{free}", hose.name))]);
}

fn tight(hose: &HoseTurn) -> String {
    let within = show::plain(hose.turned.unwrap_or(0.0), 0);
    let beyond = if hose.beyond_not_looked_at {
        format!("; beyond {within}° was not looked at")
    } else {
        String::new()
    };
    let said = match (hose.tight_left, hose.tight_right) {
        (Some(0.0), Some(0.0)) => "tight already straight ahead".to_owned(),
        (None, None) if hose.is_too_close_to_call() => {
            format!("not tight within {within}°, but too close to call")
        }
        (None, None) => format!("never tight within {within}°"),
        (left, right) => {
            let sides: Vec<String> = [left, right].into_iter().flatten().map(direction).collect();
            format!("tight from {}", sides.join(" and from "))
        }
    };
    format!("{said}{beyond}.")
}

fn bends(page: &mut Page, hose: &HoseTurn) {
    let words: Vec<String> = [bow(hose), radius(hose)].into_iter().flatten().collect();
    if !words.is_empty() {
        let label = if hose.bends_too_tight() { Label::Care } else { Label::Plain };
        page.paragraph(4, 6, &[piece(label, words.join("; ") + ".")]);
    }
}

fn bow(hose: &HoseTurn) -> Option<String> {
    let bow = length(hose.bow?, hose.bow_uncertainty?);
    let needed = hose.bow_needed.map(|needed| format!(" ({} mm would do)", show::plain(needed, 0)));
    Some(format!("bows {bow} straight ahead{}", needed.unwrap_or_default()))
}

fn radius(hose: &HoseTurn) -> Option<String> {
    let radius = length(hose.tightest_radius?, hose.radius_uncertainty?);
    let than = if hose.bends_too_tight() { "tighter than the " } else { "" };
    let allowed = hose.bend_radius.map(|allowed| format!(", {than}{} mm allowed", show::plain(allowed, 0)));
    Some(format!("tightest radius {radius} {}{}", at(hose.shortest_at?), allowed.unwrap_or_default()))
}

fn to_one_angle(page: &mut Page, to: &Steered) {
    page.title("Clearance over the top tube");
    let mut controls: Vec<_> = to.controls.iter().collect();
    controls.sort_by(|a, b| a.clearance.total_cmp(&b.clearance));
    let rows: Vec<Vec<Piece>> = controls
        .into_iter()
        .map(|control| {
            let way = &control.way;
            let label = if control.clearance <= 0.0 { Label::Danger } else { Label::Number };
            let least = if way.at.to_bits() == to.angle.to_bits() {
                "the least on the way".to_owned()
            } else {
                format!("least on the way {} {}", length(way.least, way.uncertainty), at(way.at))
            };
            let contact =
                way.contact.map_or_else(String::new, |angle| contact_words(angle, way.contact_uncertainty));
            vec![
                piece(label, length(control.clearance, control.uncertainty)),
                plain(control.title.clone()),
                plain(least + &contact),
            ]
        })
        .collect();
    page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
    if to.hoses.is_empty() {
        return;
    }
    page.title("Slack of the hoses");
    let rows: Vec<Vec<Piece>> = to
        .hoses
        .iter()
        .map(|hose| {
            let label = if hose.slack <= 0.0 { Label::Danger } else { Label::Number };
            vec![piece(label, length(hose.slack, hose.uncertainty)), plain(hose.name.clone())]
        })
        .collect();
    page.table(2, &[Align::Right, Align::Left], &rows);
}

fn left_open(page: &mut Page, report: &Report) {
    let turning = &report.turning;
    if !turning.missing.is_empty() {
        page.title("Not computed");
        for missing in &turning.missing {
            let words = format!("{}: needs {}", missing.title, missing.needs.join(", "));
            page.paragraph(2, 4, &[plain(words)]);
        }
    }
    page.blank();
    let mut quiet = |words: String| page.paragraph(0, 2, &[piece(Label::Quiet, words)]);
    if !turning.assumed.is_empty() {
        quiet(format!("Not recorded, counted as usual: {}.", turning.assumed.join(", ")));
    }
    if !turning.continued.is_empty() {
        let places = turning.continued.join(", ");
        quiet(format!("Further in than the bar's straight part, taken straight on: {places}."));
    }
    quiet(format!("Left out: {}.", report.left_out.join(", ")));
}

fn foot(page: &mut Page, report: &Report) {
    page.title("By hand, before riding");
    for caution in report.cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
}

/// A length with its uncertainty.
fn length(value: f64, uncertainty: f64) -> String {
    let (value, expanded) = show::with_uncertainty(value, uncertainty, 1);
    format!("{value} ± {expanded} mm")
}

/// A steering angle in words.
pub(super) fn direction(degrees: f64) -> String {
    let size = show::plain(degrees.abs(), 1);
    match degrees.partial_cmp(&0.0) {
        Some(Ordering::Less) => format!("{size}° right"),
        Some(Ordering::Greater) => format!("{size}° left"),
        _ => "straight ahead".to_owned(),
    }
}

/// The same behind a verb.
pub(super) fn at(degrees: f64) -> String {
    if degrees == 0.0 { direction(degrees) } else { format!("at {}", direction(degrees)) }
}
