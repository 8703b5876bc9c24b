//! The output folder, made whole or not at all.

pub use super::file::{replace_file, write_one};
pub use super::folder_error::FolderError;

use super::input;
use super::marks::{self, Marks};
use crate::write::manifest;
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs::{self, File, TryLockError};
use std::io::{self, BufRead, Write};
use std::path::{Component, Path, PathBuf};

/// How the names of temporary folders begin.
pub(super) const TEMPORARY: &str = ".flapwright-";

/// Writes a folder that holds exactly these files (name and bytes); a name may have one folder before it, `board/`.
///
/// The files are written into a temporary folder beside `dir` and flushed to the disk; only then
/// is it given its name, so that nobody ever finds half a job. A folder that is already there is
/// replaced only if it is empty, or was written by this program (it has our manifest) and holds
/// nothing that its manifest does not list; folders above it are made as needed. Old and new change
/// places in one step where the system can do that: whoever is killed at any moment leaves the one or
/// the other whole. Elsewhere the old one is kept aside until the new one is in place, and put back
/// if that fails. What an earlier run that was killed left beside is removed. A folder of which something
/// is cut is replaced only by files that hold the same `cut.json`.
pub fn write_whole(dir: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    let within = plain_names(files)?;
    if dir.file_name().is_none() {
        return Err(FolderError::NoName(dir.into()));
    }
    // Through a link: the folder that it leads to is replaced, and the link stays.
    let real = match fs::symlink_metadata(dir) {
        Ok(m) if m.is_symlink() => fs::canonicalize(dir).map_err(|_| FolderError::NotAFolder(dir.into()))?,
        _ => dir.to_owned(),
    };
    let (named, dir) = (dir, real.as_path());
    let parent = match dir.parent() {
        Some(p) if p != Path::new("") => p,
        _ => Path::new("."),
    };
    let exists = match fs::symlink_metadata(dir) {
        Ok(m) if m.is_dir() => true,
        Ok(_) => return Err(FolderError::NotAFolder(named.into())),
        Err(e) if e.kind() == io::ErrorKind::NotFound => false,
        Err(e) => return Err(io_error("look at", dir, e)),
    };
    let _held = if exists { Some(Held::new(dir, named)?) } else { None };
    if exists {
        may_go(dir, files).map_err(|e| e.renamed(named))?;
    }
    fs::create_dir_all(parent).map_err(|e| io_error("make the folder", parent, e))?;
    sweep(parent);
    let mut fresh = Temporary::create(parent, "new")?;
    // All are written before the first is flushed, so that the disk is waited for once and not
    // once for every file.
    // The list of what is there comes first: by it a later run knows what a killed one left.
    let is_list = |f: &&(String, Vec<u8>)| f.0 == manifest::FILE_NAME;
    for (name, bytes) in files.iter().filter(is_list) {
        write_file(&fresh.path.join(name), bytes)?;
    }
    for folder in &within {
        let path = fresh.path.join(folder);
        fs::create_dir(&path).map_err(|e| io_error("make the folder", &path, e))?;
    }
    for (name, bytes) in files.iter().filter(|f| !is_list(f)) {
        write_file(&fresh.path.join(name), bytes)?;
    }
    for (name, _) in files {
        // Opened anew: a large edition has more files than may be open at once.
        let path = fresh.path.join(name);
        File::open(&path).and_then(|f| f.sync_all()).map_err(|e| io_error("write the file", &path, e))?;
    }
    within.iter().for_each(|folder| flush_folder(&fresh.path.join(folder)));
    flush_folder(&fresh.path);
    if exists {
        return replace(dir, parent, &mut fresh).map_err(|e| e.renamed(named));
    }
    match fs::rename(&fresh.path, dir) {
        Ok(()) => {
            fresh.keep = true;
            flush_folder(parent);
            Ok(())
        }
        // Another run made it meanwhile.
        Err(_) if dir.is_dir() => {
            let _held = Held::new(dir, named)?;
            may_go(dir, files)?;
            replace(dir, parent, &mut fresh)
        }
        Err(e) => Err(io_error("put into place", dir, e)),
    }
}

/// The folders within the folder that files are named in, where every name is plain: its own, or that of one folder before it.
/// None comes twice, and no file is called like such a folder.
fn plain_names(files: &[(String, Vec<u8>)]) -> Result<BTreeSet<&str>, FolderError> {
    let is_plain = |part: &str| {
        let mut parts = Path::new(part).components();
        matches!((parts.next(), parts.next()), (Some(Component::Normal(n)), None) if n == OsStr::new(part))
    };
    let within: BTreeSet<&str> = files.iter().filter_map(|(name, _)| Some(name.split_once('/')?.0)).collect();
    let mut names = BTreeSet::new();
    for (name, _) in files {
        let (folder, own) = name.split_once('/').map_or((None, name.as_str()), |(folder, own)| (Some(folder), own));
        let is_good = is_plain(own) && folder.is_none_or(is_plain) && !within.contains(name.as_str());
        if !is_good || !names.insert(name) {
            return Err(FolderError::BadFileName(name.clone()));
        }
    }
    Ok(within)
}

/// A folder that is being written, so that no other run writes it: locked where folders can be.
pub(super) struct Held {
    _lock: Option<File>,
}

impl Held {
    /// Takes hold of a folder that is called `named` on the command line.
    pub(super) fn new(dir: &Path, named: &Path) -> Result<Self, FolderError> {
        Self::by(File::try_lock, dir, named)
    }

    /// The same together with others that do so too.
    pub(super) fn with_others(dir: &Path, named: &Path) -> Result<Self, FolderError> {
        Self::by(File::try_lock_shared, dir, named)
    }

    fn by(lock: fn(&File) -> Result<(), TryLockError>, dir: &Path, named: &Path) -> Result<Self, FolderError> {
        let file = File::open(dir).ok();
        match file.as_ref().map(lock) {
            Some(Err(TryLockError::WouldBlock)) => Err(FolderError::Busy(named.into())),
            _ => Ok(Self { _lock: file }),
        }
    }
}

/// Whether these files may take the place of a folder that is held: nothing in it is anybody else's, and all that is
/// marked as cut stays marked.
fn may_go(dir: &Path, files: &[(String, Vec<u8>)]) -> Result<(), FolderError> {
    contents_of_ours(dir)?;
    let there = Marks::read(dir)?;
    let kept = files.iter().find(|(name, _)| name == marks::FILE_NAME);
    let is_kept = match kept {
        Some((_, bytes)) => fs::read(dir.join(marks::FILE_NAME)).is_ok_and(|b| b == *bytes),
        None => there.is_empty(),
    };
    if is_kept { Ok(()) } else { Err(FolderError::Cut { folder: dir.into(), sheets: there.named() }) }
}

/// Removes a folder that this program wrote and that holds nothing else, unless something of it is cut.
pub fn remove_ours(dir: &Path) -> Result<(), FolderError> {
    may_go(dir, &[])?;
    let contents = contents_of_ours(dir)?;
    remove(dir, contents).map_err(|e| io_error("remove", dir, e))
}

/// Puts `fresh` in the place of `dir`.
fn replace(dir: &Path, parent: &Path, fresh: &mut Temporary) -> Result<(), FolderError> {
    if exchange(&fresh.path, dir) {
        // What is at the temporary name now is the user's; looked at again now that nobody finds it
        // under its own: whoever put a file into it meanwhile gets it back.
        fresh.keep = true;
        let old = match contents_of_ours(&fresh.path) {
            Ok(old) => old,
            Err(error) => {
                fresh.keep = !exchange(&fresh.path, dir);
                return Err(error.renamed(dir));
            }
        };
        flush_folder(parent);
        return remove(&fresh.path, old).map_err(|source| FolderError::Left { old: fresh.path.clone(), source });
    }
    // An empty folder is made only to find a free name: a rename onto it replaces it.
    let mut aside = Temporary::create(parent, "old")?;
    fs::rename(dir, &aside.path).map_err(|e| io_error("move aside", dir, e))?;
    // From here on what lies aside is the user's.
    aside.keep = true;
    // Looked at again now that nobody finds it under its name any more: whoever put a file into
    // it meanwhile gets it back.
    let placed = contents_of_ours(&aside.path)
        .map_err(|e| e.renamed(dir))
        .and_then(|old| fs::rename(&fresh.path, dir).map(|()| old).map_err(|e| io_error("put into place", dir, e)));
    let old = match placed {
        Ok(old) => old,
        Err(error) => {
            return match fs::rename(&aside.path, dir) {
                Ok(()) => Err(error),
                Err(e) => Err(io_error("put back the folder kept as", &aside.path, e)),
            };
        }
    };
    fresh.keep = true;
    flush_folder(parent);
    remove(&aside.path, old).map_err(|source| FolderError::Left { old: aside.path.clone(), source })
}

/// Removes a folder with these files in it: name by name, never "all that is in it", the list of
/// them last, so that what is left after a kill is still known for ours.
fn remove(dir: &Path, contents: Contents) -> io::Result<()> {
    let (list, files): (Vec<PathBuf>, Vec<PathBuf>) =
        contents.files.into_iter().partition(|n| n == Path::new(manifest::FILE_NAME));
    for name in files {
        fs::remove_file(dir.join(name))?;
    }
    for folder in contents.folders {
        fs::remove_dir(dir.join(folder))?;
    }
    for name in list {
        fs::remove_file(dir.join(name))?;
    }
    fs::remove_dir(dir)
}

/// What is in a folder of ours.
#[derive(Default)]
struct Contents {
    /// The files, those of a folder within it with that before their names.
    files: Vec<PathBuf>,
    /// The folders within it.
    folders: Vec<PathBuf>,
}

/// Two folders change names in one step; false where the system cannot do that.
#[cfg(target_os = "linux")]
fn exchange(a: &Path, b: &Path) -> bool {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).is_ok()
}

/// Two folders change names in one step; false where the system cannot do that.
#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> bool {
    false
}

/// Removes what killed runs left in `parent`: folders of ours under a temporary name whose maker no
/// longer holds them. Whatever is not sure stays.
fn sweep(parent: &Path) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let is_named = name.to_str().is_some_and(|n| n.starts_with(TEMPORARY) && n.ends_with(".new"));
        if !is_named || !entry.file_type().is_ok_and(|t| t.is_dir()) {
            continue;
        }
        let path = entry.path();
        // Held until it is gone: whoever has just made it and finds it held takes another.
        let Ok(held) = File::open(&path) else { continue };
        if held.try_lock().is_err() {
            continue;
        }
        // It is in nobody's way; where it cannot be removed the next run tries again.
        if let Ok(contents) = contents_of_ours(&path) {
            let _ = remove(&path, contents);
        } else if is_list_alone(&path) {
            let _ = remove(&path, Contents { files: vec![manifest::FILE_NAME.into()], ..Contents::default() });
        }
    }
}

/// Whether there is nothing but the list, which comes first: its maker was killed while writing it.
fn is_list_alone(dir: &Path) -> bool {
    let Ok(entries) = fs::read_dir(dir) else { return false };
    let mut entries = entries.flatten();
    let is_list = |e: fs::DirEntry| e.file_name() == manifest::FILE_NAME && e.file_type().is_ok_and(|t| t.is_file());
    entries.next().is_some_and(is_list) && entries.next().is_none()
}

/// What is in a folder, if it may be replaced.
fn contents_of_ours(dir: &Path) -> Result<Contents, FolderError> {
    let entries = entries(dir)?;
    if entries.is_empty() {
        return Ok(Contents::default());
    }
    let listed = listed_files(&dir.join(manifest::FILE_NAME)).ok_or_else(|| {
        if is_batch(&dir.join(BATCH)) {
            FolderError::OtherCommand { folder: dir.into(), what: "the folder of a list, which `batch` wrote" }
        } else {
            FolderError::NotOurs(dir.into())
        }
    })?;
    let foreign = |entry: PathBuf| FolderError::Foreign { folder: dir.into(), entry };
    let within = folders_of(&listed);
    let mut all = Contents::default();
    for (name, kind) in entries {
        let text = name.to_str().unwrap_or_default();
        if kind.is_dir() && within.contains(text) {
            for (own, kind) in self::entries(&dir.join(&name))? {
                let is_listed = own.to_str().is_some_and(|own| listed.contains(&format!("{text}/{own}")));
                if !is_listed || !kind.is_file() {
                    return Err(foreign(name.join(own)));
                }
                all.files.push(name.join(own));
            }
            all.folders.push(name);
        } else if kind.is_file() && (text == manifest::FILE_NAME || marks::is_name(text) || listed.contains(text)) {
            all.files.push(name);
        } else {
            return Err(foreign(name));
        }
    }
    Ok(all)
}

/// What is in a folder and of which kind, in order.
fn entries(dir: &Path) -> Result<Vec<(PathBuf, fs::FileType)>, FolderError> {
    let cannot_list = |e| io_error("list", dir, e);
    let mut all = Vec::new();
    for entry in fs::read_dir(dir).map_err(cannot_list)? {
        let entry = entry.map_err(cannot_list)?;
        all.push((PathBuf::from(entry.file_name()), entry.file_type().map_err(cannot_list)?));
    }
    all.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(all)
}

/// The folders that stand before names.
fn folders_of(names: &BTreeSet<String>) -> BTreeSet<String> {
    names.iter().filter_map(|name| Some(name.split_once('/')?.0.to_owned())).collect()
}

/// The folders within an exported folder that hold files of it, by its manifest; none where that cannot be read.
#[cfg(feature = "verify")]
pub(super) fn folders_within(dir: &Path) -> BTreeSet<String> {
    listed_files(&dir.join(manifest::FILE_NAME)).map(|names| folders_of(&names)).unwrap_or_default()
}

/// The file that says that a folder is a batch of ours.
pub(super) const BATCH: &str = "batch.json";
/// The version of its form.
pub(super) const BATCH_FORMAT: u32 = 1;

/// Whether a file is a batch's of ours.
pub(super) fn is_batch(path: &Path) -> bool {
    // Only its beginning: the file grows with the list.
    let Ok(file) = input::open(path) else { return false };
    let mut start = String::new();
    for line in io::BufReader::new(file).lines().take(6).map_while(Result::ok) {
        start.push_str(line.trim());
    }
    start.starts_with(&format!("{{\"format\": {BATCH_FORMAT},\"batch\": ")) && start.contains("\"finished\": ")
}

/// What the folder of a lot is called.
pub(super) fn lot_name(number: u64) -> String {
    format!("lot-{number}")
}

/// What is called like the folder of a lot, by the numbers.
pub(super) fn lots_in(list: &Path) -> io::Result<Vec<(u64, String)>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(list)? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        let number = name.strip_prefix("lot-").and_then(|n| n.parse().ok());
        found.extend(number.map(|n| (n, name)));
    }
    found.sort_unstable();
    Ok(found)
}

/// Whether a folder is one that `export` or `coupon` wrote, or a lot of a list.
pub(super) fn is_export(dir: &Path) -> bool {
    listed_files(&dir.join(manifest::FILE_NAME)).is_some()
}

/// The files that a manifest lists; `None` if it is no manifest of this program.
fn listed_files(path: &Path) -> Option<BTreeSet<String>> {
    let json: serde_json::Value =
        serde_json::from_slice(&input::bytes(path, crate::limits::PROGRAM_BYTES).ok()?).ok()?;
    let object = json.as_object()?;
    let is_ours = manifest::KEYS.iter().all(|k| object.contains_key(*k))
        && object.get("format")?.as_u64() == Some(u64::from(manifest::FORMAT));
    let names = object.get("files")?.as_array()?.iter().map(|f| Some(f.get("file")?.as_str()?.to_owned()));
    if is_ours { names.collect() } else { None }
}

/// A folder beside the target that is removed again unless it is to be kept.
struct Temporary {
    path: PathBuf,
    keep: bool,
    /// Locked while its maker lives, where folders can be locked: what is not, a later run sweeps.
    _held: Option<File>,
}

impl Temporary {
    fn create(parent: &Path, what: &str) -> Result<Self, FolderError> {
        // The name says whose it is; it does not contain the target's, which may be as long as
        // names can be. A second try is needed only where an earlier run was killed.
        let mut n = 0;
        loop {
            let path = parent.join(format!("{TEMPORARY}{}-{n}.{what}", std::process::id()));
            match fs::create_dir(&path) {
                Ok(()) => {
                    let held = File::open(&path).ok();
                    let locked = held.as_ref().map(File::try_lock);
                    // Another run's sweep may have met it before it was held.
                    let is_swept = matches!(locked, Some(Err(TryLockError::WouldBlock))) || !path.is_dir();
                    if !is_swept || n >= 1000 {
                        return Ok(Self { path, keep: false, _held: held });
                    }
                    n += 1;
                }
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists && n < 1000 => n += 1,
                Err(e) => return Err(io_error("make a folder in", parent, e)),
            }
        }
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        if !self.keep {
            // Made by us a moment ago. That it cannot be removed matters less than the error that
            // is already on its way.
            let _ = fs::remove_dir_all(&self.path);
        }
    }
}

fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FolderError> {
    let mut file = File::create_new(path).map_err(|e| io_error("make the file", path, e))?;
    file.write_all(bytes).map_err(|e| io_error("write the file", path, e))
}

/// Some systems cannot flush a folder; the files in it are flushed already, so that is no error.
fn flush_folder(path: &Path) {
    if let Ok(folder) = File::open(path) {
        let _ = folder.sync_all();
    }
}

fn io_error(doing: &'static str, path: &Path, source: io::Error) -> FolderError {
    FolderError::io(doing, path, source)
}
