//! What the three versions are called where they come from: a branch, a commit, a stash.

use serde::Serialize;

use super::session::Side;

/// The names of the versions, as far as they are known.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Labels {
    /// Of what both came from.
    pub base: Option<String>,
    /// Of ours: `HEAD`.
    pub ours: Option<String>,
    /// Of theirs: `wet-race`.
    pub theirs: Option<String>,
}

impl Labels {
    /// From the words git gives; a git that knows no such words gives its own place-holders.
    pub fn of(base: Option<&str>, ours: Option<&str>, theirs: Option<&str>) -> Labels {
        let known = |word: Option<&str>, holder: &str| {
            let word = word.filter(|word| *word != holder)?;
            let line = word.split(|c: char| c.is_whitespace() || c.is_control());
            let line = line.filter(|part| !part.is_empty()).map(in_short).collect::<Vec<_>>().join(" ");
            (!line.is_empty()).then_some(line)
        };
        Labels { base: known(base, "%S"), ours: known(ours, "%X"), theirs: known(theirs, "%Y") }
    }

    /// What a side is called; none where nobody says.
    pub const fn of_side(&self, side: Side) -> Option<&String> {
        match side {
            Side::Ours => self.ours.as_ref(),
            Side::Theirs => self.theirs.as_ref(),
        }
    }

    /// By whose version something is as it is: "as HEAD has it", "as theirs has it". In a rebase ours is what git puts our
    /// changes on, so that the name alone tells whose it is.
    pub fn as_has(&self, side: Side) -> String {
        match self.of_side(side) {
            Some(label) => format!("as {label} has it"),
            None => format!("as {} has it", side.word()),
        }
    }

    /// Its version: "ours (HEAD)".
    pub fn whose(&self, side: Side) -> String {
        named(side.word(), self.of_side(side))
    }
}

/// A commit's whole name in nine digits, as every other page has it; anything else as it is.
fn in_short(part: &str) -> &str {
    let is_whole = matches!(part.len(), 40 | 64) && part.bytes().all(|digit| digit.is_ascii_hexdigit());
    if is_whole { &part[..9] } else { part }
}

/// "ours (HEAD)".
pub fn named(word: &str, label: Option<&String>) -> String {
    label.map_or_else(|| word.to_owned(), |label| format!("{word} ({label})"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_one_line_and_no_place_holder() {
        let labels = Labels::of(Some("%S"), Some(" HEAD\n"), Some("1a2b3c4 (Wet,\ttoo)"));
        assert_eq!(labels.base, None);
        assert_eq!(named("ours", labels.ours.as_ref()), "ours (HEAD)");
        assert_eq!(named("theirs", labels.theirs.as_ref()), "theirs (1a2b3c4 (Wet, too))");
        assert_eq!(Labels::of(None, Some("%X"), Some("")), Labels::default());
        let whole = "8d0468f2a1b3c4d5e6f708192a3b4c5d6e7f8091";
        let labels = Labels::of(Some(whole), Some("HEAD"), Some(&format!("{whole} (left lever down)")));
        assert_eq!(labels.base.as_deref(), Some("8d0468f2a"));
        assert_eq!(labels.theirs.as_deref(), Some("8d0468f2a (left lever down)"));
        // It is another side's place-holder: somebody may call a branch so.
        assert_eq!(Labels::of(None, Some("%Y"), None).ours.as_deref(), Some("%Y"));
    }
}
