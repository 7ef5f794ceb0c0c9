//! A row added to a copy of the table is known everywhere, without touching anything else.

use chrono::NaiveDate;
use clampmark::catalogue::measure::Measure;
use clampmark::catalogue::{Catalogue, Side, Weight, table};
use clampmark::compare::compare;
use clampmark::geometry::state::{Difference, State};
use clampmark::metrology::verdict::Verdict;
use clampmark::report::{fresh, reference};
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

/// The standard table and one row more: how far a thumb rest stands in from the bar's end.
fn with_one_more() -> Catalogue {
    let mut rows = table::ROWS.to_vec();
    rows.push(
        Measure::length("SIDE.thumb-rest.from-tip", 60.0, 350.0, 0.5)
            .held("SIDE.grip", Weight::Handling)
            .says("thumb rest place", "Along the bar from its end to the rest's outboard face.")
            .moves("inboard", "outboard")
            .by("caliper")
            .such_as("140"),
    );
    Catalogue::with_rows(rows)
}

fn text(value: &str) -> String {
    format!(
        "setup \"rowan/race\" format=1 {{\n    instruments {{ caliper tol=0.1 }}\n    \
         left {{ thumb-rest {{ from-tip {value} with=caliper }} }}\n}}\n"
    )
}

fn setup(catalogue: &Catalogue, value: &str) -> Setup {
    let read = read(catalogue, text(value).as_bytes(), None);
    assert!(read.findings.is_empty(), "{:?}", read.findings);
    read.setup.unwrap()
}

#[test]
fn the_standard_table_does_not_know_it() {
    let read = read(Catalogue::standard(), text("140").as_bytes(), None);
    let codes: Vec<&str> = read.findings.iter().map(|finding| finding.code.name).collect();
    assert_eq!(codes, ["unknown-word"]);
}

#[test]
fn reading_knows_it_with_its_span_and_unit() {
    let catalogue = with_one_more();
    let id = catalogue.find("left.thumb-rest.from-tip").unwrap();
    // 5.5 in × 25.4 mm/in = 139.7 mm
    assert!((setup(&catalogue, "(in)5.5").value(&id).unwrap() - 139.7).abs() < 1e-9);
    let off = read(&catalogue, text("400").as_bytes(), None);
    assert_eq!(off.findings[0].code.name, "off-span");
    let misspelt = read(&catalogue, text("140").replace("thumb-rest", "thum-rest").as_bytes(), None);
    assert!(misspelt.findings[0].help.contains("thumb-rest"), "{}", misspelt.findings[0].help);
}

#[test]
fn its_path_title_and_joint_are_known() {
    let catalogue = with_one_more();
    let id = catalogue.find("right.thumb-rest.from-tip").unwrap();
    assert_eq!(id.subject.side, Some(Side::Right));
    assert_eq!(catalogue.path(&id), "right.thumb-rest.from-tip");
    assert_eq!(catalogue.title(&id), "right thumb rest place");
    assert_eq!(catalogue.joint_of(&id, false), Some("right.grip"));
}

#[test]
fn a_state_and_a_difference_of_states_have_its_value() {
    let catalogue = with_one_more();
    let id = catalogue.find("left.thumb-rest.from-tip").unwrap();
    let (was, now) = (setup(&catalogue, "140.0"), setup(&catalogue, "146.0"));
    let from = State::recorded(&catalogue, &was);
    let to = State::recorded(&catalogue, &now);
    assert_eq!(to.value(&id), Some(146.0));
    let (changed, _) = Difference { from, to }.propagate(&clampmark::geometry::state::Level(&id));
    // 146 − 140 = 6 mm; U = 2·√(2·0.1²/3) = 0.16330 mm (GUM 4.3.7, 5.1.2, k = 2)
    let value = changed.output(0).unwrap();
    assert!((value.value - 6.0).abs() < 1e-9);
    assert!((value.expanded_uncertainty() - 2.0 * (2.0 * 0.01 / 3.0_f64).sqrt()).abs() < 1e-9);
}

#[test]
fn a_comparison_says_how_it_moved_in_its_own_words_and_so_does_the_json() {
    let catalogue = with_one_more();
    let (was, now) = (setup(&catalogue, "140.0"), setup(&catalogue, "146.0"));
    let comparison = compare(State::recorded(&catalogue, &was), State::recorded(&catalogue, &now));
    let change =
        comparison.changes.iter().find(|change| change.measure == "left.thumb-rest.from-tip").unwrap();
    assert_eq!(change.verdict, Verdict::Moved);
    let json = serde_json::to_string(&comparison).unwrap();
    assert!(json.contains("\"left.thumb-rest.from-tip\"") && json.contains("inboard"), "{json}");
}

#[test]
fn the_reference_of_the_format_and_a_fresh_file_teach_it() {
    let catalogue = with_one_more();
    let page = reference::markdown(&catalogue);
    assert!(
        page.contains("| `SIDE.thumb-rest.from-tip` | mm, 60 to 350 | 0.5 | handling | `SIDE.grip` |"),
        "{page}"
    );
    let day = NaiveDate::from_ymd_opt(2026, 5, 2).unwrap();
    let fresh = fresh::setup(&catalogue, "rowan/race", day);
    assert!(fresh.contains("thumb-rest {") && fresh.contains("from-tip 140 with=caliper"), "{fresh}");
    assert!(fresh.contains("Along the bar from its end to the rest's outboard face."));
}
