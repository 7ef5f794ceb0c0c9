//! Bikes for these tests.

use std::sync::LazyLock;

use clampmark::catalogue::Catalogue;
use clampmark::geometry::state::State;
use clampmark::geometry::turning::{ControlTurn, Turning, turning};
use clampmark::setup::model::Setup;
use clampmark::setup::read::read;

/// A setup from its text, which must be without fault.
pub fn setup(text: &str) -> Setup {
    let read = read(Catalogue::standard(), text.as_bytes(), None);
    assert!(!read.has_fault(), "{:?}", read.findings);
    read.setup.expect("a setup")
}

pub fn state(setup: &Setup) -> State<'_> {
    State::recorded(Catalogue::standard(), setup)
}

pub fn turned(text: &str) -> Turning {
    turning(&state(&setup(text)))
}

pub fn control<'t>(turning: &'t Turning, name: &str) -> &'t ControlTurn {
    turning.controls.iter().find(|control| control.control == name).expect("the control is there")
}

#[track_caller]
pub fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "{got} is not {expected} within {within}");
}

/// A usual bike, the same on both sides.
pub static USUAL: LazyLock<String> = LazyLock::new(|| usual("", 0.0));

/// That bike with more in its frame and its stem twisted.
pub fn usual(frame: &str, twist: f64) -> String {
    format!(
        r#"setup "rowan/race" format=1 {{
    measured "2026-05-02"
    frame {{
        reach 470; stack 630; head-angle 64.5; {frame}
        top-tube {{ drop 38; slope 32; diameter 42; }}
    }}
    headset {{ cover 9; }}
    steerer {{ spacers-below 15; }}
    stem {{ length 50; angle 0; clamp-height 40; twist {twist}; }}
    bar {{ width 780; rise 25; back-sweep 8; up-sweep 5; bend 90; roll -1.5; offset 0; }}
    left {{
        brake-lever {{ from-tip 168; lowest from-tip=196 drop=38 ahead=44; }}
        lockout {{ from-tip 190; lowest from-tip=190 drop=0 ahead=0; }}
    }}
    right {{
        brake-lever {{ from-tip 168; lowest from-tip=196 drop=38 ahead=44; }}
        lockout {{ from-tip 190; lowest from-tip=190 drop=0 ahead=0; }}
    }}
    hose "rear brake" {{
        free 420; bend-radius 40
        leaves side=left from-tip=215 ahead=30 up=-5
        enters side=left down=55 back=25 out=22
    }}
}}
"#
    )
}
