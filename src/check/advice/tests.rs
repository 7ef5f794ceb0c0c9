use crate::catalogue::Catalogue;
use crate::catalogue::code::Severity;
use crate::check::{Context, RULES};
use crate::setup::finding::Finding;
use crate::setup::read::read;

/// A bike that no rule has a word for; the bounds are common practice, no source, unless a test names one.
const QUIET: &str = r#"setup "rowan/quiet" format=1 {
    measured "2026-05-02"
    rider { stature 1780; front-brake right }
    frame { reach 470; stack 630; head-angle 64.5 }
    headset { cover 9 }
    stem { length 50; angle 0; clamp-height 40; supplied-length 50 }
    bar { width 780; rise 25; back-sweep 8; up-sweep 5; bend 90 }
    saddle { height 742; setback 168 }
    left {
        grip { hand 62 }
        brake-lever { from-tip 168; angle 32; reach 62; blade 74 }
        dropper-remote { mount own; from-tip 191; lowest from-tip=205 drop=47 ahead=6 }
    }
    right {
        grip { hand 62 }
        brake-lever { from-tip 168; angle 32; reach 62; blade 74 }
        shifter { mount own; from-tip 191; lowest from-tip=214 drop=58 ahead=2 }
    }
    hose "rear brake" { free 420; leaves side=left from-tip=215 ahead=30 up=-5; enters side=left down=55 back=25 out=22 }
    guard "head tube, left"
}"#;

const FAMILY: [&str; 13] = [
    "wide-bar",
    "narrow-bar",
    "short-stem",
    "long-stem",
    "shared-clamp",
    "low-control",
    "blade-over-fingers",
    "knee-near-computer",
    "no-guard",
    "front-brake-hand",
    "sides-differ",
    "grips-far-above-saddle",
    "lever-far-from-grip",
];

fn found(changes: &[(&str, &str)]) -> Vec<Finding> {
    let mut text = QUIET.to_owned();
    for (was, now) in changes {
        assert!(text.contains(was), "{was} is not in the file");
        text = text.replacen(was, now, 1);
    }
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    let setup = read.setup.expect("a setup");
    let context = Context {
        catalogue: Catalogue::standard(),
        setup: &setup,
        around: crate::check::Around::default(),
        reader: &[],
    };
    // The rules of other families have words for what this file leaves out.
    let found = RULES.iter().flat_map(|rule| (rule.find)(&context));
    found.filter(|finding| FAMILY.contains(&finding.code.name)).collect()
}

fn codes(changes: &[(&str, &str)]) -> Vec<&'static str> {
    found(changes).iter().map(|finding| finding.code.name).collect()
}

#[test]
fn a_usual_bike_gets_no_advice() {
    assert!(codes(&[]).is_empty(), "{:?}", found(&[]));
}

#[test]
fn each_rule_speaks_beyond_its_bound_and_its_reading() {
    // Expanded uncertainty of a reading of half-width a: U = 2a/√3; of several, the root of the sum of squares.
    let cases: &[(&str, &str, &str, &str)] = &[
        // 800 is the usual full width; ± 1: U = 1.1547. (0.44·1780 = 783.2, and 30 more lies above.)
        ("wide-bar", "width 780", "width 801.1", "width 801.2"),
        // 783.2 − 30 = 753.2; width ± 1, stature ± 5 by 0.44: U = 2·√(1 + 2.2²)/√3 = 2.7904: 750.410.
        ("narrow-bar", "width 780", "width 750.5", "width 750.4"),
        // 780 − 30 = 750 less 2.7904 is 747.210, the width for 1698.20; 0.44·1698.3 = 747.252, 0.44·1698 = 747.12.
        ("wide-bar", "stature 1780", "stature 1698.3", "stature 1698"),
        // Two lengths ± 0.5: U = 2·√(2·0.25)/√3 = 0.8165 beyond 50 + 20.
        ("short-stem", "supplied-length 50", "supplied-length 70.8", "supplied-length 70.9"),
        // ± 0.5: U = 0.57735 beyond 70.
        (
            "long-stem",
            "length 50; angle 0; clamp-height 40; supplied-length 50",
            "length 70.5; angle 0; clamp-height 40",
            "length 70.6; angle 0; clamp-height 40",
        ),
        // Reach ± 1 and stem ± 0.5: U = 2·√1.25/√3 = 1.29099 below 500, less the 50 of the stem: 448.709.
        ("low-control", "reach 470", "reach 448.8", "reach 448.7"),
        // The blade's end: from-tip − 74; the fingers: 62 + 88.3/4 = 84.075, so 158.075 from the tip. Place ± 0.5,
        // blade and hand ± 1, and a quarter of twice the hand's deviation of 4.388 (ANSUR II):
        // U = √(4·(0.25 + 1 + 1)/3 + 2.194²) = 2.7953: 155.280.
        (
            "blade-over-fingers",
            "brake-lever { from-tip 168",
            "brake-lever { from-tip 155.3",
            "brake-lever { from-tip 155.2",
        ),
        ("no-guard", "guard \"head tube, left\"", "guard \"elsewhere\"", ""),
        // The hose enters on the left.
        ("no-guard", "head tube, left", "Head tube", "head tube, right"),
        ("front-brake-hand", "front-brake right", "", "front-brake left"),
        // ISO 4210-2 (4.6.2.2), 90 mm, from memory; ± 0.5: U = 0.57735.
        ("lever-far-from-grip", "reach 62", "reach 90.5", "reach 90.6"),
    ];
    for (code, was, quiet, loud) in cases {
        assert!(!codes(&[(was, quiet)]).contains(code), "{code} at {quiet}");
        assert!(codes(&[(was, loud)]).contains(code), "{code} at {loud}");
    }
}

#[test]
fn a_control_hangs_low_beyond_its_reading() {
    // Read ± 2: U = 2.3094 below 50.
    let with = |drop: &str| codes(&[("reach 470", "reach 440"), ("drop=58", drop)]);
    assert!(with("drop=52.3").is_empty());
    assert_eq!(with("drop=52.4"), ["low-control"]);
}

#[test]
fn a_finer_reading_knows_sooner() {
    // The same width by a tape ± 1 and by one ± 0.1: U = 1.1547 and 0.11547 beyond 800.
    assert!(codes(&[("width 780", "width 800.5")]).is_empty());
    assert_eq!(codes(&[("width 780", "width 800.5 tol=0.1")]), ["wide-bar"]);
}

#[test]
fn a_shared_clamp_is_said_of_the_control_that_shares() {
    let found = found(&[("shifter { mount own; from-tip 191;", "shifter { mount shared slot=inner;")]);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!(
        (finding.code.name, finding.measure.as_deref()),
        ("shared-clamp", Some("right.shifter.mount"))
    );
    assert_eq!(
        finding.message,
        "The right shifter sits on the brake lever's clamp, in the inner slot. Move the lever, now 168 mm from the \
         bar's end, and it goes along; by itself it only turns, or takes another slot."
    );
}

#[test]
fn a_knee_near_the_computer_is_said_beyond_reading() {
    // Head angle 64.5°: n = (0.902585, 0, 0.430511), u = (−0.430511, 0, 0.902585). Under the bar 9 + 0 + 40/2 = 29 up
    // the axis, then 50 along n, then 30 back: 470 − 29·0.430511 + 20·0.902585 = 475.5669 ahead of the bottom bracket.
    // U, half-widths over √3: reach 1; head angle 0.3° on 29·0.902585 + 20·0.430511 = 34.785: 0.1821; cover and
    // spacers 0.5·0.430511 each; clamp half of that; stem 0.5·0.902585; its angle 0.5° on 20·0.430511: 0.0751;
    // computer 0.902585; knee 10: 2/√3·√(1 + 0.0332 + 2·0.0463 + 0.0116 + 0.2037 + 0.0056 + 0.8147 + 100) = 11.671.
    // Common practice, no source: 30 mm. 30 − 11.671 = 18.329, so beyond reading from a knee at 457.238.
    let with = |knee: &str, stem: &str| {
        let rider = format!("stature 1780; knee {knee};");
        let stem = format!("length {stem}; angle 0; clamp-height 40");
        found(&[
            ("stature 1780;", &rider),
            ("length 50; angle 0; clamp-height 40", &stem),
            ("saddle {", "computer { behind-bar 30 }; saddle {"),
        ])
    };
    assert!(with("457.2", "50").is_empty());
    let found = with("457.3", "50");
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!(
        (finding.code.name, finding.measure.as_deref()),
        ("knee-near-computer", Some("computer.behind-bar"))
    );
    // 475.5669 − 457.3 = 18.267.
    assert!(finding.message.contains("18 ± 12 mm short of the computer's rear edge"), "{}", finding.message);
    // A stem 20 shorter brings the computer 20·0.902585 = 18.05 back: 457.51 − 470 = −12.48.
    let found = with("470", "30");
    assert!(found[0].message.contains("12 ± 12 mm past the computer's rear edge"), "{}", found[0].message);
    // Without a knee, or without a computer, nothing is known.
    assert!(codes(&[("stature 1780;", "stature 1780; knee 690;")]).is_empty());
    assert!(codes(&[("saddle {", "computer { behind-bar 150 }; saddle {")]).is_empty());
}

#[test]
fn sides_differ_only_beyond_reading() {
    // Two readings of ± 0.5: U = 2·√(2·0.25/3) = 0.8165.
    let lever = "brake-lever { from-tip 168";
    assert!(codes(&[(lever, "brake-lever { from-tip 168.8")]).is_empty());
    assert_eq!(codes(&[(lever, "brake-lever { from-tip 168.9")]), ["sides-differ"]);
    assert_eq!(codes(&[("reach 62", "reach 64")]), ["sides-differ"]);
    // A sloping floor is under both.
    assert!(codes(&[("measured \"2026-05-02\"", "measured \"2026-05-02\"; floor 3.0")]).is_empty());
}

#[test]
fn grips_far_above_the_saddle_name_the_standard() {
    // ISO 4210-2 (4.7.1), read in a national adoption: 400 mm. Saddle √(400² − 168²) = 363.0 up; the grips of this
    // bike stand above 630 + 29·sin 64.5° = 656 and the bar's rise: some 690, and 800 − 630 = 170 more on a
    // stack of 800.
    let low = ("height 742", "height 400");
    assert!(codes(&[low]).is_empty());
    let found = found(&[low, ("stack 630", "stack 800")]);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!(finding.code.name, "grips-far-above-saddle");
    assert!(finding.message.contains("ISO 4210-2"));
}

#[test]
fn a_hose_of_no_brake_says_nothing_of_hands() {
    for name in ["rear derailleur", "front", "dropper", "front and rear brake"] {
        let changes = [
            ("hose \"rear brake\"", format!("hose \"{name}\"")),
            ("front-brake right", "front-brake left".into()),
        ];
        assert!(codes(&changes.each_ref().map(|(was, now)| (*was, now.as_str()))).is_empty(), "{name}");
    }
}

#[test]
fn advice_is_never_a_fault_and_stands_at_its_place() {
    let loud = found(&[
        ("width 780", "width 820"),
        ("supplied-length 50", "supplied-length 90"),
        ("guard \"head tube, left\"", ""),
    ]);
    assert_eq!(loud.len(), 3);
    for finding in loud {
        assert_ne!(finding.severity, Severity::Fault);
        assert!(finding.span.is_some());
        assert!(finding.message.chars().any(|letter| letter.is_ascii_digit()), "{}", finding.message);
    }
}
