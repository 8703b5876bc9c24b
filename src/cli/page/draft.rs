//! What is not saved, kept in the user's own folder for the state of programs, so that a program that is
//! killed loses nothing.

use crate::cli::input;
use crate::page::Desk;
use crate::write::manifest::sha256_hex;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// How many drafts of one job there can be: one for each program that has it open.
const SLOTS: usize = 16;
/// Bytes of a draft, at most.
const MOST: u64 = 64 << 20;
/// What a draft's file begins and ends with.
const PREFIX: &str = "draft-";
const SUFFIX: &str = ".json";
/// The page's own machines.
const MACHINES: &str = "machines.json";

/// The folder of drafts, and the draft that this program writes.
pub(super) struct Drafts {
    folder: Option<PathBuf>,
    slot: Option<Slot>,
    /// Grows with every draft, so that an older one is not written over a newer.
    written: u64,
}

/// A draft's file, held while this program lives.
struct Slot {
    key: String,
    path: PathBuf,
    lock: PathBuf,
    _held: File,
}

/// A draft as it lies on the disk.
#[derive(Serialize, Deserialize)]
struct Kept<D> {
    format: u32,
    desk: D,
}

impl Drafts {
    /// The folder; nothing is kept where there is none.
    pub(super) fn open() -> Self {
        let folder = folder().filter(|f| make(f).is_ok());
        Self { folder, slot: None, written: 0 }
    }

    /// Takes up the draft of a job's file, or the newest of all, that no other program has open; from then
    /// on this program writes there.
    pub(super) fn take_up(&mut self, path: Option<&Path>) -> Option<Desk> {
        let folder = self.folder.clone()?;
        let wanted = path.map(key_of);
        let mut found: Vec<(std::time::SystemTime, String)> = fs::read_dir(&folder)
            .ok()?
            .flatten()
            .filter_map(|e| {
                let name = e.file_name().to_str()?.strip_prefix(PREFIX)?.strip_suffix(SUFFIX)?.to_owned();
                let is_wanted = wanted.as_ref().is_none_or(|key| name.starts_with(&format!("{key}-")));
                is_wanted.then_some((e.metadata().ok()?.modified().ok()?, name))
            })
            .collect();
        found.sort();
        for (_, name) in found.into_iter().rev() {
            let key = name.rsplit_once('-').map_or(name.as_str(), |(key, _)| key).to_owned();
            let Some(slot) = held(&folder, &key, &name) else { continue };
            if let Some(desk) = read(&slot.path) {
                self.slot = Some(slot);
                return Some(desk);
            }
            // It cannot be read: it is left for whoever can, out of the way.
            let _ = fs::rename(&slot.path, slot.path.with_extension("unread"));
            leave(slot);
        }
        None
    }

    /// Keeps the desk, or takes the draft away where all is saved. A kill loses nothing from then on; for a
    /// power cut the file that comes back has to be flushed, which nobody needs to wait for.
    pub(super) fn keep(&mut self, desk: &Desk) -> io::Result<Option<File>> {
        let Some(folder) = self.folder.clone() else {
            return if desk.now().is_saved() {
                Ok(None)
            } else {
                Err(io::Error::other("there is no folder for drafts"))
            };
        };
        if desk.revision() < self.written {
            return Ok(None);
        }
        self.written = desk.revision();
        let key = desk.now().path.as_deref().map_or_else(|| "new".to_owned(), key_of);
        if self.slot.as_ref().is_none_or(|s| s.key != key) {
            let fresh = (0..SLOTS).find_map(|n| {
                let name = format!("{key}-{n}");
                // A draft that somebody left there is theirs.
                let is_taken = folder.join(format!("{PREFIX}{name}{SUFFIX}")).exists();
                if is_taken { None } else { held(&folder, &key, &name) }
            });
            let fresh = fresh.ok_or_else(|| io::Error::other("there are too many drafts"))?;
            if let Some(old) = self.slot.replace(fresh) {
                let _ = fs::remove_file(&old.path);
                leave(old);
            }
        }
        let Some(slot) = &self.slot else { return Ok(None) };
        if desk.now().is_saved() {
            return match fs::remove_file(&slot.path) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
                _ => Ok(None),
            };
        }
        let mut desk = desk.draft();
        desk.without_odd_paths();
        let bytes = serde_json::to_vec(&Kept { format: 1, desk }).map_err(io::Error::other)?;
        write(&slot.path, &bytes).map(Some)
    }

    /// The machines that were kept.
    pub(super) fn machines(&self) -> BTreeMap<String, String> {
        let read = |folder: &PathBuf| input::bytes(&folder.join(MACHINES), MOST).ok();
        self.folder.as_ref().and_then(read).and_then(|b| serde_json::from_slice(&b).ok()).unwrap_or_default()
    }

    /// Keeps one machine beside those that other programs keep.
    pub(super) fn keep_machine(&self, id: &str, text: Option<&str>) -> io::Result<()> {
        let Some(folder) = &self.folder else { return Err(io::Error::other("there is no folder for machines")) };
        let mut all = self.machines();
        match text {
            Some(text) => all.insert(id.to_owned(), text.to_owned()),
            None => all.remove(id),
        };
        write(&folder.join(MACHINES), &serde_json::to_vec_pretty(&all).map_err(io::Error::other)?)?.sync_data()
    }

    /// The program ends.
    pub(super) fn leave(&mut self) {
        if let Some(slot) = self.slot.take() {
            leave(slot);
        }
    }
}

/// Where a system keeps the state of programs.
fn folder() -> Option<PathBuf> {
    let given = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let state = given("XDG_STATE_HOME").or_else(|| {
        if cfg!(windows) { given("LOCALAPPDATA") } else { given("HOME").map(|home| home.join(".local/state")) }
    })?;
    Some(state.join("flapwright"))
}

/// The folder, for its owner alone.
fn make(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// What a job's drafts are called.
fn key_of(path: &Path) -> String {
    sha256_hex(path.as_os_str().as_encoded_bytes()).chars().take(24).collect()
}

/// A draft's place, if no other program holds it.
fn held(folder: &Path, key: &str, name: &str) -> Option<Slot> {
    let lock = folder.join(format!("{PREFIX}{name}.lock"));
    let file = own(OpenOptions::new().write(true).create(true).truncate(false)).open(&lock).ok()?;
    file.try_lock().ok()?;
    Some(Slot { key: key.to_owned(), path: folder.join(format!("{PREFIX}{name}{SUFFIX}")), lock, _held: file })
}

fn leave(slot: Slot) {
    let _ = fs::remove_file(&slot.lock);
}

/// Files that only their owner reads.
fn own(options: &mut OpenOptions) -> &mut OpenOptions {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    options
}

fn read(path: &Path) -> Option<Desk> {
    let kept: Kept<Desk> = serde_json::from_slice(&input::bytes(path, MOST).ok()?).ok()?;
    (kept.format == 1).then_some(kept.desk)
}

/// Whole or not at all.
fn write(path: &Path, bytes: &[u8]) -> io::Result<File> {
    let fresh = path.with_extension(format!("{}.fresh", std::process::id()));
    let written = own(OpenOptions::new().write(true).create(true).truncate(true)).open(&fresh).and_then(|mut file| {
        file.write_all(bytes)?;
        fs::rename(&fresh, path)?;
        Ok(file)
    });
    if written.is_err() {
        let _ = fs::remove_file(&fresh);
    }
    written
}
