//! How many boxes a sheet takes where pieces are irregular, against a reference heuristic given the same time.
//!
//! ```text
//! tests/run layout_references::     # once: fetches the references
//! cargo bench --bench irregular          # with `-- bows` only the cases whose names hold that
//! ```
//!
//! Twenty jobs of tapered, bowed, crossed and drawn lids, and sets of irregular pieces from the literature
//! (`irregular.json` says which). Of every stock whose pieces are irregular as many boxes are laid on one sheet as go
//! there; then the reference (spyrrow, a strip packer on the collision engine jagua-rs) is asked for one box more on a
//! strip as wide as the sheet, on one core as we are, in the time that our last try took, in whole seconds, and at least one. Where that is no longer
//! than the sheet, we take a sheet more than the reference does. With `LAYOUT_EFFORT=200` ours is given more time.

#![allow(clippy::print_stdout, clippy::unwrap_used, clippy::panic, reason = "a bench")]

use flapwright::design::{Piece, Role, design};
use flapwright::diag::Source;
use flapwright::geom::{Contour, pt};
use flapwright::job::{self, Grain, Job, Stock, StockKind};
use flapwright::nest::nest;
use flapwright::units::mm;
use serde_json::Value;
use std::fmt::Write as _;
use std::process::ExitCode;
use std::time::Instant;

#[path = "common/packer.rs"]
mod packer;

/// Pieces that leave less than this of their rectangles are rectangles.
const HARDLY_ANY: f64 = 0.015;
/// No sheet is tried with more boxes than this.
const MOST: u32 = 60;

struct Case {
    name: String,
    job: Job,
    pieces: Vec<Piece>,
    kind: StockKind,
}

/// The lids of a case, each with its side and keys; a wave stands for a drawing.
struct Lids(&'static str, [f64; 3], f64, &'static [(&'static str, &'static str)]);

const TAPERS: [(&str, &str); 2] =
    [("right", "reach = '60 %'\nshape = 'taper'\ntaper = 9"), ("left", "reach = '95 %'\nshape = 'taper'\ntaper = 7")];
const STEEP: [(&str, &str); 2] = [
    ("head", "reach = '45 %'\nshape = 'taper'\ntaper = 14\ncorner_radius = 5"),
    ("tail", "reach = '90 %'\nshape = 'taper'\ntaper = 10"),
];
const BOWS: [(&str, &str); 2] =
    [("right", "reach = '50 %'\nshape = 'bow'\nbow = 24"), ("left", "reach = '90 %'\nshape = 'bow'\nbow = -16")];
const ARCHES: [(&str, &str); 1] = [("left", "reach = '100 %'\nshape = 'bow'\nbow = 40\ncorner_radius = 6")];
const CROSS: [(&str, &str); 4] =
    [("head", "reach = '40 %'"), ("tail", "reach = '50 %'"), ("left", "reach = '55 %'"), ("right", "reach = '95 %'")];
const SLIM: [(&str, &str); 4] = [
    ("head", "reach = '35 %'\nshape = 'taper'\ntaper = 5"),
    ("tail", "reach = '35 %'\nshape = 'taper'\ntaper = 5"),
    ("left", "reach = '90 %'"),
    ("right", "reach = '45 %'\nshape = 'bow'\nbow = 20"),
];
const WAVES: [(&str, &str); 2] = [("left", "wave = 14"), ("right", "wave = 14")];
const CRESTS: [(&str, &str); 3] = [("head", "reach = '50 %'"), ("tail", "wave = 25"), ("left", "wave = 10")];

/// Contents and sheet are made so that a few boxes go on each sheet.
const LIDS: [Lids; 20] = [
    Lids("tapers 1", [105.0, 148.0, 8.0], 2.0, &TAPERS),
    Lids("tapers 2", [148.0, 210.0, 15.0], 2.5, &TAPERS),
    Lids("tapers 3", [120.0, 120.0, 20.0], 2.0, &STEEP),
    Lids("tapers 4", [90.0, 130.0, 6.0], 1.5, &STEEP),
    Lids("tapers 5", [180.0, 135.0, 30.0], 3.0, &STEEP),
    Lids("bows 1", [105.0, 148.0, 8.0], 2.0, &BOWS),
    Lids("bows 2", [160.0, 160.0, 12.0], 2.5, &BOWS),
    Lids("bows 3", [110.0, 170.0, 25.0], 2.0, &ARCHES),
    Lids("bows 4", [140.0, 100.0, 10.0], 2.0, &ARCHES),
    Lids("bows 5", [95.0, 125.0, 18.0], 1.5, &BOWS),
    Lids("crosses 1", [105.0, 148.0, 12.0], 2.0, &CROSS),
    Lids("crosses 2", [148.0, 105.0, 20.0], 2.0, &CROSS),
    Lids("crosses 3", [90.0, 90.0, 30.0], 1.5, &CROSS),
    Lids("crosses 4", [120.0, 165.0, 10.0], 2.5, &SLIM),
    Lids("crosses 5", [100.0, 140.0, 16.0], 2.0, &SLIM),
    Lids("drawn 1", [105.0, 148.0, 8.0], 2.0, &WAVES),
    Lids("drawn 2", [148.0, 210.0, 15.0], 2.0, &WAVES),
    Lids("drawn 3", [120.0, 120.0, 20.0], 2.5, &CRESTS),
    Lids("drawn 4", [90.0, 130.0, 6.0], 1.5, &CRESTS),
    Lids("drawn 5", [130.0, 180.0, 25.0], 2.0, &CRESTS),
];

impl Lids {
    fn text(&self, is_drawn: bool) -> String {
        let Self(_, [w, h, d], t, lids) = self;
        let mut text = format!(
            "format = 1\ntitle = 'case'\n[contents]\nwidth = {w}\nheight = {h}\ndepth = {d}\n[board]\nthickness = {t}\nsheet = {{ width = 700, \
             height = 1000 }}\ngrain = 'none'\n[cloth]\nthickness = 0.3\nsheet = {{ width = 1000, height = 1400 }}\ngrain = \
             'none'\n[liner]\nthickness = 0.2\nsheet = {{ width = 700, height = 1000 }}\ngrain = 'none'\n"
        );
        for (tier, (side, keys)) in lids.iter().enumerate() {
            let drawn = format!("outline = '{side}.svg'");
            let keys = match keys.strip_prefix("wave = ") {
                Some(_) if is_drawn => drawn.as_str(),
                Some(_) => "reach = '45 %'",
                None => keys,
            };
            let _ = write!(text, "[flap.{side}]\ntier = {}\n{keys}\n", tier + 1);
        }
        text
    }

    /// The job, its waves drawn as wide as its lids are.
    fn job(&self) -> Job {
        let square = read(&self.text(false), &|_| Err("none".into()));
        let sizes: Vec<(String, f64, f64)> = design(&square)
            .0
            .pieces
            .iter()
            .filter(|p| p.role == Role::Flap)
            .map(|p| (p.id.clone(), p.outline.bounds()))
            .map(|(id, b)| (id, b.width(), b.height()))
            .collect();
        let drawing = |path: &str| -> Result<Vec<u8>, String> {
            let side = path.trim_end_matches(".svg");
            let (_, w, h) = sizes.iter().find(|(id, ..)| id.ends_with(side)).unwrap();
            let (_, keys) = self.3.iter().find(|(s, _)| *s == side).unwrap();
            let wave: f64 = keys.trim_start_matches("wave = ").parse().unwrap();
            // Its hinge edge is the longer one.
            let (wide, high) = (w.max(*h), w.min(*h));
            // y is down in an SVG: the hinge edge is the lowest.
            let quarter = wide / 4.0;
            Ok(format!(
                "<svg xmlns='http://www.w3.org/2000/svg' width='{wide}mm' height='{0}mm' viewBox='0 0 {wide} {0}'><path d='M0 {0} \
                 V{wave} Q{quarter} {1} {2} {wave} T{wide} {wave} V{0} Z'/></svg>",
                high + wave,
                -wave,
                2.0 * quarter
            )
            .into_bytes())
        };
        read(&self.text(true), &drawing)
    }
}

fn read(text: &str, drawing: job::Drawing<'_>) -> Job {
    let (job, told) = job::read_with(&Source { name: "case".into(), text: text.into() }, drawing);
    job.unwrap_or_else(|| panic!("{told:?}\n{text}"))
}

impl Case {
    fn all() -> Vec<Self> {
        let mut all = Vec::new();
        for lids in &LIDS {
            let job = lids.job();
            let (design, told) = design(&job);
            assert!(!design.pieces.is_empty(), "{}: {told:?}", lids.0);
            for kind in StockKind::ALL {
                let of_kind = |p: &&Piece| p.stock == kind && p.role != Role::Gauge;
                let pieces: Vec<Piece> = design.pieces.iter().filter(of_kind).cloned().collect();
                let (mut area, mut boxes) = (0.0, 0.0);
                for p in &pieces {
                    let b = p.outline.bounds();
                    area += p.outline.area() * f64::from(p.count);
                    boxes += b.width() * b.height() * f64::from(p.count);
                }
                if area < (1.0 - HARDLY_ANY) * boxes {
                    all.push(Self { name: format!("{}, {}", lids.0, kind.word()), job: job.clone(), pieces, kind });
                }
            }
        }
        all.extend(published());
        all
    }

    fn stock(&self) -> &Stock {
        self.job.stock(self.kind).unwrap()
    }

    fn inside(&self) -> [f64; 2] {
        let stock = self.stock();
        [stock.sheet_width, stock.sheet_height].map(|side| side.to_mm() - 2.0 * stock.margin.to_mm())
    }

    /// Sheets for so many boxes, and the seconds it took.
    fn sheets(&self, copies: u32) -> (usize, f64) {
        let mut job = self.job.clone();
        job.copies = copies;
        if let Some(effort) = std::env::var("LAYOUT_EFFORT").ok().and_then(|e| e.parse().ok()) {
            job.layout_effort = effort;
        }
        let start = Instant::now();
        let (sheets, told) = nest(&self.pieces, &job);
        assert!(!sheets.is_empty(), "{told:?}");
        (sheets.iter().map(|s| s.count() as usize).sum(), start.elapsed().as_secs_f64())
    }
}

/// Sets of the literature as pieces of one stock: 10 mm for each of their units, on sheets as wide as their strips.
fn published() -> Vec<Case> {
    let text = include_str!("irregular.json");
    let sets: Value = serde_json::from_str(text).unwrap();
    let of = |set: &Value| {
        let unit = 10.0;
        let mut job = read(&LIDS[0].text(false), &|_| Err("none".into()));
        let model = design(&job).0.pieces.remove(0);
        let turns = set["turns"] == true;
        job.board.grain = if turns { Grain::None } else { Grain::Height };
        job.board.sheet_width = mm(set["across"].as_f64().unwrap() * unit);
        job.board.sheet_height = mm(set["along"].as_f64().unwrap() * unit);
        job.board.margin = mm(0.0);
        job.board.gap = mm(0.0);
        job.board.further.clear();
        let pieces = set["pieces"].as_array().unwrap().iter().enumerate().map(|(i, p)| {
            let corner = |xy: &Value| pt(xy[0].as_f64().unwrap() * unit, xy[1].as_f64().unwrap() * unit);
            Piece {
                id: format!("piece-{i}"),
                count: p["count"].as_u64().unwrap() as u32,
                outline: Contour::polygon(p["points"].as_array().unwrap().iter().map(corner)).ccw(),
                grain: if turns { Grain::None } else { Grain::Height },
                role: Role::Wall,
                ..model.clone()
            }
        });
        let name = set["name"].as_str().unwrap().to_owned();
        Case { name, pieces: pieces.collect(), job, kind: StockKind::Board }
    };
    sets["sets"].as_array().unwrap().iter().map(of).collect()
}

fn main() -> ExitCode {
    let asked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let (mut worse, mut all) = (0, 0);
    for case in Case::all() {
        if !asked.is_empty() && !asked.iter().any(|a| case.name.contains(a.as_str())) {
            continue;
        }
        let area: f64 = case.pieces.iter().map(|p| p.outline.area() * f64::from(p.count)).sum();
        let [across, along] = case.inside();
        let mut boxes = (0.5 * across * along / area) as u32;
        let mut last = 0.0;
        while boxes < MOST {
            let (sheets, seconds) = case.sheets(boxes + 1);
            last = seconds;
            if sheets > 1 {
                break;
            }
            boxes += 1;
        }
        let given = (last.ceil() as u64).max(1);
        let Some(length) = packer::length(&case.pieces, case.stock(), boxes + 1, given, 1) else {
            println!("the reference is not there: run tests/run");
            return ExitCode::FAILURE;
        };
        let used = f64::from(boxes) * area / (across * along);
        let is_worse = length <= along;
        all += 1;
        worse += u32::from(is_worse);
        println!(
            "{}: {boxes} on a sheet, {used:.3} of it, the last try in {last:.2} s; one more by the reference in {given} s: \
             {length:.0} mm of {along:.0}{}",
            case.name,
            if is_worse { ", IT FITS" } else { "" }
        );
    }
    println!("of {all} sheets the reference has room for a box more on {worse}");
    ExitCode::SUCCESS
}
