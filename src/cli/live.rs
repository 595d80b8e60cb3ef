//! `benchroll live COURSE`: print again at each save, with a preview and the board, on this machine.

mod guard;
mod stand;

use super::{Exit, Stream, Terminal};
use crate::output::manifest::sha256;
use crate::read::{FileTree, folder};
use guard::{Asked, refuse};
use notify::event::{AccessKind, AccessMode, ModifyKind, RenameMode};
use notify::{EventKind, RecursiveMode, Watcher};
use stand::{Answer, Kept, Stand};
use std::io::{Cursor, Read};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tiny_http::{Header, Request, Response, Server};

/// Print again at each save; preview and board in this machine's browser
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll live course
  benchroll live course --port 4870

It answers this machine alone, and writes nothing: `benchroll prepare` does
that. Ctrl-C ends it.")]
pub struct Arguments {
    /// Folder of the course
    #[arg(value_name = "COURSE")]
    course: PathBuf,

    /// Port to listen on; if left away the course's own, or any free one
    #[arg(long, value_name = "N")]
    port: Option<u16>,
}

/// So long after a change the sheet that is looked at is printed, where nothing says before that the file is whole.
const READS: Duration = Duration::from_millis(20);
/// Several saves within this time are one, to all other sheets.
const SETTLES: Duration = Duration::from_millis(300);
/// The ports of courses: above those that systems hand out by themselves.
const FIRST_PORT: u16 = 61_000;
const PORTS: u16 = 4_500;
/// How many requests are answered at once.
const CLERKS: usize = 3;

/// Serves until somebody ends it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    if !arguments.course.join("course.toml").is_file() {
        terminal.failure(
            &format!("{} is no course: it has no course.toml", arguments.course.display()),
            "give the folder of a course",
        );
        return Exit::Course;
    }
    let (server, taken) = match listen(arguments) {
        Ok((server, taken)) => (Arc::new(server), taken),
        Err(error) => {
            terminal.failure(
                &format!("can't listen on port {}: {error}", arguments.port.unwrap_or(0)),
                "leave --port away, and any free one is taken",
            );
            return Exit::Machine;
        }
    };
    let Some(port) = server.server_addr().to_ip().map(|address| address.port()) else {
        terminal.failure("can't listen on this machine's own address", "ask again");
        return Exit::Machine;
    };
    let (tell, saved) = channel();
    let watching = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        if let Some(heard) = event.ok().and_then(|e| heard(e.kind)) {
            // Nobody listens only when the program ends.
            let _ = tell.send(heard);
        }
    })
    .and_then(|mut watcher| {
        watcher.watch(&arguments.course, RecursiveMode::Recursive)?;
        Ok(watcher)
    });
    let _watcher = match watching {
        Ok(watcher) => watcher,
        Err(error) => {
            terminal.failure(&format!("can't watch the folder: {error}"), "see that it can be read");
            return Exit::Machine;
        }
    };
    let kept = Arc::new(Kept::default());
    let stand = Arc::new(Mutex::new(Stand::new(&arguments.course, Arc::clone(&kept))));
    for _ in 0..CLERKS {
        let (server, stand) = (Arc::clone(&server), Arc::clone(&stand));
        std::thread::spawn(move || {
            while let Ok(request) = server.recv() {
                serve(request, port, &stand);
            }
        });
    }
    let words = format!("Preview: http://127.0.0.1:{port}/\nBoard: http://127.0.0.1:{port}/board");
    terminal.say(Stream::Answer, &words);
    if let Some(taken) = taken {
        let why = format!(
            "Port {taken}, which is this course's, is taken: does another `live` of it still run? A browser keeps what was ticked by the address, so a board that was open there starts empty here. End the other one and begin again, or save the log there and read it back here."
        );
        terminal.prose(Stream::Answer, &why);
    }
    watch(&saved, &arguments.course, &stand, &kept, terminal)
}

/// Listens on this machine's own address. A browser keeps what was ticked by the address with its port: without a port of the
/// teacher's choice each course gets one of its own, the same each time, so that a board is found again after a restart; where
/// that one is taken it is any free one, and the taken one is told.
fn listen(arguments: &Arguments) -> Result<(Server, Option<u16>), Box<dyn std::error::Error + Send + Sync>> {
    if let Some(port) = arguments.port {
        return Ok((Server::http(("127.0.0.1", port))?, None));
    }
    let path = arguments.course.canonicalize().unwrap_or_else(|_| arguments.course.clone());
    let own = sha256(path.to_string_lossy().as_bytes());
    let number = u16::from_str_radix(&own[..4], 16).unwrap_or(0);
    let port = FIRST_PORT + number % PORTS;
    match Server::http(("127.0.0.1", port)) {
        Ok(server) => Ok((server, None)),
        Err(_) => Ok((Server::http(("127.0.0.1", 0))?, Some(port))),
    }
}

/// What was heard of a folder.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Heard {
    /// A file was written and closed, or took its place under its name: it can be read.
    Whole,
    /// Something else was changed: it may be half a file yet.
    Changed,
}

/// What an event says; `None` where nothing was changed. Systems that do not tell when a file is closed only say that it changes.
fn heard(kind: EventKind) -> Option<Heard> {
    match kind {
        EventKind::Access(AccessKind::Close(AccessMode::Write))
        | EventKind::Modify(ModifyKind::Name(RenameMode::To)) => Some(Heard::Whole),
        EventKind::Access(_) => None,
        _ => Some(Heard::Changed),
    }
}

/// Waits until nothing was heard for this long, or else for a file that is whole; whether nothing more came.
fn settled(saved: &Receiver<Heard>, time: Duration) -> bool {
    loop {
        match saved.recv_timeout(time) {
            Ok(Heard::Whole) => return false,
            Ok(Heard::Changed) => {}
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => return true,
        }
    }
}

/// The files after the next save that makes other ones of them; `None` once nothing more came for a while.
fn saved_next(saved: &Receiver<Heard>, course: &Path, were: &FileTree) -> Option<FileTree> {
    while !settled(saved, SETTLES) {
        let now = load(course);
        if now != *were {
            return Some(now);
        }
    }
    None
}

/// Prints again after each save: the sheet that is looked at as soon as a file is whole, all others once it has settled.
fn watch(
    saved: &Receiver<Heard>,
    course: &Path,
    stand: &Mutex<Stand>,
    kept: &Arc<Kept>,
    terminal: &mut Terminal<'_>,
) -> Exit {
    let mut seen = load(course);
    while let Ok(first) = saved.recv() {
        if first == Heard::Changed {
            settled(saved, READS);
        }
        let (mut tried, mut at_once) = (load(course), false);
        if tried != seen {
            loop {
                let said = stand.lock().unwrap_or_else(PoisonError::into_inner).at_once(&tried);
                at_once |= said.is_some();
                said.iter().for_each(|said| terminal.say(Stream::Answer, said));
                match saved_next(saved, course, &tried) {
                    Some(now) => tried = now,
                    None => break,
                }
            }
        }
        // Looking at a folder, or saving a file as it was, is no reason to print, unless a sheet shows what is undone again.
        let now = load(course);
        if now == seen && !at_once {
            continue;
        }
        seen = now;
        // Printed beside the one on show, which goes on answering meanwhile.
        let mut next = Stand::new(course, Arc::clone(kept));
        let mut on_show = stand.lock().unwrap_or_else(PoisonError::into_inner);
        let goes_on = next.take_over(&mut on_show);
        *on_show = next;
        let said = on_show.told();
        drop(on_show);
        terminal.say(Stream::Answer, &said);
        match goes_on {
            Ok(None) => {}
            Ok(Some(other)) => {
                terminal.failure(&other, "look at the board with care, and plan the rest again from it");
            }
            Err(why) => terminal.failure(
                &format!("the board shows the plan of the course again: {why}"),
                "what was ticked is kept; plan the rest again from the board",
            ),
        }
    }
    Exit::Fine
}

/// The files of a course as they are now.
fn load(course: &Path) -> FileTree {
    folder::load(course).unwrap_or_default()
}

fn serve(mut request: Request, port: u16, stand: &Mutex<Stand>) {
    let answer = answer(&mut request, port, stand);
    let mut response = Response::new(
        tiny_http::StatusCode(answer.status),
        Vec::new(),
        Cursor::new(answer.bytes.clone()),
        Some(answer.bytes.len()),
        None,
    )
    .with_chunked_threshold(usize::MAX);
    let mut headers = vec![
        ("Content-Type", answer.content),
        ("Cache-Control", "no-store"),
        ("X-Content-Type-Options", "nosniff"),
        ("Cross-Origin-Resource-Policy", "same-origin"),
        ("Referrer-Policy", "no-referrer"),
    ];
    if !answer.policy.is_empty() {
        headers.push(("Content-Security-Policy", &answer.policy));
    }
    for (name, value) in headers {
        if let Ok(header) = Header::from_bytes(name, value) {
            response.add_header(header);
        }
    }
    // A browser that has gone away needs no answer.
    let _ = request.respond(response);
}

fn answer(request: &mut Request, port: u16, stand: &Mutex<Stand>) -> Answer {
    let all = |name: &'static str| -> Vec<String> {
        let named = request.headers().iter().filter(|h| h.field.equiv(name));
        named.map(|h| h.value.as_str().to_owned()).collect()
    };
    let (hosts, origins) = (all("Host"), all("Origin"));
    let (site, content) = (all("Sec-Fetch-Site"), all("Content-Type"));
    let method = request.method().to_string();
    let path = request.url().to_owned();
    let asked = Asked {
        method: &method,
        path: &path,
        hosts: &hosts.iter().map(String::as_str).collect::<Vec<_>>(),
        origins: &origins.iter().map(String::as_str).collect::<Vec<_>>(),
        site: site.first().map(String::as_str),
        content: content.first().map(String::as_str),
        length: request.body_length(),
        chunked: !all("Transfer-Encoding").is_empty(),
    };
    if let Some((status, why)) = refuse(&asked, port) {
        return Answer::words(status, why);
    }
    if method == "GET" {
        return stand.lock().unwrap_or_else(PoisonError::into_inner).get(&path);
    }
    if path != "/catch-up" && path != "/carry-on" {
        return Answer::words(404, "there is nothing to send to here");
    }
    let mut body = Vec::new();
    let most = guard::LARGEST_BODY as u64;
    if request.as_reader().take(most).read_to_end(&mut body).is_err() {
        return Answer::words(400, "the body did not arrive");
    }
    let mut stand = stand.lock().unwrap_or_else(PoisonError::into_inner);
    if path == "/carry-on" { stand.carry_on(&body) } else { stand.plan_again(&body) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use notify::event::{CreateKind, DataChange};
    use std::sync::mpsc::channel;

    #[test]
    fn a_file_that_was_closed_is_whole() {
        let closed = |mode| EventKind::Access(AccessKind::Close(mode));
        let renamed = |mode| EventKind::Modify(ModifyKind::Name(mode));
        assert_eq!(heard(closed(AccessMode::Write)), Some(Heard::Whole));
        assert_eq!(heard(renamed(RenameMode::To)), Some(Heard::Whole));
        assert_eq!(heard(renamed(RenameMode::From)), Some(Heard::Changed));
        assert_eq!(heard(EventKind::Create(CreateKind::File)), Some(Heard::Changed));
        assert_eq!(heard(EventKind::Modify(ModifyKind::Data(DataChange::Any))), Some(Heard::Changed));
        // Who looks changes nothing.
        assert_eq!(heard(closed(AccessMode::Read)), None);
        assert_eq!(heard(EventKind::Access(AccessKind::Open(AccessMode::Any))), None);
    }

    #[test]
    fn a_whole_file_ends_the_waiting() {
        let (tell, saved) = channel();
        for heard in [Heard::Changed, Heard::Whole, Heard::Changed] {
            tell.send(heard).unwrap();
        }
        assert!(!settled(&saved, Duration::from_secs(60)), "there is more");
        drop(tell);
        assert!(settled(&saved, Duration::from_secs(60)), "nothing more can come");
    }
}
