//! The page of all codes: those of the compiler with their examples, and the rules of the library.

use super::definition::rule_anchor;
use super::prose::{Voice, inline, message};
use super::{Desk, Page, has_page, links, refer, shell, source};
use crate::diagnostics::pages::{Block, Example, Group, pages};
use maud::html;

/// The page.
pub fn page(desk: &Desk) -> Page {
    let all = pages();
    let empty = crate::job::described::Described::default();
    let voice = Voice { file: &empty, definition: None };
    let body = html! {
        header {
            h1 { "Codes" }
            p.lead { "What every message means, with an example that raises it and one that does not." }
        }
        @for group in Group::ALL {
            section.contents {
                h3 { (group.words()) }
                ul.words {
                    @for page in all.iter().filter(|p| p.group() == group) {
                        li { a href=(format!("#{}", page.code)) { code { (page.code) } } }
                    }
                }
            }
        }
        section.contents {
            h3 { "Rules of the library" }
            dl {
                @for file in &desk.book.files {
                    @for d in &file.definitions {
                        @for (n, rule) in d.rules.iter().enumerate() {
                            @let place = desk.links.definition(&refer(file, d)).unwrap_or("");
                            @let page = place.split('#').next().unwrap_or("");
                            @let anchor = if has_page(d.kind) { rule_anchor(rule, n) } else {
                                place.rsplit('#').next().unwrap_or("").to_string()
                            };
                            dt { a href=(format!("{page}#{anchor}")) { code { (rule.code) } } }
                            dd { (message(&rule.message)) }
                        }
                    }
                }
            }
        }
        @for group in Group::ALL {
            h2.part { (group.words()) }
            @for page in all.iter().filter(|p| p.group() == group) {
                article id=(page.code) {
                    h3 { (page.code) " " span class=(if page.warns { "warning" } else { "error" }) {
                        @if page.warns { "warning" } @else { "error" }
                    } }
                    @for block in &page.blocks {
                        @match block {
                            Block::Words(words) => p { (inline(desk, voice, words)) },
                            Block::Example { kind, text } => {
                                @match kind {
                                    Example::Fails => p.fails { "Fails" },
                                    Example::Passes => p.passes { "Passes" },
                                    Example::File(name) => p.with { "With a file " code { (name) } },
                                    Example::Plain => {},
                                }
                                (source::example(text))
                            },
                        }
                    }
                }
            }
        }
    };
    let crumbs = [(shell::index_name(desk), links::INDEX.to_string())];
    Page { path: links::CODES.to_string(), text: shell::page("Codes", &crumbs, &body) }
}
