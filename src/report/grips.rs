//! The page of `grips`: reach, stack and span first, then both grip points, what follows from them, what is missing,
//! and last the measures they rest on.

use std::collections::BTreeMap;

use crate::geometry::grips::{Assumption, DerivedValue, GripPoint, Grips, Measured, Missing, Report};
use crate::geometry::why::{Share, Why};
use crate::metrology::show;
use crate::metrology::unit::Unit;

use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The derived values that a tired person asks for first.
const FIRST: [&str; 3] = ["grip-reach", "grip-stack", "hand-span"];

/// Shares below this are told in one line.
const SMALL_SHARE: f64 = 0.01;

/// Writes the page.
pub fn page(page: &mut Page, report: &Report) {
    head(page, report);
    let grips = &report.grips;
    if let Some(why) = &report.why {
        explained(page, why);
        return;
    }
    derived(page, "Hands", grips, |name| FIRST.contains(&name));
    points(page, grips);
    derived(page, "Also from these readings", grips, |name| !FIRST.contains(&name));
    missing(page, &grips.missing);
    assumed(page, &grips.assumptions);
    notes(page, &grips.notes);
    measured(page, &grips.measured);
}

fn head(page: &mut Page, report: &Report) {
    let mut at = String::new();
    if let Some(date) = &report.date {
        at = format!(" at {} ({date})", report.label);
    }
    if let Some(day) = &report.measured_on {
        at = format!("{at}, measured {day}");
    }
    page.paragraph(0, 2, &[piece(Label::Title, report.setup.clone()), plain(at)]);
    if let Some(headline) = &report.headline {
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    for finding in &report.findings {
        page.paragraph(0, 2, &[piece(Label::Care, "Read with a fault: "), plain(finding.clone())]);
    }
    page.paragraph(0, 0, &[piece(Label::Quiet, report.grips.axes)]);
}

/// "412.3 ± 2.1 mm".
fn amount(value: f64, uncertainty: f64, unit: Unit) -> String {
    let places = if unit == Unit::One { 2 } else { 1 };
    let (value, expanded) = show::with_uncertainty(value, uncertainty, places);
    format!("{value} ± {expanded}{}", unit.sign())
}

fn derived(page: &mut Page, title: &str, grips: &Grips, is_shown: impl Fn(&str) -> bool) {
    let rows: Vec<Vec<Piece>> = grips
        .derived_in_order()
        .filter(|(name, _)| is_shown(name))
        .map(|(_, value)| derived_row(value))
        .collect();
    if !rows.is_empty() {
        page.title(title);
        page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
    }
}

fn derived_row(value: &DerivedValue) -> Vec<Piece> {
    let amount = amount(value.value, value.uncertainty, value.unit);
    let mut row = vec![plain(value.title), piece(Label::Number, amount)];
    if value.rough {
        row.push(piece(Label::Quiet, "± is rough"));
    }
    row
}

fn points(page: &mut Page, grips: &Grips) {
    let Some(points) = &grips.grips else { return };
    page.title("Grip points");
    let head = ["", "forward", "to the left", "up"].map(|word| piece(Label::Quiet, word)).to_vec();
    let row = |side: &str, point: &GripPoint| {
        let (at, sure) = (&point.at, &point.uncertainty);
        let mut row = vec![plain(side)];
        for (value, uncertainty) in [(at.x, sure.x), (at.y, sure.y), (at.z, sure.z)] {
            row.push(piece(Label::Number, amount(value, uncertainty, Unit::Millimetre)));
        }
        if point.rough {
            row.push(piece(Label::Quiet, "± is rough"));
        }
        row
    };
    let rows = [head, row("left", &points.left), row("right", &points.right)];
    page.table(2, &[Align::Left, Align::Right, Align::Right, Align::Right, Align::Left], &rows);
}

/// What lacks the same measures is told together.
pub fn missing(page: &mut Page, missing: &[Missing]) {
    if missing.is_empty() {
        return;
    }
    page.title("Missing");
    let mut by_need: BTreeMap<&[String], Vec<&Missing>> = BTreeMap::new();
    let mut order: Vec<&[String]> = Vec::new();
    for one in missing {
        by_need.entry(&one.needed).or_default().push(one);
        if !order.contains(&one.needed.as_slice()) {
            order.push(&one.needed);
        }
    }
    let is_of_the_grips = |needed: &&&[String]| by_need.get(*needed).is_some_and(|of| tells_of_the_grips(of));
    let of_the_grips = order.iter().find(is_of_the_grips).copied();
    for needed in &order {
        let of = by_need.get(needed).map(Vec::as_slice).unwrap_or_default();
        let what = match needed {
            [] => "readings that contradict each other; run `clampmark check`".to_owned(),
            _ => besides(needed, of_the_grips),
        };
        page.paragraph(2, 4, &[plain(what), piece(Label::Quiet, format!(" – for {}.", lacking(of)))]);
    }
}

/// What is needed; what the grip points need is told with them, and not again with what needs more.
fn besides(needed: &[String], of_the_grips: Option<&[String]>) -> String {
    let is_more = |known: &&[String]| *known != needed && known.iter().all(|one| needed.contains(one));
    // A few are plainer said again.
    let Some(known) = of_the_grips.filter(is_more).filter(|known| known.len() > 3) else {
        return needed.join(", ");
    };
    let others: Vec<&str> = needed.iter().filter(|one| !known.contains(one)).map(String::as_str).collect();
    format!("the grip points, and {}", others.join(", "))
}

fn tells_of_the_grips(of: &[&Missing]) -> bool {
    of.iter().any(|one| one.derived == "grip-reach")
}

fn lacking(of: &[&Missing]) -> String {
    if tells_of_the_grips(of) {
        return "the grip points and all that follows from them".to_owned();
    }
    of.iter().map(|one| one.title).collect::<Vec<_>>().join(", ")
}

fn assumed(page: &mut Page, assumptions: &[Assumption]) {
    if assumptions.is_empty() {
        return;
    }
    page.title("Assumed, because nobody wrote it down");
    let rows: Vec<Vec<Piece>> = assumptions
        .iter()
        .map(|one| {
            let sign = one.unit.sign();
            vec![
                plain(one.title.clone()),
                piece(Label::Number, format!("{} ± {}{sign}", one.value, one.half_width)),
            ]
        })
        .collect();
    page.table(2, &[Align::Left, Align::Left], &rows);
}

fn notes(page: &mut Page, notes: &[String]) {
    if notes.is_empty() {
        return;
    }
    page.title("To know");
    for note in notes {
        page.paragraph(2, 4, &[plain(note.clone())]);
    }
}

fn measured(page: &mut Page, measured: &[Measured]) {
    if measured.is_empty() {
        return;
    }
    page.title("Measured, ± as finely as it was read");
    let mut before = "";
    let mut rows = Vec::new();
    for one in measured {
        if one.group != before {
            before = &one.group;
            rows.push(vec![piece(Label::Quiet, before)]);
        }
        rows.push(vec![
            plain(format!("  {}", one.title)),
            piece(Label::Number, reading(one)),
            piece(Label::Quiet, one.instrument.clone().unwrap_or_default()),
        ]);
    }
    page.table(2, &[Align::Left, Align::Left, Align::Left], &rows);
}

/// The reading as typed, with its tolerance.
fn reading(one: &Measured) -> String {
    match one.half_width {
        Some(half_width) if half_width > 0.0 => tolerance(&one.written, half_width, one.unit),
        _ => one.written.clone(),
    }
}

/// "62.4 ± 0.1 mm"; in another unit than the reading's "30.75 in ± 1 mm".
fn tolerance(written: &str, half_width: f64, unit: Unit) -> String {
    let half_width = show::plain(half_width, 3);
    let half_width = half_width.trim_end_matches('0').trim_end_matches('.');
    let sign = unit.sign();
    let digits =
        written.strip_suffix(sign).filter(|digits| digits.ends_with(|letter: char| letter.is_ascii_digit()));
    format!("{} ± {half_width}{sign}", digits.unwrap_or(written))
}

fn explained(page: &mut Page, why: &Why) {
    page.blank();
    let mut pieces = vec![
        plain(format!("{}: ", why.title)),
        piece(Label::Number, amount(why.value, why.uncertainty, why.unit)),
    ];
    if why.rough {
        pieces.push(plain(", and ± is rough: the value bends within its readings"));
    }
    page.paragraph(0, 2, &pieces);
    if why.shares.is_empty() {
        page.paragraph(0, 2, &[plain("It rests on nothing uncertain.")]);
        return;
    }
    page.title("Where the ± comes from; measure the first again, or better");
    let (large, small): (Vec<&Share>, Vec<&Share>) =
        why.shares.iter().partition(|share| share.share >= SMALL_SHARE);
    let rows: Vec<Vec<Piece>> = large.into_iter().map(share_row).collect();
    page.table(2, &[Align::Right, Align::Left, Align::Left, Align::Left], &rows);
    if !small.is_empty() {
        let titles: Vec<&str> = small.iter().map(|share| share.title.as_str()).collect();
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Under 1 % each: {}.", titles.join(", ")))]);
    }
}

fn share_row(share: &Share) -> Vec<Piece> {
    let percent = format!("{} %", show::plain(100.0 * share.share, 0));
    let number = match &share.written {
        Some(written) => tolerance(written, share.half_width, share.unit),
        None => tolerance(&share.value.to_string(), share.half_width, share.unit),
    };
    let from = match (&share.written, &share.instrument) {
        (None, _) => "assumed".to_owned(),
        (Some(_), Some(instrument)) => instrument.clone(),
        (Some(_), None) => String::new(),
    };
    vec![
        piece(Label::Number, percent),
        plain(share.title.clone()),
        piece(Label::Number, number),
        piece(Label::Quiet, from),
    ]
}
