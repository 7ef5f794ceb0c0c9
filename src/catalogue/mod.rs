//! The catalogue: one table of measures, one list of joints, one list of codes, and the words of the format.
//!
//! Reading, checks, differences, restore order, help and the format's reference all follow from it. It knows
//! nothing of files, revisions, arithmetic or screens.

pub mod caution;
pub mod code;
pub mod instrument;
pub mod joint;
pub mod measure;
mod shelf;
pub mod table;
pub mod word;

use std::borrow::Cow;
use std::fmt;
use std::sync::{Arc, LazyLock};

use serde::Serialize;

pub use measure::{Absent, ChangedBy, Gravity, HeldBy, Kind, Measure, Shape, Weight};
pub use shelf::{Shelf, ShelfId, Taking};
pub use table::Row;

/// The rider's left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The rider's left.
    Left,
    /// The rider's right.
    Right,
}

impl Side {
    /// Both, left first.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// The word in the file and on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    /// The one across the bike.
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// The side of that word.
    pub fn parse(word: &str) -> Option<Side> {
        Side::BOTH.into_iter().find(|side| side.word() == word)
    }

    /// +1 on the left, −1 on the right: the sign of y (ISO 8855: y to the left).
    pub fn sign(self) -> f64 {
        match self {
            Side::Left => 1.0,
            Side::Right => -1.0,
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Which part a row is meant of: the side, the given name, the count, each where the row's path has a place for it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Subject {
    /// For `SIDE`.
    pub side: Option<Side>,
    /// For `NAME`.
    pub name: Option<Arc<str>>,
    /// For `N`, counted from 1; 0 where the path has none.
    pub ordinal: u16,
}

impl Subject {
    /// The bike itself.
    pub const BIKE: Subject = Subject { side: None, name: None, ordinal: 0 };

    /// One side of it.
    pub fn side(side: Side) -> Subject {
        Subject { side: Some(side), ..Subject::BIKE }
    }

    /// Something with a given name.
    pub fn named(name: &str) -> Subject {
        Subject { name: Some(name.into()), ..Subject::BIKE }
    }

    /// The same, the n-th of its kind.
    pub fn numbered(mut self, ordinal: u16) -> Subject {
        self.ordinal = ordinal;
        self
    }
}

/// One measure of one bike: a row of the table and the part it is meant of. Sorted in the table's order.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MeasureId {
    /// Which row.
    pub row: Row,
    /// Of which part.
    pub subject: Subject,
}

impl MeasureId {
    /// A measure of the bike itself.
    pub fn bike(row: Row) -> MeasureId {
        MeasureId { row, subject: Subject::BIKE }
    }

    /// A measure of one side.
    pub fn of(row: Row, side: Side) -> MeasureId {
        MeasureId { row, subject: Subject::side(side) }
    }
}

/// The table as the program uses it: the rows and the shelves they stand on.
#[derive(Clone, Debug)]
pub struct Catalogue {
    rows: Cow<'static, [Measure]>,
    shelves: Vec<Shelf>,
    /// For every row the written name of the joint that holds it: of the bike itself, on the left, on the right.
    joints: Vec<[Option<Cow<'static, str>>; 3]>,
    /// For every joint what a mark across it can show.
    held: Vec<(&'static str, Vec<(&'static str, MeasureId)>)>,
}

static STANDARD: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::with_rows(table::ROWS));

impl Catalogue {
    /// The standard table.
    pub fn standard() -> &'static Catalogue {
        &STANDARD
    }

    /// A table of these rows. Rows added behind the standard ones keep the standard constants valid.
    pub fn with_rows(rows: impl Into<Cow<'static, [Measure]>>) -> Catalogue {
        let rows = rows.into();
        let shelves = shelf::build(&rows);
        let joints = rows.iter().map(joints_of).collect();
        let mut catalogue = Catalogue { rows, shelves, joints, held: Vec::new() };
        catalogue.held = catalogue.shown_across_joints();
        catalogue
    }

    /// All rows in order.
    pub fn rows(&self) -> impl Iterator<Item = (Row, &Measure)> {
        (0u16..).map(Row).zip(&*self.rows)
    }

    /// One row. A row is only made by this catalogue or by the constants of its table.
    pub fn measure(&self, row: Row) -> &Measure {
        &self.rows[row.index()]
    }

    /// The shelf that a whole file's nodes stand on.
    pub fn top(&self) -> &Shelf {
        &self.shelves[0]
    }

    /// A shelf by its number.
    pub fn shelf(&self, id: ShelfId) -> &Shelf {
        &self.shelves[id.0]
    }

    /// The written path of a measure: `left.brake-lever.from-tip`, `hose.rear brake.free`.
    pub fn path(&self, id: &MeasureId) -> String {
        written_path(self.measure(id.row).path, &id.subject)
    }

    /// The measure in plain words: "left brake lever angle", "rear brake hose free length".
    pub fn title(&self, id: &MeasureId) -> String {
        let title = self.measure(id.row).title;
        let which = match (&id.subject.side, &id.subject.name) {
            (Some(side), _) => {
                match joint::CONTROLS.iter().find(|control| control.lowest.contains(&id.row)) {
                    Some(control) => format!("{side} {} {title}", control.title),
                    None => format!("{side} {title}"),
                }
            }
            (None, Some(name)) => format!("{name} hose {title}"),
            (None, None) => title.to_owned(),
        };
        // The second of its kind says so; the first is mostly the only one.
        if id.subject.ordinal > 1 { format!("{which} ({})", id.subject.ordinal) } else { which }
    }

    /// The measure of that written path.
    pub fn find(&self, path: &str) -> Option<MeasureId> {
        self.rows().find_map(|(row, measure)| {
            match_path(measure.path, path).map(|subject| MeasureId { row, subject })
        })
    }

    /// The measures that a joint holds and that a mark across it can show, by the word a person types, on either kind
    /// of clamp.
    pub fn held_by(&self, joint: &str) -> &[(&'static str, MeasureId)] {
        self.held.iter().find(|(name, _)| *name == joint).map_or(&[], |(_, held)| held)
    }

    fn shown_across_joints(&self) -> Vec<(&'static str, Vec<(&'static str, MeasureId)>)> {
        let names = joint::names().iter();
        let mut held: Vec<_> = names.map(|name| (name.as_str(), Vec::new())).collect();
        for (row, measure) in self.rows() {
            if measure.path.contains("NAME") || measure.goes_along() {
                continue;
            }
            let is_sided = measure.is_sided();
            let sides = Side::BOTH.map(Subject::side);
            let subjects = if is_sided { &sides[..] } else { &[Subject::BIKE] };
            for subject in subjects {
                let id = MeasureId { row, subject: subject.clone() };
                let joint = self.joint_of(&id, false);
                let across = held.iter_mut().find(|(name, _)| Some(*name) == joint);
                let Some((name, shown)) = across else { continue };
                let is_of_this_side = name.split('.').next().and_then(Side::parse) == subject.side;
                let is_known = shown.iter().any(|(word, _): &(&str, _)| *word == measure.word());
                if is_of_this_side && !is_known {
                    shown.push((measure.word(), id));
                }
            }
        }
        held
    }

    /// The written name of the joint that holds the measure; `shared` says whether the control shares the
    /// brake lever's clamp.
    pub fn joint_of(&self, id: &MeasureId, shared: bool) -> Option<&str> {
        let row = if shared && self.measure(id.row).held_by == HeldBy::Clamp {
            table::LEVER_FROM_TIP
        } else {
            id.row
        };
        let [bike, left, right] = &self.joints[row.index()];
        let joint = match id.subject.side {
            None => bike,
            Some(Side::Left) => left,
            Some(Side::Right) => right,
        };
        joint.as_deref()
    }
}

/// The joint of a row without a side, on the left, on the right.
fn joints_of(measure: &Measure) -> [Option<Cow<'static, str>>; 3] {
    let pattern = match measure.held_by {
        HeldBy::Joint(name) => name,
        HeldBy::Clamp => {
            let end = measure.path.match_indices('.').nth(1).map_or(measure.path.len(), |(end, _)| end);
            &measure.path[..end]
        }
        HeldBy::Nothing | HeldBy::Cutting | HeldBy::Adjuster => return [const { None }; 3],
    };
    let [left, right] = Side::BOTH.map(|side| match pattern.strip_prefix("SIDE") {
        Some(below) => Cow::Owned([side.word(), below].concat()),
        None => Cow::Borrowed(pattern),
    });
    [Cow::Borrowed(pattern), left, right].map(Some)
}

/// `SIDE.grip` → `left.grip`, `right.grip`; anything else stays alone.
pub fn sides_written_out(pattern: &str) -> Vec<String> {
    if pattern.contains("SIDE") {
        Side::BOTH.iter().map(|side| pattern.replacen("SIDE", side.word(), 1)).collect()
    } else {
        vec![pattern.to_owned()]
    }
}

fn written_path(pattern: &str, subject: &Subject) -> String {
    let mut path = String::with_capacity(pattern.len() + 8);
    for word in pattern.split('.') {
        if !path.is_empty() {
            path.push('.');
        }
        match (word, subject.side, &subject.name) {
            ("SIDE", Some(side), _) => path.push_str(side.word()),
            ("NAME", _, Some(name)) => path.push_str(name),
            ("N", _, _) => path.push_str(&subject.ordinal.to_string()),
            _ => path.push_str(word),
        }
    }
    path
}

/// Matches a written path against a pattern. A given name may itself hold dots: it takes all that the rest leaves.
fn match_path(pattern: &str, path: &str) -> Option<Subject> {
    if let Some((before, after)) = pattern.split_once("NAME") {
        let name = path.strip_prefix(before)?.strip_suffix(after)?;
        return (!name.is_empty()).then(|| Subject::named(name));
    }
    let mut subject = Subject::BIKE;
    let mut words = path.split('.');
    for expected in pattern.split('.') {
        let word = words.next()?;
        match expected {
            "SIDE" => subject.side = Some(Side::parse(word)?),
            "N" => subject.ordinal = word.parse().ok().filter(|number| *number > 0)?,
            _ if expected == word => {}
            _ => return None,
        }
    }
    words.next().is_none().then_some(subject)
}

/// A word or title as a sentence begins with it.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
