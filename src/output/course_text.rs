//! `course.toml` changed in place: one line alone; comments, order and everything else stay.

use toml_edit::{DocumentMut, Item, Table, value};

/// The text with a stand-in in the place of an ingredient, under `[instead]`.
///
/// # Errors
/// Why it cannot be changed, as a sentence.
pub fn with_instead(text: &str, item: &str, stand_in: &str) -> Result<String, String> {
    let mut document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| e.message().to_owned())?;
    let table = document.entry("instead").or_insert_with(|| Item::Table(Table::new()));
    let table = table.as_table_like_mut().ok_or("`instead` is no table")?;
    table.insert(item, value(stand_in));
    Ok(document.to_string())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn one_line_comes_and_the_rest_stays() {
        let text = "# Mine\nname = 'A' # really\n\n[money]\nfee = \"1\"\n";
        let now = with_instead(text, "butter", "margarine").unwrap();
        assert_eq!(now, format!("{text}\n[instead]\nbutter = \"margarine\"\n"));
        assert_eq!(with_instead(&now, "butter", "oil").unwrap(), now.replace("margarine", "oil"));
    }
}
