//! Steps as plain data to print: a tree, library steps folded into one formula, equal branches once.

use super::{Formula, Graph, StepId, Sum, Term, figure};
use crate::evaluation::value::Value;
use crate::sources::Span;
use crate::values::{Dimension, Quantity, Rational};
use std::collections::BTreeSet;

/// A figure with what it was worked out from.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Reason {
    pub name: String,
    /// As written, with library steps folded into it; or in words.
    pub formula: String,
    /// As it is printed, with its unit.
    pub value: String,
    /// The exact figure in mm, kg or degrees, or a plain number.
    pub exact: Option<Rational>,
    /// Where it is written.
    pub place: Option<At>,
    /// The numbers of its formula.
    pub literals: Vec<Stated>,
    pub reads: Vec<Reason>,
    /// What it was worked out from stands further up.
    pub above: bool,
    /// Only chosen by, as a condition is.
    pub beside: bool,
}

/// A number in a text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stated {
    pub text: String,
    pub exact: Rational,
    pub place: At,
}

/// A place in a text.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct At {
    pub file: String,
    pub line: usize,
    pub column: usize,
    pub library: bool,
}

/// How a tree is told.
#[derive(Clone, Copy, Debug, Default)]
pub struct Telling {
    /// Every step of the library by itself, and conditions too.
    pub library: bool,
}

/// What a formula that stands for several steps comes from.
#[derive(Default)]
struct Folded {
    sum: Sum,
    /// Steps read beside the sum: factors, what chooses.
    aside: Vec<StepId>,
    literals: Vec<crate::evaluation::trace::Literal>,
}

/// How many terms a folded formula has.
const MOST_TERMS: usize = 6;

/// How many steps are folded into one.
const MOST_FOLDED: usize = 400;

/// Joins an element of a list to equal ones: `heights[1] to [4]`.
fn joined(reads: &mut [Reason], one: &Reason) -> bool {
    let number = |name: &str| -> Option<(String, usize)> {
        let (base, n) = name.strip_suffix(']')?.rsplit_once('[')?;
        Some((base.to_string(), n.parse().ok()?))
    };
    let Some((base, n)) = number(&one.name) else { return false };
    for r in reads.iter_mut() {
        let same = (&r.formula, &r.value, &r.place) == (&one.formula, &one.value, &one.place);
        if !same || !r.reads.is_empty() || !one.reads.is_empty() || r.above || one.above {
            continue;
        }
        let (first, last) = match r.name.split_once(" to [") {
            Some((first, last)) => (first.to_string(), last.trim_end_matches(']').parse().ok()),
            None => (r.name.clone(), number(&r.name).map(|x| x.1)),
        };
        let follows = number(&first).is_some_and(|(b, _)| b == base) && last.is_some_and(|l| l + 1 == n);
        if follows {
            r.name = format!("{first} to [{n}]");
            return true;
        }
    }
    false
}

/// A list of many: its first and its last.
fn few(words: &str) -> String {
    let all: Vec<&str> = words.split(", ").collect();
    match all[..] {
        [first, second, .., last] if all.len() > 3 => format!("{first}, {second}, … {last}"),
        _ => words.to_string(),
    }
}

impl<'p> Graph<'_, 'p> {
    /// The tree behind a step. What was told before under `told` is only referred to.
    pub fn tell(&mut self, id: StepId, telling: Telling, told: &mut BTreeSet<StepId>) -> Reason {
        self.tell_one(id, telling, told, false, 0)
    }

    fn tell_one(
        &mut self,
        id: StepId,
        telling: Telling,
        told: &mut BTreeSet<StepId>,
        beside: bool,
        depth: usize,
    ) -> Reason {
        let id = self.passed_on(id, telling);
        let step = self.steps[id].clone();
        let (formula, reads, literals) = match self.fold(id, telling) {
            Some(folded) => {
                let reads = folded.sum.terms.iter().filter_map(|(_, t)| match t {
                    Term::Step(s) => Some((*s, false)),
                    Term::Literal(..) => None,
                });
                let mut reads: Vec<(StepId, bool)> = reads.collect();
                for s in folded.aside {
                    if !reads.iter().any(|r| r.0 == s) {
                        reads.push((s, false));
                    }
                }
                // A formula of very many terms, or of odd factors, is told as it is written.
                let plain = |c: &Rational| c.numerator().unsigned_abs() <= 32 && c.denominator() <= 32;
                let long =
                    folded.sum.terms.len() > MOST_TERMS || !folded.sum.terms.iter().all(|(c, _)| plain(c));
                let text = match (&step.formula, long || self.brief.contains(&id)) {
                    (Formula::Text(span), true) => super::exprs::one_line(self.e.program.sources.text(*span)),
                    (Formula::Words(words), true) => words.clone(),
                    _ => self.sum_text(&folded.sum, step.value.as_ref()),
                };
                (text, reads, folded.literals)
            }
            None => {
                let formula = match &step.formula {
                    Formula::Text(span) => super::exprs::one_line(self.e.program.sources.text(*span)),
                    Formula::Words(words) => words.clone(),
                };
                let reads = step.reads.iter().map(|r| (r.step, r.beside)).collect();
                (formula, reads, step.literals.clone())
            }
        };
        let literals = literals.iter().map(|l| self.stated(l.span, l.value)).collect();
        let new = told.insert(id);
        let mut told_reads: Vec<Reason> = Vec::new();
        let deep = depth > 60;
        let brief = depth > 0 && !self.opened.contains(&id) && !telling.library && self.brief.contains(&id);
        for (read, aside) in reads.into_iter().filter(|_| !brief) {
            if aside && !telling.library {
                continue;
            }
            if !new || deep {
                // A leaf is as short as a word that refers to it.
                return self.reason(id, &step, formula, literals, Vec::new(), true, beside);
            }
            if !self.says_something(read) {
                continue;
            }
            let one = self.tell_one(read, telling, told, aside, depth + 1);
            let twice = told_reads.iter().any(|r| r.name == one.name && r.place == one.place);
            if !twice && !joined(&mut told_reads, &one) {
                told_reads.push(one);
            }
        }
        self.reason(id, &step, formula, literals, told_reads, false, beside)
    }

    #[allow(clippy::too_many_arguments)]
    fn reason(
        &self,
        id: StepId,
        step: &super::Step<'p>,
        formula: String,
        literals: Vec<Stated>,
        reads: Vec<Reason>,
        above: bool,
        beside: bool,
    ) -> Reason {
        Reason {
            name: step.name.clone(),
            formula,
            value: step.value.as_ref().map(|v| self.shown(v)).unwrap_or_default(),
            exact: self.exact(id),
            place: step.span.map(|s| self.at(s)).filter(|at| at.file != super::QUESTION),
            literals,
            reads,
            above,
            beside,
        }
    }

    /// A nought that nothing stands behind says nothing.
    fn says_something(&self, id: StepId) -> bool {
        let step = &self.steps[id];
        !(step.reads.is_empty() && step.literals.is_empty() && self.exact(id).is_none_or(|v| v.is_zero()))
    }

    /// A library step that only hands a figure on stands for it; and so does one whose formula is that of
    /// the step it is equal to.
    fn passed_on(&self, id: StepId, telling: Telling) -> StepId {
        let mut at = id;
        for _ in 0..MOST_FOLDED {
            let step = &self.steps[at];
            let Some(next) = step.sum.as_ref().and_then(Sum::same_as) else { break };
            let only = step.reads.iter().all(|r| r.step == next || r.beside) && step.literals.is_empty();
            let same_text = step.span.is_some() && step.span == self.steps[next].span;
            // The one that was asked keeps its name.
            if !only
                || at == id && self.is_made(at)
                || !(same_text || !telling.library && self.in_library(at))
            {
                break;
            }
            at = next;
        }
        at
    }

    /// A figure of an output, in words.
    fn is_made(&self, id: StepId) -> bool {
        self.made.contains(&id) || self.asked.contains(&id)
    }

    /// A sum in which steps of the library stand for what they come from.
    fn fold(&mut self, id: StepId, telling: Telling) -> Option<Folded> {
        let step = &self.steps[id];
        let wordy = matches!(step.formula, Formula::Words(_));
        let folds = !telling.library && self.in_library(id);
        let sum = step.sum.clone()?;
        if sum.terms.is_empty() || !(folds || wordy) {
            return None;
        }
        let mut folded = Folded { literals: step.literals.clone(), ..Folded::default() };
        folded.aside = self.aside_of(id);
        let mut steps = 0;
        self.fold_into(sum, Rational::ONE, telling, &mut folded, &mut steps)?;
        // A sum of a single literal is told as it is written.
        match folded.sum.terms.as_slice() {
            [(_, Term::Literal(..))] => None,
            [] => None,
            _ => Some(folded),
        }
    }

    /// What a step reads other than as a term of its sum.
    fn aside_of(&self, id: StepId) -> Vec<StepId> {
        let step = &self.steps[id];
        let in_sum = |s: StepId| {
            step.sum.as_ref().is_some_and(|sum| sum.terms.iter().any(|(_, t)| *t == Term::Step(s)))
        };
        step.reads.iter().filter(|r| !r.beside && !in_sum(r.step)).map(|r| r.step).collect()
    }

    fn fold_into(
        &self,
        sum: Sum,
        times: Rational,
        telling: Telling,
        folded: &mut Folded,
        steps: &mut usize,
    ) -> Option<()> {
        folded.sum = std::mem::take(&mut folded.sum).plus(Sum::constant(sum.constant), times)?;
        for (coefficient, term) in sum.terms {
            let by = coefficient.mul(times).ok()?;
            match term {
                Term::Step(s) if *steps < MOST_FOLDED && self.folds_away(s, telling) => {
                    *steps += 1;
                    let inner = self.steps[s].sum.clone()?;
                    for aside in self.aside_of(s) {
                        if !folded.aside.contains(&aside) {
                            folded.aside.push(aside);
                        }
                    }
                    folded.literals.extend(self.steps[s].literals.iter().cloned());
                    self.fold_into(inner, by, telling, folded, steps)?;
                }
                Term::Step(s) => {
                    let s = self.passed_on(s, telling);
                    folded.sum = std::mem::take(&mut folded.sum).plus(Sum::of(Term::Step(s)), by)?;
                }
                Term::Literal(span, q) if q.value.is_zero() && self.e.in_library(span) => {}
                literal => {
                    folded.sum = std::mem::take(&mut folded.sum).plus(Sum::of(literal), by)?;
                }
            }
        }
        Some(())
    }

    /// A step of the library that is a sum of others; a named figure of the library stays.
    fn folds_away(&self, id: StepId, telling: Telling) -> bool {
        let step = &self.steps[id];
        // What no text states (where a row puts a box) is folded as the library is.
        let unwritten =
            matches!(step.formula, Formula::Words(_)) && !self.is_made(id) && !self.kept.contains(&id);
        let library = !telling.library && (unwritten || self.in_library(id) && !self.kept.contains(&id))
            || step.reads.is_empty() && step.literals.is_empty();
        library
            && step.sum.as_ref().is_some_and(|s| {
                s.terms.is_empty()
                    || s.terms.iter().any(|(_, t)| match t {
                        Term::Step(_) => true,
                        Term::Literal(_, q) => q.value.is_zero(),
                    })
            })
    }

    /// A value as it is told, with the exact fraction where a decimal does not say all.
    fn shown(&self, value: &Value<'p>) -> String {
        match figure(value) {
            Some(q) if !matches!(value, Value::Share(_)) => self.told_figure(q),
            _ => few(&self.e.words(value)),
        }
    }

    fn told_figure(&self, q: Quantity) -> String {
        let style = self.e.style;
        let text = style.quantity(q);
        if q.dimension != Dimension::LENGTH && q.dimension != Dimension::NUMBER {
            return text;
        }
        let inches = style.inches && q.dimension == Dimension::LENGTH;
        let value = match inches {
            true => q.value.mul(Rational::ratio(5, 127)).unwrap_or(q.value),
            false => q.value,
        };
        let fine = match inches {
            true => value.denominator() <= 64 && 64 % value.denominator() == 0,
            false => 1000 % value.denominator() == 0,
        };
        if fine {
            return text;
        }
        format!("{text} ({}/{})", value.numerator(), value.denominator())
    }

    /// `width - 2 × board.thickness`; where all is divided by the same number, in brackets.
    fn sum_text(&self, sum: &Sum, value: Option<&Value<'p>>) -> String {
        let dimension = value.and_then(figure).map_or(Dimension::LENGTH, |q| q.dimension);
        let mut terms: Vec<(Rational, String)> = Vec::new();
        for (coefficient, term) in &sum.terms {
            let name = match term {
                Term::Step(id) => self.steps[*id].name.clone(),
                Term::Literal(span, _) => self.e.program.sources.text(*span).to_string(),
            };
            terms.push((*coefficient, name));
        }
        let part = terms.first().map_or(1, |t| t.0.denominator());
        let shared = part > 1 && terms.len() > 1 && terms.iter().all(|t| t.0.denominator() == part);
        let factor = if shared { Rational::ratio(part, 1) } else { Rational::ONE };
        // What is added goes before what is taken off.
        terms.sort_by_key(|t| t.0.is_negative());
        let mut text = String::new();
        let mut add = |coefficient: Rational, name: String| {
            let sign = match (text.is_empty(), coefficient.is_negative()) {
                (true, true) => "-",
                (true, false) => "",
                (false, true) => " - ",
                (false, false) => " + ",
            };
            text.push_str(sign);
            let c = coefficient.abs().unwrap_or(coefficient);
            let (n, d) = (c.numerator(), c.denominator());
            let simple = !name.contains(' ') || (n, d) == (1, 1);
            let name = if simple { name } else { format!("({name})") };
            match (n, d) {
                (1, 1) => text.push_str(&name),
                (1, d) => text.push_str(&format!("{name} / {d}")),
                (n, 1) => text.push_str(&format!("{n} × {name}")),
                (n, d) => text.push_str(&format!("{n}/{d} × {name}")),
            }
        };
        if !sum.constant.is_zero() {
            let constant = sum.constant.mul(factor).unwrap_or(sum.constant);
            let q = Quantity { value: constant.abs().unwrap_or(constant), dimension };
            let one = if constant.is_negative() { Rational::int(-1) } else { Rational::ONE };
            add(one, self.e.style.quantity(q));
        }
        for (coefficient, name) in terms {
            add(coefficient.mul(factor).unwrap_or(coefficient), name);
        }
        if shared { format!("({text}) / {part}") } else { text }
    }

    fn stated(&self, span: Span, value: Quantity) -> Stated {
        let text = self.e.program.sources.text(span).to_string();
        Stated { text, exact: value.value, place: self.at(span) }
    }

    /// A span as file, line and column.
    pub fn at(&self, span: Span) -> At {
        let file = self.e.program.sources.file(span.file);
        let (line, column) = file.line_column(span.start);
        At { file: file.name.clone(), line, column, library: file.library }
    }
}
