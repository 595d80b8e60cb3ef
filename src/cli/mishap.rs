//! A slip of ours: what happened, what to send, and that nothing was lost.

use super::Terminal;
use crate::read::workbook;
use std::panic::PanicHookInfo;
use std::sync::atomic::{AtomicBool, Ordering};

/// From here on, a panic is told in words. The first only: others on other threads mostly come of it.
pub fn tell_panics() {
    static TOLD: AtomicBool = AtomicBool::new(false);
    std::panic::set_hook(Box::new(|info| {
        if !workbook::trying() && !TOLD.swap(true, Ordering::Relaxed) {
            // The word of the command alone: paths and options may hold names.
            let command = std::env::args().nth(1).filter(|word| word.bytes().all(|b| b.is_ascii_lowercase()));
            let (message, way_out) = report(info, command.as_deref());
            Terminal::of_this_process().failure(&message, &way_out);
        }
    }));
}

fn report(info: &PanicHookInfo<'_>, command: Option<&str>) -> (String, String) {
    let place = info.location().map_or_else(|| "somewhere".to_owned(), ToString::to_string);
    let said = info.payload_as_str().unwrap_or("nothing");
    let message = format!(
        "benchroll has a fault of its own, and stopped. {} {} on {} {}, `{}`, at {place}, said: {said}",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
        std::env::consts::OS,
        std::env::consts::ARCH,
        command.unwrap_or("?"),
    );
    let way_out = "nothing was lost: your course is as it was, and what was printed before is whole, or made whole at the \
                   next run. Send these lines to who made benchroll, with the course folder if you may (read both first: \
                   names can stand in them)";
    (message, way_out.to_owned())
}
