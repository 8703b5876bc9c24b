//! How long a program runs, from its moves: a chain of ways between two stops, each as fast as the
//! corners at its ends, its curve and the blocks read ahead let it be. Derived as for a point that
//! gains at most `a` every second: a corner that is rounded within d goes at `v^2 = a d s / (1 - s)`
//! with s the sine of half the angle inside it, an arc of radius R at `v^2 = a R`, and a way of length L
//! lets the square of the speed change by `2 a L`.

use crate::geom::Point;
use crate::profile::Profile;
use crate::verify::read::{Kind, Move};

/// A way: which move it is, its length, the square of the most speed on it, and its directions at both
/// ends.
struct Leg {
    of: usize,
    length: f64,
    most: f64,
    out: [f64; 3],
    into: [f64; 3],
}

/// Seconds without and with the waits that the program says.
pub(super) fn seconds(moves: &[Move], profile: &Profile, park: Point, first_tool: u16) -> (f64, f64) {
    let each = move_seconds(moves, profile, park, first_tool);
    let (bare, waits) = each.iter().fold((0.0, 0.0), |(b, w), m| (b + m.0, w + m.1));
    (bare, bare + waits)
}

/// The seconds of each move, and those that are waited there. `park` is where the machine rests, on the bed.
pub fn move_seconds(moves: &[Move], profile: &Profile, park: Point, first_tool: u16) -> Vec<(f64, f64)> {
    let machine = &profile.machine;
    let a = machine.acceleration;
    let mut each = vec![(0.0, 0.0); moves.len()];
    let mut chain: Vec<Leg> = Vec::new();
    let (mut at, mut tool) = (park, first_tool);
    for (i, m) in moves.iter().enumerate() {
        let is_way = matches!(m.kind, Kind::Rapid | Kind::Line | Kind::Arc { .. });
        if !is_way {
            run(&std::mem::take(&mut chain), profile, &mut each);
            let held = profile.tools.get(usize::from(tool));
            let is_plot = !profile.output.language.terms().waits;
            match m.kind {
                Kind::Dwell(s) => each[i].1 += s,
                Kind::Turn if m.feed > 0.0 => each[i].0 += (m.to.turn - m.from.turn).abs() / m.feed * 60.0,
                // A plot cannot say its waits.
                Kind::On { .. } if is_plot => each[i].1 += held.map_or(0.0, |t| t.on_dwell),
                Kind::Off if is_plot => each[i].1 += held.map_or(0.0, |t| t.off_dwell),
                Kind::Change(to) => tool = to,
                _ => {}
            }
            continue;
        }
        let mut way = m.segment();
        if !way.start.x.is_finite() || !way.start.y.is_finite() {
            way.start = at;
        }
        let flat = if m.goes_to_a_place() { way.length() } else { 0.0 };
        if m.goes_to_a_place() {
            at = way.end;
        }
        let rise = if m.from.z.is_finite() && m.to.z.is_finite() { m.to.z - m.from.z } else { 0.0 };
        let length = flat.hypot(rise);
        if length <= 1e-9 || !length.is_finite() {
            continue;
        }
        let mut speed = match m.kind {
            Kind::Rapid if flat > 0.0 => machine.rapid.to_mm_per_s(),
            Kind::Rapid => machine.rapid_z.to_mm_per_s(),
            _ => m.feed / 60.0,
        };
        let turned = (m.to.turn - m.from.turn).abs();
        if turned > 1e-9 && machine.rotary_speed > 0.0 {
            speed = speed.min(flat / (turned / machine.rotary_speed * 60.0));
        }
        let most = if a > 0.0 { (speed * speed).min(a * way.radius()) } else { speed * speed };
        let along = |heading: f64| {
            let u = Point::unit(heading) * (flat / length);
            [u.x, u.y, rise / length]
        };
        let (out, into) = if flat > 0.0 {
            (along(way.start_heading()), along(way.end_heading()))
        } else {
            ([0.0, 0.0, rise / length], [0.0, 0.0, rise / length])
        };
        chain.push(Leg { of: i, length, most, out, into });
    }
    run(&chain, profile, &mut each);
    each
}

/// From rest to rest.
fn run(chain: &[Leg], profile: &Profile, each: &mut [(f64, f64)]) {
    let machine = &profile.machine;
    let (a, d) = (machine.acceleration, machine.junction_deviation.to_mm());
    if a <= 0.0 {
        for leg in chain {
            each[leg.of].0 += leg.length / leg.most.sqrt().max(f64::MIN_POSITIVE);
        }
        return;
    }
    let n = chain.len();
    // Squares of the speeds between legs; at rest before the first and after the last.
    let mut between = vec![0.0; n + 1];
    for i in 1..n {
        let cos: f64 = chain[i - 1].into.iter().zip(&chain[i].out).map(|(p, q)| p * q).sum();
        let s = ((1.0 + cos) / 2.0).clamp(0.0, 1.0).sqrt();
        let corner = if s > 1.0 - 1e-12 { f64::INFINITY } else { a * d * s / (1.0 - s) };
        between[i] = corner.min(chain[i - 1].most).min(chain[i].most);
    }
    // Whatever is read ahead must be enough to stop in.
    let ahead = machine.look_ahead as usize;
    if ahead > 0 && ahead < n {
        let mut known: f64 = chain[..ahead].iter().map(|l| l.length).sum();
        for i in 0..n {
            between[i] = f64::min(between[i], 2.0 * a * known.max(0.0));
            known += chain.get(i + ahead).map_or(0.0, |l| l.length) - chain[i].length;
        }
    }
    for i in (0..n).rev() {
        between[i] = f64::min(between[i], between[i + 1] + 2.0 * a * chain[i].length);
    }
    for i in 0..n {
        let leg = &chain[i];
        between[i + 1] = f64::min(between[i + 1], between[i] + 2.0 * a * leg.length);
        let (v0, v1) = (between[i], between[i + 1]);
        let peak = (a * leg.length + (v0 + v1) / 2.0).min(leg.most).max(v0).max(v1);
        let ramps = (2.0 * peak - v0 - v1) / (2.0 * a);
        let steady = (leg.length - ramps).max(0.0);
        let time = &mut each[leg.of].0;
        *time += (2.0 * peak.sqrt() - v0.sqrt() - v1.sqrt()) / a;
        *time += if peak > 0.0 { steady / peak.sqrt() } else { 0.0 };
    }
}
