//! Witness marks as evidence: what the lines across the joints say of a bike as it was found.
//!
//! A mark carries where it was drawn. Found *aligned*, it is a reading of zero turn with the line's width as
//! half-width; found *off*, the millimetres between its halves are a turn on a known diameter; *broken* or
//! *missing*, it says that the joint moved, not how far. A mark whose drawn position no longer agrees with the
//! recorded one (`E_n` > 1) is stale and says nothing. A drawn angle against gravity is taken to stand on the
//! setup's own floor, as the angles beside it do: the floor cancels between the two.
//!
//! A measure that was read on the sheet wins over its mark; that is decided here, not by those who use the turns.

use std::f64::consts::PI;

use serde::Serialize;

use crate::catalogue::joint::{self, CONTROLS};
use crate::catalogue::table::{
    BAR_CLAMP_DIAMETER, BAR_GRIP_DIAMETER, BAR_OFFSET, BAR_ROLL, GRIP_HAND, STEERER_DIAMETER, STEM_TWIST,
};
use crate::catalogue::{Catalogue, MeasureId, Row, Side, Weight};
use crate::check::marks::staleness;
use crate::compare::{Fate, MarkChange};
use crate::geometry::state::{State, Turns};
use crate::metrology::reading::Reading;
use crate::metrology::show;
use crate::metrology::unit::Unit;
use crate::metrology::verdict::{Verdict, judge};
use crate::setup::model::{Mark, MarkState, Setup, Written};

/// A line's width in millimetres where the mark does not say: common practice, no source.
pub const LINE_WIDTH: f64 = 0.5;

/// What a mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkVerdict {
    /// Its halves stand apart.
    Off,
    /// It is interrupted: the joint moved, nobody knows how far.
    Broken,
    /// It is gone.
    Missing,
    /// It was drawn at another position than the recorded one: no evidence.
    Stale,
    /// The sheet names a mark that the setup does not have.
    Unknown,
    /// Its halves meet.
    Aligned,
    /// The sheet does not speak of it.
    NotLookedAt,
}

/// One mark and what it says.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MarkReport {
    /// Its name.
    pub name: String,
    /// The joint it crosses.
    pub joint: Option<String>,
    /// The joint in plain words.
    pub title: Option<String>,
    /// What slipping there does.
    pub weight: Weight,
    /// What it says.
    pub state: MarkVerdict,
    /// The rotation it tells, if any.
    pub measure: Option<String>,
    /// By how much the part has turned since, in degrees.
    pub turned: Option<f64>,
    /// Its expanded uncertainty.
    #[serde(rename = "U")]
    pub uncertainty: Option<f64>,
    /// What lines up with what.
    pub reads: Option<String>,
    /// Whether everything the mark speaks of was read on the sheet, so that its word does not count.
    pub overruled: bool,
    /// All of it in one sentence.
    pub words: String,
}

impl MarkReport {
    /// Whether the mark says that its joint moved.
    pub fn tells_a_move(&self) -> bool {
        match self.state {
            // Readings that agree show where the part stands, not that nobody loosened it.
            MarkVerdict::Broken | MarkVerdict::Missing => true,
            MarkVerdict::Off if self.overruled => false,
            MarkVerdict::Off => {
                let (turned, uncertainty) = (self.turned.unwrap_or(1.0), self.uncertainty.unwrap_or(0.0));
                judge(turned, uncertainty) == Verdict::Moved
            }
            _ => false,
        }
    }
}

/// What all marks together say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// The turns they tell, for measures that were not read on the sheet.
    pub turns: Turns,
    /// Each mark, dangerous joints first.
    pub marks: Vec<MarkReport>,
}

impl Evidence {
    /// Settles what a comparison says of the marks that a sheet found: a stale one tells nothing, and one that stands
    /// apart by less than its own line's width has not moved.
    pub fn settle(&self, changes: &mut [MarkChange]) {
        for change in changes.iter_mut().filter(|change| change.fate.is_found()) {
            let Some(report) = self.marks.iter().find(|report| report.name == change.mark) else { continue };
            match report.state {
                MarkVerdict::Stale => (change.fate, change.verdict) = (Fate::Stale, Verdict::NotLookedAt),
                MarkVerdict::Off if !report.overruled && !report.tells_a_move() => {
                    change.verdict = Verdict::WithinReading;
                }
                _ => {}
            }
        }
    }
}

/// Weighs the marks of a setup as a sheet found them.
pub fn weigh(catalogue: &Catalogue, setup: &Setup, sheet: &Setup) -> Evidence {
    let state = State::recorded(catalogue, setup);
    let mut evidence = Evidence::default();
    for mark in &setup.marks {
        let found = sheet.marks.iter().find(|found| found.name.value == mark.name.value);
        let seen = found.and_then(|found| found.state.as_ref()).map(|state| state.value);
        let (mut report, turns) = one(&state, mark, seen);
        report.overruled = overruled(mark, sheet);
        evidence.marks.push(report);
        for (id, turn) in turns {
            if !sheet.readings.contains_key(&id) {
                evidence.turns.insert(id, turn);
            }
        }
    }
    let known = |name: &str| setup.marks.iter().any(|mark| mark.name.value == name);
    for mark in sheet.marks.iter().filter(|mark| !known(&mark.name.value)) {
        evidence.marks.push(stranger(mark));
    }
    evidence.marks.sort_by_key(|report| (!report.tells_a_move(), report.weight, report.state as u8));
    evidence
}

/// Whether the sheet has a reading of everything a mark speaks of.
fn overruled(mark: &Mark, sheet: &Setup) -> bool {
    let turn = mark.on.as_ref().and_then(|on| rotation(&on.value)).map(|(angle, _)| angle);
    let drawn: Vec<&MeasureId> = mark.drawn.iter().map(|(id, _)| id).collect();
    let spoken_of = if drawn.is_empty() { turn.iter().collect() } else { drawn };
    !spoken_of.is_empty() && spoken_of.iter().all(|id| sheet.readings.contains_key(id))
}

/// The marks as a setup alone has them: stale ones are known without a sheet.
pub fn recorded(catalogue: &Catalogue, setup: &Setup) -> Vec<MarkReport> {
    let state = State::recorded(catalogue, setup);
    setup.marks.iter().map(|mark| one(&state, mark, None).0).collect()
}

/// The rotation that a joint's mark tells, and the diameter its line lies on.
fn rotation(joint: &str) -> Option<(MeasureId, MeasureId)> {
    let bike = |turn: Row, diameter: Row| (MeasureId::bike(turn), MeasureId::bike(diameter));
    match joint {
        "stem-steerer" => return Some(bike(STEM_TWIST, STEERER_DIAMETER)),
        "stem-face" => return Some(bike(BAR_ROLL, BAR_CLAMP_DIAMETER)),
        _ => {}
    }
    let (side, part) = joint.split_once('.')?;
    let side = Side::parse(side)?;
    let control = CONTROLS.iter().find(|control| control.name == part)?;
    Some((MeasureId::of(control.angle, side), MeasureId::bike(BAR_GRIP_DIAMETER)))
}

/// Whether a line across the joint shows a shift of this measure: places along the bar.
fn shows_shift(id: &MeasureId) -> bool {
    let along = [BAR_OFFSET, GRIP_HAND];
    along.contains(&id.row) || CONTROLS.iter().any(|control| control.from_tip == id.row)
}

/// Whether a line across the joint shows where this measure stands: its turn, and its shift along the bar.
pub fn shows(joint: &str, id: &MeasureId) -> bool {
    rotation(joint).is_some_and(|(angle, _)| angle == *id) || shows_shift(id)
}

/// Degrees for each millimetre on a circle of that diameter: 360/(π·D).
fn degrees_per_millimetre(diameter: f64) -> f64 {
    360.0 / (PI * diameter)
}

/// A turn of so many millimetres on a diameter that is itself a reading; the half-widths of the line and of the
/// diameter are put together in quadrature, as the rectangular distributions they stand for.
fn turn(apart: f64, width: f64, diameter: &Reading) -> Option<Reading> {
    let scale = degrees_per_millimetre(diameter.value());
    let degrees = apart * scale;
    let half_width = (width * scale).hypot(degrees * diameter.half_width() / diameter.value());
    reading(degrees, Unit::Degree, half_width)
}

fn reading(value: f64, unit: Unit, half_width: f64) -> Option<Reading> {
    Reading::new(vec![value], vec![show::plain(value, 1)], unit, unit, half_width)
}

/// The diameter as recorded, or as the table has it where absent.
fn diameter(state: &State, id: &MeasureId) -> Option<Reading> {
    if let Some(recorded) = state.setup().reading(id) {
        return Some(recorded.clone());
    }
    let measure = state.catalogue().measure(id.row);
    reading(state.value(id)?, measure.unit(), measure.tolerance())
}

fn one(state: &State, mark: &Mark, seen: Option<MarkState>) -> (MarkReport, Vec<(MeasureId, Reading)>) {
    let mut report = blank(mark);
    if let Some(why) = staleness(state.catalogue(), state.setup(), mark) {
        report.state = MarkVerdict::Stale;
        let found = match seen {
            Some(MarkState::Broken | MarkState::Missing) => " Found broken or gone all the same.",
            _ => "",
        };
        report.words = format!("Mark {} is stale: {why}. It is no evidence.{found}", report.name);
        return (report, Vec::new());
    }
    let joint = report.joint.clone().unwrap_or_default();
    let place = report.title.clone().unwrap_or_else(|| "its joint".to_owned());
    let name = report.name.clone();
    let (verdict, words) = match seen {
        None => (MarkVerdict::NotLookedAt, format!("Mark {name} on the {place} was not looked at.")),
        Some(MarkState::Broken) => (
            MarkVerdict::Broken,
            format!("Mark {name} is broken: the {place} moved, nobody measured how far."),
        ),
        Some(MarkState::Missing) => (
            MarkVerdict::Missing,
            format!("Mark {name} is gone: take it that the {place} moved, nobody measured how far."),
        ),
        Some(MarkState::Aligned) => (MarkVerdict::Aligned, format!("Mark {name} is aligned.")),
        Some(MarkState::Off(apart)) => {
            (MarkVerdict::Off, format!("Mark {name} stands {} mm apart.", show::plain(apart.abs(), 1)))
        }
    };
    (report.state, report.words) = (verdict, words);
    let apart = match seen {
        Some(MarkState::Aligned) => 0.0,
        Some(MarkState::Off(apart)) => apart,
        _ => return (report, Vec::new()),
    };
    let turns = turns(state, mark, &joint, apart, &mut report);
    (report, turns)
}

fn turns(
    state: &State,
    mark: &Mark,
    joint: &str,
    apart: f64,
    report: &mut MarkReport,
) -> Vec<(MeasureId, Reading)> {
    let width = mark.width.unwrap_or(LINE_WIDTH);
    let mut turns = Vec::new();
    let aligned = apart == 0.0;
    let turned = rotation(joint)
        .and_then(|(angle, across)| Some((angle, turn(apart, width, &diameter(state, &across)?)?)));
    if let Some((angle, turn)) = turned {
        tell(state, report, &angle, &turn);
        let is_drawn = mark.drawn.iter().any(|(id, _)| *id == angle);
        // Drawn nowhere in particular, a line still shows a turn; it cannot show that the place is the recorded one.
        if is_drawn || !aligned {
            for id in std::iter::once(angle.clone()).chain(on_the_same_clamp(state.setup(), &angle)) {
                if state.value(&id).is_some() {
                    turns.push((id, turn.clone()));
                }
            }
        }
    }
    if aligned {
        let along = mark.drawn.iter().filter(|(id, _)| shows_shift(id) && state.value(id).is_some());
        turns.extend(along.filter_map(|(id, _)| Some((id.clone(), reading(0.0, Unit::Millimetre, width)?))));
    }
    turns
}

fn tell(state: &State, report: &mut MarkReport, angle: &MeasureId, turn: &Reading) {
    let measure = state.catalogue().measure(angle.row);
    let (value, expanded) = show::with_uncertainty(turn.value().abs(), turn.expanded_uncertainty(), 1);
    let way =
        if turn.value() == 0.0 { String::new() } else { format!(" {}", measure.direction(turn.value())) };
    report.words = format!("{} That is {value} ± {expanded}°{way}.", report.words);
    report.measure = Some(state.catalogue().path(angle));
    report.turned = Some(turn.value());
    report.uncertainty = Some(turn.expanded_uncertainty());
}

/// The angles of the controls that turn with the brake lever because they share its clamp.
fn on_the_same_clamp(setup: &Setup, angle: &MeasureId) -> Vec<MeasureId> {
    let is_lever = CONTROLS.first().is_some_and(|lever| lever.angle == angle.row);
    let Some(side) = angle.subject.side.filter(|_| is_lever) else { return Vec::new() };
    let shared = setup.controls().filter(|(on, control)| *on == side && setup.is_shared(*on, control));
    shared.map(|(on, control)| MeasureId::of(control.angle, on)).collect()
}

fn blank(mark: &Mark) -> MarkReport {
    let joint = mark.on.as_ref().map(|Written { value, .. }| value.clone());
    let known = joint.as_deref().and_then(joint::find);
    MarkReport {
        name: mark.name.value.clone(),
        title: joint.as_deref().map(joint::title),
        joint,
        weight: known.map_or(Weight::Record, |(_, joint)| joint.weight),
        state: MarkVerdict::NotLookedAt,
        measure: None,
        turned: None,
        uncertainty: None,
        reads: mark.reads.clone(),
        overruled: false,
        words: String::new(),
    }
}

/// A mark that only the sheet has.
fn stranger(mark: &Mark) -> MarkReport {
    let mut report = blank(mark);
    report.words = match mark.state.as_ref().map(|state| state.value) {
        state @ Some(MarkState::Broken | MarkState::Missing) if report.joint.is_some() => {
            report.state =
                if state == Some(MarkState::Broken) { MarkVerdict::Broken } else { MarkVerdict::Missing };
            let place = report.title.clone().unwrap_or_default();
            format!("Mark {} is broken or gone: the {place} moved, nobody measured how far.", report.name)
        }
        _ => {
            report.state = MarkVerdict::Unknown;
            format!("Mark {} is not one of this setup: it is no evidence.", report.name)
        }
    };
    report
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::read::read;

    const SETUP: &str = r#"setup "rowan/race" format=1 {
        bar { roll -1.5; clamp-diameter 35.0 }
        left { brake-lever { from-tip 168; angle 32 } ; shifter { mount shared slot=inner; angle 41 } }
        mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32 }
        mark "B1" on="stem-face" width=0.3 { drawn roll=-1.5 }
        mark "S1" on="stem-steerer" { drawn twist=0 }
        mark "L2" on="left.brake-lever" { drawn angle=28 }
    }"#;

    fn found(marks: &str) -> Evidence {
        let catalogue = Catalogue::standard();
        let setup = read(catalogue, SETUP.as_bytes(), None).setup.expect("a setup");
        let text = format!("found \"rowan/race\" format=1 {{ {marks} }}");
        let sheet = read(catalogue, text.as_bytes(), Some(&setup)).setup.expect("a sheet");
        weigh(catalogue, &setup, &sheet)
    }

    fn turn_of(evidence: &Evidence, path: &str) -> (f64, f64) {
        let id = Catalogue::standard().find(path).expect("a measure");
        let turn = evidence.turns.get(&id).expect("a turn");
        (turn.value(), turn.half_width())
    }

    // Degrees for a millimetre, calculated with NumPy: 5.161782 on 22.2, 3.274045 on 35.0, 4.006698 on 28.6.

    #[test]
    fn an_aligned_mark_reads_no_turn_as_finely_as_its_line() {
        let evidence = found("mark \"L1\" aligned; mark \"B1\" aligned; mark \"S1\" aligned");
        // 0.5 mm · 5.161782 = 2.580891; 0.3 · 3.274045 = 0.9822135; 0.5 · 4.006698 = 2.003349.
        for (path, half_width) in
            [("left.brake-lever.angle", 2.580_891), ("bar.roll", 0.982_213_5), ("stem.twist", 2.003_349)]
        {
            let (turn, half) = turn_of(&evidence, path);
            assert!(turn.abs() < 1e-12 && (half - half_width).abs() < 1e-5, "{path}: {turn} ± {half}");
        }
        // Along the bar the line is half a millimetre wide.
        assert_eq!(turn_of(&evidence, "left.brake-lever.from-tip"), (0.0, 0.5));
        // The shifter on the lever's clamp turns with it.
        assert!((turn_of(&evidence, "left.shifter.angle").1 - 2.580_891).abs() < 1e-5);
    }

    #[test]
    fn millimetres_apart_are_degrees_with_their_sign() {
        let evidence = found("mark \"L1\" off=0.8; mark \"B1\" off=-1");
        // 0.8 · 5.161782 = 4.1294256, the tip down; -1 · 3.274045, backward.
        assert!((turn_of(&evidence, "left.brake-lever.angle").0 - 4.129_426).abs() < 1e-5);
        assert!((turn_of(&evidence, "bar.roll").0 + 3.274_045).abs() < 1e-5);
        // 4.1294° · 0.1/22.2 = 0.0186°; √(2.580891² + 0.0186²) = 2.580958.
        assert!((turn_of(&evidence, "left.brake-lever.angle").1 - 2.580_958).abs() < 1e-5);
        // How far it moved along the bar is not known from the gap.
        let along = Catalogue::standard().find("left.brake-lever.from-tip").expect("a measure");
        assert!(!evidence.turns.contains_key(&along));
    }

    #[test]
    fn a_reading_wins_over_its_mark() {
        let evidence = found("left { brake-lever { angle 28 } }; mark \"L1\" off=0.8");
        let angle = Catalogue::standard().find("left.brake-lever.angle").expect("a measure");
        assert!(!evidence.turns.contains_key(&angle));
    }

    #[test]
    fn a_stale_mark_is_no_evidence() {
        // Drawn 28 ± 0.5, recorded 32 ± 0.5: U = 2·√2·0.5/√3 = 0.816; 4/0.816 is well over 1.
        let evidence = found("mark \"L2\" aligned");
        assert!(evidence.turns.is_empty());
        let report = evidence.marks.iter().find(|mark| mark.name == "L2").expect("the mark");
        assert_eq!(report.state, MarkVerdict::Stale);
        assert!(!report.tells_a_move());
    }

    #[test]
    fn broken_and_missing_marks_tell_a_move_and_come_first() {
        let evidence =
            found("mark \"S1\" missing; mark \"L1\" broken; mark \"B1\" aligned; mark \"X\" aligned");
        let told: Vec<(&str, bool)> =
            evidence.marks.iter().map(|mark| (mark.name.as_str(), mark.tells_a_move())).collect();
        assert_eq!(told[..2].iter().map(|(_, moved)| *moved).collect::<Vec<_>>(), [true, true]);
        assert!(evidence.marks.iter().any(|mark| mark.name == "X" && mark.state == MarkVerdict::Unknown));
    }

    #[test]
    fn what_was_not_looked_at_says_nothing() {
        let evidence = found("floor 1.4");
        assert!(evidence.turns.is_empty());
        assert!(evidence.marks.iter().all(|mark| !mark.tells_a_move()));
    }
}
