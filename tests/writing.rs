//! Outputs are whole or not there; nothing of anyone else's is touched.

use benchroll::output::files::{Origin, OutputFile, WriteFailure, write_set};
use benchroll::output::manifest::{MANIFEST, Manifest};
use benchroll::output::staging::{Change, Journal, RECORDS, Recovered, lock};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

fn file(path: &str, text: &str) -> OutputFile {
    OutputFile { path: path.into(), bytes: text.into(), private: false }
}

fn set(texts: &[(&str, &str)]) -> Vec<OutputFile> {
    texts.iter().map(|(path, text)| file(path, text)).collect()
}

fn write(folder: &Path, texts: &[(&str, &str)]) -> Result<benchroll::output::files::Written, WriteFailure> {
    write_set(folder, &set(texts), &Origin::default())
}

/// All files of a folder but the lock, with their texts.
fn tree(folder: &Path) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut todo = vec![folder.to_owned()];
    while let Some(dir) = todo.pop() {
        for entry in fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                todo.push(path);
            } else if !path.ends_with("lock") {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
                found.insert(name, fs::read_to_string(path).unwrap());
            }
        }
    }
    found
}

fn names(folder: &Path) -> Vec<String> {
    tree(folder).into_keys().collect()
}

const FIRST: &[(&str, &str)] =
    &[("station-1.pdf", "old one"), ("station-2.pdf", "old two"), ("packs/three.pdf", "old three")];
const SECOND: &[(&str, &str)] = &[("station-1.pdf", "new one"), ("order.csv", "new order")];

#[test]
fn a_second_run_replaces_ours_and_removes_what_is_stale() {
    let dir = TempDir::new().unwrap();
    let first = write(dir.path(), FIRST).unwrap();
    assert_eq!(first.written.len(), 3);
    fs::write(dir.path().join("notes.txt"), "the teacher's").unwrap();
    let second = write(dir.path(), SECOND).unwrap();
    assert_eq!(second.written, ["station-1.pdf", "order.csv"]);
    assert_eq!(second.removed, ["station-2.pdf", "packs/three.pdf"]);
    assert_eq!(names(dir.path()), ["manifest.json", "notes.txt", "order.csv", "station-1.pdf"]);
    assert!(!dir.path().join("packs").exists(), "a folder that held only stale files goes");
}

#[test]
fn the_same_set_changes_nothing() {
    let dir = TempDir::new().unwrap();
    write(dir.path(), FIRST).unwrap();
    let before = fs::metadata(dir.path().join(MANIFEST)).unwrap().modified().unwrap();
    let again = write(dir.path(), FIRST).unwrap();
    assert_eq!((again.written.len(), again.unchanged.len()), (0, 3));
    assert_eq!(fs::metadata(dir.path().join(MANIFEST)).unwrap().modified().unwrap(), before);
}

/// A run that is killed after any number of its renames is finished by the next start; nothing is mixed.
#[test]
fn a_run_killed_between_two_renames_is_finished_at_the_next_start() {
    let whole = {
        let dir = TempDir::new().unwrap();
        write(dir.path(), FIRST).unwrap();
        write(dir.path(), SECOND).unwrap();
        tree(dir.path())
    };
    for killed_after in 0.. {
        let dir = TempDir::new().unwrap();
        write(dir.path(), FIRST).unwrap();
        let journal = staged_by_hand(dir.path(), &whole);
        let moves = journal.forward();
        for step in &moves[..killed_after] {
            fs::create_dir_all(dir.path().join(&step.to).parent().unwrap()).unwrap();
            fs::rename(dir.path().join(&step.from), dir.path().join(&step.to)).unwrap();
        }
        let next = write(dir.path(), SECOND).unwrap();
        assert_eq!(next.recovered, Some(Recovered::Finished), "after {killed_after}");
        assert_eq!(next.written.len(), 0, "after {killed_after}: all of the new set had come in");
        assert_eq!(tree(dir.path()), whole, "after {killed_after}");
        if killed_after == moves.len() {
            assert!(killed_after >= 6, "the case covers replacing, adding and removing");
            break;
        }
    }
}

/// The state of a folder whose run has staged `SECOND` over `FIRST` and noted it, but has moved nothing.
fn staged_by_hand(folder: &Path, whole: &BTreeMap<String, String>) -> Journal {
    let at = |path: &str| format!("{RECORDS}/{path}");
    let change = |target: &str, staged: Option<&str>, former: Option<&str>| Change {
        target: target.into(),
        staged: staged.map(at),
        former: former.map(at),
    };
    let journal = Journal {
        changes: vec![
            change("station-1.pdf", Some("staged/0"), Some("former/0")),
            change("order.csv", Some("staged/1"), None),
            change("station-2.pdf", None, Some("former/2")),
            change("packs/three.pdf", None, Some("former/3")),
            change(MANIFEST, Some("staged/4"), Some("former/4")),
        ],
    };
    fs::create_dir_all(folder.join(RECORDS).join("staged")).unwrap();
    for c in &journal.changes {
        if let Some(staged) = &c.staged {
            fs::write(folder.join(staged), &whole[&c.target]).unwrap();
        }
    }
    journal.save(folder).unwrap();
    journal
}

/// From any state in between, the set before can be brought back whole.
#[test]
fn a_set_can_be_taken_back_from_any_state() {
    let whole = BTreeMap::from([
        ("station-1.pdf".to_owned(), "new one".to_owned()),
        ("order.csv".to_owned(), "new order".to_owned()),
        (MANIFEST.to_owned(), "new manifest".to_owned()),
    ]);
    for killed_after in 0..=8 {
        let dir = TempDir::new().unwrap();
        write(dir.path(), FIRST).unwrap();
        let before = tree(dir.path());
        let journal = staged_by_hand(dir.path(), &whole);
        for step in journal.forward().iter().take(killed_after) {
            fs::create_dir_all(dir.path().join(&step.to).parent().unwrap()).unwrap();
            fs::rename(dir.path().join(&step.from), dir.path().join(&step.to)).unwrap();
        }
        journal.undo(dir.path()).unwrap();
        let mut after = tree(dir.path());
        after.retain(|path, _| !path.starts_with(RECORDS));
        assert_eq!(after, before, "after {killed_after}");
    }
}

#[test]
fn a_run_killed_while_it_staged_leaves_the_set_before() {
    let dir = TempDir::new().unwrap();
    write(dir.path(), FIRST).unwrap();
    let before = tree(dir.path());
    fs::create_dir_all(dir.path().join(RECORDS).join("staged")).unwrap();
    fs::write(dir.path().join(RECORDS).join("staged/0"), "half a f").unwrap();
    let next = write(dir.path(), FIRST).unwrap();
    assert_eq!(next.recovered, Some(Recovered::RolledBack));
    assert_eq!(tree(dir.path()), before);
}

/// A rename that the machine refuses half-way: the former set is back and the failure is told.
#[test]
fn a_refused_rename_takes_everything_back() {
    let dir = TempDir::new().unwrap();
    write(dir.path(), &[("a.pdf", "old a"), ("z.pdf", "old z")]).unwrap();
    let before = tree(dir.path());
    // The former z cannot be laid aside: a folder with something in it stands in its place.
    let blocked = dir.path().join(RECORDS).join("former/1");
    let change = |n: usize, target: &str| Change {
        target: target.into(),
        staged: Some(format!("{RECORDS}/staged/{n}")),
        former: Some(format!("{RECORDS}/former/{n}")),
    };
    let journal = Journal { changes: vec![change(0, "a.pdf"), change(1, "z.pdf")] };
    fs::create_dir_all(dir.path().join(RECORDS).join("staged")).unwrap();
    fs::create_dir_all(blocked.join("in the way")).unwrap();
    for n in 0..2 {
        fs::write(dir.path().join(RECORDS).join(format!("staged/{n}")), "new").unwrap();
    }
    fs::create_dir_all(dir.path().join("z.pdf.d")).unwrap();
    // `z.pdf` itself becomes a folder that is not empty, so the new file cannot take its name.
    fs::remove_file(dir.path().join("z.pdf")).unwrap();
    fs::create_dir_all(dir.path().join("z.pdf/held open")).unwrap();
    assert!(journal.finish(dir.path()).is_err());
    assert_eq!(fs::read_to_string(dir.path().join("a.pdf")).unwrap(), "new");
    fs::remove_dir_all(blocked).unwrap();
    journal.undo(dir.path()).unwrap();
    assert_eq!(fs::read_to_string(dir.path().join("a.pdf")).unwrap(), before["a.pdf"]);
    assert!(dir.path().join("z.pdf/held open").exists());
}

#[test]
fn a_folder_in_the_place_of_an_output_is_nobodys_to_replace() {
    let dir = TempDir::new().unwrap();
    fs::create_dir_all(dir.path().join("order.csv/mine")).unwrap();
    let failure = write(dir.path(), SECOND).unwrap_err();
    assert!(matches!(&failure, WriteFailure::NotOurs(_, paths) if paths == &["order.csv"]), "{failure}");
    assert_eq!(names(dir.path()), [""; 0]);
}

#[test]
fn other_peoples_files_are_not_touched() {
    let dir = TempDir::new().unwrap();
    fs::write(dir.path().join("order.csv"), "somebody's").unwrap();
    let failure = write(dir.path(), SECOND).unwrap_err();
    assert!(failure.to_string().contains("order.csv"), "{failure}");
    assert_eq!(tree(dir.path()), BTreeMap::from([("order.csv".to_owned(), "somebody's".to_owned())]));

    let dir = TempDir::new().unwrap();
    fs::write(dir.path().join(MANIFEST), "{\"name\": \"a web site\"}").unwrap();
    assert!(matches!(write(dir.path(), SECOND), Err(WriteFailure::NotOurs(..))));
    assert_eq!(names(dir.path()), [MANIFEST]);
}

#[test]
fn what_somebody_wrote_on_our_file_is_kept_beside() {
    let dir = TempDir::new().unwrap();
    write(dir.path(), FIRST).unwrap();
    fs::write(dir.path().join("station-1.pdf"), "old one, with notes").unwrap();
    fs::write(dir.path().join("station-2.pdf"), "old two, with notes").unwrap();
    let second = write(dir.path(), SECOND).unwrap();
    assert_eq!(
        second.kept,
        [
            ("station-1.pdf".to_owned(), "station-1.edited.pdf".to_owned()),
            ("station-2.pdf".to_owned(), "station-2.pdf".to_owned())
        ]
    );
    let tree = tree(dir.path());
    assert_eq!(tree["station-1.pdf"], "new one");
    assert_eq!(tree["station-1.edited.pdf"], "old one, with notes");
    assert_eq!(tree["station-2.pdf"], "old two, with notes");
}

/// A manifest is a text that anyone can write: its paths must not lead the removal of stale files out of the folder.
#[test]
fn a_manifest_cannot_make_us_remove_files_elsewhere() {
    let dir = TempDir::new().unwrap();
    let out = dir.path().join("out");
    fs::create_dir_all(&out).unwrap();
    fs::write(dir.path().join("precious"), "x").unwrap();
    let mut manifest = Manifest::empty();
    manifest.files.push(benchroll::output::manifest::Entry {
        path: "../precious".into(),
        sha256: benchroll::output::manifest::sha256(b"x"),
        bytes: 1,
        private: false,
    });
    fs::write(out.join(MANIFEST), manifest.to_json()).unwrap();
    write(&out, SECOND).unwrap();
    assert!(dir.path().join("precious").exists());

    // Nor may a journal.
    let journal =
        Journal { changes: vec![Change { target: "../precious".into(), staged: None, former: None }] };
    journal.save(&out).unwrap();
    assert!(matches!(write(&out, SECOND), Err(WriteFailure::Stuck { .. })));
    assert!(dir.path().join("precious").exists());
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_a_write_elsewhere() {
    let dir = TempDir::new().unwrap();
    let (out, elsewhere) = (dir.path().join("out"), dir.path().join("elsewhere"));
    fs::create_dir_all(&out).unwrap();
    fs::create_dir_all(&elsewhere).unwrap();
    std::os::unix::fs::symlink(&elsewhere, out.join("packs")).unwrap();
    assert!(matches!(write(&out, FIRST), Err(WriteFailure::NotOurs(..))));
    assert_eq!(fs::read_dir(&elsewhere).unwrap().count(), 0);
}

#[cfg(unix)]
#[test]
fn peoples_data_is_for_the_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let dir = TempDir::new().unwrap();
    let mode = |path: &str| fs::metadata(dir.path().join(path)).unwrap().permissions().mode() & 0o777;
    let roll = OutputFile { path: "roll.pdf".into(), bytes: b"names".to_vec(), private: true };
    write_set(dir.path(), &[roll.clone(), file("order.csv", "x")], &Origin::default()).unwrap();
    assert_eq!(mode("roll.pdf"), 0o600);
    assert_ne!(mode("order.csv"), 0o600);
    // And again when somebody opened it up and nothing else changed.
    fs::set_permissions(dir.path().join("roll.pdf"), fs::Permissions::from_mode(0o644)).unwrap();
    write_set(dir.path(), &[roll, file("order.csv", "x")], &Origin::default()).unwrap();
    assert_eq!(mode("roll.pdf"), 0o600);
}

#[test]
fn a_file_is_no_output_folder() {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("printed");
    fs::write(&path, "a file").unwrap();
    assert!(matches!(write(&path, SECOND), Err(WriteFailure::NotAFolder(_))));
    assert!(matches!(write(&path.join("deeper"), SECOND), Err(WriteFailure::Machine { .. })));
    assert_eq!(fs::read_to_string(&path).unwrap(), "a file");
}

#[test]
fn two_runs_do_not_write_at_once() {
    let dir = TempDir::new().unwrap();
    write(dir.path(), FIRST).unwrap();
    let held = lock(dir.path()).unwrap();
    assert!(matches!(write(dir.path(), SECOND), Err(WriteFailure::Busy(_))));
    drop(held);
    write(dir.path(), SECOND).unwrap();
}

#[test]
fn names_that_are_one_file_on_some_machines_are_refused() {
    let dir = TempDir::new().unwrap();
    for bad in [&[("a.pdf", ""), ("A.pdf", "")][..], &[("../a", "")], &[(MANIFEST, "")]] {
        assert!(matches!(write(dir.path(), bad), Err(WriteFailure::BadName(_))));
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_folder_that_cannot_be_made_is_said_to_be_one() {
    let failure = write(Path::new("/proc/xx"), FIRST).unwrap_err();
    assert_eq!(failure.to_string(), "can't create /proc/xx: it would lie where no folder can be made");
    assert!(failure.way_out().starts_with("no folder can be made at that place"), "{}", failure.way_out());
}
