//! Our part of git's local configuration: a block of its own at the file's end, known by the lines around it.
//!
//! Of several values git takes the last one, so the block holds whatever stands before it, and taking it out leaves
//! every byte that somebody else wrote. What the user then changes inside the block through git is theirs and stays.

use gix::bstr::{BStr, ByteSlice};
use gix::config::{File, Source, file::Metadata};

use std::path::Path;

use super::super::LedgerError;

const FIRST: &str = "# Written by `clampmark adopt`; `clampmark adopt --undo` takes it away.";
const LAST: &str = "# So far `clampmark adopt`.";

/// What git fills in for our merge: the file's path, how long its marks of a conflict are, where the three versions come
/// from, and the versions. A git that knows no such names leaves their place-holders as they are.
///
/// Where the program cannot be run (126 and 127: POSIX, "Exit Status for Commands"), as from a window that knows another
/// PATH, git would leave ours alone in the file, with nothing to tell of theirs: its own merge by lines is better. There a
/// place-holder that was left as it is would end up as a version's name.
const DRIVER: &str = " merge --path=%P --marker-size=%L --base-label=%S --ours-label=%X --theirs-label=%Y -- %O %A %B; \
                      code=$?; case $code in 126|127) ;; *) exit $code ;; esac; \
                      case %X in %%X) git merge-file --diff3 --marker-size=%L -L ours -L base -L theirs %A %O %B ;; \
                      *) git merge-file --diff3 --marker-size=%L -L %X -L %S -L %Y %A %O %B ;; esac";
/// The same as it was written before: still ours.
const EARLIER_DRIVERS: [&str; 4] = [
    " merge --path=%P -- %O %A %B",
    " merge --path=%P --base-label=%S --ours-label=%X --theirs-label=%Y -- %O %A %B",
    " merge --path=%P --marker-size=%L --base-label=%S --ours-label=%X --theirs-label=%Y -- %O %A %B",
    " merge --path=%P --marker-size=%L --base-label=%S --ours-label=%X --theirs-label=%Y -- %O %A %B; code=$?; case $code in \
     126|127) ;; *) exit $code ;; esac; git merge-file --diff3 --marker-size=%L -L %X -L %S -L %Y %A %O %B",
];

/// What adopting did beside the configuration: undoing it takes away that and no more.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Records {
    /// The attributes files it wrote its line in, from the top of the working tree.
    pub attributes: Vec<String>,
    /// The ledgers it was done for, from the top of the working tree.
    pub ledgers: Vec<String>,
    /// How many folders it made for the hook.
    pub hook_folders: usize,
}

impl Records {
    /// All ledgers of the repository that were adopted. An earlier version recorded their attributes files alone.
    pub fn places(&self) -> Vec<String> {
        let mut places = self.ledgers.clone();
        for file in &self.attributes {
            let place = folder_of(file);
            if !places.iter().any(|known| known == place) {
                places.push(place.to_owned());
            }
        }
        places
    }
}

/// The folder of a file, `.` for the top.
pub fn folder_of(file: &str) -> &str {
    file.rsplit_once('/').map_or(".", |(folder, _)| folder)
}

/// Section, key and value.
type Setting = (&'static str, &'static str, String);

/// The settings that make git understand setups. A path may begin with a hyphen and is no option for that.
pub fn settings(program: &str) -> Vec<Setting> {
    vec![
        ("diff", "command", format!("{program} git-diff --")),
        ("diff", "textconv", format!("{program} git-text --")),
        ("merge", "name", "setups, measure by measure".to_owned()),
        // A `%` of the program's own place is none of git's place-holders.
        ("merge", "driver", format!("{}{DRIVER}", program.replace('%', "%%"))),
    ]
}

/// What a configuration says, as far as it is ours.
pub struct Known {
    file: File,
    /// What adopting wrote down.
    pub records: Records,
}

impl Known {
    /// Reads a configuration.
    pub fn of(path: &Path, text: &[u8]) -> Result<Known, LedgerError> {
        let failed = LedgerError::git("Reading git's configuration");
        let metadata = Metadata::from(Source::Local).at(path);
        let options = gix::config::file::init::Options::default();
        let file = File::from_bytes_no_includes(text, metadata, options).map_err(failed)?;
        let values = |key: &str| file.raw_values_by("clampmark", None, key).unwrap_or_default();
        let texts = |key: &str| -> Vec<String> {
            values(key).into_iter().map(|value| value.to_str_lossy().into_owned()).collect()
        };
        let records = Records {
            attributes: texts("attributes"),
            ledgers: texts("ledger"),
            hook_folders: values("hookFolders")
                .last()
                .and_then(|count| count.to_str().ok()?.parse().ok())
                .unwrap_or(0),
        };
        Ok(Known { file, records })
    }

    /// Whether git merges setups by a line of ours that an earlier version wrote.
    pub fn has_earlier_driver(&self) -> bool {
        let driver = self.file.raw_value_by("merge", Some(BStr::new("clampmark")), "driver").ok();
        let ends = |driver: &[u8]| EARLIER_DRIVERS.iter().any(|earlier| driver.ends_with(earlier.as_bytes()));
        driver.is_some_and(|driver| ends(driver.as_bytes()))
    }

    /// Whether a setting has that value.
    pub fn has(&self, (section, key, value): &Setting) -> bool {
        let known = self.file.raw_value_by(*section, Some(BStr::new("clampmark")), *key).ok();
        known.is_some_and(|known| known.as_bytes() == value.as_bytes())
    }
}

/// A configuration without our block.
pub fn without_block(text: &[u8]) -> Vec<u8> {
    let lines: Vec<&[u8]> = text.lines_with_terminator().collect();
    let is = |line: &[u8], mark: &str| line.trim() == mark.as_bytes();
    let Some(first) = lines.iter().position(|line| is(line, FIRST)) else { return text.to_vec() };
    let last = lines[first..].iter().position(|line| is(line, LAST)).map(|length| first + length + 1);
    // Somebody took the last line away: then the block ends where a section begins that is none of ours.
    let foreign = |line: &&[u8]| line.trim().starts_with(b"[") && !is_our_head(line);
    let last = last.unwrap_or_else(|| {
        lines[first..].iter().position(foreign).map_or(lines.len(), |length| first + length)
    });
    let theirs = added_by_others(&lines[first..last]);
    let mut before = lines[..first].concat();
    // The file had no line end at its end: then the block has none either.
    if theirs.is_empty() && last == lines.len() && !text.ends_with(b"\n") && before.ends_with(b"\n") {
        before.pop();
    }
    [before, theirs, lines[last..].concat()].concat()
}

/// A configuration without these keys of our block, and what was taken out.
pub fn without_records(text: &[u8], own: &[(&str, &str)]) -> (Vec<u8>, Vec<String>) {
    let lines: Vec<&[u8]> = text.lines_with_terminator().collect();
    let is = |line: &[u8], mark: &str| line.trim() == mark.as_bytes();
    let Some(first) = lines.iter().position(|line| is(line, FIRST)) else {
        return (text.to_vec(), Vec::new());
    };
    let last = lines[first..].iter().position(|line| is(line, LAST)).map_or(lines.len(), |end| first + end);
    let recorded = |line: &[u8]| {
        own.iter().find(|(key, value)| is(line, &format!("{key} = {}", quoted(value)))).copied()
    };
    let (mut now, mut out) = (Vec::new(), Vec::new());
    for (place, line) in lines.iter().enumerate() {
        match recorded(line).filter(|_| (first..last).contains(&place)) {
            Some((key, value)) => out.push(format!("clampmark.{key} = {value}")),
            None => now.extend_from_slice(line),
        }
    }
    (now, out)
}

/// What of our block is as it was written, as `section.subsection.key = value`.
pub fn written(text: &[u8]) -> Vec<String> {
    let text = text.to_str_lossy();
    let block = text.lines().map(str::trim).skip_while(|line| *line != FIRST).skip(1);
    let (mut head, mut section) = ("", String::new());
    let mut written = Vec::new();
    for line in block.take_while(|line| *line != LAST) {
        if let Some(name) = line.strip_prefix('[') {
            head = line;
            section = name.trim_end_matches(']').replace(' ', ".").replace('"', "");
        } else if let Some((key, value)) = line.split_once(" = ").filter(|_| is_ours(head, line)) {
            written.push(format!("{section}.{key} = {}", value.trim_matches('"')));
        }
    }
    written
}

/// What others put into our block, each line under its section's head.
fn added_by_others(block: &[&[u8]]) -> Vec<u8> {
    let mut kept = Vec::new();
    let mut head: Option<&[u8]> = None;
    let mut section = String::new();
    for line in block {
        let trimmed = line.trim();
        if trimmed.starts_with(b"[") {
            head = Some(line);
            section = trimmed.to_str_lossy().into_owned();
        } else if !is_ours(&section, &trimmed.to_str_lossy()) {
            kept.extend_from_slice(head.take().unwrap_or_default());
            kept.extend_from_slice(line);
        }
    }
    kept
}

/// Whether a line begins one of the sections we write.
fn is_our_head(line: &[u8]) -> bool {
    let heads = ["[diff \"clampmark\"]", "[merge \"clampmark\"]", "[clampmark]"];
    heads.iter().any(|head| line.trim() == head.as_bytes())
}

/// Whether a line of the block is as it was written under that head, perhaps by a program in another place.
fn is_ours(head: &str, line: &str) -> bool {
    let settings = settings("").into_iter();
    let settings = settings.map(|(section, key, value)| (format!("[{section} \"clampmark\"]"), key, value));
    let earlier =
        EARLIER_DRIVERS.map(|driver| ("[merge \"clampmark\"]".to_owned(), "driver", driver.to_owned()));
    let records =
        ["attributes", "ledger", "hookFolders"].map(|key| ("[clampmark]".to_owned(), key, String::new()));
    let as_written = |(under, key, end): (String, &str, String)| {
        let value = line.strip_prefix(key).and_then(|rest| rest.strip_prefix(" = \"")?.strip_suffix('"'));
        under == head && value.is_some_and(|value| value.ends_with(&end))
    };
    line == FIRST || line == LAST || settings.chain(earlier).chain(records).any(as_written)
}

/// A configuration with our block at its end.
pub fn with_block(text: &[u8], settings: &[Setting], records: &Records) -> Vec<u8> {
    let mut block = vec![FIRST.to_owned()];
    let mut section = "";
    for (of, key, value) in settings {
        if *of != section {
            section = of;
            block.push(format!("[{section} \"clampmark\"]"));
        }
        block.push(format!("\t{key} = {}", quoted(value)));
    }
    if *records != Records::default() {
        block.push("[clampmark]".to_owned());
    }
    block.extend(records.attributes.iter().map(|path| format!("\tattributes = {}", quoted(path))));
    block.extend(records.ledgers.iter().map(|place| format!("\tledger = {}", quoted(place))));
    if records.hook_folders > 0 {
        block.push(format!("\thookFolders = \"{}\"", records.hook_folders));
    }
    block.push(LAST.to_owned());
    let block = block.join("\n");
    let (before, after) = if text.is_empty() || text.ends_with(b"\n") { ("", "\n") } else { ("\n", "") };
    [text, before.as_bytes(), block.as_bytes(), after.as_bytes()].concat()
}

/// A value as git reads it back: git-config(1), "Syntax".
fn quoted(value: &str) -> String {
    let value = value.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n").replace('\t', "\\t");
    format!("\"{value}\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block_on(text: &str) -> String {
        let records = Records {
            attributes: vec![".gitattributes".to_owned()],
            ledgers: vec![".".to_owned()],
            hook_folders: 1,
        };
        let text = with_block(text.as_bytes(), &settings("'/a \"b\"\\c'"), &records);
        String::from_utf8(text).expect("text")
    }

    fn off(text: &str) -> String {
        String::from_utf8(without_block(text.as_bytes())).expect("text")
    }

    #[test]
    fn what_was_put_in_reads_as_it_was_meant_and_comes_out_to_the_byte() {
        for text in
            ["", "[core]\n\tbare = false\n", "[core]\n\tbare = false", "[diff \"clampmark\"]\n\n", "\n"]
        {
            let with = block_on(text);
            assert_eq!(off(&with), text);
            let known = Known::of(Path::new("config"), with.as_bytes()).expect("sound");
            assert!(settings("'/a \"b\"\\c'").iter().all(|setting| known.has(setting)), "{with}");
            assert_eq!(known.records.attributes, [".gitattributes"]);
            assert_eq!(known.records.hook_folders, 1);
        }
    }

    #[test]
    fn what_others_wrote_into_it_and_after_it_stays() {
        let with = block_on("[core]\n\tbare = false\n");
        let with = with.replace("[merge", "\tbinary = false\n[merge") + "[user]\n\tname = Demo Rider\n";
        let expected =
            "[core]\n\tbare = false\n[diff \"clampmark\"]\n\tbinary = false\n[user]\n\tname = Demo Rider\n";
        assert_eq!(off(&with), expected);
        // One of ours that was changed is theirs.
        let changed = block_on("").replace("name = \"setups, measure by measure\"", "name = mine");
        assert_eq!(off(&changed), "[merge \"clampmark\"]\n\tname = mine\n");
    }

    #[test]
    fn a_block_that_an_earlier_version_wrote_comes_out_whole() {
        let before = "[core]\n\tbare = false\n";
        for driver in EARLIER_DRIVERS {
            let earlier = block_on(before).replace(DRIVER, driver);
            assert!(earlier.contains(driver) && !earlier.contains(DRIVER), "{earlier}");
            assert_eq!(off(&earlier), before);
        }
    }

    #[test]
    fn a_line_like_ours_in_a_section_of_others_is_theirs() {
        let foreign = "[alias]\n\tname = \"setups, measure by measure\"\n";
        let with = block_on("").replace(LAST, &format!("{foreign}{LAST}"));
        assert_eq!(off(&with), foreign);
    }

    #[test]
    fn a_block_without_its_last_line_ends_at_the_first_foreign_section() {
        let open = block_on("").replace(&format!("{LAST}\n"), "");
        let foreign = "[alias]\n\tname = \"setups, measure by measure\"\n";
        assert_eq!(off(&format!("{open}{foreign}")), foreign);
    }
}
