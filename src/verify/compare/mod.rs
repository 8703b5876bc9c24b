//! What the tools cut against what was asked for.

mod area;
mod bed;
mod between;
mod corners;
mod direction;
mod edge;
mod floor;
mod foreign;
mod kept;
mod order;
mod passes;
mod samples;
mod side;

pub use samples::Sample;

use super::Many;
use super::grid::Grid;
use super::nominal::{Class, Nominal, Wanted};
use super::physics::{Trace, ways};
use crate::geom::{Point, Segment};
use crate::profile::{OperationKind, Profile, Rule, Tool};
use std::ops::Range;

/// The largest of something, with its place and what it is of.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// How much, mm.
    pub value: f64,
    /// Where: mm on the bed from its lower left corner, of a drawing from the sheet's.
    pub place: Point,
    /// On which line: `the outline of board-base (copy 1)`.
    pub of: String,
}

impl Worst {
    fn keep(best: &mut Option<Self>, value: f64, place: Point, of: &str) {
        if best.as_ref().is_none_or(|b| value > b.value) {
            *best = Some(Self { value, place, of: of.to_owned() });
        }
    }
}

/// What a comparison gives.
#[derive(Clone, Debug, Default)]
pub struct Comparison {
    /// The largest deviation of a cut from its nominal line.
    pub deviation: Option<Worst>,
    /// The mean of the deviations' sizes over the length compared, mm.
    pub mean: f64,
    /// How much was compared, mm.
    pub compared: f64,
    /// Length that is not cut, bridges and what the tool cannot reach left out, mm.
    pub uncut: f64,
    /// Where a slanted edge leaves the bottom uncut, as its rule wants, mm in all.
    pub uncut_below: f64,
    /// What a round tool leaves in inner corners, at most, mm, as it must.
    pub rounded: Option<Worst>,
    /// The largest overcut of the top face by a slanted edge.
    pub overcut: Option<Worst>,
    /// How many bridges hold pieces.
    pub bridges: u32,
    /// The least and the most depth of a pocket's floor, mm, where the program says it.
    pub pocket_depth: Option<(f64, f64)>,
    /// Half of the widest ridge or strip that a pocket's floor keeps, mm.
    pub ridge: f64,
    /// How many pieces were compared by area as well, and the one whose edge lies farthest from the
    /// nominal one by that.
    pub swept: u32,
    /// See `swept`.
    pub area: Option<Worst>,
    /// Length cut in waste: leads and run-ins, mm.
    pub in_waste: f64,
    /// The compared points of each line, for a picture.
    pub samples: Vec<Vec<Sample>>,
}

/// Everything that the comparisons look at.
pub struct Bench<'a> {
    /// The machine.
    pub profile: &'a Profile,
    /// What was asked.
    pub nominal: &'a Nominal,
    /// What was done.
    pub traces: &'a [Trace],
    /// The operations that this program is to do.
    pub operations: &'a [OperationKind],
    grid: Grid,
    /// The slits' segments with their pieces' places.
    slits: Vec<(Segment, usize)>,
    slit_grid: Grid,
    /// Where each run of a tool begins among the traces.
    runs: Vec<(u32, usize)>,
}

/// The size of a grid's cells, mm: a little more than what is searched round a point.
const CELL: f64 = 4.0;
/// Beyond this a cut does not serve a line that it is off, mm: the line is uncut.
const FAR: f64 = 1.0;
/// Rounding of depths in a program of two decimals, mm.
const DEPTH_SLACK: f64 = 6e-3;

impl<'a> Bench<'a> {
    /// A bench with these on it.
    pub fn new(
        profile: &'a Profile,
        nominal: &'a Nominal,
        traces: &'a [Trace],
        operations: &'a [OperationKind],
    ) -> Self {
        let grid = Grid::new(&ways(traces), CELL);
        let slits = nominal.lines.iter().filter(|l| l.class == Class::Slit);
        let slits: Vec<(Segment, usize)> =
            slits.flat_map(|l| l.stroke.segments().into_iter().map(|s| (s, l.piece))).collect();
        let slit_grid = Grid::new(&slits.iter().map(|s| s.0).collect::<Vec<_>>(), CELL);
        let mut runs: Vec<(u32, usize)> = traces.iter().zip(0..).map(|(t, i)| (t.run, i)).collect();
        runs.dedup_by_key(|r| r.0);
        Self { profile, nominal, traces, operations, grid, slits, slit_grid, runs }
    }

    /// The places of a run's traces: they follow one another, and runs are counted on.
    fn of_run(&self, run: u32) -> Range<usize> {
        let begins = |at: usize| self.runs.get(at).map_or(self.traces.len(), |r| r.1);
        let at = self.runs.partition_point(|r| r.0 < run);
        begins(at)..begins(self.runs.partition_point(|r| r.0 <= run))
    }

    /// What the proof lets pass, mm.
    pub fn tolerance(&self) -> f64 {
        self.profile.machine.tolerance.to_mm()
    }

    /// The rules for a line, a bit each, and the first of them with its tool.
    fn rules_for(&self, kind: OperationKind) -> (u64, Option<(&'a Rule, &'a Tool)>) {
        let stock = self.nominal.stock;
        let rules = self.profile.rules.iter().take(64).enumerate();
        let bits = rules.filter(|(_, r)| r.operation == kind && r.stock == stock).fold(0, |b, (i, _)| b | 1 << i);
        let first = self.profile.rule(kind, stock).map(|(r, t)| (r, &self.profile.tools[t]));
        (bits, first)
    }

    /// The kinds of operation that a trace may be.
    fn kinds(&self, trace: &Trace) -> impl Iterator<Item = (&'a Rule, OperationKind)> + use<'a> {
        let rules = trace.rules;
        let all = self.profile.rules.iter().take(64).enumerate();
        all.filter(move |(i, _)| rules >> i & 1 == 1).map(|(_, r)| (r, r.operation))
    }

    /// How deep a trace must be to serve a line.
    fn needed(&self, line: &Wanted) -> f64 {
        match line.class {
            // On the stock: any touch.
            Class::Mark | Class::Crease => 0.0,
            _ => line.depth - DEPTH_SLACK,
        }
    }

    /// The lines that this program is to work.
    fn lines(&self) -> impl Iterator<Item = (usize, &'a Wanted)> + '_ {
        self.nominal.lines.iter().enumerate().filter(|(_, w)| self.operations.contains(&w.class.kind()))
    }
}

impl Bench<'_> {
    /// The operations of which the traces work most of the lines, whether they were asked for or not.
    pub(super) fn kinds_worked(&self) -> Vec<OperationKind> {
        let is_worked = |kind: &OperationKind| {
            let (rules, first) = self.rules_for(*kind);
            let radius = first.map_or(0.0, |(rule, tool)| (tool.kerf.to_mm() + rule.double.to_mm()) / 2.0);
            let reach = radius + 2.0 * self.tolerance();
            let (mut asked, mut reached) = (0usize, 0usize);
            for line in self.nominal.lines.iter().filter(|l| l.class.kind() == *kind) {
                for sample in samples::along(&line.stroke, APART) {
                    asked += 1;
                    let mut is_reached = false;
                    self.grid.near(sample.place, reach, |i| {
                        let t = &self.traces[i as usize];
                        is_reached |= !t.is_edge
                            && t.rules & rules != 0
                            && t.way.distance_to(sample.place) <= reach
                            && (t.by_words || t.depth.0.max(t.depth.1) >= self.needed(line));
                    });
                    reached += usize::from(is_reached);
                }
            }
            asked > 0 && reached * 2 > asked
        };
        OperationKind::ALL.into_iter().filter(is_worked).collect()
    }
}

/// How far apart lines are asked whether they were worked, mm.
const APART: f64 = 5.0;

/// Compares everything; what is wrong goes to `out`.
pub(super) fn compare(bench: &Bench<'_>, out: &mut Many) -> Comparison {
    let mut all = Comparison::default();
    let times = edge::lines(bench, &mut all, out);
    foreign::cuts(bench, &mut all, out);
    passes::passes(bench, out);
    floor::pockets(bench, &mut all, out);
    order::order(bench, &times, out);
    direction::directions(bench, out);
    bed::on_the_sheet(bench, out);
    area::areas(bench, &mut all, out);
    all
}
