//! Any text as a saved page or a JSON-LD document with a recipe.
#![no_main]
use benchroll::cli::import::recipe_of;
use benchroll::course::Measures;
use benchroll::output::draft as text_of;
use benchroll::read::text::decode;
use benchroll::reckon::draft::draft;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((text, _)) = decode(bytes) else { return };
    if let Ok(recipe) = recipe_of(&text) {
        text_of::text(&draft(&recipe, None, Measures::Metric), "page.html");
    }
});
