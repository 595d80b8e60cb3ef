//! A folder that was not there before, whole or not at all; one that holds anything stays as it is.

use std::fs;
use std::io;
use std::path::Path;

/// Writes files into a folder that does not exist yet or is empty. They are made ready beside it and moved in at the end.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] when the folder holds anything or is a file; else what the machine answers.
pub fn write_new_folder(folder: &Path, files: &[(String, String)]) -> io::Result<()> {
    let there = match fs::read_dir(folder) {
        Ok(mut entries) => match entries.next() {
            None => true,
            Some(_) => return Err(io::ErrorKind::AlreadyExists.into()),
        },
        Err(e) if e.kind() == io::ErrorKind::NotFound => false,
        Err(_) if folder.exists() && !folder.is_dir() => return Err(io::ErrorKind::AlreadyExists.into()),
        Err(e) => return Err(e),
    };
    let parent = folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // An empty folder may be a disk of its own: what is moved in must lie on the same.
    let beside = if there { folder } else { parent };
    fs::create_dir_all(beside)?;
    let stage = tempfile::Builder::new().prefix(".benchroll-").tempdir_in(beside)?;
    let whole = stage.path().join("course");
    for (path, text) in files {
        let at = whole.join(path);
        fs::create_dir_all(at.parent().unwrap_or(&whole))?;
        fs::write(at, text)?;
    }
    if !there {
        return fs::rename(&whole, folder);
    }
    for entry in fs::read_dir(&whole)? {
        let entry = entry?;
        fs::rename(entry.path(), folder.join(entry.file_name()))?;
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn new_empty_and_full() {
        let dir = tempfile::tempdir().unwrap();
        let files = [("a.toml".to_owned(), "x".to_owned()), ("b/c.toml".to_owned(), "y".to_owned())];
        let new = dir.path().join("deep/new");
        write_new_folder(&new, &files).unwrap();
        assert_eq!(fs::read_to_string(new.join("b/c.toml")).unwrap(), "y");
        assert_eq!(fs::read_dir(new.parent().unwrap()).unwrap().count(), 1, "nothing is left beside it");
        let empty = dir.path().join("empty");
        fs::create_dir(&empty).unwrap();
        write_new_folder(&empty, &files).unwrap();
        assert_eq!(fs::read_dir(&empty).unwrap().count(), 2);
        for full in [empty, new.join("a.toml")] {
            assert_eq!(write_new_folder(&full, &files).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        }
    }
}
