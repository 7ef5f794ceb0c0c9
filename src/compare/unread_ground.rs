//! Angles against gravity on ground whose slope one side of a comparison tells and the other does not: they look as if they
//! had been read on level ground.

use serde::{Serialize, Serializer};

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Gravity, MeasureId};
use crate::geometry::state::{Difference, State};
use crate::metrology::reading::Reading;
use crate::metrology::verdict::{Verdict, judge};

/// In place of a word that nothing moved, where that hangs on a slope that nobody read.
pub const NOT_KNOWN: &str =
    "Not known whether anything moved: it hangs on the slope of the ground, which was not read.";

/// The angles against gravity whose ground nobody tells, where the other side of the comparison tells its own.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct UnreadGround {
    /// Of a sheet those that it reads, of two setups those that both have.
    #[serde(rename = "floor-not-read")]
    pub angles: Vec<Angle>,
    /// Whether it is the earlier of two setups that does not tell its slope.
    #[serde(rename = "floor-of-the-earlier")]
    pub of_the_earlier: bool,
    /// Whether nobody knows for that whether these moved from one setup to the other: the slope that is told is not level.
    #[serde(rename = "floor-in-doubt")]
    pub in_doubt: bool,
}

/// An angle against gravity; told by its title.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Angle {
    /// Which.
    pub id: MeasureId,
    /// In plain words.
    pub title: String,
}

impl Angle {
    fn of(state: &State, id: &MeasureId) -> Angle {
        Angle { id: id.clone(), title: state.catalogue().title(id) }
    }
}

impl Serialize for Angle {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.title)
    }
}

impl UnreadGround {
    /// The titles of the angles.
    pub fn titles(&self) -> Vec<String> {
        self.angles.iter().map(|angle| angle.title.clone()).collect()
    }

    /// What to make of it; `through_time` of a setup and what became of it.
    pub fn words(&self, through_time: bool) -> Option<String> {
        if self.angles.is_empty() || !self.of_the_earlier || !through_time {
            return unread_ground_words(&self.titles());
        }
        let titles = self.titles().join(", ");
        Some(if self.in_doubt {
            format!(
                "The slope of the ground was not read before (floor): {titles}. Each that reads as it did has moved, \
                 unless it was read on the slope that is recorded now; what reads otherwise is judged as if the ground \
                 was level before."
            )
        } else {
            format!(
                "The slope of the ground was not read before (floor), and was taken for level: {titles}. What reads as \
                 it did is taken to have been read on the slope that is recorded now."
            )
        })
    }

    /// In few words, of one of two setups' angles that reads as it did, or `read_anew`, and then is judged as on level ground.
    pub fn in_short(&self, read_anew: bool) -> &'static str {
        match (self.of_the_earlier, self.in_doubt && !read_anew) {
            (true, true) => "slope of the ground read now, not before, not known whether moved",
            (true, false) => "slope of the ground read now, before taken for level",
            (false, true) => "slope of the ground not read, not known whether moved",
            (false, false) => "slope of the ground not read, taken for level",
        }
    }

    /// Whether the angle is among them.
    pub fn is_of(&self, id: &MeasureId) -> bool {
        self.angles.iter().any(|angle| angle.id == *id)
    }

    /// Keeps such angles.
    pub fn retain(&mut self, is_wanted: impl Fn(&MeasureId) -> bool) {
        self.angles.retain(|angle| is_wanted(&angle.id));
        if self.angles.is_empty() {
            *self = UnreadGround::default();
        }
    }
}

/// What to make of angles that were read on ground whose slope nobody gives.
pub fn unread_ground_words(titles: &[String]) -> Option<String> {
    (!titles.is_empty()).then(|| {
        format!(
            "The slope of the ground was not read (floor), and is taken for level: {}. On other ground each of these \
             angles is off by the slope: read the floor before you act on one, or take one to be in its place.",
            titles.join(", ")
        )
    })
}

/// Those of a sheet that does not tell its slope though its setup does; else those of one of two setups.
pub fn unread_ground(difference: &Difference) -> UnreadGround {
    let to = &difference.to;
    match to.sheet() {
        Some(sheet) => {
            let read = sheet.readings.keys().filter(|id| to.is_on_unread_ground(id));
            let angles = read.map(|id| Angle::of(to, id)).collect();
            UnreadGround { angles, ..UnreadGround::default() }
        }
        None => of_one_setup(difference).unwrap_or_default(),
    }
}

/// None where both setups tell the slope or neither does, where it is not decided, or where no angle stands in both.
fn of_one_setup(difference: &Difference) -> Option<UnreadGround> {
    let (from, to) = (&difference.from, &difference.to);
    let told: &Reading = from.floor().xor(to.floor())?;
    let floor = MeasureId::bike(FLOOR);
    if [from, to].iter().any(|state| state.undecided(&floor).is_some()) {
        return None;
    }
    let is_against_gravity = |id: &MeasureId| to.catalogue().measure(id.row).gravity != Gravity::None;
    let stands_in_both = |id: &MeasureId| from.number(id).is_some() && to.number(id).is_some();
    let ids = to.readings().filter(|id| is_against_gravity(id) && stands_in_both(id));
    let angles: Vec<Angle> = ids.map(|id| Angle::of(to, id)).collect();
    (!angles.is_empty()).then(|| UnreadGround {
        angles,
        of_the_earlier: from.floor().is_none(),
        in_doubt: judge(told.value(), told.expanded_uncertainty()) == Verdict::Moved,
    })
}

/// Those of these angles against gravity that a setup reads and does not say on what slope of the ground.
pub fn without_ground(state: &State, ids: impl IntoIterator<Item = MeasureId>) -> Vec<MeasureId> {
    if state.floor().is_some() {
        return Vec::new();
    }
    let against_gravity = |id: &MeasureId| state.catalogue().measure(id.row).gravity != Gravity::None;
    ids.into_iter().filter(|id| against_gravity(id) && state.value(id).is_some()).collect()
}
