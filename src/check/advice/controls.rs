//! Controls and hoses: what shares a clamp, what hangs low, what covers the fingers, what rubs.

use crate::catalogue::code;
use crate::catalogue::joint::Control;
use crate::catalogue::table::{
    FRAME_REACH, GRIP_HAND, HOSE_ENTERS_ON, HOSE_ENTERS_SIDE, HOSE_FREE, LEVER_BLADE, LEVER_FROM_TIP,
    STEM_LENGTH,
};
use crate::catalogue::{MeasureId, Side, Subject};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use crate::check::Context;

use super::{about, is_beyond, number};

/// A control hanging further below the bar than this, mm, hangs low: common practice, no source.
const LOW_DROP: f64 = 50.0;
/// Frame reach and stem together below this, mm, make a short cockpit: common practice, no source.
const SHORT_COCKPIT: f64 = 500.0;
/// Half a hand less the finger on the blade, mm: a quarter of the hand's breadth, whose mean among men is 88.3 mm
/// (ANSUR II, 2012, public data).
const OTHER_FINGERS: f64 = 88.3 / 4.0;
/// Its expanded uncertainty: a quarter of two standard deviations of the hand's breadth, 4.388 mm there.
const OTHER_FINGERS_UNCERTAINTY: f64 = 2.0 * 4.388 / 4.0;

/// A control that has no clamp of its own.
pub fn shared_clamp(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    // Without a lever there is nothing to share, and another rule says so.
    let has_lever = |side: &Side| setup.has_part(&format!("{side}.brake-lever"));
    let shared = setup.shared_controls().filter(|(side, _)| has_lever(side));
    shared
        .filter_map(|(side, control)| {
            let id = MeasureId::of(control.mount?, side);
            let slot = control.slot.and_then(|row| setup.choice(&MeasureId::of(row, side)));
            let lever = setup.value(&MeasureId::of(LEVER_FROM_TIP, side));
            let message = format!(
                "The {side} {} sits on the brake lever's clamp{}. Move the lever{} and it goes along; by itself it \
                 only turns, or takes another slot.",
                control.title,
                slot.map_or(String::new(), in_the_slot),
                lever.map_or(String::new(), |place| format!(", now {} mm from the bar's end,", number(place))),
            );
            Some(about(catalogue, setup, &code::SHARED_CLAMP, &id, message))
        })
        .collect()
}

/// "in the inner slot", "in slot 2".
fn in_the_slot(slot: &str) -> String {
    if slot.bytes().all(|byte| byte.is_ascii_digit()) {
        format!(", in slot {slot}")
    } else {
        format!(", in the {slot} slot")
    }
}

/// A shifter or remote that hangs low on a short bike.
pub fn low_control(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let bike = |row| setup.reading(&MeasureId::bike(row));
    let Some((reach, stem)) = bike(FRAME_REACH).zip(bike(STEM_LENGTH)) else { return Vec::new() };
    let cockpit = reach.value() + stem.value();
    let expanded = reach.expanded_uncertainty().hypot(stem.expanded_uncertainty());
    if !is_beyond(SHORT_COCKPIT - cockpit, expanded) {
        return Vec::new();
    }
    let hanging = |(side, control): (Side, &'static Control)| {
        let (id, drop) = lowest_drop(setup, side, control)?;
        let message = format!(
            "The {side} {} hangs {} mm below the bar, and reach and stem come to only {} mm: easier to work out \
             of the saddle, likelier to snag loose shorts.",
            control.title,
            number(drop.value()),
            number(cockpit),
        );
        let hangs_low = is_beyond(drop.value() - LOW_DROP, drop.expanded_uncertainty());
        hangs_low.then(|| about(catalogue, setup, &code::LOW_CONTROL, &id, message))
    };
    setup.controls().filter(|(_, control)| control.from_tip != LEVER_FROM_TIP).filter_map(hanging).collect()
}

/// The lowest of a control's recorded lowest points.
fn lowest_drop<'s>(setup: &'s Setup, side: Side, control: &Control) -> Option<(MeasureId, &'s Reading)> {
    let [_, drop_row, _] = control.lowest;
    setup
        .readings
        .keys()
        .filter(|id| id.row == drop_row && id.subject.side == Some(side))
        .filter_map(|id| Some((id.clone(), setup.reading(id)?)))
        .max_by(|(_, one), (_, other)| one.value().total_cmp(&other.value()))
}

/// A blade that reaches over the fingers that stay on the grip. The pivot is taken to stand at the clamp's outboard
/// face, for no reading says where it is.
pub fn blade_over_fingers(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let covered = |side| {
        let id = MeasureId::of(LEVER_FROM_TIP, side);
        let clamp = setup.reading(&id)?;
        let blade = setup.reading(&MeasureId::of(LEVER_BLADE, side))?;
        let hand = setup.reading(&MeasureId::of(GRIP_HAND, side))?;
        let blade_end = clamp.value() - blade.value();
        let fingers = hand.value() + OTHER_FINGERS;
        let doubts = [clamp, blade, hand].map(Reading::expanded_uncertainty);
        let expanded = doubts.into_iter().fold(OTHER_FINGERS_UNCERTAINTY, f64::hypot);
        if !is_beyond(fingers - blade_end, expanded) {
            return None;
        }
        let (over, doubt) = show::with_uncertainty(fingers - blade_end, expanded, 1);
        let message = format!(
            "The {side} brake's blade ends about {} mm from the bar's end and the fingers on the grip reach to \
             about {} mm: pulled with one finger, it may meet the others' knuckles {over} ± {doubt} mm before its \
             end.",
            number(blade_end),
            number(fingers),
        );
        Some(about(catalogue, setup, &code::BLADE_OVER_FINGERS, &id, message))
    };
    Side::BOTH.into_iter().filter_map(covered).collect()
}

/// A hose to the frame and no guard on the side where it enters.
pub fn no_guard(context: &Context) -> Vec<Finding> {
    let Context { catalogue, setup, .. } = *context;
    let on = |name: &str, row| MeasureId { row, subject: Subject::named(name) };
    let bare: Vec<&str> = setup
        .hoses()
        .filter(|name| setup.choice(&on(name, HOSE_ENTERS_ON)) != Some("fork"))
        .filter(|name| !is_guarded(setup, setup.choice(&on(name, HOSE_ENTERS_SIDE))))
        .collect();
    let Some(first) = bare.first() else { return Vec::new() };
    let recorded = if setup.guards.is_empty() { "is recorded" } else { "on that side is recorded" };
    let message = match bare.len() {
        1 => format!(
            "1 hose (`{first}`) runs to the frame and no guard {recorded}: where it rubs at full lock, grit \
             takes the paint off."
        ),
        many => format!(
            "{many} hoses run to the frame and no guard {recorded}: where they rub at full lock, grit takes \
             the paint off."
        ),
    };
    vec![about(catalogue, setup, &code::NO_GUARD, &on(first, HOSE_FREE), message)]
}

/// Whether a guard may lie where a hose enters on that side: one that names no side, or this one, may.
fn is_guarded(setup: &Setup, entry: Option<&str>) -> bool {
    setup.guards.iter().any(|guard| {
        let place = guard.place.value.to_lowercase();
        let named: Vec<&str> =
            Side::BOTH.iter().map(|side| side.word()).filter(|side| place.contains(side)).collect();
        named.is_empty() || entry.is_none_or(|entry| named.contains(&entry))
    })
}
