//! Marks: the short labels written on the wood, one for each distinct part.

use super::sameness::group;
use super::{Part, Same, name_and_index, path_names, path_order};
use std::collections::{BTreeMap, BTreeSet};

/// The marks of an earlier `job.json`, by path.
#[derive(Clone, Debug, Default)]
pub struct KeptMarks {
    by_path: BTreeMap<String, String>,
}

impl KeptMarks {
    /// Reads the marks of a `job.json`; an error says in words what is wrong with it.
    pub fn read(text: &str) -> Result<KeptMarks, String> {
        #[derive(serde::Deserialize)]
        struct Old {
            format: String,
            parts: Vec<OldPart>,
        }
        #[derive(serde::Deserialize)]
        struct OldPart {
            path: String,
            mark: String,
        }
        let old: Old = serde_json::from_str(text).map_err(|e| format!("it is no job.json: {e}"))?;
        if old.format != "aumbry-job/1" {
            return Err(format!("its format is `{}`; this compiler reads `aumbry-job/1`", old.format));
        }
        let by_path = old.parts.into_iter().map(|p| (p.path, p.mark)).collect();
        Ok(KeptMarks { by_path })
    }

    /// The marks that these paths bear.
    pub fn new(marks: impl IntoIterator<Item = (String, String)>) -> KeptMarks {
        KeptMarks { by_path: marks.into_iter().collect() }
    }
}

/// Gives every part its mark and piece number, and says which parts are the same and which are pairs.
///
/// A mark is made of the initials of every word of the box's and the part's name of the first path of
/// the distinct part, and the part's index. Where two would be the same, each takes more letters of
/// its last word until they differ; if they never do, a hyphen and a count in the order of paths.
/// A mark in `kept` stays with the distinct part that holds its oldest path, and is given to no other.
pub fn assign(parts: &mut [Part], kept: Option<&KeptMarks>) -> (Vec<Same>, Vec<(String, String)>) {
    let groups = group(parts);
    let first: Vec<&str> = groups.groups.iter().map(|g| parts[g[0]].path.as_str()).collect();
    let members = |g: usize| groups.groups[g].iter().map(|i| parts[*i].path.as_str());
    let mut marks: Vec<Option<String>> = vec![None; groups.groups.len()];
    let mut taken: BTreeSet<String> = BTreeSet::new();
    if let Some(kept) = kept {
        taken.extend(kept.by_path.values().cloned());
        claim(kept, members, &mut marks);
    }
    let open: Vec<usize> = (0..marks.len()).filter(|g| marks[*g].is_none()).collect();
    let new = new_marks(&open.iter().map(|g| first[*g]).collect::<Vec<_>>(), &taken);
    for (group, mark) in open.into_iter().zip(new) {
        marks[group] = Some(mark);
    }
    let marks: Vec<String> = marks.into_iter().flatten().collect();

    let mut same = Vec::with_capacity(marks.len());
    for (group, mark) in groups.groups.iter().zip(&marks) {
        let lead = &parts[group[0]];
        same.push(Same {
            mark: mark.clone(),
            length: lead.length,
            width: lead.width,
            thickness: lead.thickness,
            pieces: group.iter().map(|i| parts[*i].path.clone()).collect(),
        });
    }
    for (group, mark) in groups.groups.iter().zip(&marks) {
        for (piece, index) in group.iter().enumerate() {
            parts[*index].mark.clone_from(mark);
            parts[*index].piece = piece as u32 + 1;
        }
    }
    let pairs = groups.pairs.iter().map(|(a, b)| (marks[*a].clone(), marks[*b].clone())).collect();
    (same, pairs)
}

/// Hands each old mark to the distinct part that holds the oldest path that bore it. A distinct part
/// that could have several takes that of its own oldest path.
fn claim<'a, I: Iterator<Item = &'a str>>(
    kept: &KeptMarks,
    members: impl Fn(usize) -> I,
    marks: &mut [Option<String>],
) {
    let mut paths: Vec<(&str, usize)> = Vec::new();
    for group in 0..marks.len() {
        paths.extend(members(group).map(|path| (path, group)));
    }
    paths.sort_by(|a, b| path_order(a.0, b.0));
    let mut given: BTreeSet<&str> = BTreeSet::new();
    for (path, group) in paths {
        if let Some(mark) = kept.by_path.get(path)
            && marks[group].is_none()
            && given.insert(mark)
        {
            marks[group] = Some(mark.clone());
        }
    }
}

/// What a mark is made of: the initials before the last word, that word, and the index.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Form {
    initials: String,
    word: Vec<char>,
    index: String,
}

impl Form {
    fn of(path: &str) -> Form {
        let names = path_names(path);
        let part = names.last().copied().unwrap_or_default();
        let holder = names.len().checked_sub(2).and_then(|i| names.get(i)).copied().unwrap_or_default();
        let (name, index) = name_and_index(part);
        let (holder, _) = name_and_index(holder);
        let words: Vec<&str> =
            holder.split('_').chain(name.split('_')).filter(|word| !word.is_empty()).collect();
        let (last, before) = words.split_last().unwrap_or((&"", &[]));
        Form {
            initials: before.iter().filter_map(|w| w.chars().next()).flat_map(char::to_uppercase).collect(),
            word: last.chars().flat_map(char::to_uppercase).collect(),
            index: index.map(short_index).unwrap_or_default(),
        }
    }

    fn mark(&self, letters: usize) -> String {
        let word: String = self.word.iter().take(letters).collect();
        format!("{}{word}{}", self.initials, self.index)
    }
}

/// An index as it stands in a mark: a number as it is, the name of a thing by its initials and number.
fn short_index(index: &str) -> String {
    let mut out = String::new();
    for word in index.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()) {
        if word.bytes().all(|b| b.is_ascii_digit()) {
            out.push_str(word);
        } else {
            out.extend(word.chars().take(1).flat_map(char::to_uppercase));
        }
    }
    out
}

/// Marks for distinct parts by their first paths, which come in path order, none of them in `taken`.
fn new_marks(first: &[&str], taken: &BTreeSet<String>) -> Vec<String> {
    // Parts whose forms are equal can never differ by more letters: they grow together.
    let mut forms: BTreeMap<Form, Vec<usize>> = BTreeMap::new();
    for (i, path) in first.iter().enumerate() {
        forms.entry(Form::of(path)).or_default().push(i);
    }
    let mut letters: Vec<usize> = vec![1; forms.len()];
    let all: Vec<&Form> = forms.keys().collect();
    let mut by_mark: BTreeMap<String, Vec<usize>>;
    loop {
        by_mark = BTreeMap::new();
        for (i, form) in all.iter().enumerate() {
            by_mark.entry(form.mark(letters[i])).or_default().push(i);
        }
        let mut grew = false;
        for (mark, forms) in &by_mark {
            if forms.len() > 1 || taken.contains(mark) {
                for i in forms {
                    if letters[*i] < all[*i].word.len() {
                        letters[*i] += 1;
                        grew = true;
                    }
                }
            }
        }
        if !grew {
            break;
        }
    }
    let members: Vec<&Vec<usize>> = forms.values().collect();
    let mut marks = vec![String::new(); first.len()];
    let mut given = taken.clone();
    for (mark, forms) in by_mark {
        let mut parts: Vec<usize> = forms.iter().flat_map(|i| members[*i].iter().copied()).collect();
        parts.sort_unstable();
        let mut count = 0;
        for part in &parts {
            let mut text = mark.clone();
            if parts.len() > 1 || given.contains(&text) {
                loop {
                    count += 1;
                    text = format!("{mark}-{count}");
                    if !given.contains(&text) {
                        break;
                    }
                }
            }
            given.insert(text.clone());
            marks[*part] = text;
        }
    }
    marks
}
