//! The page of the ledger at a glance.

use crate::check::dates::{SheetDay, Wrong};
use crate::compare::overview::{Differs, Known, Line, Overview, Sheet, Standing};
use crate::metrology::show;
use crate::setup::checked::Counts;

use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The place of the column of last readings.
const LAST_READ: usize = 2;

/// Writes the page; `option` is how the ledger was named.
pub fn page(page: &mut Page, overview: &Overview, option: &str) {
    if overview.setups.is_empty() && overview.stray_sheets.is_empty() {
        passed_over(page, overview);
        page.paragraph(0, 2, &[plain("No setup here yet.")]);
        page.paragraph(
            0,
            2,
            &[
                plain("Begin one: "),
                piece(Label::Command, "clampmark new NAME"),
                plain(", for instance rowan/home."),
            ],
        );
        return;
    }
    setups(page, overview);
    attention(page, overview);
    if overview.adopted_earlier {
        page.blank();
        adopted_earlier(page, option);
    }
    if overview.adopted_elsewhere {
        page.blank();
        let here = [
            piece(Label::Care, "Adopted, but not in this clone"),
            plain(": git checks no setup here and merges them as any text; for that: "),
            piece(Label::Command, format!("clampmark{option} adopt")),
        ];
        page.paragraph(0, 2, &here);
    }
    if !overview.repository {
        page.blank();
        let words = "No git repository here: nothing is recorded yet, only files can be compared. `git init` and a \
                     commit begin the record.";
        page.paragraph(0, 0, &[plain(words)]);
    }
}

/// How git is told to merge setups again.
pub(super) fn adopted_earlier(page: &mut Page, option: &str) {
    let again = [
        piece(Label::Care, "Git merges setups as an earlier version was adopted"),
        plain("; to renew it: "),
        piece(Label::Command, format!("clampmark{option} adopt")),
    ];
    page.paragraph(0, 2, &again);
}

/// The setups with their sheets, in columns. Where these have no room, the sheets stand across them; where they have none
/// even so, the names do.
fn setups(page: &mut Page, overview: &Overview) {
    let anything_known = overview.setups.iter().any(|line| line.grip_reach.is_some());
    // Only where something was read since its file was measured: a column of nothing tells nothing.
    let anything_read = overview.setups.iter().any(|line| line.last_read.is_some());
    let shorten = |mut row: Vec<Piece>| {
        if !anything_read && row.len() > LAST_READ {
            row.remove(LAST_READ);
        }
        row
    };
    let below = |mut row: Vec<Piece>| {
        let name = std::mem::replace(&mut row[0], plain("  "));
        [vec![name], row]
    };
    let rows = |sheets_across: bool, names_across: bool| {
        let mut rows = Vec::new();
        if anything_known || anything_read {
            let words = ["", "measured", "last read", "grip reach", "grip stack"];
            rows.push(shorten(words.map(|word| piece(Label::Quiet, word)).to_vec()));
        }
        for line in &overview.setups {
            let row = shorten(numbers(line));
            if names_across {
                rows.extend(below(row));
            } else {
                rows.push(row);
            }
            let sheets = line.sheets.iter();
            rows.extend(
                sheets.map(|sheet| if sheets_across { across(sheet) } else { shorten(as_found(sheet)) }),
            );
        }
        rows
    };
    let mut aligns = vec![Align::Left, Align::Left, Align::Left, Align::Right, Align::Right];
    if !anything_read {
        aligns.remove(LAST_READ);
    }
    let ways = [rows(false, false), rows(true, false), rows(true, true)];
    let [.., last] = &ways;
    let fits = ways.iter().find(|rows| page.has_room(rows)).unwrap_or(last);
    page.table(0, &aligns, fits);
}

fn numbers(line: &Line) -> Vec<Piece> {
    let number = |known: Option<Known>| {
        let text = known.map_or("unknown".to_owned(), |known| {
            let (value, uncertainty) = show::with_uncertainty(known.value, known.uncertainty, 1);
            format!("{value} ± {uncertainty} mm")
        });
        piece(if known.is_some() { Label::Number } else { Label::Quiet }, text)
    };
    if line.empty {
        let words = ["empty file", "", "", ""].map(plain);
        return [piece(Label::Title, line.setup.clone())].into_iter().chain(words).collect();
    }
    vec![
        piece(Label::Title, line.setup.clone()),
        plain(line.measured.clone().unwrap_or_else(|| "no date".to_owned())),
        plain(line.last_read.clone().unwrap_or_default()),
        number(line.grip_reach),
        number(line.grip_stack),
    ]
}

fn as_found(sheet: &Sheet) -> Vec<Piece> {
    vec![
        plain(format!("  {}", sheet.name)),
        plain(sheet.measured.clone().unwrap_or_else(|| "no date".to_owned())),
        plain(""),
        piece(Label::Quiet, "as found"),
    ]
}

/// A sheet in one piece.
fn across(sheet: &Sheet) -> Vec<Piece> {
    let day = sheet.measured.as_deref().unwrap_or("no date");
    vec![plain(format!("  {}  {day}  as found", sheet.name))]
}

/// What wants a look, setup by setup; all that is in order in one closing sentence.
fn attention(page: &mut Page, overview: &Overview) {
    page.blank();
    let mut quiet = 0;
    for line in &overview.setups {
        let said = said(line);
        quiet += usize::from(said.is_empty());
        about(page, &line.setup, said);
        for sheet in &line.sheets {
            let words = stop(sheet.stop.as_ref())
                .into_iter()
                .chain(day(sheet.day.as_ref()))
                .chain(found(sheet.findings));
            about(page, &sheet.name, words.collect());
        }
    }
    for sheet in &overview.stray_sheets {
        let words = plain(format!("{}: as-found sheet of a setup that is not here", sheet_words(sheet)));
        let said = stop(sheet.stop.as_ref()).map(|stop| [plain("; "), stop]);
        let pieces: Vec<Piece> =
            [words].into_iter().chain(said.into_iter().flatten()).chain([plain(".")]).collect();
        page.paragraph(0, 2, &pieces);
    }
    for gone in &overview.gone {
        let said = format!("recorded in git, but its file is gone; `{}` brings it back", gone.bring_back);
        about(page, &gone.setup, vec![piece(Label::Care, said)]);
    }
    passed_over(page, overview);
    let recorded = if overview.repository { "nothing found, as recorded" } else { "nothing found" };
    match (quiet, overview.setups.len()) {
        (0, _) => {}
        (1, 1) => page.paragraph(0, 2, &[plain(format!("In order: {recorded}."))]),
        (quiet, all) if quiet == all => {
            page.paragraph(0, 2, &[plain(format!("All {all} in order: {recorded}."))]);
        }
        (1, _) => page.paragraph(0, 2, &[plain(format!("The other one is in order: {recorded}."))]),
        (quiet, _) => page.paragraph(0, 2, &[plain(format!("The other {quiet} are in order: {recorded}."))]),
    }
}

fn passed_over(page: &mut Page, overview: &Overview) {
    for file in &overview.passed_over {
        let said = "no command reads it: the name of a setup ends in `.kdl`, in small letters";
        about(page, &format!("setups/{file}"), vec![piece(Label::Care, said)]);
    }
}

/// "rowan/race: this; that."
fn about(page: &mut Page, name: &str, said: Vec<Piece>) {
    if said.is_empty() {
        return;
    }
    let mut pieces = vec![piece(Label::Title, name)];
    for (index, one) in said.into_iter().enumerate() {
        pieces.push(plain(if index == 0 { ": " } else { "; " }));
        pieces.push(one);
    }
    pieces.push(plain("."));
    page.paragraph(0, 2, &pieces);
}

fn said(line: &Line) -> Vec<Piece> {
    let mut said = Vec::new();
    if let Some(unread) = &line.unread {
        said.push(piece(Label::Danger, unread.trim_end_matches('.')));
        return said;
    }
    said.extend(stop(line.stop.as_ref()));
    if let Standing::Differs(differs) = &line.recorded {
        let label = if differs.dangerous { Label::Danger } else { Label::Care };
        said.push(piece(label, difference(differs)));
    }
    said.extend(found(line.findings));
    match &line.recorded {
        Standing::NeverRecorded => said.push(plain("never recorded in git")),
        Standing::DeletedBefore => said.push(plain("deleted in git earlier, and here again, not recorded yet")),
        Standing::OneSideDeleted => said.push(piece(
            Label::Care,
            "in a merge one side deleted it and the other changed it: `git add` keeps it, `git rm` lets it go",
        )),
        Standing::Unmerged { ours_alone: true } => said.push(piece(
            Label::Danger,
            "git has not settled a merge of it, and it holds our version alone: what the other side changed is not in it",
        )),
        Standing::Unmerged { ours_alone: false } => said.push(piece(
            Label::Care,
            "git has not settled a merge of it: `git add` it once it holds what is true of both sides",
        )),
        Standing::WithinReading => said.push(plain("read again since it was recorded, nothing moved")),
        Standing::TorqueNoted => {
            said.push(plain("tightened or noted again since it was recorded, nothing moved"));
        }
        Standing::Unknown { why } => {
            said.push(plain(format!("not compared: {}", why.trim_end_matches('.'))));
        }
        Standing::Same | Standing::NoRepository | Standing::Differs(_) => {}
    }
    said
}

fn stop(why: Option<&String>) -> Option<Piece> {
    why.map(|why| piece(Label::Danger, format!("do not ride: {why}")))
}

/// That it has no day stands in its line of the table.
fn day(day: Option<&SheetDay>) -> Option<Piece> {
    let words = match day?.wrong {
        Wrong::Undated => return None,
        Wrong::Ahead => "its day is yet to come",
        Wrong::Older => "older than what the setup tells",
    };
    Some(plain(words))
}

fn found(counts: Counts) -> Option<Piece> {
    let label = if counts.fault > 0 { Label::Danger } else { Label::Plain };
    counts.in_words().map(|words| piece(label, words))
}

/// "rowan/returned (2026-05-20, 1 fault)".
fn sheet_words(sheet: &Sheet) -> String {
    let about: Vec<String> = sheet.measured.iter().cloned().chain(sheet.findings.in_words()).collect();
    if about.is_empty() { sheet.name.clone() } else { format!("{} ({})", sheet.name, about.join(", ")) }
}

/// "grips up 2.1 mm since it was recorded (3 measures differ)".
fn difference(differs: &Differs) -> String {
    let mut said = Vec::new();
    match (differs.measures, differs.dangerous) {
        (0, false) => {}
        // No measure differs: then it is this.
        (0, true) => said.push("a mark or torque of steering or brakes is not decided".to_owned()),
        (1, false) => said.push("1 measure differs".to_owned()),
        (1, true) => said.push("1 measure of steering or brakes differs".to_owned()),
        (many, false) => said.push(format!("{many} measures differ")),
        (many, true) => said.push(format!("{many} measures, steering or brakes among them, differ")),
    }
    if differs.others > 0 {
        said.push(others(differs.others));
    }
    let said = said.join(", ");
    match &differs.hands {
        Some(hands) => {
            let (value, _) = show::with_uncertainty(hands.delta.abs(), hands.uncertainty, 1);
            let what = if hands.name == "hand-span" { "hands" } else { "grips" };
            format!("{what} {} {value} mm since it was recorded ({said})", hands.direction)
        }
        None => format!("{said} from what was recorded"),
    }
}

fn others(count: usize) -> String {
    match count {
        1 => "1 part, mark or torque range differs".to_owned(),
        _ => format!("{count} parts, marks or torque ranges differ"),
    }
}
