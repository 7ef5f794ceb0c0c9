//! A bar that was cut and on which something was slid besides: what is true of it is not called contradictory.
//!
//! Recorded: width 780 mm, levers 168 mm from the tip, shifter 200 mm.

use serde_json::{Value, json};

use crate::kept_figure::{bike, found, page, sheet};
use crate::restore::setup_text;

/// 780 - 750 = 30 takes 15 mm off each end, 168 - 15 = 153: the right lever stands where it stood, and its line meets. The left
/// one stands at 163 by 163 - 153 = 10 mm further in on the bar.
#[test]
fn a_lever_slid_on_a_cut_bar_belies_no_line() {
    let both =
        "bar { width 750 }; left { brake-lever { from-tip 163 } }; right { brake-lever { from-tip 153 } }";
    for lines in ["mark \"R1\" aligned; mark \"L1\" broken", "mark \"R1\" aligned"] {
        let folder = bike(&[]);
        sheet(&folder, 9, &format!("{both}; {lines}"));
        let diff = found(&folder, "diff");
        assert_eq!(diff["contradictions"], json!([]), "{diff:#}");
        assert_eq!(diff["narrower"]["is-cut"], Value::Bool(true), "{diff:#}");
        let (status, told) = page(&folder, &["diff"]);
        assert!(status == Some(1) && told.contains("The bar was cut, 15 mm off each end"), "{told}");
        assert!(told.contains("left brake lever place moved 10.0 mm inboard"), "{told}");
        page(&folder, &["record"]);
        let text = setup_text(folder.path());
        assert!(text.contains("from-tip 153 ") && text.contains("width 750"), "{text}");
    }
}

/// 5 mm off each end: the right lever and the shifter stand where they stood, 163 and 195; the left lever was slid to 150.
#[test]
fn more_places_that_stand_than_were_slid_tell_a_cut() {
    let folder = bike(&[]);
    sheet(
        &folder,
        9,
        "bar { width 770 }; left { brake-lever { from-tip 150 } }
        right { brake-lever { from-tip 163 }; shifter { from-tip 195 } }",
    );
    let diff = found(&folder, "diff");
    assert_eq!(diff["narrower"]["is-cut"], Value::Bool(true), "{diff:#}");
}

/// One place that stands as it stood may do so by chance, and as many were slid: whether it is that bar nobody knows.
#[test]
fn as_many_places_slid_as_stood_tell_nothing() {
    let folder = bike(&[]);
    sheet(
        &folder,
        9,
        "bar { width 750 }; left { brake-lever { from-tip 163 } }; right { brake-lever { from-tip 153 } }",
    );
    let diff = found(&folder, "diff");
    assert_eq!(diff["narrower"]["is-cut"], Value::Bool(false), "{diff:#}");
}

/// A line that meets and a place 15 mm further out can both be true of a bar that was cut, and nobody read the width.
#[test]
fn a_place_beside_a_line_that_meets_may_be_that_of_a_cut_bar() {
    let folder = bike(&[]);
    sheet(&folder, 9, "right { brake-lever { from-tip 153 } }; mark \"R1\" aligned");
    let told = page(&folder, &["diff"]).1;
    assert!(told.contains("unless the bar was cut, one of the two is false"), "{told}");
}
