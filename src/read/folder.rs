//! The disk: loads a course folder into a [`FileTree`]. Nothing else here reads files.

use super::files::{Entry, FileTree};
use super::{Reading, read_course};
use crate::course::limits::{FILES, FOLDERS_DEEP, LIST_BYTES, OTHER_BYTES, PHOTOGRAPH_BYTES, TEXT_BYTES};
use crate::finding::{Finding, Sources};
use std::fs;
use std::io;
use std::path::Path;

/// The files at the top of a course.
const TOP: &[&str] = &["course.toml", "kitchen.toml", "pantry.toml", "roll.csv"];
/// The folders of a course: name, and whether its files are texts.
pub const FOLDERS: &[(&str, bool)] = &[
    ("formulas", true),
    ("lessons", true),
    ("photos", false),
    ("templates", false),
    ("fonts", false),
    ("orders", true),
    ("logs", true),
];
const PHOTOGRAPHS: &[&str] = &["jpg", "jpeg", "png", "webp"];

/// Loads a course folder: its own files and folders and nothing beside them; no links are followed. A folder that
/// cannot be opened is a finding.
pub fn load(root: &Path) -> Result<FileTree, Box<Finding>> {
    match fs::metadata(root) {
        Ok(meta) if meta.is_dir() => {}
        Ok(_) => return Err(no_course(root, "is not a folder")),
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Err(no_course(root, "does not exist")),
        Err(e) => return Err(no_course(root, &format!("cannot be opened: {}", why_not(&e)))),
    }
    let mut loader = Loader { tree: FileTree::new(), count: 0 };
    for name in TOP {
        loader.file(&root.join(name), name, TEXT_BYTES);
    }
    for (name, texts) in FOLDERS {
        let largest = if *texts { TEXT_BYTES } else { OTHER_BYTES };
        loader.folder(&root.join(name), name, largest, 1);
    }
    Ok(loader.tree)
}

/// Loads a course folder and reads it.
pub fn read(root: &Path) -> Reading {
    match load(root) {
        Ok(files) => read_course(&files),
        Err(finding) => {
            Reading { course: None, draft: None, sources: Sources::default(), findings: vec![*finding] }
        }
    }
}

/// The content of one of the course's photographs, by its path within the folder.
pub fn photograph(root: &Path, path: &str) -> io::Result<Vec<u8>> {
    let plain = !path.is_empty()
        && path.split('/').all(|p| !p.is_empty() && p != ".." && p != "." && !p.contains(['\\', ':']));
    if !plain {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "this path leads out of the course folder"));
    }
    let mut whole = root.to_path_buf();
    for part in path.split('/') {
        whole.push(part);
        if fs::symlink_metadata(&whole)?.file_type().is_symlink() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "links are not followed"));
        }
    }
    let meta = fs::metadata(&whole)?;
    if !meta.is_file() || meta.len() > PHOTOGRAPH_BYTES {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "not a file, or too large"));
    }
    fs::read(&whole)
}

/// The content of one file that is no part of a course: a list that somebody exported.
pub fn one_file(path: &Path) -> io::Result<Vec<u8>> {
    let meta = fs::metadata(path)?;
    if !meta.is_file() || meta.len() > LIST_BYTES {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "not a file, or too large"));
    }
    fs::read(path)
}

fn no_course(root: &Path, why: &str) -> Box<Finding> {
    let finding = Finding::error("not-a-course", None, format!("{} {why}", root.display()))
        .in_file("course.toml")
        .way_out("give the folder of a course, or start one: `benchroll begin`");
    Box::new(finding)
}

/// Why the system does not hand something out, in words for those that a teacher can do something about.
fn why_not(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "you have no permission to read it".to_owned(),
        _ => error.to_string(),
    }
}

/// What helps against a file that was not loaded, by why it was not.
pub(super) fn way_out_of_refusal(why: &str) -> &'static str {
    if why.starts_with("cannot be") {
        "see that you may read it: who owns it, and what its permissions are"
    } else {
        "put a plain, smaller file in its place"
    }
}

struct Loader {
    tree: FileTree,
    count: usize,
}

impl Loader {
    fn folder(&mut self, at: &Path, name: &str, largest: u64, depth: usize) {
        let Ok(meta) = fs::symlink_metadata(at) else { return };
        if meta.file_type().is_symlink() {
            return self.refuse(name, "is a link, and links are not followed");
        }
        if !meta.is_dir() {
            return;
        }
        if depth > FOLDERS_DEEP {
            return self.refuse(name, &format!("lies deeper than {FOLDERS_DEEP} folders"));
        }
        let entries = match fs::read_dir(at) {
            Ok(entries) => entries,
            Err(e) => return self.refuse(name, &format!("cannot be opened: {}", why_not(&e))),
        };
        // By name, so that a folder gives the same tree on every machine.
        let mut names: Vec<String> = Vec::new();
        for entry in entries {
            match entry.map(|e| e.file_name().into_string()) {
                Ok(Ok(known)) => names.push(known),
                Ok(Err(other)) => {
                    self.refuse(
                        &format!("{name}/{}", other.to_string_lossy()),
                        "has a name that is not UTF-8",
                    );
                }
                Err(e) => self.refuse(name, &format!("cannot be read to its end: {e}")),
            }
        }
        names.sort();
        for entry in names.iter().filter(|n| !n.starts_with('.')) {
            let (child, path) = (at.join(entry), format!("{name}/{entry}"));
            match fs::symlink_metadata(&child) {
                Ok(meta) if meta.is_dir() => self.folder(&child, &path, largest, depth + 1),
                _ => self.file(&child, &path, largest),
            }
        }
    }

    fn file(&mut self, at: &Path, name: &str, largest: u64) {
        let meta = match fs::symlink_metadata(at) {
            Ok(meta) => meta,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return,
            Err(e) => return self.refuse(name, &format!("cannot be opened: {}", why_not(&e))),
        };
        self.count += 1;
        if self.count > FILES {
            return self.refuse(name, &format!("is one of more than {FILES} files"));
        }
        if meta.file_type().is_symlink() {
            return self.refuse(name, "is a link, and links are not followed");
        }
        if !meta.is_file() {
            return self.refuse(name, "is not a plain file");
        }
        let ending = name.rsplit('.').next().unwrap_or("").to_lowercase();
        if PHOTOGRAPHS.contains(&ending.as_str()) {
            if meta.len() > PHOTOGRAPH_BYTES {
                return self.refuse(name, &format!("is larger than {} MiB", PHOTOGRAPH_BYTES >> 20));
            }
            return self.tree.insert(name, Entry::Photograph { size: meta.len() });
        }
        if meta.len() > largest {
            return self.refuse(name, &format!("is larger than {} MiB", largest >> 20));
        }
        match fs::read(at) {
            Ok(bytes) => self.tree.add(name, bytes),
            Err(e) => self.refuse(name, &format!("cannot be read: {}", why_not(&e))),
        }
    }

    fn refuse(&mut self, name: &str, why: &str) {
        self.tree.insert(name, Entry::Refused { why: why.to_owned() });
    }
}
