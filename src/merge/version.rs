//! One of the three versions: its text, its tree, and what was read from it.

use chrono::NaiveDate;

use crate::catalogue::code::{self, Severity};
use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId};
use crate::check::lines;
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::edit::insert::entries_end;
use crate::setup::edit::{Splice, apply};
use crate::setup::finding::Finding;
use crate::setup::model::{Instrument, InstrumentKind, Kind, Recorded, Setup, Tolerance, Value};
use crate::setup::read::read_version;
use crate::setup::syntax::{self, Node};

use super::around::Around;

/// One version of the file.
pub struct Version {
    pub text: String,
    pub root: Node,
    pub setup: Setup,
    pub faults: Vec<Finding>,
    /// Of a sheet: the instruments of its setup.
    pub inherited: Vec<Instrument>,
    /// The roll at which each line on the bar was drawn that does not say it, with the place of that line's position.
    rolls: Vec<(u32, String)>,
}

impl Version {
    /// Reads a version; the finding that stands against it if it holds no setup at all. A sheet inherits the instruments of
    /// its setup.
    pub fn of(catalogue: &Catalogue, bytes: &[u8], beside: Option<&Setup>) -> Result<Version, Finding> {
        let read = read_version(catalogue, bytes, beside);
        let faults: Vec<Finding> =
            read.findings.into_iter().filter(|finding| finding.severity == Severity::Fault).collect();
        let root =
            syntax::parse(bytes).0.nodes.into_iter().find(|node| matches!(&*node.name, "setup" | "found"));
        let text = String::from_utf8(bytes.to_vec());
        match (read.setup, root, text) {
            (Some(setup), Some(root), Ok(text)) => {
                let beside = beside.filter(|_| setup.kind == Kind::Found);
                let inherited = beside.map(|beside| beside.instruments.clone()).unwrap_or_default();
                let rolls = rolls(catalogue, &setup);
                Ok(Version { text, root, setup, faults, inherited, rolls })
            }
            _ => Err(faults.into_iter().next().unwrap_or_else(|| {
                Finding::new(&code::NOT_A_SETUP, "The file holds no `setup` and no `found` node.")
            })),
        }
    }

    /// The day the file was measured.
    pub fn day(&self) -> Option<NaiveDate> {
        self.setup.day()
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

    /// The day of what a node says: the latest that is written in it (a reading's, a torque's, a mark's), the file's
    /// for a reading that has none of its own.
    pub fn day_of(&self, node: &Node) -> Option<NaiveDate> {
        let of_file = self.day().filter(|_| self.has_undated(node));
        latest_written(node).max(of_file).or_else(|| self.day())
    }

    /// Whether a reading of a node has no day of its own.
    fn has_undated(&self, node: &Node) -> bool {
        self.measures(node)
            .any(|(_, recorded)| reading(&recorded.value).is_some_and(|reading| reading.read().is_none()))
    }

    /// How well an instrument of this version reads; none if it has none of that name, or nothing can be read with it.
    pub fn tolerance_with(&self, name: &str) -> Option<Tolerance> {
        let instrument = self.setup.instruments.iter().find(|instrument| &*instrument.name == name)?;
        match &instrument.kind {
            InstrumentKind::Reads(tolerance) => Some(*tolerance),
            InstrumentKind::Wrench(_) => None,
        }
    }

    /// What makes a node stay what it is in the merged file: `read=` where the file's day is another one and what was
    /// read, drawn, applied or seen has none, `tol=` where the instrument it names reads otherwise there, and `roll=` on a line
    /// that was drawn on a bar as the file does not have it. In the offsets of this text.
    pub fn settling(&self, node: &Node, around: &Around) -> Vec<Splice> {
        if !node.children.is_empty() {
            let day = self.own_day(node, around).filter(|_| self.is_word_of_a_sheet(node));
            let day = day.map(|day| Splice::at(entries_end(node), format!(" read=\"{day}\"")));
            let inside = node.children.iter().flat_map(|child| self.settling(child, around));
            return day.into_iter().chain(inside).collect();
        }
        let tolerance = self.own_tolerance(node, around).map(|tolerance| format!(" tol={tolerance}"));
        let roll = self.own_roll(node, around).map(|roll| format!(" roll={roll}"));
        let day = self.own_day(node, around).map(|day| format!(" read=\"{day}\""));
        let own: String = tolerance.into_iter().chain(roll).chain(day).collect();
        (!own.is_empty()).then(|| Splice::at(entries_end(node), own)).into_iter().collect()
    }

    fn own_day(&self, node: &Node, around: &Around) -> Option<NaiveDate> {
        let day = self.day().filter(|_| self.day() != around.day)?;
        let is_of_a_day =
            matches!(&*node.name, "drawn" | "applied" | "damage") || self.is_word_of_a_sheet(node);
        let is_of_a_day = is_of_a_day && node.property("read").is_none();
        (is_of_a_day || self.has_undated(node)).then_some(day)
    }

    /// Whether it is a sheet's word of how something was found: a mark, or an opened joint.
    pub fn is_word_of_a_sheet(&self, node: &Node) -> bool {
        self.setup.kind == Kind::Found && matches!(&*node.name, "mark" | "opened")
    }

    /// The roll at which a line was drawn that does not say it, where the merged file would tell another one.
    fn own_roll(&self, node: &Node, around: &Around) -> Option<String> {
        if &*node.name != "drawn" || around.is_rolled_as(self) {
            return None;
        }
        let whole = node.whole.range();
        let here = self.rolls.iter().find(|(place, _)| whole.contains(&(*place as usize)));
        here.map(|(_, roll)| roll.clone())
    }

    /// The half-width as it is written: a plain number counts in the measure's default unit beside an instrument, but in
    /// the unit of the value beside a value.
    fn own_tolerance(&self, node: &Node, around: &Around) -> Option<String> {
        let syntax::Value::Text(name) = &node.property("with")?.value else { return None };
        let tolerance = self.tolerance_with(name)?;
        let decided = !around.is_undecided(name);
        if node.property("tol").is_some() || !decided || around.tolerance_with(name) == Some(tolerance) {
            return None;
        }
        let annotated = node.arguments.iter().any(|argument| argument.annotation.is_some())
            || node.properties.iter().any(|property| property.annotation.is_some());
        let default =
            self.measures(node).find_map(|(_, recorded)| Some(reading(&recorded.value)?.default_unit()));
        let unit = tolerance.unit.or(default.filter(|_| annotated));
        let unit = unit.map(|unit| format!("({})", unit.word())).unwrap_or_default();
        Some(format!("{unit}{}", tolerance.half_width))
    }

    /// A node as it stands here, with what makes its readings stay what they are, in the line ends asked for.
    pub fn node_text(&self, node: &Node, around: &Around, line_end: &str) -> String {
        let whole = node.whole.range();
        let splices = self.settling(node, around).into_iter().map(|splice| Splice {
            start: splice.start - whole.start,
            end: splice.end - whole.start,
            text: splice.text,
        });
        let text = node.whole.text(&self.text);
        let settled = apply(text, splices.collect()).unwrap_or_else(|| text.to_owned());
        settled.replace("\r\n", "\n").replace('\n', line_end)
    }

    /// A node as it stands here, in the line ends asked for.
    pub fn plain_text(&self, node: &Node, line_end: &str) -> String {
        node.whole.text(&self.text).replace("\r\n", "\n").replace('\n', line_end)
    }
}

/// The rolls at which lines on the bar were drawn that do not say it, as far as the file knows them.
fn rolls(catalogue: &Catalogue, setup: &Setup) -> Vec<(u32, String)> {
    let silent = setup.marks.iter().filter(|mark| mark.roll.is_none() && lines::is_on_the_bar(mark));
    let known = silent.filter_map(|mark| {
        let known = lines::with_its_roll(catalogue, setup, mark)?;
        let roll = lines::said(&known)?;
        let (_, drawn) = mark.drawn.first()?;
        Some((drawn.span.start, show::plain(roll.value(), roll.decimals())))
    });
    known.collect()
}

/// The latest `read=` in a node.
fn latest_written(node: &Node) -> Option<NaiveDate> {
    let own = node.properties.iter().filter(|property| &*property.key == "read");
    let own = own.filter_map(|property| match &property.value {
        syntax::Value::Text(day) => day.parse().ok(),
        _ => None,
    });
    own.chain(node.children.iter().filter_map(latest_written)).max()
}

/// The number a measure holds, if it is one.
pub fn reading(value: &Value) -> Option<&Reading> {
    match value {
        Value::Reading(reading) => Some(reading),
        Value::Choice(_) | Value::Unmeasured => None,
    }
}
