//! The lots of which every row is refused. Nothing of them is cut, so that none has a folder: the record of each is a line
//! of one file beside the lots, and by it a later run knows that nothing has changed.
//!
//! A run writes the file anew beside its name, lot by lot, and puts it into its place when all are done: of a run that is
//! killed such lots are worked once more. A share has a file of its own, which `--gather` takes in.

use super::beside::{REFUSED, is_share_of_refused};
use super::record::{FORMAT, Record};
use crate::cli::folder::FolderError;
use crate::cli::shard::Shard;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// What runs before left of such lots.
#[derive(Default)]
pub(super) struct Refused {
    files: Vec<Mutex<File>>,
    /// Where each lot's records stand, those of shares last.
    lines: BTreeMap<u64, Vec<Line>>,
}

/// Where a record stands.
#[derive(Clone, Copy)]
struct Line {
    file: usize,
    at: u64,
    length: usize,
}

/// As much of a record as tells where it belongs.
#[derive(Deserialize)]
struct Head {
    format: u32,
    lot: u64,
}

impl Refused {
    /// Looks for them in a batch's folder. What cannot be read is not there: its lots are worked again.
    pub(super) fn look(out: &Path) -> Self {
        let mut found = Self::default();
        let names = shares(out).into_iter();
        for path in std::iter::once(out.join(REFUSED)).chain(names) {
            found.add(&path);
        }
        found
    }

    fn add(&mut self, path: &Path) -> Option<()> {
        let mut reader = BufReader::new(File::open(path).ok()?);
        let (mut at, mut line) = (0, Vec::new());
        loop {
            line.clear();
            let length = reader.read_until(b'\n', &mut line).ok()?;
            if length == 0 {
                break;
            }
            let head: Option<Head> = serde_json::from_slice(&line).ok();
            if let Some(head) = head.filter(|h| h.format == FORMAT) {
                let line = Line { file: self.files.len(), at, length };
                self.lines.entry(head.lot).or_default().push(line);
            }
            at += length as u64;
        }
        self.files.push(Mutex::new(reader.into_inner()));
        Some(())
    }

    /// A lot's record: the one that was made from this, or else the last.
    pub(super) fn record(&self, lot: u64, made_from: &str) -> Option<Record> {
        Some(self.found(lot, made_from)?.0)
    }

    /// The line of a lot's record as it was written: figures that are read and written again may differ by what rounding
    /// takes.
    pub(super) fn line(&self, lot: u64, made_from: &str) -> Option<Vec<u8>> {
        Some(self.found(lot, made_from)?.1)
    }

    fn found(&self, lot: u64, made_from: &str) -> Option<(Record, Vec<u8>)> {
        let mut last = None;
        for line in self.lines.get(&lot)? {
            let found = self.read(*line);
            if found.as_ref().is_some_and(|(r, _)| r.made_from == made_from) {
                return found;
            }
            last = found.or(last);
        }
        last
    }

    fn read(&self, line: Line) -> Option<(Record, Vec<u8>)> {
        let mut file = self.files.get(line.file)?.lock().unwrap_or_else(PoisonError::into_inner);
        let mut bytes = vec![0; line.length];
        file.seek(SeekFrom::Start(line.at)).ok()?;
        file.read_exact(&mut bytes).ok()?;
        Some((serde_json::from_slice(&bytes).ok()?, bytes))
    }

    /// The last of them.
    pub(super) fn last(&self) -> Option<u64> {
        self.lines.keys().next_back().copied()
    }

    /// All of them, in order.
    pub(super) fn lots(&self) -> impl Iterator<Item = u64> + '_ {
        self.lines.keys().copied()
    }
}

/// The files of shares in a batch's folder, in order.
fn shares(out: &Path) -> Vec<PathBuf> {
    let names = fs::read_dir(out).into_iter().flatten().flatten().map(|e| e.file_name());
    let mut names: Vec<_> = names.filter(|n| is_share_of_refused(&n.to_string_lossy())).collect();
    names.sort();
    names.into_iter().map(|n| out.join(n)).collect()
}

/// Whether a file of that name holds records, and is not somebody's own.
fn is_ours(path: &Path) -> bool {
    let mut line = Vec::new();
    let read = File::open(path).and_then(|file| BufReader::new(file).read_until(b'\n', &mut line));
    read.is_ok() && serde_json::from_slice::<Head>(&line).is_ok()
}

/// A record as a line.
pub(super) fn as_line(record: &Record) -> serde_json::Result<Vec<u8>> {
    let mut line = serde_json::to_vec(record)?;
    line.push(b'\n');
    Ok(line)
}

/// The records of a run as they come.
pub(super) struct Writing {
    out: PathBuf,
    path: PathBuf,
    /// Where they stand until all are there.
    beside: PathBuf,
    file: BufWriter<File>,
    at: u64,
    lines: BTreeMap<u64, Line>,
    is_placed: bool,
}

impl Writing {
    /// Begins the file of a run, or of a share of it.
    pub(super) fn begin(out: &Path, shard: Option<Shard>) -> Result<Self, FolderError> {
        let path = out.join(shard.map_or(REFUSED.to_owned(), |s| s.named(REFUSED)));
        let mut beside = path.as_os_str().to_owned();
        beside.push(format!(".{}.new", std::process::id()));
        let beside = PathBuf::from(beside);
        let options = File::options().read(true).write(true).create(true).truncate(true).open(&beside);
        let file = options.map_err(|e| FolderError::io("write the file", &path, e))?;
        let file = BufWriter::new(file);
        Ok(Self { out: out.into(), path, beside, file, at: 0, lines: BTreeMap::new(), is_placed: false })
    }

    /// The line of one more lot, after all before it.
    pub(super) fn add(&mut self, lot: u64, line: &[u8]) -> Result<(), FolderError> {
        self.file.write_all(line).map_err(|e| FolderError::io("write the file", &self.path, e))?;
        self.lines.insert(lot, Line { file: 0, at: self.at, length: line.len() });
        self.at += line.len() as u64;
        Ok(())
    }

    /// All are there: the file takes the place of the one before, and those of shares, which are in it, go. Without such
    /// lots there is none. A share only puts its own into its place.
    pub(super) fn end(mut self, is_alone: bool) -> Result<Refused, FolderError> {
        let cannot = |e| FolderError::io("write the file", &self.path, e);
        self.file.flush().and_then(|()| self.file.get_ref().sync_all()).map_err(cannot)?;
        if self.lines.is_empty() {
            if is_ours(&self.path) {
                fs::remove_file(&self.path).map_err(|e| FolderError::io("remove", &self.path, e))?;
            }
        } else {
            let placed = fs::rename(&self.beside, &self.path);
            placed.map_err(|e| FolderError::io("put into place", &self.path, e))?;
            self.is_placed = true;
        }
        if is_alone {
            for path in shares(&self.out).into_iter().filter(|path| is_ours(path)) {
                fs::remove_file(&path).map_err(|e| FolderError::io("remove", &path, e))?;
            }
        }
        let file = self.file.get_ref().try_clone().map_err(cannot)?;
        let lines = self.lines.iter().map(|(lot, line)| (*lot, vec![*line])).collect();
        Ok(Refused { files: vec![Mutex::new(file)], lines })
    }
}

impl Drop for Writing {
    fn drop(&mut self) {
        if !self.is_placed {
            // Made by us a moment ago; the error on its way matters more.
            let _ = fs::remove_file(&self.beside);
        }
    }
}
