//! How short the travel is, against a general routing library, and how long it takes to find.
//!
//! ```text
//! python3 -m venv target/ortools && target/ortools/bin/pip install ortools
//! cargo bench --bench order -- write target/order          # the sheets, as JSON
//! target/ortools/bin/python benches/order_reference.py target/order 30
//! cargo bench --bench order -- compare target/order        # ratio and time for each sheet
//! cargo bench --bench order                                # time alone, by criterion
//! ```
//!
//! Sheets of 50, 150 and 300 lines: `fixed`, closed contours each begun at one given point;
//! `gates`, four contours in five with a choice of the middles of four edges and one open line in
//! five to be run from either end. Both sides solve the same sheet.

#![allow(clippy::print_stdout, reason = "a benchmark reports on the terminal")]

use criterion::Criterion;
use flapwright::geom::{Point, pt};
use flapwright::motion::order::{Stop, Way, order, travel};
use std::time::Instant;

const COUNTS: [usize; 3] = [50, 150, 300];
const PARK: Point = pt(0.0, 0.0);

/// A plain linear congruential sequence, so that the sheets are the same everywhere.
struct Sequence(u64);

impl Sequence {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1u64 << 53) as f64)
    }
}

fn sheet(count: usize, gates: bool) -> Vec<Stop> {
    let mut s = Sequence(count as u64);
    let line = |i: usize| {
        let c = pt(s.between(60.0, 940.0), s.between(60.0, 640.0));
        let half = pt(s.between(5.0, 40.0), s.between(5.0, 40.0));
        let same = |p: Point| Way { entry: p, exit: p };
        let ways = if !gates {
            vec![same(c - half)]
        } else if i.is_multiple_of(5) {
            let (a, b) = (c - half, c + half);
            vec![Way { entry: a, exit: b }, Way { entry: b, exit: a }]
        } else {
            [pt(half.x, 0.0), pt(0.0, half.y), pt(-half.x, 0.0), pt(0.0, -half.y)].map(|d| same(c + d)).to_vec()
        };
        Stop { class: 0, after: Vec::new(), ways }
    };
    (0..count).map(line).collect()
}

fn sheets() -> impl Iterator<Item = (String, Vec<Stop>)> {
    let kinds = [("fixed", false), ("gates", true)];
    kinds.into_iter().flat_map(|(name, gates)| COUNTS.map(|n| (format!("{name}-{n}"), sheet(n, gates))))
}

fn write(folder: &str) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    for (name, items) in sheets() {
        let pair = |p: Point| [p.x, p.y];
        let ways = |i: &Stop| i.ways.iter().map(|w| [pair(w.entry), pair(w.exit)]).collect::<Vec<_>>();
        let lines: Vec<_> = items.iter().map(ways).collect();
        let text = serde_json::json!({ "park": pair(PARK), "lines": lines }).to_string();
        std::fs::write(format!("{folder}/{name}.json"), text)?;
    }
    Ok(())
}

fn compare(folder: &str) -> Result<(), Box<dyn std::error::Error>> {
    let text = std::fs::read_to_string(format!("{folder}/reference.json"))?;
    let reference: serde_json::Value = serde_json::from_str(&text)?;
    println!("{:<12} {:>12} {:>12} {:>8} {:>8}", "sheet", "here, mm", "there, mm", "ratio", "s");
    for (name, items) in sheets() {
        let began = Instant::now();
        let visits = order(&items, PARK, Some(PARK)).map_err(|e| format!("{e:?}"))?;
        let seconds = began.elapsed().as_secs_f64();
        let here = travel(&items, &visits, PARK, Some(PARK));
        let there = reference[&name].as_f64().unwrap_or(f64::NAN);
        println!("{name:<12} {here:>12.1} {there:>12.1} {:>8.4} {seconds:>8.3}", here / there);
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["write", folder] => write(folder)?,
        ["compare", folder] => compare(folder)?,
        _ => {
            let mut c = Criterion::default().sample_size(10).configure_from_args();
            for (name, items) in sheets() {
                c.bench_function(&format!("order/{name}"), |b| b.iter(|| order(&items, PARK, Some(PARK))));
            }
            c.final_summary();
        }
    }
    Ok(())
}
