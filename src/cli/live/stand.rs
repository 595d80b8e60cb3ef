//! What is on show: the course as it was last read and printed. Nothing is written to the disk.

use crate::cli::standing::{self, Standing, again};
use crate::cli::terminal::count;
use crate::cli::watchdog::Watched;
use crate::finding::{Finding, Level, Sources};
use crate::output::board::page::Home;
use crate::output::board::preview::{PreviewView, SheetView, preview};
use crate::output::json::findings::FindingsView;
use crate::output::json::moment;
use crate::output::lost_cold::sentences;
use crate::output::text::counted;
use crate::output::verdict;
use crate::pipeline::at_once::at_once;
use crate::pipeline::board::{SoFar, html_so_far, newly_over, view, with_plan, words};
use crate::pipeline::memo::Memo;
use crate::pipeline::printing::Lent;
use crate::pipeline::{Reckoned, produce_again};
use crate::read::words_file::catalogue;
use crate::read::{FileTree, folder};
use crate::reckon::plan::catch_up::{CaughtUp, Changed, Place, catch_up, lost_cold};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::timetable::Plan;
use crate::typeset::views::desk::Desk;
use crate::typeset::{MemoryShelf, Press, Printed};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// What is another one by a change, machines or hands, as it was and as it is; `None`: the same.
fn other(
    desks: &[Desk<'_>; 2],
    changed: &Changed,
    of: fn(&Desk<'_>, &Place) -> Vec<String>,
) -> Option<Value> {
    let (was, now) = (of(&desks[0], changed.was.as_ref()?), of(&desks[1], changed.now.as_ref()?));
    (was != now).then(|| json!({ "was": was, "now": now }))
}

/// The mixers and ovens of a place, by the names that people say.
fn machines(desk: &Desk<'_>, place: &Place) -> Vec<String> {
    place.uses.iter().filter_map(|key| desk.machine_of(key)).map(|(_, name)| name).collect()
}

/// Who of the staff it is, each once.
fn hands(desk: &Desk<'_>, place: &Place) -> Vec<String> {
    let mut all: Vec<String> = place.by.iter().map(|who| desk.staff_name(who)).collect();
    all.dedup();
    all
}

/// A plan that a page may take up.
struct Offered {
    number: u64,
    plan: Plan,
    standing: Standing,
}

/// The course as it was last read.
pub struct Stand {
    course: PathBuf,
    kept: Arc<Kept>,
    /// How often it was printed.
    pub made: u64,
    /// What is told of the files as they are now.
    findings: Vec<Finding>,
    sources: Sources,
    /// The last that could be printed; `None`: nothing could be yet.
    good: Option<Good>,
    /// The files have been changed since, and cannot be printed as they are.
    stale: bool,
    /// The sheet that is looked at was printed at once, with the times of the former plan; the rest follows.
    at_once: bool,
    /// The sheets that were printed at once, as they were before.
    replaced: Vec<Printed>,
    /// The board's name for the plan that it shows; empty without one.
    plan: String,
    /// What was planned again on this day, and taken up.
    so_far: SoFar,
    /// The plan that was found last and is not taken up.
    offered: Option<Offered>,
    /// How many were offered.
    offers: u64,
}

/// What is made once and used at the next save, too.
#[derive(Default)]
pub struct Kept {
    shelf: MemoryShelf,
    memo: Memo,
    /// The sheet that was shown last.
    looked_at: Mutex<String>,
}

/// A course with its pages.
struct Good {
    files: FileTree,
    reckoned: Reckoned,
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
    /// Reads and prints a course.
    pub fn new(course: &Path, kept: Arc<Kept>) -> Stand {
        let mut stand = Stand {
            course: course.to_owned(),
            kept,
            made: 1,
            findings: Vec::new(),
            sources: Sources::default(),
            good: None,
            stale: false,
            at_once: false,
            replaced: Vec::new(),
            plan: String::new(),
            so_far: SoFar::default(),
            offered: None,
            offers: 0,
        };
        stand.print();
        stand.name_the_plan();
        stand
    }

    fn print(&mut self) {
        let files = match folder::load(&self.course) {
            Ok(files) => files,
            Err(finding) => return self.findings.push(*finding),
        };
        let fetch = |path: &str| {
            folder::photograph(&self.course, path).map_err(|error| format!("cannot be read: {error}"))
        };
        let lent = Lent { fetch: &fetch, shelf: &self.kept.shelf, anonymous: false };
        let (outcome, printed) = produce_again(&files, lent, &self.kept.memo, &Watched);
        let whole = !outcome.stops_printing() && !printed.is_empty();
        (self.findings, self.sources) = (outcome.findings, outcome.sources);
        self.good = outcome.reckoned.filter(|_| whole).map(|reckoned| Good { files, reckoned, printed });
    }

    /// Prints the sheet that is looked at, at once after a save: its amounts are as the files have them now, its times of the
    /// former plan. What came of it, in a line; `None` where the rest must be waited for.
    pub fn at_once(&mut self, files: &FileTree) -> Option<String> {
        let good = self.good.as_mut().filter(|_| self.so_far.before.is_empty())?;
        let former = good.reckoned.planned.plan.as_ref()?;
        let looked_at = self.kept.looked_at.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let shown = good.printed.iter_mut().find(|sheet| sheet.path == looked_at)?;
        let fetch = |path: &str| {
            folder::photograph(&self.course, path).map_err(|error| format!("cannot be read: {error}"))
        };
        let lent = Lent { fetch: &fetch, shelf: &self.kept.shelf, anonymous: false };
        let press = self.kept.memo.press(&files.overrides());
        let made = at_once(files, lent, former, &press, (shown.kind, &shown.path), &Watched)?;
        let was = std::mem::replace(shown, made);
        // The sheet as it was when all was printed, however often it was printed at once since.
        if !self.replaced.iter().any(|known| known.path == was.path) {
            self.replaced.push(was);
        }
        self.at_once = true;
        self.made += 1;
        Some(format!("Printed at once: {looked_at}, with the times of the former plan. Planning again."))
    }

    /// Takes the place of what was on show, after the course was saved. What cannot be printed, half-way through typing, leaves
    /// the last good pages on show; the plan of the day goes on if it is found again, and is told if not, or if another is found
    /// by what was late then.
    pub fn take_over(&mut self, shown: &mut Stand) -> Result<Option<String>, &'static str> {
        (self.made, self.offers) = (shown.made + 1, shown.offers);
        let Some(good) = self.good.as_mut() else {
            self.good = shown.good.take();
            // The last good pages are those that belong together.
            for was in std::mem::take(&mut shown.replaced) {
                let printed = self.good.iter_mut().flat_map(|good| &mut good.printed);
                printed.filter(|sheet| sheet.path == was.path).for_each(|sheet| sheet.clone_from(&was));
            }
            self.stale = self.good.is_some();
            self.so_far = std::mem::take(&mut shown.so_far);
            self.plan = std::mem::take(&mut shown.plan);
            return Ok(None);
        };
        let gone = again(&mut good.reckoned, &shown.so_far.before)?;
        self.so_far = std::mem::take(&mut shown.so_far);
        self.name_the_plan();
        let as_it_was = self.so_far.before.is_empty() || self.plan == shown.plan;
        Ok((!as_it_was).then(|| {
            let gone = match gone.as_slice() {
                [] => "all steps that were named are still there".to_owned(),
                ids => format!("these steps are gone, and what was said of them is left out: {}", ids.join(", ")),
            };
            format!("with what was saved the plan of the day is another one: what was late is counted against the course's new plan; {gone}")
        }))
    }

    /// What came of it, in a line.
    pub fn told(&self) -> String {
        let sheets = counted(self.good.as_ref().map_or(0, |g| g.printed.len()), "sheet", "sheets");
        let count = count(&self.findings);
        if self.stale {
            return format!("Not printed: {count}. The last good pages stay, {sheets}.");
        }
        format!("Printed again: {sheets}, {count}.")
    }

    /// Answers a request for a page.
    pub fn get(&self, path: &str) -> Answer {
        let (path, query) = path.split_once('?').unwrap_or((path, ""));
        match path {
            "/" => self.preview(query, 200),
            "/board" => self.board(),
            "/state" => Answer::json(200, &json!({ "made": self.made, "plan": self.plan })),
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
        self.good.as_ref()?.printed.iter().find(|p| p.path == name)
    }

    /// The preview; with a status that says so it stands where the board would, until there is one.
    fn preview(&self, query: &str, status: u16) -> Answer {
        let wanted = query.split('&').find_map(|pair| pair.strip_prefix("show="));
        let printed = self.good.as_ref().map_or(&[][..], |g| &g.printed);
        let shown = wanted.and_then(|name| self.sheet(name)).or(printed.first());
        if let Some(shown) = shown {
            shown.path.clone_into(&mut self.kept.looked_at.lock().unwrap_or_else(PoisonError::into_inner));
        }
        let settings = self.good.as_ref().map(|g| &g.reckoned.course.settings);
        let language = settings.map_or("en", |s| s.language.value.as_str());
        let mut findings: Vec<_> = self.findings.iter().collect();
        findings.sort_by_key(|f| match f.level {
            Level::Error => 0,
            Level::Warning => 1,
            Level::Note => 2,
        });
        let none = FileTree::new();
        let files = self.good.as_ref().map_or(&none, |g| &g.files);
        let verdict =
            |g: &Good| verdict::verdict(&g.reckoned.course, &g.reckoned.planned, &g.reckoned.equipment);
        let view = PreviewView {
            course: settings.map_or_else(|| self.course.display().to_string(), |s| s.name.value.clone()),
            language: language.to_owned(),
            words: words(files, language),
            made: self.made,
            stale: self.stale,
            at_once: self.at_once,
            verdict: self
                .good
                .as_ref()
                .map_or_else(Vec::new, |g| verdict(g).lines().map(ToOwned::to_owned).collect()),
            no_board: status != 200,
            has_board: self.good.as_ref().is_some_and(|g| g.reckoned.planned.plan.is_some()),
            findings: FindingsView::of(findings, &self.sources).findings,
            sheets: printed.iter().map(|p| SheetView { path: p.path.clone(), pages: p.pages }).collect(),
            shown: shown.map_or_else(String::new, |p| p.path.clone()),
        };
        let press = Press::new(&files.overrides());
        let file = |path: &str| press.file(path).and_then(|b| String::from_utf8(b.to_vec()).ok());
        match preview(&view, &file) {
            Ok((html, policy)) => Answer { status, ..Answer::html(html, policy) },
            Err(trouble) => Answer::words(500, &trouble.to_string()),
        }
    }

    fn board(&self) -> Answer {
        let so_far = || self.so_far.clone();
        let made =
            self.good.as_ref().and_then(|g| html_so_far(&g.reckoned, &g.files, Home::Program, so_far()));
        match made {
            Some(Ok(page)) => Answer::html(page, String::new()),
            Some(Err(finding)) => Answer::words(500, &finding.message),
            None => self.preview("", 404),
        }
    }

    fn name_the_plan(&mut self) {
        let view = self.good.as_ref().and_then(|g| view(&g.reckoned, &g.files));
        self.plan = view.map_or_else(String::new, |v| v.plan);
    }

    /// Plans the rest of the day again from how things stand, and offers that plan.
    pub fn plan_again(&mut self, body: &[u8]) -> Answer {
        let fails = |message: &str| Answer::json(422, &json!({ "message": message }));
        let Some(Good { reckoned, files, .. }) = &self.good else { return fails("the course has errors") };
        let Some(was) = reckoned.planned.plan.as_ref() else { return fails("there is no plan") };
        let mut standing = match standing::read(body, &reckoned.course) {
            Ok(standing) => standing,
            Err(why) => return fails(why),
        };
        // What runs late is late against the plan that the page shows.
        if standing.plan != self.plan {
            return fails(
                "the plan has changed since this page was loaded: load it again; what was ticked is kept",
            );
        }
        let mut told = standing.checked(reckoned);
        if told.iter().any(|f| f.level == Level::Error) {
            let way_out =
                |f: &Finding| f.way_out.as_ref().map_or_else(String::new, |way| format!(" ({way})"));
            let all: Vec<String> = told.iter().map(|f| format!("{}{}", f.message, way_out(f))).collect();
            return fails(&all.join("; "));
        }
        let (course, class) = (&reckoned.course, &reckoned.class);
        let food: Vec<String> = lost_cold(course, was, &standing.now)
            .iter()
            .flat_map(|lost| sentences(course, &catalogue(files, &course.settings.language.value), lost))
            .collect();
        let found = catch_up(course, class, &reckoned.portions, was, &standing.now, Effort::quick());
        let Some(CaughtUp { plan, changes, broken, again, empty, left_out, by_hand, made_up, .. }) = found
        else {
            return Answer::json(422, &json!({ "message": "nothing was found from here on", "food": food }));
        };
        let span = |place: &Option<Place>| {
            place.as_ref().map(|p| json!({ "start": moment(&p.start), "end": moment(&p.end) }))
        };
        let desks = [was, &plan].map(|plan| Desk::new(course, class, plan, &reckoned.weighed));
        let sessions = plan
            .sessions
            .iter()
            .map(|s| json!({ "id": s.id.as_str(), "finish": moment(&s.finish), "end": moment(&s.end) }));
        let mut tasks: Vec<&String> = broken.iter().flat_map(|b| &b.tasks).collect();
        tasks.sort_unstable();
        tasks.dedup();
        told.retain(|f| f.level != Level::Note);
        told.extend(newly_over(reckoned, &plan, &self.findings, &self.sources));
        self.offers += 1;
        let answer = json!({
            "offer": self.offers,
            "fits": plan.fits,
            "overrun_minutes": plan.overrun.get(),
            "sessions": sessions.collect::<Vec<_>>(),
            "changes": changes.iter().map(|c| json!({
                "id": c.id, "was": span(&c.was), "now": span(&c.now), "machines": other(&desks, c, machines), "by": other(&desks, c, hands),
            })).collect::<Vec<_>>(),
            "broken": tasks,
            "again": again,
            "left_out": { "cannot": left_out.cannot, "begun": left_out.begun, "after": left_out.after, "undone": left_out.undone, "baking": left_out.baking },
            "made_up": made_up,
            "by_hand": by_hand.iter().map(|(id, _)| id).collect::<Vec<_>>(),
            "empty": empty.iter().map(|no| no.0).collect::<Vec<_>>(),
            "food": food,
            "findings": FindingsView::of(&told, &self.sources).findings,
        });
        self.offered = Some(Offered { number: self.offers, plan, standing });
        Answer::json(200, &answer)
    }

    /// Takes up the plan that was offered; offer 0 is the course's own.
    pub fn carry_on(&mut self, body: &[u8]) -> Answer {
        let fails = |status, message: &str| Answer::json(status, &json!({ "message": message }));
        let asked: Value = match serde_json::from_slice(body) {
            Ok(asked) => asked,
            Err(_) => return fails(422, "this is no JSON"),
        };
        if asked["offer"] == 0 {
            let own = Stand::new(&self.course, Arc::clone(&self.kept));
            if own.good.is_none() {
                // A file is half typed: what is shown stays as it is.
                return fails(
                    422,
                    "the course cannot be planned as its files are now: mend them first, the board stays",
                );
            }
            *self = Stand { made: self.made + 1, offers: self.offers, ..own };
            return Answer::json(200, &json!({ "plan": self.plan }));
        }
        let offered = self.offered.take_if(|o| asked["offer"] == o.number);
        let (Some(offered), Some(good)) = (offered, self.good.as_mut()) else {
            return fails(
                409,
                "that plan was made before the course was saved or planned again: plan once more",
            );
        };
        with_plan(&mut good.reckoned, offered.plan);
        self.so_far = SoFar {
            before: self.so_far.before.iter().cloned().chain([offered.standing.own]).collect(),
            entries: offered.standing.entries,
        };
        self.made += 1;
        self.name_the_plan();
        Answer::json(200, &json!({ "plan": self.plan }))
    }
}
