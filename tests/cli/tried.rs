//! What `try` and `carry` say before anybody loosens a bolt: what would meet or come off, what another part does not
//! inherit, and what was meant by a sign. Sums and differences are worked out beside each.

use std::fs;

use super::rider::{ROWAN, json, ledger, run};
use crate::harness::flowing;

/// The best of the box carried over and written, whatever is wrong with it.
pub(super) const WRITTEN: [&str; 9] = [
    "carry",
    "rowan/race",
    "--onto",
    "alder/trail",
    "--parts",
    "box.kdl",
    "--write",
    "alder/race",
    "--pick=1",
];

#[test]
fn a_pile_that_outgrows_the_steerer_is_the_first_thing_said() {
    let folder = ledger();
    // 15 below, 5 above: to 40 below the stem rises by 25, 20 more than stands above it.
    let (status, said) = run(folder.path(), 80, &["try", "rowan/race", "steerer.spacers-below=40"]);
    assert_eq!(status, 1, "{said}");
    let said = flowing(&said);
    let danger =
        "The stem's clamp would reach at least 20 mm over the steerer's end: only 5 mm of spacers stand";
    let first = said.find(danger).unwrap_or_else(|| panic!("{said}"));
    assert!(first < said.find("15 mm → 40 mm").expect("the change"), "{said}");
    let found = json(folder.path(), &["try", "rowan/race", "steerer.spacers-below=40"]);
    let steerer = &found["steerer"];
    let numbers = ["grows-by", "above-was", "over-the-end"].map(|key| steerer[key].as_f64());
    assert_eq!(numbers, [Some(25.0), Some(5.0), Some(20.0)]);
}

#[test]
fn a_pile_that_grows_names_the_change_that_keeps_it() {
    let folder = ledger();
    let (status, said) = run(folder.path(), 80, &["try", "rowan/race", "steerer.spacers-below=+3"]);
    assert_eq!(status, 0, "{said}");
    let said = flowing(&said);
    let together = "All spacers and the stem's clamp together: 3 mm more on the steerer.";
    assert!(said.contains(together) && said.contains("steerer.spacers-above=-3."), "{said}");
    // Lower, and so with the top cap on the steerer.
    let (_, said) = run(folder.path(), 80, &["try", "rowan/race", "steerer.spacers-below=-5"]);
    let said = flowing(&said);
    assert!(said.contains("5 mm less on the steerer. The top cap would meet the steerer"), "{said}");
    assert!(said.contains("steerer.spacers-above=+5."), "{said}");
    // Both changed, and the pile is as it was.
    let both = ["try", "rowan/race", "steerer.spacers-below=+5", "steerer.spacers-above=-5"];
    assert!(json(folder.path(), &both)["steerer"].is_null());
    // A lower clamp makes the pile lower; a spacer of that height above it makes up for it.
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "stem.clamp-height=36"]);
    assert!(flowing(&said).contains("steerer.spacers-above=+4."), "{said}");
    // Left out, what stands above counts as nothing.
    let bare = ROWAN.replace("; spacers-above 5", "");
    fs::write(folder.path().join("setups/rowan/race.kdl"), bare).expect("written");
    let (status, said) = run(folder.path(), 120, &["try", "rowan/race", "steerer.spacers-below=+3"]);
    assert_eq!(status, 1, "{said}");
    let words =
        "at least 3 mm over the steerer's end: no spacers are recorded, which counts as none, above it now.";
    assert!(flowing(&said).contains(words), "{said}");
}

#[test]
fn spacers_that_nobody_makes_are_told_with_the_next_piles() {
    let folder = ledger();
    // 5 mm less rise, rolled back by 1.5°, stands 64.5° − 1.5° = 63° up: 5·sin 63° = 4.4550 lower. Spacers rise along
    // the axis: 4.4550/sin 64.5° = 4.9359 more than 15. 19 falls short by 0.9359·0.902585 = 0.8447; 20 is 0.0579 over.
    let asked = ["try", "rowan/race", "bar.rise=20", "--keep", "grip-stack", "--by", "steerer.spacers-below"];
    let kept = json(folder.path(), &asked)["kept"].clone();
    let value = kept["value"].as_f64().expect("a number");
    assert!((value - 19.936).abs() < 1e-9, "{value}");
    for (place, height, off) in [(0, 19.0, -0.8447), (1, 20.0, 0.0579)] {
        let pile = &kept["near"][place];
        assert_eq!(pile["height"].as_f64(), Some(height));
        assert!((pile["off"].as_f64().expect("a number") - off).abs() < 1e-4, "{pile}");
    }
    let (_, said) = run(folder.path(), 120, &asked);
    assert!(said.contains("19 mm (15 + 2 + 2) leave grip-stack 0.8 mm down"), "{said}");
}

/// The codes of what a try would newly have to say.
fn newly_said(folder: &std::path::Path, changes: &[&str]) -> Vec<String> {
    let tried = json(folder, &[&["try", "rowan/race"], changes].concat());
    let said = tried["appears"].as_array().expect("a list").iter();
    said.filter_map(|said| said["code"].as_str()).map(str::to_owned).collect()
}

#[test]
fn what_would_meet_on_the_bar_is_newly_said() {
    let folder = ledger();
    let text = ROWAN
        .replace("grip { hand 62 }", "grip { length 134; hand 62 }")
        .replace("bar { width 780;", "bar { width 780; supplied-width 780;")
        .replacen("finger 66;", "finger 66 }\n        dropper-remote { from-tip 191; angle 20;", 1);
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let said = |changes: &[&str]| newly_said(folder.path(), changes);
    // The brake's clamp begins at 168: 2 mm outboard of 170, and 8 mm is the narrowest clamp.
    assert!(said(&["left.dropper-remote.from-tip=170"]).contains(&"clamps-overlap".to_owned()));
    // The grip reaches to 134.
    assert!(said(&["left.brake-lever.from-tip:=100"]).contains(&"control-inside-grip".to_owned()));
    assert!(said(&["bar.width=850"]).contains(&"bar-wider-than-supplied".to_owned()));
    for changes in ["left.dropper-remote.from-tip=180", "left.brake-lever.from-tip=150", "bar.width=760"] {
        let said = said(&[changes]);
        let met = ["clamps-overlap", "control-inside-grip", "bar-wider-than-supplied"];
        assert!(!met.iter().any(|code| said.iter().any(|said| said == code)), "{changes}: {said:?}");
    }
    // With no supplied width on record, a wider bar is another bar.
    let folder = ledger();
    let (_, page) = run(folder.path(), 120, &["try", "rowan/race", "bar.width=800"]);
    assert!(page.contains("A bar does not grow: a wider one is another bar"), "{page}");
    assert!(
        newly_said(folder.path(), &["bar.width=800"]).iter().all(|code| code != "bar-wider-than-supplied")
    );
}

#[test]
fn a_control_on_the_levers_clamp_is_carried_no_place() {
    let folder = ledger();
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file");
    let shared = text.replace("shifter { mount own; from-tip 191;", "shifter { mount shared slot=outer;");
    assert_ne!(shared, text);
    fs::write(&alder, shared).expect("written");
    let carried = json(folder.path(), &WRITTEN);
    let controls = carried["controls"].as_array().expect("a list");
    let has = |measure: &str| controls.iter().any(|control| control["measure"] == measure);
    assert!(
        !has("right.shifter.from-tip") && has("right.shifter.angle") && has("right.brake-lever.from-tip")
    );
    let written = fs::read_to_string(folder.path().join("setups/alder/race.kdl")).expect("written");
    assert!(written.contains("shifter { mount shared slot=outer; angle"), "{written}");
}

#[test]
fn what_is_planned_is_dated_by_nothing_that_stood_there() {
    let folder = ledger();
    let text = ROWAN
        .replace("front-brake right }", "front-brake right read=\"2026-05-03\" }")
        .replace("stem { length 50;", "stem read=\"2026-05-04\" { length 50; note \"Square\";");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let asked = ["try", "rowan/race", "rider.front-brake=left", "stem.length=40", "--write", "rowan/tried"];
    let (status, said) = run(folder.path(), 80, &asked);
    assert_ne!(status, 2, "{said}");
    let written = fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    assert!(written.contains("front-brake left }"), "{written}");
    // The day that the group gave goes down to the lines that it is still true of: not to figures of the stem that goes.
    let stem = "stem { length 40; note \"Square\"; angle 0; clamp-height 40; \
                twist 0 read=\"2026-05-04\"; supplied-length 50 read=\"2026-05-04\"; note";
    assert!(written.contains(stem), "{written}");
}

#[test]
fn another_part_does_not_inherit_the_old_ones_figures() {
    let folder = ledger();
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file");
    let text = text.replace("width 800;", "width 800; material carbon; clamp-diameter 35;").replace(
        "    guard",
        "    torque \"stem-face\" 4 5 { caution \"Carbon bar: paste.\" }\n    torque \"seat-clamp\" 5 6 { caution \"Clean.\" }\n    guard",
    );
    fs::write(&alder, text).expect("written");
    let carry = |to: &str| {
        let asked =
            ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "box.kdl", "--pick=1", "--write", to];
        let (status, said) = run(folder.path(), 120, &asked);
        // Spacers are lacking above the stem.
        assert_eq!(status, 1, "{said}");
        let path = folder.path().join(format!("setups/{to}.kdl"));
        (flowing(&said), fs::read_to_string(path).expect("written"))
    };
    let (said, written) = carry("alder/race");
    assert!(written.contains("material unmeasured; clamp-diameter unmeasured;"), "{written}");
    let noted = "Limits of the replaced stem and bar: take the new maker's figures before tightening.";
    assert_eq!(written.matches(noted).count(), 1, "{written}");
    assert!(
        said.contains(
            "Another stem and bar: the old one's torque limits and material are not the new one's."
        ),
        "{said}"
    );
    assert!(said.contains("That goes for stem-face."), "{said}");
    // Whoever tightens by the file is told there, too.
    let (_, sheet) = run(folder.path(), 120, &["torque", "alder/race"]);
    assert!(sheet.contains("in part planned, not measured") && flowing(&sheet).contains(noted), "{sheet}");
    // What the box knows of its bar is written.
    let parts = fs::read_to_string(folder.path().join("box.kdl")).expect("the box");
    let known = parts.replace("bend=90", "bend=90 material=aluminium clamp-diameter=31.8");
    fs::write(folder.path().join("box.kdl"), known).expect("written");
    let (_, written) = carry("alder/known");
    assert!(written.contains("material aluminium; clamp-diameter 31.8;"), "{written}");
    // No fault; but nobody is to ride without the spacers that are not there.
    let (status, said) = run(folder.path(), 80, &["check", "alder/known"]);
    assert!(status == 1 && !said.contains("  Fault.") && said.contains("(not-to-ride-noted)"), "{said}");
    fs::write(folder.path().join("box.kdl"), parts.replace("bend=90", "bend=90 material=wood"))
        .expect("written");
    let (status, said) = run(folder.path(), 120, &["check", "box.kdl"]);
    assert!(status == 1 && said.contains("aluminium, carbon, titanium, steel"), "{said}");
}

#[test]
fn a_step_and_a_value_are_told_apart() {
    let folder = ledger();
    let (_, help) = run(folder.path(), 80, &["try", "--help"]);
    assert!(help.contains("bar.roll:=-2") && help.contains("a sign makes it a step"), "{help}");
    let text = ROWAN.replace("roll -1.5", "roll -1.3");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    // −1.3 − 5 = −6.3.
    let (_, said) = run(folder.path(), 120, &["try", "rowan/race", "bar.roll=-5"]);
    assert!(
        said.contains("bar.roll=-5 is a step: -1.3° less 5° is -6.3°. The value itself is bar.roll:=-5."),
        "{said}"
    );
    for plain in ["bar.roll:=-5", "bar.roll=+5", "stem.length=-5"] {
        let (_, said) = run(folder.path(), 120, &["try", "rowan/race", plain]);
        assert!(!said.contains("is a step"), "{plain}: {said}");
    }
}

#[test]
fn only_what_can_be_set_or_swapped_gives_way() {
    let folder = ledger();
    let by = |by: &str| {
        run(folder.path(), 120, &["try", "rowan/race", "stem.length=60", "--keep", "grip-reach", "--by", by])
    };
    for fixed in ["frame.reach", "bar.rise", "left.brake-lever.lowest.1.drop", "frame.head-angle"] {
        let (status, said) = by(fixed);
        assert_eq!(status, 2, "{fixed}: {said}");
    }
    let (_, said) = by("frame.reach");
    let said = flowing(&said);
    assert!(
        said.contains("`frame.reach` does not give way") && said.contains("steerer.spacers-below"),
        "{said}"
    );
    assert!(!said.contains("frame.stack"), "{said}");
    let (_, said) = by("spacers");
    assert!(
        flowing(&said).contains("Did you mean `steerer.spacers-below` or `steerer.spacers-above`?"),
        "{said}"
    );
    // 35.965 mm is more than the steerer has, which is to be acted on; but it is solved.
    assert_eq!(by("steerer.spacers-below").0, 1);
}

#[test]
fn a_name_that_differs_in_capitals_alone_is_refused() {
    let folder = ledger();
    for name in ["Rowan/race2", "rowan/Race", "setups/rowan/RACE.kdl"] {
        let (status, said) =
            run(folder.path(), 120, &["try", "rowan/race", "stem.length=45", "--write", name]);
        assert_eq!(status, 2, "{name}: {said}");
        assert!(said.contains("spelt in other capitals"), "{said}");
    }
    // One `.kdl` is the file's; what stands before it is the name.
    let (_, said) =
        run(folder.path(), 120, &["try", "rowan/race", "stem.length=45", "--write", "rowan/race"]);
    assert!(!said.contains("capitals"), "{said}");
}

#[test]
fn another_part_that_is_tried_does_not_inherit_the_old_ones_figures_either() {
    let folder = ledger();
    let torques = "    torque \"stem-steerer\" 5 6 { applied 5.5; caution \"Even steps.\" }\n    \
                   mark \"S1\" on=\"stem-steerer\" { drawn twist=0 }\n    \
                   mark \"L1\" on=\"left.brake-lever\" { drawn from-tip=168 angle=32 }\n    \
                   torque \"stem-face\" 4 5 { caution \"Even gaps.\" }\n    \
                   torque \"left.brake-lever\" 2 4 { caution \"Low end.\" }\n    \
                   torque \"seat-clamp\" 5 6 { caution \"Clean.\" }\n    guard";
    let text = ROWAN.replace("    guard", torques).replace("width 780;", "width 780; supplied-width 800;");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text).expect("written");
    let page = |change: &str| flowing(&run(folder.path(), 120, &["try", "rowan/race", change]).1);
    // Which bolts a part's maker has a figure for: both of a stem, and all that sits on a bar.
    let said = page("stem.length=40");
    assert!(
        said.contains("Another stem: the old one's torque limits and material are not the new one's."),
        "{said}"
    );
    assert!(
        said.contains(
            "That goes for stem-steerer, stem-face. Lines drawn on the old one are no evidence: marks S1."
        ),
        "{said}"
    );
    let said = page("bar.rise=35");
    assert!(
        said.contains("Another bar:")
            && said.contains(
                "for stem-face, left.brake-lever. Lines drawn on the old one are no evidence: marks L1."
            ),
        "{said}"
    );
    // A stem turned over, a bar that is sawn, a spacer, a lever and a headset's cover leave all parts what they are.
    let text = fs::read_to_string(folder.path().join("setups/rowan/race.kdl")).expect("the file");
    fs::write(folder.path().join("setups/rowan/race.kdl"), text.replace("angle 0; clamp", "angle 6; clamp"))
        .expect("written");
    for change in [
        "stem.angle:=-6",
        "bar.width=760",
        "steerer.spacers-below=+5",
        "left.brake-lever.angle=+2",
        "headset.cover=12",
    ] {
        let said = page(change);
        assert!(!said.contains("Another"), "{change}: {said}");
    }
    assert!(page("bar.width=820").contains("Another bar:"), "a bar does not grow");
    let tried = ["try", "rowan/race", "stem.length=40", "--write", "rowan/tried"];
    assert_ne!(run(folder.path(), 80, &tried).0, 2);
    let written = fs::read_to_string(folder.path().join("setups/rowan/tried.kdl")).expect("written");
    let noted = "Limits of the replaced stem: take the new maker's figures before tightening.";
    assert_eq!(written.matches(noted).count(), 2, "{written}");
    assert!(
        written.contains("Material and torque limits of the replaced stem are not the new maker's."),
        "{written}"
    );
    // What was done to the old stem is no evidence of the new one; the lever's line is where it was.
    assert!(!written.contains("applied 5.5") && !written.contains("drawn twist=0 }"), "{written}");
    assert!(written.contains("line of the replaced stem (was drawn twist=0)"), "{written}");
    assert!(written.contains("drawn from-tip=168 angle=32"), "{written}");
    let (_, plan) = run(folder.path(), 120, &["restore", "rowan/tried"]);
    assert!(!plan.contains("Line up mark S1") && plan.contains("Line up mark L1"), "{plan}");
}

/// What `carry` says with this box, on one line, and its status.
fn carried_with(folder: &std::path::Path, parts: &str, to: &str) -> (i32, String) {
    fs::write(folder.join("tried.kdl"), parts).expect("written");
    let asked =
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "tried.kdl", "--pick=1", "--write", to];
    let (status, said) = run(folder, 80, &asked);
    (status, flowing(&said))
}

#[test]
fn an_assembly_is_checked_before_anybody_builds_it() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("stack 630", "stack 680")).expect("written");
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file").replace("free 420", "free 250");
    fs::write(&alder, text).expect("written");
    let high = "parts \"high\" format=1 { steerer left=90; stem \"up\" length=70 angle=17 clamp-height=40
        bar \"riser\" width=780 rise=30 back-sweep=8 up-sweep=5 bend=90; spacer 30; spacer 20 }";
    let (status, said) = carried_with(folder.path(), high, "alder/high");
    assert_eq!(status, 1, "{said}");
    assert!(said.contains("New to say Do not build it so.") && said.contains("(hose-tight)"), "{said}");
    // The written setup says the same of itself.
    let (_, checked) = run(folder.path(), 80, &["check", "alder/high"]);
    assert!(checked.contains("(hose-tight)"), "{checked}");
}

/// 90 mm stand above the cover: 40 the clamp, 10 the two spacers below it, so 40 above, for which none are left.
#[test]
fn spacers_that_nobody_has_are_told_and_a_long_steerer_is_doubted() {
    let folder = ledger();
    let with = |left: u32| {
        format!(
            "parts \"b\" format=1 {{ steerer left={left}; stem \"s\" length=50 angle=0 clamp-height=40; spacer 5 count=2 }}"
        )
    };
    let (_, said) = carried_with(folder.path(), &with(90), "alder/gap");
    assert!(said.contains("2 spacers below, 10 mm"), "{said}");
    assert!(
        said.contains("40 mm of spacers have to go above the stem, and 40 mm of them are not there"),
        "{said}"
    );
    // 200 − 40 − 10 = 150 above at the least, where 80 can stand; refused at the figure's place, and before anything.
    let (status, said) = carried_with(folder.path(), &with(200), "alder/long");
    assert_eq!(status, 2, "{said}");
    assert!(
        said.contains("tried.kdl, line 1, column 30: 200 mm of steerer are left:")
            && said.contains("leaves 150 mm above it, and no more than 80 mm of spacers can stand there"),
        "{said}"
    );
    let (status, said) = carried_with(folder.path(), &with(35), "alder/short");
    assert!(status == 2 && said.contains("the lowest stem's clamp takes 40 mm of it"), "{said}");
    // 125 − 40 − 5 = 80 can stand there, 125 − 40 − 0 cannot: what cannot is not among what is looked at.
    let found = json(folder.path(), &{
        fs::write(folder.path().join("tried.kdl"), with(125)).expect("written");
        ["carry", "rowan/race", "--onto", "alder/trail", "--parts", "tried.kdl"]
    });
    let assemblies = found["assemblies"].as_array().expect("a list").iter();
    let above: Vec<f64> = assemblies.filter_map(|one| one["spacers-above"].as_f64()).collect();
    assert_eq!(above, [75.0, 80.0]);
}

/// A bar of 35 mm goes into no stem of 31.8 mm; of what is not known that is said.
#[test]
fn no_bar_goes_into_a_stem_of_another_diameter() {
    let folder = ledger();
    let alder = folder.path().join("setups/alder/trail.kdl");
    let text = fs::read_to_string(&alder).expect("the file");
    fs::write(&alder, text.replace("offset 0", "offset 6; clamp-diameter 31.8")).expect("written");
    let with = |bar: &str, stem: &str| {
        let bar = format!("bar \"w\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90{bar}");
        format!("parts \"b\" format=1 {{ {bar}; {stem} }}")
    };
    let (status, said) = carried_with(folder.path(), &with(" clamp-diameter=35", ""), "alder/a");
    assert!(
        status == 2
            && said.contains("None of the stems takes any of the bars.")
            && said.contains("of the stems: its own 31.8 mm; of the bars: w 35 mm."),
        "{status} {said}"
    );
    let (_, said) = carried_with(folder.path(), &with("", ""), "alder/b");
    assert!(
        said.contains(
            "Whether that stem takes that bar is not known. Clamp diameters: its own stem 31.8 mm \
             (bar.clamp-diameter of alder/trail), bar w not recorded (clamp-diameter in tried.kdl)."
        ),
        "{said}"
    );
    // A bar with all the figures of the one on the bike is that one, of which the file knows more than the box.
    let same = "parts \"b\" format=1 { stem \"s\" length=50 angle=0 clamp-height=40
        bar \"w\" width=800 rise=25 back-sweep=8 up-sweep=5 bend=90 }";
    let (_, said) = carried_with(folder.path(), same, "alder/same");
    assert!(said.contains("bar w 31.8 mm (bar.clamp-diameter of alder/trail)."), "{said}");
    let stem = "stem \"s\" length=50 angle=0 clamp-height=40 clamp-diameter=35";
    let (_, said) = carried_with(folder.path(), &with(" clamp-diameter=35", stem), "alder/c");
    assert!(said.contains("stem s") && !said.contains("Whether that stem"), "{said}");
    // The bar was 6 mm off the middle, and what is said holds for it in the middle.
    assert!(
        said.contains(
            "Then set alder/trail stands crooked now (bar offset 6 mm to the left): set it straight, for only then do \
             the hands come where this says."
        ),
        "{said}"
    );
}

/// 30.708 in is 779.983 mm (25.4 mm to the inch, by its definition): no bar of 780 mm is to be sawn for that.
#[test]
fn a_width_in_inches_asks_for_no_bar_narrower_by_nothing() {
    let folder = ledger();
    let race = folder.path().join("setups/rowan/race.kdl");
    fs::write(&race, ROWAN.replace("width 780", "width (in)30.7080")).expect("written");
    let parts = "parts \"w\" format=1 { bar \"w\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 }";
    let (_, said) = carried_with(folder.path(), parts, "alder/inches");
    assert!(
        said.contains("assemblies") && !said.contains(" 0.0 mm too") && !said.contains("a bar 0.0"),
        "{said}"
    );
}

#[test]
fn a_box_says_nothing_that_is_ignored() {
    let folder = ledger();
    let parts = "parts \"a\" \"b\" format=1 {
    steerer 3 left=75
    steerer left=90
    stem \"short\" \"extra\" length=40 angle=0 clamp-height=40
    spacer 5 10
    note 5 foo=3
}
parts \"second\" format=1 { }
";
    fs::write(folder.path().join("box.kdl"), parts).expect("written");
    let (status, said) = run(folder.path(), 120, &["check", "box.kdl"]);
    assert_eq!(status, 1, "{said}");
    for place in ["line 1, column 11", "line 2, column 13", "line 3, column 5", "line 4, column 18"] {
        assert!(said.contains(place), "{place}: {said}");
    }
    for place in ["line 5, column 14", "line 6, column 5", "line 6, column 12", "line 8, column 1"] {
        assert!(said.contains(place), "{place}: {said}");
    }
}

#[test]
fn a_value_without_its_word_is_told_which_words_there_are() {
    let folder = ledger();
    let (status, said) = carried_with(folder.path(), "parts \"b\" format=1 { steerer 75 }", "alder/x");
    assert!(
        status == 2
            && said.contains("tried.kdl, line 1, column 30: `steerer` has a value without a word before it.")
            && said.contains("put the word it belongs to before it: left=."),
        "{said}"
    );
    let stem = "parts \"b\" format=1 { stem \"s\" 40 length=40 angle=0 clamp-height=40 }";
    let (_, said) = carried_with(folder.path(), stem, "alder/x");
    assert!(said.contains("`stem` has a value too many: it takes one."), "{said}");
}
