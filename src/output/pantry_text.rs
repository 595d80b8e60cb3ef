//! `pantry.toml` changed in place: the stock alone; comments, order and everything else stay.

use crate::reckon::after::OnShelf;
use crate::reckon::order::words_of;
use toml_edit::{Array, DocumentMut, InlineTable, Item, Value};

/// The pantry's text with other stock for some ingredients.
///
/// # Errors
/// Why it cannot be changed, as a sentence.
pub fn with_stock<'a>(
    text: &str,
    stock: impl IntoIterator<Item = (&'a str, &'a [OnShelf])>,
) -> Result<String, String> {
    let mut document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| e.message().to_owned())?;
    for (item, shelf) in stock {
        let table = document
            .get_mut("ingredients")
            .and_then(|all| all.get_mut(item))
            .and_then(Item::as_table_like_mut)
            .ok_or_else(|| format!("there is no table for `{item}` in it"))?;
        if shelf.is_empty() {
            table.remove("stock");
            continue;
        }
        let list: Array = shelf
            .iter()
            .map(|(of, best)| {
                let mut one = InlineTable::new();
                one.insert("of", words_of(*of).into());
                if let Some(best) = best {
                    one.insert("best-before", best.to_string().into());
                }
                Value::InlineTable(one)
            })
            .collect();
        table.insert("stock", Item::Value(Value::Array(list)));
    }
    Ok(document.to_string())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Amount;
    use crate::units::Grams;
    use jiff::civil::date;

    #[test]
    fn comments_and_order_stay() {
        let text = "# Mine.\n[suppliers.shop]\nname = \"Shop\" # corner\n\n[ingredients.b]\nname = 'B'\nstock = [{ of = \"1 kg\" }]\ncold = true # really\n\n[ingredients.a]\nname = \"A\"\n";
        let b = [(Amount::Mass(Grams::whole(1300)), Some(date(2027, 6, 30))), (Amount::Pieces(3), None)];
        let now = with_stock(text, [("b", b.as_slice()), ("a", &[])]).unwrap();
        let wanted = text.replace(
            "stock = [{ of = \"1 kg\" }]",
            "stock = [{ of = \"1.3 kg\", best-before = \"2027-06-30\" }, { of = \"3 pieces\" }]",
        );
        assert_eq!(now, wanted);
        assert!(with_stock(text, [("c", b.as_slice())]).is_err());
    }
}
