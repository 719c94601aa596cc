//! What comes of every example, kept: lists as text, and a digest of every sheet and of the job, so that
//! a change of any output is seen. Adding an example is adding a file.

use aumbry::commands::compile;
use aumbry::outputs::{apart, elevations, hole_list, holes, json, parts};
use aumbry::sources::DiskFiles;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

fn digest(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().take(6).fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

#[test]
fn every_example_gives_the_outputs_it_gave() {
    let run = std::thread::Builder::new().stack_size(256 << 20).spawn(all).unwrap();
    run.join().unwrap();
}

fn all() {
    insta::glob!("../examples", "*.aum", |path| {
        let folder = DiskFiles::new(path.parent().unwrap());
        let name = path.file_name().unwrap().to_str().unwrap();
        let compiled = compile(&folder, name, None);
        let errors: Vec<&str> =
            compiled.diagnostics.iter().filter(|d| d.is_error()).map(|d| d.message.as_str()).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
        let mut job = compiled.job.unwrap();
        // A change of a comment is no change of an output.
        for source in &mut job.sources {
            source.digest = "0".repeat(64);
        }
        let mut out = format!("{}\n{}\n", parts::table(&job, 100), hole_list::table(&job, 100));
        let _ = writeln!(out, "job.json {}", digest(&json::job(&job)));
        let _ = writeln!(out, "parts.csv {}", digest(&parts::as_csv(&job)));
        let _ = writeln!(out, "holes.csv {}", digest(&hole_list::as_csv(&job)));
        let kinds = [
            ("holes", holes::sheets(&job)),
            ("elevations", elevations::sheets(&job)),
            ("apart", apart::sheets(&job)),
        ];
        for (kind, sheets) in kinds {
            for sheet in sheets {
                let _ = writeln!(out, "{kind}/{}.svg {} {}", sheet.name, digest(&sheet.svg), sheet.title);
            }
        }
        insta::assert_snapshot!(out);
    });
}
