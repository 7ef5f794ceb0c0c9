//! The rider in the picture, against triangles solved by hand and published body measurements.

use clampmark::body::{self, Lengths, Lie, Point, Posture, RuledOut, Segment};
use clampmark::catalogue::Catalogue;
use clampmark::catalogue::table::RIDER_STATURE;
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

fn near(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} ± {within}");
}

fn setup(rider: &str, frame: &str, saddle: &str, floor: &str) -> Setup {
    let text = format!(
        "setup \"rowan/triangle\" format=1 {{
            measured \"2026-05-02\"
            {floor}
            rider {{ {rider} }}
            frame {{ {frame}; head-angle 60 }}
            headset {{ cover 0 }}
            steerer {{ spacers-below 0 }}
            stem {{ length 0; angle 0; clamp-height 20; twist 0 }}
            bar {{ width 780; rise 0; back-sweep 0; up-sweep 0; setback 0; roll 0; offset 0 }}
            saddle {{ {saddle} }}
            left {{ grip {{ hand 60 }}; brake-lever {{ from-tip 168; angle 30 }} }}
            right {{ grip {{ hand 60 }}; brake-lever {{ from-tip 168; angle 60 }} }}
        }}"
    );
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a setup")
}

#[test]
fn first_rider_whole_numbers_by_hand() {
    // Elbow square, 300 and 400: arm √(300² + 400²) = 500. Saddle (0, 0), grips (600, 0), torso 500.
    // Isosceles: the foot is at 300, the height √(500² − 300²) = 400: shoulder (300, 400).
    // Shoulder to grips points along (0.6, −0.8). Elbow along it (300² − 400² + 500²)/(2·500) = 180 and off it
    // √(300² − 180²) = 240: (300 + 108, 400 − 144) = (408, 256), then ∓240·(0.8, 0.6): the lower is (216, 112).
    // Arm line atan(112/(600 − 216)) = atan(7/24) = 16.260204708° (the 7-24-25 triangle).
    let lengths = Lengths { torso: 500.0, upper_arm: 300.0, forearm: 400.0, elbow: 90.0 };
    let posture = Posture::of(&lengths, Point { x: 0.0, z: 0.0 }, Point { x: 600.0, z: 0.0 });
    let posture = posture.expect("the triangle closes");
    near(lengths.arm(), 500.0, 1e-9);
    near(posture.shoulder.x, 300.0, 1e-9);
    near(posture.shoulder.z, 400.0, 1e-9);
    near(posture.elbow.x, 216.0, 1e-9);
    near(posture.elbow.z, 112.0, 1e-9);
    near(posture.arm_line, 16.260_204_708, 1e-9);
}

#[test]
fn a_straight_arm_still_rests_on_how_far_the_elbow_is_opened() {
    // Arm 300 + 400 straight: its length changes with the opening ε by 0 (d cos ε = 0 at 180°), and so does the chord's
    // slope; the forearm turns against it by β with arm·sin β = 300·sin ε: dβ/dε = −300/700 as cos 180° = −1. A wider
    // elbow lifts the forearm's upper end: the arm line gets 300/700 of a degree steeper for each degree.
    let fixed = num_dual::Dual64::from;
    let line = |elbow| {
        let lengths = Lengths { torso: fixed(600.0), upper_arm: fixed(300.0), forearm: fixed(400.0), elbow };
        let saddle = Point { x: fixed(0.0), z: fixed(0.0) };
        let grips = Point { x: fixed(600.0), z: fixed(0.0) };
        Posture::of(&lengths, saddle, grips).expect("the triangle closes").arm_line
    };
    let (_, slope) = num_dual::first_derivative(line, 180.0);
    near(slope, 300.0 / 700.0, 1e-9);
}

#[test]
fn second_rider_with_recorded_lengths_by_hand() {
    // Head angle 60°: u = (−0.5, 0.866025). A bare stem 20 high on nothing puts the bar 10 up the axis, and a
    // straight bar puts the grips there: (455 − 5, 640 + 8.660254) = (450, 648.660254).
    // Saddle (−168, √(742² − 168²)) = (−168, 722.730932). Way √(618² + 74.070678²) = 622.423060, slope −6.834610°.
    // Arm √(340² + 350² + 2·340·350·0.9659258263) = 684.098200.
    // Law of cosines at the saddle: acos((600² + 622.423060² − 684.098200²)/(2·600·622.423060)) = 68.031140°,
    // so the torso leans at 61.196530°: shoulder (−168 + 600·0.481807, 722.730932 + 600·0.876278) =
    // (121.084046, 1248.497434). From there to the grips the chord falls at 61.262189°; at the hand
    // acos((684.098200² + 350² − 340²)/(2·684.098200·350)) = 7.390679° less: arm line 53.871509°.
    let setup = setup(
        "torso 600; upper-arm 340; forearm 350",
        "reach 455; stack 640",
        "height 742; setback 168",
        "floor 1.0",
    );
    let body = body::of(&setup);
    let joints = body.joints.expect("joints");
    near(joints.shoulder_x.value, 121.084_046, 1e-6);
    near(joints.shoulder_z.value, 1_248.497_434, 1e-6);
    let line = body.arm_line.expect("an arm line");
    near(line.angle.value, 53.871_509_263, 1e-8);
    near(line.share_from_estimated_segments, 0.0, 0.0);
    near(body.grips_above_saddle.expect("height").value, 648.660_254 - 722.730_932, 1e-6);
    // The floor rises 1°: a lever read at 30° lies at 31° on level ground, one at 60° at 61°.
    let [left, right] = &body.levers[..] else { panic!("two levers") };
    near(left.level_angle.value, 31.0, 1e-12);
    near(left.against_arm.as_ref().expect("left").angle.value, 31.0 - 53.871_509_263, 1e-8);
    assert_eq!(left.lie, Some(Lie::Flatter));
    near(right.against_arm.as_ref().expect("right").angle.value, 61.0 - 53.871_509_263, 1e-8);
}

#[test]
fn third_rider_estimated_from_stature_by_hand() {
    // Stature 1700: torso 583.1, upper arm 324.7, forearm 338.3; arm √(324.7² + 338.3² + 2·324.7·338.3·0.9659258263)
    // = 657.330340. Grips (425 − 5, 610 + 8.660254); saddle (−150, √(680² − 150²)) = (−150, 663.249576).
    // Way √(570² + 44.589322²) = 571.741382, slope −4.472961°; at the saddle 69.380260°: torso at 64.907299°,
    // shoulder (97.283412, 1191.318250). The chord falls at 60.596933°, 7.345269° less: 53.251663°.
    let setup = setup("stature 1700", "reach 425; stack 610", "height 680; setback 150", "");
    let body = body::of(&setup);
    near(body.arm_line.expect("an arm line").angle.value, 53.251_663_332, 1e-8);
    let joints = body.joints.expect("joints");
    near(joints.shoulder_z.value, 1_191.318_250, 1e-6);
    near(joints.elbow_x.value, 217.594_657, 1e-6);
    near(joints.elbow_z.value, 889.730_295, 1e-6);
}

#[test]
fn elbow_and_estimates_carry_their_part_of_the_doubt() {
    let setup = setup("stature 1700", "reach 425; stack 610", "height 680; setback 150", "");
    let line = body::of(&setup).arm_line.expect("an arm line");
    let part = |share: f64| share.sqrt() * line.angle.expanded;
    // Central differences of the hand-solved triangle (steps 0.001, done apart from this program):
    // torso 0.107072, upper arm −0.073240, forearm −0.050529 degrees a mm, elbow 0.442625 degrees a degree.
    // Half-widths 0.026·1700 = 44.2, 0.0128·1700 = 21.76, 0.016·1700 = 27.2 mm; stature 5 mm, by
    // 0.343·0.107072 − 0.191·0.073240 − 0.199·0.050529 = 0.012682 degrees a mm; elbow 5°.
    // 2/√3·√(4.732581² + 1.593700² + 1.374398² + 0.063408²) = 5.981103; 2/√3·5·0.442625 = 2.555498.
    near(part(line.share_from_estimated_segments), 5.981_103, 1e-5);
    near(part(line.share_from_elbow), 2.555_498, 1e-5);
}

#[test]
fn what_cannot_meet_says_which_length_rules_it_out() {
    // Arm 500 (elbow square, 300 and 400). Way 1100 > 500 + 500 by 100; torso 800 > 500 + 200 by 100;
    // arm 500 > 200 + 200 by 100.
    let with_torso = |torso| Lengths { torso, upper_arm: 300.0, forearm: 400.0, elbow: 90.0 };
    let saddle = Point { x: 0.0, z: 0.0 };
    for (torso, way, wanted) in [
        (500.0, 1100.0, RuledOut::TooShort(100.0)),
        (800.0, 200.0, RuledOut::TorsoTooLong(100.0)),
        (200.0, 200.0, RuledOut::ArmTooLong(100.0)),
    ] {
        let grips = Point { x: way, z: 0.0 };
        assert_eq!(Posture::of(&with_torso(torso), saddle, grips), None);
        let by = |why| match why {
            RuledOut::TooShort(by) | RuledOut::TorsoTooLong(by) | RuledOut::ArmTooLong(by) => by,
        };
        let found = RuledOut::by(&with_torso(torso), saddle, grips).expect("ruled out");
        assert_eq!(std::mem::discriminant(&found), std::mem::discriminant(&wanted));
        near(by(found), by(wanted), 1e-9);
    }
}

#[test]
fn the_shares_are_those_of_the_survey() {
    // ANSUR II (2012), report NATICK/TR-15/007, public data: means of men and of women in mm.
    let survey = [
        // Derived row: acromial height less (stature less sitting height).
        (Segment::Torso, [602.81, 563.25]),
        // Acromion–radiale length.
        (Segment::UpperArm, [335.244, 311.198]),
        // Forearm to the centre of grip.
        (Segment::Forearm, [349.01, 317.71]),
    ];
    for (segment, means) in survey {
        let (share, tolerance) = segment.survey();
        for (mean, stature) in means.into_iter().zip([1756.215, 1628.473]) {
            // Within one deviation of the share (half the tolerance) for either sex; to 3 mm in a thousand of stature.
            near(mean / stature, share, tolerance / 2.0);
            near(mean / stature, share, 0.004);
        }
    }
}

#[test]
fn the_spread_of_the_shares_follows_from_the_survey() {
    // Residual deviation about the stature line s·√(1 − r²) over the mean stature, ANSUR II as above; the greater
    // of men and women, twice. Torso and forearm borrow r (hand; radiale–stylion), see the module.
    let residual = |s: f64, r: f64, stature: f64| s * (1.0 - r * r).sqrt() / stature;
    for (segment, men, women) in [
        (Segment::Torso, (30.83, 0.673), (27.83, 0.646)),
        (Segment::UpperArm, (17.483, 0.795), (17.165, 0.793)),
        (Segment::Forearm, (18.02, 0.715), (18.02, 0.687)),
    ] {
        let spread = residual(men.0, men.1, 1756.215).max(residual(women.0, women.1, 1628.473));
        near(segment.survey().1, 2.0 * spread, 1.5e-4);
    }
    // The survey prints the residual of the men's upper arm itself: 10.6 mm.
    near(residual(17.483, 0.795, 1.0), 10.6, 0.05);
}

#[test]
fn the_older_fractions_are_near() {
    // Drillis and Contini 1966, figure 4.1 in Winter, Biomechanics and Motor Control of Human Movement (2009):
    // upper arm 0.186 of stature, forearm to the wrist 0.146, hand 0.108. The middle of the grip lies in the hand:
    // between the wrist and the fingertip.
    let upper_arm = Segment::UpperArm.survey();
    near(upper_arm.0, 0.186, upper_arm.1);
    let forearm = Segment::Forearm.survey().0;
    assert!(0.146 < forearm && forearm < 0.146 + 0.108);
    // Hip to shoulder 0.818 − 0.530 = 0.288: from the joint, which lies above the seat; sitting height 0.520.
    let torso = Segment::Torso.survey().0;
    assert!(0.288 < torso && torso < 0.520);
}

#[test]
fn a_bike_without_rider_says_what_it_needs() {
    let setup = setup("front-brake left", "reach 425; stack 610", "height 680; setback 150", "");
    assert!(setup.reading(&clampmark::catalogue::MeasureId::bike(RIDER_STATURE)).is_none());
    let body = body::of(&setup);
    assert_eq!(body.arm_line, None);
    let needs: Vec<&str> =
        body.missing.iter().flat_map(|missing| &missing.needs).map(String::as_str).collect();
    assert_eq!(
        needs,
        ["rider.torso", "rider.upper-arm", "rider.forearm", "or rider.stature for all of them"]
    );
}
