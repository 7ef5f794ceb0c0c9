//! The words of the format that are not measures: what may stand at the top of a file, and inside what.

/// One such word.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// The node.
    pub name: &'static str,
    /// How it is written.
    pub form: &'static str,
    /// The properties it takes.
    pub properties: &'static [&'static str],
    /// The words it takes inside.
    pub children: &'static [&'static str],
    /// What it is for.
    pub says: &'static str,
}

/// Properties that every measure takes.
pub static READING_PROPERTIES: &[&str] = &["tol", "with", "read"];

/// When the file was measured.
pub static MEASURED: Word = Word {
    name: "measured",
    form: "measured \"2026-05-02\" by=\"own stand\"",
    properties: &["by"],
    children: &[],
    says: "When the readings were taken, and by whom or on what.",
};
/// What the setup is for.
pub static PURPOSE: Word = Word {
    name: "purpose",
    form: "purpose \"…\"",
    properties: &[],
    children: &[],
    says: "What the setup is for.",
};
/// The instruments of the file.
pub static INSTRUMENTS: Word = Word {
    name: "instruments",
    form: "instruments { rule tol=0.5 }",
    properties: &[],
    children: &[],
    says: "The instruments and the half-width of their readings; `with=` names one.",
};
/// One instrument.
pub static INSTRUMENT: Word = Word {
    name: "(an instrument's name)",
    form: "caliper tol=0.1",
    properties: &["tol", "tol-percent", "low", "high"],
    children: &[],
    says: "An instrument; tol is half the width of its readings, in the default unit of whatever it measures. \
           A torque wrench: tol-percent=6 low=2 high=14, its permitted deviation and its own range in N·m.",
};
/// A protective patch.
pub static GUARD: Word = Word {
    name: "guard",
    form: "guard \"head tube, left\" { note \"…\" }",
    properties: &[],
    children: &["note"],
    says: "A protective patch where a hose or cable would rub. `left` or `right` in its place says on which side.",
};
/// A torque range.
pub static TORQUE: Word = Word {
    name: "torque",
    form: "torque \"stem-face\" 4 5 tool=\"4 mm hex\" { caution \"…\" }",
    properties: &["tool", "thread", "class", "k"],
    children: &["ceiling", "slips-in-a-crash", "applied", "caution", "note"],
    says: "The torque range of a joint, from and to, in N·m unless annotated, always with its caution.",
};
/// The limit of another part.
pub static CEILING: Word = Word {
    name: "ceiling",
    form: "ceiling \"bar\" 5",
    properties: &[],
    children: &[],
    says: "The limit of another part in the same joint; the lower limit holds.",
};
/// A clamp meant to turn in a crash.
pub static SLIPS: Word = Word {
    name: "slips-in-a-crash",
    form: "slips-in-a-crash",
    properties: &[],
    children: &[],
    says: "The clamp is meant to turn in a crash, and never under braking.",
};
/// What was last applied.
pub static APPLIED: Word = Word {
    name: "applied",
    form: "applied 2.8 read=\"2026-05-02\" with=wrench",
    properties: &["read", "with"],
    children: &[],
    says: "The torque last applied, when, and with which wrench.",
};
/// A caution.
pub static CAUTION: Word = Word {
    name: "caution",
    form: "caution \"…\"",
    properties: &[],
    children: &[],
    says: "What to mind at this joint.",
};
/// A witness mark.
pub static MARK: Word = Word {
    name: "mark",
    form: "mark \"L1\" on=\"left.brake-lever\" colour=silver { drawn from-tip=168 angle=32; reads \"…\" }",
    properties: &["on", "colour", "width", "off", "read"],
    children: &["drawn", "reads", "note"],
    says: "A witness mark across a joint; on an as-found sheet: aligned, broken, missing, or off= the millimetres between its halves, + if the half on the loosened part has turned tip down (lever, remote), forward (bar) or to the left (stem), - if the other way; there `read=` says when it was found so, if on another day than the sheet's.",
};
/// Where a mark was drawn.
pub static DRAWN: Word = Word {
    name: "drawn",
    form: "drawn from-tip=168 angle=32 roll=0 read=\"2026-05-02\"",
    properties: &["tol", "with", "read"],
    children: &[],
    says: "The positions at which the mark was drawn: properties named as the joint's measures. Beside the angle of a control roll= is the bar's roll on that day: the line lies on the bar, so that it still meets when both roll along. Left out, it is the roll in the file, as long as that is not read on a later day than the line was drawn.",
};
/// What a mark's line meets.
pub static READS: Word = Word {
    name: "reads",
    form: "reads \"…\"",
    properties: &[],
    children: &[],
    says: "What lines up with what.",
};
/// A note.
pub static NOTE: Word = Word {
    name: "note",
    form: "note \"…\"",
    properties: &[],
    children: &[],
    says: "Free text, in any group or at the top. One that begins with `damage:` or `do not ride:`, the day before it or \
           not, is told by `check`, the overview and `restore` until it is taken out. One that begins with `to be fitted:` \
           or `to be compared first:` is told at the steps of `restore`.",
};
/// A damage.
pub static DAMAGE: Word = Word {
    name: "damage",
    form: "damage on=\"bar\" \"scored under the left clamp\"",
    properties: &["on", "read"],
    children: &[],
    says: "Damage found on a part or joint (as-found sheets); `read=` says when, if on another day than the sheet's. It keeps from riding whatever its day.",
};
/// A joint that is apart, or was opened.
pub static OPENED: Word = Word {
    name: "opened",
    form: "opened \"stem-face\"",
    properties: &["read"],
    children: &[],
    says: "A joint that is still apart, or was opened and nobody knows how it was tightened (as-found sheets); `read=` says when it was seen so, if on another day than the sheet's. A torque of an earlier day does not answer it.",
};
/// An acknowledged finding.
pub static ACCEPT: Word = Word {
    name: "accept",
    form: "accept sides-differ \"my left hand is smaller\" on=\"brake-lever.reach\"",
    properties: &["on"],
    children: &[],
    says: "An advice or caution that was read and is accepted, with the reason: it is then told with that, and what it covers now. `on=` keeps it to a measure, a part or a joint (without its side: to both); without `on=` it covers all of that code, whatever the figures. What nobody is to ride with is told everywhere all the same, and faults cannot be accepted.",
};
/// Two versions of one thing, left by a merge.
pub static CONFLICT: Word = Word {
    name: "conflict",
    form: "conflict \"left.brake-lever.angle\" { ours read=\"2026-05-02\" by=\"…\" { angle 32 }; theirs { angle 30 } }",
    properties: &[],
    children: &["ours", "theirs"],
    says: "Left by a merge, in any group: two versions of one thing, each with its day and, where it is of that side's own session, who; keep what stands between { } of one of them in its place.",
};
/// One of the two versions.
pub static CONFLICT_SIDE: Word = Word {
    name: "ours, theirs",
    form: "ours read=\"2026-05-02\" by=\"own stand\" from=\"wet-race\" { angle 32 }",
    properties: &["read", "by", "floor", "from"],
    children: &[],
    says: "One version, word for word, with its day, who, and the branch or commit it is from, and for angles the floor it was read on where the two sides' floors differ; nothing in braces where that side has none. A reading inside has a `read=` of its own where the file is dated otherwise, so that it can be kept as it stands.",
};

/// What may stand at the top of a file beside measures and groups.
pub static TOP: &[&Word] =
    &[&MEASURED, &PURPOSE, &INSTRUMENTS, &GUARD, &TORQUE, &MARK, &NOTE, &DAMAGE, &OPENED, &ACCEPT, &CONFLICT];

/// Every word, for the format's reference.
pub static ALL: &[&Word] = &[
    &MEASURED,
    &PURPOSE,
    &INSTRUMENTS,
    &INSTRUMENT,
    &GUARD,
    &TORQUE,
    &CEILING,
    &SLIPS,
    &APPLIED,
    &CAUTION,
    &MARK,
    &DRAWN,
    &READS,
    &NOTE,
    &DAMAGE,
    &OPENED,
    &ACCEPT,
    &CONFLICT,
    &CONFLICT_SIDE,
];
