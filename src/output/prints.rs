//! Photographs that were made ready to print, kept beside an output folder's records, so that printing again is quick.

use super::staging::RECORDS;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Prints in a folder of their own. A print that cannot be read or written is made anew: nothing here fails. Until
/// [`FolderShelf::tidy`] nothing is written, so that a run that is refused leaves no trace.
#[derive(Debug)]
pub struct FolderShelf {
    records: PathBuf,
    asked: Mutex<Asked>,
}

#[derive(Debug, Default)]
struct Asked {
    used: BTreeSet<String>,
    fresh: BTreeMap<String, Vec<u8>>,
}

impl FolderShelf {
    /// The shelf of an output folder.
    #[must_use]
    pub fn of(output: &Path) -> FolderShelf {
        FolderShelf { records: output.join(RECORDS), asked: Mutex::default() }
    }

    /// The print of this key, if it is there.
    pub fn get(&self, key: &str) -> Option<Vec<u8>> {
        let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        asked.used.insert(key.to_owned());
        let fresh = asked.fresh.get(key).cloned();
        fresh.or_else(|| fs::read(self.folder()?.join(key)).ok().filter(|_| is_key(key)))
    }

    /// Keeps a print.
    pub fn put(&self, key: &str, print: &[u8]) {
        if is_key(key) {
            let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
            asked.used.insert(key.to_owned());
            asked.fresh.insert(key.to_owned(), print.to_vec());
        }
    }

    /// When a set was written: writes the new prints, and throws away those that nobody has asked for since this shelf was
    /// opened. Only files that have the name of a print are ours.
    pub fn tidy(&self) {
        let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(folder) = self.folder() else { return };
        for (key, print) in std::mem::take(&mut asked.fresh) {
            // What cannot be kept is made anew the next time.
            let _ = keep(&folder, &key, &print);
        }
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            let name = entry.file_name();
            if name.to_str().is_some_and(|n| is_key(n) && !asked.used.contains(n)) {
                // What stays is thrown away the next time.
                let _ = fs::remove_file(entry.path());
            }
        }
    }

    /// Where the prints stand; `None` while there are no records, or where a link leads somewhere else.
    fn folder(&self) -> Option<PathBuf> {
        let folder = self.records.join("prints");
        let leads_away = |path: &Path| fs::symlink_metadata(path).is_ok_and(|m| !m.is_dir());
        (self.records.is_dir() && !leads_away(&self.records) && !leads_away(&folder)).then_some(folder)
    }
}

/// 64 hexadecimal digits.
fn is_key(name: &str) -> bool {
    name.len() == 64 && name.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

/// Whole or not at all, also when two runs write the same print.
fn keep(folder: &Path, key: &str, print: &[u8]) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(print)?;
    file.persist(folder.join(key))?;
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn prints_are_kept_until_nobody_asks_for_them() {
        let output = tempfile::tempdir().unwrap();
        let (one, two) = ("1".repeat(64), "2".repeat(64));
        let shelf = FolderShelf::of(output.path());
        assert_eq!(shelf.get(&one), None);
        shelf.put(&one, b"first");
        shelf.put(&two, b"second");
        assert_eq!(shelf.get(&one), Some(b"first".to_vec()));
        // A run that is refused leaves no trace.
        shelf.tidy();
        assert!(!output.path().join(RECORDS).exists());
        fs::create_dir(output.path().join(RECORDS)).unwrap();
        let shelf = FolderShelf::of(output.path());
        shelf.put(&one, b"first");
        shelf.put(&two, b"second");
        shelf.tidy();
        let later = FolderShelf::of(output.path());
        assert_eq!(later.get(&one), Some(b"first".to_vec()));
        let foreign = output.path().join(RECORDS).join("prints/notes.txt");
        fs::write(&foreign, "not ours").unwrap();
        later.tidy();
        assert_eq!((later.get(&one), later.get(&two)), (Some(b"first".to_vec()), None));
        assert!(foreign.exists());
    }

    #[test]
    fn a_key_names_no_path() {
        let output = tempfile::tempdir().unwrap();
        let shelf = FolderShelf::of(output.path());
        shelf.put("../../out", b"x");
        assert_eq!(shelf.get("../../out"), None);
        assert!(!output.path().join("out").exists());
        // A folder that is a file: nothing is kept, nothing fails.
        fs::write(output.path().join(RECORDS), "in the way").unwrap();
        shelf.put(&"a".repeat(64), b"x");
        shelf.tidy();
        assert_eq!(FolderShelf::of(output.path()).get(&"a".repeat(64)), None);
    }
}
