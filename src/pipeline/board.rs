//! The board of a reckoned course.

use super::Reckoned;
use super::accepting::accept_again;
use crate::finding::{Finding, Level, Sources};
use crate::output::board::page::{Home, page};
use crate::output::board::view::BoardView;
use crate::output::files::OutputFile;
use crate::read::FileTree;
use crate::read::words_file::catalogue;
use crate::reckon::plan::slips::slips;
use crate::reckon::plan::timetable::Plan;
use crate::reckon::safety::exposures::Exposure;
use crate::reckon::safety::{STOPS, Safety, safety};
use crate::typeset::Press;
use crate::typeset::views::desk::Desk;
use crate::typeset::views::wording::Tongue;
use std::collections::BTreeMap;

/// The board's file.
pub const BOARD: &str = "board.html";
/// The template that it is made from.
pub const TEMPLATE: &str = "templates/board.html";

/// The sections of the catalogue that the board speaks from.
const SECTIONS: &[&str] =
    &["board", "whom", "where", "fact", "danger", "limit", "probe", "if-out", "lane", "log", "oven"];

/// The board as a file, made from the course's own template where it has one; `None` where there is no plan. A template that
/// cannot be used is an error.
#[must_use]
pub fn board(reckoned: &Reckoned, files: &FileTree) -> Option<Result<OutputFile, Box<Finding>>> {
    Some(html(reckoned, files, Home::Disk)?.map(|html| OutputFile {
        path: BOARD.to_owned(),
        bytes: html.into_bytes(),
        private: false,
    }))
}

/// What a board knows of the day so far, when the rest of it was planned again.
#[derive(Clone, Default, Debug)]
pub struct SoFar {
    /// How things stood each time, oldest first.
    pub before: Vec<serde_json::Value>,
    /// What was written down.
    pub entries: Vec<serde_json::Value>,
}

/// The board as a page.
#[must_use]
pub fn html(reckoned: &Reckoned, files: &FileTree, home: Home) -> Option<Result<String, Box<Finding>>> {
    html_so_far(reckoned, files, home, SoFar::default())
}

/// The board in the middle of the day.
#[must_use]
pub fn html_so_far(
    reckoned: &Reckoned,
    files: &FileTree,
    home: Home,
    so_far: SoFar,
) -> Option<Result<String, Box<Finding>>> {
    let view = BoardView { before: so_far.before, entries: so_far.entries, ..view(reckoned, files)? };
    let press = Press::new(&files.overrides());
    let text = |path: &str| press.file(path).and_then(|b| std::str::from_utf8(b).ok()).map(ToOwned::to_owned);
    Some(page(&view, home, &text).map_err(|trouble| {
        let at = trouble.line.map_or_else(String::new, |line| format!(" at line {line}"));
        let message = format!("the board's template cannot be used{at}: {}", trouble.message);
        Box::new(
            Finding::error("template-error", None, message)
                .in_file(trouble.file)
                .way_out("mend it, or take it away: the built-in one is used again"),
        )
    }))
}

/// Whether a file is a board as this program writes it, which a newer one may replace.
#[must_use]
pub fn is_board(bytes: &[u8]) -> bool {
    let holds = |what: &[u8]| bytes.windows(what.len()).any(|w| w == what);
    holds(b"<script type=\"application/json\" id=\"data\">") && holds(b"benchroll-board")
}

/// What the board holds; `None` where there is no plan.
#[must_use]
pub fn view(reckoned: &Reckoned, files: &FileTree) -> Option<BoardView> {
    let plan = reckoned.planned.plan.as_ref()?;
    let slips = slips(&reckoned.course, &reckoned.class, &reckoned.portions, plan)?;
    let mut desk = Desk::new(&reckoned.course, &reckoned.class, plan, &reckoned.weighed);
    let language = &reckoned.course.settings.language.value;
    let fixed = catalogue(files, language);
    desk.tongue = Tongue::of(|table, key| fixed.get(&format!("{table}.{key}")).cloned());
    Some(BoardView::of(&desk, &slips, &reckoned.safety, words(files, language), &fixed))
}

/// The fixed words that the board speaks from.
#[must_use]
pub fn words(files: &FileTree, language: &str) -> BTreeMap<String, String> {
    let mut words = catalogue(files, language);
    words.retain(|key, _| key.split_once('.').is_some_and(|(section, _)| SECTIONS.contains(&section)));
    words
}

/// Puts another plan in place of the class's own, with what is measured by it.
pub fn with_plan(reckoned: &mut Reckoned, plan: Plan) {
    reckoned.safety = safety(&reckoned.course, &reckoned.class, Some(&plan)).0;
    reckoned.planned.plan = Some(plan);
}

/// Food that another plan has out of its limits: errors that are not among those told of the course's own plan. What was accepted
/// there stays accepted while it is no worse; where it is worse, or where something else is out too, the reason was not given for it.
#[must_use]
pub fn newly_over(reckoned: &Reckoned, plan: &Plan, told: &[Finding], sources: &Sources) -> Vec<Finding> {
    let (now, mut found) = safety(&reckoned.course, &reckoned.class, Some(plan));
    accept_again(&reckoned.course, &mut found, told, sources, |finding| {
        is_no_worse(finding, &reckoned.safety, &now)
    });
    let over = |f: &Finding| f.level == Level::Error && STOPS.contains(&f.code.0);
    let known = |f: &Finding| told.iter().any(|t| over(t) && t.code == f.code && t.about == f.about);
    found.retain(|f| over(f) && !known(f));
    found
}

/// Whether a food is out of the cold no longer than by the class's own plan, in all and at a stretch. What is not measured in minutes
/// counts as worse.
fn is_no_worse(finding: &Finding, was: &Safety, now: &Safety) -> bool {
    let out = |safety: &Safety| {
        let of = |e: &&Exposure| {
            let name = format!("{}.{}.{}", e.lesson, e.part, e.phase.word());
            finding.about.as_deref() == Some(name.as_str())
        };
        safety.exposures.iter().find(of).and_then(|e| e.out)
    };
    finding.code.0 == "out-of-cold-too-long"
        && out(was).zip(out(now)).is_some_and(|(was, now)| {
            now.minutes <= was.minutes && now.longest <= was.longest && now.cooling <= was.cooling
        })
}
