//! Where a mark stands to what is recorded: as `check` has it of the file alone, and as the revisions before tell more.

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Catalogue, Gravity, MeasureId, joint};
use crate::check::before_the_roll::{self, ReadBefore, ToTheLine};
use crate::check::lines;
use crate::check::marks::{Stale, beside_an_old_angle, staleness, without_joint};
use crate::metrology::reading::Reading;
use crate::metrology::show::plain;
use crate::setup::model::{Mark, Setup, Value};

use super::Followed;
use super::angles::Angles;

/// Where a mark stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Where it is recorded, as far as anybody knows.
    There,
    /// These measures are recorded elsewhere.
    Left(Vec<MeasureId>),
    /// Nobody knows.
    NoEvidence {
        /// Why, without a full stop.
        why: String,
        /// How to make it evidence again.
        mend: Option<String>,
    },
}

impl Standing {
    /// Why it is no evidence, and what to do about it, in sentences.
    pub fn why(&self) -> Option<String> {
        match self {
            Standing::NoEvidence { why, mend } => {
                let mend = mend.as_ref().map(|mend| format!(" {mend}")).unwrap_or_default();
                Some(format!("{why}.{mend}"))
            }
            Standing::There | Standing::Left(_) => None,
        }
    }

    fn has_left(&self, id: &MeasureId) -> bool {
        matches!(self, Standing::Left(left) if left.contains(id))
    }
}

/// Where a mark stands. What nobody tells, for the ground or because nothing is recorded, stands as it did.
pub fn standing(
    catalogue: &Catalogue,
    (known, angles): (&Followed, &Angles),
    setup: &Setup,
    mark: &Mark,
) -> Standing {
    let (mut left, mut old) = (Vec::new(), None);
    for (id, drawn) in &known.drawn.drawn {
        let before = angles.read_before(catalogue, setup, id);
        match to_the_line(catalogue, known, setup, (id, &drawn.value), before.as_ref()) {
            Some(ToTheLine::Left) => left.push(id.clone()),
            None if known.standing.has_left(id) => left.push(id.clone()),
            Some(ToTheLine::Undecided) => old = old.or(before.map(|before| (id, before))),
            Some(ToTheLine::There) | None => {}
        }
    }
    if !left.is_empty() {
        return Standing::Left(left);
    }
    if let Some((id, before)) = old {
        let Stale { words, mend, .. } = beside_an_old_angle(catalogue, setup, mark, id, &before);
        return Standing::NoEvidence { why: words, mend };
    }
    if let Some(why) = without_joint(setup, mark) {
        return Standing::NoEvidence { why, mend: None };
    }
    let Some(stale) = staleness(catalogue, setup, mark) else { return Standing::There };
    let mend = match stale.left {
        None => its_roll(known).or(stale.mend),
        Some(id) => match by_the_ground(catalogue, known, setup, &id) {
            ByTheGround::No => return Standing::Left(vec![id]),
            ByTheGround::Yes { mend } => Some(mend),
            ByTheGround::NotKnown => Some(unread_ground(known).to_owned()),
        },
    };
    Standing::NoEvidence { why: stale.words, mend }
}

/// Whether a line only reads otherwise because the ground is another.
enum ByTheGround {
    /// It does not.
    No,
    /// It does.
    Yes {
        /// What to write beside it.
        mend: String,
    },
    /// Nobody knows the ground of then, or of now.
    NotKnown,
}

/// What to do about a line of which nobody knows whether it was left.
fn unread_ground(known: &Followed) -> &'static str {
    if known.ground.floor().is_some() {
        "Nobody knows on which ground that was read: read its slope (floor), or draw the line anew."
    } else {
        "Nobody knows on which ground it was drawn: draw it anew."
    }
}

/// What to write beside a line that does not say at which roll it was drawn, though the revisions know.
fn its_roll(known: &Followed) -> Option<String> {
    let roll = lines::said(known.on_the_bar.as_ref()?)?;
    let roll = plain(roll.value(), roll.decimals());
    Some(format!(
        "In the revision that has the line first the bar stood at {roll}°: under `drawn` write roll={roll} beside the angle."
    ))
}

fn by_the_ground(catalogue: &Catalogue, known: &Followed, setup: &Setup, id: &MeasureId) -> ByTheGround {
    let Some(on_slope) = between_floors(catalogue, known, setup, id) else { return ByTheGround::NotKnown };
    let at = known.drawn.drawn.iter().find(|(at, _)| at == id).map(|(_, drawn)| &drawn.value);
    let Some(Value::Reading(drawn)) = at.filter(|_| on_slope.degrees != 0.0) else { return ByTheGround::No };
    let reads = plain(drawn.value() - on_slope.degrees, drawn.decimals().max(1));
    let mend = format!(
        "The ground has another slope than when it was drawn, on which it reads {reads}°: write that under `drawn`, or \
         draw it anew."
    );
    ByTheGround::Yes { mend }
}

/// How the line stands to a recorded position; none where nobody knows.
fn to_the_line(
    catalogue: &Catalogue,
    known: &Followed,
    setup: &Setup,
    (id, drawn): (&MeasureId, &Value),
    before: Option<&ReadBefore>,
) -> Option<ToTheLine> {
    let (Value::Reading(drawn), Some(line)) = (drawn, line_of(known, id)) else {
        return Some(ToTheLine::There);
    };
    let now = setup.reading(id)?;
    let on_slope = between_floors(catalogue, known, setup, id)?;
    let rolled = lines::rolled(catalogue, setup, line, id);
    let on_slope = (on_slope.degrees, on_slope.uncertainty);
    Some(before_the_roll::to_the_line((drawn, now), rolled, on_slope, before))
}

/// The line with the roll at which it was drawn; none of an angle on the bar where nobody knows that roll, of which `check`
/// tells.
fn line_of<'k>(known: &'k Followed, id: &MeasureId) -> Option<&'k Mark> {
    let is_off_the_bar = !joint::is_control_angle(id.row);
    known.on_the_bar.as_ref().or_else(|| is_off_the_bar.then_some(&known.drawn))
}

/// What another slope makes of an angle.
#[derive(Default)]
struct OnSlope {
    degrees: f64,
    uncertainty: f64,
}

/// An angle read on another slope is taken to level before it is compared; none where only one slope is known.
fn between_floors(catalogue: &Catalogue, known: &Followed, setup: &Setup, id: &MeasureId) -> Option<OnSlope> {
    let sign = match catalogue.measure(id.row).gravity {
        Gravity::None => return Some(OnSlope::default()),
        Gravity::TipDown => 1.0,
        Gravity::NoseUp => -1.0,
    };
    let now: Option<&Reading> = setup.reading(&MeasureId::bike(FLOOR));
    match (known.ground.floor(), now) {
        (Some(then), Some(now)) if !then.is_same_reading(now) => Some(OnSlope {
            degrees: sign * (now.value() - then.value()),
            uncertainty: now.expanded_uncertainty().hypot(then.expanded_uncertainty()),
        }),
        (Some(_), Some(_)) | (None, None) => Some(OnSlope::default()),
        (Some(_), None) | (None, Some(_)) => None,
    }
}
