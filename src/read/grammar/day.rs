//! Days and times of day: `2027-03-13`, `13:00`, `10:00 to 18:30`, `2027-03-12 16:00 to 20:00`.

use super::{FromText, Slip, Words};
use jiff::civil::{Date, Time, Weekday};

fn slip(text: &str, what: &str, like: &str) -> Slip {
    Slip::new("unreadable", format!("\"{text}\" cannot be read as {what}"), format!("write {like}"))
}

/// A date as `2027-03-13`.
pub fn date(text: &str) -> Result<Date, Slip> {
    let like = "the year, month and day: `2027-03-13`";
    let parts: Vec<&str> = text.trim().split('-').collect();
    let other_order = || match in_order(text) {
        Some(dates) => slip(text, "a date", &format!("the year, month and day: {dates}")),
        None => slip(text, "a date", like),
    };
    let [year, month, day] = parts[..] else { return Err(other_order()) };
    let plain = |s: &str, n: usize| s.len() == n && s.bytes().all(|b| b.is_ascii_digit());
    if !(plain(year, 4) && plain(month, 2) && plain(day, 2)) {
        return Err(other_order());
    }
    let (Ok(year), Ok(month), Ok(day)) = (year.parse(), month.parse(), day.parse()) else {
        return Err(slip(text, "a date", like));
    };
    Date::new(year, month, day).ok().filter(|d| (1900..=2200).contains(&d.year())).ok_or_else(|| {
        Slip::new(
            "no-such-day",
            format!("\"{text}\" is not in the calendar"),
            match in_order(text) {
                Some(dates) => format!("did you mean {dates}?"),
                None => "look the date up and write it again".to_owned(),
            },
        )
    })
}

/// A date whose figures stand in another order, in ours: the year is the one with four digits; what may be day or month is
/// offered as both.
pub fn in_order(text: &str) -> Option<String> {
    let parts: Vec<&str> = text.trim().split(['-', '.', '/', ' ']).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts[..] else { return None };
    let digits = |s: &str| (1..=4).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    if !(digits(a) && digits(b) && digits(c)) {
        return None;
    }
    let (year, one, other) = match (a.len(), c.len()) {
        (4, _) => (a, b, c),
        (_, 4) => (c, b, a),
        _ => return None,
    };
    let of =
        |month: &str, day: &str| Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok();
    let mut dates: Vec<Date> = [of(one, other), of(other, one)].into_iter().flatten().collect();
    dates.dedup();
    let shown: Vec<String> = dates.iter().map(|d| format!("`{d}`")).collect();
    (!shown.is_empty()).then(|| shown.join(" or "))
}

/// A time of day as `13:00`; what TOML writes as a bare time may carry seconds of nought.
pub fn time(text: &str) -> Result<Time, Slip> {
    let like = "hours and minutes of the 24-hour clock: `13:00`";
    let text = text.trim();
    let plain = text.strip_suffix(":00").filter(|t| t.contains(':')).unwrap_or(text);
    let Some((hour, minute)) = plain.split_once(':') else { return Err(slip(text, "a time of day", like)) };
    let digits = |s: &str| (1..=2).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    if !digits(hour) || minute.len() != 2 || !digits(minute) {
        return Err(slip(text, "a time of day", like));
    }
    let (Ok(hour), Ok(minute)) = (hour.parse(), minute.parse()) else {
        return Err(slip(text, "a time of day", like));
    };
    Time::new(hour, minute, 0, 0).map_err(|_| slip(text, "a time of day", like))
}

/// A time of day with the date that may stand before it.
pub type DatedTime = (Option<Date>, Time);

/// `13:00`, or `2027-03-14 00:30` where the day is another than expected.
pub fn dated_time(text: &str) -> Result<DatedTime, Slip> {
    let text = text.trim();
    match text.split_once([' ', 'T']) {
        Some((day, clock)) => Ok((Some(date(day)?), time(clock)?)),
        None => Ok((None, time(text)?)),
    }
}

/// `10:00 to 18:30`, either end with its date where needed.
pub fn span(text: &str) -> Result<(DatedTime, DatedTime), Slip> {
    let Some((from, to)) = text.split_once(" to ") else {
        return Err(slip(
            text,
            "a span of the day",
            "`10:00 to 18:30`, or `2027-03-12 16:00 to 20:00` for another day",
        ));
    };
    Ok((dated_time(from)?, dated_time(to)?))
}

/// A day of the week, in full or by its first three letters.
pub fn weekday(text: &str) -> Result<Weekday, Slip> {
    const DAYS: [(&str, Weekday); 7] = [
        ("monday", Weekday::Monday),
        ("tuesday", Weekday::Tuesday),
        ("wednesday", Weekday::Wednesday),
        ("thursday", Weekday::Thursday),
        ("friday", Weekday::Friday),
        ("saturday", Weekday::Saturday),
        ("sunday", Weekday::Sunday),
    ];
    let small = text.trim().to_lowercase();
    DAYS.iter()
        .find(|(name, _)| *name == small || name.get(..3) == Some(small.as_str()))
        .map(|(_, day)| *day)
        .ok_or_else(|| slip(text, "a day of the week", "`Tuesday` or `Tue`"))
}

impl FromText for Date {
    const WHAT: &'static str = "a date";
    const LIKE: &'static str = "`2027-03-13`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let text = words.text().to_owned();
        words.take_all();
        date(&text)
    }
    fn stand_in() -> Self {
        Date::constant(2000, 1, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_times() {
        assert_eq!(date("2027-03-13"), Ok(Date::constant(2027, 3, 13)));
        assert_eq!(date("2027-02-30").expect_err("refused").code, "no-such-day");
        assert_eq!(date("13.3.2027").expect_err("refused").code, "unreadable");
        let way_out = |text: &str| date(text).expect_err("refused").way_out;
        assert_eq!(way_out("13.3.2027"), "write the year, month and day: `2027-03-13`");
        assert_eq!(way_out("06/03/2027"), "write the year, month and day: `2027-03-06` or `2027-06-03`");
        assert_eq!(way_out("2027-13-06"), "did you mean `2027-06-13`?");
        assert_eq!(way_out("2027-02-30"), "look the date up and write it again");
        assert_eq!(time("9:05"), Ok(Time::constant(9, 5, 0, 0)));
        assert_eq!(time("13:00:00"), Ok(Time::constant(13, 0, 0, 0)));
        assert!(
            time("13").is_err() && time("25:00").is_err() && time("1 pm").is_err() && time("12:0").is_err()
        );
        assert_eq!(time("12:00"), Ok(Time::constant(12, 0, 0, 0)));
    }

    #[test]
    fn spans() {
        let ((day, from), (none, to)) = span("2027-03-12 16:00 to 20:00").expect("readable");
        assert_eq!((day, from), (Some(Date::constant(2027, 3, 12)), Time::constant(16, 0, 0, 0)));
        assert_eq!((none, to), (None, Time::constant(20, 0, 0, 0)));
        assert!(span("10:00-18:30").is_err());
        assert_eq!(weekday("Tue"), Ok(Weekday::Tuesday));
        assert_eq!(weekday("friday"), Ok(Weekday::Friday));
        assert!(weekday("Tu").is_err());
    }
}
