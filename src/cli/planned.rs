//! A setup that was worked out, not measured, written as a new file: what `try` and `carry` do with `--write`.

use std::fs;
use std::path::{Path, PathBuf};

use crate::catalogue::table::{SPACERS_ABOVE, SPACERS_BELOW};
use crate::catalogue::{Catalogue, MeasureId};
use crate::check::{self, forbidden, opened, to_fit};
use crate::compare::Replaced;
use crate::ledger::{without_dots, write_atomically};
use crate::metrology::show;
use crate::setup::edit::{Edit, EditError};
use crate::setup::model::Setup;
use crate::trial::ToTighten;

use super::new::setup_name;
use super::session::{Failure, Opened, Session};
use super::today::today;

/// What is to be written.
pub struct Planned<'p> {
    /// The setup whose text it is made from.
    pub from: &'p Opened,
    /// The setup as it would be.
    pub setup: &'p Setup,
    /// Where the two differ.
    pub differing: &'p [MeasureId],
    /// What the new file says of where its values come from.
    pub note: String,
    /// Why nobody may ride it so, where no figure of the file tells it: on account of its pile.
    pub forbidden: Option<String>,
    /// The same on account of how its stem stands.
    pub twisted: Option<&'p str>,
    /// The same on account of which hand pulls its front brake.
    pub front_brake: Option<&'p str>,
    /// Damage on the parts that it is put together of, in words.
    pub damaged: &'p [String],
    /// The parts whose torque limits in the file are void.
    pub replaced: Option<&'p Replaced>,
    /// What is known of the parts beside their figures.
    pub parts: PartsToFit,
    /// The joints that nobody has tightened for it.
    pub to_tighten: &'p [ToTighten],
}

/// What a plan knows of the parts that are to be fitted, beside their figures in the file.
#[derive(Default)]
pub struct PartsToFit {
    /// What the stem is called; where it is the bike's own, only if that is turned over.
    pub stem: Option<String>,
    /// What the bar is called.
    pub bar: Option<String>,
    /// Of what the spacers below and above the stem are piled.
    pub spacers: Option<String>,
    /// The figures in the file, by their paths, that are those of the parts that go.
    pub of_the_old: Vec<String>,
    /// What is to be compared before stem and bar are put together.
    pub doubt: Option<String>,
}

/// Writes it to a file that must not exist yet, under the name that its place gives it, and says under which.
pub fn write(session: &Session, planned: &Planned, file: &Path) -> Result<String, Failure> {
    let (path, name) = place(session, file)?;
    if let Some(other) = differs_in_case(session.ledger()?.root(), &path) {
        return Err(Failure::new(
            format!("{} is there already, spelt in other capitals.", other.display()),
            "Many file systems take the two for one: choose another name.",
        ));
    }
    let text = String::from_utf8_lossy(&planned.from.bytes);
    let text = edited(session, planned, &text, name.as_deref()).map_err(|error| {
        Failure::new(error.to_string(), "Copy the file and change it by hand; `clampmark check` helps.")
    })?;
    write_atomically(&path, None, text.as_bytes())?;
    Ok(name.unwrap_or_else(|| path.display().to_string()))
}

fn edited(session: &Session, planned: &Planned, text: &str, name: Option<&str>) -> Result<String, EditError> {
    let mut edit = Edit::new(session.catalogue(), text, None)?;
    let mut note = planned.note.clone();
    note.extend(stale_comments(&edit, planned.differing, session));
    let (catalogue, differing) = (session.catalogue(), planned.differing);
    for sentence in check::planned::read_with(catalogue, edit.setup(), planned.setup, differing) {
        note.push(' ');
        note.push_str(&sentence);
    }
    edit.plan(planned.setup, planned.differing)?;
    let mut lines = planned.setup.clone();
    // What a lost line was drawn at is told as it stood.
    lines.marks.retain(|mark| !planned.replaced.is_some_and(|lost| lost.marks.contains(&mark.name.value)));
    edit.plan_lines(&lines)?;
    if let Some(name) = name {
        edit.rename(name)?;
    }
    if let Some(why) = &planned.forbidden {
        let place = forbidden::place_of_the_pile(edit.setup());
        edit.add_note(place, &forbidden::note(why))?;
    }
    if let Some(why) = planned.twisted {
        let place = forbidden::place_of_the_stem(edit.setup());
        edit.add_note(place, &forbidden::note(why))?;
    }
    if let Some(why) = planned.front_brake {
        let place = forbidden::place_of_the_brake_hand(edit.setup());
        edit.add_note(place, &forbidden::note(why))?;
    }
    for damage in planned.damaged {
        edit.add_note("", &format!("damage on {damage}"))?;
    }
    let note =
        planned.replaced.map_or_else(|| note.clone(), |replaced| format!("{note} {}", replaced.note()));
    edit.add_note("", &note)?;
    fit(&mut edit, &to_be_fitted(session.catalogue(), planned), planned.replaced)?;
    if let Some(doubt) = &planned.parts.doubt {
        // A bar is held to the stem that is on the bike, if that stays.
        let is_another = planned.replaced.is_some_and(|replaced| replaced.parts.contains(&"stem"));
        let place = edit.setup().group_or_top(if is_another { "stem" } else { "bar" });
        edit.add_note(place, &to_fit::doubt(doubt, today()))?;
    }
    for one in planned.to_tighten {
        not_tightened(&mut edit, one)?;
    }
    if let Some(replaced) = planned.replaced {
        lose(&mut edit, replaced)?;
    }
    Ok(edit.text().to_owned())
}

/// Writes what is to be fitted, in place of what an earlier plan asked for there. A part that is only turned over is the
/// one that was asked for, with whatever has to be compared.
fn fit(edit: &mut Edit, parts: &[(&str, String)], replaced: Option<&Replaced>) -> Result<(), EditError> {
    let before = edit.setup().clone();
    let is_turned_over = |part: &str| replaced.is_some_and(|replaced| replaced.turned_over.contains(&part));
    for (part, note) in parts {
        let place = before.group_or_top(part);
        let mut note = note.clone();
        for noted in to_fit::noted(&before).filter(|noted| noted.on == place) {
            match (is_turned_over(part), noted.is_doubt) {
                (true, true) => continue,
                (true, false) => note = format!("{note}; it was to be {}", noted.words),
                (false, _) => {}
            }
            edit.remove_note(&noted.note.on, &noted.note.text.value)?;
        }
        edit.add_note(place, &note)?;
    }
    Ok(())
}

/// The notes on what is to be fitted, by the part at which they go.
fn to_be_fitted(catalogue: &Catalogue, planned: &Planned) -> Vec<(&'static str, String)> {
    let Planned { setup, parts, .. } = planned;
    let told = |part: &str, named: &str| to_fit::told(catalogue, setup, part, named, &parts.of_the_old);
    let replaced = planned.replaced;
    let mut notes = Vec::new();
    for (part, named) in [("stem", &parts.stem), ("bar", &parts.bar)] {
        let is_among = |parts: &[&str]| parts.contains(&part);
        let another =
            replaced.filter(|replaced| is_among(&replaced.parts)).map(|_| format!("another {part}"));
        let over = replaced.filter(|replaced| is_among(&replaced.turned_over));
        let words = another.or_else(|| over.map(|_| format!("the {part} turned over")));
        notes.extend(words.map(|words| (part, told(part, named.as_ref().unwrap_or(&words)))));
    }
    let is_a_spacer = |id: &MeasureId| [SPACERS_BELOW, SPACERS_ABOVE].contains(&id.row);
    if planned.differing.iter().any(is_a_spacer) {
        let words = parts.spacers.clone().unwrap_or_else(|| piles(setup));
        notes.extend((!words.is_empty()).then_some((to_fit::STEERER, words)));
    }
    notes.into_iter().map(|(part, words)| (part, to_fit::note(&words, today()))).collect()
}

/// Both piles of spacers by their heights, as far as they are known.
fn piles(setup: &Setup) -> String {
    let pile = |row| {
        let height = setup.value(&MeasureId::bike(row))?;
        Some(if height > 0.0 {
            format!("{} mm of spacers", show::brief(height))
        } else {
            "no spacers".to_owned()
        })
    };
    let below = pile(SPACERS_BELOW).map(|pile| format!("{pile} below the stem"));
    let above = pile(SPACERS_ABOVE).map(|pile| format!("{pile} above the stem"));
    below.into_iter().chain(above).collect::<Vec<_>>().join(", ")
}

/// Keeps of a joint that nobody has tightened it for what is planned.
fn not_tightened(edit: &mut Edit, ToTighten { joint, why }: &ToTighten) -> Result<(), EditError> {
    let place = opened::place(edit.setup(), joint);
    let note = opened::planned(joint, &place, today(), why.as_deref());
    // A plan of the same day may have said it already.
    let is_said = edit.setup().notes.iter().any(|known| known.on == place && known.text.value == note);
    match why {
        Some(_) => edit.drop_applied(joint, &note),
        None if is_said => Ok(()),
        None => edit.add_note(&place, &note),
    }
}

/// Takes out, or voids, what was the replaced parts'.
fn lose(edit: &mut Edit, replaced: &Replaced) -> Result<(), EditError> {
    for note in &replaced.notes {
        edit.remove_note(&note.on, &note.text.value)?;
    }
    for joint in &replaced.torques {
        edit.add_caution(joint, &replaced.caution())?;
    }
    for mark in &replaced.marks {
        edit.lose_mark(mark, |was| replaced.no_line(was))?;
    }
    Ok(())
}

/// What has to be said of comments beside figures that are others now: they are the user's words, and stay.
fn stale_comments(edit: &Edit, differing: &[MeasureId], session: &Session) -> Option<String> {
    let has_one = |id: &&MeasureId| edit.remark_beside(id).is_some();
    let paths: Vec<String> =
        differing.iter().filter(has_one).map(|id| session.catalogue().path(id)).collect();
    let words = format!(" Comments beside these are of what stood there before: {}.", paths.join(", "));
    (!paths.is_empty()).then_some(words)
}

/// Where a new file goes, and the setup name that its place gives it. A name is one below `setups/` and stays there: no
/// `..` leads out of it. A path (it ends in `.kdl`) was spelt out and may lie anywhere; outside `setups/` it gives no
/// name, and the file keeps the one it has.
fn place(session: &Session, file: &Path) -> Result<(PathBuf, Option<String>), Failure> {
    let ledger = session.ledger()?;
    if file.extension().is_none_or(|end| end != "kdl") && !file.is_absolute() {
        let name = setup_name(&file.to_string_lossy()).map_err(|failure| {
            let help = "Name it by bike and purpose, such as rowan/tried, or give a path that ends in .kdl.";
            Failure::new(failure.message, help)
        })?;
        return Ok((ledger.setup_named(&name).path, Some(name)));
    }
    let path = without_dots(&session.here().join(file));
    let inside = path.strip_prefix(without_dots(&ledger.root().join("setups"))).ok();
    let name = inside.map(|inside| {
        let words: Vec<_> = inside.iter().map(|word| word.to_string_lossy()).collect();
        let joined = words.join("/");
        joined.strip_suffix(".kdl").unwrap_or(&joined).to_owned()
    });
    Ok((path, name))
}

/// What stands in the ledger at the path but for small and capital letters.
fn differs_in_case(root: &Path, path: &Path) -> Option<PathBuf> {
    let mut at = root.to_owned();
    for part in path.strip_prefix(root).ok()? {
        let wanted = part.to_string_lossy();
        let others = fs::read_dir(&at).ok()?.flatten().map(|entry| entry.file_name());
        let mut others = others.filter(|name| name.to_string_lossy().to_lowercase() == wanted.to_lowercase());
        if let Some(other) = others.find(|name| name != part) {
            return Some(at.join(other));
        }
        at.push(part);
    }
    None
}
