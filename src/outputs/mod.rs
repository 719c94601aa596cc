//! What a maker works from, made of the [`Job`](crate::job::Job) and nothing else.

pub mod apart;
pub mod assembly;
pub mod cautions;
pub mod csv;
pub mod doc;
pub mod drawing;
pub mod elevations;
pub mod explain;
pub mod hole_list;
pub mod holes;
pub mod json;
pub mod messages;
pub mod parts;
pub mod revisions;
pub mod table;
pub mod walls;
pub mod weights;
pub mod why;
pub mod words;
