//! How the page of `diff` says that something differs: of one setup through time it *moved*, of two setups it is
//! *different*, and nobody moved anything.

use crate::compare::{Fate, RangeShift, Relation, Report};
use crate::metrology::verdict::Verdict;

use super::NOW;

/// Title of what only a line tells.
pub const BY_MARK: &str = "By its mark alone: not moved as far as the line can tell";

/// The wording of one page.
pub struct Words<'r> {
    relation: Relation,
    backwards: bool,
    from: &'r str,
    to: &'r str,
}

impl<'r> Words<'r> {
    /// The wording of that report.
    pub fn of(report: &'r Report) -> Words<'r> {
        Words {
            relation: report.relation,
            backwards: report.backwards,
            from: Words::point(&report.from.label),
            to: Words::point(&report.to.label),
        }
    }

    fn choose<'w>(&self, through_time: &'w str, two_setups: &'w str) -> &'w str {
        if self.is_of_two_setups() { two_setups } else { through_time }
    }

    /// Whether two setups stand against one another.
    pub fn is_of_two_setups(&self) -> bool {
        self.relation == Relation::Setups
    }

    /// Whether nothing became of the one side what the other is: two setups, or a setup and what it was before.
    pub fn is_neutral(&self) -> bool {
        self.backwards || self.is_of_two_setups()
    }

    /// What the page compares, its sides already in words: "rowan/race (measured …)".
    pub fn compared(&self, from: &str, to: &str) -> String {
        if self.is_of_two_setups() { format!("{to} against {from}") } else { format!("from {from} to {to}") }
    }

    /// How one side is named where it stands in a title.
    pub fn point(label: &str) -> &str {
        if label == NOW { "the working file" } else { label }
    }

    /// Both values.
    pub fn both(&self, was: &str, now: &str) -> String {
        if self.is_of_two_setups() { format!("{now} vs {was}") } else { format!("was {was}, now {now}") }
    }

    /// That nothing is to be told.
    pub fn nothing(&self) -> &str {
        self.choose("Nothing moved.", "Nothing differs.")
    }

    /// In place of that, where it hangs on a slope of the ground that nobody read; `moved` is what is said through time.
    pub fn in_doubt(&self, moved: &'static str) -> &str {
        self.choose(
            moved,
            "Not known whether anything differs: it hangs on the slope of the ground, which was not read on one of them.",
        )
    }

    /// Title of the measures that differ.
    pub fn moved(&self) -> &str {
        self.choose("Moved", "Different")
    }

    /// Title of the figures that differ and that nobody can move.
    pub fn cannot_move(&self) -> &str {
        self.choose(
            "Read again, planned, or another part: these cannot move",
            "Different frame, parts or rider",
        )
    }

    /// Title of what reading explains.
    pub fn within_reading(&self) -> &str {
        self.choose(
            "Within reading: not moved as far as the instruments can tell",
            "Within reading: alike as far as the instruments can tell",
        )
    }

    /// Title of the hands.
    pub fn hands(&self) -> &str {
        self.choose("What it does to the hands", "Where the hands are")
    }

    /// Title of what stands on one side only.
    pub fn one_side(&self, verdict: Verdict) -> String {
        match (self.is_neutral(), verdict) {
            (true, Verdict::Recorded) => format!("Recorded only in {}", self.to),
            (true, _) => format!("Recorded only in {}", self.from),
            (false, Verdict::Recorded) => "Recorded now".to_owned(),
            (false, _) => "No longer recorded".to_owned(),
        }
    }

    /// Title of parts that one side has.
    pub fn parts(&self, verdict: Verdict) -> String {
        match (self.is_neutral(), verdict) {
            (true, Verdict::Recorded) => format!("Parts of {} only", self.to),
            (true, _) => format!("Parts of {} only", self.from),
            (false, Verdict::Recorded) => "Parts added".to_owned(),
            (false, _) => "Parts gone".to_owned(),
        }
    }

    /// What can be computed on one side only.
    pub fn known_on_one_side(&self, verdict: Verdict) -> String {
        match (self.is_neutral(), verdict) {
            (true, Verdict::Recorded) => format!("Not known of {}, for want of a measure", self.from),
            (true, _) => format!("Not known of {}, for want of a measure", self.to),
            (false, Verdict::Recorded) => "Known now for the first time".to_owned(),
            (false, _) => "No longer known, for want of a measure".to_owned(),
        }
    }

    /// The verdict on a value that has not moved.
    pub fn verdict(&self, verdict: Verdict) -> &str {
        match verdict {
            Verdict::Moved | Verdict::Corrected | Verdict::ReRead => self.choose(verdict.word(), "different"),
            other => other.word(),
        }
    }

    /// What became of a torque range.
    pub fn shift(&self, shift: RangeShift) -> &str {
        match shift {
            RangeShift::Same => self.choose("unchanged", "alike"),
            RangeShift::Wider => "wider",
            RangeShift::Narrower => "narrower",
            RangeShift::Up => self.choose("moved up", "higher"),
            RangeShift::Down => self.choose("moved down", "lower"),
            RangeShift::Recorded => self.choose("recorded", "recorded only here"),
            RangeShift::NotRecorded => self.choose("no longer recorded", "not recorded"),
            RangeShift::Empty => "empty: the limits contradict one another",
        }
    }

    /// What another ceiling does.
    pub fn because_of_a_ceiling(&self) -> &str {
        self.choose(", because a ceiling changed", ", because a ceiling differs")
    }

    /// The word before a note that only one side has.
    pub fn only_text(&self, later: bool) -> String {
        match (self.backwards, later) {
            (true, true) => format!("only at {}", self.to),
            (true, false) => format!("only at {}", self.from),
            (false, true) => self.choose("new", self.to).to_owned(),
            (false, false) => self.choose("gone", self.from).to_owned(),
        }
    }

    /// What is said of a line of paint that only one side has, or that was drawn again between them.
    pub fn line(&self, fate: Fate) -> String {
        match (fate, self.backwards) {
            (Fate::Added, true) => format!("recorded only at {}", self.to),
            (Fate::Added, false) => "new".to_owned(),
            (Fate::Gone, true) => format!("recorded only at {}", self.from),
            (Fate::Gone, false) => "no longer recorded".to_owned(),
            (_, true) => format!("another line at {} than at {}", self.to, self.from),
            (_, false) => "drawn anew: look for the new line".to_owned(),
        }
    }

    /// The words before the two texts of a note.
    pub fn sides(&self) -> (&str, &str) {
        if self.is_neutral() { (self.from, self.to) } else { ("was", "now") }
    }

    /// Title of the cautions.
    pub fn foot(&self) -> &str {
        self.choose("Before riding", "Mind")
    }
}
