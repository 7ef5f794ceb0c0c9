//! THE LIST of what a box of parts may hold. The reader takes no other word, and the format's reference is made from it.

use crate::catalogue::Row;
use crate::catalogue::table::{
    BAR_BACK_SWEEP, BAR_BEND, BAR_CLAMP_DIAMETER, BAR_MATERIAL, BAR_RISE, BAR_ROLL, BAR_SETBACK,
    BAR_SUPPLIED_WIDTH, BAR_UP_SWEEP, BAR_WIDTH, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT, STEM_LENGTH,
};

/// The longest pile on a steerer, mm.
pub const LONGEST_STEERER: f64 = 200.0;
/// More spacers than this of one height are never stacked.
pub const MOST_SPACERS: f64 = 40.0;

/// What a figure of a part takes.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    /// What the measure of a setup takes, in its unit.
    Measure(Row),
    /// mm, from 0.
    UpTo(f64),
    /// A whole number, from 1.
    Count(f64),
}

/// One figure of a part, a property of its node; the height of a spacer is its value.
#[derive(Debug)]
pub struct Figure {
    /// Its word.
    pub name: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// Whether the part cannot do without.
    pub needed: bool,
    /// What it means here, one sentence.
    pub says: &'static str,
}

/// One thing that a box holds.
#[derive(Debug)]
pub struct Thing {
    /// Its word.
    pub name: &'static str,
    /// As it is written.
    pub form: &'static str,
    /// What it is.
    pub says: &'static str,
    /// Its figures.
    pub figures: &'static [Figure],
}

impl Thing {
    /// The words of its properties.
    pub fn properties(&self) -> Vec<&'static str> {
        let is_value = |figure: &&Figure| figure.name != HEIGHT;
        self.figures.iter().filter(is_value).map(|figure| figure.name).collect()
    }
}

/// The spacer's value, which has no word.
pub const HEIGHT: &str = "(value)";

const fn needed(name: &'static str, row: Row, says: &'static str) -> Figure {
    Figure { name, takes: Takes::Measure(row), needed: true, says }
}

const fn optional(name: &'static str, row: Row, says: &'static str) -> Figure {
    Figure { name, takes: Takes::Measure(row), needed: false, says }
}

/// The steerer.
pub static STEERER: Thing = Thing {
    name: "steerer",
    form: "steerer left=75",
    says: "How high everything on the other bike's steerer is together. Left out, it is what stands recorded there.",
    figures: &[Figure {
        name: "left",
        takes: Takes::UpTo(LONGEST_STEERER),
        needed: true,
        says: "From the headset cover to the underside of the top cap: spacers below, the stem's clamp and spacers above \
               together. Of a bare steerer it is what stands above the cover and 2 to 3 mm more, by which the top cap \
               has to clear the steerer's end (common practice, no source).",
    }],
};

/// A stem.
pub static STEM: Thing = Thing {
    name: "stem",
    form: "stem \"short\" length=40 angle=6 clamp-height=40",
    says: "A stem by its name. It may go on either way up.",
    figures: &[
        needed("length", STEM_LENGTH, "As in a setup."),
        needed("angle", STEM_ANGLE, "As it is marked; turned over it has the other sign."),
        needed("clamp-height", STEM_CLAMP_HEIGHT, "As in a setup."),
        optional(
            "clamp-diameter",
            BAR_CLAMP_DIAMETER,
            "The bar it takes; a bar known to be of another is never put in.",
        ),
    ],
};

/// A bar.
pub static BAR: Thing = Thing {
    name: "bar",
    form: "bar \"wide\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90",
    says: "A bar by its name, with `bend` or `setback`.",
    figures: &[
        needed("width", BAR_WIDTH, "As it is now, end to end."),
        optional(
            "supplied-width",
            BAR_SUPPLIED_WIDTH,
            "Of a bar that was cut: rise and setback are those before the saw. Left out, it was not.",
        ),
        needed("rise", BAR_RISE, "As in a setup."),
        needed("back-sweep", BAR_BACK_SWEEP, "As in a setup."),
        needed("up-sweep", BAR_UP_SWEEP, "As in a setup."),
        optional("bend", BAR_BEND, "As in a setup; it is not moved by a saw."),
        optional("setback", BAR_SETBACK, "In place of `bend`."),
        optional(
            "roll-from",
            BAR_ROLL,
            "How far back it may be rolled: −10 if left out (common practice, no source).",
        ),
        optional("roll-to", BAR_ROLL, "How far forward: 10 if left out (common practice, no source)."),
        optional("material", BAR_MATERIAL, "Left out, it is not known."),
        optional("clamp-diameter", BAR_CLAMP_DIAMETER, "Across, in the stem. Left out, it is not known."),
    ],
};

/// Spacers.
pub static SPACER: Thing = Thing {
    name: "spacer",
    form: "spacer 5 count=2",
    says: "Spacers of one height, for below the stem and above it.",
    figures: &[
        Figure {
            name: HEIGHT,
            takes: Takes::Measure(SPACERS_BELOW),
            needed: true,
            says: "The height of each.",
        },
        Figure {
            name: "count",
            takes: Takes::Count(MOST_SPACERS),
            needed: false,
            says: "How many: 1 if left out.",
        },
    ],
};

/// A note.
pub static NOTE: Thing = Thing {
    name: "note",
    form: "note \"the stem is borrowed\"",
    says: "Anything else; it is not read further. One on damage, such as `damage on stem short: cracked at the face`: \
           `carry` then calls every assembly with that part damaged and not to be ridden, and writes none of them unless \
           it is picked. Of the stems and bars it is the one that the note names, else every one of the kind.",
    figures: &[],
};

/// All of them.
pub static THINGS: [&Thing; 5] = [&STEERER, &STEM, &BAR, &SPACER, &NOTE];
