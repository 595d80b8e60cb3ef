//! The program: calls the library, returns its exit code.
fn main() -> std::process::ExitCode {
    benchroll::cli::start()
}
