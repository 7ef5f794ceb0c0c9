//! What a file says of all its readings at once, and what the merged file will say: the day they were taken, the floor
//! under them, how well each instrument reads.

use chrono::NaiveDate;

use crate::check::lines;
use crate::setup::model::{InstrumentKind, Tolerance};
use crate::setup::syntax::{Node, Property, Text, Value};

use super::session::{Choice, Side, Three};
use super::version::Version;

/// What holds of every reading of the merged file that does not say it itself.
pub struct Around {
    /// The file's day.
    pub day: Option<NaiveDate>,
    /// Whose floor.
    pub floor: Choice,
    /// The bar's roll and its day, by which a line on the bar stands that does not say its own; none where the roll is not
    /// decided.
    roll: Option<Rolled>,
    /// The instruments that are decided, and of a sheet those it inherits.
    instruments: Vec<(Text, Tolerance)>,
    /// The instruments that stand in conflict: nobody knows yet what was read with them.
    undecided: Vec<Text>,
}

impl Around {
    /// What the merged file will say.
    pub fn of(three: &Three) -> Around {
        let whole = |version: &'_ Version| version.root.clone();
        let roots = [three.base.map(whole), Some(whole(three.ours)), Some(whole(three.theirs))];
        let day = match choice_of(three, &roots, "measured") {
            Choice::Theirs | Choice::Newer(Side::Theirs) => three.theirs.day(),
            _ => three.ours.day(),
        };
        let floor = choice_of(three, &roots, "floor");
        let bars = roots.each_ref().map(|root| child(root.as_ref(), "bar"));
        let roll = match choice_of(three, &bars, "roll") {
            Choice::Ours | Choice::Newer(Side::Ours) => Some(Rolled::of(three.ours)),
            Choice::Theirs | Choice::Newer(Side::Theirs) => Some(Rolled::of(three.theirs)),
            Choice::Apart => None,
        };
        let shelves = roots.map(|root| child(root.as_ref(), "instruments"));
        let mut instruments: Vec<(Text, Tolerance)> = Vec::new();
        let mut undecided: Vec<Text> = Vec::new();
        for node in shelves[1..].iter().flatten().flat_map(|shelf| &shelf.children) {
            let side = match choice_of(three, &shelves, &node.name) {
                Choice::Ours | Choice::Newer(Side::Ours) => three.ours,
                Choice::Theirs | Choice::Newer(Side::Theirs) => three.theirs,
                Choice::Apart => {
                    undecided.push(node.name.clone());
                    continue;
                }
            };
            if let Some(tolerance) = side.tolerance_with(&node.name) {
                instruments.push((node.name.clone(), tolerance));
            }
        }
        for instrument in &three.ours.inherited {
            let of_file = instruments.iter().map(|(name, _)| name).chain(&undecided);
            if let InstrumentKind::Reads(tolerance) = &instrument.kind
                && !of_file.into_iter().any(|name| **name == *instrument.name)
            {
                instruments.push((Text::from(&*instrument.name), *tolerance));
            }
        }
        Around { day, floor, roll, instruments, undecided }
    }

    /// Whether the merged file has the bar's roll as a version has it, of the same day.
    pub fn is_rolled_as(&self, version: &Version) -> bool {
        self.roll.as_ref() == Some(&Rolled::of(version))
    }

    /// How well an instrument reads; none if that is not decided, or nothing can be read with it.
    pub fn tolerance_with(&self, name: &str) -> Option<Tolerance> {
        self.instruments.iter().find(|(known, _)| known == name).map(|(_, tolerance)| *tolerance)
    }

    /// Whether an instrument stands in conflict.
    pub fn is_undecided(&self, name: &str) -> bool {
        self.undecided.iter().any(|known| known == name)
    }

    /// Whether a node or one inside it was read with an instrument that stands in conflict.
    pub fn has_undecided(&self, node: &Node) -> bool {
        let with_one = |property: &Property| {
            &*property.key == "with"
                && matches!(&property.value, Value::Text(name) if self.is_undecided(name))
        };
        node.properties.iter().any(with_one) || node.children.iter().any(|child| self.has_undecided(child))
    }
}

/// The bar's roll as a version has it, and the day it was read.
#[derive(Clone, Debug, PartialEq)]
struct Rolled {
    is_recorded: bool,
    numbers: Option<Vec<f64>>,
    day: Option<NaiveDate>,
}

impl Rolled {
    fn of(version: &Version) -> Rolled {
        let reading = version.setup.reading(&lines::roll());
        Rolled {
            is_recorded: version.setup.recorded(&lines::roll()).is_some(),
            numbers: reading.map(|reading| reading.values().to_vec()),
            day: reading.and_then(|reading| version.setup.day_of(Some(reading))),
        }
    }
}

/// Whose version of a node that stands once in its group stays; the groups of base, ours and theirs.
fn choice_of(three: &Three, groups: &[Option<Node>; 3], word: &str) -> Choice {
    let [base, ours, theirs] = groups.each_ref().map(|group| child(group.as_ref(), word));
    match (&ours, &theirs) {
        (Some(ours), Some(theirs)) => three.choose(base.as_ref(), ours, theirs),
        (None, None) => Choice::Ours,
        _ if three.theirs_is_base(base.as_ref(), theirs.as_ref()) => Choice::Ours,
        _ if three.ours_is_base(base.as_ref(), ours.as_ref()) => Choice::Theirs,
        _ => Choice::Apart,
    }
}

fn child(group: Option<&Node>, word: &str) -> Option<Node> {
    group?.children.iter().find(|child| &*child.name == word).cloned()
}
