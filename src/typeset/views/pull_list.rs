//! The equipment to get out, where it goes, what is short.

use super::common::{About, Moment, SlipRef};
use super::desk::{Desk, moment, runs};
use crate::course::{EquipId, Hands, ItemKind, Loan};
use crate::reckon::order::Order;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::pull_list::{Equipment, Need, Sort, is_read, is_thermometer};
use crate::reckon::ways_round::{Way, ways_round};
use crate::units::Grams;
use serde::Serialize;

/// What `templates/pull-list.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullList {
    /// `pull-list`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// To be out by.
    pub by: Option<Moment>,
    /// What is short, worst first.
    pub short: Vec<Short>,
    /// By where it is kept, or what it is.
    pub groups: Vec<PullGroup>,
    /// What was borrowed or hired, and when it goes back.
    pub returns: Vec<Return>,
    /// Large packs that are bought: lifted with two, tipped without a cloud.
    pub heavy: Vec<Heavy>,
}

/// Too few of something.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Short {
    /// What.
    pub name: String,
    /// What stands at a station, where whole stations are short: told with them in one row. Empty for anything else.
    pub with: Vec<String>,
    /// For all at once.
    pub needed: u32,
    /// What the plan needs, with its second uses.
    pub with_plan: u32,
    /// There are so many.
    pub on_hand: u32,
    /// So many too few even with the plan; nought when it works round.
    pub short: u32,
    /// For which lessons, by name.
    pub lessons: Vec<String>,
    /// What the plan does about it.
    pub plan_does: Vec<WayRound>,
    /// What else would do.
    pub or: Vec<WayRound>,
}

/// A way round a shortage.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WayRound {
    /// `wait-cold`, `second-wave` (of tins), `second-wave-tray`, `second-wave-tub`, `borrow`, `paper-cases`, `other-shape`: a key of the catalogue's `[way-round]`.
    pub word: String,
    /// How many.
    pub count: u32,
    /// Of what, where it is another thing.
    pub name: String,
}

/// A caution about what is carried or tipped.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Heavy {
    /// `lifting`, `flour-dust`: a key of the catalogue's `[danger]`.
    pub word: String,
    /// The packs: name and size.
    pub what: Vec<String>,
}

/// Things kept in one place.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullGroup {
    /// The place as written; empty where it is not written.
    pub place: String,
    /// Instead of a place: `tins`, `each-station`, `shared`, `consumable`, `mixers`: a key of the catalogue's `[pull]`; empty for none.
    pub word: String,
    /// The things.
    pub lines: Vec<PullLine>,
}

/// One thing to get out.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullLine {
    /// How many to get out.
    pub count: u32,
    /// There are so many; `None` where it is not counted.
    pub on_hand: Option<u32>,
    /// What.
    pub name: String,
    /// Instead of a name, a key of the catalogue's `[tool]`: what the kitchen file does not name; empty for none.
    pub word: String,
    /// Where it goes, or what it is for: the lessons, by name.
    pub to: Vec<String>,
    /// So many of them are borrowed or hired, and from whom.
    pub borrowed: Option<(u32, String)>,
    /// The slips that go onto them, all numbers: more than there are things to get out where the plan fills some again.
    pub slips: Option<SlipRef>,
    /// So many times one of them is emptied, washed and filled again; nought for what has no slips.
    pub again: u32,
}

/// Something to give back.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Return {
    /// How many.
    pub count: u32,
    /// What.
    pub name: String,
    /// To whom.
    pub to: String,
    /// By when.
    pub by: Option<super::common::Day>,
}

impl PullList {
    /// An empty sheet of this kind.
    pub fn new() -> PullList {
        PullList { kind: "pull-list", ..PullList::default() }
    }
}

impl PullList {
    /// The list of a class.
    pub fn of(desk: &Desk, equipment: &Equipment, order: &Order) -> PullList {
        // What is short only because its station is stands with it.
        let short = |n: &&Need| n.short > 0 && !equipment.goes_with_stations(n);
        let mut groups: Vec<PullGroup> = Vec::new();
        for need in equipment.needs.iter().filter(|n| n.sort != Sort::Station && n.needed > 0) {
            let place = need.kept.clone().unwrap_or_default();
            let word = if place.is_empty() { sort_word(need.sort) } else { "" };
            let line = pull_line(desk, need);
            match groups.iter_mut().find(|g| g.place == place && g.word == word) {
                Some(there) => there.lines.push(line),
                None => groups.push(PullGroup { place, word: word.to_owned(), lines: vec![line] }),
            }
        }
        if let Some(line) = dishes(desk) {
            match groups.iter_mut().find(|g| g.word == "tins") {
                Some(there) => there.lines.push(line),
                None => groups.insert(
                    0,
                    PullGroup { word: "tins".to_owned(), lines: vec![line], ..PullGroup::default() },
                ),
            }
        }
        groups.extend(mixers(desk));
        groups.extend(thermometer(desk));
        let first = desk.plan.tasks.iter().find(|t| t.hands != Hands::Nobody);
        let mut missing: Vec<Short> =
            equipment.needs.iter().filter(short).map(|n| short_of(desk, equipment, n)).collect();
        missing.sort_by(|a, b| (b.short, &a.name).cmp(&(a.short, &b.name)));
        PullList {
            about: desk.about(),
            by: first.map(|t| moment(&t.start)),
            short: missing,
            groups,
            returns: returns(desk),
            heavy: heavy(desk, order),
            ..PullList::new()
        }
    }
}

/// The mixers that the plan uses, each kind with as many as it ever uses.
fn mixers(desk: &Desk) -> Option<PullGroup> {
    let mut lines = Vec::new();
    for mixer in &desk.course.kitchen.mixers {
        let id = &mixer.id.value;
        let of_kind = |t: &&PlannedTask| {
            t.uses.iter().any(|u| desk.machine_of(&u.resource).is_some_and(|(kind, _)| kind == *id))
        };
        let mut used: Vec<&str> = Vec::new();
        let mut to: Vec<String> = Vec::new();
        for task in desk.plan.tasks.iter().filter(of_kind) {
            let units = task.uses.iter().map(|u| u.resource.as_str());
            used.extend(units.filter(|u| desk.machine_of(u).is_some_and(|(kind, _)| kind == *id)));
            let name = task.lesson.as_ref().map_or_else(String::new, |l| desk.lesson_name(l));
            if !to.contains(&name) {
                to.push(name);
            }
        }
        used.sort_unstable();
        used.dedup();
        if used.is_empty() {
            continue;
        }
        let borrowed = mixer.loan.as_ref().map(|l| (l.count.value, l.from.value.clone()));
        let on_hand = mixer.count.value.saturating_add(borrowed.as_ref().map_or(0, |(n, _)| *n));
        lines.push(PullLine {
            count: u32::try_from(used.len()).unwrap_or(u32::MAX),
            on_hand: Some(on_hand),
            name: desk.equipment_name(id),
            to,
            borrowed,
            ..PullLine::default()
        });
    }
    let word = "mixers".to_owned();
    (!lines.is_empty()).then(|| PullGroup { word, lines, ..PullGroup::default() })
}

/// A thermometer that the steps and the log need, and that no kitchen file names: how many there are is not known.
fn thermometer(desk: &Desk) -> Option<PullGroup> {
    let lessons = desk.course.lessons.iter();
    let reads = lessons.filter(|l| l.steps.iter().any(is_read));
    let to: Vec<String> = reads.map(|l| desk.lesson_name(&l.id.value)).collect();
    if to.is_empty() || desk.course.kitchen.tools.iter().any(is_thermometer) {
        return None;
    }
    let line = PullLine { count: 1, word: "thermometer".to_owned(), to, ..PullLine::default() };
    Some(PullGroup { place: String::new(), word: String::new(), lines: vec![line] })
}

/// What the fillings and the like stand in that the lessons give no tub: nobody wrote which dishes, but each of them has a slip.
fn dishes(desk: &Desk) -> Option<PullLine> {
    let mut to: Vec<String> = Vec::new();
    for slip in desk.slips().iter().filter(|s| s.tub.is_none()) {
        let name = desk.lesson_name(&slip.lesson);
        if !to.contains(&name) {
            to.push(name);
        }
    }
    let (slips, count) = slips_on(desk, None)?;
    Some(PullLine { count, word: "dish".to_owned(), to, slips: Some(slips), ..PullLine::default() })
}

/// All slips on one kind of tub, or on dishes, and how many they are.
fn slips_on(desk: &Desk, tub: Option<&EquipId>) -> Option<(SlipRef, u32)> {
    let on: Vec<_> = desk.slips().iter().filter(|s| s.tub.as_ref() == tub).collect();
    let mut numbers: Vec<u32> = on.iter().flat_map(|s| &s.each).map(|(no, _)| *no).collect();
    numbers.sort_unstable();
    let slip = SlipRef { on: on.first()?.slip.on.clone(), number: runs(&numbers).join(", ") };
    Some((slip, u32::try_from(numbers.len()).unwrap_or(u32::MAX)))
}

fn sort_word(sort: Sort) -> &'static str {
    match sort {
        Sort::Station | Sort::Shared => "shared",
        Sort::Tin => "tins",
        Sort::EachStation => "each-station",
        Sort::Consumable => "consumable",
    }
}

fn lessons(desk: &Desk, need: &Need) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for (lesson, _, _) in &need.from {
        let name = desk.lesson_name(lesson);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

fn pull_line(desk: &Desk, need: &Need) -> PullLine {
    let slips = slips_on(desk, Some(&need.item));
    let (count, again) = need.taken_out().unwrap_or((need.needed.min(need.on_hand.max(1)), 0));
    PullLine {
        again: if slips.is_some() { again } else { 0 },
        slips: slips.map(|(slips, _)| slips),
        count,
        on_hand: (need.on_hand > 0).then_some(need.on_hand),
        name: desk.equipment_name(&need.item),
        word: String::new(),
        to: lessons(desk, need),
        borrowed: need.borrowed.clone(),
    }
}

fn short_of(desk: &Desk, equipment: &Equipment, need: &Need) -> Short {
    let with = equipment.short_with_stations().into_iter().filter(|_| need.sort == Sort::Station);
    let with_plan = need.needed_with_plan.unwrap_or(need.needed);
    let (does, or) = ways_round(desk.course, desk.plan, need);
    Short {
        name: desk.equipment_name(&need.item),
        with: with.map(|n| desk.mid_sentence(&desk.equipment_name(&n.item))).collect(),
        needed: need.needed,
        // Of what there is, the list below takes out more than the plan needs at least.
        with_plan: need.taken_out().map_or(with_plan, |(count, _)| count.max(with_plan)),
        on_hand: need.on_hand,
        short: with_plan.saturating_sub(need.on_hand),
        lessons: lessons(desk, need),
        plan_does: does.iter().map(|w| way(desk, need, w)).collect(),
        or: or.iter().map(|w| way(desk, need, w)).collect(),
    }
}

fn way(desk: &Desk, need: &Need, way: &Way) -> WayRound {
    let kitchen = &desk.course.kitchen;
    // Only a tin is turned out and greased anew.
    let again = if kitchen.trays.iter().any(|t| t.id.value == need.item) {
        "second-wave-tray"
    } else if kitchen.tubs.iter().any(|t| t.id.value == need.item) {
        "second-wave-tub"
    } else {
        "second-wave"
    };
    let of = |word: &str, count: u32| WayRound { word: word.to_owned(), count, name: String::new() };
    match way {
        Way::WaitCold(n) => of("wait-cold", *n),
        Way::SecondWave(n) => of(again, *n),
        Way::Borrow(n) => of("borrow", *n),
        Way::PaperCases(n) => of("paper-cases", *n),
        Way::OtherShape(tin, n) => WayRound { name: desk.equipment_name(tin), ..of("other-shape", *n) },
    }
}

/// From this mass on a pack is lifted with two: the filter weight for women at the best height, from memory (row `lift-hse`),
/// below the 23 kg of row `lift-niosh` (NIOSH, Applications Manual for the Revised Lifting Equation, 1994). It warns.
const LIFTED_WITH_TWO: Grams = Grams::whole(16_000);
/// From this mass on a bag of flour is tipped, not scooped: row `dust-control` (HSE bakery pages) asks for no cloud.
const TIPPED: Grams = Grams::whole(5_000);

fn heavy(desk: &Desk, order: &Order) -> Vec<Heavy> {
    let mut all = [("lifting", Vec::new()), ("flour-dust", Vec::new())];
    for line in &order.lines {
        let Some(item) = desk.course.pantry.item(&line.item) else { continue };
        for pack in &line.bought {
            let what = format!("{}, {}", item.name.value, mass_shown(pack.pack_grams));
            if pack.pack_grams >= LIFTED_WITH_TWO {
                all[0].1.push(what.clone());
            }
            if item.kind.value == ItemKind::Flour && pack.pack_grams >= TIPPED {
                all[1].1.push(what);
            }
        }
    }
    all.into_iter()
        .filter(|(_, what)| !what.is_empty())
        .map(|(word, what)| Heavy { word: word.to_owned(), what })
        .collect()
}

fn mass_shown(grams: Grams) -> String {
    format!("{}\u{202F}kg", (grams.to_decimal() / rust_decimal::Decimal::ONE_THOUSAND).normalize())
}

fn returns(desk: &Desk) -> Vec<Return> {
    let k = &desk.course.kitchen;
    let tins = k.tins.iter().map(|t| (&t.id.value, t.loan.as_ref()));
    let trays = k.trays.iter().map(|t| (&t.id.value, t.loan.as_ref()));
    let tools = k.tools.iter().map(|t| (&t.id.value, t.loan.as_ref()));
    let given = |(id, loan): (&crate::course::EquipId, Option<&Loan>)| {
        let loan = loan?;
        Some(Return {
            count: loan.count.value,
            name: desk.equipment_name(id),
            to: loan.from.value.clone(),
            by: loan.back_by.as_ref().map(|d| d.value.into()),
        })
    };
    tins.chain(trays).chain(tools).filter_map(given).collect()
}
