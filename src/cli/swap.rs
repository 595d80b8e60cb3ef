//! `benchroll swap COURSE ITEM STAND-IN`: what changes if a stand-in takes the place of an ingredient?

use super::ask::{Ask, Format};
use super::roll::write_beside;
use super::{Exit, Stream, Terminal, course};
use crate::course::{Course, ItemId};
use crate::output::course_text::with_instead;
use crate::output::json::swap::SwapView;
use crate::output::stand_in_tables;
use crate::pipeline::Reckoned;
use crate::read::folder;
use crate::read::table::did_you_mean;
use crate::reckon::stand_in::{Side, effect};

/// Show what changes if a stand-in takes the place of an ingredient: weight, cost, allergens, water
#[derive(Clone, PartialEq, Eq, Debug, clap::Args)]
#[command(after_help = "Examples:
  benchroll swap course walnuts sunflower-seeds
  benchroll swap course walnuts sunflower-seeds --take   write it down

Stand-ins are named in pantry.toml, with their ratio by weight. --take writes a
new course file with it under [instead] beside course.toml, which is not
touched.")]
pub struct Arguments {
    #[command(flatten)]
    ask: Ask,

    /// The ingredient, by its id
    #[arg(value_name = "ITEM")]
    item: String,

    /// The stand-in, by its id
    #[arg(value_name = "STAND-IN")]
    stand_in: String,

    /// Write it into a new course.toml beside the present one
    #[arg(long)]
    take: bool,
}

fn side(r: &Reckoned) -> Side<'_> {
    Side { course: &r.course, totals: &r.weighed.totals, order: &r.order }
}

/// Prints the difference; writes it down if asked.
pub fn run(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let ask = &arguments.ask;
    let (item, other): (ItemId, ItemId) = (arguments.item.clone().into(), arguments.stand_in.clone().into());
    let (_, before) = course::load_and_reckon(ask, terminal);
    let Some(was) = &before.reckoned else {
        course::tell_errors(ask, &before, terminal);
        return course::exit(&before);
    };
    for id in [&item, &other] {
        if was.course.pantry.item(id).is_none() {
            let known = was.course.pantry.items.iter().map(|i| i.id.value.as_str());
            let near = did_you_mean(id.as_str(), known);
            let way_out = near.unwrap_or_else(|| unknown(&was.course, &item, &other, id));
            terminal.failure(&format!("the pantry has no ingredient {:?}", id.as_str()), &way_out);
            return Exit::CommandLine;
        }
    }
    let after = course::load_and_reckon_with(ask, (item.clone(), other.clone()), terminal);
    let Some(now) = &after.reckoned else {
        course::tell_errors(ask, &after, terminal);
        return course::exit(&after);
    };
    let effect = effect(side(was), side(now), &item, &other);
    let currency = &was.order.currency;
    match ask.format {
        Format::Json => terminal.json(&SwapView::of(&item, &other, currency, &effect)),
        Format::People => {
            let table = stand_in_tables::effect(&was.course, currency, &item, &other, &effect);
            terminal.tables(Stream::Answer, &[table]);
        }
    }
    course::tell_errors(ask, &after, terminal);
    let done = course::exit(&after);
    if arguments.take { done.max(take(arguments, terminal)) } else { done }
}

/// What to do about an ingredient that the pantry does not have.
fn unknown(course: &Course, item: &ItemId, other: &ItemId, id: &ItemId) -> String {
    let there = course.pantry.item(item).filter(|_| id == other);
    let known: Vec<String> =
        there.iter().flat_map(|i| &i.stand_ins).map(|(name, _)| format!("`{}`", name.value)).collect();
    let written = match known.as_slice() {
        [] => String::new(),
        known => format!("`{item}` has {}; ", known.join(", ")),
    };
    let beside = if there.is_some() {
        format!(", and `stand-ins = {{ {id} = \"100 %\" }}` under `[ingredients.{item}]`")
    } else {
        String::new()
    };
    format!("{written}write `[ingredients.{id}]` with its allergens and packs into pantry.toml{beside}")
}

fn take(arguments: &Arguments, terminal: &mut Terminal<'_>) -> Exit {
    let folder = &arguments.ask.course;
    let text = folder::one_file(&folder.join("course.toml"))
        .map_err(|e| e.to_string())
        .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "it is not in UTF-8".to_owned()))
        .and_then(|text| with_instead(&text, &arguments.item, &arguments.stand_in));
    let written = match text {
        Ok(text) => write_beside(folder, "course", "toml", text.as_bytes()),
        Err(why) => {
            terminal.failure(&format!("can't change course.toml: {why}"), "`benchroll check` tells more");
            return Exit::Course;
        }
    };
    match written {
        Ok(path) => {
            let words = format!(
                "\n{}: it differs in one line, `{} = \"{}\"` under [instead]. Put it in place of\ncourse.toml to take the stand-in.",
                path.display(),
                arguments.item,
                arguments.stand_in
            );
            let stream = if arguments.ask.format == Format::Json { Stream::Aside } else { Stream::Answer };
            terminal.say(stream, &words);
            Exit::Fine
        }
        Err((path, error)) => {
            terminal.failure(&format!("can't write {}: {error}", path.display()), "make the folder writable");
            Exit::Machine
        }
    }
}
