//! `benchroll order COURSE`: what do I buy, from whom, by when?

use super::ask::{Ask, Because};
use super::{Exit, Stream, Terminal, course};
use crate::output::json::order::OrderView;
use crate::output::order_tables;

/// Work out what to buy in which packs, from whom, by when, and what it costs
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll order course
  benchroll order course --headcount 13
  benchroll order course --why sugar
  benchroll order course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,
}

/// Prints the order.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| {
            let (course, order) = (&reckoned.course, &reckoned.order);
            let mut tables = order_tables::by_supplier(course, order);
            tables.push(order_tables::needs(course, order));
            terminal.tables(Stream::Answer, &tables);
            let verdict = order_tables::verdict(course, order, reckoned.class.headcount);
            terminal.prose(Stream::Answer, &format!("\n{verdict}"));
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&OrderView::of(&reckoned.course, &reckoned.order));
            Exit::Fine
        },
    )
}
