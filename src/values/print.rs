//! Figures as a maker reads them: decimals in millimetres, fractions in inches.

use super::{Dimension, Overflow, Quantity, Rational};

/// How lengths are printed: the unit and the smallest step.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Style {
    pub inches: bool,
    /// The step figures are rounded to, in mm.
    pub step: Rational,
}

impl Style {
    /// Millimetres in steps of 0.1.
    pub fn metric() -> Style {
        Style { inches: false, step: Rational::ratio(1, 10) }
    }

    /// Inches in steps of 1/64.
    pub fn imperial() -> Style {
        Style { inches: true, step: Rational::ratio(127, 5 * 64) }
    }

    /// A length rounded to the step, in mm.
    pub fn round(&self, mm: Rational) -> Result<Rational, Overflow> {
        mm.round_to(self.step)
    }

    /// A length without its unit, for drawings and tables: `725.1`, `28 35/64`.
    pub fn figure(&self, mm: Rational) -> String {
        let rounded = self.round(mm).unwrap_or(mm);
        self.exact(rounded)
    }

    /// A length with its unit, for sentences: `725.1mm`, `28 35/64in`.
    pub fn length(&self, mm: Rational) -> String {
        format!("{}{}", self.figure(mm), self.unit())
    }

    /// A length with its unit and no more rounding than three decimals, for messages in which a
    /// hundredth matters.
    pub fn fine(&self, mm: Rational) -> String {
        format!("{}{}", self.exact(mm), self.unit())
    }

    /// `mm` or `in`.
    pub fn unit(&self) -> &'static str {
        if self.inches { "in" } else { "mm" }
    }

    /// Any quantity as it would be written.
    pub fn quantity(&self, q: Quantity) -> String {
        if q.dimension == Dimension::LENGTH {
            return self.fine(q.value);
        }
        let (value, unit) = q.in_shown_unit();
        format!("{}{unit}", decimal(value, 3))
    }

    fn exact(&self, mm: Rational) -> String {
        if !self.inches {
            return decimal(mm, 3);
        }
        match mm.mul(Rational::ratio(5, 127)) {
            Ok(inches) if inches.denominator() <= 64 && 64 % inches.denominator() == 0 => {
                fraction_inches(inches)
            }
            Ok(inches) => decimal(inches, 3),
            Err(_) => decimal(mm, 3),
        }
    }
}

/// A decimal rounded to at most `places` places, without trailing noughts.
pub fn decimal(value: Rational, places: u32) -> String {
    let step = Rational::ratio(1, 10i128.pow(places));
    let Ok(rounded) = value.round_to(step) else {
        return format!("{}/{}", value.numerator(), value.denominator());
    };
    let scaled =
        rounded.numerator().unsigned_abs() * 10u128.pow(places) / rounded.denominator().unsigned_abs();
    let unit = 10u128.pow(places);
    let sign = if rounded.is_negative() { "-" } else { "" };
    let digits = format!("{}.{:0width$}", scaled / unit, scaled % unit, width = places as usize);
    let text = match places {
        0 => digits.split('.').next().unwrap_or(&digits),
        _ => digits.trim_end_matches('0').trim_end_matches('.'),
    };
    format!("{sign}{text}")
}

/// Inches as a mixed number: `23 7/16`, `3/4`, `24`.
pub fn fraction_inches(inches: Rational) -> String {
    let sign = if inches.is_negative() { "-" } else { "" };
    let (n, d) = (inches.numerator().unsigned_abs(), inches.denominator().unsigned_abs());
    match (n / d, n % d) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) => format!("{sign}{part}/{d}"),
        (whole, part) => format!("{sign}{whole} {part}/{d}"),
    }
}
