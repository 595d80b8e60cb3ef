//! How each part can be split into batches: which stations share a bowl, in which mixers, and why.
//!
//! A batch holds whole stations with one variant, at most as many as the step's `share`, no more than a bowl carries of that
//! class of dough and no less than its hook catches. What no hook catches is made by hand. Few mixes and even batches come
//! first; where more mixes at one time would be over sooner, or leave the only large mixer to others, that way is kept too,
//! for the plan to choose.

mod bowls;
mod members;

pub use bowls::{Bowl, Fit, Limit, bowls, class_of, fit, shown, why};
pub use members::{Member, VariantGroup, members};

use super::recipes::Recipes;
use super::scale::main_parts;
use super::split::{Cost, cuts};
use super::work::{Batch, Portion, Split, Vessel, Whom};
use crate::course::{Course, DoughClass, Lesson, PartId, Per, Step, StepId, Where};
use crate::finding::Finding;
use crate::units::Grams;
use std::collections::BTreeSet;

/// The most splits that are handed on for one part.
pub const MOST_SPLITS: usize = 6;

/// The most ways that are compared with one another.
const MOST_COMPARED: usize = 4000;

/// How a part is made: by the steps that work on it before it joins others.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Made<'a> {
    /// In batches, begun by this step.
    Batch(&'a Step),
    /// Once for the class, begun by this step.
    Class(&'a Step),
    /// By each station itself, or together with the part that takes it.
    Station,
}

/// How a lesson makes a part.
pub fn how_made<'a>(recipes: &Recipes, lesson: &'a Lesson, part: &PartId) -> Made<'a> {
    let own = |s: &&Step| !s.demo && main_parts(recipes, lesson, s) == [part];
    let find = |per: Per, at_mixer: bool| {
        lesson
            .steps
            .iter()
            .filter(own)
            .find(|s| s.per.value == per && (!at_mixer || s.place.value == Where::Mixer))
    };
    if let Some(step) = find(Per::Batch, true).or_else(|| find(Per::Batch, false)) {
        return Made::Batch(step);
    }
    match find(Per::Class, true).or_else(|| find(Per::Class, false)) {
        Some(step) => Made::Class(step),
        None => Made::Station,
    }
}

/// One way of cutting everything: batches as members of variant groups.
#[derive(Clone)]
struct Way {
    /// Group, and which of its members.
    batches: Vec<(usize, Vec<usize>)>,
    over: u32,
    under: u32,
    uneven: i128,
    rounds: u32,
    /// Batches for which there is only one mixer: another lesson may want it at the same time.
    scarce: usize,
}

/// What decides about one part of one lesson.
struct Question<'a> {
    lesson: &'a Lesson,
    part: &'a PartId,
    step: &'a Step,
    class: DoughClass,
    bowls: Vec<Bowl<'a>>,
    at_mixer: bool,
    share: usize,
}

/// The feasible splits of one part, the preferred one first, and what is to be said about them. Empty only for a part that is
/// neither made in batches nor once for the class, or of which nothing is needed.
pub fn splits(
    course: &Course,
    recipes: &Recipes,
    portions: &[Portion],
    lesson: &Lesson,
    part: &PartId,
) -> (Vec<Split>, Vec<Finding>) {
    let (step, batches) = match how_made(recipes, lesson, part) {
        Made::Batch(step) => (step, true),
        Made::Class(step) => (step, false),
        Made::Station => return (Vec::new(), Vec::new()),
    };
    let groups = members(recipes, lesson, portions, part);
    if groups.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let at_mixer = step.place.value == Where::Mixer;
    // One limit for all batches: that of the richest way in which the part is made.
    let class = groups
        .iter()
        .map(|g| bowls::class_of(course, recipes, lesson, part, g.variant.as_ref()))
        .max()
        .unwrap_or(DoughClass::Rich);
    let mut findings = Vec::new();
    let bowls = if at_mixer { bowls(course, class, &mut findings) } else { Vec::new() };
    let by_hand_only = at_mixer && bowls.is_empty();
    let question = Question {
        lesson,
        part,
        step,
        class,
        bowls,
        at_mixer,
        // A station that mixes by hand shares with no other.
        share: match (&step.share, by_hand_only) {
            (_, true) => 1,
            (Some(s), _) => s.value.max(1) as usize,
            (None, _) => usize::MAX,
        },
    };
    if at_mixer && course.kitchen.mixers.is_empty() {
        findings.push(
            Finding::note(
                "no-mixer",
                step.place.place,
                format!(
                    "the kitchen has no mixer: `{part}` of `{}` is mixed by hand at each station",
                    lesson.id
                ),
            )
            .way_out("give kitchen.toml a mixer, or the step another place"),
        );
    }
    let ways = if batches { question.ways(&groups) } else { vec![question.once(&groups)] };
    let splits: Vec<Split> = ways.iter().map(|w| question.split(recipes, &groups, w)).collect();
    if let Some(first) = splits.first() {
        findings.extend(question.findings(first));
    }
    (splits, findings)
}

impl Question<'_> {
    fn fit(&self, grams: Grams) -> Fit {
        if self.at_mixer { bowls::fit(&self.bowls, grams) } else { Fit::Anything }
    }

    /// Once for the class: a batch for each way in which the part is made.
    fn once(&self, groups: &[VariantGroup]) -> Way {
        let batches =
            groups.iter().enumerate().map(|(g, group)| (g, (0..group.members.len()).collect())).collect();
        self.weigh_up(groups, batches)
    }

    /// All ways worth keeping, the preferred first.
    fn ways(&self, groups: &[VariantGroup]) -> Vec<Way> {
        let stages = groups.iter().any(|g| g.members.iter().any(|m| !m.is_station()));
        let stations = groups.iter().any(|g| g.members.iter().any(Member::is_station));
        let apart = if stages && stations { self.best(groups, true) } else { Vec::new() };
        if !apart.is_empty() && self.stage_comes_first(groups) {
            return apart.into_iter().take(MOST_SPLITS).collect();
        }
        let together = self.best(groups, false);
        // Stages made by themselves stay a choice: they may have to be ready long before the class mixes.
        let kept = together.len().min(MOST_SPLITS - apart.len().min(2));
        together.into_iter().take(kept).chain(apart).take(MOST_SPLITS).collect()
    }

    /// Whether a stage must be ready for a demo that the class's own mixing waits for.
    fn stage_comes_first(&self, groups: &[VariantGroup]) -> bool {
        let before = steps_before(self.lesson, self.step);
        groups.iter().flat_map(|g| &g.members).any(|m| match &m.whom {
            Whom::Stage { demo, .. } => before.contains(demo),
            _ => false,
        })
    }

    fn best(&self, groups: &[VariantGroup], apart: bool) -> Vec<Way> {
        // The rows to be cut: each variant's members, and stages and spare in a row of their own when kept apart.
        let mut rows: Vec<(usize, Vec<usize>)> = Vec::new();
        for (g, group) in groups.iter().enumerate() {
            let all = 0..group.members.len();
            if apart {
                let (own, rest): (Vec<usize>, Vec<usize>) = all.partition(|m| group.members[*m].is_station());
                rows.push((g, own));
                rows.push((g, rest));
            } else {
                rows.push((g, all.collect()));
            }
        }
        rows.retain(|(_, members)| !members.is_empty());
        let choices: Vec<Vec<Vec<Vec<usize>>>> =
            rows.iter().map(|(g, row)| self.cuts_of_row(&groups[*g], row)).collect();
        let mut ways: Vec<Way> = product(&choices)
            .into_iter()
            .map(|pick| {
                let batches = rows
                    .iter()
                    .zip(pick)
                    .flat_map(|((g, _), cut)| cut.iter().map(|b| (*g, b.clone())).collect::<Vec<_>>())
                    .collect();
                self.weigh_up(groups, batches)
            })
            .collect();
        // Fewer mixes first; then sooner over; then more even.
        ways.sort_by_key(|w| (w.over, w.under, w.batches.len(), w.rounds, w.scarce, w.uneven, starts(w)));
        let Some(first) = ways.first() else { return Vec::new() };
        let unavoidable = (first.over, first.under);
        let mut kept: Vec<Way> = Vec::new();
        for way in ways {
            let better = |k: &Way| way.rounds < k.rounds || way.scarce < k.scarce;
            if (way.over, way.under) == unavoidable && kept.iter().all(better) {
                kept.push(way);
            }
        }
        kept
    }

    /// The cuts of one row that may be part of a best way: for each number of batches and of bowls of each kind the most even.
    fn cuts_of_row(&self, group: &VariantGroup, row: &[usize]) -> Vec<Vec<Vec<usize>>> {
        let mut sums = vec![Grams::ZERO];
        let mut stations = vec![0usize];
        for m in row {
            let member = &group.members[*m];
            sums.push(sums[sums.len() - 1] + member.weighed);
            stations.push(stations[stations.len() - 1] + usize::from(member.is_station()));
        }
        let cost_with = |only: Option<usize>| {
            let (sums, stations) = (&sums, &stations);
            move |r: std::ops::Range<usize>| {
                if stations[r.end] - stations[r.start] > self.share {
                    return None;
                }
                let grams = sums[r.end] - sums[r.start];
                let one = r.len() == 1;
                let fit = self.fit(grams);
                let uneven = i128::from(grams.mg()) * i128::from(grams.mg());
                match fit {
                    Fit::Bowls(ref kinds) if only.is_some_and(|k| !kinds.contains(&k)) && !one => None,
                    Fit::Over if !one => None,
                    Fit::Over => Some(Cost { over: 1, under: 0, uneven }),
                    Fit::Under => Some(Cost { over: 0, under: 1, uneven }),
                    Fit::Bowls(_) | Fit::Anything => Some(Cost { over: 0, under: 0, uneven }),
                }
            }
        };
        let mut found = cuts(row.len(), &cost_with(None));
        for kind in 0..self.bowls.len() {
            found.extend(cuts(row.len(), &cost_with(Some(kind))));
        }
        let Some(least) = found.iter().map(|(c, _)| (c.over, c.under)).min() else { return Vec::new() };
        found.retain(|(c, _)| (c.over, c.under) == least);
        found.sort_by_key(|(c, groups)| {
            (groups.len(), c.uneven, groups.iter().map(|g| std::cmp::Reverse(g.len())).collect::<Vec<_>>())
        });
        let mut seen: BTreeSet<(usize, Vec<Vec<usize>>)> = BTreeSet::new();
        let mut kept = Vec::new();
        for (_, groups) in found {
            let mut kinds: Vec<Vec<usize>> = groups
                .iter()
                .map(|r| match self.fit(sums[r.end] - sums[r.start]) {
                    Fit::Bowls(kinds) => kinds,
                    _ => Vec::new(),
                })
                .collect();
            kinds.sort();
            if seen.insert((groups.len(), kinds)) {
                kept.push(groups.into_iter().map(|r| row[r].to_vec()).collect());
            }
        }
        kept
    }

    fn weigh_up(&self, groups: &[VariantGroup], batches: Vec<(usize, Vec<usize>)>) -> Way {
        let mut way = Way { batches, over: 0, under: 0, uneven: 0, rounds: 0, scarce: 0 };
        let mut choices = Vec::new();
        for (g, members) in &way.batches {
            let grams = groups[*g].weighed(members);
            way.uneven = way.uneven.saturating_add(i128::from(grams.mg()) * i128::from(grams.mg()));
            match self.fit(grams) {
                Fit::Over => way.over += 1,
                Fit::Under => way.under += 1,
                Fit::Bowls(kinds) => choices.push(kinds),
                Fit::Anything => {}
            }
        }
        way.rounds = bowls::rounds(&choices, &self.bowls);
        let one_only = |kinds: &&Vec<usize>| kinds.iter().map(|k| self.bowls[*k].count).sum::<u32>() <= 1;
        way.scarce = choices.iter().filter(one_only).count();
        // Numbered by the first group in it.
        way.batches.sort_by(|a, b| groups[a.0].members[a.1[0]].whom.cmp(&groups[b.0].members[b.1[0]].whom));
        way
    }

    fn split(&self, recipes: &Recipes, groups: &[VariantGroup], way: &Way) -> Split {
        let batches = way
            .batches
            .iter()
            .enumerate()
            .map(|(at, (g, members))| {
                let group = &groups[*g];
                let (grams, surplus) = group.to_make(recipes, &self.lesson.formula.value, self.part, members);
                let fit = self.fit(grams);
                let stations = members.iter().filter(|m| group.members[**m].is_station()).count();
                Batch {
                    no: at as u32 + 1,
                    lesson: self.lesson.id.value.clone(),
                    part: self.part.clone(),
                    variant: group.variant.clone(),
                    members: members
                        .iter()
                        .map(|m| (group.members[*m].whom.clone(), group.members[*m].weighed))
                        .collect(),
                    grams,
                    vessel: match &fit {
                        Fit::Anything => Vessel::Other,
                        Fit::Under => Vessel::ByHand,
                        Fit::Bowls(kinds) => Vessel::Mixers(
                            kinds.iter().map(|k| self.bowls[*k].mixer.id.value.clone()).collect(),
                        ),
                        // The least bad: the one that carries most.
                        Fit::Over => Vessel::Mixers(
                            self.bowls
                                .iter()
                                .max_by_key(|b| b.most)
                                .map(|b| b.mixer.id.value.clone())
                                .into_iter()
                                .collect(),
                        ),
                    },
                    why: self.why(grams, surplus, stations, &fit),
                }
            })
            .collect();
        Split { batches }
    }

    /// The number that decided, in the teacher's words.
    fn why(&self, grams: Grams, surplus: Grams, stations: usize, fit: &Fit) -> String {
        let mut why = bowls::why(&self.bowls, self.class, grams, fit);
        if matches!(self.step.per.value, Per::Class) {
            why.insert_str(0, &format!("made once for the class, {}; ", bowls::shown(grams)));
        } else if stations > 1 && stations == self.share {
            why.insert_str(0, &format!("{stations} stations, the most that share a batch; "));
        }
        if surplus > Grams::ZERO {
            why.insert_str(0, &format!("less cannot be made, {} are left over; ", bowls::shown(surplus)));
        }
        why.trim_end_matches("; ").to_owned()
    }

    fn findings(&self, split: &Split) -> Vec<Finding> {
        let mut all = Vec::new();
        for batch in &split.batches {
            let what = format!("`{}` of `{}` for {}", self.part, self.lesson.id, whose(batch));
            match self.fit(batch.grams) {
                // More than is taken for a mixer of which nobody wrote what it carries: it may still carry it.
                Fit::Over if self.bowls.iter().any(|b| b.limit == bowls::Limit::Taken) => all.push(
                    Finding::warning(
                        "no-bowl-carries-it",
                        self.step.place.place,
                        format!("{what}: {}, and may be too much for it", batch.why),
                    )
                    .way_out("write the mixer's `limit` from its manual, make the piece smaller, or seat fewer at a station"),
                ),
                Fit::Over => all.push(
                    Finding::error(
                        "no-bowl-carries-it",
                        self.step.place.place,
                        format!("{what}: {}", batch.why),
                    )
                    .way_out("make the piece smaller, seat fewer at a station, or bring a larger mixer"),
                ),
                Fit::Under if self.step.by_hand.is_none() => all.push(
                    Finding::warning(
                        "no-time-by-hand",
                        self.step.id.place,
                        format!(
                            "{what}: {}, and the step `{}` does not say how long that takes",
                            batch.why, self.step.id
                        ),
                    )
                    .way_out("write it: `by-hand = \"20 to 30 min, usually 25\"`"),
                ),
                Fit::Under => all.push(Finding::note(
                    "made-by-hand",
                    self.step.by_hand.as_ref().and_then(|b| b.place),
                    format!("{what}: {}", batch.why),
                )),
                Fit::Bowls(kinds) => {
                    all.extend(bowls::slack(&self.bowls, &kinds, batch.grams).into_iter().map(|bowl| {
                        Finding::note(
                            "hook-may-not-catch",
                            bowl.mixer.id.place,
                            format!(
                                "{what}: {} are little for `{}`, whose hook usually wants 30 % of the {} that it carries; what it catches is not written",
                                bowls::shown(batch.grams),
                                bowl.mixer.id,
                                bowls::shown(bowl.most)
                            ),
                        )
                        .way_out("try it, and write the `least` that its hook catches; trade practice: mix-min")
                    }));
                }
                Fit::Anything => {}
            }
        }
        all
    }
}

/// Whose it is, by its members: a number that is seen comes with the plan, by the clock.
fn whose(batch: &Batch) -> String {
    let members = || batch.members.iter().map(|(whom, _)| whom);
    let stations =
        members().filter_map(|m| if let Whom::Station(no) = m { Some(no.to_string()) } else { None });
    let stations: Vec<String> = stations.collect();
    let mut words = match stations.len() {
        0 => Vec::new(),
        1 => vec![format!("station {}", stations[0])],
        _ => vec![format!("stations {}", stations.join(", "))],
    };
    if members().any(|m| matches!(m, Whom::Stage { .. })) {
        words.push("the demonstration".to_owned());
    }
    if members().any(|m| *m == Whom::Spare) {
        words.push("the spare".to_owned());
    }
    words.join(" and ")
}

/// The batches of a way by their first members: so that two equal ways always come in the same order.
fn starts(way: &Way) -> Vec<(usize, usize)> {
    way.batches.iter().map(|(g, members)| (*g, members.first().copied().unwrap_or(0))).collect()
}

/// Every way to take one from each list; the lists are shortened from the end where there would be too many.
fn product<T>(choices: &[Vec<T>]) -> Vec<Vec<&T>> {
    let mut lengths: Vec<usize> = choices.iter().map(Vec::len).collect();
    while lengths.iter().fold(1_usize, |all, one| all.saturating_mul(*one)) > MOST_COMPARED {
        if let Some(longest) = lengths.iter_mut().max() {
            *longest = longest.div_ceil(2);
        }
    }
    let mut all: Vec<Vec<&T>> = vec![Vec::new()];
    for (list, length) in choices.iter().zip(lengths) {
        all = all
            .into_iter()
            .flat_map(|so_far| {
                list.iter().take(length).map(move |one| {
                    let mut next = so_far.clone();
                    next.push(one);
                    next
                })
            })
            .collect();
    }
    all
}

/// Every step that comes before a step: above it on its chains, or named by `after`, and what comes before those.
pub fn steps_before(lesson: &Lesson, step: &Step) -> BTreeSet<StepId> {
    let mut before = BTreeSet::new();
    let mut look = vec![step];
    while let Some(step) = look.pop() {
        let at = lesson.steps.iter().position(|s| s.id.value == step.id.value).unwrap_or(0);
        let on_chain = |s: &&Step| s.on.iter().any(|c| step.on.iter().any(|o| o.value == c.value));
        let named = step.after.iter().filter_map(|a| lesson.step(&a.value));
        for s in lesson.steps[..at].iter().filter(on_chain).chain(named) {
            if before.insert(s.id.value.clone()) {
                look.push(s);
            }
        }
    }
    before
}

#[cfg(test)]
mod tests;
