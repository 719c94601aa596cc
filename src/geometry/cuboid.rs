//! Intervals and boxes square to the axes, exact.

use super::Axis;
use crate::values::{Mm, Overflow, Rational};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;

/// An interval on one axis, in mm; the low end is never above the high end in a sound design.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Interval {
    pub lo: Rational,
    pub hi: Rational,
}

impl Interval {
    /// From `lo` to `hi`.
    pub fn new(lo: Rational, hi: Rational) -> Interval {
        Interval { lo, hi }
    }

    /// High end less low end.
    pub fn size(self) -> Result<Rational, Overflow> {
        self.hi.sub(self.lo)
    }

    /// Half-way between the ends.
    pub fn mid(self) -> Result<Rational, Overflow> {
        self.lo.add(self.hi)?.half()
    }

    /// What two intervals share, where that has a length above nought.
    pub fn common(self, other: Interval) -> Option<Interval> {
        let (lo, hi) = (self.lo.max(other.lo), self.hi.min(other.hi));
        (lo < hi).then_some(Interval { lo, hi })
    }

    /// True where `other` lies in it, ends included.
    pub fn holds(self, other: Interval) -> bool {
        self.lo <= other.lo && other.hi <= self.hi
    }

    /// Moved by `by`.
    pub fn shift(self, by: Rational) -> Result<Interval, Overflow> {
        Ok(Interval { lo: self.lo.add(by)?, hi: self.hi.add(by)? })
    }

    /// Reflected: x becomes `sum` - x.
    pub fn reflect(self, sum: Rational) -> Result<Interval, Overflow> {
        Ok(Interval { lo: sum.sub(self.hi)?, hi: sum.sub(self.lo)? })
    }
}

impl Serialize for Interval {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        [Mm(self.lo), Mm(self.hi)].serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Interval {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Interval, D::Error> {
        let [lo, hi] = <[Mm; 2]>::deserialize(deserializer)?;
        Ok(Interval { lo: lo.0, hi: hi.0 })
    }
}

impl JsonSchema for Interval {
    fn schema_name() -> Cow<'static, str> {
        "Interval".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "array", "items": { "type": "number" }, "minItems": 2, "maxItems": 2,
            "description": "Low and high end on one axis, in mm."
        })
    }
}

/// A box with faces square to the axes, in mm.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Cuboid {
    pub x: Interval,
    pub y: Interval,
    pub z: Interval,
}

impl Cuboid {
    /// The interval on an axis.
    pub fn on(&self, axis: Axis) -> Interval {
        match axis {
            Axis::X => self.x,
            Axis::Y => self.y,
            Axis::Z => self.z,
        }
    }

    /// The same with another interval on an axis.
    pub fn with(mut self, axis: Axis, interval: Interval) -> Cuboid {
        match axis {
            Axis::X => self.x = interval,
            Axis::Y => self.y = interval,
            Axis::Z => self.z = interval,
        }
        self
    }

    /// What two boxes share, where that has a volume above nought.
    pub fn common(&self, other: &Cuboid) -> Option<Cuboid> {
        Some(Cuboid { x: self.x.common(other.x)?, y: self.y.common(other.y)?, z: self.z.common(other.z)? })
    }

    /// True where `other` lies in it, faces included.
    pub fn holds(&self, other: &Cuboid) -> bool {
        Axis::ALL.iter().all(|a| self.on(*a).holds(other.on(*a)))
    }
}
