//! Folder to course: the only reading.
//!
//! ```text
//! folder.rs          the disk, and nothing else touches it    -> FileTree
//! text.rs raw.rs     bytes -> text -> a tree that knows its places
//! table.rs keys.rs   reading it key by key
//! grammar/           text -> quantities
//! *_file.rs          one for each file of a course
//! resolve.rs equipment.rs order.rs   names to what they name, across the files
//! ```
//!
//! Every mistake is noted, all at once. A course is handed out only if nothing noted is an error; else what was read of it, so that what
//! the errors do not touch can be looked at.

pub mod allergen_words;
mod counts;
pub mod course_file;
pub mod equipment;
pub mod files;
pub mod folder;
pub mod formula_file;
pub mod grammar;
mod health_words;
pub mod keys;
pub mod kitchen_file;
pub mod lesson_file;
pub mod log;
pub mod order;
pub mod pantry_file;
mod presence;
pub mod raw;
pub mod record_file;
pub mod resolve;
pub mod roll_file;
pub mod roll_import;
pub mod roll_unclear;
pub mod sessions;
pub mod table;
pub mod text;
pub mod words_file;
pub mod workbook;
pub mod written_recipe;

pub use files::{Entry, FileTree};

use crate::course::{
    At, Course, Draft, Formula, FormulaId, Kitchen, Lesson, LessonId, OrderRecord, Pantry, Person,
};
use crate::finding::{Finding, Level, Located, Place, SourceId, Sources};
use course_file::{CourseFile, Purse};
use table::{Log, nearest};
use text::Encoding;

/// What came of reading a course folder.
#[derive(Debug)]
pub struct Reading {
    /// The course, if no finding is an error.
    pub course: Option<Course>,
    /// What there is of it, if some finding is: for further findings, never for numbers.
    pub draft: Option<Draft>,
    /// The files that were read, so that places can be shown.
    pub sources: Sources,
    /// Everything noted, by file and place.
    pub findings: Vec<Finding>,
}

/// Reads a course from its files. Pure: the same files give the same reading.
pub fn read_course(files: &FileTree) -> Reading {
    let mut reader =
        Reader { files, log: Log::default(), sources: Sources::default(), session_unread: false };
    let read = reader.course();
    let mut findings = reader.log.into_findings();
    if reader.session_unread {
        findings.retain(|f| f.code.0 != "unknown-session");
    }
    findings.sort_by(|a, b| (a.place, &a.file).cmp(&(b.place, &b.file)));
    findings.dedup();
    let sound = findings.iter().all(|f| f.level != Level::Error);
    let (course, draft) = match read {
        None => (None, None),
        Some(read) if sound => (read.course(), None),
        Some(read) => (None, read.draft()),
    };
    Reading { course, draft, sources: reader.sources, findings }
}

/// What the files gave, sound or not.
struct Read {
    course: CourseFile,
    lessons: Vec<Lesson>,
    formulas: Vec<Formula>,
    kitchen: Option<Kitchen>,
    pantry: Option<Pantry>,
    roll: Vec<Person>,
    orders: Vec<OrderRecord>,
}

impl Read {
    fn course(self) -> Option<Course> {
        Some(Course {
            settings: self.course.settings,
            sessions: self.course.sessions,
            presence: self.course.presence,
            own_steps: self.course.own_steps,
            lessons: self.lessons,
            formulas: self.formulas,
            kitchen: self.kitchen?,
            pantry: self.pantry?,
            roll: self.roll,
            orders: self.orders,
        })
    }

    fn draft(self) -> Option<Draft> {
        Some(Draft {
            conventions: self.course.settings.conventions,
            pantry: self.pantry?,
            formulas: self.formulas,
            lessons: self.lessons,
        })
    }
}

struct Reader<'a> {
    files: &'a FileTree,
    log: Log,
    sources: Sources,
    session_unread: bool,
}

impl Reader<'_> {
    fn course(&mut self) -> Option<Read> {
        if self.files.get("course.toml").is_none() {
            self.log.note(
                Finding::error("not-a-course", None, "this folder is no course: it has no `course.toml`")
                    .in_file("course.toml")
                    .way_out("give the folder of a course, or start one: `benchroll begin`"),
            );
            return None;
        }
        let root = self.toml("course.toml", None);
        let course = root.as_ref().and_then(|root| course_file::read(&self.log, root));
        let root = self.toml("kitchen.toml", None);
        let kitchen = root.as_ref().and_then(|root| kitchen_file::read(&self.log, root));
        let root = self.toml("pantry.toml", None);
        let currency =
            course.as_ref().map_or(Located::assumed(String::new()), |c| c.settings.currency.clone());
        let log = &self.log;
        let list = course.as_ref().map_or("", |c| c.settings.allergen_list.value.as_str());
        let purse = Purse { log, currency: &currency };
        let pantry = root.as_ref().and_then(|root| pantry_file::read(log, root, &purse, list));
        let roll = self.roll();
        let orders = self.records(&currency, pantry.as_ref());
        if let Some(kitchen) = &kitchen {
            equipment::kitchen(&self.log, kitchen);
        }
        if let Some(pantry) = &pantry {
            resolve::pantry(&self.log, pantry);
        }
        resolve::people(&self.log, &roll, pantry.as_ref(), kitchen.as_ref());
        let course = course?;
        self.session_unread = course.session_unread;
        words_file::check(&self.log, self.files, &mut self.sources, &course.settings.language);
        let (lessons, formulas) = self.lessons(&course, pantry.as_ref(), kitchen.as_ref());
        let all = lessons.iter().all(Option::is_some);
        let lessons: Vec<Lesson> = lessons.into_iter().flatten().collect();
        let named = all.then_some(lessons.as_slice());
        resolve::own_steps(&self.log, &course.own_steps, &course.sessions, named);
        counts::course(&self.log, &course, &lessons);
        Some(Read { course, lessons, formulas, kitchen, pantry, roll, orders })
    }

    /// The lessons that the course names and the formulas that they and `also-home` need.
    fn lessons(
        &mut self,
        course: &CourseFile,
        pantry: Option<&Pantry>,
        kitchen: Option<&Kitchen>,
    ) -> (Vec<Option<Lesson>>, Vec<Formula>) {
        let mut lessons = Vec::new();
        let mut wanted: Vec<At<FormulaId>> = Vec::new();
        for id in &course.lessons {
            let lesson = self.lesson(id, kitchen);
            wanted.extend(lesson.iter().map(|l| l.formula.clone()));
            lessons.push(lesson);
        }
        wanted.extend(course.settings.also_home.iter().cloned());
        let mut formulas: Vec<Formula> = Vec::new();
        let mut tried: Vec<FormulaId> = Vec::new();
        for id in wanted.iter().filter(|id| !id.value.as_str().is_empty()) {
            if tried.contains(&id.value) {
                continue;
            }
            tried.push(id.value.clone());
            let path = formula_file::file_of("formulas", id.value.as_str());
            let Some(root) = self.toml(&path, Some((id.place, "formulas", id.value.as_str()))) else {
                continue;
            };
            formulas.extend(formula_file::read(&self.log, &root, &id.value));
        }
        for formula in &formulas {
            resolve::formula(&self.log, formula, pantry, kitchen);
        }
        for lesson in lessons.iter_mut().flatten() {
            if let Some(formula) = formulas.iter().find(|f| f.id.value == lesson.formula.value) {
                order::outermost_first(lesson, formula);
            }
        }
        for lesson in lessons.iter().flatten() {
            let formula = formulas.iter().find(|f| f.id.value == lesson.formula.value);
            order::lesson(&self.log, lesson, formula);
            if let Some(kitchen) = kitchen {
                equipment::equipment_of(&self.log, lesson, formula, kitchen);
            }
            for id in lesson.steps.iter().filter_map(|s| s.session.as_ref()) {
                resolve::session(&self.log, id, &course.sessions);
            }
            self.photographs(lesson);
        }
        (lessons, formulas)
    }

    fn lesson(&mut self, id: &At<LessonId>, kitchen: Option<&Kitchen>) -> Option<Lesson> {
        let path = formula_file::file_of("lessons", id.value.as_str());
        let root = self.toml(&path, Some((id.place, "lessons", id.value.as_str())))?;
        let mut lesson = lesson_file::read(&self.log, &root, &id.value)?;
        if let Some(kitchen) = kitchen {
            equipment::singular(&mut lesson, kitchen);
        }
        Some(lesson)
    }

    /// A photograph must be a file of the course.
    fn photographs(&self, lesson: &Lesson) {
        for photo in lesson.steps.iter().filter_map(|s| s.photo.as_ref()) {
            let path = photo.value.as_str();
            let leaves = path.starts_with(['/', '\\', '~'])
                || path.contains(':')
                || path.split(['/', '\\']).any(|part| part == "..");
            if leaves {
                self.log.note(
                    Finding::error(
                        "path-leaves-folder",
                        photo.place,
                        format!("`photo`: \"{path}\" leads out of the course folder"),
                    )
                    .way_out("put the photograph into the course folder: `photos/roll.jpg`"),
                );
            } else if let Some(Entry::Refused { why }) = self.files.get(path) {
                self.log.note(
                    Finding::error("file-refused", photo.place, format!("\"{path}\" {why}"))
                        .way_out(folder::way_out_of_refusal(why)),
                );
            } else if self.files.get(path).is_none() {
                let mut finding =
                    Finding::error("missing-file", photo.place, format!("there is no photograph \"{path}\""));
                finding.way_out = Some(match nearest(path, self.files.iter().map(|(p, _)| p)) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => "put the photograph into the course folder, or take the line out".to_owned(),
                });
                self.log.note(finding);
            }
        }
    }

    /// What was ordered already, by day.
    fn records(&mut self, currency: &At<String>, pantry: Option<&Pantry>) -> Vec<OrderRecord> {
        let paths: Vec<String> =
            self.files.under("orders").map(|(p, _)| p.to_owned()).filter(|p| p.ends_with(".toml")).collect();
        let mut records = Vec::new();
        for path in paths {
            let Some(root) = self.toml(&path, None) else { continue };
            let (log, Some(pantry)) = (&self.log, pantry) else { continue };
            records.extend(record_file::read(log, &root, &Purse { log, currency }, pantry));
        }
        records.sort_by_key(|r| r.placed.value);
        records
    }

    fn roll(&mut self) -> Vec<Person> {
        let way_out = "write it with the head `name,status,with,station,avoids,needs`, even if no one has come forward yet";
        if self.files.get("roll.csv").is_none() {
            self.log.note(
                Finding::error("missing-file", None, "there is no `roll.csv`")
                    .in_file("roll.csv")
                    .way_out(way_out),
            );
            return Vec::new();
        }
        let Some((source, text)) = self.text("roll.csv") else { return Vec::new() };
        let roll = roll_file::read(&self.log, source, &text);
        counts::people(&self.log, &roll);
        roll
    }

    /// Text of a file, added to the sources; what is no text is noted.
    fn text(&mut self, path: &str) -> Option<(SourceId, String)> {
        let bytes = match self.files.get(path)? {
            Entry::Bytes(bytes) => bytes,
            Entry::Photograph { .. } => return None,
            Entry::Refused { why } => {
                self.log.note(
                    Finding::error("file-refused", None, format!("`{path}` {why}"))
                        .in_file(path)
                        .way_out(folder::way_out_of_refusal(why)),
                );
                return None;
            }
        };
        let Some((text, encoding)) = text::decode(bytes) else {
            self.log.note(
                Finding::error("not-text", None, format!("`{path}` is not a text file"))
                    .in_file(path)
                    .way_out("save it as plain text, in UTF-8"),
            );
            return None;
        };
        let source = self.sources.add(path, text.clone());
        if encoding != Encoding::Utf8 {
            let found = if encoding == Encoding::Utf16 { "UTF-16" } else { "Latin-1" };
            self.log.note(
                Finding::note(
                    "not-utf-8",
                    Place { source, start: 0, end: 0 },
                    format!("`{path}` is not in UTF-8; it was read as {found}: look at its accents"),
                )
                .way_out("save it as UTF-8"),
            );
        }
        Some((source, text))
    }

    /// The tree of a TOML file. One that is named in another file is missed there, with the nearest that there is.
    fn toml(&mut self, path: &str, named: Option<(Option<Place>, &str, &str)>) -> Option<raw::Node> {
        if self.files.get(path).is_none() {
            let (place, way_out) = match named {
                None => (None, format!("add `{path}` to the course folder")),
                Some((place, folder, id)) => {
                    let ids: Vec<&str> = self
                        .files
                        .under(folder)
                        .filter_map(|(p, _)| p.strip_prefix(folder)?.strip_prefix('/')?.strip_suffix(".toml"))
                        .collect();
                    let near = nearest(id, ids.iter().copied());
                    (place, near.map_or(format!("add `{path}`"), |n| format!("did you mean `{n}`?")))
                }
            };
            let mut finding =
                Finding::error("missing-file", place, format!("there is no `{path}`")).way_out(way_out);
            if place.is_none() {
                finding = finding.in_file(path);
            }
            self.log.note(finding);
            return None;
        }
        let (source, text) = self.text(path)?;
        match raw::parse(source, &text) {
            Ok(root) => counts::entries(&self.log, &root).then_some(root),
            Err(slips) => {
                for slip in slips {
                    self.log.note(
                        Finding::error(
                            "toml-slip",
                            slip.place,
                            format!("this is not TOML: {}", slip.message),
                        )
                        .way_out(way_out_of_slip(slip.place, &text)),
                    );
                }
                None
            }
        }
    }
}

/// What helps against a slip in the TOML itself, by what stands there.
fn way_out_of_slip(place: Place, text: &str) -> String {
    let start = text.get(..place.start).and_then(|t| t.rfind('\n')).map_or(0, |n| n + 1);
    let line = text.get(start..).and_then(|t| t.lines().next()).unwrap_or("");
    let bare = line.split_once('=').map_or("", |(_, value)| value.trim());
    if bare.contains(['“', '”', '„', '‘', '’', '«', '»']) && !bare.contains('"') {
        return "write straight quotes around it: \"...\"; these are a word processor's".to_owned();
    }
    // A bare date in an order that TOML does not have.
    if grammar::day::date(bare).is_err()
        && let Some(dates) = grammar::day::in_order(bare)
    {
        return format!("write the year, month and day: {dates}");
    }
    if grammar::day::date(bare).is_err_and(|slip| slip.code == "no-such-day") {
        return format!("`{bare}` is not in the calendar: look the date up and write it again");
    }
    "look for a quote, bracket or comma that is missing here or just above".to_owned()
}
