//! The two setups that a text with conflicts may become: all as ours has it, and all as theirs.
//!
//! Neither counts as recorded. They are asked for what is to be told in either case.

use crate::catalogue::Catalogue;
use crate::catalogue::word;

use super::super::model::Setup;
use super::super::syntax::{Document, Node};
use super::super::undecided::SIDES;
use super::context::Context;
use super::top;

/// Ours and theirs of a text with conflicts, in that order; none unless both read, so that neither is taken for the other.
pub fn of(
    catalogue: &Catalogue,
    source: &str,
    (base, elsewhere): (Option<&Setup>, bool),
    document: &Document,
) -> Vec<Setup> {
    let version = |side| {
        let mut context = Context::new(catalogue, source, base);
        context.elsewhere = elsewhere;
        top::file(&mut context, &Document { nodes: decided(&document.nodes, side) })
    };
    SIDES.into_iter().map(version).collect::<Option<Vec<Setup>>>().unwrap_or_default()
}

fn is_conflict(node: &Node) -> bool {
    &*node.name == word::CONFLICT.name
}

fn has_conflict(node: &Node) -> bool {
    is_conflict(node) || node.children.iter().any(has_conflict)
}

/// The nodes with what stands between { } of one side in place of each conflict.
fn decided(nodes: &[Node], side: &str) -> Vec<Node> {
    let mut all = Vec::new();
    for node in nodes {
        if is_conflict(node) {
            let held = node.children.iter().filter(|version| &*version.name == side);
            all.extend(held.flat_map(|version| decided(&version.children, side)));
        } else if has_conflict(node) {
            all.push(Node { children: decided(&node.children, side), ..node.clone() });
        } else {
            all.push(node.clone());
        }
    }
    all
}
