//! Why a file of an output folder is out of date, as far as the manifest and the data files of the folder tell: which of the course's
//! files changed that this one is made from, and which numbers changed that stand on this one.

use super::super::manifest::Manifest;
use super::Now;
use serde_json::Value;
use std::collections::BTreeMap;

/// Numbers that sheets are made of: the data file that holds them, and what they are called.
const FACETS: &[(&str, &str)] = &[
    ("data/scale.json", "weights"),
    ("data/plan.json", "times"),
    ("data/equip.json", "equipment"),
    ("data/order.json", "order"),
];

/// What changed since a folder was written.
pub struct Causes {
    /// The question is another one, as a clause.
    asked: Option<String>,
    /// Files of the course: path, and `changed`, `is new` or `is gone`.
    inputs: Vec<(String, &'static str)>,
    /// The numbers then and now, in the order of [`FACETS`]; only those that differ.
    numbers: Vec<(&'static str, &'static str, Value, Value)>,
}

impl Causes {
    /// Compares what a manifest says with what would be written now; `present` gives the bytes that stand at a path.
    pub fn of(manifest: &Manifest, now: &Now, present: &dyn Fn(&str) -> Option<Vec<u8>>) -> Causes {
        let digests = |inputs: &[super::Input]| -> BTreeMap<String, String> {
            inputs.iter().map(|i| (i.path.clone(), i.sha256.clone())).collect()
        };
        let (was, is) = (digests(&manifest.inputs), digests(&now.inputs));
        let mut inputs: Vec<(String, &'static str)> = Vec::new();
        for (path, digest) in &is {
            match was.get(path) {
                None => inputs.push((path.clone(), "is new")),
                Some(was) if was != digest => inputs.push((path.clone(), "changed")),
                Some(_) => {}
            }
        }
        inputs
            .extend(was.keys().filter(|path| !is.contains_key(*path)).map(|path| (path.clone(), "is gone")));
        let read = |bytes: &[u8]| serde_json::from_slice(bytes).unwrap_or(Value::Null);
        let numbers = FACETS.iter().filter_map(|(path, name)| {
            let new = now.files.iter().find(|(p, _)| p == path).map(|(_, bytes)| bytes)?;
            let old = present(path)?;
            (*new != old).then(|| (*path, *name, read(&old), read(new)))
        });
        let asked_then = manifest.asked.get("headcount");
        let people = |n: &Option<String>| n.as_ref().map_or("those on the roll".to_owned(), |n| n.clone());
        let asked = (asked_then != now.headcount.as_ref()).then(|| {
            format!("asked for {}, printed for {}", people(&now.headcount), people(&asked_then.cloned()))
        });
        Causes { asked, inputs, numbers: numbers.collect() }
    }

    /// Why this file is out of date, as a clause to put after its state.
    pub fn because(&self, path: &str) -> String {
        let told = |(path, what): &(String, &str)| format!("{path} {what}");
        let mut files: Vec<String> =
            self.inputs.iter().filter(|(i, _)| concerns(path, i)).map(told).collect();
        if files.is_empty() {
            // Nothing that is known to matter changed, and still it is another file: then anything may be the reason.
            files = self.inputs.iter().map(told).collect();
        }
        files.splice(0..0, self.asked.clone());
        let differs = |(data, _, old, new): &&(&str, &str, Value, Value)| {
            shown(path, data, old) != shown(path, data, new)
        };
        let numbers: Vec<&str> = self.numbers.iter().filter(differs).map(|(_, name, ..)| *name).collect();
        match (files.is_empty(), numbers.is_empty()) {
            (true, true) => ": another version of benchroll, or another question".to_owned(),
            (true, false) => format!(": other {}", numbers.join(", ")),
            (false, true) => format!(": {}", files.join(", ")),
            (false, false) => format!(": {}, and with it the {}", files.join(", "), numbers.join(", ")),
        }
    }
}

/// The kind of document that stands at a path: `station-sheet`'s are `station-3-sat.pdf`; a pack holds many kinds.
fn is_pack(path: &str) -> bool {
    path.starts_with("pack-") || path.starts_with("data/")
}

/// Whether a file of the course can have anything to do with a file that is written. Only what surely cannot is left out.
fn concerns(path: &str, input: &str) -> bool {
    let is_order = path.starts_with("order-") || path.starts_with("data/order");
    if let Some(template) = input.strip_prefix("templates/") {
        let stem = template.rsplit_once('.').map_or(template, |(stem, _)| stem);
        return match stem {
            "order-mail" => path.starts_with("order-") && path.ends_with(".txt"),
            "board" => path == "board.html",
            "station-sheet" => path.starts_with("station-") || is_pack(path),
            "home-recipe" => path.starts_with("home-") || is_pack(path),
            "order-sheet" => path.starts_with("order-") || is_pack(path),
            "prep-sheet" => path.starts_with("prep-") || is_pack(path),
            "run-sheet" | "weigh-out" | "slips" | "pull-list" | "oven-and-cold" | "allergen-sheet"
            | "temperature-log" | "room-card" | "incident-note" | "roll" | "joining-note" | "labels" => {
                path.starts_with(stem) || is_pack(path)
            }
            // What all kinds share, and what is not known here.
            _ => true,
        };
    }
    if input.starts_with("orders/") {
        return is_order || is_pack(path);
    }
    if let (Some(formula), Some(home)) = (input.strip_prefix("formulas/"), path.strip_prefix("home-")) {
        // `home-walnut-crown-nut-free.pdf` is a variant of `walnut-crown.toml`.
        return formula.strip_suffix(".toml").is_none_or(|f| home.starts_with(f));
    }
    true
}

/// The part of a data file whose numbers stand on a sheet; `Null` where none do.
fn shown(path: &str, data: &str, numbers: &Value) -> Value {
    let stem = path.strip_prefix("pack-").unwrap_or(path);
    let station = stem.strip_prefix("station-").and_then(|rest| {
        let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
        digits.parse::<u64>().ok()
    });
    let starts = |words: &[&str]| words.iter().any(|w| path.starts_with(w));
    let of = |list: &str, keep: &dyn Fn(&Value) -> bool| -> Value {
        let all = numbers.get(list).and_then(Value::as_array).into_iter().flatten();
        all.filter(|v| keep(v)).cloned().collect()
    };
    let pick = |keys: &[&str]| -> Value {
        keys.iter().map(|k| numbers.get(k).cloned().unwrap_or_default()).collect()
    };
    match (data, station) {
        ("data/scale.json", Some(no)) => of("stations", &|s| s["station"] == no),
        ("data/plan.json", Some(no)) => {
            of("tasks", &|t| t["stations"].as_array().is_some_and(|s| s.iter().any(|n| *n == no)))
        }
        (_, Some(_)) => Value::Null,
        ("data/order.json", None) if starts(&["order-"]) => {
            let supplier = path["order-".len()..].rsplit_once('.').map_or("", |(stem, _)| stem);
            let packs = numbers.get("lines").and_then(Value::as_array).into_iter().flatten();
            let packs = packs.flat_map(|l| {
                let own = l["packs"].as_array().into_iter().flatten();
                own.filter(|p| p["supplier"] == supplier)
                    .map(|p| serde_json::json!([l["item"], p]))
                    .collect::<Vec<_>>()
            });
            [packs.collect(), of("deliveries", &|d| d["supplier"] == supplier)].into_iter().collect()
        }
        ("data/equip.json", None) if starts(&["pull-list"]) => pick(&["needs"]),
        ("data/equip.json", None) if starts(&["oven-and-cold"]) => pick(&["oven_loads"]),
        ("data/equip.json", None) if starts(&["weigh-out", "slips"]) => pick(&["mixer_loads"]),
        _ if starts(&["data/", "pack-"]) => {
            let own =
                ["scale", "plan", "equip", "order"].iter().find(|name| starts(&[&format!("data/{name}")]));
            let own = if path == "data/weigh-out.csv" { Some(&"scale") } else { own };
            let foreign = own.is_some_and(|name| data != format!("data/{name}.json"));
            if foreign { Value::Null } else { numbers.clone() }
        }
        ("data/scale.json", None) if starts(&["weigh-out", "slips", "prep-"]) => numbers.clone(),
        ("data/plan.json", None)
            if starts(&[
                "run-sheet",
                "prep-",
                "board",
                "oven-and-cold",
                "temperature-log",
                "slips",
                "weigh-out",
            ]) =>
        {
            numbers.clone()
        }
        _ => Value::Null,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn causes() -> Causes {
        let scale =
            |grams: u32| json!({"stations": [{"station": 1, "grams": 5}, {"station": 2, "grams": grams}]});
        let order = |count: u32| {
            json!({"lines": [{"item": "flour", "packs": [{"supplier": "mill", "count": count}]},
                             {"item": "milk", "packs": [{"supplier": "dairy", "count": 3}]}],
                   "deliveries": [{"supplier": "mill"}, {"supplier": "dairy"}]})
        };
        let plan =
            |end: &str| json!({"tasks": [{"stations": [1], "end": end}, {"stations": [2], "end": "09:00"}]});
        let input = |path: &str| (path.to_owned(), "changed");
        Causes {
            asked: None,
            inputs: vec![
                input("formulas/braid.toml"),
                input("formulas/crown.toml"),
                input("orders/2027-02-20.toml"),
                input("templates/order-mail.txt"),
            ],
            numbers: vec![
                ("data/scale.json", "weights", scale(5), scale(6)),
                ("data/plan.json", "times", plan("10:00"), plan("11:00")),
                ("data/order.json", "order", order(1), order(2)),
            ],
        }
    }

    #[test]
    fn each_sheet_has_its_own_reason() {
        let causes = causes();
        let formulas = "formulas/braid.toml changed, formulas/crown.toml changed";
        for (path, why) in [
            // The first station has other times, the second other weights.
            ("station-1-sat.pdf", format!(": {formulas}, and with it the times")),
            (
                "pack-station-2.pdf",
                format!(": {formulas}, orders/2027-02-20.toml changed, and with it the weights"),
            ),
            ("home-crown-nut-free.pdf", ": formulas/crown.toml changed".to_owned()),
            (
                "order-mill.pdf",
                format!(": {formulas}, orders/2027-02-20.toml changed, and with it the order"),
            ),
            (
                "order-dairy.txt",
                format!(": {formulas}, orders/2027-02-20.toml changed, templates/order-mail.txt changed"),
            ),
            ("run-sheet-sat.pdf", format!(": {formulas}, and with it the times")),
            ("room-card.pdf", format!(": {formulas}")),
        ] {
            assert_eq!(causes.because(path), why, "{path}");
        }
    }

    #[test]
    fn what_is_not_known_to_matter_is_told_where_nothing_else_changed() {
        let causes =
            Causes { asked: None, inputs: vec![("orders/a.toml".to_owned(), "is new")], numbers: Vec::new() };
        assert_eq!(causes.because("room-card.pdf"), ": orders/a.toml is new");
        let causes = Causes { asked: None, inputs: Vec::new(), numbers: Vec::new() };
        assert!(causes.because("room-card.pdf").contains("another version"));
    }
}
