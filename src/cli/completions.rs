//! `benchroll completions SHELL`: what a shell needs to complete our command lines, from the same definitions as the help.

use super::{Exit, Stream, Terminal};
use clap::ValueEnum;

/// Print what a shell needs to complete benchroll's command lines
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll completions bash > benchroll
  benchroll completions fish > ~/.config/fish/completions/benchroll.fish
  benchroll completions zsh > _benchroll     into a folder of your $fpath

For bash the file goes into ~/.local/share/bash-completion/completions.")]
pub struct Arguments {
    /// Whose completions
    #[arg(value_enum, value_name = "SHELL")]
    shell: Shell,
}

/// The shells.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum Shell {
    /// bash
    Bash,
    /// zsh
    Zsh,
    /// fish
    Fish,
}

/// Prints the completions.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let mut text = Vec::new();
    let shell = match arguments.shell {
        Shell::Bash => clap_complete::Shell::Bash,
        Shell::Zsh => clap_complete::Shell::Zsh,
        Shell::Fish => clap_complete::Shell::Fish,
    };
    clap_complete::generate(shell, &mut super::command(80), "benchroll", &mut text);
    terminal.say(Stream::Answer, &String::from_utf8_lossy(&text));
    Exit::Fine
}
