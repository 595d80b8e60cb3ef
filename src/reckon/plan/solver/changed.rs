//! Which of the things that a propagator looks at have changed since it last did: the others it knows still.

use pumpkin_core::propagation::LocalId;

/// The changes that a propagator was told and has not looked at yet.
#[derive(Clone, Debug, Default)]
pub(super) struct Changed {
    /// By the number under which a change is told, the things that it concerns.
    concerns: Vec<Vec<usize>>,
    noted: Vec<bool>,
    waiting: Vec<usize>,
    /// The solver went back: everything may be another.
    went_back: bool,
}

impl Changed {
    /// Nothing of so many things was looked at yet.
    pub(super) fn of(things: usize) -> Changed {
        Changed { noted: vec![false; things], went_back: true, ..Changed::default() }
    }

    /// The number under which a change of these things is told.
    pub(super) fn number(&mut self, things: Vec<usize>) -> LocalId {
        self.concerns.push(things);
        LocalId::from(u32::try_from(self.concerns.len() - 1).unwrap_or(u32::MAX))
    }

    pub(super) fn note(&mut self, number: LocalId) {
        for thing in self.concerns.get(number.unpack() as usize).into_iter().flatten() {
            if !self.noted[*thing] {
                self.noted[*thing] = true;
                self.waiting.push(*thing);
            }
        }
    }

    /// The solver went back. What was told before and not looked at is as it was.
    pub(super) fn go_back(&mut self) {
        self.went_back = true;
        for thing in self.waiting.drain(..) {
            self.noted[thing] = false;
        }
    }

    /// Whether the solver went back since this was last asked, and what has changed since then.
    pub(super) fn take(&mut self, changed: &mut Vec<usize>) -> bool {
        changed.clear();
        for thing in &self.waiting {
            self.noted[*thing] = false;
        }
        std::mem::swap(changed, &mut self.waiting);
        std::mem::take(&mut self.went_back)
    }
}
