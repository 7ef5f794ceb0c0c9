//! Witness marks over the revisions: when each was drawn, and when the recorded position left it.
//!
//! A mark is stale where the position it was drawn at and the recorded one differ by more than reading explains:
//! it then shows whether the joint moved since the drawing, but no longer where the setup wants it. So it is as well where
//! `check` calls it no evidence.

mod angles;
mod ground;
mod seen;
mod standing;

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::{Catalogue, MeasureId};
use crate::check::lines;
use crate::compare::{Bar, went_along};
use crate::geometry::state::State;
use crate::setup::model::{Kind, Mark, Setup};

use super::{Content, Stamp};
pub use angles::Angles;
pub use ground::Ground;
use ground::OfTheDrawing;
use standing::{Standing, standing};

/// What happened to a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// It was drawn for the first time.
    Drawn,
    /// A sheet tells how it was found, or tells that otherwise than before.
    Found,
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
    /// It is no evidence any more, though no recorded position is known to have left it.
    NoEvidence,
    /// It is evidence again, and stands where it is recorded.
    EvidenceAgain,
    /// The slope of the ground is no longer recorded: an angle on it is taken for read on level ground.
    GroundNotRead,
    /// The slope of the ground is recorded now, and was not when it was drawn.
    GroundReadSince,
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
    /// How a sheet found it, as it writes that: broken, off=0.8.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// The same in words: found broken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub found: Option<String>,
    /// The day on which it did.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seen_on: Option<String>,
    /// The day the mark was drawn, as the file says.
    pub drawn_on: Option<String>,
    /// The measures that left the mark, or that hang on the ground.
    pub measures: Vec<String>,
    /// Why it is no evidence any more.
    pub why: Option<String>,
}

/// One mark's story.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkHistory {
    /// The mark's name.
    pub mark: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// Whether it is stale now, or no evidence for another reason.
    pub stale: bool,
    /// That reason, if no recorded position is known to have left it, and how to make it evidence again.
    pub no_evidence: Option<String>,
    /// Whether an angle hangs on the ground: only where it was drawn, or only what is recorded now, tells the slope.
    pub ground: Option<Ground>,
    /// Whether it is no longer recorded.
    pub gone: bool,
    /// How a sheet found it last, in words, and on which day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub found: Option<String>,
    /// Whether a sheet found it otherwise than in line.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub found_off: bool,
    /// What happened, newest first.
    pub events: Vec<MarkEvent>,
}

/// A mark while the history is followed from its beginning.
struct Followed {
    story: MarkHistory,
    drawn: Mark,
    /// The same with the roll at which it was drawn, where somebody knows it.
    on_the_bar: Option<Mark>,
    /// The ground when it was drawn.
    ground: OfTheDrawing,
    /// Where it stands as far as anybody knows.
    standing: Standing,
    /// The bar in the revision before.
    bar: Bar,
    /// Every measure it was ever drawn at.
    fixed: BTreeSet<MeasureId>,
}

impl Followed {
    fn take_away(&mut self, stamp: &Stamp) {
        self.story.gone = true;
        (self.story.stale, self.story.no_evidence, self.story.ground) = (false, None, None);
        self.story.events.push(event(What::Gone, stamp));
    }

    /// What becomes of it with the ground under the file, on which these angles hang.
    fn on_ground(&mut self, stamp: &Stamp, ground: Option<Ground>, angles: Vec<String>) {
        let what = ground.filter(|_| ground != self.story.ground).map(|ground| match ground {
            Ground::NotRead => What::GroundNotRead,
            Ground::ReadSince => What::GroundReadSince,
        });
        self.story.ground = ground;
        if let Some(what) = what {
            self.story.events.push(MarkEvent { measures: angles, ..event(what, stamp) });
        }
    }

    /// What becomes of it where it stands now.
    fn stands(&mut self, stamp: &Stamp, catalogue: &Catalogue, now: Standing) {
        let was_stale = self.story.stale;
        let was_no_evidence = self.story.no_evidence.is_some();
        let (what, measures) = match &now {
            Standing::There if was_no_evidence => (Some(What::EvidenceAgain), Vec::new()),
            Standing::There => (was_stale.then_some(What::TrueAgain), Vec::new()),
            Standing::Left(left) => {
                let measures = left.iter().map(|id| catalogue.path(id)).collect();
                ((!was_stale || was_no_evidence).then_some(What::Stale), measures)
            }
            Standing::NoEvidence { .. } => ((!was_no_evidence).then_some(What::NoEvidence), Vec::new()),
        };
        let why = now.why();
        if let Some(what) = what {
            self.story.events.push(MarkEvent { measures, why: why.clone(), ..event(what, stamp) });
        }
        self.story.stale = now != Standing::There;
        self.story.no_evidence = why;
        self.standing = now;
    }
}

/// The marks of a file while its revisions are followed from the oldest on.
pub struct Marks<'a> {
    catalogue: &'a Catalogue,
    followed: Vec<Followed>,
    angles: Angles,
}

impl<'a> Marks<'a> {
    /// Before the first revision.
    pub fn new(catalogue: &'a Catalogue) -> Self {
        Marks { catalogue, followed: Vec::new(), angles: Angles::default() }
    }

    /// The next revision; one that cannot be read is stepped over.
    pub fn follow(&mut self, stamp: &Stamp, content: &Content) {
        let Ok(setup) = content.setup() else { return };
        self.notice_gone(stamp, setup);
        self.angles.follow(self.catalogue, setup);
        for mark in &setup.marks {
            match setup.kind {
                Kind::Setup => self.look_at(stamp, setup, mark),
                Kind::Found => self.see(stamp, setup, mark),
            }
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
        let ground = || OfTheDrawing::of(self.catalogue, setup, mark);
        let known_roll = || lines::with_its_roll(self.catalogue, setup, mark);
        let place = place.unwrap_or_else(|| {
            let mut new = begun(mark, known_roll(), ground(), bar);
            let what = if stamp.cut { What::ShallowCloneEnds } else { What::Drawn };
            new.story.events.push(drawn(what, stamp, mark));
            self.followed.push(new);
            self.followed.len() - 1
        });
        let known = &mut self.followed[place];
        let carry = known.bar.until(bar);
        known.bar = bar;
        // Where the line says at which roll it was drawn, the one before is held against that.
        let said = mark.roll.as_ref().and(known.on_the_bar.clone());
        let earlier = said.unwrap_or_else(|| known.drawn.clone());
        let is_same = is_same_drawing(&earlier, mark);
        // A line on a bar that was rolled or cut reads otherwise, and is the one it was.
        let went_along = !is_same && went_along(&earlier, mark, carry);
        if known.story.gone && is_same {
            known.story.gone = false;
            known.story.events.push(drawn(What::Back, stamp, mark));
        } else if known.story.gone || !is_same && !went_along {
            let events = std::mem::take(&mut known.story.events);
            let fixed = std::mem::take(&mut known.fixed);
            *known = begun(mark, known_roll(), ground(), bar);
            known.story.events = events;
            known.fixed.extend(fixed);
            known.story.events.push(drawn(What::DrawnAnew, stamp, mark));
        }
        if went_along {
            (known.drawn, known.on_the_bar) = (mark.clone(), known_roll());
            known.ground.goes_along(ground());
        } else if known.drawn.roll.is_none() && mark.roll.is_some() {
            // That somebody wrote down at which roll it was drawn draws no line.
            (known.drawn, known.on_the_bar) = (mark.clone(), known_roll());
        }
        known.ground.is_told_by(setup);
        let (told, angles) = known.ground.told_on_one_side(self.catalogue, setup);
        known.on_ground(stamp, told, angles);
        let now = standing(self.catalogue, (known, &self.angles), setup, mark);
        known.stands(stamp, self.catalogue, now);
    }
}

fn begun(mark: &Mark, on_the_bar: Option<Mark>, ground: OfTheDrawing, bar: Bar) -> Followed {
    let story = MarkHistory {
        mark: mark.name.value.clone(),
        joint: mark.on.as_ref().map(|on| on.value.clone()),
        stale: false,
        no_evidence: None,
        ground: None,
        gone: false,
        found: None,
        found_off: false,
        events: Vec::new(),
    };
    let fixed = mark.drawn.iter().map(|(id, _)| id.clone()).collect();
    Followed { story, drawn: mark.clone(), on_the_bar, ground, standing: Standing::There, bar, fixed }
}

fn drawn(what: What, stamp: &Stamp, mark: &Mark) -> MarkEvent {
    MarkEvent { drawn_on: mark.drawn_on.map(|day| day.to_string()), ..event(what, stamp) }
}

fn event(what: What, stamp: &Stamp) -> MarkEvent {
    MarkEvent {
        what,
        revision: stamp.revision.clone(),
        short: stamp.short.clone(),
        date: stamp.date.format("%Y-%m-%d").to_string(),
        state: None,
        found: None,
        seen_on: None,
        drawn_on: None,
        measures: Vec::new(),
        why: None,
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
