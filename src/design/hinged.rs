//! Hinged boards: separate boards held together by the covering cloth.

use super::build::{Build, Made};
use super::flap::FlapError;
use super::flat::{Corners, Flat};
use super::lying;
use super::measures::{self, Auto, Measures, are_sides, thicknesses};
use super::meeting::{Lying, Meeting};
use super::work::Step;
use super::{
    Design, Lay, Piece, Pocket, Role, board_id, colophon, cover, cuts, dressing, hinge_strips, limits, liner, patch,
    sides, tabs, title_label, window,
};
use crate::assembly::{Assembly, Hinge, HingeKind, LayerIn, Panel, Part, Room};
use crate::diag::Diagnostic;
use crate::geom::Contour;
use crate::job::{Flap, FlapShape, Grain, Job, Seat, Side, StockKind};
use crate::units::Length;
use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

pub(super) struct HingedBoards;

impl Corners for HingedBoards {
    /// Walls that stand on the base at left and right stand between those at head and tail: clear of their
    /// board, of what is glued on its inside there, and of what is turned round their own end.
    fn short_ends(&self, job: &Job, side: Side, _: f64) -> (f64, f64) {
        if job.build.seat == Seat::Beside || matches!(side, Side::Head | Side::Tail) {
            return (0.0, 0.0);
        }
        let (t, c, l) = thicknesses(job);
        // Within the reveal the neighbour carries turn-in and patch, farther in the liner as well.
        let own_end = c * 2.0;
        let (reveal, ease) = (job.covering.reveal, job.build.ease.unwrap_or(END_EASE));
        let lined = c * 2.0 + l + job.strip() + job.folded();
        // Its own lining stays in from its end by the reveal: one as thick as a felt meets the neighbour's even so.
        let facing = if reveal > t + c * 3.0 { (c * 2.0).max(lined - own_end - ease - reveal) } else { lined };
        let by = (t + facing + own_end + ease).to_mm();
        let short = |neighbour| if job.flaps.contains_key(&neighbour) { by } else { 0.0 };
        match side {
            Side::Left => (short(Side::Tail), short(Side::Head)),
            _ => (short(Side::Head), short(Side::Tail)),
        }
    }
}

impl Build for HingedBoards {
    fn measures(&self, job: &Job, lying: Option<&Lying>) -> Auto {
        let (t, c, l) = thicknesses(job);
        let joint_thickness = match lying {
            Some(lying) => {
                let rooms = lying.feet.values().chain(lying.tops.values()).map(|m| m.room.needed());
                let faces = lying.walls.values().map(|on| (t + *on).to_mm());
                crate::units::mm(rooms.chain(faces).fold(0.0, f64::max))
            }
            None => crate::units::mm(room(job).needed()),
        };
        let (joint, ease) = measures::joint(job, joint_thickness);
        let settled = |of: fn(&Lying) -> &BTreeMap<Side, Meeting>| -> BTreeMap<Side, Length> {
            let in_joint = if job.strip_lap().is_some() { c } else { l };
            let one = |side: &Side| lying.and_then(|a| of(a).get(side)).map_or((in_joint + c) * 2.0, |m| m.settled);
            job.flaps.keys().map(|side| (*side, one(side))).collect()
        };
        let (feet, tops) = (settled(|a| &a.feet), settled(|a| &a.tops));
        let lids = lying.map(|a| a.lids.clone()).unwrap_or_default();
        let floor = liner::under_stack(job);
        let (extra, beyond) = match job.build.seat {
            Seat::Beside => (measures::alike(job, t * 2.0 + l * 2.0 + c + floor), Length::ZERO),
            Seat::OnBase => {
                let between = |side: &Side| {
                    feet.get(side).copied().unwrap_or_default() + tops.get(side).copied().unwrap_or_default()
                };
                (
                    job.flaps.keys().map(|side| (*side, l * 2.0 + c + floor - between(side))).collect(),
                    measures::over_wall(job) * 2.0,
                )
            }
        };
        let is_at_lid = lying.is_some_and(|a| a.is_at_lid);
        let step = t + c * 2.0 + l;
        Auto { joint_thickness, joint, ease, step, extra, beyond: (beyond, beyond), feet, tops, lids, is_at_lid }
    }

    fn lying(&self, job: &Job, design: &Design) -> Option<Lying> {
        lying::counted(job, design)
    }

    fn pieces(&self, job: &Job, m: &Measures, flat: &Flat) -> Made {
        let mut made = Made::default();
        let boards = skeleton(job, m, flat);
        let all = cuts::cuts(job, m, flat, &boards);
        let mut add = |part: Part, role, side, outline| {
            let id = board_id(part).unwrap_or_default();
            let mut piece = board(id, role, side, outline);
            let own = || all.iter().filter(|c| c.part == part);
            piece.holes = own().filter_map(|c| c.slot.clone()).map(Contour::cw).collect();
            piece.pockets = own().map(|c| c.pocket.clone()).collect();
            if !piece.pockets.is_empty() {
                piece.lay = Lay::InsideUp;
            }
            made.pieces.push(piece);
        };
        add(Part::Base, Role::Base, None, flat.base.clone());
        for (side, arm) in &flat.arms {
            add(Part::Wall(*side), Role::Wall, Some(*side), arm.wall());
        }
        for (side, arm) in &flat.arms {
            add(Part::Lid(*side), Role::Flap, Some(*side), arm.flap());
        }
        let slots: Vec<Contour> = all.iter().filter_map(|c| c.slot.clone()).collect();
        made.said.extend(limits::cut(job, m, flat, &boards, &made.pieces, &all));
        title_label::add(&mut made.pieces, job);
        window::cut_boards(job, flat, &mut made.pieces);
        made.said.extend(limits::windows(job, m, flat, &all));
        made.said.extend(limits::leaf(job, flat, &all));
        made.said.extend(job.flaps.iter().filter_map(|(side, lid)| crowded(*side, lid, job.covering.turn_in)));
        let cloth = || {
            let cloth = cover::cover(
                flat,
                &job.covering,
                job.board.thickness + thicknesses(job).1,
                &made.pieces,
                &slots,
                job.draws_on(StockKind::Cloth),
            )?;
            let (patches, at) = patch::patches(job, flat, &cloth);
            Ok((cloth, patches, at))
        };
        // Neither asks for the other.
        let (cloth, lined) = rayon::join(cloth, || liner::liner(job, m, self));
        match cloth {
            Ok((cloth, patches, at)) => {
                made.patches = at;
                let parted = sides::parted(job, m, flat);
                let covers =
                    if parted.is_empty() { Ok(vec![cloth]) } else { sides::part(job, &made.pieces, &parted, cloth) };
                let mut of_windows = Vec::new();
                match covers {
                    Ok(mut covers) => {
                        made.turned = covers.iter().flat_map(|c| tabs::turned_in(job, flat, c)).collect();
                        let windows = window::cut_cloth(job, flat, &mut covers);
                        made.patches.extend(windows.at);
                        made.turned.extend(windows.turned);
                        of_windows = windows.patches;
                        made.pieces.extend(covers);
                    }
                    Err(d) => made.said.push(d),
                }
                made.pieces.extend(patches.into_iter().chain(of_windows));
            }
            Err(d) => made.said.push(d),
        }
        match lined {
            Ok((mut pieces, linings)) => {
                window::cut_liner(job, m, flat, &mut pieces);
                colophon::cut_liner(job, m, flat, &mut pieces);
                made.pieces.extend(pieces);
                made.linings = linings;
            }
            Err(d) => made.said.push(d),
        }
        match hinge_strips::strips(job, m, self) {
            Ok((pieces, places)) => {
                made.pieces.extend(pieces);
                made.strips = places;
            }
            Err(d) => made.said.push(d),
        }
        made
    }

    fn assembly(&self, job: &Job, m: &Measures, flat: &Flat, made: &Made) -> Assembly {
        let mut all = skeleton(job, m, flat);
        cut_into(&mut all, &made.pieces);
        dressing::dress(&mut all, job, m, flat, made);
        all
    }

    fn steps(&self, job: &Job, design: &Design) -> Vec<Step> {
        let has_corner = |inner: bool| design.flat.as_ref().is_some_and(|f| f.inner_corners().is_empty() != inner);
        let has_window = design.flat.as_ref().is_some_and(|flat| {
            let by_part = sides::parted(job, &design.measures, flat);
            window::openings(job, flat).iter().any(|w| w.is_in_cover(&by_part))
        });
        let is_lined = job.liner.is_some();
        let (has_ties, has_magnets) = (!job.ties.is_empty(), !job.magnets.is_empty());
        let has_sides = are_sides(job);
        [
            (Step::Cut, true),
            (Step::SlotsAndPockets, job.strap.is_some() || has_ties || has_magnets || colophon::is_inset(job)),
            (Step::LabelRecess, job.title_label.is_some()),
            (Step::LayOut, true),
            (Step::GlueDown, true),
            (Step::CornerCuts, sides::has_free_corner(job, design)),
            (Step::Slits, has_corner(true) || job.flaps.values().any(|f| f.notch.is_some()) || has_window),
            (Step::Patches, design.patches.iter().any(|p| !p.is_of_side)),
            (Step::Magnets, has_magnets),
            (Step::TurnIn, true),
            (Step::DryCovered, is_lined || has_sides || job.strap.is_some() || has_ties),
            (Step::Sides, has_sides),
            (Step::Strap, job.strap.is_some()),
            (Step::Ties, has_ties),
            (Step::HingeStrips, !design.strips.is_empty()),
            (Step::FoldLinings, job.folded() > Length::ZERO),
            (Step::Liner, is_lined),
            (Step::Press, true),
            (Step::GlueLabel, job.title_label.is_some()),
            (Step::Close, true),
        ]
        .into_iter()
        .filter_map(|(step, is_due)| is_due.then_some(step))
        .collect()
    }
}

/// The bare boards, whole, and how they fold.
fn skeleton(job: &Job, m: &Measures, flat: &Flat) -> Assembly {
    let t = job.board.thickness.to_mm();
    let mut all = Assembly::default();
    let panel = |part, outline: Contour| Panel {
        part,
        called: None,
        piece: board_id(part).unwrap_or_default(),
        outline,
        holes: Vec::new(),
        outside_recesses: Vec::new(),
        recesses: Vec::new(),
        thickness: t,
        level: 0.0,
        layers: Vec::new(),
        turned: Vec::new(),
        turned_paper: Vec::new(),
    };
    all.panels.push(panel(Part::Base, flat.base.clone()));
    for (side, arm) in &flat.arms {
        let (wall, lid) = (all.panels.len(), all.panels.len() + 1);
        all.panels.push(panel(Part::Wall(*side), arm.wall()));
        all.panels.push(panel(Part::Lid(*side), arm.flap()));
        let [foot, top] = closed(job, m, *side);
        let hinge = |parent, child, axis, closed, order| Hinge {
            parent,
            child,
            kind: HingeKind::Joint,
            axis,
            width: m.joint.to_mm(),
            height: 0.0,
            closed,
            angle: FRAC_PI_2,
            order,
            room: room(job),
        };
        let order = m.lower_tiers.get(side).copied().unwrap_or_default() + 1;
        all.hinges.push(hinge(0, wall, arm.base_edge(), foot, 0));
        all.hinges.push(hinge(wall, lid, arm.wall_top(), top, order));
    }
    all
}

/// Slots, pockets and recesses as they are cut into the pieces.
pub(super) fn cut_into(all: &mut Assembly, pieces: &[Piece]) {
    for panel in &mut all.panels {
        let Some(piece) = pieces.iter().find(|p| p.id == panel.piece) else { continue };
        panel.holes = piece.holes.clone();
        let recesses = |of: &[Pocket]| of.iter().map(|k| (k.outline.clone(), k.depth.to_mm())).collect();
        panel.recesses = recesses(piece.inside_pockets());
        panel.outside_recesses = recesses(piece.outside_pockets());
    }
}

/// What walls on the base keep from their neighbours where the ease is left to the program (our choice).
const END_EASE: Length = crate::units::mm(0.5);

/// What a joint of a job must pass.
fn room(job: &Job) -> Room {
    let (t, c, l) = thicknesses(job);
    let (lining, doubled, thick) = match job.strip_lap() {
        Some(_) => (LayerIn::HingeStrips, LayerIn::DoubledStrip, job.strip()),
        None => (LayerIn::Liners, LayerIn::DoubledLiner, l + job.folded()),
    };
    let mut parts =
        vec![(LayerIn::Board, t.to_mm()), (LayerIn::TurnIns, (c * 2.0).to_mm()), (lining, (thick * 2.0).to_mm())];
    if job.build.seat == Seat::OnBase && job.covering.groove_press > 0.0 {
        parts.push((doubled, (thick * 2.0).to_mm()));
    }
    parts.retain(|p| p.1 > 0.0);
    Room { parts }
}

/// By how much a joint lets a wall or a lid rise: beside the base `sqrt(g^2 - te^2)` (derived: the cloth
/// across the joint, of length g, then runs aslant over te), on the base `g - te`.
pub(super) fn rise(job: &Job, m: &Measures) -> f64 {
    let (g, te) = (m.joint.to_mm(), m.joint_thickness.to_mm());
    match job.build.seat {
        Seat::Beside => (g * g - te * te).max(0.0).sqrt(),
        Seat::OnBase => (g - te).max(0.0),
    }
}

/// Where the wall's foot and the lid's hinge edge come to be, each beyond and above the corner that it
/// hangs on. What the wall lacks is made up by rising, half at its foot and half at its lid's hinge; a lid
/// whose wall is too low even so lies as high as it gets.
fn closed(job: &Job, m: &Measures, side: Side) -> [[f64; 2]; 2] {
    let t = job.board.thickness.to_mm();
    let of = |map: &BTreeMap<Side, Length>| map.get(&side).copied().unwrap_or_default().to_mm();
    let height = of(&m.walls);
    let short = (of(&m.needed) - height).max(0.0);
    let lift = (short / 2.0).min(rise(job, m));
    // The upper face of the lid, lying on what is beneath, above the underside of the base: where a wall of
    // just the height that it wants would bring it.
    let wanted = match job.build.seat {
        Seat::Beside => of(&m.needed),
        Seat::OnBase => t + of(&m.feet) + of(&m.needed) + of(&m.tops) + t,
    };
    let top = wanted - (short - 2.0 * lift);
    match job.build.seat {
        Seat::Beside => {
            let g = m.joint.to_mm();
            let te = m.joint_thickness.to_mm().min(g);
            // A lid whose wall is too high hangs from its upper edge, as far down as the joint lets it.
            let along = (top - lift - height).max(-rise(job, m));
            let aslant = |by: f64| (g * g - by * by).max(0.0).sqrt().max(te);
            [[aslant(lift), lift], [along, aslant(along)]]
        }
        Seat::OnBase => {
            // By what lies between its top and the lid this cannot come down lower.
            let foot = t + of(&m.feet) + lift;
            let top = top.max(foot + height + of(&m.tops) + t);
            [[0.0, foot], [top - foot - height, 0.0]]
        }
    }
}

/// A dipped free edge leaves its corners sharp. Rounded by much of the turn-in's width as well, or
/// with a notch in the dip, the turn-ins there lie on each other by a little more than the corner
/// allowance, or leave a little bare: more than a pattern can settle.
fn crowded(side: Side, lid: &Flap, turn_in: Length) -> Option<Diagnostic> {
    let is_dipped = matches!(lid.shape, FlapShape::Bow(rise) if rise < Length::ZERO);
    let is_round = lid.corner_radius > turn_in * CROWDED;
    (is_dipped && (is_round || lid.notch.is_some())).then(|| {
        let message = format!("the turn-ins crowd each other about the dipped edge of the {} lid", side.word());
        Diagnostic::warning("turn-in-crowded", message).at(format!("flap.{}.bow", side.word())).help(
            "fold it in paper first and trim there by hand as you turn in; a smaller corner_radius, a shallower dip or \
             no notch makes room",
        )
    })
}

/// From this share of the turn-in's width a rounded corner beside a dipped edge is crowded
/// (our choice).
const CROWDED: f64 = 0.6;

fn board(id: String, role: Role, side: Option<Side>, outline: Contour) -> Piece {
    // Every board's grain runs head to tail, so that board, cloth and liner pull alike.
    Piece { side, grain: Grain::Height, ..Piece::plain(id, StockKind::Board, role, outline) }
}

pub(super) fn no_lid(side: Side, why: FlapError) -> Diagnostic {
    let (code, what, key, hint) = match why {
        FlapError::Closed => (
            "lid-closes",
            "the sides of the lid meet before its free edge",
            "shape",
            "lower the taper, or shorten the reach",
        ),
        FlapError::Bow => (
            "bow-too-round",
            "the bow is more than a half circle, or higher than the lid is long",
            "bow",
            "lower the bow",
        ),
        FlapError::Round => (
            "corner-too-round",
            "the corners cannot be rounded so far: the arcs would run into the hinge or each other",
            "corner_radius",
            "lower the corner radius",
        ),
        FlapError::Notch => {
            ("notch-too-large", "the notch does not fit on the lid's free edge", "notch", "make it smaller or flatter")
        }
    };
    Diagnostic::error(code, format!("at the {}: {what}", side.word()))
        .at(format!("flap.{}.{key}", side.word()))
        .help(hint)
}
