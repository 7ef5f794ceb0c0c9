//! Why a mark without a line is not drawn anew though that was asked for.

use serde::Serialize;

use crate::catalogue::joint;
use crate::setup::edit::Edit;
use crate::setup::model::{Mark, Setup};

use super::super::evidence::{self, NoNews};
use super::super::keep::MarkLost;
use super::Options;
use super::redraw::Redraw;

/// One mark that still has no line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NotDrawn {
    /// Its name.
    pub mark: String,
    /// What it can show and the sheet does not read, by their written paths.
    pub unread: Vec<String>,
    /// All of it, in sentences.
    pub words: String,
    /// Whether it was asked to be drawn anew. Else it stands as before, and nothing is to be done that was not to be done before.
    #[serde(skip)]
    pub was_asked: bool,
}

/// All of them: those that were to be drawn, and those that a sheet finds as their old line was left.
pub(super) fn told(
    redraw: &Redraw,
    edit: &Edit,
    lost: &[MarkLost],
    old: Vec<NoNews>,
    options: &Options,
) -> Vec<NotDrawn> {
    let mut told = if options.redraw { all(redraw, edit, lost) } else { Vec::new() };
    told.extend(no_news(old, edit.setup(), &told));
    for one in &mut told {
        one.was_asked = options.redraw;
    }
    told
}

/// The marks that the sheet speaks of and that have no line, from before or because their part was replaced; of the
/// `lost` it is said elsewhere.
fn all(redraw: &Redraw, edit: &Edit, lost: &[MarkLost]) -> Vec<NotDrawn> {
    let was_drawn = |name: &str| {
        let mark = redraw.before.mark(name);
        mark.is_some_and(|mark| !mark.drawn.is_empty()) && !redraw.is_replaced(name)
    };
    let marks = edit.setup().marks.iter();
    let marks = marks.filter(|mark| mark.drawn.is_empty() && !was_drawn(&mark.name.value));
    let marks = marks.filter(|mark| !lost.iter().any(|lost| lost.mark == mark.name.value));
    marks.filter_map(|mark| one(redraw, edit, mark)).collect()
}

/// Those that a sheet finds as their old line was left: nothing is written for that. Of the `told` it is said already.
fn no_news(old: Vec<NoNews>, setup: &Setup, told: &[NotDrawn]) -> Vec<NotDrawn> {
    let old = old.into_iter().filter(|old| !told.iter().any(|one| one.mark == old.mark));
    let is_undrawn = |old: &NoNews| setup.mark(&old.mark).is_some_and(|mark| mark.drawn.is_empty());
    let old = old.filter(is_undrawn);
    let one = |NoNews { mark, since }: NoNews| {
        let on = setup.mark(&mark).and_then(|mark| mark.on.as_ref()).map(|on| joint::title(&on.value));
        let on = on.map(|title| format!(" on the {title}")).unwrap_or_default();
        let since = since.map(|day| format!(" on {day}")).unwrap_or_default();
        let words = format!(
            "Mark {mark}{on} was struck out{since} and is not drawn again: how its old line stands is no news, and \
             nothing is written for it. Draw it, measure there, then record with --mark."
        );
        NotDrawn { mark, unread: Vec::new(), words, was_asked: false }
    };
    old.map(one).collect()
}

fn one(redraw: &Redraw, edit: &Edit, mark: &Mark) -> Option<NotDrawn> {
    let shown = evidence::shown(redraw.catalogue, edit.setup(), mark);
    let on = mark.on.as_ref()?.value.as_str();
    let (read, unread): (Vec<_>, Vec<_>) = shown.iter().partition(|id| redraw.sheet.recorded(id).is_some());
    let is_named = redraw.sheet.seen(&mark.name.value).is_some();
    let is_spoken_of = is_named || !read.is_empty() || redraw.sheet.torque(on).is_some();
    if shown.is_empty() || !is_spoken_of {
        return None;
    }
    let titles: Vec<String> = unread.iter().map(|id| redraw.catalogue.title(id)).collect();
    let why = if let Some(struck) = redraw.struck_later(edit.setup(), mark) {
        format!(
            "it was struck out on {struck}, after the day of the sheet. Measure there again, on a new sheet"
        )
    } else if titles.is_empty() {
        "nothing is written of that joint from this sheet".to_owned()
    } else {
        format!(
            "the sheet does not read: {}. Measure it, add it to the sheet and record with --mark again",
            titles.join(", ")
        )
    };
    Some(NotDrawn {
        mark: mark.name.value.clone(),
        unread: unread.iter().map(|id| redraw.catalogue.path(id)).collect(),
        words: format!("Mark {} on the {} is not drawn anew: {why}.", mark.name.value, joint::title(on)),
        was_asked: false,
    })
}
