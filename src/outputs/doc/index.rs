//! The first page: every file with all it defines, one line each.

use super::prose::{Voice, doc, inline, sentence};
use super::{Desk, Page, has_page, links, module, shell};
use maud::html;

/// The page.
pub fn page(desk: &Desk) -> Page {
    let book = desk.book;
    let library = book.files.iter().all(|f| f.library);
    let body = html! {
        header {
            h1 { (book.title) }
            @match book.files.as_slice() {
                [file] => (doc(desk, Voice { file, definition: None }, &file.doc)),
                _ if library => p.lead {
                    "Box types, joints, hardware and materials, each written in the language itself. Open one, \
                     read how it is built, copy it and change it."
                },
                _ => p.lead { "What these files define." },
            }
        }
        @if book.files.len() > 1 {
            nav.files {
                ul {
                    @for file in &book.files {
                        @let voice = Voice { file, definition: None };
                        li {
                            a href=(desk.links.module(&file.name).unwrap_or("")) { code { (file.name) } }
                            " " (inline(desk, voice, &sentence(&file.doc)))
                        }
                    }
                    @if book.codes {
                        li { a href=(links::CODES) { "Codes" } " What every message means, with examples." }
                    }
                }
            }
        }
        @for file in &book.files {
            section.file {
                @if book.files.len() > 1 {
                    h2 { a href=(desk.links.module(&file.name).unwrap_or("")) { (file.name) } }
                }
                (module::contents(desk, file))
                @if book.files.len() == 1 && file.definitions.iter().any(|d| !has_page(d.kind)) {
                    p { a href=(desk.links.module(&file.name).unwrap_or("")) { "The small ones in full" } }
                }
                @if file.definitions.is_empty() && !file.house.is_empty() {
                    p { "Fields of the house: "
                        @for (n, field) in file.house.iter().enumerate() { @if n > 0 { ", " } code { (field.name) } }
                        "."
                    }
                }
            }
        }
    };
    Page { path: links::INDEX.to_string(), text: shell::page(&book.title, &[], &body) }
}
