//! The page of all codes, in Markdown: generated from the list, so that it cannot fall behind it.

use std::fmt::Write;

use crate::catalogue::capital;
use crate::catalogue::code::{CODES, Code, Severity};

/// The page. `example` gives the text of a code's bad example, where there is one to show.
pub fn markdown(example: impl Fn(&Code) -> Option<String>) -> String {
    let mut page = String::from(
        "# What `clampmark check` can find\n\n\
         A **fault** is unsafe, impossible or contradictory. A **caution** is worth stopping for. An **advice** states a\n\
         consequence. Cautions and advice can be acknowledged in the file, with `accept CODE \"why\"`, of one measure or part\n\
         with `on=\"…\"` behind it: what it covers is then told with the reason and counted by itself. Faults cannot be\n\
         acknowledged, nor what says so below.\n\n",
    );
    contents(&mut page);
    for code in CODES {
        section(&mut page, code, example(code).as_deref());
    }
    page
}

fn contents(page: &mut String) {
    for severity in [Severity::Fault, Severity::Caution, Severity::Advice] {
        let codes: Vec<String> = CODES
            .iter()
            .filter(|code| code.severity == severity)
            .map(|code| format!("[{0}](#{0})", code.name))
            .collect();
        // Writing to a text cannot fail.
        let _ = writeln!(page, "- {}: {}", severity.word(), codes.join(", "));
    }
}

fn section(page: &mut String, code: &Code, example: Option<&str>) {
    let _ = write!(
        page,
        "\n## {}\n\n**{}.** {}\n\n{}\n",
        code.name,
        capital(code.severity.word()),
        code.meaning,
        code.remedy
    );
    if code.unridable && code.severity != Severity::Fault {
        page.push_str("\nNobody is to ride so: `check` then has exit status 1, as with a fault.\n");
        if code.acceptable {
            page.push_str(if code.meant {
                "Where it is meant and accepted with the reason, whoever knows of it may.\n"
            } else {
                "An `accept` gives the reason; every page tells of it all the same.\n"
            });
        }
    }
    if !code.acceptable {
        page.push_str("\nIt cannot be acknowledged: it is said until it is gone.\n");
    }
    if let Some(example) = example {
        let _ = write!(page, "\n```kdl\n{}\n```\n", example.trim_end());
    }
}
