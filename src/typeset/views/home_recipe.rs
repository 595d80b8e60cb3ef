//! The take-home handout: one home batch, with its own clock.

use super::common::{About, Fact, Gets, Measure, Photograph, Phrase};
use super::desk::Desk;
use super::drawing::{Units, drawing};
use super::instead::{InPart, here};
use super::steps::{draws_one, tells_of_one};
use super::wording::{
    core, fact, filled_in, held, in_one, in_words, item_name, length, mass_on, oven_dial, spoken, temperature,
};
use crate::course::{Basis, Formula, Ingredient, Inside, ItemKind, Lesson, Measures, Step, VariantId, Where};
use crate::reckon::allergens::of_piece;
use crate::reckon::drawings::Drawing;
use crate::reckon::drawn;
use crate::reckon::eggs::EggPlan;
use crate::reckon::home::{
    HOME_RACK, HomeBatch, HomeLine as Line, HomePart as Part, HomeStep as Planned, figures_of,
};
use crate::reckon::measures::{ByWeightOnly, Vessel};
use crate::reckon::safety::cautions::cautions;
use crate::reckon::yeast::{YeastKind, instead_of};
use crate::units::{Grams, Minutes, Percent};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value;

/// What `templates/home-recipe.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeRecipe {
    /// `home-recipe`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The formula's name.
    pub name: String,
    /// The variant, where this is one.
    pub variant: Option<String>,
    /// How many pieces it makes.
    pub makes: u32,
    /// How many small ones make up one of them: six, where a roll is cut in six. 1: it is one thing.
    pub in_one: u32,
    /// In what: `a round tin of 20 cm`; empty where it does not matter: a tray at home is the home's own.
    pub tin: String,
    /// Work of one's hands, in minutes.
    pub hands_on: i64,
    /// From the first bowl to the cut, in minutes.
    pub in_all: i64,
    /// The parts in the order of the work.
    pub parts: Vec<HomePart>,
    /// Whose cups and spoons its measures are: `us`, `metric`, `australian`, the end of a key `cups-…` of the catalogue's `[home]`;
    /// empty where none is used.
    pub cups: String,
    /// What one needs: keys of the catalogue's `[tool]`.
    pub tools: Vec<String>,
    /// What one needs beside, by the names of the class's own kitchen.
    pub own_tools: Vec<String>,
    /// The steps.
    pub steps: Vec<HomeStep>,
    /// Oven without a fan, and with one.
    pub oven: Vec<Fact>,
    /// How to keep it, in the teacher's words.
    pub keep: Vec<String>,
    /// How many days it keeps; `None` is not written.
    pub keeps_days: Option<u32>,
    /// Contains, by the words of the course's list.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Ingredients whose allergens nobody has read.
    pub unknown: Vec<String>,
    /// Where the formula comes from.
    pub source: String,
    /// Total hydration and such figures for one who likes them.
    pub figures: Vec<Fact>,
    /// Its yeast, and what other kinds would weigh; `None`: no yeast, or several kinds.
    pub yeast: Option<HomeYeast>,
    /// Eggs for all parts together; `None`: no egg in it, or an egg's weight is unknown.
    pub eggs: Option<HomeEggs>,
}

/// Eggs of the batch.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeEggs {
    /// To crack.
    pub count: i64,
    /// Beaten egg and yolk left over, which can go into a wash; `None`: none.
    pub for_wash: Option<Measure>,
    /// White left over; `None`: none.
    pub white: Option<Measure>,
}

/// The yeast of the batch.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeYeast {
    /// `fresh`, `active-dry`, `instant`: a key of the catalogue's `[yeast]`.
    pub kind: String,
    /// How much.
    pub amount: Measure,
    /// The other kinds in its place.
    pub instead: Vec<OtherYeast>,
}

/// Another kind of yeast.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OtherYeast {
    /// The kind.
    pub kind: String,
    /// How much.
    pub amount: Measure,
}

/// One part of the home batch.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomePart {
    /// Its name.
    pub name: String,
    /// Its lines.
    pub lines: Vec<HomeLine>,
    /// Their sum.
    pub total: Measure,
    /// So much of it the class makes at least, where this is less: with less it may not do. Else `None`.
    pub least: Option<Measure>,
}

/// One ingredient.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeLine {
    /// Its name.
    pub name: String,
    /// By weight.
    pub grams: Measure,
    /// By volume or by the piece: `4 1/2 cup` and `1 tbsp`; units are keys of the catalogue's `[unit]`. Empty where only weight will do.
    pub by_volume: Vec<Measure>,
    /// The same in sticks, blocks or packets as the pantry names them; `None` where they would be off by 5 % or more.
    pub packets: Option<Measure>,
    /// It is counted, and not quite that many: `about 1 egg`.
    pub about: bool,
    /// No spoon measures so little of it well enough.
    pub weigh_only: bool,
    /// How far what is measured is from the weight, in whole per cent with its sign; empty below 5 %.
    pub off: String,
}

/// One step at home.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HomeStep {
    /// Its number.
    pub number: u32,
    /// Minutes after the start.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// May stand as long as this, in minutes; `None` for work.
    pub until: Option<i64>,
    /// The measures are of one piece, and so many are made; `None` where there is nothing to mistake.
    pub each: Option<u32>,
    /// So many minutes it waits after the step before at least, and at most; `None` where it may follow at once.
    pub rests: Option<(i64, Option<i64>)>,
    /// It stands, or what it takes up has waited, longer than it should: one pair of hands cannot keep to it.
    pub beyond: Option<Phrase>,
    /// What is done.
    pub name: String,
    /// It happens by itself.
    pub waits: bool,
    /// What to do.
    pub say: String,
    /// What its variant has in place of what those words may name, in the parts that the step takes up.
    pub here: Vec<InPart>,
    /// How long by hand, from the shortest to the longest, in minutes; empty where a machine saves none.
    pub by_hand: Vec<i64>,
    /// Where it stands, if that is not the room: `cold`, `freezer`, `warm`, the end of a key `in-…` of the catalogue's `[home]`; else
    /// empty.
    pub place: String,
    /// The time is an estimate, reckoned for a home's temperature.
    pub estimate: bool,
    /// How often it is done one after the other, for want of room in the oven or a larger bowl.
    pub rounds: u32,
    /// How many stand on a home oven's rack at once, and how large that is taken to be; `None` where there is nothing to share it.
    pub at_once: Option<Phrase>,
    /// Figures.
    pub facts: Vec<Fact>,
    /// What goes onto or into each piece, where neither words nor drawings say how much.
    pub gets: Vec<Gets>,
    /// Drawings, as `views::drawing::drawing` gives them.
    pub drawings: Vec<Value>,
    /// A photograph that stands beside or in place of the drawings.
    pub photograph: Option<Photograph>,
    /// Cautions by their keys in the catalogue's `[danger]`.
    pub cautions: Vec<String>,
}

impl HomeRecipe {
    /// An empty sheet of this kind.
    pub fn new() -> HomeRecipe {
        HomeRecipe { kind: "home-recipe", ..HomeRecipe::default() }
    }
}

impl HomeRecipe {
    /// The home recipe of a formula, timed by the lesson that teaches it. `None` where the formula does not resolve.
    pub fn of(
        desk: &Desk,
        formula: &Formula,
        lesson: Option<&Lesson>,
        variant: Option<&VariantId>,
    ) -> Option<HomeRecipe> {
        let batch = HomeBatch::of(desk.course, formula, lesson, variant)?;
        let made = &batch.formula;
        let words = held(desk.course, &of_piece(made, &desk.course.pantry));
        let units = desk.units();
        let ovens = batch.steps.iter().find_map(|s| s.heat);
        let oven = ovens.map_or_else(Vec::new, |(still, fan)| {
            vec![fact("no-fan", vec![oven_dial(still, units)]), fact("fan", vec![oven_dial(fan, units)])]
        });
        let hydration = figures_of(desk.course, made).and_then(|(_, f)| f.hydration.water_content.known());
        let figures = hydration.map(|h| {
            fact("hydration", vec![Measure::new(h.number().round_dp(0).normalize().to_string(), "%")])
        });
        let mut steps: Vec<&Planned> = batch.steps.iter().collect();
        steps.sort_by_key(|s| (s.from, s.to));
        let parts: Vec<HomePart> = batch
            .parts
            .iter()
            .map(|p| HomePart {
                name: desk.part_name(&made.id.value, &p.part),
                lines: home_lines(desk, made, p),
                total: desk.mass(p.weighed),
                least: p.below_least.map(|least| desk.mass(least)),
            })
            .collect();
        Some(HomeRecipe {
            about: desk.about_food_of(lesson.map(|l| &l.id.value)),
            name: made.name.value.clone(),
            variant: variant.map(|v| desk.variant_name(v)),
            makes: batch.pieces,
            in_one: in_one(&made.piece),
            tin: tin(desk, made),
            hands_on: batch.hands_on.get(),
            in_all: batch.in_all.get(),
            cups: cups(desk, &parts).to_owned(),
            parts,
            tools: lesson.map_or_else(Vec::new, |l| tools(l, &batch)),
            own_tools: lesson.map_or_else(Vec::new, |l| own_tools(desk, l)),
            steps: lesson.map_or_else(Vec::new, |l| home_steps(desk, &batch, l, &steps)),
            oven,
            keep: made.store.as_ref().map(|s| s.value.clone()).into_iter().collect(),
            keeps_days: made.keeps_days.as_ref().map(|d| d.value),
            contains: words.contains,
            may_contain: words.may_contain,
            unknown: words.unknown,
            source: made.source.as_ref().map_or_else(String::new, |s| s.value.clone()),
            figures: figures.into_iter().collect(),
            yeast: batch.yeast.map(|(kind, grams)| home_yeast(desk, kind, grams)),
            eggs: batch.eggs.map(|plan| home_eggs(&plan)),
            ..HomeRecipe::new()
        })
    }
}

/// Whose cups and spoons they are, where any is used.
fn cups(desk: &Desk, parts: &[HomePart]) -> &'static str {
    let mut measures = parts.iter().flat_map(|p| &p.lines).flat_map(|l| &l.by_volume);
    if !measures.any(|m| matches!(m.unit.as_str(), "cup" | "tbsp" | "tsp")) {
        return "";
    }
    match desk.course.settings.measures.value {
        Measures::Us => "us",
        Measures::Metric => "metric",
        Measures::Australian => "australian",
    }
}

fn tin(desk: &Desk, formula: &Formula) -> String {
    let Some(id) = formula.piece.tin.as_ref() else { return String::new() };
    let inside = desk.course.kitchen.tins.iter().find(|t| t.id.value == id.value).map(|t| t.inside.value);
    let name = desk.equipment_name(&id.value);
    let long = |c| {
        let m = super::wording::length(c, desk.units());
        format!("{}\u{202F}{}", m.value, m.unit)
    };
    match inside {
        // A name that says its size already needs no more.
        Some(Inside::Round { across, .. })
            if !name.contains(&across.to_decimal().normalize().to_string()) =>
        {
            format!("{name}, {}", long(across))
        }
        _ => name,
    }
}

/// The lines of a part. What is reckoned on flour begins with its flour, wherever a variant wrote it.
fn home_lines(desk: &Desk, formula: &Formula, part: &Part) -> Vec<HomeLine> {
    let on_flour = formula.part(&part.part).is_some_and(|p| p.basis.value == Basis::Flour);
    let is_flour = |line: &Line| match &line.what {
        Ingredient::Item(id) => desk.course.pantry.item(id).is_some_and(|i| i.kind.value == ItemKind::Flour),
        Ingredient::Part(_) => false,
    };
    let mut lines: Vec<&Line> = part.lines.iter().collect();
    lines.sort_by_key(|line| on_flour && !is_flour(line));
    lines.into_iter().map(|line| home_line(desk, formula, line)).collect()
}

fn home_line(desk: &Desk, formula: &Formula, line: &Line) -> HomeLine {
    let (name, item) = match &line.what {
        Ingredient::Item(id) => (item_name(desk.course, id), desk.course.pantry.item(id)),
        Ingredient::Part(part) => (desk.part_name(&formula.id.value, part), None),
    };
    let terms = |line: &Line| {
        let volume = line.volume.as_ref()?.as_ref().ok()?;
        let unit = |v: &Vessel| match v {
            Vessel::Cup => "cup",
            Vessel::Tablespoon => "tbsp",
            Vessel::Teaspoon => "tsp",
        };
        Some(volume.terms.iter().map(|(n, v)| Measure::new(n.to_string(), unit(v))).collect::<Vec<_>>())
    };
    // Eggs are counted where they come out whole; a spoon of egg is for what is left.
    let counted = line.pieces.as_ref().filter(|_| item.is_some_and(|i| i.kind.value == ItemKind::Egg));
    let error = |e: Percent| e.number().round_dp(0);
    let (by_volume, off, about) = match counted {
        Some((n, e)) => (vec![Measure::new(n.to_string(), "egg")], error(*e), !error(*e).is_zero()),
        None => {
            let e = line.volume.as_ref().and_then(|v| v.as_ref().ok()).map_or(Percent::ZERO, |v| v.error);
            (terms(line).unwrap_or_default(), error(e), false)
        }
    };
    let off = if off.abs() < Decimal::from(5) || about { String::new() } else { format!("{off:+}") };
    let weigh_only = line.volume == Some(Err(ByWeightOnly::TooCoarse));
    let packets = line
        .packets
        .as_ref()
        .filter(|p| p.error.number().abs() < Decimal::from(5))
        .map(|p| Measure::new(p.count.to_string(), &p.name));
    HomeLine { name, grams: desk.mass_of(item, line.grams), by_volume, packets, about, weigh_only, off }
}

fn home_eggs(plan: &EggPlan) -> HomeEggs {
    let whole = |grams: Grams| {
        let near = grams.to_nearest(Grams::whole(1));
        (near > Grams::ZERO).then(|| mass_on(near, Grams::whole(1)))
    };
    HomeEggs { count: plan.eggs(), for_wash: whole(plan.for_the_wash()), white: whole(plan.left_white) }
}

fn home_yeast(desk: &Desk, kind: YeastKind, grams: Grams) -> HomeYeast {
    let key = |kind: YeastKind| match kind {
        YeastKind::Fresh => "fresh".to_owned(),
        YeastKind::ActiveDry => "active-dry".to_owned(),
        YeastKind::Instant => "instant".to_owned(),
    };
    let amount = |grams: Grams| mass_on(grams, desk.course.settings.fine_step.value);
    let by = desk.course.settings.conventions.yeast.value;
    HomeYeast {
        kind: key(kind),
        amount: amount(grams),
        instead: instead_of(grams, kind, by)
            .into_iter()
            .map(|(other, grams)| OtherYeast { kind: key(other), amount: amount(grams) })
            .collect(),
    }
}

/// What the steps need, by where they are done and by their drawings.
fn tools(lesson: &Lesson, batch: &HomeBatch) -> Vec<String> {
    let steps: Vec<&Step> =
        batch.steps.iter().filter_map(|s| lesson.step(&s.step)).filter(|s| !s.demo).collect();
    let at = |place: Where| steps.iter().any(|s| s.place.value == place);
    let drawn =
        |names: &[&str]| steps.iter().flat_map(|s| &s.draw).any(|d| names.contains(&d.value.as_str()));
    let needed = [
        ("scale", true),
        ("bowl", true),
        ("mixer", at(Where::Mixer)),
        ("pan", at(Where::Hob)),
        ("pin", drawn(&["roll-out", "letter-fold", "book-fold"])),
        ("ruler", drawn(&["roll-out", "slice"])),
        ("knife", drawn(&["slice", "cut-lengthwise", "score"])),
        ("brush", drawn(&["egg-wash", "syrup"])),
        ("film", at(Where::Cold) || drawn(&["rest"])),
        ("thermometer", steps.iter().any(|s| s.core.is_some())),
        // What stands in no tin bakes on one.
        ("tray", at(Where::Oven) && batch.formula.piece.tin.is_none()),
        ("cloth", at(Where::Oven)),
        ("rack", at(Where::Rack) || drawn(&["turn-out"])),
    ];
    needed.iter().filter(|(_, is)| *is).map(|(word, _)| (*word).to_owned()).collect()
}

/// Things of the class's kitchen that the steps name, as far as no word of ours stands for them.
fn own_tools(desk: &Desk, lesson: &Lesson) -> Vec<String> {
    let ours = ["pin", "ruler", "knife", "brush", "scale", "bowl", "scraper", "probe"];
    let mut names: Vec<String> = Vec::new();
    for used in lesson.steps.iter().filter(|s| !s.demo).flat_map(|s| &s.uses) {
        let is_tool = desk.course.kitchen.tools.iter().any(|t| t.id.value == used.what.value);
        let name = desk.mid_sentence(&desk.equipment_name(&used.what.value));
        if is_tool && !ours.contains(&used.what.value.as_str()) && !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// What is baked at once, and the rack that this is reckoned for.
fn at_once(at_once: u32, pieces: u32, units: Units) -> Phrase {
    let (width, depth) = (length(HOME_RACK.width, units), length(HOME_RACK.depth, units));
    let (wide, deep) = (in_words(&width.value), in_words(&depth.value));
    let rack = format!("{wide}\u{a0}\u{d7} {deep}\u{202F}{}", depth.unit);
    let word = if at_once < pieces { "home.waits-cold" } else { "home.at-once" };
    Phrase::new(word, [("n", at_once.min(pieces).to_string()), ("rack", rack)])
}

/// Steps at home, numbered and counted from the first of them.
pub fn home_steps(desk: &Desk, batch: &HomeBatch, lesson: &Lesson, steps: &[&Planned]) -> Vec<HomeStep> {
    let start = steps.first().map_or(Minutes::ZERO, |s| s.from);
    let one = |(n, step): (usize, &&Planned)| {
        let step = Planned { from: step.from - start, to: step.to - start, ..(*step).clone() };
        home_step(desk, &batch.formula, lesson, &step, n, batch)
    };
    steps.iter().enumerate().filter_map(one).collect()
}

fn home_step(
    desk: &Desk,
    formula: &Formula,
    lesson: &Lesson,
    planned: &Planned,
    n: usize,
    batch: &HomeBatch,
) -> Option<HomeStep> {
    let step = lesson.step(&planned.step)?;
    let units = desk.units();
    let say = step
        .say
        .as_ref()
        .map_or_else(String::new, |s| filled_in(&s.value, &formula.piece, units, &desk.tongue));
    let mut facts = Vec::new();
    facts.extend(step.aim.as_ref().map(|a| fact("aim", vec![temperature(a.value, units)])));
    if let Some((still, fan)) = planned.heat {
        facts.push(fact("oven", vec![oven_dial(still, units)]));
        facts.push(fact("fan", vec![oven_dial(fan, units)]));
    }
    facts.extend(step.core.as_ref().and_then(|c| core(c.value, units)));
    let drawings = drawn::at_home(desk.course, &desk.recipes, lesson, step, batch);
    // So little dough is kneaded by hand at home, whatever the class did.
    let in_hand = |d: Drawing| if batch.too_little_for_the_hook { d.by_hand() } else { d };
    let drawings: Vec<Value> = drawings.into_iter().map(in_hand).map(|d| drawing(&d, units)).collect();
    let as_written = step.say.as_ref().map_or("", |s| s.value.as_str());
    let recipe = desk.recipes.get(&lesson.formula.value, batch.variant.as_ref());
    let gets = recipe.map_or_else(Vec::new, |r| desk.gets(r, step, batch.pieces, as_written, &drawings));
    let of_one = tells_of_one(as_written) || drawings.iter().any(draws_one);
    let each = Some(batch.pieces).filter(|n| of_one && *n > 1);
    let until = planned.most.filter(|m| *m > planned.to - planned.from).map(Minutes::get);
    let carry = step.carry.as_ref().map(|c| c.value).filter(|c| c.least > Minutes::ZERO);
    let rests = carry.map(|c| (c.least.get(), c.most.map(Minutes::get)));
    Some(HomeStep {
        number: u32::try_from(n + 1).unwrap_or(u32::MAX),
        from: planned.from.get(),
        to: planned.to.get(),
        until,
        rests,
        beyond: planned.beyond.map(|b| {
            let (time, most) = (("time", b.waits.to_string()), ("most", b.most.to_string()));
            match (b.keep_cold, b.stood) {
                (true, _) => Phrase::new("home.waits-in-fridge", [time]),
                (false, true) => Phrase::new("home.stands-too-long", [time, most]),
                (false, false) => Phrase::new("home.waits-too-long", [time, most]),
            }
        }),
        each,
        name: step.name.as_ref().map_or_else(|| spoken(step.id.value.as_str()), |n| n.value.clone()),
        waits: planned.waits,
        say,
        here: if planned.waits { Vec::new() } else { here(desk, lesson, batch.variant.as_ref(), step) },
        by_hand: planned.by_hand.map(|t| vec![t.least.get(), t.most.get()]).unwrap_or_default(),
        place: planned.stands_in().unwrap_or_default().to_owned(),
        estimate: planned.estimate,
        rounds: planned.rounds,
        at_once: planned.at_once.map(|n| at_once(n, batch.pieces, units)),
        facts,
        gets,
        drawings,
        photograph: desk.photograph(&lesson.id.value, &planned.step),
        cautions: cautions(desk.course, lesson, Some(formula), step),
    })
}
