//! THE LIST of controls that sit on the bar.

use super::super::table::{self, Row};

/// One kind of control on the bar: its own joint and the rows that place it.
#[derive(Clone, Copy, Debug)]
pub struct Control {
    /// The node a person types, and the second half of its joint's name.
    pub name: &'static str,
    /// In plain words.
    pub title: &'static str,
    /// Along the bar.
    pub from_tip: Row,
    /// Against gravity.
    pub angle: Row,
    /// The three figures of a lowest point: along the bar, below it, ahead of it.
    pub lowest: [Row; 3],
    /// Own clamp or shared, where the control has the choice.
    pub mount: Option<Row>,
    /// Which place on the shared clamp.
    pub slot: Option<Row>,
    /// Words by which a hose or cable that leaves it is usually named.
    pub hose_words: &'static [&'static str],
}

/// The controls, brakes first.
pub static CONTROLS: &[Control] = &[
    Control {
        name: "brake-lever",
        title: "brake lever",
        from_tip: table::LEVER_FROM_TIP,
        angle: table::LEVER_ANGLE,
        lowest: [table::LEVER_LOWEST_FROM_TIP, table::LEVER_LOWEST_DROP, table::LEVER_LOWEST_AHEAD],
        mount: None,
        slot: None,
        hose_words: &["brake"],
    },
    Control {
        name: "shifter",
        title: "shifter",
        from_tip: table::SHIFTER_FROM_TIP,
        angle: table::SHIFTER_ANGLE,
        lowest: [table::SHIFTER_LOWEST_FROM_TIP, table::SHIFTER_LOWEST_DROP, table::SHIFTER_LOWEST_AHEAD],
        mount: Some(table::SHIFTER_MOUNT),
        slot: Some(table::SHIFTER_SLOT),
        hose_words: &["shift", "derailleur", "gear"],
    },
    Control {
        name: "dropper-remote",
        title: "dropper remote",
        from_tip: table::DROPPER_FROM_TIP,
        angle: table::DROPPER_ANGLE,
        lowest: [table::DROPPER_LOWEST_FROM_TIP, table::DROPPER_LOWEST_DROP, table::DROPPER_LOWEST_AHEAD],
        mount: Some(table::DROPPER_MOUNT),
        slot: Some(table::DROPPER_SLOT),
        hose_words: &["dropper", "seat post", "seatpost"],
    },
    Control {
        name: "lockout",
        title: "lockout",
        from_tip: table::LOCKOUT_FROM_TIP,
        angle: table::LOCKOUT_ANGLE,
        lowest: [table::LOCKOUT_LOWEST_FROM_TIP, table::LOCKOUT_LOWEST_DROP, table::LOCKOUT_LOWEST_AHEAD],
        mount: Some(table::LOCKOUT_MOUNT),
        slot: Some(table::LOCKOUT_SLOT),
        hose_words: &["lockout", "lock-out", "shock", "fork"],
    },
];

/// The control that a hose of that name leaves, of those that are there: the one that its name names, else the only one.
pub fn left_by(hose: &str, is_there: impl Fn(&Control) -> bool) -> Option<&'static Control> {
    let name = hose.to_lowercase();
    let is_named = |control: &&Control| control.hose_words.iter().any(|word| name.contains(word));
    if let Some(named) = CONTROLS.iter().find(is_named) {
        return Some(named).filter(|control| is_there(control));
    }
    let mut there = CONTROLS.iter().filter(|control| is_there(control));
    there.next().filter(|_| there.next().is_none())
}

/// Whether a row is the angle of a control on the bar.
pub fn is_control_angle(row: Row) -> bool {
    CONTROLS.iter().any(|control| control.angle == row)
}
