//! The page of `check`: place first, the line as it stands there, how bad, what, and what to do.

use crate::catalogue::code::Severity;
use crate::setup::checked::{Accepted, Counts, File, Placed, Report, excerpt};

use super::newer_sheet;
use super::said::because;
use super::screen::{Label, Page, piece, plain};

/// Writes the page.
pub fn page(page: &mut Page, report: &Report) {
    files(page, &report.files);
    page.blank();
    closing(page, report.counts);
}

/// Writes what was found in these files.
pub fn files(page: &mut Page, files: &[File]) {
    for file in files {
        if let Some(unread) = &file.unread {
            page.blank();
            page.raw(vec![piece(Label::Title, file.setup.clone())]);
            page.paragraph(
                2,
                2,
                &[piece(Label::Danger, "Not checked."), plain(format!(" {}", unread.message))],
            );
            page.paragraph(2, 2, &[plain(unread.help.clone())]);
        }
        if file.not_to_ride.is_some() || file.newer_sheet.is_some() {
            page.blank();
            page.raw(vec![piece(Label::Title, file.setup.clone())]);
        }
        if let Some(verdict) = &file.not_to_ride {
            page.paragraph(2, 4, &[piece(Label::Danger, verdict.clone())]);
        }
        if let Some(newer) = &file.newer_sheet {
            newer_sheet::said(page, 2, newer);
        }
        // What nobody is to ride with comes before all advice, accepted or not.
        accepted(page, file, true);
        findings(page, file);
        accepted(page, file, false);
        accepted_advice(page, file);
    }
}

fn findings(page: &mut Page, file: &File) {
    let mut before = None;
    for placed in &file.findings {
        // What is said of one place is said under one heading.
        let here = (placed.line, placed.column);
        if before != Some(here) {
            heading(page, file, placed);
        }
        before = Some(here);
        finding(page, placed);
    }
}

/// What can cost control and is accepted is still told where it stands, with its reason.
fn accepted(page: &mut Page, file: &File, unridable: bool) {
    for Accepted { placed, why, stands } in &file.acknowledged {
        if placed.severity != Severity::Caution || placed.unridable != unridable {
            continue;
        }
        heading(page, file, placed);
        let code = piece(Label::Quiet, format!(" ({})", placed.code));
        let said = [piece(Label::Care, "Caution, accepted."), plain(format!(" {}", placed.message)), code];
        page.paragraph(2, 4, &said);
        because(page, why, *stands);
    }
}

/// Accepted advice, as short as it goes: an acknowledgement covers what is found today, and not what it was given for.
fn accepted_advice(page: &mut Page, file: &File) {
    let is_advice = |accepted: &&Accepted| accepted.placed.severity == Severity::Advice;
    let mut advice = file.acknowledged.iter().filter(is_advice).peekable();
    if advice.peek().is_none() {
        return;
    }
    page.blank();
    page.raw(vec![piece(Label::Title, file.setup.clone()), plain("  accepted")]);
    while let Some(Accepted { placed, why, .. }) = advice.next() {
        let code = piece(Label::Quiet, format!(" ({})", placed.code));
        page.paragraph(2, 4, &[plain(placed.message.clone()), code]);
        // One reason may be for several.
        if !advice.peek().is_some_and(|next| next.why == *why && next.placed.code == placed.code) {
            because(page, why, false);
        }
    }
}

fn heading(page: &mut Page, file: &File, placed: &Placed) {
    page.blank();
    let mut place = vec![piece(Label::Title, file.setup.clone())];
    if let (Some(line), Some(column)) = (placed.line, placed.column) {
        place.push(plain(format!("  line {line}, column {column}")));
    }
    page.raw(place);
    if let Some(quote) = &placed.quote {
        let (quote, _) = excerpt(quote, placed.column_in_quote, page.width().saturating_sub(6));
        page.raw(vec![plain("    "), piece(Label::Quiet, quote)]);
    }
}

fn finding(page: &mut Page, placed: &Placed) {
    let (label, word) = match placed.severity {
        Severity::Fault => (Label::Danger, "Fault."),
        Severity::Caution => (Label::Care, "Caution."),
        Severity::Advice => (Label::Plain, "Advice."),
    };
    // The code is what `accept` in a file names.
    let code = piece(Label::Quiet, format!(" ({})", placed.code));
    page.paragraph(2, 4, &[piece(label, word), plain(format!(" {}", placed.message)), code]);
    if !placed.help.is_empty() {
        page.paragraph(4, 4, &[plain(placed.help.clone())]);
    }
}

/// Writes "3 files checked: 1 fault, 2 cautions."
pub fn closing(page: &mut Page, counts: Counts) {
    let checked = match counts.files {
        0 => "No file checked".to_owned(),
        1 => "1 file checked".to_owned(),
        files => format!("{files} files checked"),
    };
    let found = match counts.in_words() {
        Some(words) => format!(": {words}"),
        None if counts.files > 0 && counts.unridable + counts.found_since == 0 => {
            ", nothing found".to_owned()
        }
        None => String::new(),
    };
    let left = match counts.unread {
        0 => String::new(),
        1 => "; 1 could not be read".to_owned(),
        unread => format!("; {unread} could not be read"),
    };
    page.paragraph(0, 0, &[plain(format!("{checked}{found}{left}."))]);
}
