//! `logs/*.json`: what the board wrote down on the day. A log that was cut short is read up to the cut.

use super::files::{Entry, FileTree};
use super::text;
use crate::course::log::{DayLog, LoggedBake, LoggedMix, LoggedStep};
use crate::course::{EquipId, LessonId, PartId, StepId};
use crate::finding::Finding;
use crate::units::{Celsius, Grams, Minutes};
use jiff::Timestamp;
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde_json::{Map, Value};

/// The latest version of a log that is understood.
pub const LOG_VERSION: u64 = 2;
/// Where logs are, within the course folder.
pub const FOLDER: &str = "logs";

/// The logs of a course by their files, and what is to be told of them.
#[must_use]
pub fn logs(files: &FileTree, course_name: &str) -> (Vec<DayLog>, Vec<Finding>) {
    let (mut logs, mut findings) = (Vec::new(), Vec::new());
    for (path, entry) in files.under(FOLDER).filter(|(path, _)| path.ends_with(".json")) {
        let Entry::Bytes(bytes) = entry else { continue };
        match log(path, bytes, course_name) {
            Ok((log, found)) => {
                logs.push(log);
                findings.extend(found);
            }
            Err(finding) => findings.push(*finding),
        }
    }
    (logs, findings)
}

/// One log file.
///
/// # Errors
/// The file is no log, or one that a later board saved.
fn log(path: &str, bytes: &[u8], course_name: &str) -> Result<(DayLog, Vec<Finding>), Box<Finding>> {
    let unreadable = |why: &str| {
        let message = format!("`{path}` is no log that can be read: {why}");
        Box::new(
            Finding::error("log-unreadable", None, message)
                .in_file(path)
                .way_out("save the log from the board again, or move the file out of `logs`"),
        )
    };
    let text = text::decode(bytes).ok_or_else(|| unreadable("it is not text"))?.0;
    let (whole, cut_short) = match serde_json::from_str::<Value>(&text) {
        Ok(Value::Object(whole)) => (whole, false),
        Ok(_) => return Err(unreadable("it holds no object")),
        Err(_) => (up_to_the_cut(&text), true),
    };
    if whole.get("format").and_then(Value::as_str) != Some("benchroll-log") {
        return Err(unreadable("it does not say `\"format\": \"benchroll-log\"`"));
    }
    let version = whole.get("version").and_then(Value::as_u64);
    let version = version.ok_or_else(|| unreadable("it says no version"))?;
    if version > LOG_VERSION {
        let message =
            format!("`{path}` has version {version} of the log's format; this program knows {LOG_VERSION}");
        return Err(Box::new(
            Finding::error("log-later-version", None, message)
                .in_file(path)
                .way_out("read it with the program that made the board, or a later one"),
        ));
    }
    let day: Date = whole
        .get("day")
        .and_then(Value::as_str)
        .and_then(|d| d.parse().ok())
        .ok_or_else(|| unreadable("it says no day"))?;
    // A step that ends before it begins has no length.
    let (steps, backwards): (Vec<LoggedStep>, Vec<LoggedStep>) =
        items(&whole, "steps").filter_map(step).partition(|s| s.real.0 <= s.real.1);
    let log = DayLog {
        file: path.to_owned(),
        day,
        plan: word(&whole, "plan").unwrap_or_default(),
        rehearsal: whole.get("rehearsal").and_then(Value::as_bool).unwrap_or(false),
        boards: whole.get("boards").and_then(Value::as_array).map_or(0, Vec::len),
        cut_short,
        jumps: items(&whole, "jumps").filter_map(jump).collect(),
        steps,
        mixes: items(&whole, "measured").filter_map(mix).collect(),
        bakes: items(&whole, "measured").filter_map(bake).collect(),
    };
    let mut findings = told(&log, &word(&whole, "course").unwrap_or_default(), course_name);
    let unread = items(&whole, "steps").filter(|one| step(one).is_none());
    let unread: Vec<String> =
        unread.map(|one| word(one, "id").unwrap_or_else(|| "one without an id".to_owned())).collect();
    if let Some(first) = unread.first() {
        let message = format!(
            "in `{path}` {} of the steps cannot be read, `{first}` first: they are left out",
            unread.len()
        );
        findings.push(
            Finding::warning("log-step-unread", None, message).in_file(path).way_out(
                "see that it has its id, its step and four times such as `2027-03-06T14:20:00+00:00`",
            ),
        );
    }
    if let Some(first) = backwards.first() {
        let message = format!(
            "in `{path}` {} of the steps end before they begin, `{}` first: they are left out",
            backwards.len(),
            first.id
        );
        findings.push(
            Finding::warning("log-step-backwards", None, message)
                .in_file(path)
                .way_out("mend the times in the file, if you know them"),
        );
    }
    Ok((log, findings))
}

/// What is odd about a log that was read.
fn told(log: &DayLog, name: &str, course_name: &str) -> Vec<Finding> {
    let path = log.file.as_str();
    let mut findings = Vec::new();
    if log.cut_short {
        let message = format!("`{path}` is cut short: {} steps before the cut are read", log.steps.len());
        findings.push(
            Finding::warning("log-cut-short", None, message)
                .in_file(path)
                .way_out("save it from the board again, if the board still has it"),
        );
    }
    if name != course_name && !(log.cut_short && name.is_empty()) {
        let message = format!("`{path}` is the log of \"{name}\", this course is \"{course_name}\"");
        findings.push(
            Finding::warning("log-other-course", None, message)
                .in_file(path)
                .way_out("move it, if it is not about these lessons"),
        );
    }
    if !log.jumps.is_empty() {
        let by: Vec<String> = log.jumps.iter().map(|(_, by)| format!("{} min", by.get())).collect();
        let message = format!(
            "in `{path}` the device's clock jumped ({}): steps across a jump are left out",
            by.join(", ")
        );
        findings.push(
            Finding::warning("log-clock-jump", None, message)
                .in_file(path)
                .way_out("nothing to do; on the day, set the device's clock before the class"),
        );
    }
    if log.boards > 1 {
        let message = format!(
            "`{path}` was written by {} boards: of two ticks for one step the first counts",
            log.boards
        );
        findings.push(Finding::note("log-two-boards", None, message).in_file(path));
    }
    if log.rehearsal {
        let message = format!("`{path}` is a rehearsal: it is left out");
        findings.push(Finding::note("log-rehearsal", None, message).in_file(path));
    }
    findings
}

/// What whole lines say: the board writes one thing a line.
fn up_to_the_cut(text: &str) -> Map<String, Value> {
    let mut whole = Map::new();
    let mut section: Option<String> = None;
    for line in text.lines().map(str::trim) {
        let bare = line.strip_suffix(',').unwrap_or(line);
        if let Some(name) = bare.strip_suffix(": [").and_then(|n| serde_json::from_str::<String>(n).ok()) {
            whole.insert(name.clone(), Value::Array(Vec::new()));
            section = Some(name);
        } else if bare == "]" {
            section = None;
        } else if let Some(Value::Array(items)) = section.as_ref().and_then(|name| whole.get_mut(name)) {
            items.extend(serde_json::from_str::<Value>(bare).ok());
        } else if let Ok(Value::Object(one)) = serde_json::from_str::<Value>(&format!("{{{bare}}}")) {
            whole.extend(one);
        }
    }
    whole
}

fn items<'v>(whole: &'v Map<String, Value>, name: &str) -> impl Iterator<Item = &'v Map<String, Value>> {
    whole.get(name).and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_object)
}

fn word(of: &Map<String, Value>, key: &str) -> Option<String> {
    of.get(key).and_then(Value::as_str).map(ToOwned::to_owned)
}
fn moment(of: &Map<String, Value>, key: &str) -> Option<Timestamp> {
    of.get(key)?.as_str()?.parse().ok()
}
fn number(of: &Map<String, Value>, key: &str) -> Option<Decimal> {
    of.get(key).filter(|v| v.is_number())?.to_string().parse().ok()
}
fn celsius(of: &Map<String, Value>, key: &str) -> Option<Celsius> {
    number(of, key).and_then(Celsius::from_decimal)
}

fn jump(of: &Map<String, Value>) -> Option<(Timestamp, Minutes)> {
    Some((moment(of, "at")?, Minutes(of.get("minutes")?.as_i64()?)))
}

fn step(of: &Map<String, Value>) -> Option<LoggedStep> {
    Some(LoggedStep {
        id: word(of, "id")?,
        lesson: word(of, "lesson").map(LessonId::new),
        step: StepId::new(word(of, "step")?),
        planned: (moment(of, "planned_start")?, moment(of, "planned_end")?),
        real: (moment(of, "start")?, moment(of, "end")?),
        stands: of.get("stands").and_then(Value::as_bool).unwrap_or(false),
    })
}

fn mix(of: &Map<String, Value>) -> Option<LoggedMix> {
    let values = of.get("values")?.as_object()?;
    Some(LoggedMix {
        lesson: LessonId::new(word(of, "lesson")?),
        step: StepId::new(word(of, "step")?),
        part: PartId::new(word(of, "part")?),
        mixer: word(of, "mixer").filter(|m| !m.is_empty()).map(EquipId::new),
        room: celsius(values, "room"),
        flour: celsius(values, "flour"),
        liquid: celsius(values, "liquid"),
        dough: celsius(values, "dough"),
    })
}

fn bake(of: &Map<String, Value>) -> Option<LoggedBake> {
    let values = of.get("values")?.as_object()?;
    if of.contains_key("part") {
        return None;
    }
    let grams = |key| number(values, key).and_then(Grams::from_decimal).filter(|g| *g > Grams::ZERO);
    let count = |of: &Map<String, Value>, key| of.get(key)?.as_u64().and_then(|n| u32::try_from(n).ok());
    Some(LoggedBake {
        lesson: LessonId::new(word(of, "lesson")?),
        step: StepId::new(word(of, "step")?),
        planned: count(of, "planned_pieces"),
        pieces: count(values, "pieces"),
        weights: grams("before").zip(grams("after")),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_step_without_a_possible_length_is_left_out_and_told() {
        let step = |end: &str| {
            json!({
                "id": "a.mix@batch-1", "step": "mix", "start": "2027-03-06T14:00:00Z", "end": end,
                "planned_start": "2027-03-06T14:00:00Z", "planned_end": "2027-03-06T14:20:00Z",
            })
        };
        let steps =
            [step("2027-03-06T14:25:00Z"), step("2027-03-05T14:25:00Z"), step("2027-02-31T14:25:00Z")];
        let whole = json!({
            "format": "benchroll-log", "version": 1, "course": "A", "day": "2027-03-06", "steps": steps,
        });
        let (log, found) = log("logs/a.json", whole.to_string().as_bytes(), "A").unwrap();
        assert_eq!(log.steps.len(), 1);
        assert_eq!(
            found.iter().map(|f| f.code.0).collect::<Vec<_>>(),
            ["log-step-unread", "log-step-backwards"]
        );
    }
}
