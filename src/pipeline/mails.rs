//! The e-mail texts to suppliers, with the course's own template and words.

use super::Reckoned;
use crate::finding::{Finding, Place, Sources};
use crate::output::order_mail::{self, Mail, TEMPLATE};
use crate::read::FileTree;
use crate::read::words_file::catalogue;

/// A letter to each supplier; or what is wrong with the course's own template, at its place.
///
/// # Errors
/// The finding that tells it.
pub fn mails(
    reckoned: &Reckoned,
    files: &FileTree,
    sources: &mut Sources,
) -> Result<Vec<Mail>, Box<Finding>> {
    let words = catalogue(files, &reckoned.course.settings.language.value);
    let own = files.bytes(TEMPLATE).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    order_mail::mails(&reckoned.course, &reckoned.order, own.as_deref(), &words).map_err(|slip| {
        let text = own.unwrap_or_default();
        let source = sources.find(TEMPLATE).unwrap_or_else(|| sources.add(TEMPLATE, text));
        let place = slip.bytes.map(|(start, end)| Place { source, start, end });
        let finding = Finding::error("template-error", place, slip.message)
            .way_out("`benchroll template order-mail` prints the built-in one, with what it receives");
        Box::new(if place.is_none() { finding.in_file(TEMPLATE) } else { finding })
    })
}
