//! What was recorded, and whether anybody has to act on it.

use serde::Serialize;

use crate::check::dates::SheetDay;
use crate::compare::{
    self, CommonShift, Contradiction, Narrower, ReadBeforeOpen, Replaced, Tightness, UnknownRoll,
    UnreadGround,
};
use crate::restore::Untold;
use crate::setup::checked::Report;

use super::{
    DamageKept, Freed, HeldBack, KnownAgain, LeftOut, LineCarried, MarkLost, NoLongerKnown, NotDrawn,
    NoteKept, Older, OnUnreadGround, PlannedRead, Preload, Remark, TorqueKept, Unridable, Written,
};

/// What was recorded.
#[derive(Clone, Debug, PartialEq, Serialize, Default)]
#[serde(rename_all = "kebab-case")]
pub struct Recording {
    /// clampmark.record/1
    pub schema: &'static str,
    /// The setup's name.
    pub setup: String,
    /// One line to act on, if the bike is not to be ridden.
    pub headline: Option<String>,
    /// Whether the sheet reads nothing.
    pub blank: bool,
    /// Marks that say another thing than the readings beside them.
    pub contradictions: Vec<Contradiction>,
    /// The joints at which nothing was written, because one of two things the sheet says of them is false.
    pub held_back: Vec<HeldBack>,
    /// What is wrong with the day of the sheet, if anything is and something was written.
    pub sheet_day: Option<SheetDay>,
    /// What was not written because the file's reading is of a later day.
    pub older: Vec<Older>,
    /// The readings by which nobody is to ride, and which the file did not have before: not written unless asked for.
    pub unridable: Vec<Unridable>,
    /// What `check` says of a stem that was written out of square to the wheel, though it keeps nobody from riding.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_square: Option<String>,
    /// A bar that the sheet finds narrower: recorded as cut, or not before the sheet says what it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub narrower: Option<Narrower>,
    /// The parts that were recorded in place of others, if any.
    pub replaced: Option<Replaced>,
    /// What was recorded and nobody knows any more.
    pub no_longer_known: Vec<NoLongerKnown>,
    /// What the sheet read of a joint before it saw that open.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub read_before_open: Vec<ReadBeforeOpen>,
    /// What nobody knew any more and was read again: where it stands as it did, the notes that said so were taken out.
    pub known_again: Vec<KnownAgain>,
    /// Whether the bike stands as recorded again, so that no reading was to be written.
    pub put_back: bool,
    /// What the sheet reads otherwise, and nothing but another reading tells that it was put back.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_told_back: Vec<Untold>,
    /// A shift that all angles share: the ground's, or what nobody can tell from the bar's roll.
    pub common_shift: Option<CommonShift>,
    /// That the bar's roll is open, and the angles on it that were not written for that.
    pub unknown_roll: Option<UnknownRoll>,
    /// The angles against gravity whose ground the sheet or its file does not tell.
    #[serde(flatten)]
    pub unread_ground: UnreadGround,
    /// Those of them that were not written for that.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub on_unread_ground: Vec<OnUnreadGround>,
    /// What was planned and is read now, and what is planned still; none if nothing planned was read, and of a bike that was
    /// put back if nothing is planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned: Option<PlannedRead>,
    /// The comments that stand beside readings that were written over.
    pub remarks: Vec<Remark>,
    /// Why the bearing's preload is to be set again, if it is: the pile on the steerer is another, or the stem was off it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub preload: Option<Preload>,
    /// The damage that was found, and which notes keep it.
    pub damages: Vec<DamageKept>,
    /// The marks that were found broken or gone; those that nothing stands in for first.
    pub lost: Vec<MarkLost>,
    /// The lines that meet nothing any more, because the joint was apart: struck out.
    pub freed: Vec<Freed>,
    /// The marks without a line that were to be drawn anew and were not, and why.
    pub not_drawn: Vec<NotDrawn>,
    /// What is known of the torque of joints that were opened or tightened.
    pub tightened: Vec<TorqueKept>,
    /// The notes on the sheet, and which notes keep them.
    pub notes: Vec<NoteKept>,
    /// The notes that kept what the sheet answers: taken out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub answered: Vec<String>,
    /// What was written.
    pub changes: Vec<Written>,
    /// The marks that were drawn anew.
    pub marks: Vec<String>,
    /// What those showed and show no more: the joint was opened, and nobody knows where it now stands there.
    pub left_out: Vec<LeftOut>,
    /// The lines that read otherwise only because the bar they are on was rolled: nobody drew them.
    pub lines_carried: Vec<LineCarried>,
    /// The marks that do not agree with what is recorded.
    pub stale: Vec<String>,
    /// Those of them that went stale by what was written, or stay so though they were to be drawn anew. How a line stood
    /// before is no news.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub went_stale: Vec<String>,
    /// The git command that makes a revision of it.
    pub command: Option<String>,
    /// What kept the file out of the history, if a fault did: it is written, and not committed.
    pub stopped: Option<Report>,
    /// Why it was not committed though that was asked for, where no fault but the sheet is the reason.
    pub not_committed: Option<&'static str>,
    /// The revision, if it was committed.
    pub revision: Option<String>,
    /// The branch it was committed to.
    pub branch: Option<String>,
    /// What a commit of the file carries besides: what it had otherwise before than the last revision has it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub carried_too: Vec<String>,
    /// What the sheet tells to have been looked over and to be good: no reading, and written nowhere.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub good: Vec<String>,
}

impl Recording {
    /// In place of a word that nothing moved, where that hangs on a slope of the ground that nobody read.
    pub fn ground_in_doubt(&self) -> Option<&'static str> {
        compare::ground_in_doubt(self.common_shift.as_ref(), &self.unread_ground)
    }

    /// Whether it is the file that does not tell on what slope its angles were read.
    pub fn is_ground_of_the_file(&self) -> bool {
        let by_the_shift = self.common_shift.as_ref().is_some_and(|shift| shift.of_the_earlier);
        by_the_shift || self.unread_ground.of_the_earlier
    }

    /// Whether the file's text was to change.
    pub fn has_written(&self) -> bool {
        !self.changes.is_empty()
            || !self.no_longer_known.is_empty()
            || !self.marks.is_empty()
            || self.damages.iter().any(|damage| damage.written)
            || self.lost.iter().any(|mark| mark.written)
            || self.freed.iter().any(|line| line.written)
            || self.tightened.iter().any(|torque| torque.written || torque.note.is_some())
            || self.notes.iter().any(|note| note.written)
            || !self.answered.is_empty()
    }

    /// Whether somebody has to act: something is damaged, a broken mark stands for a joint nobody has set, a mark is
    /// to be drawn again, a torque is out of its range, or that of an opened joint is not known.
    pub fn is_to_act_on(&self) -> bool {
        let loose = |torque: &TorqueKept| {
            let state = torque.found.state;
            state.is_outside() || state == Tightness::Unknown
        };
        self.headline.is_some()
            || !self.damages.is_empty()
            || self.blank
            || !self.contradictions.is_empty()
            || !self.no_longer_known.is_empty()
            || self.known_again.iter().any(KnownAgain::is_elsewhere)
            || self.sheet_day.is_some()
            || !self.not_told_back.is_empty()
            || !self.older.is_empty()
            || !self.unridable.is_empty()
            || self.not_square.is_some()
            || self.narrower.is_some()
            || self.replaced.is_some()
            || self.preload.is_some()
            || self.stopped.is_some()
            || self.common_shift.as_ref().is_some_and(|shift| !shift.is_the_ground)
            || self.ground_in_doubt().is_some()
            || self.unknown_roll.is_some()
            || !self.on_unread_ground.is_empty()
            || !self.left_out.is_empty()
            || !self.went_stale.is_empty()
            || !self.freed.is_empty()
            || self.not_drawn.iter().any(|one| one.was_asked)
            || self.tightened.iter().any(loose)
            || self.lost.iter().any(MarkLost::is_open)
    }
}
