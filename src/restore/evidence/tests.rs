use super::*;
use crate::setup::read::read;

const SETUP: &str = r#"setup "rowan/race" format=1 {
    bar { roll -1.5; clamp-diameter 35.0 }
    left { brake-lever { from-tip 168; angle 32 } ; shifter { mount shared slot=inner; angle 41 } }
    mark "L1" on="left.brake-lever" { drawn from-tip=168 angle=32 }
    mark "B1" on="stem-face" width=0.3 { drawn roll=-1.5 }
    mark "S1" on="stem-steerer" { drawn twist=0 }
    mark "L2" on="left.brake-lever" { drawn angle=28 }
}"#;

fn found(marks: &str) -> Evidence {
    let catalogue = Catalogue::standard();
    let setup = read(catalogue, SETUP.as_bytes(), None).setup.expect("a setup");
    let text = format!("found \"rowan/race\" format=1 {{ {marks} }}");
    let sheet = read(catalogue, text.as_bytes(), Some(&setup)).setup.expect("a sheet");
    weigh(catalogue, &setup, &sheet)
}

fn turn_of(evidence: &Evidence, path: &str) -> (f64, f64) {
    let id = Catalogue::standard().find(path).expect("a measure");
    let turn = evidence.turns.get(&id).expect("a turn");
    (turn.value(), turn.half_width())
}

// Degrees for a millimetre, calculated with NumPy: 5.161782 on 22.2, 3.274045 on 35.0, 4.006698 on 28.6.

#[test]
fn an_aligned_mark_reads_no_turn_as_finely_as_its_line() {
    let evidence = found("mark \"L1\" aligned; mark \"B1\" aligned; mark \"S1\" aligned");
    // 0.5 mm · 5.161782 = 2.580891; 0.3 · 3.274045 = 0.9822135; 0.5 · 4.006698 = 2.003349.
    for (path, half_width) in
        [("left.brake-lever.angle", 2.580_891), ("bar.roll", 0.982_213_5), ("stem.twist", 2.003_349)]
    {
        let (turn, half) = turn_of(&evidence, path);
        assert!(turn.abs() < 1e-12 && (half - half_width).abs() < 1e-5, "{path}: {turn} ± {half}");
    }
    // Along the bar the line is half a millimetre wide.
    assert_eq!(turn_of(&evidence, "left.brake-lever.from-tip"), (0.0, 0.5));
    // The shifter turns with the lever's clamp, and by itself in its slot: that the clamp stood still tells nothing of it.
    let shifter = Catalogue::standard().find("left.shifter.angle").expect("it is in the table");
    assert!(!evidence.turns.contains_key(&shifter));
    let evidence = found("mark \"L1\" off=1");
    // 1 mm · 5.161782, the lever's own turn.
    assert!((turn_of(&evidence, "left.shifter.angle").0.abs() - 5.161_782).abs() < 1e-5);
}

#[test]
fn millimetres_apart_are_degrees_with_their_sign() {
    let evidence = found("mark \"L1\" off=0.8; mark \"B1\" off=-1");
    // 0.8 · 5.161782 = 4.1294256, the tip down; -1 · 3.274045, backward.
    assert!((turn_of(&evidence, "left.brake-lever.angle").0 - 4.129_426).abs() < 1e-5);
    assert!((turn_of(&evidence, "bar.roll").0 + 3.274_045).abs() < 1e-5);
    // 4.1294° · 0.1/22.2 = 0.0186°; √(2.580891² + 0.0186²) = 2.580958.
    assert!((turn_of(&evidence, "left.brake-lever.angle").1 - 2.580_958).abs() < 1e-5);
    // How far it moved along the bar is not known from the gap.
    let along = Catalogue::standard().find("left.brake-lever.from-tip").expect("a measure");
    assert!(!evidence.turns.contains_key(&along));
}

#[test]
fn a_reading_wins_over_its_mark() {
    let evidence = found("left { brake-lever { angle 28 } }; mark \"L1\" off=0.8");
    let angle = Catalogue::standard().find("left.brake-lever.angle").expect("a measure");
    assert!(!evidence.turns.contains_key(&angle));
}

#[test]
fn a_stale_mark_is_no_evidence() {
    // Drawn 28 ± 0.5, recorded 32 ± 0.5: U = 2·√2·0.5/√3 = 0.816; 4/0.816 is well over 1.
    let evidence = found("mark \"L2\" aligned");
    assert!(evidence.turns.is_empty());
    let report = evidence.marks.iter().find(|mark| mark.name == "L2").expect("the mark");
    assert_eq!(report.state, MarkVerdict::Stale);
    assert!(!report.tells_a_move());
}

#[test]
fn broken_and_missing_marks_tell_a_move_and_come_first() {
    let evidence = found("mark \"S1\" missing; mark \"L1\" broken; mark \"B1\" aligned; mark \"X\" aligned");
    let told: Vec<(&str, bool)> =
        evidence.marks.iter().map(|mark| (mark.name.as_str(), mark.tells_a_move())).collect();
    assert_eq!(told[..2].iter().map(|(_, moved)| *moved).collect::<Vec<_>>(), [true, true]);
    assert!(evidence.marks.iter().any(|mark| mark.name == "X" && mark.state == MarkVerdict::Unknown));
}

#[test]
fn what_was_not_looked_at_says_nothing() {
    let evidence = found("floor 1.4");
    assert!(evidence.turns.is_empty());
    assert!(evidence.marks.iter().all(|mark| !mark.tells_a_move()));
}
