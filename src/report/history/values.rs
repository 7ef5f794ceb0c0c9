//! One value over the revisions, with a strip beside it where a person sees it.

use crate::geometry::derived;
use crate::history::{Event, Kept, Known, Place, Series};
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::Verdict;

use super::super::planned;
use super::super::screen::{Align, Label, Page, Piece, piece, plain};

/// The columns of a value's strip.
const STRIP: usize = 19;

/// One value, a row for each revision that changed it. Those that cannot be read are told below all values.
pub fn values(page: &mut Page, series: &Series, plot: bool) {
    page.title(format!("{} ({})", series.title, series.name));
    if series.is_never_recorded() {
        return page.paragraph(2, 4, &[plain(never(series))]);
    }
    let readable = || series.points.iter().filter(|point| point.event != Event::Unreadable);
    let is_news = |point: &&Place| {
        !point.is_as_before() || point.event == Event::Back || point.known.is_some() || point.kept.is_some()
    };
    let points: Vec<&Place> = readable().filter(is_news).collect();
    let scale = Scale::of(&points).filter(|_| plot && points.len() > 1);
    let sign = Unit::of_word(series.unit).sign();
    let row = |point: &Place, said: String| {
        let mut row = vec![plain(point.date.clone()), piece(Label::Number, number(point, sign))];
        row.extend(scale.as_ref().map(|scale| plain(scale.strip(point))));
        row.push(piece(Label::Quiet, said));
        row
    };
    let mut rows: Vec<Vec<Piece>> = points.iter().map(|point| row(point, said(point))).collect();
    if let Some(start) = series.unchanged_since() {
        rows.push(row(start, format!("older: so it stood before that time, {}", start.short)));
    }
    page.table(2, &[Align::Left, Align::Right, Align::Left, Align::Left], &rows);
    let quiet = readable().count() - points.len();
    if quiet > 0 {
        let (which, since) = match series.unchanged_since() {
            Some(_) => ("", " since"),
            None => ("other ", ""),
        };
        let plural = if quiet == 1 { "" } else { "s" };
        let words = format!("Unchanged in {quiet} {which}revision{plural}{since}.");
        page.paragraph(2, 4, &[piece(Label::Quiet, words)]);
    }
}

fn number(point: &Place, sign: &str) -> String {
    match (point.value, point.uncertainty) {
        (Some(value), Some(uncertainty)) => {
            let (value, expanded) = show::with_uncertainty(value, uncertainty, 1);
            format!("{value} ± {expanded}{sign}")
        }
        (Some(value), None) => format!("{}{sign}", show::plain(value, 1)),
        (None, _) => point.written.clone().unwrap_or_else(|| "not recorded".to_owned()),
    }
}

fn said(point: &Place) -> String {
    let rough = if point.rough { ", roughly" } else { "" };
    let what = match (point.event, point.verdict, &point.moved) {
        (Event::Deleted, ..) => "file deleted".to_owned(),
        (_, None, _) if !point.is_recorded() => "not yet".to_owned(),
        (Event::Back, None, _) => "recorded again".to_owned(),
        (Event::ShallowCloneEnds, ..) => {
            "the clone is shallow and ends here, what it was before is not in this clone".to_owned()
        }
        (_, None, _) => "first recorded".to_owned(),
        _ if point.known == Some(Known::LessWell) => "same, known less well".to_owned(),
        _ if point.known == Some(Known::Better) => "same, known better".to_owned(),
        (_, Some(Verdict::Moved), Some(moved)) => moved.clone(),
        (_, Some(verdict), _) => verdict.word().to_owned(),
    };
    let what = if point.event == Event::Back { format!("back: {what}") } else { what };
    let what = point.kept.as_ref().map_or(what, kept);
    let what = point.ground.map_or(what.clone(), |ground| format!("{what}, {ground}"));
    let rough =
        if point.reaches_before { format!("{rough}, in part perhaps older") } else { rough.to_owned() };
    format!("{what}{rough}{}, {}", planned::behind(point.planned), point.short)
}

/// What is said of a value that no revision has.
fn never(series: &Series) -> &'static str {
    match (derived::find(&series.name), &series.start) {
        (Some(_), _) => "Never known: some of the measures it is worked out from are missing.",
        (None, None) => "Never recorded.",
        (None, Some(_)) => "Not recorded in that time.",
    }
}

/// "kept from dcf920b9e, not 28° of f5ab59634".
fn kept(kept: &Kept) -> String {
    let passed = kept.not.iter().map(|passed| {
        let written = passed.written.as_deref().unwrap_or("nothing");
        format!("{written} of {}", passed.short)
    });
    format!("kept from {}, not {}", kept.from, passed.collect::<Vec<_>>().join(" or "))
}

/// The span of values a strip shows.
struct Scale {
    low: f64,
    width: f64,
}

impl Scale {
    fn of(points: &[&Place]) -> Option<Scale> {
        let ends = points.iter().filter_map(|point| {
            let (value, half) = (point.value?, point.uncertainty.unwrap_or(0.0));
            Some((value - half, value + half))
        });
        let (low, high) = ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
        (high > low).then_some(Scale { low, width: high - low })
    }

    /// The value as a point between the ends of its uncertainty, further right for more.
    fn strip(&self, point: &Place) -> String {
        let Some(value) = point.value else { return " ".repeat(STRIP) };
        let half = point.uncertainty.unwrap_or(0.0);
        let last = STRIP - 1;
        let at = |value: f64| {
            let column = ((value - self.low) / self.width * last as f64).round();
            (0..=last).find(|place| *place as f64 >= column).unwrap_or(last)
        };
        let (from, here, to) = (at(value - half), at(value), at(value + half));
        let cell = |place: usize| match place {
            place if place == here => '◆',
            place if (from..=to).contains(&place) => '─',
            _ => ' ',
        };
        (0..STRIP).map(cell).collect()
    }
}
