//! What a killed run left half made beside the lots.

use std::fs;
use std::io;
use std::path::Path;

/// Takes away what a run that was killed left half made in a batch of ours, of which `own` are the files beside the lots.
pub(super) fn remove_broken_off(out: &Path, own: &[&str]) -> io::Result<()> {
    for entry in fs::read_dir(out)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_half = name.ends_with(".new") || name.ends_with(".old");
        if is_half && name.starts_with(".flapwright-") && entry.file_type()?.is_dir() {
            remove_half(&entry.path())?;
        } else if is_half && own.iter().any(|f| name.starts_with(f)) && entry.file_type()?.is_file() {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

/// Takes away a folder that was half made, with the folders of stocks in it.
fn remove_half(dir: &Path) -> io::Result<()> {
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() { remove_half(&entry.path())? } else { fs::remove_file(entry.path())? }
    }
    fs::remove_dir(dir)
}
