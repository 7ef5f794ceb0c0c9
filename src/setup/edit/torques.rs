//! The torque last applied to a joint, in the text.

use chrono::NaiveDate;

use super::super::torque::Applied;
use super::verify::Touched;
use super::{Edit, EditError, Splice, insert, number, over, place};

impl Edit<'_> {
    /// Writes what was applied to a joint, over the old figure or as a new line in the joint's torque.
    ///
    /// # Errors
    /// [`EditError::NoSuchTorque`]; [`EditError::WouldNotRead`] as for every edit.
    pub fn set_applied(
        &mut self,
        joint: &str,
        applied: &Applied,
        day: Option<NaiveDate>,
    ) -> Result<(), EditError> {
        let document = self.document();
        let no_torque = || EditError::NoSuchTorque(joint.to_owned());
        let root = place::root(&document).ok_or_else(no_torque)?;
        let node =
            root.children.iter().find(|node| place::is_named(node, "torque", joint)).ok_or_else(no_torque)?;
        let figure = &applied.figure.value;
        let digits = if figure.unit == crate::metrology::unit::Unit::NewtonMetre {
            figure.digits.clone()
        } else {
            format!("({}){}", figure.unit.word(), figure.digits)
        };
        let properties = [
            ("read", day.map(|day| format!("\"{day}\""))),
            ("with", applied.with.as_deref().map(number::word)),
        ];
        let old = node.child("applied");
        let splices = if let Some((old, value)) = old.and_then(|old| Some((old, old.arguments.first()?))) {
            let mut splices = vec![over(value.span, &digits)];
            for (key, value) in &properties {
                match (value, old.property(key)) {
                    (Some(value), _) => splices.push(self.property_splice(old, key, value)),
                    (None, Some(stale)) => splices.push(insert::without_entry(&self.text, stale.span)),
                    (None, None) => {}
                }
            }
            splices
        } else {
            let mut line = format!("applied {digits}");
            for (key, value) in properties.iter().filter_map(|(key, value)| Some((key, value.as_ref()?))) {
                line.extend([" ", key, "=", value]);
            }
            let before = node.children.iter().rev();
            let after = before.filter(|child| !matches!(&*child.name, "caution" | "note"));
            let splice: Splice = insert::node(&self.text, root, node, after.take(1).next(), &line);
            vec![splice]
        };
        let meant = Some((joint, Some((applied, day))));
        self.settle(splices, Touched { applied: meant, ..Touched::default() })
    }

    /// Takes away what was last applied to a joint, for it holds no more, and puts a note in its place. Comments among
    /// its figures stay.
    ///
    /// # Errors
    /// [`EditError::NoSuchTorque`] where the file has no such figure; [`EditError::WouldNotRead`] as for every edit.
    pub fn drop_applied(&mut self, joint: &str, note: &str) -> Result<(), EditError> {
        let document = self.document();
        let torque = place::root(&document)
            .and_then(|root| root.children.iter().find(|node| place::is_named(node, "torque", joint)));
        let old = torque
            .and_then(|torque| torque.child("applied"))
            .ok_or_else(|| EditError::NoSuchTorque(joint.to_owned()))?;
        let entries = old.arguments.iter().map(|argument| argument.span);
        let entries = entries.chain(old.properties.iter().map(|property| property.span));
        let mut splices: Vec<Splice> =
            entries.map(|entry| insert::without_entry(&self.text, entry)).collect();
        splices.push(over(old.span, &format!("note {}", number::quoted(note))));
        let on = format!("torque.{joint}");
        let meant = Touched { applied: Some((joint, None)), note: Some((&on, note)), ..Touched::default() };
        self.settle(splices, meant)
    }
}
