//! Where a mistake of grammar lies on a node, what the node then lacks or has too much of is not said again.

use super::super::finding::Finding;
use super::super::span::Span;
use super::super::syntax::{Document, Node};

/// The heads of all nodes on which a mistake of grammar lies: everything of the node before its block.
pub fn heads(document: &Document) -> Vec<Span> {
    let mut heads = Vec::new();
    let mut left: Vec<&Node> = document.nodes.iter().collect();
    while let Some(node) = left.pop() {
        if node.broken {
            let end =
                node.children.first().map_or(node.whole.end, |child| child.whole.start.saturating_sub(1));
            heads.push(Span { start: node.whole.start, end });
        }
        left.extend(&node.children);
    }
    heads
}

/// Keeps the findings that do not lie on one of those heads.
pub fn keep_fresh(findings: &mut Vec<Finding>, heads: &[Span]) {
    findings.retain(|finding| !finding.span.is_some_and(|span| heads.iter().any(|head| head.touches(span))));
}
