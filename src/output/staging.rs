//! Moving a whole set of files into a folder, or none of it: staged beside, noted in a journal, renamed one by one.
//!
//! ```text
//! .benchroll/lock          held by the operating system while a run writes; a killed run lets go of it
//! .benchroll/staged/N      new files, complete
//! .benchroll/former/N      the files that they replace
//! .benchroll/journal.json  there from the moment when all is staged until all is moved
//! ```
//! Without a journal nothing in the folder was touched: what is staged is thrown away. With one, each entry is in one of
//! three states that the files themselves show, so the set can be finished or taken back from any of them:
//! the new file staged and the old in place; the old one laid aside; the new one in place.

use super::manifest::is_inside;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The folder in the output folder that holds our records of a write.
pub const RECORDS: &str = ".benchroll";

/// One change to the folder; paths are within the output folder.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Change {
    /// The file that changes.
    pub target: String,
    /// Where the new file waits; `None`: the target goes away.
    pub staged: Option<String>,
    /// Where the present file is laid aside; `None`: there is none.
    pub former: Option<String>,
}

/// All changes of one write, in order.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Journal {
    /// The changes.
    pub changes: Vec<Change>,
}

/// One rename, within the output folder.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Move {
    /// From here.
    pub from: String,
    /// To here.
    pub to: String,
}

/// What a failed move says: which file, and what the machine answered.
#[derive(Debug)]
pub struct MoveFailed {
    /// The file, within the output folder.
    pub path: String,
    /// The machine's answer.
    pub error: io::Error,
}

impl Journal {
    /// The renames that bring the new set in, in order.
    #[must_use]
    pub fn forward(&self) -> Vec<Move> {
        let step = |from: &String, to: &String| Move { from: from.clone(), to: to.clone() };
        self.changes
            .iter()
            .flat_map(|c| {
                let aside = c.former.as_ref().map(|former| step(&c.target, former));
                let place = c.staged.as_ref().map(|staged| step(staged, &c.target));
                aside.into_iter().chain(place)
            })
            .collect()
    }

    /// Brings the new set in from whatever state it is in.
    pub fn finish(&self, folder: &Path) -> Result<(), MoveFailed> {
        for change in &self.changes {
            let here = |path: &String| exists(&folder.join(path));
            let placed = change.staged.as_ref().is_some_and(|staged| !here(staged));
            if let Some(former) = &change.former
                && !placed
                && !here(former)
                && here(&change.target)
            {
                rename(folder, &change.target, former)?;
            }
            if let Some(staged) = &change.staged
                && !placed
            {
                rename(folder, staged, &change.target)?;
            }
        }
        Ok(())
    }

    /// Brings the former set back from whatever state it is in.
    pub fn undo(&self, folder: &Path) -> Result<(), MoveFailed> {
        for change in self.changes.iter().rev() {
            let here = |path: &String| exists(&folder.join(path));
            if let Some(staged) = &change.staged
                && !here(staged)
                && here(&change.target)
            {
                rename(folder, &change.target, staged)?;
            }
            if let Some(former) = &change.former
                && here(former)
            {
                rename(folder, former, &change.target)?;
            }
        }
        Ok(())
    }

    /// Notes it in the folder, whole or not at all: from here on, a killed run is finished by the next one.
    pub fn save(&self, folder: &Path) -> io::Result<()> {
        let records = folder.join(RECORDS);
        let draft = records.join("journal.new");
        let text = serde_json::to_vec(self).map_err(io::Error::other)?;
        let mut file = File::create(&draft)?;
        file.write_all(&text)?;
        file.sync_all()?;
        // What is staged is on the disk before the journal says so, and the journal before anything moves.
        sync_folder(&records.join("staged"));
        fs::rename(&draft, records.join("journal.json"))?;
        sync_folder(&records);
        Ok(())
    }

    /// What an earlier run noted; `None` when there is nothing to finish.
    pub fn load(folder: &Path) -> io::Result<Option<Journal>> {
        let text = match fs::read(folder.join(RECORDS).join("journal.json")) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error),
        };
        let journal: Journal = serde_json::from_slice(&text).map_err(io::Error::other)?;
        let recorded = |path: &String| path.strip_prefix(".benchroll/").is_some_and(is_inside);
        let sound = journal.changes.iter().all(|c| {
            is_inside(&c.target)
                && c.staged.as_ref().is_none_or(recorded)
                && c.former.as_ref().is_none_or(|f| recorded(f) || is_inside(f))
        });
        if sound { Ok(Some(journal)) } else { Err(io::Error::other("it names files outside this folder")) }
    }
}

/// What was found of an earlier run that did not end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Recovered {
    /// Its new set is complete now.
    Finished,
    /// The set before it is back.
    RolledBack,
}

/// Finishes or takes back what an earlier run left, and clears its records away.
pub fn recover(folder: &Path) -> Result<Option<Recovered>, MoveFailed> {
    let failed = |error| MoveFailed { path: format!("{RECORDS}/journal.json"), error };
    let Some(journal) = Journal::load(folder).map_err(failed)? else {
        let left = exists(&folder.join(RECORDS).join("staged"));
        clear(folder).map_err(failed)?;
        return Ok(left.then_some(Recovered::RolledBack));
    };
    match journal.finish(folder) {
        Ok(()) => {
            conclude(folder, &journal).map_err(failed)?;
            Ok(Some(Recovered::Finished))
        }
        Err(_) => {
            journal.undo(folder)?;
            clear(folder).map_err(failed)?;
            Ok(Some(Recovered::RolledBack))
        }
    }
}

/// Throws the records of a write away that has come in whole. The empty folder of what was staged goes first, so that a run
/// that is killed here is not taken for one that was taken back.
pub fn conclude(folder: &Path, journal: &Journal) -> io::Result<()> {
    let mut moved: BTreeSet<PathBuf> = BTreeSet::new();
    for change in &journal.changes {
        moved.extend(folder.join(&change.target).parent().map(Path::to_owned));
    }
    // The moves are on the disk before the journal that could repeat them is gone.
    moved.iter().for_each(|folder| sync_folder(folder));
    remove_empty_folders(folder, journal);
    // What it can't remove here is removed with the rest.
    let _ = fs::remove_dir(folder.join(RECORDS).join("staged"));
    clear(folder)
}

/// Folders that held nothing but stale files of ours go with them; one that holds anything else refuses to be removed.
fn remove_empty_folders(folder: &Path, journal: &Journal) {
    for gone in journal.changes.iter().filter(|c| c.staged.is_none()) {
        let mut parent = Path::new(&gone.target).parent();
        while let Some(dir) = parent.filter(|p| !p.as_os_str().is_empty()) {
            if fs::remove_dir(folder.join(dir)).is_err() {
                break;
            }
            parent = dir.parent();
        }
    }
}

/// Asks the disk to keep the names in a folder. Not every system can be asked; one that is only killed needs none of it.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// Throws the records of a write away, the journal first: what is left without it was never begun, or is done.
pub fn clear(folder: &Path) -> io::Result<()> {
    let records = folder.join(RECORDS);
    for file in ["journal.json", "journal.new"] {
        match fs::remove_file(records.join(file)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    for held in ["staged", "former"] {
        match fs::remove_dir_all(records.join(held)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(())
}

/// Takes the folder's lock, or says that another run has it. The lock goes with the returned file.
pub fn lock(folder: &Path) -> Result<File, TryLockError> {
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder.join(RECORDS).join("lock"))
        .map_err(TryLockError::Error)?;
    file.try_lock()?;
    Ok(file)
}

fn rename(folder: &Path, from: &str, to: &str) -> Result<(), MoveFailed> {
    let to_path: PathBuf = folder.join(to);
    to_path
        .parent()
        .map_or(Ok(()), fs::create_dir_all)
        .and_then(|()| fs::rename(folder.join(from), &to_path))
        .map_err(|error| MoveFailed { path: to.to_owned(), error })
}

/// Whether something of that name is there, be it a link that leads nowhere.
pub(super) fn exists(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}
