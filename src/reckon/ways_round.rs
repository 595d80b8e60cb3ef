//! What can be done about too few tins: what the plan does, and what else there is.

use super::plan::timetable::Plan;
use super::pull_list::{Need, Sort};
use super::tin_fill::volume;
use crate::course::{Course, EquipId, Tin};

/// A way round a shortage.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Way {
    /// So many pieces wait in the cold until a tin is free; their proof from the cold is longer.
    WaitCold(u32),
    /// So many serve a second time: tins turned out, cooled, washed and greased, trays wiped down, tubs washed.
    SecondWave(u32),
    /// So many borrowed or hired.
    Borrow(u32),
    /// So many paper cases of the same size.
    PaperCases(u32),
    /// So many tins of another kind that hold as much.
    OtherShape(EquipId, u32),
}

/// Tins count as holding as much within this share of the volume, in hundredths.
const AS_MUCH: f64 = 0.10;

/// What the plan does about it, and what else would do: nothing for what is not short.
#[must_use]
pub fn ways_round(course: &Course, plan: &Plan, need: &Need) -> (Vec<Way>, Vec<Way>) {
    if need.short == 0 {
        return (Vec::new(), Vec::new());
    }
    let of_lesson = |l: &Option<crate::course::LessonId>| {
        l.as_ref().is_some_and(|l| need.from.iter().any(|(from, _, _)| from == l))
    };
    let tin = course.kitchen.tins.iter().find(|t| t.id.value == need.item);
    let mut does = Vec::new();
    if tin.is_some() {
        let waiting: u32 = plan
            .tasks
            .iter()
            .filter(|t| t.cold_wait && of_lesson(&t.lesson))
            .flat_map(|t| t.members.iter().map(|(_, n)| *n))
            .sum();
        if waiting > 0 {
            does.push(Way::WaitCold(waiting));
        }
    }
    let again = need.taken_out().map_or(0, |(_, again)| again);
    if need.sort == Sort::Tin && again > 0 {
        does.push(Way::SecondWave(again));
    }
    let mut else_ = vec![Way::Borrow(need.short)];
    if let Some(tin) = tin {
        else_.push(Way::PaperCases(need.short));
        let others =
            course.kitchen.tins.iter().filter(|t| t.id.value != tin.id.value && holds_as_much(t, tin));
        else_.extend(others.map(|t| {
            let there = t.count.value + t.loan.as_ref().map_or(0, |l| l.count.value);
            Way::OtherShape(t.id.value.clone(), there.min(need.short))
        }));
    }
    (does, else_)
}

fn holds_as_much(one: &Tin, other: &Tin) -> bool {
    let holds = |t: &Tin| t.holds.as_ref().map_or_else(|| volume(t.inside.value), |h| h.value).to_f64();
    (holds(one) - holds(other)).abs() <= holds(other) * AS_MUCH
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::course::Inside;
    use crate::reckon::sample::{at, course};
    use crate::units::Centimetres;

    /// 20 x 6 cm round are 1885 ml; 17.7 cm square of the same depth 1880 ml, 15 cm square 1350 ml.
    #[test]
    fn a_tin_of_another_shape_is_one_that_holds_as_much() {
        let tin = course().kitchen.tins[0].clone();
        let square = |side: i64| {
            let side = Centimetres::from_thousandths(side);
            Tin {
                inside: at(Inside::Square { length: side, width: side, deep: Centimetres::whole(6) }),
                ..tin.clone()
            }
        };
        assert!(holds_as_much(&square(17_700), &tin));
        assert!(!holds_as_much(&square(15_000), &tin));
    }
}
