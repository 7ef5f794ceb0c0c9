//! Rules on turning the bars: controls that meet the top tube, hoses that go tight, bend or bow, a narrow stop.

use crate::catalogue::code::{self, Severity};
use crate::catalogue::table::{
    BAR_MATERIAL, CARBON, FRAME_MATERIAL, FRAME_STEERING_STOP, HOSE_BEND_RADIUS, HOSE_FREE,
};
use crate::catalogue::{MeasureId, Side, Subject};
use crate::geometry::state::State;
use crate::geometry::turning::{self, Course, Courses, Doubt, FREE_TURN, HoseTurn};
use crate::metrology::show::{plain, with_uncertainty};
use crate::setup::finding::Finding;

use super::Context;
use super::advice::is_beyond;

/// How much wider than it needs a hose may bow before it is worth a word, in millimetres: common practice, no source.
const BOW_TO_SPARE: f64 = 40.0;

/// Every control, turned both ways, against the top tube.
pub fn controls(context: &Context) -> Vec<Finding> {
    let state = State::recorded(context.catalogue, context.setup);
    let controls = turning::courses(&state, |_| ());
    let turns = controls.iter().flat_map(|control| Side::BOTH.map(|side| (control, side)));
    let doubts = turning::doubts(&state, controls.iter().flat_map(|control| &control.both));
    let finding = |((control, side), doubt): ((&Courses, Side), &Option<Doubt>)| {
        let (title, course) = (control.title.as_str(), control.to(side));
        let doubt = (*doubt)?;
        meets_tube(context, title, side, course, doubt)
            .or_else(|| too_close(context, title, side, course, doubt))
    };
    turns.zip(&doubts).filter_map(finding).collect()
}

fn meets_tube(context: &Context, title: &str, side: Side, course: &Course, doubt: Doubt) -> Option<Finding> {
    let at = angle(course.contact()?, doubt.contact);
    let carbon = [FRAME_MATERIAL, BAR_MATERIAL]
        .into_iter()
        .find(|row| context.setup.may_be(&MeasureId::bike(*row), CARBON))
        .map(|row| context.catalogue.measure(row).part());
    let part = carbon.map_or_else(String::new, |part| format!(", and the {part} is carbon"));
    let message = format!(
        "Turning {side}, the {title} meets the top tube at {at}, {}{part}.",
        match context.setup.value(&MeasureId::bike(FRAME_STEERING_STOP)) {
            Some(stop) => format!("before the stop at {}°", plain(stop, 1)),
            None => "with no stop to prevent it".to_owned(),
        }
    );
    let finding = on_point(context, course, Finding::new(&code::CONTROL_MEETS_TUBE, message));
    Some(if carbon.is_some() { finding.severity(Severity::Fault) } else { finding })
}

fn too_close(context: &Context, title: &str, side: Side, course: &Course, doubt: Doubt) -> Option<Finding> {
    if course.contact().is_some() || course.least() >= doubt.least {
        return None;
    }
    let message = format!(
        "Turning {side}, the {title} clears the top tube by {} at {}: too close to call.",
        length(course.least(), doubt.least),
        angle(course.at(), None)
    );
    Some(on_point(context, course, Finding::new(&code::TOO_CLOSE_TO_CALL, message)))
}

/// Points at the lowest point that comes nearest.
fn on_point(context: &Context, course: &Course, finding: Finding) -> Finding {
    let id = course.point.from_tip();
    on(context, finding, &id)
}

/// Every hose, turned both ways.
pub fn hoses(context: &Context) -> Vec<Finding> {
    let state = State::recorded(context.catalogue, context.setup);
    let mut found = Vec::new();
    for hose in &turning::hoses_as_read(&state).hoses {
        let short = tight(context, hose).or_else(|| barely_long_enough(context, &state, hose));
        found.extend([short, bend(context, hose), bow(context, &state, hose)].into_iter().flatten());
    }
    found
}

fn tight(context: &Context, hose: &HoseTurn) -> Option<Finding> {
    let at = hose.tight_at?;
    let (name, free, straight) = (&hose.name, plain(hose.free?, 1), plain(hose.straight?, 1));
    if at == 0.0 {
        let message = format!(
            "The {name} hose is {free} mm long and its ends are {straight} mm apart with the bars straight."
        );
        return Some(on_length(context, hose, Finding::new(&code::HOSE_TIGHT_STRAIGHT, message)));
    }
    let sides = [hose.tight_left, hose.tight_right].into_iter().flatten().map(|at| angle(at, None));
    let message = format!(
        "The {name} hose is tight from {}: steering is limited; {} mm are missing.",
        sides.collect::<Vec<_>>().join(" and from "),
        plain((-hose.slack?).max(0.0), 1)
    );
    Some(on_length(context, hose, Finding::new(&code::HOSE_TIGHT, message)))
}

fn barely_long_enough(context: &Context, state: &State, hose: &HoseTurn) -> Option<Finding> {
    let slack = hose.slack?;
    let uncertainty = hose.doubt_of_slack(state).filter(|uncertainty| slack < *uncertainty)?;
    let message = format!(
        "The {} hose has {} of slack at {}: too close to call.",
        hose.name,
        length(slack, uncertainty),
        angle(hose.at?, None)
    );
    Some(on_length(context, hose, Finding::new(&code::TOO_CLOSE_TO_CALL, message)))
}

fn bend(context: &Context, hose: &HoseTurn) -> Option<Finding> {
    let (radius, allowed) = hose.tightest_radius.zip(hose.bend_radius)?;
    hose.bends_too_tight().then(|| {
        let message = format!(
            "At {} the {} hose bends to a radius of {} mm or less, and {} mm are allowed.",
            angle(hose.shortest_at.unwrap_or(0.0), None),
            hose.name,
            plain(radius, 1),
            plain(allowed, 1)
        );
        let finding = Finding::new(&code::HOSE_BEND, message);
        on(context, finding, &MeasureId { row: HOSE_BEND_RADIUS, subject: Subject::named(&hose.name) })
    })
}

fn bow(context: &Context, state: &State, hose: &HoseTurn) -> Option<Finding> {
    let (bow, needed) = hose.bow.zip(hose.bow_needed)?;
    let excess = bow - needed - BOW_TO_SPARE;
    // The doubt costs far more than the value and than a bound on it.
    let is_far = excess > 0.0
        && (is_beyond(excess, hose.most_doubt_of_bow_beyond_need(state)?)
            || is_beyond(excess, hose.uncertainty_of_bow_beyond_need(state)?));
    is_far.then(|| {
        let message = format!(
            "The {} hose bows {} mm straight ahead, and {} mm would leave it slack enough at full lock.",
            hose.name,
            plain(bow, 0),
            plain(needed, 0)
        );
        on_length(context, hose, Finding::new(&code::HOSE_BOW, message))
    })
}

fn on_length(context: &Context, hose: &HoseTurn, finding: Finding) -> Finding {
    on(context, finding, &MeasureId { row: HOSE_FREE, subject: Subject::named(&hose.name) })
}

fn on(context: &Context, finding: Finding, id: &MeasureId) -> Finding {
    let finding = finding.about(context.catalogue.path(id));
    match context.setup.recorded(id) {
        Some(recorded) => finding.at(recorded.span),
        None => finding,
    }
}

/// Whether the frame leaves the bars the free turn that is asked of it.
pub fn stop(context: &Context) -> Vec<Finding> {
    let id = MeasureId::bike(FRAME_STEERING_STOP);
    let stop = context.setup.reading(&id);
    let narrow = stop.filter(|stop| is_beyond(FREE_TURN - stop.value(), stop.expanded_uncertainty()));
    let finding = narrow.map(|stop| {
        let message = format!(
            "The frame stops the bars at {}°, and ISO 4210-2 asks for {FREE_TURN}° each side.",
            plain(stop.value(), 1)
        );
        on(context, Finding::new(&code::STOP_NARROW, message), &id)
    });
    finding.into_iter().collect()
}

fn length(value: f64, uncertainty: f64) -> String {
    let (value, expanded) = with_uncertainty(value, uncertainty, 1);
    format!("{value} ± {expanded} mm")
}

/// A steering angle in words.
fn angle(degrees: f64, uncertainty: Option<f64>) -> String {
    if degrees == 0.0 {
        return "0° (straight ahead)".to_owned();
    }
    let side = if degrees < 0.0 { "right" } else { "left" };
    match uncertainty {
        Some(uncertainty) => {
            let (size, expanded) = with_uncertainty(degrees.abs(), uncertainty, 1);
            format!("{size} ± {expanded}° {side}")
        }
        None => format!("{}° {side}", plain(degrees.abs(), 1)),
    }
}
