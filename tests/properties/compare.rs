//! Laws of comparing two setups: who is called the earlier, constants, units, comments and strangers change nothing.

use clampmark::catalogue::{Catalogue, Kind, MeasureId};
use clampmark::compare::{Change, Comparison, compare, is_along_the_bar};
use clampmark::geometry::state::State;
use clampmark::metrology::verdict::Verdict;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;
use proptest::prelude::*;

use crate::generator::{Draft, Style, draft, pair, setup_of};

fn compared(was: &Setup, now: &Setup) -> Comparison {
    let catalogue = Catalogue::standard();
    compare(State::recorded(catalogue, was), State::recorded(catalogue, now))
}

/// What a verdict becomes when the other state is called the earlier.
fn swapped(verdict: Verdict) -> Verdict {
    match verdict {
        Verdict::Recorded => Verdict::NotRecorded,
        Verdict::NotRecorded => Verdict::Recorded,
        other => other,
    }
}

/// Equal to rounding, or both absent.
fn alike(left: Option<f64>, right: Option<f64>) -> bool {
    match (left, right) {
        (Some(left), Some(right)) => (left - right).abs() <= 1e-9 * (1.0 + left.abs()),
        (left, right) => left.is_none() && right.is_none(),
    }
}

fn nothing_differs(comparison: &Comparison) -> Result<(), TestCaseError> {
    prop_assert!(comparison.changes.is_empty(), "{:?}", comparison.changes);
    prop_assert!(comparison.derived.iter().all(|change| change.verdict == Verdict::Same));
    prop_assert!(comparison.parts.is_empty() && comparison.marks.is_empty());
    prop_assert!(comparison.torque.is_empty() && comparison.notes.is_empty());
    prop_assert!(comparison.common_shift.is_none() && !comparison.has_moved() && !comparison.is_to_act_on());
    Ok(())
}

/// The measures of a draft that are numbers and not counts.
fn readings(draft: &Draft) -> Vec<MeasureId> {
    let is_reading = |id: &&MeasureId| {
        let measure = Catalogue::standard().measure(id.row);
        matches!(measure.kind, Kind::Reading { tolerance, .. } if tolerance > 0.0)
    };
    draft.entries.keys().filter(is_reading).cloned().collect()
}

/// Moves every value of a measure by so many tenths, if all of them stay inside the span.
fn shift(draft: &mut Draft, id: &MeasureId, by: i32) -> bool {
    let Kind::Reading { low, high, .. } = Catalogue::standard().measure(id.row).kind else { return false };
    let Some(entry) = draft.entries.get_mut(id) else { return false };
    let shifted: Vec<i32> = entry.tenths.iter().map(|value| value + by).collect();
    let inside = shifted.iter().all(|value| (low..=high).contains(&(f64::from(*value) / 10.0)));
    if inside {
        entry.tenths = shifted;
    }
    inside
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Calling the later state the earlier flips the sign of every delta and no verdict, but along a bar that was cut.
    #[test]
    fn swapping_flips_signs_and_no_verdict((first, second) in pair()) {
        let (first, second) = (first.setup(), second.setup());
        let (there, back) = (compared(&first, &second), compared(&second, &first));
        // No bar grows back: what stayed on one that was cut did not move, and backwards in time the wider bar is another.
        let is_cut = [&there, &back].into_iter().any(|told| told.narrower.is_some());
        let is_judged = |change: &&Change| !(is_cut && is_along_the_bar(change.id.row));
        prop_assert_eq!(there.changes.iter().filter(is_judged).count(), back.changes.iter().filter(is_judged).count());
        for change in there.changes.iter().filter(is_judged) {
            let other = back.changes.iter().find(|other| other.measure == change.measure);
            let other = other.expect("a difference is one both ways");
            prop_assert_eq!(swapped(change.verdict), other.verdict, "{}", &change.measure);
            prop_assert!(alike(change.delta, other.delta.map(|delta| -delta)), "{}", &change.measure);
            prop_assert!(alike(change.uncertainty, other.uncertainty), "{}", &change.measure);
            prop_assert!(change.was == other.now && change.now == other.was);
        }
        prop_assert_eq!(there.derived.len(), back.derived.len());
        for (change, other) in there.derived.iter().zip(&back.derived) {
            prop_assert_eq!(change.name, other.name);
            prop_assert_eq!(swapped(change.verdict), other.verdict, "{}", change.name);
            prop_assert!(alike(change.delta, other.delta.map(|delta| -delta)), "{}", change.name);
            prop_assert!(alike(change.uncertainty, other.uncertainty), "{}", change.name);
        }
        prop_assert!(alike(
            there.common_shift.as_ref().map(|shift| shift.shift),
            back.common_shift.as_ref().map(|shift| -shift.shift),
        ));
    }

    /// Adding one constant to both readings of a measure changes neither its delta nor its verdict.
    #[test]
    fn a_constant_on_both_sides_changes_nothing((first, second) in pair(), which in any::<prop::sample::Index>(), by in -9_i32..=9) {
        let before = compared(&first.setup(), &second.setup());
        let numbers: Vec<&str> = before.changes.iter()
            .filter(|change| change.delta.is_some() && change.unit != "clicks" && change.measure != "floor")
            .map(|change| change.measure.as_str())
            .collect();
        prop_assume!(!numbers.is_empty());
        let path = *which.get(&numbers);
        let id = Catalogue::standard().find(path).expect("a path of the table");
        let (mut first, mut second) = (first, second);
        prop_assume!(shift(&mut first, &id, by) && shift(&mut second, &id, by));
        let after = compared(&first.setup(), &second.setup());
        let of = |comparison: &Comparison| {
            let change = comparison.changes.iter().find(|change| change.measure == path);
            change.map(|change| (change.verdict, change.delta, change.uncertainty))
        };
        let (was, now) = (of(&before).expect("it differed"), of(&after).expect("it still differs"));
        prop_assert_eq!(was.0, now.0);
        prop_assert!(alike(was.1, now.1) && alike(was.2, now.2), "{}: {:?} {:?}", path, was, now);
    }

    /// Whatever is read again inside its tolerance has not moved, alone or with everything else.
    #[test]
    fn inside_the_tolerance_nothing_moves(first in draft(), sign in proptest::collection::vec(-1.0..=1.0_f64, 200)) {
        let mut second = first.clone();
        for (id, share) in readings(&first).iter().zip(sign) {
            let tenths = share * first.entries[id].half_width(id) * 10.0;
            #[expect(clippy::cast_possible_truncation, reason = "a tolerance is a few units; cut towards zero")]
            shift(&mut second, id, tenths.trunc() as i32);
        }
        let comparison = compared(&first.setup(), &second.setup());
        for change in &comparison.changes {
            prop_assert_eq!(change.verdict, Verdict::WithinReading, "{}", &change.measure);
        }
        prop_assert!(comparison.common_shift.is_none());
    }

    /// The same setup typed otherwise is the same setup.
    #[test]
    fn order_comments_and_units_are_no_change(draft in draft(), reversed: bool, chatty: bool, centimetres: bool) {
        let style = Style { reversed, chatty, centimetres };
        let (plain, other) = (draft.setup(), setup_of(&draft.typed(style)));
        nothing_differs(&compared(&plain, &other))?;
        nothing_differs(&compared(&plain, &setup_of(&draft.typed(style).replace('\n', "\r\n"))))?;
    }

    /// Values that are whole inches are the same written either way: 25.4 mm exactly (ISO/NIST definition).
    #[test]
    fn inches_are_no_change(draft in draft(), inches in 29_i32..=31, tolerance in 1_i32..9) {
        let id = Catalogue::standard().find("bar.width").expect("a row of the table");
        let mut draft = draft;
        let width = draft.entries.get_mut(&id).expect("the width is always recorded");
        (width.tenths, width.tolerance, width.instrument) = (vec![inches * 254], Some(tolerance * 10), None);
        let text = draft.text();
        let metric = text.lines().find(|line| line.trim_start().starts_with("width ")).expect("it is typed");
        let imperial = format!("width (in){inches} tol=(mm)0.{tolerance}");
        nothing_differs(&compared(&draft.setup(), &setup_of(&text.replace(metric, &imperial))))?;
    }

    /// What has nothing to do with the hands has no say in whether they moved.
    #[test]
    fn strangers_have_no_say((first, second) in pair(), strangers in draft()) {
        let catalogue = Catalogue::standard();
        let is_stranger = |id: &MeasureId| {
            let path = catalogue.path(id);
            ["tyres.", "fork.", "shock.", "hose.", "rider.", "frame.top-tube."].iter().any(|group| path.starts_with(group))
        };
        let mut other = second.clone();
        other.entries.retain(|id, _| !is_stranger(id));
        other.entries.extend(strangers.entries.into_iter().filter(|(id, _)| is_stranger(id)));
        let first = first.setup();
        let (plain, changed) = (compared(&first, &second.setup()), compared(&first, &other.setup()));
        prop_assert_eq!(plain.derived, changed.derived);
    }

    /// However a text is torn, comparing what could be read of it ends in an answer.
    #[test]
    fn torn_texts_are_compared((first, second) in pair(), cut in any::<prop::sample::Index>(), swap in any::<prop::sample::Index>(), junk in "[{}();=\"a-z0-9 .-]{0,12}") {
        let catalogue = Catalogue::standard();
        let mut torn = second.text();
        torn.truncate(cut.index(torn.len()));
        torn.insert_str(swap.index(torn.len() + 1), &junk);
        let torn = read(catalogue, torn.as_bytes(), None).setup;
        let first = first.setup();
        if let Some(torn) = torn {
            for comparison in [compared(&first, &torn), compared(&torn, &first)] {
                prop_assert!(comparison.changes.iter().all(|change| change.verdict != Verdict::NotLookedAt));
            }
            let found = State::recorded(catalogue, &first).found(&torn, None);
            let comparison = compare(State::recorded(catalogue, &first), found);
            prop_assert!(comparison.partial);
        }
    }
}
