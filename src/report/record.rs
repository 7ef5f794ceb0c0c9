//! The page of `record`: what was written, and the command that makes a revision of it.

mod marks;

use crate::catalogue::Weight;
use crate::compare::Tightness;
use crate::restore::OpenedNote;
use crate::restore::record::{OnUnreadGround, PlannedRead, Recording};

use super::screen::{Align, Label, Page, piece, plain};

/// Writes the page.
pub fn page(page: &mut Page, recording: &Recording) {
    page.paragraph(0, 2, &[piece(Label::Title, recording.setup.clone()), plain(outcome(recording))]);
    for one in &recording.contradictions {
        page.blank();
        page.paragraph(
            0,
            2,
            &[piece(Label::Danger, format!("{}.", one.words)), plain(" Look at both again.")],
        );
    }
    held_back(page, recording);
    warnings(page, recording);
    not_told_back(page, recording);
    unridable(page, recording);
    not_square(page, recording);
    notes(page, recording);
    let rows: Vec<_> = recording
        .changes
        .iter()
        .map(|change| {
            let is_planned = |planned: &PlannedRead| planned.read.contains(&change.title);
            let is_planned = recording.planned.as_ref().is_some_and(is_planned);
            let was = match change.was.as_deref() {
                None => "new".to_owned(),
                Some(_) if !change.is_another() && is_planned => "as planned".to_owned(),
                Some(was) if is_planned => format!("planned {was}"),
                Some(was) if change.on_the_bar.is_some() && was == change.now => "read again".to_owned(),
                Some(_) if !change.is_another() => "read again".to_owned(),
                Some(was) => format!("was {was}"),
            };
            let how = change.how();
            let on_the_bar = change.on_the_bar.as_ref().map(|moved| format!("; {moved}")).unwrap_or_default();
            vec![
                plain(change.title.clone()),
                piece(Label::Number, change.now.clone()),
                piece(Label::Quiet, format!("{was}{on_the_bar}{how}")),
            ]
        })
        .collect();
    if !rows.is_empty() {
        page.table(2, &[Align::Left, Align::Right, Align::Left], &rows);
    }
    planned(page, recording);
    dangerous(page, recording);
    beside(page, recording);
    marks::said(page, recording);
    super::sheet_day::said(page, recording.sheet_day.as_ref());
    for one in &recording.older {
        page.paragraph(2, 4, &[piece(Label::Care, format!("{}.", one.words))]);
    }
    for one in &recording.no_longer_known {
        let words = format!(
            "{}. It was {}: a note keeps that. Measure it, add it to the sheet and record again.",
            one.words, one.was
        );
        page.paragraph(2, 4, &[piece(Label::Care, words)]);
    }
    for one in &recording.read_before_open {
        let is_noted = recording.no_longer_known.iter().any(|gone| gone.measure == one.measure);
        let noted = if is_noted { " A note keeps that, too." } else { "" };
        page.paragraph(2, 4, &[plain(format!("{} {}.{noted}", one.title, one.words))]);
    }
    if let Some(why) = recording.not_committed {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, "Not committed:"), plain(format!(" {why}."))]);
    }
    if let Some(report) = &recording.stopped {
        page.blank();
        let words = " the file is written, but a fault keeps it out of the history. Mend it, then commit it.";
        page.paragraph(0, 2, &[piece(Label::Danger, "Not committed:"), plain(words)]);
        page.blank();
        super::check::page(page, report);
    } else if let Some(revision) = &recording.revision {
        let on = recording.branch.as_ref().map(|branch| format!(" on {branch}")).unwrap_or_default();
        page.paragraph(0, 2, &[plain(format!("Committed as {revision}{on}."))]);
        carried_too(page, recording);
    } else if let Some(command) = &recording.command {
        page.blank();
        page.paragraph(0, 2, &[plain("To keep it as a revision:")]);
        page.raw(vec![plain("  "), piece(Label::Command, command.clone())]);
        carried_too(page, recording);
    }
}

/// What came of it, behind the name of the setup.
fn outcome(recording: &Recording) -> String {
    let in_doubt = recording.ground_in_doubt().filter(|_| recording.headline.is_none());
    let what = if recording.put_back && recording.has_written() {
        "  put back: recorded from the sheet, but for its readings"
    } else if recording.has_written() {
        "  recorded from the sheet"
    } else if !recording.held_back.is_empty() {
        ": nothing was recorded. The sheet contradicts itself."
    } else if recording.unridable.iter().any(|one| !one.written) || !recording.on_unread_ground.is_empty() {
        ": nothing was recorded."
    } else if recording.blank && !recording.good.is_empty() {
        ": nothing was measured, so there is nothing to record. What was looked over and is good stays on the sheet."
    } else if recording.blank {
        ": nothing was read, so there is nothing to record. Fill the sheet in first."
    } else if !recording.not_told_back.is_empty() {
        ": nothing was written. What the sheet reads otherwise, no torque tells to be put back."
    } else if let Some(in_doubt) = in_doubt {
        return format!(": nothing to record. {in_doubt}");
    } else if recording.is_to_act_on() || !recording.lost.is_empty() {
        ": nothing to record."
    } else if recording.put_back {
        ": nothing to record. Of what was put back, the setup has it all already."
    } else {
        ": nothing to record. What the sheet reads is what the setup says."
    };
    what.to_owned()
}

/// What of a plan is read now, and what is not.
fn planned(page: &mut Page, recording: &Recording) {
    let Some(planned) = &recording.planned else { return };
    let words = if recording.put_back {
        let read = " `record` without --put-back makes readings of those on the sheet.";
        format!("Still planned, whatever the sheet reads: {}.{read}", planned.left.join(", "))
    } else if planned.left.is_empty() {
        "All that was planned is read now: the note that says so is taken out.".to_owned()
    } else {
        format!("Still planned, and read by nobody: {}.", planned.left.join(", "))
    };
    page.paragraph(2, 4, &[plain(words)]);
}

/// What a commit of the file carries that is not from the sheet.
fn carried_too(page: &mut Page, recording: &Recording) {
    if recording.carried_too.is_empty() {
        return;
    }
    let lead =
        "The commit carries more than the sheet: the file had changes before that were never committed.";
    let words = format!(" {}.", recording.carried_too.join("; "));
    page.paragraph(0, 2, &[piece(Label::Care, lead), plain(words)]);
}

/// What spoke of a reading before: comments that stay beside the new one, and notes that were taken out.
fn beside(page: &mut Page, recording: &Recording) {
    for remark in &recording.remarks {
        let pieces = [
            plain(format!("Kept beside the new {}: ", remark.titles.join(", "))),
            piece(Label::Quiet, remark.words.clone()),
            plain(" If that is about the reading before, mend it."),
        ];
        page.paragraph(2, 4, &pieces);
    }
    for one in &recording.known_again {
        let words = if let Some(words) = one.elsewhere() {
            format!(
                "{words}: the note that keeps that stays. If it is not meant to stand so, set it back and record it again."
            )
        } else {
            let old = one.on_the_old_bar.as_ref();
            let old = old.map(|old| format!(" On the bar as it stood then it read {old}."));
            let taken_out = "is known again: the note that it was not is taken out.";
            format!("{} {taken_out}{}", one.title, old.unwrap_or_default())
        };
        page.paragraph(2, 4, &[plain(words)]);
    }
}

/// What is written is what the bike goes back to from now on, be it right or not.
fn dangerous(page: &mut Page, recording: &Recording) {
    let dangerous = recording.changes.iter().filter(|change| change.weight == Weight::SteeringAndBrakes);
    let titles: Vec<&str> = dangerous
        .filter(|change| change.was.is_some() && change.is_another())
        .map(|change| change.title.as_str())
        .collect();
    if titles.is_empty() {
        return;
    }
    let words = format!(
        "On steering and brakes: {}. The bike goes back to this from now on; keep it only if it is meant, and tell \
         whoever rides next. If it was put back instead, undo this and record with --put-back.",
        titles.join(", ")
    );
    page.paragraph(2, 4, &[piece(Label::Care, words)]);
}

/// The readings by which nobody is to ride, and how each is put right or meant.
fn unridable(page: &mut Page, recording: &Recording) {
    for one in &recording.unridable {
        let (label, then) = if one.written {
            ("Written all the same: ", " The bike goes back to this from now on.".to_owned())
        } else {
            let then = format!(
                " It is not written, for the bike would go back to it from now on. Put it right, as restore with this \
                 sheet tells, and read it again; to keep it on purpose record with --even-so {}.",
                one.measure
            );
            ("Held back: ", then)
        };
        page.blank();
        let words = format!("{} {}. {}{then}", one.title, one.found, one.words);
        page.paragraph(2, 4, &[piece(Label::Danger, label), plain(words)]);
    }
}

/// What no bolt holds: how it is told to be put back.
fn not_told_back(page: &mut Page, recording: &Recording) {
    for one in &recording.not_told_back {
        let words = format!(
            " No bolt holds it, and no torque tells that it was put back: read it again, and write that on the sheet in \
             place of {}. Until then the sheet stands against it.",
            one.found
        );
        let label = if one.weight == Weight::SteeringAndBrakes { Label::Danger } else { Label::Care };
        page.blank();
        page.paragraph(2, 4, &[piece(label, format!("{}.", one.in_short())), plain(words)]);
    }
}

/// The angles that are not written because nobody knows on what ground they were read.
fn on_unread_ground(page: &mut Page, recording: &Recording) {
    if recording.on_unread_ground.is_empty() {
        return;
    }
    let angles: Vec<String> = recording.on_unread_ground.iter().map(OnUnreadGround::words).collect();
    let then = if recording.is_ground_of_the_file() {
        "Find out the slope of the ground where the file's own were read, write it in the file (floor), and record the sheet \
         again; where nobody knows it, write all angles and the floor of this day in the file by hand."
    } else {
        "Read the slope of the ground where they were read, add it to the sheet (floor), and record it again."
    };
    let words = format!("{}. {then}", angles.join(", "));
    page.paragraph(2, 4, &[piece(Label::Care, "Held back, not written: "), plain(words)]);
}

/// A stem that was written out of square to the wheel.
fn not_square(page: &mut Page, recording: &Recording) {
    let Some(words) = &recording.not_square else { return };
    let then =
        " The bike goes back to this from now on: set it square before that, read it again and record that.";
    page.blank();
    page.paragraph(2, 4, &[piece(Label::Danger, words.clone()), plain(then)]);
}

/// The joints at which nothing was written.
fn held_back(page: &mut Page, recording: &Recording) {
    let titles = |belied: bool| -> Vec<&str> {
        let held = recording.held_back.iter().filter(|held| held.belied == belied);
        held.map(|held| held.title.as_str()).collect()
    };
    let (belied, besides) = (titles(true), titles(false));
    if belied.is_empty() {
        return;
    }
    // What is set by an adjuster is no matter of the clamp.
    let joint = if belied.len() == 1 { "this joint holds" } else { "these joints hold" };
    let words = format!("Nothing was written of what {joint}: {}.", belied.join(", "));
    page.paragraph(2, 4, &[piece(Label::Care, words)]);
    if !besides.is_empty() {
        let words = format!(
            "Nor of what cannot be told before that is settled, for angles against gravity turn with the bar: {}.",
            besides.join(", ")
        );
        page.paragraph(2, 4, &[plain(words)]);
    }
}

/// The sheet's notes, and where they stand now.
fn notes(page: &mut Page, recording: &Recording) {
    for note in &recording.notes {
        let place = match note.noted_at.as_str() {
            "" => "at the top".to_owned(),
            path => format!("in `{path}`"),
        };
        page.paragraph(2, 4, &[piece(Label::Quiet, format!("Note {place}: ")), plain(note.text.clone())]);
    }
    for note in &recording.answered {
        page.paragraph(2, 4, &[piece(Label::Quiet, "Answered, and taken out: "), plain(note.clone())]);
    }
}

/// Damage and broken marks, before anything else.
fn warnings(page: &mut Page, recording: &Recording) {
    if let Some(headline) = &recording.headline {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Danger, headline.clone())]);
    }
    if let Some(shift) = &recording.common_shift {
        page.blank();
        page.paragraph(0, 2, &[piece(Label::Care, shift.words())]);
    }
    super::unknown_roll::said(page, recording.unknown_roll.as_ref());
    if recording.unknown_roll.is_some() {
        let words = "None of these angles is written. Add the bar's roll to the sheet, and record it again.";
        page.paragraph(2, 2, &[plain(words)]);
    }
    super::floor_not_read::said_between(page, &recording.unread_ground, true);
    on_unread_ground(page, recording);
    if let Some(narrower) = &recording.narrower {
        let held = if narrower.is_cut {
            ""
        } else {
            " Until then its width is not written, nor any place along it."
        };
        page.blank();
        page.paragraph(2, 4, &[piece(Label::Care, narrower.words.clone()), plain(held)]);
    }
    if let Some(replaced) = &recording.replaced {
        page.blank();
        super::replaced::said(page, replaced);
    }
    if let Some(preload) = &recording.preload {
        let said = preload.spacers.as_ref().map(super::pile::found);
        let [what, then] = said.unwrap_or_else(|| super::pile::WAS_OFF.map(str::to_owned));
        page.blank();
        page.paragraph(2, 4, &[piece(Label::Care, what), plain(format!(" {then}"))]);
    }
    for damage in &recording.damages {
        let place = match damage.noted_at.as_str() {
            "" => "at the top of the file".to_owned(),
            path => format!("in `{path}`"),
        };
        let words = format!(
            "{} A note {place} keeps it; restore stops there until the note is taken out.",
            damage.help
        );
        page.paragraph(2, 2, &[plain(words)]);
    }
    for mark in &recording.lost {
        let dangerous = mark.is_open() && mark.weight == Weight::SteeringAndBrakes;
        let label = if dangerous { Label::Danger } else { Label::Care };
        page.blank();
        page.paragraph(0, 2, &[piece(label, mark.words.clone())]);
    }
    for line in &recording.freed {
        let dangerous = !line.unknown.is_empty() && line.weight == Weight::SteeringAndBrakes;
        let label = if dangerous { Label::Danger } else { Label::Care };
        page.blank();
        page.paragraph(0, 2, &[piece(label, line.words.clone())]);
    }
    for torque in &recording.tightened {
        let found = &torque.found;
        let label = match found.state {
            Tightness::Above | Tightness::Below => Label::Danger,
            Tightness::Contradictory | Tightness::Unknown | Tightness::NoRange => Label::Care,
            Tightness::Within => Label::Plain,
        };
        let not_written = if found.applied.is_some() && !torque.in_file {
            " The file has no torque of this joint, so it is not written down."
        } else {
            ""
        };
        let dropped = if torque.newer.is_some() {
            " It is not written: what the file has was applied on a later day."
        } else if torque.dropped {
            " The torque recorded before holds no more: it is taken out, and a note says so."
        } else if torque.note == Some(OpenedNote::Written) {
            " A note keeps that until what was applied is recorded."
        } else if torque.note == Some(OpenedNote::TakenOut) {
            " The note that it was opened is taken out."
        } else {
            ""
        };
        let same_day = torque.same_day.map_or_else(String::new, |day| {
            format!(
                " Both are of {day}, and a day does not tell which came first: if it was opened after that, tighten it \
                 again and record that."
            )
        });
        let left: Vec<&str> = torque.left.iter().map(String::as_str).collect();
        let left = match left.join("; ") {
            left if left.is_empty() => left,
            left => format!(" What was written behind it stays: {left}."),
        };
        page.blank();
        let words = format!(": {}.{not_written}{dropped}{left}{same_day}", found.words);
        page.paragraph(0, 2, &[piece(label, found.title.clone()), plain(words)]);
    }
    let is_plain = recording.damages.is_empty() && recording.lost.is_empty() && recording.freed.is_empty();
    if !(is_plain && recording.tightened.is_empty()) {
        page.blank();
    }
}
