//! What a program's entry says of it, counted from its moves.

use super::super::nominal::{Class, Nominal};
use super::super::read::manifest::{ListedProgram, ListedSheet, RunKind};
use super::super::read::{Kind, Move};
use super::Finding;
use super::time::seconds;
use crate::geom::Point;
use crate::profile::{Lift, OperationKind, Profile, ToolKind};
use crate::units::decimal;

/// What a program was seen to do.
pub(in super::super) struct Followed<'a> {
    /// Its moves.
    pub(in super::super) moves: &'a [Move],
    /// The tools that worked, by their places in the profile, in the order of their use.
    pub(in super::super) tools: &'a [u16],
    /// The operations that it was seen to do.
    pub(in super::super) kinds: &'a [OperationKind],
    /// Where the machine rests, on the bed.
    pub(in super::super) park: Point,
}

/// The code of a wrong number of passes: a coupon's trials have their own.
pub(in super::super) const PASS_COUNT: &str = "pass-count";

/// What an entry says otherwise than the program does.
pub(in super::super) fn of_program(
    entry: &ListedProgram,
    sheet: &ListedSheet,
    profile: &Profile,
    nominal: &Nominal,
    done: &Followed<'_>,
) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut found = |code: &'static str, message: String| {
        let hint = "the manifest was changed, or the file is of another export: export the folder again";
        out.push(Finding::new(code, message).help(hint));
    };
    let mut say = |message: String| found("account", message);
    if entry.count != sheet.count {
        say(format!("it is to be run {} times, and {} is cut {} times", entry.count, sheet.id, sheet.count));
    }
    let mut tools: Vec<&str> = Vec::new();
    for tool in done.tools.iter().filter_map(|t| profile.tools.get(usize::from(*t))) {
        if !tools.contains(&tool.id.as_str()) {
            tools.push(&tool.id);
        }
    }
    let tools = tools.join(", ");
    if entry.tool != tools {
        say(format!("its tools are said to be \"{}\", and it works with \"{tools}\"", entry.tool));
    }
    operations(entry, nominal, done, &mut say);
    lengths(entry, profile, done, &mut say);
    passes(entry, sheet, profile, nominal, &mut |message| found(PASS_COUNT, message));
    out
}

fn operations(entry: &ListedProgram, nominal: &Nominal, done: &Followed<'_>, say: &mut dyn FnMut(String)) {
    let is_asked = |kind: OperationKind| nominal.lines.iter().any(|l| l.class.kind() == kind);
    let mut before = None;
    for word in &entry.operations {
        let Some(kind) = OperationKind::ALL.into_iter().find(|k| k.word() == word) else {
            say(format!("it is said to do \"{word}\", which is no operation"));
            continue;
        };
        if before >= Some(kind) {
            say(format!("its operations are not named once each in their order: {}", entry.operations.join(", ")));
        }
        before = Some(kind);
        if !is_asked(kind) {
            say(format!("it is said to do a {word}, and its sheet has nothing of that kind"));
        }
    }
    for kind in done.kinds.iter().filter(|k| entry.operations.iter().all(|w| w != k.word())) {
        say(format!("it does a {}, and is not said to", kind.word()));
    }
}

/// How far the tool went at work and above it.
fn lengths(entry: &ListedProgram, profile: &Profile, done: &Followed<'_>, say: &mut dyn FnMut(String)) {
    let (mut cut, mut travel, mut n) = (0.0, 0.0, 0.0);
    let mut at = done.park;
    for m in done.moves {
        let is_way = matches!(m.kind, Kind::Rapid | Kind::Line | Kind::Arc { .. }) && m.goes_to_a_place();
        if !is_way {
            continue;
        }
        let mut way = m.segment();
        if !way.start.x.is_finite() || !way.start.y.is_finite() {
            way.start = at;
        }
        at = way.end;
        n += 1.0;
        match m.kind {
            Kind::Rapid => travel += way.length(),
            _ => cut += way.length(),
        }
    }
    let output = &profile.output;
    let step = output.resolution().to_mm();
    // Every end is rounded; chords are shorter than their arcs.
    let slack = |length: f64| 0.5 + n * step * 0.5 + length * if output.writes_arcs() { 1e-4 } else { 0.005 };
    let (cut, travel) = match entry.kind {
        RunKind::Work => (cut, travel),
        // From where the machine rests and back is not counted.
        RunKind::Outline => (0.0, f64::NAN),
        RunKind::Lifted => (0.0, cut + travel),
    };
    for (what, said, is) in [("works", entry.cut_mm, cut), ("travels", entry.travel_mm, travel)] {
        if (said - is).abs() > slack(is) {
            say(format!("it {what} {} mm, and {} mm are said", decimal(is, 0), decimal(said, 0)));
        }
    }
    if entry.kind != RunKind::Work && (entry.seconds.abs() > 0.0 || entry.passes > 0) {
        say("it does no work, and is said to".to_owned());
    }
    if entry.kind != RunKind::Work {
        return;
    }
    // Whether a spindle's start counts, and how a plot's whole centimetres a second round a feed, is
    // left open.
    let (bare, with_waits) = seconds(done.moves, profile, done.park, done.tools.first().copied().unwrap_or(0));
    let share = output.language.terms().time_share;
    if entry.seconds < bare * (1.0 - share) - 1.0 || entry.seconds > with_waits * (1.0 + share) + 1.0 {
        let (said, is) = (decimal(entry.seconds, 0), decimal(with_waits, 0));
        say(format!("it takes {is} s, changes of tools aside, and {said} s are said"));
    }
}

/// As many passes as its rules ask for. What a pocket is filled with, and lines that neighbours
/// share, are more or fewer than the sheet shows.
fn passes(
    entry: &ListedProgram,
    sheet: &ListedSheet,
    profile: &Profile,
    nominal: &Nominal,
    say: &mut dyn FnMut(String),
) {
    if entry.kind != RunKind::Work {
        return;
    }
    // Rows that fill pockets, at the most.
    let (mut least, mut rows) = (0u32, 0u32);
    for line in &nominal.lines {
        let kind = line.class.kind();
        if entry.operations.iter().all(|w| w != kind.word()) {
            continue;
        }
        let Some((rule, tool)) = profile.rule(kind, nominal.stock) else { continue };
        let tool = &profile.tools[tool];
        let by_words = !profile.machine.z_axis || tool.lift == Lift::Words;
        let goes_deeper = matches!(tool.kind, ToolKind::DragKnife | ToolKind::TangentialKnife | ToolKind::Router);
        let of_line = if by_words || !goes_deeper {
            rule.passes.max(1)
        } else {
            // What goes below the stock is no pass of its own.
            let depth = match kind {
                OperationKind::ThroughCut => sheet.thickness,
                OperationKind::HalfDepthPocket => line.depth,
                OperationKind::CreaseScore | OperationKind::Mark => rule.depth.to_mm().min(sheet.thickness),
            };
            let each = rule.pass_depth.to_mm();
            if each > 0.0 { (depth / each - 1e-9).ceil().clamp(1.0, 10_000.0) as u32 } else { 1 }
        };
        least = least.saturating_add(of_line);
        if line.class == Class::Pocket {
            let apart = match tool.kind {
                ToolKind::Router => tool.kerf.to_mm() * rule.step_over,
                _ => rule.hatch.to_mm(),
            };
            let b = line.stroke.bounds();
            // Rows are set evenly, so nearer than they may be; round the edge it goes as well.
            let most = 2.0 * b.width().max(b.height()) / apart.max(0.05) + 4.0;
            rows = rows.saturating_add((most as u32).saturating_mul(of_line));
        }
    }
    let touching = nominal
        .pieces
        .iter()
        .enumerate()
        .any(|(i, a)| nominal.pieces[..i].iter().any(|b| a.bounds.grown(1e-3).overlaps(b.bounds, 0.0)));
    let most = least.saturating_add(rows);
    let is_wrong = if touching { entry.passes == 0 } else { entry.passes < least || entry.passes > most };
    if is_wrong {
        let asked = if rows > 0 { format!("{least} to {most}") } else { least.to_string() };
        say(format!("its lines ask for {asked} passes, and {} are said", entry.passes));
    }
}
