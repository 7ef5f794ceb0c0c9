//! Which inputs a computation's numbers are made of, worked out once.
//!
//! Propagating an uncertainty runs one computation dozens of times. What it asks for is the same every time: which
//! layer answers and which floor corrects it is settled by a first run, and every further run only adds up.

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::catalogue::MeasureId;
use crate::metrology::propagate::{Model, Number};

use super::{Consequences, Ground, InputId, Lookup, State};

/// One number that was asked for: the sum of its terms, each an input with its sign.
#[derive(Clone)]
pub(super) struct Asked<T> {
    measure: MeasureId,
    ground: Ground,
    terms: Vec<(T, f64)>,
}

/// What the consequences ask of a state, in the table's order. What the state does not know is left out.
pub(super) fn asked_by(state: &State, consequences: &impl Consequences) -> Vec<Asked<InputId>> {
    let listener = Listener { state, asked: RefCell::new(Vec::new()) };
    consequences.of::<f64>(&listener);
    let mut asked = listener.asked.into_inner();
    asked.sort_by(|one, other| key(one).cmp(&key(other)));
    asked
}

/// Every input behind what was asked for, each once.
pub(super) fn inputs_behind(asked: &[Asked<InputId>]) -> BTreeSet<&InputId> {
    asked.iter().flat_map(|asked| &asked.terms).map(|(input, _)| input).collect()
}

fn key<T>(asked: &Asked<T>) -> (&MeasureId, Ground) {
    (&asked.measure, asked.ground)
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
        self.state.each_term(id, ground, |input, sign| {
            sum += sign * self.state.input(&input)?.value;
            terms.push((input, sign));
            Some(())
        })?;
        let mut asked = self.asked.borrow_mut();
        if !asked.iter().any(|known| known.ground == ground && known.measure == *id) {
            asked.push(Asked { measure: id.clone(), ground, terms });
        }
        Some(sum)
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
    /// For every row of the table up to the last one asked for, where it begins in `asked`.
    begins: Vec<usize>,
}

impl Wiring {
    /// Puts places for inputs; a number with an input that has none is as good as unknown.
    pub(super) fn new(asked: &[Asked<InputId>], place: impl Fn(&InputId) -> Option<usize>) -> Self {
        let wired = asked.iter().filter_map(|asked| {
            let terms = asked.terms.iter().map(|(input, sign)| Some((place(input)?, *sign)));
            let terms = terms.collect::<Option<_>>()?;
            Some(Asked { measure: asked.measure.clone(), ground: asked.ground, terms })
        });
        let asked: Vec<Asked<usize>> = wired.collect();
        let mut begins = Vec::new();
        for (place, asked) in asked.iter().enumerate() {
            begins.resize(begins.len().max(asked.measure.row.index() + 1), place);
        }
        Wiring { asked, begins }
    }

    fn find(&self, id: &MeasureId, ground: Ground) -> Option<&Asked<usize>> {
        let begin = *self.begins.get(id.row.index())?;
        let of_row = self.asked[begin..].iter().take_while(|asked| asked.measure.row == id.row);
        of_row.into_iter().find(|asked| asked.ground == ground && asked.measure.subject == id.subject)
    }
}

/// A computation with its wiring: all that propagation needs.
pub(super) struct Wired<'s, C> {
    pub(super) wiring: Wiring,
    pub(super) consequences: &'s C,
}

impl<C: Consequences> Model for Wired<'_, C> {
    fn evaluate<N: Number>(&self, inputs: &[N]) -> Vec<Option<N>> {
        self.consequences.of(&At { wiring: &self.wiring, inputs })
    }
}

/// The wiring with numbers on its inputs.
struct At<'s, N> {
    wiring: &'s Wiring,
    inputs: &'s [N],
}

impl<N: Number> At<'_, N> {
    fn answer(&self, id: &MeasureId, ground: Ground) -> Option<N> {
        let asked = self.wiring.find(id, ground)?;
        let mut sum = None;
        for (place, sign) in &asked.terms {
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
