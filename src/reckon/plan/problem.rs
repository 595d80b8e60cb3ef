//! A scheduling problem in plain data: tasks with alternative ways, time lags, resources.
//!
//! It is the resource-constrained project scheduling problem with minimal and maximal time lags,
//! several modes for a task (here: ways), calendars, and set-up times. Nothing here knows what a
//! dough is. Times are whole slots counted from 0 to [`Problem::horizon`]; how many minutes a slot
//! has is the caller's business. A span `from..to` covers the slots from `from` up to, but
//! without, `to`.

use super::schedule::Schedule;

/// A task, by its place in [`Problem::tasks`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TaskId(pub usize);

/// A resource, by its place in [`Problem::resources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ResourceId(pub usize);

/// A reason that can be named when nothing fits, by its place in [`Problem::reasons`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReasonId(pub usize);

/// Why a constraint is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// It always holds and is never named as a cause (an order of steps, say).
    #[default]
    Always,
    /// It holds because of this reason, which could be changed; a conflict names it.
    Named(ReasonId),
}

/// One way to do one task: true when the task is done that way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Choice {
    /// The task.
    pub task: TaskId,
    /// The way, by its place in [`Task::ways`].
    pub way: usize,
}

/// Which end of a task.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// When it starts.
    Start,
    /// When it ends.
    End,
}

/// A moment tied to a task: its start or its end, and some slots later (or earlier).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// The task.
    pub task: TaskId,
    /// Its start or its end.
    pub side: Side,
    /// So many slots later; negative is earlier.
    pub plus: i32,
}

impl Point {
    /// When the task starts.
    #[must_use]
    pub fn start(task: TaskId) -> Point {
        Point { task, side: Side::Start, plus: 0 }
    }

    /// When the task ends.
    #[must_use]
    pub fn end(task: TaskId) -> Point {
        Point { task, side: Side::End, plus: 0 }
    }

    /// The same moment, `slots` later.
    #[must_use]
    pub fn later(self, slots: i32) -> Point {
        Point { plus: self.plus + slots, ..self }
    }
}

/// Something to do; exactly one of its ways is chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Task {
    /// What people call it; the engine only hands it back in messages.
    pub name: String,
    /// The ways it can be done, at least one.
    pub ways: Vec<Way>,
}

/// One way to do a task.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// What people call it.
    pub name: String,
    /// Shortest duration in slots, 0 or more.
    pub least: i32,
    /// Longest duration in slots; the solver chooses within the range.
    pub most: i32,
    /// Spans of slots: the whole task lies inside one of them. Empty: anywhere in the horizon.
    pub windows: Vec<(i32, i32)>,
    /// Why the windows are there. The duration itself has no reason: it always holds.
    pub reason: Reason,
}

impl Way {
    /// A way that takes exactly `slots`, at any time.
    #[must_use]
    pub fn fixed(name: &str, slots: i32) -> Way {
        Way::ranged(name, slots, slots)
    }

    /// A way that takes from `least` to `most` slots, at any time.
    #[must_use]
    pub fn ranged(name: &str, least: i32, most: i32) -> Way {
        Way { name: name.to_owned(), least, most, windows: Vec::new(), reason: Reason::Always }
    }

    /// The same way, kept inside the windows because of `reason`.
    #[must_use]
    pub fn within(self, windows: &[(i32, i32)], reason: Reason) -> Way {
        Way { windows: windows.to_vec(), reason, ..self }
    }
}

/// At least, and perhaps at most, so many slots from one moment to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lag {
    /// The earlier moment.
    pub from: Point,
    /// The later moment: `to - from >= least`.
    pub to: Point,
    /// The shortest distance in slots; may be negative.
    pub least: i32,
    /// The longest distance, if there is one.
    pub most: Option<i32>,
    /// Holds only when all of these are chosen. Empty: always.
    pub only_if: Vec<Choice>,
    /// Why.
    pub reason: Reason,
}

/// A resource, busy from one moment to another; it may span many tasks.
///
/// A hold in force also demands that `to` is not before `from`. When both are the same moment, it
/// takes nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hold {
    /// Which resource.
    pub resource: ResourceId,
    /// How much of it, 0 or more.
    pub amount: i32,
    /// From this moment.
    pub from: Point,
    /// Up to this one.
    pub to: Point,
    /// Holds only when all of these are chosen. Empty: always.
    pub only_if: Vec<Choice>,
    /// Why.
    pub reason: Reason,
}

/// Something there is only so much of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resource {
    /// What people call it.
    pub name: String,
    /// How much there is, 0 or more; 1 for a single mixer, say.
    pub capacity: i32,
    /// Spans `(from, to, capacity)` when there is less than that. Where two overlap, the smaller counts.
    pub calendar: Vec<(i32, i32, i32)>,
    /// Why there is no more: with this reason set aside, the resource is without limit.
    pub reason: Reason,
}

/// Two spans that must not overlap, with set-up time between them.
///
/// Either `b.0 >= a.1 + gap_ab` or `a.0 >= b.1 + gap_ba`. An order whose gap is `None` is not
/// allowed; with both `None` the pair can't be at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Apart {
    /// One span, from and to.
    pub a: (Point, Point),
    /// The other span, from and to.
    pub b: (Point, Point),
    /// Slots at least between the end of `a` and the start of `b`, when `a` is first.
    pub gap_ab: Option<i32>,
    /// Slots at least between the end of `b` and the start of `a`, when `b` is first.
    pub gap_ba: Option<i32>,
    /// Holds only when all of these are chosen. Empty: always.
    pub only_if: Vec<Choice>,
    /// Why.
    pub reason: Reason,
}

/// How the ways of several tasks depend on each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Link {
    /// When all of `all` are chosen, then so is `then`.
    Implies {
        /// The condition; empty means always.
        all: Vec<Choice>,
        /// What follows.
        then: Choice,
        /// Why.
        reason: Reason,
    },
    /// These are never all chosen together.
    Forbids {
        /// The combination.
        all: Vec<Choice>,
        /// Why.
        reason: Reason,
    },
}

/// Interchangeable groups of tasks (stations): swapping two members turns a plan into as good a plan.
///
/// It is no constraint of the job but a promise of the caller that lets the solver look at one
/// order of the members only: the tasks at `step` start in the order of the members.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symmetry {
    /// The members; all have equally many tasks, the same step at the same place.
    pub members: Vec<Vec<TaskId>>,
    /// The step, by its place in a member, whose starts are put in order.
    pub step: usize,
}

/// Things that stand for each other, such as the ovens of one kind on one day: swapping two of them turns a plan into as good a plan.
///
/// Like [`Symmetry`] it is no constraint of the job but a promise of the caller: they are numbered in the order in which the tasks use
/// them, and the solver looks at no other numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Numbering {
    /// For each task, one after another, the ways in which it uses one of them.
    pub uses: Vec<Vec<Use>>,
}

/// Which of some things alike is used, from 0, and the way in which it is.
pub type Use = (usize, Choice);

/// Whose a task is, where a problem falls into groups much alike.
///
/// It is no constraint of the job, and no promise either: whatever is said here, what follows from it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whose {
    /// All groups', or nobody's.
    All,
    /// One group's, by its number.
    Group(usize),
    /// Of those groups whose tasks it is tied to, and they belong together by it.
    Joining,
    /// Of those groups whose tasks it is tied to, though each could have one of its own.
    Shared,
}

/// A number read off a schedule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// When the task starts.
    Start(TaskId),
    /// When the task ends.
    End(TaskId),
    /// How long the task takes.
    Duration(TaskId),
    /// 1 when this way is chosen, else 0.
    Chosen(Choice),
    /// The latest of some moments, at least one.
    Latest(Vec<Point>),
    /// The earliest of some moments, at least one.
    Earliest(Vec<Point>),
    /// Slots by which the moment is later than `above`, never less than 0.
    Excess {
        /// The moment.
        point: Point,
        /// The slot after which it counts.
        above: i32,
    },
    /// Slots by which the moment is earlier or later than `from`.
    Moved {
        /// The moment.
        point: Point,
        /// Where it was.
        from: i32,
    },
    /// Slots from one moment to another when all of `only_if` are chosen, else 0.
    Span {
        /// The earlier moment.
        from: Point,
        /// The later moment; the value is negative if it is earlier.
        to: Point,
        /// Counts only when all of these are chosen. Empty: always.
        only_if: Vec<Choice>,
    },
}

/// One aim: a weighted sum to be made as small as possible.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// What people call it.
    pub name: String,
    /// The sum; a negative factor rewards.
    pub sum: Vec<(i32, Quantity)>,
}

/// What may help the search.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hints {
    /// A plan to start from, such as the one already printed. It need not fit.
    pub warm: Option<Schedule>,
    /// Tasks to place first, in this order; the others follow. Empty: the engine's own order.
    pub order: Vec<TaskId>,
    /// Ways that are tried first, the best first; the others follow in their order.
    pub ways: Vec<Choice>,
    /// The last term only chooses among plans that are as good for everyone in the class: it is worth fewer steps.
    pub lesser: bool,
    /// What is made smaller at the end, as far as few steps go: plans that are equally good by every term may still not be equally nice.
    pub tidy: Option<Term>,
    /// The values of a plan that is known already, term by term: only a better one is looked for. Empty: any plan.
    pub beat: Vec<i32>,
}

/// A class with more tasks than these is large: a plan takes many steps, and what is proven takes more than looking.
pub const LARGE: usize = 300;

/// From so many on resources that are alike are counted together and numbered; two are looked through soon enough pair by pair.
pub const COUNTED_FROM: usize = 3;

/// Everything the engine has to know.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// The last slot at which anything may end.
    pub horizon: i32,
    /// What has to be done.
    pub tasks: Vec<Task>,
    /// Orders and waits.
    pub lags: Vec<Lag>,
    /// What is busy when.
    pub holds: Vec<Hold>,
    /// What there is only so much of.
    pub resources: Vec<Resource>,
    /// Spans that must not overlap.
    pub aparts: Vec<Apart>,
    /// How ways depend on each other.
    pub links: Vec<Link>,
    /// Interchangeable stations.
    pub symmetries: Vec<Symmetry>,
    /// Interchangeable things.
    pub numberings: Vec<Numbering>,
    /// Resources that stand for each other, such as the ovens of one kind: a task that is always held in one of them may be so in any. It is
    /// no constraint of the job, but lets the solver count them together; where that costs more than it helps they are not named.
    pub alike: Vec<Vec<ResourceId>>,
    /// For each task whose it is; empty: that is not known.
    pub whose: Vec<Whose>,
    /// The aims, the most important first: each is made as small as the ones before it leave room for.
    pub objective: Vec<Term>,
    /// What the named reasons say.
    pub reasons: Vec<String>,
    /// Help for the search.
    pub hints: Hints,
}

impl Problem {
    /// Nothing to do yet, in slots from 0 to `horizon`.
    #[must_use]
    pub fn new(horizon: i32) -> Problem {
        Problem { horizon, ..Problem::default() }
    }

    /// Adds a task that can be done in several ways.
    pub fn task(&mut self, name: &str, ways: Vec<Way>) -> TaskId {
        self.tasks.push(Task { name: name.to_owned(), ways });
        TaskId(self.tasks.len() - 1)
    }

    /// Adds a resource with the same capacity at all times.
    pub fn resource(&mut self, name: &str, capacity: i32, reason: Reason) -> ResourceId {
        let name = name.to_owned();
        self.resources.push(Resource { name, capacity, calendar: Vec::new(), reason });
        ResourceId(self.resources.len() - 1)
    }

    /// Adds a reason that a conflict can name.
    pub fn reason(&mut self, text: &str) -> Reason {
        self.reasons.push(text.to_owned());
        Reason::Named(ReasonId(self.reasons.len() - 1))
    }

    /// `to` comes `least` slots or more after `from`, whatever is chosen.
    pub fn after(&mut self, from: Point, to: Point, least: i32) {
        self.lag(from, to, least, None, Reason::Always);
    }

    /// `to` comes from `least` to `most` slots after `from`, whatever is chosen.
    pub fn lag(&mut self, from: Point, to: Point, least: i32, most: Option<i32>, reason: Reason) {
        self.lags.push(Lag { from, to, least, most, only_if: Vec::new(), reason });
    }

    /// The task keeps `amount` of a resource busy from its start to its end.
    pub fn uses(&mut self, task: TaskId, resource: ResourceId, amount: i32) {
        self.holds.push(Hold {
            resource,
            amount,
            from: Point::start(task),
            to: Point::end(task),
            only_if: Vec::new(),
            reason: Reason::Always,
        });
    }

    /// The same problem with a reason set aside: whatever holds only because of it no longer does.
    #[must_use]
    pub fn without(&self, aside: ReasonId) -> Problem {
        self.keeping(|reason| reason != Reason::Named(aside))
    }

    /// The same problem with those constraints only whose reason passes `keep`.
    #[must_use]
    pub fn keeping(&self, keep: impl Fn(Reason) -> bool) -> Problem {
        let mut left = self.clone();
        for way in left.tasks.iter_mut().flat_map(|task| task.ways.iter_mut()) {
            if !keep(way.reason) {
                way.windows.clear();
            }
        }
        left.lags.retain(|lag| keep(lag.reason));
        left.holds.retain(|hold| keep(hold.reason));
        left.aparts.retain(|apart| keep(apart.reason));
        left.links.retain(|link| match link {
            Link::Implies { reason, .. } | Link::Forbids { reason, .. } => keep(*reason),
        });
        let unlimited: Vec<bool> = left.resources.iter().map(|it| !keep(it.reason)).collect();
        left.holds.retain_mut(|hold| {
            // The hold stays, since it also says that its end is not before its start.
            if unlimited.get(hold.resource.0) == Some(&true) {
                hold.amount = 0;
            }
            true
        });
        left
    }
}
