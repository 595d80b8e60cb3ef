//! A small course in a few words, for unit tests: a filled crown in round tins and plain buns on trays.
#![allow(clippy::unwrap_used, clippy::type_complexity, missing_docs)]
use crate::course::*;
use crate::finding::Located;
pub use crate::reckon::formula::build::{formula, g, item, line, part, pc};
use crate::units::*;
use jiff::civil::date;
use jiff::tz::TimeZone;

pub fn at<T>(value: T) -> At<T> {
    Located::assumed(value)
}

pub fn cm(n: i64) -> Centimetres {
    Centimetres::whole(n)
}

pub fn area(w: i64, d: i64) -> Area {
    Area { width: cm(w), depth: cm(d) }
}

pub fn box3(w: i64, d: i64, h: i64) -> Box3 {
    Box3 { width: cm(w), depth: cm(d), height: cm(h) }
}

pub fn person(name: &str) -> Person {
    Person {
        told: None,
        name: at(name.to_owned()),
        status: at(Status::Coming),
        with: None,
        station: None,
        avoids: Vec::new(),
        needs: Vec::new(),
        minor: false,
    }
}

pub fn pair(a: &str, b: &str) -> [Person; 2] {
    let mut first = person(a);
    first.with = Some(at(b.to_owned()));
    [first, person(b)]
}

pub fn avoiding(name: &str, what: &str, why: Avoidance) -> Person {
    let mut p = person(name);
    p.avoids.push(Avoids { what: at(what.into()), why, severity: Severity::Severe });
    p
}

pub fn roll(n: usize) -> Vec<Person> {
    (1..=n).map(|i| person(&format!("Person {i}"))).collect()
}

fn stated(contains: &[&str], may: &[&str]) -> Allergens {
    let words = |w: &[&str]| w.iter().map(|x| at((*x).into())).collect();
    Allergens::Stated {
        contains: words(contains),
        may_contain: words(may),
        checked: Some(at("2027-01-01".into())),
    }
}

/// Ingredients with round compositions: butter 80 % fat, sugar all sugar, egg 10 % fat, milk 4 % fat and 5 % sugar.
pub fn pantry() -> Pantry {
    let mut items = Vec::new();
    let rows: [(&str, ItemKind, &str, &str, &[&str], &[&str]); 9] = [
        ("strong-flour", ItemKind::Flour, "1", "0", &["wheat"], &[]),
        ("milk", ItemKind::Milk, "4", "5", &["milk"], &[]),
        ("eggs", ItemKind::Egg, "10", "0", &["egg"], &[]),
        ("sugar", ItemKind::Sugar, "0", "100", &[], &[]),
        ("salt", ItemKind::Salt, "0", "0", &[], &[]),
        ("instant-yeast", ItemKind::InstantYeast, "0", "0", &[], &[]),
        ("butter", ItemKind::Fat, "80", "0", &["milk"], &[]),
        ("hazelnuts", ItemKind::Other, "60", "4", &["hazelnut"], &["almond"]),
        ("seeds", ItemKind::Other, "50", "2", &[], &[]),
    ];
    for (id, kind, fat, sugars, contains, may) in rows {
        let mut i = item(id, kind);
        i.composition.fat = Some(pc(fat));
        i.composition.sugars = Some(pc(sugars));
        i.composition.water = Some(pc("0"));
        i.allergens = stated(contains, may);
        items.push(i);
    }
    items.iter_mut().find(|i| i.id.value.as_str() == "eggs").unwrap().each = Some(at(g("50")));
    Pantry { items, suppliers: Vec::new(), read_for: "eu14".to_owned() }
}

fn replaced(part: &str, name: &str, amount: &str) -> (At<PartId>, Line) {
    (at(part.into()), line(name, amount))
}

/// A dough with a scald in it, rolled round a hazelnut filling; a nut-free and an egg-free variant. Rich: over 20 % fat.
pub fn crown() -> Formula {
    let mut scald = part("scald", Basis::Flour, "6", &[("strong-flour", "100"), ("milk", "200")]);
    scald.least = Some(at(g("200")));
    let mut f = formula(vec![
        scald,
        part(
            "dough",
            Basis::Flour,
            "3",
            &[
                ("@scald", "f8"),
                ("strong-flour", "92"),
                ("milk", "24"),
                ("eggs", "20"),
                ("sugar", "12"),
                ("salt", "1.8"),
                ("instant-yeast", "1.3"),
                ("butter", "24"),
            ],
        ),
        part("filling", Basis::Whole, "8", &[("hazelnuts", "50"), ("milk", "30"), ("sugar", "20")]),
        part("wash", Basis::Whole, "0", &[("eggs", "80"), ("milk", "20")]),
    ]);
    f.id = at("crown".into());
    f.piece.amounts = [("dough", "485"), ("filling", "150"), ("wash", "8")]
        .iter()
        .map(|(p, grams)| (at((*p).into()), at(PieceShare::Grams(g(grams)))))
        .collect();
    f.piece.tin = Some(at("round-20".into()));
    f.variants = vec![
        Variant {
            id: at("nut-free".into()),
            free_from: vec![at("hazelnut".into())],
            lines: vec![replaced("filling", "hazelnuts", "0"), replaced("filling", "seeds", "50")],
        },
        Variant {
            id: at("egg-free".into()),
            free_from: vec![at("egg".into())],
            lines: vec![
                replaced("dough", "eggs", "0"),
                replaced("dough", "milk", "42"),
                replaced("wash", "eggs", "0"),
                replaced("wash", "milk", "100"),
            ],
        },
    ];
    f
}

/// Plain buns, three to a student, on trays of twelve.
pub fn buns() -> Formula {
    let mut f = formula(vec![part(
        "dough",
        Basis::Flour,
        "3",
        &[
            ("strong-flour", "100"),
            ("milk", "56"),
            ("sugar", "12"),
            ("salt", "2"),
            ("instant-yeast", "1"),
            ("butter", "12"),
        ],
    )]);
    f.id = at("buns".into());
    f.piece.amounts = vec![(at("dough".into()), at(PieceShare::Grams(g("58.2"))))];
    f.piece.tray = Some(at("tray".into()));
    f.piece.per_tray = Some(at(12));
    f
}

fn takes(usual: i64) -> Takes {
    Takes { least: Minutes(usual), usual: Minutes(usual), most: Minutes(usual) }
}

pub fn step(id: &str, on: &[&str], per: Per, place: Where) -> Step {
    let chain = |c: &&str| at(if *c == "piece" { Chain::Piece } else { Chain::Part((*c).into()) });
    let lasts = Lasts::Takes { takes: at(takes(10)), each: None };
    Step::plain(at(id.into()), on.iter().map(chain).collect(), at(per), at(place), at(Hands::Students), lasts)
}

pub fn using(mut step: Step, what: &str, count: Option<u32>, until: Option<&str>) -> Step {
    step.uses.push(Use { what: at(what.into()), count, until: until.map(|u| at(u.into())) });
    step
}

fn mix() -> Step {
    let mut s = step("mix", &["dough"], Per::Batch, Where::Mixer);
    s.share = Some(at(3));
    s.by_hand = Some(at(takes(25)));
    s
}

fn bake(heat: i64) -> Step {
    let mut s = step("bake", &["piece"], Per::Load, Where::Oven);
    s.heat = Some(at(Celsius::whole(heat)));
    s
}

pub fn crown_lesson() -> Lesson {
    let mut show = step("show", &[], Per::Class, Where::Bench);
    show.demo = true;
    show.stages = vec![at("chill".into())];
    let mut mix = mix();
    mix.on.push(at(Chain::Part("scald".into())));
    let mut roll = using(step("roll", &["dough"], Per::Station, Where::Bench), "pin", Some(1), None);
    roll.after = vec![at("show".into())];
    Lesson {
        id: at("crown".into()),
        name: None,
        formula: at("crown".into()),
        makes: Makes { pieces: at(1), for_each: at(ForEach::Student), spare: at(0) },
        made_ahead: Vec::new(),
        heats_for_fan: false,
        bake_at_home: None,
        steps: vec![
            step("scald", &["scald"], Per::Class, Where::Hob),
            mix,
            using(step("rise", &["dough"], Per::Batch, Where::Room), "tub", None, Some("chill")),
            step("chill", &["dough"], Per::Batch, Where::Cold),
            step("cook", &["filling"], Per::Class, Where::Hob),
            show,
            roll,
            step("fill", &["dough", "filling"], Per::Station, Where::Bench),
            using(step("pan", &["piece"], Per::Station, Where::Bench), "tin", None, Some("turn-out")),
            step("proof", &["piece"], Per::Station, Where::Warm),
            step("brush", &["piece", "wash"], Per::Station, Where::Bench),
            bake(170),
            step("turn-out", &["piece"], Per::Load, Where::Bench),
        ],
    }
}

pub fn buns_lesson() -> Lesson {
    Lesson {
        id: at("buns".into()),
        name: None,
        formula: at("buns".into()),
        makes: Makes { pieces: at(3), for_each: at(ForEach::Student), spare: at(0) },
        made_ahead: Vec::new(),
        heats_for_fan: false,
        bake_at_home: None,
        steps: vec![
            mix(),
            using(step("shape", &["dough"], Per::Station, Where::Bench), "tray", None, Some("bake")),
            bake(190),
        ],
    }
}

/// A mixer with limits for rich and enriched dough, in whole grams.
pub fn mixer(id: &str, count: u32, litres: i64, rich: i64, enriched: i64, least: i64) -> Mixer {
    Mixer {
        id: at(id.into()),
        name: None,
        count: at(count),
        bowl: at(Millilitres::whole(litres * 1000)),
        limit: vec![
            (DoughClass::Rich, at(Grams::whole(rich))),
            (DoughClass::Enriched, at(Grams::whole(enriched))),
        ],
        least: Some(at(Grams::whole(least))),
        between: at(Minutes(10)),
        friction: None,
        watts: None,
        circuit: None,
        loan: None,
    }
}

pub fn oven(id: &str, count: u32) -> Oven {
    Oven {
        id: at(id.into()),
        name: None,
        count: at(count),
        racks: at(2),
        rack: at(area(60, 40)),
        clear: at(cm(14)),
        fan: true,
        heats: at(Kelvins::whole(9)),
        cools: at(Kelvins::whole(4)),
        watts: None,
        circuit: None,
        loan: None,
    }
}

pub fn shelves(id: &str, count: u32, shelves: u32, shelf: Area, clear: i64) -> Shelves {
    Shelves {
        id: at(id.into()),
        count: at(count),
        shelves: at(shelves),
        shelf: at(shelf),
        clear: at(cm(clear)),
        temperature: None,
        watts: None,
        circuit: None,
    }
}

pub fn kitchen() -> Kitchen {
    Kitchen {
        room: at(Celsius::whole(21)),
        tap_water: None,
        altitude: None,
        stations: Stations {
            count: at(6),
            seats: at(2),
            each_has: vec![at("scale".into()), at("pin".into())],
        },
        circuits: Vec::new(),
        mixers: vec![mixer("small", 4, 5, 1100, 1500, 400), mixer("large", 1, 20, 3200, 4000, 1300)],
        ovens: vec![oven("oven", 2)],
        hobs: Vec::new(),
        warm: vec![shelves("proofer", 1, 4, area(60, 42), 14)],
        cold: vec![shelves("fridge", 1, 5, area(65, 53), 22)],
        freezers: Vec::new(),
        racks: vec![shelves("rack", 2, 3, area(60, 40), 12)],
        tins: vec![Tin {
            id: at("round-20".into()),
            name: None,
            count: at(10),
            inside: at(Inside::Round { across: cm(20), deep: cm(6) }),
            holds: None,
            outside: at(box3(23, 21, 7)),
            between: at(Minutes(15)),
            loan: None,
        }],
        trays: vec![Tray {
            id: at("tray".into()),
            name: None,
            count: at(8),
            size: at(area(60, 40)),
            between: at(Minutes(5)),
            loan: None,
        }],
        tubs: vec![Tub {
            inside: None,
            id: at("tub".into()),
            count: at(12),
            holds: at(g("1600")),
            outside: at(box3(26, 18, 12)),
        }],
        sinks: at(2),
        tools: Vec::new(),
    }
}

pub fn settings() -> Settings {
    let text = |t: &str| at(t.to_owned());
    Settings {
        format: at(1),
        name: text("Test"),
        host: text("Test"),
        teacher: text("Test"),
        helpers: Vec::new(),
        address: None,
        contact: None,
        time_zone: text("UTC"),
        currency: text("EUR"),
        language: text("en"),
        paper: at(Paper::A4),
        units: at(UnitSystem::Metric),
        measures: at(Measures::Us),
        answer_by: None,
        conventions: Default::default(),
        large_print: at(false),
        black_and_white: at(false),
        allergen_list: text("eu14"),
        rule_set: None,
        accepts: Vec::new(),
        grid: at(Minutes(5)),
        scale_step: at(g("1")),
        fine_step: at(g("0.1")),
        fine_below: at(g("20")),
        least_headcount: None,
        fee: None,
        margin: None,
        tax: None,
        forget_by: None,
        instead: Vec::new(),
        emergency: None,
        first_aid: None,
        bring: Vec::new(),
        labels: None,
        also_home: Vec::new(),
        label_percentages: at(false),
        own_limit: None,
        under_age: None,
    }
}

/// Saturday 6 March 2027, 13:00 to 17:00 UTC.
pub fn session() -> Session {
    let time = |h| TimeZone::UTC.to_zoned_datetime(date(2027, 3, 6).at(h, 0, 0, 0)).unwrap();
    Session { id: at("sat".into()), name: None, from: at(time(13)), to: at(time(17)), staff: Vec::new() }
}

/// Twelve people at six stations of two, crowns and buns.
pub fn course() -> Course {
    Course {
        settings: settings(),
        sessions: vec![session()],
        presence: Vec::new(),
        own_steps: Vec::new(),
        lessons: vec![crown_lesson(), buns_lesson()],
        formulas: vec![crown(), buns()],
        kitchen: kitchen(),
        pantry: pantry(),
        roll: roll(12),
        orders: Vec::new(),
    }
}
