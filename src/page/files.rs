//! The files of a job as `export` writes them, and zips of them that are the same every time.

use super::view::{Read, read};
use crate::diag::{Diagnostic, Source, any_error};
use crate::geom::{Point, pt};
use crate::job::Drawing;
use crate::pipeline::{File, Folder, Layout, Machine, Watch, Wish, apart, work};
use crate::units::{Length, Unit};
use crate::write::manifest::ProgramFigures;
use std::io::{Cursor, Write};
use std::sync::atomic::Ordering;
use zip::write::SimpleFileOptions;

/// A folder that was made.
pub struct Made {
    /// Its files, the manifest last.
    pub files: Vec<File>,
    /// What is known of its programs.
    pub programs: Vec<ProgramFigures>,
    /// What was said of the machines.
    pub said: Vec<Diagnostic>,
    /// What the box is called.
    pub title: String,
    /// The sheets.
    pub sheets: Vec<Sheet>,
    /// The job's unit.
    pub unit: Unit,
}

/// A sheet, for what is drawn on it.
pub struct Sheet {
    /// Its id.
    pub id: String,
    /// Its picture, each piece a group of its own.
    pub svg: String,
    /// Its width and height, mm.
    pub size: Point,
    /// Its thickness, mm.
    pub thickness: f64,
}

/// Makes the folder that `export` makes of a saved job with these machines and this kerf. Fails with a
/// sentence where the job or a machine has errors, or the run was stopped.
pub fn make(
    source: &Source,
    drawing: Drawing<'_>,
    machines: &[Machine],
    kerf: Option<Length>,
    watch: &Watch<'_>,
) -> Result<Made, String> {
    let Read { job, said } = read(source, drawing);
    let Some(job) = job else { return Err(first_error(&said)) };
    let layout = Layout { apart: apart(machines.iter().map(|m| &m.profile), kerf), first_article: false };
    let (worked, mut said) = work(&job, &layout, watch);
    if watch.stop.load(Ordering::Relaxed) {
        return Err("the job changed meanwhile: ask again".into());
    }
    let folder = Folder::new(&job, &worked, Wish { machines, kerf, ..Wish::default() });
    if !any_error(&said) {
        said.extend(folder.drawings().1.iter().cloned());
    }
    if any_error(&said) {
        return Err(first_error(&said));
    }
    let of_machines: Vec<Diagnostic> = folder.programs().flat_map(|(_, (_, said))| said.iter().cloned()).collect();
    if any_error(&of_machines) {
        return Err(first_error(&of_machines));
    }
    let sheets = worked.operations.iter().map(|o| Sheet {
        id: o.sheet.clone(),
        svg: crate::write::svg::by_piece(o, job.units),
        size: pt(o.width.to_mm(), o.height.to_mm()),
        thickness: o.thickness.to_mm(),
    });
    Ok(Made {
        sheets: sheets.collect(),
        files: folder.files()?,
        programs: folder.figures(),
        said: of_machines,
        title: job.title.clone(),
        unit: job.units,
    })
}

fn first_error(said: &[Diagnostic]) -> String {
    let error = said.iter().find(|d| d.is_error());
    error.map_or_else(
        || "nothing can be made of this job yet".to_owned(),
        |d| match &d.hint {
            Some(hint) => format!("{}: {hint}", d.message),
            None => d.message.clone(),
        },
    )
}

impl Made {
    /// A file by its name, also the zips of some of them.
    pub fn file(&self, name: &str) -> Result<Option<Vec<u8>>, String> {
        let is_program = |f: &&File| self.programs.iter().any(|p| p.file == f.0);
        let is_profile = |f: &&File| f.0.ends_with(".profile.toml");
        let of_machine = |f: &&File| {
            let machine = |p: &ProgramFigures| f.0 == format!("{}.{}.svg", p.sheet, p.machine);
            self.programs.iter().any(machine)
        };
        let is_drawing = |f: &&File| (f.0.ends_with(".dxf") || f.0.ends_with(".svg")) && !of_machine(f);
        Ok(Some(match name {
            "folder.zip" => zipped(self.files.iter())?,
            "drawings.zip" => zipped(self.files.iter().filter(is_drawing))?,
            "programs.zip" => {
                let all = self.files.iter().filter(|f| is_program(f) || is_profile(f) || of_machine(f));
                zipped(all)?
            }
            name => return Ok(self.files.iter().find(|f| f.0 == name).map(|f| f.1.clone())),
        }))
    }
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
