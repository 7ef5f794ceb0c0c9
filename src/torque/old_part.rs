//! The caution that stands at a torque whose limits are those of a part that is gone: how it is written, and how it is
//! found again.

const BEGINS: &str = "Limits of the replaced ";
const ENDS: &str = ": take the new maker's figures before tightening.";

/// The caution's text; `parts` in words: "stem and bar".
pub fn caution(parts: &str) -> String {
    format!("{BEGINS}{parts}{ENDS}")
}

/// The parts that such a caution tells of; somebody may write on behind it, it stays what it is.
pub fn told(caution: &str) -> Option<&str> {
    caution.trim_start().strip_prefix(BEGINS)?.split_once(ENDS).map(|(parts, _)| parts)
}
