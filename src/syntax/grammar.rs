//! The grammar, made into a reader by pest.

use pest::Parser;
use pest::iterators::Pairs;

#[derive(pest_derive::Parser)]
#[grammar = "grammar/aumbry.pest"]
struct Reader;

/// What pest could not read; boxed, since it is large.
pub(super) type Fault = Box<pest::error::Error<Rule>>;

/// Reads a text by one rule; the rule need not reach the end of the text.
pub(super) fn read(rule: Rule, text: &str) -> Result<Pairs<'_, Rule>, Fault> {
    Reader::parse(rule, text).map_err(Box::new)
}
