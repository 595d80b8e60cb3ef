//! The manifest: what was written from what. Only what stands in it, and is still as it was written, is ours to replace or to remove.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// The manifest's name in the output folder.
pub const MANIFEST: &str = "manifest.json";

/// A file of the course as it was read.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Input {
    /// Path within the course folder, with `/` between its parts.
    pub path: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
}

/// A file that we wrote.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Entry {
    /// Path within the output folder, with `/` between its parts.
    pub path: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
    /// How many bytes.
    pub bytes: usize,
    /// Holds people's data.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub private: bool,
}

/// What an output folder holds of ours.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// Always `benchroll`: another program's `manifest.json` is not ours.
    pub written_by: String,
    /// The number of this format: 1.
    pub format: u32,
    /// What was asked for beside the folder: `headcount`, ...
    #[serde(default)]
    pub asked: BTreeMap<String, String>,
    /// The files of the course, by path.
    pub inputs: Vec<Input>,
    /// Our files, by path.
    pub files: Vec<Entry>,
}

impl Manifest {
    /// A manifest of nothing, as an empty folder has.
    #[must_use]
    pub fn empty() -> Self {
        Manifest {
            written_by: "benchroll".to_owned(),
            format: 1,
            asked: BTreeMap::new(),
            inputs: Vec::new(),
            files: Vec::new(),
        }
    }
    /// Reads one; `None` when it is not one of ours.
    #[must_use]
    pub fn parse(text: &[u8]) -> Option<Self> {
        let manifest: Manifest = serde_json::from_slice(text).ok()?;
        (manifest.written_by == "benchroll" && manifest.format == 1).then_some(manifest)
    }
    /// As JSON, for people too.
    #[must_use]
    pub fn to_json(&self) -> String {
        // Strings and numbers only: there is nothing in it that cannot be written.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }
    /// What was written at a path.
    #[must_use]
    pub fn file(&self, path: &str) -> Option<&Entry> {
        self.files.iter().find(|f| f.path == path)
    }
}

/// SHA-256 (FIPS 180-4) in hexadecimal digits.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut hex, byte| {
        hex.push_str(&format!("{byte:02x}"));
        hex
    })
}

/// Whether a path may be written to or removed in an output folder: relative, no way out of it, not our own records.
#[must_use]
pub fn is_inside(path: &str) -> bool {
    !path.is_empty()
        && path.split('/').all(|part| {
            !part.is_empty()
                && part != "."
                && part != ".."
                && !part.contains(['\\', ':', '\0'])
                && !part.ends_with('.')
        })
        && !path.split('/').next().unwrap_or("").eq_ignore_ascii_case(super::staging::RECORDS)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example, as published by NIST: SHA-256("abc").
    #[test]
    fn digest_of_the_published_example() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_path_cannot_leave_the_folder() {
        for bad in ["", "/etc/passwd", "../x", "a/../../x", "a//b", "C:x", "a\\b", ".benchroll/lock", "./a"] {
            assert!(!is_inside(bad), "{bad}");
        }
        assert!(is_inside("stations/station-3.pdf"));
    }

    #[test]
    fn another_programs_manifest_is_not_ours() {
        assert_eq!(Manifest::parse(br#"{"name":"site","icons":[]}"#), None);
        assert_eq!(Manifest::parse(Manifest::empty().to_json().as_bytes()), Some(Manifest::empty()));
    }
}
