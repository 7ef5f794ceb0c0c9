//! One line that a tired person can act on.

use crate::catalogue::table::RIDER_FRONT_BRAKE;
use crate::catalogue::{MeasureId, Side};
use crate::geometry::state::State;

use super::{Change, Comparison};

/// What moved on steering and brakes, the front brake named as such; none if nothing did.
pub fn dangerous_moves(comparison: &Comparison, state: &State) -> Option<String> {
    let moves: Vec<String> = comparison.dangerous().map(|change| say(change, state)).collect();
    let (last, rest) = moves.split_last()?;
    Some(if rest.is_empty() { last.clone() } else { format!("{} and {last}", rest.join(", ")) })
}

fn say(change: &Change, state: &State) -> String {
    let front = MeasureId::bike(RIDER_FRONT_BRAKE);
    if change.measure == state.catalogue().path(&front) {
        let hand = state.choice(&front).unwrap_or("other");
        return format!("the front brake is on the {hand} hand now");
    }
    let moved = change.moved.as_deref().unwrap_or("changed");
    format!("{} moved {moved}", brake_named(&change.title, state))
}

/// "left brake lever angle" → "front brake lever angle", where it is known which hand pulls the front brake.
fn brake_named(title: &str, state: &State) -> String {
    let front = state.choice(&MeasureId::bike(RIDER_FRONT_BRAKE)).and_then(Side::parse);
    let Some(front) = front else { return title.to_owned() };
    for side in Side::BOTH {
        if let Some(rest) = title.strip_prefix(side.word()).filter(|rest| rest.contains("brake")) {
            let wheel = if side == front { "front" } else { "rear" };
            return format!("{wheel}{rest} ({side})");
        }
    }
    title.to_owned()
}
