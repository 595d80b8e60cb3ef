//! `benchroll export COURSE FORMULA`: the home recipe for other programs, in the open vocabulary of schema.org.

use super::{Exit, Stream, Terminal};
use crate::course::{Course, Formula, Ingredient, Lesson, PartId};
use crate::finding::Level;
use crate::output::json::recipe::{HowToView, RecipeView, duration};
use crate::output::text::counted;
use crate::pipeline::printing::units;
use crate::read::folder;
use crate::reckon::home::HomeBatch;
use crate::typeset::views::wording::{Tongue, filled_in, spoken};
use std::path::PathBuf;

/// Print a formula's home recipe as schema.org JSON-LD, for programs that keep recipes
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll export course                      list the formulas
  benchroll export course walnut-crown > walnut-crown.json

`benchroll import` reads it back as a formula's draft.")]
pub struct Arguments {
    /// Folder of the course
    #[arg(value_name = "COURSE")]
    course: PathBuf,

    /// Id of the formula
    #[arg(value_name = "FORMULA")]
    formula: Option<String>,
}

/// Prints the recipe, or all formulas, or the nearest.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let reading = folder::read(&arguments.course);
    let Some(course) = &reading.course else {
        let errors: Vec<_> = reading.findings.into_iter().filter(|f| f.level == Level::Error).collect();
        terminal.findings(Stream::Aside, &errors, &reading.sources);
        return Exit::Course;
    };
    let ids: Vec<&str> = course.formulas.iter().map(|f| f.id.value.as_str()).collect();
    let Some(wanted) = &arguments.formula else {
        terminal.say(Stream::Answer, &ids.join("\n"));
        return Exit::Fine;
    };
    let Some(formula) = course.formulas.iter().find(|f| f.id.value.as_str() == wanted) else {
        let message = format!("the course has no formula {wanted:?}");
        terminal.failure(&message, &format!("it is one of {}", ids.join(", ")));
        return Exit::CommandLine;
    };
    let lesson = course.lessons.iter().find(|l| l.formula.value == formula.id.value);
    match recipe(course, formula, lesson) {
        Some(recipe) => {
            terminal.json(&recipe);
            Exit::Fine
        }
        None => {
            let course = arguments.course.display();
            let message = format!("the percentages of `{wanted}` can't be reckoned");
            terminal.failure(&message, &format!("`benchroll check {course}` says why"));
            Exit::Course
        }
    }
}

fn recipe(course: &Course, formula: &Formula, lesson: Option<&Lesson>) -> Option<RecipeView> {
    let batch = HomeBatch::of(course, formula, lesson, None)?;
    let part_name = |id: &PartId| {
        let own = formula.part(id).and_then(|p| p.name.as_ref()).map(|n| n.value.clone());
        own.unwrap_or_else(|| spoken(id.as_str()))
    };
    let name_of = |what: &Ingredient| match what {
        Ingredient::Item(id) => course.pantry.item(id).map(|item| item.name.value.clone()),
        Ingredient::Part(id) => Some(part_name(id)),
    };
    let mut ingredients = Vec::new();
    for part in &batch.parts {
        // Several parts have their heads, as a page has; a part that goes into another is made before it, and stands among the lines of
        // what it goes into by its own name.
        if batch.parts.len() > 1 {
            ingredients.push(format!("{}:", part_name(&part.part)));
        }
        for line in &part.lines {
            let grams = line.grams.to_decimal().normalize();
            ingredients.extend(name_of(&line.what).map(|name| format!("{grams} g {name}")));
        }
    }
    let steps = lesson.map_or_else(Vec::new, |lesson| {
        let done = batch.steps.iter().filter_map(|home| Some((home, lesson.step(&home.step)?)));
        done.map(|(home, step)| {
            let name = step.name.as_ref().map_or_else(|| spoken(step.id.value.as_str()), |n| n.value.clone());
            let say = step.say.as_ref().map_or_else(String::new, |say| {
                filled_in(&say.value, &batch.formula.piece, units(&course.settings), &Tongue::default())
            });
            let lasts = home.to - home.from;
            // What stands may stand for longer: both ends are said.
            // In rounds it lasts as long as all of them, and nothing may be in the oven for that long.
            let mut text = vec![match home.most.filter(|most| *most > lasts) {
                Some(most) => format!("{lasts} to {most}."),
                None if home.rounds > 1 => format!("{} each, in {} rounds.", home.each(), home.rounds),
                None => format!("{lasts}."),
            }];
            if let Some(n) = home.at_once.filter(|_| home.rounds > 1) {
                text.push(format!("{n} at once; the next wait in the fridge."));
            }
            if let Some((still, fan)) = home.heat {
                let shown = |c: crate::units::Celsius| c.to_decimal().round_dp(0).normalize();
                text.push(format!("Oven {} C, with a fan {} C.", shown(still), shown(fan)));
            }
            text.extend((!say.is_empty()).then_some(say));
            HowToView { sort: "HowToStep", name, text: text.join(" ") }
        })
        .collect()
    });
    Some(RecipeView {
        context: "https://schema.org",
        sort: "Recipe",
        name: batch.formula.name.value.clone(),
        makes: counted(batch.pieces as usize, "piece", "pieces"),
        hands_on: duration(batch.hands_on.get()),
        in_all: duration(batch.in_all.get()),
        ingredients,
        steps,
        source: formula.source.as_ref().map(|s| s.value.clone()),
    })
}
