//! An output folder in which something goes wrong on purpose, and the two sets of files that may stand in it.
//!
//! It knows the program by its command line alone, so that the long run needs nothing but the program.

use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant, SystemTime};
use tempfile::TempDir;

/// Two sets of the same course: more people means other numbers in most files, and one station's sheets more.
const HEADCOUNTS: [&str; 2] = ["4", "6"];

/// What stands in an output folder, by the manifest's hashes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Standing {
    /// No file at all.
    Nothing,
    /// One of the sets, whole, and nothing beside it.
    Set(usize),
    /// A journal: the next start finishes it or takes it back.
    Between,
}

/// A course, and its two sets as they are when nothing goes wrong.
pub struct Ground {
    dir: TempDir,
    sets: [BTreeMap<String, Vec<u8>>; 2],
    /// How long a run lasts, and how much of that it writes.
    pub lasts: Duration,
    pub writes: Duration,
}

impl Ground {
    /// Prepares both sets, and takes the time.
    pub fn new() -> Ground {
        let dir = TempDir::new().unwrap();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/courses/small"), &dir.path().join("course"));
        let mut ground =
            Ground { dir, sets: Default::default(), lasts: Duration::ZERO, writes: Duration::ZERO };
        for which in 0..2 {
            let out = ground.path(&format!("whole-{which}"));
            let start = Instant::now();
            let mut run = ground.prepare(which, &out).spawn().unwrap();
            while !staged(&out) && run.try_wait().unwrap().is_none() {
                pause();
            }
            let staging = start.elapsed();
            assert!(run.wait().unwrap().success());
            ground.lasts = start.elapsed();
            ground.writes = ground.lasts - staging;
            ground.sets[which] = tree(&out);
            assert_eq!(ground.standing(&out), Ok(Standing::Set(which)));
        }
        ground
    }

    /// A path beside the course.
    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// The command line that writes a set into a folder.
    pub fn line(&self, which: usize, out: &Path) -> Vec<String> {
        let out = out.to_str().unwrap();
        let course = self.path("course");
        let course = course.to_str().unwrap();
        [program(), "prepare", course, "--out", out, "--headcount", HEADCOUNTS[which]]
            .map(str::to_owned)
            .into()
    }

    /// The same, ready to run.
    pub fn prepare(&self, which: usize, out: &Path) -> Command {
        command(&self.line(which, out))
    }

    /// Writes a set, unhurried: afterwards it stands there.
    pub fn next_start(&self, which: usize, out: &Path) -> String {
        let mut run = self.prepare(which, out);
        let output = run.stdout(Stdio::piped()).stderr(Stdio::piped()).output().unwrap();
        assert!(output.status.success(), "{}", said(&output));
        assert_eq!(self.standing(out), Ok(Standing::Set(which)));
        assert!(!staged(out) && !journal(out).exists(), "the records are cleared");
        said(&output)
    }

    /// What stands in a folder; an error is a folder that is neither whole nor can be made so.
    pub fn standing(&self, out: &Path) -> Result<Standing, String> {
        if journal(out).exists() { Ok(Standing::Between) } else { self.set_in(out) }
    }

    /// The set that stands there whatever our records of it say.
    pub fn set_in(&self, out: &Path) -> Result<Standing, String> {
        let files = tree(out);
        let Some(manifest) = files.get("manifest.json") else {
            let names: Vec<&String> = files.keys().collect();
            return if names.is_empty() { Ok(Standing::Nothing) } else { Err(format!("{names:?}")) };
        };
        let manifest: Value = serde_json::from_slice(manifest).map_err(|e| e.to_string())?;
        let listed = manifest["files"].as_array().ok_or("it lists no files")?;
        for entry in listed {
            let path = entry["path"].as_str().unwrap_or_default();
            let bytes = files.get(path).ok_or(format!("{path} is gone"))?;
            let hash = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect::<String>();
            if entry["sha256"] != Value::String(hash) {
                return Err(format!("{path} is not as it was written"));
            }
        }
        if listed.len() + 1 != files.len() {
            return Err(format!("{} files, of which the manifest lists {}", files.len(), listed.len()));
        }
        let which = self.sets.iter().position(|set| *set == files);
        which.map(Standing::Set).ok_or_else(|| "it is whole, but neither set".to_owned())
    }
}

/// The program that is tried.
pub fn program() -> &'static str {
    env!("CARGO_BIN_EXE_benchroll")
}

/// A command without an environment, and nobody who hears it.
pub fn command(line: &[String]) -> Command {
    let mut command = Command::new(&line[0]);
    command.args(&line[1..]).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// All that a run said.
pub fn said(output: &Output) -> String {
    String::from_utf8_lossy(&[&output.stdout[..], &output.stderr[..]].concat()).into_owned()
}

/// Whether files wait to be moved in.
pub fn staged(out: &Path) -> bool {
    out.join(".benchroll/staged").exists()
}

/// When the files that wait last came or went: it changes with the first move of a run.
pub fn staged_when(out: &Path) -> Option<SystemTime> {
    fs::metadata(out.join(".benchroll/staged")).and_then(|m| m.modified()).ok()
}

/// When the journal was written, if there is one.
pub fn noted_when(out: &Path) -> Option<SystemTime> {
    fs::metadata(journal(out)).and_then(|m| m.modified()).ok()
}

fn journal(out: &Path) -> PathBuf {
    out.join(".benchroll/journal.json")
}

/// A moment shorter than any write.
pub fn pause() {
    std::thread::sleep(Duration::from_micros(50));
}

/// All files of a folder but our records, by path.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut todo = vec![folder.to_owned()];
    while let Some(dir) = todo.pop() {
        for entry in fs::read_dir(dir).into_iter().flatten() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
            if name == ".benchroll" {
                continue;
            }
            if path.is_dir() {
                todo.push(path);
            } else {
                found.insert(name, fs::read(path).unwrap());
            }
        }
    }
    found
}

/// Copies a folder.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}
