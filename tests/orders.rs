//! The order from one day to the next, who joins or leaves, and what is done after the class.

use crate::support::Sealed;
use serde_json::Value;

fn money(value: &Value) -> rust_decimal::Decimal {
    value.as_str().unwrap().parse().unwrap()
}

/// What is added and cancelled: item, supplier, packs added, packs cancelled.
fn changes(order: &Value) -> Vec<(String, u64, u64)> {
    let all = order["difference"]["changes"].as_array().unwrap().iter();
    let changes = all.map(|c| {
        let count = |key: &str| c[key].as_u64().unwrap();
        (c["item"].as_str().unwrap().to_owned(), count("add"), count("cancel"))
    });
    changes.filter(|(_, add, cancel)| add + cancel > 0).collect()
}

#[test]
fn once_placed_only_the_difference_is_told() {
    let sealed = Sealed::small().edit("course/pantry.toml", "of = \"1.5 kg\"", "of = \"250 g\"");
    let ask = |more: &[&str]| sealed.run(&[&["order", "course", "--format", "json"], more].concat());
    let first = ask(&[]).json();
    assert!(first.get("difference").is_none());
    let placed = sealed.run(&["order", "course", "--placed=2027-02-20"]);
    assert_eq!(placed.exit, Some(0), "{placed}");
    let record = sealed.read("course/orders/2027-02-20.toml");
    assert!(record.contains("placed = \"2027-02-20\""), "{record}");
    // Nothing has changed since: the same money, no change.
    let same = ask(&[]).json();
    assert_eq!(same["total"], first["total"]);
    assert_eq!(changes(&same), []);
    let said = sealed.run(&["order", "course"]);
    assert!(
        said.stdout.starts_with("Nothing changes: what was ordered on Sat 20 Feb 2027 is what is needed."),
        "{said}"
    );
    assert!(sealed.run(&["order", "course", "--placed=2027-02-21"]).stdout.contains("no record is written"));
    // Two more come: packs are added, none is cancelled, and what comes to the same is not told again.
    let more = ask(&["--headcount", "6"]).json();
    assert!(!changes(&more).is_empty());
    assert!(changes(&more).iter().all(|(_, add, cancel)| *add > 0 && *cancel == 0));
    assert!(money(&more["total"]) > money(&first["total"]));
    let placed = sealed.run(&["order", "course", "--headcount", "6", "--placed=2027-02-20"]);
    assert!(placed.stdout.contains("orders/2027-02-20-2.toml"), "{placed}");
    assert_eq!(changes(&ask(&["--headcount", "6"]).json()), []);
    // Back to four: what was added is cancelled, while it can be.
    let less = ask(&[]).json();
    assert!(changes(&less).iter().any(|(_, _, cancel)| *cancel > 0), "{less}");
    let late = ask(&["--on", "2027-12-01"]).json();
    assert!(changes(&late).iter().all(|(_, _, cancel)| *cancel == 0), "{late}");
    let kept = late["difference"]["changes"].as_array().unwrap();
    assert!(kept.iter().any(|c| c["too_late"].as_u64().unwrap() > 0));
}

#[test]
fn nothing_is_wider_than_a_screen() {
    let sealed = Sealed::demo().file(
        "list.csv",
        "Full name,Any allergies?,Telephone number\nZo\u{eb} M\u{fc}ller & Jo Park,none,0123\n",
    );
    for line in [
        ["roll", "course", "--from", "list.csv"].as_slice(),
        &["after", "course"],
        &["order", "course"],
        &["order", "course", "--why", "cost"],
        &["roll", "course"],
    ] {
        let said = sealed.run(line);
        assert_eq!(said.exit, Some(0), "{said}");
        assert!(said.stdout.lines().all(|l| l.chars().count() <= 80), "{said}");
    }
    for command in ["roll", "after", "order", "swap", "changes"] {
        let said = sealed.run(&[command, "--help"]);
        assert!(said.stdout.lines().all(|l| l.chars().count() <= 80), "{said}");
    }
}

#[test]
fn a_day_that_is_none_is_refused() {
    let sealed = Sealed::small();
    for wrong in ["--on=soon", "--on=14:20", "--placed=2027-02-30"] {
        let said = sealed.run(&["order", "course", wrong]);
        assert_eq!(said.exit, Some(2), "{said}");
    }
    assert_eq!(sealed.files("course/orders"), [""; 0]);
}

#[test]
fn stale_sheets_are_told_with_the_reason() {
    let sealed = Sealed::small();
    assert_eq!(sealed.run(&["changes", "course", "--out", "out"]).exit, Some(2));
    assert_eq!(sealed.run(&["prepare", "course", "--out", "out"]).exit, Some(0));
    let before = sealed.files("out");
    let changes =
        |sealed: &Sealed| sealed.run(&["changes", "course", "--out", "out", "--format", "json"]).json();
    assert_eq!(changes(&sealed)["stale"], serde_json::json!([]));
    let roll = sealed.read("course/roll.csv");
    let sealed = sealed.file("course/roll.csv", format!("{}\nZoë Fifth,coming,,,,\n", roll.trim_end()));
    let told = changes(&sealed);
    let stale = told["stale"].as_array().unwrap();
    assert!(stale.len() > 3, "{told}");
    assert!(stale.iter().all(|s| s["why"].as_str().unwrap().contains("roll.csv changed")), "{told}");
    assert!(stale.iter().any(|s| s["path"] == "roll.pdf"), "{told}");
    // What the roll does not touch is not stale.
    assert!(stale.iter().all(|s| s["path"] != "room-card.pdf"), "{told}");
    // Nothing was written, and printing anew clears it.
    assert_eq!(sealed.files("out"), before);
    assert_eq!(sealed.run(&["prepare", "course", "--out", "out"]).exit, Some(0));
    assert_eq!(changes(&sealed)["stale"], serde_json::json!([]));
}

/// What lies there was printed for another number than it is compared with: that is the first thing that is said.
#[test]
fn changes_say_for_how_many_the_folder_was_printed() {
    let sealed = Sealed::small();
    let told = |more: &[&str]| sealed.run(&[&["changes", "course", "--out", "out"], more].concat()).stdout;
    assert_eq!(sealed.run(&["prepare", "course", "--out", "out"]).exit, Some(0));
    let people = sealed.run(&["scale", "course", "--format", "json"]).json()["headcount"].as_u64().unwrap();
    assert!(told(&[]).starts_with("Everything in out is as it would be printed now."), "{}", told(&[]));
    let more = told(&["--headcount", "6"]);
    assert!(
        more.starts_with(&format!("out was printed for {people} people. It is compared with a class of 6.")),
        "{more}"
    );
    assert!(more.contains("benchroll prepare course --headcount 6 --out out writes them anew."), "{more}");
    assert_eq!(sealed.run(&["prepare", "course", "--out", "out", "--headcount", "5"]).exit, Some(0));
    assert!(
        told(&[]).starts_with("out was printed for 5 people (--headcount 5), and is compared with as many."),
        "{}",
        told(&[])
    );
    let other =
        sealed.run(&["changes", "course", "--out", "out", "--headcount", "6", "--format", "json"]).json();
    assert_eq!((&other["printed_for"], &other["compared_with"]), (&5.into(), &6.into()));
}

#[test]
fn an_anonymous_folder_and_one_of_some_kinds_are_compared_with_the_same_question() {
    let sealed = Sealed::small();
    for more in [&["--anonymous"][..], &["--only", "roll,station-sheet"], &["--headcount", "5"]] {
        assert_eq!(sealed.run(&[&["prepare", "course", "--out", "out"], more].concat()).exit, Some(0));
        let told = sealed.run(&["changes", "course", "--out", "out", "--format", "json"]).json();
        assert_eq!(told["stale"], serde_json::json!([]), "{more:?}");
    }
    assert_eq!(sealed.run(&["order", "course", "--out", "orders"]).exit, Some(0));
    let changes = |more: &[&str]| {
        sealed.run(&[&["changes", "course", "--out", "orders", "--format", "json"], more].concat()).json()
    };
    assert_eq!(changes(&[])["stale"], serde_json::json!([]));
    let asked = changes(&["--headcount", "6"]);
    let why = asked["stale"][0]["why"].as_str().unwrap();
    assert!(why.contains("asked for 6, printed for those on the roll, and with it the order"), "{asked}");
}

/// Left out, an unknown kind would be compared with everything.
#[test]
fn what_was_printed_in_kinds_that_are_unknown_is_refused() {
    let sealed = Sealed::small();
    assert_eq!(sealed.run(&["prepare", "course", "--out", "out", "--only", "roll"]).exit, Some(0));
    let sealed = sealed.edit("out/manifest.json", "\"only\": \"roll\"", "\"only\": \"scroll\"");
    let said = sealed.run(&["changes", "course", "--out", "out"]);
    assert!(said.exit == Some(2) && said.stderr.contains("scroll"), "{said}");
}

#[test]
fn an_order_is_not_written_among_the_courses_own_files() {
    let sealed = Sealed::small();
    let before = sealed.files("course");
    for out in ["course", "course/lessons", "course/printed/.."] {
        let said = sealed.run(&["order", "course", "--out", out]);
        assert!(said.exit == Some(2) && said.stderr.contains("--out"), "{out}: {said}");
    }
    assert_eq!(sealed.files("course"), before);
    assert_eq!(sealed.run(&["order", "course", "--out", "course/ordered"]).exit, Some(0));
}

#[test]
fn what_cannot_be_had_is_in_no_sum_and_said_beside_each() {
    let pantry = Sealed::demo().read("course/pantry.toml");
    let from = pantry.find("[ingredients.honey]").unwrap();
    let packs = from + pantry[from..].find("packs = [").unwrap();
    let end = packs + pantry[packs..].find(']').unwrap();
    let without = format!("{}packs = [{}", &pantry[..packs], &pantry[end..]);
    let sealed = Sealed::demo().file("course/pantry.toml", without);
    let order = sealed.run(&["order", "course", "--format", "json"]).json();
    assert_eq!((&order["complete"], &order["missing"]), (&false.into(), &serde_json::json!(["honey"])));
    let said = sealed.run(&["order", "course"]).stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    let (total, each) = (order["total"].as_str().unwrap(), order["per_student"].as_str().unwrap());
    for words in [
        &format!("At least {total} EUR in all, at least {each} EUR for each of 12."),
        "No sum holds what cannot be had: Honey.",
        "Only a fee of more than",
        "leaves less than",
    ] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    let why = sealed.run(&["order", "course", "--why", "cost"]).stdout;
    assert!(why.starts_with(&format!("at least {each} EUR")) && why.contains("honey is in no sum"), "{why}");
    assert_eq!(sealed.run(&["order", "course", "--out", "out"]).exit, Some(0));
    let csv = sealed.read("out/data/order.csv");
    assert!(
        csv.lines().any(|l| l.contains(",Honey,") && l.contains("not to be had,,unknown,unknown")),
        "{csv}"
    );
    // All can be had: nothing of this is said.
    let whole = Sealed::demo().run(&["order", "course"]).stdout;
    for word in ["At least", "No sum", "Only a fee", "less than"] {
        assert!(!whole.contains(word), "{whole}");
    }
}

#[test]
fn a_broken_letter_is_told_at_its_line_and_an_own_one_is_used() {
    let sealed = Sealed::small();
    let sealed = sealed.file("course/templates/order-mail.txt", "Dear {{ supplier }},\n{{ nonsense }}\n");
    let said = sealed.run(&["check", "course"]);
    assert_eq!(said.exit, Some(1));
    assert!(
        said.to_string().contains("template-error") && said.to_string().contains("order-mail.txt:2"),
        "{said}"
    );
    let sealed = sealed.file(
        "course/templates/order-mail.txt",
        "Dear {{ supplier }}, {{ teacher }} & {{ word(\"mail.close\") }}\n",
    );
    assert_eq!(sealed.run(&["order", "course", "--out", "out"]).exit, Some(0));
    let mail = sealed.files("out").into_iter().find(|f| f.ends_with(".txt")).unwrap();
    let text = sealed.read(&format!("out/{mail}"));
    assert!(text.starts_with("Dear ") && text.contains(" & Thank you, and kind regards"), "{text}");
}

#[test]
fn the_workbook_and_the_letters_are_the_same_each_time() {
    let sealed = Sealed::demo();
    for out in ["one", "two"] {
        assert_eq!(sealed.run(&["order", "course", "--out", out]).exit, Some(0));
    }
    for file in sealed.files("one") {
        let bytes = |out: &str| std::fs::read(sealed.path(&format!("{out}/{file}"))).unwrap();
        assert_eq!(bytes("one"), bytes("two"), "{file}");
    }
    insta::assert_snapshot!("letter", sealed.read("one/order-mill.txt"));
    let german = sealed.edit("course/course.toml", "language = \"en\"", "language = \"de\"");
    assert_eq!(german.run(&["order", "course", "--out", "de"]).exit, Some(0));
    insta::assert_snapshot!("letter_de", german.read("de/order-mill.txt"));
}

#[test]
fn the_cost_of_a_student_is_explained_to_the_cent() {
    let sealed = Sealed::demo();
    let order = sealed.run(&["order", "course", "--format", "json"]).json();
    let said = sealed.run(&["order", "course", "--why", "cost"]);
    insta::assert_snapshot!("why_cost", said);
    // 12 times the rounded share is the total but for half a cent each.
    let over = money(&order["per_student"]) * rust_decimal::Decimal::from(12) - money(&order["total"]);
    assert!(over.abs() <= rust_decimal::Decimal::new(6, 2));
    // The packs that are told and the fees add up to the total.
    let packs = order["lines"].as_array().unwrap().iter().flat_map(|l| l["packs"].as_array().unwrap());
    let goods: rust_decimal::Decimal =
        packs.map(|p| money(&p["price"]) * rust_decimal::Decimal::from(p["count"].as_u64().unwrap())).sum();
    let fees: rust_decimal::Decimal =
        order["deliveries"].as_array().unwrap().iter().map(|d| money(&d["fee"])).sum();
    assert_eq!(goods + fees, money(&order["total"]));
}

#[test]
fn nobody_moves_when_someone_joins_or_leaves() {
    let sealed = Sealed::demo();
    let seats = |sealed: &Sealed| -> Vec<(String, Value)> {
        let roll = sealed.run(&["roll", "course", "--format", "json"]).json();
        let people = roll["people"].as_array().unwrap().iter();
        people.map(|p| (p["name"].as_str().unwrap().to_owned(), p["station"].clone())).collect()
    };
    let before = seats(&sealed);
    let roll = sealed.read("course/roll.csv");
    let left = roll.replacen("Dewi Prys,coming", "Dewi Prys,cancelled", 1);
    assert_ne!(roll, left);
    let sealed = sealed.file("course/roll.csv", left);
    for ((name, was), (_, now)) in before.iter().zip(seats(&sealed)) {
        assert!(name == "Dewi Prys" || *was == now, "{name}");
    }
    let said = sealed.run(&["roll", "course"]);
    assert!(said.stdout.contains("11 coming, 1 waiting, 1 cancelled; 12 places."), "{said}");
    assert!(said.stdout.contains("1 place is free: Owen Tarrant is the first who waits."), "{said}");
}

#[test]
fn the_shelf_after_the_class_and_the_roll_without_health_data() {
    let sealed = Sealed::demo();
    let (pantry, roll) = (sealed.read("course/pantry.toml"), sealed.read("course/roll.csv"));
    let said = sealed.run(&["after", "course", "--stock", "--counted", "butter=300 g"]);
    assert_eq!(said.exit, Some(0), "{said}");
    assert_eq!(sealed.read("course/pantry.toml"), pantry, "the pantry itself is never touched");
    let new = sealed.read("course/pantry.new.toml");
    assert!(new.starts_with("# What is bought") && new.contains("300 g"), "{new}");
    assert!(sealed.run(&["check", "course"]).exit == Some(0));
    let sealed = sealed.file("course/pantry.toml", new);
    assert_eq!(sealed.run(&["check", "course"]).exit, Some(0));
    assert_eq!(sealed.run(&["after", "course", "--stock", "--counted", "buter=300 g"]).exit, Some(2));

    let said = sealed.run(&["after", "course"]);
    let told = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("it goes by Wednesday 7 April 2027"), "{said}");
    assert_eq!(sealed.read("course/roll.csv"), roll);
    // The class is not over: its sheets need it still.
    let early = sealed.run(&["after", "course", "--forget", "--on", "2027-03-07 13:29"]);
    assert_eq!(early.exit, Some(2), "{early}");
    assert!(early.stderr.contains("not over before Sunday 7 March 2027 13:30"), "{early}");
    assert_eq!(sealed.read("course/roll.csv"), roll);
    // By the day that the course states nothing is told; after it, that it is overdue.
    let overdue = |on: &str| {
        let said = sealed.run(&["after", "course", "--on", on]);
        let json = sealed.run(&["after", "course", "--on", on, "--format", "json"]).json();
        assert_eq!(json["overdue"] == true, said.stderr.contains("health-data-kept"), "{said}");
        json["overdue"].clone()
    };
    assert_eq!((overdue("2027-04-07"), overdue("2027-04-08")), (false.into(), true.into()));
    assert_eq!(sealed.run(&["after", "course", "--forget", "--on", "2027-03-07 13:30"]).exit, Some(0));
    assert_eq!(overdue("2027-04-08"), false);
    let now = sealed.read("course/roll.csv");
    assert_eq!(now.lines().count(), roll.lines().count());
    for word in ["walnut", "egg", "left-handed", "large-print"] {
        assert!(!now.contains(word), "{now}");
    }
    for (was, now) in roll.lines().zip(now.lines()).filter(|(was, _)| was.ends_with(",,,")) {
        assert_eq!(was, now);
    }
}

#[test]
fn a_stand_in_is_shown_before_it_is_taken() {
    let oil = "\n[ingredients.oil]\nname = \"Rapeseed oil\"\nkind = \"fat\"\ncomposition = { water = \"0 %\", fat = \"100 %\", sugars = \"0 %\", carbohydrate = \"0 %\", protein = \"0 %\", salt = \"0 %\", milk-solids = \"0 %\" }\nallergens = { contains = [\"soya\"], checked = \"2027-02-20\" }\npacks = [{ of = \"1 l\", price = \"3.00\", supplier = \"shop\" }]\ndensity = \"0.92 g/ml\"\n";
    let sealed = Sealed::demo();
    let pantry = sealed.read("course/pantry.toml").replacen(
        "packet = { stick",
        "stand-ins = { oil = \"82 %\" }\npacket = { stick",
        1,
    );
    let sealed = sealed.file("course/pantry.toml", pantry + oil);
    let course = sealed.read("course/course.toml");
    let said = sealed.run(&["swap", "course", "butter", "oil", "--format", "json"]);
    let told = said.json();
    assert_eq!(told["allergens_gained"], serde_json::json!(["soy"]), "{said}");
    assert_eq!(told["allergens_lost"], serde_json::json!(["milk"]));
    assert!(!told["hydration"].as_array().unwrap().is_empty());
    let ratio = told["now_grams"].as_f64().unwrap() / told["was_grams"].as_f64().unwrap();
    // In the filling, whose lines are 100 % together, all the others make up for what is missing.
    assert!((0.82..0.85).contains(&ratio), "{ratio}");
    assert!(sealed.run(&["swap", "course", "butter", "sugar"]).to_string().contains("no-such-stand-in"));
    // What the pantry does not have yet is written in two places, and what may stand in already is named.
    let unknown = sealed.run(&["swap", "course", "butter", "margarine"]).to_string();
    let plain = unknown.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in
        ["`butter` has `oil`; write `[ingredients.margarine]`", "stand-ins = { margarine = \"100 %\" }"]
    {
        assert!(plain.contains(words), "{unknown}");
    }
    assert_eq!(sealed.run(&["swap", "course", "butter", "oil", "--take"]).exit, Some(0));
    assert_eq!(sealed.read("course/course.toml"), course, "the course itself is never touched");
    let new = sealed.read("course/course.new.toml");
    let sealed = sealed.file("course/course.toml", new);
    let scale = sealed.run(&["scale", "course", "--format", "json"]).json();
    let items: Vec<&str> =
        scale["totals"].as_array().unwrap().iter().map(|t| t["item"].as_str().unwrap()).collect();
    assert!(items.contains(&"oil") && !items.contains(&"butter"), "{items:?}");
}

/// For one person little is needed: the order stays below the mill's least, says so everywhere, and is never filled up unasked.
#[test]
fn an_order_is_never_filled_up_to_the_least_unasked() {
    let sealed = Sealed::small().edit(
        "course/pantry.toml",
        "lead = \"2 days\"",
        "least-order = \"4.00\"\nlead = \"2 days\"",
    );
    let ask = |more: &[&str]| sealed.run(&[&["order", "course"], more].concat());
    let order = ask(&["--format", "json"]).json();
    let short: Vec<&Value> =
        order["deliveries"].as_array().unwrap().iter().filter(|d| !d["below_least"].is_null()).collect();
    let [mill] = short[..] else { panic!("{order}") };
    assert_eq!(money(&mill["goods"]) + money(&mill["below_least"]), money(&mill["least_order"]));
    let fill = mill["filling"].as_array().unwrap();
    assert!(!fill.is_empty(), "{mill}");
    // Every pack is needed: with one less of any, something would be missing.
    for line in order["lines"].as_array().unwrap() {
        let packs = line["packs"].as_array().unwrap();
        let held = |p: &Value| p["pack_grams"].as_f64().unwrap() * p["count"].as_f64().unwrap();
        let all: f64 = packs.iter().map(held).sum();
        let wanted = line["need_grams"].as_f64().unwrap() - line["on_hand_grams"].as_f64().unwrap();
        for pack in packs {
            assert!(all - pack["pack_grams"].as_f64().unwrap() < wanted, "{line}");
        }
    }
    let said = ask(&[]);
    let plain = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(plain.contains("short of the least order of 4.00"), "{said}");
    assert!(plain.contains("Not in the order, and would fill it"), "{said}");
    let checked = sealed.run(&["check", "course"]).to_string();
    assert!(checked.contains("warning[below-least-order]"), "{checked}");
    assert_eq!(ask(&["--out", "orders"]).exit, Some(0));
    let mails: String = sealed
        .files("orders")
        .iter()
        .filter(|f| f.ends_with(".txt"))
        .map(|f| sealed.read(&format!("orders/{f}")))
        .collect();
    assert!(mails.contains("short of your least order of 4.00"), "{mails}");
}
