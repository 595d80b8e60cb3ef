//! The program: calls the library, returns its exit code.
fn main() {}
