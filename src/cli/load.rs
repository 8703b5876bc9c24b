//! Files named on the command line, read.

use super::filled::{Filled, Supply};
pub(super) use super::input::plain;
use super::{Failure, folder, input};
use crate::comp::Kerfs;
use crate::design;
use crate::diag::{Diagnostic, Places, Source, any_error};
use crate::doc;
use crate::job::{self, JOB, Job, StockKind};
use crate::limits;
use crate::nest::Apart;
use crate::pipeline::{self, LeftOut, Machine};
use crate::profile::{self, Profile};
use crate::units::Unit;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A job that was read, and what was said of it.
pub(super) struct LoadedJob {
    pub(super) source: Source,
    pub(super) job: Option<Job>,
    pub(super) diagnostics: Vec<Diagnostic>,
    /// What it is measured in, also where it is wrong.
    pub(super) unit: Unit,
    /// What was taken from a shop.
    pub(super) filled: Filled,
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

/// A job from a file, or from standard input: see [`input::is_standard`]. What it leaves out comes from a shop.
pub(super) fn job(path: &Path, shop: &dyn Supply) -> Result<LoadedJob, Failure> {
    let is_standard = input::is_standard(path);
    let mut source = if is_standard { standard_input()? } else { text(path)? };
    let filled = shop.fill(&mut source)?;
    // A drawing is named relative to the job file, or to where the program was started.
    let folder = path.parent().filter(|_| !is_standard).unwrap_or(Path::new(""));
    let drawing = |name: &str| input::bytes(&folder.join(name), limits::DRAWING_BYTES).map_err(|e| plain(&e));
    let (draft, mut diagnostics, _) = job::draft(&source, &drawing, &[]);
    let is_wrong = any_error(&diagnostics);
    // What else cannot be made is told at once; of a job without a mistake the design tells it.
    if let Some(draft) = draft.as_ref().filter(|_| is_wrong) {
        diagnostics.extend(design::limits(draft).into_iter().map(|d| d.placed(&draft.places)));
    }
    if is_wrong && !shop.is_some() {
        diagnostics.extend(names_a_stock(&source));
    }
    job::without_what_follows(&mut diagnostics);
    let unit = draft.as_ref().map_or_else(|| doc::read(&source.text, &JOB, Some("units")).0.unit, |d| d.units);
    let job = draft.filter(|_| !is_wrong);
    let said: Vec<Diagnostic> = filled.said.iter().map(|d| d.clone().placed(&places_of(&source))).collect();
    diagnostics.extend(said);
    Ok(LoadedJob { source, job, diagnostics, unit, filled })
}

fn places_of(source: &Source) -> Places {
    doc::read(&source.text, &JOB, Some("units")).0.places
}

/// Said of a job with errors that names a stock of a shop which nobody asked.
pub(super) fn names_a_stock(source: &Source) -> Option<Diagnostic> {
    let (document, _) = doc::read(&source.text, &JOB, Some("units"));
    let key = StockKind::ALL.map(|kind| format!("{}.stock", kind.word())).into_iter().find(|k| document.has(k))?;
    let message = format!("`{key}` names a stock of a shop, and no shop is asked what the job leaves out");
    let hint = Diagnostic::warning("no-shop", message).help("add --shop FILE");
    Some(hint.at(key).placed(&document.places))
}

/// The machines as they are asked for: a profile, for all stocks or, as `board=PROFILE`, for one alone. One
/// that is asked for twice serves both stocks.
pub(super) fn machines(asked: &[String], shop: &dyn Supply) -> Result<Vec<LoadedProfile>, Failure> {
    let mut all: Vec<(&str, Vec<StockKind>)> = Vec::new();
    for one in asked {
        let stock =
            one.split_once('=').and_then(|(word, name)| StockKind::of_word(word).map(|stock| (vec![stock], name)));
        let (stocks, name) = stock.unwrap_or_else(|| (StockKind::ALL.to_vec(), one));
        match all.iter_mut().find(|(known, of)| *known == name && of.iter().all(|s| !stocks.contains(s))) {
            Some((_, of)) => of.extend(stocks),
            None => all.push((name, stocks)),
        }
    }
    let read = |(name, stocks): (&str, Vec<StockKind>)| {
        let left = StockKind::ALL.into_iter().filter(|s| !stocks.contains(s)).map(LeftOut::all_of).collect();
        Ok(LoadedProfile { left, ..profile_or_kept(name, shop)? })
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
pub(super) fn apart(machines: &[LoadedProfile], left: &[LeftOut], kerf: Kerfs) -> Apart {
    let of = |m: &'_ LoadedProfile| [left, &m.left].concat();
    pipeline::apart(machines.iter().filter_map(|m| Some((m.profile.as_ref()?, of(m)))), kerf)
}

/// The same, or one that a shop keeps.
fn profile_or_kept(name: &str, shop: &dyn Supply) -> Result<LoadedProfile, Failure> {
    match shop.machine(name)? {
        Some(text) => {
            let source = Source { name: format!("{name}, of the shop"), text };
            let origin = source.name.clone();
            Ok(read_profile(source, &file_id(Path::new(name)), origin))
        }
        None => profile(name),
    }
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
            _ if name.contains('=') => {
                "for one stock alone write board=NAME, cloth=NAME or liner=NAME; a file whose name has = in it is named by its path, ./NAME".into()
            }
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

fn standard_input() -> Result<Source, Failure> {
    let name = input::STANDARD_INPUT;
    let bytes = input::standard(limits::TEXT_BYTES).map_err(|e| {
        Failure::usage(format!("cannot read {name}: {}", plain(&e)), "pipe a job into it, or name a file".into())
    })?;
    as_text(name.to_owned(), bytes)
}

pub(super) fn text(path: &Path) -> Result<Source, Failure> {
    as_text(path.display().to_string(), bytes(path, limits::TEXT_BYTES)?)
}

fn as_text(name: String, bytes: Vec<u8>) -> Result<Source, Failure> {
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
    let hint = match e.kind() {
        ErrorKind::NotFound => nearest_name(path)
            .map_or_else(|| "is the path right?".to_owned(), |name| format!("did you mean {}?", name.display())),
        ErrorKind::PermissionDenied => "you may not read it: ask whoever owns it to let you".to_owned(),
        _ if folder::is_export(path) => {
            let folder = path.display();
            format!(
                "`export` wrote that folder: flapwright verify {folder} proves it. A job is a text file, a list a CSV file"
            )
        }
        _ if folder::is_batch(&path.join(folder::BATCH)) => {
            let folder = path.display();
            format!(
                "`batch` wrote that folder: flapwright verify {folder} proves its lots. A job is a text file, a list a CSV file"
            )
        }
        _ if path.is_dir() => format!("name a file in it: {}", path.join("...").display()),
        _ => "is the path right?".to_owned(),
    };
    Failure::usage(format!("cannot read {}: {}", path.display(), plain(e)), hint)
}

/// The file beside a missing one whose name is nearest to its.
fn nearest_name(path: &Path) -> Option<PathBuf> {
    let name = path.file_name()?.to_str()?;
    let folder = path.parent().filter(|p| *p != Path::new("")).unwrap_or(Path::new("."));
    let names: Vec<String> =
        std::fs::read_dir(folder).ok()?.flatten().filter_map(|e| e.file_name().into_string().ok()).take(1000).collect();
    let mut names: Vec<&str> = names.iter().map(String::as_str).collect();
    names.sort_unstable();
    let near = doc::nearest(name, names.into_iter())?;
    Some(path.with_file_name(near))
}
