//! One file that was not there before, whole or not at all; what is there stays.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Writes a file that is not there yet, and the folders above it.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] when something has that name, and it stays as it was; else what the machine answers.
pub fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder)?;
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist_noclobber(path)?;
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_is_there_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("templates/words/fr.toml");
        write_new(&path, b"first").unwrap();
        assert_eq!(write_new(&path, b"second").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).unwrap(), b"first");
        // Nothing is left beside it.
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }
}
