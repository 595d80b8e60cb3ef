//! What stands in an output folder and is no longer as it would be written now, and why.

mod causes;

use super::manifest::{Input, Manifest, sha256};
use causes::Causes;

/// What would be written now, and from what.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Now {
    /// The course's files.
    pub inputs: Vec<Input>,
    /// Paths and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    /// For how many it is asked, if not for those on the roll.
    pub headcount: Option<String>,
}

/// One file that is not as it should be.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Stale {
    /// Path within the output folder.
    pub path: String,
    /// Why, as a clause.
    pub why: String,
}

/// Compares a manifest with what would be written now. `digest` is the SHA-256 of what stands at a path, `present` its bytes.
#[must_use]
pub fn stale(
    manifest: &Manifest,
    now: &Now,
    digest: &dyn Fn(&str) -> Option<String>,
    present: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Vec<Stale> {
    let causes = Causes::of(manifest, now, present);
    let mut all = Vec::new();
    for (path, bytes) in &now.files {
        let because = causes.because(path);
        let (wanted, there) = (sha256(bytes), digest(path));
        let why = match (manifest.file(path), there) {
            (_, Some(there)) if there == wanted => continue,
            (None, _) => format!("not there yet{because}"),
            (Some(_), None) => "gone from the folder".to_owned(),
            (Some(entry), Some(there)) if there != entry.sha256 && entry.sha256 == wanted => {
                "somebody changed it since it was written".to_owned()
            }
            (Some(entry), Some(there)) if there != entry.sha256 => {
                format!("out of date{because}; and somebody changed it since it was written")
            }
            (Some(_), Some(_)) => format!("out of date{because}"),
        };
        all.push(Stale { path: path.clone(), why });
    }
    for entry in manifest.files.iter().filter(|e| !now.files.iter().any(|(path, _)| *path == e.path)) {
        if digest(&entry.path).is_some() {
            let why = format!("no longer part of this class{}", causes.because(&entry.path));
            all.push(Stale { path: entry.path.clone(), why });
        }
    }
    all.sort();
    all
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::manifest::Entry;
    use super::*;

    fn input(path: &str, text: &str) -> Input {
        Input { path: path.to_owned(), sha256: sha256(text.as_bytes()) }
    }

    #[test]
    fn each_file_is_told_once_with_its_reason() {
        let written = [
            ("a.pdf", "1"),
            ("b.pdf", "1"),
            ("c.pdf", "1"),
            ("d.pdf", "1"),
            ("e.pdf", "1"),
            ("data/plan.json", "1"),
        ];
        let manifest = Manifest {
            inputs: vec![input("roll.csv", "x"), input("old.toml", "x")],
            files: written
                .iter()
                .map(|(path, text)| Entry {
                    path: (*path).to_owned(),
                    sha256: sha256(text.as_bytes()),
                    bytes: 1,
                    private: false,
                })
                .collect(),
            ..Manifest::empty()
        };
        let now = Now {
            inputs: vec![input("roll.csv", "y"), input("new.toml", "x")],
            files: [
                ("a.pdf", "1"),
                ("b.pdf", "2"),
                ("c.pdf", "1"),
                ("e.pdf", "1"),
                ("f.pdf", "1"),
                ("data/plan.json", "2"),
            ]
            .iter()
            .map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec()))
            .collect(),
            headcount: None,
        };
        let folder =
            [("a.pdf", "1"), ("b.pdf", "1"), ("c.pdf", "scribbled"), ("d.pdf", "1"), ("data/plan.json", "1")];
        let present =
            |path: &str| folder.iter().find(|(p, _)| *p == path).map(|(_, text)| text.as_bytes().to_vec());
        let found = stale(&manifest, &now, &|path| present(path).map(|b| sha256(&b)), &present);
        let told: Vec<String> = found.iter().map(|s| format!("{}: {}", s.path, s.why)).collect();
        let because = ": new.toml is new, roll.csv changed, old.toml is gone";
        assert_eq!(
            told,
            [
                format!("b.pdf: out of date{because}"),
                "c.pdf: somebody changed it since it was written".to_owned(),
                format!("d.pdf: no longer part of this class{because}"),
                format!("data/plan.json: out of date{because}, and with it the times"),
                "e.pdf: gone from the folder".to_owned(),
                format!("f.pdf: not there yet{because}"),
            ]
        );
    }
}
