//! The page of `adopt`: each file with the lines that come or go.

use serde::Serialize;

use super::screen::{Label, Page, piece, plain};

/// What is done, file by file.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// `clampmark.adopt/1`.
    pub schema: &'static str,
    /// Whether this is the undoing.
    pub undo: bool,
    /// Whether it is only shown.
    pub dry_run: bool,
    /// The files.
    pub files: Vec<File>,
    /// Of an undoing: the repository's other ledgers, for which the hooks and git's settings stay.
    pub stays_for: Vec<String>,
    /// Of an undoing: the repository's other working trees, which lose the hooks and git's settings with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub goes_for: Vec<String>,
    /// Attributes of others that git takes before ours.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub overriding: Vec<Overriding>,
}

/// Attributes that git takes before ours.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Overriding {
    /// Where they stand.
    pub file: String,
    /// `merge=union`, `-diff`.
    pub says: String,
}

/// One file.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct File {
    /// Where it is.
    pub path: String,
    /// What it is to git.
    pub purpose: &'static str,
    /// `nothing`, `write`, `remove` or `leave`.
    pub action: &'static str,
    /// The lines put in or taken out.
    pub lines: Vec<String>,
    /// Why it is left to the user, and what to do.
    pub left: Option<String>,
}

/// Writes the page; `option` is how the ledger was named.
pub fn page(page: &mut Page, report: &Report, option: &str) {
    overriding(page, report);
    let nothing = report.files.iter().all(|file| file.action == "nothing");
    if nothing {
        if !report.overriding.is_empty() {
            return;
        }
        let said = if report.undo { "Nothing of ours is here." } else { "Everything is in place already." };
        page.paragraph(0, 2, &[plain(said)]);
        stays(page, report);
        return;
    }
    for file in &report.files {
        one(page, report, file);
    }
    page.blank();
    stays(page, report);
    goes(page, report);
    if report.dry_run {
        page.paragraph(0, 2, &[plain("Only shown; nothing was written.")]);
    } else if !report.undo {
        let undo = [plain("To undo: "), piece(Label::Command, format!("clampmark{option} adopt --undo"))];
        page.paragraph(0, 2, &undo);
        let shown = "git diff shows what moved; git show and git log -p list it line by line, or as git diff does with \
                     --ext-diff. The bare text, comments and all: git diff --no-ext-diff --no-textconv.";
        page.paragraph(0, 2, &[plain(shown)]);
    }
}

/// What makes git pass us over.
fn overriding(page: &mut Page, report: &Report) {
    for one in &report.overriding {
        let said = format!(
            "{} says `{}` of setups, and git takes that before ours: it shows or merges them as bare text, and two \
             readings may end up as one. Take it out there, or let it name other files.",
            one.file, one.says
        );
        page.paragraph(0, 2, &[piece(Label::Care, "Left to you. "), plain(said)]);
    }
}

/// Who loses it, too.
fn goes(page: &mut Page, report: &Report) {
    let shared = |file: &File| file.action != "nothing" && !file.path.ends_with(".gitattributes");
    if report.goes_for.is_empty() || !report.files.iter().any(shared) {
        return;
    }
    let said = format!(
        "The hooks and git's settings are one for all working trees of this repository: they go for {}, too.",
        report.goes_for.join(", ")
    );
    page.paragraph(0, 2, &[piece(Label::Care, said)]);
}

/// Who keeps what this ledger no longer needs.
fn stays(page: &mut Page, report: &Report) {
    if report.stays_for.is_empty() {
        return;
    }
    let called = |place: &String| match place.as_str() {
        "." => "the top folder".to_owned(),
        place => place.to_owned(),
    };
    let ledgers = report.stays_for.iter().map(called).collect::<Vec<_>>().join(", ");
    let said = format!(
        "The hooks and git's settings stay: another ledger of this repository needs them ({ledgers})."
    );
    page.paragraph(0, 2, &[plain(said)]);
}

fn one(page: &mut Page, report: &Report, file: &File) {
    page.blank();
    let head = [piece(Label::Title, file.path.clone()), plain(format!(", {}", file.purpose))];
    page.paragraph(0, 2, &head);
    if let Some(left) = &file.left {
        page.paragraph(2, 4, &[piece(Label::Care, "Left to you. "), plain(left.clone())]);
        return;
    }
    if file.action == "nothing" {
        page.paragraph(2, 4, &[plain("As it should be.")]);
        return;
    }
    let word = if report.undo { "takes out" } else { "puts in" };
    for line in &file.lines {
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("{word}: ")), plain(line.clone())]);
    }
}
