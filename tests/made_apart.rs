//! A sponge that each station stirs by itself, though its dough shares a bowl with others: who has the step has the ingredients, and
//! what is in the dough is fetched no more. A course of our own, begun by the program and given a sponge.

use crate::support::{Sealed, repository};
use benchroll::course::{PartId, SessionId, StationNo};
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::reckon::home::{HomeBatch, WAITS_AT_MOST};
use benchroll::reckon::weigh::{List, Who};
use benchroll::typeset::views::common::WeighList;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::station_sheet::StationSheet;
use benchroll::typeset::views::weigh_out::WeighOut;
use benchroll::units::{Grams, Minutes};

const FORMULA: &str = "class/formulas/cinnamon-loaf.toml";
const LESSON: &str = "class/lessons/cinnamon-loaf.toml";

/// A weekend's class with a sponge that each station stirs; small loaves, so that two stations share a bowl.
fn begun(people: &str) -> Sealed {
    let sealed = Sealed::new();
    let line = ["begin", "class", "--kind", "weekend", "--date", "2027-03-06", "--place", "uk"];
    let said = sealed.run(&[&line[..], &["--people", people]].concat());
    assert_eq!(said.exit, Some(0), "{said}");
    let sponge = "[parts.sponge]\nbasis = \"flour\"\nloses = \"3 %\"\n\
        of = { strong-flour = \"100 %\", milk = \"80 %\", instant-yeast = \"1 %\" }\n\n[parts.dough]\n";
    let steps = "  { id = \"sponge-mix\", on = \"sponge\", per = \"station\", hands = \"one student\", \
        takes = \"4 to 8 min, usually 5\", session = \"first-day\" },\n  { id = \"sponge-rise\", on = \"sponge\", \
        per = \"station\", at = \"room\", hands = \"nobody\", stands = \"30 to 90 min\" },\n  \
        { id = \"mix\", on = [\"dough\", \"sponge\"],";
    sealed
        .edit(FORMULA, "dough = \"640 g\"", "dough = \"320 g\"")
        .edit(FORMULA, "[parts.dough]\n", sponge)
        .edit(
            FORMULA,
            "strong-flour = \"100 %\"\nmilk = \"40 %\"\n",
            "sponge = { flour = \"25 %\" }\nstrong-flour = \"75 %\"\nmilk = \"20 %\"\n",
        )
        .edit(FORMULA, "milk = \"58 %\"", "milk = \"38 %\"")
        .edit(LESSON, "  { id = \"mix\", on = \"dough\",", steps)
        .edit(LESSON, "made-ahead = { dough", "made-ahead = { sponge = \"never\", dough")
}

/// The same with a stage of the demonstration in one of the bowls.
fn with_a_stage() -> Sealed {
    begun("6").edit(LESSON, "usually 10\", tell", "usually 10\", stages = [\"chill\"], tell")
}

/// The same with a bowl for each station, and one that is alone and has too little for a hook.
fn with_a_bowl_each() -> Sealed {
    begun("5").edit(LESSON, "up to 2 stations", "up to 1 station")
}

fn reckoned(sealed: &Sealed) -> Reckoned {
    let files = folder::load(&sealed.path("class")).unwrap();
    reckon(&files, Asked::default(), &Unwatched).reckoned.expect("a sound course")
}

fn desk(reckoned: &Reckoned) -> Desk<'_> {
    let plan = reckoned.planned.plan.as_ref().expect("it fits");
    Desk::new(&reckoned.course, &reckoned.class, plan, &reckoned.weighed)
}

fn sheet(desk: &Desk, station: u32, session: &str) -> StationSheet {
    let station = desk.class.stations.iter().find(|s| s.no == StationNo(station)).unwrap();
    let id = SessionId::from(session);
    StationSheet::of(desk, station, desk.course.sessions.iter().find(|s| s.id.value == id).unwrap())
}

fn of_part<'a>(sheet: &'a StationSheet, part: &str) -> Vec<&'a WeighList> {
    sheet.weigh.iter().filter(|l| l.how == "weigh" && l.part == part).collect()
}

fn sponges(reckoned: &Reckoned) -> Vec<(&Who, &List)> {
    let sponge = PartId::from("sponge");
    let lists = reckoned.weighed.groups().flat_map(|g| g.lists.iter().map(move |l| (&g.who, l)));
    lists.filter(|(_, l)| l.part == sponge && !l.ingredients.is_empty()).collect()
}

#[test]
fn who_stirs_a_sponge_has_its_flour_on_the_sheet() {
    let sealed = with_a_stage();
    let r = reckoned(&sealed);
    let desk = desk(&r);
    // Stations 1 and 2 share a bowl, 3 shares one with the demonstration; each stirs its own.
    for (station, flour, into) in [(1, "85", ""), (2, "85", "1"), (3, "85", "")] {
        let sheet = sheet(&desk, station, "first-day");
        assert!(sheet.steps.iter().any(|s| s.name == "Sponge mix"), "station {station}");
        let lists = of_part(&sheet, "Sponge");
        assert_eq!(lists.len(), 1, "station {station}: {:?}", sheet.weigh);
        assert_eq!((lists[0].lines[0].amount.value.as_str(), lists[0].into.as_str()), (flour, into));
        assert_eq!(lists[0].for_whom, None);
    }
    // Whose bowl it is reads from whom the sponge comes.
    let first = sheet(&desk, 1, "first-day");
    let line = &of_part(&first, "Dough")[0].lines[0];
    assert_eq!(line.name, "Sponge");
    let from = line.from.as_ref().unwrap();
    assert!(!from.stage && from.count == 2, "{from:?}");
    let third = sheet(&desk, 3, "first-day");
    assert!(of_part(&third, "Dough")[0].lines[0].from.as_ref().unwrap().stage);
    // The demonstration's own stands on the weigh-out, in a column of its own.
    let out = WeighOut::of(&desk);
    let round = out.rounds.iter().find(|r| r.part == "Sponge").unwrap();
    let columns: Vec<&str> = round.columns.iter().map(|c| c.word.as_str()).collect();
    assert_eq!(columns, ["station", "station", "station", "stage"]);
}

#[test]
fn what_each_stirs_comes_to_what_the_bowls_take() {
    let sealed = with_a_stage();
    let r = reckoned(&sealed);
    let lists = sponges(&r);
    assert_eq!(lists.len(), 4);
    let made: Grams = lists.iter().flat_map(|(_, l)| &l.ingredients).map(|w| w.exact).sum();
    let taken: Grams =
        r.weighed.groups().flat_map(|g| &g.lists).flat_map(|l| &l.fetches).map(|f| f.grams).sum();
    // 3 % stays on their bowls; what is fetched is rounded to a gram for each of two bowls.
    let left = made.to_f64() * 0.97;
    assert!((left - taken.to_f64()).abs() < 1.0, "{left} against {taken:?}");
    // Seven loaves of 320 g: 2240 / 0.98 of dough, with 75 % of the flour beside the sponge's quarter.
    let flour = r.weighed.totals.iter().find(|t| t.item.as_str() == "strong-flour").unwrap();
    let dough: f64 = 2240.0 / 0.98;
    let per_flour = 75.0 + 20.0 + 20.0 + 10.0 + 1.8 + 1.1 + 20.0 + 25.0 * 1.81 * 0.97;
    let expected = dough / per_flour;
    let in_bowls: f64 = expected * 75.0;
    assert!(flour.exact.to_f64() > in_bowls && flour.exact.to_f64() < expected * 101.0, "{flour:?}");
}

#[test]
fn what_went_into_a_dough_yesterday_is_not_fetched_today() {
    let sealed = with_a_bowl_each();
    let r = reckoned(&sealed);
    let desk = desk(&r);
    for station in 1..=3 {
        let first = sheet(&desk, station, "first-day");
        assert_eq!(of_part(&first, "Sponge").len(), 1, "station {station}: {:?}", first.weigh);
        let second = sheet(&desk, station, "second-day");
        let lines: Vec<&str> = second.weigh.iter().flat_map(|l| &l.lines).map(|l| l.name.as_str()).collect();
        assert!(lines.contains(&"Dough") && !lines.contains(&"Sponge"), "station {station}: {lines:?}");
    }
}

#[test]
fn what_is_mixed_by_hand_says_so_and_shows_no_hook() {
    let sealed = with_a_bowl_each();
    let r = reckoned(&sealed);
    let desk = desk(&r);
    let mix = |station| {
        let steps = sheet(&desk, station, "first-day").steps;
        steps.into_iter().find(|s| s.name == "Mix").unwrap()
    };
    let hook = |station| {
        let step = mix(station);
        let butter = step.drawings.iter().find(|d| d["name"] == "add-butter").unwrap();
        (step.at, butter["n"]["by-hand"].clone())
    };
    assert_eq!(hook(1), ("mixer".to_owned(), 0.into()));
    assert_eq!(hook(3), ("by-hand".to_owned(), 1.into()));
    for language in ["en", "de"] {
        let words =
            std::fs::read_to_string(repository().join(format!("templates/words/{language}.toml"))).unwrap();
        let places = words.split("[where]").nth(1).and_then(|w| w.split("\n\n").next()).unwrap();
        assert!(places.contains("by-hand"), "{language}");
    }
}

#[test]
fn tenths_of_a_gram_are_for_the_fine_scale() {
    // So much salt that the bowl of two stations takes more than 20 g of it, and that of one station less.
    let sealed = with_a_stage().edit(FORMULA, "salt = \"1.8 %\"", "salt = \"3.6 %\"");
    let r = reckoned(&sealed);
    let desk = desk(&r);
    let sheets = (1..=3).map(|station| sheet(&desk, station, "first-day"));
    let lines: Vec<_> =
        sheets.flat_map(|s| s.weigh).filter(|l| l.how == "weigh").flat_map(|l| l.lines).collect();
    let tenths = |value: &str| value.split_once('.').is_some_and(|(_, rest)| rest != "0");
    let large =
        lines.iter().filter(|l| tenths(&l.amount.value) && l.amount.value.parse::<f64>().unwrap() > 20.0);
    assert_eq!(large.map(|l| l.name.as_str()).collect::<Vec<_>>(), ["Fine salt"]);
    for line in lines.iter().filter(|l| tenths(&l.amount.value)) {
        assert!(line.fine, "{line:?}");
    }
}

#[test]
fn a_paste_with_raw_egg_is_made_at_home_when_it_is_needed() {
    let paste = "of = { butter = \"40 %\", brown-sugar = \"52 %\", cinnamon = \"8 %\" }\nkeep = \"room\"";
    let raw = "of = { butter = \"40 %\", brown-sugar = \"44 %\", cinnamon = \"8 %\", eggs = \"8 %\" }\nkeep = \"cold\"";
    let sealed = begun("4").edit(FORMULA, paste, raw);
    let course = reckoned(&sealed).course;
    let batch = HomeBatch::of(&course, &course.formulas[0], Some(&course.lessons[0]), None).unwrap();
    let at = |id: &str| batch.steps.iter().find(|s| s.step.as_str() == id).unwrap();
    let (stir, fill, chill) = (at("stir"), at("fill"), at("chill"));
    assert!(fill.from - stir.to <= WAITS_AT_MOST, "{stir:?} {fill:?}");
    assert!(stir.from >= chill.from && fill.from - chill.from > Minutes(8 * 60), "{chill:?} {fill:?}");
    // Two hands do one thing at a time.
    let mut hands: Vec<_> = batch.steps.iter().filter(|s| !s.waits).map(|s| (s.from, s.to)).collect();
    hands.sort();
    assert!(hands.windows(2).all(|w| w[0].1 <= w[1].0), "{hands:?}");
}
