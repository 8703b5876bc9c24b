//! `new`: a starter job.

use super::folder_error::refusal;
use super::{Exit, Failure, Terminal, load};
use std::io::Write;
use std::path::Path;

/// Writes the starter job to a file that is not there yet, or to standard output.
pub(super) fn run(file: Option<&Path>, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let starter = crate::job::starter();
    let Some(path) = file else {
        terminal.out.write_all(starter.as_bytes())?;
        return Ok(Exit::Good);
    };
    write_new(path, starter.as_bytes())?;
    let name = path.display();
    if terminal.is_quiet() {
        return Ok(Exit::Good);
    }
    writeln!(terminal.out, "Wrote {name}. Put your measurements in, then: flapwright check {name}")?;
    Ok(Exit::Good)
}

/// Writes a file that is not there yet.
pub(super) fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let name = path.display();
    let cannot = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::AlreadyExists if path.is_dir() => Failure::usage(
            format!("{name} is a folder"),
            format!("name a file in it, such as {}", path.join("my-own.toml").display()),
        ),
        std::io::ErrorKind::AlreadyExists => Failure::usage(
            format!("{name} is there already and is left as it is"),
            "name a file that does not exist yet".into(),
        ),
        _ => Failure::usage(
            format!("cannot write {name}: {}", load::plain(&e)),
            refusal(&e).unwrap_or("is there a folder of that name? Only the file is made, no folder above it").into(),
        ),
    };
    let mut created = std::fs::OpenOptions::new().write(true).create_new(true).open(path).map_err(cannot)?;
    created.write_all(bytes).map_err(cannot)
}
