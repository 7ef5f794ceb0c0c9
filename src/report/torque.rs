//! The torque sheet on a page: number first, what is wrong before what to mind.

use crate::catalogue::joint;
use crate::metrology::show::plain as decimals;
use crate::report::screen::{Align, Label, Page, Piece, piece, plain};
use crate::report::{newer_sheet, planned};
use crate::torque::sheet::{JointTorque, LastApplied, TorqueSheet};
use crate::torque::wrench::percent;
use crate::torque::{Range, RangeIn};

/// Writes the sheet.
pub fn page(page: &mut Page, sheet: &TorqueSheet) {
    head(page, sheet);
    for joint in &sheet.joints {
        block(page, sheet, joint);
    }
    without_torque(page, sheet);
    foot(page, sheet);
}

fn head(page: &mut Page, sheet: &TorqueSheet) {
    let at = sheet.revision.as_ref().map_or(sheet.label.clone(), |_| format!("at {}", sheet.label));
    let measured = sheet.measured.map(|date| format!(", measured {date}")).unwrap_or_default();
    let planned = planned::behind(sheet.planned);
    page.title(format!("Torque for {}, {at}{measured}{planned}", sheet.setup));
    if let Some(headline) = &sheet.headline {
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    if let Some(newer) = &sheet.newer_sheet {
        newer_sheet::said(page, 0, newer);
    }
    match &sheet.wrench {
        Some(wrench) => {
            let name = wrench.name.as_ref().map_or("Wrench".to_owned(), |name| format!("Wrench `{name}`"));
            let range = match (wrench.low, wrench.high) {
                (Some(low), Some(high)) => format!(", {} to {} N·m", short(low), short(high)),
                (Some(low), None) => format!(", from {} N·m", short(low)),
                (None, Some(high)) => format!(", to {} N·m", short(high)),
                (None, None) => String::new(),
            };
            let said = format!("{name}: within {} % of the true torque{range}.", percent(wrench.deviation));
            page.paragraph(0, 0, &[plain(said)]);
        }
        None => ask_for_wrench(page, sheet),
    }
    if let Some(extension) = &sheet.extension {
        let said = format!(
            "Extension {} mm on a {} mm wrench at {}°: settings are {} times the torque at the bolt.",
            short(extension.extension),
            short(extension.wrench),
            short(extension.angle),
            decimals(extension.factor, 4),
        );
        page.paragraph(0, 0, &[plain(said)]);
    }
    if sheet.unread_faults > 0 {
        let what = if sheet.unread_faults == 1 { "a fault" } else { "faults" };
        let said = format!(" the file has {what} elsewhere, so something may be missing here: ");
        let command = format!("clampmark check {}", sheet.setup);
        page.paragraph(0, 2, &[piece(Label::Danger, "Fault:"), plain(said), piece(Label::Command, command)]);
    }
    for joint in &sheet.undecided {
        let said = format!(" two versions of the torque of {joint} are undecided: neither counts.");
        page.paragraph(0, 2, &[piece(Label::Danger, "Conflict:"), plain(said)]);
    }
    if sheet.joints.is_empty() && sheet.undecided.is_empty() {
        page.paragraph(0, 0, &[plain("No torque is recorded in this file.")]);
    }
}

fn ask_for_wrench(page: &mut Page, sheet: &TorqueSheet) {
    if sheet.joints.is_empty() {
        return;
    }
    let which = match sheet.wrenches.first() {
        Some(first) => format!("--wrench {first}"),
        None => "--wrench 6%".to_owned(),
    };
    let why = if sheet.wrenches.is_empty() {
        " adds the wrench settings, 6 % being what the wrench may deviate."
    } else {
        " adds the settings of one of the file's wrenches."
    };
    page.paragraph(0, 0, &[piece(Label::Command, which), piece(Label::Quiet, why)]);
}

fn block(page: &mut Page, sheet: &TorqueSheet, joint: &JointTorque) {
    page.title(joint.title.clone());
    for fault in &joint.faults {
        page.paragraph(2, 4, &[piece(Label::Danger, "Fault:"), plain(format!(" {fault}"))]);
    }
    let rows = rows(sheet, joint);
    page.table(2, &[Align::Left, Align::Left], &rows);
    for caution in &joint.cautions {
        page.paragraph(2, 4, &[piece(Label::Care, "Caution:"), plain(format!(" {caution}"))]);
    }
    for advice in &joint.advice {
        page.paragraph(2, 4, &[piece(Label::Quiet, "Note:"), plain(format!(" {advice}"))]);
    }
}

fn rows(sheet: &TorqueSheet, joint: &JointTorque) -> Vec<Vec<Piece>> {
    let mut rows = vec![allowed_row(joint)];
    let mut add = |number: String, says: &str| rows.push(vec![piece(Label::Number, number), plain(says)]);
    if let (Some(allowed), Some(_)) = (joint.allowed, joint.allowed_as_written) {
        add(inside(allowed), "the same in N·m");
    }
    if let Some(settings) = joint.settings_on_wrench {
        let extension = if sheet.extension.is_some() { ", with the extension" } else { "" };
        add(inside(settings), &format!("set the wrench anywhere between{extension}"));
    }
    if let Some(settings) = joint.settings_as_written {
        add(inside_in(settings), "the same settings in the unit written");
    }
    if let Some(tool) = &joint.tool {
        add(tool.clone(), "tool");
    }
    if let (Some(preload), Some(bolt)) = (&joint.preload, &joint.bolt) {
        let (force, proof) = (decimals(preload.force, 0), decimals(preload.proof_load, 0));
        let factor = short(preload.factor);
        let says = format!("of {bolt} proof load at the top: {force} of {proof} N, K {factor}");
        add(format!("{} %", decimals(preload.share * 100.0, 0)), &says);
    }
    if let Some(applied) = &joint.applied {
        add(applied.written.clone(), &last(applied));
    }
    if joint.slips_in_a_crash {
        add("turns".to_owned(), "in a crash; never under braking");
    }
    rows
}

fn allowed_row(joint: &JointTorque) -> Vec<Piece> {
    let Some(allowed) = joint.allowed else {
        let says = match joint.written {
            Some(_) => "no torque is allowed by every part: do not tighten",
            None => "no range could be read: do not tighten by this file",
        };
        return vec![piece(Label::Danger, "none"), plain(says)];
    };
    let number = match joint.allowed_as_written {
        Some(written) => format!("{} – {}{}", short(written.from), short(written.to), written.unit.sign()),
        None => format!("{} – {} N·m", short(allowed.from), short(allowed.to)),
    };
    let says = match (&joint.limited_by, &joint.written) {
        (Some(part), Some([_, to])) => format!("allowed; \"{part}\" sets the limit (else up to {to})"),
        _ => "allowed".to_owned(),
    };
    vec![piece(Label::Number, number), plain(says)]
}

fn last(applied: &LastApplied) -> String {
    let date = applied.date.map(|date| format!(" {date}"));
    let with = applied.with.as_ref().map(|with| format!(" with `{with}`"));
    let truly = applied
        .true_torque
        .map(|range| format!(": truly {} to {} N·m", decimals(range.from, 2), decimals(range.to, 2)));
    let said = [Some("last applied".to_owned()), date, with, truly];
    said.into_iter().flatten().collect()
}

fn without_torque(page: &mut Page, sheet: &TorqueSheet) {
    if sheet.without_torque.is_empty() {
        return;
    }
    page.title("No torque recorded");
    let titles: Vec<String> = sheet.without_torque.iter().map(|name| joint::title(name)).collect();
    let said = format!(" {}. Steering and brakes: take the figures from the makers.", titles.join(", "));
    page.paragraph(2, 4, &[piece(Label::Care, "Caution:"), plain(said)]);
}

fn foot(page: &mut Page, sheet: &TorqueSheet) {
    page.title("For every joint");
    for caution in &sheet.cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
    page.title("Before riding");
    let rows: Vec<Vec<Piece>> = (1..)
        .zip(sheet.standing_checks)
        .map(|(number, check)| vec![plain(format!("{number}")), plain(*check)])
        .collect();
    page.table(2, &[Align::Right, Align::Left], &rows);
}

/// At most two decimals, without idle zeros.
fn short(value: f64) -> String {
    let text = decimals(value, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A window rounded inwards: what is shown never lies outside it.
fn inside(range: Range) -> String {
    let (from, to) = inwards(range.from, range.to);
    format!("{from} – {to} N·m")
}

fn inside_in(range: RangeIn) -> String {
    let (from, to) = inwards(range.from, range.to);
    format!("{from} – {to}{}", range.unit.sign())
}

/// Two decimals, more where the window is narrower than that.
fn inwards(from: f64, to: f64) -> (String, String) {
    for places in 2..=6 {
        let scale = 10_f64.powi(places);
        let low = (from * scale - SLACK).ceil() / scale;
        let high = (to * scale + SLACK).floor() / scale;
        if low <= high {
            let places = usize::try_from(places).unwrap_or(2);
            return (decimals(low, places), decimals(high, places));
        }
    }
    (decimals(from, 6), decimals(to, 6))
}

/// So little, in the last place shown, is rounding and not a torque outside the window.
const SLACK: f64 = 1e-6;
