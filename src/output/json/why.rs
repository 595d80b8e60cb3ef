//! A chain of reasons for programs.

use serde::Serialize;

/// What `--why` answers.
#[derive(Serialize, Debug)]
pub struct WhyView {
    /// What was asked about.
    pub thing: String,
    /// The chain.
    pub because: Vec<ReasonView>,
}

/// One reason.
#[derive(Serialize, Debug)]
pub struct ReasonView {
    /// How far down the chain it stands: 0 for what was asked about.
    pub depth: usize,
    /// In words, with the file and line where it was written.
    pub text: String,
}
