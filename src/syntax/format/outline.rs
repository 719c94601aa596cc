//! The statements of a text with the braces in them, and the stretches that are left as they are.

use super::Keep;
use super::hints::Hints;
use crate::syntax::scan::Scan;
use crate::syntax::tree::File;
use std::ops::Range;

/// What stands in a file or between braces.
pub(super) enum Item {
    Statement(Statement),
    /// Bytes that are left as they are.
    Kept(Range<usize>),
}

/// A statement by its tokens.
pub(super) struct Statement {
    pub tokens: Range<usize>,
    pub bodies: Vec<Body>,
}

/// Braces by their tokens.
pub(super) struct Body {
    pub open: usize,
    pub close: usize,
    pub items: Vec<Item>,
}

/// The outline of a file.
pub(super) fn outline(text: &str, scan: &Scan, file: &File, hints: &Hints, keep: Keep) -> Vec<Item> {
    let mut outliner = Outliner { text, scan, hints, keep, next: 0 };
    let mut items = Vec::new();
    let mut first = 0;
    // Line one is no statement of the tree.
    if let Some((_, span)) = file.version {
        first = scan.token_at(span.end as usize);
        items.push(Item::Statement(Statement { tokens: 0..first, bodies: Vec::new() }));
    }
    let mut faults = hints.faults.clone();
    faults.sort_by_key(|f| (f.start, f.end));
    items.extend(outliner.level(first..scan.tokens.len(), faults, true));
    items
}

struct Outliner<'a> {
    text: &'a str,
    scan: &'a Scan,
    hints: &'a Hints<'a>,
    keep: Keep,
    next: usize,
}

impl Outliner<'_> {
    fn bytes(&self, tokens: &Range<usize>) -> Range<usize> {
        let start = self.scan.token_span(tokens.start).start as usize;
        start..(self.scan.token_span(tokens.end.saturating_sub(1)).end as usize).max(start)
    }

    /// What stands between two tokens, with the faults between them.
    fn level(&mut self, tokens: Range<usize>, mut faults: Vec<Range<usize>>, outer: bool) -> Vec<Item> {
        let mut items: Vec<(Range<usize>, Item)> = Vec::new();
        let mut at = tokens.start;
        while at < tokens.end {
            while self.hints.extents.get(self.next).is_some_and(|e| e.start < at) {
                self.next += 1;
            }
            let found = self.hints.extents.get(self.next).cloned();
            match found {
                Some(e) if e.start == at && e.end <= tokens.end => {
                    self.next += 1;
                    let bytes = self.bytes(&e);
                    at = e.end;
                    let item = self.statement(e, &mut faults, outer);
                    items.push((bytes.clone(), item.map_or(Item::Kept(bytes), Item::Statement)));
                }
                found => {
                    // What no statement holds is left as it is.
                    let end = found.map_or(tokens.end, |e| e.start.min(tokens.end)).max(at + 1);
                    let bytes = self.bytes(&(at..end));
                    items.push((bytes.clone(), Item::Kept(bytes)));
                    at = end;
                }
            }
        }
        for fault in faults {
            self.keep(&mut items, fault);
        }
        items.sort_by_key(|(bytes, _)| bytes.start);
        items.into_iter().map(|(_, item)| item).collect()
    }

    /// A statement, unless it holds a fault outside its braces.
    fn statement(
        &mut self,
        tokens: Range<usize>,
        faults: &mut Vec<Range<usize>>,
        outer: bool,
    ) -> Option<Statement> {
        let whole = self.bytes(&tokens);
        if outer && self.keep == Keep::Item && faults.iter().any(|f| touch(f, &whole)) {
            return None;
        }
        let mut bodies = Vec::new();
        let mut at = tokens.start;
        while at < tokens.end {
            match self.scan.word(at) {
                "{" => {
                    let close = self.hints.partner.get(at).copied().filter(|c| *c > at && *c < tokens.end)?;
                    let inside =
                        self.scan.token_span(at).end as usize..self.scan.token_span(close).start as usize;
                    let within = |f: &Range<usize>| f.start >= inside.start && f.end <= inside.end;
                    // On one line all is left as it is.
                    let one_line = self.text.get(inside.clone()).is_none_or(|t| !t.contains('\n'));
                    let own = faults.iter().filter(|f| within(f)).cloned().collect::<Vec<_>>();
                    if one_line && !own.is_empty() {
                        return None;
                    }
                    faults.retain(|f| !within(f));
                    let items = self.level(at + 1..close, own, false);
                    bodies.push(Body { open: at, close, items });
                    at = close + 1;
                }
                "}" => return None,
                _ => at += 1,
            }
        }
        if faults.iter().any(|f| touch(f, &whole)) { None } else { Some(Statement { tokens, bodies }) }
    }

    /// Leaves a fault as it is, and with it everything it touches.
    fn keep(&self, items: &mut Vec<(Range<usize>, Item)>, fault: Range<usize>) {
        let mut whole = fault;
        items.retain(|(bytes, _)| {
            let touches = touch(bytes, &whole);
            if touches {
                whole = whole.start.min(bytes.start)..whole.end.max(bytes.end);
            }
            !touches
        });
        items.push((whole.clone(), Item::Kept(whole)));
        items.sort_by_key(|(bytes, _)| bytes.start);
    }
}

fn touch(a: &Range<usize>, b: &Range<usize>) -> bool {
    a.start <= b.end && b.start <= a.end
}
