//! What an expression can come to.

use super::program::ModuleId;
use super::scope::{BoxId, FrameId, PartId, ScopeId, SpaceId};
use crate::geometry::{Axis, Face};
use crate::syntax::Name;
use crate::syntax::tree::Def;
use crate::values::{Dimension, Quantity, Rational};
use std::rc::Rc;

/// A value; cheap to clone.
#[derive(Clone, Debug)]
pub enum Value<'p> {
    Quantity(Quantity),
    Place(Place),
    Range(Range),
    Flag(bool),
    Text(Rc<str>),
    /// A word of a `choice of`, with the words it was chosen from.
    Word(Name, Rc<[Name]>),
    None,
    /// `N share`
    Share(Rational),
    List(Rc<[Value<'p>]>),
    Part(PartId),
    /// A face of a part, as it lies in the frame of the part's own text.
    Face(PartId, Face),
    Box(BoxId),
    Space(SpaceId),
    Seam(Rc<SeamValue>),
    Point(Rc<Point>),
    /// A board, band or item with its arguments.
    Thing(Rc<Thing<'p>>),
}

/// A coordinate with its axis and the frame it was read in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    pub axis: Axis,
    pub frame: FrameId,
    pub at: Rational,
}

/// A stretch, low end first; without an anchor while both ends are bare lengths.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Range {
    pub anchor: Option<(Axis, FrameId)>,
    pub lo: Rational,
    pub hi: Rational,
}

/// Where two parts touch.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SeamValue {
    pub frame: FrameId,
    pub seam: crate::geometry::Seam,
    pub a: PartId,
    pub b: PartId,
}

/// A place on all three axes; on a seam it knows the parts that touch there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Point {
    pub frame: FrameId,
    pub at: [Rational; 3],
    pub seam: Option<Rc<SeamValue>>,
}

/// A board, band or item: a definition and the scope that holds its parameters and fields.
#[derive(Debug)]
pub struct Thing<'p> {
    pub module: ModuleId,
    pub def: &'p Def,
    pub scope: ScopeId,
}

impl Value<'_> {
    /// A length in mm.
    pub fn mm(value: Rational) -> Value<'static> {
        Value::Quantity(Quantity::mm(value))
    }

    /// A plain number.
    pub fn number(value: i64) -> Value<'static> {
        Value::Quantity(Quantity::number(Rational::int(value)))
    }

    /// The kind of value in words for a message.
    pub fn kind(&self) -> String {
        match self {
            Value::Quantity(q) if q.dimension == Dimension::NUMBER => "a plain number".to_string(),
            Value::Quantity(q) if q.dimension.money.is_some() => q.dimension.word(),
            Value::Quantity(q) => {
                let word = q.dimension.word();
                let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
                format!("{article} {word}")
            }
            Value::Place(_) => "a place".to_string(),
            Value::Range(_) => "a range".to_string(),
            Value::Flag(_) => "yes or no".to_string(),
            Value::Text(_) => "text".to_string(),
            Value::Word(name, _) => format!("the word `{name}`"),
            Value::None => "none".to_string(),
            Value::Share(_) => "a share".to_string(),
            Value::List(_) => "a list".to_string(),
            Value::Part(_) => "a part".to_string(),
            Value::Face(..) => "a face".to_string(),
            Value::Box(_) => "a box".to_string(),
            Value::Space(_) => "a space".to_string(),
            Value::Seam(_) => "a seam".to_string(),
            Value::Point(_) => "a point".to_string(),
            Value::Thing(t) => format!("the {} `{}`", t.def.kind.word(), t.def.name.name),
        }
    }
}
