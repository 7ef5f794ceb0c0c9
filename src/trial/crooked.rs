//! How a bike stands crooked: the turn of the stem and the place of the bar in it, which nobody wants but as nothing.

use std::collections::BTreeSet;

use crate::catalogue::table::{BAR_OFFSET, STEM_TWIST};
use crate::catalogue::{Catalogue, HeldBy, MeasureId, Row, code};
use crate::check;
use crate::geometry::state::State;
use crate::metrology::show;
use crate::setup::model::Setup;

/// What a bike has of that.
const ROWS: [Row; 2] = [STEM_TWIST, BAR_OFFSET];

/// Why a measure of a bike that is ridden is never but nothing, so that it gives way to nothing else; none for any other.
pub fn never_gives_way(id: &MeasureId) -> Option<&'static str> {
    let words = "nobody steers with a twisted stem, and the bar stands square to the wheel";
    (*id == MeasureId::bike(STEM_TWIST)).then_some(words)
}

/// That a stem was asked to stand further out of square to the wheel than `check` lets anybody ride.
pub fn twisted(catalogue: &Catalogue, now: &Setup, asked: &BTreeSet<MeasureId>) -> Option<String> {
    let id = MeasureId::bike(STEM_TWIST);
    let twist = now.value(&id).filter(|_| asked.contains(&id))?;
    let is_told = !check::found_of(catalogue, now, |code| code.name == code::STEM_TWISTED.name).is_empty();
    is_told.then(|| {
        let (size, direction) = (show::brief(twist.abs()), catalogue.measure(id.row).direction(twist));
        format!("Do not ride so: the stem would be turned {size}° {direction}, and the bar not be square to the wheel.")
    })
}

/// What stands crooked, with its figure: "stem twist 2° to the left", "bar offset 0.5 mm to the right".
pub fn crooked(catalogue: &Catalogue, setup: &Setup) -> Vec<String> {
    ROWS.into_iter().filter_map(|row| stands(catalogue, setup, row)).collect()
}

fn stands(catalogue: &Catalogue, setup: &Setup, row: Row) -> Option<String> {
    let id = MeasureId::bike(row);
    let value = State::recorded(catalogue, setup).value(&id).filter(|value| *value != 0.0)?;
    let measure = catalogue.measure(row);
    let (size, sign) = (show::brief(value.abs()), measure.unit().sign());
    Some(format!("{} {size}{sign} {}", catalogue.title(&id), measure.direction(value)))
}

/// What stands crooked and was not asked about, where a change opens the joint that holds it: whoever has it open sets
/// it straight.
pub fn as_it_stands(
    catalogue: &Catalogue,
    setup: &Setup,
    asked: &BTreeSet<MeasureId>,
    opened: &[String],
) -> Option<String> {
    let is_opened = |row: Row| {
        let HeldBy::Joint(name) = catalogue.measure(row).held_by else { return false };
        !asked.contains(&MeasureId::bike(row)) && opened.iter().any(|joint| joint == name)
    };
    let found: Vec<(String, String)> = ROWS
        .into_iter()
        .filter(|row| is_opened(*row))
        .filter_map(|row| Some((stands(catalogue, setup, row)?, catalogue.path(&MeasureId::bike(row)))))
        .collect();
    if found.is_empty() {
        return None;
    }
    let (words, paths): (Vec<String>, Vec<String>) = found.into_iter().unzip();
    let straight: Vec<String> = paths.iter().map(|path| format!("{path}=0")).collect();
    Some(format!(
        "Counted as it stands now: {}. To see it set straight, add {}.",
        words.join(", "),
        straight.join(" ")
    ))
}
