//! `messages.txt`: what the compiler said of a design that can be built.

use super::table::indented;
use super::words::{a_few, count};
use crate::diagnostics::visible;
use crate::job::Job;

/// Warnings that stand and those accepted with their reason, as plain text.
pub fn text(job: &Job, width: usize) -> String {
    let mut out = String::new();
    for m in &job.messages {
        let kind = if m.accepted.is_some() { "accepted" } else { "warning" };
        out.push_str(&indented(&visible(&format!("{kind}: {}: {}", m.code, m.message)), width, "", "  "));
        out.push_str(&format!("  at {}\n", visible(&m.at)));
        if !m.boxes.is_empty() {
            let boxes = count(m.boxes.len(), "box", "boxes");
            out.push_str(&indented(&format!("in {boxes}: {}", a_few(&m.boxes, 6)), width, "  ", "  "));
        }
        if let Some(reason) = &m.accepted {
            out.push_str(&indented(&visible(&format!("accepted because {reason}")), width, "  ", "  "));
        }
        out.push('\n');
    }
    let standing = job.messages.iter().filter(|m| m.accepted.is_none()).count();
    out.push_str(&format!("No errors, {}", count(standing, "warning", "warnings")));
    match job.messages.len() - standing {
        0 => out.push_str(".\n"),
        accepted => out.push_str(&format!(", {accepted} accepted.\n")),
    }
    out
}
