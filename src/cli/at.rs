//! A moment as it is typed on a command line: `14:20`, `Sat 14:20`, `2027-03-06 14:20`.

use crate::read::grammar::day;
use crate::reckon::plan::timetable::Plan;
use jiff::ZonedDateTime;
use jiff::civil::Date;

/// The moment that was meant, among the days of a plan; or why it is none, as a sentence, and the way out.
pub fn moment(text: &str, plan: &Plan) -> Result<ZonedDateTime, (String, String)> {
    let days = days(plan);
    let way_out = || {
        let days: Vec<String> = days.iter().map(|d| d.strftime("%a %Y-%m-%d").to_string()).collect();
        format!("write `14:20`, `Sat 14:20` or `2027-03-06 14:20`; the plan's days are {}", days.join(", "))
    };
    let wrong = |why: String| (why, way_out());
    let text = text.trim();
    let (wanted, clock) = match text.split_once(char::is_whitespace) {
        Some((word, clock)) if day::weekday(word).is_ok() => {
            let weekday = day::weekday(word).map_err(|slip| wrong(slip.message))?;
            let days: Vec<Date> = days.iter().copied().filter(|d| d.weekday() == weekday).collect();
            (days, clock.trim())
        }
        _ => (days.clone(), text),
    };
    let (date, time) = day::dated_time(clock).map_err(|slip| wrong(slip.message))?;
    let candidates: Vec<Date> = match date {
        Some(date) => days.iter().copied().filter(|d| *d == date).collect(),
        None => wanted,
    };
    let zone = plan.tasks.first().map(|t| t.start.time_zone().clone());
    let moments: Vec<ZonedDateTime> =
        candidates.iter().filter_map(|d| d.to_datetime(time).to_zoned_datetime(zone.clone()?).ok()).collect();
    // A bare time means the day on which a session runs then, or the only day.
    let in_session = |at: &&ZonedDateTime| {
        plan.sessions.iter().any(|s| s.start <= **at && **at <= s.end.clone().max(s.finish.clone()))
    };
    let sittings: Vec<&ZonedDateTime> = moments.iter().filter(in_session).collect();
    match (sittings.as_slice(), moments.as_slice()) {
        ([one], _) => Ok((*one).clone()),
        ([], [one]) => Ok(one.clone()),
        ([], []) => Err(wrong(format!("the plan has no such day as in \"{text}\""))),
        _ => {
            let with_days: Vec<String> =
                moments.iter().map(|at| at.strftime("`%a %H:%M` or `%Y-%m-%d %H:%M`").to_string()).collect();
            let way_out = format!("write the day too: {}", with_days.join("; "));
            Err((format!("\"{text}\" may mean several days"), way_out))
        }
    }
}

fn days(plan: &Plan) -> Vec<Date> {
    let mut days: Vec<Date> = plan.tasks.iter().flat_map(|t| [t.start.date(), t.end.date()]).collect();
    days.sort_unstable();
    days.dedup();
    days
}
