//! The weigh-out as tables: for each part who weighs what, what is fetched, and the totals.

use super::table::{Cell, Column, Table};
use super::timetable::ranges;
use crate::course::{Course, ItemId, LessonId, PartId};
use crate::reckon::weigh::{Group, List, WeighOut, WeighedBy, Who};
use crate::reckon::work::Whom;
use crate::units::Grams;

/// A table for each part that is weighed, one of what is fetched ready, and one of the totals.
#[must_use]
pub fn tables(course: &Course, out: &WeighOut) -> Vec<Table> {
    let mut tables: Vec<Table> = rounds(course, out);
    tables.extend(fetched(out));
    tables.push(totals(course, out));
    tables
}

/// One round: all lists of one part of one lesson that somebody weighs.
fn rounds(course: &Course, out: &WeighOut) -> Vec<Table> {
    let mut keys: Vec<(&LessonId, &PartId)> = Vec::new();
    for list in out.groups().flat_map(|g| &g.lists).filter(|l| is_weighed(l)) {
        if !keys.contains(&(&list.lesson, &list.part)) {
            keys.push((&list.lesson, &list.part));
        }
    }
    let lesson_at = |id: &LessonId| course.lessons.iter().position(|l| l.id.value == *id);
    keys.sort_by_key(|(lesson, _)| lesson_at(lesson));
    keys.into_iter()
        .map(|(lesson, part)| {
            let columns: Vec<(&Group, &List)> = out
                .groups()
                .flat_map(|g| g.lists.iter().map(move |l| (g, l)))
                .filter(|(_, l)| is_weighed(l) && l.lesson == *lesson && l.part == *part)
                .collect();
            round(course, lesson, part, &columns)
        })
        .collect()
}

fn is_weighed(list: &List) -> bool {
    !list.ingredients.is_empty()
}

fn round(course: &Course, lesson: &LessonId, part: &PartId, columns: &[(&Group, &List)]) -> Table {
    let mut heads = vec![Column::text("grams of")];
    heads.extend(columns.iter().map(|(group, list)| Column::grams(head(group, list))));
    heads.push(Column::grams("together"));
    let mut table = Table::new(format!("{lesson}: {part}"), heads);
    let mut items: Vec<&ItemId> = Vec::new();
    let mut inner: Vec<&PartId> = Vec::new();
    for (_, list) in columns {
        items.extend(
            list.ingredients.iter().map(|w| &w.item).filter(|i| !items.contains(i)).collect::<Vec<_>>(),
        );
        inner.extend(list.fetches.iter().map(|f| &f.part).filter(|p| !inner.contains(p)).collect::<Vec<_>>());
    }
    let line = |name: String, grams: Vec<Option<Grams>>| {
        let together: Grams = grams.iter().flatten().sum();
        let mut cells: Vec<Cell> = vec![name.into()];
        cells.extend(grams.into_iter().map(|g| g.map_or(Cell::Blank, Cell::Grams)));
        cells.push(together.into());
        cells
    };
    for item in items {
        let grams =
            columns.iter().map(|(_, l)| l.ingredients.iter().find(|w| w.item == *item).map(|w| w.grams));
        table.row(line(name_of(course, item), grams.collect()));
    }
    for part in inner {
        let grams = columns.iter().map(|(_, l)| l.fetches.iter().find(|f| f.part == *part).map(|f| f.grams));
        table.row(line(format!("{part} (made before)"), grams.collect()));
    }
    table.total = Some(line("together".to_owned(), columns.iter().map(|(_, l)| Some(l.total)).collect()));
    table
}

fn head(group: &Group, list: &List) -> String {
    let variant = list.variant.as_ref().map(|v| format!(" {v}")).unwrap_or_default();
    let by = match list.weighed_by {
        WeighedBy::Staff => " by staff",
        WeighedBy::Open => " by station or staff",
        WeighedBy::Station | WeighedBy::Batch => "",
    };
    match &group.who {
        Who::Station(no, _) => format!("station {no}{variant}{by}"),
        Who::Stage { up_to, .. } => format!("stage {up_to}{variant}"),
        Who::Spare(_) => format!("spare{variant}"),
        Who::Shared { batch, members, .. } => format!("batch {batch}{variant}{by} for {}", among(members)),
    }
}

/// "1-3, stage": stations by their numbers, others by their words.
fn among(members: &[Whom]) -> String {
    let stations: Vec<u32> =
        members.iter().filter_map(|m| if let Whom::Station(no) = m { Some(no.0) } else { None }).collect();
    let mut words = Vec::new();
    if !stations.is_empty() {
        words.push(ranges(&stations));
    }
    let has = |is: fn(&Whom) -> bool| members.iter().any(is);
    if has(|m| matches!(m, Whom::Stage { .. })) {
        words.push("stage".to_owned());
    }
    if has(|m| matches!(m, Whom::Spare)) {
        words.push("spare".to_owned());
    }
    words.join(", ")
}

/// What is fetched ready, from which batch: who fetches the same stands on one line.
fn fetched(out: &WeighOut) -> Option<Table> {
    let mut lines: Vec<(&List, Vec<Whom>)> = Vec::new();
    let lists = out.groups().flat_map(|g| g.lists.iter().map(move |l| (g, l)));
    for (group, list) in lists.filter(|(_, l)| !is_weighed(l) && l.total > Grams::ZERO) {
        let who = match &group.who {
            Who::Station(no, _) => Whom::Station(*no),
            Who::Stage { demo, up_to, .. } => Whom::Stage { demo: demo.clone(), up_to: up_to.clone() },
            Who::Spare(_) => Whom::Spare,
            Who::Shared { .. } => continue,
        };
        let key = |l: &List| (l.lesson.clone(), l.part.clone(), l.batch, l.total);
        match lines.iter_mut().find(|(other, _)| key(other) == key(list)) {
            Some((_, all)) => all.push(who),
            None => lines.push((list, vec![who])),
        }
    }
    lines.sort_by_key(|(l, _)| (&l.lesson, &l.part, l.batch));
    let columns = vec![
        Column::text("what"),
        Column::text("from"),
        Column::grams("each fetches"),
        Column::text("stations"),
    ];
    let mut table = Table::new("Fetched ready", columns);
    for (list, who) in lines {
        let from = list.batch.map_or(Cell::Blank, |b| format!("batch {b}").into());
        table.row(vec![
            format!("{}: {}", list.lesson, list.part).into(),
            from,
            list.total.into(),
            among(&who).into(),
        ]);
    }
    (!table.body.is_empty()).then_some(table)
}

/// What the whole class takes, by ingredient.
#[must_use]
pub fn totals(course: &Course, out: &WeighOut) -> Table {
    let mut columns = vec![Column::text("ingredient"), Column::grams("all together")];
    let counted = out.totals.iter().any(|t| t.whole.is_some());
    if counted {
        columns.push(Column::count("whole ones"));
    }
    let breaks = out.totals.iter().any(|t| t.with_breakage.is_some());
    if breaks {
        columns.push(Column::count("with breakage"));
    }
    let mut table = Table::new(format!("Totals for {} people", out.headcount), columns);
    for total in &out.totals {
        let mut row = vec![name_of(course, &total.item).into(), total.grams.into()];
        if counted {
            row.push(total.whole.map_or(Cell::Blank, Cell::from));
        }
        if breaks {
            row.push(total.with_breakage.map_or(Cell::Blank, Cell::from));
        }
        table.row(row);
    }
    table
}

/// The name of an ingredient as it is printed.
#[must_use]
pub fn name_of(course: &Course, item: &ItemId) -> String {
    course.pantry.item(item).map_or_else(|| item.to_string(), |i| i.name.value.clone())
}

/// The whole weigh-out as one table for a spreadsheet: a row for each ingredient of each list.
#[must_use]
pub fn for_spreadsheet(course: &Course, out: &WeighOut) -> Table {
    let columns = vec![
        Column::text("lesson"),
        Column::text("part"),
        Column::text("variant"),
        Column::text("for"),
        Column::count("batch"),
        Column::text("weighed by"),
        Column::text("item"),
        Column::text("name"),
        Column::grams("weigh"),
    ];
    let mut table = Table::new("Weigh-out", columns);
    for (group, list) in out.groups().flat_map(|g| g.lists.iter().map(move |l| (g, l))) {
        let whom = match &group.who {
            Who::Station(no, _) => format!("station {no}"),
            Who::Stage { up_to, .. } => format!("stage {up_to}"),
            Who::Spare(_) => "spare".to_owned(),
            Who::Shared { members, .. } => among(members),
        };
        for weight in &list.ingredients {
            table.row(vec![
                list.lesson.to_string().into(),
                list.part.to_string().into(),
                list.variant.as_ref().map_or(Cell::Blank, |v| v.to_string().into()),
                whom.clone().into(),
                list.batch.map_or(Cell::Blank, Cell::from),
                list.weighed_by.word().into(),
                weight.item.to_string().into(),
                name_of(course, &weight.item).into(),
                weight.grams.into(),
            ]);
        }
    }
    table
}
