//! Every output of whatever compiles is made.
#![no_main]

use aumbry::commands::compile;
use aumbry::outputs::{elevations, hole_list, holes, json, messages, parts};
use aumbry::sources::MemoryFiles;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data).into_owned();
    let run = move || {
        let files = MemoryFiles::new().with("fuzz.aum", &text);
        let Some(job) = compile(&files, "fuzz.aum", None).job else { return };
        json::job(&job);
        parts::table(&job, 80);
        parts::as_csv(&job);
        parts::as_json(&job);
        hole_list::table(&job, 80);
        hole_list::as_csv(&job);
        hole_list::as_json(&job);
        messages::text(&job, 80);
        holes::sheets(&job);
        elevations::sheets(&job);
    };
    let worker = std::thread::Builder::new().stack_size(512 << 20).spawn(run).expect("a thread");
    worker.join().expect("no panic");
});
