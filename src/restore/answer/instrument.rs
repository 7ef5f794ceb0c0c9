//! With what a number was read, where the answer says it: `15.1 rule`, `15.1 with=rule`.

use crate::restore::sheet::Question;

use super::figures::unit_of;

/// The instrument that these words name, as the setup writes it, and the words without it.
pub fn taken<'w>(question: &Question, words: &[&'w str]) -> Result<(Option<String>, Vec<&'w str>), String> {
    if let Some(at) = words.iter().position(|word| says_with(word)) {
        let mut named = words[at..].to_vec();
        named[0] = named[0].split_once('=').map_or("", |(_, name)| name);
        named.retain(|word| !word.is_empty());
        let Some((name, length)) = begins(question, &named) else { return Err(unknown(question, &named)) };
        return Ok((Some(name), [&words[..at], &named[length..]].concat()));
    }
    for at in 0..words.len() {
        // A unit's word is the unit.
        if let Some((name, length)) = begins(question, &words[at..]).filter(|_| unit_of(words[at]).is_none())
        {
            return Ok((Some(name), [&words[..at], &words[at + length..]].concat()));
        }
    }
    Ok((None, words.to_vec()))
}

/// Whether what follows is an instrument and nothing else.
fn says_with(word: &str) -> bool {
    let small = word.to_lowercase();
    small == "with" || small == "by" || small.starts_with("with=")
}

/// The instrument with whose name the words begin, and how many of them it takes; the longest name wins.
fn begins(question: &Question, words: &[&str]) -> Option<(String, usize)> {
    let bare = |word: &str| word.trim_matches('"').to_lowercase();
    let said: Vec<String> = words.iter().map(|word| bare(word)).collect();
    let named = question.instruments.iter().filter_map(|name| {
        let parts: Vec<String> = name.split_whitespace().map(bare).collect();
        (!parts.is_empty() && said.starts_with(&parts)).then(|| (name.clone(), parts.len()))
    });
    named.max_by_key(|(_, length)| *length)
}

fn unknown(question: &Question, named: &[&str]) -> String {
    let known = question.instruments.join(", ");
    match named.first() {
        _ if known.is_empty() => "The setup has no instrument that reads this: leave it out.".to_owned(),
        None => format!("Say which instrument: {known}."),
        Some(name) => format!("`{name}` is no instrument of the setup that reads this: {known}."),
    }
}
