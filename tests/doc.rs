//! The pages that `aumbry doc` writes: of the whole library, of one module, and of files of one's own.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

/// A folder of a test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Scratch {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("doc-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a scratch folder");
        Scratch(path)
    }

    fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_aumbry"))
            .arg("doc")
            .args(args)
            .current_dir(&self.0)
            .stdin(Stdio::null())
            .output()
            .expect("aumbry runs")
    }

    fn pages(&self, args: &[&str]) -> Pages {
        let args: Vec<&str> = args.iter().copied().chain(["--out", "pages"]).collect();
        let output = self.run(&args);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{args:?}: {said}");
        read(&self.0.join("pages"))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The files of a folder by name, but the marker.
type Pages = BTreeMap<String, String>;

fn read(folder: &Path) -> Pages {
    let entries = fs::read_dir(folder).expect("the folder").map(|e| e.expect("an entry").path());
    let files = entries.filter(|p| !p.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.')));
    files
        .map(|p| {
            let name = p.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(p).expect("UTF-8"))
        })
        .collect()
}

/// The pages of the whole library, made once.
fn library() -> &'static Pages {
    static PAGES: OnceLock<Pages> = OnceLock::new();
    PAGES.get_or_init(|| Scratch::new("library").pages(&["std"]))
}

/// A page read as XML once its void elements are closed; HTML that a stricter reader takes too.
fn well_formed(name: &str, html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        out.push_str(&rest[..at]);
        let end = rest[at..].find('>').unwrap_or_else(|| panic!("{name}: an open tag")) + at;
        let tag = &rest[at..=end];
        let word: String = tag[1..].chars().take_while(char::is_ascii_alphanumeric).collect();
        if ["meta", "link", "br", "col", "img", "hr"].contains(&word.as_str()) {
            out.push_str(&format!("{}/>", tag.trim_end_matches(['/', '>'])));
        } else if !tag.starts_with("<!DOCTYPE") {
            out.push_str(tag);
        }
        rest = &rest[end + 1..];
    }
    out.push_str(rest);
    out
}

/// What no page may be: torn, reaching out, leading nowhere.
fn check(pages: &Pages) {
    let mut anchors: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let mut links: Vec<(&str, String)> = Vec::new();
    for (name, text) in pages.iter().filter(|(n, _)| n.ends_with(".html")) {
        assert!(text.starts_with("<!DOCTYPE html><html lang=\"en\">"), "{name}");
        let xml = well_formed(name, text);
        let tree = roxmltree::Document::parse(&xml).unwrap_or_else(|e| panic!("{name}: {e}"));
        let mut ids = BTreeSet::new();
        for node in tree.descendants().filter(roxmltree::Node::is_element) {
            let tag = node.tag_name().name();
            assert!(
                !["script", "iframe", "object", "form", "input", "img"].contains(&tag),
                "{name}: <{tag}>"
            );
            for attribute in node.attributes() {
                let (key, value) = (attribute.name(), attribute.value());
                assert!(!key.starts_with("on"), "{name}: {key}");
                match key {
                    "id" => assert!(ids.insert(value.to_string()), "{name}: `{value}` stands twice"),
                    "href" => links.push((name, value.to_string())),
                    "style" => assert!(value.starts_with("width:"), "{name}: {value}"),
                    "src" => panic!("{name}: {value}"),
                    _ => {}
                }
            }
        }
        let heads: Vec<_> = tree.descendants().filter(|n| n.has_tag_name("h1")).collect();
        assert_eq!(heads.len(), 1, "{name}");
        for word in ["http:", "https:", "url(", "@import"] {
            // The name of the SVG language is an address that nobody fetches.
            let text = text.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
            assert!(!text.contains(word), "{name}: {word}");
        }
        anchors.insert(name, ids);
    }
    for (from, link) in links {
        let (page, anchor) = link.split_once('#').unwrap_or((&link, ""));
        let page = if page.is_empty() { from } else { page };
        if page == "style.css" {
            continue;
        }
        let there = anchors.get(page).unwrap_or_else(|| panic!("{from}: `{link}` leads nowhere"));
        assert!(anchor.is_empty() || there.contains(anchor), "{from}: `{link}` leads nowhere");
    }
    let style = &pages["style.css"];
    assert!(!style.contains("http") && !style.contains("@import"));
    // The font stands in the style sheet itself.
    assert_eq!(style.matches("url(").count(), style.matches("url(data:font/otf;base64,").count());
}

/// Kind and name of every definition of the library, by module.
fn definitions() -> Vec<(String, String, String)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("stdlib")).expect("the library") {
        let path = entry.expect("a file").path();
        let module = path.file_stem().expect("a name").to_string_lossy().into_owned();
        for line in fs::read_to_string(&path).expect("text").lines() {
            let mut words = line.split([' ', '(']);
            if words.next() == Some("def") {
                let (kind, name) = (words.next().expect("a kind"), words.next().expect("a name"));
                found.push((module.clone(), kind.to_string(), name.to_string()));
            }
        }
    }
    assert!(found.len() > 150);
    found
}

#[test]
fn the_pages_of_the_library_are_sound() {
    check(library());
}

#[test]
fn every_definition_of_the_library_has_a_place_and_what_it_needs() {
    let pages = library();
    let index = &pages["index.html"];
    for (module, kind, name) in definitions() {
        let small = matches!(kind.as_str(), "board" | "band" | "item" | "fn");
        let place = if small {
            let page = &pages[&format!("std.{module}.html")];
            assert!(page.contains(&format!("<article id=\"{kind}-{name}\">")), "{module}.{name}");
            format!("std.{module}.html#{kind}-{name}")
        } else {
            let page = &pages[&format!("std.{module}.{name}.html")];
            assert!(page.contains(&format!("<h1>{name}</h1>")), "{name}");
            assert!(page.contains("<p class=\"lead\">"), "{name} has no words");
            assert!(!page.contains("With its default values it fails"), "{name}");
            if kind == "box" {
                assert!(page.contains("<svg"), "the box {name} has no drawing");
                assert!(page.contains("Parts it makes"), "the box {name} has no parts");
            }
            format!("std.{module}.{name}.html")
        };
        assert!(index.contains(&format!("href=\"{place}\"")), "{place} is not in the index");
    }
}

#[test]
fn the_page_of_a_type_tells_all_of_it() {
    let page = &library()["std.boxes.floor_box.html"];
    for piece in [
        "<code>house.board</code>",
        "<code>white18</code>",
        "must be given",
        "id=\"rule-4-narrow-rail\"",
        "rail &gt;= 50mm",
        "rail_front",
        "connector50",
        "id=\"tests\"",
        "<code>[300mm, 450mm, 600mm, 1200mm]</code>",
        "std.joints.connector.html",
        "def</span> <span class=\"w\">box</span> floor_box(",
    ] {
        assert!(page.contains(piece), "{piece}");
    }
    let codes = &library()["codes.html"];
    assert!(codes.contains("href=\"std.boxes.floor_box.html#rule-4-narrow-rail\""));
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/errors")).expect("pages") {
        let code = entry.expect("a page").path().file_stem().expect("a name").to_string_lossy().into_owned();
        assert!(codes.contains(&format!("<article id=\"{code}\">")), "{code}");
    }
}

#[test]
fn one_module_stands_alone() {
    let here = Scratch::new("module");
    let pages = here.pages(&["std.dowels"]);
    check(&pages);
    assert!(pages.contains_key("std.dowels.dowelled.html") && !pages.contains_key("std.boxes.html"));
    // Made again it is the same, byte for byte, in place of the first.
    assert_eq!(here.pages(&["std.dowels"]), pages);
    let unknown = here.run(&["std.dowel", "--out", "other"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("did you mean `std.dowels`?"));
}

const KILN: &str = "aumbry 1\n//! What stands at the kiln. <b>Hot</b> & heavy.\n\n\
use std.joints (screwed)\n\n\
/// A stand for cones: two sides and a board. See `cone_height` & \"<i>\".\n\
def box cone_stand(width: length = 500mm,          // <over> all\n\
                   height: length = cone_height(2)) {\n\
\x20 envelope (width, height, 200mm)\n\
\x20 require width >= 200mm else too-narrow \"<{width}> is too narrow\"\n\
\x20 pair left, right of house.board along y { x: after 0mm  y: 0mm .. height - 18mm  z: 0mm .. 200mm }\n\
\x20 part top of house.board along x { x: 0mm .. width  y: before height  z: 0mm .. 200mm }\n\
\x20 joint screwed([left, right], through: top)\n}\n\
/// How high so many cones stand.\n\
def fn cone_height(cones: count): length = cones * 150mm\n\
/// A stand of which the default is too narrow.\n\
def box thin_stand(width: length = 100mm) = cone_stand(width: width) {}\n\
/// A stand on the shelf under it.\n\
def box two_stands(wide: length) = cone_stand(width: wide) {}\n";

#[test]
fn a_file_of_ones_own_has_pages_too() {
    let here = Scratch::new("own");
    fs::create_dir(here.0.join("own")).expect("a folder");
    fs::write(here.0.join("own/kiln.aum"), KILN).expect("a file");
    let wall = "aumbry 1\nuse \"own/kiln.aum\" (cone_stand, two_stands)\n\
        /// For the big cones.\ndef box big(width: length = 700mm) = cone_stand(width: width) {}\n\
        /// A low one.\ndef box low_stand(wide: length, cones: count) = cone_stand(width: wide, height: cones * 300mm) {\n\
        \u{20} require wide < 500mm else too-wide \"{wide}\"\n}\n\
        box first = two_stands(wide: 640mm)\nbox second = big()\n";
    fs::write(here.0.join("wall.aum"), wall).expect("a file");
    let pages = here.pages(&["wall.aum"]);
    check(&pages);
    let names: Vec<&str> = pages.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "index.html",
            "own.kiln.cone_stand.html",
            "own.kiln.html",
            "own.kiln.thin_stand.html",
            "own.kiln.two_stands.html",
            "style.css",
            "wall.big.html",
            "wall.html",
            "wall.low_stand.html"
        ]
    );
    let stand = &pages["own.kiln.cone_stand.html"];
    for piece in [
        "<svg",
        "&lt;over&gt; all",
        "“&lt;<var>{width}</var>&gt; is too narrow”",
        "<code>screwed</code> (std.joints)",
        "&quot;&lt;i&gt;&quot;",
    ] {
        assert!(stand.contains(piece), "{piece}\n{stand}");
    }
    assert!(!stand.contains("<i>") && !pages["own.kiln.html"].contains("<b>Hot"));
    let thin = &pages["own.kiln.thin_stand.html"];
    assert!(thin.contains("With its default values it fails: "), "{thin}");
    // What must be given is taken from the boxes of the file, or found.
    assert!(pages["own.kiln.two_stands.html"].contains("default values and wide: 640mm."));
    let low = &pages["wall.low_stand.html"];
    assert!(low.contains("wide: 400mm, cones: 1, the first figures that would do"), "{low}");
    assert!(low.contains("And all that <a href=\"own.kiln.cone_stand.html\">"), "{low}");
    for text in pages.values() {
        assert!(!text.contains(&here.0.to_string_lossy().into_owned()));
    }
}

#[test]
fn what_cannot_be_described_is_said() {
    let here = Scratch::new("wrong");
    fs::write(here.0.join("plain.aum"), "aumbry 1\nlet reach = 300mm\n").expect("a file");
    fs::write(here.0.join("torn.aum"), "aumbry 1\ndef box torn(width: length {\n").expect("a file");
    let said = |args: &[&str], status: i32| {
        let output = here.run(args);
        assert_eq!(output.status.code(), Some(status), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stderr).expect("UTF-8")
    };
    let plain = said(&["plain.aum", "--out", "pages"], 2);
    assert!(plain.contains("defines nothing"), "{plain}");
    let torn = said(&["torn.aum", "--out", "pages"], 1);
    assert!(torn.contains("torn.aum:2"), "{torn}");
    said(&["none.aum", "--out", "pages"], 3);
    said(&["plain.aum"], 2);
    fs::create_dir(here.0.join("photos")).expect("a folder");
    said(&["std.bands", "--out", "photos"], 3);
    assert!(!here.0.join("pages").exists());
}

/// Names that some disks take for one, and the names of pages that are always there.
#[test]
fn no_two_pages_share_a_name() {
    let here = Scratch::new("names");
    let of = |name: &str| {
        format!(
            "def box {name}(w: length = 300mm) {{\n  envelope (w, 18mm, 100mm)\n  part base of house.board along x \
             {{ x: 0mm .. w  y: after 0mm  z: 0mm .. 100mm }}\n}}\n"
        )
    };
    let text = format!("aumbry 1\n{}{}{}", of("Jars"), of("jars"), of("codes"));
    fs::write(here.0.join("index.aum"), text).expect("a file");
    let pages = here.pages(&["index.aum"]);
    check(&pages);
    let names: BTreeSet<String> = pages.keys().map(|n| n.to_lowercase()).collect();
    assert_eq!(names.len(), 6, "{names:?}");
}
