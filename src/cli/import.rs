//! `benchroll import FILE`: a formula's draft from a recipe as somebody wrote it.

use super::ask::Format;
use super::{Exit, Stream, Terminal};
use crate::course::Measures;
use crate::course::limits::TEXT_BYTES;
use crate::course::written_recipe::WrittenRecipe;
use crate::output::draft as text_of;
use crate::output::json::draft::DraftView;
use crate::output::new_file::write_new;
use crate::output::text::counted;
use crate::read::text::decode;
use crate::read::{folder, written_recipe};
use crate::reckon::draft::{Draft, draft, id_of};
use clap::ValueEnum;
use serde_json::Value;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Draft a formula from a recipe: a page of lines such as `300 g strong flour`, or schema.org JSON-LD
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll import recipe.txt
  benchroll import recipe.txt --course course > course/formulas/plait.toml
  benchroll import page.html --course course --write
  benchroll import recipe.txt --format json

What had to be guessed is marked with the word look, what could not be read
stands at the end. A cup is not one size: --measures says whose are meant.")]
pub struct Arguments {
    /// Text, JSON-LD, or a saved web page that holds it; - for standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Use the names of this course's pantry
    #[arg(long, value_name = "COURSE")]
    course: Option<PathBuf>,

    /// Write the draft into the course's formulas; a file that is there stays
    #[arg(long, requires = "course")]
    write: bool,

    /// Whose cups and spoons the recipe means
    #[arg(long, value_enum, default_value_t)]
    measures: Cups,

    /// Print for people, or for programs as json
    #[arg(long, value_enum, value_name = "FORM", default_value_t, hide_possible_values = true)]
    format: Format,
}

/// Whose cups and spoons.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum Cups {
    /// Cup 236.6 ml, tablespoon 14.8 ml
    #[default]
    Us,
    /// Cup 250 ml, tablespoon 15 ml
    Metric,
    /// Cup 250 ml, tablespoon 20 ml
    Australian,
}

/// Prints or writes the draft.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let name = arguments.file.display().to_string();
    let bytes = match bytes_of(&arguments.file) {
        Ok(bytes) => bytes,
        Err(e) => {
            terminal.failure(&format!("can't read {name}: {e}"), "name a file of plain text");
            return Exit::CommandLine;
        }
    };
    let Some((text, _)) = decode(&bytes) else {
        terminal
            .failure(&format!("{name} is no text"), "save the recipe as plain text, or copy it into a file");
        return Exit::CommandLine;
    };
    let recipe = match recipe_of(&text) {
        Ok(recipe) => recipe,
        Err(why) => {
            terminal.failure(
                &format!("{name}: {why}"),
                "copy the ingredients into a plain text file, one to a line",
            );
            return Exit::CommandLine;
        }
    };
    let reading = arguments.course.as_ref().map(|course| folder::read(course));
    // A slip elsewhere in the course is no reason to do without its pantry.
    let pantry = reading.as_ref().and_then(|reading| {
        let draft = reading.draft.as_ref().map(|draft| &draft.pantry);
        reading.course.as_ref().map(|course| &course.pantry).or(draft)
    });
    if let Some(course) = arguments.course.as_ref().filter(|_| pantry.is_none()) {
        let course = course.display();
        terminal.failure(
            &format!("the pantry of {course} can't be read"),
            &format!("`benchroll check {course}` says why"),
        );
        return Exit::Course;
    }
    let set = match arguments.measures {
        Cups::Us => Measures::Us,
        Cups::Metric => Measures::Metric,
        Cups::Australian => Measures::Australian,
    };
    let draft = draft(&recipe, pantry, set);
    if draft.parts.is_empty() {
        terminal.failure(
            &format!("{name} holds no line with an amount that can be weighed"),
            "write one ingredient to a line, its amount first: `300 g strong flour`",
        );
        return Exit::CommandLine;
    }
    let draft_text = text_of::text(&draft, &name);
    let written = match arguments.course.as_ref().filter(|_| arguments.write) {
        Some(course) => match write(course, &draft, &draft_text, terminal) {
            Ok(target) => Some(target.display().to_string()),
            Err(exit) => return exit,
        },
        None => None,
    };
    match (arguments.format, written) {
        (Format::Json, written) => terminal.json(&DraftView::of(&draft, draft_text, written)),
        (Format::People, Some(target)) => {
            terminal.say(Stream::Answer, &format!("{target} is written. {}", summary(&draft)));
        }
        (Format::People, None) => {
            terminal.say(Stream::Answer, &draft_text);
            terminal.say(Stream::Aside, &summary(&draft));
        }
    }
    Exit::Fine
}

fn bytes_of(file: &Path) -> io::Result<Vec<u8>> {
    if file != Path::new("-") {
        let size = fs::metadata(file)?.len();
        if size > TEXT_BYTES {
            return Err(io::Error::other(format!("it is larger than {} MiB", TEXT_BYTES >> 20)));
        }
        return fs::read(file);
    }
    let mut bytes = Vec::new();
    io::stdin().lock().take(TEXT_BYTES).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn write(course: &Path, draft: &Draft, text: &str, terminal: &mut Terminal<'_>) -> Result<PathBuf, Exit> {
    let id = draft.name.as_deref().map(id_of).filter(|id| !id.is_empty());
    let id = id.unwrap_or_else(|| "imported".to_owned());
    let target = course.join("formulas").join(format!("{id}.toml"));
    match write_new(&target, text.as_bytes()) {
        Ok(()) => Ok(target),
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
            terminal.failure(
                &format!("{} is there already, and stays as it is", target.display()),
                "leave --write away to print the draft",
            );
            Err(Exit::CommandLine)
        }
        Err(e) => {
            let message = format!("can't write {}: {e}", target.display());
            terminal.failure(&message, "see that the folder can be written and has room");
            Err(Exit::Machine)
        }
    }
}

/// How much was understood.
fn summary(draft: &Draft) -> String {
    let lines = || draft.parts.iter().flat_map(|part| &part.lines);
    let guessed = lines().filter(|line| !line.guessed.is_empty()).count();
    format!(
        "{} understood, {guessed} of them to look at, {} not read.",
        counted(lines().count(), "ingredient", "ingredients"),
        counted(draft.left_out.len(), "line", "lines")
    )
}

/// A recipe from plain text, JSON-LD, or a page that holds JSON-LD.
pub fn recipe_of(text: &str) -> Result<WrittenRecipe, String> {
    let trimmed = text.trim_start();
    if trimmed.starts_with(['{', '[']) {
        let json = serde_json::from_str(text).map_err(|e| format!("this is no JSON: {e}"))?;
        return recipe_in(&json, 0).map(from_json).ok_or_else(|| "no schema.org Recipe is in it".to_owned());
    }
    if trimmed.starts_with('<') {
        let recipes = text.split("application/ld+json").skip(1).filter_map(|after| {
            let body = after.split_once('>')?.1.split("</script").next()?;
            let json: Value = serde_json::from_str(body).ok()?;
            recipe_in(&json, 0).map(from_json)
        });
        return recipes
            .into_iter()
            .next()
            .ok_or_else(|| "this page holds no schema.org Recipe as JSON-LD".to_owned());
    }
    Ok(written_recipe::read(text))
}

/// How deep lists and graphs are looked into.
const DEEPEST: usize = 6;

/// The first Recipe of a document: alone, in a list, in a `@graph`.
fn recipe_in(json: &Value, depth: usize) -> Option<&Value> {
    if depth > DEEPEST {
        return None;
    }
    let is_recipe = |sort: &Value| sort.as_str().is_some_and(|s| s.rsplit('/').next() == Some("Recipe"));
    match json {
        Value::Array(list) => list.iter().find_map(|one| recipe_in(one, depth + 1)),
        Value::Object(object) => {
            let sort = object.get("@type");
            let found = sort.is_some_and(|sort| match sort {
                Value::Array(sorts) => sorts.iter().any(is_recipe),
                sort => is_recipe(sort),
            });
            if found { Some(json) } else { recipe_in(object.get("@graph")?, depth + 1) }
        }
        _ => None,
    }
}

fn from_json(recipe: &Value) -> WrittenRecipe {
    let ingredients = texts(recipe.get("recipeIngredient").or(recipe.get("ingredients")), 0);
    let makes =
        texts(recipe.get("recipeYield"), 0).into_iter().find(|t| t.starts_with(|c: char| c.is_ascii_digit()));
    // A page's first line is its name if it is no ingredient: here it has one, so that no ingredient is taken for it.
    let mut page = "Recipe\n".to_owned();
    if let Some(makes) = makes {
        page.push_str(&format!("Makes {makes}\n"));
    }
    page.push_str("Ingredients:\n");
    page.push_str(&ingredients.join("\n"));
    let read = written_recipe::read(&page);
    WrittenRecipe {
        name: recipe.get("name").and_then(Value::as_str).map(unescaped),
        steps: texts(recipe.get("recipeInstructions"), 0),
        ..read
    }
}

/// What pages write as `&amp;` or `&#189;`, in plain signs. A text that is no such thing stays as it is.
fn unescaped(text: &str) -> String {
    quick_xml::escape::unescape_with(text, quick_xml::escape::resolve_html5_entity)
        .map_or_else(|_| text.to_owned(), |plain| plain.into_owned())
}

/// The texts of a property: a text, a number, a step with its text, a section with its steps, or a list of these.
fn texts(value: Option<&Value>, depth: usize) -> Vec<String> {
    match value {
        _ if depth > DEEPEST => Vec::new(),
        Some(Value::String(text)) => {
            unescaped(text).lines().map(|l| l.trim().to_owned()).filter(|l| !l.is_empty()).collect()
        }
        Some(Value::Number(number)) => vec![number.to_string()],
        Some(Value::Array(list)) => list.iter().flat_map(|one| texts(Some(one), depth + 1)).collect(),
        Some(Value::Object(object)) => {
            let inner = object.get("itemListElement").or(object.get("text")).or(object.get("name"));
            texts(inner, depth + 1)
        }
        _ => Vec::new(),
    }
}
