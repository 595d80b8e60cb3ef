//! The review for programs.

use super::findings::FindingsView;
use crate::course::Takes;
use crate::reckon::review::Review;
use crate::units::Minutes;
use serde::Serialize;

/// What `review` answers.
#[derive(Serialize, Debug)]
pub struct ReviewView {
    /// The days that count.
    pub days: Vec<String>,
    /// Times.
    pub steps: Vec<StepReviewView>,
    /// Friction of each kind of mixer, in kelvins of the three-term sum.
    pub friction: Vec<FigureView>,
    /// Loss of weight in the bake of each lesson, in per cent.
    pub bake_loss: Vec<FigureView>,
    /// Pieces of each lesson.
    pub yields: Vec<YieldView>,
    /// What was left out, and why.
    pub left_out: Vec<String>,
    /// The files that were changed, when that was asked for.
    pub changed: Vec<String>,
    /// What is to be told of the logs.
    #[serde(flatten)]
    pub told: FindingsView,
}

/// One step; times in minutes.
#[derive(Serialize, Debug)]
pub struct StepReviewView {
    /// The lesson; `None` for the class's own.
    pub lesson: Option<String>,
    /// The step.
    pub step: String,
    /// The written usual time; for what stands, the median of what was planned.
    pub planned: i64,
    /// The median.
    pub median: i64,
    /// The shortest and the longest.
    pub spread: SpreadView,
    /// What could be written, as the lesson's file would have it.
    pub suggest: Option<String>,
    /// How often it was seen.
    pub seen: usize,
    /// On how many days.
    pub days: usize,
    /// The median of how much later than planned it ended.
    pub late: i64,
}

/// Shortest and longest.
#[derive(Serialize, Debug)]
pub struct SpreadView {
    /// Shortest.
    pub least: i64,
    /// Longest.
    pub most: i64,
}

/// A measured figure.
#[derive(Serialize, Debug)]
pub struct FigureView {
    /// The mixer or the lesson.
    pub of: String,
    /// As written.
    pub written: Option<f64>,
    /// How often it was measured.
    pub seen: usize,
    /// The median.
    pub median: f64,
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// What could be written.
    pub suggest: Option<f64>,
}

/// Pieces.
#[derive(Serialize, Debug)]
pub struct YieldView {
    /// The lesson.
    pub lesson: String,
    /// Counted loads.
    pub seen: usize,
    /// By the plan.
    pub planned: u32,
    /// That there were.
    pub made: u32,
}

/// A time as a lesson's file has it: `12 to 18 min, usually 15`.
#[must_use]
pub fn takes_text(takes: Takes) -> String {
    let (least, usual, most) = (takes.least.get(), takes.usual.get(), takes.most.get());
    if least == most {
        return format!("{most} min");
    }
    format!("{least} to {most} min, usually {usual}")
}

impl ReviewView {
    /// A view of a review.
    #[must_use]
    pub fn of(review: &Review, changed: Vec<String>, told: FindingsView) -> ReviewView {
        let minutes = Minutes::get;
        ReviewView {
            days: review.days.iter().map(ToString::to_string).collect(),
            steps: review
                .steps
                .iter()
                .map(|s| StepReviewView {
                    lesson: s.lesson.as_ref().map(ToString::to_string),
                    step: s.step.to_string(),
                    planned: minutes(s.planned),
                    median: minutes(s.median),
                    spread: SpreadView { least: minutes(s.spread.0), most: minutes(s.spread.1) },
                    suggest: s.suggest.map(takes_text),
                    seen: s.seen.0,
                    days: s.seen.1,
                    late: minutes(s.late),
                })
                .collect(),
            friction: review
                .friction
                .iter()
                .map(|f| FigureView {
                    of: f.mixer.to_string(),
                    written: f.written.map(|w| w.to_f64()),
                    seen: f.seen,
                    median: f.median.to_f64(),
                    least: f.spread.0.to_f64(),
                    most: f.spread.1.to_f64(),
                    suggest: f.suggest.map(|s| s.to_f64()),
                })
                .collect(),
            bake_loss: review
                .losses
                .iter()
                .map(|l| FigureView {
                    of: l.lesson.to_string(),
                    written: l.written.map(|w| w.to_f64()),
                    seen: l.seen,
                    median: l.median.to_f64(),
                    least: l.spread.0.to_f64(),
                    most: l.spread.1.to_f64(),
                    suggest: l.suggest.map(|s| s.to_f64()),
                })
                .collect(),
            yields: review
                .yields
                .iter()
                .map(|y| YieldView {
                    lesson: y.lesson.to_string(),
                    seen: y.seen,
                    planned: y.planned,
                    made: y.made,
                })
                .collect(),
            left_out: review.left_out.clone(),
            changed,
            told,
        }
    }
}
