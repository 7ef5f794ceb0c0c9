//! Rules on where the controls sit.

use crate::catalogue::code;
use crate::catalogue::joint::Control;
use crate::catalogue::table::GRIP_LENGTH;
use crate::catalogue::{MeasureId, Side};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::setup::finding::Finding;
use crate::setup::model::Setup;

use super::Context;
use super::advice::is_beyond;

/// The narrowest clamp of a lever, shifter or remote, mm: common practice, no source.
pub const NARROWEST_CLAMP: f64 = 8.0;

/// Every control that has neither a place along the bar nor a shared clamp.
pub fn controls(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let homeless = setup.controls().filter(|(side, control)| {
        context.is_left_out(&MeasureId::of(control.from_tip, *side)) && setup.has_own_clamp(*side, control)
    });
    homeless
        .map(|(side, control)| {
            let path = format!("{side}.{}", control.name);
            let message = format!("`{path}` does not say where along the bar it sits.");
            let finding = Finding::new(&code::CONTROL_WITHOUT_PLACE, message);
            let finding = match control.mount {
                Some(_) => finding,
                None => {
                    finding.help("Give from-tip: along the bar from its end to the clamp's outboard face.")
                }
            };
            let from_tip = MeasureId::of(control.from_tip, side);
            finding.at(context.home(&from_tip)).about(path)
        })
        .collect()
}

/// Every slot on a clamp that is not shared, and every shared clamp without a brake lever to share it with.
pub fn slots(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let mut findings = Vec::new();
    for (side, control) in setup.controls() {
        let path = format!("{side}.{}", control.name);
        let place = |row| setup.recorded(&MeasureId::of(row, side)).map(|recorded| recorded.span);
        let found = if setup.is_shared(side, control) {
            let lonely = !has_lever(setup, side.word());
            control.mount.filter(|_| lonely).and_then(place).map(|span| {
                (span, format!("`{path}` shares a clamp, and there is no brake lever on the {side}."))
            })
        } else {
            let slot = control.slot.filter(|_| setup.has_own_clamp(side, control)).and_then(place);
            slot.map(|span| (span, format!("`{path}` names a slot, and its clamp is its own.")))
        };
        findings.extend(
            found.map(|(span, message)| {
                Finding::new(&code::SLOT_WITHOUT_SHARED, message).at(span).about(path)
            }),
        );
    }
    findings
}

/// Every shared control that is given a place of its own: the lever's clamp has it.
pub fn shared_with_place(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let contradictory = |(side, control): (Side, &'static Control)| {
        let id = MeasureId::of(control.from_tip, side);
        let recorded = setup.recorded(&id).filter(|_| setup.is_shared(side, control))?;
        let message = format!(
            "`{side}.{}` shares the brake lever's clamp and is given a place of its own along the bar.",
            control.name
        );
        let finding = Finding::new(&code::SHARED_WITH_PLACE, message);
        Some(finding.at(recorded.span).about(context.catalogue.path(&id)))
    };
    setup.controls().filter_map(contradictory).collect()
}

/// Every clamp that would sit inside the grip, beyond what reading explains.
pub fn inside_grip(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let inside = |(side, control): (Side, &'static Control)| {
        let (id, place) = own_place(setup, side, control)?;
        let grip = setup.reading(&MeasureId::of(GRIP_LENGTH, side))?;
        let expanded = place.expanded_uncertainty().hypot(grip.expanded_uncertainty());
        if !is_beyond(grip.value() - place.value(), expanded) {
            return None;
        }
        let message = format!(
            "`{side}.{}` begins {} mm from the bar's end, and the grip there reaches to {} mm.",
            control.name,
            show::brief(place.value()),
            show::brief(grip.value()),
        );
        Some(at_its_place(context, &code::CONTROL_INSIDE_GRIP, &id, message))
    };
    setup.controls().filter_map(inside).collect()
}

/// Every two clamps next to one another that stand nearer than a clamp is wide, beyond what reading explains.
pub fn overlapping(context: &Context) -> Vec<Finding> {
    let setup = context.setup;
    let mut findings = Vec::new();
    for side in Side::BOTH {
        let own = |(_, control): (Side, &'static Control)| {
            own_place(setup, side, control).map(|(id, place)| (control, id, place))
        };
        let mut clamps: Vec<_> = setup.controls().filter(|(of, _)| *of == side).filter_map(own).collect();
        clamps.sort_by(|(.., one), (.., other)| one.value().total_cmp(&other.value()));
        for pair in clamps.windows(2) {
            let [(outer, _, outer_place), (inner, id, inner_place)] = pair else { continue };
            let apart = inner_place.value() - outer_place.value();
            let expanded = inner_place.expanded_uncertainty().hypot(outer_place.expanded_uncertainty());
            if is_beyond(NARROWEST_CLAMP - apart, expanded) {
                let message = format!(
                    "The {side} {} and {} clamps begin {} mm apart, and a clamp is at least {NARROWEST_CLAMP} mm \
                     wide (common practice, no source): they would meet.",
                    outer.title,
                    inner.title,
                    show::brief(apart),
                );
                findings.push(at_its_place(context, &code::CLAMPS_OVERLAP, id, message));
            }
        }
    }
    findings
}

/// Where a control's own clamp begins, from the bar's end.
fn own_place<'s>(setup: &'s Setup, side: Side, control: &Control) -> Option<(MeasureId, &'s Reading)> {
    let id = MeasureId::of(control.from_tip, side);
    let place = setup.reading(&id).filter(|_| setup.has_own_clamp(side, control))?;
    Some((id, place))
}

fn at_its_place(context: &Context, code: &'static code::Code, id: &MeasureId, message: String) -> Finding {
    let finding = Finding::new(code, message).about(context.catalogue.path(id));
    match context.setup.recorded(id) {
        Some(recorded) => finding.at(recorded.span),
        None => finding,
    }
}

fn has_lever(setup: &Setup, side: &str) -> bool {
    setup.has_part(&format!("{side}.brake-lever"))
}
