//! The build record as JSON is what its published schema says: checked by `boon`, a validator of JSON Schema, draft 2020-12.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::indexing_slicing,
    reason = "serde_json gives null for what is not there"
)]

use boon::{Compiler, SchemaIndex, Schemas};
use layshaft_core::machine::{Machine, example};
use serde_json::{Value, json};

const SCHEMA: &str = include_str!("../../docs/build-record.schema.json");
const SITE: &str = "https://example.org/layshaft/";

/// The schema, compiled; it is itself held to the draft's own schema on the way.
fn schema() -> (Schemas, SchemaIndex) {
    let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
    compiler.enable_format_assertions();
    let text: Value = serde_json::from_str(SCHEMA).expect("the schema is JSON");
    let name = "https://example.org/build-record.schema.json";
    compiler
        .add_resource(name, text)
        .expect("the schema has a name");
    let index = compiler
        .compile(name, &mut schemas)
        .expect("the schema is one of draft 2020-12");
    (schemas, index)
}

fn record(machine: &Machine) -> Value {
    let text = machine.record(&machine.work()).json(SITE);
    serde_json::from_str(&text).expect("the record is JSON")
}

fn heron() -> Machine {
    example::machine().expect("the record is whole")
}

#[test]
fn the_record_of_any_machine_is_what_the_schema_says() {
    let (schemas, index) = schema();
    let mut bare = Machine::default();
    let mut hostile = heron();
    hostile.name = "\"}],\\\u{1}<b>".repeat(20);
    for part in &mut hostile.parts {
        part.name += "\n\t\u{7f}\u{2028}\"";
        for (_, entries) in &mut part.sheets {
            let keys: Vec<String> = entries.iter().map(|(key, _)| key.into()).collect();
            for key in &keys {
                entries.set(key, "1 ± \"2\"");
            }
        }
    }
    bare.parts.push(layshaft_core::machine::Part::default());
    for machine in [heron(), Machine::default(), bare, hostile] {
        let record = record(&machine);
        if let Err(wrong) = schemas.validate(&record, index) {
            panic!("{}: {wrong:#}", machine.name);
        }
    }
}

/// A schema that lets everything through would prove nothing.
#[test]
fn the_schema_refuses_what_no_record_says() {
    let (schemas, index) = schema();
    let good = record(&heron());
    let answer = "/parts/0/sheets/0/answers/0";
    for (at, wrong) in [
        ("/version", json!(2)),
        ("/cost", json!(-1)),
        ("/parts/0/kind", json!("wheel")),
        ("/parts/0/sheets/0/link", json!("javascript:alert(1)")),
        ("/checks/0/state", json!("perhaps")),
        ("/first_power/0/stage", json!("later")),
        (&format!("{answer}/value"), json!("40")),
        (&format!("{answer}/how"), json!("guessed")),
        (&format!("{answer}/uncertainty"), json!(-0.1)),
    ] {
        let mut record = good.clone();
        *record.pointer_mut(at).expect("it is there") = wrong;
        assert!(schemas.validate(&record, index).is_err(), "{at}");
    }
    for (at, key) in [("", "format"), ("/parts/0", "sheets"), (answer, "unit")] {
        let mut record = good.clone();
        let object = record.pointer_mut(at).and_then(Value::as_object_mut);
        object.expect("it is there").remove(key);
        assert!(
            schemas.validate(&record, index).is_err(),
            "{at} without {key}"
        );
    }
}

#[test]
fn every_key_of_the_schema_is_explained() {
    fn walk(schema: &Value, at: &str) {
        if let Some(properties) = schema["properties"].as_object() {
            for (key, property) in properties {
                let told = ["description", "const", "$ref"]
                    .iter()
                    .any(|word| !property[*word].is_null());
                assert!(told, "{at}/{key} says nothing");
            }
        }
        for (name, part) in schema["$defs"].as_object().into_iter().flatten() {
            walk(part, name);
        }
    }
    walk(&serde_json::from_str(SCHEMA).expect("it is JSON"), "");
}
