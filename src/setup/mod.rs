//! One setup in memory, and the two doors to it: reading it from text, and editing it without losing a character.

pub mod checked;
pub mod dated;
pub mod edit;
pub mod finding;
pub mod model;
pub mod read;
pub mod span;
pub mod syntax;
pub mod torque;
