//! The files of a list beside its lots, and what is half made of them or of a lot.

use super::changes::CHANGES;
use crate::cli::folder::BATCH;
use std::fs;
use std::io;
use std::path::Path;

/// All of them.
const FILES: [&str; 6] = ["batch.csv", "cut-list.csv", "cost.csv", LABELS, CHANGES, BATCH];
/// The labels of all boxes.
pub(super) const LABELS: &str = "labels.pdf";

/// Whether something is being made by this name, or was broken off.
pub(super) fn is_half(name: &str) -> bool {
    let is_temporary = name.ends_with(".new") || name.ends_with(".old");
    is_temporary && (name.starts_with(".flapwright-") || FILES.iter().any(|f| name.starts_with(f)))
}

/// Takes away what a run that was killed left half made in a batch of ours.
pub(super) fn remove_broken_off(out: &Path) -> io::Result<()> {
    for entry in fs::read_dir(out)? {
        let entry = entry?;
        let is_folder = entry.file_type()?.is_dir();
        if !is_half(&entry.file_name().to_string_lossy()) {
            continue;
        }
        if !is_folder {
            fs::remove_file(entry.path())?;
            continue;
        }
        remove_half(&entry.path())?;
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
