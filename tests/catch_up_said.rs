//! On the day: who finishes what, what is meant by what was said, and how it is told.

use crate::catch_up::{json, told};
use crate::support::Sealed;
use serde_json::Value;

/// What two who leave have in hand is finished by somebody who is named for it, in the list too; and nobody waits who is not there.
#[test]
fn what_the_absent_had_in_hand_is_finished_by_staff() {
    let sealed = Sealed::demo();
    let absent = ["--absent", "Noor van Dijk", "--absent", "Sanna Rautio"];
    for late in [&[][..], &["--late", "walnut-crown.cut=20m"]] {
        let line = [&["--now", "Sat 14:20"], &absent[..], late].concat();
        let after = json(&sealed, &line);
        let task = |id: &str| after["tasks"].as_array().unwrap().iter().find(|t| t["id"] == id).unwrap();
        let cut = task("walnut-crown.cut@station-5");
        let by = cut["by"].as_array().unwrap();
        assert!(by.len() == 1 && cut["hands"] == "staff", "{cut}");
        let changes = after["changes"].as_array().unwrap();
        assert!(changes.iter().any(|c| c["id"] == cut["id"] && c["now"]["by"] == cut["by"]), "{changes:?}");
        assert_eq!(after["broken"], serde_json::json!([]));
        let waits = after["longest_wait"]["stations"].as_array().unwrap();
        assert!(!waits.contains(&serde_json::json!(5)), "{waits:?}");
        let said = told(&line);
        assert!(said.contains("walnut-crown.cut (station 5) was in hand there:"), "{said}");
    }
}

/// Without its group a step is late where it runs now; and it is said for whom it was taken.
#[test]
fn what_is_over_is_not_late() {
    let line = ["--now", "Sun 11:25", "--late", "custard-buns.well=15m"];
    let after = json(&Sealed::demo(), &line);
    let changes = after["changes"].as_array().unwrap();
    for over in ["custard-buns.well@station-1", "custard-buns.well@station-6", "custard-buns.bake@load-1"] {
        assert!(changes.iter().all(|c| c["id"] != over), "{over}: {changes:?}");
    }
    assert!(changes.iter().any(|c| c["id"] == "custard-buns.well@station-3"), "{changes:?}");
    let said = told(&line);
    let words = said.replace('│', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("for station 3, station 4: it runs there now"), "{said}");
    assert_eq!(after["findings"][0]["code"], "taken-as");
    // Just over where it ran last.
    let said = told(&["--now", "Sat 14:31", "--late", "walnut-crown.cut=10m"]);
    assert!(said.contains("was to end there last"), "{said}");
}

/// What has not begun is not over, and nor is what takes it up.
#[test]
fn what_cannot_be_over_yet_is_asked_about() {
    let sealed = Sealed::demo();
    let line = ["catch-up", "course", "--now", "Sat 14:20", "--done"];
    let said = sealed.run(&[&line[..], &["walnut-crown.bake"]].concat());
    assert_eq!(said.exit, Some(2), "{said}");
    let words = said.stderr.replace('│', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("has not begun: walnut-crown.proof"), "{said}");
    // Of a step without its group that is over which can be.
    let after = json(&sealed, &["--now", "Sat 14:20", "--done", "walnut-crown.cut"]);
    let changes = after["changes"].as_array().unwrap();
    assert!(changes.iter().any(|c| c["id"] == "walnut-crown.cut@station-1"), "{changes:?}");
    assert!(changes.iter().all(|c| c["id"] != "walnut-crown.roll@station-4"), "{changes:?}");
    assert_eq!(after["findings"][0]["code"], "taken-as");
}

/// Nothing goes to another oven or mixer at its printed time for nothing, and nothing is taken up earlier for nothing.
#[test]
fn what_keeps_its_time_keeps_its_machine() {
    let sealed = Sealed::demo();
    for line in [
        &["--now", "Sat 15:00", "--without", "large-mixer", "--without", "small-mixer-3"][..],
        &["--now", "Sat 14:20", "--late", "walnut-crown.cut=60m"],
        &["--now", "Sat 14:20", "--late", "walnut-crown.cut=90m"],
    ] {
        let after = json(&sealed, line);
        for change in after["changes"].as_array().unwrap() {
            let (was, now) = (&change["was"], &change["now"]);
            let same = ["start", "end", "by"].iter().all(|key| was[key] == now[key]);
            assert!(!same, "{line:?}: {change}");
            let oven = change["id"].as_str().unwrap().contains(".bake@");
            assert!(!oven || was["uses"] == now["uses"], "{line:?}: {change}");
        }
    }
}

/// Nothing of the checker's own words is left, and what is counted is explained.
#[test]
fn a_late_day_is_told_in_words_with_its_ways_out() {
    let line = ["--now", "Sat 14:20", "--late", "walnut-crown.cut=90m"];
    let after = json(&Sealed::demo(), &line);
    let over = after["overrun_minutes"].as_i64().unwrap();
    assert!(over > 0, "{after}");
    let ways = after["ways_out"].as_array().unwrap();
    let talk = ways.iter().find(|way| way["leave_out"] == "class.talk@sat").unwrap();
    assert!(talk["overrun_minutes"].as_i64().unwrap() < over, "{ways:?}");
    let said = told(&line);
    assert!(said.contains("Ways out: stay until Saturday"), "{said}");
    assert!(said.contains("or leave out class.talk (20 min): then it"), "{said}");
    for word in ["overstayed", "moved minutes", "in the middle of a session"] {
        assert!(!said.contains(word), "{said}");
    }
}

#[test]
fn of_several_alike_it_is_said_which_one() {
    let said = told(&["--now", "Sat 14:20", "--without", "small-mixer"]);
    assert!(said.contains("`small-mixer` is taken as small-mixer-4, the last of 4"), "{said}");
}

/// A guess is made only where something is spelt alike; a step without its lesson is looked for in all.
#[test]
fn what_is_nothing_like_it_is_not_guessed() {
    let sealed = Sealed::demo();
    let way_out = |line: &[&str]| {
        let said = sealed.run(&[&["catch-up", "course", "--now", "Sat 14:20"], line].concat());
        assert_eq!(said.exit, Some(2), "{said}");
        said.stderr
    };
    let said = way_out(&["--late", "cut=20m"]);
    assert!(said.contains("`walnut-crown.cut`") && !said.contains("class.talk"), "{said}");
    let said = way_out(&["--absent", "Owen Tarrant"]);
    assert!(!said.contains("did you mean") && said.contains("on the roll"), "{said}");
}

/// Nothing is overstayed of which no sentence says what.
#[test]
fn what_is_overstayed_is_said() {
    let sealed = Sealed::demo();
    for (now, without) in [
        ("Sat 15:55", "oven-1"),
        ("Sun 11:40", "oven-2"),
        ("Sun 12:00", "oven-1"),
        // The tasting goes on, a load begins again, and the clean-down waits for it.
        ("Sun 12:30", "oven-1"),
        ("Sun 12:35", "oven-1"),
    ] {
        let after = json(&sealed, &["--now", now, "--without", without]);
        let terms = after["objective"].as_array().unwrap();
        let of = |t: &&Value| t["term"] == "overstayed-minutes";
        let overstayed = terms.iter().find(of).map_or(0, |t| t["value"].as_i64().unwrap());
        let broken = after["broken"].as_array().unwrap();
        assert_eq!(overstayed > 0, !broken.is_empty(), "{now} {without}: {overstayed}, {broken:?}");
    }
}
