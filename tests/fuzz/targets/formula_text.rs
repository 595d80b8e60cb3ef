//! Any text as a recipe on a page: a draft, and a file that says the same whenever it is written.
#![no_main]
use benchroll::course::Measures;
use benchroll::output::draft as text_of;
use benchroll::read::text::decode;
use benchroll::read::written_recipe;
use benchroll::reckon::draft::draft;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((text, _)) = decode(bytes) else { return };
    let recipe = written_recipe::read(&text);
    for set in [Measures::Us, Measures::Australian] {
        let draft = draft(&recipe, None, set);
        text_of::text(&draft, "recipe.txt");
    }
});
