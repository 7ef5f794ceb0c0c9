//! Invented bikes within realistic bounds, as plain numbers, as a text that the program reads, and as draws.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use clampmark::catalogue::{Catalogue, MeasureId, Side};
use clampmark::geometry::state::Lookup;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

/// What a bike is made of: path, lowest, highest value, half-width of the reading. Common practice, no source.
pub const PARTS: [(&str, f64, f64, f64); 28] = [
    ("frame.reach", 420.0, 520.0, 1.0),
    ("frame.stack", 600.0, 660.0, 1.0),
    ("frame.head-angle", 63.0, 68.0, 0.3),
    ("frame.wheel-radius", 350.0, 375.0, 2.0),
    ("frame.fork-offset", 40.0, 50.0, 1.0),
    ("headset.cover", 4.0, 12.0, 0.5),
    ("steerer.spacers-below", 0.0, 30.0, 0.5),
    ("stem.length", 35.0, 70.0, 0.5),
    ("stem.angle", -6.0, 17.0, 0.5),
    ("stem.clamp-height", 35.0, 45.0, 0.5),
    ("stem.twist", -1.5, 1.5, 0.5),
    ("bar.width", 740.0, 800.0, 1.0),
    ("bar.rise", 10.0, 40.0, 1.0),
    ("bar.back-sweep", 5.0, 12.0, 0.5),
    ("bar.up-sweep", 3.0, 7.0, 0.5),
    ("bar.bend", 70.0, 110.0, 5.0),
    ("bar.roll", -4.0, 4.0, 0.5),
    ("bar.offset", -2.0, 2.0, 0.5),
    ("saddle.height", 700.0, 780.0, 1.0),
    ("saddle.setback", 120.0, 220.0, 2.0),
    ("left.grip.hand", 55.0, 75.0, 1.0),
    ("right.grip.hand", 55.0, 75.0, 1.0),
    ("left.brake-lever.reach", 55.0, 75.0, 0.5),
    ("left.brake-lever.bite", 30.0, 40.0, 1.0),
    ("left.brake-lever.blade", 70.0, 80.0, 1.0),
    ("left.brake-lever.finger", 55.0, 68.0, 1.0),
    ("right.brake-lever.reach", 55.0, 75.0, 0.5),
    ("right.brake-lever.bite", 30.0, 40.0, 1.0),
];

/// The measure of a path.
pub fn measure(path: &str) -> MeasureId {
    Catalogue::standard().find(path).unwrap_or_else(|| panic!("{path} is in the table"))
}

/// Numbers for a computation to ask, fast enough for a million draws.
#[derive(Clone)]
pub struct Numbers(Vec<Option<f64>>);

impl Numbers {
    /// A bike of which nothing is known.
    pub fn new() -> Numbers {
        Numbers(vec![None; Catalogue::standard().rows().count() * 3])
    }

    /// The place of a measure's number.
    pub fn place(id: &MeasureId) -> usize {
        let side = match id.subject.side {
            None => 0,
            Some(Side::Left) => 1,
            Some(Side::Right) => 2,
        };
        id.row.index() * 3 + side
    }

    /// Sets a number by its place.
    pub fn put(&mut self, place: usize, value: f64) {
        self.0[place] = Some(value);
    }

    /// The same bike with this measure.
    pub fn with(mut self, path: &str, value: f64) -> Numbers {
        self.put(Numbers::place(&measure(path)), value);
        self
    }
}

impl Lookup<f64> for Numbers {
    fn get(&self, id: &MeasureId) -> Option<f64> {
        self.0[Numbers::place(id)]
    }
    fn level(&self, id: &MeasureId) -> Option<f64> {
        self.get(id)
    }
}

/// Uniform numbers: the generator of Steele, Lea and Flood 2014 (`SplitMix`), its constants from memory.
pub struct Dice(pub u64);

impl Dice {
    /// A number from 0 up to 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((bits ^ (bits >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from `low` to `high`, to a tenth.
    pub fn tenth(&mut self, low: f64, high: f64) -> f64 {
        ((low + (high - low) * self.roll()) * 10.0).round() / 10.0
    }
}

/// The readings of one bike: value and half-width by path.
pub type Readings = BTreeMap<&'static str, (f64, f64)>;

/// An invented bike.
pub fn bike(dice: &mut Dice) -> Readings {
    PARTS.iter().map(|&(path, low, high, half_width)| (path, (dice.tenth(low, high), half_width))).collect()
}

#[derive(Default)]
struct Group<'a> {
    measures: Vec<(&'a str, (f64, f64))>,
    groups: BTreeMap<&'a str, Group<'a>>,
}

impl Group<'_> {
    fn write(&self, text: &mut String) {
        for (word, (value, half_width)) in &self.measures {
            writeln!(text, "{word} {value} tol={half_width}").unwrap();
        }
        for (word, group) in &self.groups {
            writeln!(text, "{word} {{").unwrap();
            group.write(text);
            text.push_str("}\n");
        }
    }
}

/// The bike as the program reads it from a text.
pub fn setup(readings: &Readings) -> Setup {
    let mut top = Group::default();
    for (path, reading) in readings {
        let mut words: Vec<&str> = path.split('.').collect();
        let last = words.pop().unwrap();
        let group = words.into_iter().fold(&mut top, |group, word| group.groups.entry(word).or_default());
        group.measures.push((last, *reading));
    }
    let mut text = String::from("setup \"alder/drawn\" format=1 {\nmeasured \"2031-05-01\"\n");
    top.write(&mut text);
    text.push_str("}\n");
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(read.findings.is_empty(), "{:?}\n{text}", read.findings);
    read.setup.unwrap()
}
