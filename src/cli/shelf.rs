//! Prints of photographs stand in the output folder between two runs.

use crate::output::prints::FolderShelf;
use crate::typeset::Shelf;

impl Shelf for FolderShelf {
    fn get(&self, key: &str) -> Option<Vec<u8>> {
        FolderShelf::get(self, key)
    }
    fn put(&self, key: &str, print: &[u8]) {
        FolderShelf::put(self, key, print);
    }
}
