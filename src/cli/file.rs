//! One file, written whole or not at all.

use super::folder_error::FolderError;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Writes one file whole or not at all: beside its name first, then in its place.
pub fn write_one(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<(), FolderError> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(format!(".{}.new", std::process::id()));
    let beside = PathBuf::from(beside);
    let made = File::create(&beside).and_then(|file| {
        let mut file = io::BufWriter::new(file);
        write(&mut file)?;
        file.into_inner().map_err(io::IntoInnerError::into_error)?.sync_all()
    });
    let placed = made
        .map_err(|e| FolderError::io("write the file", path, e))
        .and_then(|()| fs::rename(&beside, path).map_err(|e| FolderError::io("put into place", path, e)));
    if placed.is_err() {
        // Made by us a moment ago; the error on its way matters more.
        let _ = fs::remove_file(&beside);
    }
    placed
}

/// Writes a file whole or not at all; through a link into the file that it names, and straight into a
/// device, which must stay one.
pub fn replace_file(path: &Path, bytes: &[u8]) -> Result<(), FolderError> {
    let real = fs::canonicalize(path).unwrap_or_else(|_| path.into());
    match fs::metadata(&real) {
        Ok(found) if !found.is_file() => fs::write(path, bytes).map_err(|e| FolderError::io("write the file", path, e)),
        _ => write_one(&real, |w| w.write_all(bytes)),
    }
}
