//! Targets that a gauge read before the bar was rolled: the line tells the place on the bar as it was, the figure what was read
//! then, and on the bar as it stands the two are not one place. Where nobody knows whether the bar was rolled, the figure stays
//! the target, and the step says what to mind.

use crate::catalogue::MeasureId;
use crate::check::before_the_roll::{self, ReadBefore};
use crate::metrology::reading::Reading;

use super::super::holder::Holder;
use super::{Blocked, Planner, Reach};

impl Planner<'_> {
    /// Whether a target is what a gauge read before the bar was rolled, as the file shows.
    pub(super) fn read_before(&self, id: &MeasureId) -> Option<ReadBefore> {
        self.not_accepted(id).filter(|before| before.then.is_some())
    }

    /// That a target is of an earlier day than the bar's roll, and nobody knows whether the bar was rolled: it may only have been
    /// read again, or written for the first time.
    pub(super) fn may_be_old(&self, id: &MeasureId) -> Option<String> {
        let before = self.not_accepted(id).filter(|before| before.then.is_none())?;
        let title = self.catalogue.title(id);
        let figure = self.setup.reading(id)?.in_words();
        Some(format!(
            "{title}: {figure} was {}. If the bar was rolled in between it stands otherwise: read it first.",
            before.words(self.setup)
        ))
    }

    fn not_accepted(&self, id: &MeasureId) -> Option<ReadBefore> {
        before_the_roll::read_before(self.catalogue, self.setup, id)
            .filter(|_| !before_the_roll::is_accepted(self.catalogue, self.setup, id))
    }

    /// An angle that was read before the bar was rolled is no target by itself: nobody says whether the control went along.
    pub(super) fn old_target(&self, holder: &Holder, id: &MeasureId, before: &ReadBefore) -> Blocked {
        let title = self.catalogue.title(id);
        let angle = self.setup.reading(id);
        let figure = angle.map(Reading::in_words).unwrap_or_default();
        let why = format!("{title}: {figure} was {}.", before.words(self.setup));
        let line = before_the_roll::line_that_went_along(self.catalogue, self.setup, id, before);
        let meets = line.map(|mark| format!(", where mark {mark} meets")).unwrap_or_default();
        let along = angle.and_then(|angle| before.went_along(angle)).unwrap_or_default();
        let help = format!(
            "Read it on the bike before its clamp is touched, and record it. If that is too late, gone along with the bar it \
             stands at {along}{meets}; set back, at {figure}: ask who worked on the bar, ride slowly, and record it."
        );
        let in_short = Some(format!("{title} read before the bar was rolled"));
        let weight = self.catalogue.measure(id.row).weight;
        let all = Blocked::everything(holder.joint().map(str::to_owned), holder.order(), why, help);
        let holds_up = Reach::ItsJoint;
        Blocked { holds_up, weight, in_short, forbids: false, of_the_target: true, ..all }
    }
}
