//! Torque ranges that differ: as ranges, and always with what became of the allowed range.

use std::fmt;

use chrono::NaiveDate;
use serde::Serialize;

use crate::catalogue::{code, joint};
use crate::geometry::state::Difference;
use crate::metrology::NEGLIGIBLE;
use crate::setup::torque::{Applied, Ceiling, Torque, TorqueFigure};

/// What became of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RangeShift {
    /// Unchanged.
    Same,
    /// Both limits further apart.
    Wider,
    /// Both limits nearer together.
    Narrower,
    /// Both limits, or one, higher.
    Up,
    /// Both limits, or one, lower.
    Down,
    /// There was no range before.
    Recorded,
    /// There is no range any more.
    NotRecorded,
    /// The limits contradict one another now: nothing is allowed.
    Empty,
}

impl RangeShift {
    /// In few words.
    pub const fn word(self) -> &'static str {
        match self {
            RangeShift::Same => "same",
            RangeShift::Wider => "wider",
            RangeShift::Narrower => "narrower",
            RangeShift::Up => "up",
            RangeShift::Down => "down",
            RangeShift::Recorded => "recorded",
            RangeShift::NotRecorded => "not recorded",
            RangeShift::Empty => "empty",
        }
    }
}

/// A range in newton metres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Limits {
    /// From.
    pub from: f64,
    /// To.
    pub to: f64,
}

/// Another thing that differs in the torque of a joint. In words, on a page and as JSON, it is told through time.
#[derive(Clone, Debug, PartialEq)]
pub enum Also {
    /// Tool, thread or class.
    Word {
        /// Which.
        what: &'static str,
        /// The earlier word.
        was: Option<String>,
        /// The later word.
        now: Option<String>,
    },
    /// The limit of another part in the joint, whether it bounds what is allowed or not.
    Ceiling {
        /// Which part's.
        part: String,
        /// The earlier limit.
        was: Option<String>,
        /// The later one.
        now: Option<String>,
    },
    /// What was applied last.
    Applied {
        /// The earlier time.
        was: Option<LastApplied>,
        /// The later one.
        now: Option<LastApplied>,
    },
    /// Whether it is meant to turn in a crash now; it was not, or the reverse.
    TurnsInACrash(bool),
}

impl Also {
    /// Tells of both times what was applied, and not what was done between them.
    pub fn tell_backwards(&mut self) {
        if let Also::Applied { was, now } = self {
            let word = |last: &Option<LastApplied>| last.as_ref().map(ToString::to_string);
            *self = Also::Word { what: "last applied", was: word(was), now: word(now) };
        }
    }

    /// The same of a version that a merge did not take, with what it kept: the later is not what came after.
    pub fn and_kept(&self) -> String {
        let or_none = |word: Option<String>| word.unwrap_or_else(|| "not recorded".to_owned());
        let (what, was, kept) = match self {
            Also::Word { what, was, now } => ((*what).to_owned(), was.clone(), now.clone()),
            Also::Ceiling { part, was, now } => (format!("ceiling of {part}"), was.clone(), now.clone()),
            Also::Applied { was, now } => {
                let words = |last: &Option<LastApplied>| last.as_ref().map(ToString::to_string);
                ("last applied".to_owned(), words(was), words(now))
            }
            Also::TurnsInACrash(true) => return "not meant to turn in a crash, kept as meant to".to_owned(),
            Also::TurnsInACrash(false) => return "meant to turn in a crash, kept as not meant to".to_owned(),
        };
        format!("{what} {}, kept {}", or_none(was), or_none(kept))
    }

    /// Whether both tell of the same thing: two of the tool, two of what was applied.
    pub fn is_about_the_same(&self, other: &Also) -> bool {
        match (self, other) {
            (Also::Word { what, .. }, Also::Word { what: other, .. }) => what == other,
            (Also::Ceiling { part, .. }, Also::Ceiling { part: other, .. }) => part == other,
            _ => std::mem::discriminant(self) == std::mem::discriminant(other),
        }
    }
}

impl fmt::Display for Also {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = |word: &Option<String>| word.clone().unwrap_or_else(|| "not recorded".to_owned());
        match self {
            Also::Word { what, was, now } => write!(f, "{what}: {}, now {}", word(was), word(now)),
            Also::Ceiling { part, was, now } => {
                write!(f, "ceiling of {part}: {}, now {}", word(was), word(now))
            }
            Also::Applied { was, now } => applied(f, was.as_ref(), now.as_ref()),
            Also::TurnsInACrash(true) => f.write_str("now meant to turn in a crash"),
            Also::TurnsInACrash(false) => f.write_str("no longer meant to turn in a crash"),
        }
    }
}

fn applied(f: &mut fmt::Formatter, was: Option<&LastApplied>, now: Option<&LastApplied>) -> fmt::Result {
    match (was, now) {
        (Some(was), Some(now)) if was.is_same_figure(now) => write!(f, "tightened again to {now}"),
        (Some(was), Some(now)) => write!(f, "last applied: {was}, now {now}"),
        (None, Some(now)) => write!(f, "tightened to {now}"),
        (Some(was), None) => write!(f, "last applied {was}, no longer recorded"),
        (None, None) => Ok(()),
    }
}

/// What a joint was tightened to last: "2.8 N·m on 2026-05-02".
#[derive(Clone, Debug, PartialEq)]
pub struct LastApplied {
    /// The figure, as written.
    pub figure: TorqueFigure,
    /// When, if the file says it.
    pub read: Option<NaiveDate>,
}

impl LastApplied {
    fn of(applied: &Applied) -> LastApplied {
        LastApplied { figure: applied.figure.value.clone(), read: applied.read }
    }

    /// Whether both times it was as much.
    pub fn is_same_figure(&self, other: &LastApplied) -> bool {
        self.figure == other.figure
    }
}

impl fmt::Display for LastApplied {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.figure.digits, self.figure.unit.sign())?;
        self.read.map_or(Ok(()), |day| write!(f, " on {day}"))
    }
}

impl Serialize for Also {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// What differs in the torque of one joint.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TorqueChange {
    /// The joint.
    pub joint: String,
    /// In plain words.
    pub title: String,
    /// The range as written before.
    pub was: Option<Limits>,
    /// The range as written now.
    pub now: Option<Limits>,
    /// What became of it.
    pub shift: RangeShift,
    /// What the ceilings left of it before.
    pub allowed_was: Option<Limits>,
    /// What they leave of it now.
    pub allowed_now: Option<Limits>,
    /// What became of the allowed range.
    pub allowed_shift: RangeShift,
    /// Whether a ceiling that changed has a part in what is allowed now.
    pub ceiling_changed: bool,
    /// Other things that differ, one phrase each: "tool: T25, now 4 mm hex".
    pub also: Vec<Also>,
    /// That what was last applied lies outside what is allowed now, if it does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub out_of_range: Option<String>,
    /// N·m.
    pub unit: &'static str,
}

impl TorqueChange {
    /// Whether what the joint may be tightened to changed.
    pub fn has_shifted(&self) -> bool {
        self.shift != RangeShift::Same || self.allowed_shift != RangeShift::Same
    }

    /// Whether a limit, or what was last applied, is no longer recorded.
    pub fn has_lost(&self) -> bool {
        let is_lost =
            |also: &Also| matches!(also, Also::Applied { now: None, .. } | Also::Ceiling { now: None, .. });
        self.also.iter().any(is_lost)
    }

    /// Whether anything of it differs at all.
    pub fn differs(&self) -> bool {
        self.has_shifted() || !self.also.is_empty()
    }
}

/// The joints whose torque differs, in working order.
pub fn changes(difference: &Difference) -> Vec<TorqueChange> {
    let (from, to) = (difference.from.setup(), difference.to.setup());
    if from.torques.is(&to.torques) {
        return Vec::new();
    }
    let mut joints: Vec<&str> =
        from.torques.iter().chain(&to.torques).map(|torque| torque.joint.value.as_str()).collect();
    joints.sort_by_key(|name| (joint::find(name).map(|(place, _)| place), *name));
    joints.dedup();
    let changed = |joint: &str| {
        let is_open = to.is_torque_in_conflict(joint);
        let (was, now) = (from.torque(joint), to.torque(joint));
        // What is not decided is neither gone nor another.
        let mut change = change(joint, was, now).filter(|_| !is_open || now.is_some())?;
        change.also.retain(|also| !is_open || !matches!(also, Also::Applied { now: None, .. }));
        change.differs().then_some(change)
    };
    joints.into_iter().filter_map(changed).collect()
}

fn change(joint: &str, was: Option<&Torque>, now: Option<&Torque>) -> Option<TorqueChange> {
    let (range_was, range_now) = (was.and_then(written), now.and_then(written));
    let (allowed_was, allowed_now) = (was.and_then(allowed), now.and_then(allowed));
    let shift = shift(range_was, range_now);
    let mut allowed_shift = shift_of_allowed(range_now, allowed_was, allowed_now);
    if range_was.is_none() && range_now.is_none() {
        allowed_shift = RangeShift::Same;
    }
    let also = match (was, now) {
        (Some(was), Some(now)) => also(was, now),
        _ => Vec::new(),
    };
    if [shift, allowed_shift] == [RangeShift::Same; 2] && also.is_empty() {
        return None;
    }
    Some(TorqueChange {
        joint: joint.to_owned(),
        title: joint::title(joint),
        was: range_was,
        now: range_now,
        shift,
        allowed_was,
        allowed_now,
        allowed_shift,
        ceiling_changed: allowed_shift != RangeShift::Same && ceiling_changed(was, now),
        also,
        out_of_range: now.and_then(applied_out_of_range),
        unit: "N-m",
    })
}

fn written(torque: &Torque) -> Option<Limits> {
    let range = &torque.range.as_ref()?.value;
    Some(Limits { from: range.from().newton_metres(), to: range.to().newton_metres() })
}

/// What `check` says of a torque last applied that lies outside what is allowed.
fn applied_out_of_range(torque: &Torque) -> Option<String> {
    let findings = crate::torque::allowed::findings(torque).into_iter();
    let codes = [&code::TORQUE_APPLIED_ABOVE, &code::TORQUE_APPLIED_BELOW];
    findings.filter(|finding| codes.contains(&finding.code)).map(|finding| finding.message).next()
}

/// What the ceilings leave; none if that is nothing.
fn allowed(torque: &Torque) -> Option<Limits> {
    let range = crate::torque::allowed(torque)?.ok()?.range;
    Some(Limits { from: range.from, to: range.to })
}

/// Whether the range as it is now would allow something else under the earlier ceilings.
fn ceiling_changed(was: Option<&Torque>, now: Option<&Torque>) -> bool {
    let (Some(was), Some(now)) = (was, now) else { return false };
    let under_the_earlier = Torque { ceilings: was.ceilings.clone(), ..now.clone() };
    was.range.is_some() && shift(allowed(&under_the_earlier), allowed(now)) != RangeShift::Same
}

fn shift_of_allowed(written_now: Option<Limits>, was: Option<Limits>, now: Option<Limits>) -> RangeShift {
    if written_now.is_some() && now.is_none() {
        return if was.is_none() { RangeShift::Same } else { RangeShift::Empty };
    }
    shift(was, now)
}

fn shift(was: Option<Limits>, now: Option<Limits>) -> RangeShift {
    let (was, now) = match (was, now) {
        (None, None) => return RangeShift::Same,
        (None, Some(_)) => return RangeShift::Recorded,
        (Some(_), None) => return RangeShift::NotRecorded,
        (Some(was), Some(now)) => (was, now),
    };
    let sign = |delta: f64| {
        if delta.abs() < NEGLIGIBLE {
            0
        } else if delta > 0.0 {
            1
        } else {
            -1
        }
    };
    match (sign(now.from - was.from), sign(now.to - was.to)) {
        (0, 0) => RangeShift::Same,
        (-1 | 0, 0 | 1) => RangeShift::Wider,
        (0 | 1, -1 | 0) => RangeShift::Narrower,
        (1, _) => RangeShift::Up,
        _ => RangeShift::Down,
    }
}

/// The other things a mechanic would want to know.
fn also(was: &Torque, now: &Torque) -> Vec<Also> {
    let mut also = Vec::new();
    let mut word = |what: &'static str, was: Option<&str>, now: Option<&str>| {
        if was != now {
            also.push(Also::Word { what, was: was.map(str::to_owned), now: now.map(str::to_owned) });
        }
    };
    word("tool", was.tool.as_deref(), now.tool.as_deref());
    word(
        "thread",
        was.thread.as_ref().map(|thread| &*thread.value),
        now.thread.as_ref().map(|thread| &*thread.value),
    );
    word(
        "class",
        was.class.as_ref().map(|class| &*class.value),
        now.class.as_ref().map(|class| &*class.value),
    );
    also.extend(ceilings(was, now));
    let last = |torque: &Torque| torque.applied.as_ref().map(LastApplied::of);
    let (then, since) = (last(was), last(now));
    if then != since {
        also.push(Also::Applied { was: then, now: since });
    }
    match (was.slips_in_a_crash, now.slips_in_a_crash) {
        (None, Some(_)) => also.push(Also::TurnsInACrash(true)),
        (Some(_), None) => also.push(Also::TurnsInACrash(false)),
        _ => {}
    }
    also
}

/// The ceilings that came, went or changed, also those that bound nothing yet: who raises a range relies on them.
fn ceilings(was: &Torque, now: &Torque) -> Vec<Also> {
    let is_alike = |(was, now): (&Ceiling, &Ceiling)| {
        was.part.value == now.part.value && was.limit.value == now.limit.value
    };
    if was.ceilings.len() == now.ceilings.len() && was.ceilings.iter().zip(&now.ceilings).all(is_alike) {
        return Vec::new();
    }
    let limit = |torque: &Torque, part: &str| {
        let of_the_part = torque.ceilings.iter().filter(|ceiling| ceiling.part.value == part);
        let said: Vec<String> = of_the_part.map(|ceiling| ceiling.limit.value.said()).collect();
        (!said.is_empty()).then(|| said.join(" and "))
    };
    let all = was.ceilings.iter().chain(&now.ceilings).map(|ceiling| ceiling.part.value.as_str());
    let mut parts: Vec<&str> = Vec::new();
    for part in all {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    let both = parts.into_iter().map(|part| (part, limit(was, part), limit(now, part)));
    both.filter(|(_, was, now)| was != now)
        .map(|(part, was, now)| Also::Ceiling { part: part.to_owned(), was, now })
        .collect()
}
