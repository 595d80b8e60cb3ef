//! How a run ends. The only place that knows the numbers.

/// How a run ended.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Exit {
    /// The question was answered. There may be notes and warnings.
    Fine,
    /// The course has errors, is no course, or does not fit its sessions.
    Course,
    /// The command line is wrong.
    CommandLine,
    /// The program or the machine failed: an output folder that can't be written.
    Machine,
}

impl Exit {
    /// The process's exit code.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Exit::Fine => 0,
            Exit::Course => 1,
            Exit::CommandLine => 2,
            Exit::Machine => 3,
        }
    }
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        exit.code().into()
    }
}
