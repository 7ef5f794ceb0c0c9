//! What one row of the table says about one measure, and the builders the table is written with.
//!
//! Knows the trade's words and units; refuses to know files, revisions or arithmetic.

use serde::Serialize;

use crate::metrology::unit::Unit;

/// How much it matters when a measure moves; the dangerous ones are shown first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Steering or brakes: can kill.
    SteeringAndBrakes,
    /// Felt at once, changes how the bike steers, stops or lands.
    Handling,
    /// Felt after an hour.
    Comfort,
    /// A figure of the part or the rider, kept for the computation.
    Record,
}

/// What has to be loosened, or turned, before the measure can change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeldBy {
    /// Nothing: a figure of the frame, of a part's shape or of the rider. It can only be read again.
    Nothing,
    /// A saw or another part: a bar's width, a hose's length.
    Cutting,
    /// An adjuster that needs no loosened joint: a reach screw, a valve, a knob.
    Adjuster,
    /// The named joint of the list in [`crate::catalogue::joint`]; `SIDE` stands for the measure's own side.
    Joint(&'static str),
    /// The control's own clamp, or the brake lever's when the control shares that clamp.
    Clamp,
}

/// How a measure comes to another value once nothing holds it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangedBy {
    /// Somebody turns, slides or sets it.
    Setting,
    /// It is a figure of the part itself: a joint holds the part, but only another part has another figure.
    AnotherPart,
    /// Somebody fits more or less of it, and takes the joint apart for that: a spacer.
    Refitting,
    /// Nobody sets it: it goes along with the part whose point it is, and tells where that part stands.
    GoingAlong,
}

/// How an angle that is read against gravity is taken to level ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gravity {
    /// Not read against gravity.
    None,
    /// Positive with the tip down: the slope of the floor is added.
    TipDown,
    /// Positive with the nose up: the slope of the floor is taken away.
    NoseUp,
}

/// What an absent measure counts as.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Absent {
    /// Unknown: what depends on it cannot be computed.
    Unknown,
    /// This value, with the row's tolerance, and said so under `assumed`.
    Counts(f64),
}

/// What a measure's value is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A number with a unit and an accepted span, both in the row's default unit.
    Reading {
        /// The default unit.
        unit: Unit,
        /// Lowest accepted value.
        low: f64,
        /// Highest accepted value.
        high: f64,
        /// Half-width of a reading when neither `tol` nor an instrument says otherwise.
        tolerance: f64,
    },
    /// One of the listed words.
    Choice(&'static [&'static str]),
}

/// Where the value stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// As the value of the node named by the last word of the path.
    Node,
    /// As the property named by the last word, on the node named by the word before it.
    Property,
}

/// One row of the table: everything the program knows about a measure.
#[derive(Clone, Debug)]
pub struct Measure {
    /// `SIDE.brake-lever.from-tip`: `SIDE` stands for left or right, `NAME` for a given name, `N` for the
    /// first, second … node of that name.
    pub path: &'static str,
    /// Number or choice.
    pub kind: Kind,
    /// Node or property.
    pub shape: Shape,
    /// What a change of it can do.
    pub weight: Weight,
    /// Whether it is the brakes that a change of it spoils: of what is dangerous they are shown first.
    pub brakes: bool,
    /// What is always said where a change of it is told.
    pub caution: Option<&'static str>,
    /// What is said where it got less.
    pub caution_of_less: Option<&'static str>,
    /// What holds it.
    pub held_by: HeldBy,
    /// How it comes to another value.
    pub changed_by: ChangedBy,
    /// Whether the floor enters.
    pub gravity: Gravity,
    /// Beyond this, to either side of 0, a number is taken to have been meant for something else, and is asked again.
    pub doubted_beyond: Option<f64>,
    /// What its absence means.
    pub absent: Absent,
    /// The measure in plain words, without its side: "lever angle".
    pub title: &'static str,
    /// How to measure it, one sentence.
    pub how: &'static str,
    /// The word for a larger value: "inboard", "tip down".
    pub more: &'static str,
    /// The word for a smaller value.
    pub less: &'static str,
    /// The instrument a fresh setup file suggests for it, if not the rule.
    pub instrument: Option<&'static str>,
    /// A value a fresh setup file may suggest as an illustration.
    pub example: &'static str,
    /// The published standard that gives the accepted span, if one does.
    pub standard: Option<&'static str>,
}

impl Measure {
    /// The row's default unit; choices have none and give [`Unit::One`].
    pub fn unit(&self) -> Unit {
        match self.kind {
            Kind::Reading { unit, .. } => unit,
            Kind::Choice(_) => Unit::One,
        }
    }

    /// The row's default half-width, in its default unit.
    pub fn tolerance(&self) -> f64 {
        match self.kind {
            Kind::Reading { tolerance, .. } => tolerance,
            Kind::Choice(_) => 0.0,
        }
    }

    /// The last word of the path: the node or property a person types.
    pub fn word(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// The part it is told of, by its group: the first word of the path behind its side.
    pub fn part(&self) -> &'static str {
        let below = self.path.strip_prefix("SIDE.").unwrap_or(self.path);
        below.split('.').next().unwrap_or(below)
    }

    /// Whether a bike has it on both sides.
    pub fn is_sided(&self) -> bool {
        self.path.starts_with("SIDE.")
    }

    /// Whether the part can be in another position at all. What cannot move can only be read again.
    pub fn can_move(&self) -> bool {
        self.held_by != HeldBy::Nothing || self.goes_along()
    }

    /// Whether it is a figure of the part itself: no turn of it changes the figure, only another part does.
    pub fn is_of_the_part(&self) -> bool {
        self.changed_by == ChangedBy::AnotherPart
    }

    /// Whether the joint that holds it has to come apart before it can be otherwise.
    pub fn comes_apart(&self) -> bool {
        matches!(self.changed_by, ChangedBy::AnotherPart | ChangedBy::Refitting)
    }

    /// Whether it goes along with a part that is set by other measures.
    pub fn goes_along(&self) -> bool {
        self.changed_by == ChangedBy::GoingAlong
    }

    /// Whether a person can bring it to another number, by setting it or by fitting another part: not a figure of the
    /// frame, and not a point that goes along with its part.
    pub fn can_give_way(&self) -> bool {
        let is_number = matches!(self.kind, Kind::Reading { .. });
        is_number && self.held_by != HeldBy::Nothing && !self.goes_along()
    }

    /// The word for a change of the given sign: "tip down" for more, "tip up" for less.
    pub fn direction(&self, delta: f64) -> &'static str {
        if delta < 0.0 { self.less } else { self.more }
    }

    const fn base(path: &'static str, kind: Kind) -> Self {
        Measure {
            path,
            kind,
            shape: Shape::Node,
            weight: Weight::Record,
            brakes: false,
            caution: None,
            caution_of_less: None,
            held_by: HeldBy::Nothing,
            changed_by: ChangedBy::Setting,
            gravity: Gravity::None,
            doubted_beyond: None,
            absent: Absent::Unknown,
            title: "",
            how: "",
            more: "more",
            less: "less",
            instrument: None,
            example: "",
            standard: None,
        }
    }

    /// A length in millimetres.
    pub const fn length(path: &'static str, low: f64, high: f64, tolerance: f64) -> Self {
        Self::base(path, Kind::Reading { unit: Unit::Millimetre, low, high, tolerance })
            .moves("longer", "shorter")
    }

    /// An angle in degrees.
    pub const fn angle(path: &'static str, low: f64, high: f64, tolerance: f64) -> Self {
        Self::base(path, Kind::Reading { unit: Unit::Degree, low, high, tolerance })
            .moves("steeper", "flatter")
    }

    /// A ratio of two lengths.
    pub const fn ratio(path: &'static str, low: f64, high: f64, tolerance: f64) -> Self {
        Self::base(path, Kind::Reading { unit: Unit::One, low, high, tolerance })
    }

    /// A pressure, psi unless annotated.
    pub const fn pressure(path: &'static str, low: f64, high: f64, tolerance: f64) -> Self {
        Self::base(path, Kind::Reading { unit: Unit::Psi, low, high, tolerance })
            .moves("harder", "softer")
            .adjusted(Weight::Handling)
            .by("gauge")
    }

    /// Clicks counted from fully closed.
    pub const fn clicks(path: &'static str, high: f64) -> Self {
        Self::base(path, Kind::Reading { unit: Unit::Click, low: 0.0, high, tolerance: 0.0 })
            .moves("more open", "more closed")
            .adjusted(Weight::Handling)
    }

    /// One of a few words.
    pub const fn choice(path: &'static str, words: &'static [&'static str]) -> Self {
        Self::base(path, Kind::Choice(words))
    }

    /// Sets the plain title and how to measure.
    pub const fn says(mut self, title: &'static str, how: &'static str) -> Self {
        self.title = title;
        self.how = how;
        self
    }

    /// Sets the words for more and less.
    pub const fn moves(mut self, more: &'static str, less: &'static str) -> Self {
        self.more = more;
        self.less = less;
        self
    }

    /// Held by this joint, with this weight.
    pub const fn held(mut self, joint: &'static str, weight: Weight) -> Self {
        self.held_by = HeldBy::Joint(joint);
        self.weight = weight;
        self
    }

    /// Held by the control's own clamp or the one it shares.
    pub const fn clamped(mut self, weight: Weight) -> Self {
        self.held_by = HeldBy::Clamp;
        self.weight = weight;
        self
    }

    /// Set by an adjuster.
    pub const fn adjusted(mut self, weight: Weight) -> Self {
        self.held_by = HeldBy::Adjuster;
        self.weight = weight;
        self
    }

    /// Changed only by cutting or by another part.
    pub const fn cut(mut self, weight: Weight) -> Self {
        self.held_by = HeldBy::Cutting;
        self.weight = weight;
        self
    }

    /// A figure that cannot move but matters all the same.
    pub const fn weighs(mut self, weight: Weight) -> Self {
        self.weight = weight;
        self
    }

    /// A figure of the part itself.
    pub const fn of_the_part(mut self) -> Self {
        self.changed_by = ChangedBy::AnotherPart;
        self
    }

    /// Something put in or left out where the joint that holds it is apart.
    pub const fn refitted(mut self) -> Self {
        self.changed_by = ChangedBy::Refitting;
        self
    }

    /// A point of a part, which goes along with it.
    pub const fn going_along(mut self) -> Self {
        self.changed_by = ChangedBy::GoingAlong;
        self
    }

    /// It is the brakes that a change of it spoils.
    pub const fn brakes(mut self) -> Self {
        self.brakes = true;
        self
    }

    /// What is always said where a change of it is told.
    pub const fn warns(mut self, caution: &'static str) -> Self {
        self.caution = Some(caution);
        self
    }

    /// What is said where it got less.
    pub const fn warns_of_less(mut self, caution: &'static str) -> Self {
        self.caution_of_less = Some(caution);
        self
    }

    /// What is said where it changed by so much; nothing is known of how much a word changed.
    pub fn caution_at(&self, delta: Option<f64>) -> Option<&'static str> {
        self.caution.or(self.caution_of_less.filter(|_| delta.is_some_and(|delta| delta < 0.0)))
    }

    /// Absent counts as this value.
    pub const fn absent_counts(mut self, value: f64) -> Self {
        self.absent = Absent::Counts(value);
        self
    }

    /// Read against gravity.
    pub const fn against_gravity(mut self, gravity: Gravity) -> Self {
        self.gravity = gravity;
        self
    }

    /// Beyond this a number is asked again, in the row's default unit.
    pub const fn doubted_beyond(mut self, furthest: f64) -> Self {
        self.doubted_beyond = Some(furthest);
        self
    }

    /// Stands as a property of the node before it in the path.
    pub const fn property(mut self) -> Self {
        self.shape = Shape::Property;
        self
    }

    /// The instrument a fresh file suggests.
    pub const fn by(mut self, instrument: &'static str) -> Self {
        self.instrument = Some(instrument);
        self
    }

    /// The accepted span is that of a published standard.
    pub const fn bounded_by(mut self, standard: &'static str) -> Self {
        self.standard = Some(standard);
        self
    }

    /// The illustration a fresh file gives.
    pub const fn such_as(mut self, example: &'static str) -> Self {
        self.example = example;
        self
    }
}
