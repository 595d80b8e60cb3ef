//! `benchroll manual`: the manual pages, from the same definitions as the help.

use super::{Exit, Stream, Terminal};
use crate::output::new_file::write_new;
use clap_mangen::Man;
use std::io;
use std::path::PathBuf;

/// Print the manual page of the program or of one command, or write all of them
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll manual | man -l -
  benchroll manual prepare | man -l -
  benchroll manual --into ~/.local/share/man/man1

A file that is there already is never touched.")]
pub struct Arguments {
    /// Command whose page is printed; without one the program's own
    #[arg(value_name = "COMMAND")]
    command: Option<String>,

    /// Write the pages of all commands into this folder
    #[arg(long, value_name = "DIR", conflicts_with = "command")]
    into: Option<PathBuf>,
}

/// A page by the name of its file, and its text in the manual's own language.
struct Page {
    file: String,
    text: Vec<u8>,
}

/// The program's own page, and one for each command.
fn pages() -> io::Result<Vec<Page>> {
    let mut root = super::command(80);
    root.build();
    let commands: Vec<clap::Command> = root.get_subcommands().cloned().collect();
    [root].into_iter().chain(commands).map(page).collect()
}

fn page(command: clap::Command) -> io::Result<Page> {
    let after = command.get_after_help().map(ToString::to_string).unwrap_or_default();
    let has_commands = command.has_subcommands();
    let man = Man::new(command).source(concat!("benchroll ", env!("CARGO_PKG_VERSION"))).manual("benchroll");
    let mut text = Vec::new();
    man.render_title(&mut text)?;
    man.render_name_section(&mut text)?;
    man.render_synopsis_section(&mut text)?;
    man.render_description_section(&mut text)?;
    man.render_options_section(&mut text)?;
    if has_commands {
        man.render_subcommands_section(&mut text)?;
    }
    for section in after.split("\n\n").filter(|s| !s.trim().is_empty()) {
        text.extend(section_of(section).bytes());
    }
    Ok(Page { file: man.get_filename(), text })
}

/// A paragraph below the help: one with a head (`Examples:`) becomes a section whose lines stay apart, any other stays text.
fn section_of(section: &str) -> String {
    // A point or a quote at the start of a line would be a command of the manual's language.
    let line = |line: &str| {
        let safe = line.trim_start().replace('\\', "\\e").replace('-', "\\-");
        if safe.starts_with(['.', '\'']) { format!("\\&{safe}") } else { safe }
    };
    match section.trim().split_once(":\n") {
        Some((head, body)) => {
            let body: Vec<String> = body.lines().map(line).collect();
            format!(".SH {}\n.nf\n{}\n.fi\n", head.to_uppercase(), body.join("\n"))
        }
        None => {
            let body: Vec<String> = section.trim().lines().map(line).collect();
            format!(".PP\n{}\n", body.join("\n"))
        }
    }
}

/// Prints a page, or writes all.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let pages = match pages() {
        Ok(pages) => pages,
        Err(e) => {
            terminal.failure(&format!("can't make the manual: {e}"), "ask for one command's page");
            return Exit::Machine;
        }
    };
    if let Some(folder) = &arguments.into {
        for page in &pages {
            let target = folder.join(&page.file);
            match write_new(&target, &page.text) {
                Ok(()) => terminal.say(Stream::Answer, &format!("{} is written.", target.display())),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => terminal
                    .say(Stream::Answer, &format!("{} is there already, and stays.", target.display())),
                Err(e) => {
                    let message = format!("can't write {}: {e}", target.display());
                    terminal.failure(&message, "see that the folder can be written and has room");
                    return Exit::Machine;
                }
            }
        }
        return Exit::Fine;
    }
    let file = arguments.command.as_ref().map_or("benchroll.1".to_owned(), |c| format!("benchroll-{c}.1"));
    match pages.iter().find(|page| page.file == file) {
        Some(page) => {
            terminal.say(Stream::Answer, &String::from_utf8_lossy(&page.text));
            Exit::Fine
        }
        None => {
            let name = arguments.command.as_deref().unwrap_or_default();
            terminal
                .failure(&format!("there is no command {name:?}"), "`benchroll --help` lists all of them");
            Exit::CommandLine
        }
    }
}
