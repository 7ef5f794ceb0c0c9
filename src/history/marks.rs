//! Witness marks over the revisions: when each was drawn, and when the recorded position left it.
//!
//! A mark is stale where the position it was drawn at and the recorded one differ by more than reading explains:
//! it then shows whether the joint moved since the drawing, but no longer where the setup wants it.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId, joint};
use crate::check::lines;
use crate::compare::{Bar, went_along};
use crate::geometry::state::State;
use crate::metrology::reading::Reading;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, Setup, Value};

use super::{Content, Stamp};

/// What happened to a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// It was drawn for the first time.
    Drawn,
    /// It is there in the oldest revision of a shallow clone: when it was drawn is not in this clone.
    ShallowCloneEnds,
    /// It was drawn again, at another position or on another day.
    DrawnAnew,
    /// It is recorded again, as it was drawn.
    Back,
    /// The recorded position left it.
    Stale,
    /// The recorded position came back to it.
    TrueAgain,
    /// It is no longer recorded.
    Gone,
}

/// One thing that happened to a mark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkEvent {
    /// What.
    pub what: What,
    /// The full hash of the revision that recorded it.
    pub revision: String,
    /// The shortened hash.
    pub short: String,
    /// The day of that revision.
    pub date: String,
    /// The day the mark was drawn, as the file says.
    pub drawn_on: Option<String>,
    /// The measures that left the mark.
    pub measures: Vec<String>,
}

/// One mark's story.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkHistory {
    /// The mark's name.
    pub mark: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// Whether it is stale now.
    pub stale: bool,
    /// Whether it is no longer recorded.
    pub gone: bool,
    /// What happened, newest first.
    pub events: Vec<MarkEvent>,
}

/// A mark while the history is followed from its beginning.
struct Followed {
    story: MarkHistory,
    drawn: Mark,
    /// The same with the roll at which it was drawn, where somebody knows it.
    on_the_bar: Option<Mark>,
    /// The floor when it was drawn.
    floor: Option<Reading>,
    /// The bar in the revision before.
    bar: Bar,
    /// Every measure it was ever drawn at.
    fixed: BTreeSet<MeasureId>,
}

impl Followed {
    fn take_away(&mut self, stamp: &Stamp) {
        self.story.gone = true;
        self.story.stale = false;
        self.story.events.push(event(What::Gone, stamp, None, Vec::new()));
    }
}

/// The marks of a file while its revisions are followed from the oldest on.
pub struct Marks<'a> {
    catalogue: &'a Catalogue,
    followed: Vec<Followed>,
}

impl<'a> Marks<'a> {
    /// Before the first revision.
    pub fn new(catalogue: &'a Catalogue) -> Self {
        Marks { catalogue, followed: Vec::new() }
    }

    /// The next revision; one that cannot be read is stepped over.
    pub fn follow(&mut self, stamp: &Stamp, content: &Content) {
        let Ok(setup) = content.setup() else { return };
        self.notice_gone(stamp, setup);
        for mark in &setup.marks {
            self.look_at(stamp, setup, mark);
        }
    }

    /// The file was deleted, and its marks with it.
    pub fn delete(&mut self, stamp: &Stamp) {
        for known in self.followed.iter_mut().filter(|known| !known.story.gone) {
            known.take_away(stamp);
        }
    }

    /// The story, newest event first, of every mark that ever fixed one of these measures; of all if there are none.
    pub fn finish(self, measures: &[MeasureId]) -> Vec<MarkHistory> {
        let fits = |mark: &Followed| {
            measures.is_empty() || measures.iter().any(|measure| mark.fixed.contains(measure))
        };
        let mut stories: Vec<MarkHistory> =
            self.followed.into_iter().filter(fits).map(|mark| mark.story).collect();
        for story in &mut stories {
            story.events.reverse();
        }
        stories
    }

    fn notice_gone(&mut self, stamp: &Stamp, setup: &Setup) {
        for known in &mut self.followed {
            let here = setup.marks.iter().any(|mark| mark.name.value == known.drawn.name.value);
            if !here && !known.story.gone {
                known.take_away(stamp);
            }
        }
    }

    fn look_at(&mut self, stamp: &Stamp, setup: &Setup, mark: &Mark) {
        let place = self.followed.iter().position(|known| known.drawn.name.value == mark.name.value);
        let bar = Bar::of(&State::recorded(self.catalogue, setup));
        let floor = || setup.reading(&MeasureId::bike(FLOOR)).cloned();
        let known_roll = || lines::with_its_roll(self.catalogue, setup, mark);
        let place = place.unwrap_or_else(|| {
            let mut new = begun(mark, known_roll(), floor(), bar);
            let what = if stamp.cut { What::ShallowCloneEnds } else { What::Drawn };
            new.story.events.push(event(what, stamp, Some(mark), Vec::new()));
            self.followed.push(new);
            self.followed.len() - 1
        });
        let known = &mut self.followed[place];
        let carry = known.bar.until(bar);
        known.bar = bar;
        // Where the line says at which roll it was drawn, the one before is held against that.
        let said = mark.roll.as_ref().and(known.on_the_bar.clone());
        let drawn = said.unwrap_or_else(|| known.drawn.clone());
        let is_same = is_same_drawing(&drawn, mark);
        // A line on a bar that was rolled or cut reads otherwise, and is the one it was.
        let went_along = !is_same && went_along(&drawn, mark, carry);
        if known.story.gone && is_same {
            known.story.gone = false;
            known.story.events.push(event(What::Back, stamp, Some(mark), Vec::new()));
        } else if known.story.gone || !is_same && !went_along {
            let events = std::mem::take(&mut known.story.events);
            let fixed = std::mem::take(&mut known.fixed);
            *known = begun(mark, known_roll(), floor(), bar);
            known.story.events = events;
            known.fixed.extend(fixed);
            known.story.events.push(event(What::DrawnAnew, stamp, Some(mark), Vec::new()));
        }
        if went_along {
            (known.drawn, known.on_the_bar, known.floor) = (mark.clone(), known_roll(), floor());
        } else if known.drawn.roll.is_none() && mark.roll.is_some() {
            // That somebody wrote down at which roll it was drawn draws no line.
            (known.drawn, known.on_the_bar) = (mark.clone(), known_roll());
        }
        let left = left_behind(self.catalogue, known, setup);
        if known.story.stale == left.is_empty() {
            let what = if left.is_empty() { What::TrueAgain } else { What::Stale };
            known.story.stale = !left.is_empty();
            known.story.events.push(event(what, stamp, None, left));
        }
    }
}

fn begun(mark: &Mark, on_the_bar: Option<Mark>, floor: Option<Reading>, bar: Bar) -> Followed {
    let story = MarkHistory {
        mark: mark.name.value.clone(),
        joint: mark.on.as_ref().map(|on| on.value.clone()),
        stale: false,
        gone: false,
        events: Vec::new(),
    };
    let fixed = mark.drawn.iter().map(|(id, _)| id.clone()).collect();
    Followed { story, drawn: mark.clone(), on_the_bar, floor, bar, fixed }
}

fn event(what: What, stamp: &Stamp, mark: Option<&Mark>, measures: Vec<String>) -> MarkEvent {
    MarkEvent {
        what,
        revision: stamp.revision.clone(),
        short: stamp.short.clone(),
        date: stamp.date.format("%Y-%m-%d").to_string(),
        drawn_on: mark.and_then(|mark| mark.drawn_on).map(|day| day.to_string()),
        measures,
    }
}

/// The same line on the same joint: where it stands in the text does not matter.
fn is_same_drawing(was: &Mark, now: &Mark) -> bool {
    let joint = |mark: &Mark| mark.on.as_ref().map(|on| on.value.clone());
    let places = was.drawn.len() == now.drawn.len()
        && was.drawn.iter().zip(&now.drawn).all(|(was, now)| was.0 == now.0 && was.1.value == now.1.value);
    let rolls = lines::said(was).zip(lines::said(now)).is_none_or(|(was, now)| was == now);
    joint(was) == joint(now) && places && rolls && was.drawn_on == now.drawn_on
}

fn is_off_the_bar(id: &MeasureId) -> bool {
    !joint::is_control_angle(id.row)
}

/// The measures whose recorded position is no longer the drawn one.
fn left_behind(catalogue: &Catalogue, known: &Followed, setup: &Setup) -> Vec<String> {
    let floor = setup.reading(&MeasureId::bike(FLOOR));
    let left = known.drawn.drawn.iter().filter(|(id, drawn)| {
        let (Value::Reading(drawn), Some(now)) = (&drawn.value, setup.reading(id)) else { return false };
        let Some(line) = known.on_the_bar.as_ref().or_else(|| is_off_the_bar(id).then_some(&known.drawn))
        else {
            return true;
        };
        let rolled = lines::rolled(catalogue, setup, line, id);
        let mut delta = now.value() - drawn.value() - rolled.degrees;
        let mut expanded = now.expanded_uncertainty().hypot(drawn.expanded_uncertainty());
        expanded = expanded.hypot(rolled.expanded_uncertainty());
        // An angle read on another slope is taken to level before it is compared.
        let sign = match catalogue.measure(id.row).gravity {
            Gravity::None => 0.0,
            Gravity::TipDown => 1.0,
            Gravity::NoseUp => -1.0,
        };
        if let (Some(then), Some(floor)) = (&known.floor, floor)
            && sign != 0.0
            && !then.is_same_reading(floor)
        {
            delta += sign * (floor.value() - then.value());
            expanded = expanded.hypot(floor.expanded_uncertainty()).hypot(then.expanded_uncertainty());
        }
        judge(delta, expanded) == Verdict::Moved
    });
    left.map(|(id, _)| catalogue.path(id)).collect()
}
