//! `benchroll scale COURSE`: what does each station weigh out? And what goes into a home batch, and into a formula?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, course};
use crate::output::json::formulas::FormulasView;
use crate::output::json::home::HomeView;
use crate::output::json::scale::ScaleView;
use crate::output::json::yields::RisesView;
use crate::output::{dough_tables, formula_tables, home_tables, rise_tables, weigh_tables};
use crate::read::grammar;
use crate::reckon::dough_temperature::is_absurd;
use crate::reckon::home::home_batches;
use crate::reckon::recipes::Recipes;
use crate::reckon::rise::for_rise;
use crate::units::{Celsius, Minutes};
use clap::ValueEnum;

/// Scale every part to the headcount; say who weighs what
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll scale course
  benchroll scale course --headcount 14
  benchroll scale course --for home
  benchroll scale course --formulas
  benchroll scale course --rise \"90 min at 24 C\"
  benchroll scale course --why butter@station-3
  benchroll scale course --for home --why butter
  benchroll scale course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,

    /// For the class, or for a kitchen at home: grams and cups of each home batch, with its own clock
    #[arg(long = "for", value_enum, value_name = "WHOM", default_value_t, hide_possible_values = true)]
    for_whom: For,

    /// Show the formulas instead: overall formula, parts and final dough, nominal and true figures, what they yield
    #[arg(long, conflicts_with = "for_whom")]
    formulas: bool,

    /// Estimate the yeast of each dough for a rise so long at such a dough temperature
    #[arg(long, value_name = "RISE", value_parser = rise, conflicts_with_all = ["for_whom", "formulas"])]
    rise: Option<(Minutes, Celsius)>,
}

/// A rise as it is typed: `90 min at 24 C`.
fn rise(text: &str) -> Result<(Minutes, Celsius), String> {
    let (time, at) = text.split_once(" at ").ok_or("write a time and a temperature: `90 min at 24 C`")?;
    let time: Minutes = grammar::read(time).map_err(|slip| format!("{}; {}", slip.message, slip.way_out))?;
    let at: Celsius = grammar::read(at).map_err(|slip| format!("{}; {}", slip.message, slip.way_out))?;
    if time <= Minutes::ZERO {
        return Err("a rise takes some time".to_owned());
    }
    if is_absurd(at) {
        return Err("no dough rises there: from 10 to 40 C make sense".to_owned());
    }
    Ok((time, at))
}

/// Whom it is scaled for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
enum For {
    /// The class, station by station.
    #[default]
    Class,
    /// One batch at home.
    Home,
}

/// Prints the weigh-out.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    // Asked of the home batch, the reason is that of the home batch.
    let because = match (&arguments.because.why, arguments.for_whom) {
        (Some(thing), For::Home) if !thing.contains('@') => Because { why: Some(format!("{thing}@home")) },
        _ => arguments.because.clone(),
    };
    course::answer(
        &arguments.ask,
        &because,
        terminal,
        |reckoned, terminal| {
            let course = &reckoned.course;
            let tables = match arguments {
                Arguments { formulas: true, .. } => formula_tables::tables(course, &Recipes::of(course).0),
                Arguments { rise: Some((time, at)), .. } => {
                    let rises = for_rise(course, &Recipes::of(course).0, *time, *at);
                    vec![rise_tables::table(course, &rises, *time, *at)]
                }
                Arguments { for_whom: For::Home, .. } => {
                    home_tables::tables(course, &home_batches(course, &reckoned.class))
                }
                Arguments { for_whom: For::Class, .. } => {
                    let mut tables = weigh_tables::tables(course, &reckoned.weighed);
                    tables.extend(dough_tables::table(course, &reckoned.mixes()));
                    tables
                }
            };
            terminal.tables(Stream::Answer, &tables);
            Exit::Fine
        },
        |reckoned, terminal| {
            let course = &reckoned.course;
            match arguments {
                Arguments { formulas: true, .. } => {
                    terminal.json(&FormulasView::of(course, &Recipes::of(course).0));
                }
                Arguments { rise: Some((time, at)), .. } => {
                    let rises = for_rise(course, &Recipes::of(course).0, *time, *at);
                    terminal.json(&RisesView::of(course, &rises, *time, *at));
                }
                Arguments { for_whom: For::Home, .. } => {
                    terminal.json(&HomeView::of(course, &home_batches(course, &reckoned.class)));
                }
                Arguments { for_whom: For::Class, .. } => {
                    terminal.json(&ScaleView::of(&reckoned.weighed, &reckoned.mixes()));
                }
            }
            Exit::Fine
        },
    )
}
