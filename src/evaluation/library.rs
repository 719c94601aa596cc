//! The library, embedded in the binary; only the files a design names are read.

use include_dir::{Dir, include_dir};

/// Tests of the library that need several of its modules at once.
static TESTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/tests/language");

/// Module names with their texts.
const FILES: &[(&str, &str)] = &[
    ("std.house", include_str!("../../stdlib/house.aum")),
    ("std.boards", include_str!("../../stdlib/boards.aum")),
    ("std.bands", include_str!("../../stdlib/bands.aum")),
    ("std.fixings", include_str!("../../stdlib/fixings.aum")),
    ("std.joints", include_str!("../../stdlib/joints.aum")),
    ("std.backs", include_str!("../../stdlib/backs.aum")),
    ("std.dowels", include_str!("../../stdlib/dowels.aum")),
    ("std.boxes", include_str!("../../stdlib/boxes.aum")),
    ("std.cases", include_str!("../../stdlib/cases.aum")),
    ("std.hinges", include_str!("../../stdlib/hinges.aum")),
    ("std.slides", include_str!("../../stdlib/slides.aum")),
    ("std.pulls", include_str!("../../stdlib/pulls.aum")),
    ("std.feet", include_str!("../../stdlib/feet.aum")),
    ("std.wall_fixings", include_str!("../../stdlib/wall_fixings.aum")),
    ("std.hardware", include_str!("../../stdlib/hardware.aum")),
    ("std.fronts", include_str!("../../stdlib/fronts.aum")),
    ("std.drawers", include_str!("../../stdlib/drawers.aum")),
    ("std.walls", include_str!("../../stdlib/walls.aum")),
    ("std.site", include_str!("../../stdlib/site.aum")),
];

/// The module that is always read: it declares what the compiler reads from the house.
pub const HOUSE: &str = "std.house";

/// The text of a library module.
pub fn text(module: &str) -> Option<&'static str> {
    FILES.iter().find(|(name, _)| *name == module).map(|(_, text)| *text)
}

/// The names of all library modules.
pub fn modules() -> impl Iterator<Item = &'static str> {
    FILES.iter().map(|(name, _)| *name)
}

/// The names and texts of the tests that stand beside the library, in order.
pub fn tests() -> Vec<(&'static str, &'static str)> {
    let named = |f: &'static include_dir::File<'_>| Some((f.path().to_str()?, f.contents_utf8()?));
    let mut found: Vec<_> = TESTS.files().filter_map(named).collect();
    found.sort_unstable();
    found
}
