//! `carry` with a box that has the steerer longer or shorter than the other bike's file.

use std::fs;

use super::rider::{json, ledger, run};
use crate::harness::flowing;

const ASKED: [&str; 6] = ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "b.kdl"];

/// The alder records 15 below, 40 of clamp and 5 above: 60 mm.
#[test]
fn a_box_and_a_file_that_do_not_agree_on_the_steerer_are_told_first() {
    let folder = ledger();
    let asked = |left: &str, more: &[&str]| {
        let text = format!(
            "parts \"b\" format=1 {{
                steerer left={left}
                stem \"s\" length=50 angle=0 clamp-height=40
                spacer 5 count=8
            }}"
        );
        fs::write(folder.path().join("b.kdl"), text).expect("written");
        let (status, said) = run(folder.path(), 80, &[&ASKED[..], more].concat());
        (status, flowing(&said))
    };
    for (left, longer) in [("80", "longer"), ("55", "shorter"), ("61", "longer")] {
        let name = format!("alder/l{left}");
        let (status, said) = asked(left, &["--write", &name]);
        assert_eq!(status, 1, "{said}");
        let words = format!(
            "box says {left} mm are left of the steerer, alder/trail records 60 mm: a {longer} steerer, or a wrong box?"
        );
        let first = said.find(&format!("The {words}")).unwrap_or_else(|| panic!("{said}"));
        assert!(first < said.find("the nearest of").expect("the nearest"), "{said}");
        let file = folder.path().join(format!("setups/{name}.kdl"));
        let written = flowing(&fs::read_to_string(file).expect("written"));
        assert!(written.contains("do not ride: ") && written.contains(&format!("the {words}")), "{written}");
    }
    assert_eq!(json(folder.path(), &ASKED)["steerer-disagreed"]["recorded"], 60.0);
    // Half a millimetre is within reading.
    let (status, said) = asked("60.5", &["--write", "alder/near"]);
    assert!(status == 0 && !said.contains("wrong box"), "{said}");
}
