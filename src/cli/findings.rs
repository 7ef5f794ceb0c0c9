//! What is found in one file of a ledger, beside what lies around it there: the setup a sheet stands on, the other setups
//! of the bike, a merge that git has not settled.

use crate::carry::parts;
use crate::catalogue::code::{self, Severity};
use crate::check::front_brake::Hands;
use crate::check::{self, Around, between_marks, not_to_ride};
use crate::ledger::{Ledger, SetupFile, Unmerged, read_file};
use crate::setup::checked::File;
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::{Read, Successive, read};

use super::session::Session;
use super::today::today;
use super::{stop, unsettled};

/// What is known of the whole ledger while its files are looked at one by one.
pub struct Whole {
    /// On which hand its bikes have their front brakes.
    pub hands: Option<Hands>,
    /// The merges that git has not settled.
    pub unmerged: Vec<Unmerged>,
}

impl Whole {
    /// What git has not settled of a file.
    pub fn unmerged_of(&self, file: &SetupFile) -> Option<&Unmerged> {
        self.unmerged.iter().find(|unmerged| unmerged.file.path == file.path)
    }
}

/// Where the content of another setup comes from: the working folder, or what is staged.
pub type Contents<'a> = dyn Fn(&SetupFile) -> Option<Vec<u8>> + 'a;

/// Everything found in one file of a ledger; an as-found sheet is read on top of the setup it names, which `contents` gives. A box
/// of parts is read as one. With them comes what the file accepts.
pub fn findings(
    session: &Session,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> (Vec<Finding>, Vec<Acknowledged>) {
    let found = findings_in(session, session.ledger().ok(), file, bytes, contents);
    (found.findings, found.accepted)
}

/// The same beside the other setups of the bike.
pub fn findings_beside(
    session: &Session,
    whole: &Whole,
    file: &SetupFile,
    bytes: &[u8],
) -> (Vec<Finding>, Vec<Acknowledged>) {
    let looked_at = LookedAt { session, ledger: session.ledger().ok(), hands: whole.hands.as_ref() };
    let working = |base: &SetupFile| read_file(&base.path).ok();
    let mut texts = Successive::new(session.catalogue());
    let found = findings_after_others(looked_at, &mut texts, file, bytes, &working);
    (found.findings, found.accepted)
}

/// The page of one file of that ledger in which git has not settled a merge, with what is told of that.
pub fn unmerged_in(
    session: &Session,
    ledger: &Ledger,
    (path, unmerged): (String, &Unmerged),
    bytes: &[u8],
) -> File {
    let file = &unmerged.file;
    let mut texts = Successive::new(session.catalogue());
    let looked_at = LookedAt { session, ledger: Some(ledger), hands: None };
    let working = |base: &SetupFile| read_file(&base.path).ok();
    let mut found = findings_after_others(looked_at, &mut texts, file, bytes, &working);
    let is_marked = found.findings.iter().any(|finding| finding.code == &code::UNRESOLVED_CONFLICT);
    found.findings.insert(0, unsettled::told(unmerged, bytes, is_marked));
    found.in_file(path, file.name.clone(), bytes)
}

/// The same in that ledger, which need not be the one the program was started in.
pub fn findings_in(
    session: &Session,
    ledger: Option<&Ledger>,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> Found {
    let mut texts = Successive::new(session.catalogue());
    let looked_at = LookedAt { session, ledger, hands: None };
    findings_after_others(looked_at, &mut texts, file, bytes, contents)
}

/// What was found in one file.
#[derive(Default)]
pub struct Found {
    /// The findings, without those that the file accepts.
    pub findings: Vec<Finding>,
    accepted: Vec<Acknowledged>,
    /// What the file keeps against riding, in one line.
    not_to_ride: Option<String>,
}

impl Found {
    /// The same of a file that lies there, with what it holds.
    pub fn in_file(self, path: String, name: String, bytes: &[u8]) -> File {
        File::checked(path, name, bytes, &self.findings, &self.accepted).keeping(self.not_to_ride)
    }
}

/// Where a file lies, and what is known around it.
#[derive(Clone, Copy)]
pub struct LookedAt<'a> {
    /// What the program was started with.
    pub session: &'a Session,
    /// The ledger it lies in, if any.
    pub ledger: Option<&'a Ledger>,
    /// On which hand the bikes there have their front brakes, if that was looked for.
    pub hands: Option<&'a Hands>,
}

/// The same, of one file among several that are read one after another.
pub fn findings_after_others(
    LookedAt { session, ledger, hands }: LookedAt,
    texts: &mut Successive,
    file: &SetupFile,
    bytes: &[u8],
    contents: &Contents,
) -> Found {
    let catalogue = session.catalogue();
    let mut content = texts.read(bytes);
    if content.setup.is_none() && parts::is_box(bytes) {
        let (parts, mut findings) = parts::read(bytes);
        findings.extend(parts::damaged::cautions(&parts));
        findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
        return Found { findings, ..Found::default() };
    }
    let (mut about_the_setup, mut stands_on) = (None, None);
    if let Some(sheet) = content.setup.as_ref().filter(|setup| setup.kind == Kind::Found) {
        match setup_of((session, ledger), sheet, contents) {
            Ok(base) => {
                content = read(catalogue, bytes, base.as_ref());
                stands_on = base;
            }
            Err(finding) => about_the_setup = Some(without_its_instruments(finding, &mut content)),
        }
    }
    let around = Around { expected_name: expected_name(ledger, file), today: Some(today()), hands };
    let (mut findings, accepted) = check::check_in(catalogue, &content, around);
    findings.extend(about_the_setup);
    let setup = content.setup.as_ref().filter(|setup| setup.kind == Kind::Setup);
    let not_to_ride = match (setup, &content.setup) {
        (Some(setup), _) => {
            let found = findings.iter().chain(accepted.iter().map(|accepted| &accepted.finding));
            not_to_ride::verdict(&not_to_ride::kept_beside(catalogue, setup, found))
        }
        (None, Some(sheet)) => stop::in_words(catalogue, stands_on.as_ref(), sheet),
        (None, None) => not_to_ride::verdict(&between_marks::reasons(catalogue, bytes)),
    };
    Found { findings, accepted, not_to_ride }
}

/// That a sheet's setup is not there, with the instruments of that setup which the sheet names: one cause, and a fault, for
/// what they read is not known to any tolerance.
fn without_its_instruments(cause: Finding, content: &mut Read) -> Finding {
    let is_such = |finding: &Finding| finding.code == &code::UNKNOWN_INSTRUMENT;
    let (missing, left): (Vec<Finding>, Vec<Finding>) =
        std::mem::take(&mut content.findings).into_iter().partition(is_such);
    content.findings = left;
    if missing.is_empty() {
        return cause;
    }
    let message = format!("{}: its instruments are not known.", cause.message.trim_end_matches('.'));
    Finding { message, severity: Severity::Fault, ..cause }
}

/// The setup a sheet belongs to; none outside a ledger.
fn setup_of(
    (session, ledger): (&Session, Option<&Ledger>),
    sheet: &Setup,
    contents: &Contents,
) -> Result<Option<Setup>, Finding> {
    let Some(ledger) = ledger else { return Ok(None) };
    let file = ledger.setup_named(&sheet.name.value);
    let Some(bytes) = contents(&file) else {
        let message = format!("The sheet is for `{}`, and the ledger holds no such setup.", sheet.name.value);
        let nearest = ledger.resolve(&sheet.name.value, session.here()).err();
        let help =
            nearest.map_or_else(|| "Name the setup that was looked at.".to_owned(), |error| error.help());
        return Err(Finding::new(&code::NAME_DIFFERS, message).at(sheet.name.span).help(help));
    };
    Ok(read(session.catalogue(), &bytes, None).setup)
}

/// The name that the file's place in the ledger gives it.
fn expected_name<'a>(ledger: Option<&Ledger>, file: &'a SetupFile) -> Option<&'a str> {
    let ledger = ledger?;
    (ledger.setup_named(&file.name).path == file.path).then_some(file.name.as_str())
}
