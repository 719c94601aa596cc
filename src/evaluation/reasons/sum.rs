//! Sums: a figure as so many times others, exactly.

use super::StepId;
use crate::sources::Span;
use crate::values::{Overflow, Quantity, Rational};

/// What a sum adds up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Term {
    Step(StepId),
    Literal(Span, Quantity),
}

/// So many times each term, and a constant that no text states (the number of a round, nought).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sum {
    pub constant: Rational,
    pub terms: Vec<(Rational, Term)>,
}

/// A sum whose figures grew too large is none.
fn fine<T>(result: Result<T, Overflow>) -> Option<T> {
    result.ok()
}

impl Default for Sum {
    /// Nought.
    fn default() -> Sum {
        Sum::constant(Rational::ZERO)
    }
}

impl Sum {
    /// A figure that no text states.
    pub fn constant(value: Rational) -> Sum {
        Sum { constant: value, terms: Vec::new() }
    }

    /// One term, once.
    pub fn of(term: Term) -> Sum {
        Sum { constant: Rational::ZERO, terms: vec![(Rational::ONE, term)] }
    }

    /// This and `times` another.
    pub fn plus(mut self, other: Sum, times: Rational) -> Option<Sum> {
        self.constant = fine(self.constant.add(fine(other.constant.mul(times))?))?;
        for (coefficient, term) in other.terms {
            let more = fine(coefficient.mul(times))?;
            match self.terms.iter_mut().find(|(_, t)| *t == term) {
                Some((c, _)) => *c = fine(c.add(more))?,
                None => self.terms.push((more, term)),
            }
        }
        self.terms.retain(|(c, _)| !c.is_zero());
        Some(self)
    }

    /// So many times this.
    pub fn times(self, by: Rational) -> Option<Sum> {
        Sum::default().plus(self, by)
    }

    /// The single step that this is equal to.
    pub fn same_as(&self) -> Option<StepId> {
        match (self.constant.is_zero(), self.terms.as_slice()) {
            (true, [(one, Term::Step(id))]) if *one == Rational::ONE => Some(*id),
            _ => None,
        }
    }

    /// What it comes to, where the value of every step is known.
    pub fn total(&self, value: impl Fn(StepId) -> Option<Rational>) -> Option<Rational> {
        let mut total = self.constant;
        for (coefficient, term) in &self.terms {
            let one = match term {
                Term::Step(id) => value(*id)?,
                Term::Literal(_, q) => q.value,
            };
            total = fine(total.add(fine(coefficient.mul(one))?))?;
        }
        Some(total)
    }
}

/// The sum or difference of two that are both known.
pub fn both(a: Option<Sum>, b: Option<Sum>, times: i64) -> Option<Sum> {
    a?.plus(b?, Rational::int(times))
}
