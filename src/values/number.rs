//! Exact numbers as they are written to JSON, rounded to 0.000001, and read back from it as they stand
//! there; never through a float.

use super::Rational;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

/// A length in mm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Mm(pub Rational);

/// Another figure, in the unit its field states.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Figure(pub Rational);

fn write<S: Serializer>(value: Rational, serializer: S) -> Result<S::Ok, S::Error> {
    if let Some(whole) = value.to_i64() {
        return serializer.serialize_i64(whole);
    }
    let text = match millionths(value) {
        Some(n) => decimal_text(n),
        None => super::decimal(value, 6),
    };
    let raw = serde_json::value::RawValue::from_string(text).map_err(serde::ser::Error::custom)?;
    raw.serialize(serializer)
}

/// The nearest whole number of millionths, halves away from nought; `None` where it is too large.
fn millionths(value: Rational) -> Option<i64> {
    let n = i64::try_from(value.numerator()).ok()?;
    let d = i64::try_from(value.denominator()).ok()?;
    if MILLION % d == 0 {
        return n.checked_mul(MILLION / d);
    }
    let twice = n.unsigned_abs().checked_mul(2 * MILLION as u64)?;
    let d = d as u64;
    let nearest = i64::try_from(twice.checked_add(d)? / d.checked_mul(2)?).ok()?;
    Some(if n < 0 { -nearest } else { nearest })
}

const MILLION: i64 = 1_000_000;

/// Millionths as a decimal without trailing noughts.
fn decimal_text(millionths: i64) -> String {
    let n = millionths.unsigned_abs();
    let (mut whole, mut part) = (n / MILLION as u64, n % MILLION as u64);
    // A sign, at most 13 digits, the point and six digits, filled from the end.
    let mut digits = [b'0'; 24];
    let mut at = digits.len();
    let mut put = |byte: u8| {
        at -= 1;
        digits[at] = byte;
    };
    if part > 0 {
        let mut places = 6;
        while part % 10 == 0 {
            part /= 10;
            places -= 1;
        }
        for _ in 0..places {
            put(b'0' + (part % 10) as u8);
            part /= 10;
        }
        put(b'.');
    }
    loop {
        put(b'0' + (whole % 10) as u8);
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if millionths < 0 {
        put(b'-');
    }
    String::from_utf8_lossy(&digits[at..]).into_owned()
}

impl Serialize for Mm {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        write(self.0, serializer)
    }
}

impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        write(self.0, serializer)
    }
}

/// Only from JSON text itself: a number that has been through a float is no longer what was written.
fn read<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Rational, D::Error> {
    let raw = <&serde_json::value::RawValue>::deserialize(deserializer)?;
    parse(raw.get()).ok_or_else(|| serde::de::Error::custom(format!("`{}` is no figure", short(raw.get()))))
}

/// A JSON number as it stands.
fn parse(text: &str) -> Option<Rational> {
    let (digits, power) = match text.split_once(['e', 'E']) {
        Some((digits, power)) => (digits, power.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let value = Rational::parse_decimal(digits)?;
    let ten = 10i128.checked_pow(power.unsigned_abs())?;
    let scale = if power < 0 { Rational::ratio(1, ten) } else { Rational::ratio(ten, 1) };
    value.mul(scale).ok()
}

fn short(text: &str) -> String {
    text.chars().take(24).collect()
}

impl<'de> Deserialize<'de> for Mm {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Mm, D::Error> {
        read(deserializer).map(Mm)
    }
}

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Figure, D::Error> {
        read(deserializer).map(Figure)
    }
}

impl JsonSchema for Mm {
    fn schema_name() -> Cow<'static, str> {
        "Mm".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number", "description": "A length in mm, rounded to 0.000001." })
    }
}

impl JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Figure".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number", "description": "An exact figure, rounded to 0.000001." })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn millionths_agree_with_decimal() {
        // Every denominator up to 70, and some that do not divide a million.
        for d in (1..70).chain([127, 640, 999_983, 2_000_000, 3_000_001]) {
            for n in [-1_000_003, -7, -5, -1, 1, 2, 5, 333, 725_101, 999_999_999] {
                let value = Rational::ratio(n, d);
                let text = decimal_text(millionths(value).expect("small"));
                assert_eq!(text, super::super::decimal(value, 6), "{value:?}");
            }
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        for text in ["0", "12", "-3.75", "725.1", "0.333333", "-0.000001", "8000000000.000001"] {
            let value = parse(text).expect("a figure");
            assert_eq!(serde_json::to_string(&Mm(value)).expect("JSON"), text);
            assert_eq!(serde_json::from_str::<Mm>(text).expect("a length").0, value);
        }
        assert_eq!(parse("1.25e2"), Some(Rational::int(125)));
        assert_eq!(parse("5E-1"), Some(Rational::ratio(1, 2)));
        for text in ["\"5\"", "null", "[]", "1e999", "1e99999999999", "true", "", "1.2.3", "-"] {
            assert!(serde_json::from_str::<Figure>(text).is_err(), "{text}");
        }
    }
}
