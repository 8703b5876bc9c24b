//! A drawing of a folder proved: its lines, taken as the cuts of a beam as wide as the kerf that the drawings
//! were moved for, against the nominal pieces.

use super::compare::{Bench, Comparison, compare};
use super::nominal::Nominal;
use super::physics::Trace;
use super::read::dxf::{self, Drawn};
use super::read::manifest::{self, ListedSheet, Manifest};
use super::read::{PACKED, svg, unpacked};
use super::{Finding, Many};
use crate::diag::Source;
use crate::geom::{Contour, pt};
use crate::profile::{self, OperationKind, Profile};
use crate::units::decimal;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// What is found in each drawing of a sheet, by its file.
pub(super) fn drawings(
    manifest: &Manifest,
    sheet: &ListedSheet,
    files: &BTreeMap<String, Vec<u8>>,
) -> Vec<(String, Vec<Finding>)> {
    let of_first = sheet.turned.iter().map(|turned| (true, &turned.drawings));
    of_first
        .chain([(false, &sheet.drawings)])
        .flat_map(|(first, names)| of_side(manifest, sheet, first, names, files))
        .collect()
}

/// What is found in the drawings of one face of a sheet.
fn of_side(
    manifest: &Manifest,
    sheet: &ListedSheet,
    is_first_side: bool,
    names: &[String],
    files: &BTreeMap<String, Vec<u8>>,
) -> Vec<(String, Vec<Finding>)> {
    let mut all: Vec<(String, Vec<Finding>)> = Vec::new();
    let mut last: Option<(Drawn, Vec<Finding>)> = None;
    for name in names {
        let Some(bytes) = files.get(name) else { continue };
        let unpacked = match name.strip_suffix(PACKED).map(|name| (name, unpacked(bytes))) {
            None => (name.as_str(), Cow::Borrowed(bytes.as_slice())),
            Some((name, Ok(bytes))) => (name, Cow::Owned(bytes)),
            Some((_, Err(why))) => {
                let finding = Finding::new("file-changed", format!("it cannot be unpacked: {why}"));
                all.push((name.clone(), vec![finding.help("make the lot again")]));
                continue;
            }
        };
        let (own, bytes) = (unpacked.0, unpacked.1.as_ref());
        let (drawn, mut found) = if own.ends_with(".svg") { svg::read(bytes) } else { dxf::read(bytes) };
        // Of the same lines the same is to be said.
        let told = match last.take() {
            Some((same, told)) if same == drawn => told,
            _ => compared(manifest, sheet, is_first_side, &drawn),
        };
        found.extend(told.iter().cloned());
        last = Some((drawn, told));
        all.push((name.clone(), found));
    }
    all
}

/// Every sheet has a drawing, and every drawing is of a sheet and of one alone.
pub(super) fn without_a_sheet(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>) -> Vec<Finding> {
    let has_bare_side = |s: &&ListedSheet| s.drawings.is_empty() || s.turned.iter().any(|t| t.drawings.is_empty());
    // What was not kept is told as that.
    let is_left_out = manifest.left_out.iter().any(|word| word == "dxf");
    let bare = manifest.sheets.iter().filter(has_bare_side).filter(|_| !is_left_out).map(|sheet| {
        let finding = Finding::new("drawing-missing", format!("{} has no drawing", sheet.id));
        Finding::of_file(manifest::FILE_NAME, finding.help("export the folder again"))
    });
    let is_drawing = |name: &str| {
        let name = name.strip_suffix(PACKED).unwrap_or(name);
        name.ends_with(".dxf") || name.ends_with(".cut.svg")
    };
    let named =
        || manifest.sheets.iter().flat_map(|s| s.drawings.iter().chain(s.turned.iter().flat_map(|t| &t.drawings)));
    let sheets = |name: &str| named().filter(|d| *d == name).count();
    let listed = named().filter(|d| !files.contains_key(*d));
    let missing = listed.map(|name| (name, format!("{name} is said to show a sheet and is not there")));
    let is_of_job = |name: &str| manifest.files.iter().any(|f| f.is_of_job && f.file == name);
    let stray = files.keys().filter(|name| is_drawing(name)).filter_map(|name| match sheets(name) {
        0 if is_of_job(name) => None,
        0 => Some((name, format!("{name} shows no sheet that is known"))),
        1 => None,
        n => Some((name, format!("{name} is said to show {n} sheets"))),
    });
    let hint = "do not cut from it; export the folder again";
    let stray =
        missing.chain(stray).map(|(name, why)| Finding::of_file(name, Finding::new("drawing-stray", why).help(hint)));
    bare.chain(stray).collect()
}

/// A drawing's lines as cuts of its own kerf.
fn compared(manifest: &Manifest, sheet: &ListedSheet, is_first_side: bool, drawn: &Drawn) -> Vec<Finding> {
    let mut found = Vec::new();
    let corner = pt(0.0, 0.0);
    let laid = if is_first_side {
        Nominal::of_first_side(manifest, sheet, corner)
    } else {
        Nominal::of_manifest(manifest, sheet, corner)
    };
    let nominal = match laid {
        Ok(nominal) => nominal,
        Err(why) => {
            found.push(Finding::new("manifest", why));
            return found;
        }
    };
    if manifest.edge_drawn {
        found.extend(stock_rectangle(drawn.stock.as_ref(), sheet));
    } else if drawn.stock.is_some() {
        let message = "the drawing shows the sheet's edge, which was to be left out";
        found.push(Finding::new("stock-rectangle", message).help("a cutter may cut it: export the folder again"));
    }
    // The drawing as the work of a machine with one beam that does everything.
    let profile = match any_beam(sheet, sheet.kerf) {
        Ok(profile) => profile,
        Err(why) => {
            found.push(Finding::new("manifest", format!("the drawing cannot be proved against it: {why}")));
            return found;
        }
    };
    let rule = |kind: OperationKind| OperationKind::ALL.iter().position(|k| *k == kind).map_or(0, |i| 1u64 << i);
    let mut traces = Vec::new();
    for (run, (kind, stroke)) in (1u32..).zip(&drawn.lines) {
        let has_width = matches!(kind, OperationKind::ThroughCut | OperationKind::HalfDepthPocket);
        let radius = if has_width { sheet.kerf / 2.0 } else { 0.0 };
        traces.extend(stroke.segments().into_iter().map(|way| Trace {
            way,
            depth: (0.0, 0.0),
            by_words: true,
            radius,
            rules: rule(*kind),
            tool: 0,
            line: 0,
            run,
            is_edge: false,
        }));
    }
    let bench = Bench::new(&profile, &nominal, &traces, &OperationKind::ALL);
    let mut out = Many::default();
    let _: Comparison = compare(&bench, &mut out);
    // A drawing has no order, and a pocket in it is its outline.
    let apart = ["order", "pocket-floor"];
    found.extend(out.into_vec().into_iter().filter(|f| !apart.contains(&f.code)).map(|f| Finding { line: None, ..f }));
    found
}

/// The sheet itself stands in its drawing, as large as it is.
fn stock_rectangle(stock: Option<&Contour>, sheet: &ListedSheet) -> Option<Finding> {
    let hint = "whoever lays the stock goes by it: export the folder again";
    let Some(stock) = stock else {
        return Some(Finding::new("stock-rectangle", "the drawing does not show the sheet").help(hint));
    };
    let b = stock.bounds();
    let (area, whole) = (stock.area().abs(), sheet.width * sheet.height);
    let off = b.min.x.abs().max(b.min.y.abs()).max((b.max.x - sheet.width).abs()).max((b.max.y - sheet.height).abs());
    // A corner that is cut off leaves less of it.
    (off > 0.01 || (area - whole).abs() > 0.01 * (sheet.width + sheet.height)).then(|| {
        let (w, h) = (decimal(b.width(), 2), decimal(b.height(), 2));
        let message = format!(
            "the drawing shows a sheet of {w} mm x {h} mm, and it is {} mm x {} mm",
            decimal(sheet.width, 2),
            decimal(sheet.height, 2)
        );
        let message = if off > 0.01 { message } else { "the drawing shows a sheet with a corner cut off".to_owned() };
        Finding::new("stock-rectangle", message).help(hint)
    })
}

/// A profile whose rules stand in the order of the operations.
fn any_beam(sheet: &ListedSheet, kerf: f64) -> Result<Profile, String> {
    let (w, h, stock) = (sheet.width + 1.0, sheet.height + 1.0, &sheet.stock);
    let mut text = format!(
        "format = 1\nname = \"drawing\"\n[machine]\nwidth = {w}\nheight = {h}\nz_axis = false\nrapid = 6000\n\
         acceleration = 500\ntolerance = 0.01\n[output]\nlanguage = \"gcode\"\nextension = \"nc\"\n\
         start = [\"G21 G90\"]\nend = [\"M5\", \"M2\"]\n[[tool]]\nid = \"beam\"\nkind = \"beam\"\nkerf = {kerf}\n\
         max_depth = 200\nlift = \"words\"\non = [\"M4 S1\"]\noff = [\"M5\"]\n"
    );
    for kind in OperationKind::ALL {
        text.push_str(&format!(
            "[[rule]]\noperation = \"{}\"\nstock = \"{stock}\"\ntool = \"beam\"\nfeed = 600\n",
            kind.word()
        ));
    }
    let (profile, said) = profile::read(&Source { name: "drawing".into(), text }, "drawing");
    profile.ok_or_else(|| said.iter().find(|d| d.is_error()).map_or(String::new(), |d| d.message.clone()))
}
