//! The board's file: markup, style and script in one, with its data inside.
//!
//! Data is JSON in a block that is never run, with every character escaped that could end the block; what people typed reaches
//! the page only as text. The policy in the page's head lets run what we wrote and nothing else, and fetches nothing.

use super::view::BoardView;
use crate::course::limits::TEMPLATE_STEPS;
use minijinja::value::Value;
use minijinja::{AutoEscape, Environment, ErrorKind, context};
use sha2::{Digest, Sha256};
use std::fmt;

/// The parts of the style, and of the script, in their order; each is `templates/board/NAME`.
const STYLES: &[&str] = &["page.css", "parts.css", "print.css"];
const SCRIPTS: &[&str] = &[
    "words.js",
    "clock.js",
    "record.js",
    "slips.js",
    "draw.js",
    "now.js",
    "lanes.js",
    "list.js",
    "readings.js",
    "log.js",
    "ring.js",
    "replan.js",
    "start.js",
];

/// Where the page is opened.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Home {
    /// From the disk: it reaches nothing.
    Disk,
    /// From the program on the same machine: it may ask that.
    Program,
}

/// Why there is no page.
#[derive(Debug)]
pub struct PageTrouble {
    /// The template.
    pub file: String,
    /// What is wrong, as a clause.
    pub message: String,
    /// The line, from 1.
    pub line: Option<usize>,
}

impl fmt::Display for PageTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file, self.message)
    }
}

/// Makes the page. `file` gives the text of a template by its path, `templates/board.html`: the course's own or ours.
///
/// # Errors
/// A template that is missing, or that minijinja refuses.
pub fn page(
    view: &BoardView,
    home: Home,
    file: &dyn Fn(&str) -> Option<String>,
) -> Result<String, PageTrouble> {
    let joined = |names: &[&str]| -> Result<String, PageTrouble> {
        let mut whole = String::new();
        for name in names {
            whole.push_str(&text(file, &format!("templates/board/{name}"))?);
        }
        Ok(whole)
    };
    let style = joined(STYLES)?;
    let script = format!("(() => {{\n\"use strict\";\n{}}})();\n", joined(SCRIPTS)?);
    let connect = if home == Home::Program { "; connect-src 'self'" } else { "" };
    let policy = format!(
        "default-src 'none'; script-src '{}'; style-src '{}'; img-src data:; base-uri 'none'; form-action 'none'{connect}",
        fingerprint(&script),
        fingerprint(&style)
    );
    render(
        file,
        "templates/board.html",
        context! {
            course => view.course.clone(),
            language => view.language.clone(),
            words => view.words.clone(),
            policy => policy,
            live => home == Home::Program,
            style => Value::from_safe_string(style),
            script => Value::from_safe_string(script),
            data => Value::from_safe_string(in_a_script(&serde_json::to_string(view).unwrap_or_default())),
        },
    )
}

/// Fills a template; what people typed becomes text.
pub(super) fn render(
    file: &dyn Fn(&str) -> Option<String>,
    path: &str,
    values: Value,
) -> Result<String, PageTrouble> {
    let markup = text(file, path)?;
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    // A template that goes round and round ends, and is told.
    environment.set_fuel(Some(TEMPLATE_STEPS));
    let trouble = |error: minijinja::Error| PageTrouble {
        file: path.to_owned(),
        message: if error.kind() == ErrorKind::OutOfFuel { endless() } else { error.to_string() },
        line: error.line(),
    };
    environment.template_from_str(&markup).map_err(trouble)?.render(values).map_err(trouble)
}

/// What is told of a template that goes round and round.
pub(in crate::output) fn endless() -> String {
    format!("it takes more than {TEMPLATE_STEPS} steps: a loop in it may have no end")
}

/// A value of JSON as a template sees it.
pub(super) fn value(json: &serde_json::Value) -> Value {
    use serde_json::Value as Json;
    match json {
        Json::Null => Value::from(()),
        Json::Bool(b) => Value::from(*b),
        Json::Number(n) => n.as_i64().map_or_else(|| Value::from(n.as_f64().unwrap_or(0.0)), Value::from),
        Json::String(text) => Value::from(text.as_str()),
        Json::Array(items) => Value::from(items.iter().map(value).collect::<Vec<Value>>()),
        Json::Object(map) => Value::from_pairs(map.iter().map(|(key, item)| (key.as_str(), value(item)))),
    }
}

pub(super) fn text(file: &dyn Fn(&str) -> Option<String>, path: &str) -> Result<String, PageTrouble> {
    file(path).ok_or_else(|| PageTrouble {
        file: path.to_owned(),
        message: "is missing or no text".to_owned(),
        line: None,
    })
}

/// JSON that can stand inside a script element: nothing in it closes the element or opens a comment, and no character in it
/// ends a line of script. Reading it back gives the same values.
fn in_a_script(json: &str) -> String {
    let mut out = String::with_capacity(json.len() + json.len() / 16);
    for c in json.chars() {
        match c {
            // These stand in JSON only inside strings, where an escape means the same.
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    out
}

/// What a content security policy knows an inline element by.
pub(super) fn fingerprint(text: &str) -> String {
    format!("sha256-{}", base64(&Sha256::digest(text.as_bytes())))
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for chunk in bytes.chunks(3) {
        let byte = |n: usize| u32::from(chunk.get(n).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for n in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * n) & 63) as usize];
            out.push(if n <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        let published = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in published {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn json_in_a_script_cannot_end_it_and_reads_the_same() {
        let nasty = "</script><!-- <script> & \u{2028}\u{2029} \" \\ ' {{ x }} {% y %}";
        let json = serde_json::to_string(nasty).unwrap();
        let inside = in_a_script(&json);
        assert!(!inside.contains(['<', '>', '&', '\u{2028}', '\u{2029}']), "{inside}");
        assert_eq!(serde_json::from_str::<String>(&inside).unwrap(), nasty);
    }
}
