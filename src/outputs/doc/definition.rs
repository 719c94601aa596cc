//! The page of a definition that makes something: a box, a joint, a fitting, a wall.

use super::prose::{Voice, code, doc, inline, message, reference};
use super::{Desk, KINDS, Page, kind_words, made, refer, shell, source};
use crate::diagnostics::visible;
use crate::job::described::{
    Asks, Bought, Definition, Described, Instance, Parameter, Reference, Rule, Tested,
};
use crate::outputs::words::count;
use maud::{Markup, html};

/// The page.
pub fn page(desk: &Desk, file: &Described, d: &Definition) -> Page {
    let of = refer(file, d);
    let voice = Voice { file, definition: Some(d) };
    let instance = desk.book.shown.instances.get(&of);
    let fault = desk.book.shown.faults.get(&of);
    let body = html! {
        header {
            p.kind { (kind_words(d.kind)) }
            h1 { (d.name) }
            (doc(desk, voice, &d.doc))
            (usage(file, d, instance.map(|i| i.seen.values.as_slice()).unwrap_or_default()))
        }
        @if let Some(fault) = fault {
            p.fault { "With its default values it fails: " (visible(fault)) }
        }
        @match instance {
            Some(instance) => {
                (made::drawings(instance))
                @if fault.is_some() { p.note { (made::how(instance)) } }
            },
            None if matches!(d.kind, "wall" | "row" | "obstacle") => {},
            None => p.note {
                "There is no drawing: it cannot stand by itself, and no test makes one that could be shown."
            },
        }
        @if !d.params.is_empty() {
            section {
                h2 id="parameters" { "Parameters" }
                (parameters(desk, voice, d, instance.map(|i| i.seen.values.as_slice()).unwrap_or_default()))
            }
        }
        @if let Some(instance) = instance {
            (made::parts(instance))
            @if matches!(d.kind, "joint" | "fitting") { (made::work(instance)) }
        }
        (checks(desk, voice, d))
        (buys(desk, voice, d, instance))
        (tests(d))
        (relations(desk, &of, d))
        (text(file, d))
    };
    let crumbs = [
        (shell::index_name(desk), "index.html".to_string()),
        (file.name.clone(), desk.links.module(&file.name).unwrap_or("index.html").to_string()),
    ];
    Page {
        path: desk.links.definition(&of).unwrap_or("page.html").to_string(),
        text: shell::page(&d.name, &crumbs, &body),
    }
}

/// How it is brought in and used.
fn usage(file: &Described, d: &Definition, values: &[(String, String)]) -> Markup {
    let from = if file.library { file.name.clone() } else { format!("\"{}\"", file.name) };
    let mut lines = format!("use {from} ({})\n", d.name);
    let needed: Vec<String> = d
        .params
        .iter()
        .filter(|p| p.default.is_none() && !p.optional)
        .map(|p| {
            // Only a figure or word means the same in another text.
            let plain = matches!(p.ty.as_str(), "length" | "count" | "number" | "mass" | "height")
                || p.ty.starts_with("choice");
            let value = values.iter().find(|(name, _)| *name == p.name).map(|(_, v)| v.as_str());
            match value.filter(|_| plain) {
                Some(value) => format!("{}: {value}", p.name),
                None => format!("{}: …", p.name),
            }
        })
        .collect();
    let name = if d.kind == "joint" { "" } else { "NAME " };
    let equals = if d.kind == "joint" { "" } else { "= " };
    lines.push_str(&format!("{} {name}{equals}{}({})\n", d.kind, d.name, needed.join(", ")));
    source::example(&lines)
}

/// The parameters, with what they are in the drawing where the text does not say it.
pub fn parameters(desk: &Desk, voice: Voice, d: &Definition, values: &[(String, String)]) -> Markup {
    html! {
        div.wide { table.params {
            thead { tr { th { "name" } th { "type" } th { "if not said" } } }
            @for p in &d.params {
                tbody {
                    tr {
                        th scope="row" { code { (p.name) } }
                        td.type { (visible(&p.ty)) }
                        td.default { (default(desk, voice, p, values)) }
                    }
                    @if !p.note.is_empty() {
                        tr.about { td colspan="3" { (inline(desk, voice, &p.note)) } }
                    }
                }
            }
        } }
    }
}

/// What a parameter is if it is not said, and what it is in the drawing where that differs.
fn default(desk: &Desk, voice: Voice, p: &Parameter, values: &[(String, String)]) -> Markup {
    let value = values.iter().find(|(name, _)| *name == p.name).map(|(_, v)| v.as_str());
    let houses: Vec<&str> = p.reads.iter().filter_map(|field| desk.house(field)).collect();
    let told = match &p.default {
        Some(default) => value.is_none_or(|v| v == default || v.is_empty() || houses.contains(&v)),
        None => value.is_none_or(|v| p.optional && v == "none"),
    };
    html! {
        @match &p.default {
            Some(default) => (code(desk, voice, default)),
            None if p.optional => code { "none" },
            None => em { "must be given" },
        }
        @for field in &p.reads {
            @if let Some(value) = desk.house(field) {
                span.beside { code { "house." (field) } " is " (code(desk, voice, value)) }
            }
        }
        @if !told { span.beside { "in the drawing " (visible(value.unwrap_or(""))) } }
    }
}

/// The rules of a definition.
fn checks(desk: &Desk, voice: Voice, d: &Definition) -> Markup {
    if d.rules.is_empty() && d.base.is_none() {
        return html! {};
    }
    html! {
        section {
            h2 id="checks" { "What it checks" }
            (rules(desk, voice, d))
            @if let Some((base, _)) = &d.base {
                p { "And all that " (reference(desk, base)) " checks, from which it is made." }
            }
        }
    }
}

/// Each rule with its message and condition.
pub fn rules(desk: &Desk, voice: Voice, d: &Definition) -> Markup {
    html! {
        @for (n, rule) in d.rules.iter().enumerate() { (rule_of(desk, voice, rule, n)) }
    }
}

fn rule_of(desk: &Desk, voice: Voice, rule: &Rule, n: usize) -> Markup {
    let asks = match rule.asks {
        Asks::Require => "must hold:",
        Asks::Warn => "should hold:",
        Asks::Choice => "must not be empty:",
    };
    html! {
        div.rule id=(rule_anchor(rule, n)) {
            p.code { code { (rule.code) } " " span class=(rule.severity()) { (rule.severity()) } }
            p.message { "“" (message(&rule.message)) "”" }
            p.asks {
                (asks) " " (code(desk, voice, &rule.condition))
                @for when in &rule.when { ", where " code { (visible(when)) } }
                " " a href=(format!("#L{}", rule.line)) { "line " (rule.line) }
            }
        }
    }
}

/// The anchor of a rule on the page of its definition.
pub fn rule_anchor(rule: &Rule, n: usize) -> String {
    format!("rule-{}-{}", n + 1, rule.word())
}

fn buys(desk: &Desk, voice: Voice, d: &Definition, instance: Option<&Instance>) -> Markup {
    let rows = instance.map(made::bought).unwrap_or_default();
    if rows.is_empty() && d.buys.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 id="buys" { "What it buys" }
            @if !rows.is_empty() {
                div.wide { table {
                    thead { tr { th.n { "in the drawing" } th { "item" } th { "what it is" } } }
                    tbody {
                        @for (count, name, description) in &rows {
                            tr { td.n { (count) } td { (code(desk, voice, name)) } td { (visible(description)) } }
                        }
                    }
                } }
            }
            @if !d.buys.is_empty() {
                p.note { "As it is written:" }
                ul { @for b in &d.buys { li { (bought(desk, voice, b)) } } }
            }
        }
    }
}

fn bought(desk: &Desk, voice: Voice, b: &Bought) -> Markup {
    html! {
        (code(desk, voice, &b.item))
        @if let Some(quantity) = &b.quantity { ", " code { (visible(quantity)) } " of it" }
        @if !b.when.is_empty() {
            ", where "
            @for (n, when) in b.when.iter().enumerate() {
                @if n > 0 { " and " }
                code { (visible(when)) }
            }
        }
    }
}

/// The sizes it is swept over, and its other tests.
fn tests(d: &Definition) -> Markup {
    if d.tests.is_empty() {
        return html! {};
    }
    let (swept, plain): (Vec<&Tested>, Vec<&Tested>) = d.tests.iter().partition(|t| !t.over.is_empty());
    html! {
        section {
            h2 id="tests" { "Tests" }
            @if !swept.is_empty() {
                ul {
                    @for t in swept {
                        li {
                            (visible(&t.name))
                            @for (name, list) in &t.over { ", " code { (name) } " of " code { (visible(list)) } }
                            @if let Some(runs) = t.runs { " (" (runs) " runs)" }
                        }
                    }
                }
            }
            @if !plain.is_empty() {
                details {
                    summary { (count(plain.len(), "single test", "single tests")) }
                    ul {
                        @for t in plain {
                            li {
                                (visible(&t.name))
                                @for code in &t.expects { ", which raises " code { (visible(code)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What it is made from and names, and what names it.
fn relations(desk: &Desk, of: &Reference, d: &Definition) -> Markup {
    let used_by = desk.used_by.get(of).map(Vec::as_slice).unwrap_or_default();
    if d.base.is_none() && d.uses.is_empty() && used_by.is_empty() {
        return html! {};
    }
    html! {
        section.relations {
            h2 id="relations" { "What it goes with" }
            @if let Some((base, call)) = &d.base {
                p { "Made from " (reference(desk, base)) ": " code { (visible(call)) } }
            }
            dl {
                @for (kind, words) in KINDS {
                    @let all: Vec<&Reference> =
                        d.uses.iter().filter(|r| desk.kinds.get(*r).copied() == Some(kind)).collect();
                    @if !all.is_empty() {
                        dt { (words) " it names" }
                        dd { @for (n, r) in all.iter().enumerate() { @if n > 0 { ", " } (reference(desk, r)) } }
                    }
                }
                @if !used_by.is_empty() {
                    dt { "Named by" }
                    dd { @for (n, r) in used_by.iter().enumerate() { @if n > 0 { ", " } (reference(desk, r)) } }
                }
            }
        }
    }
}

/// The text of the definition, folded.
pub fn text(file: &Described, d: &Definition) -> Markup {
    html! {
        details.text {
            summary { "The text of " code { (d.name) } ", " (file.name) " from line " (d.line) " on" }
            (source::lines(&d.source, d.line))
        }
    }
}
