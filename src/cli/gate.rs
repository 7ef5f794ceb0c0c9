//! `gate`: checks what is staged for the next commit, before it is made. Faults stop it; cautions and advice pass.

use crate::ledger::{Ledger, SetupFile};
use crate::report;
use crate::setup::checked::{File, Report};

use super::Status;
use super::check;
use super::session::{Failure, Session};

/// Runs the command.
pub fn run(session: &Session) -> Result<Status, Failure> {
    // A branch without setups has nothing to stop.
    let ledger = match session.ledger() {
        Ok(ledger) => ledger,
        Err(failure) => {
            let there = Ledger::find(session.here()).is_ok();
            return if there { Err(failure) } else { Ok(Status::Quiet) };
        }
    };
    let mut files = Vec::new();
    for file in ledger.staged_changed()? {
        let Some(bytes) = ledger.read_staged(&file)? else { continue };
        // A sheet stands on its setup as that is staged, too.
        let staged = |base: &SetupFile| ledger.read_staged(base).ok().flatten();
        let (findings, accepted) = check::findings(session, &file, &bytes, &staged);
        let path = format!("setups/{}.kdl", file.name);
        files.push(File::checked(path, file.name, &bytes, &findings, &accepted));
    }
    let report = Report::of(files);
    let counts = &report.counts;
    if session.is_json() || counts.fault + counts.caution + counts.advice > 0 {
        session.show(&report, |page| report::gate::page(page, &report))?;
    }
    Ok(Status::act_if(report.counts.fault > 0))
}
