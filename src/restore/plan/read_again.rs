//! Angles that were read on a bar that is set anew, though nobody read how it stood: they tell of no clamp until it is back.
//!
//! A gauge reads the control's turn on the bar and the bar's roll together. Whoever sets the bar first and then turns a lever
//! by what the gauge showed before corrects the roll twice.

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{MeasureId, joint};
use crate::geometry::state::Layer;

use super::super::step::Step;
use super::Planner;

const TURNED: &str = ", to ";

impl Planner<'_> {
    /// Has these steps say so where one sets a roll that nobody read; an open roll is told where it is told why.
    pub(super) fn to_read_again(&self, steps: &mut [Step]) {
        let roll = MeasureId::bike(BAR_ROLL);
        let is_told =
            self.way.comparison.as_ref().is_some_and(|comparison| comparison.unknown_roll.is_some());
        let Some(found) = self.way.found.filter(|_| !is_told && self.way.is_unknown(&roll)) else { return };
        let path = self.catalogue.path(&roll);
        let sets_it = |step: &&mut Step| step.moves.iter().any(|back| back.measure == path);
        let Some(bar) = steps.iter_mut().find(sets_it) else { return };
        let read = |id: &&MeasureId| joint::is_control_angle(id.row) && found.layer(id) == Layer::Found;
        let ids: Vec<&MeasureId> = self.setup.readings.keys().filter(read).collect();
        if ids.is_empty() {
            return;
        }
        let titles: Vec<String> = ids.iter().map(|id| self.catalogue.title(id)).collect();
        bar.along.push(format!(
            "Read again when the bar is back, and before its clamp is touched: {}.",
            titles.join(", ")
        ));
        let paths: Vec<String> = ids.iter().map(|id| self.catalogue.path(id)).collect();
        for back in steps.iter_mut().flat_map(|step| &mut step.moves) {
            if let Some((_, goal)) = back.words.rsplit_once(TURNED).filter(|_| paths.contains(&back.measure))
            {
                back.words = format!("set it to {goal}, read again first");
                back.delta = None;
            }
        }
    }
}
