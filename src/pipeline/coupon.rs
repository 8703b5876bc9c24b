//! The folder of a coupon: a sheet that measures a machine, through the stages that every sheet goes
//! through.

use super::folder::pixels;
use super::programs::written;
use super::{Drawn, File, Machine, drawings};
use crate::comp::Kerfs;
use crate::coupon::{Coupon, form, guide};
use crate::diag::Diagnostic;
use crate::motion::build_tuned;
use crate::ops::operations;
use crate::units::Unit;
use crate::write::manifest::{self, Of, PiecesIn, ProgramFigures};
#[cfg(feature = "pdf")]
use crate::write::pdf::Paper;
use crate::write::svg::preview;

/// What a coupon's folder is to hold besides what every one holds.
#[derive(Clone, Copy, Debug, Default)]
pub struct CouponWish {
    /// Whether the pictures are there as PNG too.
    pub has_png: bool,
    /// The paper of its pages; A4 if left out.
    #[cfg(feature = "pdf")]
    pub paper: Option<Paper>,
}

/// A coupon's files, and what is known of its programs.
pub struct CouponFolder {
    /// The files, the manifest last.
    pub files: Vec<File>,
    /// The programs.
    pub programs: Vec<ProgramFigures>,
}

/// What a machine does with a coupon, as files; nothing, with errors, where it cannot cut one.
///
/// Fails where a picture or the manifest cannot be written.
pub fn coupon_folder(
    coupon: &Coupon,
    machine: &Machine,
    wish: CouponWish,
) -> (Result<Option<CouponFolder>, String>, Vec<Diagnostic>) {
    let profile = &machine.profile;
    let title = format!("Coupon for {}", profile.name);
    let ops = operations(&coupon.sheet, &coupon.pieces);
    let (program, mut said) = build_tuned(&ops, profile, &coupon.tuned);
    let Some(program) = program else { return (Ok(None), said) };
    let (mut files, more) = drawings(&ops, &Drawn::default(), &title, Unit::Mm);
    said.extend(more);
    let picture = preview(&ops, &program, profile, &title, Unit::Mm);
    files.push((format!("{}.{}.svg", ops.sheet.id, profile.id), picture));
    files.push((format!("{}.profile.toml", profile.id), machine.text.clone().into_bytes()));
    let mut programs = Vec::new();
    for program in written(&title, &program, profile, &mut said) {
        files.push((program.figures.file.clone(), program.bytes));
        programs.push(program.figures);
    }
    // The run round the outline first: it shows where the work lies.
    let of = |is_outline: bool| programs.iter().filter(move |p| p.tool.is_empty() == is_outline);
    let order: Vec<&str> = of(true).chain(of(false)).map(|p| p.file.as_str()).collect();
    let told = guide::parts(coupon, profile, &order);
    files.push((guide::FILE_NAME.into(), guide::text(&told).into_bytes()));
    files.push((form::FILE_NAME.into(), form::form(coupon, profile).into_bytes()));
    let done = || {
        #[cfg(feature = "pdf")]
        files.push((
            guide::PAGES_NAME.into(),
            crate::write::pdf::coupon(coupon, &told, wish.paper.unwrap_or(Paper::A4))?,
        ));
        if wish.has_png {
            files.extend(pixels(&files)?);
        }
        let sheets = [std::sync::Arc::clone(&coupon.sheet)];
        let of = Of {
            title: &title,
            unit: Unit::Mm,
            kerf: Kerfs::default(),
            has_edge: true,
            first_copy: 1,
            registers: &[],
            named_by_job: &[],
            pieces: PiecesIn::Here,
            left_out: &[],
        };
        let list = manifest::manifest(&of, None, &coupon.pieces, &sheets, &programs, &files);
        files.push((manifest::FILE_NAME.into(), list.map_err(|e| e.to_string())?));
        Ok(Some(CouponFolder { files, programs }))
    };
    (done(), said)
}
