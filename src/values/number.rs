//! Exact numbers as they are written to JSON: rounded to 0.000001, never through a float.

use super::Rational;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
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
    let text = super::decimal(value, 6);
    let raw = serde_json::value::RawValue::from_string(text).map_err(serde::ser::Error::custom)?;
    raw.serialize(serializer)
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
