//! The files of a job as `export` writes them, and zips of them that are the same every time.

use super::playback::{Played, ShownSheet, playbacks};
use super::single::page_html;
use super::view::{Looked, Read, read, seen};
use crate::comp::Kerfs;
use crate::diag::{Diagnostic, Source, any_error, first_error};
use crate::geom::pt;
use crate::job::{Drawing, Job};
use crate::ops::{FIRST_SIDE, SheetOps, side_name};
use crate::pipeline::{Boxes, Drawn, File, Folder, JobCopy, Layout, Machine, Watch, Wish, Worked, apart, work};
use crate::units::Length;
use crate::write::manifest::ProgramFigures;
use crate::write::names::{base, plain};
use crate::write::pdf::Paper;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use std::sync::atomic::Ordering;
use zip::write::SimpleFileOptions;

/// The name of the page that stands alone in a folder.
pub const PAGE: &str = "page.html";

/// A folder that was made.
pub struct Made {
    /// Its files, the manifest last.
    pub files: Vec<File>,
    /// Its programs, for who plays them.
    pub played: Played,
}

/// Makes the folder that `export` makes of a saved job with these machines, this kerf and this paper. Fails with a
/// sentence where the job or a machine has errors, or the run was stopped.
pub fn make(
    source: &Source,
    drawing: Drawing<'_>,
    machines: &[Machine],
    (kerf, paper): (Option<Length>, Option<Paper>),
    watch: &Watch<'_>,
) -> Result<Made, String> {
    let Read { job, mut said } = read(source, drawing);
    let Some(job) = job else { return Err(stopped(&said)) };
    let kerf = Kerfs::all(kerf);
    let layout = Layout { apart: apart(machines.iter().map(|m| (&m.profile, Vec::new())), kerf), boxes: Boxes::All };
    let (worked, more) = work(&job, &layout, watch);
    if watch.stop.load(Ordering::Relaxed) {
        return Err("the job changed meanwhile: ask again".into());
    }
    said.extend(more);
    let drawn = Drawn { kerf, ..Drawn::default() };
    let folder =
        Folder::new(&job, &worked, Wish { machines, drawn, paper, job_text: Some(&source.text), ..Wish::default() });
    if !any_error(&said) {
        said.extend(folder.drawings().1.iter().map(|d| d.clone().in_unit(job.units)));
    }
    let played = Played::of(&job, &worked, &folder);
    for said in [&said, &played.said] {
        if any_error(said) {
            return Err(stopped(said));
        }
    }
    let files = folder.files_with(|files| Ok(vec![page(source, (&job, &worked), said, machines, files, &played)?]))?;
    Ok(Made { files, played })
}

/// The page that stands alone in a folder: what `export` was asked for, to be looked at.
pub fn page(
    source: &Source,
    made: (&Job, &Worked),
    said: Vec<Diagnostic>,
    machines: &[Machine],
    files: &[File],
    played: &Played,
) -> Result<File, String> {
    let looked = seen(source, Some(made), said);
    let head = Head { revision: 1, name: None, saved: true, can_undo: false, can_redo: false, text: &source.text };
    let playbacks: Vec<_> = machines.iter().flat_map(|m| playbacks(files, played, &m.profile)).collect();
    Ok((PAGE.into(), page_html(&Whole { head, looked: &looked }, &playbacks, files)?))
}

/// A view of a job that nobody changes.
#[derive(Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    head: Head<'a>,
    #[serde(flatten)]
    looked: &'a Looked,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Head<'a> {
    revision: u64,
    name: Option<&'a str>,
    saved: bool,
    can_undo: bool,
    can_redo: bool,
    text: &'a str,
}

impl Played {
    /// The programs of a folder.
    pub fn of(job: &Job, worked: &Worked, folder: &Folder<'_>) -> Self {
        let sheets = worked.operations.iter().flat_map(SheetOps::sides).map(|o| ShownSheet {
            id: o.name(),
            svg: crate::write::svg::by_piece(o, job.units),
            size: pt(o.sheet.width.to_mm(), o.sheet.height.to_mm()),
            thickness: o.sheet.thickness.to_mm(),
        });
        Self {
            sheets: sheets.collect(),
            said: folder
                .programs()
                .flat_map(|(_, (_, said))| said.iter().map(|d| d.clone().in_unit(job.units)))
                .collect(),
            programs: folder.figures(),
            title: job.title.clone(),
            registers: folder.registers().to_vec(),
            of_job: folder.job_copy().map(JobCopy::names).unwrap_or_default(),
        }
    }
}

/// Why there are no files: every error, a line each.
fn stopped(said: &[Diagnostic]) -> String {
    let all: Vec<String> = said.iter().filter_map(|d| first_error(std::slice::from_ref(d))).collect();
    if all.is_empty() { "nothing can be made of this job yet".to_owned() } else { all.join("\n") }
}

impl Made {
    fn called(&self, name: &str) -> String {
        let (title, name) = (plain(&self.played.title), base(name));
        if name.starts_with(&format!("{title}_")) { name.to_owned() } else { format!("{title}_{name}") }
    }

    /// How many pages each PDF has, by its name.
    pub fn pages(&self) -> BTreeMap<&str, usize> {
        let is_paper = |f: &&File| f.0.ends_with(".pdf");
        self.files.iter().filter(is_paper).map(|(name, bytes)| (name.as_str(), pages(bytes))).collect()
    }

    /// A file by its name, also the zips of some of them, with the name under which it is kept: that of the
    /// folder, and before it the title where the name does not say whose it is. A drawing is also known by its
    /// sheet, as `board-1.dxf`.
    pub fn file(&self, name: &str) -> Result<Option<(String, Vec<u8>)>, String> {
        let is_program = |f: &&File| self.played.programs.iter().any(|p| p.file == f.0);
        let is_profile = |f: &&File| f.0.ends_with(".profile.toml");
        let of_machine = |f: &&File| {
            let machine =
                |p: &ProgramFigures| base(&f.0) == format!("{}.{}.svg", side_name(&p.sheet, p.first_side), p.machine);
            self.played.programs.iter().any(machine)
        };
        let is_drawing = |f: &&File| {
            // What the maker drew is for nobody to cut.
            !self.played.of_job.contains(&f.0)
                && (f.0.ends_with(".dxf") || f.0.ends_with(".svg") || f.0.starts_with("for-the-cutter"))
                && !of_machine(f)
        };
        let is_of_sheet = |f: &&File| {
            let id = name.strip_suffix(".dxf").unwrap_or_default();
            let (id, side) = id.strip_suffix(FIRST_SIDE).map_or((id, ""), |id| (id, FIRST_SIDE));
            id.rsplit_once('-').is_some_and(|(stock, number)| {
                f.0.contains(&format!("_{stock}-")) && f.0.ends_with(&format!("_{number}{side}.dxf"))
            })
        };
        let bytes = match name {
            "folder.zip" => zipped(self.files.iter())?,
            "drawings.zip" => zipped(self.files.iter().filter(is_drawing))?,
            "programs.zip" => {
                let all = self.files.iter().filter(|f| is_program(f) || is_profile(f) || of_machine(f));
                zipped(all)?
            }
            name => {
                let own = self.files.iter().find(|f| f.0 == name);
                let found = own.or_else(|| self.files.iter().find(is_of_sheet));
                return Ok(found.map(|(name, bytes)| (self.called(name), bytes.clone())));
            }
        };
        Ok(Some((self.called(name), bytes)))
    }
}

/// The pages of a PDF that we wrote: each is an object that says so, and none of them lies in a compressed
/// stream.
fn pages(pdf: &[u8]) -> usize {
    const PAGE: &[u8] = b"/Type/Page";
    let is_page = |at: usize| pdf[at..].starts_with(PAGE) && pdf.get(at + PAGE.len()) != Some(&b's');
    (0..pdf.len()).filter(|at| is_page(*at)).count()
}

/// Files in a zip: in their order, all of one fixed date, so that the same files give the same bytes.
pub fn zipped<'f>(files: impl Iterator<Item = &'f File>) -> Result<Vec<u8>, String> {
    let options = SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated)
        .last_modified_time(zip::DateTime::default())
        .unix_permissions(0o644);
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name.as_str(), options).map_err(|e| e.to_string())?;
        zip.write_all(bytes).map_err(|e| e.to_string())?;
    }
    Ok(zip.finish().map_err(|e| e.to_string())?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zip_is_the_same_every_time() {
        let files = [("a.txt".to_owned(), b"abc".repeat(100)), ("b/é.svg".to_owned(), Vec::new())];
        let once = zipped(files.iter()).unwrap();
        assert_eq!(zipped(files.iter()).unwrap(), once);
        assert!(once.starts_with(b"PK") && once.len() < 400);
    }
}
