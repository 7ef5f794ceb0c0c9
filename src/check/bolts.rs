//! Rules on what a bolt carries.

use crate::setup::finding::Finding;
use crate::torque::bolt;

use super::Context;

/// Every bolt drawn too near its proof load, and every one of which nothing can be said.
pub fn bolts(context: &Context) -> Vec<Finding> {
    context.setup.torques.iter().flat_map(bolt::findings).collect()
}
