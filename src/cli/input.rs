//! Files from outside, read: plain files alone, and no more of them than [`limits`](crate::limits)
//! says. A pipe without a writer or a device without an end would otherwise be waited for or read
//! for ever.

use crate::limits::ROW_BYTES;
use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// What a job that is read from standard input is called.
pub(super) const STANDARD_INPUT: &str = "standard input";

/// Whether a path stands for standard input.
pub(super) fn is_standard(path: &Path) -> bool {
    ["-", "/dev/stdin", "/dev/fd/0", "/proc/self/fd/0"].iter().any(|name| path == Path::new(name))
}

/// What comes on standard input, if it is at most so much.
pub(super) fn standard(most: u64) -> io::Result<Vec<u8>> {
    let mut read = Vec::new();
    io::stdin().lock().take(most + 1).read_to_end(&mut read)?;
    if read.len() as u64 > most { Err(too_large("it", most)) } else { Ok(read) }
}

/// A file's bytes, if they are at most so many.
pub(super) fn bytes(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut read = Vec::new();
    open(path)?.take(most + 1).read_to_end(&mut read)?;
    if read.len() as u64 > most { Err(too_large("it", most)) } else { Ok(read) }
}

/// A plain file, opened. A link to a file serves as the file.
pub(super) fn open(path: &Path) -> io::Result<File> {
    // Looked at before it is opened, for opening a pipe waits for its writer; and once more after,
    // for something else may have been put in its place.
    plain_file(&std::fs::metadata(path)?)?;
    let file = File::open(path)?;
    plain_file(&file.metadata()?)?;
    Ok(file)
}

fn plain_file(found: &Metadata) -> io::Result<()> {
    let what = match (found.is_file(), found.is_dir()) {
        (true, _) => return Ok(()),
        (_, true) => "it is a folder",
        _ => "it is a pipe or a device, and no file",
    };
    Err(io::Error::other(what))
}

/// The error of something beyond a limit.
pub(super) fn too_large(what: &str, most: u64) -> io::Error {
    let size = if most < 1 << 20 { format!("{} KiB", most >> 10) } else { format!("{} MiB", most >> 20) };
    io::Error::new(io::ErrorKind::FileTooLarge, format!("{what} is larger than {size}"))
}

/// The text of a file's bytes, without the byte-order mark that some editors put in front; or why it
/// is none, in words for after "NAME".
pub(super) fn text(bytes: Vec<u8>) -> Result<String, String> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err("is text in UTF-16, not in UTF-8".into());
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text)),
        Err(e) => {
            let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
            let line = before.iter().filter(|b| **b == b'\n').count() + 1;
            Err(format!("is not text in UTF-8: see line {line}"))
        }
    }
}

/// A reader that gives at most [`ROW_BYTES`] bytes, and what it reads ahead, between two calls of
/// [`Rows::next`].
pub(super) struct RowByRow {
    inner: File,
    left: Arc<AtomicU64>,
}

/// The other end of a [`RowByRow`].
pub(super) struct Rows(Arc<AtomicU64>);

impl RowByRow {
    pub(super) fn new(inner: File) -> (Self, Rows) {
        let left = Arc::new(AtomicU64::new(ROW_BYTES));
        (Self { inner, left: left.clone() }, Rows(left))
    }
}

impl Rows {
    /// The next row begins.
    pub(super) fn next(&self) {
        self.0.store(ROW_BYTES, Ordering::Relaxed);
    }
}

impl Read for RowByRow {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let left = self.left.load(Ordering::Relaxed);
        if left == 0 {
            return Err(too_large("a row (is a quote left open?)", ROW_BYTES));
        }
        let most = usize::try_from(left).map_or(into.len(), |l| into.len().min(l));
        let read = self.inner.read(&mut into[..most])?;
        self.left.store(left - read as u64, Ordering::Relaxed);
        Ok(read)
    }
}

/// An error of the system without its number.
pub(super) fn plain(e: &io::Error) -> String {
    let text = e.to_string();
    match text.find(" (os error") {
        Some(i) => text[..i].to_owned(),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::TEXT_BYTES;

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
        assert!(bytes(Path::new("/dev/zero"), TEXT_BYTES).unwrap_err().to_string().contains("a device"));
        let (mut rows, next) = RowByRow::new(File::open("/dev/zero").unwrap());
        let mut row = vec![0; ROW_BYTES as usize];
        rows.read_exact(&mut row).unwrap();
        assert!(rows.read(&mut row).is_err());
        next.next();
        assert!(rows.read(&mut row).unwrap() > 0);
    }
}
