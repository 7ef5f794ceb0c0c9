//! The real program on real temporary ledgers: every screen as a person sees it, JSON and exit status.

mod harness;
mod texts;

mod cannot_be;
mod carried;
mod check;
mod completions;
mod dialogue;
mod dialogue_end;
mod diff;
mod found;
mod grips;
mod handover;
mod history;
mod killed;
mod let_go;
mod merged;
mod new;

mod not_taken;
mod on_the_bar;
mod overview;
mod planned;
mod put_back;
mod record;
mod record_bar;
mod record_beside;
mod record_damage;
mod record_days;
mod record_marks;
mod record_unridable;
mod replaced_parts;
mod restore;
mod rider;
mod statuses;
mod surroundings;
mod tells_nothing;
mod torque;
mod tour;
mod tried;
mod tried_numbers;
mod tried_safety;
mod tried_unknown;
mod tried_words;
mod tried_written;
mod turn;
