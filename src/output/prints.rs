//! Photographs that were made ready to print, kept beside an output folder's records, so that printing again is quick.

use super::staging::RECORDS;
use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Prints in a folder of their own. A print that cannot be read or written is made anew: nothing here fails.
#[derive(Debug)]
pub struct FolderShelf {
    folder: PathBuf,
    used: Mutex<BTreeSet<String>>,
}

impl FolderShelf {
    /// The shelf of an output folder.
    #[must_use]
    pub fn of(output: &Path) -> FolderShelf {
        FolderShelf { folder: output.join(RECORDS).join("prints"), used: Mutex::default() }
    }

    /// Throws away the prints that nobody has asked for since this shelf was opened. Only files that have the name of a
    /// print are ours.
    pub fn tidy(&self) {
        let used = self.used.lock().unwrap_or_else(PoisonError::into_inner);
        for entry in fs::read_dir(&self.folder).into_iter().flatten().flatten() {
            let name = entry.file_name();
            if name.to_str().is_some_and(|n| is_key(n) && !used.contains(n)) {
                // What stays is thrown away the next time.
                let _ = fs::remove_file(entry.path());
            }
        }
    }

    fn use_of(&self, key: &str) {
        self.used.lock().unwrap_or_else(PoisonError::into_inner).insert(key.to_owned());
    }
}

/// 64 hexadecimal digits.
fn is_key(name: &str) -> bool {
    name.len() == 64 && name.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

impl FolderShelf {
    /// The print of this key, if it is there.
    pub fn get(&self, key: &str) -> Option<Vec<u8>> {
        self.use_of(key);
        fs::read(self.folder.join(key)).ok().filter(|_| is_key(key))
    }

    /// Keeps a print.
    pub fn put(&self, key: &str, print: &[u8]) {
        self.use_of(key);
        let write = || -> std::io::Result<()> {
            fs::create_dir_all(&self.folder)?;
            // Whole or not at all, also when two runs write the same print.
            let mut file = tempfile::NamedTempFile::new_in(&self.folder)?;
            file.write_all(print)?;
            file.persist(self.folder.join(key))?;
            Ok(())
        };
        if is_key(key) {
            let _ = write();
        }
    }
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
        assert_eq!(shelf.get(&"a".repeat(64)), None);
    }
}
