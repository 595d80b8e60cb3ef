//! A home recipe in the open vocabulary of schema.org (Recipe, HowToStep) as JSON-LD: what other programs for recipes read.

use serde::Serialize;

/// A recipe.
#[derive(Serialize, Debug)]
pub struct RecipeView {
    /// The vocabulary.
    #[serde(rename = "@context")]
    pub context: &'static str,
    /// `Recipe`.
    #[serde(rename = "@type")]
    pub sort: &'static str,
    /// What it is called.
    pub name: String,
    /// How many pieces it makes.
    #[serde(rename = "recipeYield")]
    pub makes: String,
    /// Work of one's hands, ISO 8601: `PT45M`.
    #[serde(rename = "prepTime", skip_serializing_if = "Option::is_none")]
    pub hands_on: Option<String>,
    /// From the first step to the last, ISO 8601.
    #[serde(rename = "totalTime", skip_serializing_if = "Option::is_none")]
    pub in_all: Option<String>,
    /// One line each: grams, and what.
    #[serde(rename = "recipeIngredient")]
    pub ingredients: Vec<String>,
    /// What to do.
    #[serde(rename = "recipeInstructions")]
    pub steps: Vec<HowToView>,
    /// Where it comes from.
    #[serde(rename = "creditText", skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// One step.
#[derive(Serialize, Debug)]
pub struct HowToView {
    /// `HowToStep`.
    #[serde(rename = "@type")]
    pub sort: &'static str,
    /// What it is called.
    pub name: String,
    /// What to do.
    pub text: String,
}

/// Minutes as ISO 8601 writes them: `PT1H30M`.
#[must_use]
pub fn duration(minutes: i64) -> Option<String> {
    (minutes > 0).then(|| match (minutes / 60, minutes % 60) {
        (0, m) => format!("PT{m}M"),
        (h, 0) => format!("PT{h}H"),
        (h, m) => format!("PT{h}H{m}M"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_those_of_iso_8601() {
        assert_eq!(duration(90).as_deref(), Some("PT1H30M"));
        assert_eq!(duration(120).as_deref(), Some("PT2H"));
        assert_eq!(duration(45).as_deref(), Some("PT45M"));
        assert_eq!(duration(0), None);
    }
}
