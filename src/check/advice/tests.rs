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

const FAMILY: [&str; 12] = [
    "wide-bar",
    "narrow-bar",
    "short-stem",
    "long-stem",
    "shared-clamp",
    "low-control",
    "blade-over-fingers",
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
    let context = Context { catalogue: Catalogue::standard(), setup: &setup, expected_name: None };
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
fn each_rule_speaks_beyond_its_bound_and_not_at_it() {
    let cases: &[(&str, &str, &str, &str)] = &[
        // 0.44·1780 = 783.2, and 30 either way; the usual full width of 800 is passed first.
        ("wide-bar", "width 780", "width 800", "width 801"),
        ("narrow-bar", "width 780", "width 754", "width 753"),
        // 0.44·1700 = 748: 780 is 32 more. 0.44·1705 = 750.2: 29.8 more.
        ("wide-bar", "stature 1780", "stature 1705", "stature 1700"),
        ("short-stem", "supplied-length 50", "supplied-length 70", "supplied-length 71"),
        (
            "long-stem",
            "length 50; angle 0; clamp-height 40; supplied-length 50",
            "length 70; angle 0; clamp-height 40",
            "length 71; angle 0; clamp-height 40",
        ),
        // Reach and stem: 450 + 50 = 500, 449 + 50 = 499; the shifter hangs 58 mm.
        ("low-control", "reach 470", "reach 450", "reach 449"),
        // The blade's end: from-tip − 74; the fingers: 62 + 88.3/4 = 84.075, so 158.075 from the tip.
        (
            "blade-over-fingers",
            "brake-lever { from-tip 168",
            "brake-lever { from-tip 168",
            "brake-lever { from-tip 158",
        ),
        ("no-guard", "guard \"head tube, left\"", "guard \"elsewhere\"", ""),
        ("front-brake-hand", "front-brake right", "", "front-brake left"),
        // ISO 4210-2 (4.6.2.2), 90 mm, from memory.
        ("lever-far-from-grip", "reach 62", "reach 90", "reach 91"),
    ];
    for (code, was, quiet, loud) in cases {
        assert!(!codes(&[(was, quiet)]).contains(code), "{code} at {quiet}");
        assert!(codes(&[(was, loud)]).contains(code), "{code} at {loud}");
    }
}

#[test]
fn a_shared_clamp_is_said_of_the_control_that_shares() {
    let found = found(&[("shifter { mount own; from-tip 191;", "shifter { mount shared slot=inner;")]);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!(
        (finding.code.name, finding.measure.as_deref()),
        ("shared-clamp", Some("right.shifter.mount"))
    );
}

#[test]
fn sides_differ_only_beyond_reading() {
    // Two readings of ± 0.5: U = 2·√(2·0.25/3) = 0.8165.
    let lever = "brake-lever { from-tip 168";
    assert!(codes(&[(lever, "brake-lever { from-tip 168.8")]).is_empty());
    assert_eq!(codes(&[(lever, "brake-lever { from-tip 168.9")]), ["sides-differ"]);
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
