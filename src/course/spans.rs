//! Spans between two moments: somebody's hours, a break.

use jiff::ZonedDateTime;

/// From one moment to another.
pub type Span = (ZonedDateTime, ZonedDateTime);

/// Spans joined where they touch, in order; empty ones left out.
#[must_use]
pub fn joined(mut spans: Vec<Span>) -> Vec<Span> {
    spans.retain(|(from, to)| from < to);
    spans.sort();
    let mut all: Vec<Span> = Vec::new();
    for span in spans {
        match all.last_mut() {
            Some(last) if span.0 <= last.1 => last.1 = last.1.clone().max(span.1),
            _ => all.push(span),
        }
    }
    all
}
