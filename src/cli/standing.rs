//! How things stand on the day, as the board saves it and sends it: one small object of JSON.
//!
//! A board that was planned again names every earlier time at which that was done, so that the same plan can be found again from
//! the course alone, step by step.

use crate::course::limits::STATE_BYTES;
use crate::course::{Course, StationNo};
use crate::finding::Finding;
use crate::output::json::moment;
use crate::pipeline::Reckoned;
use crate::pipeline::board::with_plan;
use crate::reckon::plan::catch_up::{Absent, Now, catch_up, exactly};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::grid::time_zone;
use crate::reckon::plan::timetable::Plan;
use crate::units::Minutes;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The latest version that is understood.
const VERSION: u64 = 2;
/// More students than any station seats.
const MOST_ABSENT: usize = 50;
/// More often than anybody plans a day again.
const MOST_TIMES: usize = 50;

/// A list is something else.
const NO_LIST: &str = "one of its lists is no list";

/// How things stand.
#[derive(Clone, PartialEq, Debug)]
pub struct Standing {
    /// The plan that it speaks of, by the board's name for it; empty where it does not say.
    pub plan: String,
    /// The state, for planning.
    pub now: Now,
    /// How things stood each time when the rest was planned again, oldest first.
    pub before: Vec<Value>,
    /// What the board has written down.
    pub entries: Vec<Value>,
    /// The state itself, without the two lists above: what a later state holds of it.
    pub own: Value,
}

/// Reads a state.
///
/// # Errors
/// What is wrong with it, as a clause.
pub fn read(bytes: &[u8], course: &Course) -> Result<Standing, &'static str> {
    if bytes.len() > STATE_BYTES {
        return Err("it is too large to be how a day stands");
    }
    let state: Value = serde_json::from_slice(bytes).map_err(|_| "it is no JSON, or it is cut short")?;
    of(state, course)
}

fn of(mut state: Value, course: &Course) -> Result<Standing, &'static str> {
    if state["format"] != "benchroll-state" {
        return Err("it is not how a board's day stands");
    }
    match state["version"].as_u64() {
        Some(1..=VERSION) => {}
        Some(later) if later > VERSION => {
            return Err("it was saved by a later board: use the program that made it");
        }
        _ => return Err("it says no version"),
    }
    let time: jiff::Timestamp =
        state["now"].as_str().and_then(|t| t.parse().ok()).ok_or("it does not say what time it is")?;
    let mut taken = |key: &str| match state.as_object_mut().and_then(|s| s.remove(key)) {
        Some(Value::Array(list)) => Ok(list),
        None | Some(Value::Null) => Ok(Vec::new()),
        Some(_) => Err(NO_LIST),
    };
    let (before, entries) = (taken("before")?, taken("entries")?);
    if before.len() > MOST_TIMES {
        return Err("it was planned again more often than anybody does in a day");
    }
    let late = |row: &Value| Some((row["id"].as_str()?.to_owned(), Minutes(row["minutes"].as_i64()?)));
    let text = |row: &Value| row.as_str().map(ToOwned::to_owned);
    let now = Now {
        time: time.to_zoned_datetime(time_zone(course)),
        done: each(&state, "done", text, "something in `done` is no step")?,
        undone: each(&state, "undone", text, "something in `undone` is no step")?,
        late: each(&state, "late", late, "something in `late` is no step with its whole minutes")?,
        without: each(&state, "without", text, "something in `without` is no name")?,
        absent: each(&state, "absent", absent, "something in `absent` is no station with its students")?
            .concat(),
    };
    let plan = state["plan"].as_str().unwrap_or_default().to_owned();
    Ok(Standing { plan, now, before, entries, own: state })
}

/// What a list of the state says, row by row; a row that is not understood is never left out.
fn each<T>(
    state: &Value,
    key: &str,
    read: impl Fn(&Value) -> Option<T>,
    wrong: &'static str,
) -> Result<Vec<T>, &'static str> {
    match &state[key] {
        Value::Null => Ok(Vec::new()),
        Value::Array(rows) => rows.iter().map(|row| read(row).ok_or(wrong)).collect(),
        _ => Err(NO_LIST),
    }
}

/// The students of a station who are not there: the board knows how many, and never who. Or a helper, whom the command line named.
fn absent(row: &Value) -> Option<Vec<Absent>> {
    if let Some(helper) = row["helper"].as_u64() {
        return Some(vec![Absent::Helper(usize::try_from(helper).ok()?)]);
    }
    let no = row["station"].as_str()?.strip_prefix("station-")?.parse().ok()?;
    let students = usize::try_from(row["students"].as_u64()?).ok().filter(|n| *n <= MOST_ABSENT)?;
    Some(vec![Absent::Student(StationNo(no)); students])
}

impl Standing {
    /// What was said on the command line, for a board that has no entries of it; `plan` is the plan that it is about.
    pub fn said(now: Now, plan: String) -> Standing {
        let mut students: BTreeMap<u32, usize> = BTreeMap::new();
        for absent in &now.absent {
            if let Absent::Student(no) = absent {
                *students.entry(no.0).or_default() += 1;
            }
        }
        let late = now.late.iter().map(|(id, by)| json!({ "id": id, "minutes": by.get() }));
        let helpers = now.absent.iter().filter_map(|absent| match absent {
            Absent::Helper(no) => Some(json!({ "helper": no })),
            Absent::Student(_) => None,
        });
        let away =
            students.iter().map(|(no, n)| json!({ "station": format!("station-{no}"), "students": n }));
        let own = json!({
            "format": "benchroll-state",
            "version": VERSION,
            "plan": plan,
            "now": moment(&now.time),
            "at": now.time.timestamp().as_millisecond(),
            "done": now.done,
            "undone": now.undone,
            "late": late.collect::<Vec<_>>(),
            "without": now.without,
            "absent": away.chain(helpers).collect::<Vec<_>>(),
        });
        Standing { plan, now, before: Vec::new(), entries: Vec::new(), own }
    }

    /// What it names that this plan has not.
    pub fn unknown<'s>(&'s self, plan: &Plan) -> Vec<&'s str> {
        let late = self.now.late.iter().map(|(id, _)| id);
        self.now
            .done
            .iter()
            .chain(&self.now.undone)
            .chain(late)
            .filter(|id| plan.task(id).is_none())
            .map(String::as_str)
            .collect()
    }

    /// Leaves out the steps that this plan has not.
    pub fn leave_out_unknown(&mut self, plan: &Plan) {
        self.now.done.retain(|id| plan.task(id).is_some());
        self.now.undone.retain(|id| plan.task(id).is_some());
        self.now.late.retain(|(id, _)| plan.task(id).is_some());
    }

    /// Holds it against the plan that it is about: what is not there, and what was taken for something else.
    pub fn checked(&mut self, reckoned: &Reckoned) -> Vec<Finding> {
        let Some(plan) = &reckoned.planned.plan else { return Vec::new() };
        exactly(&reckoned.course, &reckoned.class, plan, &mut self.now)
    }

    /// All times at which the rest was planned again, this one the last.
    pub fn all(&self) -> Vec<Value> {
        self.before.iter().cloned().chain([self.own.clone()]).collect()
    }
}

/// Plans the rest again as it was done before, time after time, and puts the last plan in place of the class's own. Gives the steps
/// that were named then and are gone since; what was said of them is left out.
///
/// # Errors
/// What is wrong with a state, or that nothing was found from there; the class's own plan is then as it was.
pub fn again(reckoned: &mut Reckoned, before: &[Value]) -> Result<Vec<String>, &'static str> {
    let own = reckoned.planned.plan.clone();
    let mut gone = Vec::new();
    for state in before {
        match planned_from(reckoned, state, &mut gone) {
            Ok(plan) => with_plan(reckoned, plan),
            Err(why) => {
                if let Some(own) = own {
                    with_plan(reckoned, own);
                }
                return Err(why);
            }
        }
    }
    Ok(gone)
}

fn planned_from(reckoned: &Reckoned, state: &Value, gone: &mut Vec<String>) -> Result<Plan, &'static str> {
    let mut standing = of(state.clone(), &reckoned.course)?;
    let plan = reckoned.planned.plan.as_ref().ok_or("there is no plan")?;
    let unknown = standing.unknown(plan).into_iter().map(ToOwned::to_owned);
    gone.extend(unknown.filter(|id| !gone.contains(id)).collect::<Vec<_>>());
    standing.leave_out_unknown(plan);
    // Read as it was then. What does not fit any more leads to another plan than the board names, which is told.
    standing.checked(reckoned);
    let Reckoned { course, class, portions, .. } = reckoned;
    let found = catch_up(course, class, portions, plan, &standing.now, Effort::quick());
    found.map(|found| found.plan).ok_or("an earlier plan of the day is not found again")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn course() -> Course {
        let files = crate::read::folder::load(std::path::Path::new("course")).unwrap();
        crate::read::read_course(&files).course.unwrap()
    }

    #[test]
    fn a_state_says_what_is_wrong_with_it() {
        let course = course();
        let whole = json!({ "format": "benchroll-state", "version": 1, "now": "2027-03-06T14:33:00+00:00" });
        let with = |key: &str, value: Value| {
            let mut state = whole.clone();
            state[key] = value;
            read(state.to_string().as_bytes(), &course)
        };
        assert!(read(whole.to_string().as_bytes(), &course).is_ok());
        assert!(read(&whole.to_string().as_bytes()[..40], &course).unwrap_err().contains("cut short"));
        assert!(read(&vec![b' '; STATE_BYTES + 1], &course).unwrap_err().contains("too large"));
        assert!(with("format", json!("benchroll-log")).unwrap_err().contains("not how"));
        assert!(with("version", json!(VERSION + 1)).unwrap_err().contains("later board"));
        assert!(with("version", json!("1")).unwrap_err().contains("no version"));
        assert!(with("now", json!("half past two")).unwrap_err().contains("what time"));
        assert!(with("before", json!(vec![1; MOST_TIMES + 1])).unwrap_err().contains("more often"));
        let absent = with("absent", json!([{ "station": "station-2", "students": 2 }]));
        assert_eq!(absent.unwrap().now.absent, vec![Absent::Student(StationNo(2)); 2]);
        let late = json!([{ "id": "a.b@c", "minutes": 5 }, { "id": "a.b@d", "minutes": 99_999 }]);
        // Whether it can be is not for reading: nothing is left out on the way there.
        assert_eq!(with("late", late).unwrap().now.late[1], ("a.b@d".to_owned(), Minutes(99_999)));
        for (key, value) in [
            ("late", json!([{ "id": "a.b@c", "minutes": 5 }, 7])),
            ("late", json!([{ "id": "a.b@c", "minutes": 5.5 }])),
            ("absent", json!([{ "station": "station-2", "students": 9_000_000 }])),
            ("absent", json!([{ "station": 3, "students": 1 }])),
            ("without", json!([3])),
            ("done", json!([{}])),
            ("undone", json!([7])),
        ] {
            assert!(with(key, value).unwrap_err().contains(key), "{key}");
        }
        for key in ["late", "absent", "without", "done", "undone", "before", "entries"] {
            assert_eq!(with(key, json!("all")).unwrap_err(), NO_LIST, "{key}");
        }
    }

    /// After a save that takes a step away, what was said of it is left out and named; the rest of the day is found again.
    #[test]
    fn steps_that_are_gone_are_named() {
        let files = crate::read::folder::load(std::path::Path::new("tests/courses/small")).unwrap();
        let outcome = crate::pipeline::reckon(&files, Default::default(), &crate::pipeline::Unwatched);
        let mut reckoned = outcome.reckoned.unwrap();
        let plan = reckoned.planned.plan.as_ref().unwrap();
        let task = plan.tasks.iter().find(|t| t.start == plan.sessions[0].start).unwrap();
        let now = crate::output::json::moment(&task.start);
        let late = json!([{ "id": task.id, "minutes": 5 }, { "id": "gone.step@station-1", "minutes": 5 }]);
        let state = json!({ "format": "benchroll-state", "version": 1, "now": now, "late": late, "done": ["gone.too@class"] });
        let gone = again(&mut reckoned, &[state.clone(), state]).unwrap();
        assert_eq!(gone, ["gone.too@class", "gone.step@station-1"]);
    }

    #[test]
    fn what_was_said_on_the_command_line_reads_back_as_it_was() {
        let course = course();
        let now = Now {
            time: "2027-03-06T14:33:00[Europe/Dublin]".parse().unwrap(),
            done: vec!["a.b@c".to_owned()],
            undone: vec!["a.a@c".to_owned()],
            late: vec![("a.d@c".to_owned(), Minutes(12))],
            without: vec!["oven-2".to_owned()],
            absent: vec![Absent::Student(StationNo(2)), Absent::Student(StationNo(2)), Absent::Helper(1)],
        };
        let said = Standing::said(now.clone(), "0123".to_owned());
        let again = read(said.own.to_string().as_bytes(), &course).unwrap();
        assert_eq!((again.now.absent, again.now.without), (now.absent, now.without));
        assert_eq!(again.now.undone, now.undone);
        assert_eq!((again.now.done, again.now.late, again.plan), (now.done, now.late, "0123".to_owned()));
        assert_eq!(again.now.time.timestamp(), now.time.timestamp());
    }

    #[test]
    fn what_a_later_state_holds_of_it_is_small() {
        let state = json!({ "format": "benchroll-state", "version": 1, "now": "2027-03-06T14:33:00+00:00",
            "before": [{ "now": 1 }], "entries": [{ "id": "a-1" }] });
        let read = read(state.to_string().as_bytes(), &course()).unwrap();
        assert_eq!((read.before.len(), read.entries.len()), (1, 1));
        assert!(read.own.get("before").is_none() && read.own.get("entries").is_none());
        assert_eq!(read.all().len(), 2);
    }
}
