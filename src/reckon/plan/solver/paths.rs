//! Longest paths through the distances that always hold between moments.
//!
//! They tell which of two spans must come first without any search.

use std::collections::{BTreeMap, VecDeque};

/// Distances `to - from >= weight` that always hold between numbered moments.
#[derive(Clone, Debug, Default)]
pub(super) struct Paths {
    edges: Vec<Vec<(usize, i32)>>,
    known: BTreeMap<usize, Vec<Option<i32>>>,
}

impl Paths {
    /// One moment more; its number.
    pub(super) fn grow(&mut self) -> usize {
        self.edges.push(Vec::new());
        self.edges.len() - 1
    }

    /// A distance that always holds. What was already asked is answered as before until
    /// [`Paths::refresh`]: that is still true, if weaker.
    pub(super) fn add(&mut self, from: usize, to: usize, weight: i32) {
        self.edges[from].push((to, weight));
    }

    /// From now on answers count all distances.
    pub(super) fn refresh(&mut self) {
        self.known.clear();
    }

    /// The least that `to` must come after `from`; `None` when nothing binds them.
    pub(super) fn least(&mut self, from: usize, to: usize) -> Option<i32> {
        if !self.known.contains_key(&from) {
            let found = self.longest_from(from);
            self.known.insert(from, found);
        }
        self.known.get(&from).and_then(|found| found.get(to).copied().flatten())
    }

    /// Longest paths from one moment to all (Bellman and Ford, with a queue). A cycle that grows
    /// without end means that nothing fits; the solver says so itself, so here it only has to stop.
    fn longest_from(&self, source: usize) -> Vec<Option<i32>> {
        let mut best: Vec<Option<i32>> = vec![None; self.edges.len()];
        let mut waiting = vec![false; self.edges.len()];
        let mut visits = vec![0_usize; self.edges.len()];
        let mut queue = VecDeque::from([source]);
        best[source] = Some(0);
        while let Some(node) = queue.pop_front() {
            waiting[node] = false;
            let Some(here) = best[node] else { continue };
            for (next, weight) in &self.edges[node] {
                let there = here.saturating_add(*weight);
                if best[*next].is_none_or(|old| old < there) {
                    best[*next] = Some(there);
                    visits[*next] += 1;
                    if !waiting[*next] && visits[*next] <= self.edges.len() {
                        waiting[*next] = true;
                        queue.push_back(*next);
                    }
                }
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_path_counts() {
        let mut paths = Paths::default();
        (0..4).for_each(|_| assert!(paths.grow() < 4));
        paths.add(0, 1, 3);
        paths.add(1, 2, 4);
        paths.add(0, 2, 5);
        paths.add(2, 0, -9);
        assert_eq!(paths.least(0, 2), Some(7));
        assert_eq!(paths.least(1, 0), Some(-5));
        assert_eq!(paths.least(0, 3), None);
        paths.add(2, 3, 0);
        paths.refresh();
        assert_eq!(paths.least(0, 3), Some(7));
    }
}
