//! Of the page of `record`: the marks that were drawn anew, those that were not, and those that no longer tell anything.

use crate::restore::record::Recording;

use super::super::screen::{Label, Page, piece, plain};

/// Writes it.
pub(super) fn said(page: &mut Page, recording: &Recording) {
    if !recording.marks.is_empty() {
        let words = format!(
            "Drawn anew in the file: {}. Draw {} on the bike, too.",
            marks(&recording.marks),
            them(&recording.marks)
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    lines_carried(page, recording);
    for one in &recording.not_drawn {
        page.paragraph(2, 4, &[piece(Label::Care, one.words.clone())]);
    }
    for out in &recording.left_out {
        let words = format!(
            "Mark {} does not show the {} any more: the joint was opened, and the sheet does not read it. Measure it, \
             add it to the sheet and record with --mark again.",
            out.mark, out.title
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    if !recording.stale.is_empty() {
        let since = if recording.went_stale.is_empty() { "As before, no" } else { "No longer" };
        let words = format!(
            "{since} evidence: {}. Draw {} again on the bike, then record with --mark.",
            marks(&recording.stale),
            them(&recording.stale)
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
}

/// Lines that read otherwise, and that nobody is to look for anywhere else.
fn lines_carried(page: &mut Page, recording: &Recording) {
    let told = |by_saw: bool| -> Vec<String> {
        let lines = recording.lines_carried.iter().filter(|line| line.by_saw == by_saw);
        lines.map(|line| format!("{} (from {} to {})", line.mark, line.was, line.now)).collect()
    };
    for (by_saw, why) in
        [(false, "The bar was rolled, and with it"), (true, "The bar was cut: its ends came nearer to")]
    {
        let lines = told(by_saw);
        if lines.is_empty() {
            continue;
        }
        let (which, are, s) = if lines.len() == 1 { ("line", "is", "") } else { ("lines", "are", "s") };
        let what = if by_saw {
            format!("the place{s} in the file {are} new")
        } else {
            "a gauge reads otherwise".to_owned()
        };
        let words = format!(
            "{why} the {which} of {}. Nobody drew anything: on the bar the {which} {are} where drawn, and only {what}.",
            lines.join(", "),
        );
        page.paragraph(2, 4, &[plain(words)]);
    }
}

/// "mark L1", "marks L1, R1".
fn marks(names: &[String]) -> String {
    format!("{} {}", if names.len() == 1 { "mark" } else { "marks" }, names.join(", "))
}

fn them(names: &[String]) -> &'static str {
    if names.len() == 1 { "it" } else { "them" }
}
