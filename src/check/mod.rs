//! What is wrong in a file: the list of rules, and the acknowledgements that silence the milder ones.
//!
//! A rule looks at one file's content and at what is known [`Around`] it: it knows no files, no revisions and no other
//! setup. What it says is a [`Finding`]; whoever shows findings decides on their order on the screen.

mod accept;
mod advice;
mod as_found;
pub mod bar_shape;
pub mod before_the_roll;
pub mod between_marks;
mod bolts;
pub mod carbon;
pub mod damage;
pub mod dates;
mod extreme;
mod file;
pub mod forbidden;
pub mod forgotten;
pub mod front_brake;
mod impossible;
pub mod levers;
pub mod lines;
pub mod marks;
mod missing;
pub mod not_decided;
pub mod not_to_ride;
mod on_bar;
pub mod on_sheet;
pub mod opened;
mod places;
pub mod plain_number;
pub mod planned;
pub mod repeats;
mod rider;
#[cfg(test)]
mod tests;
mod tightening;
pub mod to_fit;
mod turning;
mod wrenches;

use chrono::NaiveDate;

use crate::catalogue::code::{self, Code, Severity};
use crate::catalogue::{Catalogue, MeasureId};
use crate::setup::finding::{Acknowledged, Finding};
use crate::setup::model::{Kind, Setup};
use crate::setup::read::Read;
use crate::setup::span::Span;

/// What is known of a file beside its content.
#[derive(Clone, Copy, Default)]
pub struct Around<'a> {
    /// The name that the file's place gives it, where it has one.
    pub expected_name: Option<&'a str>,
    /// The day on which the file is looked at; without one nothing is said of days to come.
    pub today: Option<NaiveDate>,
    /// On which hand the bikes of the ledger have their front brakes, where somebody looked.
    pub hands: Option<&'a front_brake::Hands>,
}

/// What a rule looks at.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The table.
    pub catalogue: &'a Catalogue,
    /// The file's content.
    pub setup: &'a Setup,
    /// What is known of the file beside its content.
    pub around: Around<'a>,
    /// What the reader found: a value it could not take is wrong, and not missing besides.
    pub reader: &'a [Finding],
}

impl Context<'_> {
    /// Whether the file gives a measure no value, not even one that could not be taken.
    fn is_left_out(&self, id: &MeasureId) -> bool {
        let path = self.catalogue.path(id);
        let refused = |finding: &Finding| {
            finding.severity == Severity::Fault && finding.measure.as_deref() == Some(&*path)
        };
        self.setup.recorded(id).is_none() && !self.reader.iter().any(refused)
    }

    /// Where a measure would stand if it were there: its group, the group around that, else the file's name.
    fn home(&self, id: &MeasureId) -> Span {
        let path = self.catalogue.path(id);
        let mut group = path.as_str();
        while let Some((around, _)) = group.rsplit_once('.') {
            if let Some(part) = self.setup.parts.iter().find(|part| part.path == around) {
                return part.span;
            }
            group = around;
        }
        self.setup.name.span
    }
}

/// On which kinds of file a rule makes sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// On setups alone: an as-found sheet holds only what was looked at.
    Setups,
    /// On as-found sheets too.
    Both,
}

/// One rule.
pub struct Rule {
    /// What it can find.
    pub codes: &'static [&'static Code],
    /// Where it makes sense.
    pub on: On,
    /// The rule itself.
    pub find: fn(&Context) -> Vec<Finding>,
}

/// Every rule.
pub static RULES: &[Rule] = &[
    Rule { codes: &[&code::MISSING_MEASURE], on: On::Setups, find: missing::measures },
    Rule { codes: &[&code::UNMEASURED], on: On::Setups, find: missing::unmeasured },
    Rule { codes: &[&code::NO_DATE], on: On::Both, find: file::date },
    Rule { codes: &[&code::DATE_AHEAD], on: On::Both, find: dates::ahead },
    Rule { codes: &[&code::NAME_DIFFERS], on: On::Setups, find: file::name },
    Rule { codes: &[&code::CONTROL_WITHOUT_PLACE], on: On::Setups, find: places::controls },
    Rule { codes: &[&code::SLOT_WITHOUT_SHARED], on: On::Setups, find: places::slots },
    Rule { codes: &[&code::SHARED_WITH_PLACE], on: On::Setups, find: places::shared_with_place },
    Rule { codes: &[&code::CONTROL_INSIDE_GRIP], on: On::Setups, find: places::inside_grip },
    Rule { codes: &[&code::CLAMPS_OVERLAP], on: On::Setups, find: places::overlapping },
    Rule { codes: &[&code::BAR_TOO_NARROW, &code::CLAMP_IN_BEND], on: On::Setups, find: on_bar::fits },
    Rule { codes: &[&code::HAND_OFF_GRIP], on: On::Setups, find: on_bar::hand },
    Rule { codes: &[&code::BAR_WIDER_THAN_SUPPLIED], on: On::Setups, find: impossible::wider_than_supplied },
    Rule { codes: &[&code::BEND_TOO_WIDE], on: On::Both, find: impossible::bend },
    Rule { codes: &[&code::BEND_AGAINST_SETBACK], on: On::Both, find: bar_shape::bend_against_setback },
    Rule { codes: &[&code::STEM_TOO_SHORT], on: On::Both, find: impossible::stem },
    Rule { codes: &[&code::SADDLE_IMPOSSIBLE], on: On::Both, find: impossible::saddle },
    Rule { codes: &[&code::STEM_TWISTED, &code::STEM_NOT_SQUARE], on: On::Both, find: extreme::twist },
    Rule { codes: &[&code::LEVER_ANGLE_WILD], on: On::Both, find: extreme::lever_angle },
    Rule { codes: &[&code::FINGER_BEYOND_BLADE], on: On::Both, find: levers::finger },
    Rule { codes: &[&code::REPEATS_DISAGREE], on: On::Both, find: repeats::disagree },
    Rule { codes: &[&code::BITE_AT_GRIP, &code::BITE_NEAR_GRIP], on: On::Both, find: levers::bite_at_grip },
    Rule { codes: &[&code::BITE_AT_KNUCKLES], on: On::Both, find: levers::bite_at_knuckles },
    Rule { codes: &[&code::BITE_BEYOND_REACH], on: On::Both, find: levers::bite },
    Rule {
        codes: &[&code::TORQUE_NO_RANGE, &code::TORQUE_APPLIED_ABOVE, &code::TORQUE_APPLIED_BELOW],
        on: On::Both,
        find: tightening::range,
    },
    Rule { codes: &[&code::RANGE_OF_THE_OLD_PART], on: On::Setups, find: tightening::of_the_old_part },
    Rule { codes: &[&code::TORQUE_WITHOUT_CAUTION], on: On::Both, find: tightening::without_caution },
    Rule { codes: &[&code::TORQUE_SLIPS], on: On::Both, find: tightening::slips },
    Rule { codes: &[&code::TORQUE_MISSING], on: On::Setups, find: tightening::missing },
    Rule { codes: &[&code::TORQUE_CARBON], on: On::Both, find: carbon::caution },
    Rule {
        codes: &[&code::TORQUE_PRELOAD_HIGH, &code::TORQUE_PRELOAD_BEYOND, &code::TORQUE_BOLT_UNKNOWN],
        on: On::Both,
        find: bolts::bolts,
    },
    Rule {
        codes: &[&code::TORQUE_WRENCH_DEVIATION, &code::TORQUE_WRENCH_RANGE],
        on: On::Both,
        find: wrenches::unfit,
    },
    Rule { codes: &[&code::TORQUE_APPLIED_WITH], on: On::Both, find: wrenches::applied },
    Rule { codes: &[&code::DAMAGE_ELSEWHERE], on: On::Both, find: damage::elsewhere },
    Rule { codes: &[&code::OPENED_NOTED], on: On::Setups, find: opened::still_open },
    Rule { codes: &[&code::DAMAGE_NOTED], on: On::Setups, find: damage::still_there },
    Rule { codes: &[&code::NOT_TO_RIDE_NOTED], on: On::Setups, find: forbidden::still_so },
    Rule {
        codes: &[&code::MARK_WITHOUT_JOINT, &code::STALE_MARK, &code::POSITION_WITHOUT_MARK],
        on: On::Setups,
        find: marks::marks,
    },
    Rule { codes: &[&code::READ_BEFORE_ROLL], on: On::Setups, find: before_the_roll::rule },
    Rule {
        codes: &[&code::CONTROL_MEETS_TUBE, &code::TOO_CLOSE_TO_CALL],
        on: On::Setups,
        find: turning::controls,
    },
    Rule {
        codes: &[
            &code::HOSE_TIGHT,
            &code::HOSE_TIGHT_STRAIGHT,
            &code::TOO_CLOSE_TO_CALL,
            &code::HOSE_BEND,
            &code::HOSE_BOW,
        ],
        on: On::Setups,
        find: turning::hoses,
    },
    Rule { codes: &[&code::STOP_NARROW], on: On::Setups, find: turning::stop },
    Rule { codes: &[&code::WIDE_BAR], on: On::Setups, find: advice::parts::wide_bar },
    Rule { codes: &[&code::NARROW_BAR], on: On::Setups, find: advice::parts::narrow_bar },
    Rule { codes: &[&code::SHORT_STEM], on: On::Setups, find: advice::parts::short_stem },
    Rule { codes: &[&code::LONG_STEM], on: On::Setups, find: advice::parts::long_stem },
    Rule { codes: &[&code::SHARED_CLAMP], on: On::Setups, find: advice::controls::shared_clamp },
    Rule { codes: &[&code::LOW_CONTROL], on: On::Setups, find: advice::controls::low_control },
    Rule { codes: &[&code::BLADE_OVER_FINGERS], on: On::Setups, find: advice::controls::blade_over_fingers },
    Rule { codes: &[&code::KNEE_NEAR_COMPUTER], on: On::Setups, find: advice::knee::near_computer },
    Rule { codes: &[&code::NO_GUARD], on: On::Setups, find: advice::controls::no_guard },
    Rule { codes: &[&code::FRONT_BRAKE_HAND], on: On::Setups, find: advice::sides::front_brake_hand },
    Rule { codes: &[&code::FRONT_BRAKE_DIFFERS], on: On::Setups, find: front_brake::differs },
    Rule { codes: &[&code::RIDER_LENGTHS], on: On::Setups, find: rider::lengths },
    Rule { codes: &[&code::SIDES_DIFFER], on: On::Setups, find: advice::sides::sides_differ },
    Rule {
        codes: &[&code::GRIPS_FAR_ABOVE_SADDLE],
        on: On::Setups,
        find: advice::standard::grips_far_above_saddle,
    },
    Rule {
        codes: &[&code::LEVER_FAR_FROM_GRIP],
        on: On::Setups,
        find: advice::standard::lever_far_from_grip,
    },
];

/// What of a setup's readings and notes says that nobody is to ride so, but for what may be meant and is accepted.
pub fn unridable(catalogue: &Catalogue, setup: &Setup) -> Vec<Finding> {
    found_of(catalogue, setup, |code| code.unridable)
}

/// What the rules find of some codes alone, without what the file accepts; what nobody is to ride with stands all the same.
pub fn found_of(catalogue: &Catalogue, setup: &Setup, is_asked: impl Fn(&Code) -> bool) -> Vec<Finding> {
    let context = Context { catalogue, setup, around: Around::default(), reader: &[] };
    let tells = |rule: &&Rule| rule.codes.iter().any(|code| is_asked(code));
    let found = RULES.iter().filter(tells).flat_map(|rule| (rule.find)(&context)).collect();
    let (mut standing, accepted) = accept::acknowledged(setup, found, &[]);
    let accepted = accepted.into_iter().map(|accepted| accepted.finding);
    standing.extend(accepted.filter(|finding| finding.code.stands_though_accepted()));
    standing.retain(|finding| is_asked(finding.code));
    standing
}

/// Everything found in a file: what the reader found and what the rules find, in the order of the text, without what
/// the file acknowledges. `expected_name` is the name that the file's place gives it.
pub fn check(catalogue: &Catalogue, read: &Read, expected_name: Option<&str>) -> Vec<Finding> {
    check_with_accepted(catalogue, read, expected_name, None).0
}

/// The same as looked at on a day, and what the file acknowledges.
pub fn check_with_accepted(
    catalogue: &Catalogue,
    read: &Read,
    expected_name: Option<&str>,
    today: Option<NaiveDate>,
) -> (Vec<Finding>, Vec<Acknowledged>) {
    check_in(catalogue, read, Around { expected_name, today, hands: None })
}

/// The same with all that is known of the file beside its content.
pub fn check_in(catalogue: &Catalogue, read: &Read, around: Around) -> (Vec<Finding>, Vec<Acknowledged>) {
    let mut accepted = Vec::new();
    let mut findings = read.findings.clone();
    if let Some(setup) = &read.setup {
        let context = Context { catalogue, setup, around, reader: &read.findings };
        let applies = |rule: &&Rule| rule.on == On::Both || setup.kind == Kind::Setup;
        findings.extend(RULES.iter().filter(applies).flat_map(|rule| (rule.find)(&context)));
        let beside_alone: &[&Code] = if around.hands.is_none() { &[&code::FRONT_BRAKE_DIFFERS] } else { &[] };
        (findings, accepted) = accept::acknowledged(setup, findings, beside_alone);
    }
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    (findings, accepted)
}
