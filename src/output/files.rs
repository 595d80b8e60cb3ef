//! Writing a set of files into a folder: whole or not there, and nothing of anyone else's touched.

use super::manifest::{Entry, Input, MANIFEST, Manifest, is_inside, sha256};
use super::staging::{self, Change, Journal, MoveFailed, RECORDS, Recovered, exists};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A file to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OutputFile {
    /// Path within the output folder, with `/` between its parts.
    pub path: String,
    /// Its whole content.
    pub bytes: Vec<u8>,
    /// Holds people's data: only its owner may read it.
    pub private: bool,
}

/// What the files were made from.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Origin {
    /// The course's files as they were read.
    pub inputs: Vec<Input>,
    /// What was asked for beside the folder: `headcount`, ...
    pub asked: BTreeMap<String, String>,
}

/// What writing did.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Written {
    /// New or changed files.
    pub written: Vec<String>,
    /// Files that were already there as they should be.
    pub unchanged: Vec<String>,
    /// Our own files of an earlier run that are no longer part of the set.
    pub removed: Vec<String>,
    /// Files of ours that somebody changed since: what they made of it, and where it is now.
    pub kept: Vec<(String, String)>,
    /// An earlier run had not ended.
    pub recovered: Option<Recovered>,
}

/// What is tried first: the output folder itself.
const MAKE: &str = "create";

/// Why nothing was written. The set that was there before is still whole.
#[derive(Debug)]
pub enum WriteFailure {
    /// The output folder is something else: a file.
    NotAFolder(PathBuf),
    /// Another run is writing there.
    Busy(PathBuf),
    /// Files stand there that we did not write.
    NotOurs(PathBuf, Vec<String>),
    /// A file name that would leave the folder.
    BadName(String),
    /// The machine refused.
    Machine {
        /// What was tried: `create`, `write`, ...
        doing: &'static str,
        /// On what.
        path: PathBuf,
        /// Its answer.
        error: io::Error,
    },
    /// Moving failed, and moving back failed too: the journal is kept, and the next start tries again.
    Stuck {
        /// On what.
        path: PathBuf,
        /// The machine's answer.
        error: io::Error,
    },
}

impl fmt::Display for WriteFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WriteFailure::NotAFolder(path) => {
                write!(f, "{} is not a folder, so nothing can be written into it", path.display())
            }
            WriteFailure::Busy(path) => write!(f, "another run is writing into {}", path.display()),
            WriteFailure::NotOurs(folder, paths) => {
                write!(
                    f,
                    "{} holds files that benchroll did not write: {}",
                    folder.display(),
                    paths.join(", ")
                )
            }
            WriteFailure::BadName(name) => {
                write!(f, "{name:?} cannot be the name of a file in the output folder")
            }
            WriteFailure::Machine { doing, path, error } if error.kind() == io::ErrorKind::StorageFull => {
                write!(f, "can't {doing} {}: the disk is full", path.display())
            }
            WriteFailure::Machine { doing: doing @ MAKE, path, error }
                if error.kind() == io::ErrorKind::NotFound =>
            {
                write!(f, "can't {doing} {}: it would lie where no folder can be made", path.display())
            }
            WriteFailure::Machine { doing, path, error } => {
                write!(f, "can't {doing} {}: {}", path.display(), said(error))
            }
            WriteFailure::Stuck { path, error } => write!(
                f,
                "can't move {} into place, nor the former files back: {}",
                path.display(),
                said(error)
            ),
        }
    }
}

impl std::error::Error for WriteFailure {}

impl WriteFailure {
    /// What to do about it.
    #[must_use]
    pub fn way_out(&self) -> &'static str {
        match self {
            WriteFailure::NotAFolder(_) => "name a folder, or one that does not exist yet, with --out",
            WriteFailure::Busy(_) => "wait until it has ended, or name another folder with --out",
            WriteFailure::NotOurs(..) => "move them away, or name another folder with --out",
            WriteFailure::BadName(_) => {
                "give the lesson, formula or supplier that it is made from a plain name"
            }
            WriteFailure::Machine { error, .. } if error.kind() == io::ErrorKind::StorageFull => {
                "make room and run again; what was there before is still whole"
            }
            WriteFailure::Machine { doing: MAKE, error, .. } if error.kind() == io::ErrorKind::NotFound => {
                "no folder can be made at that place: name one in a folder that is there, with --out"
            }
            WriteFailure::Machine { .. } => {
                "make the folder writable, or name another with --out; what was there before is still whole"
            }
            WriteFailure::Stuck { .. } => {
                "close the programs that hold these files open and run again: the write is finished or taken back then"
            }
        }
    }
}

/// The machine's answer without its number, which tells a teacher nothing.
fn said(error: &io::Error) -> String {
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or(&text).to_lowercase()
}

/// Writes the set: afterwards the folder holds these files of ours and no others of ours, or, on failure, what it held before.
pub fn write_set(folder: &Path, files: &[OutputFile], origin: &Origin) -> Result<Written, WriteFailure> {
    // Two names that differ in case alone are one file on some machines.
    let mut names = BTreeSet::from([MANIFEST.to_owned()]);
    if let Some(bad) = files.iter().find(|f| !is_inside(&f.path) || !names.insert(f.path.to_lowercase())) {
        return Err(WriteFailure::BadName(bad.path.clone()));
    }
    let _lock = open(folder)?;
    let mut written =
        Written { recovered: staging::recover(folder).map_err(|e| stuck(folder, e))?, ..Written::default() };
    let former = former_manifest(folder)?;
    let plan = compare(folder, files, &former, &mut written)?;
    // What somebody wrote on stays listed as we wrote it, or a later run would take it for a file of somebody else.
    let stays = |e: &&Entry| written.kept.iter().any(|(was, is)| was == is && *was == e.path);
    let manifest = Manifest {
        asked: origin.asked.clone(),
        inputs: origin.inputs.clone(),
        files: files
            .iter()
            .map(|f| Entry {
                path: f.path.clone(),
                sha256: sha256(&f.bytes),
                bytes: f.bytes.len(),
                private: f.private,
            })
            .chain(former.files.iter().filter(stays).cloned())
            .collect(),
        ..Manifest::empty()
    };
    if plan.is_empty() && manifest == former {
        return Ok(written);
    }
    let journal = stage(folder, plan, manifest).inspect_err(|_| {
        // The staged files may be what fills the disk; if they can't be cleared now, the next start does it.
        let _ = staging::clear(folder);
    })?;
    if let Err(failed) = journal.finish(folder) {
        journal.undo(folder).map_err(|e| stuck(folder, e))?;
        let _ = staging::clear(folder);
        return Err(machine("replace", folder.join(&failed.path), failed.error));
    }
    // The set is in place. Records that cannot be cleared now are cleared at the next start.
    let _ = staging::conclude(folder, &journal);
    Ok(written)
}

/// Makes the folder and our records in it, and takes the lock.
fn open(folder: &Path) -> Result<File, WriteFailure> {
    if folder.exists() && !folder.is_dir() {
        return Err(WriteFailure::NotAFolder(folder.to_owned()));
    }
    let records = folder.join(RECORDS);
    if exists(&records) && !fs::symlink_metadata(&records).is_ok_and(|m| m.is_dir()) {
        return Err(WriteFailure::NotOurs(folder.to_owned(), vec![RECORDS.to_owned()]));
    }
    fs::create_dir_all(folder).map_err(|error| machine(MAKE, folder.to_owned(), error))?;
    owner_only_folder(&records).map_err(|error| machine("write into", folder.to_owned(), error))?;
    staging::lock(folder).map_err(|error| match error {
        TryLockError::WouldBlock => WriteFailure::Busy(folder.to_owned()),
        TryLockError::Error(error) => machine("write into", folder.to_owned(), error),
    })
}

/// What benchroll wrote into a folder; `None` when it wrote nothing there.
///
/// # Errors
/// Another program's manifest, or what the machine answers.
pub fn manifest_of(folder: &Path) -> Result<Option<Manifest>, WriteFailure> {
    Ok(Some(former_manifest(folder)?).filter(|m| !m.files.is_empty()))
}

fn former_manifest(folder: &Path) -> Result<Manifest, WriteFailure> {
    let path = folder.join(MANIFEST);
    match fs::read(&path) {
        Ok(text) => Manifest::parse(&text)
            .ok_or_else(|| WriteFailure::NotOurs(folder.to_owned(), vec![MANIFEST.to_owned()])),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Manifest::empty()),
        Err(error) => Err(machine("read", path, error)),
    }
}

/// One thing that must change in the folder.
enum Planned<'a> {
    /// A file comes; the present one, if there is one, is laid aside or kept under another name.
    Write { file: &'a OutputFile, replaces: bool, keep_as: Option<String> },
    /// A stale file of ours goes.
    Remove(String),
}

/// Compares the folder with what it should hold.
fn compare<'a>(
    folder: &Path,
    files: &'a [OutputFile],
    former: &Manifest,
    written: &mut Written,
) -> Result<Vec<Planned<'a>>, WriteFailure> {
    let mut plan = Vec::new();
    let mut foreign = Vec::new();
    for file in files {
        if through_a_link(folder, &file.path) {
            foreign.push(file.path.clone());
            continue;
        }
        let path = folder.join(&file.path);
        if !exists(&path) {
            plan.push(Planned::Write { file, replaces: false, keep_as: None });
            written.written.push(file.path.clone());
            continue;
        }
        let plain = fs::symlink_metadata(&path).is_ok_and(|m| m.is_file());
        let present = if plain { fs::read(&path).ok() } else { None };
        let Some(present) = present else {
            foreign.push(file.path.clone());
            continue;
        };
        if present == file.bytes {
            if file.private {
                owner_only(&path).map_err(|error| machine("protect", path, error))?;
            }
            written.unchanged.push(file.path.clone());
            continue;
        }
        match former.file(&file.path) {
            None => foreign.push(file.path.clone()),
            Some(entry) => {
                let edited = sha256(&present) != entry.sha256;
                let keep_as = edited.then(|| free_name(folder, &file.path));
                if let Some(name) = &keep_as {
                    written.kept.push((file.path.clone(), name.clone()));
                }
                plan.push(Planned::Write { file, replaces: true, keep_as });
                written.written.push(file.path.clone());
            }
        }
    }
    if !foreign.is_empty() {
        return Err(WriteFailure::NotOurs(folder.to_owned(), foreign));
    }
    let wanted: BTreeSet<&str> = files.iter().map(|f| f.path.as_str()).collect();
    for entry in former.files.iter().filter(|e| is_inside(&e.path) && !wanted.contains(e.path.as_str())) {
        if through_a_link(folder, &entry.path) {
            continue;
        }
        let path = folder.join(&entry.path);
        match fs::read(&path) {
            Ok(present) if sha256(&present) == entry.sha256 => {
                plan.push(Planned::Remove(entry.path.clone()));
                written.removed.push(entry.path.clone());
            }
            // Somebody wrote on it: it stays, and we still know that it was ours once.
            Ok(_) => written.kept.push((entry.path.clone(), entry.path.clone())),
            Err(_) => {}
        }
    }
    Ok(plan)
}

/// Whether a part of the path before the file itself is a link: writing there would leave the folder.
fn through_a_link(folder: &Path, path: &str) -> bool {
    let mut at = folder.to_owned();
    let parts: Vec<&str> = path.split('/').collect();
    parts[..parts.len() - 1].iter().any(|part| {
        at.push(part);
        fs::symlink_metadata(&at).is_ok_and(|m| !m.is_dir())
    })
}

/// `order.csv` becomes `order.edited.csv`, or `order.edited-2.csv` when that is taken.
fn free_name(folder: &Path, path: &str) -> String {
    let (stem, ending) = match path.rsplit_once('.') {
        Some((stem, ending)) if !ending.contains('/') && !stem.is_empty() => (stem, format!(".{ending}")),
        _ => (path, String::new()),
    };
    let name = |n: usize| match n {
        1 => format!("{stem}.edited{ending}"),
        n => format!("{stem}.edited-{n}{ending}"),
    };
    (1..).map(name).find(|n| !exists(&folder.join(n))).unwrap_or_else(|| name(1))
}

/// Writes everything beside, and then the journal.
fn stage(folder: &Path, plan: Vec<Planned<'_>>, manifest: Manifest) -> Result<Journal, WriteFailure> {
    let staged = folder.join(RECORDS).join("staged");
    fs::create_dir_all(&staged).map_err(|error| machine("create", staged.clone(), error))?;
    let manifest =
        OutputFile { path: MANIFEST.to_owned(), bytes: manifest.to_json().into_bytes(), private: false };
    let mut journal = Journal::default();
    let mut put = |target: &OutputFile, former: Option<String>| {
        let at = format!("{RECORDS}/staged/{}", journal.changes.len());
        write_file(&folder.join(&at), target)
            .map_err(|error| machine("write", folder.join(&target.path), error))?;
        journal.changes.push(Change { target: target.path.clone(), staged: Some(at), former });
        Ok(())
    };
    let mut removed = Vec::new();
    for (n, planned) in plan.into_iter().enumerate() {
        let aside = format!("{RECORDS}/former/{n}");
        match planned {
            Planned::Write { file, replaces, keep_as } => put(file, keep_as.or(replaces.then_some(aside)))?,
            Planned::Remove(target) => removed.push(Change { target, staged: None, former: Some(aside) }),
        }
    }
    // The manifest comes last: it is true only when all the others are in place.
    let replaces = exists(&folder.join(MANIFEST));
    put(&manifest, replaces.then(|| format!("{RECORDS}/former/manifest")))?;
    let last = journal.changes.len() - 1;
    journal.changes.splice(last..last, removed);
    journal.save(folder).map_err(|error| machine("write", folder.join(RECORDS), error))?;
    Ok(journal)
}

fn write_file(path: &Path, file: &OutputFile) -> io::Result<()> {
    let mut options = File::options();
    options.write(true).create_new(true);
    #[cfg(unix)]
    if file.private {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut out = options.open(path)?;
    out.write_all(&file.bytes)?;
    out.sync_data()
}

/// Takes away everyone's permission but the owner's. On systems without such permissions the folder's own decide.
fn owner_only(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(path, fs::Permissions::from_mode(0o600))?;
    }
    let _ = path;
    Ok(())
}

fn owner_only_folder(path: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(path)?;
    // One that was there before may be open to others.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(path, fs::Permissions::from_mode(0o700))?;
    }
    Ok(())
}

fn machine(doing: &'static str, path: PathBuf, error: io::Error) -> WriteFailure {
    WriteFailure::Machine { doing, path, error }
}

fn stuck(folder: &Path, failed: MoveFailed) -> WriteFailure {
    WriteFailure::Stuck { path: folder.join(failed.path), error: failed.error }
}
