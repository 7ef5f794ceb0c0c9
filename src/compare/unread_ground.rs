//! Angles against gravity on ground whose slope one side of a comparison tells and the other does not, be it a setup or a
//! sheet: they look as if they had been read on level ground.

use serde::{Serialize, Serializer};

use crate::catalogue::table::FLOOR;
use crate::catalogue::{Gravity, MeasureId};
use crate::geometry::state::{Difference, State};
use crate::metrology::reading::Reading;
use crate::metrology::verdict::{Verdict, judge};

use super::floor;

/// In place of a word that nothing moved, where that hangs on a slope that nobody read.
pub const NOT_KNOWN: &str =
    "Not known whether anything moved: it hangs on the slope of the ground, which was not read.";

/// The angles against gravity whose ground nobody tells, where the other side of the comparison tells its own.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct UnreadGround {
    /// Of a sheet on unread ground those that it reads, else those that both sides have.
    #[serde(rename = "floor-not-read")]
    pub angles: Vec<Angle>,
    /// Whether it is the earlier of two setups, or the file of a sheet, that does not tell its slope.
    #[serde(rename = "floor-of-the-earlier")]
    pub of_the_earlier: bool,
    /// Whether nobody knows for that whether these moved from one side to the other: the slope that is told is not level.
    #[serde(rename = "floor-in-doubt")]
    pub in_doubt: bool,
    /// Whether the later side is an as-found sheet.
    #[serde(skip)]
    pub of_a_sheet: bool,
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
        let titles = self.titles().join(", ");
        if self.of_a_sheet && self.of_the_earlier {
            return Some(format!(
                "The slope of the ground where the file's own were read is not known (floor), and is taken for level: \
                 {titles}. On other ground each of these angles is off by the slope: find it out and write it in the \
                 file before you act on one, or take one to be in its place."
            ));
        }
        if self.angles.is_empty() || !self.of_the_earlier || !through_time {
            return unread_ground_words(&self.titles());
        }
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

/// Those of a sheet or of one of two setups that does not tell its slope, though the other side does.
pub fn unread_ground(difference: &Difference) -> UnreadGround {
    let found =
        if difference.to.sheet().is_some() { of_a_sheet(difference) } else { of_one_setup(difference) };
    found.unwrap_or_default()
}

/// None where the sheet and its file both tell the slope or neither does; and where the file does not, unless that leaves in
/// doubt what moved.
fn of_a_sheet(difference: &Difference) -> Option<UnreadGround> {
    let (from, to) = (&difference.from, &difference.to);
    let told = told_by_one_side(difference)?;
    let of_the_earlier = from.floor().is_none();
    let is_in_both = |id: &MeasureId| is_against_gravity(to, id) && stands_in_both(difference, id);
    let is_such = |id: &&MeasureId| if of_the_earlier { is_in_both(id) } else { to.is_on_unread_ground(id) };
    let angles: Vec<Angle> = to.readings().filter(is_such).map(|id| Angle::of(to, id)).collect();
    let in_doubt = !is_level(told)
        && angles.iter().any(|angle| is_in_both(&angle.id))
        && !floor::is_borne_out(difference);
    let is_told = !angles.is_empty() && (in_doubt || !of_the_earlier);
    is_told.then_some(UnreadGround { angles, of_the_earlier, in_doubt, of_a_sheet: true })
}

/// None where both setups tell the slope or neither does, where it is not decided, or where no angle stands in both.
fn of_one_setup(difference: &Difference) -> Option<UnreadGround> {
    let to = &difference.to;
    let told = told_by_one_side(difference)?;
    let ids = to.readings().filter(|id| is_against_gravity(to, id) && stands_in_both(difference, id));
    let angles: Vec<Angle> = ids.map(|id| Angle::of(to, id)).collect();
    (!angles.is_empty()).then(|| UnreadGround {
        angles,
        of_the_earlier: difference.from.floor().is_none(),
        in_doubt: !is_level(told),
        of_a_sheet: false,
    })
}

/// The slope that one side alone tells; none where it is not decided.
fn told_by_one_side<'s>(difference: &Difference<'s>) -> Option<&'s Reading> {
    let (from, to) = (&difference.from, &difference.to);
    let floor = MeasureId::bike(FLOOR);
    let is_undecided = [from, to].iter().any(|state| state.undecided(&floor).is_some());
    from.floor().xor(to.floor()).filter(|_| !is_undecided)
}

fn stands_in_both(difference: &Difference, id: &MeasureId) -> bool {
    difference.from.number(id).is_some() && difference.to.number(id).is_some()
}

fn is_level(slope: &Reading) -> bool {
    judge(slope.value(), slope.expanded_uncertainty()) != Verdict::Moved
}

fn is_against_gravity(state: &State, id: &MeasureId) -> bool {
    state.catalogue().measure(id.row).gravity != Gravity::None
}

/// Those of these angles against gravity that a setup reads and does not say on what slope of the ground.
pub fn without_ground(state: &State, ids: impl IntoIterator<Item = MeasureId>) -> Vec<MeasureId> {
    if state.floor().is_some() {
        return Vec::new();
    }
    ids.into_iter().filter(|id| is_against_gravity(state, id) && state.value(id).is_some()).collect()
}
