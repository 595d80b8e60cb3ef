//! Samples.

use serde_json::Value;

pub fn all() -> Vec<(&'static str, Value)> {
    vec![]
}
