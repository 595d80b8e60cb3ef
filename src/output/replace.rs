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
    // From its first byte on readable by those alone who may read the former one.
    let file = staged(path, bytes, Some(permissions))?;
    file.persist(path)?;
    Ok(())
}

/// Puts content into a file, be it there already or not; whole or not at all.
///
/// # Errors
/// What the machine answers; a file that was there is then as it was.
pub fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    match replace(path, bytes) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            staged(path, bytes, None)?.persist_noclobber(path)?;
            Ok(())
        }
        other => other,
    }
}

/// The content in a file beside, for a place where none is; or with the permissions of the one that it is to replace.
fn staged(path: &Path, bytes: &[u8], former: Option<fs::Permissions>) -> io::Result<tempfile::NamedTempFile> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    if former.is_none() {
        use std::os::unix::fs::PermissionsExt;
        // As any new file: what the system takes away from it decides. Without this the file is its owner's alone.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    if let Some(permissions) = former {
        file.as_file_mut().set_permissions(permissions)?;
    }
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
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
        put(&path, b"newer").unwrap();
        put(&folder.path().join("board.html"), b"board").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"newer");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
        assert!(put(&folder.path().join("none/board.html"), b"board").is_err());
    }
}
