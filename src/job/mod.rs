//! The job: what the maker measured and chose, every length resolved and checked.
//!
//! The file format is declared in `keys.rs`. What the values mean is checked in `check.rs` and its
//! neighbours, a file each for the stocks, the flaps, and the covering and the strap; this file is
//! the checked job that the rest of the program works from.

mod assumed;
mod check;
mod closing_keys;
mod closings;
mod colophon;
mod construction;
mod contents;
mod division;
mod fill;
mod finish;
mod flaps;
mod inside;
mod inside_keys;
mod keys;
mod lining;
mod materials;
mod portfolio;
mod portfolio_keys;
mod read;
mod sheet;
mod short;
mod sides;
mod sides_keys;
mod sizes;
mod slip;
mod slipcase;
mod slipcase_keys;
mod starter;
mod stock;
mod stock_keys;
mod strips;
mod thick;
mod title_label;
mod trays;
mod turning;
mod window;
mod window_keys;
mod work;
mod work_keys;

pub use assumed::{Assumed, assumed};
pub use closings::{Magnets, Peg, Plate, TiedTo, Ties};
pub use colophon::{Colophon, Held};
pub use construction::{Construction, Terms};
pub use contents::{Clearance, Contents};
pub use division::Division;
pub use fill::{Column, Cover, Divider, Inside, Laid, LiftRibbon, Padding, Spacer, Thing, ThingKind};
pub use finish::Marks;
pub use flaps::drawings_named;
pub use inside::told_boards;
pub use keys::JOB;
pub use materials::{Coating, CutFace, Elastic, Grain, LinerPieces, Stock, StockKind};
pub use portfolio::{Outside, Portfolio};
pub use read::{Drawing, draft, read, read_over, read_with};
pub use sheet::SheetSize;
pub use short::ShortJob;
pub use sides::{ClothReach, SideCut, SideOn};
pub use slip::{ANOTHER_UNIT, Slip, slips, without_what_follows};
pub use slipcase::Slipcase;
pub use starter::{first_value, starter};
pub use strips::{Strip, Strips};
pub use title_label::{LabelOn, TitleLabel};
pub use trays::{Trays, Within};
pub use turning::{TurnedBy, Turning};
pub use window::Window;
pub use work::{Glue, Minutes, Work};

use crate::diag::Places;
use crate::import::Outline;
use crate::units::{Length, Unit};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One job, checked: every length finite and sensible, `t` and shares resolved.
#[derive(Clone, Debug)]
pub struct Job {
    /// What the box is called.
    pub title: String,
    /// Which item of a list it is for, in front of the names on its pieces; empty for a job alone.
    pub item: String,
    /// What the maker's bare numbers and reports are in.
    pub units: Unit,
    /// How many boxes.
    pub copies: u32,
    /// The stack; where more lies inside, all of it as one block.
    pub contents: Contents,
    /// What lies inside besides one stack, when there is more.
    pub inside: Option<Inside>,
    /// The board.
    pub board: Stock,
    /// The covering cloth; `None` for a construction without.
    pub cloth: Option<Stock>,
    /// The second covering, of the sides; `None` where cloth covers all.
    pub paper: Option<Stock>,
    /// The liner; `None` when the box has none.
    pub liner: Option<Stock>,
    /// The strap's elastic.
    pub elastic: Elastic,
    /// How the box is built.
    pub build: Build,
    /// The lids, by side; of crossed strips, their ends.
    pub flaps: BTreeMap<Side, Flap>,
    /// The strips, where the box is built of two.
    pub strips: Option<Strips>,
    /// The trays, where the box has such.
    pub trays: Option<Trays>,
    /// The slipcase, where the box is one.
    pub slipcase: Option<Slipcase>,
    /// The portfolio, where the box is one.
    pub portfolio: Option<Portfolio>,
    /// The boards that are covered by part.
    pub sides: BTreeMap<SideOn, SideCut>,
    /// The cloth's and the liner's measures.
    pub covering: Covering,
    /// Who makes it, and how exactly.
    pub making: Making,
    /// The strap, when there is one.
    pub strap: Option<Strap>,
    /// The title label in a recess outside, when there is one.
    pub title_label: Option<TitleLabel>,
    /// The adhesive.
    pub glue: Glue,
    /// What work costs and how long it takes.
    pub work: Work,
    /// The ribbon ties, by the lid that they tie down.
    pub ties: BTreeMap<Side, Ties>,
    /// The magnets, by the lid that they hold.
    pub magnets: BTreeMap<Side, Magnets>,
    /// How a sheet that is worked from both faces is laid down again.
    pub turning: Turning,
    /// The windows, by the lid that they are in.
    pub windows: BTreeMap<Side, Window>,
    /// What is drawn on the pieces.
    pub marks: Marks,
    /// How the pieces of a sheet are to be parted.
    pub layout: Division,
    /// How many layouts are tried for each sheet.
    pub layout_effort: u32,
    /// The drawings that were read for it, by their paths as it has them.
    pub drawings: BTreeMap<String, Arc<[u8]>>,
    /// Where each key stands in the file, for diagnostics of later stages.
    pub places: Places,
}

impl Job {
    /// Width, height and depth of each stack as measured.
    pub fn stacks(&self) -> Vec<[Length; 3]> {
        let c = &self.contents;
        self.inside.as_ref().map_or_else(|| vec![[c.width, c.height, c.depth]], |i| i.stacks.clone())
    }

    /// What is within the case, where this is the job of a case: round trays, a wrapper or loose sheets.
    pub fn within(&self) -> Option<&Within> {
        let of_trays = self.trays.as_ref().and_then(|t| t.within.as_ref());
        of_trays.or_else(|| self.portfolio.as_ref().and_then(|p| p.within.as_ref()))
    }

    /// Whether it is a portfolio for loose sheets: its covers are all that holds them.
    pub fn is_for_loose_sheets(&self) -> bool {
        self.portfolio.as_ref().is_some_and(|p| match &p.within {
            Some(within) => within.wrapper.is_none(),
            None => self.flaps.is_empty(),
        })
    }

    /// Whether lids close over its works, and not another tray, strips that cross, or nothing at its mouth.
    fn is_with_lids(&self) -> bool {
        self.strips.is_none() && self.trays.is_none() && self.slipcase.is_none()
    }

    /// The sides at which nothing holds the works: without lid and wall.
    pub fn open_sides(&self) -> Vec<Side> {
        // At its spine a portfolio is closed.
        let is_spine = |side: &Side| *side == Side::Left && self.portfolio.is_some();
        let is_open = |side: &Side| self.is_with_lids() && !self.flaps.contains_key(side) && !is_spine(side);
        Side::ALL.into_iter().filter(is_open).collect()
    }

    /// What it says of a stock; `None` where the box is made without.
    pub fn stock(&self, kind: StockKind) -> Option<&Stock> {
        match kind {
            StockKind::Board => Some(&self.board),
            StockKind::Cloth => self.cloth.as_ref(),
            StockKind::Paper => self.paper.as_ref(),
            StockKind::Liner => self.liner.as_ref(),
        }
    }

    /// Whether the places of boards and their folds are drawn on a stock: on the face that shows nobody wants them.
    pub fn draws_on(&self, kind: StockKind) -> bool {
        self.marks.placement && self.stock(kind).is_some_and(|stock| stock.cut_face == CutFace::Back)
    }

    /// How thick its liner is; zero without.
    pub fn lining(&self) -> Length {
        self.liner.as_ref().map_or(Length::ZERO, |l| l.thickness)
    }

    /// The same, to be changed.
    pub const fn stock_mut(&mut self, kind: StockKind) -> Option<&mut Stock> {
        match kind {
            StockKind::Board => Some(&mut self.board),
            StockKind::Cloth => self.cloth.as_mut(),
            StockKind::Paper => self.paper.as_mut(),
            StockKind::Liner => self.liner.as_mut(),
        }
    }

    /// The key that says how far the lid of a side reaches.
    pub fn reach_key(&self, side: Side) -> String {
        self.strip_key(side, "").unwrap_or_else(|| format!("flap.{}.reach", side.word()))
    }

    /// The key that says what the wall of a side has beyond the interior depth.
    pub fn wall_key(&self, side: Side) -> String {
        let of_case = self.portfolio.as_ref().is_some_and(|p| p.within.is_some());
        let key = if of_case { "portfolio.spine_extra" } else { "box.wall_extra" };
        self.strip_key(side, "_wall_extra").unwrap_or_else(|| key.into())
    }

    /// The depth that what this key says is beyond: of a portfolio's case that of what is within.
    pub fn wall_from(&self) -> Length {
        let within = self.portfolio.as_ref().and_then(|p| p.within.as_ref());
        within.map_or(&self.contents, |w| &w.contents).interior_depth()
    }

    fn strip_key(&self, side: Side, what: &str) -> Option<String> {
        self.strips.map(|_| match side {
            Side::Tail => format!("strips.height.first{what}"),
            Side::Head => format!("strips.height.last{what}"),
            Side::Left => format!("strips.width.first{what}"),
            Side::Right => format!("strips.width.last{what}"),
        })
    }
}

/// A side of the box, seen from inside it when open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// +y.
    Head,
    /// -y.
    Tail,
    /// -x.
    Left,
    /// +x.
    Right,
}

impl Side {
    /// The side of this word.
    pub(super) fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|side| side.word() == word)
    }

    /// All four, in the order that pieces are listed.
    pub const ALL: [Self; 4] = [Self::Head, Self::Tail, Self::Left, Self::Right];

    /// Its word in files and reports.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::Tail => "tail",
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// The side across.
    pub const fn opposite(self) -> Self {
        match self {
            Self::Head => Self::Tail,
            Self::Tail => Self::Head,
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// The outward direction, degrees counter-clockwise from +x.
    pub const fn outward_deg(self) -> f64 {
        match self {
            Self::Right => 0.0,
            Self::Head => 90.0,
            Self::Left => 180.0,
            Self::Tail => 270.0,
        }
    }
}

/// How the box is built. `None` where the measure follows from the materials.
#[derive(Clone, Debug)]
pub struct Build {
    /// The construction.
    pub construction: Construction,
    /// How a wall stands once folded.
    pub seat: Seat,
    /// The gap between two hinged boards.
    pub joint: Option<Length>,
    /// By how much walls grow from tier to tier.
    pub step: Option<Length>,
    /// What a wall has beyond the stack and the steps.
    pub wall_extra: Option<Length>,
    /// Room in a joint beyond what it must pass.
    pub ease: Option<Length>,
    /// How far a flap's sides stay in from the interior.
    pub flap_inset: Option<Length>,
}

/// Board thicker than this is not creased: it cracks at the fold (from memory: greyboard of 2 to
/// 3 mm is hinged or grooved).
pub const THICKEST_CREASED: Length = crate::units::mm(1.5);
/// From this thickness a fold takes two creases (from memory: very thick board wants
/// several).
pub const DOUBLE_CREASED: Length = crate::units::mm(0.8);

/// How a wall stands once folded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seat {
    /// Outside the base, bottom edges flush with its bottom face.
    Beside,
    /// On the base, outer faces flush with its edges.
    OnBase,
}

/// A lid.
#[derive(Clone, Debug)]
pub struct Flap {
    /// Its place in the closing order, 1 first and lowest.
    pub tier: u32,
    /// From the hinge edge to the farthest point of the free edge.
    pub reach: Length,
    /// Its outline.
    pub shape: FlapShape,
    /// The radius of the two free corners; zero for sharp ones.
    pub corner_radius: Length,
    /// The thumb notch in the middle of its free edge, when it has one.
    pub notch: Option<Notch>,
}

/// A thumb notch: an arc cut into the middle of a lid's free edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Notch {
    /// Its width at the free edge, before its corners are rounded.
    pub width: Length,
    /// From the middle of the free edge to its bottom; half the width is a half round.
    pub depth: Length,
    /// The radius of the two corners where it meets the free edge.
    pub radius: Length,
}

/// The outline of a lid.
#[derive(Clone, Debug, PartialEq)]
pub enum FlapShape {
    /// A rectangle.
    Square,
    /// Its sides lean inwards by so many degrees each.
    Taper(f64),
    /// Its free edge is an arc that rises by so much, or dips where that is negative.
    Bow(Length),
    /// Drawn by the maker; reach, corners and notches are in the drawing.
    Outline(Outline),
}

/// The cloth's and the liner's measures.
#[derive(Clone, Copy, Debug)]
pub struct Covering {
    /// Cloth folded over a free board edge.
    pub turn_in: Length,
    /// From a board's corner to the corner cut, along the bisector.
    pub corner: Length,
    /// How far short of the base's corner a slit stops.
    pub slit_stop: Length,
    /// How far the liner stays in from a free edge.
    pub reveal: Length,
    /// How far the liner is pressed into the joints, 0 to 1.
    pub groove_press: f64,
    /// How much longer the liner is cut, to be trimmed; zero for net.
    pub liner_trim: Length,
}

/// Who makes the box, and what may be out either way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Making {
    /// By hand or by machine.
    pub by: Maker,
    /// A board's edge from its line.
    pub cut: Length,
    /// A joint's width from the spacer's.
    pub spacer: Length,
    /// The board's thickness, as a share of it: 0.05 for 5 %.
    pub board: f64,
}

/// Who cuts and lays the boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Maker {
    /// A knife, a straight edge and a spacer.
    Hand,
    /// A machine cuts; the boards are laid by hand, to a cut gauge.
    Machine,
}

/// The strap round the closed box.
#[derive(Clone, Copy, Debug)]
pub struct Strap {
    /// Which way it runs.
    pub along: StrapAlong,
    /// How far in the slots lie from the two edges that the strap crosses.
    pub inset: Length,
    /// How far in its centre line lies from the right edge, or the tail edge.
    pub from_edge: Length,
    /// The pockets' length.
    pub tail: Length,
    /// Room in a slot beyond the elastic.
    pub slot_ease: Length,
    /// How deep the pockets are.
    pub pocket_depth: Length,
    /// One strap, or two placed alike from both edges.
    pub count: u32,
}

/// Which way a strap runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrapAlong {
    /// Head to tail.
    Height,
    /// Left to right.
    Width,
}
