//! What is read from outside has an end: every limit in one place. A file beyond its limit is
//! refused before it fills the memory, be it a device without an end.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A job, a profile or a coupon's form, bytes: the longest sample has a five-hundredth of it.
pub(super) const TEXT: u64 = 2 << 20;
/// A maker's drawing or a sheet's, bytes: a DXF of 100,000 outlines has a third of it.
pub(super) const DRAWING: u64 = 128 << 20;
/// A program, bytes: ten million lines are a little less.
pub(super) const PROGRAM: u64 = 256 << 20;
/// All files of a folder that is proved, bytes.
pub(super) const FOLDER: u64 = 1 << 30;
/// The files of a folder that is proved.
pub(super) const FILES: usize = 20_000;
/// One row of a list, bytes: a longer one swallowed the rest behind an open quote.
pub(super) const ROW: u64 = 1 << 20;

/// A file's bytes, if they are at most so many.
pub(super) fn bytes(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut read = Vec::new();
    File::open(path)?.take(most + 1).read_to_end(&mut read)?;
    if read.len() as u64 > most { Err(too_large("it", most)) } else { Ok(read) }
}

/// The error of something beyond a limit.
pub(super) fn too_large(what: &str, most: u64) -> io::Error {
    io::Error::new(io::ErrorKind::FileTooLarge, format!("{what} is larger than {} MiB", most >> 20))
}

/// A reader that gives at most [`ROW`] bytes, and what it reads ahead, between two calls of
/// [`Rows::next`].
pub(super) struct RowByRow {
    inner: File,
    left: Arc<AtomicU64>,
}

/// The other end of a [`RowByRow`].
pub(super) struct Rows(Arc<AtomicU64>);

impl RowByRow {
    pub(super) fn new(inner: File) -> (Self, Rows) {
        let left = Arc::new(AtomicU64::new(ROW));
        (Self { inner, left: left.clone() }, Rows(left))
    }
}

impl Rows {
    /// The next row begins.
    pub(super) fn next(&self) {
        self.0.store(ROW, Ordering::Relaxed);
    }
}

impl Read for RowByRow {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let left = self.left.load(Ordering::Relaxed);
        if left == 0 {
            return Err(too_large("a row (is a quote left open?)", ROW));
        }
        let most = usize::try_from(left).map_or(into.len(), |l| into.len().min(l));
        let read = self.inner.read(&mut into[..most])?;
        self.left.store(left - read as u64, Ordering::Relaxed);
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml");
        let size = std::fs::metadata(&path).unwrap().len();
        assert_eq!(bytes(&path, size).unwrap().len() as u64, size);
        assert!(bytes(&path, size - 1).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn what_never_ends_is_refused() {
        assert!(bytes(Path::new("/dev/zero"), TEXT).unwrap_err().to_string().contains("larger than 2 MiB"));
        let (mut rows, next) = RowByRow::new(File::open("/dev/zero").unwrap());
        let mut row = vec![0; ROW as usize];
        rows.read_exact(&mut row).unwrap();
        assert!(rows.read(&mut row).is_err());
        next.next();
        assert!(rows.read(&mut row).unwrap() > 0);
    }
}
