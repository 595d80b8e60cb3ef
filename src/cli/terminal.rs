//! The only printing: answers go to standard output, all else to standard error. Colour, width and quiet are decided here.

use super::Exit;
use crate::finding::{Finding, Level, LineColumn, Place, Sources};
use crate::output::table::Table;
use crate::output::text::{Charset, Screen, clean, columns, counted, wrap};
use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Element, Group, Level as Drawn, Message, Origin, Renderer, Snippet};
use serde::Serialize;
use std::io::{self, BufRead, IsTerminal, Write};

/// Where a text goes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stream {
    /// What was asked for; it may be piped.
    Answer,
    /// What is told beside it.
    Aside,
}

/// The person at the keyboard, or a pipe.
pub struct Terminal<'a> {
    answer: Box<dyn Write + 'a>,
    aside: Box<dyn Write + 'a>,
    keyboard: Box<dyn BufRead + 'a>,
    hears: bool,
    colour_answer: bool,
    colour_aside: bool,
    screen: Screen,
    watched: bool,
    failed: Option<io::Error>,
}

impl<'a> Terminal<'a> {
    /// Two plain streams, without colour or progress.
    pub fn plain(answer: impl Write + 'a, aside: impl Write + 'a, screen: Screen) -> Self {
        Terminal {
            answer: Box::new(answer),
            aside: Box::new(aside),
            keyboard: Box::new(io::empty()),
            hears: false,
            colour_answer: false,
            colour_aside: false,
            screen,
            watched: false,
            failed: None,
        }
    }

    /// The same, with somebody who answers questions.
    #[must_use]
    pub fn hearing(mut self, keyboard: impl BufRead + 'a) -> Self {
        self.keyboard = Box::new(keyboard);
        self.hears = true;
        self
    }

    /// The process's own streams. Colour where they can show it and `NO_COLOR` is not set; a progress bar where somebody watches.
    #[must_use]
    pub fn of_this_process() -> Terminal<'static> {
        let (stdout, stderr) =
            (anstream::AutoStream::auto(io::stdout()), anstream::AutoStream::auto(io::stderr()));
        let can = |choice: anstream::ColorChoice| choice != anstream::ColorChoice::Never;
        let terminal = io::stdout().is_terminal();
        let width = terminal_size::terminal_size_of(io::stdout()).map(|(width, _)| usize::from(width.0));
        Terminal {
            colour_answer: can(stdout.current_choice()),
            colour_aside: can(stderr.current_choice()),
            answer: Box::new(stdout),
            aside: Box::new(stderr),
            // Locked line by line: whoever tells that the program ends may not wait for it.
            keyboard: Box::new(io::BufReader::new(io::stdin())),
            hears: io::stdin().is_terminal() && io::stderr().is_terminal(),
            screen: Screen {
                // Where nobody says how wide it is, a line has 80 columns.
                width: width.filter(|w| *w > 0).unwrap_or(80),
                charset: if terminal { charset_of_locale() } else { Charset::Unicode },
            },
            watched: io::stderr().is_terminal(),
            failed: None,
        }
    }

    /// What the screen can show.
    #[must_use]
    pub fn screen(&self) -> Screen {
        self.screen
    }

    /// Whether somebody watches: then long work may show how far it is.
    #[must_use]
    pub fn watched(&self) -> bool {
        self.watched
    }

    /// Whether somebody can be asked.
    #[must_use]
    pub fn hears(&self) -> bool {
        self.hears
    }

    /// Asks a question and reads a line of answer; `None` when there are no more.
    ///
    /// # Errors
    /// What the machine answers when it can't print the question or read the line.
    pub fn ask(&mut self, question: &str) -> io::Result<Option<String>> {
        write!(self.aside, "{question}")?;
        self.aside.flush()?;
        let mut line = String::new();
        let read = self.keyboard.read_line(&mut line)?;
        Ok((read > 0).then_some(line))
    }

    /// Prints a text, and ends its line. People's names may be in it: what would steer the terminal is shown as a box.
    pub fn say(&mut self, to: Stream, text: &str) {
        self.put(to, &harmless(text));
    }

    /// Prints what is already cleaned, and may be coloured, as it is.
    fn put(&mut self, to: Stream, text: &str) {
        let end = if text.is_empty() || text.ends_with('\n') { "" } else { "\n" };
        let stream = match to {
            Stream::Answer => &mut self.answer,
            Stream::Aside => &mut self.aside,
        };
        if let Err(error) = write!(stream, "{text}{end}").and_then(|()| stream.flush())
            && self.failed.is_none()
        {
            self.failed = Some(error);
        }
    }

    /// Prints sentences: what is wider than the screen goes on below.
    pub fn prose(&mut self, to: Stream, text: &str) {
        let fits = |line: &str| columns(line) <= self.screen.width;
        let wrapped = |line: &str| wrap(line, self.screen.width).join("\n");
        let lines: Vec<String> =
            text.lines().map(|line| if fits(line) { line.to_owned() } else { wrapped(line) }).collect();
        self.say(to, &lines.join("\n"));
    }

    /// Prints tables, a blank line between two.
    pub fn tables(&mut self, to: Stream, tables: &[Table]) {
        let texts: Vec<String> = tables.iter().map(|table| table.to_text(self.screen)).collect();
        self.say(to, &texts.join("\n"));
    }

    /// Prints the answer for programs.
    pub fn json(&mut self, value: &impl Serialize) {
        match serde_json::to_string_pretty(value) {
            Ok(text) => self.put(Stream::Answer, &harmless_json(&text)),
            Err(error) => self.failed = Some(error.into()),
        }
    }

    /// Prints that the run cannot go on, and the way out.
    pub fn failure(&mut self, message: &str, way_out: &str) {
        let report = [Drawn::ERROR
            .primary_title(folded(message, self.screen.width, "error: ".len()))
            .element(way_out_of(way_out, self.screen.width))];
        let text = self.renderer(Stream::Aside).render(&report);
        self.put(Stream::Aside, &text);
    }

    /// Draws findings when the program ends at once: a line that shows how far the work is may still stand there.
    pub fn last_word(&mut self, findings: &[Finding], sources: &Sources) {
        if self.watched {
            self.put(Stream::Aside, "\n");
        }
        self.findings(Stream::Aside, findings, sources);
    }

    /// Draws findings, each with its line and the place marked, errors first, and how many there are.
    pub fn findings(&mut self, to: Stream, findings: &[Finding], sources: &Sources) {
        for finding in sorted(findings) {
            let text = draw(finding, sources, &self.renderer(to), self.screen.width);
            self.put(to, &text);
            self.put(to, "\n");
        }
        if !findings.is_empty() {
            self.say(to, &count(findings));
        }
    }

    /// Prints what the command line's parser answers: help, the version, or what is wrong with the line.
    pub fn refused(&mut self, refused: &clap::Error) -> Exit {
        let (to, exit) = if refused.use_stderr() {
            (Stream::Aside, Exit::CommandLine)
        } else {
            (Stream::Answer, Exit::Fine)
        };
        let text = refused.render();
        let text = if self.colour(to) { text.ansi().to_string() } else { text.to_string() };
        self.put(to, &text);
        exit
    }

    /// What went wrong while printing; a reader who left early (`| head`) is no failure.
    #[must_use]
    pub fn failed(&self) -> Option<&io::Error> {
        self.failed.as_ref().filter(|e| e.kind() != io::ErrorKind::BrokenPipe)
    }

    fn colour(&self, to: Stream) -> bool {
        match to {
            Stream::Answer => self.colour_answer,
            Stream::Aside => self.colour_aside,
        }
    }

    fn renderer(&self, to: Stream) -> Renderer {
        let renderer = if self.colour(to) { Renderer::styled() } else { Renderer::plain() };
        renderer.term_width(self.screen.width).decor_style(match self.screen.charset {
            Charset::Unicode => DecorStyle::Unicode,
            Charset::Ascii => DecorStyle::Ascii,
        })
    }
}

/// A text without what steers a terminal. Line ends of either sort and tabs stay: it may be a file.
fn harmless(text: &str) -> String {
    let mut left = text.chars().peekable();
    let mut out = String::with_capacity(text.len());
    while let Some(c) = left.next() {
        match c {
            '\n' | '\t' => out.push(c),
            '\r' if left.peek() == Some(&'\n') => out.push(c),
            c => out.push_str(&clean(c.encode_utf8(&mut [0; 4]))),
        }
    }
    out
}

/// JSON in which the letters that turn the direction of writing are escaped. They stand in its strings alone, so it says the same.
fn harmless_json(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{7f}'..='\u{9f}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().fold(String::with_capacity(text.len()), |mut out, c| {
        if turns(c) {
            out.push_str(&format!("\\u{:04x}", u32::from(c)))
        } else {
            out.push(c)
        }
        out
    })
}

/// A terminal whose locale is not UTF-8 gets plain characters.
fn charset_of_locale() -> Charset {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .iter()
        .find_map(|name| std::env::var(name).ok().filter(|value| !value.is_empty()))
        .unwrap_or_default()
        .to_uppercase();
    if cfg!(windows) || locale.contains("UTF-8") || locale.contains("UTF8") {
        Charset::Unicode
    } else {
        Charset::Ascii
    }
}

/// Errors first, in each level what is far off before the rest, then by file and place: the order of reading.
#[must_use]
pub fn sorted(findings: &[Finding]) -> Vec<&Finding> {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|f| (f.level, !f.far_off, f.place.map(|p| (p.source, p.start)), f.file.clone()));
    sorted
}

/// "1 error, 2 warnings and 3 notes": only what there is.
#[must_use]
pub fn count(findings: &[Finding]) -> String {
    let of = |level: Level, one: &str, many: &str| {
        let n = findings.iter().filter(|f| f.level == level).count();
        (n > 0).then(|| counted(n, one, many))
    };
    let parts: Vec<String> = [
        of(Level::Error, "error", "errors"),
        of(Level::Warning, "warning", "warnings"),
        of(Level::Note, "note", "notes"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match parts.split_last() {
        None => "nothing to tell".to_owned(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

/// One finding as text.
fn draw(finding: &Finding, sources: &Sources, renderer: &Renderer, width: usize) -> String {
    let level = match finding.level {
        Level::Error => Drawn::ERROR,
        Level::Warning => Drawn::WARNING,
        Level::Note => Drawn::NOTE,
    };
    // `error[code]: ` stands before the message, and its further lines stand under its first.
    let before = finding.level.word().len() + finding.code.0.len() + 4;
    let message = folded(&finding.message, width, before);
    let mut group = Group::with_title(level.primary_title(message).id(finding.code.0));
    let mut marked: Vec<(LineOf, AnnotationKind, String)> = Vec::new();
    if let Some(line) = finding.place.and_then(|p| line_of(p, sources)) {
        marked.push((line, AnnotationKind::Primary, String::new()));
    } else if let Some(file) = &finding.file {
        group = group.element(Element::from(Origin::path(clean(file))));
    }
    for (place, words) in &finding.also {
        if let Some(line) = line_of(*place, sources) {
            marked.push((line, AnnotationKind::Context, clean(words)));
        }
    }
    let mut rest = marked.as_slice();
    while let Some((first, ..)) = rest.first() {
        // Marks on one line are drawn on one line.
        let same = rest.iter().take_while(|(line, ..)| line.same_line(first)).count();
        let (together, others) = rest.split_at(same);
        rest = others;
        let snippet =
            Snippet::source(first.text.clone()).path(clean(&first.at.file)).line_start(first.at.line);
        group = group.element(snippet.annotations(together.iter().map(|(line, kind, words)| {
            let mark = kind.span(line.from..line.to);
            if words.is_empty() { mark } else { mark.label(words.clone()) }
        })));
    }
    if let Some(way_out) = &finding.way_out {
        group = group.element(way_out_of(way_out, width));
    }
    renderer.render(&[group])
}

/// A sentence in lines that fit a screen when so many columns stand before each.
fn folded(text: &str, width: usize, before: usize) -> String {
    wrap(&clean(text), width.saturating_sub(before).max(20)).join("\n")
}

/// The way out; the widest line number, the mark and its name stand before it.
fn way_out_of(text: &str, width: usize) -> Message<'_> {
    Drawn::HELP.with_name("way out").message(folded(text, width, 17))
}

/// The line that a place begins on, and the marked bytes in it.
struct LineOf {
    at: LineColumn,
    text: String,
    from: usize,
    to: usize,
}

impl LineOf {
    fn same_line(&self, other: &LineOf) -> bool {
        self.at.file == other.at.file && self.at.line == other.at.line
    }
}

fn line_of(place: Place, sources: &Sources) -> Option<LineOf> {
    let at = sources.locate(place)?;
    let text = &sources.get(place.source)?.text;
    let start = place.start.min(text.len());
    let from_line = text.get(..start)?.rfind('\n').map_or(0, |n| n + 1);
    let line = text.get(from_line..)?.lines().next().unwrap_or("");
    let from = (start - from_line).min(line.len());
    // A place that goes over several lines is marked to the end of its first.
    let mut to = place.end.saturating_sub(from_line).clamp(from, line.len());
    while !line.is_char_boundary(to) {
        to += 1;
    }
    Some(LineOf { at, text: line.to_owned(), from, to })
}
