//! Comments beside what they explain.

use crate::sources::Span;
use crate::syntax::tree::{self, TriviaKind};

/// The comments of a file, in order of place.
pub struct Notes<'a> {
    text: &'a str,
    comments: Vec<Span>,
    /// Comments of every kind that stand above an item.
    all: Vec<Span>,
}

impl<'a> Notes<'a> {
    /// Those of a tree.
    pub fn of(tree: &tree::File, text: &'a str) -> Notes<'a> {
        let of = |kinds: &[TriviaKind]| {
            let kept = tree.trivia.iter().filter(|t| kinds.contains(&t.kind));
            kept.map(|t| t.span).collect::<Vec<_>>()
        };
        Notes { text, comments: of(&[TriviaKind::Comment]), all: of(&[TriviaKind::Comment, TriviaKind::Doc]) }
    }

    fn words(&self, span: Span) -> String {
        let text = self.text.get(span.start as usize..span.end as usize).unwrap_or("");
        text.trim_start_matches('/').trim().to_string()
    }

    /// The comment on the line of a byte, before byte `until`, with nothing but brackets and commas between.
    pub fn beside(&self, byte: u32, until: u32) -> String {
        let next = self.comments.partition_point(|c| c.start < byte);
        let Some(comment) = self.comments.get(next).filter(|c| c.start < until) else {
            return String::new();
        };
        let between = self.text.get(byte as usize..comment.start as usize).unwrap_or("\n");
        let near = between.chars().all(|c| matches!(c, ' ' | ',' | ')' | '{' | '}'));
        if near { self.words(*comment) } else { String::new() }
    }

    /// The comments on lines of their own right above a byte, and not before byte `from`.
    pub fn over(&self, byte: u32, from: u32) -> String {
        let mut found = Vec::new();
        let mut end = byte as usize;
        let next = self.comments.partition_point(|c| c.start < byte);
        for comment in self.comments.get(..next).unwrap_or_default().iter().rev() {
            let gap = self.text.get(comment.end as usize..end).unwrap_or("x");
            let line = self.text.get(..comment.start as usize).unwrap_or("");
            let alone = line.rsplit('\n').next().is_some_and(|l| l.trim().is_empty());
            if comment.start < from || !gap.trim().is_empty() || gap.matches('\n').count() > 1 || !alone {
                break;
            }
            found.push(self.words(*comment));
            end = comment.start as usize;
        }
        found.reverse();
        found.join(" ")
    }

    /// Where the comments right above a byte start.
    pub fn above(&self, byte: u32) -> usize {
        let mut start = byte as usize;
        let next = self.all.partition_point(|c| c.start < byte);
        for comment in self.all.get(..next).unwrap_or_default().iter().rev() {
            let gap = self.text.get(comment.end as usize..start).unwrap_or("x");
            if !gap.trim().is_empty() || gap.matches('\n').count() > 1 {
                break;
            }
            start = comment.start as usize;
        }
        start
    }

    /// The text of a span without its comments.
    pub fn without(&self, span: Span) -> String {
        let mut out = String::new();
        let mut at = span.start as usize;
        let from = self.comments.partition_point(|c| c.start < span.start);
        let inside = self.comments.get(from..).unwrap_or_default().iter().take_while(|c| c.end <= span.end);
        for comment in inside {
            out.push_str(self.text.get(at..comment.start as usize).unwrap_or(""));
            at = comment.end as usize;
        }
        out.push_str(self.text.get(at..span.end as usize).unwrap_or(""));
        out
    }
}
