//! `templates/data.md` says what each template receives. It is made from the views' own comments, so that it cannot lag
//! behind them: with `WRITE_DATA=1` this test writes it anew.

use benchroll::typeset::DATA_VERSION;
use std::fmt::Write as _;
use std::path::Path;

/// A struct of a view: its comment, its name and its fields, each with comment, name and type.
#[derive(Default)]
struct Shape {
    about: Vec<String>,
    name: String,
    fields: Vec<(String, String, String)>,
}

fn shapes(source: &str) -> Vec<Shape> {
    let (mut all, mut comment) = (Vec::<Shape>::new(), Vec::<String>::new());
    let mut inside = false;
    for line in source.lines() {
        let line = line.trim();
        if let Some(text) = line.strip_prefix("///") {
            comment.push(text.trim().to_owned());
        } else if let Some(name) = line.strip_prefix("pub struct ").and_then(|l| l.strip_suffix(" {")) {
            all.push(Shape {
                about: std::mem::take(&mut comment),
                name: name.to_owned(),
                fields: Vec::new(),
            });
            inside = true;
        } else if line == "}" {
            inside = false;
        } else if let (true, Some((name, of))) =
            (inside, line.strip_prefix("pub ").and_then(|l| l.split_once(": ")))
        {
            let about = std::mem::take(&mut comment).join(" ");
            if let Some(shape) = all.last_mut() {
                shape.fields.push((name.to_owned(), about, of.trim_end_matches(',').to_owned()));
            }
        } else if !line.starts_with("#[") {
            comment.clear();
        }
    }
    all
}

/// A type as one who writes a template thinks of it.
fn sort(of: &str) -> String {
    let inner = |prefix: &str| of.strip_prefix(prefix).and_then(|t| t.strip_suffix('>'));
    if let Some(of) = inner("Vec<") {
        return format!("list of {}", sort(of));
    }
    if let Some(of) = inner("Option<") {
        return format!("{} or none", sort(of));
    }
    match of {
        "String" | "&'static str" => "text".to_owned(),
        "u32" | "i64" | "i16" | "i8" | "usize" => "whole number".to_owned(),
        "f64" => "number".to_owned(),
        "bool" => "true or false".to_owned(),
        "Value" | "serde_json::Value" => "data".to_owned(),
        // A pair.
        of if of.starts_with('(') => {
            let parts: Vec<String> = of.trim_matches(['(', ')']).split(", ").map(sort).collect();
            format!("[{}]", parts.join(", "))
        }
        of => of.rsplit("::").next().unwrap_or(of).to_owned(),
    }
}

fn table(into: &mut String, shape: &Shape) {
    into.push_str("| key | sort | what it holds |\n| --- | --- | --- |\n");
    for (name, about, of) in &shape.fields {
        let about = about.replace('|', "\\|");
        let _ = writeln!(into, "| `{name}` | {} | {about} |", sort(of));
    }
    into.push('\n');
}

fn page(root: &Path) -> String {
    let views = root.join("src/typeset/views");
    let read = |name: &str| std::fs::read_to_string(views.join(name)).unwrap();
    let mut names: Vec<String> = std::fs::read_dir(&views)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| !["mod.rs", "common.rs", "drawing.rs", "gallery.rs"].contains(&n.as_str()))
        .filter(|n| n.ends_with(".rs"))
        .collect();
    names.sort();
    let mut text = format!(
        "# What templates receive\n\n\
         A template reads `/data.json`; the kit does so and hands on `data`, `title` and `look`. The file has four keys:\n\n\
         | key | what it holds |\n| --- | --- |\n\
         | `version` | {DATA_VERSION}; it grows when a key changes its meaning or goes. New keys may come at any time. |\n\
         | `title` | The document's title. |\n\
         | `page` | `paper` (`a4` or `letter`), `large_print`, `black_and_white`, `language`, and `words`: the words files to look into, first to last. |\n\
         | `data` | What is described below, by the document's `kind`. |\n\n\
         Photographs are at `/photographs/NAME`. Nothing else can be read: no other file, no network. Text is data: print it with `text` or the kit's `name`, and a `#` stays a `#`.\n\n"
    );
    let mut shared = String::new();
    for name in names {
        for shape in shapes(&read(&name)) {
            let about = shape.about.join(" ");
            let kind = about.strip_prefix("What `templates/").and_then(|a| a.split_once(".typ` receives"));
            match kind {
                Some((kind, _)) => {
                    let _ = writeln!(text, "## `{kind}`\n");
                    table(&mut text, &shape);
                }
                None => {
                    let _ = writeln!(shared, "## {}\n\n{about}\n", shape.name);
                    table(&mut shared, &shape);
                }
            }
        }
    }
    for shape in shapes(&read("common.rs")) {
        let _ = writeln!(shared, "## {}\n\n{}\n", shape.name, shape.about.join(" "));
        table(&mut shared, &shape);
    }
    text.push_str("# What they are made of\n\n");
    let drawing = read("drawing.rs");
    let comment: Vec<&str> =
        drawing.lines().map_while(|l| l.strip_prefix("//!")).skip(2).map(str::trim).collect();
    let _ = writeln!(
        text,
        "## A drawing\n\nWhere `drawings` is a list of data, each is one drawing; print it with `drawing(d)` of `drawings/all.typ`.\n\n{}\n",
        comment.join("\n")
    );
    text.push_str(&shared);
    text.trim_end().to_owned() + "\n"
}

#[test]
fn the_data_of_templates_is_described_as_it_is() {
    let root = crate::support::repository();
    let path = root.join("templates/data.md");
    let wanted = page(root);
    if std::env::var_os("WRITE_DATA").is_some() {
        std::fs::write(&path, &wanted).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == wanted, "templates/data.md lags behind the views: run this test with WRITE_DATA=1");
}

/// Every key of every sample stands on the page, under its document or the thing that has it.
#[test]
fn every_key_that_a_sample_has_is_described() {
    let page = page(crate::support::repository());
    fn keys(value: &serde_json::Value, page: &str, missing: &mut Vec<String>) {
        match value {
            serde_json::Value::Object(map) => {
                // A drawing has keys of its own, by its name.
                if map.contains_key("bands") {
                    return;
                }
                // What fills a sentence has the names that stand in its braces.
                let fills = |key: &str, below: &serde_json::Value| key == "values" && below.is_object();
                for (key, below) in map {
                    if !page.contains(&format!("| `{key}` |")) {
                        missing.push(key.clone());
                    }
                    if !fills(key, below) {
                        keys(below, page, missing);
                    }
                }
            }
            serde_json::Value::Array(items) => items.iter().for_each(|i| keys(i, page, missing)),
            _ => {}
        }
    }
    let mut missing = Vec::new();
    for (_, data) in crate::documents::all() {
        keys(&data, &page, &mut missing);
    }
    assert_eq!(missing, [""; 0]);
}
