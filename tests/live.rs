//! `live`: it answers this machine's own pages and nobody else, prints again at a save, and plans again.

use crate::support::Sealed;
use benchroll::pipeline::memo::Memo;
use benchroll::pipeline::printing::Lent;
use benchroll::pipeline::{Asked, Unwatched, Watch, produce, produce_again};
use benchroll::read::folder;
use benchroll::typeset::{MemoryShelf, Overseer};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

struct Live {
    child: Child,
    port: u16,
    sealed: Sealed,
}

impl Drop for Live {
    fn drop(&mut self) {
        // It runs until somebody ends it.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Live {
    fn start(sealed: Sealed) -> Live {
        let mut child = Command::new(env!("CARGO_BIN_EXE_benchroll"))
            .args(["live", "course"])
            .current_dir(sealed.path(""))
            .env_clear()
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let port = line.trim().strip_prefix("Preview: http://127.0.0.1:").unwrap().trim_end_matches('/');
        Live { port: port.parse().unwrap(), child, sealed }
    }

    /// Sends a request as it is written, and gives the status and the body.
    fn ask(&self, head: &str, body: &str) -> (u16, String) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        let head = head.replace("PORT", &self.port.to_string()).replace('\n', "\r\n");
        write!(stream, "{head}\r\nConnection: close\r\n\r\n{body}").unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let status = answer.split(' ').nth(1).unwrap().parse().unwrap();
        (status, answer.split_once("\r\n\r\n").map_or(String::new(), |(_, body)| body.to_owned()))
    }
    fn get(&self, path: &str) -> (u16, String) {
        self.ask(&format!("GET {path} HTTP/1.1\nHost: 127.0.0.1:PORT"), "")
    }
    fn post(&self, body: &Value) -> (u16, String) {
        self.send("/catch-up", body)
    }
    fn send(&self, path: &str, body: &Value) -> (u16, String) {
        let body = body.to_string();
        let head = format!(
            "POST {path} HTTP/1.1\nHost: 127.0.0.1:PORT\nOrigin: http://127.0.0.1:PORT\nContent-Type: application/json\nContent-Length: {}",
            body.len()
        );
        self.ask(&head, &body)
    }
    fn plan(&self) -> Value {
        let state: Value = serde_json::from_str(&self.get("/state").1).unwrap();
        state["plan"].clone()
    }
    fn made(&self) -> u64 {
        let state: Value = serde_json::from_str(&self.get("/state").1).unwrap();
        state["made"].as_u64().unwrap()
    }
}

#[test]
fn a_class_live() {
    let live = Live::start(Sealed::small());
    // Its own pages.
    let (status, page) = live.get("/");
    assert_eq!(status, 200);
    assert!(page.contains("station-1.pdf") && page.contains("<object"), "{page}");
    let (status, sheet) = live.get("/sheets/station-1.pdf");
    assert!(status == 200 && sheet.starts_with("%PDF"), "{status}");
    let (status, board) = live.get("/board");
    assert!(status == 200 && board.contains("data-live") && board.contains("connect-src"), "{status}");

    // Nobody else's.
    for host in ["bakery.example", "bakery.example:PORT", "127.0.0.1:1"] {
        assert_eq!(live.ask(&format!("GET / HTTP/1.1\nHost: {host}"), "").0, 403, "{host}");
    }
    let other = "GET / HTTP/1.1\nHost: 127.0.0.1:PORT\nOrigin: http://bakery.example";
    assert_eq!(live.ask(other, "").0, 403);
    for path in [
        "/sheets/../course.toml",
        "/sheets/%2e%2e/course.toml",
        "/course.toml",
        "/sheets/roll.csv",
        "/../../etc/passwd",
    ] {
        assert_eq!(live.get(path).0, 404, "{path}");
    }
    let large = "POST /catch-up HTTP/1.1\nHost: 127.0.0.1:PORT\nOrigin: http://127.0.0.1:PORT\nContent-Type: application/json\nContent-Length: 9999999";
    assert_eq!(live.ask(large, "").0, 413);

    // Planned again by what the board says.
    let data = board.split("id=\"data\">").nth(1).unwrap().split("</script>").next().unwrap();
    let data: Value = serde_json::from_str(data).unwrap();
    let session = data["days"].as_array().unwrap().iter().find(|d| !d["session"].is_null()).unwrap();
    let from = session["session"]["from"].as_i64().unwrap();
    let running =
        data["tasks"].as_array().unwrap().iter().find(|t| t["from"] == from && t["tone"] != "waits").unwrap();
    let now = jiff::Timestamp::from_second((from + 5) * 60).unwrap().to_string();
    let mut standing = json!({
        "format": "benchroll-state", "version": 1, "plan": data["plan"], "now": now, "done": [], "without": [],
        "late": [{ "id": running["id"], "minutes": 10 }], "entries": [{ "id": "a-1", "at": 1, "kind": "done" }],
    });
    let (status, answer) = live.post(&standing);
    let answer: Value = serde_json::from_str(&answer).unwrap();
    assert_eq!(status, 200, "{answer}");
    let changes = answer["changes"].as_array().unwrap();
    assert!(!changes.is_empty(), "{answer}");
    // What keeps its machine and its hands says nothing of them.
    assert!(changes.iter().all(|c| c["machines"].is_null() || c["machines"]["was"] != c["machines"]["now"]));
    let (status, refused) = live.post(&json!({ "format": "benchroll-state", "version": 9 }));
    assert!(status == 422 && refused.contains("later board"), "{refused}");
    // Food that the plan would have out of its limits stands in its own list; what is not there is refused.
    assert_eq!(answer["findings"], json!([]), "{answer}");
    let mut wrong = standing.clone();
    wrong["without"] = json!(["no-oven"]);
    let (status, refused) = live.post(&wrong);
    assert!(status == 422 && refused.contains("no-oven"), "{refused}");
    // Nothing has changed until somebody says so, and then once.
    assert_eq!(live.plan(), data["plan"]);
    for (offer, wanted) in [(json!(7), 409), (answer["offer"].clone(), 200), (answer["offer"].clone(), 409)] {
        let (status, said) = live.send("/carry-on", &json!({ "offer": offer }));
        assert_eq!(status, wanted, "{offer}: {said}");
    }
    let taken = live.plan();
    assert_ne!(taken, data["plan"]);
    let board = live.get("/board").1;
    let again = board.split("id=\"data\">").nth(1).unwrap().split("</script>").next().unwrap();
    let again: Value = serde_json::from_str(again).unwrap();
    assert_eq!((&again["plan"], &again["entries"]), (&taken, &standing["entries"]));
    assert_eq!(again["before"].as_array().unwrap().len(), 1);
    // What a page says that still shows the former plan is not held against the new one.
    let (status, refused) = live.post(&standing);
    assert!(status == 422 && refused.contains("load it again"), "{refused}");
    standing["plan"] = taken.clone();
    assert_eq!(live.post(&standing).0, 200);
    assert_eq!(live.send("/somewhere", &standing).0, 404);
    for cross in ["Origin: http://bakery.example", "Origin: null"] {
        let head = format!(
            "POST /carry-on HTTP/1.1\nHost: 127.0.0.1:PORT\n{cross}\nContent-Type: application/json\nContent-Length: 11"
        );
        assert_eq!(live.ask(&head, "{\"offer\":0}").0, 403, "{cross}");
    }

    // Printed again at a save, once.
    let before = live.made();
    let path = live.sealed.path("course/course.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replacen("name = \"", "name = \"Anew: ", 1)).unwrap();
    let begun = Instant::now();
    while live.made() == before {
        assert!(begun.elapsed() < Duration::from_secs(120), "not printed again");
        std::thread::sleep(Duration::from_millis(200));
    }
    assert_eq!(live.made(), before + 1);
    assert!(live.get("/").1.contains("Anew: "));
    // The day goes on with the plan that was taken up: the course's name alone has changed.
    let board = live.get("/board").1;
    assert!(board.contains("\"before\":[{"), "the plan of the day is kept");

    // Half-way through typing the last good pages stay, and what is wrong is told.
    let before = live.made();
    std::fs::write(&path, &text[..text.len() / 3]).unwrap();
    let begun = Instant::now();
    while live.made() == before {
        assert!(begun.elapsed() < Duration::from_secs(120), "not looked at again");
        std::thread::sleep(Duration::from_millis(200));
    }
    let page = live.get("/").1;
    assert!(page.contains("last good pages") && page.contains("<li class=\"error\">"), "{page}");
    assert!(page.contains("station-1.pdf") && page.contains("Anew: "), "{page}");
    assert_eq!(live.get("/sheets/station-1.pdf").0, 200);
    assert!(live.get("/board").1.contains("\"before\":[{"));
    std::fs::write(&path, text).unwrap();
    let begun = Instant::now();
    while live.made() == before + 1 {
        assert!(begun.elapsed() < Duration::from_secs(120), "not looked at again");
        std::thread::sleep(Duration::from_millis(200));
    }
    let page = live.get("/").1;
    assert!(!page.contains("last good pages") && !page.contains("Anew: "), "{page}");
    assert_eq!(live.plan(), taken, "the same course again: the same plan of the day");
}

#[test]
fn a_second_live_of_a_course_says_that_its_address_is_another_one() {
    let live = Live::start(Sealed::small());
    let mut second = Command::new(env!("CARGO_BIN_EXE_benchroll"))
        .args(["live", "course"])
        .current_dir(live.sealed.path(""))
        .env_clear()
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let told: Vec<String> =
        BufReader::new(second.stdout.take().unwrap()).lines().take(3).map(Result::unwrap).collect();
    second.kill().unwrap();
    second.wait().unwrap();
    assert!(!told[0].contains(&live.port.to_string()), "{told:?}");
    assert!(
        told[2].starts_with(&format!("Port {}, which is this course's, is taken", live.port)),
        "{told:?}"
    );
}

#[test]
fn without_a_plan_the_board_s_place_says_why_and_the_way_out() {
    let live = Live::start(Sealed::small().file("course/kitchen.toml", "nonsense = \n"));
    let (status, page) = live.get("/board");
    assert_eq!(status, 404);
    assert!(page.contains("There is no plan, so there is no board") && page.contains("href=\"/\""), "{page}");
    assert!(page.contains("<li class=\"error\">") && page.contains("kitchen.toml"), "{page}");
    assert!(!live.get("/").1.contains("so there is no board"));
}

/// How many sheets were typeset.
#[derive(Default)]
struct Counted(AtomicUsize);

impl Overseer for Counted {
    fn begins(&self, _: &str) {}
    fn ends(&self, _: &str) {}
}

impl Watch for Counted {
    fn stage(&self, words: &str, pieces: usize) {
        if words == "typesetting" {
            self.0.store(pieces, Ordering::Relaxed);
        }
    }
    fn one(&self) {}
}

#[test]
fn what_is_kept_from_the_last_time_is_what_would_be_typeset_anew() {
    let sealed = Sealed::small();
    let mut files = folder::load(&sealed.path("course")).unwrap();
    let shelf = MemoryShelf::default();
    let lent = Lent { fetch: &|_| Err("there is none".to_owned()), shelf: &shelf, anonymous: false };
    let memo = Memo::default();
    let edit = |path: &str, old: &str, new: &str| {
        let text = sealed.read(&format!("course/{path}"));
        assert!(text.contains(old), "{path}: {old}");
        text.replacen(old, new, 1).into_bytes()
    };
    // A warning at every typesetting of this one sheet.
    let card = std::fs::read_to_string(crate::support::repository().join("templates/room-card.typ")).unwrap();
    let odd = format!("#set text(font: \"Nowhere At All\")\n{card}");
    let changes = [
        None,
        None,
        Some(("pantry.toml", edit("pantry.toml", "price = \"2.40\"", "price = \"2.50\""))),
        Some(("templates/words/en.toml", b"[whom]\nstation = \"table\"\n".to_vec())),
        None,
        Some(("templates/room-card.typ", odd.into_bytes())),
        None,
    ];
    let mut typeset = Vec::new();
    for change in changes {
        if let Some((path, bytes)) = change {
            files.add(path, bytes);
        }
        let counted = Counted::default();
        let (told, again) = produce_again(&files, lent, &memo, &counted);
        let (told_anew, anew) = produce(&files, Asked::default(), lent, &[], &Unwatched);
        assert_eq!(told.findings, told_anew.findings, "nothing is told once and then kept quiet");
        let paths =
            |all: &[benchroll::typeset::Printed]| all.iter().map(|p| p.path.clone()).collect::<Vec<_>>();
        assert_eq!(paths(&again), paths(&anew));
        assert!(again == anew, "the same bytes");
        typeset.push(counted.0.load(Ordering::Relaxed));
    }
    let all = typeset[0];
    // Nothing the second time; then the order and the packs that hold it; then everything, for a word; then nothing.
    assert!(all > 10 && typeset[2] > 0 && typeset[2] < all / 2, "{typeset:?}");
    assert_eq!((typeset[1], typeset[3], typeset[4]), (0, all, 0), "{typeset:?}");
    // What has a warning is made again, and what it does not touch is not.
    assert!(typeset[5] == all && typeset[6] > 0 && typeset[6] < all / 2, "{typeset:?}");
}
