//! Any bytes as a list of people to bring in, and what comes of it as a roll that can be read again.
#![no_main]
use benchroll::read::roll_import;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let import = roll_import::read("people", bytes, None, &[]);
    for person in &import.people {
        assert_eq!(person.name, person.name.trim(), "{person:?}");
        assert!(person.row > 0, "{person:?}");
    }
});
