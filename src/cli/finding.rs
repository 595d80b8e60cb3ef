//! `benchroll finding CODE`: what a finding means and what to do about it.

use super::{Exit, Stream, Terminal};
use include_dir::{Dir, include_dir};

static PAGES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/findings");

/// Explain a finding by its code, with an example
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll finding tin-too-small
  benchroll finding               list all codes")]
pub struct Arguments {
    /// The word in brackets after error, warning or note
    #[arg(value_name = "CODE")]
    code: Option<String>,
}

/// All codes that have a page, in the order of the alphabet.
pub fn codes() -> impl Iterator<Item = &'static str> {
    let mut codes: Vec<&str> = PAGES.files().filter_map(|f| f.path().file_stem()?.to_str()).collect();
    codes.sort_unstable();
    codes.into_iter()
}

/// Prints a page, or all codes, or the nearest code.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let Some(code) = &arguments.code else {
        terminal.say(Stream::Answer, &codes().collect::<Vec<_>>().join("\n"));
        return Exit::Fine;
    };
    match PAGES.get_file(format!("{code}.md")).and_then(|f| f.contents_utf8()) {
        Some(page) => {
            terminal.say(Stream::Answer, page);
            Exit::Fine
        }
        None => {
            let nearest = codes()
                .map(|c| (strsim::damerau_levenshtein(c, code), c))
                .min()
                .filter(|(distance, c)| *distance <= c.len() / 2);
            let way_out = match nearest {
                Some((_, c)) => format!("did you mean {c}? `benchroll finding` lists all of them"),
                None => "`benchroll finding` lists all of them".to_owned(),
            };
            terminal.failure(&format!("there is no finding {code:?}"), &way_out);
            Exit::CommandLine
        }
    }
}
