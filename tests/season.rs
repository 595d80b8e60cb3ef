//! Several classes: one order, clashes, months.

use crate::support::Sealed;
use rust_decimal::Decimal;
use serde_json::Value;

/// Two afternoons on the same day in the same kitchen, and one a month later.
fn three() -> Sealed {
    let sealed = Sealed::new();
    for (name, date, teacher) in
        [("one", "2027-03-06", "A"), ("two", "2027-03-06", "B"), ("later", "2027-04-10", "A")]
    {
        let line =
            ["begin", "", "--kind", "afternoon", "--place", "uk", "--people", "4", "--host", "The kitchen"];
        let folder = format!("classes/{name}");
        let mut line: Vec<&str> = line.to_vec();
        line[1] = &folder;
        line.extend(["--date", date, "--teacher", teacher]);
        let said = sealed.run(&line);
        assert_eq!(said.exit, Some(0), "{said}");
    }
    sealed.file("classes/notes.txt", "no course")
}

fn grams(value: &Value) -> Decimal {
    value.to_string().parse().unwrap()
}

#[test]
fn one_order_over_all_classes_and_what_clashes() {
    let sealed = three();
    let said = sealed.run(&["season", "classes", "--format", "json"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let season = said.json();
    assert_eq!(season["courses"], serde_json::json!(["one", "two", "later"]));
    // Every gram that a class weighs is in the order, once.
    let order = &season["order"];
    for item in ["strong-flour", "milk", "butter", "sugar", "eggs"] {
        let mut wanted = Decimal::ZERO;
        for class in ["one", "two", "later"] {
            let scale = sealed.run(&["scale", &format!("classes/{class}"), "--format", "json"]).json();
            let total =
                scale["totals"].as_array().unwrap().iter().find(|t| t["item"] == item).unwrap().clone();
            wanted += grams(&total["grams"]);
        }
        let fresh = order["fresh"].as_array().unwrap().iter().map(|f| &f["order"]);
        let orders = std::iter::once(&order["together"]).chain(fresh);
        let lines = orders.flat_map(|o| o["lines"].as_array().unwrap());
        let ordered: Decimal = lines.filter(|l| l["item"] == item).map(|l| grams(&l["total_grams"])).sum();
        assert_eq!(ordered, wanted, "{item}");
    }
    // Milk keeps six days: once for the two classes of one day, once for that of April. How long flour keeps is not written: it is not
    // bought in March for April.
    let fresh: Vec<&Value> = order["fresh"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|f| f["order"]["lines"].as_array().unwrap())
        .collect();
    assert_eq!(fresh.iter().filter(|l| l["item"] == "milk").count(), 2);
    assert_eq!(fresh.iter().filter(|l| l["item"] == "strong-flour").count(), 2);
    assert!(order["unknown_keeps"].as_array().unwrap().contains(&"strong-flour".into()), "{order}");
    // One oven, two classes that bake at the same time; four tins, eight loaves; A teaches one class at a time.
    let clashes = season["clashes"].as_array().unwrap();
    let clash = |what: &str| clashes.iter().find(|c| c["resource"] == what);
    for what in ["loaf-tin", "station", "oven"] {
        let clash = clash(what).unwrap_or_else(|| panic!("{what}: {season}"));
        assert_eq!(clash["courses"], serde_json::json!(["one", "two"]));
        assert!(clash["needed"].as_u64() > clash["on_hand"].as_u64(), "{clash}");
    }
    assert!(clash("A").is_none() && clash("B").is_none(), "{season}");
    assert_eq!(season["months"].as_array().unwrap().len(), 2);
    assert_eq!(season["months"][0]["students"], 8);
}

#[test]
fn what_a_person_reads_of_a_season() {
    let sealed = three();
    let said = sealed.run(&["season", "classes"]);
    assert!(said.to_string().lines().all(|line| line.chars().count() <= 80), "{said}");
    insta::assert_snapshot!(said);
    let april = sealed.run(&["season", "classes", "--from", "2027-04-01"]);
    assert!(april.stdout.contains("Nothing is needed by two classes"), "{april}");
    assert!(!april.stdout.contains("March"), "{april}");
    let none = sealed.run(&["season", "classes", "--from", "2030-01-01"]);
    assert_eq!((none.exit, none.stdout.as_str()), (Some(0), "No class begins in that period.\n"));
}

#[test]
fn the_same_teacher_is_not_in_two_kitchens() {
    let sealed = three().edit("classes/two/course.toml", "teacher = \"B\"", "teacher = \"A\"").edit(
        "classes/two/course.toml",
        "host = \"The kitchen\"",
        "host = \"Another kitchen\"",
    );
    let season = sealed.run(&["season", "classes", "--format", "json"]).json();
    let clashes: Vec<&str> =
        season["clashes"].as_array().unwrap().iter().map(|c| c["resource"].as_str().unwrap()).collect();
    assert_eq!(clashes, ["A"]);
}

/// One id, two shops: each class buys from its own, and the teacher is asked.
#[test]
fn two_shops_of_one_id_are_not_one() {
    let sealed = three();
    let shop = "shop";
    let name = "name = \"The shop on the corner\"";
    let sealed = sealed.edit("classes/two/pantry.toml", name, "name = \"The other shop\"");
    let said = sealed.run(&["season", "classes"]);
    assert!(said.stderr.contains("supplier-differs"), "{said}");
    let season = sealed.run(&["season", "classes", "--format", "json"]).json();
    assert_eq!(season["order"]["questions"].as_array().unwrap().len(), 1, "{season}");
    let suppliers: std::collections::BTreeSet<(String, String)> = season["order"]["fresh"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|f| {
            let lines = f["order"]["lines"].as_array().unwrap().iter();
            let packs = lines.flat_map(|l| l["packs"].as_array().unwrap());
            packs
                .map(|p| (f["courses"].to_string(), p["supplier"].as_str().unwrap().to_owned()))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(suppliers.contains(&("[\"two\"]".to_owned(), format!("{shop}-two"))), "{suppliers:?}");
    assert!(
        suppliers.iter().all(|(for_whom, s)| (for_whom == "[\"two\"]") == (*s == format!("{shop}-two"))),
        "{suppliers:?}"
    );
}

/// One kitchen by its host, seven stations in one file and three in the other: it is said, and each class's own number is shown.
#[test]
fn one_kitchen_that_two_files_describe_differently_is_told() {
    let sealed = three();
    let told = "kitchen files of one, two, later differ";
    let flat = |said: &crate::support::Said| said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!flat(&sealed.run(&["season", "classes"])).contains("kitchen files"));
    let text = sealed.read("classes/two/kitchen.toml");
    let count: u32 = text
        .lines()
        .skip_while(|l| *l != "[stations]")
        .find_map(|l| l.strip_prefix("count = "))
        .and_then(|n| n.split_whitespace().next()?.parse().ok())
        .unwrap();
    let was = format!("[stations]\ncount = {count}");
    let more = count + 1;
    let sealed = sealed.edit("classes/two/kitchen.toml", &was, &format!("[stations]\ncount = {more}"));
    let said = sealed.run(&["season", "classes"]);
    assert!(flat(&said).contains(told), "{said}");
    assert!(flat(&said).contains(&format!("`station` {count}, {more}, {count}")), "{said}");
    assert!(flat(&said).contains(&format!("{count} or {more}")), "{said}");
    assert!(said.to_string().lines().all(|line| line.chars().count() <= 80), "{said}");
    let season = sealed.run(&["season", "classes", "--format", "json"]).json();
    let unlike = &season["kitchens_differ"][0];
    assert_eq!(unlike["things"][0]["on_hand"], serde_json::json!([count, more, count]), "{season}");
    let clash = season["clashes"].as_array().unwrap().iter().find(|c| c["resource"] == "station").unwrap();
    assert_eq!(clash["on_hand"], count, "{season}");
}

#[test]
fn a_class_with_errors_is_left_out_and_said() {
    let sealed = three().edit("classes/two/kitchen.toml", "sinks = 1", "sinks = \"one\"");
    let said = sealed.run(&["season", "classes"]);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(said.stderr.contains("two has 1 error"), "{said}");
    assert!(said.stdout.contains("later"), "{said}");
    assert_eq!(sealed.run(&["season", "nowhere"]).exit, Some(1));
    let money = three().edit("classes/two/course.toml", "currency = \"GBP\"", "currency = \"EUR\"");
    // Two currencies: what clashes is told of all classes, and each currency has an order and sums of its own.
    let said = money.run(&["season", "classes"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let flat = |said: &crate::support::Said| said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["By month, in EUR", "By month, in GBP", "For two, in EUR", "EUR in all.", "GBP in all."] {
        assert!(flat(&said).contains(words), "{words}: {said}");
    }
    let one = three().run(&["season", "classes", "--format", "json"]).json();
    let two = money.run(&["season", "classes", "--format", "json"]).json();
    assert!(!two["clashes"].as_array().unwrap().is_empty());
    assert_eq!(two["clashes"], one["clashes"]);
    assert!(two["order"].is_null() && one.get("by_currency").is_none());
    let kinds: Vec<(&str, usize)> = two["by_currency"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| (c["currency"].as_str().unwrap(), c["courses"].as_array().unwrap().len()))
        .collect();
    assert_eq!(kinds, [("EUR", 1), ("GBP", 2)]);
}

#[test]
fn all_classes_are_prepared_each_into_its_folder() {
    let sealed = three();
    let said = sealed.run(&["season", "classes", "--from", "2027-04-01", "--out", "printed"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let alone = sealed.run(&["prepare", "classes/later", "--out", "alone"]);
    assert_eq!(alone.exit, Some(0), "{alone}");
    assert_eq!(sealed.files("printed/later"), sealed.files("alone"));
    for file in sealed.files("alone") {
        let bytes = |folder: &str| std::fs::read(sealed.path(folder).join(&file)).unwrap();
        assert!(bytes("printed/later") == bytes("alone"), "{file}");
    }
}

/// The doughs of two weekends stand in one fridge overnight, and proof in one proofer.
#[test]
fn shelves_are_shared() {
    let mut sealed = Sealed::new();
    for (name, teacher) in [("one", "A"), ("two", "B")] {
        let folder = format!("classes/{name}");
        let line = [
            "begin",
            &folder,
            "--kind",
            "weekend",
            "--place",
            "uk",
            "--people",
            "6",
            "--host",
            "The kitchen",
        ];
        let line = [&line[..], &["--date", "2027-03-06", "--teacher", teacher]].concat();
        let said = sealed.run(&line);
        assert_eq!(said.exit, Some(0), "{said}");
    }
    let clash = |sealed: &Sealed, what: &str| {
        let season = sealed.run(&["season", "classes", "--format", "json"]).json();
        season["clashes"].as_array().unwrap().iter().find(|c| c["resource"] == what).cloned()
    };
    assert_eq!((clash(&sealed, "fridge"), clash(&sealed, "proofer")), (None, None), "there is room for both");
    for name in ["one", "two"] {
        for what in ["fridge", "proofer"] {
            let was = format!("id = \"{what}\"\nshelves = 6");
            let file = format!("classes/{name}/kitchen.toml");
            sealed = sealed.edit(&file, &was, &was.replace('6', "1"));
        }
    }
    // Each takes half a shelf of the fridge: one is enough. Of the proofer's each takes most of one.
    assert_eq!(clash(&sealed, "fridge"), None);
    let proofer = clash(&sealed, "proofer").expect("one shelf is not enough for two");
    assert_eq!((&proofer["needed"], &proofer["on_hand"]), (&2.into(), &1.into()), "{proofer}");
    assert_eq!(proofer["courses"], serde_json::json!(["one", "two"]));
}

/// Of three shops with one id two are one: their classes buy together, and an id that was given to a shop is no other's.
#[test]
fn classes_of_one_shop_buy_together_under_an_id_of_its_own() {
    let other = |sealed: Sealed, class: &str| {
        sealed.edit(
            &format!("classes/{class}/pantry.toml"),
            "name = \"The shop on the corner\"",
            "name = \"The other shop\"",
        )
    };
    let mut sealed = other(other(three(), "two"), "later");
    // The third class is a week after the second, and has a shop that was written as the second's is called by us.
    for (old, new) in [("2027-04-10", "2027-03-08"), ("2027-04-09", "2027-03-07")] {
        let text = sealed.read("classes/later/course.toml").replace(old, new);
        sealed = sealed.file("classes/later/course.toml", text);
    }
    let pantry = sealed.read("classes/later/pantry.toml");
    let third = "\n[suppliers.shop-two]\nname = \"The third shop\"\nlead = \"0 days\"\n";
    let sealed = sealed.file("classes/later/pantry.toml", format!("{pantry}{third}"));
    let said = sealed.run(&["season", "classes", "--format", "json"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let season = said.json();
    let fresh = season["order"]["fresh"].as_array().unwrap();
    let flour = fresh
        .iter()
        .filter(|f| f["order"]["lines"].as_array().unwrap().iter().any(|l| l["item"] == "strong-flour"));
    let flour: Vec<&Value> = flour.map(|f| &f["courses"]).collect();
    assert_eq!(flour, [&serde_json::json!(["one"]), &serde_json::json!(["two", "later"])], "{season:#}");
    assert_eq!(season["order"]["questions"].as_array().unwrap().len(), 1);
}

#[test]
fn a_season_is_not_written_among_the_courses_own_files() {
    let sealed = three();
    let before = sealed.files("classes");
    for out in ["classes", "classes/one/lessons", "classes/two/.."] {
        let said = sealed.run(&["season", "classes", "--out", out]);
        assert!(said.exit == Some(2) && said.stderr.contains("--out"), "{out}: {said}");
    }
    assert_eq!(sealed.files("classes"), before);
}
