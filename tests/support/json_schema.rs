//! Just enough of JSON Schema, draft 7, to hold files against our schemas. A word of a schema that it does not know fails the test.

use regex::Regex;
use serde_json::Value;

/// What a schema says against a value; `at` is where the value stands. Nothing: `Ok`.
pub fn validate(schema: &Value, value: &Value, at: &str) -> Result<(), String> {
    let Some(schema) = schema.as_object() else {
        return if schema == &Value::Bool(false) {
            Err(format!("{at}: nothing may stand here"))
        } else {
            Ok(())
        };
    };
    for (word, says) in schema {
        one(word, says, schema, value, at)?;
    }
    Ok(())
}

fn one(
    word: &str,
    says: &Value,
    schema: &serde_json::Map<String, Value>,
    value: &Value,
    at: &str,
) -> Result<(), String> {
    let wrong = |what: &str| Err(format!("{at}: {value} {what} {says}"));
    let number = |v: &Value| v.as_f64();
    let fine = match word {
        "$schema" | "title" | "description" => true,
        "type" => match says.as_str().unwrap() {
            "object" => value.is_object(),
            "array" => value.is_array(),
            "string" => value.is_string(),
            "integer" => value.is_i64() || value.is_u64(),
            "number" => value.is_number(),
            "boolean" => value.is_boolean(),
            other => panic!("type {other}"),
        },
        "const" => value == says,
        "enum" => says.as_array().unwrap().contains(value),
        "pattern" => {
            let pattern = Regex::new(says.as_str().unwrap()).unwrap();
            value.as_str().is_none_or(|text| pattern.is_match(text))
        }
        "minimum" => number(value).is_none_or(|n| n >= number(says).unwrap()),
        "maximum" => number(value).is_none_or(|n| n <= number(says).unwrap()),
        "minProperties" => value.as_object().is_none_or(|o| o.len() as u64 >= says.as_u64().unwrap()),
        "maxProperties" => value.as_object().is_none_or(|o| o.len() as u64 <= says.as_u64().unwrap()),
        "required" => value
            .as_object()
            .is_none_or(|o| says.as_array().unwrap().iter().all(|key| o.contains_key(key.as_str().unwrap()))),
        "anyOf" => {
            let tried: Vec<String> =
                says.as_array().unwrap().iter().filter_map(|s| validate(s, value, at).err()).collect();
            if tried.len() == says.as_array().unwrap().len() {
                return Err(format!("{at}: none fits: {}", tried.join("; ")));
            }
            true
        }
        "oneOf" => {
            let fit = says.as_array().unwrap().iter().filter(|s| validate(s, value, at).is_ok()).count();
            fit == 1
        }
        "allOf" => return says.as_array().unwrap().iter().try_for_each(|s| validate(s, value, at)),
        "items" => {
            for (n, item) in value.as_array().into_iter().flatten().enumerate() {
                validate(says, item, &format!("{at}[{n}]"))?;
            }
            true
        }
        "properties" => {
            for (key, item) in value.as_object().into_iter().flatten() {
                if let Some(schema) = says.get(key) {
                    validate(schema, item, &format!("{at}.{key}"))?;
                }
            }
            true
        }
        "additionalProperties" => {
            let known = schema.get("properties").and_then(Value::as_object);
            for (key, item) in value.as_object().into_iter().flatten() {
                if known.is_none_or(|k| !k.contains_key(key)) {
                    validate(says, item, &format!("{at}.{key}"))?;
                }
            }
            true
        }
        other => panic!("this test does not know the word {other}"),
    };
    if fine { Ok(()) } else { wrong(word) }
}
