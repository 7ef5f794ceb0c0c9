//! Targets that a gauge read before the bar was rolled: the line tells the place on the bar as it was, the figure what was read
//! then, and on the bar as it stands the two are not one place.

use crate::catalogue::MeasureId;
use crate::check::before_the_roll::{self, ReadBefore};
use crate::metrology::reading::Reading;

use super::super::holder::Holder;
use super::{Blocked, Planner, Reach};

impl Planner<'_> {
    /// Whether a target is what a gauge read before the bar was rolled.
    pub(super) fn read_before(&self, id: &MeasureId) -> Option<ReadBefore> {
        before_the_roll::read_before(self.catalogue, self.setup, id)
    }

    /// An angle that was read before the bar was rolled is no target by itself: nobody says whether the control went along.
    pub(super) fn old_target(&self, holder: &Holder, id: &MeasureId, before: &ReadBefore) -> Blocked {
        let title = self.catalogue.title(id);
        let angle = self.setup.reading(id);
        let figure = angle.map(Reading::in_words).unwrap_or_default();
        let why = format!("{title}: {figure} was {}.", before.words(self.setup));
        let line = before_the_roll::line_that_went_along(self.catalogue, self.setup, id, before);
        let meets = line.map(|mark| format!(", where mark {mark} meets")).unwrap_or_default();
        let either = match angle.and_then(|angle| before.went_along(angle)) {
            Some(along) => {
                format!("gone along with the bar it stands at {along}{meets}; set back, at {figure}")
            }
            None => format!("it stands at {figure} only if the bar was not rolled in between"),
        };
        let help = format!(
            "Read it on the bike before its clamp is touched, and record it. If that is too late, {either}: ask who worked on \
             the bar, ride slowly, and record it."
        );
        let in_short = Some(match before.then {
            Some(_) => format!("{title} read before the bar was rolled"),
            None => format!("{title} older than the bar's roll"),
        });
        let weight = self.catalogue.measure(id.row).weight;
        let all = Blocked::everything(holder.joint().map(str::to_owned), holder.order(), why, help);
        let holds_up = Reach::ItsJoint;
        Blocked { holds_up, weight, in_short, forbids: false, of_the_target: true, ..all }
    }
}
