//! Rules on the rider's own figures.

use crate::body::at_odds;
use crate::catalogue::code;
use crate::setup::finding::Finding;

use super::Context;

/// Every length of the body that does not go with the stature.
pub fn lengths(context: &Context) -> Vec<Finding> {
    let finding = |odd: crate::body::AtOdds| {
        let place =
            context.setup.recorded(&odd.measure).map_or(context.setup.name.span, |recorded| recorded.span);
        Finding::new(&code::RIDER_LENGTHS, odd.words).at(place).about(context.catalogue.path(&odd.measure))
    };
    at_odds(context.setup).into_iter().map(finding).collect()
}
