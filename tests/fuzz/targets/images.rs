//! Any bytes as a photograph: a print of a known size, or a reason why there is none.
#![no_main]
use benchroll::typeset::photos::{Unprintable, Wish, develop};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let wish = Wish { large: first & 1 != 0, grey: first & 2 != 0, ..Wish::default() };
    match develop(rest, &wish) {
        Ok(print) => assert!(!print.bytes.is_empty()),
        Err(Unprintable::NotAPhotograph(_) | Unprintable::TooLarge(..) | Unprintable::Damaged(_)) => {}
    }
});
