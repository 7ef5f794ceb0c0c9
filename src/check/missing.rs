//! Rules on measures that are not there.

use crate::catalogue::{MeasureId, Side, capital, code};
use crate::geometry::derived::{self, Need};
use crate::geometry::state::State;
use crate::setup::finding::Finding;
use crate::setup::model::Value;

use super::{Context, forgotten};

/// The derived value that needs all that the grip points need, and nothing else.
const GRIPS: &str = "grip-reach";

/// Every measure that the grip points need and the file does not name. One written as `unmeasured` is named.
pub fn measures(context: &Context) -> Vec<Finding> {
    let Some((_, grips)) = derived::find(GRIPS) else { return Vec::new() };
    let state = State::recorded(context.catalogue, context.setup);
    let lacking = |id: &MeasureId| state.value(id).is_none() && context.is_left_out(id);
    let mut findings = Vec::new();
    for ids in grips.needs.iter().copied().flat_map(alternatives) {
        if ids.iter().all(lacking) {
            findings.extend(finding(context, &ids));
        }
    }
    findings
}

/// What a need asks for: for each measure, the measures of which one will do.
fn alternatives(need: Need) -> Vec<Vec<MeasureId>> {
    match need {
        Need::Bike(row) => vec![vec![MeasureId::bike(row)]],
        Need::OneSide(row, side) => vec![vec![MeasureId::of(row, side)]],
        Need::BothSides(row) => Side::BOTH.iter().map(|side| vec![MeasureId::of(row, *side)]).collect(),
        Need::Either(first, second) => vec![vec![MeasureId::bike(first), MeasureId::bike(second)]],
    }
}

fn finding(context: &Context, ids: &[MeasureId]) -> Option<Finding> {
    let first = ids.first()?;
    let paths: Vec<String> = ids.iter().map(|id| context.catalogue.path(id)).collect();
    let named: Vec<String> = paths.iter().map(|path| format!("`{path}`")).collect();
    let named = named.join(" or ");
    let how: Vec<&str> = ids.iter().map(|id| context.catalogue.measure(id.row).how).collect();
    let message = format!("{named} is missing: without it there are no grip points.");
    Some(
        Finding::new(&code::MISSING_MEASURE, message)
            .at(context.home(first))
            .about(&paths[0])
            .help(how.join(" Or: ")),
    )
}

/// Every measure that the file itself says is not known yet, or not any more.
pub fn unmeasured(context: &Context) -> Vec<Finding> {
    let unknown = context.setup.readings.iter().filter(|(_, recorded)| recorded.value == Value::Unmeasured);
    unknown
        .map(|(id, recorded)| {
            let path = context.catalogue.path(id);
            let message = match forgotten::noted(context.catalogue, context.setup, id) {
                Some(noted) => format!("{} {}.", capital(&context.catalogue.title(id)), noted.words()),
                None => format!("`{path}` is not measured yet."),
            };
            Finding::new(&code::UNMEASURED, message)
                .at(recorded.span)
                .help(context.catalogue.measure(id.row).how)
                .about(path)
        })
        .collect()
}
