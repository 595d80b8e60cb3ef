//! One term of the objective as a number that the solver can push down.

use pumpkin_core::variables::{AffineView, DomainId, Literal, TransformableVariable};

use super::model::{Model, When};
use super::moment::Moment;
use crate::reckon::plan::problem::{Point, Quantity, Reason, Term};
use crate::reckon::plan::schedule::Schedule;
use crate::reckon::plan::verify::quantity_value;

/// A factor times a number, plus a constant.
pub(super) type View = AffineView<DomainId>;

/// One part of a sum.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) view: View,
    factor: i32,
    quantity: Quantity,
    /// What the view leaves out, since it never changes.
    fixed: i32,
}

impl Part {
    /// Any two values are a multiple of this apart.
    pub(super) fn unit(&self) -> i32 {
        self.factor.abs()
    }

    /// The part as an aim of its own, and what that is more than the view.
    pub(super) fn alone(&self) -> (Term, i32) {
        (Term { name: String::new(), sum: vec![(self.factor, self.quantity.clone())] }, self.fixed)
    }

    /// The least that it can be where that is known of the same part in another model.
    pub(super) fn least_by(&self, (known, least): &(Part, i32)) -> Option<(&Part, i32)> {
        let same = (self.factor, &self.quantity) == (known.factor, &known.quantity);
        same.then_some((self, least + known.fixed - self.fixed))
    }

    /// The moment that it is about, or the last one there is.
    pub(super) fn until(&self, schedule: &Schedule) -> i32 {
        match &self.quantity {
            Quantity::Span { to, .. } => schedule.at(*to),
            Quantity::Start(_) | Quantity::End(_) | Quantity::Latest(_) => {
                quantity_value(&self.quantity, schedule)
            }
            _ => i32::MAX,
        }
    }

    /// What the view can be as small as in a schedule.
    pub(super) fn value(&self, schedule: &Schedule) -> i32 {
        self.factor * quantity_value(&self.quantity, schedule) - self.fixed
    }
}

/// A term as numbers of the solver.
pub(super) struct Posted {
    /// Never less than the term, and can always be as small as the term.
    pub(super) value: DomainId,
    /// What is summed up, as far as it can be more than one apart: a bound for each is a bound for the sum.
    pub(super) parts: Vec<Part>,
    /// Any two values of the term are a multiple of this apart.
    pub(super) unit: i32,
}

/// A sum of more parts than this is not looked at part by part.
const MOST_PARTS: usize = 8;

/// Posts a term.
pub(super) fn post_term(model: &mut Model, term: &Term) -> Posted {
    let mut sum = Sum::default();
    let mut parts: Vec<Part> = Vec::new();
    for (factor, quantity) in &term.sum {
        if *factor != 0 {
            let constant = sum.constant;
            add(model, &mut sum, *factor, quantity);
            let fixed = sum.constant - constant;
            for view in sum.views.iter().skip(parts.len()) {
                let quantity = quantity.clone();
                parts.push(Part { view: *view, factor: *factor, quantity, fixed });
            }
        }
    }
    let range = |part: &Part| model.solver.upper_bound(&part.view) - model.solver.lower_bound(&part.view);
    parts.retain(|part| range(part) > 0);
    let unit = parts.iter().map(|part| part.factor.unsigned_abs()).fold(0, gcd);
    parts.retain(|part| range(part) > 1);
    if parts.len() > MOST_PARTS || parts.len() < 2 {
        parts.clear();
    }
    let value = sum.gather(model);
    model.settle();
    Posted { value, parts, unit: i32::try_from(unit).unwrap_or(1).max(1) }
}

/// So many numbers are summed up at once.
const GROUP: usize = 3;

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Factors times variables, plus a constant.
#[derive(Default)]
struct Sum {
    views: Vec<View>,
    constant: i32,
}

impl Sum {
    fn add(&mut self, factor: i32, moment: Moment) {
        self.views.push(moment.variable.scaled(factor));
        self.constant += factor * moment.plus;
    }

    fn add_literal(&mut self, factor: i32, literal: Literal) {
        self.views.push(literal.get_integer_variable().scaled(factor));
    }

    /// Sums up in groups, and the groups in groups: the solver then learns about parts of the sum,
    /// which are what proofs of a whole sum are made of.
    fn gather(mut self, model: &mut Model) -> DomainId {
        while self.views.len() > GROUP {
            let groups: Vec<Vec<View>> = self.views.chunks(GROUP).map(<[View]>::to_vec).collect();
            self.views =
                groups.into_iter().map(|views| Sum { views, constant: 0 }.total(model).scaled(1)).collect();
        }
        self.total(model)
    }

    /// A number that is never less than the sum.
    fn total(self, model: &mut Model) -> DomainId {
        let (least, most) = self.bounds(model);
        let total = model.integer(least, most);
        let mut terms = self.views;
        terms.push(total.scaled(-1));
        model.sum_at_most(terms, -self.constant, When::Always);
        total
    }

    fn bounds(&self, model: &Model) -> (i32, i32) {
        let least = |view: &View| i64::from(model.solver.lower_bound(view));
        let most = |view: &View| i64::from(model.solver.upper_bound(view));
        let constant = i64::from(self.constant);
        // Half of the range, so that sums of two such numbers still fit.
        let fit = |sum: i64| sum.clamp(i64::from(i32::MIN / 2), i64::from(i32::MAX / 2)) as i32;
        (
            fit(self.views.iter().map(least).sum::<i64>() + constant),
            fit(self.views.iter().map(most).sum::<i64>() + constant),
        )
    }
}

/// A helper number pulled down needs to be held from below only, one that is rewarded from above:
/// the objective does the rest. The latest and the earliest are exact where that is not enough.
fn add(model: &mut Model, sum: &mut Sum, factor: i32, quantity: &Quantity) {
    match quantity {
        Quantity::Start(task) => sum.add(factor, model.start[task.0]),
        Quantity::End(task) => sum.add(factor, model.end[task.0]),
        Quantity::Duration(task) => {
            let (start, end) = (model.start[task.0], model.end[task.0]);
            let span = plain_span(model, start, end, factor > 0);
            sum.add(factor, span);
        }
        Quantity::Chosen(choice) => {
            if let Some(literal) = model.chosen(*choice) {
                sum.add_literal(factor, literal);
            }
        }
        Quantity::Latest(points) if !points.is_empty() => {
            let all = moments(model, points);
            let latest = extreme(model, &all, factor < 0, 1);
            sum.add(factor, latest);
        }
        Quantity::Earliest(points) if !points.is_empty() => {
            let all = moments(model, points);
            let earliest = extreme(model, &all, factor > 0, -1);
            sum.add(factor, earliest);
        }
        Quantity::Latest(_) | Quantity::Earliest(_) => {}
        Quantity::Excess { point, above } => {
            let moment = model.at(*point).later(-above);
            let most = model.solver.upper_bound(&moment.view()).max(0);
            let excess = model.moment(0, most);
            if factor > 0 {
                model.apart(moment, excess, 0, When::Always);
            } else {
                let zero = model.moment(0, 0);
                model.exactly_latest(vec![moment.view(), zero.view()], excess.view());
            }
            sum.add(factor, excess);
        }
        Quantity::Moved { point, from } => {
            let moment = model.at(*point).later(-from);
            let (low, high) = range(model, moment);
            let moved = model.moment(0, low.abs().max(high.abs()));
            let there = moment.view();
            let back = there.scaled(-1);
            if factor > 0 {
                let down = moved.variable.scaled(-1);
                model.sum_at_most(vec![there, down], 0, When::Always);
                model.sum_at_most(vec![back, down], 0, When::Always);
            } else {
                model.exactly_latest(vec![there, back], moved.view());
            }
            sum.add(factor, moved);
        }
        Quantity::Span { from, to, only_if } => {
            let (from, to) = (model.at(*from), model.at(*to));
            match model.when(only_if, Reason::Always) {
                When::Never => {}
                When::Always => {
                    let span = plain_span(model, from, to, factor > 0);
                    sum.add(factor, span);
                }
                When::If(literal) => {
                    let span = optional_span(model, from, to, literal, factor > 0);
                    sum.add(factor, span);
                }
            }
        }
    }
}

fn moments(model: &Model, points: &[Point]) -> Vec<Moment> {
    points.iter().map(|point| model.at(*point)).collect()
}

fn range(model: &Model, moment: Moment) -> (i32, i32) {
    let view = moment.view();
    (model.solver.lower_bound(&view), model.solver.upper_bound(&view))
}

/// The latest (`sign` 1) or earliest (-1) of some moments, exactly or as far as it is pulled.
fn extreme(model: &mut Model, all: &[Moment], exact: bool, sign: i32) -> Moment {
    let ranges: Vec<(i32, i32)> = all.iter().map(|moment| range(model, *moment)).collect();
    let low = ranges.iter().map(|range| range.0);
    let high = ranges.iter().map(|range| range.1);
    let (low, high) = if sign > 0 {
        (low.max().unwrap_or(0), high.max().unwrap_or(0))
    } else {
        (low.min().unwrap_or(0), high.min().unwrap_or(0))
    };
    let extreme = model.moment(low, high);
    if exact {
        let all = all.iter().map(|moment| moment.view().scaled(sign)).collect();
        model.exactly_latest(all, extreme.view().scaled(sign));
    } else {
        for moment in all {
            if sign > 0 {
                model.apart(*moment, extreme, 0, When::Always);
            } else {
                model.apart(extreme, *moment, 0, When::Always);
            }
        }
    }
    extreme
}

/// `to - from`, held from below, or else from above.
fn plain_span(model: &mut Model, from: Moment, to: Moment, below: bool) -> Moment {
    let (from_range, to_range) = (range(model, from), range(model, to));
    let apart = to.plus - from.plus;
    let least = model.paths.least(from.node, to.node).map(|least| least + apart);
    let most = model.paths.least(to.node, from.node).map(|least| apart - least);
    let low = (to_range.0 - from_range.1).max(least.unwrap_or(i32::MIN));
    let high = (to_range.1 - from_range.0).min(most.unwrap_or(i32::MAX));
    let span = model.moment(low, high);
    let sign = if below { 1 } else { -1 };
    let mut terms = vec![span.variable.scaled(-sign)];
    if to.variable != from.variable {
        terms.extend([to.variable.scaled(sign), from.variable.scaled(-sign)]);
    }
    model.sum_at_most(terms, sign * -apart, When::Always);
    span
}

/// `to - from` when the literal holds, else 0; held from below, or else from above.
fn optional_span(model: &mut Model, from: Moment, to: Moment, literal: Literal, below: bool) -> Moment {
    let (from_range, to_range) = (range(model, from), range(model, to));
    let low = (to_range.0 - from_range.1).min(0);
    let high = (to_range.1 - from_range.0).max(0);
    let span = model.moment(low, high);
    let sign = if below { 1 } else { -1 };
    let mut terms = vec![to.variable.scaled(sign), span.variable.scaled(-sign)];
    if to.variable == from.variable {
        terms = vec![span.variable.scaled(-sign)];
    } else {
        terms.push(from.variable.scaled(-sign));
    }
    model.sum_at_most(terms, sign * (from.plus - to.plus), When::If(literal));
    let zero = if below { span.at_least(0) } else { span.at_most(0) };
    model.clause_when(When::If(!literal), vec![zero]);
    span
}
