//! `completions`: what a shell needs to complete this program's words.

use clap::{Args, CommandFactory, ValueEnum};
use clap_complete::Shell;

use super::Status;
use super::session::{Failure, Session};

/// For which shell.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The shell.
    #[arg(value_name = "SHELL", value_enum)]
    pub shell: Named,
}

/// The shells that are served.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Named {
    /// Keep it as a file that bash-completion finds, named clampmark.
    Bash,
    /// Keep it as `_clampmark` in a folder of fpath.
    Zsh,
    /// Keep it as clampmark.fish in fish's folder of completions.
    Fish,
    /// Run it from the profile.
    Powershell,
    /// Run it from rc.elv.
    Elvish,
}

impl Named {
    fn shell(self) -> Shell {
        match self {
            Named::Bash => Shell::Bash,
            Named::Zsh => Shell::Zsh,
            Named::Fish => Shell::Fish,
            Named::Powershell => Shell::PowerShell,
            Named::Elvish => Shell::Elvish,
        }
    }
}

/// Runs the command.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let mut script = Vec::new();
    let mut command = super::Arguments::command();
    clap_complete::generate(arguments.shell.shell(), &mut command, "clampmark", &mut script);
    session.print(&String::from_utf8_lossy(&script))?;
    Ok(Status::Quiet)
}
