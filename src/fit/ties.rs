//! Ribbon ties: how long their ribbons are cut, and whether a bow can be tied where they come out.

use super::Solid;
use super::strap::{hull, section};
use crate::assembly::{Assembly, CasePart, Face, Part, Space, space};
use crate::design::{Design, Tie, TieEnd, outer, thicknesses, tied_to, ties, to_inset};
use crate::diag::Diagnostic;
use crate::geom::{Point, pt};
use crate::job::{Job, Peg, Side, StrapAlong, TiedTo};
use crate::units::{Length, mm};
use serde::Serialize;

/// What lies so little above a slot is its own board, mm.
const SAME: f64 = 0.05;

/// The ties of one lid.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TieFigures {
    /// The lid.
    pub side: Side,
    /// Where the fellow ribbons come out: `wall`, `lid` or `base`.
    pub to: &'static str,
    /// How many ribbons, cut alike: two a tie, or with a peg one, and beside it a loop.
    pub ribbons: u32,
    /// Their width.
    pub width: Length,
    /// From slot to slot on the outside of the closed box; of several the longest.
    pub way: Length,
    /// What each is cut to: a tail, the way through the board, half the way from slot to slot, and what is free
    /// for the bow; with a peg twice a tail, the board and the way to the peg, and the half of the peg that it goes round.
    pub length: Length,
    /// What stands for the bow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pegs: Option<PegFigures>,
}

/// The pegs of a lid and the loops that take them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PegFigures {
    /// How many pegs, and loops.
    pub count: u32,
    /// How thick a peg is.
    pub diameter: Length,
    /// How long a peg is.
    pub length: Length,
    /// How far from the loop's slot the peg lies: nowhere beside it in a wall or a lid; from the base, under which no peg
    /// can lie, half-way up the side of the box.
    pub loop_way: Length,
    /// What each loop is cut to: twice a tail, the board and that way, the way round the peg, and room for it to slide.
    pub loop_length: Length,
}

/// By how much longer than the way round its peg a loop is (our choice): the peg slides, and does not slip out.
const SLIDES: Length = mm(2.0);

/// What is tied at a side, in words: a lid, or the front cover of a portfolio.
pub fn tied_lid(job: &Job, side: Side) -> String {
    if job.portfolio.is_some() { "front cover".into() } else { format!("{} lid", side.word()) }
}

impl TieFigures {
    /// The board that the fellow ribbons come out of, in words.
    pub fn fellow_board(&self, job: &Job) -> String {
        match self.to {
            "base" if job.portfolio.is_some() => "back cover".into(),
            "base" => "base".into(),
            board => format!("{} {board}", self.side.opposite().word()),
        }
    }
}

/// The figures of a job's ties, lid by lid.
pub(super) fn figures(job: &Job, design: &Design) -> Vec<TieFigures> {
    let Some(flat) = &design.flat else { return Vec::new() };
    let all = ties(job, &design.measures, flat);
    let (t, c, _) = thicknesses(job);
    let of = |(side, asked): (&Side, &crate::job::Ties)| {
        let own: Vec<&Tie> = all.iter().filter(|tie| tie.side == *side).collect();
        let to = tied_to(job, &design.measures, flat, *side, asked);
        let ways = own.iter().filter_map(|tie| TieWay::of(job, design, tie, to, asked.width.to_mm() / 2.0));
        let way = mm(ways.map(|way| way.length()).fold(0.0, f64::max));
        let through = t + c;
        // The middle of the ribbon goes round.
        let round = |peg: Peg| (peg.diameter + asked.thickness) * std::f64::consts::PI;
        let loop_way = loop_way(job, asked, to, way);
        let pegs = asked.peg.map(|peg| {
            let tail = own.iter().map(|tie| tie.ends[1].tail).reduce(Length::max).unwrap_or(asked.tail);
            let loop_length = (tail + through + loop_way) * 2.0 + round(peg) + SLIDES;
            PegFigures { count: asked.count, diameter: peg.diameter, length: peg.length, loop_way, loop_length }
        });
        TieFigures {
            side: *side,
            to: match to {
                TiedTo::Wall => "wall",
                TiedTo::Lid => "lid",
                TiedTo::Base => "base",
            },
            ribbons: if asked.peg.is_some() { asked.count } else { asked.count * 2 },
            width: asked.width,
            way,
            length: match asked.peg {
                Some(peg) => (asked.tail + through + way - loop_way) * 2.0 + round(peg) / 2.0,
                None => asked.tail + through + way / 2.0 + asked.bow,
            },
            pegs,
        }
    };
    job.ties.iter().map(of).collect()
}

/// How far from the loop's slot a peg lies on a way that is so long.
fn loop_way(job: &Job, asked: &crate::job::Ties, to: TiedTo, way: Length) -> Length {
    let below = to_inset(job, asked, to);
    match to {
        TiedTo::Base => below + ((way - asked.inset - below) / 2.0).max(Length::ZERO),
        TiedTo::Wall | TiedTo::Lid => Length::ZERO,
    }
}

/// Where a point of a board with a slot is on the outside of the closed box.
fn outlet(design: &Design, end: &TieEnd, at: Point) -> Option<Space> {
    let assembly = &design.assembly;
    let i = assembly.panels.iter().position(|p| p.part == end.part)?;
    let (panel, places) = (&assembly.panels[i], assembly.closed());
    Some(places.get(i)?.at(at, panel.level - panel.dressed(Face::Outside)))
}

/// The way of a tie's ribbons round the closed box.
#[derive(Clone, Debug)]
pub struct TieWay {
    /// The lid that is tied.
    pub side: Side,
    /// From the lid's slot to its fellow, in the plane of the ribbons: u towards the side across, z up.
    pub points: Vec<Point>,
    /// Where the lid's ribbon lies along the free edge, and where its fellow does.
    pub lines: [f64; 2],
    /// How far from the lid's slot the two ribbons meet, mm.
    pub meet: f64,
    along: StrapAlong,
    sign: f64,
    /// By how much the body that is tied lies elsewhere in the assembly: that of a case round a wrapper.
    by: Space,
}

impl TieWay {
    /// The shortest way on the outside of the closed box from one slot to the other: drawn tight over lids, walls and base
    /// in the plane of the ribbons, the hull of what stands on the outer side of the straight line between them (derived).
    fn of(job: &Job, design: &Design, tie: &Tie, to: TiedTo, half: f64) -> Option<Self> {
        let [from, fellow] = [&tie.ends[0], &tie.ends[1]].map(|end| outlet(design, end, end.at));
        let (from, fellow) = (from?, fellow?);
        // u towards the side across, v along the free edge.
        let (along, lines) = match tie.side {
            Side::Left | Side::Right => (StrapAlong::Width, [from.y, fellow.y]),
            Side::Head | Side::Tail => (StrapAlong::Height, [from.x, fellow.x]),
        };
        let sign = if matches!(tie.side, Side::Left | Side::Tail) { 1.0 } else { -1.0 };
        let plane = |p: Space| match along {
            StrapAlong::Width => pt(p.x * sign, p.z),
            StrapAlong::Height => pt(p.y * sign, p.z),
        };
        let (a, b) = (plane(from), plane(fellow));
        let near = match to {
            TiedTo::Wall => a.x..f64::INFINITY,
            TiedTo::Base => a.x.min(b.x)..f64::INFINITY,
            TiedTo::Lid => a.x..b.x,
        };
        let mut points: Vec<Point> =
            section(&design.assembly, along, lines[0], half.min(job.contents.across(tie.side).to_mm()))
                .into_iter()
                .map(|p| pt(p.x * sign, p.y))
                .filter(|p| near.contains(&p.x) && (b - a).cross(*p - a) > 1e-9)
                .collect();
        points.extend([a, b]);
        let hull = hull(points);
        // Counter-clockwise it runs straight from slot to slot, and then back round the outside.
        let n = hull.len();
        let points = match hull.iter().position(|p| p.is_near(b)) {
            Some(first) if n > 2 => (0..n).map(|k| hull[(first + k) % n]).rev().collect(),
            _ => vec![a, b],
        };
        Some(Self { side: tie.side, points, lines, meet: 0.0, along, sign, by: space(0.0, 0.0, 0.0) })
    }

    /// How long it is, mm. The ribbon's own thickness adds less than a millimetre and is left out.
    pub fn length(&self) -> f64 {
        self.points.windows(2).map(|w| w[0].distance(w[1])).sum()
    }

    /// What of it the lid's ribbon takes, and what its fellow does.
    pub fn divided(&self) -> (Vec<Point>, Vec<Point>) {
        let (points, mut left) = (&self.points, self.meet);
        for (i, w) in points.windows(2).enumerate() {
            let long = w[0].distance(w[1]);
            if left <= long && long > 0.0 {
                let at = w[0].lerp(w[1], left / long);
                let own = points[..=i].iter().copied().chain([at]).collect();
                return (own, std::iter::once(at).chain(points[i + 1..].iter().copied()).collect());
            }
            left -= long;
        }
        (points.clone(), Vec::new())
    }

    /// A point of its plane, so far along the free edge, in the closed box.
    pub fn put(&self, p: Point, across: f64) -> Space {
        let (u, z, by) = (p.x * self.sign, p.y, self.by);
        match self.along {
            StrapAlong::Width => space(u + by.x, across + by.y, z + by.z),
            StrapAlong::Height => space(across + by.x, u + by.y, z + by.z),
        }
    }

    /// Whether u, across and z are a right-handed system: across is then to the left of the way, seen from outside.
    pub fn is_right_handed(&self) -> bool {
        (self.along == StrapAlong::Width) == (self.sign > 0.0)
    }
}

/// The ways of all ties of a closed box, lid by lid.
pub fn tie_ways(job: &Job, design: &Design) -> Vec<TieWay> {
    if let Some(case) = &design.case {
        // Its ties are the case's, whose panels lie elsewhere beside the wrapper.
        let front = |all: &Assembly, part: Part| {
            let i = all.panels.iter().position(|p| p.part == part)?;
            let panel = &all.panels[i];
            Some(all.closed().get(i)?.at(panel.outline.bounds().center(), panel.level))
        };
        let own = front(&case.design.assembly, Part::Base);
        let there = front(&design.assembly, Part::Case(CasePart::Back));
        let Some((own, there)) = own.zip(there) else { return Vec::new() };
        let by = space(there.x - own.x, there.y - own.y, there.z - own.z);
        return tie_ways(&case.job, &case.design).into_iter().map(|way| TieWay { by, ..way }).collect();
    }
    let job = &*outer(job);
    let Some(flat) = &design.flat else { return Vec::new() };
    let of = |tie: &Tie| {
        let asked = job.ties.get(&tie.side)?;
        let to = tied_to(job, &design.measures, flat, tie.side, asked);
        let way = TieWay::of(job, design, tie, to, asked.width.to_mm() / 2.0)?;
        let long = way.length();
        // A bow sits in the middle.
        let meet = if asked.peg.is_some() { long - loop_way(job, asked, to, mm(long)).to_mm() } else { long / 2.0 };
        Some(TieWay { meet, ..way })
    };
    ties(job, &design.measures, flat).iter().filter_map(of).collect()
}

/// Ties that come out under a lid that lies over them: no bow can be tied there.
pub(super) fn remarks(job: &Job, design: &Design, all: &[Solid]) -> Vec<Diagnostic> {
    let Some(flat) = &design.flat else { return Vec::new() };
    let found = ties(job, &design.measures, flat);
    let mut said: Vec<Diagnostic> = Vec::new();
    for tie in &found {
        let covered = tie.ends.iter().filter(|end| end.part.lid().is_some()).find_map(|end| {
            let corners: Option<Vec<Space>> =
                end.slot.vertices().iter().map(|v| outlet(design, end, v.point())).collect();
            let corners = corners?;
            let is_over = |s: &&Solid| {
                s.lid().is_some()
                    && s.part != Some(end.part)
                    && corners.iter().any(|q| s.top > q.z + SAME && s.footprint.contains(pt(q.x, q.y)))
            };
            Some((end, all.iter().find(is_over)?.lid()?))
        });
        let Some((end, over)) = covered else { continue };
        let (name, over) = (tie.side.word(), over.word());
        let at = format!("ties.{name}");
        if said.iter().any(|d| d.key() == Some(at.as_str())) {
            continue;
        }
        let is_peg = job.ties.get(&tie.side).is_some_and(|t| t.peg.is_some());
        let fails = if is_peg { "no peg can be pushed through there" } else { "no bow can be tied there" };
        let message = format!(
            "closed, the {over} lid lies over a slot of the {name} lid's ties in the {}: {fails}",
            end.part.name()
        );
        let hint = if end.part.lid() == Some(tie.side) {
            format!("tie the lid that closes last instead: write [ties.{over}]")
        } else {
            format!("make ties.{name}.to_inset larger, or write ties.{name}.to = \"base\"")
        };
        said.push(Diagnostic::error("tie-covered", message).at(at).help(hint));
    }
    said
}
