//! `prepare` on a machine that refuses: a rename, a sync or a write that fails, or a kill at one system call; a file that may not
//! grow; a disk that is full, or that may only be read. Each is made by a tool of the system, and left out with a word where there is none.

use super::ground::{Ground, Standing, command, said, tree};
use std::fs;
use std::path::Path;
use std::process::{Output, Stdio};

/// What came of the faults.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Runs in which the machine refused something.
    pub faults: u32,
    /// Kills at a system call.
    pub kills: u32,
    /// Faults after which neither set was whole, or nothing was said.
    pub lost: Vec<String>,
    /// What could not be tried on this machine.
    pub left_out: Vec<&'static str>,
}

/// Calls that move a file, sync one, make a folder, remove one. A `?` lets a machine lack the call.
const CALLS: [&str; 4] =
    ["?rename,?renameat,?renameat2", "fsync,fdatasync", "?mkdir,?mkdirat", "?unlink,?unlinkat,?rmdir"];
/// What the machine answers: to one call, or to this and all that follow.
const ANSWERS: [(&str, &str); 4] = [("EACCES", ""), ("EIO", ""), ("ENOSPC", "+"), ("EROFS", "+")];

/// Refuses the `n`th of each sort of call, every `step`th of them, until a run has no `n`th.
pub fn refuse_calls(ground: &Ground, step: usize, tally: &mut Tally) {
    let out = ground.path("refused");
    ground.next_start(0, &out);
    if strace(ground, 0, &out, CALLS[0], "error=EPERM:when=65535").is_none() {
        return tally.left_out.push("system calls that fail: there is no strace that may watch");
    }
    for calls in CALLS {
        ground.next_start(0, &out);
        for n in (1..).step_by(step) {
            let (error, on) = ANSWERS[(n / step) % ANSWERS.len()];
            let how = format!("error={error}:when={n}{on}");
            let Some(output) = strace(ground, 1, &out, calls, &how) else { break };
            let met = after(ground, &out, &format!("{calls} {how}"), &output, tally);
            ground.next_start(0, &out);
            let killed = strace(ground, 1, &out, calls, &format!("signal=KILL:when={n}"));
            if killed.is_some_and(|output| output.status.code().is_none_or(|code| code > 128)) {
                tally.kills += 1;
                settle(ground, &out, &format!("killed at {calls} {n}"), tally);
            } else if !met {
                break;
            }
            ground.next_start(0, &out);
        }
    }
}

/// Runs under a tracer that spoils a call; `None` where there is none.
fn strace(ground: &Ground, which: usize, out: &Path, calls: &str, how: &str) -> Option<Output> {
    let (trace, inject) = (format!("trace={calls}"), format!("inject={calls}:{how}"));
    let line = ["strace", "-f", "--seccomp-bpf", "-qq", "-o", "/dev/null", "-e", &trace, "-e", &inject];
    let mut line: Vec<String> = line.map(str::to_owned).into();
    line.extend(ground.line(which, out));
    let output = command(&line).stdout(Stdio::piped()).stderr(Stdio::piped()).output().ok()?;
    (!said(&output).contains("strace:")).then_some(output)
}

/// A run that was refused something says so with the code of a machine that failed, and the former set stands; or it could do
/// without, and the new set stands. Whether anything came of it.
fn after(ground: &Ground, out: &Path, what: &str, output: &Output, tally: &mut Tally) -> bool {
    let told = said(output);
    match (output.status.code(), ground.standing(out)) {
        (Some(0), Ok(Standing::Set(1))) => return false,
        // All is moved, and only the records of it could not be removed: the next start removes them.
        (Some(0), Ok(Standing::Between)) if ground.set_in(out) == Ok(Standing::Set(1)) => {
            settle(ground, out, what, tally);
        }
        (Some(3), Ok(Standing::Set(0))) if told.contains("is still whole") || told.contains("run again") => {}
        // Neither forward nor back: the journal stays, and the next start goes on.
        (Some(3), Ok(Standing::Between)) if told.contains("run again") => settle(ground, out, what, tally),
        (code, stands) => tally.lost.push(format!("{what}: {code:?}, {stands:?}: {told}")),
    }
    tally.faults += 1;
    true
}

/// What is between two sets comes to a whole one by the next start.
fn settle(ground: &Ground, out: &Path, what: &str, tally: &mut Tally) {
    match ground.standing(out) {
        Ok(Standing::Set(_) | Standing::Between) => drop(ground.next_start(1, out)),
        stands => tally.lost.push(format!("{what}: {stands:?}")),
    }
}

/// No file may grow beyond so many blocks of 512 bytes: writes fail half-way through a file.
pub fn refuse_growth(ground: &Ground, blocks: &[u32], tally: &mut Tally) {
    let out = ground.path("stunted");
    ground.next_start(0, &out);
    for most in blocks {
        let script = format!("trap '' XFSZ; ulimit -f {most}; exec \"$@\"");
        let mut line: Vec<String> = ["sh", "-c", &script, "sh"].map(str::to_owned).into();
        line.extend(ground.line(1, &out));
        match command(&line).stderr(Stdio::piped()).output() {
            Ok(output) => drop(after(ground, &out, &format!("files of {most} blocks"), &output, tally)),
            Err(_) => return tally.left_out.push("files that may not grow: there is no sh"),
        }
        ground.next_start(0, &out);
    }
}

/// Mounts a file system of `$KIB` KiB at `$ROOM` that only this run sees, puts the former set there, and runs; then hands out what is there.
const ON_A_DISK: &str = r#"
mount -t tmpfs -o size="${KIB}k" none "$ROOM" && cp -a "$FORMER/." "$ROOM/" || exit 77
if test -n "$AS"; then mount -o "remount,$AS" "$ROOM" || exit 77; fi
"$@"; code=$?
cp -a "$ROOM/." "$AFTER/"; exit "$code"
"#;

/// A disk with so many KiB beyond the former set, and one that may only be read.
pub fn refuse_room(ground: &Ground, rooms: &[usize], tally: &mut Tally) {
    let former = ground.path("whole-0");
    // A file takes whole pages of such a disk, and so does a folder.
    let pages: usize = tree(&former).values().map(|bytes| bytes.len() / 4096 + 2).sum();
    let room = ground.path("room");
    fs::create_dir_all(&room).unwrap();
    let tries = rooms.iter().map(|more| (pages * 4 + more, "")).chain([(pages * 8, "ro")]);
    for (n, (kib, remount)) in tries.enumerate() {
        let after_it = ground.path(&format!("disk-{n}"));
        fs::create_dir_all(&after_it).unwrap();
        let mut line: Vec<String> = ["unshare", "-rm", "sh", "-c", ON_A_DISK, "sh"].map(str::to_owned).into();
        line.extend(ground.line(1, &room));
        let output = command(&line)
            .envs([("ROOM", &room), ("FORMER", &former), ("AFTER", &after_it)])
            .env("KIB", kib.to_string())
            .env("AS", remount)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .output();
        match output {
            Ok(output)
                if !matches!(output.status.code(), Some(77 | 127)) && !said(&output).contains("unshare:") =>
            {
                let what = format!("a disk of {kib} KiB {remount}");
                let met = after(ground, &after_it, &what, &output, tally);
                if met && remount.is_empty() && !said(&output).contains("the disk is full") {
                    tally.lost.push(format!("{what}: {}", said(&output)));
                }
            }
            _ => return tally.left_out.push("a full disk: this machine lets nobody mount one"),
        }
    }
}
