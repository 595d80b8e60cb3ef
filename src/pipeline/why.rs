//! `--why THING`: the chain of reasons of an amount, a count or a time, down to the line of a file.

mod home;
mod machine;
mod person;
mod station;

use super::Reckoned;
use crate::course::{Chain, Ingredient, Item, Lasts, LessonId, Share, Stands, Step, StepId};
use crate::finding::{Place, Sources};
use crate::output::json::decimal;
use crate::output::json::scale::whom;
use crate::output::table::digits;
use crate::output::timetable::ranges;
use crate::reckon::order::words_of;
use crate::reckon::plan::grid::usual;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::plan::why::chain;
use crate::reckon::pull_list::{Need, Sort};
use crate::reckon::weigh::{Group, List, Who};
use crate::reckon::work::{Batch, Load, Vessel};
use crate::units::{Grams, Minutes, Money};

/// One reason, and how far down the chain it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reason {
    /// 0 for what was asked about.
    pub depth: usize,
    /// In words, with the file and line where it was written.
    pub text: String,
}

/// Everything that can be asked about: ingredients, things of the kitchen, mixers and ovens one by one, people as the plan prints them,
/// batches, loads and tasks, by their ids.
#[must_use]
pub fn things(reckoned: &Reckoned) -> Vec<String> {
    let mut things: Vec<String> = reckoned.weighed.totals.iter().map(|t| t.item.to_string()).collect();
    things.extend(reckoned.equipment.needs.iter().map(|n| n.item.to_string()));
    things.extend(reckoned.choice.batches.values().flatten().map(batch_id));
    things.extend(reckoned.choice.loads.values().flatten().map(load_id));
    things.extend(reckoned.planned.plan.iter().flat_map(|p| &p.tasks).map(|t| t.id.clone()));
    things.extend(machine::things(reckoned));
    things.extend(person::things(reckoned));
    things.extend(station::things(reckoned));
    things.extend(home::things(reckoned));
    things.push(COST.to_owned());
    things.sort();
    things.dedup();
    things
}

/// The chain of reasons of a thing; empty when there is no such thing.
#[must_use]
pub fn why(reckoned: &Reckoned, sources: &Sources, thing: &str) -> Vec<Reason> {
    let mut chain = ChainOf { reckoned, sources, reasons: Vec::new() };
    if thing == COST {
        chain.cost();
    }
    if let Some(item) = reckoned.course.pantry.items.iter().find(|i| i.id.value.as_str() == thing) {
        chain.item(item);
    }
    if let Some((item, no)) = station::named(thing)
        && let Some(item) = reckoned.course.pantry.items.iter().find(|i| i.id.value.as_str() == item)
    {
        chain.item_of_station(item, no);
    }
    if let Some(item) = home::named(thing)
        && let Some(item) = reckoned.course.pantry.items.iter().find(|i| i.id.value.as_str() == item)
    {
        chain.item_at_home(item);
    }
    for need in reckoned.equipment.needs.iter().filter(|n| n.item.as_str() == thing) {
        chain.need(need);
    }
    if chain.reasons.is_empty() {
        chain.machine(thing);
    }
    if chain.reasons.is_empty() {
        chain.person(thing);
    }
    for batch in reckoned.choice.batches.values().flatten().filter(|b| batch_id(b) == thing) {
        chain.batch(batch);
    }
    for load in reckoned.choice.loads.values().flatten().filter(|l| load_id(l) == thing) {
        chain.load(load);
    }
    let tasks = reckoned.planned.plan.iter().flat_map(|p| &p.tasks);
    for task in tasks.filter(|t| t.id == thing) {
        chain.task(task);
    }
    chain.reasons
}

/// `walnut-crown.dough@batch-2`.
fn batch_id(batch: &Batch) -> String {
    format!("{}.{}@batch-{}", batch.lesson, batch.part, batch.no)
}

/// `walnut-crown.bake@load-1`: also the id of its task.
fn load_id(load: &Load) -> String {
    format!("{}.{}@load-{}", load.lesson, load.step, load.no)
}

/// What is asked about for the money: what one student costs.
pub const COST: &str = "cost";

struct ChainOf<'a> {
    reckoned: &'a Reckoned,
    sources: &'a Sources,
    reasons: Vec<Reason>,
}

impl ChainOf<'_> {
    fn say(&mut self, depth: usize, text: String, place: Option<Place>) {
        let at = place.and_then(|p| self.sources.locate(p));
        let text = match at {
            Some(at) => format!("{text} ({}:{})", at.file, at.line),
            None => text,
        };
        self.reasons.push(Reason { depth, text });
    }

    /// How much of an ingredient, how it comes together, what of it is bought.
    fn item(&mut self, item: &Item) {
        let id = &item.id.value;
        let Some(total) = self.reckoned.weighed.totals.iter().find(|t| t.item == *id) else { return };
        self.say(
            0,
            format!("{}: {} g are weighed in all", item.name.value, digits(total.grams)),
            item.id.place,
        );
        let lists: Vec<(Group, List)> = self
            .reckoned
            .weighed
            .groups()
            .flat_map(|g| g.lists.iter().map(move |l| (g.clone(), l.clone())))
            .collect();
        for (group, list) in &lists {
            let Some(weight) = list.ingredients.iter().find(|w| w.item == *id) else { continue };
            let (words, place) = self.written(list, item);
            let exact = if weight.exact == weight.grams {
                String::new()
            } else {
                format!(", {} g before the scale's step", digits(weight.exact))
            };
            let text = format!(
                "{} g for {}, {} of {}{exact}: {words}",
                digits(weight.grams),
                for_whom(group),
                list.part,
                list.lesson
            );
            self.say(1, text, place);
        }
        let Some(line) = self.reckoned.order.lines.iter().find(|l| l.item == *id) else {
            self.say(0, "It is not ordered: the kitchen always has it".to_owned(), item.id.place);
            return;
        };
        self.say(0, format!("{} g are needed", digits(line.need)), None);
        self.say(1, format!("{} g are weighed", digits(line.total)), None);
        for allowance in &line.allowances {
            let place =
                item.allowances.iter().find(|a| a.why.value == allowance.why).and_then(|a| a.share.place);
            let share = item.allowances.iter().find(|a| a.why.value == allowance.why);
            let share = share.map_or(String::new(), |a| format!(", {} of that", a.share.value));
            self.say(1, format!("{} g on top: {}{share}", digits(allowance.grams), allowance.why), place);
        }
        if line.on_hand > Grams::ZERO {
            let place = item.stock.first().and_then(|s| s.of.place);
            self.say(0, format!("{} g of it are on the shelf", digits(line.on_hand)), place);
        }
        let currency = self.reckoned.order.currency.clone();
        for bought in &line.bought {
            let pack =
                item.packs.iter().find(|p| p.of.value == bought.of && p.supplier.value == bought.supplier);
            let text = format!(
                "{} x {} g are bought from {} at {} {currency} each",
                bought.count,
                digits(bought.pack_grams),
                bought.supplier,
                decimal(bought.price, &currency)
            );
            self.say(0, text, pack.and_then(|p| p.of.place));
        }
        if line.missing {
            self.say(0, "No pack of it can be had".to_owned(), item.id.place);
        }
        if line.surplus > Grams::ZERO {
            self.say(0, format!("{} g are left over", digits(line.surplus)), None);
        }
    }

    /// What one student costs, down to each pack: the sums are exact, and only the last line is rounded.
    fn cost(&mut self) {
        let (order, costs) = (&self.reckoned.order, &self.reckoned.costs);
        let (course, headcount) = (&self.reckoned.course, self.reckoned.class.headcount);
        let money = |m: Money| decimal(m, &order.currency);
        let currency = &order.currency;
        let each = order.total.amount() / rust_decimal::Decimal::from(headcount.max(1));
        let least = if order.is_complete() { "" } else { "at least " };
        self.say(
            0,
            format!(
                "{least}{} {currency} for each student: {} {currency} for {headcount} is {}, rounded once",
                money(order.per_student),
                money(order.total),
                each.round_dp(6).normalize()
            ),
            None,
        );
        for delivery in &order.deliveries {
            let supplier = course.pantry.supplier(&delivery.supplier);
            let text =
                format!("{} {currency} at {}", money(delivery.goods + delivery.fee), delivery.supplier);
            self.say(1, text, supplier.and_then(|s| s.id.place));
            for line in &order.lines {
                for bought in line.bought.iter().filter(|b| b.supplier == delivery.supplier) {
                    let item = course.pantry.item(&line.item);
                    let pack = item.and_then(|i| {
                        i.packs
                            .iter()
                            .find(|p| p.of.value == bought.of && p.supplier.value == bought.supplier)
                    });
                    let text = format!(
                        "{} x {} of {} at {}: {}",
                        bought.count,
                        words_of(bought.of),
                        line.item,
                        money(bought.price),
                        money(bought.price.times(i64::from(bought.count)))
                    );
                    self.say(2, text, pack.and_then(|p| p.price.place));
                }
            }
            if delivery.fee > Money::ZERO {
                let place = supplier.and_then(|s| s.delivery_fee.as_ref()?.place);
                self.say(2, format!("delivery: {}", money(delivery.fee)), place);
            }
        }
        for id in order.missing() {
            let text = format!("{id} is in no sum: no pack of it can be had, so nobody knows its price");
            self.say(1, text, course.pantry.item(id).and_then(|i| i.id.place));
        }
        for lesson in &costs.lessons {
            let text = format!(
                "{} {currency} a student go into {}, what the shelf gives counted at its price; {} a piece",
                money(lesson.per_student),
                lesson.lesson,
                money(lesson.per_piece)
            );
            self.say(1, text, course.lesson(&lesson.lesson).and_then(|l| l.id.place));
        }
        let left: Money = costs.left_over.iter().map(|l| l.value).sum();
        self.say(1, format!("{} {currency} of the whole is left over", money(left)), None);
        if let (Some(margin), Some(fee)) = (&course.settings.margin, costs.fee_for_margin) {
            let kept = rust_decimal::Decimal::ONE - margin.value.factor();
            let text = format!(
                "{} {currency} is the fee that leaves {}: {} divided by {}",
                money(fee),
                margin.value,
                each.round_dp(6).normalize(),
                kept.normalize()
            );
            self.say(0, text, margin.place);
        }
    }

    /// The line of a formula that an ingredient of a list comes from: a variant's before the formula's own.
    fn written(&self, list: &List, item: &Item) -> (String, Option<Place>) {
        let is_it = |what: &Ingredient| matches!(what, Ingredient::Item(i) if *i == item.id.value);
        let formula = self.reckoned.course.formula(&list.formula);
        let variant = list.variant.as_ref().and_then(|v| formula?.variant(v));
        let replaced = variant.and_then(|v| {
            v.lines.iter().find(|(part, line)| part.value == list.part && is_it(&line.what.value))
        });
        let own = formula
            .and_then(|f| f.part(&list.part))
            .and_then(|p| p.of.iter().find(|line| is_it(&line.what.value)));
        match replaced.map(|(_, line)| line).or(own) {
            Some(line) => (format!("{} {}", item.id.value, share(line.share.value)), line.share.place),
            None => ("inside another part".to_owned(), formula.and_then(|f| f.id.place)),
        }
    }

    /// Why so many of a thing, and how many there are.
    fn need(&mut self, need: &Need) {
        self.say(0, format!("{}: {} are needed when all stand at once", need.item, need.needed), None);
        for (lesson, step, count) in &need.from {
            let lesson = self.reckoned.course.lesson(lesson);
            let step = step.as_ref().and_then(|s| lesson?.step(s));
            let place = step.and_then(|s| s.id.place).or(lesson.and_then(|l| l.makes.pieces.place));
            let lesson_id = lesson.map_or("", |l| l.id.value.as_str());
            let step = step.map_or(String::new(), |s| format!(", step {}", s.id.value));
            self.say(1, format!("{count} for {lesson_id}{step}"), place);
        }
        let course = &self.reckoned.course;
        let spared = |(lesson, ..): &(LessonId, Option<StepId>, u32)| {
            course.lesson(lesson).is_some_and(|l| l.makes.spare.value > 0)
        };
        if need.sort == Sort::Consumable && need.from.iter().any(spared) {
            self.say(1, "what staff use up for the spare pieces is counted".to_owned(), None);
        }
        if let Some(turn) = need.needed_with_plan {
            self.say(0, format!("{turn} are needed as the plan uses them in turn"), None);
        }
        self.say(0, format!("{} are there", need.on_hand), need.place);
        if let Some((count, from)) = &need.borrowed {
            self.say(1, format!("{count} of them from {from}"), need.place);
        }
        if need.short > 0 {
            self.say(0, format!("{} short when all stand at once", need.short), None);
        }
    }

    /// Why a batch is as big as it is, and in that bowl.
    fn batch(&mut self, batch: &Batch) {
        let vessel = match &batch.vessel {
            Vessel::Mixers(kinds) => kinds.iter().map(ToString::to_string).collect::<Vec<_>>().join(" or "),
            Vessel::ByHand => "by hand".to_owned(),
            Vessel::Other => "without a mixer".to_owned(),
        };
        self.say(0, format!("{}: {} g, {vessel}", batch_id(batch), digits(batch.grams)), None);
        for (who, grams) in &batch.members {
            self.say(1, format!("{} g for {}", digits(*grams), whom(who)), None);
        }
        let lesson = self.reckoned.course.lesson(&batch.lesson);
        let on_part = |step: &&crate::course::Step| {
            step.share.is_some() && step.on.iter().any(|c| c.value == Chain::Part(batch.part.clone()))
        };
        let place = lesson.and_then(|l| l.steps.iter().find(on_part)).and_then(|s| s.share.as_ref()?.place);
        self.say(1, batch.why.clone(), place);
    }

    /// Why a load holds so many pieces, in that oven.
    fn load(&mut self, load: &Load) {
        let ovens: Vec<String> = load.fits.iter().map(|(oven, _)| oven.to_string()).collect();
        let pieces: u32 = load.members.iter().map(|(_, n)| n).sum();
        self.say(0, format!("{}: {pieces} pieces in {}", load_id(load), ovens.join(" or ")), None);
        for (who, count) in &load.members {
            self.say(1, format!("{count} of {}", whom(who)), None);
        }
        let step = self.reckoned.course.lesson(&load.lesson).and_then(|l| l.step(&load.step));
        self.say(1, load.why().to_owned(), step.and_then(|s| s.id.place));
    }

    /// How long a task lasts as written, and the chain of tasks, things and people that holds it where it is.
    fn task(&mut self, task: &PlannedTask) {
        let clock = |at: &jiff::ZonedDateTime| at.strftime("%a %H:%M").to_string();
        self.say(0, format!("{}: {} to {}", task.id, clock(&task.start), clock(&task.end)), None);
        let step = task.lesson.as_ref().and_then(|l| self.reckoned.course.lesson(l)?.step(&task.step));
        let own =
            self.reckoned.course.own_steps.iter().find(|s| task.lesson.is_none() && s.id.value == task.step);
        let written = match step {
            Some(step) => Some(self.lasting(task, step)),
            None => own.map(|o| (format!("it usually takes {}", o.takes.value.usual), o.takes.place)),
        };
        if let Some((words, place)) = written {
            self.say(1, words, place);
        }
        if task.made_ahead {
            self.say(1, "staff make it ahead, outside the sessions".to_owned(), None);
        }
        if !task.stations.is_empty() {
            let stations: Vec<u32> = task.stations.iter().map(|s| s.0).collect();
            let word = if stations.len() == 1 { "station" } else { "stations" };
            self.say(1, format!("students of {word} {}", ranges(&stations)), None);
        }
        let Reckoned { course, class, portions, planned, .. } = self.reckoned;
        let Some(plan) = &planned.plan else { return };
        let chain = chain(course, class, portions, plan, &task.id);
        if let Some(first) = chain.first() {
            let words = match first.by {
                Some(_) => "What holds it there, back to the clock:",
                None => "What holds it there:",
            };
            self.say(0, words.to_owned(), None);
        }
        for held in &chain {
            let start = plan.task(&held.task).map(|t| t.start.strftime("%a %H:%M").to_string());
            let words = match &held.by {
                Some(by) => {
                    let joint = if held.because.starts_with("which ") { "," } else { ":" };
                    format!("{} waits for {by}{joint} {}", held.task, held.because)
                }
                None => format!("{}: {}", held.task, held.because),
            };
            self.say(1, format!("{} {words}", start.unwrap_or_default()).trim_start().to_owned(), None);
        }
    }

    /// How long a task lasts as its line of the lesson says it of the way in which the plan does it: in a mixer or by hand, straight or by the cold.
    fn lasting(&self, task: &PlannedTask, step: &Step) -> (String, Option<Place>) {
        let range = |what: &str, stands: Stands| {
            let most = stands.most.map_or(String::new(), |m| format!(", at most {m}"));
            format!("{what} at least {}{most}", stands.least)
        };
        let takes = match (&step.lasts, &step.wait_cold) {
            (_, Some(wait)) if task.cold_wait => {
                return (range("it waits in the cold", wait.stands.value), wait.stands.place);
            }
            (Lasts::Stands(_), Some(wait)) if task.from_cold => {
                return (range("it comes out of the cold, and stands", wait.then.value), wait.then.place);
            }
            (Lasts::Stands(stands), _) => return (range("it stands", stands.value), stands.place),
            (Lasts::Takes { takes, each }, _) => (takes, each),
        };
        let by_hand = step.by_hand.as_ref().filter(|_| task.by_hand);
        let (first, each) = (by_hand.unwrap_or(takes.0), takes.1.as_ref());
        let pieces: u32 = task.members.iter().map(|(_, n)| n).sum();
        let usual = usual(first.value, each.map(|e| e.value), pieces);
        let mut words = match by_hand {
            Some(_) => {
                format!("it is kneaded by hand, since its batch has no mixer, and usually takes {usual}")
            }
            None => format!("it usually takes {usual}"),
        };
        if let (Some(each), true) = (each, pieces > 1) {
            words.push_str(&format!(
                " for {pieces} pieces: {} for the first and {} for each more",
                first.value.usual, each.value.usual
            ));
        }
        let planned = Minutes(task.start.duration_until(&task.end).as_mins());
        if planned > usual {
            let step = self.reckoned.course.settings.grid.value;
            words.push_str(&format!("; planned are {planned}, in steps of {step}"));
        }
        (words, first.place)
    }
}

fn share(share: Share) -> String {
    match share {
        Share::Percent(p) => p.to_string(),
        Share::Flour(p) => format!("carrying {p} of the flour"),
        Share::Grams(g) => format!("{} g for each piece", digits(g)),
    }
}

fn for_whom(group: &Group) -> String {
    match &group.who {
        Who::Station(no, _) => format!("station {no}"),
        Who::Stage { up_to, .. } => format!("the stage {up_to}"),
        Who::Spare(_) => "the spare pieces".to_owned(),
        Who::Shared { batch, members, .. } => {
            let members: Vec<String> = members.iter().map(whom).collect();
            format!("batch {batch} ({})", members.join(", "))
        }
    }
}
