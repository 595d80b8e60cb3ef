//! `lessons/*.toml`: what is made, and the steps that make it.

use super::grammar::phrase::{AheadPhrase, EndsPhrase, Focus, HANDS, SharePhrase, UsePhrase};
use super::grammar::{self, FromText};
use super::keys;
use super::raw::{Entry, Node, Value};
use super::table::{self, Fields, Log, did_you_mean, nearest};
use crate::course::TemperatureRange;
use crate::course::{
    Ahead, At, BakeAtHome, Chain, DRAWINGS, Ends, EquipId, ForEach, FormulaId, Hands, Lasts, Lesson,
    LessonId, MadeAhead, Makes, PartId, Per, SessionId, Stands, Step, StepId, Takes, Use, WaitCold, Where,
};
use crate::finding::{Finding, Located};
use crate::units::Celsius;

const PLACES: &[(&str, Where)] = &[
    ("bench", Where::Bench),
    ("mixer", Where::Mixer),
    ("hob", Where::Hob),
    ("oven", Where::Oven),
    ("cold", Where::Cold),
    ("freezer", Where::Freezer),
    ("room", Where::Room),
    ("warm", Where::Warm),
    ("rack", Where::Rack),
    ("sink", Where::Sink),
];

const PER: &[(&str, Per)] =
    &[("class", Per::Class), ("station", Per::Station), ("batch", Per::Batch), ("load", Per::Load)];

/// Cautions that the pages know.
pub const CAUTIONS: &[&str] = &[
    "hot-tin",
    "hot-pan",
    "hot-sugar",
    "hot-filling",
    "hot-oil",
    "oven",
    "steam",
    "mixer",
    "knife",
    "wet-floor",
    "flour-dust",
    "lifting",
    "raw-dough",
    "raw-egg",
    "glass",
];

/// Reads one lesson; its id is its file's name.
pub fn read(log: &Log, root: &Node, id: &LessonId) -> Option<Lesson> {
    let f = Fields::new(log, root, &keys::LESSON, format!("lesson `{id}`"))?;
    let mut steps: Vec<Step> = f.tables("steps").into_iter().filter_map(|n| step(log, n)).collect();
    if steps.is_empty() {
        f.missing("steps", "[{ id = \"mix\", ... }]");
    }
    super::resolve::no_twins(log, "step", steps.iter().map(|s| &s.id));
    loads_are_baked(log, &steps);
    for (key, own) in [("say", true), ("tell", false)] {
        for entry in f.named(key) {
            words_of_step(log, key, entry, &mut steps, own);
        }
    }
    Some(Lesson {
        id: Located::assumed(id.clone()),
        name: f.text("name"),
        formula: f.required_id::<FormulaId>("formula"),
        makes: makes(&f),
        made_ahead: f.named("made-ahead").into_iter().map(|e| made_ahead(log, e)).collect(),
        heats_for_fan: f.word_or("heats-for", &[("fan", true), ("no fan", false)], false).value,
        bake_at_home: bake_at_home(&f),
        steps,
    })
}

/// `say.STEP` and `tell.STEP`: words apart from numbers.
fn words_of_step(log: &Log, key: &str, entry: &Entry, steps: &mut [Step], own: bool) {
    let Some(words) = table::text(log, &entry.key, &entry.node) else { return };
    let Some(step) = steps.iter_mut().find(|s| s.id.value.0 == entry.key) else {
        let names: Vec<&str> = steps.iter().map(|s| s.id.value.as_str()).collect();
        let mut finding = Finding::error(
            "unknown-step",
            entry.key_place,
            format!("`{key}.{}` speaks of a step that this lesson does not have", entry.key),
        );
        finding.way_out = did_you_mean(&entry.key, names);
        log.note(finding);
        return;
    };
    let slot = if own { &mut step.say } else { &mut step.tell };
    if let Some(first) = slot {
        log.note(
            Finding::error("said-twice", words.place, format!("step `{}` has its words twice", entry.key))
                .also(first.place, "the other words")
                .way_out("keep one of the two"),
        );
    }
    *slot = Some(words);
}

fn makes(f: &Fields<'_>) -> Makes {
    let each: &[(&str, ForEach)] =
        &[("student", ForEach::Student), ("station", ForEach::Station), ("class", ForEach::Class)];
    let fields = f.entry("makes").and_then(|entry| Fields::new(f.log, &entry.node, &keys::MAKES, "`makes`"));
    let Some(m) = fields else {
        if !f.has("makes") {
            f.missing("makes", "{ pieces = 1, for-each = \"student\" }");
        }
        return Makes {
            pieces: Located::assumed(1),
            for_each: Located::assumed(ForEach::Student),
            spare: Located::assumed(0),
        };
    };
    if !m.has("for-each") {
        m.missing("for-each", "\"student\"");
    }
    let pieces = m.required_count("pieces");
    if pieces.value == 0 {
        f.log.note(
            Finding::error("nought-size", pieces.place, "`pieces` is 0: the lesson would make nothing")
                .way_out("write at least 1"),
        );
    }
    Makes { pieces, for_each: m.word_or("for-each", each, ForEach::Student), spare: m.count_or("spare", 0) }
}

fn chain(text: At<String>) -> At<Chain> {
    text.map(|t| if t == "piece" { Chain::Piece } else { Chain::Part(PartId::from(t)) })
}

fn made_ahead(log: &Log, entry: &Entry) -> (At<Chain>, MadeAhead) {
    let phrase: At<AheadPhrase> = table::quantity(log, &entry.key, &entry.node);
    let place = phrase.place;
    let up_to = phrase.value.up_to.map(|id| Located { value: StepId::from(id), place });
    let policy = Located { value: phrase.value.policy, place };
    debug_assert!(up_to.is_some() || policy.value == Ahead::Never);
    (chain(Located::at(entry.key.clone(), entry.key_place)), MadeAhead { policy, up_to })
}

fn bake_at_home(f: &Fields<'_>) -> Option<BakeAtHome> {
    let entry = f.entry("bake-at-home")?;
    let b = Fields::new(f.log, &entry.node, &keys::AT_HOME, "`bake-at-home`")?;
    Some(BakeAtHome { up_to: b.required_id("up-to"), keeps: b.required("keeps"), say: b.text("say") })
}

fn ids<T: From<String>>(f: &Fields<'_>, key: &str) -> Vec<At<T>> {
    f.texts(key).into_iter().map(|t| t.map(T::from)).collect()
}

fn step(log: &Log, node: &Node) -> Option<Step> {
    let named = match &node.value {
        Value::Table(t) => match t.get("id").map(|e| &e.node.value) {
            Some(Value::Text(id)) => format!("step `{id}`"),
            _ => "this step".to_owned(),
        },
        _ => "this step".to_owned(),
    };
    let f = Fields::new(log, node, &keys::STEP, named)?;
    let demo = f.is_true("demo");
    let on: Vec<At<Chain>> = f.texts("on").into_iter().map(chain).collect();
    let lasts = lasts(&f);
    let (hands, one_student) = hands(&f, demo, &lasts);
    let per = f.word_or("per", PER, if on.is_empty() { Per::Class } else { Per::Station });
    let photo = photo(&f);
    let (heat, core) = (f.get("heat"), f.get("core"));
    hot_enough(log, heat.as_ref(), core.as_ref());
    let place = f.word_or("at", PLACES, Where::Bench);
    in_an_oven(log, heat.as_ref(), &place);
    Some(Step {
        id: f.required_id("id"),
        name: f.text("name"),
        on,
        per,
        place,
        hands,
        one_student,
        carry: f.get("carry"),
        after: ids(&f, "after"),
        uses: uses(&f),
        demo,
        stages: ids(&f, "stages"),
        eye: f.word("eye", &[("teacher", true)]).is_some(),
        ends: f.get::<EndsPhrase>("ends").map(|e| Ends {
            hands: Located { value: e.value.hands, place: e.place },
            takes: Located { value: e.value.takes, place: e.place },
        }),
        wait_cold: wait_cold(&f),
        share: f.get::<SharePhrase>("share").map(|s| s.map(|s| s.0)),
        by_hand: f.get("by-hand"),
        heat,
        aim: f.get("aim"),
        core,
        rises_to: f.get("rises-to"),
        draw: drawings(&f),
        photo: photo.file,
        photo_focus: photo.focus,
        photo_alone: photo.alone,
        photo_shows: photo.shows,
        together: f.flag("together").is_none_or(|t| t.value),
        caution: cautions(&f),
        say: f.text("say"),
        tell: f.text("tell"),
        session: f.text("session").map(|t| t.map(SessionId::from)),
        lasts,
    })
}

/// Nothing gets hotter inside than the oven it is in.
fn hot_enough(log: &Log, heat: Option<&At<Celsius>>, core: Option<&At<TemperatureRange>>) {
    let (Some(heat), Some(core)) = (heat, core) else { return };
    let Some(wanted) = core.value.least.filter(|least| *least >= heat.value) else { return };
    let shown = |c: Celsius| c.to_decimal().round_dp(0).normalize();
    log.note(
        Finding::error(
            "oven-below-core",
            heat.place,
            format!(
                "the oven is at {} °C, and inside {} °C is wanted: it is never reached",
                shown(heat.value),
                shown(wanted)
            ),
        )
        .also(core.place, "what is wanted inside")
        .way_out("look at the unit: 165 F are 74 °C, 165 C are 329 F"),
    );
}

/// Heat is an oven's: elsewhere no oven would be taken for it, and none heated.
fn in_an_oven(log: &Log, heat: Option<&At<Celsius>>, place: &At<Where>) {
    let Some(heat) = heat.filter(|_| place.value != Where::Oven) else { return };
    let word = PLACES.iter().find(|(_, other)| *other == place.value).map_or("bench", |(word, _)| *word);
    let message = match place.place {
        Some(_) => format!("`heat` is of the oven, and this step is `at = \"{word}\"`"),
        None => format!("`heat` is of the oven, and without `at` this step is at the {word}"),
    };
    log.note(
        Finding::error("heat-without-oven", heat.place, message)
            .also(place.place, "where it is")
            .way_out("write `at = \"oven\"`, or leave `heat` out"),
    );
}

/// Loads are those of a bake: without one in the lesson, what is done for each load would be done for none.
fn loads_are_baked(log: &Log, steps: &[Step]) {
    let is_baked = |s: &&Step| s.place.value == Where::Oven && s.per.value == Per::Load;
    // A step with a heat is the bake, and has been told where it should be.
    if steps.iter().any(|s| is_baked(&s) || s.heat.is_some()) {
        return;
    }
    for step in steps.iter().filter(|s| s.per.value == Per::Load) {
        log.note(
            Finding::error(
                "no-loads",
                step.per.place.or(step.id.place),
                format!(
                    "step `{}` is done for each oven load, and no step of this lesson bakes in loads",
                    step.id
                ),
            )
            .way_out(
                "write `per = \"station\"`, or a step before it with `at = \"oven\"` and `per = \"load\"`",
            ),
        );
    }
}

/// Exactly one of the two sorts of time.
fn lasts(f: &Fields<'_>) -> Lasts {
    let takes: Option<At<Takes>> = f.get("takes");
    let stands: Option<At<Stands>> = f.get("stands");
    let each: Option<At<Takes>> = f.get("takes-each");
    let two_sorts = |place, message: &str| {
        f.log.note(Finding::error("two-sorts-of-time", place, message).way_out(
            "work has `takes` (and `takes-each`); what rests, rises or chills has `stands`, as a step of its own",
        ));
    };
    match (takes, stands) {
        (Some(takes), None) => Lasts::Takes { takes, each },
        (None, Some(stands)) => {
            if let Some(each) = each {
                two_sorts(each.place, "`takes-each` stands beside `stands`");
            }
            Lasts::Stands(stands)
        }
        (Some(takes), Some(stands)) => {
            two_sorts(stands.place, "this step has both `takes` and `stands`");
            Lasts::Takes { takes, each }
        }
        (None, None) => {
            f.log.note(
                Finding::error("missing-key", f.place, "this step has neither `takes` nor `stands`").way_out(
                    "work: `takes = \"9 to 17 min, usually 12\"`; rest: `stands = \"45 to 70 min\"`",
                ),
            );
            Lasts::Takes { takes: Located::assumed(Takes::stand_in()), each }
        }
    }
}

/// Whose hands; `one student` is a station's with the other one's hands free.
fn hands(f: &Fields<'_>, demo: bool, lasts: &Lasts) -> (At<Hands>, bool) {
    #[derive(Clone, Copy)]
    struct Whose(Hands, bool);
    let mut words: Vec<(&str, Whose)> = HANDS.iter().map(|(w, h)| (*w, Whose(*h, false))).collect();
    words.push(("one student", Whose(Hands::Students, true)));
    if let Some(written) = f.word("hands", &words) {
        return (Located { value: written.value.0, place: written.place }, written.value.1);
    }
    let assumed = match lasts {
        Lasts::Stands(_) => Hands::Nobody,
        Lasts::Takes { .. } if demo => Hands::Teacher,
        Lasts::Takes { .. } => {
            if !f.has("hands") && f.has("takes") && !f.has("stands") {
                f.missing("hands", "\"students\"");
            }
            Hands::Students
        }
    };
    (Located::assumed(assumed), false)
}

fn uses(f: &Fields<'_>) -> Vec<Use> {
    f.texts("uses")
        .into_iter()
        .filter_map(|text| {
            let place = text.place?;
            match grammar::read::<UsePhrase>(&text.value) {
                Ok(phrase) => Some(Use {
                    what: Located::at(EquipId::from(phrase.what), place),
                    count: phrase.count,
                    until: phrase.until.map(|s| Located::at(StepId::from(s), place)),
                }),
                Err(slip) => {
                    f.log.slip(place, "uses", slip);
                    None
                }
            }
        })
        .collect()
}

fn wait_cold(f: &Fields<'_>) -> Option<WaitCold> {
    let entry = f.entry("wait-cold")?;
    let w = Fields::new(f.log, &entry.node, &keys::WAIT_COLD, "`wait-cold`")?;
    Some(WaitCold { stands: w.required("stands"), then: w.required("then") })
}

/// The cautions of a step, each a word that the pages know.
pub fn cautions(f: &Fields<'_>) -> Vec<At<String>> {
    let cautions = f.texts("caution");
    for caution in &cautions {
        if !CAUTIONS.contains(&caution.value.as_str()) {
            let mut finding = Finding::error(
                "unknown-word",
                caution.place,
                format!("`caution`: \"{}\" is no caution that the pages know", caution.value),
            );
            finding.way_out = did_you_mean(&caution.value, CAUTIONS.iter().copied());
            f.log.note(finding);
        }
    }
    cautions
}

/// The drawings of a step, each one that there is: a misspelt one would draw nothing.
fn drawings(f: &Fields<'_>) -> Vec<At<String>> {
    let drawings = f.texts("draw");
    for name in drawings.iter().filter(|d| !DRAWINGS.contains(&d.value.as_str())) {
        // `cut-slices` is the drawing `slice` with more words about it.
        let held = || DRAWINGS.iter().copied().filter(|d| name.value.contains(d)).max_by_key(|d| d.len());
        let near = nearest(&name.value, DRAWINGS).or_else(held);
        let near = near.map_or_else(String::new, |near| format!("did you mean `{near}`? "));
        f.log.note(
            Finding::error(
                "unknown-word",
                name.place,
                format!("`draw`: there is no drawing \"{}\"", name.value),
            )
            .way_out(format!("{near}it is one of `{}`", DRAWINGS.join("`, `"))),
        );
    }
    drawings
}

#[derive(Default)]
struct Photo {
    file: Option<At<String>>,
    focus: Option<At<(crate::units::Percent, crate::units::Percent)>>,
    alone: bool,
    shows: Option<At<String>>,
}

/// A photograph: its path, or a table with its path.
fn photo(f: &Fields<'_>) -> Photo {
    let Some(entry) = f.entry("photo") else { return Photo::default() };
    if let Value::Text(_) = entry.node.value {
        return Photo { file: f.text("photo"), ..Photo::default() };
    }
    let Some(p) = Fields::new(f.log, &entry.node, &keys::PHOTO, "`photo`") else { return Photo::default() };
    Photo {
        file: Some(p.required_text("file")),
        focus: p.get::<Focus>("focus").map(|at| at.map(|at| (at.0, at.1))),
        alone: p.is_true("alone"),
        shows: p.text("shows"),
    }
}
