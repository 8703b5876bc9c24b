//! How surely the box closes, made by a hand or a machine that is out by its tolerances.
//!
//! A box closes as it is dressed if no joint binds, every lid's wall (with what its joints give) is high
//! enough for the measured stack, and no lid meets a wall beside or across from it. Each of these is a
//! room that errors use up; the errors are normal, a tolerance two standard deviations, the board's
//! thickness alike in the whole box. For a given thickness the rooms are independent but for lids that lie
//! beside the same wall, which share its edge of the base and its joint: the whole is the mean over the
//! thickness of the product of the means over these (derived). A brute count of boxes is held against it
//! in the tests.

use super::closed::{dressed, patched, patched_room, swing_room};
use super::mend::values;
use super::trays::with_trays;
use super::{portfolio, slipcase};
use crate::design::{
    Design, Deviations, Measures, bases_between, binds, mean_over, outer, slides_at, thicknesses, trays,
};
use crate::job::{Job, Seat, Side};
use crate::units::{Length, Unit, tidy};
use serde::Serialize;

/// How surely a box closes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Closing {
    /// The share of boxes that close as they are dressed, 0 to 1.
    pub share: f64,
    /// What fails first, where more than one box in a thousand does not close.
    pub first: Option<Risk>,
}

/// One thing that may keep a box from closing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Risk {
    /// What fails.
    pub what: Failing,
    /// At which lid.
    pub side: Side,
    /// The share of boxes in which it does.
    pub share: f64,
    /// The key that mends it, and the value at which 995 of 1,000 boxes close, or as many as can.
    pub mend: Option<Mend>,
}

/// A setting that mends a risk.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mend {
    /// The key in the job.
    pub key: String,
    /// What to write there.
    pub value: Length,
    /// The share of boxes that close then.
    pub share: f64,
}

/// What may keep a box from closing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Failing {
    /// The joint at the foot of a wall binds.
    FootJoint,
    /// The joint between wall and lid binds.
    LidJoint,
    /// The wall is too low for the stack and what lies on it.
    LowWall,
    /// The lid meets a wall beside it.
    LidSide,
    /// The lid's free edge meets the wall across.
    LidEdge,
    /// The joint between a case's spine and its back cover binds.
    BackJoint,
    /// The joint between a case's spine and its front cover binds.
    FrontJoint,
    /// The spine of a case is too narrow for what is within.
    NarrowSpine,
    /// The small tray does not go into the large one.
    Trays,
    /// The works bind at the mouth of a slipcase.
    Mouth,
}

/// A room and what uses it up, mm.
#[derive(Clone, Copy, Debug)]
struct Margin {
    what: Failing,
    side: Side,
    /// What is left where nothing is out.
    room: f64,
    /// By how much it shrinks where every board is a millimetre thicker.
    per_board: f64,
    /// The standard deviation of all other errors together.
    deviation: f64,
    /// Whether what the joints give by rising adds to it.
    rises: bool,
    /// How much it grows with every millimetre that all joints are wider.
    per_joint: f64,
    /// The side whose wall and edge of the base other rooms hang on as well, and the standard deviation of
    /// what they share.
    shared: Option<(Side, f64)>,
}

/// How surely a box of this design closes.
pub fn closing(job: &Job, design: &Design) -> Closing {
    let job = &*outer(job);
    if let Some(closing) = slipcase::closing(job) {
        return closing;
    }
    let d = Deviations::of(job);
    let own = margins(job, design, &d);
    let alone = as_hinged(job, design, &own, &d);
    match (job.within(), &design.case) {
        (Some(_), _) if job.trays.is_some() => with_trays(alone, job, all(job, design, &own, &d)),
        (Some(_), _) => portfolio::case_closing(alone),
        (None, Some(case)) => {
            let of_case = closing(&case.job, &case.design);
            portfolio::with_case(alone, of_case, all(job, design, &own, &d))
        }
        (None, None) => alone,
    }
}

/// How surely its hinged boards close.
fn as_hinged(job: &Job, design: &Design, margins: &[Margin], d: &Deviations) -> Closing {
    let joint = design.measures.joint.to_mm();
    let share = whole(job, &design.measures, joint, margins, d);
    let alone = |m: &Margin| {
        let of_all = |thicker: f64, shared: f64| fails(job, &design.measures, joint, m, thicker, shared, d);
        let over_shared =
            |thicker: f64| m.shared.map_or(of_all(thicker, 0.0), |(_, sd)| over_nine(sd, |x| of_all(thicker, x)));
        mean_over(d.board, over_shared)
    };
    let worst = margins.iter().map(|m| (alone(m), m)).fold(None, |best: Option<(f64, &Margin)>, next| {
        if best.is_none_or(|b| next.0 > b.0) { Some(next) } else { best }
    });
    let first = worst.filter(|_| share < 0.999).map(|(share, m)| Risk {
        what: m.what,
        side: m.side,
        share: tidy(share, 6),
        mend: mend(job, design, margins, d, m),
    });
    Closing { share: tidy(share, 6), first }
}

/// The share of boxes that close as they are dressed where every edge is marked at the nearest line of a rule
/// ([`Unit::bench_step`]) instead of where it should be: one more error of each cut edge, see
/// [`Deviations::rounded`].
pub fn closing_by_marks(job: &Job, design: &Design) -> f64 {
    let job = &*outer(job);
    let d = Deviations::of(job).rounded(job.units.bench_step());
    if let Some(share) = slipcase::share(job, &d) {
        return tidy(share, 6);
    }
    tidy(all(job, design, &margins(job, design, &d), &d), 6)
}

/// The share of boxes that close, with the trays or the case that they have: all are of one board, so that where it is
/// thicker than measured it is so in all of them.
fn all(job: &Job, design: &Design, own: &[Margin], d: &Deviations) -> f64 {
    let pair = job.within().and_then(|_| trays(job));
    let case = design.case.as_ref().map(|case| (case, margins(&case.job, &case.design, d)));
    let closes = |job: &Job, measures: &Measures, margins: &[Margin], thicker: f64| {
        closing_at(job, measures, measures.joint.to_mm(), margins, d, thicker)
    };
    mean_over(d.board, |thicker| {
        let slides = pair.as_ref().map_or(1.0, |pair| slides_at(job, pair.slide, d, thicker));
        let of_case =
            case.as_ref().map_or(1.0, |(case, margins)| closes(&case.job, &case.design.measures, margins, thicker));
        closes(job, &design.measures, own, thicker) * slides * of_case
    })
}

/// The share of boxes in which no room is used up, where all joints are so wide, mm.
fn whole(job: &Job, measures: &Measures, joint: f64, margins: &[Margin], d: &Deviations) -> f64 {
    mean_over(d.board, |thicker| closing_at(job, measures, joint, margins, d, thicker))
}

/// The same of those whose board is so much thicker than measured, mm.
fn closing_at(job: &Job, measures: &Measures, joint: f64, margins: &[Margin], d: &Deviations, thicker: f64) -> f64 {
    let holds = |m: &Margin, shared: f64| 1.0 - fails(job, measures, joint, m, thicker, shared, d);
    let alone: f64 = margins.iter().filter(|m| m.shared.is_none()).map(|m| holds(m, 0.0)).product();
    let beside = |side: Side| {
        let own = |m: &&Margin| m.shared.is_some_and(|s| s.0 == side);
        let deviation = margins.iter().find(own).and_then(|m| m.shared).map_or(0.0, |s| s.1);
        over_nine(deviation, |x| margins.iter().filter(own).map(|m| holds(m, x)).product())
    };
    alone * Side::ALL.into_iter().map(beside).product::<f64>()
}

/// The mean of `f` over a normal law of this deviation: nine points of Gauss and Hermite (Abramowitz and
/// Stegun, table 25.10, there for the weight exp(-x^2); here for the normal law).
fn over_nine(deviation: f64, f: impl Fn(f64) -> f64) -> f64 {
    const POINTS: [(f64, f64); 5] = [
        (0.0, 0.406_349_206_349_206_3),
        (1.023_255_663_789_133, 0.244_097_502_894_939_4),
        (2.076_847_978_677_83, 0.049_916_406_765_217_9),
        (3.205_429_002_856_47, 0.002_789_141_321_231_8),
        (4.512_745_863_399_783, 0.000_022_345_844_007_7),
    ];
    if deviation <= 0.0 {
        return f(0.0);
    }
    POINTS.iter().map(|(x, w)| if *x == 0.0 { w * f(0.0) } else { w * (f(x * deviation) + f(-x * deviation)) }).sum()
}

/// The chance that one room is used up where the board is so much thicker than measured, what it shares
/// with others out by `shared`, and all joints `joint` wide.
fn fails(job: &Job, measures: &Measures, joint: f64, m: &Margin, thicker: f64, shared: f64, d: &Deviations) -> f64 {
    let wider = joint - measures.joint.to_mm();
    let room = m.room + m.per_joint * wider - m.per_board * thicker + shared;
    let unlifted = binds(room, 0.0, m.deviation);
    // What joints give by rising only helps.
    if !m.rises || !job.build.construction.terms().is_hinged || unlifted < 1e-9 {
        return unlifted;
    }
    // Two joints rise, each by what its own width gives: five points of Gauss and Hermite for each
    // (Abramowitz and Stegun, table 25.10), exact for polynomials of the ninth degree.
    const POINTS: [(f64, f64); 5] = [
        (-2.856_970_013_872_806, 0.011_257_411_327_720_7),
        (-1.355_626_179_974_266, 0.222_075_922_005_612_6),
        (0.0, 0.533_333_333_333_333_3),
        (1.355_626_179_974_266, 0.222_075_922_005_612_6),
        (2.856_970_013_872_806, 0.011_257_411_327_720_7),
    ];
    let (g, te) = (joint, measures.joint_thickness.to_mm() + thicker);
    let rise = |width: f64| match job.build.seat {
        Seat::Beside => (width * width - te * te).max(0.0).sqrt(),
        Seat::OnBase => (width - te).max(0.0),
    };
    let mut chance = 0.0;
    for (x, wx) in POINTS {
        for (y, wy) in POINTS {
            let lifted = rise(g + x * d.spacer) + rise(g + y * d.spacer);
            chance += wx * wy * binds(room + lifted, 0.0, m.deviation);
        }
    }
    chance
}

/// Every room of a closed box.
fn margins(job: &Job, design: &Design, d: &Deviations) -> Vec<Margin> {
    let m = &design.measures;
    let (_, c, l) = thicknesses(job);
    // Turn-in and liner, and where there are some hinge strip and folded edge.
    let on_wall = c + l + job.strip() + job.folded();
    let is_hinged = job.build.construction.terms().is_hinged;
    let solids = if is_hinged { dressed(job, &design.assembly) } else { Vec::new() };
    let double = if is_hinged { patched(&design.assembly) } else { Vec::new() };
    let (cut, spacer) = (d.cut, d.spacer);
    let root = |squares: f64| squares.sqrt();
    let mut all = Vec::new();
    for (side, lower) in &m.lower_tiers {
        let lower = f64::from(*lower);
        if is_hinged {
            let room = (m.joint - m.joint_thickness).to_mm();
            for what in [Failing::FootJoint, Failing::LidJoint] {
                let rest = Margin {
                    rises: false,
                    per_joint: 1.0,
                    shared: None,
                    per_board: 1.0,
                    what,
                    side: *side,
                    room,
                    deviation: spacer,
                };
                all.push(rest);
            }
        }
        // Two edges of the wall; base, own lid and every lid beneath thicken with the board.
        let of = |map: &std::collections::BTreeMap<Side, Length>| map.get(side).copied().unwrap_or_default();
        let spare = of(&m.walls) - of(&m.needed) + job.contents.clearance.depth;
        let per_board = match (is_hinged, job.build.seat) {
            (true, Seat::Beside) => lower + 2.0,
            (true, Seat::OnBase) => lower,
            (false, _) => lower + 1.0,
        } + f64::from(job.within().and_then(|w| w.wrapper).unwrap_or_default() + bases_between(job));
        all.push(Margin {
            what: Failing::LowWall,
            side: *side,
            room: spare.to_mm(),
            per_board,
            deviation: root(2.0 * cut * cut),
            rises: true,
            per_joint: 0.0,
            shared: None,
        });
        // A lid beside a wall that stands up past it: its edge, the base's edge, that wall's joint.
        for beside in Side::ALL.into_iter().filter(|s| s != side && *s != side.opposite()) {
            let stands_higher = m.lower_tiers.get(&beside).is_some_and(|n| f64::from(*n) >= lower);
            if !stands_higher || !is_hinged {
                continue;
            }
            let to_wall = match job.build.seat {
                Seat::Beside => (m.joint - job.board.thickness).to_mm(),
                Seat::OnBase => on_wall.to_mm(),
            };
            let once = m.flap_inset.to_mm() + to_wall - c.to_mm() - on_wall.to_mm();
            let room = patched_room(&solids, &double, *side, beside).map_or(once, |twice| once.min(twice));
            let per_joint = if job.build.seat == Seat::Beside { 1.0 } else { 0.0 };
            all.push(Margin {
                what: Failing::LidSide,
                side: *side,
                room,
                per_board: 1.0,
                deviation: cut,
                rises: false,
                per_joint,
                shared: Some((beside, root(cut * cut + per_joint * spacer * spacer))),
            });
        }
        if let Some(room) = swing_room(&solids, *side) {
            // Two edges each of lid and base, three joints.
            let (joints, per_joint) = if job.build.seat == Seat::Beside { (3.0, 1.0) } else { (0.0, 0.0) };
            let deviation = root(4.0 * cut * cut + joints * spacer * spacer);
            all.push(Margin {
                what: Failing::LidEdge,
                side: *side,
                room,
                per_board: 1.0,
                deviation,
                rises: false,
                per_joint,
                shared: None,
            });
        }
    }
    all
}

/// The setting that lets 995 of 1,000 boxes close, or half of those that would not where that is more,
/// found in steps of a tenth of a millimetre or of five thousandths of an inch; `None` where five
/// millimetres do not help as much.
fn mend(job: &Job, design: &Design, margins: &[Margin], d: &Deviations, worst: &Margin) -> Option<Mend> {
    let m = &design.measures;
    let is_joint = matches!(worst.what, Failing::FootJoint | Failing::LidJoint);
    let joint = m.joint.to_mm();
    let with = |more: f64| {
        if is_joint {
            return whole(job, m, joint + more, margins, d);
        }
        let changed: Vec<Margin> = margins
            .iter()
            .map(|a| if a.what == worst.what { Margin { room: a.room + more, ..*a } } else { *a })
            .collect();
        whole(job, m, joint, &changed, d)
    };
    let halved = 1.0 - (1.0 - with(0.0)) / 2.0;
    // Where nothing lets so many close, what lets most of them that it can.
    let most = with(5.0);
    if most < halved {
        return None;
    }
    let enough = halved.max(0.995).min(most);
    let (key, from, sign) = match worst.what {
        Failing::FootJoint | Failing::LidJoint => ("box.joint".to_owned(), m.joint, 1.0),
        Failing::LowWall => {
            let wall = m.walls.get(&worst.side).copied().unwrap_or_default();
            let lower = f64::from(m.lower_tiers.get(&worst.side).copied().unwrap_or_default());
            let extra = if job.strips.is_some() {
                wall - job.contents.interior_depth()
            } else {
                wall - job.wall_from() - m.step * lower
            };
            (job.wall_key(worst.side), extra, 1.0)
        }
        // These are told of a whole box of trays or a slipcase, and never mended here.
        Failing::BackJoint | Failing::FrontJoint | Failing::NarrowSpine | Failing::Trays | Failing::Mouth => {
            return None;
        }
        Failing::LidSide => ("box.flap_inset".to_owned(), m.flap_inset, 1.0),
        Failing::LidEdge => (job.reach_key(worst.side), m.reach.get(&worst.side).copied().unwrap_or_default(), -1.0),
    };
    values(job.units, from, sign, 50).find_map(|value| {
        let share = with((value - from).to_mm() * sign);
        (share >= enough - 1e-6).then(|| Mend { key: key.clone(), value, share: tidy(share, 6) })
    })
}

impl Failing {
    /// What happens, in words: `the right lid's joint binds`.
    pub fn tell(self, side: Side) -> String {
        let lid = side.word();
        match self {
            Self::FootJoint => format!("the joint at the foot of the {lid} wall binds"),
            Self::LidJoint => format!("the joint of the {lid} lid binds"),
            Self::LowWall => format!("the {lid} wall is too low"),
            Self::LidSide => format!("the {lid} lid meets a wall beside it"),
            Self::LidEdge => format!("the free edge of the {lid} lid meets the wall across"),
            Self::BackJoint => "the joint between spine and back cover binds".into(),
            Self::FrontJoint => "the joint between spine and front cover binds".into(),
            Self::NarrowSpine => "the spine is too narrow for what is within".into(),
            Self::Trays => "one tray does not go into the other".into(),
            Self::Mouth => "the works bind at the mouth".into(),
        }
    }
}

impl Closing {
    /// How surely the box closes, as a sentence without its end, its lengths in `unit`.
    pub fn tell(&self, unit: Unit) -> String {
        let Some(risk) = &self.first else { return "less than one box in 1,000 binds".into() };
        let mend = risk.mend.as_ref().map_or(String::new(), |m| {
            format!("; {} = \"{}\" makes it {}", m.key, unit.show(m.value), odds(1.0 - m.share))
        });
        format!("{} as dressed: first {}{mend}", told_failing(1.0 - self.share), risk.what.tell(risk.side))
    }
}

/// A share of boxes that do not close, as a sentence without its end: `one box in four does not close`.
pub fn told_failing(share_that_fails: f64) -> String {
    let told = odds(share_that_fails);
    match told.as_str() {
        "every box" => "no box closes".into(),
        "most boxes" => "most boxes do not close".into(),
        _ => format!("{told} does not close"),
    }
}

/// A share of boxes in words, where it fails: `one box in four`.
pub fn odds(share_that_fails: f64) -> String {
    const WORDS: [&str; 9] = ["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    match 1.0 / share_that_fails.max(1e-12) {
        n if n < 1.05 => "every box".into(),
        n if n < 1.5 => "most boxes".into(),
        n if n < 10.5 => format!("one box in {}", WORDS[(n.round() as usize).clamp(2, 10) - 2]),
        n if n < 100.0 => format!("one box in {}", (n / 5.0).round() * 5.0),
        n if n < 1000.0 => format!("one box in {}", (n / 50.0).round() * 50.0),
        _ => "less than one box in 1,000".into(),
    }
}
