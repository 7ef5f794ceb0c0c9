//! The findings of several files, each with its place as a person reads it: line, column, and the line's text.
//!
//! Knows texts and findings; who found them, and on which screen they go, is not known here.

use chrono::NaiveDate;
use serde::Serialize;
use unicode_width::UnicodeWidthChar;

use crate::catalogue::code::Severity;

use super::finding::{Acknowledged, Finding};
use super::span::LineIndex;

/// No more of a line is quoted than this many columns: a file may be one endless line.
const WIDEST_QUOTE: usize = 400;

/// One finding with its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Placed {
    /// The word of its code.
    pub code: &'static str,
    /// How bad.
    pub severity: Severity,
    /// What, one sentence.
    pub message: String,
    /// The line, from 1; null when the whole file is meant.
    pub line: Option<usize>,
    /// The column in characters, from 1.
    pub column: Option<usize>,
    /// The written path of the measure or part.
    pub measure: Option<String>,
    /// What to do, one sentence.
    pub help: String,
    /// Whether nobody is to ride so.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub unridable: bool,
    /// The line's text around the place, without its indentation.
    pub quote: Option<String>,
    /// The column of the place within the quoted text, from 1.
    #[serde(skip)]
    pub column_in_quote: usize,
}

/// A finding that the file accepts, with its place and the reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Accepted {
    /// What was found, where.
    #[serde(flatten)]
    pub placed: Placed,
    /// Why it is accepted.
    pub why: String,
    /// Whether it keeps everybody from riding all the same.
    pub stands: bool,
}

/// Why a file was not looked at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unread {
    /// What, one sentence.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
}

/// A sheet of a setup that finds the bike otherwise, and that neither the setup nor another sheet of it answers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NewerSheet {
    /// Its name.
    pub sheet: String,
    /// The last day on which it found so; none if it does not say.
    pub day: Option<NaiveDate>,
    /// Whether nobody is to ride by it.
    pub not_to_ride: bool,
    /// Whether it is that, or finds anything of steering or brakes otherwise.
    pub to_act_on: bool,
    /// The command that tells what it finds.
    pub command: String,
}

/// One file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct File {
    /// Where it is.
    pub path: String,
    /// Its name in the ledger, or the path it was given by.
    pub setup: String,
    /// What was found, faults first, then in the order of the text.
    pub findings: Vec<Placed>,
    /// How many more the file accepts.
    pub accepted: usize,
    /// What these are, and why.
    pub acknowledged: Vec<Accepted>,
    /// Why nothing was looked at, if so.
    pub unread: Option<Unread>,
    /// What the file keeps against riding, as the overview has it.
    #[serde(rename = "not-to-ride", skip_serializing_if = "Option::is_none")]
    pub not_to_ride: Option<String>,
    /// A newer sheet that was neither written in nor put back.
    #[serde(rename = "newer-sheet", skip_serializing_if = "Option::is_none")]
    pub newer_sheet: Option<NewerSheet>,
}

impl File {
    /// A file that was looked at: what was found in its text, and what the text accepts.
    pub fn checked(
        path: String,
        setup: String,
        bytes: &[u8],
        findings: &[Finding],
        accepted: &[Acknowledged],
    ) -> File {
        // Bytes that are not text keep their count of lines; the columns are then as good as can be.
        let text = String::from_utf8_lossy(bytes);
        let index = LineIndex::new(&text);
        let acknowledged = accepted
            .iter()
            .map(|accepted| Accepted {
                placed: place(&index, &accepted.finding),
                why: accepted.why.clone(),
                stands: accepted.finding.code.stands_though_accepted(),
            })
            .collect();
        let findings = placed(&index, findings);
        let accepted = accepted.len();
        let (unread, not_to_ride, newer_sheet) = (None, None, None);
        File { path, setup, findings, accepted, acknowledged, unread, not_to_ride, newer_sheet }
    }

    /// The same file, of which is known what it keeps against riding.
    #[must_use]
    pub fn keeping(self, not_to_ride: Option<String>) -> File {
        File { not_to_ride, ..self }
    }

    /// The same file with one more sentence on that.
    #[must_use]
    pub fn also_keeping(self, more: Option<String>) -> File {
        let told: Vec<String> = self.not_to_ride.iter().cloned().chain(more).collect();
        self.keeping((!told.is_empty()).then(|| told.join(" ")))
    }

    /// The same file, of which is known what was found since.
    #[must_use]
    pub fn found_since(self, newer_sheet: Option<NewerSheet>) -> File {
        File { newer_sheet, ..self }
    }

    /// A file that could not be looked at.
    pub fn not_read(path: String, setup: String, unread: Unread) -> File {
        let (findings, acknowledged) = (Vec::new(), Vec::new());
        let (accepted, unread, not_to_ride, newer_sheet) = (0, Some(unread), None, None);
        File { path, setup, findings, accepted, acknowledged, unread, not_to_ride, newer_sheet }
    }
}

/// How many of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Files looked at.
    pub files: usize,
    /// Files that could not be read.
    #[serde(skip)]
    pub unread: usize,
    /// Faults.
    pub fault: usize,
    /// Cautions.
    pub caution: usize,
    /// Advice.
    pub advice: usize,
    /// Those of any severity that nobody is to ride with, and the files that say so in another way.
    #[serde(skip)]
    pub unridable: usize,
    /// Setups of which a newer sheet is not written in.
    #[serde(skip)]
    pub found_since: usize,
    /// Those of them where that is to be acted on before anybody rides.
    #[serde(skip)]
    pub found_astray: usize,
    /// Found, and accepted in the file with a reason.
    pub accepted: usize,
}

/// The finished result.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Report {
    /// clampmark.check/1
    pub schema: &'static str,
    /// Every file, in the order of their names or of the command line.
    pub files: Vec<File>,
    /// How many of each.
    pub counts: Counts,
}

impl Report {
    /// What a result looks like.
    pub const SCHEMA: &'static str = "clampmark.check/1";

    /// The result for these files.
    pub fn of(files: Vec<File>) -> Report {
        let mut counts = Counts::default();
        for file in &files {
            counts.add(file);
        }
        Report { schema: Report::SCHEMA, counts, files }
    }
}

impl Counts {
    /// The counts of these severities.
    pub fn of(severities: impl Iterator<Item = Severity>) -> Counts {
        let mut counts = Counts::default();
        severities.for_each(|severity| counts.add_one(severity));
        counts
    }

    /// Counts one more file.
    pub fn add(&mut self, file: &File) {
        self.files += usize::from(file.unread.is_none());
        self.unread += usize::from(file.unread.is_some());
        // What is accepted is not among the findings.
        self.accepted += file.accepted;
        self.unridable += file.acknowledged.iter().filter(|accepted| accepted.stands).count();
        self.unridable += usize::from(file.not_to_ride.is_some());
        self.found_since += usize::from(file.newer_sheet.is_some());
        self.found_astray += usize::from(file.newer_sheet.as_ref().is_some_and(|newer| newer.to_act_on));
        for placed in &file.findings {
            self.unridable += usize::from(placed.unridable);
            self.add_one(placed.severity);
        }
    }

    /// Whether somebody has to act before the file is good, or before anybody rides.
    pub fn is_to_act_on(self) -> bool {
        self.fault > 0 || self.unridable > 0 || self.found_astray > 0
    }

    fn add_one(&mut self, severity: Severity) {
        match severity {
            Severity::Fault => self.fault += 1,
            Severity::Caution => self.caution += 1,
            Severity::Advice => self.advice += 1,
        }
    }

    /// The findings in words: "1 fault, 2 cautions, 1 accepted"; none if there are none.
    pub fn in_words(self) -> Option<String> {
        let said: Vec<String> = [
            (self.fault, "fault", "faults"),
            (self.caution, "caution", "cautions"),
            (self.advice, "advice", "advices"),
            (self.accepted, "accepted", "accepted"),
        ]
        .into_iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(count, one, many)| match (count, one) {
            (1, "advice") => "1 piece of advice".to_owned(),
            (_, "advice") => format!("{count} pieces of advice"),
            (1, _) => format!("1 {one}"),
            _ => format!("{count} {many}"),
        })
        .collect();
        (!said.is_empty()).then(|| said.join(", "))
    }
}

/// Places the findings of one text, faults first.
fn placed(index: &LineIndex, findings: &[Finding]) -> Vec<Placed> {
    let mut placed: Vec<Placed> = findings.iter().map(|finding| place(index, finding)).collect();
    placed.sort_by_key(|placed| (placed.severity, placed.line, placed.column));
    placed
}

fn place(index: &LineIndex, finding: &Finding) -> Placed {
    let at = finding.span.map(|span| index.line_column(span.start));
    let (quote, column_in_quote) =
        at.map(|(line, column)| excerpt(index.line_text(line), column, WIDEST_QUOTE)).unwrap_or_default();
    Placed {
        code: finding.code.name,
        severity: finding.severity,
        message: finding.message.clone(),
        line: at.map(|(line, _)| line),
        column: at.map(|(_, column)| column),
        measure: finding.measure.clone(),
        unridable: finding.code.unridable,
        help: finding.help.clone(),
        quote: Some(quote).filter(|quote| !quote.is_empty()),
        column_in_quote,
    }
}

/// A line without its indentation; of one wider than `widest` columns the stretch around the place. `column` counts
/// characters from 1; with the text comes the column that the place has in it.
pub fn excerpt(line: &str, column: usize, widest: usize) -> (String, usize) {
    let body = line.trim();
    let indentation = line.trim_end().chars().count().saturating_sub(body.chars().count());
    let wide = |letter: char| letter.width().unwrap_or(1);
    let place = column.saturating_sub(indentation + 1);
    if body.chars().map(wide).sum::<usize>() <= widest {
        return (body.to_owned(), place + 1);
    }
    // A third of the room before the place, the rest behind it.
    let start = place.saturating_sub(widest / 3);
    let before = if start > 0 { "…" } else { "" };
    let mut room = widest.saturating_sub(2);
    let mut letters = body.chars().skip(start).peekable();
    let mut shown = String::new();
    while let Some(letter) = letters.next_if(|letter| wide(*letter) <= room) {
        room -= wide(letter);
        shown.push(letter);
    }
    let after = if letters.peek().is_some() { "…" } else { "" };
    (format!("{before}{shown}{after}"), place - start + 1 + before.chars().count())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::code;
    use crate::setup::span::Span;

    #[test]
    fn faults_come_first_then_the_order_of_the_text() {
        // Offsets by hand: line 2 starts at 2, its indentation is two spaces, `b` stands at 4.
        let text = "a\n  b\n";
        let findings = [
            Finding::new(&code::NO_DATE, "first in the text").at(Span::new(0, 1)),
            Finding::new(&code::OFF_SPAN, "second").at(Span::new(4, 5)),
            Finding::new(&code::NO_DATE, "of the whole file"),
        ];
        let placed = placed(&LineIndex::new(text), &findings);
        let said: Vec<(&str, Option<usize>, Option<usize>)> =
            placed.iter().map(|placed| (placed.message.as_str(), placed.line, placed.column)).collect();
        assert_eq!(
            said,
            [
                ("second", Some(2), Some(3)),
                ("of the whole file", None, None),
                ("first in the text", Some(1), Some(1))
            ]
        );
        assert_eq!(placed[0].quote.as_deref(), Some("b"));
    }

    #[test]
    fn a_wide_line_is_quoted_around_the_place() {
        // 20 letters, 12 columns: the place is `n`, the 14th; a third (4) before it: from `j` on, 10 letters
        // and the two signs of omission.
        assert_eq!(excerpt("  abcdefghijklmnopqrst", 16, 12), ("…jklmnopqrs…".to_owned(), 6));
        assert_eq!(excerpt("  abcdefghijklmnopqrst", 3, 12), ("abcdefghij…".to_owned(), 1));
        assert_eq!(excerpt("  short  ", 3, 12), ("short".to_owned(), 1));
    }

    #[test]
    fn counts_are_said_in_words() {
        let counts = Counts { files: 3, fault: 1, caution: 2, advice: 1, accepted: 2, ..Counts::default() };
        assert_eq!(counts.in_words().as_deref(), Some("1 fault, 2 cautions, 1 piece of advice, 2 accepted"));
        assert_eq!(Counts::default().in_words(), None);
    }
}
