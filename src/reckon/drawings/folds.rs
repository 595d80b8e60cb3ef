//! Layers of a laminated dough.

/// A fold of a laminated dough.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Fold {
    /// In half: two.
    Half,
    /// In thirds, as a letter: three.
    Letter,
    /// Ends to the middle, then closed, as a book: four.
    Book,
}

impl Fold {
    /// By how much it multiplies the butter layers.
    pub fn times(self) -> u64 {
        match self {
            Fold::Half => 2,
            Fold::Letter => 3,
            Fold::Book => 4,
        }
    }
}

/// The layers after a row of folds that began with one layer of butter in dough.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Layers {
    /// Layers of butter: the product of the folds.
    pub butter: u64,
    /// Layers of dough: one more, for dough lies on both sides.
    pub dough: u64,
}

impl Layers {
    /// Butter and dough together.
    pub fn total(self) -> u64 {
        self.butter.saturating_add(self.dough)
    }
}

/// Counts the layers: butter layers are the product of the folds, all layers twice that and one
/// (Breadlab notes on laminated dough terms, September 2011). Touching dough faces count as one layer.
pub fn layers(folds: &[Fold]) -> Layers {
    let butter = folds.iter().fold(1u64, |n, f| n.saturating_mul(f.times()));
    Layers { butter, dough: butter.saturating_add(1) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_layer_counts() {
        // ex-lam-4343 and lam-published: culinary-school student journal, class arithmetic for puff pastry lamination.
        let puff = layers(&[Fold::Book, Fold::Letter, Fold::Book, Fold::Letter]);
        assert_eq!((puff.butter, puff.dough, puff.total()), (144, 145, 289));
        // ex-lam-letters: Breadlab notes on laminated dough terms, September 2011 (three letter folds 27, four 81).
        assert_eq!(layers(&[Fold::Letter; 3]).butter, 27);
        assert_eq!(layers(&[Fold::Letter; 4]).butter, 81);
    }

    #[test]
    fn each_fold_counts_as_lam_rule_says() {
        // lam-rule: simple letter 3, book 4, half 2; total = 2 * butter + 1.
        for (fold, n) in [(Fold::Letter, 3), (Fold::Book, 4), (Fold::Half, 2)] {
            assert_eq!(layers(&[fold]).butter, n);
            assert_eq!(layers(&[fold]).total(), 2 * n + 1);
        }
        assert_eq!(layers(&[]).total(), 3);
    }
}
