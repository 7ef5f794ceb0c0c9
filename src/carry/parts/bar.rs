//! A bar of a box, and what of its figures contradicts another.

use crate::catalogue::Catalogue;
use crate::catalogue::code;
use crate::catalogue::measure::Kind;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_CLAMP_DIAMETER, BAR_MATERIAL, BAR_RISE, BAR_ROLL, BAR_SETBACK,
    BAR_SUPPLIED_WIDTH, BAR_UP_SWEEP, BAR_WIDTH,
};
use crate::check::bar_shape::{contradiction, setback_by_bend};
use crate::metrology::propagate::{Input, Inputs, Model, Number, Output, propagate};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::syntax::{Node, Value};
use crate::trial::ROLL;

use super::{Bar, Reader, words};

/// By how much a setback goes beyond the one that width, bend and back sweep make.
struct Over;

impl Model for Over {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        let [setback, width, bend, back_sweep] = inputs else { return vec![None] };
        vec![Some(*setback - setback_by_bend(*width, *bend, *back_sweep))]
    }
}

impl Reader {
    pub(super) fn bar(&mut self, node: &Node) {
        self.properties(node, &words::BAR.properties(), 1);
        let name = self.name(node);
        let [width, rise, back_sweep, up_sweep] = [
            ("width", BAR_WIDTH),
            ("rise", BAR_RISE),
            ("back-sweep", BAR_BACK_SWEEP),
            ("up-sweep", BAR_UP_SWEEP),
        ]
        .map(|(word, row)| self.measure(node, word, row));
        let setback = self.optional(node, "setback", BAR_SETBACK);
        let bend = self.optional(node, "bend", BAR_BEND);
        if node.property("setback").is_none() && node.property("bend").is_none() {
            self.lacks(node, "bend (or setback)");
        }
        let from = self.optional(node, "roll-from", BAR_ROLL).unwrap_or(-ROLL);
        let to = self.optional(node, "roll-to", BAR_ROLL).unwrap_or(ROLL);
        if from > to {
            let message = format!("The roll runs from {from} to {to}, the wrong way round.");
            self.find(&code::OFF_SPAN, node.span, message);
            return;
        }
        let (Some(name), Some(width), Some(rise)) = (name, width, rise) else { return };
        let (Some(back_sweep), Some(up_sweep)) = (back_sweep, up_sweep) else { return };
        if bend.is_some_and(|bend| bend > width / 2.0) {
            self.find(&code::BEND_TOO_WIDE, node.span, format!("The bend of `{name}` lies beyond its end."));
            return;
        }
        let supplied_width = self.optional(node, "supplied-width", BAR_SUPPLIED_WIDTH);
        if supplied_width.is_some_and(|supplied| supplied < width) {
            let message = format!("`{name}` is wider than it was supplied, and no saw adds to a bar.");
            self.find(&code::BAR_WIDER_THAN_SUPPLIED, node.span, message);
            return;
        }
        if self.contradicts_itself(node, [supplied_width.unwrap_or(width), back_sweep], bend.zip(setback)) {
            return;
        }
        let material = self.material(node);
        let clamp_diameter = self.optional(node, "clamp-diameter", BAR_CLAMP_DIAMETER);
        if setback.or(bend).is_some() {
            let roll = (from, to);
            self.parts.bars.push(Bar {
                name,
                width,
                supplied_width,
                rise,
                back_sweep,
                up_sweep,
                setback,
                bend,
                roll,
                material,
                clamp_diameter,
            });
        }
    }

    /// Whether bend and setback of a bar of that width and back sweep tell of two, as finely as such figures are read.
    fn contradicts_itself(
        &mut self,
        node: &Node,
        [width, sweep]: [f64; 2],
        both: Option<(f64, f64)>,
    ) -> bool {
        let Some((bend, setback)) = both else { return false };
        let given = [(setback, BAR_SETBACK), (width, BAR_WIDTH), (bend, BAR_BEND), (sweep, BAR_BACK_SWEEP)];
        let read = |(value, row)| Input::rectangular(value, Catalogue::standard().measure(row).tolerance());
        let over = propagate(&Over, &Inputs::independent(given.map(read).to_vec()));
        let is_over = |over: &Output| judge(over.value, over.expanded_uncertainty()) == Verdict::Moved;
        if !over.output(0).is_some_and(is_over) {
            return false;
        }
        let by_bend = setback_by_bend(width, bend, sweep);
        let message = contradiction(bend, by_bend, setback);
        self.find(&code::BEND_AGAINST_SETBACK, node.span, message).help =
            "Measure both again, or give the one of which you are sure.".into();
        true
    }

    fn material(&mut self, node: &Node) -> Option<&'static str> {
        let found = node.property("material")?;
        let Kind::Choice(words) = Catalogue::standard().measure(BAR_MATERIAL).kind else { return None };
        let word = match &found.value {
            Value::Text(text) => words.iter().find(|word| **word == &**text),
            _ => None,
        };
        if word.is_none() {
            let finding =
                self.find(&code::UNKNOWN_CHOICE, found.span, "`material` is not one of the words.".into());
            finding.help = format!("It takes one of: {}.", words.join(", "));
        }
        word.copied()
    }
}
