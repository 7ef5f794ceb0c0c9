//! The head of `diff`'s page: what is compared, what to act on, and whether anything is to be told at all.

use crate::compare::{Point, Relation, Report};
use crate::report::planned;

use super::super::not_looked_at::{nothing_moved, only_good};
use super::words::Words;
use super::{Label, Page, piece, plain};

/// How many faults a page shows.
const MOST_FAULTS: usize = 3;

/// Writes it.
pub fn head(page: &mut Page, report: &Report, words: &Words) {
    let at = |point: &Point| {
        let label = Words::point(&point.label);
        let planned = planned::behind(point.planned);
        match &point.date {
            Some(date) if point.revision.is_some() => format!("{label} ({date}{planned})"),
            Some(date) => format!("{label} (measured {date}{planned})"),
            None if point.planned => format!("{label} ({})", planned::IN_PART),
            None => label.to_owned(),
        }
    };
    // Of two different files each is told by its name; it is not said twice.
    let title = if report.from.label == report.setup { "" } else { &report.setup };
    let gap = if title.is_empty() { "" } else { ": " };
    let compared = words.compared(&at(&report.from), &at(&report.to));
    let pieces = [piece(Label::Title, title), plain(format!("{gap}{compared}"))];
    page.paragraph(0, 2, &pieces);
    if let Some(headline) = &report.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    super::super::sheet_day::said(page, report.sheet_day.as_ref());
    faults(page, &report.findings);
    // Where nobody tells any more how a brake stands, nobody knows whether it moved.
    let is_gone = report.relation == Relation::Revisions
        && !report.backwards
        && report.comparison.no_longer_recorded().is_some();
    if report.has_difference() || report.comparison.unknown_roll.is_some() || is_gone {
        return;
    }
    page.blank();
    if !report.findings.is_empty() {
        let said =
            "This is no all-clear: what stands at a fault was not compared. Mend it and compare again.";
        page.paragraph(0, 2, &[piece(Label::Care, said)]);
    } else if report.blank {
        let said = if report.good.is_empty() {
            "Nothing was read: the sheet is empty, and says nothing of the bike.".to_owned()
        } else {
            only_good(&report.good)
        };
        page.paragraph(0, 2, &[piece(Label::Care, said)]);
    } else if report.comparison.contradictions.is_empty() {
        let comparison = &report.comparison;
        let said = if let Some(in_doubt) = comparison.ground_in_doubt() {
            words.in_doubt(in_doubt).to_owned()
        } else if comparison.partial {
            nothing_moved(comparison.looked_at, comparison.not_looked_at.len(), false)
        } else {
            words.nothing().to_owned()
        };
        page.paragraph(0, 2, &[plain(said)]);
    }
}

/// One mistake can make many faults: the first few stand for all of them.
fn faults(page: &mut Page, findings: &[String]) {
    if findings.is_empty() {
        return;
    }
    page.blank();
    let before = if findings.len() == 1 { "A fault" } else { "Faults" };
    page.paragraph(0, 2, &[piece(Label::Care, format!("{before} may hide a difference:"))]);
    for finding in findings.iter().take(MOST_FAULTS) {
        page.paragraph(2, 4, &[plain(finding.clone())]);
    }
    if let Some(rest @ 1..) = findings.len().checked_sub(MOST_FAULTS) {
        let rest =
            [plain(format!("And {rest} more: ")), piece(Label::Command, "clampmark check"), plain(".")];
        page.paragraph(2, 4, &rest);
    }
}
