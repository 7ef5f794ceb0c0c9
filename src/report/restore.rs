//! The page of `restore`: what blocks, then the steps in order, then what nobody looked at.

use crate::catalogue::{Weight, caution};
use crate::compare::held_against_old;
use crate::metrology::show;
use crate::restore::evidence::MarkReport;
use crate::restore::{MarkVerdict, Move, Plan, Reach, Step, StepTorque};
use std::fmt::Write as _;

use super::not_looked_at::{dangerous, not_looked_at, nothing_moved, only_good};
use super::planned;
use super::screen::{Label, Page, piece, plain};
use super::{floor_not_read, newer_sheet, sheet_day, unknown_roll};

/// Writes the page.
pub fn page(page: &mut Page, plan: &Plan) {
    if plan.is_empty() {
        return nothing(page, plan);
    }
    head(page, plan);
    // What stops no other joint is told at its own, and there with what to do about it.
    for stop in plan.blocked.iter().filter(|stop| stop.holds_up != Reach::ItsJoint) {
        let word = if stop.holds_up == Reach::Riding { "Before riding: " } else { "Stop here: " };
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, word), plain(stop.why.clone())]);
        page.paragraph(2, 2, &[plain(stop.help.clone())]);
    }
    for step in &plan.steps {
        self::step(page, step);
    }
    not_looked_at(page, &plan.not_looked_at, usize::MAX);
    if !plan.rebuild && plan.steps.iter().any(|step| step.joint.is_some() && !step.blocked) {
        page.title("Afterwards");
        let words = "Write on the sheet what each joint was tightened to, for instance `torque \"stem-face\" { applied \
                     4.5 }` with your own joint and figure, and record it: until then its torque is not known here.";
        page.paragraph(2, 4, &[plain(words)]);
        then(page, plan);
    }
    read_again(page, plan);
    page.title("Always");
    for caution in &plan.cautions {
        page.paragraph(2, 4, &[plain(*caution)]);
    }
}

/// What is set back without a bolt: only another reading tells that it was.
fn read_again(page: &mut Page, plan: &Plan) {
    let free = plan.steps.iter().filter(|step| step.joint.is_none() && !step.blocked);
    let titles: Vec<&str> = free.flat_map(|step| &step.moves).map(|back| back.title.as_str()).collect();
    if plan.rebuild || titles.is_empty() {
        return;
    }
    let words = format!(
        "No torque tells that this was put back: {}. Read it again, and write that on the sheet in place of what it reads.",
        titles.join(", ")
    );
    page.title("Read again");
    page.paragraph(2, 4, &[plain(words)]);
}

/// The command that closes it: of a plan the one that makes readings of its figures.
fn then(page: &mut Page, plan: &Plan) {
    let Some(command) = &plan.then else { return };
    let words = if plan.planned {
        "Once it stands as planned: read again what was set, write that on the sheet, and make readings of the planned \
         figures with this (with --mark, too, if lines were drawn anew):"
    } else {
        "Once the bike stands as recorded again (with --mark, too, if lines were drawn again):"
    };
    page.paragraph(2, 4, &[plain(words)]);
    page.raw(vec![plain("    "), piece(Label::Command, command.clone())]);
}

/// One line: nothing is to be put back, or nothing is known; below it what that does not vouch for.
fn nothing(page: &mut Page, plan: &Plan) {
    let words = match plan.ground_in_doubt() {
        Some(in_doubt) => in_doubt.to_owned(),
        None if plan.blank && !plan.good.is_empty() => only_good(&plan.good),
        None => nothing_moved(plan.looked_at, plan.not_looked_at.len(), plan.blank),
    };
    page.paragraph(0, 2, &[piece(Label::Title, plan.setup.clone()), plain(format!(": {words}"))]);
    found_since(page, plan);
    if plan.planned {
        planned::to_work_by(page);
    }
    if plan.blank {
        return;
    }
    sheet_day::said(page, plan.sheet_day.as_ref());
    floor_not_read::said_between(page, &plan.unread_ground, true);
    if let Some(words) = held_against_old(&plan.was_read_before_the_roll) {
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    of_the_part(page, plan);
    for words in taken_for_the_old(plan) {
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if let Some(shift) = &plan.common_shift {
        page.paragraph(2, 4, &[piece(Label::Care, shift.words())]);
    }
    for title in &plan.read_otherwise {
        let words = format!(
            "The {title} reads otherwise than recorded, and its control stands in its place: measure it again, or look \
             whether it is another part."
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    let dangerous: Vec<&str> = dangerous(&plan.not_looked_at).collect();
    if !dangerous.is_empty() {
        let words = format!("Not looked at on steering and brakes: {}.", dangerous.join(", "));
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if plan.marks.iter().any(|mark| mark.state == MarkVerdict::Aligned) {
        page.paragraph(2, 4, &[plain("A line that meets tells that nothing turned, not that it is tight.")]);
    }
    page.paragraph(2, 4, &[plain(format!("Before riding: {}", caution::STANDING_CHECKS.join(" ")))]);
    if plan.planned && plan.looked_at > 0 {
        then(page, plan);
    }
}

/// A sheet that this does not count on.
fn found_since(page: &mut Page, plan: &Plan) {
    if let Some(newer) = &plan.newer_sheet {
        page.blank();
        newer_sheet::said(page, 0, newer);
    }
}

/// What the fitted part has otherwise than the one that a plan had it from.
fn of_the_part(page: &mut Page, plan: &Plan) {
    for words in &plan.of_the_part {
        page.paragraph(2, 4, &[piece(Label::Care, words.clone())]);
    }
}

/// What the sheet tells of lines drawn anew that very day: nobody can tell whether of the old one or the new.
fn taken_for_the_old(plan: &Plan) -> impl Iterator<Item = &str> {
    let same_day = |mark: &&MarkReport| mark.state == MarkVerdict::DrawnSince && !mark.older_sheet;
    plan.marks.iter().filter(same_day).map(|mark| &*mark.words)
}

fn head(page: &mut Page, plan: &Plan) {
    let what = if plan.rebuild { "full rebuild" } else { "back from as found" };
    let pieces = [piece(Label::Title, plan.setup.clone()), plain(format!("  {what}, to {}", plan.revision))];
    page.paragraph(0, 2, &pieces);
    if plan.planned {
        planned::to_work_by(page);
    }
    if let Some(headline) = &plan.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    found_since(page, plan);
    sheet_day::said(page, plan.sheet_day.as_ref());
    floor_not_read::said_between(page, &plan.unread_ground, true);
    if let Some(words) = held_against_old(&plan.was_read_before_the_roll) {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, words)]);
    }
    if !plan.of_the_part.is_empty() {
        page.blank();
        of_the_part(page, plan);
    }
    for words in taken_for_the_old(plan) {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, words)]);
    }
    if let Some(shift) = &plan.common_shift {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, shift.words())]);
    }
    unknown_roll::said(page, plan.unknown_roll.as_ref());
}

fn step(page: &mut Page, step: &Step) {
    page.blank();
    let label = if step.weight == Weight::SteeringAndBrakes { Label::Danger } else { Label::Title };
    page.paragraph(
        0,
        4,
        &[
            piece(Label::Number, format!("{}.", step.number)),
            piece(label, format!(" {}", step.title)),
            piece(Label::Quiet, format!(" ({})", step.why)),
        ],
    );
    for unknown in &step.unknown {
        page.paragraph(4, 6, &[piece(Label::Danger, "Not known: "), plain(unknown.clone())]);
    }
    let is_said = |why: &String| step.unknown.iter().any(|unknown| unknown.starts_with(why));
    if let Some(held_up) = step.held_up.as_ref().filter(|why| !is_said(why)) {
        let word = if step.blocked { "Blocked: " } else { "Does not make the bike safe: " };
        page.paragraph(4, 6, &[piece(Label::Danger, word), plain(held_up.clone())]);
    }
    if step.blocked {
        return blocked(page, step);
    }
    if let Some(first) = &step.first {
        page.paragraph(4, 6, &[plain(format!("First: {first}"))]);
    }
    to_fit(page, step);
    for back in &step.moves {
        one_move(page, back);
    }
    for kept in &step.keeps {
        one_move(page, kept);
    }
    for sentence in &step.along {
        page.paragraph(4, 6, &[plain(sentence.clone())]);
    }
    for mark in &step.line_up {
        page.paragraph(4, 6, &[plain(format!("Line up mark {mark}."))]);
    }
    if let Some(words) = tightening(step) {
        page.paragraph(4, 6, &[piece(Label::Number, words)]);
    }
    for caution in &step.cautions {
        page.paragraph(4, 6, &[piece(Label::Care, "Mind: "), plain(caution.clone())]);
    }
    page.paragraph(4, 6, &[plain(format!("Done when: {}", step.check))]);
}

/// The parts to fit, as a plan names them.
fn to_fit(page: &mut Page, step: &Step) {
    for words in &step.fit {
        page.paragraph(4, 6, &[plain("Fit: "), piece(Label::Number, format!("{words}."))]);
    }
}

/// What stands at a joint that may not be tightened: how far it is from where it was, and no torque.
fn blocked(page: &mut Page, step: &Step) {
    let then = if step.moves.is_empty() && step.first.is_none() { "." } else { "; then:" };
    let nothing = if step.joint.is_some() { "Do not tighten anything" } else { "Set nothing" };
    page.paragraph(4, 6, &[plain(format!("{nothing} here until that is settled{then}"))]);
    // What falls out when the joint is opened does so all the same.
    if let Some(first) = &step.first {
        page.paragraph(4, 6, &[plain(format!("First: {first}"))]);
    }
    to_fit(page, step);
    for back in &step.moves {
        one_move(page, back);
    }
    for caution in &step.cautions {
        page.paragraph(4, 6, &[piece(Label::Care, "Mind: "), plain(caution.clone())]);
    }
}

fn one_move(page: &mut Page, back: &Move) {
    let mut words = back.words.clone();
    if let Some(mark) = &back.mark {
        let _ = write!(words, ", mark {mark}");
    }
    page.paragraph(4, 6, &[plain(format!("{}: ", back.title)), piece(Label::Number, words)]);
}

fn tightening(step: &Step) -> Option<String> {
    let with = step.tool.as_ref().map(|tool| format!(" with {tool}")).unwrap_or_default();
    match &step.torque {
        Some(torque) => Some(format!("Tighten to {}{with}{}.", range(torque), extra(torque))),
        None => step.tool.as_ref().map(|tool| format!("Tool: {tool}.")),
    }
}

fn range(torque: &StepTorque) -> String {
    format!("{}–{} N·m", show::brief(torque.from), show::brief(torque.to))
}

fn extra(torque: &StepTorque) -> String {
    let limit = torque.limited_by.as_ref().map(|part| format!(", limited by the {part}"));
    let settings = torque.settings.map(|settings| {
        format!(", wrench set to {}–{} N·m", show::brief(settings.from), show::brief(settings.to))
    });
    limit.unwrap_or_default() + &settings.unwrap_or_default()
}
