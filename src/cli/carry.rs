//! `carry`: the same place for the hands on another bike.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::carry::{self, Assembly, Carry, Onto, Told, parts};
use crate::catalogue::MeasureId;
use crate::check::planned::to_be_read;
use crate::ledger::read_file;
use crate::report::carry::{
    CarryReport, bar_to_fit, forbids, may_not_fit_together, spacers_to_fit, stands_over, stem_to_fit,
};
use crate::setup::model::{PLANNED, Setup};
use crate::setup::span::{LineIndex, Span};
use crate::trial::{Refusal, TOP_CAP};

use super::Status;
use super::planned::{self, PartsToFit, Planned};
use super::session::{Failure, Opened, Session};

const PARTS_HELP: &str = "\
A box of parts is a file like this; lengths in mm, angles in degrees, another
unit before the number, such as length=(in)1.5:

  parts \"race box\" format=1 {
      steerer left=75          // headset cover to top cap
      stem \"short\" length=40 angle=6 clamp-height=40
      bar \"wide\" width=780 rise=25 back-sweep=8 up-sweep=5 bend=90 \\
          roll-from=-5 roll-to=5
      spacer 5 count=2
      spacer 10
  }

steerer left= is how high everything on the steerer is together: spacers below,
the stem's clamp, spacers above. Of a bare steerer it is what stands
above the cover and 2 to 3 mm more, by which the top cap has to clear its end.
Left out, it is what stands recorded there.
Every stem may go on either way up. A bar takes setback= in place of bend=, and
supplied-width= if it was cut: rise and setback are those before the saw. It may
say material= and clamp-diameter=; else they are not known of it. A stem may say
clamp-diameter=, too: it takes no bar of another.
A bar is rolled from -10 to 10 degrees unless roll-from= and roll-to= say
otherwise; so is the other bike's own. Figures take what a setup's take.
The other bike keeps its own of a kind that the box does not hold (stems, bars,
spacers). clampmark check FILE checks a box.";

/// Put your hands in the same place on another bike.
///
/// Tries every stem both ways up, every bar and every pile of spacers, rolls each bar to where it does best, and gives
/// the ten that come nearest, what each is off by, and which part would make the best one exact. Controls go to the
/// same distance from the tip and the same angle to the level.
#[derive(Debug, Args)]
#[command(after_help = PARTS_HELP)]
pub struct Arguments {
    /// The setup whose hands are wanted.
    pub setup: String,
    /// The setup of the other bike.
    #[arg(long, value_name = "OTHER")]
    pub onto: String,
    /// The box of parts; without it, what is on the other bike.
    #[arg(long, value_name = "FILE")]
    pub parts: Option<PathBuf>,
    /// Write the best that can be ridden as a new setup for the other bike: a name such as alder/race, or a path that
    /// ends in .kdl.
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Write this one of the list, counted from 1, whatever is wrong with it.
    #[arg(long, value_name = "N", requires = "write")]
    pub pick: Option<usize>,
}

/// Runs it.
pub fn run(session: &Session, arguments: &Arguments) -> Result<Status, Failure> {
    let from = session.open(&arguments.setup, None)?;
    let onto = session.open(&arguments.onto, None)?;
    let parts = match &arguments.parts {
        Some(file) => Some(read_parts(session, file)?),
        None => None,
    };
    let (parts, text) = parts.unwrap_or_default();
    let placed = |refusal: Refusal| match (&arguments.parts, refusal.place) {
        (Some(file), Some(place)) => in_the_box(file, &text, place, &refusal.message, refusal.help),
        _ => Failure::from(refusal),
    };
    let whole = onto.whole()?;
    let first = from.whole()?;
    let carried = carry::carry(session.catalogue(), first, whole, &parts).map_err(placed)?;
    let writes = arguments.write.as_ref().map(|file| (file, to_write(&carried, arguments.pick)));
    let (mut written, mut picked, mut is_unsound) = (None, None, carried.is_unsound());
    let mut of_the_written = None;
    let mut is_unridable = carried.is_unridable(&carried.told);
    if let Some((file, place)) = writes {
        let place = place?;
        is_unsound = true;
        if let Some((place, assembly)) = place.and_then(|place| Some((place, carried.assemblies.get(place)?)))
        {
            picked = Some(place + 1);
            // All else on the page is told of the nearest.
            of_the_written = (place > 0).then(|| carry::told(session.catalogue(), [first, whole], assembly));
            let told = of_the_written.as_ref().unwrap_or(&carried.told);
            written = Some(write_one(session, [&from, &onto], &carried, (assembly, told), file)?);
            is_unsound = !assembly.is_to_be_built() || told.has_a_fault();
            is_unridable = carried.is_unridable(told);
        }
    }
    let report = CarryReport {
        schema: CarryReport::SCHEMA,
        setup: from.name.clone(),
        onto: onto.name.clone(),
        parts: arguments.parts.as_ref().map(|file| file.display().to_string()),
        findings: from.faults(),
        findings_onto: onto.faults(),
        carried,
        asked_to_write: arguments.write.is_some(),
        written,
        picked,
        of_the_written,
        is_unsound,
    };
    let is_disagreed = report.carried.steerer_disagreed.is_some();
    let may_not_reach = report.carried.may_not_reach(picked.map_or(0, |place| place - 1));
    let status = Status::act_if(is_unsound || is_unridable || is_disagreed || may_not_reach);
    session.show(&report, |page| report.write(page))?;
    Ok(status)
}

/// The box and its text.
fn read_parts(session: &Session, file: &Path) -> Result<(parts::Parts, String), Failure> {
    let bytes = read_file(&session.here().join(file))?;
    let (parts, findings) = parts::read(&bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let Some(first) = findings.first() else { return Ok((parts, text)) };
    let others = match findings.len() {
        1 => String::new(),
        _ => format!(" `clampmark check {}` tells the other faults.", file.display()),
    };
    let help = format!("{}{others}", first.help);
    Err(in_the_box(file, &text, first.span.unwrap_or_default(), &first.message, help))
}

/// A failure at a place in a box of parts.
fn in_the_box(file: &Path, text: &str, place: Span, message: &str, help: String) -> Failure {
    let (line, column) = LineIndex::new(text).line_column(place.start);
    Failure::new(format!("{}, line {line}, column {column}: {message}", file.display()), help)
}

/// The place of the assembly to write: the one that was picked, else the first that can be built; none if there is none.
fn to_write(carried: &Carry, pick: Option<usize>) -> Result<Option<usize>, Failure> {
    let Some(pick) = pick else { return Ok(carried.first_sound()) };
    let count = carried.assemblies.len();
    if (1..=count).contains(&pick) {
        return Ok(Some(pick - 1));
    }
    let message = format!("There is no assembly {pick} in the list, which has {count}.");
    Err(Failure::new(message, "Look at the list without --write; the nearest is 1."))
}

/// Writes an assembly as a new setup from the other bike's text, with a note on what of it nobody measured.
fn write_one(
    session: &Session,
    opened: [&Opened; 2],
    carried: &Carry,
    (assembly, told): (&Assembly, &Told),
    file: &Path,
) -> Result<String, Failure> {
    let [from, onto] = opened;
    let was = onto.setup()?;
    let differing = carry::differing(was, &assembly.setup);
    let note = format!(
        "{PLANNED}carry` for the hands of {}, not measured: whatever differs from {}{}.{} {}{}",
        from.name,
        onto.name,
        figures_to_read(session, &assembly.setup, &differing),
        carried_figures(told),
        TOP_CAP,
        stands_over(assembly).map(|words| format!(" {words}")).unwrap_or_default()
    );
    // Which of the two is right no figure of the new file tells.
    let disagreed = carried.steerer_disagreed.map(|disagreed| disagreed.words(&onto.name));
    let why: Vec<String> = forbids(assembly).into_iter().chain(disagreed).collect();
    let forbidden = (!why.is_empty()).then(|| why.join("; "));
    let planned = Planned {
        from: onto,
        setup: &assembly.setup,
        differing: &differing,
        note,
        forbidden,
        twisted: None,
        front_brake: carried.front_brake.as_deref(),
        damaged: &assembly.damaged,
        replaced: told.replaced.as_ref(),
        parts: parts_to_fit(assembly),
        to_tighten: &told.opens.to_tighten,
    };
    planned::write(session, &planned, file)
}

/// The figures that somebody has to read once it is built.
fn figures_to_read(session: &Session, setup: &Setup, differing: &[MeasureId]) -> String {
    let paths = to_be_read(session.catalogue(), setup, differing.iter());
    if paths.is_empty() { String::new() } else { format!(": {}", paths.join(", ")) }
}

/// What its parts are called, and of what its spacers are piled.
fn parts_to_fit(assembly: &Assembly) -> PartsToFit {
    PartsToFit {
        stem: Some(stem_to_fit(assembly)),
        bar: Some(bar_to_fit(assembly)),
        spacers: Some(spacers_to_fit(assembly)),
        of_the_old: Vec::new(),
        doubt: may_not_fit_together(assembly),
    }
}

/// The controls that the other bike's file does not have, and that are written as they were carried.
fn carried_figures(told: &Told) -> String {
    let added = told.controls.iter().filter(|control| control.onto == Onto::Added);
    let paths: Vec<&str> = added.map(|control| control.measure.as_str()).collect();
    if paths.is_empty() {
        return String::new();
    }
    format!(" Carried figures, no readings: {}.", paths.join(", "))
}
