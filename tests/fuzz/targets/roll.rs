//! Any bytes as a list of people to bring in, and what comes of it as a roll that can be read again.
#![no_main]
use benchroll::read::{roll_import, workbook};
use libfuzzer_sys::fuzz_target;

fuzz_target!(
    init: {
        // A library that stumbles over a workbook is caught, and told as a broken workbook.
        let told = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            if !workbook::trying() {
                told(info);
            }
        }));
    },
    |bytes: &[u8]| {
        let import = roll_import::read("people", bytes, None, &[]);
        for person in &import.people {
            assert_eq!(person.name, person.name.trim(), "{person:?}");
            assert!(person.row > 0, "{person:?}");
        }
    }
);
