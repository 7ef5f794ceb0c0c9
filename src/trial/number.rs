//! A number as somebody types it behind a measure: `40`, `+5`, `(in)1.5`, and what is meant where it is none.

use crate::metrology::unit::Unit;

use super::Refusal;
use super::change::To;

/// Reads it. A sign makes it a step, whether it stands before the unit or, as in a file, behind it; `always_value`
/// takes the sign for the value's own.
pub fn number(path: &str, typed: &str, default: Unit, always_value: bool) -> Result<To, Refusal> {
    let (outer, bare) = sign(typed);
    let (word, behind) = match bare.strip_prefix('(').and_then(|rest| rest.split_once(')')) {
        Some((word, behind)) => (Some(word), behind),
        None => (None, bare),
    };
    let unit = match word {
        None => default,
        Some(word) => {
            let known = units(default).into_iter().find(|unit| unit.word() == word);
            known.ok_or_else(|| unknown_unit(path, word, default))?
        }
    };
    let (inner, figures) = if word.is_some() { sign(behind) } else { (None, behind) };
    if figures.starts_with(['+', '-']) || (outer.is_some() && inner.is_some()) {
        return Err(Refusal::new(
            format!("`{typed}` has more than one sign."),
            format!(
                "One sign makes a step: {path}=+5, {path}=+(in)0.5, {path}=-(in)0.5; {path}:=-2 is the value itself."
            ),
        ));
    }
    let signed = outer.or(inner);
    let digits = if signed == Some('-') { format!("-{figures}") } else { figures.to_owned() };
    let refuse = || not_a_number(path, typed, figures, default);
    let number: f64 = digits.parse().ok().filter(|number: &f64| number.is_finite()).ok_or_else(refuse)?;
    let converted = unit.convert(default, number).filter(|value| value.is_finite()).ok_or_else(refuse)?;
    if signed.is_some() && !always_value {
        return Ok(To::By(converted));
    }
    Ok(To::Value { number, digits, unit })
}

/// A leading sign, and what stands behind it.
fn sign(typed: &str) -> (Option<char>, &str) {
    let sign = typed.chars().next().filter(|first| matches!(first, '+' | '-'));
    (sign, typed.strip_prefix(['+', '-']).unwrap_or(typed))
}

/// The units that measure the same as this one.
fn units(default: Unit) -> Vec<Unit> {
    Unit::ALL.iter().copied().filter(|unit| unit.convert(default, 1.0).is_some()).collect()
}

fn unknown_unit(path: &str, word: &str, default: Unit) -> Refusal {
    let known: Vec<String> = units(default).iter().map(|unit| format!("({})", unit.word())).collect();
    let help = match default {
        Unit::Click | Unit::One => format!("It takes a plain number: {path}=4."),
        _ => format!("It takes {}, before the number.", known.join(", ")),
    };
    Refusal::new(format!("`{path}` takes no number in `{word}`."), help)
}

fn not_a_number(path: &str, typed: &str, figures: &str, default: Unit) -> Refusal {
    let message = format!("`{typed}` is not a number that `{path}` can take.");
    let pointed = figures.replace(',', ".");
    if pointed != figures && pointed.parse::<f64>().is_ok() {
        return Refusal::new(message, format!("Write a decimal point: {}.", typed.replace(',', ".")));
    }
    let behind = |unit: &Unit| {
        let number = figures.strip_suffix(unit.word())?.trim_end();
        number.parse::<f64>().is_ok().then_some((*unit, number))
    };
    // The longest word that fits: "mm" ends in "m".
    let with_unit = units(default).iter().filter_map(behind).max_by_key(|(unit, _)| unit.word().len());
    if let Some((unit, number)) = with_unit {
        let (sign, _) = sign(typed);
        let sign = sign.map_or(String::new(), String::from);
        return Refusal::new(
            message,
            format!("A unit stands in brackets before the number: {path}={sign}({}){number}.", unit.word()),
        );
    }
    Refusal::new(
        message,
        "Write a plain number, +5 or -2 for a step, and a unit before it if it is not the usual one: (in)1.5.",
    )
}
