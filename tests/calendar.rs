//! The calendar file against RFC 5545 (<https://www.rfc-editor.org/rfc/rfc5545>), section by section, and against the plan.
//!
//! A parser of others (the crate `calcard`) reads each file, too. The demo's file was also read by two more, the Python packages `icalendar` 7.3.2 and `ics` 0.7.3 (2026-11-28): neither found an
//! error, and both read the same events at the same times.

use crate::support::Sealed;
use std::collections::BTreeSet;

/// A property's name and value, unfolded (section 3.1).
type Line = (String, String);

/// Reads a file as section 3.1 and 3.4 write it: CRLF, 75 octets, one calendar, its events; panics at what is not so.
fn read(text: &str) -> (Vec<Line>, Vec<Vec<Line>>) {
    assert!(text.ends_with("\r\n"));
    assert!(!text.replace("\r\n", "").contains(['\r', '\n']), "bare line ends");
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.chars().any(|c| c.is_control()), "{line:?}");
    }
    let unfolded = text.replace("\r\n ", "");
    let lines: Vec<Line> = unfolded
        .split_terminator("\r\n")
        .map(|line| line.split_once(':').unwrap_or_else(|| panic!("no value: {line}")))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let is = |line: &Line, name: &str, value: &str| line.0 == name && line.1 == value;
    assert!(is(&lines[0], "BEGIN", "VCALENDAR") && is(lines.last().unwrap(), "END", "VCALENDAR"));
    let mut calendar = Vec::new();
    let mut events = Vec::new();
    let mut event: Option<Vec<Line>> = None;
    for line in &lines[1..lines.len() - 1] {
        // A name of a property, without parameters: letters, digits, hyphens (section 3.1).
        let fine = |c: char| c.is_ascii_alphanumeric() || c == '-';
        assert!(!line.0.is_empty() && line.0.chars().all(fine), "{line:?}");
        match (&mut event, line.0.as_str(), line.1.as_str()) {
            (None, "BEGIN", "VEVENT") => event = Some(Vec::new()),
            (Some(_), "END", "VEVENT") => events.push(event.take().unwrap()),
            (_, "BEGIN" | "END", other) => panic!("{other} out of its place"),
            (Some(event), ..) => event.push(line.clone()),
            // What is said of the calendar comes before what is in it (section 3.6).
            (None, ..) => {
                assert!(events.is_empty(), "{line:?} after an event");
                calendar.push(line.clone());
            }
        }
    }
    assert!(event.is_none());
    (calendar, events)
}

fn one<'l>(lines: &'l [Line], name: &str) -> &'l str {
    let found: Vec<&Line> = lines.iter().filter(|l| l.0 == name).collect();
    assert_eq!(found.len(), 1, "{name} in {lines:?}");
    &found[0].1
}

/// A UTC time (section 3.3.5, form 2) as the second it is.
fn second(text: &str) -> i64 {
    jiff::civil::DateTime::strptime("%Y%m%dT%H%M%SZ", text)
        .unwrap_or_else(|e| panic!("{text}: {e}"))
        .to_zoned_datetime(jiff::tz::TimeZone::UTC)
        .unwrap()
        .timestamp()
        .as_second()
}

/// The text behind the escapes (section 3.3.11); a comma, a semicolon or a backslash must be escaped.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => match letters.next().unwrap() {
                'n' | 'N' => out.push('\n'),
                c @ ('\\' | ',' | ';') => out.push(c),
                c => panic!("\\{c} is no escape"),
            },
            ',' | ';' => panic!("{letter} is not escaped in {text}"),
            c => out.push(c),
        }
    }
    out
}

/// The same file as another parser reads it, which has nothing in common with what wrote it: no error, and the same events.
fn read_by_others(text: &str, events: &[Vec<Line>]) {
    use calcard::icalendar::{ICalendar, ICalendarProperty, ICalendarValue};
    let theirs = ICalendar::parse(text).unwrap_or_else(|e| panic!("{e:?}"));
    let (found, others): (Vec<_>, Vec<_>) =
        theirs.components.iter().partition(|part| part.component_type.is_event());
    assert_eq!((found.len(), others.len()), (events.len(), 1), "events, and the calendar that they are in");
    for event in events {
        let uid = one(event, "UID");
        let same = found.iter().find(|e| e.uid() == Some(uid)).unwrap_or_else(|| panic!("no {uid}"));
        let value = |name: ICalendarProperty| {
            same.property(&name).map(|entry| &entry.values).filter(|all| all.len() == 1)
        };
        for (name, ours) in [
            (ICalendarProperty::Dtstart, "DTSTART"),
            (ICalendarProperty::Dtend, "DTEND"),
            (ICalendarProperty::Dtstamp, "DTSTAMP"),
        ] {
            let Some([ICalendarValue::PartialDateTime(at)]) = value(name).map(Vec::as_slice) else {
                panic!("{ours} of {uid}")
            };
            let (day, time) = (
                (at.year.unwrap(), at.month.unwrap(), at.day.unwrap()),
                (at.hour.unwrap(), at.minute.unwrap(), at.second.unwrap()),
            );
            let text =
                format!("{:04}{:02}{:02}T{:02}{:02}{:02}Z", day.0, day.1, day.2, time.0, time.1, time.2);
            assert_eq!(text, one(event, ours), "{uid}");
            assert_eq!((at.tz_hour, at.tz_minute), (Some(0), Some(0)), "{uid}");
        }
        for (name, ours) in
            [(ICalendarProperty::Summary, "SUMMARY"), (ICalendarProperty::Description, "DESCRIPTION")]
        {
            let Some([ICalendarValue::Text(text)]) = value(name).map(Vec::as_slice) else {
                panic!("{ours} of {uid}")
            };
            assert_eq!(*text, unescaped(one(event, ours)), "{uid}");
        }
    }
}

/// The file of a course, and all that must hold of any; gives back the events.
fn checked(sealed: &Sealed) -> Vec<Vec<Line>> {
    let said = sealed.run(&["plan", "course", "--calendar"]);
    assert_eq!(said.exit, Some(0), "{said}");
    assert_eq!(
        said.stdout,
        sealed.run_with(&["plan", "course", "--calendar"], &[("TZ", "Asia/Tokyo")]).stdout
    );
    let (calendar, events) = read(&said.stdout);
    read_by_others(&said.stdout, &events);
    assert_eq!(one(&calendar, "VERSION"), "2.0");
    assert!(!one(&calendar, "PRODID").is_empty());
    let mut uids = BTreeSet::new();
    for event in &events {
        assert!(uids.insert(one(event, "UID").to_owned()), "{event:?}");
        second(one(event, "DTSTAMP"));
        // Of what may be there once there is no second one (section 3.6.1), and nothing stands for a length beside an end.
        let names: BTreeSet<&str> = event.iter().map(|(name, _)| name.as_str()).collect();
        assert!(names.len() == event.len() && !names.contains("DURATION"), "{event:?}");
        assert!(second(one(event, "DTSTART")) < second(one(event, "DTEND")), "{event:?}");
        for (_, text) in event.iter().filter(|(name, _)| name == "LOCATION") {
            unescaped(text);
        }
        for text in ["SUMMARY", "DESCRIPTION"] {
            unescaped(one(event, text));
        }
    }
    // Each task that takes hands lies in exactly one entry of its own time.
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let at = |task: &serde_json::Value, key: &str| {
        task[key].as_str().unwrap().parse::<jiff::Timestamp>().unwrap().as_second()
    };
    let tasks = plan["tasks"].as_array().unwrap();
    let spans: BTreeSet<(i64, i64)> =
        events.iter().map(|e| (second(one(e, "DTSTART")), second(one(e, "DTEND")))).collect();
    for task in tasks.iter().filter(|t| t["hands"] != "nobody") {
        assert!(spans.contains(&(at(task, "start"), at(task, "end"))), "{task}");
    }
    // What staff carry while no students are there has one of five minutes.
    let sessions = plan["sessions"].as_array().unwrap();
    let in_class = |t: &serde_json::Value| {
        sessions.iter().any(|s| (at(s, "start")..at(s, "end")).contains(&at(t, "start")))
    };
    let ended = |t: &serde_json::Value| {
        let work = |o: &&serde_json::Value| o["hands"] != "nobody" || !o["by"].as_array().unwrap().is_empty();
        tasks.iter().filter(work).any(|o| o["lesson"] == t["lesson"] && o["end"] == t["start"])
    };
    for task in tasks.iter().filter(|t| !t["lesson"].is_null() && t["hands"] == "nobody") {
        if task["by"].as_array().unwrap().is_empty() && !in_class(task) && !ended(task) {
            let from = at(task, "start");
            assert!(spans.contains(&(from, from + 300)), "{task}");
        }
    }
    // An oven that is turned on has an entry too, and no task.
    let is_oven = |event: &&Vec<Line>| one(event, "UID").starts_with("oven.");
    assert!(events.iter().any(|e| is_oven(&e)));
    for event in events.iter().filter(|e| !is_oven(e)) {
        let uid = one(event, "UID");
        let task = tasks.iter().find(|t| t["id"] == uid.rsplit_once('-').unwrap().0);
        let task = task.unwrap_or_else(|| panic!("{event:?}"));
        assert_eq!(second(one(event, "DTSTART")), at(task, "start"));
    }
    events
}

#[test]
fn the_small_class_with_signs_and_a_long_name() {
    let sealed = Sealed::small();
    let text = sealed.read("course/course.toml");
    let name = text.lines().find(|l| l.starts_with("name")).unwrap().to_owned();
    let odd =
        "name = \"Hörnchen; Zöpfe, \\\\ und: süße Teige für alle, die früh aufstehen und spät essen, 老虎\"";
    let sealed = sealed.file("course/course.toml", text.replacen(&name, odd, 1));
    let events = checked(&sealed);
    assert!(!events.is_empty());
    let said = sealed.run(&["plan", "course", "--calendar"]).stdout.replace("\r\n ", "");
    assert!(said.contains("NAME:Hörnchen\\; Zöpfe\\, \\\\ und: süße"), "{said}");
}

/// The clocks go forward in Dublin on 28 March 2027 at 01:00 (IANA time zone database): half past nine on Sunday is half past
/// eight in UTC, and the dough in the fridge has one hour less.
#[test]
fn a_night_in_which_the_clocks_change() {
    let sealed = Sealed::demo();
    let mut text = sealed.read("course/course.toml");
    for (old, new) in
        [("2027-03-05", "2027-03-26"), ("2027-03-06", "2027-03-27"), ("2027-03-07", "2027-03-28")]
    {
        text = text.replace(old, new);
    }
    let events = checked(&sealed.file("course/course.toml", text));
    // The welcome of each day, half past nine and one o'clock by the kitchen's own clock.
    for at in ["20270327T130000Z", "20270328T083000Z"] {
        let of = |e: &&Vec<Line>| one(e, "DTSTART") == at && one(e, "UID").starts_with("class.");
        assert!(events.iter().any(|e| of(&e)), "{at}: {events:?}");
    }
}

#[test]
fn it_stands_beside_the_printed_sheets_without_anyones_name() {
    let sealed = Sealed::small();
    sealed.run(&["prepare", "course", "--out", "printed", "--only", "run-sheet"]);
    assert!(!sealed.files("printed").contains(&"data/plan.ics".to_owned()));
    sealed.run(&["prepare", "course", "--out", "printed"]);
    let file = sealed.read("printed/data/plan.ics");
    assert_eq!(file, sealed.run(&["plan", "course", "--calendar"]).stdout);
    let roll = sealed.read("course/roll.csv");
    for name in roll.lines().skip(1).filter_map(|row| row.split(',').next()) {
        assert!(!file.contains(name), "{name}");
    }
}

#[test]
fn a_lesson_goes_by_what_it_makes_and_a_helper_by_name() {
    let file = Sealed::demo().run(&["plan", "course", "--calendar"]).stdout.replace("\r\n ", "");
    assert!(file.contains("SUMMARY:Four-strand milk braid: "), "{file}");
    assert!(!file.contains("SUMMARY:Four braid"), "{file}");
    assert!(file.contains("Tomas Birch") && !file.contains("helper 1"), "{file}");
}
