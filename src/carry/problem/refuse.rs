//! What is refused before anything is searched: a box that would take long, parts of which none go together, and a
//! steerer on which none go.

use crate::carry::parts::Parts;
use crate::carry::search::{self, BarOn, Pile, StemOn, Task};
use crate::check::forbidden;
use crate::metrology::show;
use crate::setup::model::Setup;
use crate::trial::Refusal;

/// No more spacers are piled and no more assemblies looked at than a few seconds allow.
const MOST_SPACERS: usize = 2_000;
const MOST_ASSEMBLIES: usize = 100_000_000;

/// Refuses to take a pile for what is on the steerer of which a note tells that it cannot be ridden: neither its spacers
/// nor the steerer's length are then what is recorded.
pub fn pile_that_is_not_there(onto: &Setup, parts: &Parts) -> Result<(), Refusal> {
    let Some(noted) = forbidden::of_the_pile(onto) else { return Ok(()) };
    if parts.steerer_left.is_some() && !parts.spacers.is_empty() {
        return Ok(());
    }
    Err(Refusal::new(
        format!("A note in {} tells not to ride it so: {}.", onto.name.value, noted.words()),
        "What is recorded on the steerer is then not what is there: say in a box what is, `steerer left=` and each \
         `spacer`. Or put it right, measure it and take the note out.",
    ))
}

/// Every height that the spacers make; a refusal where going through them would take too long.
pub fn piles(spacers: &[f64]) -> Result<Vec<Pile>, Refusal> {
    let to_pile = search::that_could_be_piled(spacers).len();
    if to_pile > MOST_SPACERS {
        return Err(Refusal::new(
            format!("The box holds {to_pile} spacers, and piles of no more than {MOST_SPACERS} are tried."),
            "Leave out those that nobody would use.",
        ));
    }
    Ok(search::piles(spacers))
}

/// Refuses a box that would have to be searched for long, before that is begun.
pub fn not_too_many(stems: &[StemOn], bars: &[BarOn], piles: &[Pile]) -> Result<(), Refusal> {
    let assemblies = stems.len().saturating_mul(bars.len()).saturating_mul(piles.len());
    if assemblies <= MOST_ASSEMBLIES {
        return Ok(());
    }
    Err(Refusal::new(
        format!(
            "The box makes {assemblies} assemblies ({} ways up of a stem, {} bars, {} heights of spacers), and no more \
             than {MOST_ASSEMBLIES} are tried.",
            stems.len(),
            bars.len(),
            piles.len()
        ),
        "Leave out parts that nobody would use; spacers of many unlike heights count most.",
    ))
}

/// Refuses stems and bars of which none go together, before anything is searched.
pub fn some_go_together(
    [stem_names, bar_names]: [&[String]; 2],
    stems: &[StemOn],
    bars: &[BarOn],
) -> Result<(), Refusal> {
    if stems.iter().any(|stem| bars.iter().any(|bar| stem.may_take(bar))) {
        return Ok(());
    }
    let named = |name: Option<&String>, across: Option<f64>| {
        let across = across.map(|across| format!(" {} mm", show::brief(across))).unwrap_or_default();
        format!("{}{across}", name.map_or("", String::as_str))
    };
    let taken = stems.iter().filter(|stem| !stem.flipped);
    let taken: Vec<String> = taken.map(|stem| named(stem_names.get(stem.stem), stem.takes)).collect();
    let bars = bars.iter().zip(bar_names);
    let bars: Vec<String> = bars.map(|(bar, name)| named(Some(name), bar.across)).collect();
    Err(Refusal::new(
        format!(
            "None of the stems takes any of the bars. Clamp diameters of the stems: {}; of the bars: {}.",
            taken.join(", "),
            bars.join(", ")
        ),
        "Add a bar and a stem of one diameter, or check the figures.",
    ))
}

/// Refuses a steerer on which no stem and no pile goes, before anything is searched.
pub fn fits_on_the_steerer(task: &Task, stems: &[StemOn], piles: &[Pile]) -> Result<(), Refusal> {
    let Some(left) = task.steerer_left else { return Ok(()) };
    let aboves = || stems.iter().flat_map(|stem| piles.iter().filter_map(|pile| task.above(stem, pile)));
    if stems.iter().any(|stem| piles.iter().any(|pile| task.holds(stem, pile))) {
        return Ok(());
    }
    let (least, most) = (aboves().fold(f64::INFINITY, f64::min), aboves().fold(f64::NEG_INFINITY, f64::max));
    let left = show::brief(left);
    if most < 0.0 {
        let lowest = show::brief(stems.iter().map(|stem| stem.clamp_height).fold(f64::INFINITY, f64::min));
        return Err(Refusal::new(
            format!("{left} mm of steerer are left, and the lowest stem's clamp takes {lowest} mm of it."),
            "Check `steerer left=`: it is everything from the headset cover to the top cap. Or add a stem with a lower \
             clamp.",
        ));
    }
    Err(Refusal::new(
        format!(
            "{left} mm of steerer are left: even the highest pile below the stem leaves {} mm above it, and no more than \
             {} mm of spacers can stand there.",
            show::brief(least),
            show::brief(search::TALLEST_PILE)
        ),
        "Check `steerer left=`: it is everything from the headset cover to the top cap.",
    ))
}
