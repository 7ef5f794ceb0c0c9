//! How far and which way: the moves that bring a joint's measures back.

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{Absent, Gravity, HeldBy, Kind, MeasureId, joint};
use crate::check::{planned, to_fit};
use crate::compare::{self, Carrier, CommonShift, Comparison, FromTheMiddle, Held, OnBar};
use crate::geometry::state::{Difference, Layer, Level, State};
use crate::metrology::show;
use crate::metrology::unit::{Quantity, Unit};
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::Value;

use super::step::Move;

/// Both ends of the way, and what was compared between them.
pub struct Way<'a> {
    /// The recorded state.
    pub recorded: State<'a>,
    /// The state as found; none for a full rebuild.
    pub found: Option<State<'a>>,
    /// What differs.
    pub comparison: Option<Comparison>,
}

impl Way<'_> {
    /// Whether a measure moved: read or told by a mark, and beyond reading.
    pub fn has_moved(&self, id: &MeasureId) -> bool {
        let is_moved = self.distance(id).is_some_and(|(_, verdict)| verdict == Verdict::Moved);
        is_moved && !self.is_read_otherwise(id) && !self.is_from_an_unknown_end(id)
    }

    /// Whether a place is counted from the end of a bar that was found narrower, and nobody says whether it was cut.
    fn is_from_an_unknown_end(&self, id: &MeasureId) -> bool {
        let narrower = self.comparison.as_ref().and_then(|comparison| comparison.narrower.as_ref());
        compare::is_along_the_bar(id.row) && narrower.is_some_and(|narrower| !narrower.is_cut)
    }

    /// Whether a point reads otherwise on a control that stands in its place.
    fn is_read_otherwise(&self, id: &MeasureId) -> bool {
        let goes_along = self.recorded.catalogue().measure(id.row).goes_along();
        let mut changes = self.comparison.iter().flat_map(|comparison| &comparison.changes);
        changes.any(|change| goes_along && change.id == *id && change.verdict == Verdict::ReRead)
    }

    /// The verdict on a measure; none if it was not looked at or cannot be compared.
    pub fn verdict(&self, id: &MeasureId) -> Option<Verdict> {
        self.distance(id).map(|(_, verdict)| verdict)
    }

    /// The verdict on what a measure reads, whatever carried it along: a lever on a bar that has rolled reads otherwise
    /// than recorded, though it never moved on the bar.
    pub fn verdict_as_read(&self, id: &MeasureId) -> Option<Verdict> {
        self.distance_on(id, false).map(|(_, verdict)| verdict)
    }

    /// Whether nobody looked at it: neither read nor told by a mark.
    pub fn is_unknown(&self, id: &MeasureId) -> bool {
        self.found.is_none_or(|found| found.layer(id) == Layer::Recorded)
    }

    /// Found less recorded on level ground, a common slope of the ground taken out, with its verdict. A choice that
    /// differs has moved by nothing that could be measured.
    fn distance(&self, id: &MeasureId) -> Option<(f64, Verdict)> {
        self.distance_on(id, self.is_told_on_the_bar(id))
    }

    /// The same, on the bar or against gravity.
    fn distance_on(&self, id: &MeasureId, on_bar: bool) -> Option<(f64, Verdict)> {
        let found = self.found.filter(|_| !self.is_unknown(id))?;
        if let Kind::Choice(_) = self.recorded.catalogue().measure(id.row).kind {
            let same = self.recorded.choice(id) == found.choice(id);
            return Some((0.0, if same { Verdict::Same } else { Verdict::Moved }));
        }
        let (delta, uncertainty) = self.apart_on(id, on_bar)?;
        Some((delta, judge(delta, uncertainty)))
    }

    /// Found less recorded and the expanded uncertainty of that: of a control whose bar has rolled or was cut, on the bar.
    pub fn apart(&self, id: &MeasureId) -> Option<(f64, f64)> {
        self.apart_on(id, self.is_told_on_the_bar(id))
    }

    fn apart_on(&self, id: &MeasureId, on_bar: bool) -> Option<(f64, f64)> {
        let found = self.found.filter(|_| !self.is_unknown(id))?;
        let difference = Difference { from: self.recorded, to: found };
        let (propagated, _) = match on_bar {
            true if compare::is_along_the_bar(id.row) => difference.propagate(&FromTheMiddle(id)),
            true => difference.propagate(&OnBar(id)),
            false => difference.propagate(&Level(id)),
        };
        let output = propagated.output(0)?;
        let (delta, uncertainty) = (output.value, output.expanded_uncertainty());
        let Some(common) = self.common_shift() else { return Some((delta, uncertainty)) };
        let Some(left) = common.left_over(id) else { return Some((delta, uncertainty)) };
        if on_bar == self.is_told_on_the_bar(id) {
            return Some((left.delta, left.uncertainty));
        }
        // What the bar brought stays in it, and only the ground is taken out.
        let slope = sign(self.recorded.catalogue().measure(id.row).gravity) * common.shift;
        Some((delta - slope, uncertainty.hypot(common.uncertainty)))
    }

    /// Whether not what an instrument shows tells if a control moved, but how it stands on a bar that itself is otherwise.
    fn is_told_on_the_bar(&self, id: &MeasureId) -> bool {
        self.comes_back_with_the_bar(id) || self.cut_off(id).is_some()
    }

    /// What was cut off the end that a place along the bar is counted from, mm.
    fn cut_off(&self, id: &MeasureId) -> Option<f64> {
        let found = self.found.filter(|_| compare::is_along_the_bar(id.row) && !self.is_unknown(id))?;
        compare::cut_off(&Difference { from: self.recorded, to: found })
    }

    /// Whether an angle was read on a bar that has rolled: the step that rolls the bar back takes the control along.
    /// A turn told by a mark is relative to the bar already.
    fn comes_back_with_the_bar(&self, id: &MeasureId) -> bool {
        let read = self.found.is_some_and(|found| found.layer(id) == Layer::Found);
        joint::is_control_angle(id.row) && read && self.has_moved(&MeasureId::bike(BAR_ROLL))
    }

    /// By how much the bar's roll has turned a control along, whose angle was read or told by its mark.
    fn brought_by_the_bar(&self, id: &MeasureId) -> Option<f64> {
        let roll = MeasureId::bike(BAR_ROLL);
        let turned = self.found?.value(&roll)? - self.recorded.value(&roll)?;
        let is_told = joint::is_control_angle(id.row) && !self.is_unknown(id);
        (is_told && self.has_moved(&roll) && turned.abs() >= 0.05).then_some(turned)
    }

    /// What an instrument would show now: a mark tells how a control stands on the bar, not what its roll brought.
    fn now(&self, id: &MeasureId) -> Option<f64> {
        let found = self.found.filter(|_| !self.is_unknown(id))?;
        let by_mark = found.layer(id) == Layer::Turn;
        let brought = self.brought_by_the_bar(id).filter(|_| by_mark);
        Some(found.value(id)? + brought.unwrap_or(0.0))
    }

    /// Why the controls on a bar that is rolled back need no step of their own, in sentences.
    pub fn along_with_the_bar(&self, moves: &[Move]) -> Vec<String> {
        let roll = MeasureId::bike(BAR_ROLL);
        let is_rolled_back = moves.iter().any(|back| back.measure == self.recorded.catalogue().path(&roll));
        let unknown = self.comparison.as_ref().and_then(|comparison| comparison.unknown_roll.as_ref());
        if let Some(unknown) = unknown.filter(|_| is_rolled_back) {
            return vec![format!(
                "Read again when the bar is back, and before its clamp is touched: {}.",
                unknown.titles()
            )];
        }
        if !(is_rolled_back && self.has_moved(&roll)) {
            return Vec::new();
        }
        let setup = self.recorded.setup();
        let (mut along, mut unread) = (Vec::new(), Vec::new());
        for (side, control) in setup.controls() {
            let id = MeasureId::of(control.angle, side);
            if setup.reading(&id).is_none() || self.has_moved(&id) || self.is_let_go(&id) {
                continue;
            }
            let title = format!("{side} {}", control.title);
            // On the clamp of a lever that was read a control needs no look of its own.
            let is_told = !self.is_unknown(&id) || self.carried(&id).is_some();
            if is_told { along.push(title) } else { unread.push(title) }
        }
        let told = |titles: Vec<String>, words: &str| {
            (!titles.is_empty()).then(|| format!("{words}: {}.", titles.join(", ")))
        };
        let along = told(along, "Turned along with the bar and come back with it, their clamps stay shut");
        let unread = told(
            unread,
            "Turned along with the bar unless somebody turned them since; nobody looked, read them when it is back",
        );
        along.into_iter().chain(unread).collect()
    }

    /// Whether the clamp of a measure is opened for something else.
    fn is_let_go(&self, id: &MeasureId) -> bool {
        let joint = self.recorded.setup().joint_of(self.recorded.catalogue(), id);
        let opened = self.comparison.as_ref().map(Comparison::opened).unwrap_or_default();
        joint.is_some_and(|joint| opened.contains(joint))
    }

    fn common_shift(&self) -> Option<&CommonShift> {
        self.comparison.as_ref()?.common_shift.as_ref().filter(|common| common.is_the_ground)
    }

    /// By how much the ground that nobody measured drops the tips.
    fn slope(&self) -> f64 {
        self.common_shift().map_or(0.0, |common| common.shift)
    }

    /// What to write of a move in the reason for a step: "4.0° tip up", "own, recorded shared".
    pub fn moved_words(&self, id: &MeasureId) -> Option<String> {
        let (delta, _) = self.distance(id)?;
        let measure = self.recorded.catalogue().measure(id.row);
        if let Kind::Choice(_) = measure.kind {
            return Some(format!("to {}", self.found?.choice(id)?));
        }
        let said = |delta: f64| format!("{} {}", self.far(id, delta), measure.direction(delta));
        let Some(roll) = self.brought_by_the_bar(id) else { return Some(said(delta)) };
        // Of a control that stands on the bar as a mark tells, nobody read the sum.
        if self.found.is_some_and(|found| found.layer(id) == Layer::Turn) {
            return Some(format!("{} on the bar, and {} with the bar's roll", said(delta), said(roll)));
        }
        if self.far(id, delta + roll) == self.far(id, 0.0) {
            return Some(format!(
                "{} on the bar, {} with the bar's roll: together it reads as recorded",
                said(delta),
                said(roll)
            ));
        }
        Some(format!(
            "{}: {} on the bar, {} with the bar's roll",
            said(delta + roll),
            said(delta),
            said(roll)
        ))
    }

    /// The move that brings a measure back; none if its target is not known.
    pub fn back(&self, id: &MeasureId, mark: Option<String>) -> Option<Move> {
        let catalogue = self.recorded.catalogue();
        let measure = catalogue.measure(id.row);
        let mut back = Move {
            measure: catalogue.path(id),
            title: catalogue.title(id),
            now: None,
            target: Held::Number(0.0),
            unit: measure.unit().word(),
            delta: None,
            shows: None,
            words: String::new(),
            mark,
        };
        match self.recorded.held(id) {
            Some(Value::Choice(word)) => {
                back.target = Held::Word(word);
                let found = self.found.and_then(|found| found.choice(id));
                back.now = found.map(Held::Word);
                back.words = match found.filter(|_| measure.is_of_the_part()) {
                    Some(found) => {
                        format!("fit the {} of {word}; the one found is {found}", part(&back.measure))
                    }
                    None => format!("set it to {word}"),
                };
                return Some(back);
            }
            Some(Value::Reading(_)) => {}
            None if matches!(measure.absent, Absent::Counts(_)) => {}
            Some(Value::Unmeasured) | None => return None,
        }
        self.number_back(id, back)
    }

    /// The place in which a measure was found, and is to stay while its joint is open.
    pub fn kept(&self, id: &MeasureId, mark: Option<String>) -> Option<Move> {
        let mut kept = self.back(id, mark)?;
        if self.turned_in_its_slot(id) {
            return Some(kept);
        }
        let goal = kept.words.strip_prefix("set it to ")?;
        kept.words = format!("keep it at {goal}");
        Some(kept)
    }

    fn number_back(&self, id: &MeasureId, mut back: Move) -> Option<Move> {
        let cut_off = self.cut_off(id);
        let target = self.recorded.value(id)? - cut_off.unwrap_or(0.0);
        back.target = Held::Number(target);
        let measure = self.recorded.catalogue().measure(id.row);
        if let Some(found) = self.found {
            let sign = sign(measure.gravity);
            let floor = found.floor().map_or(0.0, crate::metrology::Reading::value);
            let level = self.recorded.level_value(id)?;
            back.shows = (sign != 0.0).then(|| level + sign * (self.slope() - floor));
        }
        // What a gauge would show on ground that nobody read cannot be told.
        let is_ground_known = |found: &State| found.floor().is_some() || self.common_shift().is_some();
        let goal = if cut_off.is_some() {
            format!("{} from the new end", self.size(id, target))
        } else if self.found.is_some_and(|found| is_ground_known(&found)) {
            self.goal(id, target, back.shows)
        } else {
            back.shows = None;
            self.to_the_level(id, target)
        };
        if self.turned_in_its_slot(id) {
            back.now = self.now(id).map(Held::Number);
            back.delta = self.distance(id).map(|(distance, _)| -distance);
            back.words = format!(
                "it turned in its slot on the lever's clamp: loosen its own bolt, set it to {goal} once the lever is back, and \
                 tighten that bolt"
            );
            return Some(back);
        }
        match self.now(id).and_then(|now| Some((now, self.distance(id)?))) {
            // It stood where it was recorded, but its joint comes apart.
            Some((now, (distance, verdict))) if verdict != Verdict::Moved => {
                (back.now, back.delta) = (Some(Held::Number(now)), Some(-distance));
                back.words = format!("set it to {goal}");
            }
            Some((now, (distance, _))) => {
                (back.now, back.delta) = (Some(Held::Number(now)), Some(-distance));
                let (far, way) = (self.far(id, distance), measure.direction(-distance));
                let turned_over =
                    now * target < 0.0 && self.size(id, now.abs()) == self.size(id, target.abs());
                back.words = if measure.is_of_the_part() && turned_over {
                    format!("turn the {} over, to {goal}", part(&back.measure))
                } else if measure.is_of_the_part() {
                    // A direction word such as "rising" tells no part from another: both figures do.
                    let found = show::plain(now, self.places(id));
                    format!(
                        "fit the {} of {goal}; the one found is {found}{}",
                        part(&back.measure),
                        measure.unit().sign()
                    )
                } else {
                    let on_the_bar = match self.brought_by_the_bar(id) {
                        Some(roll) => format!(
                            " on the bar (its roll back brings {} {})",
                            self.far(id, roll),
                            measure.direction(-roll)
                        ),
                        None => String::new(),
                    };
                    format!(
                        "{} {far} {way}{on_the_bar}, to {goal}",
                        verb(measure.unit(), measure.more, measure.held_by)
                    )
                };
            }
            None if self.is_assumed(id) => {
                let part = part(&back.measure);
                back.words = format!("measure it on the new {part}: {goal} is the old one's");
            }
            None if measure.is_of_the_part() => {
                let part = part(&back.measure);
                let is_to_fit =
                    to_fit::words(self.recorded.catalogue(), self.recorded.setup(), part).is_some();
                let which = if is_to_fit { "one to fit".to_owned() } else { format!("recorded {part}") };
                back.words = format!("{goal}, as the {which} has it");
            }
            None if self.turned_with_the_lever(id) => {
                back.words = format!("it turned along with the brake lever: back with it, to {goal}");
            }
            None => back.words = format!("set it to {goal}"),
        }
        Some(back)
    }

    /// Whether a plan has a figure only from the part that goes.
    fn is_assumed(&self, id: &MeasureId) -> bool {
        planned::assumed(self.recorded.catalogue(), self.recorded.setup()).contains(id)
    }

    /// Whether nobody looked at a control, and the lever whose clamp it shares was found turned.
    fn turned_with_the_lever(&self, id: &MeasureId) -> bool {
        self.carried(id) == Some(Carrier::Lever)
    }

    /// Whether a control that was read did not turn as the lever did whose clamp it shares: it turned in its own slot.
    fn turned_in_its_slot(&self, id: &MeasureId) -> bool {
        let changes = self.comparison.iter().flat_map(|comparison| &comparison.changes);
        changes.filter(|change| change.id == *id).any(|change| change.in_its_slot)
    }

    /// What carried a measure along, if something did.
    fn carried(&self, id: &MeasureId) -> Option<Carrier> {
        let changes = &self.comparison.as_ref()?.changes;
        changes.iter().find(|change| change.id == *id)?.carried
    }

    /// The target in words where nobody says on what ground it will be set: what was recorded where the ground sloped, to
    /// the level.
    fn to_the_level(&self, id: &MeasureId, target: f64) -> String {
        let level = self.recorded.level_value(id).filter(|level| (level - target).abs() >= 0.05);
        match level {
            Some(level) => format!(
                "{} to the level (it read {} where the ground sloped)",
                self.size(id, level),
                self.size(id, target)
            ),
            None => self.size(id, target),
        }
    }

    /// The target in words, and what the gauge shows on ground that slopes.
    fn goal(&self, id: &MeasureId, target: f64, shows: Option<f64>) -> String {
        let goal = self.size(id, target);
        let differs = shows.filter(|shows| (shows - target).abs() >= 0.05);
        match differs {
            // Which side of the level the gauge shows is half of what it says.
            Some(shows) => format!(
                "{goal} (the gauge shows {}{} on this ground)",
                show::plain(shows, self.places(id)),
                self.recorded.catalogue().measure(id.row).unit().sign()
            ),
            None => goal,
        }
    }

    /// A way to go with its unit, no finer than it is known.
    fn far(&self, id: &MeasureId, distance: f64) -> String {
        let unit = self.recorded.catalogue().measure(id.row).unit();
        let uncertainty = self.apart(id).map_or(0.0, |(_, uncertainty)| uncertainty);
        let places = show::places_within(uncertainty, self.places(id));
        format!("{}{}", show::plain(distance.abs(), places), unit.sign())
    }

    /// The places a measure was recorded to, one at least.
    fn places(&self, id: &MeasureId) -> usize {
        let unit = self.recorded.catalogue().measure(id.row).unit();
        match self.recorded.number(id) {
            _ if unit == Unit::Click => 0,
            Some(reading) if reading.unit() == reading.default_unit() => reading.decimals().clamp(1, 3),
            _ => 1,
        }
    }

    /// A number of a measure with its sign and unit, to the places it was recorded to.
    fn size(&self, id: &MeasureId, number: f64) -> String {
        let unit = self.recorded.catalogue().measure(id.row).unit();
        format!("{}{}", show::plain(number, self.places(id)), unit.sign())
    }
}

/// The part that a figure is of, from its path: "stem", "grip".
fn part(path: &str) -> &str {
    path.rsplit('.').nth(1).unwrap_or("part")
}

/// How the floor enters an angle: a tip that points down reads the floor's slope too little.
fn sign(gravity: Gravity) -> f64 {
    match gravity {
        Gravity::None => 0.0,
        Gravity::TipDown => 1.0,
        Gravity::NoseUp => -1.0,
    }
}

fn verb(unit: Unit, more: &str, held_by: HeldBy) -> &'static str {
    match unit.quantity() {
        Quantity::Length if held_by == HeldBy::Adjuster => "bring it",
        Quantity::Length if more == "more" => "fit",
        Quantity::Angle | Quantity::Count => "turn it",
        Quantity::Length if !matches!(more, "longer" | "taller" | "thicker" | "wider") => "move it",
        _ => "make it",
    }
}
