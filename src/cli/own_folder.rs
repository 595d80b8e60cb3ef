//! Whether an output folder is the course itself or a folder that the course is read from.

use crate::read::folder::FOLDERS;
use std::path::{Component, Path, PathBuf};

/// The way out of a folder that is the course's own.
pub const NEW_FOLDER: &str =
    "name a folder of its own with --out, such as `printed`, beside the course or in it";

/// Why documents must not be written into this folder, as a sentence; `None`: they may.
pub fn refused(course: &Path, out: &Path) -> Option<String> {
    let course = course.canonicalize().ok()?;
    let inside = real(out)?;
    let inside = inside.strip_prefix(&course).ok()?;
    let shown = out.display();
    let Some(first) = inside.components().next() else {
        return Some(format!(
            "{shown} is the course folder itself: its own files would lie among the printed ones"
        ));
    };
    let name = first.as_os_str().to_string_lossy().to_lowercase();
    let own = FOLDERS.iter().any(|(folder, _)| *folder == name);
    own.then(|| {
        format!("{shown} lies in the course's own folder `{name}`, which is read as part of the course")
    })
}

/// The folder without links, `.` and `..`, be it there already or not. `None`: it has no name that leads anywhere.
fn real(path: &Path) -> Option<PathBuf> {
    let whole = std::path::absolute(path).ok()?;
    let mut there = PathBuf::new();
    for part in whole.components() {
        match part {
            Component::ParentDir => _ = there.pop(),
            Component::CurDir => {}
            other => there.push(other),
        }
        // A link is followed where it stands, so that `..` after it leaves the folder that it leads to.
        if let Ok(known) = there.canonicalize() {
            there = known;
        }
    }
    Some(there)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_course_and_its_folders_are_refused_and_a_new_one_in_it_is_not() {
        let dir = tempfile::tempdir().unwrap();
        let course = dir.path().join("hall");
        std::fs::create_dir_all(course.join("lessons")).unwrap();
        for out in ["", ".", "lessons", "lessons/printed", "photos", "printed/../logs", "../hall", "Formulas"]
        {
            assert!(refused(&course, &course.join(out)).is_some(), "{out}");
        }
        for out in ["printed", "printed/lessons", "..", "../printed", "../hall-2", "lessons/../printed"] {
            assert_eq!(refused(&course, &course.join(out)), None, "{out}");
        }
    }
}
