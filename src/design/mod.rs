//! The design: a job becomes flat pieces, and the dressed box that they make. A file per construction
//! (`table.rs` lists them), one each for what they share.

mod build;
mod case;
mod colophon;
mod cover;
mod crease;
mod creased;
mod cuts;
mod dressing;
mod drop_spine;
mod edges;
mod flap;
mod flat;
mod gauges;
mod hinge_strips;
mod hinged;
mod inside;
mod labels;
mod lettering;
mod limits;
mod liner;
mod lining_fold;
mod lying;
mod magnets;
mod measures;
mod meeting;
mod outer;
mod patch;
mod portfolio;
mod sides;
mod slipcase;
mod slipcase_boards;
mod slipcase_cloth;
mod span;
mod strap;
mod strips;
mod table;
mod tabs;
mod ties;
mod title_label;
mod tolerance;
mod tray_lid;
mod trays;
mod turn_in;
mod window;
mod work;
mod wrap;

pub use case::{held, told as told_of_case};
pub use colophon::{colophon, in_tray as colophon_in_tray, slits as colophon_slits};
pub use flap::{FlapError, outline as flap_outline};
pub use flat::{Arm, Flat, InnerCorner};
pub use hinge_strips::{Lines, StripPlace};
pub use inside::{
    Filled, filling, filling_on, name as inside_name, piece_of as inside_piece, stack_name as inside_stack,
};
pub use labels::{Lettered, copy_label, piece_words};
pub use lettering::{extent, letters};
pub use limits::elastic_proud;
pub use liner::{OVERLAP as LINER_OVERLAP, take_up, under_stack};
pub use lining_fold::Lining;
pub use magnets::{MagnetPair, Recess, magnets};
pub use measures::{Measures, over_wall, paper, thicknesses};
use meeting::Lying;
pub use outer::outer;
pub use patch::PatchPlace;
pub use sides::{Parted, drawn_within, free_corners};
pub use slipcase_boards::{SlipcaseMeasures, measures as slipcase, seen};
pub use slipcase_cloth::on_cloth as slipcase_on_cloth;
pub use span::{patched_edges, span};
pub use strap::strap_lines;
pub use ties::{Tie, TieEnd, tied_to, ties, to_inset};
pub use title_label::labelled;
pub use tolerance::{Deviations, binds, mean_over, phi};
pub use trays::{TrayMeasures, TrayPair, bases_between, share as slides, share_at as slides_at, stack, trays};
pub use window::{Opening, opening, openings, turned_deep};
pub use work::{PRESSED_FROM, Step, corner_name};

use crate::assembly::{Assembly, Part};
use crate::diag::{Diagnostic, any_error, untold};
use crate::geom::{Contour, Path, Stroke};
use crate::job::{CutFace, Grain, Job, Side, StockKind};
use crate::units::Length;
use build::{Build, Made};
use serde::Serialize;

/// The flat pieces of one box, and everything that keeps them from being made; only where none of
/// that is an error is the design whole.
pub fn design(job: &Job) -> (Design, Vec<Diagnostic>) {
    let job = &*outer(job);
    let (mut design, mut said) = unmarked(job);
    if design.flat.is_some() {
        said.extend(marked(job, &mut design));
    }
    // Whichever way a piece's grain would run: where its stock has none, it has none.
    let has_none = |p: &&mut Piece| job.stock(p.stock).is_some_and(|s| s.grain == Grain::None);
    design.pieces.iter_mut().filter(has_none).for_each(|p| p.grain = Grain::None);
    (design, said)
}

/// The same of a job that is worked as it is, before anything is drawn on its pieces.
fn unmarked(job: &Job) -> (Design, Vec<Diagnostic>) {
    let build = table::construction_of(job);
    let measures = measure(job);
    let mut limited = limits::limits(job, build);
    if any_error(&limited) {
        return (Design::none(measures), limited);
    }
    let (mut design, mut said) = laid_out(job, build, measures);
    // What lies where is known only once the cloth is laid out; joints and walls are for it.
    let mut earlier = Vec::new();
    while let Some(lying) = build.lying(job, &design) {
        let next = measure_lying(job, &lying);
        if next == design.measures {
            break;
        }
        earlier.push(design.measures.clone());
        if earlier.len() < PASSES {
            (design, said) = laid_out(job, build, next);
            continue;
        }
        // What a little more room takes away a little less brings back: the most that any of them wants, and
        // then told as it lies.
        let roomy = next.at_least(earlier.iter().skip(1));
        (design, said) = laid_out(job, build, roomy.clone());
        if let Some(lying) = build.lying(job, &design) {
            let told = measure_lying(job, &lying).made_as(&roomy);
            (design, said) = laid_out(job, build, told);
        }
        break;
    }
    // What is said of a wrapper and of its case alike is told once.
    if design.case.is_some() {
        said = untold(&limited, said);
    }
    limited.extend(said);
    let limited = limited.into_iter().map(|d| told_of_case(job, d)).collect();
    (design, limited)
}

/// Everything that a job asks for and that cannot be made, and what its maker should look at twice.
pub fn limits(job: &Job) -> Vec<Diagnostic> {
    let job = &*outer(job);
    limits::limits(job, table::construction_of(job))
}

/// The measures of a job before it is known what lies where.
pub fn measure(job: &Job) -> Measures {
    measures::measured(job, table::construction_of(job).measures(job, None))
}

/// The measures of a job where this lies in its joints and under its lids.
fn measure_lying(job: &Job, lying: &Lying) -> Measures {
    measures::measured(job, table::construction_of(job).measures(job, Some(lying)))
}

/// How often a box is laid out anew, at the most, because what lies in its joints is not what they were made for.
const PASSES: usize = 4;

fn laid_out(job: &Job, build: &dyn Build, measures: Measures) -> (Design, Vec<Diagnostic>) {
    match Flat::new(job, &measures, build, measures.joint, Length::ZERO) {
        Ok(flat) => {
            let made = build.pieces(job, &measures, &flat);
            let assembly = build.assembly(job, &measures, &flat, &made);
            let Made { mut pieces, patches, linings, strips, turned, case, said } = made;
            pieces.extend(inside::pieces(job, &pieces));
            let flat = Some(flat);
            (Design { measures, pieces, patches, linings, strips, turned, flat, assembly, case }, said)
        }
        Err(failed) => {
            let said = failed.iter().map(|(side, why)| hinged::no_lid(*side, *why)).collect();
            (Design::none(measures), said)
        }
    }
}

/// What is drawn on the pieces, and cut beside them, once they are what they stay.
fn marked(job: &Job, design: &mut Design) -> Vec<Diagnostic> {
    let mut said = Vec::new();
    if job.marks.labels {
        said.extend(labels::add(&mut design.pieces, job));
        said.extend(labels::unknown_letters(job));
    }
    if job.marks.gauges {
        design.pieces.extend(gauges::gauges(job, &design.measures));
    }
    said
}

/// The work at the bench, in its order.
pub fn steps(job: &Job, design: &Design) -> Vec<Step> {
    let job = &*outer(job);
    let mut steps = table::construction_of(job).steps(job, design);
    if job.inside.is_some() {
        // It goes in once the box is made, before the stack.
        steps.insert(steps.len().saturating_sub(1), Step::Inside);
    }
    steps
}

/// The boards of a design that are covered by part.
pub fn covered_by_part(job: &Job, design: &Design) -> Vec<Parted> {
    let job = &*outer(job);
    design.flat.as_ref().map_or_else(Vec::new, |flat| sides::parted(job, &design.measures, flat))
}

/// What the board of a part of hinged boards is called, before a case gives it another name; `None` of other parts.
fn board_id(part: Part) -> Option<String> {
    match part {
        Part::Base => Some("board-base".into()),
        Part::Wall(side) => Some(format!("board-wall-{}", side.word())),
        Part::Lid(side) => Some(format!("board-flap-{}", side.word())),
        _ => None,
    }
}

/// The flat pieces of one box and the measures they come from.
#[derive(Clone, Debug)]
pub struct Design {
    /// The measures.
    pub measures: Measures,
    /// The pieces, boards first.
    pub pieces: Vec<Piece>,
    /// Where each patch goes.
    pub patches: Vec<PatchPlace>,
    /// The linings as they are glued in, in the order of their pieces.
    pub linings: Vec<Lining>,
    /// Where each hinge strip goes, in the order of its pieces.
    pub strips: Vec<StripPlace>,
    /// Where the covering cloth lies once it is turned in.
    turned: Vec<tabs::Turned>,
    /// The open box laid flat; `None` where a lid has no outline.
    pub flat: Option<Flat>,
    /// The boards with all that is glued on them, and their hinges; empty where a lid has no outline.
    pub assembly: Assembly,
    /// The case that the box is glued into, where it has one of its own; its pieces and panels are among these.
    pub case: Option<Box<Case>>,
}

impl Design {
    /// The measures alone, where the box cannot be made.
    fn none(measures: Measures) -> Self {
        Self {
            measures,
            pieces: Vec::new(),
            patches: Vec::new(),
            linings: Vec::new(),
            strips: Vec::new(),
            turned: Vec::new(),
            flat: None,
            assembly: Assembly::default(),
            case: None,
        }
    }

    /// Whether there is a grain that anything must run along.
    pub fn has_grain(&self) -> bool {
        self.pieces.iter().any(|p| p.grain != Grain::None)
    }
}

/// A case beside the box that is glued into it.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its job: made round the box.
    pub job: Job,
    /// Its design, in coordinates of its own.
    pub design: Design,
}

/// One flat piece, in the coordinates of the open box laid flat and seen from inside, the origin
/// in the middle of the base; nominal, not moved for any tool.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Unique in the job: `board-flap-left`.
    pub id: String,
    /// What it is cut from.
    pub stock: StockKind,
    /// What it is.
    pub role: Role,
    /// Which side it belongs to.
    pub side: Option<Side>,
    /// How many of it one box needs.
    pub count: u32,
    /// Counter-clockwise.
    pub outline: Contour,
    /// Clockwise; windows are the last of them.
    pub holes: Vec<Contour>,
    /// How many of the holes are windows.
    pub windows: usize,
    /// Recesses of part of the thickness, in the face that lies up.
    pub pockets: Vec<Pocket>,
    /// Those in the face that lies down: they are cut from there before the sheet is turned over.
    pub back_pockets: Vec<Pocket>,
    /// Open cuts through it.
    pub slits: Vec<Path>,
    /// Lines to fold at.
    pub creases: Vec<Path>,
    /// Lines drawn.
    pub marks: Vec<Stroke>,
    /// Where the number of its copy goes, where there is room for it beside the label.
    pub number: Option<Lettered>,
    /// Which way its grain must run; none where its stock has none.
    pub grain: Grain,
    /// Which way it lies on the bed.
    pub lay: Lay,
}

impl Piece {
    /// One of an outline alone: of no side, its grain free, lying as computed.
    pub fn plain(id: String, stock: StockKind, role: Role, outline: Contour) -> Self {
        Self {
            id,
            stock,
            role,
            side: None,
            count: 1,
            outline,
            holes: Vec::new(),
            windows: 0,
            pockets: Vec::new(),
            back_pockets: Vec::new(),
            slits: Vec::new(),
            creases: Vec::new(),
            marks: Vec::new(),
            number: None,
            grain: Grain::None,
            lay: Lay::AsComputed,
        }
    }

    /// Its holes that are no windows.
    pub fn slots(&self) -> &[Contour] {
        self.holes.get(..self.holes.len().saturating_sub(self.windows)).unwrap_or_default()
    }

    /// Its windows.
    pub fn openings(&self) -> &[Contour] {
        self.holes.get(self.holes.len().saturating_sub(self.windows)..).unwrap_or_default()
    }

    /// Whether it lies mirrored on the bed, where the job says which face of the stock lies up.
    pub fn is_mirrored(&self, cut_face: CutFace) -> bool {
        match self.lay {
            Lay::AsComputed => cut_face == CutFace::Face,
            Lay::Mirrored => cut_face == CutFace::Back,
            Lay::OutsideUp => true,
            Lay::InsideUp => false,
        }
    }

    /// Whether letters on it are drawn mirrored, to read rightly on the bed.
    pub const fn has_mirrored_letters(&self) -> bool {
        matches!(self.lay, Lay::Mirrored | Lay::OutsideUp)
    }

    /// The recesses in a board's inside.
    pub fn inside_pockets(&self) -> &[Pocket] {
        if self.lay == Lay::OutsideUp { &self.back_pockets } else { &self.pockets }
    }

    /// The recesses in a board's outside.
    pub fn outside_pockets(&self) -> &[Pocket] {
        if self.lay == Lay::OutsideUp { &self.pockets } else { &self.back_pockets }
    }

    /// All recesses, those of the face that lies up first.
    pub fn all_pockets(&self) -> impl Iterator<Item = &Pocket> {
        self.pockets.iter().chain(&self.back_pockets)
    }

    /// How many of it all boxes together need.
    pub fn needed(&self, copies: u32) -> u32 {
        if self.role == Role::Gauge { self.count } else { self.count.saturating_mul(copies) }
    }
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// A whole box in one piece of folding board.
    Blank,
    /// One of two strips that cross under the contents.
    Strip,
    /// The board the contents lie on.
    Base,
    /// The board that rises at a side.
    Wall,
    /// A lid.
    Flap,
    /// The covering cloth.
    Cover,
    /// What covers a part of a board besides: the paper of its side, a strip or corner of cloth.
    Side,
    /// The cloth that covers what a slit leaves bare.
    Patch,
    /// The cloth that lines a joint.
    Hinge,
    /// The lining.
    Liner,
    /// A part of a tray, or what joins trays and case.
    Tray,
    /// A part of what lies inside besides the stack.
    Inside,
    /// A part of a coupon.
    Coupon,
    /// A strip to set a measure by, once for the whole job and only from waste.
    Gauge,
}

/// A recess.
#[derive(Clone, Debug)]
pub struct Pocket {
    /// Counter-clockwise.
    pub outline: Contour,
    /// From the face that it is in.
    pub depth: Length,
}

/// Which way a piece lies on the bed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lay {
    /// As seen from inside the box.
    AsComputed,
    /// Mirrored.
    Mirrored,
    /// Mirrored whichever face of the stock the maker cuts from: a folding board's outside, from which its
    /// creases are pressed.
    OutsideUp,
    /// As seen from inside the box, whichever face of the stock the maker cuts from: a board with recesses in its
    /// inside.
    InsideUp,
}
