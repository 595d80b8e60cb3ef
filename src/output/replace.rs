//! One file replaced, whole or not at all.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Puts new content in the place of a file that is there, with its permissions. A run that is cut off leaves the former content.
///
/// # Errors
/// What the machine answers; the file is then as it was.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let permissions = fs::metadata(path)?.permissions();
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.as_file().set_permissions(permissions)?;
    file.persist(path)?;
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_new_content_stands_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("roll.csv");
        assert_eq!(replace(&path, b"x").unwrap_err().kind(), io::ErrorKind::NotFound);
        fs::write(&path, b"former").unwrap();
        replace(&path, b"new").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
