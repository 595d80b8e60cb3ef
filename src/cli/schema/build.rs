//! The list of keys as JSON Schemas (draft 7, which editors for TOML read), with the words of the documentation beside each key.

use super::forms;
use crate::read::keys::{ALL, Keys, words_of};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

const DOCUMENTATION: &str = include_str!("../../../course/README.md");

/// What the documentation says of each key: by the name of its table of keys, and by the key.
type Says = BTreeMap<(&'static str, &'static str), String>;

/// The schema of one kind of file, by the name of its table of keys: `course.toml`, `formulas/*.toml`. A row of the roll is a table of
/// texts. `None`: there is no such kind.
#[must_use]
pub fn schema(of: &str) -> Option<Value> {
    let keys = keys_of(of)?;
    let says = says();
    let mut schema = if of == "roll.csv" { row(keys, &says) } else { table(keys, &says) };
    let head = schema.as_object_mut()?;
    head.insert("$schema".to_owned(), json!("http://json-schema.org/draft-07/schema#"));
    head.insert("title".to_owned(), json!(of));
    Some(schema)
}

fn keys_of(of: &str) -> Option<&'static Keys> {
    ALL.iter().copied().find(|keys| keys.of == of)
}

/// The table of keys that a key leads to.
fn inner(of: &str, key: &str) -> Option<&'static Keys> {
    match key {
        "loan" => keys_of("kitchen.toml: loan"),
        "warm" | "cold" | "freezers" | "racks" if of == "kitchen.toml" => {
            keys_of("kitchen.toml: warm, cold, freezers, racks")
        }
        _ => keys_of(&format!("{of}: {key}")),
    }
}

fn table(keys: &'static Keys, says: &Says) -> Value {
    let mut properties = Map::new();
    let mut required: Vec<&str> = Vec::new();
    for (key, form) in keys.keys {
        let must = form.ends_with(" !");
        if must {
            required.push(key);
        }
        let mut value = of_key(keys.of, key, form.trim_end_matches(" !"), says);
        if let (Some(value), Some(words)) = (value.as_object_mut(), says.get(&(keys.of, *key))) {
            value.insert("description".to_owned(), json!(words));
        }
        properties.insert((*key).to_owned(), value);
    }
    let lines = || forms::by_name(forms::line(inner_table("formulas/*.toml: parts", "of", says)));
    let own = match keys.of {
        "formulas/*.toml: piece" => forms::of_a_piece(),
        "formulas/*.toml: variants" => lines(),
        _ => json!(false),
    };
    let mut schema = json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": own });
    if let (Some(schema), "lessons/*.toml: steps") = (schema.as_object_mut(), keys.of) {
        // A step has one of two sorts of time.
        schema.insert("oneOf".to_owned(), json!([{ "required": ["takes"] }, { "required": ["stands"] }]));
    }
    schema
}

fn inner_table(of: &str, key: &str, says: &Says) -> Value {
    inner(of, key).map_or_else(|| json!({ "type": "object" }), |keys| table(keys, says))
}

fn of_key(of: &str, key: &str, form: &str, says: &Says) -> Value {
    if (of, key) == ("course.toml", "format") {
        return json!({ "const": crate::read::course_file::FORMAT });
    }
    let inner_table = || inner_table(of, key, says);
    // A table of shares may be one of ours (a composition) or a part's lines.
    match (form, inner(of, key)) {
        ("table of shares", _) if (of, key) == ("formulas/*.toml: parts", "of") => {
            let lines = forms::by_name(forms::line(inner_table()));
            json!({ "allOf": [lines], "minProperties": 1 })
        }
        ("table of shares", Some(keys)) => table(keys, says),
        ("tables by id", _) => forms::by_name(inner_table()),
        ("list of tables", _) => json!({ "type": "array", "items": inner_table() }),
        ("list of tables, or table of currents", _) => forms::circuits(inner_table()),
        ("path or table", _) => forms::or_table("path", inner_table()),
        ("`none, read DATE`, or table", _) => forms::or_table("`none, read DATE`", inner_table()),
        _ => forms::value(form, words_of(of, key)).unwrap_or_else(inner_table),
    }
}

/// A row of a table of texts: every cell may be empty but what must be written.
fn row(keys: &'static Keys, says: &Says) -> Value {
    let mut properties = Map::new();
    let mut required: Vec<&str> = Vec::new();
    for (key, form) in keys.keys {
        let must = form.ends_with(" !");
        if must {
            required.push(key);
        }
        let mut value = match (must, *form, words_of(keys.of, key)) {
            (true, ..) => json!({ "type": "string", "pattern": "\\S" }),
            (_, "whole number", _) => json!({ "type": "string", "pattern": "^[0-9]*$" }),
            (_, "word", Some(words)) => {
                json!({ "enum": words.iter().copied().chain([""]).collect::<Vec<_>>() })
            }
            _ => json!({ "type": "string" }),
        };
        if let (Some(value), Some(words)) = (value.as_object_mut(), says.get(&(keys.of, *key))) {
            value.insert("description".to_owned(), json!(words));
        }
        properties.insert((*key).to_owned(), value);
    }
    json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
}

/// The rows of the documentation's tables.
fn says() -> Says {
    let mut says = Says::new();
    for keys in ALL {
        let section = DOCUMENTATION
            .split_once(&format!("\n### {}\n", keys.of))
            .map_or("", |(_, after)| after.split("\n### ").next().unwrap_or(""));
        for line in section.lines().filter(|line| line.starts_with("| `")) {
            let cells: Vec<&str> = line.trim_matches('|').split(" | ").map(str::trim).collect();
            let [key, _, what, otherwise] = cells[..] else { continue };
            let Some(key) = keys.names().find(|name| key == format!("`{name}`")) else { continue };
            let otherwise = match otherwise {
                "**must be written**" => "must be written".to_owned(),
                otherwise => format!("if not written: {otherwise}"),
            };
            let words = if what.is_empty() { otherwise } else { format!("{what} ({otherwise})") };
            says.insert((keys.of, key), words);
        }
    }
    says
}
