//! Random jobs, the same for the same seed: what a maker might write, and a little beyond it.

use super::dice::Dice;
use std::fmt::Write as _;

/// A random job. Its lengths are kept in mm, so that the same job can be written at another scale;
/// every length of a default with a size of its own is written out.
#[derive(Clone, Debug)]
pub(crate) struct RandomJob {
    pub(crate) construction: &'static str,
    pub(crate) on_base: bool,
    size: [f64; 3],
    clearance: [f64; 3],
    pub(crate) board: f64,
    cloth: f64,
    pub(crate) liner: Option<f64>,
    pub(crate) panels: bool,
    /// How far hinge strips lap, where they line the joints.
    strip_lap: Option<f64>,
    /// How far the edges of the lining are folded under, where they are.
    lining_fold: Option<f64>,
    /// joint, step, wall_extra where they are given.
    pub(crate) given: [Option<f64>; 3],
    /// Whether ease and inset are left to the program.
    pub(crate) is_auto: bool,
    ease: f64,
    inset: f64,
    flaps: Vec<Lid>,
    strips: [[f64; 2]; 2],
    outer: &'static str,
    turn_in: f64,
    reveal: f64,
    pub(crate) strap: bool,
    strap_along: &'static str,
}

#[derive(Clone, Debug)]
struct Lid {
    side: &'static str,
    tier: u32,
    reach: f64,
    shape: Shape,
    radius: f64,
}

#[derive(Clone, Copy, Debug)]
enum Shape {
    Square,
    Taper(f64),
    Bow(f64),
}

impl Dice {
    /// Between two numbers, in steps of a hundredth.
    fn within(&mut self, low: f64, high: f64) -> f64 {
        let share = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    }

    fn chance(&mut self, one_in: u64) -> bool {
        self.next().is_multiple_of(one_in)
    }

    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.next() % all.len() as u64) as usize]
    }
}

impl RandomJob {
    pub(crate) fn new(seed: u64) -> Self {
        let mut d = Dice(seed.wrapping_mul(0x2545_F491_4F6C_DD1D) ^ 0x5EA5_1DE5);
        let construction = d.of(&["hinged-boards", "hinged-boards", "creased-board", "crossed-strips"]);
        let is_hinged = construction == "hinged-boards";
        let size = [d.within(60.0, 420.0), d.within(60.0, 420.0), d.within(1.0, 60.0)];
        let board = if is_hinged { d.within(0.8, 4.0) } else { d.within(0.2, 1.5) };
        let given = if d.chance(4) {
            [d.within(0.5, 9.0), d.within(0.0, 5.0), d.within(-2.0, 9.0)].map(|v| d.chance(2).then_some(v))
        } else {
            [None; 3]
        };
        Self {
            construction,
            on_base: is_hinged && d.chance(2),
            size,
            clearance: [d.within(0.0, 4.0), d.within(0.0, 4.0), d.within(0.0, 3.0)],
            board,
            cloth: d.within(0.0, 0.6),
            liner: d.chance(2).then(|| d.within(0.0, 0.4)),
            panels: d.chance(2),
            strip_lap: None,
            lining_fold: None,
            given,
            ease: d.within(0.0, 1.0),
            inset: d.within(0.0, 2.5),
            flaps: flaps(&mut d, size),
            strips: [[d.within(10.0, 100.0), d.within(10.0, 100.0)], [d.within(10.0, 100.0), d.within(10.0, 100.0)]],
            outer: d.of(&["height", "width"]),
            turn_in: d.within(8.0, 20.0),
            reveal: d.within(1.0, 7.0),
            strap: d.chance(3),
            strap_along: d.of(&["height", "width"]),
            // Last, so that what was drawn before it stays as it was.
            is_auto: d.chance(3),
        }
    }

    /// A random job with more of what makes a box hard to fold: thick cloth, low walls, lids of full reach, one
    /// lid alone.
    #[allow(dead_code, reason = "the bench has no use for it")]
    pub(crate) fn for_folding(seed: u64) -> Self {
        let mut job = Self::new(seed);
        let mut d = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x0F01_DED0);
        if d.chance(4) {
            job.cloth = d.within(0.6, 1.2);
        }
        if d.chance(4) {
            job.size[2] = d.within(0.5, 6.0);
        }
        if d.chance(4) {
            job.flaps.truncate(1);
        }
        if d.chance(4) {
            for (k, lid) in job.flaps.iter_mut().enumerate() {
                // Opposite lids that share a tier would meet.
                lid.tier = k as u32 + 1;
                lid.reach = 100.0;
            }
        }
        job
    }

    /// A random box of hinged boards, its liner a paper or as thick as felt: its joints lined with hinge strips, the edges
    /// of its lining folded under, or both.
    #[allow(dead_code, reason = "the bench has no use for it")]
    pub(crate) fn with_lining(seed: u64) -> Self {
        let mut job = Self::for_folding(seed);
        let mut d = Dice(seed.wrapping_mul(0xD6E8_FEB8_6659_FD93) ^ 0x0A11_0C8D);
        job.construction = "hinged-boards";
        job.on_base = d.chance(2);
        job.board = d.within(0.8, 4.0);
        job.liner = Some(if d.chance(4) { d.within(0.4, 2.0) } else { d.within(0.0, 0.4) });
        job.strip_lap = Some(d.within(8.0, 25.0));
        job.panels = false;
        match d.next() % 3 {
            0 => {}
            1 => job.lining_fold = Some(d.within(5.0, 10.0)),
            _ => {
                (job.strip_lap, job.lining_fold) = (None, Some(d.within(5.0, 16.0)));
                // A liner in one is folded under where no two walls meet.
                let is_across = |side: &str| matches!(side, "left" | "right");
                let first = job.flaps.first().is_some_and(|lid| is_across(lid.side));
                job.flaps.retain(|lid| is_across(lid.side) == first);
            }
        }
        job
    }

    /// With linings that are cut to size, none folded under.
    #[allow(dead_code, reason = "the bench has no use for it")]
    pub(crate) fn cut_to_size(self) -> Self {
        Self { lining_fold: None, ..self }
    }

    /// The side of the one lid that closes last and how far it reaches, mm, where cloth hinges it.
    #[allow(dead_code, reason = "the bench has no use for it")]
    pub(crate) fn last_lid(&self) -> Option<(&'static str, f64)> {
        let last = self.flaps.iter().map(|l| l.tier).max().filter(|_| self.construction == "hinged-boards")?;
        let lid = self.flaps.iter().find(|l| l.tier == last)?;
        let along = if ["left", "right"].contains(&lid.side) { self.size[0] } else { self.size[1] };
        Some((lid.side, along * lid.reach / 100.0))
    }

    /// Left and right swapped.
    #[allow(dead_code, reason = "the bench has no use for it")]
    pub(crate) fn mirrored(&self) -> Self {
        let mut other = self.clone();
        for lid in &mut other.flaps {
            lid.side = match lid.side {
                "left" => "right",
                "right" => "left",
                same => same,
            };
        }
        other
    }

    /// The job file, every length times `scale`.
    pub(crate) fn toml(&self, scale: f64) -> String {
        let s = |v: f64| v * scale;
        let [w, h, d] = self.size.map(s);
        let [cw, ch, cd] = self.clearance.map(s);
        let mut text = format!(
            "format = 1\ntitle = 'Random'\n[contents]\nwidth = {w}\nheight = {h}\ndepth = {d}\n\
             clearance = {{ width = {cw}, height = {ch}, depth = {cd} }}\n\
             [board]\nthickness = {}\ngrammage = 700\nsheet = {{ width = {}, height = {} }}\n\
             [elastic]\nwidth = {}\nthickness = {}\n",
            s(self.board),
            s(2000.0),
            s(3000.0),
            s(8.0),
            s(0.8),
        );
        let is_hinged = self.construction == "hinged-boards";
        if is_hinged {
            let _ = write!(text, "[cloth]\nthickness = {}\n", s(self.cloth));
        }
        if let (Some(liner), true) = (self.liner, self.construction != "crossed-strips") {
            let pieces = match self.strip_lap {
                Some(_) => "hinge-strips",
                None if self.panels => "panels",
                None => "one",
            };
            let _ = write!(text, "[liner]\nthickness = {}\npieces = '{pieces}'\n", s(liner));
            if let Some(lap) = self.strip_lap {
                let _ = writeln!(text, "strip_lap = {}", s(lap));
            }
            if let Some(fold) = self.lining_fold {
                let _ = writeln!(text, "turn_in = {}", s(fold));
            }
        }
        let _ = writeln!(text, "[box]\nconstruction = '{}'", self.construction);
        if !self.is_auto {
            let _ = write!(text, "ease = {}\nflap_inset = {}\n", s(self.ease), s(self.inset));
        }
        if self.on_base {
            text.push_str("seat = 'on-base'\n");
        }
        for (key, value) in ["joint", "step", "wall_extra"].iter().zip(self.given) {
            if let Some(value) = value {
                let _ = writeln!(text, "{key} = {}", s(value));
            }
        }
        let _ = write!(text, "[covering]\nturn_in = {}\nreveal = {}\n", s(self.turn_in), s(self.reveal));
        if self.strap {
            let _ = write!(
                text,
                "[strap]\nalong = '{}'\ninset = {}\nfrom_edge = {}\ntail = {}\nslot_ease = {}\n",
                self.strap_along,
                s(15.0),
                s(25.0),
                s(12.0),
                s(0.5)
            );
        }
        if self.construction == "crossed-strips" {
            let [height, width] = self.strips;
            let _ = write!(
                text,
                "[strips]\nouter = '{}'\n[strips.height]\nfirst = '{} %'\nlast = '{} %'\n\
                 [strips.width]\nfirst = '{} %'\nlast = '{} %'\n",
                self.outer, height[0], height[1], width[0], width[1]
            );
            return text;
        }
        for lid in &self.flaps {
            let _ = write!(text, "[flap.{}]\ntier = {}\nreach = '{} %'\n", lid.side, lid.tier, lid.reach);
            match lid.shape {
                Shape::Square => {}
                Shape::Taper(degrees) => {
                    let _ = write!(text, "shape = 'taper'\ntaper = {degrees}\n");
                }
                Shape::Bow(rise) => {
                    let _ = write!(text, "shape = 'bow'\nbow = {}\n", s(rise));
                }
            }
            let _ = writeln!(text, "corner_radius = {}", s(lid.radius));
        }
        text
    }
}

/// One to four lids, each in a tier of its own or opposite ones in one.
fn flaps(d: &mut Dice, size: [f64; 3]) -> Vec<Lid> {
    let mut sides = ["left", "right", "tail", "head"];
    for i in (1..4).rev() {
        sides.swap(i, (d.next() % (i as u64 + 1)) as usize);
    }
    let count = 1 + (d.next() % 4) as usize;
    let shares = d.chance(2);
    let mut lids: Vec<Lid> = Vec::new();
    for side in sides.into_iter().take(count) {
        let opposite = |l: &Lid| {
            matches!((l.side, side), ("left", "right") | ("right", "left") | ("tail", "head") | ("head", "tail"))
        };
        let last = lids.iter().map(|l| l.tier).max().unwrap_or(0);
        let partner = lids.iter().position(opposite).filter(|_| shares);
        let tier = partner.map_or(last + 1, |p| lids[p].tier);
        let reach = if shares { d.within(20.0, 48.0) } else { d.within(20.0, 100.0) };
        let shape = match d.next() % 4 {
            0 => Shape::Taper(d.within(0.0, 12.0)),
            1 => Shape::Bow(d.within(1.0, size[0].min(size[1]) / 8.0)),
            _ => Shape::Square,
        };
        lids.push(Lid { side, tier, reach, shape, radius: if d.chance(2) { d.within(0.0, 8.0) } else { 0.0 } });
    }
    lids
}
