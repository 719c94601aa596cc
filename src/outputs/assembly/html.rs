//! The steps as a page to print and tick off at the bench.

use super::{heading, sections};
use crate::job::Job;
use crate::planning::assembly::plan;
use std::fmt::Write as _;

const STYLE: &str = "body{font:12pt/1.4 sans-serif;margin:15mm;color:#000}\
h1{font-size:16pt}h2{font-size:13pt;margin:6mm 0 1mm;break-after:avoid}\
p{margin:0 0 2mm}ol{list-style:none;margin:0;padding:0}\
li{display:grid;grid-template-columns:7mm 10mm 1fr;padding:1.2mm 0;border-bottom:.2mm solid #bbb;break-inside:avoid}\
li input{width:4.5mm;height:4.5mm;margin:.5mm 0 0}.n{text-align:right;padding-right:3mm}\
.care{font-weight:bold}@media print{body{margin:0}}@page{margin:15mm}";

/// Text that means itself in HTML.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in crate::diagnostics::visible(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}

/// The steps as one HTML file that needs no other.
pub fn page(job: &Job) -> String {
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Assembly</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<h1>Assembly</h1>\n<p>{}</p>\n",
        escape(&heading(job))
    );
    for section in sections(job, &plan(job)) {
        let _ = writeln!(out, "<h2>{}</h2>", escape(&section.title));
        if !section.lead.is_empty() {
            let _ = writeln!(out, "<p>{}</p>", escape(&section.lead));
        }
        out.push_str("<ol>\n");
        for line in &section.lines {
            let n = line.number;
            let _ = write!(
                out,
                "<li><input type=\"checkbox\" id=\"s{n}\"><label class=\"n\" for=\"s{n}\">{n}</label><div>{}",
                escape(&line.text)
            );
            for caution in &line.cautions {
                let _ = write!(out, "<div class=\"care\">{}</div>", escape(caution));
            }
            out.push_str("</div></li>\n");
        }
        out.push_str("</ol>\n");
    }
    let parts = crate::outputs::parts::distinct(job);
    let cautions = crate::outputs::cautions::cautions(job, &parts);
    if !cautions.is_empty() {
        out.push_str("<h2>Take care</h2>\n<ul>\n");
        for caution in cautions {
            let _ = writeln!(out, "<li style=\"display:list-item\">{}</li>", escape(&caution));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</body>\n</html>\n");
    out
}
