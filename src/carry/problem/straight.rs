//! How a bike stands crooked, as far as anybody knows, and the same bike straight: bar square to the wheel and in the stem's
//! middle.

use crate::carry::controls;
use crate::catalogue::table::{BAR_OFFSET, STEM_TWIST};
use crate::catalogue::{Catalogue, MeasureId};
use crate::geometry::state::State;
use crate::setup::model::Setup;
use crate::trial;

/// What becomes of a twist or an offset of which nobody knows how large it is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// It stays unknown.
    Stays,
    /// It is set to nothing, as one that is known is.
    IsSetStraight,
}

/// A setup with its bar square to the wheel and in the stem's middle.
pub fn straight(catalogue: &Catalogue, setup: &Setup, unknown: Unknown) -> Setup {
    let mut straight = setup.clone();
    let state = State::recorded(catalogue, setup);
    for id in [STEM_TWIST, BAR_OFFSET].map(MeasureId::bike) {
        let is_to_be_set = state.value(&id).map_or(unknown == Unknown::IsSetStraight, |value| value != 0.0);
        if is_to_be_set {
            controls::put(catalogue, &mut straight, &id, 0.0);
        }
    }
    straight
}

pub fn is_crooked(catalogue: &Catalogue, setup: &Setup) -> bool {
    !trial::crooked(catalogue, setup).is_empty()
}

/// What to set straight before the hands come where is said; none if nothing stands crooked, as far as is known, and all is.
pub fn straighten(catalogue: &Catalogue, onto: &Setup) -> Option<String> {
    let name = &onto.name.value;
    let known = trial::crooked(catalogue, onto);
    let state = State::recorded(catalogue, onto);
    let ids = [STEM_TWIST, BAR_OFFSET].map(MeasureId::bike);
    let unknown: Vec<String> =
        ids.iter().filter(|id| state.value(id).is_none()).map(|id| catalogue.title(id)).collect();
    let stands = match (&known[..], &unknown[..]) {
        ([], []) => return None,
        (known, []) => format!("{name} stands crooked now ({})", known.join(", ")),
        ([], unknown) => format!("How {name} stands is not known ({})", unknown.join(", ")),
        (known, unknown) => format!(
            "{name} stands crooked now ({}), and its {} is not known",
            known.join(", "),
            unknown.join(", ")
        ),
    };
    Some(format!("{stands}: set it straight, for only then do the hands come where this says."))
}
