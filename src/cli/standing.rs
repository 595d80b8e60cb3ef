//! How things stand on the day, as the board saves it and sends it: one small object of JSON.
//!
//! A board that was planned again names every earlier time at which that was done, so that the same plan can be found again from
//! the course alone, step by step.

use crate::course::limits::STATE_BYTES;
use crate::course::{Course, StationNo};
use crate::pipeline::Reckoned;
use crate::pipeline::board::with_plan;
use crate::reckon::plan::catch_up::{Absent, Now, catch_up};
use crate::reckon::plan::choose::Effort;
use crate::reckon::plan::grid::time_zone;
use crate::reckon::plan::timetable::Plan;
use crate::units::Minutes;
use serde_json::Value;

/// The latest version that is understood.
const VERSION: u64 = 1;
/// More students than any station seats.
const MOST_ABSENT: usize = 50;
/// More often than anybody plans a day again.
const MOST_TIMES: usize = 50;

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
        Some(VERSION) => {}
        Some(later) if later > VERSION => {
            return Err("it was saved by a later board: use the program that made it");
        }
        _ => return Err("it says no version"),
    }
    let time: jiff::Timestamp =
        state["now"].as_str().and_then(|t| t.parse().ok()).ok_or("it does not say what time it is")?;
    let mut taken = |key: &str| match state.as_object_mut().and_then(|s| s.remove(key)) {
        Some(Value::Array(list)) => list,
        _ => Vec::new(),
    };
    let (before, entries) = (taken("before"), taken("entries"));
    if before.len() > MOST_TIMES {
        return Err("it was planned again more often than anybody does in a day");
    }
    let list = |key: &str| state[key].as_array().map_or(&[][..], Vec::as_slice);
    let texts = |key: &str| list(key).iter().filter_map(|v| v.as_str().map(ToOwned::to_owned)).collect();
    let late = list("late")
        .iter()
        .filter_map(|l| Some((l["id"].as_str()?.to_owned(), Minutes(l["minutes"].as_i64()?))))
        .filter(|(_, by)| (1..=super::catch_up::MOST_LATE).contains(&by.get()))
        .collect();
    let now = Now {
        time: time.to_zoned_datetime(time_zone(course)),
        done: texts("done"),
        late,
        without: texts("without"),
        absent: list("absent").iter().flat_map(absent).collect(),
    };
    let plan = state["plan"].as_str().unwrap_or_default().to_owned();
    Ok(Standing { plan, now, before, entries, own: state })
}

/// The students of a station who are not there: the board knows how many, and never who.
fn absent(row: &Value) -> Vec<Absent> {
    let station =
        row["station"].as_str().and_then(|s| s.strip_prefix("station-")).and_then(|n| n.parse().ok());
    let students = row["students"].as_u64().and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
    // More than a kitchen holds is a slip of the file; planning copes with more absent than seated.
    station.map_or_else(Vec::new, |no| vec![Absent::Student(StationNo(no)); students.min(MOST_ABSENT)])
}

impl Standing {
    /// What it names that this plan has not.
    pub fn unknown<'s>(&'s self, plan: &Plan) -> Vec<&'s str> {
        let late = self.now.late.iter().map(|(id, _)| id);
        self.now.done.iter().chain(late).filter(|id| plan.task(id).is_none()).map(String::as_str).collect()
    }

    /// All times at which the rest was planned again, this one the last.
    pub fn all(&self) -> Vec<Value> {
        self.before.iter().cloned().chain([self.own.clone()]).collect()
    }
}

/// Plans the rest again as it was done before, time after time, and puts the last plan in place of the class's own.
///
/// # Errors
/// What is wrong with a state, or that nothing was found from there; the class's own plan is then as it was.
pub fn again(reckoned: &mut Reckoned, before: &[Value]) -> Result<(), &'static str> {
    let own = reckoned.planned.plan.clone();
    for state in before {
        match planned_from(reckoned, state) {
            Ok(plan) => with_plan(reckoned, plan),
            Err(why) => {
                if let Some(own) = own {
                    with_plan(reckoned, own);
                }
                return Err(why);
            }
        }
    }
    Ok(())
}

fn planned_from(reckoned: &Reckoned, state: &Value) -> Result<Plan, &'static str> {
    let standing = of(state.clone(), &reckoned.course)?;
    let plan = reckoned.planned.plan.as_ref().ok_or("there is no plan")?;
    let Reckoned { course, class, portions, .. } = reckoned;
    let found = catch_up(course, class, portions, plan, &standing.now, Effort::quick());
    found.map(|found| found.plan).ok_or("an earlier plan of the day is not found again")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use serde_json::json;

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
        assert!(with("version", json!(2)).unwrap_err().contains("later board"));
        assert!(with("version", json!("1")).unwrap_err().contains("no version"));
        assert!(with("now", json!("half past two")).unwrap_err().contains("what time"));
        assert!(with("before", json!(vec![1; MOST_TIMES + 1])).unwrap_err().contains("more often"));
        let absent =
            with("absent", json!([{ "station": "station-2", "students": 9_000_000 }, { "station": 3 }]));
        assert_eq!(absent.unwrap().now.absent, vec![Absent::Student(StationNo(2)); MOST_ABSENT]);
        let late =
            with("late", json!([{ "id": "a.b@c", "minutes": 5 }, { "id": "a.b@d", "minutes": 99_999 }, 7]));
        assert_eq!(late.unwrap().now.late, [("a.b@c".to_owned(), Minutes(5))]);
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
