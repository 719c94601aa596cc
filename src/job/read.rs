//! Reading `job.json` back.

use super::{Cuboid, Interval, Job, Part};
use crate::geometry::Axis;
use crate::values::{Overflow, Rational};
use std::collections::BTreeMap;

/// The format this compiler writes and reads.
pub const FORMAT: &str = "aumbry-job/1";

/// Reads a `job.json`. What is not written to it (links, places in the text) is empty; what follows from
/// the rest is worked out again.
///
/// # Errors
/// In words: not JSON, cut short, another format, a field that is missing or of the wrong kind.
pub fn read(text: &str) -> Result<Job, String> {
    #[derive(serde::Deserialize)]
    struct Head {
        format: String,
    }
    let head: Head = serde_json::from_str(text).map_err(|e| match e.classify() {
        serde_json::error::Category::Eof => {
            format!("it is cut short: the text ends at line {}, column {}", e.line(), e.column())
        }
        serde_json::error::Category::Data => "it is JSON, but no job.json: it has no format".to_string(),
        _ => format!("it is not JSON (line {}, column {})", e.line(), e.column()),
    })?;
    if head.format != FORMAT {
        let name: String = head.format.chars().take(40).collect();
        return Err(match name.starts_with("aumbry-job/") {
            true => format!("its format is `{name}`; this compiler reads `{FORMAT}`"),
            false => format!("its format is `{name}`, not that of a job.json (`{FORMAT}`)"),
        });
    }
    let mut job: Job = serde_json::from_str(text).map_err(|e| format!("it is no whole job.json: {e}"))?;
    let corners: BTreeMap<&str, Cuboid> = job.boxes.iter().map(|b| (b.path.as_str(), b.place)).collect();
    for part in &mut job.parts {
        let corner = corners
            .get(part.box_path.as_str())
            .ok_or_else(|| format!("the box of the part `{}` is not among its boxes", part.path))?;
        part.own = from_corner(part, corner).map_err(|e| format!("the part `{}`: {e}", part.path))?;
    }
    Ok(job)
}

/// The place of a part in the frame of its own box.
fn from_corner(part: &Part, corner: &Cuboid) -> Result<Cuboid, Overflow> {
    let mut own = part.place;
    for axis in Axis::ALL {
        own = own.with(axis, part.place.on(axis).shift(corner.on(axis).lo.neg()?)?);
    }
    Ok(own)
}

/// Where a part is until its box is known.
pub(super) fn nowhere() -> Cuboid {
    let none = Interval::new(Rational::ZERO, Rational::ZERO);
    Cuboid { x: none, y: none, z: none }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_job_is_told_in_words() {
        let told = |text: &str| read(text).expect_err("no job");
        assert!(told("").contains("cut short"));
        assert!(told("{\"format\": \"aumbry-job/1\", \"sou").contains("cut short"));
        assert!(told("aumbry 1\n").contains("not JSON"));
        assert!(told("[1, 2]").contains("no format"));
        assert!(told("{\"format\": \"aumbry-parts/1\"}").contains("not that of a job.json"));
        assert!(told("{\"format\": \"aumbry-job/9\"}").contains("this compiler reads"));
        assert!(told("{\"format\": \"aumbry-job/1\"}").contains("missing field"));
    }
}
