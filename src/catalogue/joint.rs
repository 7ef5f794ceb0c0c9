//! What a joint is, and what is asked of the list of joints.

mod control;
mod list;
mod shows;

use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::measure::Weight;
use super::table::{BAR_MATERIAL, Row};
use super::{Catalogue, MeasureId, Side};
pub use control::{CONTROLS, Control, is_control_angle, left_by};
pub use list::JOINTS;
pub use shows::Shows;

/// What a bike has come back from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Occasion {
    /// Boxed: joints that travel opens, and the tyres.
    Flight,
    /// Ridden by somebody else, who may have crashed and not say so: everything that a person would turn.
    Loan,
}

/// Something to look over, because no figure tells of it.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// The part that comes loose at the joint, where the look is at the part and not at the joint itself.
    part: Option<(&'static str, &'static str)>,
    /// When.
    pub after: &'static [Occasion],
}

impl Look {
    /// At the joint: good is what proves it done.
    const fn itself(after: &'static [Occasion]) -> Look {
        Look { part: None, after }
    }

    /// At a part, and what is so where it is good.
    const fn of(part: &'static str, good: &'static str, after: &'static [Occasion]) -> Look {
        Look { part: Some((part, good)), after }
    }
}

/// A joint taken apart.
#[derive(Clone, Copy, Debug)]
pub struct Apart {
    /// What then is not held, and has to be.
    pub then: &'static str,
    /// In which order it comes apart and together again.
    pub order: &'static str,
    /// What carries the other half of a line across it, where that is free to turn once it is apart.
    pub line_on: Option<FreeHalf>,
}

/// What carries one half of a line and turns freely while the joint is apart.
#[derive(Clone, Copy, Debug)]
pub struct FreeHalf {
    /// Which part: "a spacer or the top cap".
    pub on: &'static str,
    /// When it turned, as a note says it afterwards: "the stem was off or loose".
    pub when: &'static str,
}

/// How firmly a joint has to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grasp {
    /// Whatever happens.
    Firm,
    /// A clamp that may be left just tight enough to turn in a crash.
    MaySlip,
    /// A part that some bikes have without a bolt: where no torque is written it may need none.
    MayHaveNoBolt,
}

/// One clamped or bolted connection.
#[derive(Clone, Debug)]
pub struct Joint {
    /// `SIDE.brake-lever`; `SIDE` stands for left or right.
    pub name: &'static str,
    /// In plain words, without its side.
    pub title: &'static str,
    /// What it does to a rider when it slips.
    pub weight: Weight,
    /// Opened, turned or taken off when the bike is boxed.
    pub opened_for_travel: bool,
    /// What is looked over here, figures apart, when the bike comes back.
    pub looked_over: &'static [Look],
    /// The row that says what the squeezed part is made of, where a clamp can crush it.
    pub squeezes: Option<Row>,
    /// The part, by its group, whose maker gives its range; none where the clamped control or the joint's own maker does.
    pub range_of: Option<&'static str>,
    /// The parts, by their groups, whose makers limit its torque: with another of them the old limit is void.
    pub limited_by: &'static [&'static str],
    /// The parts without a joint of their own that come loose here: their damage stops the work at it.
    pub holds: &'static [&'static str],
    /// The parts that this one is tightened in or on, held by another joint or by none: their damage stops the work here, too.
    pub sits_on: &'static [&'static str],
    /// What a line across it can show.
    pub shows: Shows,
    /// The joint that holds what this one is squared by, which has to be in before.
    pub squared_by: Option<&'static str>,
    /// A brake whose lever is pulled while this is apart closes on nothing.
    pub carries_braking: bool,
    /// How firmly it has to hold.
    pub grasp: Grasp,
    /// What it may do to a rider where it is too slack, in words that follow its title.
    pub if_slack: &'static str,
    /// What to mind where it comes apart, and not only loose.
    pub apart: Option<Apart>,
    /// What must be right before this joint is tightened.
    pub before: &'static str,
    /// What shows that it is done.
    pub proof: &'static str,
}

/// The joint of that name (`left.brake-lever` finds `SIDE.brake-lever`), with its place in working order.
pub fn find(name: &str) -> Option<(usize, &'static Joint)> {
    JOINTS.iter().enumerate().find(|(_, joint)| matches(joint.name, name))
}

/// The joint that holds a part which has none of its own.
pub fn holding(part: &str) -> Option<&'static Joint> {
    JOINTS.iter().find(|joint| joint.holds.contains(&part))
}

/// Every part that has no joint of its own and comes loose at one, in working order.
pub fn held() -> impl Iterator<Item = &'static str> {
    JOINTS.iter().flat_map(|joint| joint.holds.iter().copied())
}

/// Every part without a joint of its own that may be seen to be damaged: what comes loose at a joint, and what one is
/// tightened in or on; in working order, each once.
pub fn without_a_joint() -> impl Iterator<Item = &'static str> {
    static PARTS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
        let mut parts: Vec<&'static str> = held().collect();
        for part in JOINTS.iter().flat_map(|joint| joint.sits_on.iter().copied()) {
            if !parts.contains(&part) {
                parts.push(part);
            }
        }
        parts
    });
    PARTS.iter().copied()
}

/// The parts that joints hold or are limited by, each once.
pub fn parts() -> impl Iterator<Item = &'static str> {
    let all =
        JOINTS.iter().flat_map(|joint| joint.limited_by.iter().chain(joint.holds).chain(&joint.range_of));
    all.copied().collect::<BTreeSet<_>>().into_iter()
}

/// Every joint a bike can have, sides written out, in working order.
pub fn names() -> &'static [String] {
    static NAMES: LazyLock<Vec<String>> =
        LazyLock::new(|| JOINTS.iter().flat_map(|joint| super::sides_written_out(joint.name)).collect());
    &NAMES
}

/// The rotation that a line across a joint shows, and the diameter it lies on.
pub fn rotation(name: &str) -> Option<(MeasureId, MeasureId)> {
    let (_, joint) = find(name)?;
    joint.shows.rotation(name.split('.').next().and_then(Side::parse))
}

/// Whether a line across any joint shows a shift of this row: places along the bar.
pub fn shows_shift(row: Row) -> bool {
    JOINTS.iter().any(|joint| joint.shows.shifts.contains(&row))
}

/// The title of a joint by its written name, side first: "left brake lever".
pub fn title(name: &str) -> String {
    let side = name.split('.').next().filter(|word| matches!(*word, "left" | "right"));
    match (find(name), side) {
        (Some((_, joint)), Some(side)) => format!("{side} {}", joint.title),
        (Some((_, joint)), None) => joint.title.to_owned(),
        (None, _) => name.to_owned(),
    }
}

/// What carries the other half of a line across the joint of that name, where that turns freely once it is apart.
pub fn loose_half(name: &str) -> Option<&'static str> {
    Some(find(name)?.1.apart?.line_on?.on)
}

/// When that turned, as a note says it afterwards: "the stem was off or loose".
pub fn was_loose(name: &str) -> Option<&'static str> {
    Some(find(name)?.1.apart?.line_on?.when)
}

/// What slipping at the joint of that name does; of one that is not known no more than a record's.
pub fn weight(name: &str) -> Weight {
    find(name).map_or(Weight::Record, |(_, joint)| joint.weight)
}

/// Whether the maker of that part limits the joint of that name, for it is tightened on it.
pub fn is_limited_by(name: &str, part: &str) -> bool {
    find(name).is_some_and(|(_, joint)| joint.limited_by.contains(&part))
}

/// Whether the joint of that name clamps the bar.
pub fn squeezes_bar(name: &str) -> bool {
    find(name).is_some_and(|(_, joint)| joint.squeezes == Some(BAR_MATERIAL))
}

/// Whether the joint of that name is tightened on that part: squeezes it, lets it go, sits on it, or is limited by it.
pub fn clamps(catalogue: &Catalogue, name: &str, part: &str) -> bool {
    let is_of = |joint: &Joint| {
        let squeezed = joint.squeezes.map(|row| catalogue.measure(row).part());
        let lists = [joint.holds, joint.sits_on, joint.limited_by];
        squeezed == Some(part) || lists.iter().any(|parts| parts.contains(&part))
    };
    find(name).is_some_and(|(_, joint)| is_of(joint))
}

/// Everything to look over after that, in working order: the part or joint by its written name, the joint it is at, and
/// what is so where it is good.
pub fn looked_over(after: Occasion) -> impl Iterator<Item = (String, String, &'static str)> {
    let looks = JOINTS.iter().flat_map(|joint| joint.looked_over.iter().map(move |look| (joint, look)));
    looks.filter(move |(_, look)| look.after.contains(&after)).flat_map(|(joint, look)| {
        let names = super::sides_written_out(joint.name).into_iter();
        names.map(move |name| match look.part {
            Some((part, good)) => (part.to_owned(), name, good),
            None => (name.clone(), name, joint.proof),
        })
    })
}

/// The joint of which a look at that part or joint tells that it is apart: a part that is looked over beside its joint
/// leaves it to the joint.
pub fn apart_at(on: &str) -> Option<&str> {
    if find(on).is_some() {
        return Some(on);
    }
    let joint = holding(on)?;
    let is_looked_over = joint.looked_over.iter().any(|look| look.part.is_none());
    (!is_looked_over).then_some(joint.name)
}

fn matches(pattern: &str, name: &str) -> bool {
    match pattern.strip_prefix("SIDE.") {
        Some(rest) => name.strip_prefix("left.").or_else(|| name.strip_prefix("right.")) == Some(rest),
        None => pattern == name,
    }
}
