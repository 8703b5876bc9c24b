//! What lies beside the job on the disk.

use super::store::Shared;
use crate::cli::input;
use crate::cli::load::plain;
use crate::limits;
use crate::page::Desk;
use std::path::{Path, PathBuf};

/// A drawing that the job names: one that waits to be saved with it, or a file beside it.
pub(super) fn drawing(shared: &Shared, desk: &Desk, name: &str) -> Result<Vec<u8>, String> {
    if let Some(bytes) = desk.drawings().get(name) {
        return Ok(bytes.clone());
    }
    input::bytes(&beside(shared, desk).join(name), limits::DRAWING_BYTES).map_err(|e| plain(&e))
}

/// The folder of the job, or where it would be saved.
pub(super) fn beside(shared: &Shared, desk: &Desk) -> PathBuf {
    let of_job = desk.now().path.as_deref().and_then(Path::parent).map(Path::to_path_buf);
    of_job.unwrap_or_else(|| shared.folder.clone())
}
