//! Values that share a node, and with it its `tol`, `with` and `read`.
//!
//! Knows the table's nodes; refuses to know what is written to them.

use crate::catalogue::{MeasureId, Shape};

use super::{Edit, verify};

impl Edit<'_> {
    /// Whether all that stands on the measure's node is among those that are replaced, so that its `tol`, `with` and
    /// `read` go with it. A word beside it has no tolerance.
    pub fn stands_alone(&self, id: &MeasureId, replaced: &[MeasureId]) -> bool {
        if self.catalogue.measure(id.row).shape == Shape::Node {
            return true;
        }
        self.setup
            .readings
            .keys()
            .filter(|other| self.is_beside(id, other) && self.setup.choice(other).is_none())
            .all(|other| replaced.contains(other))
    }

    /// Whether two measures stand on one node.
    pub fn is_beside(&self, id: &MeasureId, other: &MeasureId) -> bool {
        other.subject == id.subject && verify::node(self.catalogue, other) == verify::node(self.catalogue, id)
    }
}
