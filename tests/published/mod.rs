//! Published figures, each by its row and its source.
