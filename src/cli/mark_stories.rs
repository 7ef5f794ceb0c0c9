//! `history --marks`: the stories of the marks of one file.

use std::collections::HashSet;

use crate::catalogue::MeasureId;
use crate::history::{self, Entry, MarkHistory, Step, Wanted};

use super::contents::Contents;
use super::history::{Commits, ROW, stamp};
use super::session::{Failure, Session};

/// The named measures; a mark fixes nothing else.
pub fn fixed_by_marks(wanted: &[Wanted]) -> Result<Vec<MeasureId>, Failure> {
    let measure = |wanted: &Wanted| match wanted {
        Wanted::Measure(id) => Ok(id.clone()),
        Wanted::Derived(derived) => Err(Failure::new(
            format!("`{}` is worked out from measures: no mark fixes it.", derived.name),
            "With --marks name a measure by its path, as in `left.brake-lever.angle`.",
        )),
    };
    wanted.iter().map(measure).collect()
}

/// The story of the marks that ever fixed one of these measures, of all if there are none. All of the history is
/// gone through, for what a mark is depends on all of it; told is what happened in the time that is asked for.
/// The revisions that cannot be read are told beside it.
pub fn mark_stories(
    session: &Session,
    commits: &Commits,
    measures: &[MeasureId],
) -> Result<(Vec<MarkHistory>, Vec<Entry>), Failure> {
    let mut contents = Contents::new(session.catalogue(), session.ledger()?, &commits.all);
    let mut story = history::Marks::new(session.catalogue());
    let mut unreadable = Vec::new();
    // From the oldest on, a row at a time.
    for row in commits.all.rchunks(ROW) {
        contents.read_all(row.iter().filter_map(|commit| commit.blob.as_ref()))?;
        for commit in row.iter().rev() {
            let Some(id) = &commit.blob else {
                story.delete(&stamp(commit));
                continue;
            };
            let content = contents.get(id)?;
            story.follow(&stamp(commit), &content);
            if content.setup().is_err() {
                let step = Step::alone(stamp(commit), Some(content));
                unreadable.push(history::entry(session.catalogue(), &step, &[]));
            }
        }
    }
    let asked: HashSet<&str> =
        commits.asked.iter().map(|place| commits.all[*place].revision.id.as_str()).collect();
    let mut stories = story.finish(measures);
    for story in &mut stories {
        story.events.retain(|event| asked.contains(event.revision.as_str()));
    }
    // What was gone before that time is none of it.
    stories.retain(|story| !story.gone || !story.events.is_empty());
    unreadable.retain(|entry| asked.contains(entry.revision.as_str()));
    unreadable.reverse();
    Ok((stories, unreadable))
}
