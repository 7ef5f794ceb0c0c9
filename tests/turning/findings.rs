//! What `check` says of turning the bars, and how bad it is.

use clampmark::catalogue::Catalogue;
use clampmark::catalogue::code::Severity;
use clampmark::check::check;
use clampmark::setup::finding::Finding;
use clampmark::setup::read::read;

use super::support::usual;

/// The findings about turning, by their codes.
fn found(text: &str) -> Vec<Finding> {
    let catalogue = Catalogue::standard();
    let of_turning = [
        "control-meets-tube",
        "too-close-to-call",
        "hose-tight",
        "hose-tight-straight-ahead",
        "hose-bend",
        "hose-bow",
        "stop-narrow",
    ];
    let findings = check(catalogue, &read(catalogue, text.as_bytes(), None), None);
    findings.into_iter().filter(|finding| of_turning.contains(&finding.code.name)).collect()
}

fn codes(text: &str) -> Vec<&'static str> {
    found(text).iter().map(|finding| finding.code.name).collect()
}

/// A low bar over a thick tube, so that both lockouts meet it (see the laws).
fn low(more: &str) -> String {
    usual("", 0.0)
        .replace("slope 32; diameter 42;", "slope 18; diameter 90;")
        .replace("rise 25", "rise -40")
        .replace("frame {", &format!("frame {{ {more}"))
        .replace("free 420", "free 240")
}

#[test]
fn a_contact_is_a_fault_on_carbon_alone() {
    let severities = |text: &str| {
        let findings = found(text);
        let contacts = findings.into_iter().filter(|finding| finding.code.name == "control-meets-tube");
        contacts.map(|finding| finding.severity).collect::<Vec<_>>()
    };
    for (text, severity) in [
        (low(""), Severity::Caution),
        (low("material aluminium;"), Severity::Caution),
        (low("material carbon;"), Severity::Fault),
        (low("").replace("bar {", "bar { material carbon;"), Severity::Fault),
    ] {
        let severities = severities(&text);
        assert!(severities.len() >= 2 && severities.iter().all(|found| *found == severity), "{severities:?}");
    }
}

#[test]
fn a_bike_that_turns_freely_is_left_alone() {
    assert_eq!(codes(&usual("steering-stop 75;", 0.0).replace("free 420", "free 250")), [""; 0]);
}

#[test]
fn a_stop_is_narrow_below_sixty_degrees_by_more_than_its_reading() {
    // Read ± 2°: U = 2·2/√3 = 2.309° below 60.
    let with_stop = |stop: &str| codes(&usual(stop, 0.0).replace("free 420", "free 250"));
    assert_eq!(with_stop("steering-stop 57.6;"), ["stop-narrow"]);
    assert_eq!(with_stop("steering-stop 57.7;"), [""; 0]);
}

#[test]
fn a_long_hose_bows_for_nothing() {
    // 420 mm between ends that never stand further apart than some 230 mm: about 190 mm of slack, where 30 would do.
    assert_eq!(codes(&usual("steering-stop 75;", 0.0)), ["hose-bow"]);
}

#[test]
fn what_is_missing_is_no_finding_of_turning() {
    assert_eq!(
        codes(&usual("steering-stop 75;", 0.0).replace("slope 32;", "").replace("free 420;", "")),
        [""; 0]
    );
}
