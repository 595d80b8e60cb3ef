//! A fault of our own is told in words.

use benchroll::cli::mishap;
use std::process::Command;

const ASKED: &str = "BENCHROLL_TEST_FAULT";

/// The test runs itself once more, and there the fault happens.
#[test]
fn a_fault_of_ours_says_what_to_send_and_that_nothing_is_lost() {
    if std::env::var_os(ASKED).is_some() {
        mishap::tell_panics();
        let thread = std::thread::spawn(|| panic!("the drawer is empty"));
        assert!(thread.join().is_err());
        panic!("a second one that comes of it");
    }
    let output = Command::new(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "mishap::a_fault_of_ours_says_what_to_send_and_that_nothing_is_lost",
            "--nocapture",
        ])
        .env(ASKED, "1")
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(!output.status.success(), "{said}");
    let told = said.split_whitespace().filter(|w| *w != "│").collect::<Vec<_>>().join(" ");
    let version = format!("benchroll {} on {}", env!("CARGO_PKG_VERSION"), std::env::consts::OS);
    for words in [
        "error: benchroll has a fault of its own",
        &version,
        "the drawer is empty",
        "tests/mishap.rs:",
        "nothing was lost",
        "Send these lines",
    ] {
        assert!(told.contains(words), "{words:?} is not in: {said}");
    }
    assert!(!told.contains("a second one"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
}
