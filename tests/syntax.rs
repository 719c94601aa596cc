//! Reading: trees of valid files, messages of broken ones.

use aumbry::sources::Sources;
use aumbry::syntax::{parse, tree};

fn read(text: &str) -> (tree::File, Vec<String>) {
    let mut sources = Sources::new();
    let id = sources.add("case.aum", text, false);
    let (file, messages) = parse(&sources, id);
    let lines = messages.iter().map(|d| format!("{} {}: {}", sources.place(d.span()), d.code, d.message));
    (file, lines.collect())
}

#[test]
fn reads_the_shortest_file() {
    let (file, messages) = read(
        "aumbry 1\nuse std.boxes (open_box)\nhouse { board: white18, back: white3 }\n\
         box bookcase = open_box(width: 800mm, height: 3/4in, shelves: 4)\n",
    );
    assert_eq!(messages, Vec::<String>::new());
    assert_eq!(file.items.len(), 3);
}
