//! JSON as it is written: one line, a newline at its end.

use crate::job::Job;
use serde::Serialize;

/// A value as one line of JSON.
pub fn text(value: &impl Serialize) -> String {
    // The types of the job have string keys and no failing parts, so this cannot fail.
    let mut text = serde_json::to_string(value).unwrap_or_default();
    text.push('\n');
    text
}

/// The whole of `job.json`.
pub fn job(job: &Job) -> String {
    let mut bytes = Vec::with_capacity(4096 + job.parts.len() * 2500);
    if serde_json::to_writer(&mut bytes, job).is_err() {
        bytes.clear();
    }
    bytes.push(b'\n');
    String::from_utf8(bytes).unwrap_or_default()
}
