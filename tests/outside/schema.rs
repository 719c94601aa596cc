//! `job.json` against its schema, by the `jsonschema` crate.

use super::jobs;
use aumbry::job::schema;
use aumbry::outputs::json;
use serde_json::{Value, json};

fn parsed() -> Value {
    serde_json::from_str(&schema()).unwrap()
}

#[test]
fn the_schema_is_valid_under_draft_2020_12() {
    // The dialect's address: PyPI jsonschema-specifications, draft202012/metaschema.json (READ).
    assert_eq!(parsed()["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(jsonschema::draft202012::meta::is_valid(&parsed()));
}

#[test]
fn every_job_fits_its_schema() {
    let schema = parsed();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for (name, job) in jobs() {
        let job: Value = serde_json::from_str(&json::job(&job)).unwrap();
        let errors: Vec<String> =
            validator.iter_errors(&job).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    }
}

#[test]
fn spoilt_jobs_are_refused() {
    let schema = parsed();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let (_, job) = jobs().into_iter().find(|(name, _)| name == "hung_box.aum").unwrap();
    let good: Value = serde_json::from_str(&json::job(&job)).unwrap();
    assert!(validator.is_valid(&good));
    let spoilt = [
        ("/format", json!("aumbry-job/2")),
        ("/house/units", json!("ft")),
        ("/parts/0/length", json!("600mm")),
        ("/parts/0/axes", json!(["x", "y"])),
        ("/parts/0/axes", json!(["x", "y", "w"])),
        ("/parts/0/place/x", json!([0])),
        ("/parts/0/grain", json!(90)),
        ("/parts/0/bands", json!({ "inside": "edging" })),
        ("/parts/0/holes/0/face", json!("back")),
        ("/parts/0/holes/0/bored", json!("somewhere")),
        ("/parts/0/holes/0/at/mm", json!([37])),
        ("/parts/0/cuts/0/shape", json!("trench")),
        ("/items/0/quantity", json!(-1)),
        ("/items/0/quantity", json!(2.5)),
        ("/pairs", json!([["A", "B", "C"]])),
        ("/parts", json!({})),
    ];
    for (pointer, value) in spoilt {
        let mut job = good.clone();
        *job.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}")) = value.clone();
        assert!(!validator.is_valid(&job), "{pointer} = {value}");
    }
    for (parent, key) in [("", "boards"), ("/parts/0", "path"), ("/parts/0/place", "y"), ("/boxes/0", "root")]
    {
        let mut job = good.clone();
        job.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(key).unwrap();
        assert!(!validator.is_valid(&job), "without {parent}/{key}");
    }
}
