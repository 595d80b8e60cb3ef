//! What is on show: the course as it was last read and printed. Nothing is written to the disk.

use crate::cli::terminal::count;
use crate::cli::watchdog::Watched;
use crate::course::StationNo;
use crate::finding::{Level, Sources};
use crate::output::board::page::Home;
use crate::output::board::preview::{PreviewView, SheetView, preview};
use crate::output::json::findings::FindingsView;
use crate::output::json::moment;
use crate::output::text::counted;
use crate::output::timetable;
use crate::pipeline::board::{html, with_plan, words};
use crate::pipeline::printing::Lent;
use crate::pipeline::{Asked, Outcome, produce};
use crate::read::{FileTree, folder};
use crate::reckon::plan::catch_up::{Absent, CaughtUp, Now, Place, catch_up};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::grid::time_zone;
use crate::typeset::{MemoryShelf, Press, Printed};
use crate::units::Minutes;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// The course as it was last read.
pub struct Stand {
    course: PathBuf,
    shelf: MemoryShelf,
    /// How often it was printed.
    pub made: u64,
    files: FileTree,
    outcome: Outcome,
    printed: Vec<Printed>,
}

/// An answer to a browser.
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Its type.
    pub content: &'static str,
    /// The policy that it comes under; empty for none.
    pub policy: String,
    /// The bytes.
    pub bytes: Vec<u8>,
}

impl Answer {
    /// Words, for a person.
    pub fn words(status: u16, words: &str) -> Answer {
        Answer {
            status,
            content: "text/plain; charset=utf-8",
            policy: String::new(),
            bytes: words.as_bytes().to_vec(),
        }
    }
    fn json(status: u16, value: &Value) -> Answer {
        Answer {
            status,
            content: "application/json",
            policy: String::new(),
            bytes: value.to_string().into_bytes(),
        }
    }
    fn html(text: String, policy: String) -> Answer {
        Answer { status: 200, content: "text/html; charset=utf-8", policy, bytes: text.into_bytes() }
    }
}

impl Stand {
    /// Reads and prints a course for the first time.
    pub fn new(course: &Path) -> Stand {
        let empty = Outcome { sources: Sources::default(), findings: Vec::new(), reckoned: None };
        let mut stand = Stand {
            course: course.to_owned(),
            shelf: MemoryShelf::default(),
            made: 0,
            files: FileTree::new(),
            outcome: empty,
            printed: Vec::new(),
        };
        stand.print();
        stand
    }

    /// Reads and prints it.
    fn print(&mut self) {
        self.made += 1;
        let files = match folder::load(&self.course) {
            Ok(files) => files,
            Err(finding) => {
                self.outcome =
                    Outcome { sources: Sources::default(), findings: vec![*finding], reckoned: None };
                self.printed = Vec::new();
                return;
            }
        };
        let fetch = |path: &str| {
            folder::photograph(&self.course, path).map_err(|error| format!("cannot be read: {error}"))
        };
        let lent = Lent { fetch: &fetch, shelf: &self.shelf, anonymous: false };
        let (outcome, printed) = produce(&files, Asked::default(), lent, &[], &Watched);
        (self.files, self.outcome, self.printed) = (files, outcome, printed);
    }

    /// What came of it, in a line.
    pub fn told(&self) -> String {
        let sheets = counted(self.printed.len(), "sheet", "sheets");
        format!("Printed again: {sheets}, {}.", count(&self.outcome.findings))
    }

    /// Answers a request for a page.
    pub fn get(&self, path: &str) -> Answer {
        let (path, query) = path.split_once('?').unwrap_or((path, ""));
        match path {
            "/" => self.preview(query),
            "/board" => self.board(),
            "/state" => Answer::json(200, &json!({ "made": self.made })),
            _ => match path.strip_prefix("/sheets/").and_then(|name| self.sheet(name)) {
                Some(sheet) => Answer {
                    status: 200,
                    content: "application/pdf",
                    policy: String::new(),
                    bytes: sheet.pdf.clone(),
                },
                None => Answer::words(404, "there is no such page"),
            },
        }
    }

    /// A sheet by its name: only what was just printed has one, so that no name leads anywhere else.
    fn sheet(&self, name: &str) -> Option<&Printed> {
        self.printed.iter().find(|p| p.path == name)
    }

    fn preview(&self, query: &str) -> Answer {
        let wanted = query.split('&').find_map(|pair| pair.strip_prefix("show="));
        let shown = wanted.and_then(|name| self.sheet(name)).or(self.printed.first());
        let settings = self.outcome.reckoned.as_ref().map(|r| &r.course.settings);
        let language = settings.map_or("en", |s| s.language.value.as_str());
        let mut findings: Vec<_> = self.outcome.findings.iter().collect();
        findings.sort_by_key(|f| match f.level {
            Level::Error => 0,
            Level::Warning => 1,
            Level::Note => 2,
        });
        let view = PreviewView {
            course: settings.map_or_else(|| self.course.display().to_string(), |s| s.name.value.clone()),
            language: language.to_owned(),
            words: words(&self.files, language),
            made: self.made,
            verdict: self
                .outcome
                .reckoned
                .as_ref()
                .map_or_else(String::new, |r| timetable::verdict(&r.course, &r.planned)),
            has_board: self.outcome.reckoned.as_ref().is_some_and(|r| r.planned.plan.is_some()),
            findings: FindingsView::of(findings, &self.outcome.sources).findings,
            sheets: self.printed.iter().map(|p| SheetView { path: p.path.clone(), pages: p.pages }).collect(),
            shown: shown.map_or_else(String::new, |p| p.path.clone()),
        };
        let press = Press::new(&self.files.overrides());
        let file = |path: &str| press.file(path).and_then(|b| String::from_utf8(b.to_vec()).ok());
        match preview(&view, &file) {
            Ok((html, policy)) => Answer::html(html, policy),
            Err(trouble) => Answer::words(500, &trouble.to_string()),
        }
    }

    fn board(&self) -> Answer {
        let made = self.outcome.reckoned.as_ref().and_then(|r| html(r, &self.files, Home::Program));
        match made {
            Some(Ok(page)) => Answer::html(page, String::new()),
            Some(Err(finding)) => Answer::words(500, &finding.message),
            None => Answer::words(404, "there is no plan, so there is no board"),
        }
    }

    /// Plans the rest of the day again from how things stand, and puts the new plan on the board.
    pub fn plan_again(&mut self, body: &[u8]) -> Answer {
        let fails = |message: &str| Answer::json(422, &json!({ "message": message }));
        let Some(reckoned) = self.outcome.reckoned.as_mut() else { return fails("the course has errors") };
        let Some(plan) = reckoned.planned.plan.as_ref() else { return fails("there is no plan") };
        let now = match standing(body, &reckoned.course) {
            Ok(now) => now,
            Err(why) => return fails(why),
        };
        let (course, class) = (&reckoned.course, &reckoned.class);
        let found = catch_up(course, class, &reckoned.portions, plan, &now, Effort::default());
        let Some(found) = found else { return fails("nothing was found from here on") };
        let CaughtUp { plan, changes, broken, .. } = found;
        let span = |place: &Option<Place>| {
            place.as_ref().map(|p| json!({ "start": moment(&p.start), "end": moment(&p.end) }))
        };
        let answer = json!({
            "fits": plan.fits,
            "overrun_minutes": plan.overrun.get(),
            "changes": changes.iter().map(|c| json!({ "id": c.id, "was": span(&c.was), "now": span(&c.now) })).collect::<Vec<_>>(),
            "broken": broken.len(),
        });
        with_plan(reckoned, plan);
        Answer::json(200, &answer)
    }
}

/// Reads how things stand, as the board sends it.
fn standing(body: &[u8], course: &crate::course::Course) -> Result<Now, &'static str> {
    let state: Value = serde_json::from_slice(body).map_err(|_| "this is no JSON")?;
    if state["format"] != "benchroll-state" || state["version"] != 1 {
        return Err("this is not how things stand, or it is from a later board");
    }
    let time: jiff::Timestamp =
        state["now"].as_str().and_then(|t| t.parse().ok()).ok_or("it does not say what time it is")?;
    let list = |key: &str| state[key].as_array().cloned().unwrap_or_default();
    let texts = |key: &str| list(key).iter().filter_map(|v| v.as_str().map(ToOwned::to_owned)).collect();
    let late = list("late")
        .iter()
        .filter_map(|l| Some((l["id"].as_str()?.to_owned(), Minutes(l["minutes"].as_i64()?))))
        .collect();
    Ok(Now {
        time: time.to_zoned_datetime(time_zone(course)),
        done: texts("done"),
        late,
        without: texts("without"),
        absent: list("absent").iter().flat_map(absent).collect(),
    })
}

/// The students of a station who are not there: the board knows how many, and never who.
fn absent(row: &serde_json::Value) -> Vec<Absent> {
    let station =
        row["station"].as_str().and_then(|s| s.strip_prefix("station-")).and_then(|n| n.parse().ok());
    let students = row["students"].as_u64().and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
    // More than a kitchen holds is a slip of the file; planning copes with more absent than seated.
    station.map_or_else(Vec::new, |no| vec![Absent::Student(StationNo(no)); students.min(MOST_ABSENT)])
}

/// More students than any station seats.
const MOST_ABSENT: usize = 50;
