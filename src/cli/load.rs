//! Files named on the command line, read.

use super::{Failure, input};
use crate::design;
use crate::diag::{Diagnostic, Source, any_error};
use crate::job::{self, Job, StockKind};
use crate::limits;
use crate::nest::Apart;
use crate::pipeline::{self, LeftOut, Machine};
use crate::profile::{self, Profile};
use crate::units::Length;
use std::path::Path;

/// A job that was read, and what was said of it.
pub(super) struct LoadedJob {
    pub(super) source: Source,
    pub(super) job: Option<Job>,
    pub(super) diagnostics: Vec<Diagnostic>,
}

/// A profile that was read, and what was said of it.
pub(super) struct LoadedProfile {
    pub(super) source: Source,
    /// Where it came from, for the report.
    pub(super) origin: String,
    /// Whether it comes with the program.
    pub(super) is_shipped: bool,
    pub(super) profile: Option<Profile>,
    pub(super) diagnostics: Vec<Diagnostic>,
    /// What is left to other machines.
    pub(super) left: Vec<LeftOut>,
}

impl LoadedProfile {
    /// The machine, if its profile could be read.
    pub(super) fn machine(&self) -> Option<Machine> {
        let profile = self.profile.clone()?;
        Some(Machine { profile, text: self.source.text.clone(), left: self.left.clone() })
    }
}

pub(super) fn job(path: &Path) -> Result<LoadedJob, Failure> {
    let source = text(path)?;
    // A drawing is named relative to the job file.
    let folder = path.parent().unwrap_or(Path::new(""));
    let drawing = |name: &str| input::bytes(&folder.join(name), limits::DRAWING_BYTES).map_err(|e| plain(&e));
    let (draft, mut diagnostics, _) = job::draft(&source, &drawing, &[]);
    let is_wrong = any_error(&diagnostics);
    // What else cannot be made is told at once; of a job without a mistake the design tells it.
    if let Some(draft) = draft.as_ref().filter(|_| is_wrong) {
        diagnostics.extend(design::limits(draft).into_iter().map(|d| d.placed(&draft.places)));
    }
    let job = draft.filter(|_| !is_wrong);
    Ok(LoadedJob { source, job, diagnostics })
}

/// The machines as they are asked for: a profile, for all stocks or, as `board=PROFILE`, for one alone. One
/// that is asked for twice serves both stocks.
pub(super) fn machines(asked: &[String]) -> Result<Vec<LoadedProfile>, Failure> {
    let mut all: Vec<(&str, Vec<StockKind>)> = Vec::new();
    for one in asked {
        let stock = one.split_once('=').and_then(|(word, name)| {
            StockKind::ALL.into_iter().find(|s| s.word() == word).map(|stock| (vec![stock], name))
        });
        let (stocks, name) = stock.unwrap_or_else(|| (StockKind::ALL.to_vec(), one));
        match all.iter_mut().find(|(known, of)| *known == name && of.iter().all(|s| !stocks.contains(s))) {
            Some((_, of)) => of.extend(stocks),
            None => all.push((name, stocks)),
        }
    }
    let read = |(name, stocks): (&str, Vec<StockKind>)| {
        let left = StockKind::ALL.into_iter().filter(|s| !stocks.contains(s)).map(LeftOut::all_of).collect();
        Ok(LoadedProfile { left, ..profile(name)? })
    };
    let read = all.into_iter().map(read).collect::<Result<Vec<_>, Failure>>()?;
    refuse_equal_names(&read)?;
    Ok(read)
}

/// Two profiles of one name would write the same files.
fn refuse_equal_names(machines: &[LoadedProfile]) -> Result<(), Failure> {
    let mut seen: Vec<&str> = Vec::new();
    for id in machines.iter().filter_map(|m| m.profile.as_ref()).map(|p| p.id.as_str()) {
        if seen.contains(&id) {
            return Err(Failure::usage(
                format!("two machines are both called `{id}`"),
                "give one profile's file another name: programs are named after it".into(),
            ));
        }
        seen.push(id);
    }
    Ok(())
}

/// How far apart pieces lie for the cuts of all these machines, without what is left to others and to the hand.
pub(super) fn apart(machines: &[LoadedProfile], left: &[LeftOut], kerf: Option<Length>) -> Apart {
    let of = |m: &'_ LoadedProfile| [left, &m.left].concat();
    pipeline::apart(machines.iter().filter_map(|m| Some((m.profile.as_ref()?, of(m)))), kerf)
}

/// A profile by the name of a shipped one, or by path: whatever holds a path separator, ends in
/// `.toml` or names a file that is there.
pub(super) fn profile(name: &str) -> Result<LoadedProfile, Failure> {
    let path = Path::new(name);
    let is_path = name.contains(['/', '\\']) || name.ends_with(".toml") || path.is_file();
    if !is_path {
        if let Some((id, text)) = profile::shipped().iter().find(|(id, _)| *id == name) {
            let source = Source { name: format!("machine-profiles/{id}.toml"), text: (*text).to_owned() };
            let read = read_profile(source, id, "shipped with flapwright".into());
            return Ok(LoadedProfile { is_shipped: true, ..read });
        }
        let near = profile::shipped()
            .iter()
            .map(|(id, _)| (strsim::jaro_winkler(id, name), *id))
            .filter(|(score, _)| *score > 0.75)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let hint = match near {
            Some((_, id)) => {
                format!("did you mean `{id}`? A profile of your own is named by its path, `./{name}.toml`.")
            }
            None => {
                let names: Vec<&str> = profile::shipped().iter().map(|(id, _)| *id).collect();
                format!("There are {}. A profile of your own is named by its path.", names.join(", "))
            }
        };
        return Err(Failure::usage(format!("there is no machine profile `{name}`"), hint));
    }
    let source = text(path)?;
    let id = file_id(path);
    let origin = source.name.clone();
    Ok(read_profile(source, &id, origin))
}

fn read_profile(source: Source, id: &str, origin: String) -> LoadedProfile {
    let (profile, diagnostics) = profile::read(&source, id);
    LoadedProfile { source, origin, is_shipped: false, profile, diagnostics, left: Vec::new() }
}

/// A profile's name in file names: its own file's name, letters, digits and dashes alone.
fn file_id(path: &Path) -> String {
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let id: String =
        stem.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let id = id.trim_matches('-').to_owned();
    if id.is_empty() { "machine".into() } else { id }
}

pub(super) fn text(path: &Path) -> Result<Source, Failure> {
    let name = path.display().to_string();
    let bytes = bytes(path, limits::TEXT_BYTES)?;
    let text = input::text(bytes)
        .map_err(|why| Failure::usage(format!("{name} {why}"), "save it again as UTF-8 text".into()))?;
    Ok(Source { name, text })
}

/// A file's bytes, if they are at most so many.
pub(super) fn bytes(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    input::bytes(path, most).map_err(|e| unreadable(path, &e))
}

/// What is told of a file or folder that cannot be read.
pub(super) fn unreadable(path: &Path, e: &std::io::Error) -> Failure {
    Failure::usage(format!("cannot read {}: {}", path.display(), plain(e)), "is the path right?".into())
}

/// An error of the system without its number.
pub(super) fn plain(e: &std::io::Error) -> String {
    let text = e.to_string();
    match text.find(" (os error") {
        Some(i) => text[..i].to_owned(),
        None => text,
    }
}
