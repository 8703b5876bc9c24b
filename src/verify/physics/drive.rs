//! From a machine's moves to what its tools work.

use super::turning::{Turning, Wrench};
use super::{Trace, drag, wedge};
use crate::geom::{Point, Segment};
use crate::job::StockKind;
use crate::profile::{Lift, Profile, ProgramUnit, Tool, ToolKind, ZZero};
use crate::verify::read::{Kind, Move, heading_of_x};
use std::f64::consts::TAU;

/// Below the top by less than this is not in the stock, mm: half of the last of three decimals, or of
/// four of an inch.
fn touch(profile: &Profile) -> f64 {
    match profile.output.unit {
        ProgramUnit::Mm => 5e-4,
        ProgramUnit::Inch => 5.1e-5 * ProgramUnit::Inch.length().to_mm(),
    }
}
/// Rounding of a depth, mm, below that to which a drag knife is raised to swivel.
const SWIVEL: f64 = 6e-3;
/// A blade turned by no more than this beyond its limit is not told of, degrees, beside what the last
/// decimals make.
const TURN: f64 = 0.1;

/// What the tools did.
#[derive(Clone, Debug, Default)]
pub struct Driven {
    /// Every stretch worked, in order.
    pub traces: Vec<Trace>,
    /// How far a turned blade's edge strayed outside an arc in the top face, at most, mm.
    pub arc_stray: f64,
    /// Where a blade was turned in the stock by more than its rule lets pass.
    pub wrenches: Vec<Wrench>,
}

/// The rules for a stock with a tool, a bit each.
fn rules_of(profile: &Profile, stock: StockKind, tool: &Tool) -> u64 {
    let rules = profile.rules.iter().take(64).enumerate().filter(|(_, r)| r.stock == stock && r.tool == tool.id);
    rules.fold(0, |bits, (i, _)| bits | 1 << i)
}

/// Follows the moves of a program that begins with the tool at `first` among the profile's tools.
pub fn follow(moves: &[Move], profile: &Profile, stock: StockKind, thickness: f64, first: u16) -> Driven {
    let top = match profile.machine.z_zero {
        ZZero::Bed => thickness,
        ZZero::StockTop => 0.0,
    };
    let zero = heading_of_x(&profile.machine).to_radians();
    let mut d = Drive {
        profile,
        stock,
        thickness,
        top,
        tool: first,
        on: None,
        run: 0,
        is_down: false,
        headings: profile.tools.iter().map(|t| t.start_heading.to_rad() + zero).collect(),
        pending: None,
        turning: Turning::default(),
        driven: Driven::default(),
    };
    d.driven.traces.reserve(moves.len());
    for m in moves {
        d.go(m);
    }
    d.stop();
    d.driven
}

struct Drive<'a> {
    profile: &'a Profile,
    stock: StockKind,
    thickness: f64,
    top: f64,
    tool: u16,
    on: Option<u64>,
    run: u32,
    is_down: bool,
    /// Of each drag knife, radians.
    headings: Vec<f64>,
    /// A turned blade's last stretch, where it ended, how deep and at which heading in degrees:
    /// should it stop there, its edge reaches on.
    pending: Option<(Trace, Point, f64, f64)>,
    turning: Turning,
    driven: Driven,
}

impl Drive<'_> {
    fn go(&mut self, m: &Move) {
        match m.kind {
            Kind::On { rules } => self.on = Some(rules),
            Kind::Off => {
                self.on = None;
                if !self.is_by_z() {
                    self.turning.out();
                }
            }
            Kind::Change(tool) => {
                self.stop();
                (self.tool, self.on, self.is_down) = (tool, None, false);
                self.turning.out();
            }
            Kind::Turn => {
                if self.turning.is_in() && self.is_steered() {
                    self.count(0.0, m.to.turn - m.from.turn, m);
                }
                if (m.to.turn - m.from.turn).abs() > 0.01 {
                    self.stop();
                }
            }
            Kind::Dwell(_) | Kind::End => {}
            Kind::Rapid | Kind::Line | Kind::Arc { .. } => self.way(m),
        }
    }

    /// Whether the Z axis moves the tool at work.
    fn is_by_z(&self) -> bool {
        let tool = self.profile.tools.get(usize::from(self.tool));
        self.profile.machine.z_axis && tool.is_none_or(|t| t.lift == Lift::Z)
    }

    /// Whether the machine turns the tool at work.
    fn is_steered(&self) -> bool {
        let tool = self.profile.tools.get(usize::from(self.tool));
        tool.is_some_and(|t| match t.kind {
            ToolKind::TangentialKnife => true,
            ToolKind::CreaseWheel => self.profile.output.rotary.is_some(),
            _ => false,
        })
    }

    /// Counts a turn of the blade in the stock, degrees, on a way of it, mm.
    fn count(&mut self, way: f64, turn: f64, m: &Move) {
        let profile = self.profile;
        let Some(tool) = profile.tools.get(usize::from(self.tool)) else { return };
        let may = rules_of(profile, self.stock, tool);
        let bits = if tool.on.is_empty() { may } else { may & self.on.unwrap_or(u64::MAX) };
        let rules = profile.rules.iter().take(64).enumerate().filter(|(i, _)| bits >> i & 1 == 1);
        let most = rules.map(|(_, r)| r.corner_limit.to_deg()).reduce(f64::max);
        let output = &profile.output;
        let last = 10f64.powi(-(output.decimals.min(8) as i32));
        // Rounded ends make a bend shorter than it was meant.
        let width = (tool.blade_width.to_mm() - 4.0 * output.resolution().to_mm()).max(0.0);
        let (turn, way) = self.turning.goes(way, turn, width);
        let rounding = TURN + 2.0 * last / output.rotary_scale.abs().clamp(1e-9, 1.0);
        if let Some(most) = most.filter(|most| turn > most + rounding) {
            self.driven.wrenches.push(Wrench { turn, most, way, line: m.line, place: m.to.xy() });
        }
    }

    fn way(&mut self, m: &Move) {
        let profile = self.profile;
        let Some(tool) = profile.tools.get(usize::from(self.tool)) else { return };
        let by_z = profile.machine.z_axis && tool.lift == Lift::Z;
        let depth = if by_z { (self.top - m.from.z, self.top - m.to.z) } else { (self.thickness, self.thickness) };
        let works = if by_z { depth.0.max(depth.1) > touch(profile) } else { self.on.is_some() };
        if !works {
            self.stop();
            self.is_down = false;
            self.turning.out();
            return;
        }
        if !self.is_down {
            self.run += 1;
            self.is_down = true;
        }
        if !m.goes_sideways() {
            // Straight up with the blade in the stock it has stopped; deeper it may go on.
            if m.to.z > m.from.z {
                self.stop();
            }
            let holds = if tool.kind == ToolKind::DragKnife { held_below(tool) } else { touch(profile) };
            if depth.1 > holds {
                self.turning.stands();
            } else {
                self.turning.out();
            }
            return;
        }
        let mut rules = rules_of(profile, self.stock, tool);
        if !tool.on.is_empty() || !by_z {
            // One that is not started is told by the machine's checks; what it would cut is still asked.
            rules &= self.on.unwrap_or(if by_z { u64::MAX } else { 0 });
        }
        if m.kind == Kind::Rapid {
            rules = 0;
        }
        let way = m.segment();
        let radius = tool.kerf.to_mm() / 2.0;
        let trace = Trace {
            way,
            depth,
            by_words: !by_z,
            radius,
            rules,
            tool: self.tool,
            line: m.line,
            run: self.run,
            is_edge: false,
        };
        match tool.kind {
            ToolKind::DragKnife => self.dragged(&trace, m, tool),
            ToolKind::TangentialKnife => self.turned(&trace, m, tool),
            _ => {
                if self.is_steered() {
                    self.count(trace.way.length(), m.to.turn - m.from.turn, m);
                }
                self.driven.traces.push(trace);
            }
        }
    }

    fn dragged(&mut self, trace: &Trace, m: &Move, tool: &Tool) {
        let Some(heading) = self.headings.get_mut(usize::from(self.tool)) else { return };
        let traces = &mut self.driven.traces;
        let mut turns: Vec<(f64, f64, f64)> = Vec::new();
        let mut turned = 0.0;
        drag::drag(&trace.way, heading, tool.pivot_offset.to_mm(), |way, from, to, turn| {
            let depth = (trace.depth_at(from), trace.depth_at(to));
            traces.push(Trace { way, depth, ..*trace });
            turns.push((way.length(), (turn - turned).to_degrees(), depth.0.max(depth.1)));
            turned = turn;
        });
        // One that may swivel at its full depth is let turn there.
        let shallow = held_below(tool);
        for (way, turn, depth) in turns {
            if depth > shallow && !trace.by_words {
                self.count(way, turn, m);
            } else {
                self.turning.out();
            }
        }
    }

    fn turned(&mut self, trace: &Trace, m: &Move, tool: &Tool) {
        let on_axis = self.profile.output.rotary.is_some();
        let heading = |turn: f64, way: f64| if on_axis { turn } else { way.to_degrees() };
        let start = heading(m.from.turn, trace.way.start_heading());
        // It goes on where the last stretch ended and as the blade then stood.
        if let Some((_, at, _, was)) = self.pending {
            let off = (start - was).to_radians();
            if at.distance(trace.way.start) > 1e-3 || off.rem_euclid(TAU).min((-off).rem_euclid(TAU)) > 2e-3 {
                self.stop();
            }
        }
        let beta = tool.edge_angle.to_rad();
        let stray = wedge::stray_on_arc(trace.way.radius(), trace.depth.0.max(trace.depth.1), beta);
        self.driven.arc_stray = self.driven.arc_stray.max(stray);
        self.driven.traces.push(*trace);
        let end = heading(m.to.turn, trace.way.end_heading());
        if !on_axis && let Some((.., was)) = self.pending {
            self.count(0.0, (start - was + 180.0).rem_euclid(360.0) - 180.0, m);
        }
        self.count(trace.way.length(), end - start, m);
        self.pending = Some((*trace, trace.way.end, trace.depth.1, end));
    }

    /// The blade goes no further: its edge stands ahead of where it is.
    fn stop(&mut self) {
        let Some((trace, at, depth, heading)) = self.pending.take() else { return };
        let Some(tool) = self.profile.tools.get(usize::from(trace.tool)) else { return };
        self.driven.traces.extend(wedge::ahead(&trace, at, depth, heading, tool.edge_angle.to_rad()));
    }
}

/// Deeper than this, mm, a drag knife is held by the stock: infinite for one that its owner lets
/// swivel at full depth.
fn held_below(tool: &Tool) -> f64 {
    tool.swivel_depth.map_or(f64::INFINITY, |s| s.to_mm() + SWIVEL)
}

/// Segments of the traces, for a grid over them.
pub fn ways(traces: &[Trace]) -> Vec<Segment> {
    traces.iter().map(|t| t.way).collect()
}
