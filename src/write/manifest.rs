//! `manifest.json`: everything about an exported folder that a program may want to know. All
//! lengths are mm; pieces are nominal, not moved for any tool.

use super::dressed::{Dressed, dressed};
use super::names::{base, drawing_stem};
pub use super::registers::RegisterEntry;
use super::turn::TurnEntry;
use super::work::WorkFigures;
use crate::comp::Kerfs;
use crate::coupon::form;
use crate::design::{self, Role};
use crate::fit::{Closing, Fit, InsideFigures, MagnetFigures, TieFigures};
use crate::geom::{Contour, Path, Stroke, Vertex};
use crate::job::{Grain, Job, Side, StockKind};
use crate::nest;
use crate::profile::OperationKind;
use crate::register::{self, Register};
use crate::units::{Length, Unit, tidy};
use serde::{Deserialize, Serialize, Serializer};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// The manifest's file name.
pub const FILE_NAME: &str = "manifest.json";
/// The file in which the pieces of a lot stand, compressed (gzip, RFC 1952).
pub const PIECES: &str = "pieces.json.gz";
/// The version of its form, its key `format`.
pub const FORMAT: u32 = 1;
/// Its keys, in order: what tells a manifest of this program from another JSON file.
pub const KEYS: [&str; 8] = ["format", "title", "units", "fit", "pieces", "sheets", "programs", "files"];

/// The measures of the box.
#[derive(Clone, Debug, Serialize)]
pub struct FitFigures {
    /// Width, height, depth inside.
    pub interior: [Length; 3],
    /// Width, height, depth of the closed box.
    pub exterior: [Length; 3],
    /// The gap between two hinged boards.
    pub joint: Length,
    /// By how much walls grow from tier to tier.
    pub step: Length,
    /// Wall heights.
    pub walls: BTreeMap<Side, Length>,
    /// What each wall has beyond what lies beneath its lid; below zero its joints make it up.
    pub play: BTreeMap<Side, Length>,
    /// What the elastic is cut to; `None` without a strap.
    pub strap_length: Option<Length>,
    /// The ribbon ties, lid by lid; left out without.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ties: Vec<TieFigures>,
    /// The magnets, lid by lid; left out without.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub magnets: Vec<MagnetFigures>,
    /// What lies inside besides one stack; left out without.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inside: Option<InsideFigures>,
    /// The case that the box is glued into; left out without.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub case: Option<CaseFigures>,
    /// What a joint must pass: the board and every layer that lies in it.
    pub joint_thickness: Length,
    /// The depths of stack over which every lid lies flat, over which it can be pressed shut, and below
    /// which the works slide about.
    pub depths: [Length; 3],
    /// The share of boxes that close as they are dressed.
    pub closing: Option<Closing>,
    /// The area of board that is bare in the open box, mm2, where one is wanted lined.
    pub bare_mm2: f64,
    /// What it takes to fold the box with every layer counted; left out of a batch's lists.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dressed: Option<Dressed>,
}

impl FitFigures {
    /// The figures of a job's box.
    pub fn of(job: &Job, design: &design::Design, fit: &Fit) -> Self {
        let m = &design.measures;
        Self {
            interior: fit.interior,
            exterior: fit.exterior,
            joint: m.joint,
            step: m.step,
            walls: m.walls.clone(),
            play: fit.play.clone(),
            strap_length: fit.strap_length,
            ties: fit.ties.clone(),
            magnets: fit.magnets.clone(),
            inside: fit.inside.clone(),
            case: design.case.as_ref().map(|case| CaseFigures::of(&case.design.measures)),
            joint_thickness: m.joint_thickness,
            depths: [fit.depths.flat, fit.depths.pressed, fit.depths.slides],
            closing: Some(fit.closing.clone()),
            bare_mm2: tidy(fit.bare.iter().map(|b| b.1).sum(), 2),
            dressed: Some(dressed(job, design)),
        }
    }
}

/// The measures of a case beside the box that is glued into it.
#[derive(Clone, Debug, Serialize)]
pub struct CaseFigures {
    /// Width and height of its covers.
    pub covers: [Length; 2],
    /// How wide its spine is.
    pub spine: Length,
    /// The gap between spine and covers.
    pub joint: Length,
}

impl CaseFigures {
    fn of(m: &design::Measures) -> Self {
        let spine = m.walls.values().next().copied().unwrap_or_default();
        Self { covers: [m.base_width, m.base_height], spine, joint: m.joint }
    }
}

/// What a program is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RunKind {
    /// It does the work.
    #[default]
    Work,
    /// It goes round the work above it.
    Outline,
    /// It goes the whole way above the work.
    Lifted,
}

/// What is known of one program.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ProgramFigures {
    /// Its file name.
    pub file: String,
    /// What it is for.
    #[serde(default)]
    pub kind: RunKind,
    /// The sheet that it cuts.
    pub sheet: String,
    /// Whether it works the sheet with its other face up, before it is turned over; left out where it does not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub first_side: bool,
    /// How many such sheets there are to cut.
    pub count: u32,
    /// The profile's id.
    pub machine: String,
    /// The tools' ids, in the order of use.
    pub tool: String,
    /// Length worked, all passes.
    pub cut_mm: Length,
    /// Length travelled between.
    pub travel_mm: Length,
    /// The time it takes, one sheet; 0 for one that does not work.
    #[serde(serialize_with = "to_a_tenth")]
    pub seconds: f64,
    /// Passes in all.
    pub passes: u32,
    /// The operations that it does, in the hard order; none for one that does not work.
    pub operations: Vec<OperationKind>,
}

/// What is known of the boxes of a folder, where all of them are alike.
#[derive(Clone, Debug)]
pub struct OfBox {
    /// The measures of one.
    pub fit: FitFigures,
    /// What the work takes, where that is told.
    pub work: Option<WorkFigures>,
}

/// What a folder is of.
#[derive(Clone, Copy, Debug)]
pub struct Of<'a> {
    /// Its title.
    pub title: &'a str,
    /// The unit in which people read what is said of it.
    pub unit: Unit,
    /// What the drawings were moved for.
    pub kerf: Kerfs,
    /// Whether the drawings show the sheet's own edge.
    pub has_edge: bool,
    /// The number of the first box that the sheets are for; 1 unless that was made before.
    pub first_copy: u32,
    /// The sheets that are worked where they lie.
    pub registers: &'a [Register],
    /// The files that the job names: no drawings of sheets.
    pub named_by_job: &'a [String],
    /// Where its pieces stand.
    pub pieces: PiecesIn<'a>,
    /// The kinds of files that it does without.
    pub left_out: &'a [&'static str],
}

/// Where the pieces of a folder stand. Those of a lot of many boxes are most of what is written of it.
#[derive(Clone, Copy, Debug, Default)]
pub enum PiecesIn<'a> {
    /// In the manifest.
    #[default]
    Here,
    /// In a file of their own.
    File(&'a str),
    /// Nowhere.
    Nowhere,
}

/// The bytes of the manifest: JSON, keys in the order of their structures, a final newline. `files`
/// are the other files of the folder with their bytes; each is listed with its SHA-256. Without its pieces it is for
/// programs alone, and has no more room between its words than it needs. `of_box` is left out
/// where the sheets are of several boxes.
pub fn manifest(
    of: &Of<'_>,
    of_box: Option<&OfBox>,
    pieces: &[design::Piece],
    sheets: &[std::sync::Arc<nest::Sheet>],
    programs: &[ProgramFigures],
    files: &[(String, Vec<u8>)],
) -> Result<Vec<u8>, serde_json::Error> {
    // A sheet's drawings are the files whose names begin with its stem.
    let kerf = |sheet: &nest::Sheet| of.kerf.moved(sheet.stock);
    let drawings = |sheet: &nest::Sheet| {
        [false, true].map(|is_first_side| {
            let stem = format!("{}.", drawing_stem(of.title, sheet, is_first_side, kerf(sheet)));
            files.iter().map(|(name, _)| name.as_str()).filter(|name| base(name).starts_with(&stem)).collect()
        })
    };
    let is_here = matches!(of.pieces, PiecesIn::Here);
    let manifest = Manifest {
        format: FORMAT,
        title: of.title,
        units: "mm",
        shown_in: match of.unit {
            Unit::Mm => "mm",
            Unit::Inch => "in",
        },
        edge_drawn: of.has_edge,
        first_copy: (of.first_copy > 1).then_some(of.first_copy),
        fit: of_box.map(|b| &b.fit),
        work: of_box.and_then(|b| b.work.as_ref()),
        pieces: if is_here { pieces.iter().map(PieceEntry::of).collect() } else { Vec::new() },
        pieces_in: match of.pieces {
            PiecesIn::File(file) => Some(file),
            _ => None,
        },
        left_out: of.left_out,
        sheets: sheets.iter().map(|s| SheetEntry::of(s, pieces, drawings(s), kerf(s))).collect(),
        registers: of.registers.iter().map(RegisterEntry::of).collect(),
        programs,
        files: files
            .iter()
            .map(|(file, bytes)| File {
                file,
                sha256: sha256_hex(bytes),
                is_form: [form::FILE_NAME, register::form::FILE_NAME].contains(&file.as_str()),
                is_of_job: of.named_by_job.contains(file),
            })
            .collect(),
    };
    let mut bytes = if is_here { serde_json::to_vec_pretty(&manifest)? } else { serde_json::to_vec(&manifest)? };
    bytes.push(b'\n');
    Ok(bytes)
}

/// The same pieces as a file of their own, before it is compressed.
pub fn pieces_alone(pieces: &[design::Piece]) -> Result<Vec<u8>, serde_json::Error> {
    let pieces: Vec<PieceEntry<'_>> = pieces.iter().map(PieceEntry::of).collect();
    let mut bytes = serde_json::to_vec(&Pieces { format: FORMAT, pieces })?;
    bytes.push(b'\n');
    Ok(bytes)
}

#[derive(Serialize)]
struct Pieces<'a> {
    format: u32,
    pieces: Vec<PieceEntry<'a>>,
}

/// The pieces as the manifest lists them.
pub fn pieces_as_json(pieces: &[design::Piece]) -> Result<serde_json::Value, serde_json::Error> {
    serde_json::to_value(pieces.iter().map(PieceEntry::of).collect::<Vec<_>>())
}

/// The SHA-256 of the bytes (FIPS 180-4) in lower-case hexadecimal.
pub fn sha256_hex(bytes: &[u8]) -> String {
    let digit = |nibble: u8| char::from(b"0123456789abcdef"[usize::from(nibble & 15)]);
    Sha256::digest(bytes).iter().flat_map(|b| [digit(b >> 4), digit(*b)]).collect()
}

#[derive(Serialize)]
struct Manifest<'a> {
    format: u32,
    title: &'a str,
    units: &'static str,
    shown_in: &'static str,
    edge_drawn: bool,
    /// Left out where it is 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    first_copy: Option<u32>,
    fit: Option<&'a FitFigures>,
    /// Left out where there are no boxes, or several.
    #[serde(skip_serializing_if = "Option::is_none")]
    work: Option<&'a WorkFigures>,
    pieces: Vec<PieceEntry<'a>>,
    /// Left out where they stand here, or nowhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pieces_in: Option<&'a str>,
    /// Left out where there is no such kind.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    left_out: &'a [&'static str],
    sheets: Vec<SheetEntry<'a>>,
    /// Left out where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    registers: Vec<RegisterEntry<'a>>,
    programs: &'a [ProgramFigures],
    files: Vec<File<'a>>,
}

#[derive(Serialize)]
struct PieceEntry<'a> {
    id: &'a str,
    stock: StockKind,
    role: Role,
    side: Option<Side>,
    count: u32,
    outline: &'a Contour,
    holes: &'a [Contour],
    pockets: Vec<Pocket<'a>>,
    /// Left out where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    back_pockets: Vec<Pocket<'a>>,
    slits: &'a [Path],
    creases: &'a [Path],
    marks: Vec<Mark<'a>>,
    grain: Grain,
}

#[derive(Serialize)]
struct Pocket<'a> {
    outline: &'a Contour,
    depth: Length,
}

#[derive(Serialize)]
struct Mark<'a> {
    closed: bool,
    points: &'a [Vertex],
}

impl<'a> Mark<'a> {
    fn of(mark: &'a Stroke) -> Self {
        Self { closed: mark.is_closed(), points: mark.vertices() }
    }
}

impl<'a> PieceEntry<'a> {
    fn of(piece: &'a design::Piece) -> Self {
        let pockets =
            |of: &'a [design::Pocket]| of.iter().map(|p| Pocket { outline: &p.outline, depth: p.depth }).collect();
        Self {
            id: &piece.id,
            stock: piece.stock,
            role: piece.role,
            side: piece.side,
            count: piece.count,
            outline: &piece.outline,
            holes: &piece.holes,
            pockets: pockets(&piece.pockets),
            back_pockets: pockets(&piece.back_pockets),
            slits: &piece.slits,
            creases: &piece.creases,
            marks: piece.marks.iter().map(Mark::of).collect(),
            grain: piece.grain,
        }
    }
}

#[derive(Serialize)]
struct SheetEntry<'a> {
    id: &'a str,
    stock: StockKind,
    /// What the shop calls it.
    #[serde(skip_serializing_if = "Option::is_none")]
    named: Option<&'a str>,
    width: Length,
    height: Length,
    thickness: Length,
    /// How many such sheets are cut.
    count: u32,
    /// What its drawings were moved for.
    kerf: Length,
    /// The files that show it to whoever cuts.
    drawings: Vec<&'a str>,
    /// How it is turned over, where it is worked from both faces.
    #[serde(skip_serializing_if = "Option::is_none")]
    turned: Option<TurnEntry<'a>>,
    placed: Vec<PlacedEntry<'a>>,
    /// The share of the sheet that its pieces take, 0 to 1.
    used: f64,
    /// Whether it is a leftover that the job names.
    leftover: bool,
    /// What of it can be kept for next time.
    offcut: Option<nest::Offcut>,
    /// What is drawn beside the pieces.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    marks: Vec<Mark<'a>>,
}

/// Piece coordinates are mirrored in x first, then turned counter-clockwise, then moved.
#[derive(Serialize)]
struct PlacedEntry<'a> {
    piece: &'a str,
    copy: u32,
    /// Its copy on each of the sheets that are cut alike, the first with it.
    copies: Vec<u32>,
    x: f64,
    y: f64,
    rotation: f64,
    mirrored: bool,
    /// What is drawn on this copy alone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    marks: Vec<Mark<'a>>,
}

impl<'a> SheetEntry<'a> {
    fn of(
        sheet: &'a nest::Sheet,
        pieces: &'a [design::Piece],
        [drawings, first]: [Vec<&'a str>; 2],
        kerf: Length,
    ) -> Self {
        let placed = |(i, p): (usize, &'a nest::Placed)| {
            Some(PlacedEntry {
                piece: &pieces.get(p.piece)?.id,
                copy: p.copy,
                copies: std::iter::once(p.copy).chain(sheet.repeats.iter().filter_map(|r| r.get(i).copied())).collect(),
                // As many digits as a piece's own points have: the two are added by readers.
                x: tidy(p.transform.shift.x, 10),
                y: tidy(p.transform.shift.y, 10),
                rotation: tidy(p.transform.rotation_deg, 10),
                mirrored: p.transform.mirrored,
                marks: p.marks.iter().map(Mark::of).collect(),
            })
        };
        Self {
            id: &sheet.id,
            stock: sheet.stock,
            named: sheet.name.as_deref(),
            width: sheet.width,
            height: sheet.height,
            thickness: sheet.thickness,
            count: sheet.count(),
            kerf,
            drawings,
            turned: sheet.turn.map(|turn| TurnEntry::of(&turn, first)),
            placed: sheet.placed.iter().enumerate().filter_map(placed).collect(),
            used: tidy(sheet.used(pieces), 6),
            leftover: sheet.is_leftover,
            offcut: sheet.offcut,
            marks: sheet.marks.iter().map(Mark::of).collect(),
        }
    }
}

#[derive(Serialize)]
struct File<'a> {
    file: &'a str,
    sha256: String,
    /// A form that the maker fills in: that it changes is no damage.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    is_form: bool,
    /// What the maker drew and the job names: nothing to cut.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    is_of_job: bool,
}

fn to_a_tenth<S: Serializer>(seconds: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(tidy(*seconds, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_those_of_the_standard() {
        // Source: NIST, Secure Hash Standard example values for SHA-256, messages "" and "abc".
        assert_eq!(sha256_hex(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
        assert_eq!(sha256_hex(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
