//! A finding: what is wrong, where, and what to do. A value; who prints it is not known here.

use crate::catalogue::code::{Code, Severity};

use super::span::Span;

/// One thing found in one file.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which kind.
    pub code: &'static Code,
    /// How bad here; a rule may be milder or harder than its code's usual severity.
    pub severity: Severity,
    /// What, one sentence, with the numbers.
    pub message: String,
    /// What to do, one sentence.
    pub help: String,
    /// Where in the text; none when the whole file is meant.
    pub span: Option<Span>,
    /// The written path of the measure or part it is about.
    pub measure: Option<String>,
}

/// A finding that the file accepts, with its reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Acknowledged {
    /// What was found.
    pub finding: Finding,
    /// Why it is accepted.
    pub why: String,
}

impl Finding {
    /// A finding of that code with its usual severity and remedy.
    pub fn new(code: &'static Code, message: impl Into<String>) -> Finding {
        Finding {
            code,
            severity: code.severity,
            message: message.into(),
            help: code.remedy.to_owned(),
            span: None,
            measure: None,
        }
    }

    /// Points at the place.
    pub fn at(mut self, span: Span) -> Finding {
        self.span = Some(span);
        self
    }

    /// Names the measure or part.
    pub fn about(mut self, measure: impl Into<String>) -> Finding {
        self.measure = Some(measure.into());
        self
    }

    /// A more particular remedy than the code's.
    pub fn help(mut self, help: impl Into<String>) -> Finding {
        self.help = help.into();
        self
    }

    /// Another severity than the code's usual one.
    pub fn severity(mut self, severity: Severity) -> Finding {
        self.severity = severity;
        self
    }
}
