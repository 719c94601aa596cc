//! Elevations: front, section and plan of each box.

use super::drawing::Sheet;
use crate::job::Job;

/// The sheets of a job, in the order of its boxes.
pub fn sheets(_job: &Job) -> Vec<Sheet> {
    Vec::new()
}
