//! What is told of time and temperature: one finding for each lesson and kind, with the numbers and the way out.

use super::Safety;
use super::control::{Need, need, only_kept_cold};
use super::cooling::Cooling;
use super::exposures::Exposure;
use super::judge::{Phase, Verdict};
use super::rules::row;
use crate::course::{Chain, Course, Lasts, Lesson, LessonId, PartId, Step, StepId, Where};
use crate::finding::{Finding, Place};
use crate::units::Minutes;

/// Everything to tell.
pub(super) fn findings(course: &Course, safety: &Safety) -> Vec<Finding> {
    let mut all = Vec::new();
    if safety.set.is_none() && !safety.exposures.is_empty() {
        all.push(
            Finding::warning(
                "no-rule-set",
                course.settings.allergen_list.place,
                "the course names no rule set for time and temperature: nobody can say how long food may stand out",
            )
            .way_out("write `rules = \"...\"` under `[safety]`; `benchroll finding no-rule-set` lists them"),
        );
    }
    for lesson in &course.lessons {
        all.extend(exposures(course, lesson, safety));
    }
    for cooling in safety.coolings.iter().filter(|c| c.judged.verdict >= Verdict::Warn) {
        all.push(cooled(course, cooling));
    }
    all.extend(dates(course, safety));
    all.extend(eggs(safety));
    all
}

fn place_of(course: &Course, lesson: &LessonId, part: &PartId) -> Option<Place> {
    let formula = course.formula(&course.lesson(lesson)?.formula.value)?;
    formula.part(part)?.id.place
}

fn subject(lesson: &LessonId, part: &PartId) -> String {
    format!("{lesson}.{part}")
}

fn source(id: &str) -> String {
    row(id).map_or_else(String::new, |r| format!("{}: {}", r.id, r.source()))
}

/// How much, of what: `custard 2 h 10 min (cooked)`.
fn told(exposure: &Exposure) -> String {
    let minutes = exposure.out.map_or(Minutes::ZERO, |o| o.minutes);
    let cooling = exposure.out.map_or(Minutes::ZERO, |o| o.cooling);
    let of_it = if cooling > Minutes::ZERO {
        format!(", {cooling} of it in the cold until it can be cold again")
    } else {
        String::new()
    };
    format!("`{}` {minutes} ({}{of_it})", exposure.part, exposure.phase.word())
}

fn exposures(course: &Course, lesson: &Lesson, safety: &Safety) -> Vec<Finding> {
    let of_lesson: Vec<&Exposure> = safety.exposures.iter().filter(|e| e.lesson == lesson.id.value).collect();
    let mut all = Vec::new();
    for over in of_lesson.iter().filter(|e| e.judged.verdict == Verdict::Over) {
        all.push(too_long(course, lesson, over));
    }
    let benchmark = |e: &&&Exposure| e.set == "dough-benchmark";
    for dough in of_lesson.iter().filter(benchmark).filter(|e| e.judged.verdict == Verdict::Warn) {
        all.push(
            Finding::warning(
                "dough-warm-for-long",
                place_of(course, &dough.lesson, &dough.part),
                format!(
                    "raw `{}` of `{}`: {} above 21.1 °C and {} from 10 °C to that, against {}",
                    dough.part,
                    lesson.id.value,
                    dough.out.map_or(Minutes::ZERO, |o| o.warm_band),
                    dough.out.map_or(Minutes::ZERO, |o| o.cool_band),
                    dough.judged.because
                ),
            )
            .way_out(format!(
                "a cooler or shorter rise, or the cold sooner; a benchmark, not a ban ({})",
                source(dough.judged.row)
            ))
            .about(subject(&dough.lesson, &dough.part)),
        );
    }
    let warned: Vec<&Exposure> = of_lesson
        .iter()
        .filter(|e| e.judged.verdict == Verdict::Warn && e.set != "dough-benchmark")
        .copied()
        .collect();
    for alike in by_reason(&warned) {
        let Some(first) = alike.iter().max_by_key(|e| e.out.map(|o| o.minutes)) else { continue };
        let list: Vec<String> = alike.iter().map(|e| told(e)).collect();
        all.push(
            Finding::warning(
                "out-of-cold",
                place_of(course, &first.lesson, &first.part),
                format!(
                    "above the limit for a while in `{}`: {}; {}",
                    lesson.id.value,
                    list.join(", "),
                    first.judged.because
                ),
            )
            .about(lesson.id.to_string())
            .way_out(format!("keep it in the cold until its step; {}", source(first.judged.row))),
        );
    }
    let unknown: Vec<&Exposure> = of_lesson
        .iter()
        // Without a rule set it is told once for the course.
        .filter(|e| e.judged.verdict == Verdict::Unknown && safety.set.is_some())
        .copied()
        .collect();
    for alike in by_reason(&unknown) {
        let Some(first) = alike.first() else { continue };
        let mut parts: Vec<String> = alike
            .iter()
            .map(|e| match e.out.map(|o| o.minutes).filter(|m| *m > Minutes::ZERO) {
                Some(out) => format!("`{}` ({out} by the plan)", e.part),
                None => format!("`{}`", e.part),
            })
            .collect();
        parts.dedup();
        // Where the law of the place has no figure, that of no other place would let it pass is worth saying.
        let beyond = alike.iter().any(|e| e.out.is_some_and(|o| o.minutes > LONGEST.0));
        let beyond = if beyond {
            format!(
                "; {} is the longest that any rule set here knows ({}): do not serve what stood longer",
                LONGEST.0, LONGEST.1
            )
        } else {
            String::new()
        };
        all.push(
            Finding::warning(
                "out-of-cold-unknown",
                place_of(course, &first.lesson, &first.part),
                format!(
                    "how long {} of `{}` may stand out is not known: {}{beyond}",
                    parts.join(", "),
                    lesson.id.value,
                    first.judged.because
                ),
            )
            .way_out(format!(
                "unknown is never taken for safe; ask your authority. {}",
                source(first.judged.row)
            )),
        );
    }
    all
}

/// The longest that food out of the cold may be held by any rule set that this program knows (FDA Food Code 2022, 3-501.19(C)).
const LONGEST: (Minutes, &str) = (Minutes(360), "us-tphc-6h");

/// Those with one reason and one source together, in the order in which each reason first comes: none is given another's.
fn by_reason<'a>(all: &[&'a Exposure]) -> Vec<Vec<&'a Exposure>> {
    let mut groups: Vec<Vec<&Exposure>> = Vec::new();
    for one in all {
        let reason = |e: &Exposure| (e.judged.row, e.judged.because.clone());
        match groups.iter_mut().find(|g| g.first().is_some_and(|f| reason(f) == reason(one))) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    groups
}

/// The longest time for which what is raw stands out of the cold with nobody's hands at it, by its least: a rise or a proof.
fn warm_wait<'a>(lesson: &'a Lesson, over: &Exposure) -> Option<(&'a StepId, Minutes)> {
    let own = |step: &&Step| {
        step.on.iter().any(|chain| match &chain.value {
            Chain::Part(part) => *part == over.part,
            Chain::Piece => true,
        })
    };
    let warm = lesson.steps.iter().filter(|_| over.phase != Phase::Baked).filter(own).filter_map(|step| {
        let Lasts::Stands(stands) = &step.lasts else { return None };
        let waits = matches!(step.place.value, Where::Bench | Where::Room | Where::Warm);
        waits.then_some((&step.id.value, stands.value.least))
    });
    warm.max_by_key(|(_, minutes)| *minutes)
}

fn too_long(course: &Course, lesson: &Lesson, over: &Exposure) -> Finding {
    let out = over.out.map_or(Minutes::ZERO, |o| o.minutes);
    let longest = over.out.map_or(Minutes::ZERO, |o| o.longest);
    let cooling = over.out.map_or(Minutes::ZERO, |o| o.cooling);
    let cooling = if cooling > Minutes::ZERO {
        format!(", {cooling} of it in the cold until it can be cold again, as nobody reads it there")
    } else {
        String::new()
    };
    let limit = over
        .judged
        .limit
        .map_or_else(|| "no time at all".to_owned(), |(limit, passes)| format!("{} {limit}", passes.sign()));
    let message = format!(
        "`{}` of `{}` ({}) is above the limit for {out} in all{cooling}, {longest} at a stretch; {limit} passes: {}",
        over.part,
        lesson.id.value,
        over.phase.word(),
        over.judged.because
    );
    let way_out = way_out(course, lesson, over);
    let step = over.longest_at.as_ref().and_then(|s| lesson.step(s)).and_then(|s| s.id.place);
    Finding::error("out-of-cold-too-long", place_of(course, &over.lesson, &over.part), message)
        .also(step, "its longest stretch out of the cold begins here")
        .way_out(format!("{way_out} ({})", source(over.judged.row)))
        .about(format!("{}.{}", subject(&over.lesson, &over.part), over.phase.word()))
}

/// What may bring a food back within its limit, before anything is tried.
fn way_out(course: &Course, lesson: &Lesson, over: &Exposure) -> String {
    let rest = match (over.phase, &over.longest_at) {
        (Phase::Baked, _) => {
            "serve it or send it home sooner, or let it rest in the cold after it has cooled: a step `at = \"cold\"`"
                .to_owned()
        }
        (_, Some(step)) => format!(
            "let it rest in the cold: a step `at = \"cold\"` in place of or after `{step}`, or `wait-cold` where the pieces wait; or a later start for it"
        ),
        (_, None) => "let it rest in the cold: a step `at = \"cold\"` before it is used".to_owned(),
    };
    let longest_rise = warm_wait(lesson, over).map_or_else(String::new, |(step, minutes)| {
        format!(
            "; of its waits in the warm `{step}` is the longest, {minutes}: let it stand shorter, with more yeast, or in the cold"
        )
    });
    let unsaid = unsaid(course, lesson, over);
    match unless_it_spoils(course, lesson, over) {
        Some(stated) => format!("{stated}; else {rest}{longest_rise}"),
        None => format!("{rest}{longest_rise}{unsaid}"),
    }
}

/// The same once changes were tried: what helped. Where nothing did, nothing is told that would leave the finding there.
#[must_use]
pub fn way_out_after_trying(course: &Course, over: &Exposure, helped: &[String]) -> String {
    let lesson = course.lesson(&over.lesson);
    let unsaid = lesson.map_or_else(String::new, |l| unsaid(course, l, over));
    let stated = lesson.and_then(|l| unless_it_spoils(course, l, over));
    let stated = stated.map_or_else(String::new, |s| format!("{s}; else "));
    let rest = if helped.is_empty() {
        "no rest in the cold and no reading that was tried brings it within the limit: make it later or in smaller amounts, take it out of the cold later, or leave it out"
            .to_owned()
    } else {
        format!("tried, and it helps: {}", helped.join("; "))
    };
    format!("{stated}{rest}{unsaid} ({})", source(over.judged.row))
}

/// A part that counts by what is in it, as nobody wrote whether it needs the cold: the key that says so. Only the teacher knows.
fn unsaid(course: &Course, lesson: &Lesson, over: &Exposure) -> String {
    let formula = course.formula(&lesson.formula.value);
    let part = formula.and_then(|f| Some((f, f.part(&over.part)?)));
    let is_guessed = part.is_some_and(|(formula, part)| {
        need(formula, part, &course.pantry) == Need::ByDefinition
            && !only_kept_cold(formula, part, &course.pantry)
    });
    if !is_guessed {
        return String::new();
    }
    format!(
        "; it counts by what is in it, as nobody wrote `needs-cold` in `[parts.{}]`: `false` there is for one who knows that it keeps without the cold",
        over.part
    )
}

/// What is kept cold for its firmness, as butter is, need not be counted; only the teacher knows that.
fn unless_it_spoils(course: &Course, lesson: &Lesson, over: &Exposure) -> Option<String> {
    let formula = course.formula(&lesson.formula.value)?;
    let part = formula.part(&over.part)?;
    only_kept_cold(formula, part, &course.pantry).then(|| {
        format!(
            "it counts because it is kept cold, and nothing in it is known to spoil soon: if the cold only keeps it firm, as with butter, write `needs-cold = false` in `[parts.{}]`",
            over.part
        )
    })
}

fn cooled(course: &Course, cooling: &Cooling) -> Finding {
    let place = course.lesson(&cooling.lesson).and_then(|l| l.step(&cooling.step)).and_then(|s| s.id.place);
    let stood = match cooling.on_the_counter {
        Some(minutes) => format!("stands {minutes} before it goes into the cold"),
        None => format!("never goes into the cold: it is used {} after the fire", cooling.until_used),
    };
    let message = format!("`{}` of `{}` {stood}; {}", cooling.part, cooling.lesson, cooling.judged.because);
    let finding = if cooling.judged.verdict == Verdict::Over {
        Finding::error("cooled-too-slowly", place, message)
    } else {
        Finding::warning("cooled-too-slowly", place, message)
    };
    finding
        .way_out(format!(
            "flat in a shallow tray and into the cold: a step `at = \"cold\"` right after it ({})",
            source(cooling.judged.row)
        ))
        .about(match &cooling.variant {
            Some(variant) => format!("{}.{variant}", subject(&cooling.lesson, &cooling.part)),
            None => subject(&cooling.lesson, &cooling.part),
        })
}

fn dates(course: &Course, safety: &Safety) -> Vec<Finding> {
    let late = safety.dates.iter().filter(|d| d.verdict >= Verdict::Warn);
    late.map(|d| {
        let place = place_of(course, &d.lesson, &d.part);
        let last = d.last.map_or_else(String::new, |l| l.to_string());
        let message = format!(
            "`{}` of `{}` is made on {} and used on {}; its last day is {last}",
            d.part, d.lesson, d.made, d.used
        );
        let finding = if d.verdict == Verdict::Over {
            Finding::error("kept-too-long", place, message)
        } else {
            Finding::warning("kept-too-long", place, message)
        };
        finding.way_out(format!("make it later ({})", source(d.row))).about(subject(&d.lesson, &d.part))
    })
    .collect()
}

fn eggs(safety: &Safety) -> Vec<Finding> {
    let mut all = Vec::new();
    for egg in &safety.eggs {
        let what = format!("`{}` of `{}` holds raw egg", egg.part, egg.lesson);
        if !egg.heated {
            all.push(
                Finding::warning(
                    "egg-stays-raw",
                    egg.place,
                    format!("{what}, and no step cooks or bakes it"),
                )
                .way_out(format!(
                    "pasteurised egg in its place, or tell people that it is raw ({})",
                    source("us-egg-pasteurized")
                ))
                .about(subject(&egg.lesson, &egg.part)),
            );
            continue;
        }
        let Some(core) = egg.core.filter(|_| egg.verdict >= Verdict::Warn) else {
            if egg.verdict == Verdict::Unknown {
                all.push(
                    Finding::note(
                        "egg-heat-unknown",
                        egg.place,
                        format!("{what}, and no step says how hot its centre gets"),
                    )
                    .way_out(format!(
                        "write `core` at the step that cooks or bakes it ({})",
                        source(egg.row)
                    )),
                );
            }
            continue;
        };
        let degrees = core.to_decimal().normalize();
        let message = format!("{what}, and its centre is asked to reach {degrees} °C only");
        let finding = if egg.verdict == Verdict::Over {
            Finding::error("egg-not-hot-enough", egg.place, message)
        } else {
            Finding::warning("egg-not-hot-enough", egg.place, message)
        };
        all.push(
            finding
                .way_out(format!(
                    "70 °C at the centre, or 63 °C held for 3 minutes; probe the middle of the largest piece ({})",
                    source(egg.row)
                ))
                .about(subject(&egg.lesson, &egg.part)),
        );
    }
    all
}
