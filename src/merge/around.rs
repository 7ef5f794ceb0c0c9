//! What a file says of all its readings at once, and what the merged file will say: the day they were taken, the floor
//! under them, how well each instrument reads.

use chrono::NaiveDate;

use crate::check::lines;
use crate::setup::model::{InstrumentKind, Tolerance};
use crate::setup::syntax::{Node, Property, Text, Value};

use super::session::{Choice, Side, Three};
use super::together::{Held, Taken};
use super::version::Version;

/// Where the bar's roll stands.
const ROLL: &str = "bar.roll";

/// What holds of every reading of the merged file that does not say it itself.
pub struct Around {
    /// The file's day.
    pub day: Option<NaiveDate>,
    /// Whose floor; none where that is not decided.
    pub floor: Option<Side>,
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
    pub fn of(three: &Three, held: &Held) -> Around {
        let roots = [three.base.map(|base| &base.root), Some(&three.ours.root), Some(&three.theirs.root)];
        let day = match choice_of(three, roots, "measured").side() {
            Some(Side::Theirs) => three.theirs.day(),
            _ => three.ours.day(),
        };
        let floor = choice_of(three, roots, "floor").side();
        let floor = floor.filter(|side| !three.is_floor_under_others(*side));
        let bars = roots.map(|root| root?.child("bar"));
        let rolled_by = choice_of(three, bars, "roll").side();
        let rolled_by = rolled_by.filter(|_| held.taken(ROLL) != Taken::Apart);
        let roll = rolled_by.map(|side| Rolled::of(three.version(side)));
        let (instruments, undecided) = instruments(three, roots.map(|root| root?.child("instruments")));
        Around { day, floor, roll, instruments, undecided }
    }

    /// Whether the merged file has the bar's roll as a version has it, of the same day.
    pub fn is_rolled_as(&self, version: &Version) -> bool {
        self.roll.as_ref() == Some(&Rolled::of(version))
    }

    /// Whether a node of a version was read on the bar as the merged file has it: that version has it so, or read the node
    /// later than the bar was.
    pub fn is_rolled_before(&self, version: &Version, node: &Node) -> bool {
        let rolled = self.roll.as_ref().and_then(|roll| roll.day);
        let is_later = rolled.zip(version.day_of(node)).is_some_and(|(rolled, read)| rolled < read);
        is_later || self.is_rolled_as(version)
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

/// The instruments that are decided, and the names of those that are not.
fn instruments(three: &Three, shelves: [Option<&Node>; 3]) -> (Vec<(Text, Tolerance)>, Vec<Text>) {
    let mut decided: Vec<(Text, Tolerance)> = Vec::new();
    let mut undecided: Vec<Text> = Vec::new();
    for node in shelves[1..].iter().flatten().flat_map(|shelf| &shelf.children) {
        match choice_of(three, shelves, &node.name).side() {
            Some(side) => {
                let tolerance = three.version(side).tolerance_with(&node.name);
                decided.extend(tolerance.map(|tolerance| (node.name.clone(), tolerance)));
            }
            None => undecided.push(node.name.clone()),
        }
    }
    for instrument in &three.ours.inherited {
        let of_file = decided.iter().map(|(name, _)| name).chain(&undecided);
        if let InstrumentKind::Reads(tolerance) = &instrument.kind
            && !of_file.into_iter().any(|name| **name == *instrument.name)
        {
            decided.push((Text::from(&*instrument.name), *tolerance));
        }
    }
    (decided, undecided)
}

/// Whose version of a node that stands once in its group stays; the groups of base, ours and theirs.
fn choice_of(three: &Three, groups: [Option<&Node>; 3], word: &str) -> Choice {
    let [base, ours, theirs] = groups.map(|group| group?.child(word));
    match (ours, theirs) {
        (Some(ours), Some(theirs)) => three.choose(base, ours, theirs),
        (None, None) => Choice::Ours,
        _ if three.theirs_is_base(base, theirs) => Choice::Ours,
        _ if three.ours_is_base(base, ours) => Choice::Theirs,
        _ => Choice::Apart,
    }
}
