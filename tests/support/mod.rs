//! Runs the program as a person would: in a sealed folder, without a terminal, and shows all that it said.

pub mod grown;
pub mod ink;
pub mod json_schema;
pub mod least;

use benchroll::read::FileTree;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// Puts texts in the first places where others stand in a course's file; each has to be there.
pub fn put_in(files: &mut FileTree, path: &str, places: &[(&str, String)]) {
    let mut text = String::from_utf8(files.bytes(path).unwrap().to_vec()).unwrap();
    for (was, is) in places {
        assert!(text.contains(was), "{was:?} in {path}");
        text = text.replacen(was, is, 1);
    }
    files.add(path, text);
}

/// A folder of its own for one test.
pub struct Sealed {
    dir: TempDir,
}

/// What one run said and how it ended. Shown whole, so that a snapshot holds all of it.
pub struct Said {
    /// The exit code; `None` when it was killed.
    pub exit: Option<i32>,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

impl Sealed {
    /// An empty folder.
    pub fn new() -> Self {
        Sealed { dir: TempDir::new().unwrap() }
    }
    /// A folder that holds a copy of the demo class as `course`.
    pub fn demo() -> Self {
        let sealed = Sealed::new();
        copy(&repository().join("course"), &sealed.path("course"));
        sealed
    }
    /// A folder that holds a course of one lesson for four people as `course`, quick to plan.
    pub fn small() -> Self {
        Sealed::copy_of("tests/courses/small")
    }
    /// A folder that holds a copy of this one of the repository as `course`.
    pub fn copy_of(folder: &str) -> Self {
        let sealed = Sealed::new();
        copy(&repository().join(folder), &sealed.path("course"));
        sealed
    }
    /// A path in it.
    pub fn path(&self, path: &str) -> PathBuf {
        self.dir.path().join(path)
    }
    /// Adds a file.
    pub fn file(self, path: &str, content: impl AsRef<[u8]>) -> Self {
        let at = self.path(path);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::write(at, content).unwrap();
        self
    }
    /// Replaces the one place in a file where `old` stands.
    pub fn edit(self, path: &str, old: &str, new: &str) -> Self {
        let text = self.read(path);
        assert_eq!(text.matches(old).count(), 1, "{old:?} in {path}");
        self.file(path, text.replace(old, new))
    }
    /// The text of a file.
    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.path(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
    }
    /// The names of all files below a folder, sorted; our records are left out.
    pub fn files(&self, below: &str) -> Vec<String> {
        let mut names = Vec::new();
        let root = self.path(below);
        let mut todo = vec![root.clone()];
        while let Some(dir) = todo.pop() {
            for entry in fs::read_dir(dir).into_iter().flatten() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    todo.push(path);
                } else {
                    names.push(path.strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/"));
                }
            }
        }
        names.retain(|n| !n.starts_with(".benchroll/"));
        names.sort();
        names
    }
    /// Runs the program in this folder.
    pub fn run(&self, line: &[&str]) -> Said {
        self.run_with(line, &[])
    }
    /// Runs the program with variables of its environment set.
    pub fn run_with(&self, line: &[&str], variables: &[(&str, &str)]) -> Said {
        let output = Command::new(env!("CARGO_BIN_EXE_benchroll"))
            .args(line)
            .current_dir(self.dir.path())
            .env_clear()
            .envs(variables.iter().copied())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| {
            String::from_utf8(bytes).unwrap().replace(self.dir.path().to_str().unwrap(), "[folder]")
        };
        Said { exit: output.status.code(), stdout: text(output.stdout), stderr: text(output.stderr) }
    }
}

impl Said {
    /// Standard output as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|e| panic!("{e}\n{self}"))
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.exit {
            Some(code) => writeln!(f, "exit {code}")?,
            None => writeln!(f, "killed")?,
        }
        for (name, text) in [("stdout", &self.stdout), ("stderr", &self.stderr)] {
            if !text.is_empty() {
                writeln!(f, "--- {name}\n{text}")?;
            }
        }
        Ok(())
    }
}

/// What a program that reads PDF files says (it may be no text), or `None`, with a word, where this machine has no such
/// program. It must end well.
#[allow(clippy::print_stderr)]
pub fn tool(name: &str, line: &[&str]) -> Option<String> {
    match Command::new(name).args(line).stdin(Stdio::null()).output() {
        Ok(output) => {
            let errors = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success(), "{name} {line:?}: {errors}");
            Some(String::from_utf8_lossy(&output.stdout).into_owned())
        }
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
            eprintln!("not checked: there is no {name} on this machine");
            None
        }
        Err(e) => panic!("{name}: {e}"),
    }
}

/// The repository's folder.
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn copy(from: &Path, to: &Path) {
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
