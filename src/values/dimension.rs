//! What a number counts: dimensions as exponents, and the units a maker may write.

use super::{Overflow, Rational};
use std::fmt;

/// Exponents over millimetre, kilogram, second and degree, with a currency for money.
/// All nought is a plain number (a count or a ratio).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, PartialOrd, Ord)]
pub struct Dimension {
    pub length: i8,
    pub mass: i8,
    pub time: i8,
    pub angle: i8,
    /// ISO 4217 code; money has no exponent: it is added up, scaled, or divided into a ratio.
    pub money: Option<[u8; 3]>,
}

impl Dimension {
    /// A plain number: a count or a ratio.
    pub const NUMBER: Dimension = Dimension { length: 0, mass: 0, time: 0, angle: 0, money: None };
    /// Length, in mm.
    pub const LENGTH: Dimension = Dimension { length: 1, ..Dimension::NUMBER };
    /// Area, in mm².
    pub const AREA: Dimension = Dimension { length: 2, ..Dimension::NUMBER };
    /// Volume, in mm³.
    pub const VOLUME: Dimension = Dimension { length: 3, ..Dimension::NUMBER };
    /// Angle, in degrees.
    pub const ANGLE: Dimension = Dimension { angle: 1, ..Dimension::NUMBER };
    /// Mass, in kg.
    pub const MASS: Dimension = Dimension { mass: 1, ..Dimension::NUMBER };
    /// Mass over volume.
    pub const DENSITY: Dimension = Dimension { mass: 1, length: -3, ..Dimension::NUMBER };
    /// Force.
    pub const FORCE: Dimension = Dimension { mass: 1, length: 1, time: -2, ..Dimension::NUMBER };
    /// Force over area.
    pub const PRESSURE: Dimension = Dimension { mass: 1, length: -1, time: -2, ..Dimension::NUMBER };

    /// The dimension of money in one currency.
    pub const fn money(code: [u8; 3]) -> Dimension {
        Dimension { money: Some(code), ..Dimension::NUMBER }
    }

    /// The dimension of a product, where it has one (money times money has none).
    pub fn times(self, other: Dimension) -> Option<Dimension> {
        let money = match (self.money, other.money) {
            (a, None) => a,
            (None, b) => b,
            _ => return None,
        };
        Some(Dimension {
            length: self.length.checked_add(other.length)?,
            mass: self.mass.checked_add(other.mass)?,
            time: self.time.checked_add(other.time)?,
            angle: self.angle.checked_add(other.angle)?,
            money,
        })
    }

    /// The dimension of a quotient, where it has one (nothing is divided by money but money).
    pub fn over(self, other: Dimension) -> Option<Dimension> {
        let money = match (self.money, other.money) {
            (a, None) => a,
            (Some(a), Some(b)) if a == b => None,
            _ => return None,
        };
        Some(Dimension {
            length: self.length.checked_sub(other.length)?,
            mass: self.mass.checked_sub(other.mass)?,
            time: self.time.checked_sub(other.time)?,
            angle: self.angle.checked_sub(other.angle)?,
            money,
        })
    }

    /// The word for it in a message: `length`, `mass`, `money in EUR`.
    pub fn word(self) -> String {
        let words = [
            (Dimension::NUMBER, "plain number"),
            (Dimension::LENGTH, "length"),
            (Dimension::AREA, "area"),
            (Dimension::VOLUME, "volume"),
            (Dimension::ANGLE, "angle"),
            (Dimension::MASS, "mass"),
            (Dimension::DENSITY, "density"),
            (Dimension::FORCE, "force"),
            (Dimension::PRESSURE, "pressure"),
        ];
        if let Some(code) = self.money {
            return format!("money in {}", String::from_utf8_lossy(&code));
        }
        match words.iter().find(|(d, _)| *d == self) {
            Some((_, word)) => (*word).to_string(),
            None => self.to_string(),
        }
    }

    /// The unit that figures of this dimension are printed in, with its size in base units.
    fn shown(self) -> Option<&'static Unit> {
        UNITS.iter().find(|u| u.dimension == self && u.shown)
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [("mm", self.length), ("kg", self.mass), ("s", self.time), ("deg", self.angle)];
        let words: Vec<String> = parts
            .iter()
            .filter(|(_, n)| *n != 0)
            .map(|(unit, n)| if *n == 1 { (*unit).to_string() } else { format!("{unit}^{n}") })
            .collect();
        f.write_str(&words.join(" "))
    }
}

/// A unit as it may be written against a number.
#[derive(Debug)]
pub struct Unit {
    pub name: &'static str,
    pub dimension: Dimension,
    /// Its size in base units (mm, kg, s, degree), as numerator and denominator.
    pub size: (i128, i128),
    shown: bool,
}

const fn unit(
    name: &'static str,
    dimension: Dimension,
    numerator: i128,
    denominator: i128,
    shown: bool,
) -> Unit {
    Unit { name, dimension, size: (numerator, denominator), shown }
}

/// Every unit of the language; money is any three capital letters.
///
/// The inch is 25.4 mm and the pound 0.45359237 kg, both exact (international yard and pound, 1959).
/// Standard gravity, for psi, is 9.80665 m/s2 exact (3rd CGPM, 1901).
pub const UNITS: &[Unit] = &[
    unit("mm", Dimension::LENGTH, 1, 1, true),
    unit("cm", Dimension::LENGTH, 10, 1, false),
    unit("m", Dimension::LENGTH, 1000, 1, false),
    unit("in", Dimension::LENGTH, 127, 5, false),
    unit("mm2", Dimension::AREA, 1, 1, false),
    unit("cm2", Dimension::AREA, 100, 1, false),
    unit("m2", Dimension::AREA, 1_000_000, 1, true),
    unit("mm3", Dimension::VOLUME, 1, 1, false),
    unit("cm3", Dimension::VOLUME, 1000, 1, false),
    unit("m3", Dimension::VOLUME, 1_000_000_000, 1, false),
    unit("l", Dimension::VOLUME, 1_000_000, 1, true),
    unit("deg", Dimension::ANGLE, 1, 1, true),
    unit("g", Dimension::MASS, 1, 1000, false),
    unit("kg", Dimension::MASS, 1, 1, true),
    unit("lb", Dimension::MASS, 45_359_237, 100_000_000, false),
    unit("N", Dimension::FORCE, 1000, 1, true),
    unit("kN", Dimension::FORCE, 1_000_000, 1, false),
    unit("Pa", Dimension::PRESSURE, 1, 1000, false),
    unit("kPa", Dimension::PRESSURE, 1, 1, false),
    unit("MPa", Dimension::PRESSURE, 1000, 1, false),
    unit("N/mm2", Dimension::PRESSURE, 1000, 1, true),
    unit("psi", Dimension::PRESSURE, 8_896_443_230_521, 1_290_320_000_000, false),
    unit("kg/m3", Dimension::DENSITY, 1, 1_000_000_000, true),
    unit("g/cm3", Dimension::DENSITY, 1, 1_000_000, false),
    unit("lb/ft3", Dimension::DENSITY, 45_359_237, 2_831_684_659_200_000, false),
];

/// An exact number with its dimension, in base units.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Quantity {
    pub value: Rational,
    pub dimension: Dimension,
}

impl Quantity {
    /// A length in millimetres.
    pub const fn mm(value: Rational) -> Quantity {
        Quantity { value, dimension: Dimension::LENGTH }
    }

    /// A plain number.
    pub const fn number(value: Rational) -> Quantity {
        Quantity { value, dimension: Dimension::NUMBER }
    }

    /// A number written with a unit; `None` where there is no such unit.
    pub fn written(value: Rational, unit: &str) -> Option<Result<Quantity, Overflow>> {
        if unit.is_empty() {
            return Some(Ok(Quantity::number(value)));
        }
        let code = <[u8; 3]>::try_from(unit.as_bytes()).ok().filter(|c| c.iter().all(u8::is_ascii_uppercase));
        if let Some(code) = code {
            return Some(Ok(Quantity { value, dimension: Dimension::money(code) }));
        }
        let unit = UNITS.iter().find(|u| u.name == unit)?;
        let size = Rational::ratio(unit.size.0, unit.size.1);
        Some(value.mul(size).map(|value| Quantity { value, dimension: unit.dimension }))
    }

    /// The figure and unit this quantity is shown with, other than a length.
    pub fn in_shown_unit(self) -> (Rational, String) {
        if let Some(code) = self.dimension.money {
            return (self.value, String::from_utf8_lossy(&code).into_owned());
        }
        match self.dimension.shown() {
            Some(unit) => {
                let size = Rational::ratio(unit.size.0, unit.size.1);
                let value = self.value.div(size).and_then(Result::ok).unwrap_or(self.value);
                (value, unit.name.to_string())
            }
            None if self.dimension == Dimension::NUMBER => (self.value, String::new()),
            None => (self.value, format!(" {}", self.dimension)),
        }
    }
}
