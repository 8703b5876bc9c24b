//! A folder from which a box is cut, made file by file as it is asked for.

use super::job_copy::{JOB_NAME, JobCopy};
use super::programs::{Programs, programs};
use super::{Drawn, File, Filing, LeftOut, Worked, drawings};
use crate::diag::{Diagnostic, without_repeats};
use crate::estimate::Estimate;
use crate::job::{CutFace, Job, StockKind};
use crate::nest::Sheet;
use crate::ops::{SheetOps, side_name};
use crate::profile::Profile;
use crate::register::{Register, form};
use crate::units::Length;
use crate::write::artwork::{self, Artwork};
use crate::write::cost::{Takes, runs, takes};
use crate::write::cut_list::{Reels, cut_list, cut_list_json};
#[cfg(feature = "pdf")]
use crate::write::handover::PAGE_NAME;
use crate::write::handover::{Handover, TEXT_NAME, text};
use crate::write::manifest::{self, FitFigures, Of, OfBox, PiecesIn, ProgramFigures};
use crate::write::names::drawing_stem;
#[cfg(feature = "pdf")]
use crate::write::pdf::{Paper, Told, guide, handover, labels, labels_of, templates};
use crate::write::work::{WorkFigures, WorkTakes};
use rayon::prelude::*;
use std::sync::{Arc, OnceLock};

/// A machine that was read, with the text of its profile: a folder carries a copy, by which it is proved.
#[derive(Clone, Debug)]
pub struct Machine {
    /// What it can do.
    pub profile: Profile,
    /// The profile as its owner wrote it.
    pub text: String,
    /// What is left to other machines, besides what is left to the hand.
    pub left: Vec<LeftOut>,
}

/// What a folder is to hold besides what every folder holds.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wish<'a> {
    /// The machines to write programs for.
    pub machines: &'a [Machine],
    /// What no program does.
    pub left: &'a [LeftOut],
    /// How sheets are drawn for cutters.
    pub drawn: Drawn<'a>,
    /// Whether each program is written a second time, above the work.
    pub is_lifted: bool,
    /// The paper of guide and templates; the usual one of the job's unit if left out.
    #[cfg(feature = "pdf")]
    pub paper: Option<Paper>,
    /// Whether the templates hold cloth and liner in tiles, however many.
    #[cfg(feature = "pdf")]
    pub is_cloth_tiled: bool,
    /// Whether every picture is there as PNG too.
    pub has_png: bool,
    /// Whether each stock's files have a folder of their own, also where they are few.
    pub by_stock: bool,
    /// How far the ink of an artwork sheet runs past the cloth; no such sheet if left out.
    pub artwork: Option<Length>,
    /// Sheets whose marks were measured: they are worked where they lie.
    pub registers: &'a [Register],
    /// The text that the job was read from, of which the folder keeps a copy with the drawings that it names.
    pub job_text: Option<&'a str>,
}

type Made<T> = (T, Vec<Diagnostic>);

/// The folder of a job. Each part of it is made once, when it is asked for first, on the threads of
/// whoever asks.
pub struct Folder<'a> {
    job: &'a Job,
    worked: &'a Worked,
    wish: Wish<'a>,
    drawings: OnceLock<Made<Vec<File>>>,
    programs: Vec<OnceLock<Made<Programs>>>,
    estimate: OnceLock<Estimate>,
    copy: OnceLock<Option<JobCopy>>,
}

impl<'a> Folder<'a> {
    /// The folder of a job that was worked, with as many copies as its sheets are for
    /// ([`Worked::job_of_sheets`]).
    pub fn new(job: &'a Job, worked: &'a Worked, wish: Wish<'a>) -> Self {
        let programs = wish.machines.iter().map(|_| OnceLock::new()).collect();
        let (drawings, estimate, copy) = (OnceLock::new(), OnceLock::new(), OnceLock::new());
        Self { job, worked, wish, drawings, programs, estimate, copy }
    }

    /// How the files of its sheets lie in it.
    pub const fn filing(&self) -> Filing {
        Filing::of(self.worked.sheets.len(), self.wish.by_stock)
    }

    /// A DXF or two and a picture of every sheet, with what there is to say of them.
    pub fn drawings(&self) -> &Made<Vec<File>> {
        self.drawings.get_or_init(|| {
            let mut said: Vec<Diagnostic> = self.shared_cuts().into_iter().collect();
            let mut files = Vec::new();
            if said.is_empty() {
                let (job, wish) = (self.job, &self.wish);
                let of = |ops: &SheetOps| {
                    let (files, said) = drawings(ops, &wish.drawn, &job.title, job.units);
                    (self.filing().files(ops.sheet.stock, files), said)
                };
                let all: Vec<_> = self.worked.operations.par_iter().map(of).collect();
                for (drawn, more) in all {
                    files.extend(drawn);
                    said.extend(more);
                }
                without_repeats(&mut said);
            }
            (files, said)
        })
    }

    /// A cut that two pieces share cannot be moved away from both.
    fn shared_cuts(&self) -> Option<Diagnostic> {
        let moved = |s: &&Arc<Sheet>| self.kerf(s) > Length::ZERO;
        let sheet = self.worked.sheets.iter().filter(|s| s.common_cuts).find(moved)?;
        let (word, kerf) = (sheet.stock.word(), self.kerf(sheet));
        let kerf = self.job.units.show(kerf);
        let message = format!("pieces of {word} share their cuts, and the kerf of {kerf} is taken from both");
        let hint = format!("set {word}.common_cuts = false, or name no kerf");
        Some(Diagnostic::error("common-cuts-kerf", message).at(format!("{word}.common_cuts")).help(hint))
    }

    /// What the drawings of a sheet are moved for; zero where they are nominal.
    fn kerf(&self, sheet: &Sheet) -> Length {
        self.wish.drawn.kerf.moved(sheet.stock)
    }

    /// The sheets that are worked where they lie.
    pub const fn registers(&self) -> &'a [Register] {
        self.wish.registers
    }

    /// What each machine gets, in the order of the wish, with what there is to say of it.
    pub fn programs(&self) -> impl Iterator<Item = (&Machine, &Made<Programs>)> {
        let make = |m: &Machine| {
            let left = [self.wish.left, &m.left].concat();
            programs(self.job, self.worked, &m.profile, &left, self.wish.is_lifted, self.wish.registers, self.filing())
        };
        self.wish.machines.iter().zip(&self.programs).map(move |(m, made)| (m, made.get_or_init(|| make(m))))
    }

    /// What is known of every program.
    pub fn figures(&self) -> Vec<ProgramFigures> {
        self.programs().flat_map(|(_, (made, _))| made.programs.iter().map(|p| p.figures.clone())).collect()
    }

    /// What all copies take: sheets, money, time.
    pub fn takes(&self) -> Takes {
        let takes = takes(self.job.copies, &self.worked.design.pieces, &self.worked.sheets, &self.figures());
        takes.with(WorkTakes::of(self.estimate()))
    }

    /// The job as the folder keeps it; `None` where its text was not given.
    pub fn job_copy(&self) -> Option<&JobCopy> {
        let make = |text| JobCopy::of(self.job, text, &|name| self.is_taken(name));
        self.copy.get_or_init(|| self.wish.job_text.map(make)).as_ref()
    }

    /// Whether a name, in small letters, is that of a drawing of ours, or could be taken for something of a sheet's.
    fn is_taken(&self, name: &str) -> bool {
        let is_of = |s: &Arc<Sheet>| {
            let begins = |with: &str| name.strip_prefix(with).is_some_and(|rest| rest.starts_with('.'));
            let is_of_side = |is_first_side| {
                let stem = drawing_stem(&self.job.title, s, is_first_side, self.kerf(s));
                begins(&side_name(&s.id, is_first_side)) || begins(&stem)
            };
            is_of_side(false) || s.turn.is_some() && is_of_side(true)
        };
        let is_artwork = name.starts_with(artwork::STEM) && name.ends_with(".svg");
        is_artwork || self.worked.sheets.iter().any(is_of)
    }

    /// What the work takes, and when it is done.
    pub fn estimate(&self) -> &Estimate {
        self.estimate.get_or_init(|| self.worked.estimate(self.job, &runs(&self.worked.sheets, &self.figures())))
    }

    /// The papers for the bench: the guide and the templates.
    #[cfg(feature = "pdf")]
    fn papers(&self) -> Result<Vec<File>, String> {
        let page = self.with_handover(|h| handover(h, self.paper()))?;
        Ok(vec![
            ("guide.pdf".into(), self.guide()?),
            ("templates.pdf".into(), self.templates()?),
            ("labels.pdf".into(), self.labels()?),
            (PAGE_NAME.into(), page),
        ])
    }

    /// The labels, of the size of their recess where there is one.
    #[cfg(feature = "pdf")]
    fn labels(&self) -> Result<Vec<u8>, String> {
        let size = self.job.title_label.map(|l| [l.width, l.height]);
        labels(&labels_of(self.job, self.worked.first_copy), &self.job.title, size, self.paper())
    }

    /// A build without the feature `pdf` has none.
    #[cfg(not(feature = "pdf"))]
    #[expect(clippy::unnecessary_wraps, reason = "as with the papers")]
    fn papers(&self) -> Result<Vec<File>, String> {
        Ok(Vec::new())
    }

    /// The artwork sheets, where they are wished for; an error where no cloth covers the box.
    pub fn artwork(&self) -> Result<Vec<Artwork>, Diagnostic> {
        let all = |bleed| Artwork::all(self.job, &self.worked.design, bleed);
        self.wish.artwork.map_or_else(|| Ok(Vec::new()), all)
    }

    /// What there is to say of prints that lie face down on a machine's bed, where artwork sheets are wished for.
    pub fn about_prints(&self) -> Vec<Diagnostic> {
        let (Ok(all), false) = (self.artwork(), self.wish.machines.is_empty()) else { return Vec::new() };
        let stock_of = |piece: &str| self.worked.design.pieces.iter().find(|p| p.id == piece).map(|p| p.stock);
        let down = |kind: &StockKind| self.job.stock(*kind).is_some_and(|stock| stock.cut_face == CutFace::Back);
        let mut kinds: Vec<StockKind> = all.iter().filter_map(|a| stock_of(&a.piece)).filter(down).collect();
        kinds.dedup();
        let told = |kind: StockKind| {
            let word = kind.word();
            let message = format!(
                "the printed face of the {word} lies down on the bed, so that a tool does not find its register marks"
            );
            let d = Diagnostic::warning("print-lies-down", message).at(format!("{word}.cut_face"));
            let d = if self.job.places.has(&format!("{word}.cut_face")) { d } else { d.at(word) };
            d.help(format!("write cut_face = \"face\" under [{word}]; no lines are drawn on it then"))
        };
        kinds.into_iter().map(told).collect()
    }

    fn artwork_files(&self) -> Result<Vec<File>, String> {
        let (job, design) = (self.job, &self.worked.design);
        let mut files = Vec::new();
        for artwork in self.artwork().map_err(|d| d.message)? {
            files.push((artwork.file(artwork::SVG_NAME), artwork.svg(job, design)));
            #[cfg(feature = "pdf")]
            files.push((artwork.file(artwork::PDF_NAME), artwork.pdf(job, design)?));
            files.push((artwork.file(form::FILE_NAME), self.marks_form(&artwork).into_bytes()));
        }
        Ok(files)
    }

    /// The file in which the marks of a print are measured.
    fn marks_form(&self, artwork: &Artwork) -> String {
        let pieces = &self.worked.design.pieces;
        let has_cover =
            |s: &&Arc<Sheet>| s.placed.iter().any(|p| pieces.get(p.piece).is_some_and(|p| p.id == artwork.piece));
        let sheet = self.worked.sheets.iter().find(has_cover).map_or("cloth-1", |s| s.id.as_str());
        let machine = self.wish.machines.first().map_or("NAME", |m| m.profile.id.as_str());
        let marks: Vec<_> = artwork.marks.iter().map(|m| (m.name, m.at)).collect();
        form::form([sheet, machine, &artwork.piece, &artwork.file(form::FILE_NAME)], artwork.bleed(), &marks)
    }

    /// The guide for the bench. An error only where the PDF library cannot write.
    #[cfg(feature = "pdf")]
    pub fn guide(&self) -> Result<Vec<u8>, String> {
        let told = Told {
            first_copy: self.worked.first_copy,
            job: self.job,
            design: &self.worked.design,
            fit: &self.worked.fit,
            bill: &self.worked.bill,
            sheets: &self.worked.sheets,
            operations: &self.worked.operations,
            lot: None,
            programs: &self.figures(),
            estimate: Some(self.estimate()),
        };
        guide(&told, self.paper())
    }

    /// The templates at full size. An error only where the PDF library cannot write.
    #[cfg(feature = "pdf")]
    pub fn templates(&self) -> Result<Vec<u8>, String> {
        templates(self.job, &self.worked.design, self.paper(), self.wish.is_cloth_tiled)
    }

    #[cfg(feature = "pdf")]
    fn paper(&self) -> Paper {
        self.wish.paper.unwrap_or_else(|| Paper::usual(self.job.units))
    }

    /// What goes to whoever cuts.
    fn with_handover<T>(&self, then: impl FnOnce(&Handover<'_>) -> T) -> T {
        let drawn = &self.wish.drawn;
        let names = |ops: &SheetOps| {
            let stem =
                format!("{}.", drawing_stem(&self.job.title, &ops.sheet, ops.is_first_side, self.kerf(&ops.sheet)));
            let stem = self.filing().place(ops.sheet.stock, &stem);
            self.drawings().0.iter().map(|(name, _)| name.clone()).filter(|name| name.starts_with(&stem)).collect()
        };
        let sides: Vec<&SheetOps> = self.worked.operations.iter().flat_map(SheetOps::sides).collect();
        let drawings: Vec<Vec<String>> = sides.iter().map(|ops| names(ops)).collect();
        then(&Handover {
            job: self.job,
            pieces: &self.worked.design.pieces,
            operations: &sides,
            drawings: &drawings,
            kerf: drawn.kerf,
            has_edge: !drawn.no_stock,
        })
    }

    /// Every file, the manifest last: it has the hashes of the others.
    pub fn files(&self) -> Result<Vec<File>, String> {
        self.files_with(|_| Ok(Vec::new()))
    }

    /// The same, and what `more` makes of the files that stand before the manifest.
    pub fn files_with(&self, more: impl FnOnce(&[File]) -> Result<Vec<File>, String>) -> Result<Vec<File>, String> {
        let (job, worked) = (self.job, self.worked);
        let mut files = self.drawings().0.clone();
        for (machine, (made, _)) in self.programs() {
            if !made.programs.is_empty() {
                // The folder proves itself: `verify` reads the machine from here.
                files.push((format!("{}.profile.toml", machine.profile.id), machine.text.clone().into_bytes()));
            }
            files.extend(made.previews.iter().cloned());
            files.extend(made.programs.iter().map(|p| (p.figures.file.clone(), p.bytes.clone())));
        }
        if self.wish.has_png {
            files.extend(pixels(&files)?);
        }
        files.extend(self.papers()?);
        files.extend(self.artwork_files()?);
        files.push((TEXT_NAME.into(), self.with_handover(text).into_bytes()));
        let (pieces, sheets) = (&worked.design.pieces, &worked.sheets);
        let reels = Reels {
            of: "",
            strap: worked.fit.strap.as_ref(),
            ties: &worked.fit.ties,
            inside: worked.fit.inside.as_ref(),
        };
        let copy = self.job_copy();
        files.extend(copy.map(|copy| (JOB_NAME.into(), copy.text.clone().into_bytes())));
        files.extend(copy.iter().flat_map(|copy| copy.drawings.iter().cloned()));
        files.push(("cut-list.csv".into(), cut_list(job, pieces, sheets, reels)));
        files.push(("cut-list.json".into(), cut_list_json(job, pieces, sheets, reels)));
        files.push(("cost.csv".into(), self.takes().csv()));
        let further = more(&files)?;
        files.extend(further);
        let named_by_job = copy.map(JobCopy::names).unwrap_or_default();
        let fit = FitFigures::of(job, &worked.design, &worked.fit);
        let told = OfBox { fit, work: Some(WorkFigures::of(self.estimate())) };
        let of = Of {
            title: &job.title,
            unit: job.units,
            kerf: self.wish.drawn.kerf,
            has_edge: !self.wish.drawn.no_stock,
            first_copy: worked.first_copy,
            registers: self.wish.registers,
            named_by_job: &named_by_job,
            pieces: PiecesIn::Here,
            left_out: &[],
        };
        let list = manifest::manifest(&of, Some(&told), pieces, sheets, &self.figures(), &files);
        files.push((manifest::FILE_NAME.into(), list.map_err(|e| e.to_string())?));
        Ok(files)
    }
}

/// Every picture as PNG.
#[cfg(not(feature = "png"))]
pub(super) fn pixels(_: &[File]) -> Result<Vec<File>, String> {
    Err("this program was built without pictures as PNG (its feature `png`)".into())
}

/// Every picture as PNG.
#[cfg(feature = "png")]
pub(super) fn pixels(files: &[File]) -> Result<Vec<File>, String> {
    let pictures: Vec<_> = files
        .iter()
        .filter(|(name, _)| !name.ends_with(".cut.svg"))
        .filter_map(|(name, svg)| Some((name.strip_suffix(".svg")?, svg)))
        .collect();
    pictures.par_iter().map(|(name, svg)| Ok((format!("{name}.png"), crate::write::png::png(svg)?))).collect()
}
