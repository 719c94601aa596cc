//! From trees to a worked-out design: order-free, each thing once, along its dependencies.
//!
//! [`Program`] is the files with their names resolved. An [`Evaluation`] holds an arena of scopes and
//! slots; a slot is a node of the graph and stays, so that any figure can be followed down to the
//! literals it came from ([`Evaluation::literals`]).

mod args;
mod behind;
mod boxes;
mod expr;
mod faults;
mod frames;
mod functions;
mod house;
mod joints;
mod layout;
pub mod library;
mod machine;
mod members;
mod names;
mod operators;
mod parts;
mod program;
mod ranges;
pub mod reasons;
mod records;
mod row_spaces;
mod rows;
mod scope;
mod shortfall;
mod site;
mod sketch;
mod statements;
mod testing;
mod trace;
mod trace_places;
mod types;
mod value;
mod verbs;
mod verbs_bear;
mod verbs_cut;
mod verbs_edge;
mod verbs_fix;
mod verbs_recess;
mod verbs_record;

pub use faults::{Cause, Causes};
pub use functions::FUNCTIONS;
pub use machine::{DEEPEST, Evaluation, Failed, MOST_COUNTED, MOST_PARTS, MOST_ROUNDS, Res};
pub use program::{Module, ModuleId, Program, Trees, load, load_again};
pub use records::*;
pub use scope::*;
pub use testing::{TestCase, test_cases};
pub use trace::Literal;
pub use types::TYPES;
pub use value::{Place, Point, Range, SeamValue, Thing, Value};
pub use verbs::VERBS;
