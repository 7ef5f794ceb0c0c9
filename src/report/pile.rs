//! The words on a pile of spacers whose height changes, the same wherever that is told.

/// How much more or less stands on the steerer; `amount` with its unit.
pub fn together(amount: &str, delta: f64) -> String {
    let way = if delta < 0.0 { "less" } else { "more" };
    format!("All spacers and the stem's clamp together: {amount} {way} on the steerer.")
}

/// What that asks for.
pub const PRELOAD: &str = "The top cap is set for the old height: set the bearing preload again";
