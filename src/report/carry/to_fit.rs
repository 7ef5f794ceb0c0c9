//! The parts of an assembly as the file that is written of it names them.

use super::words::{named, piled, trimmed};
use crate::carry::{Assembly, SHOWN};
use crate::metrology::show;

/// The stem and which way up it goes.
pub fn stem_to_fit(assembly: &Assembly) -> String {
    let over = if assembly.flipped { " turned over" } else { "" };
    format!("{}{over}", named("stem", &assembly.stem))
}

/// The bar.
pub fn bar_to_fit(assembly: &Assembly) -> String {
    named("bar", &assembly.bar)
}

/// What goes below the stem and above it.
pub fn spacers_to_fit(assembly: &Assembly) -> String {
    let piled = |pile: &[f64]| piled(pile, assembly.spacers_as_recorded);
    let asked = assembly.above.as_deref().zip(assembly.spacers_above);
    let above = asked.map_or("as many as the steerer asks for".to_owned(), |(pile, _)| piled(pile));
    let far = |off: Option<f64>, words: &str| {
        off.filter(|off| *off >= SHOWN).map(|off| format!(", {} mm {words}", trimmed(off)))
    };
    let lacking = far(assembly.spacers_lacking, "less than has to go there");
    let off = lacking.or_else(|| far(assembly.spacers_over, "more than has to go there")).unwrap_or_default();
    format!("below the stem {}; above it {above}{off}", spacers(piled(&assembly.spacers)))
}

/// "1 spacer of 5 mm", "no spacers".
fn spacers(pile: String) -> String {
    if pile == "none" { "no spacers".to_owned() } else { pile }
}

/// That it is not known whether the stem takes the bar, if it is not.
pub fn may_not_fit_together(assembly: &Assembly) -> Option<String> {
    let across = |across: Option<f64>| {
        across.map_or("not recorded".to_owned(), |across| format!("{} mm", show::brief(across)))
    };
    let (stem, bar) = (named("stem", &assembly.stem), named("bar", &assembly.bar));
    assembly.may_not_fit.then(|| {
        format!(
            "whether {stem} takes {bar} is not known; clamp diameters: {stem} {}, {bar} {}",
            across(assembly.stem_clamp_diameter),
            across(assembly.bar_clamp_diameter)
        )
    })
}
