//! What lies under a piece of the covering that is printed: boards, joints, the rim that it is turned over, and where the
//! names of all that have room.

use crate::design::{
    Design, Flat, Piece, Role, covered_by_part, drawn_within, piece_words, slipcase, slipcase_on_cloth,
};
use crate::geom::{Bounds, Contour, Path, Stroke, Transform, pt};
use crate::job::{Job, Side, StockKind};
use crate::units::mm;

/// The pieces that are seen from outside and may be printed: the cloths that go over joints, and the papers of sides.
pub(super) fn printed(design: &Design) -> Vec<&Piece> {
    let is_seen = |p: &&Piece| match p.stock {
        StockKind::Cloth => p.role == Role::Cover,
        StockKind::Paper => p.role == Role::Side,
        _ => false,
    };
    design.pieces.iter().filter(is_seen).collect()
}

/// What lies under one of them, in its own coordinates.
#[derive(Default)]
pub(super) struct Ground {
    /// The edges of boards, of their openings and of recesses in them, so far as they lie under it.
    pub(super) boards: Vec<Stroke>,
    /// The rim that it is turned over.
    pub(super) rims: Vec<Stroke>,
    /// Where it folds.
    pub(super) folds: Vec<Stroke>,
    /// Where paper that laps over it begins, or where the cloth beneath it ends.
    pub(super) laps: Vec<Stroke>,
    /// What is written where.
    pub(super) places: Vec<Place>,
}

/// Where the name of something stands.
pub(super) struct Place {
    /// What it is called.
    pub(super) words: String,
    /// The room for it.
    pub(super) room: Bounds,
    /// By how much it is turned on the page where the closed box is seen with its head up, degrees; along the room where
    /// it has no up of its own.
    pub(super) turn: Option<f64>,
    /// Whether an arrow towards the head belongs to it.
    pub(super) has_arrow: bool,
}

/// The layout that a piece was cut from, and where that lies among the pieces.
fn home<'d>(design: &'d Design, piece: &Piece) -> Option<(&'d Flat, Transform)> {
    let of_case = design.case.as_ref().and_then(|case| {
        let own = case.design.pieces.iter().find(|p| p.id == piece.id)?;
        let by = piece.outline.bounds().center() - own.outline.bounds().center();
        Some((case.design.flat.as_ref()?, Transform::shift(by)))
    });
    of_case.or_else(|| Some((design.flat.as_ref()?, Transform::IDENTITY)))
}

/// The rim of boards and joints about which a piece is turned in; `None` where there is no layout of them.
pub(super) fn region(design: &Design, piece: &Piece) -> Option<Contour> {
    home(design, piece).map(|(flat, by)| flat.region().transformed(&by))
}

impl Ground {
    pub(super) fn of(job: &Job, design: &Design, piece: &Piece) -> Self {
        if let Some(ground) = of_slipcase(job, piece) {
            return ground;
        }
        let mut all = Self::default();
        if let Some((flat, by)) = home(design, piece) {
            all.rims = drawn_within(&flat.region().transformed(&by), &piece.outline);
            let folds = flat.arms.values().flat_map(|arm| arm.hinges()).map(|h| h.transformed(&by));
            let is_here = |p: &Path| p.segments().all(|s| piece.outline.contains(s.point_at(0.5)));
            all.folds = folds.filter(is_here).map(Stroke::Open).collect();
        }
        for one in covered_by_part(job, design) {
            let lines = if piece.stock == StockKind::Paper { one.ends_of_cloth() } else { one.begins_of_paper() };
            // A case beside its box has its own layout; what is not on the piece is of another.
            let is_here =
                |s: &crate::geom::Segment| [0.25, 0.5, 0.75].iter().all(|k| piece.outline.contains(s.point_at(*k)));
            all.laps.extend(lines.into_iter().filter(is_here).map(|s| Stroke::Open(Path::line(s.start, s.end))));
        }
        let lies = |p: &&Piece| p.stock == StockKind::Board && matches!(p.role, Role::Base | Role::Wall | Role::Flap);
        for board in design.pieces.iter().filter(lies) {
            let edges = drawn_within(&board.outline, &piece.outline);
            let Some(room) = board.outline.bounds().shared(piece.outline.bounds()) else { continue };
            if edges.is_empty() {
                continue;
            }
            all.boards.extend(edges);
            // A recess for a label is pressed into the cloth: what is printed there lies deeper.
            let recesses = board.outside_pockets().iter().map(|k| &k.outline);
            let cuts: Vec<&Contour> = recesses.chain(&board.holes).collect();
            all.boards.extend(cuts.iter().flat_map(|c| drawn_within(&(**c).clone().ccw(), &piece.outline)));
            let name = board.id.split_once('-').map_or(board.id.as_str(), |(_, rest)| rest);
            let room = cuts.iter().fold(room, |room, cut| room.beside(cut.bounds()));
            // An arrow and a name beneath it stand up alike.
            let has_arrow = matches!(board.role, Role::Flap | Role::Base);
            let is_narrow = room.height() > 1.5 * room.width() && !has_arrow;
            let turn = (!is_narrow).then(|| reads(board.side, board.role));
            all.places.push(Place { words: piece_words(name), room, turn, has_arrow });
        }
        all
    }
}

/// The cloth of a slipcase: its faces, its back and, where the last flap lies, its ends.
fn of_slipcase(job: &Job, piece: &Piece) -> Option<Ground> {
    let m = slipcase(job)?;
    let turn = m.turn();
    let mut all = Ground::default();
    let [lower, upper, back] = slipcase_on_cloth(job, &m);
    // The upper face lies beyond two folds of the lower one.
    let over = if matches!(m.open, Side::Left | Side::Right) { 0.0 } else { 180.0 };
    let b = lower.bounds();
    for (words, outline, turned, has_arrow) in [
        ("lower face", &lower, Some(0.0), true),
        ("upper face", &upper, Some(over), true),
        ("back", &back, None, false),
    ] {
        let outline = outline.transformed(&turn);
        let room = outline.bounds();
        all.places.push(Place { words: words.into(), room, turn: turned, has_arrow });
        all.boards.push(Stroke::Closed(outline));
    }
    let u = upper.bounds();
    let thick = m.boards[2];
    for (side, from, to) in [(Side::Head, b.max.y, b.max.y + thick), (Side::Tail, b.min.y - thick, b.min.y)] {
        let on = |x: [f64; 2]| Contour::rectangle(pt(x[0], from), pt(x[1], to)).transformed(&turn).bounds();
        let end = m.side(side).word();
        all.places.push(Place {
            words: format!("{end} end"),
            room: on([u.min.x, u.max.x]),
            turn: None,
            has_arrow: false,
        });
        let under = job.covering.turn_in.min(mm(thick)).to_mm();
        let beneath = if side == Side::Head { [b.max.y, b.max.y + under] } else { [b.min.y - under, b.min.y] };
        let room = Contour::rectangle(pt(b.min.x, beneath[0]), pt(b.max.x, beneath[1])).transformed(&turn).bounds();
        if room.shared(piece.outline.bounds()).is_some() {
            all.places.push(Place { words: format!("under the {end} end"), room, turn: None, has_arrow: false });
        }
    }
    Some(all)
}

/// By how much a board's outside is turned on the page where the closed box is seen with its head up, degrees.
///
/// A lid is folded over its hinge: of a direction on it the part along the hinge stays, the part across it is
/// reversed. The hinge of a lid at left or right runs to the head, so such a lid keeps its up; one at head or tail
/// comes to lie the other way up.
fn reads(side: Option<Side>, role: Role) -> f64 {
    match (role, side) {
        (Role::Flap, Some(Side::Head | Side::Tail)) => 180.0,
        _ => 0.0,
    }
}
