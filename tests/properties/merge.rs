//! Merging three versions: no reading is lost, invented, or silently chosen between two that differ beyond reading.

use std::collections::{BTreeMap, BTreeSet};

use clampmark::catalogue::Catalogue;
use clampmark::merge::{Labels, Merged, merge};
use clampmark::setup::model::{Setup, Value};
use clampmark::setup::read::read;
use proptest::prelude::*;

/// The measures that versions differ in: group, word, and numbers to choose from. The half-width is 0.5 throughout, so
/// two readings agree when they differ by at most √2·2·0.5/√3 = 0.816 (GUM 4.3.7, 5.1.2).
const MEASURES: &[(&str, &str, [f64; 4])] = &[
    ("", "floor", [0.0, 0.5, 2.0, -3.0]),
    ("bar", "width", [780.0, 780.5, 760.0, 740.0]),
    ("bar", "roll", [-1.5, -1.0, 2.0, 6.0]),
    ("stem", "length", [50.0, 50.5, 40.0, 60.0]),
    ("saddle", "tilt", [0.0, 0.5, -3.0, 3.0]),
    ("left.brake-lever", "from-tip", [168.0, 168.5, 174.0, 160.0]),
    ("left.brake-lever", "angle", [32.0, 32.5, 28.0, 40.0]),
    ("left.brake-lever", "reach", [62.0, 62.5, 66.0, 58.0]),
    ("right.brake-lever", "angle", [32.0, 32.5, 28.0, 40.0]),
];
const AGREE: f64 = 0.816_497;
/// Angles against gravity are compared on level ground; two floors bring two more readings: √4·2·0.5/√3.
const AGREE_ON_TWO_FLOORS: f64 = 1.154_701;

/// How far apart two readings are, and how far they may be: an angle of a lever with its tip down by the floor's slope
/// more, a saddle's nose up by as much less.
fn apart_on_level(path: &str, ours: f64, theirs: f64, floors: [Option<f64>; 2]) -> (f64, f64) {
    let sign = if path.ends_with("angle") { 1.0 } else { -1.0 };
    let gravity = path.ends_with("brake-lever.angle") || path == "saddle.tilt";
    let [mine, yours] = floors.map(|floor| floor.unwrap_or(0.0));
    match gravity && floors[0] != floors[1] {
        true => (ours + sign * mine - theirs - sign * yours, AGREE_ON_TWO_FLOORS),
        false => (ours - theirs, AGREE),
    }
}

/// Which number each measure has, if any; the day; whether groups stand on one line.
#[derive(Clone, Debug)]
struct Version {
    chosen: Vec<Option<usize>>,
    day: u32,
    narrow: bool,
}

impl Version {
    fn text(&self) -> String {
        let mut groups: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for ((group, word, numbers), chosen) in MEASURES.iter().zip(&self.chosen) {
            if let Some(chosen) = chosen {
                groups.entry(group).or_default().push(format!("{word} {} tol=0.5", numbers[*chosen]));
            }
        }
        let mut text =
            format!("setup \"rowan/race\" format=1 {{\n    measured \"2031-05-{:02}\"\n", self.day);
        for (group, lines) in groups {
            let words: Vec<&str> = group.split('.').filter(|word| !word.is_empty()).collect();
            let (open, close) = (words.iter().map(|word| format!("{word} {{ ")), " }".repeat(words.len()));
            let between = if self.narrow { "\n        " } else { "; " };
            let open: String = open.collect();
            // Two sides' levers are two groups of their own.
            text.push_str(&format!("    {open}{}{close}\n", lines.join(between)));
        }
        text + "}\n"
    }
}

fn version() -> impl Strategy<Value = Version> {
    let chosen = proptest::collection::vec(proptest::option::weighted(0.85, 0..4usize), MEASURES.len());
    (chosen, 1..4u32, any::<bool>()).prop_map(|(chosen, day, narrow)| Version { chosen, day, narrow })
}

/// A base and two versions that changed a few things of it.
fn three() -> impl Strategy<Value = (Version, Version, Version)> {
    let changes =
        || (version(), proptest::collection::vec(proptest::bool::weighted(0.3), MEASURES.len() + 1));
    (version(), changes(), changes()).prop_map(|(base, ours, theirs)| {
        let changed = |(other, which): (Version, Vec<bool>)| {
            let pick = |place: usize| if which[place] { other.chosen[place] } else { base.chosen[place] };
            let day = if which[MEASURES.len()] { other.day } else { base.day };
            Version { chosen: (0..MEASURES.len()).map(pick).collect(), day, narrow: other.narrow }
        };
        (base.clone(), changed(ours), changed(theirs))
    })
}

/// The half-widths a rule may have, as the file gives them.
const RULES: [f64; 3] = [0.5, 0.1, 5.0];

/// The same versions, where some readings name a rule in place of a tolerance of their own, and the rule may differ.
fn with_a_rule(version: &Version, by_rule: &[bool], rule: usize) -> String {
    let mut text = version.text().replacen(
        "    measured",
        &format!("    instruments {{ rule tol={} }}\n    measured", RULES[rule]),
        1,
    );
    for ((_, word, numbers), by_rule) in MEASURES.iter().zip(by_rule) {
        for number in numbers.iter().filter(|_| *by_rule) {
            let own = format!("{word} {number} tol=0.5");
            text = text.replace(&own, &format!("{word} {number} with=rule"));
        }
    }
    text
}

/// Three versions of one day with rules.
fn three_with_a_rule() -> impl Strategy<Value = [String; 3]> {
    let by_rule = || proptest::collection::vec(any::<bool>(), MEASURES.len());
    let rules = || proptest::array::uniform3(0..RULES.len());
    (three(), by_rule(), rules()).prop_map(|((base, ours, theirs), by_rule, rules)| {
        let text = |version: Version, rule| with_a_rule(&Version { day: 1, ..version }, &by_rule, rule);
        [text(base, rules[0]), text(ours, rules[1]), text(theirs, rules[2])]
    })
}

/// Each measure's number and half-width.
fn readings(setup: &Setup) -> BTreeMap<String, (f64, f64)> {
    let reading = |value: &Value| match value {
        Value::Reading(reading) => (reading.value(), reading.half_width()),
        other => panic!("{other:?} is no reading"),
    };
    let path = |id| Catalogue::standard().path(id);
    setup.readings.iter().map(|(id, recorded)| (path(id), reading(&recorded.value))).collect()
}

/// One side of a conflict as it stands in the text; nothing if there is none of that name.
pub fn side_of<'t>(text: &'t str, about: &str, side: &str) -> &'t str {
    let Some(start) = text.find(&format!("conflict \"{about}\" {{")) else { return "" };
    let whole = &text[start..];
    // The versions stand on lines of their own; braces in quotes close nothing.
    let (mut depth, mut is_quoted) = (0, false);
    let end = whole.find(|letter: char| {
        is_quoted ^= letter == '"';
        match letter {
            '{' if !is_quoted => depth += 1,
            '}' if !is_quoted => depth -= 1,
            _ => {}
        }
        letter == '}' && !is_quoted && depth == 0
    });
    let whole = &whole[..end.expect("its end")];
    let is_theirs = |line: &&str| line.trim_start().starts_with("theirs");
    let length = whole.split_inclusive('\n').take_while(|line| !is_theirs(line)).map(str::len).sum();
    if side == "ours" { &whole[..length] } else { &whole[length..] }
}

/// Whether a version holds the measure with this number and no other.
fn holds(version: &str, path: &str, number: &str) -> bool {
    let word = path.rsplit('.').next().expect("a word");
    let written = format!("{word} {number}");
    let mut after = version.match_indices(&written).map(|(at, _)| &version[at + written.len()..]);
    after.any(|rest| !rest.starts_with(|letter: char| letter.is_ascii_digit() || letter == '.'))
}

pub fn merged(base: &str, ours: &str, theirs: &str) -> Merged {
    merge(Catalogue::standard(), base.as_bytes(), ours.as_bytes(), theirs.as_bytes(), &Labels::default())
        .expect("sound versions")
}

pub fn setup(text: &str) -> Setup {
    read(Catalogue::standard(), text.as_bytes(), None).setup.expect("a setup")
}

/// Whether it is said of a measure, or of a group around it, that a later session says something else.
fn is_named(merged: &Merged, path: &str) -> bool {
    let mut told = merged.said.iter().filter(|said| said.ends_with(": look again."));
    told.any(|said| {
        let about = said.trim_start_matches('`').split('`').next().unwrap_or_default();
        path == about || path.starts_with(&format!("{about}."))
    })
}

/// Each measure's written number.
fn numbers(setup: &Setup) -> BTreeMap<String, String> {
    let number = |value: &Value| match value {
        Value::Reading(reading) => reading.digits().join(" "),
        Value::Choice(word) => (*word).to_owned(),
        Value::Unmeasured => "unmeasured".to_owned(),
    };
    let path = |id| Catalogue::standard().path(id);
    setup.readings.iter().map(|(id, recorded)| (path(id), number(&recorded.value))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn nothing_new_on_the_other_side_changes_nothing((base, ours, _) in three()) {
        let (base, ours) = (base.text(), ours.text());
        prop_assert_eq!(&merged(&base, &ours, &base).text, &ours);
        let other_way = merged(&base, &base, &ours).text;
        prop_assert_eq!(numbers(&setup(&other_way)), numbers(&setup(&ours)));
    }

    #[test]
    fn no_reading_is_lost_invented_or_silently_chosen((base, ours, theirs) in three()) {
        let result = merged(&base.text(), &ours.text(), &theirs.text());
        let (was, mine, yours) =
            (numbers(&setup(&base.text())), numbers(&setup(&ours.text())), numbers(&setup(&theirs.text())));
        let now = numbers(&setup(&result.text));
        let apart: BTreeSet<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
        let everything: BTreeSet<&String> = was.keys().chain(mine.keys()).chain(yours.keys()).collect();
        for path in everything {
            let (b, o, t, n) = (was.get(path), mine.get(path), yours.get(path), now.get(path));
            // A conflict may be over the measure or over the group around it.
            if apart.iter().any(|about| path == about || path.starts_with(&format!("{about}."))) {
                prop_assert_eq!(n, None, "{} is in conflict and recorded", path);
                let about = apart.iter().find(|about| path == *about || path.starts_with(&format!("{about}.")));
                for (side, number) in [("ours", o), ("theirs", t)] {
                    let Some(number) = number else { continue };
                    let stands = side_of(&result.text, about.expect("its conflict"), side);
                    prop_assert!(holds(stands, path, number), "{} lost {} of {}: {}", path, number, side, stands);
                }
                prop_assert!(o != t || !apart.contains(path.as_str()), "{} conflicts without reason", path);
                continue;
            }
            prop_assert!(n == o || n == t, "{}: {:?} was written by neither side", path, n);
            if o != t && o != b && t != b {
                let number = |text: Option<&String>| text.and_then(|text| text.parse::<f64>().ok());
                let (Some(o), Some(t)) = (number(o), number(t)) else {
                    panic!("{path}: taken out on one side, changed on the other, and decided");
                };
                let floors = [mine.get("floor"), yours.get("floor")].map(number);
                let (apart, allowed) = apart_on_level(path, o, t, floors);
                prop_assert!(apart.abs() <= allowed, "{} was decided between {} and {}", path, o, t);
            } else if o == b {
                prop_assert_eq!(n, t, "{}: their change was not taken", path);
                let newer_lost = o.is_some() && o != t && ours.day != base.day && ours.day > theirs.day;
                prop_assert!(!newer_lost || is_named(&result, path), "{}: a later session says another", path);
            } else {
                prop_assert_eq!(n, o, "{}: our change did not stay", path);
                let newer_lost = t.is_some() && o != t && theirs.day != base.day && theirs.day > ours.day;
                prop_assert!(!newer_lost || is_named(&result, path), "{}: a later session says another", path);
            }
        }
    }

    #[test]
    fn sides_swapped_give_the_same_readings((base, ours, theirs) in three()) {
        let one = merged(&base.text(), &ours.text(), &theirs.text());
        let other = merged(&base.text(), &theirs.text(), &ours.text());
        prop_assert_eq!(numbers(&setup(&one.text)), numbers(&setup(&other.text)));
        let about = |merged: &Merged| -> BTreeSet<String> {
            merged.conflicts.iter().map(|conflict| conflict.about.clone()).collect()
        };
        prop_assert_eq!(about(&one), about(&other));
    }

    #[test]
    fn no_reading_gets_a_doubt_that_nobody_gave_it([base, ours, theirs] in three_with_a_rule()) {
        let result = merged(&base, &ours, &theirs);
        let [was, mine, yours, now] =
            [&base, &ours, &theirs, &result.text].map(|text| readings(&setup(text)));
        let apart: BTreeSet<&str> = result.conflicts.iter().map(|conflict| conflict.about.as_str()).collect();
        let is_decided = !apart.contains("instruments.rule");
        for (path, now) in &now {
            let (b, o, t) = (was.get(path), mine.get(path), yours.get(path));
            if !is_decided {
                // How well it is known nobody says until somebody decides; what it reads is one side's all the same.
                let reads = |side: Option<&(f64, f64)>| side.map(|(read, _)| *read) == Some(now.0);
                prop_assert!(reads(o) || reads(t), "{}: {:?}, read {:?} and {:?}", path, now, o, t);
                continue;
            }
            prop_assert!(Some(now) == o || Some(now) == t, "{}: {:?}, neither {:?} nor {:?}", path, now, o, t);
            if o == t || o == b {
                prop_assert_eq!(Some(now), t, "{}", path);
            } else if t == b {
                prop_assert_eq!(Some(now), o, "{}", path);
            }
        }
        // Whatever was read on either side stands in the file, decided or not.
        for path in mine.keys().chain(yours.keys()) {
            let told = apart.iter().any(|about| path == about || path.starts_with(&format!("{about}.")));
            let taken_out = was.contains_key(path) && !(mine.contains_key(path) && yours.contains_key(path));
            prop_assert!(told || taken_out || now.contains_key(path), "{} is lost", path);
        }
    }
}
