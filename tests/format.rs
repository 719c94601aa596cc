//! The one style of `fmt`: what it looks like, and what it may never change.

#[path = "format/command.rs"]
mod command;
#[path = "format/kit.rs"]
mod kit;
#[path = "syntax/show.rs"]
mod show;
#[allow(dead_code)]
#[path = "common/tree_text.rs"]
mod tree_text;

use aumbry::commands::compile;
use aumbry::sources::MemoryFiles;
use aumbry::syntax::{Formatted, format};
use kit::{Random, Thing, corpus, read, things};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Each file under `cases/format` becomes the text of its snapshot.
#[test]
fn cases() {
    insta::glob!("cases/format/*.aum", |path| {
        let text = std::fs::read_to_string(path).expect("a case");
        let done = format(&text);
        let again = format(&done.text);
        assert_eq!(again.text, done.text, "{}: twice is not as once", path.display());
        let shown = match done.faulty {
            true => format!("{}(has faults)\n", done.text),
            false => done.text,
        };
        insta::assert_snapshot!(shown);
    });
}

/// What is wrong with what came of a text.
fn fault(text: &str) -> Option<String> {
    let Formatted { text: out, faulty } = format(text);
    let show = |what: &str| Some(format!("{what}\n--- text\n{text}\n--- formatted\n{out}\n---"));
    let (file, messages) = read(text);
    if faulty == messages.is_empty() {
        return show("says wrongly whether there are faults");
    }
    let again = format(&out).text;
    if again != out {
        return show(&format!("formatting it again changes it:\n{again}"));
    }
    // Every token and every comment once, in the same order, each comment beside or above the same tokens.
    let (before, after) = (kit::bare(things(text)), kit::bare(things(&out)));
    if before != after {
        let at = before.iter().zip(&after).take_while(|(a, b)| a == b).count();
        return show(&format!("tokens or comments differ: {:?} became {:?}", before.get(at), after.get(at)));
    }
    let (now, told) = read(&out);
    let codes = |m: &[aumbry::diagnostics::Diagnostic]| {
        m.iter().map(|m| (m.code.to_string(), m.message.clone())).collect::<Vec<_>>()
    };
    if codes(&messages) != codes(&told) {
        return show(&format!("messages differ: {:?} became {:?}", codes(&messages), codes(&told)));
    }
    if show::file(&file) != show::file(&now) {
        return show("the tree differs");
    }
    for broken in kit::broken(&file) {
        let kept = text.get(broken.clone()).unwrap_or("").replace("\r\n", "\n");
        if !out.contains(&kept) {
            return show(&format!("a broken statement is not as it was: {kept}"));
        }
    }
    if !faulty {
        let lines: Vec<&str> = out.lines().collect();
        for (i, line) in lines.iter().enumerate() {
            let next = lines.get(i + 1).copied().unwrap_or("x");
            if line.trim_end() != *line || line.contains('\t') && !line.contains("//") && !line.contains('"')
            {
                return show(&format!("blanks at the end of a line, or a tab: `{line}`"));
            }
            if line.is_empty() && (i == 0 || next.is_empty() || next.trim() == "}") {
                return show(&format!("an empty line too many, line {}", i + 1));
            }
            let opens = line.ends_with('{') && !line.contains("//");
            if opens && next.is_empty() {
                return show(&format!("an empty line after a brace, line {}", i + 1));
            }
        }
    }
    let left = out == text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n");
    if !left && !out.is_empty() && !out.ends_with('\n') {
        return show("no end of line at its end");
    }
    None
}

fn all_sound(count: usize, make: impl Fn(usize, &mut Random) -> String + Sync) {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut found = Vec::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= count || found.len() > 3 {
                return found;
            }
            let mut random = Random::new(n as u64);
            let text = make(n, &mut random);
            if let Some(f) = fault(&text) {
                found.push(format!("number {n}: {f}"));
            }
        }
    };
    let mut found = Vec::new();
    std::thread::scope(|scope| {
        let start = |_| std::thread::Builder::new().stack_size(256 << 20).spawn_scoped(scope, work).unwrap();
        let threads: Vec<_> = (0..2).map(start).collect();
        for t in threads {
            found.extend(t.join().expect("no panic"));
        }
    });
    assert!(found.is_empty(), "{} or more:\n{}", found.len(), found.join("\n"));
}

/// Runs with as much stack as the command gives.
fn roomy<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    std::thread::scope(|scope| {
        let thread = std::thread::Builder::new().stack_size(256 << 20).spawn_scoped(scope, work);
        thread.expect("a thread").join().expect("no panic")
    })
}

fn times(count: usize) -> usize {
    std::env::var("FORMATS").ok().and_then(|n| n.parse().ok()).unwrap_or(count)
}

#[test]
fn every_file_of_the_project() {
    let all = corpus();
    assert!(all.len() > 150, "{}", all.len());
    all_sound(all.len(), |n, _| all[n].1.clone());
}

/// Blanks, ends of lines and comments put anywhere between the tokens of sound texts.
#[test]
fn other_layouts() {
    let pieces = roomy(kit::pieces);
    assert!(pieces.len() > 300, "{}", pieces.len());
    all_sound(times(5000), |n, random| kit::relaid(&pieces[n % pieces.len()], random));
}

/// Tokens dropped, swapped, doubled and mistyped, in texts laid out as they were or otherwise.
#[test]
fn broken_texts() {
    let pieces = roomy(kit::pieces);
    all_sound(times(5000), |n, random| {
        let piece = &pieces[n % pieces.len()];
        let text = if random.below(3) == 0 { kit::relaid(piece, random) } else { piece.clone() };
        kit::damaged(&text, random)
    });
}

#[test]
fn comments_keep_their_neighbours() {
    let text = "aumbry 1\nlet a = [1, // one\n 2] // two\n// three\n";
    let things = things(&format(text).text);
    let at = things.iter().position(|t| *t == Thing::Comment("// one".into(), true)).expect("the comment");
    assert_eq!(things[at - 1], Thing::Token(",".into()));
    assert_eq!(things[at + 1], Thing::Token("2".into()));
}

/// The job of a text as the command writes it, without what is about the text itself.
fn job(files: &MemoryFiles, name: &str) -> Option<String> {
    let mut job = compile(files, name, None).job?;
    job.sources.iter_mut().for_each(|s| s.digest.clear());
    job.messages.iter_mut().for_each(|m| m.at.clear());
    Some(aumbry::outputs::json::job(&job))
}

/// Every example, laid out as it is and in other ways, makes the same job once it is formatted.
#[test]
fn the_job_is_the_same() {
    let examples: Vec<(String, String)> = corpus()
        .into_iter()
        .filter_map(|(name, text)| Some((name.strip_prefix("examples/")?.to_string(), text)))
        .filter(|(name, _)| name.ends_with(".aum"))
        .collect();
    assert!(examples.len() > 10);
    let all = |changed: &str, text: &str| {
        examples.iter().fold(MemoryFiles::new(), |files, (name, own)| {
            files.with(name, if name == changed { text } else { own })
        })
    };
    let before: Vec<_> = roomy(|| examples.iter().map(|(n, t)| job(&all(n, t), n)).collect());
    let next = AtomicUsize::new(0);
    let work = || loop {
        let n = next.fetch_add(1, Ordering::Relaxed);
        let Some((name, text)) = examples.get(n % examples.len()).filter(|_| n < 3 * examples.len()) else {
            break;
        };
        let mut random = Random::new(n as u64);
        let text = if n < examples.len() { text.clone() } else { kit::relaid(text, &mut random) };
        let out = format(&text).text;
        let after = job(&all(name, &out), name);
        assert!(after.is_some(), "{name} does not compile:\n{out}");
        assert!(after == before[n % examples.len()], "{name} makes another job:\n{out}");
    };
    std::thread::scope(|scope| {
        for _ in 0..2 {
            std::thread::Builder::new().stack_size(256 << 20).spawn_scoped(scope, work).expect("a thread");
        }
    });
}

/// A statement that was commented out can be brought back, wherever the text was formatted since.
#[test]
fn code_that_is_commented_out() {
    let pieces = roomy(kit::pieces);
    // Its `=` and its comment may stand in columns with those beside it.
    let is_it = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        words == ["let", "spare", "=", "12mm", "//", "old"]
    };
    let one = |n: usize, random: &mut Random| -> Option<String> {
        let piece = &pieces[n % pieces.len()];
        let places = kit::statement_starts(&read(piece).0);
        let at = *random.of(&places);
        let mut text = piece.clone();
        text.insert_str(at, "\n   //let   spare=12mm // old\n");
        if random.below(2) == 0 {
            text = kit::relaid(&text, random);
        }
        // It may stand where nothing may, or between two words that make one only beside each other.
        if !read(&text).1.is_empty() {
            return None;
        }
        let out = format(&text).text;
        if let Some(f) = fault(&text) {
            return Some(f);
        }
        let back = out.replacen("//let   spare=12mm // old", "let   spare=12mm // old", 1);
        let (file, messages) = read(&back);
        let found = show::file(&file).contains("let spare = ");
        (!messages.is_empty() || !found || format(&back).text.lines().filter(|l| is_it(l)).count() != 1)
            .then(|| format!("not brought back:\n{out}"))
    };
    roomy(|| {
        for n in 0..times(5000) / 10 {
            let found = one(n * 7, &mut Random::new(n as u64));
            assert!(found.is_none(), "number {n}: {}", found.unwrap_or_default());
        }
    });
}

/// The project's own texts are in the style: library, examples, tests, and the blocks of its pages.
#[test]
fn every_text_is_in_the_style() {
    // What stands under `cases` is there for how it is laid out.
    let own = |name: &str| !name.starts_with("tests/cases/");
    let untidy: Vec<String> = roomy(|| {
        let texts = corpus().into_iter().filter(|(name, text)| own(name) && read(text).1.is_empty());
        texts.filter(|(_, text)| format(text).text != *text).map(|(name, _)| name).collect()
    });
    assert!(untidy.is_empty(), "not in the style (aumbry fmt; for pages, each block): {}", untidy.join(", "));
}
