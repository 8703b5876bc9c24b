//! `new`: a short job of what is named, or one in which every setting is explained.

use super::args::{NewArgs, ReportFormat, UnitChoice};
use super::folder_error::refusal;
use super::said::Said;
use super::{Exit, Failure, Terminal, load};
use crate::design::design;
use crate::diag::{Source, any_error};
use crate::fit::fit;
use crate::job::{self, Construction, ShortJob, Side};
use crate::units::Unit;
use std::io::Write;
use std::path::Path;

/// Writes the job to a file that is not there yet, or to standard output.
pub(super) fn run(args: &NewArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let (text, then) = match &args.size {
        None => (job::starter(), "Put your measurements in, then"),
        Some(size) => match short(args, size, terminal)? {
            Some(text) => (text, "See what it makes of them"),
            None => return Ok(Exit::Errors),
        },
    };
    let Some(path) = args.file.as_deref() else {
        terminal.out.write_all(text.as_bytes())?;
        return Ok(Exit::Good);
    };
    write_new(path, text.as_bytes())?;
    let name = path.display();
    if terminal.is_quiet() {
        return Ok(Exit::Good);
    }
    writeln!(terminal.out, "Wrote {name}. {then}: flapwright check {name}")?;
    Ok(Exit::Good)
}

/// The short job; `None` where it could not be made, which is told.
fn short(args: &NewArgs, size: &str, terminal: &mut Terminal<'_>) -> Result<Option<String>, Failure> {
    let lids: Vec<Side> = args.lids.iter().map(|s| Side::from(*s)).collect();
    let construction = args.construction.as_deref().and_then(Construction::of).unwrap_or(Construction::HingedBoards);
    let unit = match args.units {
        UnitChoice::Mm => Unit::Mm,
        UnitChoice::In => Unit::Inch,
    };
    let asked = ShortJob { title: &args.title, unit, construction, size, board: args.board.as_deref(), lids: &lids };
    let text = asked.text().map_err(|why| Failure::usage(why, "flapwright new --help says what there is".into()))?;
    // What cannot be made is told before it is written.
    let source = Source { name: "the new job".into(), text };
    let (job, mut found) = job::read(&source);
    let places = job.as_ref().map(|j| j.places.clone()).unwrap_or_default();
    if let Some(job) = &job {
        let (design, more) = design(job);
        found.extend(more);
        found.extend(fit(job, &design).1);
    }
    if !any_error(&found) {
        return Ok(Some(source.text));
    }
    let mut said = Said::new(ReportFormat::Text, unit);
    said.add(&source, &places, found);
    said.refuse(terminal)?;
    Ok(None)
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
