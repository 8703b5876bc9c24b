//! The manifest of an exported folder, by a general library into types of its own.

use super::packed::unpacked;
use crate::geom::{self, Path, Transform, pt};
use crate::limits::{MANIFEST_NUMBER, SHEET_POINTS};
use serde::Deserialize;
use std::collections::BTreeMap;

pub use super::closings::{GapLayer, Magnets, Pegs, Tied};
pub use super::dressed::{Dressed, Hinge, Lining, Panel, Strip, Vertex};
pub use super::inside::{Inside, Leaf, LiftRibbon, Padding, Thing};
pub use super::turned::{PinHole, Turned};

/// No board is thicker, mm: the job's own limit.
const THICKEST: f64 = 200.0;

/// The manifest's file name.
pub const FILE_NAME: &str = "manifest.json";

/// What a proof needs of a manifest. Lengths are mm.
#[derive(Clone, Debug, Deserialize)]
pub struct Manifest {
    /// The version of its form.
    pub format: u32,
    /// The job's title.
    pub title: String,
    /// Always `mm`.
    pub units: String,
    /// The job's own unit, `mm` or `in`.
    #[serde(default)]
    pub shown_in: String,
    /// Whether the drawings show the sheet's own edge.
    #[serde(default = "yes")]
    pub edge_drawn: bool,
    /// The number of the first box that the sheets are for.
    #[serde(default = "one")]
    pub first_copy: u32,
    /// The measures of the box; nothing where the sheets are of several boxes.
    pub fit: Option<Fit>,
    /// What the work takes.
    #[serde(default)]
    pub work: Option<Work>,
    /// The pieces, nominal.
    pub pieces: Vec<ListedPiece>,
    /// The file that they stand in, where that is one of its own.
    #[serde(default)]
    pub pieces_in: Option<String>,
    /// The kinds of files that were not kept.
    #[serde(default)]
    pub left_out: Vec<String>,
    /// The sheets.
    pub sheets: Vec<ListedSheet>,
    /// The sheets that lie otherwise than by their corner.
    #[serde(default)]
    pub registers: Vec<ListedRegister>,
    /// The programs.
    pub programs: Vec<ListedProgram>,
    /// Every other file of the folder.
    pub files: Vec<File>,
}

/// What a manifest without that word means.
const fn yes() -> bool {
    true
}

/// What a manifest without a first copy means.
const fn one() -> u32 {
    1
}

/// What the work is said to take, minutes.
#[derive(Clone, Debug, Deserialize)]
pub struct Work {
    /// By hand.
    pub by_hand_minutes: f64,
    /// Machines.
    pub run_minutes: f64,
    /// Each step.
    pub steps: Vec<Minutes>,
    /// Each run of a machine.
    pub runs: Vec<RunMinutes>,
}

/// What a step takes.
#[derive(Clone, Debug, Deserialize)]
pub struct Minutes {
    /// By hand.
    pub minutes: f64,
}

/// What a run takes.
#[derive(Clone, Debug, Deserialize)]
pub struct RunMinutes {
    /// By hand.
    pub by_hand_minutes: f64,
}

/// The measures that the boards themselves say.
#[derive(Clone, Debug, Deserialize)]
pub struct Fit {
    /// Wall heights by side.
    pub walls: BTreeMap<String, f64>,
    /// How wide its joints are said to be.
    pub joint: f64,
    /// What the elastic is cut to.
    pub strap_length: Option<f64>,
    /// The ribbon ties, lid by lid.
    #[serde(default)]
    pub ties: Vec<Tied>,
    /// The magnets, lid by lid.
    #[serde(default)]
    pub magnets: Vec<Magnets>,
    /// Width, height and depth inside.
    #[serde(default)]
    pub interior: [f64; 3],
    /// What lies inside besides one stack.
    #[serde(default)]
    pub inside: Option<Inside>,
    /// The case that it is glued into.
    #[serde(default)]
    pub case: Option<OfCase>,
    /// What the box is folded from.
    pub dressed: Option<Dressed>,
}

/// The measures of a case.
#[derive(Clone, Debug, Deserialize)]
pub struct OfCase {
    /// Width and height of its covers.
    pub covers: [f64; 2],
    /// How wide its spine is.
    pub spine: f64,
    /// The gap between them.
    pub joint: f64,
}

/// A piece.
#[derive(Clone, Debug, Deserialize)]
pub struct ListedPiece {
    /// Its name.
    pub id: String,
    /// What it is cut from.
    pub stock: String,
    /// What it is, `base`, `flap`, `coupon`.
    #[serde(default)]
    pub role: String,
    /// Which side it is of, where it is of one.
    pub side: Option<String>,
    /// How many of it a box needs.
    pub count: u32,
    /// Which way its grain runs: `width`, `height`, `none`.
    pub grain: String,
    /// Counter-clockwise.
    pub outline: Vec<Vertex>,
    /// Openings.
    pub holes: Vec<Vec<Vertex>>,
    /// Recesses in the face that lies up.
    pub pockets: Vec<Pocket>,
    /// Recesses in the face that lies down, as they are seen from above.
    #[serde(default)]
    pub back_pockets: Vec<Pocket>,
    /// Open cuts.
    #[serde(default)]
    pub slits: Vec<Vec<Vertex>>,
    /// Open scores.
    pub creases: Vec<Vec<Vertex>>,
    /// Lines drawn.
    pub marks: Vec<Mark>,
}

/// A recess.
#[derive(Clone, Debug, Deserialize)]
pub struct Pocket {
    /// Its edge.
    pub outline: Vec<Vertex>,
    /// From the face that it is in.
    pub depth: f64,
}

impl ListedPiece {
    /// The recesses of both faces.
    pub fn all_pockets(&self) -> impl Iterator<Item = &Pocket> + Clone {
        self.pockets.iter().chain(&self.back_pockets)
    }
}

/// A line drawn.
#[derive(Clone, Debug, Deserialize)]
pub struct Mark {
    /// Whether it ends where it begins.
    pub closed: bool,
    /// Its points.
    pub points: Vec<Vertex>,
}

/// A sheet.
#[derive(Clone, Debug, Deserialize)]
pub struct ListedSheet {
    /// Its name.
    pub id: String,
    /// What it is of.
    pub stock: String,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// Its thickness.
    pub thickness: f64,
    /// How many such sheets are cut.
    pub count: u32,
    /// The share of it that its pieces take.
    pub used: f64,
    /// What of it can be kept.
    pub offcut: Option<Offcut>,
    /// What cutters of its drawings were told to take: these are moved for it.
    #[serde(default)]
    pub kerf: f64,
    /// The files that show it to whoever cuts.
    #[serde(default)]
    pub drawings: Vec<String>,
    /// How it is turned over, where it is worked from both faces.
    #[serde(default)]
    pub turned: Option<Turned>,
    /// What lies on it.
    pub placed: Vec<ListedPlace>,
    /// What is drawn beside the pieces.
    #[serde(default)]
    pub marks: Vec<Mark>,
}

/// A rectangle of a sheet that no piece reaches.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Offcut {
    /// Its left edge.
    pub x: f64,
    /// Its lower edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

/// A piece on a sheet: mirrored in x, then turned counter-clockwise, then moved.
#[derive(Clone, Debug, Deserialize)]
pub struct ListedPlace {
    /// The piece's name.
    pub piece: String,
    /// Which copy of the box.
    pub copy: u32,
    /// Its copy on each of the sheets that are cut alike.
    pub copies: Vec<u32>,
    /// The move.
    pub x: f64,
    /// The move.
    pub y: f64,
    /// The turn, degrees.
    pub rotation: f64,
    /// Whether it is mirrored.
    pub mirrored: bool,
    /// What is drawn on this copy alone.
    #[serde(default)]
    pub marks: Vec<Mark>,
}

impl ListedPlace {
    /// Where it puts its piece on the sheet as that is laid out.
    pub fn laid(&self) -> Transform {
        Transform { mirrored: self.mirrored, rotation_deg: self.rotation, shift: pt(self.x, self.y) }
    }
}

/// Where a sheet lies on a machine, by its marks: from the sheet as it is laid out, places counted from its corner.
#[derive(Clone, Debug, Deserialize)]
pub struct ListedRegister {
    /// The sheet.
    pub sheet: String,
    /// The machine's short name.
    pub machine: String,
    /// Whether its other face lies up.
    pub turned_over: bool,
    /// `none`, `even` or `any`.
    pub stretch: String,
    /// By rows.
    pub matrix: [[f64; 2]; 2],
    /// The move after it.
    pub shift: [f64; 2],
    /// Degrees.
    pub turn: f64,
    /// Along and across.
    pub scales: [f64; 2],
    /// Degrees.
    pub shear: f64,
    /// What it was found by.
    pub marks: Vec<RegisterMark>,
}

/// A mark that was measured.
#[derive(Clone, Debug, Deserialize)]
pub struct RegisterMark {
    /// What it is called.
    pub name: String,
    /// Where it is on the sheet as that is laid out.
    pub at: [f64; 2],
    /// Where it was measured.
    pub measured: [f64; 2],
    /// How far the map brings it from there.
    pub residual: f64,
}

/// What a program is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RunKind {
    /// It does the work.
    Work,
    /// It goes round the work above it.
    Outline,
    /// It goes the whole way above the work.
    Lifted,
}

/// A program.
#[derive(Clone, Debug, Deserialize)]
pub struct ListedProgram {
    /// Its file.
    pub file: String,
    /// What it is for.
    pub kind: RunKind,
    /// The sheet that it cuts.
    pub sheet: String,
    /// Whether it works the sheet with its other face up.
    #[serde(default)]
    pub first_side: bool,
    /// How many such sheets there are to cut.
    pub count: u32,
    /// The machine's short name.
    pub machine: String,
    /// Length worked, all passes, mm.
    pub cut_mm: f64,
    /// Length travelled between, mm.
    pub travel_mm: f64,
    /// The time that it takes, s.
    pub seconds: f64,
    /// Passes in all.
    pub passes: u32,
    /// The tools in the order of use, divided by commas; empty for a run round the outline.
    pub tool: String,
    /// The operations that it does.
    pub operations: Vec<String>,
}

/// A file.
#[derive(Clone, Debug, Deserialize)]
pub struct File {
    /// Its name.
    pub file: String,
    /// Its SHA-256 in hexadecimal.
    pub sha256: String,
    /// Whether it is a form for the maker to fill in, which may differ from what was written.
    #[serde(default)]
    pub is_form: bool,
    /// Whether the job's text reads it: it shows no sheet.
    #[serde(default)]
    pub is_of_job: bool,
}

/// Reads a manifest; fails with the reason, in words.
pub fn read(bytes: &[u8]) -> Result<Manifest, String> {
    read_with(bytes, |_| None)
}

/// The same with the file that its pieces may stand in; where that is not there it is left without pieces.
pub fn read_with<'f>(bytes: &[u8], file: impl FnOnce(&str) -> Option<&'f [u8]>) -> Result<Manifest, String> {
    let mut manifest: Manifest = serde_json::from_slice(bytes).map_err(|e| format!("it is not a manifest: {e}"))?;
    if manifest.format != 1 {
        return Err(format!("its format is {}, this program reads 1", manifest.format));
    }
    if manifest.units != "mm" {
        return Err(format!("its units are {}, a manifest's are always mm", manifest.units));
    }
    if let Some(name) = &manifest.pieces_in
        && let Some(packed) = file(name)
    {
        manifest.pieces = pieces(packed).map_err(|why| format!("{name} does not hold its pieces: {why}"))?;
    }
    manifest.check()?;
    Ok(manifest)
}

/// The pieces that stand in a file of their own, compressed.
fn pieces(packed: &[u8]) -> Result<Vec<ListedPiece>, String> {
    let file: PiecesFile = serde_json::from_slice(&unpacked(packed)?).map_err(|e| e.to_string())?;
    if file.format == 1 { Ok(file.pieces) } else { Err(format!("its format is {}, this program reads 1", file.format)) }
}

/// Pieces in a file of their own.
#[derive(Deserialize)]
struct PiecesFile {
    format: u32,
    pieces: Vec<ListedPiece>,
}

impl Manifest {
    /// Whether its pieces are there to hold anything against: not where they were not kept, and not where the file that
    /// they stand in is gone.
    pub fn has_pieces(&self, files: &BTreeMap<String, Vec<u8>>) -> bool {
        match &self.pieces_in {
            Some(name) => files.contains_key(name),
            None => !self.left_out.iter().any(|word| word == "pieces"),
        }
    }

    /// Whether its numbers can be those of a sheet on a bed; fails with the first that cannot.
    fn check(&self) -> Result<(), String> {
        let within = |what: &str, n: f64, low: f64, high: f64| {
            let is_sound = (low..=high).contains(&n);
            if is_sound { Ok(()) } else { Err(format!("{what} of {n} mm is no measure of a sheet or a piece")) }
        };
        for sheet in &self.sheets {
            within("a kerf", sheet.kerf, 0.0, 100.0)?;
        }
        for r in &self.registers {
            let marks = r.marks.iter().flat_map(|m| m.at.into_iter().chain(m.measured).chain([m.residual]));
            for n in r.shift.into_iter().chain(marks) {
                within("a place", n, -MANIFEST_NUMBER, MANIFEST_NUMBER)?;
            }
            let [[a, b], [c, d]] = r.matrix;
            // A sheet is stretched by little, and never flattened.
            if [a, b, c, d].iter().any(|n| !(-2.0..=2.0).contains(n)) || !((0.5..=2.0).contains(&(a * d - b * c).abs()))
            {
                return Err(format!("where sheet {} is said to lie no sheet can", r.sheet));
            }
        }
        let mut points: BTreeMap<&str, usize> = BTreeMap::new();
        for piece in &self.pieces {
            let pockets = piece.all_pockets();
            for pocket in pockets.clone() {
                within("a pocket's depth", pocket.depth, 0.0, THICKEST)?;
            }
            let marks = piece.marks.iter().map(|m| &m.points);
            let lines = [&piece.outline].into_iter().chain(pockets.map(|p| &p.outline)).chain(marks);
            let lines = lines.chain(&piece.holes).chain(&piece.slits).chain(&piece.creases);
            let mut length = 0.0;
            for line in lines.clone() {
                length += checked_length(line)?;
            }
            within("the length of all lines of a piece", length, 0.0, MANIFEST_NUMBER)?;
            points.insert(&piece.id, lines.map(Vec::len).sum());
        }
        for sheet in &self.sheets {
            // Cloth or liner counted as nothing has none.
            within("a sheet's thickness", sheet.thickness, 0.0, THICKEST)?;
            within("a sheet's width", sheet.width, f64::MIN_POSITIVE, MANIFEST_NUMBER)?;
            within("a sheet's height", sheet.height, f64::MIN_POSITIVE, MANIFEST_NUMBER)?;
            for pin in sheet.turned.iter().flat_map(|t| &t.pins) {
                within("a pin's place", pin.x, 0.0, sheet.width)?;
                within("a pin's place", pin.y, 0.0, sheet.height)?;
                within("a pin's hole", pin.diameter, 0.1, sheet.width)?;
            }
            let mut all = 0usize;
            for placed in &sheet.placed {
                for n in [placed.x, placed.y, placed.rotation] {
                    within("a place", n, -MANIFEST_NUMBER, MANIFEST_NUMBER)?;
                }
                for mark in &placed.marks {
                    checked_length(&mark.points)?;
                    all = all.saturating_add(mark.points.len());
                }
                all = all.saturating_add(points.get(placed.piece.as_str()).copied().unwrap_or(0));
            }
            if all > SHEET_POINTS {
                return Err(format!("what lies on sheet {} has more than {SHEET_POINTS} points", sheet.id));
            }
        }
        Ok(())
    }
}

/// A vertex as the geometry has it.
pub fn vertex([x, y, bulge]: &Vertex) -> geom::Vertex {
    geom::Vertex::new(pt(*x, *y), *bulge)
}

/// A line's length, mm; fails where a number of it is no measure.
fn checked_length(line: &[Vertex]) -> Result<f64, String> {
    let is_sound = |v: &&Vertex| v.iter().all(|n| n.abs() <= MANIFEST_NUMBER);
    if line.iter().filter(is_sound).count() < line.len() {
        return Err("a point of a piece lies farther off than any sheet reaches".into());
    }
    let length = Path::new(line.iter().map(vertex)).length();
    if length <= MANIFEST_NUMBER { Ok(length) } else { Err(format!("a line of {length:.0} mm is none of a piece")) }
}
