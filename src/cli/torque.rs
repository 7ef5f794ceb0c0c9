//! `torque`: the allowed range of every joint, the wrench settings that keep to it, and what to mind.

use crate::check::{self, not_to_ride};
use crate::geometry::state::State;
use crate::metrology::show::plain;
use crate::report;
use crate::setup::model::Setup;
use crate::torque::wrench::{BOUNDS, Bound, LEAST_ARM, Wrench};
use crate::torque::{Extension, Request, sheet};

use super::Status;
use super::newer_sheet;
use super::session::{Failure, Opened, Session};
use super::today::today;

/// What each joint may be tightened to, and how to set the wrench for it.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The setup, by name or by path.
    pub setup: String,
    /// As it was at this revision: a tag, a branch, a hash, HEAD~3.
    #[arg(long, value_name = "REV")]
    pub at: Option<String>,
    /// The wrench: what it may deviate in per cent (6%), or the name of one of the file's wrenches. The file's only
    /// wrench if not given.
    #[arg(long, value_name = "P%|NAME")]
    pub wrench: Option<String>,
    /// An extension on the wrench's drive: the wrench's length from the middle of the handle to the drive, the
    /// extension's length from the drive to the bolt, both in mm, and the angle between them in degrees (0 in line).
    #[arg(long, value_name = "L:E[:ANGLE]")]
    pub extension: Option<String>,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let opened = session.open(&arguments.setup, arguments.at.as_deref())?;
    let setup = opened.whole()?;
    let request = Request {
        wrench: wrench(setup, arguments.wrench.as_deref())?,
        extension: arguments.extension.as_deref().map(extension).transpose()?,
    };
    let findings = check::check_with_accepted(session.catalogue(), &opened.read, None, Some(today())).0;
    let revision = opened.revision.as_ref().map(|revision| revision.id.clone());
    let mut result = sheet(setup, &opened.label, revision, &request, &findings, &opened.read.findings);
    let present = session.now_beside(&arguments.setup, arguments.at.as_deref());
    let present = present.as_ref().map(Opened::setup).transpose()?.unwrap_or(setup);
    result.headline = headline(session, present);
    result.newer_sheet = newer_sheet::of(session, &arguments.setup, present, None);
    session.show(&result, |page| report::torque::page(page, &result))?;
    Ok(Status::act_if(result.is_to_act_on()))
}

/// What is kept against riding by the file as it is now, be that which is shown of an older day.
fn headline(session: &Session, present: &Setup) -> Option<String> {
    let recorded = State::recorded(session.catalogue(), present);
    not_to_ride::verdict(&not_to_ride::reasons(&recorded, |_| false, |_, _| false))
}

/// The wrench in hand: by its deviation, by its name, or the only one that the file has.
fn wrench(setup: &Setup, asked: Option<&str>) -> Result<Option<Wrench>, Failure> {
    let mut wrenches = setup.wrenches().map(|(name, wrench)| Wrench::of_file(name, wrench));
    let Some(asked) = asked else {
        let first = wrenches.next();
        return Ok(first.filter(|_| wrenches.next().is_none()));
    };
    if let Some(found) = wrenches.find(|wrench| wrench.name.as_deref() == Some(asked)) {
        return Ok(Some(found));
    }
    let percent = asked.strip_suffix('%').unwrap_or(asked).trim().parse::<f64>();
    match percent {
        Ok(percent) if percent > 0.0 && percent <= 50.0 => Ok(Some(Wrench::of_deviation(percent / 100.0))),
        Ok(_) => Err(Failure::new(
            format!("A wrench that deviates by `{asked}` is none."),
            "Give more than 0 % and at most 50 %, for instance --wrench 6%.",
        )),
        Err(_) => {
            let known: Vec<&str> = setup.wrenches().map(|(name, _)| name).collect();
            let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
            Err(Failure::new(
                format!("`{asked}` is neither a deviation in per cent nor a wrench of the file."),
                format!("Give for instance --wrench 6%. Wrenches in the file: {known}."),
            ))
        }
    }
}

/// `L:E` or `L:E:ANGLE`.
fn extension(text: &str) -> Result<Extension, Failure> {
    let numbers: Option<Vec<f64>> = text.split(':').map(|part| part.trim().parse().ok()).collect();
    let given = match numbers.as_deref() {
        Some([wrench, extension]) => [*wrench, *extension, 0.0],
        Some([wrench, extension, angle]) => [*wrench, *extension, *angle],
        _ => {
            return Err(Failure::new(
                format!("`{text}` is not an extension."),
                "Give two lengths in mm and, if they are not in line, an angle in degrees: --extension 200:40:45.",
            ));
        }
    };
    for (number, bound) in given.iter().zip(BOUNDS) {
        let Bound { title, low, high, sign } = bound;
        if !(low..=high).contains(number) {
            return Err(Failure::new(
                format!("In `{text}` the {title} is {number}{sign}: it goes from {low} to {high}{sign}."),
                "Measure it once more, lengths in mm and the angle in degrees: --extension 200:40:45.",
            ));
        }
    }
    let [wrench, extension, angle] = given;
    let least = LEAST_ARM * wrench;
    let sound = |made: &Extension| made.factor <= 1.0 / LEAST_ARM;
    Extension::new(wrench, extension, angle).filter(sound).ok_or_else(|| {
        let arm = plain(wrench + extension * angle.to_radians().cos(), 0);
        Failure::new(
            format!("With `{text}` the arm on the bolt is {arm} mm: it must be at least {least} mm, half the wrench's."),
            "Turn the extension outward or take a shorter one; the arm is L + E·cos(angle).",
        )
    })
}
