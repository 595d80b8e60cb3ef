//! `benchroll equip COURSE`: is the equipment there?

use super::ask::{Ask, Because};
use super::course::tell_reasons;
use super::{Exit, Stream, Terminal, course};
use crate::output::equip_tables;
use crate::output::json::equip::EquipView;
use crate::pipeline::Reckoned;

/// Count the equipment that the class needs; say what is short, and what goes into which bowl and oven
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll equip course
  benchroll equip course --headcount 14
  benchroll equip course --why round-20
  benchroll equip course --format json")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    because: Because,
}

/// Where the reasons are, with ids of this class.
fn where_the_reasons_are(reckoned: &Reckoned) -> Option<String> {
    let count = reckoned.equipment.needs.iter().max_by_key(|n| n.short)?;
    let batch = reckoned.equipment.mixer_loads.first();
    let batch =
        batch.map_or_else(String::new, |b| format!(" or --why {}.{}@batch-{}", b.lesson, b.part, b.batch));
    Some(format!("\nWhy a count, a batch or a load is so:\n--why {}{batch}", count.item))
}

/// Prints the equipment.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    course::answer(
        &arguments.ask,
        &arguments.because,
        terminal,
        |reckoned, terminal| {
            let Reckoned { course, equipment, places, .. } = reckoned;
            let (tables, reasons) = equip_tables::tables(course, equipment, places);
            terminal.tables(Stream::Answer, &tables);
            tell_reasons(terminal, &reasons);
            if let Some(hint) = where_the_reasons_are(reckoned) {
                terminal.prose(Stream::Answer, &hint);
            }
            Exit::Fine
        },
        |reckoned, terminal| {
            terminal.json(&EquipView::of(&reckoned.equipment, &reckoned.places));
            Exit::Fine
        },
    )
}
