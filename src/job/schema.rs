//! The JSON Schema (2020-12) of `job.json`, made from the types.

use super::Job;

/// The schema as JSON text with a newline at its end.
pub fn schema() -> String {
    let settings = schemars::generate::SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<Job>();
    schema.insert("title".into(), "A design worked out by Aumbry".into());
    let text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    format!("{text}\n")
}
