//! What was read again just as it was: the day and the source of the measuring, and the days of single readings.

use chrono::NaiveDate;

use crate::catalogue::MeasureId;
use crate::check::before_the_roll::read_before;
use crate::geometry::state::{Difference, State};
use crate::metrology::reading::Reading;
use crate::setup::model::{Measured, Setup};

/// That a setup was measured again, in a sentence: "Measured anew 2026-05-20 by mechanic; 3 measures read again."; none
/// if neither the measuring nor the day of any reading differs.
pub fn measured_anew(from: &Setup, to: &Setup) -> Option<String> {
    let (was, now) = (from.measured.as_ref(), to.measured.as_ref());
    let source = |measured: Option<&Measured>| measured.map(|measured| (measured.date, measured.by.clone()));
    let of_the_file = (source(was) != source(now)).then(|| measuring(was, now));
    let day = |setup: &Setup, id| setup.reading(id).map(Reading::read);
    let others = to.readings.keys().filter(|id| day(from, id) != day(to, id)).count();
    let of_readings = match others {
        0 => None,
        1 => Some("1 measure read again, or told with another day".to_owned()),
        number => Some(format!("{number} measures read again, or told with another day")),
    };
    let said: Vec<String> = of_the_file.into_iter().chain(of_readings).collect();
    (!said.is_empty()).then(|| format!("{}.", said.join("; ")))
}

/// Whether a measure was read again between two setups, on what it `hangs_on` as that is since: it is another number, or the same one
/// read on another day, the later one not before that was. It is the day that counts, be it written beside the reading or above
/// the file.
pub(super) fn is_read_again(difference: &Difference, id: &MeasureId, hangs_on: &MeasureId) -> bool {
    let (from, to) = (&difference.from, &difference.to);
    let (Some(was), Some(now)) = (from.number(id), to.number(id)) else { return false };
    if was.values() != now.values() || was.unit() != now.unit() {
        return true;
    }
    match (day_of(from, id), day_of(to, id)) {
        (Some(was), Some(now)) => {
            let (day, later) = if now > was { (now, to) } else { (was, from) };
            was != now && day_of(later, hangs_on).is_none_or(|that| day >= that)
        }
        (was, now) => was != now,
    }
}

/// Whether a state holds an angle as it was read before its own bar was rolled, by its file or by other revisions.
pub(super) fn is_older_than_the_roll(state: &State, id: &MeasureId) -> bool {
    state.is_shown_older_than_the_roll(id) || read_before(state.catalogue(), state.setup(), id).is_some()
}

/// The day on which a setup says that a measure was read.
pub(super) fn day_of(state: &State, id: &MeasureId) -> Option<NaiveDate> {
    state.setup().day_of(state.number(id))
}

fn measuring(was: Option<&Measured>, now: Option<&Measured>) -> String {
    let words = |measured: &Measured| {
        let by = measured.by.as_ref().map(|by| format!(" by {by}")).unwrap_or_default();
        format!("{}{by}", measured.date)
    };
    match (was, now) {
        (Some(was), Some(now)) if now.date > was.date => format!("Measured anew {}", words(now)),
        (Some(was), Some(now)) => format!("Measured {}, now {}", words(was), words(now)),
        (None, Some(now)) => format!("Measured {}", words(now)),
        (Some(was), None) => format!("Measured {}, no longer told", words(was)),
        (None, None) => String::new(),
    }
}
