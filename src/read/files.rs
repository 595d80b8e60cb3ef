//! A course folder in memory: paths and bytes, so that reading needs no disk.

use std::collections::BTreeMap;

/// What stands at a path.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Entry {
    /// Its content.
    Bytes(Vec<u8>),
    /// A photograph, known by name and size; its content is fetched when a page needs it.
    Photograph {
        /// Size in bytes.
        size: u64,
    },
    /// Not loaded, with the reason as a clause: "is larger than 4 MiB".
    Refused {
        /// Why.
        why: String,
    },
}

/// The files of a course folder by their paths, `/` between the parts, in the order of their names.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct FileTree {
    entries: BTreeMap<String, Entry>,
}

impl FileTree {
    /// An empty folder.
    pub fn new() -> Self {
        Self::default()
    }
    /// Adds or replaces a file.
    pub fn add(&mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.entries.insert(path.into(), Entry::Bytes(bytes.into()));
    }
    /// Adds or replaces an entry of any sort.
    pub fn insert(&mut self, path: impl Into<String>, entry: Entry) {
        self.entries.insert(path.into(), entry);
    }
    /// Takes a file out.
    pub fn remove(&mut self, path: &str) {
        self.entries.remove(path);
    }
    /// What stands at a path.
    pub fn get(&self, path: &str) -> Option<&Entry> {
        self.entries.get(path)
    }
    /// The content of a file that was loaded.
    pub fn bytes(&self, path: &str) -> Option<&[u8]> {
        match self.entries.get(path) {
            Some(Entry::Bytes(b)) => Some(b),
            _ => None,
        }
    }
    /// The course's own templates, fixed words and fonts, by path: what is laid over the built-in ones.
    pub fn overrides(&self) -> BTreeMap<String, Vec<u8>> {
        ["fonts", "templates"]
            .iter()
            .flat_map(|folder| self.under(folder))
            .filter_map(|(path, entry)| match entry {
                Entry::Bytes(bytes) => Some((path.to_owned(), bytes.clone())),
                _ => None,
            })
            .collect()
    }
    /// All entries, by path.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Entry)> {
        self.entries.iter().map(|(p, e)| (p.as_str(), e))
    }
    /// The paths that begin with a folder's name and a `/`.
    pub fn under<'a>(&'a self, folder: &'a str) -> impl Iterator<Item = (&'a str, &'a Entry)> + 'a {
        self.iter().filter(move |(p, _)| p.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/')))
    }
}

impl<P: Into<String>, B: Into<Vec<u8>>> FromIterator<(P, B)> for FileTree {
    fn from_iter<I: IntoIterator<Item = (P, B)>>(iter: I) -> Self {
        let mut tree = FileTree::new();
        for (path, bytes) in iter {
            tree.add(path, bytes);
        }
        tree
    }
}
