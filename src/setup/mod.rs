//! One setup in memory, and the two doors to it: reading it from text, and editing it without losing a character.

pub mod checked;
mod clamps;
pub mod dated;
pub mod edit;
pub mod finding;
pub mod hoses;
pub mod model;
pub mod read;
pub mod shared;
pub mod span;
pub mod syntax;
pub mod torque;
pub mod undecided;

/// The name of the setup at a path of a repository: `sub/setups/rowan/race.kdl` → `rowan/race`.
pub fn name_of(path: &str) -> &str {
    let below = path.rsplit_once("setups/").map_or(path, |(_, below)| below);
    below.strip_suffix(".kdl").unwrap_or(below)
}
