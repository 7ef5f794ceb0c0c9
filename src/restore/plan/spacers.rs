//! Spacers that the bike was found without, or with too many: a step that orders what nobody has says so.

use crate::catalogue::MeasureId;
use crate::catalogue::table::{SPACERS_ABOVE, SPACERS_BELOW};
use crate::metrology::show;
use crate::metrology::verdict::{Verdict, judge};

use super::super::holder::Holder;
use super::Planner;

impl Planner<'_> {
    /// How many are lacking or left over at this joint, both piles together, if the sheet reads both.
    pub(super) fn spacers_astray(&self, holder: &Holder) -> Option<String> {
        let piles = [SPACERS_BELOW, SPACERS_ABOVE].map(MeasureId::bike);
        if holder.joint()? != self.setup.joint_of(self.catalogue, &piles[0])? {
            return None;
        }
        let [below, above] = [self.way.apart(&piles[0])?, self.way.apart(&piles[1])?];
        let (delta, uncertainty) = (below.0 + above.0, below.1.hypot(above.1));
        if judge(delta, uncertainty) != Verdict::Moved {
            return None;
        }
        let recorded: f64 = piles.iter().filter_map(|id| self.setup.value(id)).sum();
        let [found, recorded, astray] = [recorded + delta, recorded, delta.abs()].map(show::brief);
        Some(if delta < 0.0 {
            format!(
                "Found: {found} mm of spacers in all, recorded {recorded} mm: {astray} mm are lacking. Find them or fit others \
                 of that height; without them the top cap may meet the steerer before it presses on the bearings."
            )
        } else {
            format!(
                "Found: {found} mm of spacers in all, recorded {recorded} mm: {astray} mm are left over. Look whether they \
                 belong on the steerer before they go."
            )
        })
    }
}
