//! The JSON Schemas under docs/schema/, made from the model so that the two can't differ.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::borrow::Cow;
use std::fs;
use std::path::Path;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema, schema_for};

use super::{AnswersFile, BenchFile, CircuitFile, Equipment, ModelFile, People, Procedure};
use crate::quantity::{Dimension, Quantity, Unit};

impl JsonSchema for Unit {
    fn schema_name() -> Cow<'static, str> {
        "Unit".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "description": "A unit of measure: V, mA, kohm, uF, degC, %", "type": "string" })
    }
}

impl JsonSchema for Dimension {
    fn schema_name() -> Cow<'static, str> {
        "Dimension".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "description": "What a value measures, as its base unit: V, ohm; empty for a plain number", "type": "string" })
    }
}

impl JsonSchema for Quantity {
    fn schema_name() -> Cow<'static, str> {
        "Quantity".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "description": "A value with its unit: 600 mV, 0.5 %", "type": ["string", "number"] })
    }
}

/// Compares a schema with its file. With `WATTSTEP_BLESS=1` in the environment the file is written first.
pub(crate) fn is_published(name: &str, schema: &Schema) {
    let text = serde_json::to_string_pretty(schema).unwrap() + "\n";
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schema").join(name);
    if std::env::var_os("WATTSTEP_BLESS").is_some_and(|bless| bless == "1") {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, &text).unwrap();
    }
    let published = fs::read_to_string(&file).unwrap_or_default();
    assert!(published == text, "{name} is out of date: run the tests once with WATTSTEP_BLESS=1");
}

#[test]
fn the_schema_of_procedures_is_published() {
    is_published("procedure.schema.json", &schema_for!(Procedure));
}

#[test]
fn the_schema_of_equipment_files_is_published() {
    is_published("equipment.schema.json", &schema_for!(Equipment));
}

#[test]
fn the_schema_of_bench_files_is_published() {
    is_published("bench.schema.json", &schema_for!(BenchFile));
}

#[test]
fn the_schema_of_people_files_is_published() {
    is_published("people.schema.json", &schema_for!(People));
}

#[test]
fn the_schema_of_answers_files_is_published() {
    is_published("answers.schema.json", &schema_for!(AnswersFile));
}

#[test]
fn the_schema_of_model_files_is_published() {
    is_published("simulated.schema.json", &schema_for!(ModelFile));
}

#[test]
fn the_schema_of_circuit_files_is_published() {
    is_published("circuit.schema.json", &schema_for!(CircuitFile));
}
