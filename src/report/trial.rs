//! A tried change, as a page: what is unsafe about it first, then what it does to the hands, then the rest.

use serde::Serialize;

use crate::catalogue::{Catalogue, Side};
use crate::compare::{DerivedChange, Held};
use crate::geometry::derived::{Coordinate, find, grip};
use crate::metrology::show;
use crate::metrology::verdict::Verdict;
use crate::trial::{ControlChange, HoseChange, MeasureChange, Trial, USUAL_SPACERS};

use super::faults::faults;
use super::grips::missing;
use super::not_tightened;
use super::pile;
use super::replaced;
use super::said::{self, accepted, said_line};
use super::screen::{Align, Label, Page, Piece, piece, plain};
use super::turn::at;

/// The result of `try`.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TrialReport {
    /// `clampmark.try/1`
    pub schema: &'static str,
    /// The setup.
    pub setup: String,
    /// The revision's full hash; null for the working file.
    pub revision: Option<String>,
    /// The point in time as it was named.
    pub label: String,
    /// What is at fault in the file, with its place.
    pub findings: Vec<String>,
    /// What follows.
    #[serde(flatten)]
    pub trial: Trial,
    /// The name under which the result was written.
    pub written: Option<String>,
    /// Why it was not, where it was to be.
    pub not_written: Option<&'static str>,
}

/// Why a pile that was worked out is not written.
pub const NOBODY_PILES: &str = "Nothing was written: no usual spacers make that pile.";

/// A clearance or slack that changes by less than this, mm, is not worth a line.
const WORTH_A_LINE: f64 = 0.05;

impl TrialReport {
    /// Its schema.
    pub const SCHEMA: &str = "clampmark.try/1";

    /// Fills the page.
    pub fn write(&self, page: &mut Page) {
        page.title(format!("{}, if this were changed ({})", self.setup, self.label));
        faults(page, &self.setup, &self.findings);
        if let Some(words) = &self.trial.twisted {
            page.paragraph(2, 4, &[piece(Label::Danger, words.clone())]);
            page.blank();
        }
        if let Some(steerer) = &self.trial.steerer {
            pile::over_the_end(page, steerer);
            pile::unknown(page, steerer);
            pile::loose(page, steerer);
        }
        if said::damage_stands(&self.trial.stands) {
            said::stands(page, "Stands already", &self.trial.stands);
            page.blank();
        }
        changes(page, &self.trial.changes);
        self.kept(page);
        if let Some(steerer) = &self.trial.steerer {
            pile::changed(page, steerer);
        }
        for apart in &self.trial.opens.apart {
            page.paragraph(2, 4, &[plain(apart.clone())]);
        }
        if let Some(replaced) = &self.trial.replaced {
            page.blank();
            replaced::said(page, replaced);
        }
        if let Some(taken) = &self.trial.taken_over {
            page.paragraph(2, 4, &[piece(Label::Care, taken.words.clone())]);
            page.paragraph(2, 4, &taken.top_cap.map(plain).into_iter().collect::<Vec<_>>());
        }
        not_tightened::said(page, &self.trial.opens);
        self.said(page);
        derived(page, &self.trial);
        missing(page, &self.trial.missing);
        turned(page, &self.trial);
        self.carried(page);
        for note in &self.trial.notes {
            page.blank();
            page.paragraph(2, 4, &[piece(Label::Quiet, note.clone())]);
        }
        page.blank();
        match (&self.written, self.not_written) {
            (Some(name), _) => page.paragraph(2, 4, &[plain(format!("Written as {name}."))]),
            (None, Some(why)) => {
                let help = self.a_pile_to_write();
                page.paragraph(2, 4, &[piece(Label::Danger, why), plain(help)]);
            }
            (None, None) => page.paragraph(
                2,
                4,
                &[piece(
                    Label::Quiet,
                    "Nothing was written. One change at a time, ridden, then kept or undone.",
                )],
            ),
        }
        before_riding(page, &self.trial.opens.cautions);
    }

    /// How to write one of the piles that come near.
    fn a_pile_to_write(&self) -> String {
        let Some(kept) = &self.trial.kept else { return String::new() };
        let ways: Vec<String> =
            kept.near.iter().map(|near| format!("{}:={}", kept.by, show::typed(near.height, 3))).collect();
        format!(
            " Give one in place of --keep and --by: {}; or the height of spacers of your own.",
            ways.join(" or ")
        )
    }

    fn kept(&self, page: &mut Page) {
        let Some(kept) = &self.trial.kept else { return };
        let value = number(kept.value, kept.unit);
        let words = format!("  {} keeps {} where it was", kept.by, kept.keep);
        page.paragraph(2, 4, &[piece(Label::Number, value), plain(words)]);
        if kept.near.is_empty() {
            return;
        }
        let usual: Vec<String> = USUAL_SPACERS.iter().map(ToString::to_string).collect();
        let words = format!(
            "Usual spacers ({} mm: common practice, no source) do not make that height. The next piles:",
            usual.join(", ")
        );
        page.paragraph(4, 4, &[plain(words)]);
        for near in &kept.near {
            let spacers: Vec<String> = near.spacers.iter().map(ToString::to_string).collect();
            let of = if spacers.len() > 1 { format!(" ({})", spacers.join(" + ")) } else { String::new() };
            let unit = find(kept.keep).map_or("", |(_, derived)| derived.unit.sign());
            let left = show::plain(near.off.abs(), 1);
            let words = format!("{of}  leave {} {left}{unit} {}", kept.keep, near.direction);
            let height = number(near.height, kept.unit);
            page.paragraph(4, 6, &[piece(Label::Number, height), plain(words)]);
        }
    }

    /// Angles one by one; points only by their number, for nobody sets them.
    fn carried(&self, page: &mut Page) {
        if self.trial.carried.is_empty() {
            return;
        }
        page.title("Goes along with it");
        let (angles, others): (Vec<_>, Vec<_>) =
            self.trial.carried.iter().cloned().partition(|change| change.unit == "deg");
        let catalogue = Catalogue::standard();
        let goes_along = |path: &str| catalogue.find(path).map(|id| catalogue.measure(id.row).goes_along());
        let (points, others): (Vec<_>, Vec<_>) =
            others.into_iter().partition(|change| goes_along(&change.measure) == Some(true));
        changes(page, &angles);
        changes(page, &others);
        if !points.is_empty() {
            let words = format!(
                "{} measures of lowest points and hose ends go along with the parts that carry them.",
                points.len()
            );
            page.paragraph(2, 4, &[plain(words)]);
        }
    }

    fn said(&self, page: &mut Page) {
        if !said::damage_stands(&self.trial.stands) {
            said::stands(page, "Stands already", &self.trial.stands);
        }
        if !self.trial.appears.is_empty() {
            page.title("New to say");
            for said in &self.trial.appears {
                said_line(page, said);
            }
        }
        said::otherwise(page, &self.trial.otherwise);
        accepted(page, &self.trial.stands_accepted, &self.trial.accepted);
        if !self.trial.disappears.is_empty() {
            page.title("No longer to say");
            for said in &self.trial.disappears {
                page.paragraph(2, 4, &[piece(Label::Quiet, said.message.clone())]);
            }
        }
    }
}

/// What is to be minded and checked where steering or brakes were opened.
fn before_riding(page: &mut Page, cautions: &[&str]) {
    if cautions.is_empty() {
        return;
    }
    page.title("Before riding");
    for caution in cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
}

fn sign(unit: &str) -> &'static str {
    crate::metrology::unit::Unit::ALL
        .iter()
        .find(|known| known.word() == unit)
        .map_or("", |known| known.sign())
}

/// A number as typed or worked out: no more than two decimals, none that say nothing.
fn number(value: f64, unit: &str) -> String {
    let text = show::plain(value, 2);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{text}{}", sign(unit))
}

fn held(held: Option<&Held>, unit: &str) -> String {
    match held {
        Some(Held::Number(value)) => number(*value, unit),
        Some(Held::Word(word)) => (*word).to_owned(),
        None => "not recorded".to_owned(),
    }
}

fn changes(page: &mut Page, changes: &[MeasureChange]) {
    let rows: Vec<Vec<Piece>> = changes
        .iter()
        .map(|change| {
            let was = held(change.was.as_ref(), change.unit);
            let now = held(change.now.as_ref(), change.unit);
            let step = match (change.delta, change.direction) {
                (Some(delta), Some(direction)) => format!("{} {direction}", number(delta.abs(), change.unit)),
                _ => String::new(),
            };
            let on_bar = change.on_bar.as_ref().map(|turned| {
                format!("{} {} on the bar", number(turned.delta.abs(), change.unit), turned.direction)
            });
            let step: Vec<String> =
                [step].into_iter().filter(|step| !step.is_empty()).chain(on_bar).collect();
            let step = step.join(", ");
            let (value, step) = (piece(Label::Number, format!("{was} → {now}")), plain(step));
            vec![value, plain(change.title.clone()), step]
        })
        .collect();
    page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
}

/// Whether a short page shows it: it changes beyond rounding, and a grip of its own only where the two go apart.
fn is_shown(change: &DerivedChange, alike: bool) -> bool {
    let is_of_one_hand = find(change.name).is_some_and(|(_, derived)| derived.is_of_one_hand());
    change.verdict != Verdict::Same && !change.detail && !(alike && is_of_one_hand)
}

/// Whether both hands go the same way, mirrored.
fn go_alike(derived: &[DerivedChange]) -> bool {
    let delta = |side: Side, coordinate: Coordinate| {
        let name = grip(side, coordinate).map(|grip| grip.name);
        let change = derived.iter().find(|change| Some(change.name) == name);
        change.and_then(|change| change.delta).unwrap_or(0.0)
    };
    Coordinate::ALL.into_iter().all(|coordinate| {
        let right = coordinate.mirrored(delta(Side::Right, coordinate));
        (delta(Side::Left, coordinate) - right).abs() < 1e-6
    })
}

fn derived(page: &mut Page, trial: &Trial) {
    let derived = &trial.derived;
    let alike = go_alike(derived);
    let rows: Vec<Vec<Piece>> =
        derived.iter().filter(|change| is_shown(change, alike)).filter_map(derived_row).collect();
    page.title("What that does");
    if rows.is_empty() {
        let words = match trial.missing[..] {
            [] => "None of the derived values changes.",
            _ => "That cannot be said: what rests on it cannot be computed, for want of what is missing.",
        };
        page.paragraph(2, 4, &[plain(words)]);
        return;
    }
    page.table(2, &[Align::Right, Align::Left, Align::Left, Align::Left], &rows);
}

fn derived_row(change: &DerivedChange) -> Option<Vec<Piece>> {
    if let (None, Some(now)) = (change.was, change.now) {
        let value = format!("{}{}", show::plain(now, decimals(change.unit)), sign(change.unit));
        return Some(vec![
            piece(Label::Number, value),
            plain("known now"),
            plain(change.title),
            piece(Label::Quiet, "not known before"),
        ]);
    }
    let (delta, expanded) = show::with_uncertainty(change.delta?.abs(), change.uncertainty?, 2);
    let is_nothing = delta.bytes().all(|digit| matches!(digit, b'0' | b'.'));
    let about = if change.rough { "≈" } else { "±" };
    let unit = sign(change.unit);
    let now = change
        .now
        .map_or(String::new(), |now| format!("to {}", change.held(now, decimals(change.unit), unit)));
    Some(vec![
        piece(Label::Number, format!("{delta} {about} {expanded}{unit}")),
        plain(if is_nothing { "the same" } else { change.direction }),
        plain(change.title),
        piece(Label::Quiet, now),
    ])
}

fn decimals(unit: &str) -> usize {
    if unit == "1" { 3 } else { 1 }
}

fn turned(page: &mut Page, trial: &Trial) {
    let controls: Vec<&ControlChange> =
        trial.controls.iter().filter(|control| control_changes(control)).collect();
    let hoses: Vec<&HoseChange> = trial.hoses.iter().filter(|hose| hose_changes(hose)).collect();
    if controls.is_empty() && hoses.is_empty() {
        return;
    }
    page.title("With the bars turned");
    for control in controls {
        control_line(page, control);
    }
    for hose in hoses {
        hose_line(page, hose);
    }
}

fn control_changes(control: &ControlChange) -> bool {
    match (control.was, control.now) {
        (Some(was), Some(now)) => {
            (was.least - now.least).abs() > WORTH_A_LINE || was.contact.is_some() != now.contact.is_some()
        }
        (was, now) => was.is_some() != now.is_some(),
    }
}

fn control_line(page: &mut Page, control: &ControlChange) {
    let Some(now) = control.now else { return };
    let was = control.was.map_or(String::new(), |was| format!(" (was {} mm)", show::plain(was.least, 1)));
    let (least, expanded) = show::with_uncertainty(now.least, now.uncertainty, 1);
    let mut pieces = vec![
        piece(Label::Number, format!("{least} ± {expanded} mm")),
        plain(format!("  {} to the top tube, {}{was}", control.title, at(now.at))),
    ];
    if let Some(contact) = now.contact {
        pieces.push(piece(Label::Danger, format!(": touches first {}", at(contact))));
    }
    page.paragraph(2, 4, &pieces);
}

fn hose_changes(hose: &HoseChange) -> bool {
    match (hose.was, hose.now) {
        (Some(was), Some(now)) => {
            (was.left - now.left).abs() > WORTH_A_LINE || was.tight_at.is_some() != now.tight_at.is_some()
        }
        (was, now) => was.is_some() != now.is_some(),
    }
}

fn hose_line(page: &mut Page, hose: &HoseChange) {
    let Some(now) = hose.now else { return };
    let was = hose.was.map_or(String::new(), |was| format!(" (was {} mm)", show::plain(was.left, 1)));
    let (slack, expanded) = show::with_uncertainty(now.left, now.uncertainty.unwrap_or(0.0), 1);
    let mut pieces = vec![
        piece(Label::Number, format!("{slack} ± {expanded} mm")),
        plain(format!("  slack left in the hose {}{was}", hose.name)),
    ];
    if let Some(tight) = now.tight_at {
        pieces.push(piece(Label::Danger, format!(": goes tight {}", at(tight))));
    }
    page.paragraph(2, 4, &pieces);
}
