//! The page of a file: what it is about, everything it defines, and the small definitions in full.

use super::definition::{parameters, rules, text};
use super::links::anchor;
use super::prose::{Voice, code, doc, inline, sentence};
use super::{Desk, KINDS, Page, has_page, kind_words, refer, shell, source};
use crate::diagnostics::visible;
use crate::job::described::{Definition, Described, Rule};
use maud::{Markup, html};

/// The page.
pub fn page(desk: &Desk, file: &Described) -> Page {
    let voice = Voice { file, definition: None };
    let small: Vec<&Definition> = file.definitions.iter().filter(|d| !has_page(d.kind)).collect();
    let body = html! {
        header {
            p.kind { @if file.library { "library" } @else { "file" } }
            h1 { (file.name) }
            (doc(desk, voice, &file.doc))
        }
        (contents(desk, file))
        (house(desk, voice, file))
        (own_rules(&file.rules))
        @for (kind, words) in KINDS {
            @let of: Vec<&&Definition> = small.iter().filter(|d| d.kind == kind).collect();
            @if !of.is_empty() {
                h2.part { (words) }
                @for d in of { (short(desk, file, d)) }
            }
        }
    };
    let crumbs = [(shell::index_name(desk), "index.html".to_string())];
    Page {
        path: desk.links.module(&file.name).unwrap_or("page.html").to_string(),
        text: shell::page(&file.name, &crumbs, &body),
    }
}

/// Everything a file defines, one line each.
pub fn contents(desk: &Desk, file: &Described) -> Markup {
    html! {
        @for (kind, words) in KINDS {
            @let of: Vec<&Definition> = file.definitions.iter().filter(|d| d.kind == kind).collect();
            @if !of.is_empty() {
                section.contents {
                    h3 { (words) }
                    dl {
                        @for d in of {
                            @let voice = Voice { file, definition: Some(d) };
                            dt { a href=(desk.links.definition(&refer(file, d)).unwrap_or("")) { code { (d.name) } } }
                            dd { (inline(desk, voice, &sentence(&d.doc))) }
                        }
                    }
                }
            }
        }
    }
}

fn house(desk: &Desk, voice: Voice, file: &Described) -> Markup {
    if file.house.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "Fields of the house" }
            div.wide { table.params {
                thead { tr { th { "field" } th { "type" } th { "if not said" } } }
                @for field in &file.house {
                    tbody {
                        tr id=(format!("house-{}", field.name)) {
                            th scope="row" { code { "house." (field.name) } }
                            td.type { (visible(&field.ty)) }
                            td {
                                @match &field.default {
                                    Some(default) => (code(desk, voice, default)),
                                    None => em { "must be given" },
                                }
                            }
                        }
                        tr.about {
                            td colspan="3" {
                                (inline(desk, voice, &field.doc.join(" ")))
                                @if !field.note.is_empty() { " " (inline(desk, voice, &field.note)) }
                            }
                        }
                    }
                }
            } }
        }
    }
}

fn own_rules(rules: &[Rule]) -> Markup {
    if rules.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 { "Rules of the file" }
            ul {
                @for rule in rules {
                    li {
                        code { (rule.code) } " " span class=(rule.severity()) { (rule.severity()) } " “"
                        (super::prose::message(&rule.message)) "” " code { (visible(&rule.condition)) }
                    }
                }
            }
        }
    }
}

/// A definition that stands on the page of its file.
fn short(desk: &Desk, file: &Described, d: &Definition) -> Markup {
    let of = refer(file, d);
    let voice = Voice { file, definition: Some(d) };
    html! {
        article id=(anchor(d.kind, &d.name)) {
            h3 { (d.name) " " span.kind { (kind_words(d.kind)) } }
            (doc(desk, voice, &d.doc))
            @if let Some(value) = &d.value {
                (source::example(&signature(d, value)))
            }
            @let told = d.kind != "fn" || d.params.iter().any(|p| !p.note.is_empty());
            @if told && !d.params.is_empty() {
                h4 { "Parameters" }
                (parameters(desk, voice, d, &[]))
            }
            (fields(desk, voice, d))
            @if !d.rules.is_empty() {
                h4 { "What it checks" }
                (rules(desk, voice, d))
            }
            (relations_of(desk, &of, d))
            (text(file, d))
        }
    }
}

fn relations_of(desk: &Desk, of: &crate::job::described::Reference, d: &Definition) -> Markup {
    let used_by = desk.used_by.get(of).map(Vec::as_slice).unwrap_or_default();
    html! {
        @if let Some((base, call)) = &d.base {
            p { "Made from " (super::prose::reference(desk, base)) ": " code { (visible(call)) } }
        }
        @if !used_by.is_empty() {
            p.note {
                "Named by "
                @for (n, r) in used_by.iter().enumerate() {
                    @if n > 0 { ", " }
                    (super::prose::reference(desk, r))
                }
                "."
            }
        }
    }
}

/// A function as it stands.
fn signature(d: &Definition, value: &str) -> String {
    let params: Vec<String> = d
        .params
        .iter()
        .map(|p| match &p.default {
            Some(default) => format!("{}: {} = {default}", p.name, p.ty),
            None => format!("{}: {}", p.name, p.ty),
        })
        .collect();
    let gives = d.gives.as_deref().map(|g| format!(": {g}")).unwrap_or_default();
    format!("fn {}({}){gives} =\n  {}\n", d.name, params.join(", "), value)
}

/// The fields of a board, band or item, with what is worked out.
fn fields(desk: &Desk, voice: Voice, d: &Definition) -> Markup {
    if d.fields.is_empty() {
        return html! {};
    }
    let of = refer(voice.file, d);
    let worth = |name: &str| desk.book.shown.worth.get(&(of.clone(), name.to_string()));
    html! {
        h4 { "Fields" }
        div.wide { table.params.fields {
            thead { tr { th { "field" } th { "value" } } }
            @for f in &d.fields {
                tbody {
                    tr {
                        th scope="row" { code { (f.name) } }
                        td {
                            (code(desk, voice, &f.value))
                            @if let Some(worth) = worth(&f.name).filter(|w| **w != f.value) {
                                span.beside { "that is " (visible(worth)) }
                            }
                        }
                    }
                    @if !f.note.is_empty() {
                        tr.about { td colspan="2" { (inline(desk, voice, &f.note)) } }
                    }
                }
            }
        } }
    }
}
