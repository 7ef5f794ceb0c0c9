//! THE LIST of what `check` can find: each entry with its code, severity, meaning and remedy.
//!
//! Each code has an example file of the same name under `tests/examples`, and its page is generated from here.

use serde::Serialize;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Unsafe, impossible or contradictory.
    Fault,
    /// Worth stopping for.
    Caution,
    /// A statement of consequence.
    Advice,
}

impl Severity {
    /// The word on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Fault => "fault",
            Severity::Caution => "caution",
            Severity::Advice => "advice",
        }
    }
}

/// One kind of finding.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// The word by which it is known, in the output and in `--json`.
    pub name: &'static str,
    /// How bad.
    pub severity: Severity,
    /// Whether `accept` sets it aside where it is no fault. Damage and what is amiss in the file are said until they are
    /// gone; an accepted caution is still told, with its reason.
    pub acceptable: bool,
    /// Whether nobody is to ride so: who is told is to act, however bad it is for the file, and such a reading does not
    /// become what a bike goes back to unless that is asked for.
    pub unridable: bool,
    /// Whether it may be meant, though nobody is to ride with it unawares: then an `accept` with the reason settles it.
    pub meant: bool,
    /// What it means, one sentence.
    pub meaning: &'static str,
    /// What to do about it, one sentence.
    pub remedy: &'static str,
}

/// `standing` behind a code's word: nobody can accept it.
macro_rules! acceptable {
    () => {
        true
    };
    (standing $($rest:ident)*) => {
        false
    };
    ($other:ident $($rest:ident)*) => {
        acceptable!($($rest)*)
    };
}

/// `unridable` behind a code's word: nobody is to ride so.
macro_rules! unridable {
    () => {
        false
    };
    (unridable $($rest:ident)*) => {
        true
    };
    ($other:ident $($rest:ident)*) => {
        unridable!($($rest)*)
    };
}

/// `meant` behind a code's word: whoever knows of it may ride so.
macro_rules! meant {
    () => {
        false
    };
    (meant $($rest:ident)*) => {
        true
    };
    ($other:ident $($rest:ident)*) => {
        meant!($($rest)*)
    };
}

macro_rules! codes {
    ($($name:ident = $severity:ident $word:literal $($mark:ident)*, $meaning:literal, $remedy:literal;)*) => {
        $(
            #[doc = $meaning]
            pub static $name: Code = Code {
                name: $word,
                severity: Severity::$severity,
                acceptable: acceptable!($($mark)*),
                unridable: unridable!($($mark)*),
                meant: meant!($($mark)*),
                meaning: $meaning,
                remedy: $remedy,
            };
        )*
        /// Every code, in the order of the page about them.
        pub static CODES: &[&Code] = &[$(&$name),*];
    };
}

codes! {
    // Reading the text.
    TOO_LARGE = Fault "too-large", "The file is larger than 1 MiB.", "A setup is a few kilobytes: check that this is the right file.";
    TOO_DEEP = Fault "too-deep", "Blocks are nested more than 64 deep.", "A setup needs four levels: look for braces that were never closed.";
    NOT_UTF8 = Fault "not-utf8", "The text is not UTF-8.", "Save the file as UTF-8.";
    BARE_DATE = Fault "bare-date", "A date is written without quotes.", "Put the date in double quotes: \"2026-05-02\".";
    UNIT_GLUED = Fault "unit-glued", "A unit is glued to its number.", "Write the unit before the number in parentheses: (mm)780.";
    UNCLOSED = Fault "unclosed", "A block, a text or a parenthesis is opened and never closed.", "Close it where it ends.";
    UNMATCHED = Fault "unmatched", "A closing brace closes nothing.", "Remove it, or open the block it should close.";
    SYNTAX = Fault "syntax", "The line does not follow the file's grammar.", "Compare the line with a working one.";
    // Reading the setup.
    NOT_A_SETUP = Fault "not-a-setup", "The file holds no `setup` and no `found` node.", "Begin the file with: setup \"name\" format=1 { … }.";
    FORMAT_VERSION = Fault "format-version", "The file's format is not one this program reads.", "Write format=1, or use the program that wrote the file.";
    UNKNOWN_WORD = Fault "unknown-word", "A node or a property is not known here.", "Use the word from the format's list; nothing is ignored silently.";
    UNKNOWN_UNIT = Fault "unknown-unit", "The unit is not known.", "Use one of mm cm m in, deg rad, N-m in-lb ft-lb kgf-cm, bar psi kPa.";
    WRONG_UNIT = Fault "wrong-unit", "The unit is of another kind than the measure.", "Give the value in a unit of the right kind.";
    UNKNOWN_INSTRUMENT = Fault "unknown-instrument", "`with=` names an instrument that the file does not define.", "Add it under `instruments`, or name one that is there.";
    UNFIT_INSTRUMENT = Fault "unfit-instrument", "`with=` names an instrument that cannot take this figure.", "A torque wrench goes with `applied`, every other instrument with the measures.";
    UNKNOWN_JOINT = Fault "unknown-joint", "The joint is not one a bike has.", "Use a joint from the format's list.";
    UNKNOWN_CHOICE = Fault "unknown-choice", "The value is not one of the words this measure takes.", "Use one of the listed words.";
    NOT_A_NUMBER = Fault "not-a-number", "A number is expected here.", "Write a plain number such as 168.5, or the word unmeasured.";
    NOT_A_TEXT = Fault "not-a-text", "A text is expected here.", "Write it in double quotes.";
    EMPTY_TEXT = Fault "empty-text", "A name, a reason or what was seen is empty, or still the … of a sheet to fill in.", "Write it between the quotes.";
    OUT_OF_PLACE = Caution "out-of-place" standing, "This belongs in the other kind of file: a setup records, an as-found sheet tells what was found.", "Move it there, or take it out.";
    NO_VALUE = Fault "no-value", "A measure is named but has no value.", "Write the value after the word, or the word unmeasured.";
    TOO_MANY_VALUES = Fault "too-many-values", "There are more values than this takes.", "Leave one value.";
    MIXED_UNITS = Fault "mixed-units", "Some of the repeated readings carry a unit and some do not, or they differ.", "Write the same unit before each of them.";
    DUPLICATE_MEASURE = Fault "duplicate-measure", "The same measure is recorded twice.", "Keep one; write repeated readings as several values of one measure.";
    DUPLICATE_PROPERTY = Fault "duplicate-property", "The same property stands twice on one node.", "Keep one.";
    DUPLICATE_PART = Fault "duplicate-part", "The same group stands twice.", "Join the two groups into one.";
    OFF_SPAN = Fault "off-span", "The value lies outside what this measure can be.", "Measure again; check the unit and which way is positive.";
    BAD_TOLERANCE = Fault "bad-tolerance", "The tolerance is not a positive number.", "Write half the width of the reading, for instance tol=0.5; counts alone take 0.";
    BAD_DATE = Fault "bad-date", "The date is not a day of the calendar.", "Write year-month-day in quotes: \"2026-05-02\".";
    MISSING_MEASURE = Caution "missing-measure", "A measure that the grip points need is missing.", "Measure it; until then the grip points cannot be computed.";
    CONTROL_WITHOUT_PLACE = Fault "control-without-place", "A control has neither a place along the bar nor a shared clamp.", "Give from-tip, or mount shared slot=….";
    BEND_TOO_WIDE = Fault "bend-too-wide", "The bend begins further out than the bar's end.", "Measure `bend` from the bar's middle; it is less than half the width.";
    BEND_AGAINST_SETBACK = Caution "bend-against-setback", "Where the bar bends and how far back its end lies contradict one another, and one of them alone is counted with: the setback.", "Measure both again, or write down the one of which you are sure and take the other out.";
    SADDLE_IMPOSSIBLE = Fault "saddle-impossible", "The saddle's setback is not smaller than its height.", "Measure both to the middle of the saddle's top.";
    STEM_TOO_SHORT = Fault "stem-too-short", "The bar and the steerer would stand inside one another.", "Measure the stem from the steerer's centre to the bar's centre, and both diameters.";
    SLOT_WITHOUT_SHARED = Fault "slot-without-shared", "A slot is named but the clamp is not shared, or it is shared and no lever is there to share it with.", "Write mount shared slot=… beside a brake lever, or mount own.";
    SHARED_WITH_PLACE = Fault "shared-with-place", "A control on the brake lever's clamp is given a place along the bar of its own.", "Take `from-tip` out, or write mount own.";
    CONTROL_INSIDE_GRIP = Fault "control-inside-grip", "A control's clamp would sit inside the grip.", "Measure `from-tip` to the clamp's outboard face, and the grip from the bar's end to its inner collar.";
    BAR_TOO_NARROW = Fault "bar-too-narrow", "A grip or a control's clamp would reach into the stem: the bar is too narrow for what is on it (a clamp at least 8 mm wide and a stem at least 40 mm, both common practice, no source).", "Measure the width end to end and `from-tip` from the bar's own end; a bar cut so far holds no more than fits on it.";
    CLAMP_IN_BEND = Caution "clamp-in-bend", "A grip or a control's clamp (at least 8 mm wide: common practice, no source) would reach into the bar's bend, where the bar is neither straight nor everywhere as thick as a clamp needs.", "Do not tighten a clamp there: move it outboard, or measure `bend` again.";
    HAND_OFF_GRIP = Caution "hand-off-grip", "The middle of the hand lies further in than the grip reaches.", "Measure both along the bar from its end: the hand where you hold, the grip to its inner collar.";
    CLAMPS_OVERLAP = Caution "clamps-overlap", "Two clamps on one side begin nearer to one another than a clamp is wide (at least 8 mm: common practice, no source).", "Measure both from the bar's end to the clamp's outboard face; a control on the lever's own clamp is mount shared.";
    BAR_WIDER_THAN_SUPPLIED = Fault "bar-wider-than-supplied", "The bar is wider than it was supplied, and no saw adds to it.", "Measure again; a wider bar is another bar, with a rise, sweeps and a bend of its own.";
    NO_DATE = Caution "no-date", "The file does not say when it was measured.", "Add measured \"year-month-day\" so that old readings can be told from new.";
    DATE_AHEAD = Caution "date-ahead" standing, "A day is yet to come: nobody has read, drawn or tightened anything on it.", "Write the day on which it was done; if the day is right, set this computer's clock.";
    NAME_DIFFERS = Caution "name-differs", "The name in the file differs from the file's place.", "Change the name, or move the file.";
    STEM_TWISTED = Caution "stem-twisted" unridable, "The bar is more than 5° out of square to the front wheel (common practice, no source).", "Do not ride so: loosen the stem on the steerer, set the bar square to the wheel, and tighten within the range.";
    STEM_NOT_SQUARE = Caution "stem-not-square", "The bar is out of square to the front wheel, beyond reading and by more than 1° (common practice, no source).", "Set it square: loosen the stem on the steerer, line bar and wheel up, and tighten within the range.";
    LEVER_ANGLE_WILD = Caution "lever-angle-wild" unridable, "A brake lever stands further up or down than anybody rides it: above level, or more than 70° below it (common practice, no source).", "Measure again; set the lever so that a finger lies on it without the wrist bending, and try the brakes at walking pace first.";
    FINGER_BEYOND_BLADE = Caution "finger-beyond-blade", "The finger lies beyond the blade's end.", "Measure both from the pivot.";
    REPEATS_DISAGREE = Caution "repeats-disagree", "Repeated readings of one measure lie further apart than their tolerance explains.", "Measure again: one of them is a slip, and their mean is no reading.";
    BITE_AT_GRIP = Fault "bite-at-grip" unridable, "The lever reaches the grip before the brake bites, or so near to it that the reading cannot tell.", "Do not ride: worn pads, air or a leak are behind it and no adjuster makes up for them; have a qualified mechanic look.";
    BITE_NEAR_GRIP = Caution "bite-near-grip" unridable, "The brake bites less than 10 mm from the grip (common practice, no source): a little more wear, heat or air, and its lever is at the grip.", "Do not ride so: worn pads, air or a leak are behind it and no adjuster makes up for them; have a qualified mechanic look.";
    BITE_AT_KNUCKLES = Caution "bite-at-knuckles", "The brake bites less than 20 mm from the grip (common practice, no source), where the knuckles of the fingers that stay on it are.", "Pull it as you ride and see: if the blade meets a knuckle first, move the lever inboard until it clears them; a bite that has come nearer is worn pads, air or a leak, for a qualified mechanic.";
    BITE_BEYOND_REACH = Caution "bite-beyond-reach", "The brake bites further out than the lever stands at rest.", "Measure both from the grip's surface.";
    UNMEASURED = Advice "unmeasured", "The measure matters here and is not known yet.", "Measure it when there is time.";
    UNRESOLVED_CONFLICT = Fault "unresolved-conflict", "A merge left two versions of one thing side by side.", "Measure if in doubt, then keep what stands between { } of one of the two in place of the whole `conflict`.";
    DUPLICATE_NAME = Fault "duplicate-name", "Two marks, hoses, torques, guards or instruments carry the same name.", "Give each its own name.";
    TORQUE_SINGLE_FIGURE = Fault "torque-single-figure", "A torque is a single figure.", "Give the range, from and to: the part maker's figure and what it may fall to.";
    TORQUE_INVERTED = Fault "torque-inverted", "A torque range runs from high to low.", "Write the lower figure first.";
    TORQUE_OFF_SPAN = Fault "torque-off-span", "A torque is not positive or beyond anything on a bicycle.", "Check the figure and its unit.";
    RIDER_LENGTHS = Caution "rider-lengths", "A length of the rider's body does not go with the stature, so that the arm line is nobody's.", "Measure both again, as the format's reference says from where to where.";
    // Witness marks.
    MARK_WITHOUT_JOINT = Caution "mark-without-joint", "A mark is on a joint that this bike does not have.", "Name the joint it crosses; a control on a shared clamp is held by `SIDE.brake-lever`.";
    STALE_MARK = Caution "stale-mark", "A mark was drawn at another position than the recorded one.", "Draw it again at the recorded position and write the new one under `drawn`; until then it is no evidence.";
    READ_BEFORE_ROLL = Caution "read-before-roll", "Angles of levers or other controls were read before the bar was rolled, and not again: by their days, or by a line that was drawn at such a figure and at another roll.", "Read them again on the bar as it stands, brakes first, and write them with their day (read=…). Until then set nothing by the old figures alone.";
    POSITION_WITHOUT_MARK = Advice "position-without-mark", "A joint that is opened for travel has no mark.", "Draw a fine line across the joint and record it: mark \"…\" on=\"…\" { drawn … }.";
    // Damage.
    DAMAGE_ELSEWHERE = Caution "damage-elsewhere", "Damage is told on what is no part and no joint of a bike, so it stops all work and not that of one joint, and is not recorded from a sheet.", "Begin with a part or a joint; what more there is to say of the place goes behind it.";
    DAMAGE_NOTED = Caution "damage-noted" standing unridable, "A note tells of damage that was found on a part.", "Do not ride until the part is replaced or a qualified mechanic has passed it; then take the note out.";
    NOT_TO_RIDE_NOTED = Caution "not-to-ride-noted" standing unridable, "A note that begins with \"do not ride:\" tells why the bike is not to be ridden as it is recorded; `try --write` and `carry --write` leave one where the pile on the steerer cannot be ridden.", "Put right what it names before anybody rides; then take the note out.";
    // Torque.
    OPENED_NOTED = Caution "opened-noted" standing, "A note tells that a joint was opened, and nobody has said since how it was tightened; `try --write` and `carry --write` leave one on each joint that is opened for what they plan.", "Tighten it within the maker's range before riding, and record what was applied with its day; or take the note out if it is known to be tight.";
    TORQUE_NO_RANGE = Fault "torque-no-range", "Another part of the joint allows less than the range begins with.", "Do not tighten: ask both makers, or fit parts that agree.";
    RANGE_OF_THE_OLD_PART = Caution "range-of-the-old-part" standing, "A caution at a torque says that its limits are those of a part that was replaced.", "Write the new part maker's figures, then delete that caution's line.";
    TORQUE_APPLIED_ABOVE = Fault "torque-applied-above", "The torque last applied lies above the allowed range.", "Loosen, look the clamped parts over, and tighten within the range.";
    TORQUE_APPLIED_BELOW = Caution "torque-applied-below", "The torque last applied lies below the allowed range.", "Tighten within the range before riding, or record of this very joint, by `on=` with its whole name, why its clamp may turn; below half of where the range begins that settles nothing.";
    TORQUE_WITHOUT_CAUTION = Fault "torque-without-caution", "A torque stands without its caution.", "Add caution \"…\": what to mind at this joint.";
    TORQUE_CARBON = Caution "torque-carbon", "A clamp on carbon has no caution that mentions carbon.", "Add a caution on the carbon part: inspect it, paste, never above the limit.";
    TORQUE_PRELOAD_HIGH = Caution "torque-preload-high", "The bolt is drawn above 75 % of its proof load.", "Check thread, class and whether the bolt is greased; stay low in the range.";
    TORQUE_PRELOAD_BEYOND = Fault "torque-preload-beyond", "The bolt is drawn above its proof load.", "Check thread, class and torque: the bolt would stretch for good.";
    TORQUE_MISSING = Caution "torque-missing", "A joint that holds the steering or a brake has its position recorded and no torque.", "Add torque \"joint\" from to { caution \"…\" } from the maker's figures.";
    TORQUE_SLIPS = Fault "torque-slips", "A joint that must never turn is said to slip in a crash.", "Only clamps of levers, shifters and remotes may; remove slips-in-a-crash.";
    TORQUE_BOLT_UNKNOWN = Advice "torque-bolt-unknown", "The bolt's thread or class is not in the table, so nothing is said of its preload.", "The table knows M4, M5, M6 and M8 in 8.8, 10.9 and 12.9.";
    TORQUE_WRENCH_DEVIATION = Caution "torque-wrench-deviation", "The wrench deviates too much for so narrow a range.", "Use a finer wrench: no setting of this one keeps the true torque inside.";
    TORQUE_WRENCH_RANGE = Caution "torque-wrench-range", "The settings lie outside the wrench's own range.", "Use a wrench whose scale covers them.";
    TORQUE_APPLIED_WITH = Caution "torque-applied-with", "The torque last applied is a setting that the wrench does not have.", "Check the figure, or which wrench it was.";
    // Acknowledgements.
    ACCEPT_FAULT = Caution "accept-fault" standing, "What is accepted cannot be: a fault, damage, or what stands in the wrong kind of file.", "Remove the `accept` and mend what it names.";
    ACCEPT_UNUSED = Advice "accept-unused", "What is accepted is not found in this file.", "Remove the `accept`.";
    // Turning the bars.
    CONTROL_MEETS_TUBE = Caution "control-meets-tube", "A control meets the top tube before the bars are stopped; a fault where the frame or the bar is carbon.", "Turn the control up or further out on the bar, raise the bar, or fit a stop or a guard.";
    TOO_CLOSE_TO_CALL = Caution "too-close-to-call", "A clearance or a hose's slack is smaller than its own uncertainty: too close to call.", "Turn the bars by hand and look, or measure again with finer instruments.";
    HOSE_TIGHT = Fault "hose-tight" unridable, "A hose goes tight within the turn: it limits the steering.", "Fit a longer hose or lead it another way; do not ride until the bars turn freely.";
    HOSE_TIGHT_STRAIGHT = Fault "hose-tight-straight-ahead" unridable, "A hose is too short for its ends already with the bars straight.", "Check free length and both ends; if they are right, the hose is too short to ride with.";
    HOSE_BEND = Caution "hose-bend", "A hose bends tighter than its maker allows, even in the kindest shape it could take.", "Lead it in a wider curve, or move one of its ends.";
    HOSE_BOW = Advice "hose-bow", "A hose bows at least 40 mm further than it would with 30 mm to spare at its tightest (common practice, no source).", "Shorten it when it is next opened: a wide bow catches on branches and hands.";
    STOP_NARROW = Advice "stop-narrow", "The frame stops the bars before 60° of free turn, which ISO 4210-2, 4.7.5, asks of each side (the figure for mountain bicycles is from memory).", "Check the reading; if it holds, know that the bike turns less than the standard asks.";
    // Advice: what a choice suits and costs.
    WIDE_BAR = Advice "wide-bar", "The bar is wider than usual (800 mm), or more than 30 mm wider than goes with the rider's stature: 0.44 of it, no less than 720 and no more than 800 mm (all common practice, no source).", "Hold it further in for a ride before you saw anything off; keep it if it suits.";
    NARROW_BAR = Advice "narrow-bar", "The bar is narrower than usual (720 mm), or more than 30 mm narrower than goes with the rider's stature: 0.44 of it, no less than 720 and no more than 800 mm (all common practice, no source).", "Ride it and keep it if it suits.";
    SHORT_STEM = Advice "short-stem", "The stem is more than 20 mm shorter than the one the bike was sold with.", "Try one between the two, one change at a time.";
    LONG_STEM = Advice "long-stem", "The stem is longer than trail stems usually are.", "Try one 10 to 20 mm shorter, one change at a time.";
    SHARED_CLAMP = Advice "shared-clamp", "A control shares the brake lever's clamp.", "Set the lever first; if the control then sits badly, give it a clamp of its own.";
    LOW_CONTROL = Advice "low-control", "A control hangs low on a short cockpit.", "Turn it up a little, or mind loose shorts.";
    BLADE_OVER_FINGERS = Advice "blade-over-fingers", "The brake's blade reaches over the fingers that stay on the grip.", "Move the lever inboard until the blade clears the other knuckles and the finger lies at its end.";
    KNEE_NEAR_COMPUTER = Advice "knee-near-computer", "Out of the saddle the knee comes within 30 mm of the computer's rear edge, measured level (common practice, no source).", "Have the bike held, stand on the pedals as on a climb and look; if the knee comes near, move the computer ahead of the bar.";
    FRONT_BRAKE_HAND = Caution "front-brake-hand" unridable meant, "A brake hose leaves the lever that the rider takes for the other brake.", "Find out which lever stops which wheel before anybody rides; local law decides the side of the front brake. If it is meant, accept it with the reason.";
    FRONT_BRAKE_DIFFERS = Caution "front-brake-differs", "Two setups of one bike have the front brake on different hands.", "Find out which lever stops which wheel before anybody rides, and put right the setup that is wrong. If the brakes were swapped between the two, accept it in both with the reason.";
    NO_GUARD = Advice "no-guard", "Hoses run to the frame and no guard is recorded on the side where they enter.", "Turn the bars to full lock; where a hose rubs the head tube put a clear patch and record it as guard.";
    SIDES_DIFFER = Advice "sides-differ", "Left and right stand further apart than reading explains.", "Keep it if it is meant, and accept it with the reason; else set the one side as the other.";
    GRIPS_FAR_ABOVE_SADDLE = Caution "grips-far-above-saddle", "The grips stand higher above the saddle than the published standard allows.", "Measure saddle and stack again; then lower the bar.";
    LEVER_FAR_FROM_GRIP = Caution "lever-far-from-grip", "The brake lever stands further from the grip than the published standard's bound.", "Turn the reach adjuster in until the finger lies on the blade without stretching.";
}

impl Code {
    /// Whether it keeps everybody from riding even where a file accepts it: a reason makes nothing safer.
    pub fn stands_though_accepted(&self) -> bool {
        self.unridable && !self.meant
    }
}

/// The code of that name.
pub fn find(name: &str) -> Option<&'static Code> {
    CODES.iter().copied().find(|code| code.name == name)
}
