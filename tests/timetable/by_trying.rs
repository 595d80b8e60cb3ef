//! Tiny classes of which every timetable whatever is looked at. The checker, which knows nothing of the solver or its problem, says which of
//! them hold: none of these is better than the plan, and where none holds there is no plan.

use super::{inputs, small};
use benchroll::course::{At, Carry, Course, Lasts, Stands, Takes, When, Where};
use benchroll::finding::Located;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::work::{Class, Portion};
use benchroll::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};

const SLOT: i64 = 30;

fn later(at: &ZonedDateTime, minutes: i64) -> ZonedDateTime {
    at.saturating_add(SignedDuration::from_mins(minutes))
}

/// The small course with these steps of its lesson, by halves of an hour, in a session of so many.
fn course(steps: &[(&str, i64, i64)], slots: i64) -> Course {
    let mut course = small();
    course.settings.grid.value = Minutes(SLOT);
    course.own_steps.clear();
    let lesson = &mut course.lessons[0];
    lesson.steps.retain(|s| steps.iter().any(|(id, ..)| *id == s.id.value.as_str()));
    for step in &mut lesson.steps {
        let (_, least, most) = steps.iter().find(|(id, ..)| *id == step.id.value.as_str()).unwrap();
        let (least, most) = (Minutes(least * SLOT), Minutes(most * SLOT));
        (step.ends, step.carry, step.share) = (None, None, None);
        step.uses.clear();
        match &mut step.lasts {
            Lasts::Takes { takes, .. } => takes.value = Takes { least, usual: least, most },
            Lasts::Stands(stands) => stands.value = Stands { least, most: Some(most) },
        }
    }
    let session = &mut course.sessions[0];
    session.to.value = later(&session.from.value, slots * SLOT);
    let hours = (later(&session.from.value, -SLOT), session.to.value.clone());
    session.staff.iter_mut().for_each(|span| span.value = hours.clone());
    course
}

fn carry(course: &mut Course, id: &str, least: i64, most: i64) {
    let step = course.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == id).unwrap();
    step.carry = Some(assumed(Carry { least: Minutes(least), most: Some(Minutes(most)) }));
}

fn assumed<T>(value: T) -> At<T> {
    Located::assumed(value)
}

/// Every timetable of a plan's tasks, by depth.
struct Trying<'a> {
    course: &'a Course,
    class: &'a Class,
    portions: &'a [Portion],
    moments: Vec<ZonedDateTime>,
    looked_at: u64,
    best: Option<(i64, i64)>,
}

impl Trying<'_> {
    fn all(&mut self, plan: &mut Plan, number: usize) {
        if number == plan.tasks.len() {
            return self.look(plan);
        }
        let task = &plan.tasks[number];
        let long = task.start.duration_until(&task.end).as_mins();
        let step = task.lesson.as_ref().and_then(|l| self.course.lesson(l)).and_then(|l| l.step(&task.step));
        let stands = step.is_some_and(|s| matches!(s.lasts, Lasts::Stands(_)));
        let moments = self.moments.clone();
        for start in &moments {
            let ends: Vec<ZonedDateTime> = if stands {
                moments.iter().filter(|end| *end > start).cloned().collect()
            } else {
                vec![later(start, long)]
            };
            for end in ends {
                let task = &mut plan.tasks[number];
                (task.start, task.end) = (start.clone(), end.clone());
                task.uses.iter_mut().for_each(|used| used.until = end.clone());
                self.all(plan, number + 1);
            }
        }
    }

    /// Looks at one timetable, with each session over as soon as its students' steps are, and the last when all is done.
    fn look(&mut self, plan: &mut Plan) {
        self.looked_at += 1;
        let sessions = plan.sessions.len();
        let mut values = (0, 0);
        let students = i64::from(self.class.headcount);
        for number in 0..sessions {
            let (from, next) =
                (plan.sessions[number].start.clone(), plan.sessions.get(number + 1).map(|s| s.start.clone()));
            let here = plan
                .tasks
                .iter()
                .filter(|t| t.start >= from && next.as_ref().is_none_or(|next| t.start < *next));
            let busy =
                here.clone().filter(|t| !t.stations.is_empty() || t.lesson.is_none()).map(|t| &t.end).max();
            let done = plan
                .tasks
                .iter()
                .filter(|t| t.lesson.is_some() && number + 1 == sessions)
                .map(|t| &t.end)
                .max();
            let finish = busy.into_iter().chain(done).max().unwrap_or(&from).clone();
            let minutes = from.duration_until(&finish).as_mins();
            values.0 += students * minutes;
            values.1 += minutes;
            plan.sessions[number].finish = finish;
        }
        for task in &plan.tasks {
            let hands: u32 = task
                .stations
                .iter()
                .filter_map(|no| self.class.stations.iter().find(|s| s.no == *no))
                .map(|s| s.students())
                .sum();
            let hands = if task.one_student { task.stations.len() as u32 } else { hands };
            values.0 -= i64::from(hands) * task.start.duration_until(&task.end).as_mins();
        }
        if self.best.is_none_or(|best| values < best)
            && check(self.course, self.class, self.portions, plan).is_empty()
        {
            self.best = Some(values);
        }
    }
}

/// The least of the two aims, where anything fits.
type Optimum = Option<(i64, i64)>;

/// What the plan has and what trying everything has: idle minutes of students, and minutes of sessions.
fn both(course: &Course, headcount: u32) -> (Optimum, Optimum) {
    let (class, portions, options) = inputs(course, Some(headcount));
    let found = plan(course, &class, &portions, &options, Effort { combinations: 1, ..Effort::default() });
    assert_eq!(found.refused, []);
    let mut tried = found.plan.clone().unwrap();
    let planned = found.plan.filter(|plan| plan.fits).map(|plan| {
        let value =
            |term: &str| plan.objective.iter().find(|t| t.term == term).map(|t| (t.value, t.proven)).unwrap();
        let (idle, session) = (value("idle-student-minutes"), value("session-minutes"));
        assert!(idle.1 && session.1, "{:?}", plan.objective);
        (idle.0, session.0)
    });
    assert!(planned.is_some() || found.impossible);
    (tried.fits, tried.overrun) = (true, Minutes(0));
    let mut moments = Vec::new();
    for session in &course.sessions {
        for hours in &session.staff {
            let mut at = hours.value.0.clone();
            while at <= hours.value.1 {
                moments.push(at.clone());
                at = later(&at, SLOT);
            }
        }
    }
    let mut trying = Trying { course, class: &class, portions: &portions, moments, looked_at: 0, best: None };
    trying.all(&mut tried, 0);
    println!("{} timetables: {:?}", trying.looked_at, trying.best);
    (planned, trying.best)
}

#[test]
fn no_timetable_that_holds_is_better_than_the_plan() {
    // A dough, and how long it may rise; with a carry to the oven.
    let mut classes = vec![(course(&[("mix", 1, 1), ("rise", 1, 2), ("bake", 1, 1)], 5), 2)];
    let mut waits = course(&[("mix", 1, 1), ("rise", 1, 2), ("shape", 1, 1), ("bake", 1, 1)], 5);
    carry(&mut waits, "bake", 30, 60);
    classes.push((waits, 2));
    // As many hours as it takes, and one slot too few.
    classes.push((course(&[("mix", 2, 2), ("rise", 1, 1), ("bake", 2, 2)], 5), 2));
    classes.push((course(&[("mix", 2, 2), ("rise", 1, 1), ("bake", 2, 2)], 4), 2));
    // A talk at the beginning, and tea between.
    let mut tea = course(&[("mix", 1, 1), ("rise", 1, 3), ("bake", 1, 1)], 5);
    tea.own_steps = small().own_steps;
    let mut pause = tea.own_steps[0].clone();
    pause.id.value = "tea".into();
    (pause.pause, pause.demo) = (true, false);
    pause.when.value = When::Between(Minutes(60), Minutes(90));
    tea.own_steps.push(pause);
    classes.push((tea, 2));
    // Two doughs in one bowl, one after the other.
    let mut bowl = course(&[("mix", 1, 1), ("rise", 1, 1), ("bake", 1, 1)], 5);
    bowl.kitchen.mixers[0].count.value = 1;
    bowl.lessons[0].steps[0].share = Some(assumed(1));
    classes.push((bowl, 4));
    // Over a night in the cold.
    let mut night = course(&[("mix", 1, 1), ("rise", 1, 1), ("bake", 1, 1)], 2);
    let mut second = night.sessions[0].clone();
    second.id.value = "sun".into();
    let day = |at: &ZonedDateTime| later(at, 24 * 60);
    (second.from.value, second.to.value) = (day(&second.from.value), day(&second.to.value));
    second.staff.iter_mut().for_each(|s| s.value = (day(&s.value.0), day(&s.value.1)));
    night.sessions.push(second);
    let rise = &mut night.lessons[0].steps[1];
    rise.place.value = Where::Cold;
    rise.lasts = Lasts::Stands(assumed(Stands { least: Minutes(8 * 60), most: Some(Minutes(24 * 60)) }));
    classes.push((night, 2));
    let mut fits = Vec::new();
    for (place, (course, headcount)) in classes.iter().enumerate() {
        let (planned, tried) = both(course, *headcount);
        assert_eq!(planned, tried, "{place}");
        fits.push(tried.is_some());
    }
    assert!(fits.contains(&true) && fits.contains(&false), "{fits:?}");
}
