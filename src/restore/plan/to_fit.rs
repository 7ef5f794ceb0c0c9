//! The parts that a plan asks to be fitted, at the step at which each goes on.

use crate::catalogue::table::SPACERS_BELOW;
use crate::catalogue::{HeldBy, MeasureId, capital, joint};
use crate::check::{planned, to_fit};
use crate::metrology::show;
use crate::setup::model::Setup;

use super::super::holder::Holder;
use super::Planner;

/// The parts that a plan names, in working order.
const PARTS: [&str; 3] = ["stem", "bar", to_fit::STEERER];

impl Planner<'_> {
    /// What is fitted at this joint, as far as the sheet does not show it to be on.
    pub(super) fn to_fit(&self, holder: &Holder) -> Vec<String> {
        let here = PARTS.into_iter().filter(|part| self.goes_on_at(part) == holder.joint());
        let to_be = here.filter(|part| holder.joint().is_some() && !self.is_found_fitted(part));
        to_be.filter_map(|part| to_fit::words(self.catalogue, self.setup, part)).collect()
    }

    /// What `as_planned` took over from the part that goes and the sheet reads otherwise on the one that was planned.
    pub(super) fn of_the_part(&self, as_planned: &Setup) -> Vec<String> {
        let replaced = self.way.comparison.as_ref().and_then(|comparison| comparison.replaced.as_ref());
        let is_on = |part: &str| !replaced.is_some_and(|replaced| replaced.parts.contains(&part));
        let told = |id: &MeasureId| {
            let measure = self.catalogue.measure(id.row);
            let (was, is) = (as_planned.value(id)?, self.setup.value(id)?);
            let (part, sign) = (measure.part(), measure.unit().sign());
            ((was - is).abs() >= 0.05 && is_on(part)).then(|| {
                format!(
                    "{} {}{sign}: read on the {part} that is fitted. Planned with the old one's {}{sign}, which nobody asked \
                     for: nothing is taken off for it. Record it.",
                    capital(&self.catalogue.title(id)),
                    show::brief(is),
                    show::brief(was),
                )
            })
        };
        planned::assumed(self.catalogue, as_planned).iter().filter_map(told).collect()
    }

    /// What is to be compared before anything is put together at this joint.
    pub(super) fn to_compare(&self, name: &str) -> Vec<String> {
        let doubts = to_fit::noted(self.setup).filter(|noted| noted.is_doubt);
        let here = doubts.filter(|noted| self.goes_on_at(noted.on) == Some(name));
        here.map(|noted| format!("{}: compare them before they go together.", capital(noted.words))).collect()
    }

    /// The joint at which a part goes on; spacers, as the stem does, on the steerer.
    fn goes_on_at(&self, part: &str) -> Option<&str> {
        if part == to_fit::STEERER {
            return self.setup.joint_of(self.catalogue, &MeasureId::bike(SPACERS_BELOW));
        }
        joint::holding(part).map(|joint| joint.name)
    }

    /// Whether the sheet reads figures of a part and none of them is another's.
    fn is_found_fitted(&self, part: &str) -> bool {
        let Some(sheet) = self.sheet else { return false };
        let is_its = |id: &&MeasureId| {
            let measure = self.catalogue.measure(id.row);
            let tells = measure.comes_apart() || measure.held_by == HeldBy::Cutting;
            measure.part() == part && id.subject.side.is_none() && tells
        };
        let mut read = sheet.readings.keys().filter(is_its).peekable();
        read.peek().is_some() && read.all(|id| !self.way.has_moved(id))
    }
}
