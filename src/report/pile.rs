//! The words on a pile of spacers whose height changes, the same wherever that is told.

use super::screen::{Label, Page, piece, plain};
use crate::catalogue::capital;
use crate::metrology::show;
use crate::trial::SteererChange;

/// How much more or less stands on the steerer; `amount` with its unit.
pub fn together(amount: &str, delta: f64) -> String {
    let way = if delta < 0.0 { "less" } else { "more" };
    format!("All spacers and the stem's clamp together: {amount} {way} on the steerer.")
}

/// What that asks for.
pub const PRELOAD: &str = "The top cap is set for the old height: set the bearing preload again";

/// What a pile that is too low does.
pub const LOOSE: &str = "The top cap would meet the steerer before it presses on the bearings: the headset would be loose. \
                         Do not ride so.";

/// What spacers that are not there do, behind how many those are.
pub const WITHOUT: &str = "without them the top cap meets the steerer before it presses on the bearings, and the headset is \
                           loose";

/// A stem that no longer sits on the steerer, before everything else on the page.
pub fn over_the_end(page: &mut Page, steerer: &SteererChange) {
    let Some((over, above)) = steerer.over_the_end.zip(steerer.above_was) else { return };
    let danger = format!(
        "The stem's clamp would reach at least {} mm over the steerer's end: {} above it now.",
        show::brief(over),
        stand(above, steerer.above_is_assumed),
    );
    let why = " A stem that does not hold the steerer over its whole height can come off. It needs a longer steerer; \
               do not ride it without.";
    page.paragraph(2, 4, &[piece(Label::Danger, danger), plain(why)]);
    page.blank();
}

/// What is there to make room for a stem that goes up.
fn stand(above: f64, is_assumed: bool) -> String {
    match above {
        _ if is_assumed => "no spacers are recorded, which counts as none,".to_owned(),
        _ if above > 0.0 => format!("only {} mm of spacers stand", show::brief(above)),
        _ => "no spacers stand".to_owned(),
    }
}

/// What nobody can say of a pile, and why; nothing if that is known.
fn not_known(steerer: &SteererChange) -> Option<String> {
    let title = steerer.unknown_for_want_of.as_ref()?;
    Some(format!(
        "whether the steerer reaches to the top of the stem's clamp, and the top cap still presses on the bearings, is \
         not known: {title} not measured"
    ))
}

/// A pile of which nobody knows whether it fits, before everything else on the page.
pub fn unknown(page: &mut Page, steerer: &SteererChange) {
    let Some(words) = not_known(steerer) else { return };
    let danger = format!("{}.", capital(&words));
    let why = " A stem that does not hold the steerer over its whole height can come off. Measure it, and the steerer \
               itself, before anything is built; do not ride it without.";
    page.paragraph(2, 4, &[piece(Label::Danger, danger), plain(why)]);
    page.blank();
}

/// A pile that no longer reaches the top cap, before everything else on the page.
pub fn loose(page: &mut Page, steerer: &SteererChange) {
    if !steerer.is_loose() {
        return;
    }
    let Some(grows_by) = steerer.grows_by else { return };
    let lead = together(&format!("{} mm", show::brief(grows_by.abs())), grows_by);
    let danger = format!("{lead} {LOOSE}");
    page.paragraph(2, 4, &[piece(Label::Danger, danger)]);
    page.blank();
}

/// Why a bike with such a pile is not to be ridden, for the file that is written of it.
pub fn forbids(steerer: &SteererChange) -> Option<String> {
    if let Some(over) = steerer.over_the_end {
        let over = show::brief(over);
        return Some(format!(
            "the stem's clamp would reach at least {over} mm over the steerer's end and can come off"
        ));
    }
    if let Some(words) = not_known(steerer) {
        return Some(words);
    }
    let lacking = show::brief(steerer.grows_by?.abs());
    steerer.is_loose().then(|| {
        format!(
            "{lacking} mm less stand on the steerer than before: the top cap meets it before it presses on the \
             bearings, and the headset is loose"
        )
    })
}

/// Spacers that would not add up to what they are, where the steerer may be long enough.
pub fn changed(page: &mut Page, steerer: &SteererChange) {
    let Some(grows_by) = steerer.grows_by.filter(|_| steerer.over_the_end.is_none()) else { return };
    let is_less = grows_by < 0.0;
    let lead = if is_less {
        "Too little on the steerer.".to_owned()
    } else {
        together(&format!("{} mm", show::brief(grows_by)), grows_by)
    };
    let way = match &steerer.instead {
        Some(change) => format!("; or keep the height with {change}."),
        None if is_less => ": nothing above the stem is recorded that would make up for it.".to_owned(),
        None => ", once it is known that the steerer is long enough.".to_owned(),
    };
    page.paragraph(2, 4, &[piece(Label::Care, lead), plain(format!(" {PRELOAD}{way}"))]);
}
