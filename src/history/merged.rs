//! What a merge itself changed. Whatever it has from one of its parents was changed there and is told there: only what
//! differs from every parent was made in the merge, as in git's combined differences.

use crate::compare::{Comparison, RangeShift, TorqueChange};

/// Leaves of what differs from the first parent what differs from another parent as well.
pub fn keep_what_differs(from_first: &mut Comparison, from_other: &Comparison) {
    from_first
        .changes
        .retain(|change| from_other.changes.iter().any(|other| other.measure == change.measure));
    from_first.derived.retain(|change| from_other.derived.iter().any(|other| other.name == change.name));
    from_first.parts.retain(|part| from_other.parts.contains(part));
    from_first.marks.retain(|mark| from_other.marks.iter().any(|other| other.mark == mark.mark));
    from_first
        .instruments
        .retain(|change| from_other.instruments.iter().any(|other| other.instrument == change.instrument));
    from_first
        .read_otherwise
        .retain(|one| from_other.read_otherwise.iter().any(|other| other.measure == one.measure));
    from_first.besides.retain(|one| {
        from_other.besides.iter().any(|other| other.about == one.about && other.now == one.now)
    });
    // A text that is new against both is one; what is gone must have stood in both.
    from_first
        .notes
        .retain(|note| from_other.notes.iter().any(|other| other.on == note.on && (other.now == note.now)));
    // In doubt against one of them is in doubt.
    from_first.unread_ground.in_doubt |= from_other.unread_ground.in_doubt;
    from_first.unread_ground.retain(|id| from_other.unread_ground.is_of(id));
    from_first
        .was_read_before_the_roll
        .retain(|one| from_other.was_read_before_the_roll.iter().any(|other| other.measure == one.measure));
    from_first.common_shift.take_if(|_| from_other.common_shift.is_none());
    let torques = std::mem::take(&mut from_first.torque);
    from_first.torque = torques
        .into_iter()
        .filter_map(|change| {
            let other = from_other.torque.iter().find(|other| other.joint == change.joint)?;
            torque(change, other)
        })
        .collect();
}

/// The parts of a torque that differ from both; none if no part does.
pub(super) fn torque(mut change: TorqueChange, other: &TorqueChange) -> Option<TorqueChange> {
    if other.shift == RangeShift::Same {
        change.was = change.now;
        change.shift = RangeShift::Same;
    }
    if other.allowed_shift == RangeShift::Same {
        change.allowed_was = change.allowed_now;
        change.allowed_shift = RangeShift::Same;
    }
    change.ceiling_changed &= other.ceiling_changed;
    change.also.retain(|one| other.also.iter().any(|also| also.is_about_the_same(one)));
    change.differs().then_some(change)
}
