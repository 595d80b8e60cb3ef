//! The forms of values as JSON Schemas. A schema is never stricter than the reader, so that no editor marks what is sound; what needs
//! another file or a calendar is left to `check`.

use serde_json::{Value, json};

/// A number as the files write it.
const N: &str = r"[0-9]+(\.[0-9]+)?";
const TIME_UNIT: &str = "(mins?|minutes?|h|hours?)";
const LENGTH_UNIT: &str = "(mm|cm|m|in|inch|inches)";
const MASS_UNIT: &str = "(mg|g|kg|oz|lbs?)";
const VOLUME_UNIT: &str = "(ml|cl|dl|l|litres?)";

/// One of the grammar's forms of a quantity, as a regular expression over the whole text. `None`: any text will do.
fn pattern(form: &str) -> Option<String> {
    let time = format!(r"{N}\s*{TIME_UNIT}(\s*{N}\s*(mins?|minutes?))?");
    let range = format!(r"({N}|{time})\s*to\s*{time}");
    let rest = format!(r"((up\s+to|at\s+least)\s*)?{time}|{range}");
    let degrees = r"[-−]?[0-9]+(\.[0-9]+)?\s*°?\s*[CF]";
    let bare_degrees = r"[-−]?[0-9]+(\.[0-9]+)?(\s*°?\s*[CF])?";
    let by = r"\s*(x|×|by)\s*";
    let side = format!(r"{N}(\s*{LENGTH_UNIT})?");
    let last = format!(r"{N}\s*{LENGTH_UNIT}");
    let clock = r"([01]?[0-9]|2[0-3]):[0-5][0-9](:00)?";
    let dated = format!(r"([0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}[ T])?{clock}");
    Some(match form {
        "mass" => format!(r"{N}\s*{MASS_UNIT}"),
        "share" => format!(r"{N}\s*%"),
        "share or mass" => format!(r"{N}\s*(%|{MASS_UNIT})"),
        "share of a piece" => format!(r"{N}\s*(%\s*of\s+dough|{MASS_UNIT})"),
        "temperature" => degrees.to_owned(),
        "temperatures" => format!(r"(at\s+least|up\s+to)\s*{degrees}|{bare_degrees}\s*to\s*{degrees}"),
        "difference of temperature" => format!(r"{N}\s*°?\s*[CFK]"),
        "time" => time,
        "work" => format!(r"{time}(\s*,\s*usually\s*({N}|{time}))?|{range}\s*,\s*usually\s*({time}|{N})"),
        "rest" | "wait" => rest,
        "days" => format!(r"{N}\s*(days?|weeks?)"),
        "volume" => format!(r"{N}\s*{VOLUME_UNIT}"),
        "length" => last,
        "flat size" => format!("{side}{by}{last}"),
        "outside size" => format!("{side}{by}{side}{by}{last}"),
        "inside" => format!(
            r"({last}\s*(round|square)|{side}{by}{last}|{last}\s*ring\s*,\s*{last}\s*hole)\s*,\s*{last}\s*deep"
        ),
        "power" => format!(r"{N}\s*k?W"),
        "current or power" => format!(r"{N}\s*(A|k?W)"),
        "volts" => format!(r"{N}\s*V"),
        "rate" => format!(r"{N}\s*°?\s*[CFK]\s*(a|per|/)\s*min"),
        "amount" => format!(r"{N}\s*({MASS_UNIT}|{VOLUME_UNIT}|pieces?)"),
        "density" => format!(r"{N}\s*g\s*(/|a|per)\s*ml"),
        "energy" => format!(r"{N}\s*kcal"),
        "figure" => N.to_owned(),
        "money" => format!(r"{N}(\s*[A-Z]{{3}})?"),
        "ISO 4217 code" => "[A-Z]{3}".to_owned(),
        "date" => "[0-9]{4}-[0-9]{2}-[0-9]{2}".to_owned(),
        "time of day" => dated,
        "span" => format!(r"{dated} to {dated}"),
        "place in the session" => {
            format!(r"first|last|any|between\s*({N}|{time})\s*and\s*{time}")
        }
        "sequence" => r"\s*[0-9]+\s*(over|under)\s*[0-9]+(\s*,\s*[0-9]+\s*(over|under)\s*[0-9]+)*".to_owned(),
        "use" => r"([0-9]+\s*)?[^\W0-9][\w-]*(\s+until\s+[^\W0-9][\w-]*)?".to_owned(),
        "made ahead" => r"never|(if\s+needed|always)\s*,\s*up\s+to\s+\S+".to_owned(),
        "point" => format!(r"{N}\s*%\s*across\s*,\s*{N}\s*%\s*down"),
        "lesson.step" => r"[^.]+\..+".to_owned(),
        "`none, read DATE`" => r"unknown|none\s*,\s*read [0-9]{4}-[0-9]{2}-[0-9]{2}.*".to_owned(),
        _ => return None,
    })
}

/// Words and units may be written in capitals.
fn any_case(pattern: &str) -> String {
    let mut out = String::new();
    let mut class = false;
    let mut escaped = false;
    for c in pattern.chars() {
        if escaped || !c.is_ascii_alphabetic() || class {
            out.push(c);
        } else {
            out.push_str(&format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase()));
        }
        class = if class { c != ']' || escaped } else { c == '[' && !escaped };
        escaped = c == '\\' && !escaped;
    }
    out
}

fn text(form: &str) -> Value {
    match pattern(form) {
        Some(pattern) => {
            json!({ "type": "string", "pattern": format!("^\\s*({})\\s*$", any_case(&pattern)) })
        }
        None => json!({ "type": "string", "pattern": "\\S" }),
    }
}

fn one_or_many(one: Value) -> Value {
    json!({ "anyOf": [one, { "type": "array", "items": one }] })
}

fn any_of(forms: &[Value]) -> Value {
    json!({ "anyOf": forms })
}

/// A table whose keys are names of the teacher's own.
pub fn by_name(value: Value) -> Value {
    json!({ "type": "object", "additionalProperties": value })
}

/// The share of one ingredient in a part; `carried` is the table of a part that carries flour.
pub fn line(carried: Value) -> Value {
    any_of(&[text("share or mass"), carried])
}

/// How much of a part goes into a piece.
pub fn of_a_piece() -> Value {
    text("share of a piece")
}

/// The schema of a form that holds no table with keys of ours. `None`: it does.
pub fn value(form: &str, words: Option<&[&str]>) -> Option<Value> {
    Some(match form {
        "word" => match words {
            Some(words) => json!({ "enum": words }),
            None => text("text"),
        },
        "list of words" | "list of drawings" => one_or_many(match words {
            Some(words) => json!({ "enum": words }),
            None => text("text"),
        }),
        "whole number" => json!({ "type": "integer", "minimum": 0, "maximum": 10000 }),
        "true or false" => json!({ "type": "boolean" }),
        "power" | "volts" | "energy" => any_of(&[json!({ "type": "number", "minimum": 0 }), text(form)]),
        "span, or list of spans" => one_or_many(text("span")),
        "list of uses" => one_or_many(text("use")),
        "list of lesson.step" => one_or_many(text("lesson.step")),
        "list of texts"
        | "list of ids"
        | "list of allergens"
        | "list of chains"
        | "list of avoided things"
        | "list of days of the week" => one_or_many(text("text")),
        "table of shares" => by_name(text("share")),
        "table of phrases" => by_name(text("made ahead")),
        "table of texts" | "table of reasons" => by_name(text("text")),
        "table of one mass" => {
            json!({ "type": "object", "additionalProperties": text("mass"), "maxProperties": 1 })
        }
        "text" | "name" | "id" | "path" | "phrase" | "IANA name" | "language tag" => text("text"),
        form if form.contains("table") => return None,
        form => text(form),
    })
}

/// A value of this form, or a table.
pub fn or_table(form: &str, table: Value) -> Value {
    any_of(&[text(form), table])
}

/// Circuits: a list of tables, or breakers by their ids.
pub fn circuits(table: Value) -> Value {
    let mut named = table.clone();
    if let Some(required) = named.get_mut("required").and_then(Value::as_array_mut) {
        required.retain(|key| key != "id");
    }
    any_of(&[json!({ "type": "array", "items": table }), by_name(any_of(&[text("current or power"), named]))])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_in_any_case_and_classes_stay() {
        assert_eq!(any_case(r"[0-9]+\s*kg"), r"[0-9]+\s*[kK][gG]");
        assert_eq!(any_case(r"[^\W0-9]x"), r"[^\W0-9][xX]");
    }

    #[test]
    fn every_form_of_the_list_of_keys_is_known() {
        use crate::read::keys::ALL;
        for (key, form) in ALL.iter().flat_map(|k| k.keys) {
            let form = form.trim_end_matches(" !");
            let plain = ["text", "name", "id", "path", "phrase", "IANA name", "language tag"];
            let known = form.contains("table")
                || form.contains("list of")
                || ["word", "whole number", "true or false"].contains(&form)
                || plain.contains(&form)
                || pattern(form).is_some();
            assert!(known, "{key}: {form}");
        }
    }
}
