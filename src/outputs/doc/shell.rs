//! What every page has around it, and how it looks.

use super::{Desk, STYLE_FILE};
use maud::{DOCTYPE, Markup, html};

/// What the first page is called in the path above the others.
pub fn index_name(desk: &Desk) -> String {
    let name = if desk.book.codes { "The library" } else { "Contents" };
    name.to_string()
}

/// A whole page. `crumbs` are the pages above it: name and file.
pub fn page(title: &str, crumbs: &[(String, String)], body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                link rel="stylesheet" href=(STYLE_FILE);
            }
            body {
                @if !crumbs.is_empty() {
                    nav.crumbs {
                        @for (name, link) in crumbs { a href=(link) { (name) } " › " }
                        (title)
                    }
                }
                main { (body) }
            }
        }
    };
    page.into_string() + "\n"
}

/// The style sheet, with the font of the drawings.
pub fn style(font: &str) -> String {
    format!("{font}\n{STYLE}")
}

const STYLE: &str = include_str!("style.css");
