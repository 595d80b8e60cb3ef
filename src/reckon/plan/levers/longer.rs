//! Sessions that go on longer, and the staff's hours that go with them.

use super::Change;
use crate::course::{Course, SessionId};
use jiff::ZonedDateTime;

impl Change {
    /// The staff's hours that have to be written with a later end, in words; empty where they reach so far as they are.
    pub(super) fn with_staff(&self, course: &Course) -> String {
        let Some(changed) = self.apply(course) else { return String::new() };
        let pairs = course.sessions.iter().zip(&changed.sessions);
        let moved =
            pairs.flat_map(|(was, now)| was.staff.iter().zip(&now.staff).map(move |(a, b)| (now, a, b)));
        let moved = moved.filter(|(_, was, now)| was.value.1 != now.value.1).map(|(session, _, now)| {
            let (name, until) =
                (crate::reckon::plan::tasks::session_name(session), now.value.1.strftime("%H:%M"));
            format!("the staff's hours of {name} to {until}")
        });
        let own = course.presence.iter().zip(&changed.presence);
        let own = own.flat_map(|(was, now)| was.there.iter().zip(&now.there).map(move |(a, b)| (now, a, b)));
        let own = own.filter(|(_, was, now)| was.value.1 != now.value.1).map(|(row, _, now)| {
            format!("the hours of {} to {}", row.who.value, now.value.1.strftime("%H:%M"))
        });
        let moved: Vec<String> = moved.chain(own).collect();
        if moved.is_empty() { String::new() } else { format!(", and {}", moved.join(" and ")) }
    }
}

/// A session goes on until then, and whoever of the staff is there at its written end stays as long.
pub(super) fn lengthen(course: &mut Course, id: &SessionId, end: &ZonedDateTime) -> Option<()> {
    let Course { sessions, presence, .. } = course;
    let session = sessions.iter_mut().find(|s| s.id.value == *id)?;
    let written = std::mem::replace(&mut session.to.value, end.clone());
    for span in session.staff.iter_mut().chain(presence.iter_mut().flat_map(|row| &mut row.there)) {
        if span.value.0 <= written && span.value.1 >= written && span.value.1 < *end {
            span.value.1 = end.clone();
        }
    }
    Some(())
}
