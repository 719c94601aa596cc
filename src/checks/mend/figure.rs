//! A number as it is written in the text, and other numbers in the same unit.

use crate::values::{Dimension, Quantity, Rational, decimal, fraction_inches};

/// A number of the text, with the step that changes of it are whole multiples of.
#[derive(Clone, Debug)]
pub struct Figure {
    /// In base units: mm, kg, N, degrees, pieces.
    pub value: Rational,
    pub step: Rational,
    dimension: Dimension,
    /// As it is written; empty for a plain number.
    unit: String,
    /// One of the unit, in base units.
    one: Rational,
}

/// A 64th is the finest fraction of an inch that is written.
const FINEST: i128 = 64;
/// More decimals than this are not written.
const PLACES: u32 = 6;

/// An inch in mm.
fn inch() -> Rational {
    Rational::ratio(127, 5)
}

impl Figure {
    /// Reads a number with its unit. A length goes in whole steps of the house (`step`, in mm), inches in
    /// sixteenths where that is no step of inches; anything else in whole units, or in the last place that
    /// is written. Nothing for what is no dimension of a design: money, densities, stiffness.
    pub fn read(text: &str, step: Rational) -> Option<Figure> {
        let at = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
        let (number, unit) = text.split_at(at);
        let mut value = Rational::ZERO;
        for piece in number.split_whitespace() {
            let piece = match piece.split_once('/') {
                Some((a, b)) => Rational::parse_decimal(a)?.div(Rational::parse_decimal(b)?)?.ok()?,
                None => Rational::parse_decimal(piece)?,
            };
            value = value.add(piece).ok()?;
        }
        let places = number.trim().split_once('.').map_or(0, |(_, d)| d.len() as u32);
        let last = Rational::ratio(1, 10i128.checked_pow(places.min(PLACES))?);
        let Quantity { value, dimension } = Quantity::written(value, unit)?.ok()?;
        let one = Quantity::written(Rational::ONE, unit)?.ok()?.value;
        let step = match dimension {
            Dimension::LENGTH => match (unit == "in", is_of_inches(step)) {
                (true, false) => inch().div(Rational::int(16))?.ok()?,
                (false, true) => Rational::ONE,
                _ => step,
            },
            Dimension::NUMBER if number.contains('/') => return None,
            Dimension::NUMBER | Dimension::MASS | Dimension::FORCE | Dimension::ANGLE => {
                last.mul(one).ok()?
            }
            _ => return None,
        };
        if !step.is_positive() {
            return None;
        }
        Some(Figure { value, step, dimension, unit: unit.to_string(), one })
    }

    /// The text of another value, in the same unit where it can be written so exactly.
    pub fn write(&self, value: Rational) -> Option<String> {
        if value.is_negative() {
            return None;
        }
        let in_unit = value.div(self.one)?.ok()?;
        if self.unit == "in" && in_unit.denominator() <= FINEST && is_sixteenth(in_unit) {
            return Some(format!("{}in", fraction_inches(in_unit)));
        }
        let text = decimal(in_unit, PLACES);
        if Rational::parse_decimal(&text) == Some(in_unit) && self.unit != "in" {
            return Some(format!("{text}{}", self.unit));
        }
        // What no fraction of an inch gives is a figure in mm.
        let text = decimal(value, PLACES);
        let exact = self.dimension == Dimension::LENGTH && Rational::parse_decimal(&text) == Some(value);
        exact.then(|| format!("{text}mm"))
    }

    /// True for nought, which says where something starts.
    pub fn is_nought(&self) -> bool {
        self.value.is_zero()
    }

    /// True for a whole number of things.
    pub fn is_count(&self) -> bool {
        self.dimension == Dimension::NUMBER && self.step == Rational::ONE
    }

    /// The multiple of the step `n` steps up, or down where negative; nothing below nought. The written
    /// figure may lie between two steps.
    pub fn at(&self, n: i64) -> Option<Rational> {
        if n == 0 {
            return Some(self.value);
        }
        let times = self.value.div(self.step)?.ok()?;
        let base = if n > 0 { times.floor() } else { times.ceil() };
        let value = base.add(Rational::int(n)).ok()?.mul(self.step).ok()?;
        (!value.is_negative()).then_some(value)
    }

    /// How many steps it takes to reach a value or pass it.
    pub fn steps_to(&self, value: Rational) -> Option<i64> {
        let (times, to) = (self.value.div(self.step)?.ok()?, value.div(self.step)?.ok()?);
        let up = value > self.value;
        let n = if up { to.ceil().sub(times.floor()) } else { to.floor().sub(times.ceil()) };
        n.ok()?.to_i64()
    }

    /// The whole step before a value, seen from the written figure.
    pub fn nearer(&self, value: Rational) -> Option<Rational> {
        let n = self.steps_to(value)?;
        self.at(n - n.signum()).filter(|v| *v != self.value && *v != value)
    }

    /// How far a value lies from the written one.
    pub fn distance(&self, value: Rational) -> Option<Rational> {
        value.sub(self.value).ok()?.abs().ok()
    }

    /// The value is more than ten times the written one, or less than a tenth of it.
    pub fn is_tenfold(&self, value: Rational) -> bool {
        let over = |a: Rational, b: Rational| b.mul(Rational::int(10)).is_ok_and(|b| a > b);
        self.value.is_positive() && (over(value, self.value) || over(self.value, value))
    }

    /// The change to a value as a portion of the written one; nothing from nought.
    pub fn relative(&self, value: Rational) -> Option<Rational> {
        self.distance(value)?.div(self.value)?.ok()
    }
}

/// A step of an inch rule: a whole number of 64ths.
fn is_of_inches(step: Rational) -> bool {
    step.div(inch()).and_then(Result::ok).is_some_and(is_sixteenth)
}

/// A fraction that inch rules carry: halves down to 64ths.
fn is_sixteenth(inches: Rational) -> bool {
    inches.mul(Rational::int(FINEST as i64)).is_ok_and(Rational::is_integer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(text: &str, house: Rational, n: i64) -> Option<String> {
        let figure = Figure::read(text, house)?;
        figure.write(figure.at(n)?)
    }

    #[test]
    fn figures_go_in_steps_of_their_own_unit() {
        let mm = Rational::ONE;
        for (text, up, down) in [
            ("600mm", "601mm", "599mm"),
            ("16.3mm", "17mm", "16mm"),
            ("72cm", "72.1cm", "71.9cm"),
            ("2.4m", "2.401m", "2.399m"),
            ("23 7/16in", "23 1/2in", "23 3/8in"),
            ("3/4in", "13/16in", "11/16in"),
            ("3", "4", "2"),
            ("0.25", "0.26", "0.24"),
            ("40kg", "41kg", "39kg"),
            ("0.5kg", "0.6kg", "0.4kg"),
            ("500g", "501g", "499g"),
            ("120N", "121N", "119N"),
        ] {
            assert_eq!(step(text, mm, 1).as_deref(), Some(up), "{text}");
            assert_eq!(step(text, mm, -1).as_deref(), Some(down), "{text}");
            let figure = Figure::read(text, mm).unwrap();
            assert_eq!(figure.steps_to(figure.at(5).unwrap()), Some(5), "{text}");
        }
    }

    #[test]
    fn the_house_has_a_step_of_its_own() {
        let eighth = Rational::ratio(127, 40);
        assert_eq!(step("24in", eighth, 1).as_deref(), Some("24 1/8in"));
        assert_eq!(step("600mm", eighth, 1).as_deref(), Some("601mm"));
        assert_eq!(step("600mm", Rational::int(5), 1).as_deref(), Some("605mm"));
        assert_eq!(step("24in", Rational::int(5), 1).as_deref(), Some("24 1/16in"));
    }

    #[test]
    fn nothing_goes_below_nought_and_money_is_no_dimension() {
        assert_eq!(step("2mm", Rational::ONE, -3), None);
        assert_eq!(step("2mm", Rational::ONE, -2).as_deref(), Some("0mm"));
        assert!(Figure::read("38.50EUR", Rational::ONE).is_none());
        assert!(Figure::read("450kg/m3", Rational::ONE).is_none());
        let inches = Figure::read("3/4in", Rational::ONE).unwrap();
        assert_eq!(inches.write(Rational::ratio(163, 10)).as_deref(), Some("16.3mm"));
    }
}
