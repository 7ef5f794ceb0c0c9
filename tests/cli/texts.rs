//! Invented setups that several tests use.

/// A bike that a pocket calculator can follow: head angle 80°, nothing swept, rolled, twisted or risen.
///
/// cos 80° = 0.1736482, sin 80° = 0.9848078. Up the axis: 20 mm of spacers and half of 40 mm of clamp, 40 mm; then
/// 50 mm of stem square to the axis; the hands 60 mm in from the ends of 700 mm.
/// Forward 400 − 40·0.1736482 + 50·0.9848078 = 442.29446; up 600 + 40·0.9848078 + 50·0.1736482 = 648.07472;
/// to the side 350 − 60 = 290.
pub const PLUMB: &str = r#"setup "alder/plumb" format=1 {
    measured "2031-04-30" by="own stand"
    frame { reach 400; stack 600; head-angle 80 }
    steerer { spacers-below 20 }
    stem { length 50; angle 0; clamp-height 40 }
    bar { width 700; rise 0; back-sweep 0; up-sweep 0; bend 100 }
    left { grip { hand 60 } }
    right { grip { hand 60 } }
}
"#;

/// A complete setup of the kind a rider keeps.
pub const RACE: &str = r#"// Lengths mm, angles degrees, torque N·m.
setup "rowan/race" format=1 {
    measured "2031-05-02" by="own stand, wheels on the floor"
    floor 0.0 with=angle-gauge
    purpose "Two-day stage race, steep and rough"

    instruments {
        rule tol=0.5
        caliper tol=0.1
        angle-gauge tol=0.2
        sheet tol=0.5
    }
    rider {
        stature 1780
        front-brake right
    }
    frame {
        reach 470 with=sheet
        stack 630 with=sheet
        head-angle 64.5 with=sheet
        wheel-radius 371
        steering-stop 75
        top-tube { drop 38; slope 32; diameter 42 }
    }
    headset { cover 9 with=caliper }
    steerer { spacers-below 15 with=caliper; spacers-above 5 with=caliper }
    stem { length 50; angle 0; clamp-height 40 with=caliper; twist 0; supplied-length 50 }
    bar {
        width (in)30.75
        rise 25; back-sweep 8 with=sheet; up-sweep 5 with=sheet; bend 90
        roll -1.5 -1.0 -1.5 with=angle-gauge
        offset 0
        clamp-diameter 35.0
        material carbon
    }
    saddle { height 742 tol=1; setback 168 tol=2; tilt -1.0 with=angle-gauge }
    left {
        grip { length 134; hand 62 }
        brake-lever { from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper; bite 34 tol=1
            blade 74; finger 66
            lowest from-tip=196 drop=38 ahead=44
        }
        dropper-remote { mount own; from-tip 191; angle 20; lowest from-tip=205 drop=47 ahead=6 }
    }
    right {
        grip { length 134; hand 62 }
        brake-lever { from-tip 168; angle 32 with=angle-gauge; reach 62 with=caliper; bite 36 tol=1; blade 74; finger 66 }
        shifter { mount shared slot=inner; angle 41 }
    }
    hose "rear brake" {
        free 420; bend-radius 40
        leaves side=left from-tip=215 ahead=30 up=-5
        enters side=left down=55 back=25 out=22
    }
    torque "stem-steerer" 5 6 tool="4 mm hex" thread=M5 class=8.8 {
        caution "Set the bearing preload before these bolts. Tighten the pair evenly."
    }
    torque "stem-face" 4 5 tool="4 mm hex" thread=M5 class=8.8 {
        ceiling "bar" 5
        caution "Carbon bar: even gap top and bottom, assembly paste, never above the lower of the two limits."
    }
    torque "left.brake-lever" 2.5 4 tool="T25" {
        ceiling "bar" 3.5
        slips-in-a-crash
        caution "Carbon bar: low end. It must turn in a crash, but never under braking."
    }
    fork { pressure (psi)88 tol=1; rebound 7; compression 4 }
    tyres { front (psi)23 tol=0.5; rear (psi)26 tol=0.5 }
}
"#;

/// A sheet of what was found on that bike after a loan.
pub const RETURNED: &str = r#"found "rowan/race" format=1 {
    measured "2031-05-20" by="car park"
    right { brake-lever { angle 28 with=angle-gauge } }
}
"#;

/// A text with one or several places changed; each must be there once.
pub fn changed(text: &str, changes: &[(&str, &str)]) -> String {
    let mut text = text.to_owned();
    for (was, now) in changes {
        assert_eq!(text.matches(was).count(), 1, "{was:?} stands once");
        text = text.replace(was, now);
    }
    text
}
