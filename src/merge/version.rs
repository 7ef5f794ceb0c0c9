//! One of the three versions: its text, its tree, and what was read from it.

use chrono::NaiveDate;

use crate::catalogue::code::{self, Severity};
use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::metrology::reading::Reading;
use crate::setup::edit::insert::entries_end;
use crate::setup::edit::{Splice, apply};
use crate::setup::finding::Finding;
use crate::setup::model::{Recorded, Setup, Value};
use crate::setup::read::read;
use crate::setup::syntax::{self, Node};

/// One version of the file.
pub struct Version {
    pub text: String,
    pub root: Node,
    pub setup: Setup,
    pub faults: Vec<Finding>,
}

impl Version {
    /// Reads a version; the finding that stands against it if it holds no setup at all.
    pub fn of(catalogue: &Catalogue, bytes: &[u8]) -> Result<Version, Finding> {
        let read = read(catalogue, bytes, None);
        let faults: Vec<Finding> =
            read.findings.into_iter().filter(|finding| finding.severity == Severity::Fault).collect();
        let root =
            syntax::parse(bytes).0.nodes.into_iter().find(|node| matches!(&*node.name, "setup" | "found"));
        let text = String::from_utf8(bytes.to_vec());
        match (read.setup, root, text) {
            (Some(setup), Some(root), Ok(text)) => Ok(Version { text, root, setup, faults }),
            _ => Err(faults.into_iter().next().unwrap_or_else(|| {
                Finding::new(&code::NOT_A_SETUP, "The file holds no `setup` and no `found` node.")
            })),
        }
    }

    /// The day the file was measured.
    pub fn day(&self) -> Option<NaiveDate> {
        self.setup.measured.as_ref().map(|measured| measured.date)
    }

    pub fn floor(&self) -> Option<&Reading> {
        self.setup.reading(&MeasureId::bike(FLOOR))
    }

    /// The measures that a node records, itself or inside it.
    pub fn measures(&self, node: &Node) -> impl Iterator<Item = (&MeasureId, &Recorded)> {
        let whole = node.whole.range();
        let inside = move |recorded: &&Recorded| whole.contains(&(recorded.node.start as usize));
        self.setup.readings.iter().filter(move |(_, recorded)| inside(recorded))
    }

    /// Whether a node records an angle that the floor corrects.
    pub fn has_gravity(&self, catalogue: &Catalogue, node: &Node) -> bool {
        self.measures(node).any(|(id, _)| catalogue.measure(id.row).gravity != Gravity::None)
    }

    /// The day of a node's readings: their own, else the file's.
    pub fn day_of(&self, node: &Node) -> Option<NaiveDate> {
        let own = self.measures(node).filter_map(|(_, recorded)| reading(&recorded.value)?.read());
        own.max().or_else(|| self.day())
    }

    /// What makes the readings of a node keep their day where the file's is another one: `read=` on each that has
    /// none. In the offsets of this text.
    pub fn dating(&self, node: &Node, file_day: Option<NaiveDate>) -> Vec<Splice> {
        let Some(day) = self.day().filter(|_| self.day() != file_day) else { return Vec::new() };
        if !node.children.is_empty() {
            return node.children.iter().flat_map(|child| self.dating(child, file_day)).collect();
        }
        let undated = |(_, recorded): (&MeasureId, &Recorded)| {
            reading(&recorded.value).is_some_and(|reading| reading.read().is_none())
        };
        let needed = self.measures(node).any(undated);
        needed.then(|| Splice::at(entries_end(node), format!(" read=\"{day}\""))).into_iter().collect()
    }

    /// A node as it stands here, with its readings' day, in the line ends asked for.
    pub fn node_text(&self, node: &Node, file_day: Option<NaiveDate>, line_end: &str) -> String {
        let whole = node.whole.range();
        let splices = self.dating(node, file_day).into_iter().map(|splice| Splice {
            start: splice.start - whole.start,
            end: splice.end - whole.start,
            text: splice.text,
        });
        let text = node.whole.text(&self.text);
        let dated = apply(text, splices.collect()).unwrap_or_else(|| text.to_owned());
        dated.replace("\r\n", "\n").replace('\n', line_end)
    }
}

/// The number a measure holds, if it is one.
pub fn reading(value: &Value) -> Option<&Reading> {
    match value {
        Value::Reading(reading) => Some(reading),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}
