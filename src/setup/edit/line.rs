//! One line that is there already: its values and properties written over, added or taken away.

use super::super::span::Span;
use super::super::syntax::{Argument, Node};
use super::place::Address;
use super::{Edit, Entry, Splice, UNMEASURED, annotation, bare, insert, over};

impl Edit<'_> {
    pub(super) fn line_splices(
        &self,
        node: &Node,
        address: &Address,
        values: &[String],
        properties: &[(&str, Entry<String>)],
    ) -> Vec<Splice> {
        let mut splices = match address.property {
            Some(key) => vec![self.value_property_splice(node, key, &values.join(" "))],
            None => self.value_splices(&node.arguments, node, values),
        };
        for (key, entry) in properties {
            match entry {
                Entry::Keep => {}
                Entry::Set(value) => splices.push(self.property_splice(node, key, value)),
                Entry::Remove => splices.extend(
                    node.property(key).map(|property| insert::without_entry(&self.text, property.span)),
                ),
            }
        }
        splices
    }

    fn value_splices(&self, old: &[Argument], node: &Node, values: &[String]) -> Vec<Splice> {
        let mut splices: Vec<Splice> = old
            .iter()
            .zip(values)
            .map(|(argument, value)| match &argument.annotation {
                // What nobody knows has no unit.
                Some(old) if value != UNMEASURED && annotation(value).is_none_or(|new| new == &**old) => {
                    over(argument.value_span, bare(value))
                }
                _ => over(argument.span, value),
            })
            .collect();
        splices
            .extend(old.iter().skip(values.len()).map(|extra| insert::without_entry(&self.text, extra.span)));
        let after = old.last().map_or(node.span.end, |last| last.span.end) as usize;
        // Repeated readings carry the same annotation, or none.
        let annotation = match old.first() {
            Some(first) => {
                Span { start: first.span.start, end: first.value_span.start }.text(&self.text).trim_end()
            }
            None => "",
        };
        splices.extend(values.iter().skip(old.len()).map(|value| {
            let value = if old.is_empty() { value.clone() } else { format!("{annotation}{}", bare(value)) };
            Splice::at(after, format!(" {value}"))
        }));
        splices
    }

    /// Writes a number over the old one, whose annotation stays.
    pub(super) fn value_property_splice(&self, node: &Node, key: &str, value: &str) -> Splice {
        match node.property(key) {
            Some(old) if old.annotation.is_some() && value != UNMEASURED => over(old.value_span, bare(value)),
            _ => self.property_splice(node, key, value),
        }
    }

    /// Writes a property over the old one, its annotation included, or behind everything on the line.
    pub(super) fn property_splice(&self, node: &Node, key: &str, value: &str) -> Splice {
        match node.property(key) {
            Some(old) => Splice {
                start: insert::after_equals(&self.text, old),
                end: old.value_span.end as usize,
                text: value.to_owned(),
            },
            None => Splice::at(insert::entries_end(node), format!(" {key}={value}")),
        }
    }
}
