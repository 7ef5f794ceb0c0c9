//! A setup file's text as a light tree of nodes, each with its place in bytes.
//!
//! Knows the language the files are written in (KDL 2.0) and refuses to know setups: which names and units
//! exist is for the rooms that read the tree. The tree comes from the event stream of `just-kdl`; a document
//! tree with formatting is only needed to write, and costs about eighteen times as much.
//!
//! The reader stops at its first error. To report every mistake at once, each mistake is painted over with
//! harmless characters of the same length in a copy and the copy is read again, so every place stays true
//! and no mistake brings others after it. A sound file is read once and not copied.

mod glued;
mod mend;
mod mend_blocks;
mod mend_shape;
mod mend_text;
mod patch;
pub(in crate::setup) mod scan;
#[cfg(test)]
mod tests;
mod tree;

pub use patch::{Edit, Parsed, Parser};
pub use scan::block_comment_end;
pub use smol_str::SmolStr as Text;

use std::borrow::Cow;

use super::span::{LineIndex, Span};

/// The largest file that is read, in bytes.
pub const LARGEST_FILE: usize = 1 << 20;
/// How many nodes may stand inside one another, the outermost counted.
pub const DEEPEST_NESTING: usize = 64;
/// After so many syntax faults in one file the rest is not looked at.
pub const MOST_FAULTS: usize = 20;

/// The nodes of a file in the order written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// The outermost nodes.
    pub nodes: Vec<Node>,
}

/// A name with what is written after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The name, without quotes.
    pub name: Text,
    /// What stands in round brackets before the name.
    pub annotation: Option<Annotated>,
    /// The name alone, quotes included.
    pub span: Span,
    /// From the name to the end of the last value or of the block.
    pub whole: Span,
    /// The values without a key, in order.
    pub arguments: Vec<Argument>,
    /// The values with a key, in order, repeated keys included.
    pub properties: Vec<Property>,
    /// The nodes in the block.
    pub children: Vec<Node>,
    /// True if a block in curly brackets is written, even an empty one.
    pub has_block: bool,
    /// True if a syntax fault lies between the name and the block or line end: what the node then lacks or
    /// has too much follows from that fault and deserves no second one.
    pub broken: bool,
}

impl Node {
    /// The property of that key, the first if it stands twice.
    pub fn property(&self, key: &str) -> Option<&Property> {
        self.properties.iter().find(|property| &*property.key == key)
    }

    /// The first node of that name in the block.
    pub fn child(&self, name: &str) -> Option<&Node> {
        self.children.iter().find(|child| &*child.name == name)
    }
}

/// A word in round brackets before a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Annotated {
    /// The word.
    pub text: Text,
    /// The word with its brackets.
    pub span: Span,
}

/// A value without a key.
#[derive(Debug, Clone, PartialEq)]
pub struct Argument {
    /// What stands in round brackets before the value: its unit.
    pub annotation: Option<Text>,
    /// The value.
    pub value: Value,
    /// The value with its annotation.
    pub span: Span,
    /// The value alone.
    pub value_span: Span,
}

/// A value with a key: `key=value`.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// The key, without quotes.
    pub key: Text,
    /// The key alone, quotes included.
    pub key_span: Span,
    /// What stands in round brackets before the value: its unit.
    pub annotation: Option<Text>,
    /// The value.
    pub value: Value,
    /// From the key to the end of the value.
    pub span: Span,
    /// The value alone, without key and annotation.
    pub value_span: Span,
}

/// What a value is; the digits of a number as typed are the text under its `value_span`.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Text, quoted or bare.
    Text(Text),
    /// A number, not finite if written `#inf`, `#-inf` or `#nan`.
    Number(f64),
    /// `#true` or `#false`.
    Flag(bool),
    /// `#null`.
    Null,
}

/// A place where the text breaks the rules of the language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SyntaxFault {
    /// Which sort of mistake.
    pub kind: SyntaxFaultKind,
    /// The place.
    pub span: Span,
    /// One sentence: what is wrong.
    pub message: String,
    /// One sentence: what to do.
    pub help: String,
}

/// The sorts of mistake that are told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SyntaxFaultKind {
    /// The file is larger than [`LARGEST_FILE`]; nothing was read.
    TooLarge,
    /// Nodes stand deeper inside one another than [`DEEPEST_NESTING`]; reading stopped there.
    TooDeep,
    /// The bytes are not UTF-8; nothing was read.
    NotUtf8,
    /// A date without quotes.
    BareDate,
    /// A unit written on to its number.
    UnitGlued,
    /// A quote, bracket or comment that is opened and not closed.
    Unclosed,
    /// A closing bracket with nothing to close.
    Unmatched,
    /// Any other mistake.
    Other,
}

/// Reads a file into its tree, with every syntax fault in it in the order of the text.
///
/// Never fails: with faults, the tree holds what could be read around them (nothing for [`TooLarge`] and
/// [`NotUtf8`]). At most [`MOST_FAULTS`] are given.
///
/// [`TooLarge`]: SyntaxFaultKind::TooLarge
/// [`NotUtf8`]: SyntaxFaultKind::NotUtf8
pub fn parse(bytes: &[u8]) -> (Document, Vec<SyntaxFault>) {
    let text = match decode(bytes) {
        Ok(text) => text,
        Err(fault) => return (Document::default(), vec![fault]),
    };
    let mut faults = Vec::new();
    let readable = make_readable(text, &mut faults);
    let grown = tree::grow(&readable, text, &[], &faults);
    if grown.trouble.is_none() {
        return (grown.into_document(), faults);
    }
    mend::read_on(text, readable.into_owned(), grown, faults)
}

fn decode(bytes: &[u8]) -> Result<&str, SyntaxFault> {
    let refusal = |kind, span, message: String, help: &str| {
        Err(SyntaxFault { kind, span, message, help: help.to_owned() })
    };
    if bytes.len() > LARGEST_FILE {
        let message = format!("This file is larger than 1 MiB ({} bytes), so it was not read.", bytes.len());
        let help = "Keep one setup in a file and leave pictures and logs out of it.";
        return refusal(SyntaxFaultKind::TooLarge, Span::default(), message, help);
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let message = "This file is saved as UTF-16, so it was not read.".to_owned();
        return refusal(SyntaxFaultKind::NotUtf8, Span::new(0, 2), message, "Save it as UTF-8.");
    }
    str::from_utf8(bytes).or_else(|error| {
        let start = error.valid_up_to();
        let span = Span::new(start, start + error.error_len().unwrap_or(bytes.len() - start));
        let sound = str::from_utf8(&bytes[..start]).unwrap_or_default();
        let (line, column) = LineIndex::new(sound).line_column(span.start);
        let message = format!(
            "This file is not UTF-8 text: line {line}, column {column} holds a byte that is no character."
        );
        refusal(SyntaxFaultKind::NotUtf8, span, message, "Save it as UTF-8.")
    })
}

/// Works around two slips of just-kdl 0.3.0, in a copy with every character at its old offset: a continued
/// line that ends in CRLF is read as ended, and a line of a `"""` text whose indent holds a space of several
/// bytes makes it panic.
fn make_readable<'text>(text: &'text str, faults: &mut Vec<SyntaxFault>) -> Cow<'text, str> {
    let mut readable = Cow::Borrowed(text);
    if text.contains('\\') && text.contains("\r\n") {
        let continued = |line: &&str| {
            line.rsplit_once('\\').is_some_and(|(_, after)| {
                let after = after.trim();
                after.is_empty() || after.starts_with("//") || after.starts_with("/*")
            })
        };
        for line in text.split_inclusive('\n').filter(|line| line.ends_with("\r\n")).filter(continued) {
            let end = offset_in(text, line) + line.len();
            readable.to_mut().replace_range(end - 2..end - 1, " ");
        }
    }
    if !text.is_ascii() && text.contains("\"\"\"") {
        for line in text.split(scan::is_line) {
            let indent = &line[..line.len() - line.trim_start_matches(scan::is_space).len()];
            if indent.is_ascii() {
                continue;
            }
            let start = offset_in(text, line);
            let span = Span::new(start, start + indent.len());
            readable.to_mut().replace_range(span.range(), &" ".repeat(indent.len()));
            if faults.is_empty() {
                faults.push(unusual_indent(span));
            }
        }
    }
    readable
}

fn unusual_indent(span: Span) -> SyntaxFault {
    SyntaxFault {
        kind: SyntaxFaultKind::Other,
        span,
        message: "This line begins with an unusual space character, which a \"\"\" text cannot measure."
            .into(),
        help: "Replace it with ordinary spaces.".into(),
    }
}

/// Where `part`, a slice of `text`, starts in it.
fn offset_in(text: &str, part: &str) -> usize {
    part.as_ptr().addr() - text.as_ptr().addr()
}
