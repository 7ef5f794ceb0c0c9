//! Rules on the file as such: its date and its name.

use crate::catalogue::code;
use crate::setup::finding::Finding;

use super::Context;

/// Whether the file says when it was measured.
pub fn date(context: &Context) -> Vec<Finding> {
    if context.setup.measured.is_some() {
        return Vec::new();
    }
    let name = &context.setup.name;
    let message = format!("\"{}\" does not say when it was measured.", name.value);
    vec![Finding::new(&code::NO_DATE, message).at(name.span)]
}

/// Whether the name in the file is the one its place gives it.
pub fn name(context: &Context) -> Vec<Finding> {
    let name = &context.setup.name;
    let Some(expected) = context.around.expected_name.filter(|expected| *expected != name.value) else {
        return Vec::new();
    };
    let message = format!("The file calls itself \"{}\", and its place makes it \"{expected}\".", name.value);
    vec![Finding::new(&code::NAME_DIFFERS, message).at(name.span)]
}
