//! How far long work is, where somebody watches; nothing in a pipe.

use super::watchdog::Watched;
use crate::pipeline::Watch;
use crate::typeset::Overseer;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A line on standard error that goes away when the work is done.
pub struct Progress(ProgressBar);

impl Progress {
    /// A line, or nothing when nobody watches.
    #[must_use]
    pub fn new(watched: bool) -> Self {
        let target = if watched { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(None, target);
        Progress(bar)
    }
}

impl Overseer for Progress {
    fn begins(&self, template: &str) {
        Watched.begins(template);
    }
    fn ends(&self, template: &str) {
        Watched.ends(template);
    }
}

impl Watch for Progress {
    fn stage(&self, words: &str, pieces: usize) {
        let template = if pieces == 0 { "{msg}" } else { "{msg}  {bar:32}  {pos} of {len}" };
        if let Ok(style) = ProgressStyle::with_template(template) {
            self.0.set_style(style.progress_chars("▄▁"));
        }
        self.0.set_length(pieces as u64);
        self.0.set_position(0);
        self.0.set_message(words.to_owned());
        self.0.tick();
    }
    fn one(&self) {
        self.0.inc(1);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
