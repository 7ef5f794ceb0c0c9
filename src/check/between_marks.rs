//! What keeps from riding in a text in which a merge by lines left its marks: such a text is no setup, but each of the two
//! that it was made of may be one, and what stands outside the marks is in both.

use crate::catalogue::Catalogue;
use crate::setup::model::Kind;
use crate::setup::read::{read, text_conflict};

use super::not_to_ride;

/// The reasons not to ride of either side, ours first; none of a text without such marks, or of one that cannot be read.
pub fn reasons(catalogue: &Catalogue, bytes: &[u8]) -> Vec<String> {
    let Ok(source) = std::str::from_utf8(bytes) else { return Vec::new() };
    let mut reasons = Vec::new();
    for side in text_conflict::sides(source).into_iter().flatten() {
        let Some(setup) = read(catalogue, side.as_bytes(), None).setup else { continue };
        let of_side = match setup.kind {
            Kind::Setup => not_to_ride::kept(catalogue, &setup),
            Kind::Found => not_to_ride::by_sheet_alone(catalogue, &setup),
        };
        not_to_ride::add_new(&mut reasons, of_side);
    }
    reasons
}
