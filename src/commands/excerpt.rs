//! The lines that one message quotes, as a single text in which several files stand one after the
//! other, so that one report can label them all.

use crate::diagnostics::{Diagnostic, Label, is_hidden, shown};
use crate::sources::{SourceFile, Sources};
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::collections::{BTreeMap, BTreeSet};

/// A label over more lines than this is shown on its first line only.
const MOST_LINES: usize = 4;

#[derive(Debug)]
struct Line {
    /// Where it starts in the text of the excerpt.
    start: usize,
    /// Index of its file among those quoted.
    file: usize,
    /// From 0.
    number: usize,
    /// Where it starts in its own file.
    original: usize,
    /// Each piece of the line that is shown otherwise: original bytes, shown bytes, both from its start.
    changes: Vec<(usize, usize, usize, usize)>,
}

/// The quoted lines.
#[derive(Debug, Default)]
pub struct Excerpt {
    text: String,
    names: Vec<String>,
    lines: Vec<Line>,
    /// The column in its own file, from 0, of each place where a label starts.
    columns: BTreeMap<usize, usize>,
    /// The labels, moved to the text of the excerpt.
    pub labels: Vec<(SourceSpan, String)>,
}

impl Excerpt {
    /// Quotes the places of a message; the file of its first label comes first. Lines of more than
    /// `longest` bytes are cut.
    pub fn of(sources: &Sources, diagnostic: &Diagnostic, longest: usize) -> Excerpt {
        let mut out = Excerpt::default();
        let mut files: Vec<u32> = Vec::new();
        // The first label is always shown; figures of the library are told in a note.
        let quoted: Vec<&Label> = diagnostic
            .labels
            .iter()
            .enumerate()
            .filter(|(i, l)| *i == 0 || !super::report::folded(sources, l))
            .map(|(_, l)| l)
            .collect();
        for label in &quoted {
            if !files.contains(&label.span.file.0) {
                files.push(label.span.file.0);
            }
        }
        for id in files {
            let Some((_, file)) = sources.iter().nth(id as usize) else { continue };
            let labels: Vec<&Label> = quoted.iter().copied().filter(|l| l.span.file.0 == id).collect();
            out.add(file, &labels, longest);
        }
        out
    }

    fn add(&mut self, file: &SourceFile, labels: &[&Label], longest: usize) {
        let starts = file.line_starts();
        let start_of = |line: usize| starts.get(line).map(|s| *s as usize);
        let line_of = |byte: usize| starts.partition_point(|s| *s as usize <= byte).saturating_sub(1);
        let marked = |l: &&Label| Marked {
            span: clip(&file.text, l, starts),
            at: l.span.start,
            text: crate::diagnostics::visible(&l.text).into_owned(),
        };
        let marked = untangle(&file.text, labels.iter().map(marked).collect());
        let spans: Vec<(usize, usize)> = marked.iter().map(|m| m.span).collect();
        let mut wanted: BTreeSet<usize> = BTreeSet::new();
        for (start, end) in &spans {
            let (first, last) = (line_of(*start), line_of(*end));
            for line in first.saturating_sub(1)..=last + 1 {
                if line < starts.len() {
                    wanted.insert(line);
                }
            }
        }
        let index = self.names.len();
        self.names.push(crate::diagnostics::visible(&file.name).into_owned());
        for number in wanted {
            let start = start_of(number).unwrap_or(0);
            let end = start_of(number + 1).unwrap_or(file.text.len());
            // The empty line after the last newline has nothing to show.
            if start == end && number > 0 && !spans.iter().any(|(s, _)| *s == start) {
                continue;
            }
            let line = file.text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r']);
            let labelled: Vec<(usize, usize)> = spans
                .iter()
                .filter(|(s, e)| *s <= start + line.len() && *e >= start)
                .map(|(s, e)| (s.saturating_sub(start), e.saturating_sub(start).min(line.len())))
                .collect();
            let (text, changes) = show(line, &labelled, longest);
            self.lines.push(Line { start: self.text.len(), file: index, number, original: start, changes });
            self.text.push_str(&text);
            self.text.push('\n');
        }
        for Marked { span: (start, end), at, text } in marked {
            if let (Some(from), Some(to)) = (self.moved(index, start), self.moved(index, end)) {
                let (line, column) = file.line_column(start as u32);
                let told = file.line_column(at);
                let column = if told.0 == line { told.1 } else { column };
                self.columns.entry(from).or_insert(column - 1);
                self.labels.push(((from, to.saturating_sub(from)).into(), text));
            }
        }
    }

    /// Where a byte of a file stands in the text of the excerpt.
    fn moved(&self, file: usize, byte: usize) -> Option<usize> {
        let line = self.lines.iter().rev().find(|l| l.file == file && l.original <= byte)?;
        let within = byte - line.original;
        let change = line.changes.iter().rev().find(|c| c.0 < within);
        let moved = match change {
            Some((_, end, _, shown_end)) if within >= *end => shown_end + (within - end),
            Some((_, _, _, shown_end)) => *shown_end,
            None => within,
        };
        let next = self.lines.iter().find(|l| l.start > line.start).map_or(self.text.len(), |l| l.start);
        Some((line.start + moved).min(next.saturating_sub(1)))
    }

    fn line_at(&self, byte: usize) -> Option<usize> {
        self.lines.partition_point(|l| l.start <= byte).checked_sub(1)
    }
}

/// A label with the bytes that are underlined for it.
struct Marked {
    span: (usize, usize),
    /// Where the label starts, as the message tells it.
    at: u32,
    text: String,
}

/// Makes sure that no label is underlined within another: equal ones become one, and one that holds
/// others is underlined only at its head (`drill` of a whole `drill(…)`), or between the others.
fn untangle(text: &str, labels: Vec<Marked>) -> Vec<Marked> {
    let mut out: Vec<Marked> = Vec::with_capacity(labels.len());
    for label in labels {
        match out.iter_mut().find(|o| o.span == label.span) {
            Some(first) if first.text == label.text || label.text.is_empty() => {}
            Some(first) if first.text.is_empty() => first.text = label.text,
            Some(first) => first.text = format!("{}; {}", first.text, label.text),
            None => out.push(label),
        }
    }
    let spans: Vec<(usize, usize)> = out.iter().map(|m| m.span).collect();
    for marked in &mut out {
        let (start, end) = marked.span;
        let mut within: Vec<(usize, usize)> = spans
            .iter()
            .filter(|s| **s != (start, end) && s.0 >= start && s.1 <= end && s.0 < s.1)
            .copied()
            .collect();
        within.sort_unstable();
        if within.is_empty() {
            continue;
        }
        let mut free = Vec::new();
        let mut from = start;
        for (a, b) in within {
            free.push((from, a));
            from = from.max(b);
        }
        free.push((from, end));
        if let Some(span) = free.into_iter().find_map(|gap| head(text, gap, gap.0 == start)) {
            marked.span = span;
        }
    }
    out
}

/// What of a free stretch is worth underlining: a name before its bracket, or an operator.
fn head(text: &str, (from, to): (usize, usize), leads: bool) -> Option<(usize, usize)> {
    let stretch = text.get(from..to)?;
    let inner = if leads { stretch } else { stretch.trim_start_matches([' ', ',', '\n', '\r', '\t']) };
    let start = from + (stretch.len() - inner.len());
    let stop = inner.find(['(', '{', '[', '\n', '\r']).unwrap_or(inner.len());
    let kept = inner.get(..stop)?.trim_end_matches([' ', ',', ':', '\t']);
    let worth = |c: char| c.is_alphanumeric() || "+-*/=<>!.".contains(c);
    kept.contains(worth).then_some((start, start + kept.len()))
}

/// The bytes a label covers, within the text, without white space at its end, on few lines.
fn clip(text: &str, label: &Label, starts: &[u32]) -> (usize, usize) {
    let start = boundary(text, label.span.start as usize);
    let mut end = boundary(text, label.span.end as usize).max(start);
    let next = starts.partition_point(|s| *s as usize <= start);
    if let (Some(limit), Some(next)) = (starts.get(next + MOST_LINES - 1), starts.get(next))
        && end > *limit as usize
    {
        end = *next as usize;
    }
    let covered = text.get(start..end).unwrap_or("");
    (start, start + covered.trim_end().len())
}

/// The nearest start of a character at or before a byte.
fn boundary(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

type Changes = Vec<(usize, usize, usize, usize)>;

/// A line with its hidden characters shown and, where it is long, its far parts left out.
fn show(line: &str, labelled: &[(usize, usize)], longest: usize) -> (String, Changes) {
    let (mut text, mut changes) = (String::new(), Changes::new());
    let (from, to) = window(line, labelled, longest);
    if from > 0 {
        text.push('…');
        changes.push((0, from, 0, text.len()));
    }
    for (at, c) in line.get(from..to).unwrap_or("").char_indices() {
        if is_hidden(c) {
            let start = text.len();
            text.push_str(&shown(c));
            changes.push((from + at, from + at + c.len_utf8(), start, text.len()));
        } else {
            text.push(c);
        }
    }
    if to < line.len() {
        let start = text.len();
        text.push('…');
        changes.push((to, line.len(), start, text.len()));
    }
    (text, changes)
}

/// The part of a line that is kept: all of it, or of a long one what lies around the main label.
fn window(line: &str, labelled: &[(usize, usize)], longest: usize) -> (usize, usize) {
    if line.len() <= longest {
        return (0, line.len());
    }
    let first = labelled.first().map_or(0, |l| l.0);
    let from = if first < longest * 3 / 4 { 0 } else { first - longest / 2 };
    (boundary(line, from), boundary(line, from + longest))
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (from, to) = (span.offset(), span.offset() + span.len());
        let first = self.line_at(from).ok_or(MietteError::OutOfBounds)?;
        let last = self.line_at(to).ok_or(MietteError::OutOfBounds)?;
        let follows = |a: usize, b: usize| {
            self.lines[a].file == self.lines[b].file && self.lines[a].number + 1 == self.lines[b].number
        };
        // Two places are quoted as one only where every line between them is here.
        if (first..last).any(|i| !follows(i, i + 1)) {
            return Err(MietteError::OutOfBounds);
        }
        let (mut top, mut end) = (first, last);
        while top > 0 && first - top < before && follows(top - 1, top) {
            top -= 1;
        }
        while end + 1 < self.lines.len() && end - last < after && follows(end, end + 1) {
            end += 1;
        }
        let start = self.lines[top].start;
        let stop = self.lines.get(end + 1).map_or(self.text.len(), |l| l.start);
        let column = self.columns.get(&from).copied().unwrap_or(0);
        let data = self.text.as_bytes().get(start..stop).ok_or(MietteError::OutOfBounds)?;
        Ok(Box::new(MietteSpanContents::new_named(
            self.names[self.lines[top].file].clone(),
            data,
            (start, stop - start).into(),
            self.lines[top].number,
            column,
            end + 1 - top,
        )))
    }
}
