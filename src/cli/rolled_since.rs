//! A bar that was rolled since the last commit, and nothing else read: git knows what came first, where the file alone may not
//! say it by its days.

use crate::catalogue::table::BAR_ROLL;
use crate::catalogue::{MeasureId, code};
use crate::check::before_the_roll;
use crate::compare::as_written;
use crate::geometry::state::State;
use crate::setup::finding::Finding;

use super::since_commit::SinceCommit;

/// What is to be said of the angles of a setup that were read before its bar was rolled, unless its own days tell it.
pub fn finding(SinceCommit { catalogue, was, now }: &SinceCommit) -> Option<Finding> {
    let roll = MeasureId::bike(BAR_ROLL);
    // A bar without a roll stands at 0°, and whoever rolls it writes one.
    let written = now.recorded(&roll)?;
    let [was] = &was[..] else { return None };
    if was.value(&roll) == now.value(&roll) {
        return None;
    }
    let told = as_written(State::recorded(catalogue, was), State::recorded(catalogue, now));
    let is_told = |path: &str| {
        let id = catalogue.find(path);
        id.is_some_and(|id| before_the_roll::read_before(catalogue, now, &id).is_some())
    };
    let older = told.read_before_the_roll.iter().filter(|one| !is_told(&one.measure));
    let titles: Vec<&str> = older.map(|one| one.title.as_str()).collect();
    let message = format!(
        "The bar's roll is another than last recorded, and these were read before: {}. Gone along with the bar or set back: \
         nobody says which.",
        titles.join(", ")
    );
    let help = "Read them again, brakes first, or write the day of the roll beside it (read=…): then every command knows \
                that they are older. Until then set nothing by the old figures alone.";
    let finding = Finding::new(&code::READ_BEFORE_ROLL, message).help(help).at(written.span);
    (!titles.is_empty()).then(|| finding.about(catalogue.path(&roll)))
}
