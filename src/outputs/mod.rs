//! What a maker works from, made of the [`Job`](crate::job::Job) and nothing else.

pub mod cautions;
pub mod csv;
pub mod drawing;
pub mod elevations;
pub mod hole_list;
<<<<<<< HEAD
mod hole_rows;
=======
pub mod holes;
>>>>>>> 41059fb (Hole maps: the face on the bench, running dimensions, table, words)
pub mod json;
pub mod messages;
pub mod parts;
pub mod table;
pub mod words;
