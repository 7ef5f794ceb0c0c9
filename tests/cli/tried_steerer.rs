//! What `try` says of a pile on the steerer of which not all is known. Expected by hand from 15 mm below, 5 above.

use std::fs;
use std::path::Path;

use super::rider::{ROWAN, json, ledger, setup, told};

const OVER: &str = "whether the steerer reaches to the top of the stem's clamp";

/// A ledger whose rowan has this in place of 5 mm above its stem.
fn with(above: &str) -> tempfile::TempDir {
    let folder = ledger();
    assert!(ROWAN.contains("; spacers-above 5"));
    setup(folder.path(), "rowan/race", &ROWAN.replace("; spacers-above 5", above));
    folder
}

fn tried(folder: &Path, changes: &[&str]) -> (i32, String) {
    told(folder, &[&["try", "rowan/race"], changes].concat())
}

fn written(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(format!("setups/rowan/{name}.kdl"))).expect("written")
}

/// 40 mm more below: over the end unless 40 stand above, and nobody knows how many do.
#[test]
fn a_stem_that_goes_up_under_an_unmeasured_pile_is_not_ridden_before_somebody_looks() {
    let folder = with("; spacers-above unmeasured");
    let (status, said) = tried(folder.path(), &["steerer.spacers-below=+40", "--write", "rowan/high"]);
    assert_eq!(status, 1, "{said}");
    let first = said
        .find("Whether the steerer reaches to the top of the stem's clamp")
        .unwrap_or_else(|| panic!("{said}"));
    assert!(first < said.find("15 mm → 55 mm").expect("the change"), "{said}");
    assert!(said.contains("All spacers and the stem's clamp together: 40 mm more on the steerer."), "{said}");
    let steerer = &json(folder.path(), &["try", "rowan/race", "steerer.spacers-below=+40"])["steerer"];
    assert_eq!(
        (&steerer["grows-by"], &steerer["above-was"]),
        (&40.0.into(), &serde_json::Value::Null),
        "{steerer}"
    );
    let file = written(folder.path(), "high");
    assert!(file.contains("do not ride: whether the steerer reaches"), "{file}");
    assert_eq!(told(folder.path(), &["check", "rowan/high"]).0, 1);
    // Nobody touches the pile above: 15 mm less stand on the steerer, whatever it is.
    let (status, said) = tried(folder.path(), &["steerer.spacers-below=0", "--write", "rowan/low"]);
    assert!(status == 1 && said.contains("15 mm less on the steerer."), "{said}");
    assert!(said.contains("the headset would be loose. Do not ride so.") && !said.contains(OVER), "{said}");
    assert!(written(folder.path(), "low").contains("do not ride: 15 mm less stand on the steerer"));
    // What becomes known tells nothing of what was there.
    let (status, said) = tried(folder.path(), &["steerer.spacers-above=5"]);
    assert!(status == 1 && said.contains("Whether the steerer reaches"), "{said}");
    // What leaves the pile alone says nothing of it.
    for change in ["stem.twist=0.5", "bar.roll=+2", "stem.length=45"] {
        let (status, said) = tried(folder.path(), &[change]);
        assert!(status == 0 && !said.contains("steerer reaches"), "{change}: {said}");
    }
}

#[test]
fn the_pile_below_may_be_unmeasured_too() {
    let folder = ledger();
    setup(folder.path(), "rowan/race", &ROWAN.replace("spacers-below 15", "spacers-below unmeasured"));
    // 4 mm less of a clamp, and what is below stays.
    let (status, said) = tried(folder.path(), &["stem.clamp-height=36"]);
    assert!(status == 1 && said.contains("4 mm less on the steerer."), "{said}");
    let (status, said) = tried(folder.path(), &["steerer.spacers-below=20"]);
    assert!(status == 1 && said.contains("Whether the steerer reaches"), "{said}");
}

/// Left out, what stands above counts as 0: 50 mm more below reach 50 mm over the end.
#[test]
fn what_is_left_out_above_counts_as_nothing() {
    let folder = with("");
    let (status, said) = tried(folder.path(), &["steerer.spacers-below=+50", "--write", "rowan/high"]);
    let words = "The stem's clamp would reach at least 50 mm over the steerer's end: no spacers are recorded, which counts \
                 as none, above it now.";
    assert!(status == 1 && said.contains(words), "{said}");
    let file = written(folder.path(), "high");
    assert!(
        file.contains("do not ride: the stem's clamp would reach at least 50 mm over the steerer's end"),
        "{file}"
    );
    let folder = with("; spacers-above 0");
    let (status, said) = tried(folder.path(), &["steerer.spacers-below=+50"]);
    assert!(status == 1 && said.contains("over the steerer's end: no spacers stand above it now."), "{said}");
}
