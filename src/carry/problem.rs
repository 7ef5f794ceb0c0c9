//! What is to be searched: the wanted hands seen from the other frame, and the parts as the search takes them.

mod above;
mod bar;
mod built;
mod doubt;
mod refuse;
mod steerer;
mod straight;

use std::collections::BTreeSet;

pub use above::Above;
use bar::put_bar;
use refuse::{fits_on_the_steerer, not_too_many, piles, some_go_together};
pub use steerer::{Disagreed, Reach};
use steerer::{of_a_plan, spacers, steerer_of};
use straight::{Unknown, is_crooked, straight, straighten};

use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, BAR_ROLL, GRIP_HAND, HEADSET_COVER, SPACERS_BELOW, STEM_ANGLE, STEM_CLAMP_HEIGHT,
    STEM_LENGTH,
};
use crate::catalogue::{Catalogue, MeasureId, Row, Side};
use crate::compare::{Shorter, replaced};
use crate::geometry::cockpit::{Front, Hands};
use crate::geometry::derived::DERIVED;
use crate::geometry::state::{Consequences, Lookup, State};
use crate::geometry::{Number, Vector};
use crate::metrology::reading::Reading;
use crate::setup::model::{Setup, Value};
use crate::trial::{self, ROLL, Refusal};

use super::Wanted;
use super::controls;
use super::parts::{Bar, Parts, Stem};
use super::search::{self, BarOn, Candidate, Pile, StemOn, Task};

/// The name of what is on the bike already.
pub const OWN: &str = "its own";

/// The search, prepared.
pub struct Problem<'a> {
    /// The table.
    pub catalogue: &'a Catalogue,
    /// The stems, every way up.
    pub stems: Vec<StemOn>,
    /// Their names, by their place in the box.
    pub stem_names: Vec<String>,
    /// The bars' names.
    pub bar_names: Vec<String>,
    /// The piles of spacers.
    pub piles: Vec<Pile>,
    /// What to bear in mind.
    pub notes: Vec<String>,
    /// What has to be set straight on the other bike, if it stands crooked.
    pub straighten: Option<String>,
    /// The wanted hands from the other frame.
    pub task: Task,
    bars: Vec<BarOn>,
    parts: Parts,
    spacers: Vec<f64>,
    /// Whether those are the piles recorded on the bike, of which nobody said what they are made of.
    pub spacers_are_recorded: bool,
    wanted: [Vector; 2],
    /// Forward and up the axis.
    front: (Vector, Vector),
    /// The first bike, straight.
    from: Setup,
    /// The other bike as it is.
    as_it_is: Setup,
    /// The same with the hands and controls of the first, straight.
    onto: Setup,
}

impl<'a> Problem<'a> {
    /// Both bikes and the box.
    pub fn new(
        catalogue: &'a Catalogue,
        from: &Setup,
        onto: &Setup,
        parts: &Parts,
    ) -> Result<Problem<'a>, Refusal> {
        let mut notes = Vec::new();
        if is_crooked(catalogue, from) {
            notes.push(format!(
                "{} stands crooked ({}); the position is carried over as if it were straight.",
                from.name.value,
                trial::crooked(catalogue, from).join(", ")
            ));
        }
        // Where the hands are is not known of a bike of which nobody knows how it stands.
        let straight_from = straight(catalogue, from, Unknown::Stays);
        let wanted = hands(catalogue, &straight_from, from)?;
        let mut prepared = straight(catalogue, onto, Unknown::IsSetStraight);
        controls::put_onto(catalogue, from, &mut prepared);
        let (stem_names, stems) = stems(catalogue, onto, &parts.stems)?;
        refuse::pile_that_is_not_there(onto, parts)?;
        let spacers = spacers(catalogue, onto, &parts.spacers);
        let piles = piles(&spacers)?;
        let steerer_left = parts.steerer_left.or_else(|| steerer_of(catalogue, onto));
        notes.extend(
            steerer_left.filter(|_| parts.steerer_left.is_none()).and_then(|left| of_a_plan(onto, left)),
        );
        if steerer_left.is_none() {
            notes.push(
                "How high a pile the steerer takes is not known: any pile of spacers was taken to fit."
                    .to_owned(),
            );
        }
        let (bar_names, bars) = bars(catalogue, &prepared, &parts.bars)?;
        not_too_many(&stems, &bars, &piles)?;
        some_go_together([&stem_names, &bar_names], &stems, &bars)?;
        let front = front(catalogue, onto)?;
        let seen = wanted.map(|wanted| wanted - front.0);
        let task = Task {
            forward: seen.map(|hand| hand.dot(front.1)),
            up: seen.map(|hand| hand.dot(front.2)),
            left: seen.map(|hand| hand.y),
            cover: State::recorded(catalogue, onto).value(&MeasureId::bike(HEADSET_COVER)).unwrap_or(0.0),
            steerer_left,
        };
        fits_on_the_steerer(&task, &stems, &piles).map_err(|refusal| refusal.at(parts.steerer_place))?;
        Ok(Problem {
            catalogue,
            stems,
            stem_names,
            bar_names,
            piles,
            notes,
            straighten: straighten(catalogue, onto),
            task,
            bars,
            parts: parts.clone(),
            spacers_are_recorded: parts.spacers.is_empty(),
            spacers,
            wanted,
            front: (front.1, front.2),
            from: straight_from,
            as_it_is: onto.clone(),
            onto: prepared,
        })
    }

    /// The best assemblies, and how many were looked at.
    pub fn best(&self, most: usize) -> (Vec<Candidate>, usize) {
        search::best(&self.task, &self.stems, &self.bars, &self.piles, most)
    }

    /// The bars as the search takes them.
    pub fn bars(&self) -> &[BarOn] {
        &self.bars
    }

    /// The way left over from the hands of a bike so assembled to the wanted ones, at their middles: forward and up the
    /// axis.
    pub fn residual(&self, assembled: &Setup) -> Option<(f64, f64)> {
        let off = |hand: usize| Some(self.wanted[hand] - point(self.catalogue, assembled, hand)?);
        let off = (off(0)? + off(1)?).scale(0.5);
        Some((off.dot(self.front.0), off.dot(self.front.1)))
    }

    /// Puts a bar on, as one of the box is.
    pub fn put_bar(&self, setup: &mut Setup, bar: &Bar) {
        put_bar(self.catalogue, setup, bar);
    }

    /// A wanted grip point, 0 left, 1 right.
    pub fn wanted(&self, hand: usize) -> Wanted {
        let point = self.wanted[hand.min(1)];
        Wanted { x: point.x, y: point.y, z: point.z }
    }

    /// The other bike with these parts on.
    pub fn setup_of(&self, candidate: &Candidate) -> Option<Setup> {
        let stem = self.stems.get(candidate.stem)?;
        let pile = self.piles.get(candidate.pile)?;
        let mut setup = self.onto.clone();
        if let Some(bar) = self.parts.bars.get(candidate.bar) {
            put_bar(self.catalogue, &mut setup, bar);
        }
        for (row, value) in [
            (STEM_LENGTH, stem.length),
            (STEM_ANGLE, stem.angle.to_degrees()),
            (STEM_CLAMP_HEIGHT, stem.clamp_height),
            (SPACERS_BELOW, pile.height),
            (BAR_ROLL, candidate.roll.to_degrees()),
        ] {
            put(self.catalogue, &mut setup, row, value);
        }
        self.put_above(&mut setup, candidate);
        // Points go along with the controls, which stand where they were put or turn with the bar.
        let replaced = replaced(self.catalogue, &self.as_it_is, &setup, Shorter::Another);
        let is_another_bar = replaced.as_ref().is_some_and(|replaced| replaced.parts.contains(&"bar"));
        let set = controls::to_set(self.catalogue, &self.from, &self.as_it_is, is_another_bar);
        trial::take_along(self.catalogue, &self.as_it_is, &mut setup, &set);
        if State::recorded(self.catalogue, &self.as_it_is).value(&MeasureId::bike(BAR_ROLL)).is_none() {
            controls::put_turned_unmeasured(&mut setup, &set);
        }
        if let Some(replaced) = replaced {
            replaced.take_notes_out(&mut setup);
        }
        Some(setup)
    }

    /// That the points of what sits on the bar were left where they are, for how it lies now is not known.
    pub fn points_left(&self, then: &Setup) -> Option<String> {
        let (onto, mut with) = (&self.as_it_is, then.clone());
        let goes_along = trial::take_along(self.catalogue, onto, &mut with, &BTreeSet::new()).is_some();
        let has_points = onto.readings.keys().any(|id| super::is_point(self.catalogue, id));
        (has_points && !goes_along).then(|| trial::points_left_where_they_are(self.catalogue, onto, then))
    }

    /// How far the other bike brings the hands from the wanted place with nothing changed but where they hold the bar,
    /// both straight; none if it is not known.
    pub fn as_it_stands(&self) -> Option<f64> {
        let square: f64 = (0..2)
            .map(|hand| {
                let off = point(self.catalogue, &self.onto, hand)? - self.wanted[hand];
                Some(off.dot(off))
            })
            .sum::<Option<f64>>()?;
        Some((square / 2.0).sqrt())
    }

    /// The bar that the stem takes and the one it gets, mm across, as far as they are known.
    pub fn diameters(&self, candidate: &Candidate) -> (Option<f64>, Option<f64>) {
        let takes = self.stems.get(candidate.stem).and_then(|stem| stem.takes);
        (takes, self.bars.get(candidate.bar).and_then(|bar| bar.across))
    }

    /// Whether the bar is the one on the bike, or has the same figures throughout and so counts as that.
    pub fn is_own_bar(&self, candidate: &Candidate) -> bool {
        let in_box = self.parts.bars.get(candidate.bar);
        in_box.is_none_or(|bar| bar.clamp_diameter.is_none() && self.diameters(candidate).1.is_some())
    }

    /// Whether stem and bar are of one diameter is not known, and they are not together on the bike now.
    pub fn may_not_fit(&self, candidate: &Candidate) -> bool {
        let known = matches!(self.diameters(candidate), (Some(_), Some(_)));
        let own = |names: &[String], place: usize| names.get(place).is_some_and(|name| name == OWN);
        let stem = self.stems.get(candidate.stem);
        let together =
            stem.is_some_and(|stem| own(&self.stem_names, stem.stem)) && own(&self.bar_names, candidate.bar);
        !together && !known
    }

    /// Whether a bar is rolled as far as it may be.
    pub fn is_at_roll_limit(&self, candidate: &Candidate) -> bool {
        let limits = self.bars.get(candidate.bar).map(|bar| bar.roll);
        limits.is_some_and(|(low, high)| candidate.roll <= low || candidate.roll >= high)
    }

    /// That a bar is rolled further than anybody rolls one, unless the other bike's own lies so now.
    pub fn rolled_too_far(&self, candidate: &Candidate) -> Option<String> {
        let is_own = self.bar_names.get(candidate.bar).is_some_and(|name| name == OWN);
        let stands = self.as_it_is.value(&MeasureId::bike(BAR_ROLL)).filter(|_| is_own);
        trial::rolled_too_far(stands, candidate.roll.to_degrees())
    }
}

fn put(catalogue: &Catalogue, setup: &mut Setup, row: Row, value: f64) {
    controls::put(catalogue, setup, &MeasureId::bike(row), value);
}

/// Both grip points and the front of the frame, as plain numbers.
struct Points;

impl Consequences for Points {
    fn of<N: Number>(&self, numbers: &dyn Lookup<N>) -> Vec<Option<N>> {
        let hands = Hands::of(numbers);
        let front = Front::of(numbers);
        let points = [
            hands.map(|hands| hands.grip(Side::Left)),
            hands.map(|hands| hands.grip(Side::Right)),
            front.map(|front| front.head),
            front.map(|front| front.forward),
            front.map(|front| front.axis.direction),
        ];
        let coordinates = points.into_iter().flat_map(|point| {
            [point.map(|point| point.x), point.map(|point| point.y), point.map(|point| point.z)]
        });
        coordinates.collect()
    }
}

fn point(catalogue: &Catalogue, setup: &Setup, place: usize) -> Option<Vector> {
    match State::recorded(catalogue, setup).values(&Points).get(3 * place..3 * place + 3) {
        Some([Some(x), Some(y), Some(z)]) => Some(Vector::new(*x, *y, *z)),
        _ => None,
    }
}

/// Both grip points; a refusal names what `named` lacks.
fn hands(catalogue: &Catalogue, setup: &Setup, named: &Setup) -> Result<[Vector; 2], Refusal> {
    match (point(catalogue, setup, 0), point(catalogue, setup, 1)) {
        (Some(left), Some(right)) => Ok([left, right]),
        _ => Err(Refusal::new(
            format!("The grip points of {} are not known.", named.name.value),
            lacking(catalogue, named),
        )),
    }
}

/// What the grip points of a bike lack.
fn lacking(catalogue: &Catalogue, setup: &Setup) -> String {
    let grips = DERIVED.first().map(|grips| grips.lacking(&State::recorded(catalogue, setup)));
    let title = |id: &MeasureId| catalogue.title(id);
    let either = |ids: &Vec<MeasureId>| ids.iter().map(title).collect::<Vec<_>>().join(" or ");
    let titles: Vec<String> = grips.iter().flatten().map(either).collect();
    match titles[..] {
        [] => "Run `clampmark check` on it: its readings contradict each other.".to_owned(),
        _ => format!("Missing for them: {}.", titles.join(", ")),
    }
}

/// Top of the head tube, forward and up the axis.
fn front(catalogue: &Catalogue, onto: &Setup) -> Result<(Vector, Vector, Vector), Refusal> {
    let [head, forward, up] = [2, 3, 4].map(|place| point(catalogue, onto, place));
    match (head, forward, up) {
        (Some(head), Some(forward), Some(up)) => Ok((head, forward, up)),
        _ => Err(Refusal::new(
            format!("The frame of {} is not known.", onto.name.value),
            "Record frame reach, stack and head-angle.",
        )),
    }
}

/// The stems every way up; the bike's own if the box has none.
fn stems(
    catalogue: &Catalogue,
    onto: &Setup,
    in_box: &[Stem],
) -> Result<(Vec<String>, Vec<StemOn>), Refusal> {
    let state = State::recorded(catalogue, onto);
    let own = || {
        let value = |row| state.value(&MeasureId::bike(row));
        let (length, angle, clamp_height) =
            (value(STEM_LENGTH)?, value(STEM_ANGLE)?, value(STEM_CLAMP_HEIGHT)?);
        // It clamps the bike's own bar.
        let clamp_diameter = onto.value(&MeasureId::bike(BAR_CLAMP_DIAMETER));
        Some(vec![Stem { name: OWN.to_owned(), length, angle, clamp_height, clamp_diameter }])
    };
    let stems = if in_box.is_empty() { own() } else { Some(in_box.to_vec()) };
    let stems = stems.ok_or_else(|| {
        Refusal::new(
            format!("The box holds no stem, and that of {} is not recorded.", onto.name.value),
            "Add a stem to the box: stem \"name\" length=50 angle=0 clamp-height=40.",
        )
    })?;
    let ways = stems.iter().enumerate().flat_map(|(place, stem)| {
        // A level stem is the same both ways up.
        let ways: &[bool] = if stem.angle == 0.0 { &[false] } else { &[false, true] };
        ways.iter().map(move |flipped| StemOn {
            stem: place,
            flipped: *flipped,
            length: stem.length,
            angle: if *flipped { -stem.angle } else { stem.angle }.to_radians(),
            clamp_height: stem.clamp_height,
            takes: stem.clamp_diameter,
        })
    });
    Ok((stems.iter().map(|stem| stem.name.clone()).collect(), ways.collect()))
}

/// The bars by what they do to the hands; the bike's own if the box has none.
fn bars(
    catalogue: &Catalogue,
    prepared: &Setup,
    in_box: &[Bar],
) -> Result<(Vec<String>, Vec<BarOn>), Refusal> {
    if in_box.is_empty() {
        let roll = State::recorded(catalogue, prepared).value(&MeasureId::bike(BAR_ROLL)).unwrap_or(0.0);
        let limits = (roll.min(-ROLL), roll.max(ROLL));
        return Ok((vec![OWN.to_owned()], vec![bar_on(catalogue, prepared, limits)?]));
    }
    let mut found = Vec::with_capacity(in_box.len());
    for bar in in_box {
        let mut setup = prepared.clone();
        put_bar(catalogue, &mut setup, bar);
        found.push(bar_on(catalogue, &setup, bar.roll)?);
    }
    Ok((in_box.iter().map(|bar| bar.name.clone()).collect(), found))
}

/// What a bar does to the hands, read off the model itself: upright, in a stem of no length at the head tube's top.
fn bar_on(catalogue: &Catalogue, setup: &Setup, roll: (f64, f64)) -> Result<BarOn, Refusal> {
    let mut bare = setup.clone();
    for row in [BAR_ROLL, HEADSET_COVER, SPACERS_BELOW, STEM_CLAMP_HEIGHT, STEM_LENGTH, STEM_ANGLE] {
        let unit = catalogue.measure(row).unit();
        let id = MeasureId::bike(row);
        crate::trial::put(&mut bare, &id, Value::Reading(Reading::exact(0.0, unit)));
    }
    for side in Side::BOTH {
        let id = MeasureId::of(GRIP_HAND, side);
        if bare.reading(&id).is_none() {
            let path = catalogue.path(&id);
            return Err(Refusal::new(format!("`{path}` is not known."), "Record it on the first bike."));
        }
    }
    let (head, forward, up) = front(catalogue, &bare)?;
    let grips = hands(catalogue, &bare, setup)?.map(|grip| grip - head);
    Ok(BarOn {
        up: grips.map(|grip| grip.dot(up)),
        forward: grips.map(|grip| grip.dot(forward)),
        left: grips.map(|grip| grip.y),
        roll: (roll.0.to_radians(), roll.1.to_radians()),
        across: setup.value(&MeasureId::bike(BAR_CLAMP_DIAMETER)),
    })
}
