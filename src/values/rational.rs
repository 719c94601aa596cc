//! Exact rationals; every operation is checked, an overflow is a value and never wraps.

use num_integer::Integer;
use num_rational::Ratio;
use std::cmp::Ordering;
use std::fmt;

/// An exact result that needs more than 127 bits.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error("the exact figure needs more digits than the compiler keeps")]
pub struct Overflow;

/// An exact rational number. Lengths are held in millimetres.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rational(Ratio<i128>);

// Every operation is checked and may fail, which the operators of the standard library cannot.
#[allow(clippy::should_implement_trait)]
impl Rational {
    /// Nought.
    pub const ZERO: Rational = Rational(Ratio::new_raw(0, 1));
    /// One.
    pub const ONE: Rational = Rational(Ratio::new_raw(1, 1));
    /// Two.
    pub const TWO: Rational = Rational(Ratio::new_raw(2, 1));

    /// A whole number.
    pub const fn int(n: i64) -> Rational {
        Rational(Ratio::new_raw(n as i128, 1))
    }

    /// `numerator / denominator`; the denominator must not be zero.
    pub fn ratio(numerator: i128, denominator: i128) -> Rational {
        Rational(Ratio::new(numerator, denominator))
    }

    /// Numerator in lowest terms, with the sign.
    pub fn numerator(self) -> i128 {
        *self.0.numer()
    }

    /// Denominator in lowest terms, positive.
    pub fn denominator(self) -> i128 {
        *self.0.denom()
    }

    /// True for a whole number.
    pub fn is_integer(self) -> bool {
        *self.0.denom() == 1
    }

    /// True for nought.
    pub fn is_zero(self) -> bool {
        *self.0.numer() == 0
    }

    /// -1, 0 or 1.
    pub fn signum(self) -> i32 {
        self.0.numer().signum() as i32
    }

    /// True below nought.
    pub fn is_negative(self) -> bool {
        *self.0.numer() < 0
    }

    /// True above nought.
    pub fn is_positive(self) -> bool {
        *self.0.numer() > 0
    }

    /// Lowest terms of a sum whose denominator is already known; the common case is 1.
    fn reduced(n: i128, d: i128) -> Rational {
        if d == 1 {
            return Rational(Ratio::new_raw(n, 1));
        }
        let g = match (u64::try_from(n.unsigned_abs()), u64::try_from(d)) {
            (Ok(a), Ok(b)) => a.gcd(&b) as i128,
            _ => n.gcd(&d),
        };
        Rational(Ratio::new_raw(n / g, d / g))
    }

    /// Sum.
    pub fn add(self, other: Rational) -> Result<Rational, Overflow> {
        let (a, b) = (self.numerator(), self.denominator());
        let (c, d) = (other.numerator(), other.denominator());
        if b == d {
            return Ok(Rational::reduced(a.checked_add(c).ok_or(Overflow)?, b));
        }
        let g = b.gcd(&d);
        let n = a
            .checked_mul(d / g)
            .and_then(|x| c.checked_mul(b / g).and_then(|y| x.checked_add(y)))
            .ok_or(Overflow)?;
        Ok(Rational::reduced(n, (b / g).checked_mul(d).ok_or(Overflow)?))
    }

    /// Difference.
    pub fn sub(self, other: Rational) -> Result<Rational, Overflow> {
        self.add(other.neg()?)
    }

    /// Product.
    pub fn mul(self, other: Rational) -> Result<Rational, Overflow> {
        let left = Rational::reduced(self.numerator(), other.denominator());
        let right = Rational::reduced(other.numerator(), self.denominator());
        let n = left.numerator().checked_mul(right.numerator()).ok_or(Overflow)?;
        let d = left.denominator().checked_mul(right.denominator()).ok_or(Overflow)?;
        Ok(Rational(Ratio::new_raw(n, d)))
    }

    /// Quotient; `None` where the divisor is nought.
    pub fn div(self, other: Rational) -> Option<Result<Rational, Overflow>> {
        if other.is_zero() {
            return None;
        }
        let (n, d) = (other.numerator(), other.denominator());
        let inverse =
            if n < 0 { n.checked_neg().and_then(|n| d.checked_neg().map(|d| (d, n))) } else { Some((d, n)) };
        Some(inverse.ok_or(Overflow).and_then(|(n, d)| self.mul(Rational(Ratio::new_raw(n, d)))))
    }

    /// The number with its sign turned.
    pub fn neg(self) -> Result<Rational, Overflow> {
        Ok(Rational(Ratio::new_raw(self.numerator().checked_neg().ok_or(Overflow)?, self.denominator())))
    }

    /// The number without its sign.
    pub fn abs(self) -> Result<Rational, Overflow> {
        if self.is_negative() { self.neg() } else { Ok(self) }
    }

    /// Half of it.
    pub fn half(self) -> Result<Rational, Overflow> {
        self.mul(Rational::ratio(1, 2))
    }

    /// The largest whole number not above it.
    pub fn floor(self) -> Rational {
        Rational(Ratio::new_raw(Integer::div_floor(&self.numerator(), &self.denominator()), 1))
    }

    /// The smallest whole number not below it.
    pub fn ceil(self) -> Rational {
        let (n, d) = (self.numerator(), self.denominator());
        let floor = Integer::div_floor(&n, &d);
        Rational(Ratio::new_raw(if d == 1 { floor } else { floor + 1 }, 1))
    }

    /// The nearest multiple of `step`, halves away from nought.
    pub fn round_to(self, step: Rational) -> Result<Rational, Overflow> {
        let times = self.div(step).ok_or(Overflow)??;
        let whole = times.abs()?.add(Rational::ratio(1, 2))?.floor();
        (if times.is_negative() { whole.neg()? } else { whole }).mul(step)
    }

    /// The lesser of two.
    pub fn min(self, other: Rational) -> Rational {
        if other < self { other } else { self }
    }

    /// The greater of two.
    pub fn max(self, other: Rational) -> Rational {
        if other > self { other } else { self }
    }

    /// As a whole number, where it is one and small enough.
    pub fn to_i64(self) -> Option<i64> {
        if self.is_integer() { i64::try_from(self.numerator()).ok() } else { None }
    }

    /// Exactly as written: `12`, `-3.75`, `1e3` is not a number.
    pub fn parse_decimal(text: &str) -> Option<Rational> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = format!("{whole}{part}");
        let n: i128 = digits.parse().ok()?;
        let d = 10i128.checked_pow(u32::try_from(part.len()).ok()?)?;
        Some(Rational::reduced(n, d))
    }
}

impl PartialOrd for Rational {
    fn partial_cmp(&self, other: &Rational) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Rational {
    fn cmp(&self, other: &Rational) -> Ordering {
        if self.denominator() == other.denominator() {
            return self.numerator().cmp(&other.numerator());
        }
        // `Ratio` compares without overflow, by continued fractions.
        self.0.cmp(&other.0)
    }
}

impl fmt::Debug for Rational {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}
