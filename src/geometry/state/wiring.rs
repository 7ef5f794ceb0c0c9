//! Which inputs a computation's numbers are made of, worked out once.
//!
//! Propagating an uncertainty runs one computation dozens of times. What it asks for is the same every time, and mostly
//! in the same order: which layer answers and which floor corrects it is settled by a first run, and every further run
//! only adds up.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;

use crate::catalogue::MeasureId;
use crate::metrology::propagate::{Model, Number};

use super::{Consequences, Ground, InputId, Lookup, State};

/// One number that was asked for: the sum of its terms, each an input with its sign. Without terms it is not known.
pub(super) struct Asked<T> {
    measure: MeasureId,
    ground: Ground,
    terms: Vec<(T, f64)>,
}

impl<T> Asked<T> {
    fn is_of(&self, id: &MeasureId, ground: Ground) -> bool {
        self.measure.row == id.row && self.ground == ground && self.measure.subject == id.subject
    }
}

/// What the consequences ask of a state, in the order in which they ask.
pub(super) fn asked_by(state: &State, consequences: &impl Consequences) -> Vec<Asked<InputId>> {
    let listener = Listener { state, asked: RefCell::new(Vec::new()) };
    consequences.of::<f64>(&listener);
    listener.asked.into_inner()
}

/// Every input behind what was asked for, each once.
pub(super) fn inputs_behind(asked: &[Asked<InputId>]) -> BTreeSet<&InputId> {
    asked.iter().flat_map(|asked| &asked.terms).map(|(input, _)| input).collect()
}

/// Answers with the state's plain values and keeps what they are made of.
struct Listener<'s, 'a> {
    state: &'s State<'a>,
    asked: RefCell<Vec<Asked<InputId>>>,
}

impl Listener<'_, '_> {
    fn answer(&self, id: &MeasureId, ground: Ground) -> Option<f64> {
        let mut sum = 0.0;
        let mut terms = Vec::new();
        let known = self.state.each_term(id, ground, |input, sign| {
            sum += sign * self.state.input(&input)?.value;
            terms.push((input, sign));
            Some(())
        });
        if known.is_none() {
            terms.clear();
        }
        self.asked.borrow_mut().push(Asked { measure: id.clone(), ground, terms });
        known.map(|()| sum)
    }
}

impl Lookup<f64> for Listener<'_, '_> {
    fn get(&self, id: &MeasureId) -> Option<f64> {
        self.answer(id, Ground::AsRead)
    }
    fn level(&self, id: &MeasureId) -> Option<f64> {
        self.answer(id, Ground::Level)
    }
}

/// The numbers asked for, each with the places of its inputs.
pub(super) struct Wiring {
    asked: Vec<Asked<usize>>,
}

impl Wiring {
    /// Puts places for inputs; a number with an input that has none is as good as unknown.
    pub(super) fn new(asked: &[Asked<InputId>], place: impl Fn(&InputId) -> Option<usize>) -> Self {
        let wired = asked.iter().map(|asked| {
            let terms = asked.terms.iter().map(|(input, sign)| Some((place(input)?, *sign)));
            let terms = terms.collect::<Option<_>>().unwrap_or_default();
            Asked { measure: asked.measure.clone(), ground: asked.ground, terms }
        });
        Wiring { asked: wired.collect() }
    }

    /// Where a number stands that is asked for out of turn, for some are left out: first onward from the turn.
    #[cold]
    fn out_of_turn(&self, id: &MeasureId, ground: Ground, turn: usize) -> Option<usize> {
        let mut places = (turn..self.asked.len()).chain(0..turn);
        places.find(|place| self.asked[*place].is_of(id, ground))
    }
}

/// A computation with its wiring: all that propagation needs.
pub(super) struct Wired<'s, C> {
    pub(super) wiring: Wiring,
    pub(super) consequences: &'s C,
}

impl<C: Consequences> Model for Wired<'_, C> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        self.consequences.of(&At { wiring: &self.wiring, inputs, next: Cell::new(0) })
    }
}

/// The wiring with numbers on its inputs.
struct At<'s, N> {
    wiring: &'s Wiring,
    inputs: &'s [N],
    /// Behind the number that was last asked for stands the one that is mostly asked for next.
    next: Cell<usize>,
}

impl<N: Number> At<'_, N> {
    fn answer(&self, id: &MeasureId, ground: Ground) -> Option<N> {
        let asked = &self.wiring.asked;
        let mut at = self.next.get();
        if !asked.get(at).is_some_and(|next| next.is_of(id, ground)) {
            at = self.wiring.out_of_turn(id, ground, at)?;
        }
        self.next.set(at + 1);
        let mut sum = None;
        for (place, sign) in &asked[at].terms {
            let input = *self.inputs.get(*place)?;
            let term = if *sign < 0.0 { -input } else { input };
            sum = Some(sum.map_or(term, |sum: N| sum + term));
        }
        sum
    }
}

impl<N: Number> Lookup<N> for At<'_, N> {
    fn get(&self, id: &MeasureId) -> Option<N> {
        self.answer(id, Ground::AsRead)
    }
    fn level(&self, id: &MeasureId) -> Option<N> {
        self.answer(id, Ground::Level)
    }
}
