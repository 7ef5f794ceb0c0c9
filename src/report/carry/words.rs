//! One assembly in words: what it is made of, what it is off by, and what stands above its stem.

use crate::carry::{self, Assembly, SHOWN};
use crate::catalogue::table::{BAR_ROLL, STEM_ANGLE};
use crate::catalogue::{Catalogue, Row};
use crate::metrology::{NEGLIGIBLE, show};

use super::super::pile as pile_words;

/// A distance, as it is shown.
pub(super) fn millimetres(value: f64) -> String {
    format!("{} mm", show::plain(value, 1))
}

/// A distance with how well it is known.
pub(super) fn known_to(assembly: &Assembly) -> String {
    let known = assembly.uncertainty.filter(|uncertainty| *uncertainty > NEGLIGIBLE);
    let Some(uncertainty) = known else { return millimetres(assembly.distance) };
    let (distance, expanded) = show::with_uncertainty(assembly.distance, uncertainty, 1);
    format!("{distance} ± {expanded} mm")
}

pub(super) fn trimmed(value: f64) -> String {
    let text = show::plain(value, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// What has to stand above the stem, of what, and what of it nobody has; none if nothing has to.
pub(super) fn above(assembly: &Assembly) -> Option<String> {
    let above = trimmed(assembly.spacers_above.filter(|above| *above >= SHOWN)?);
    let pile = assembly.above.as_deref().map(|pile| piled(pile, assembly.spacers_as_recorded));
    let pile = pile.unwrap_or_default();
    if let Some(over) = assembly.spacers_over.filter(|over| *over >= SHOWN) {
        return Some(format!(
            "{above} mm have to go above the stem, and the least that is there for it is {pile}. The top cap then stands \
             {} mm higher: see that its bolt still reaches (common practice, no source).",
            trimmed(over)
        ));
    }
    let Some(lacking) = assembly.spacers_lacking.filter(|lacking| *lacking >= SHOWN) else {
        return Some(format!("{above} mm of spacers go above the stem: {pile}."));
    };
    let lacking = trimmed(lacking);
    if !assembly.is_loose() {
        return Some(format!(
            "{above} mm of spacers go above the stem, and {lacking} mm of them are not there: the top cap clears the \
             steerer's end by that much less (less than 1 mm is not yet loose: common practice, no source). There is \
             {pile}."
        ));
    }
    Some(format!(
        "{above} mm of spacers have to go above the stem, and {lacking} mm of them are not there: {}. Do not ride so.",
        pile_words::WITHOUT
    ))
}

/// That nobody knows whether the steerer is long enough for it.
pub(super) fn may_not_reach(assembly: &Assembly) -> Option<String> {
    let reach = assembly.may_not_reach?;
    let higher =
        reach.higher_by.map(|by| format!(", and the stem's clamp ends {} mm higher than now", trimmed(by)));
    Some(format!(
        "{}{}. Do not ride so before you have measured it: a stem that does not hold the steerer over its whole height can \
         come off.",
        crate::catalogue::capital(UNKNOWN_STEERER),
        higher.unwrap_or_default()
    ))
}

/// What is not known of a steerer.
const UNKNOWN_STEERER: &str = "whether the steerer is long enough is not known";

/// That a part of it is damaged.
pub(super) fn damaged(assembly: &Assembly) -> Option<String> {
    let damage = assembly.damaged.join("; ");
    (!damage.is_empty())
        .then(|| format!("A part of it is damaged, a note in the box says: {damage}. Do not ride so."))
}

/// What the file that is written has to note of spacers that stand higher than they have to.
pub fn stands_over(assembly: &Assembly) -> Option<String> {
    let over = trimmed(assembly.spacers_over.filter(|over| *over >= SHOWN)?);
    Some(format!(
        "The spacers above the stem stand {over} mm higher than the steerer asks for: no pile that is {over} mm lower is \
         too low for it, and none this high tells how long it is."
    ))
}

/// A pile by its spacers.
pub(super) fn piled(spacers: &[f64], as_recorded: bool) -> String {
    let height = trimmed(spacers.iter().sum());
    match spacers.len() {
        0 => "none".to_owned(),
        _ if as_recorded => format!("the recorded {} mm, taken as it is", pile(spacers)),
        1 => format!("1 spacer of {height} mm"),
        many => format!("{many} spacers, {height} mm ({})", pile(spacers)),
    }
}

/// Why a bike so assembled is not to be ridden, on account of its pile, for the file that is written of it.
pub fn forbids(assembly: &Assembly) -> Option<String> {
    if assembly.may_not_reach.is_some() {
        return Some(format!("{UNKNOWN_STEERER}: measure it, and take this note out"));
    }
    let lacking = assembly.spacers_lacking.filter(|_| assembly.is_loose())?;
    let lacking = show::brief(lacking);
    Some(format!("of the spacers above the stem {lacking} mm are not there: {}", pile_words::WITHOUT))
}

/// The spacers of a pile: "2 × 5 + 2.5".
fn pile(spacers: &[f64]) -> String {
    let alike = spacers.chunk_by(|one, next| (one - next).abs() < NEGLIGIBLE);
    let words: Vec<String> = alike
        .filter_map(|alike| {
            let height = show::brief(*alike.first()?);
            Some(if alike.len() > 1 { format!("{} × {height}", alike.len()) } else { height })
        })
        .collect();
    words.join(" + ")
}

/// A part by its name, or as the other bike's own.
pub(super) fn named(part: &str, name: &str) -> String {
    if name == carry::OWN { format!("{name} {part}") } else { format!("{part} {name}") }
}

/// What an assembly is made of.
pub(super) fn words(assembly: &Assembly) -> String {
    let over = if assembly.flipped { " turned over" } else { "" };
    let spacers = match assembly.spacers.len() {
        0 => "no spacers below".to_owned(),
        _ if assembly.spacers_as_recorded => format!("the recorded {} mm below", pile(&assembly.spacers)),
        1 => format!("1 spacer of {} mm below", trimmed(assembly.spacers_below)),
        many => {
            let height = trimmed(assembly.spacers_below);
            format!("{many} spacers below, {height} mm ({})", pile(&assembly.spacers))
        }
    };
    let damaged = if assembly.damaged.is_empty() { "" } else { "; damaged: do not ride so" };
    format!(
        "{}{over} ({} mm, {}), {spacers}, {} {}{damaged}",
        named("stem", &assembly.stem),
        trimmed(assembly.stem_length),
        turned(STEM_ANGLE, assembly.stem_angle, "level"),
        named("bar", &assembly.bar),
        rolled(assembly.roll),
    )
}

pub(super) fn turned(row: Row, degrees: f64, none: &str) -> String {
    carry::turned(Catalogue::standard(), row, degrees, none)
}

pub(super) fn rolled(degrees: f64) -> String {
    match &*turned(BAR_ROLL, degrees, "") {
        "" => "not rolled".to_owned(),
        turned => format!("rolled {turned}"),
    }
}

/// What is left over, in words.
pub(super) fn off(assembly: &Assembly) -> String {
    let ways = [
        (assembly.off_x, "further forward", "further back"),
        (assembly.off_z, "higher", "lower"),
        (assembly.off_span, "wider apart", "closer together"),
    ];
    let words: Vec<String> = ways
        .into_iter()
        .filter(|(value, ..)| value.abs() >= SHOWN)
        .map(|(value, more, less)| {
            format!("{} {}", millimetres(value.abs()), if value < 0.0 { less } else { more })
        })
        .collect();
    match &words[..] {
        [] => "The hands end within 0.05 mm of the wanted place.".to_owned(),
        [only] => format!("The hands end {only} than wanted."),
        [first @ .., last] => format!("The hands end {} and {last} than wanted.", first.join(", ")),
    }
}
