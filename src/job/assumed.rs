//! What a job does not say and is taken as usual.

use super::{JOB, Job};
use crate::doc::{Need, Shape, Table};
use serde::Serialize;

/// A setting that is left out, and what stands for it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Assumed {
    /// The dotted key.
    pub key: String,
    /// What is taken, as it would be written, without its quotes.
    pub value: String,
}

/// Tables whose settings change the box or what is bought for it, with a word for when they are in use.
fn is_in_use(job: &Job, table: &str) -> bool {
    let terms = job.build.construction.terms();
    match table {
        "contents" | "board" | "box" | "making" => true,
        "cloth" | "covering" => terms.is_hinged,
        "paper" => job.paper.is_some(),
        "liner" => job.liner.is_some(),
        "strap" | "elastic" => job.strap.is_some(),
        "title_label" => job.title_label.is_some(),
        "inside" => job.inside.is_some(),
        "strips" => terms.has_strips,
        "trays" => terms.has_trays,
        "slipcase" => terms.has_mouth,
        "portfolio" => terms.holds_wrapper(),
        // How pieces lie and what is drawn on them shows by itself.
        _ => false,
    }
}

/// Settings of a sheet that change how pieces lie on it and nothing else.
const OF_THE_LAYOUT: [&str; 6] = ["margin", "gap", "cut_face", "common_cuts", "pieces", "coating"];

/// Everything that a job leaves out and that changes its box or what is bought for it; what is reckoned
/// (`"auto"`) is told where its result is.
pub fn assumed(job: &Job) -> Vec<Assumed> {
    let mut all = Vec::new();
    for key in JOB.keys {
        if let (Shape::Named(names, table), "ties" | "magnets" | "sides" | "window") = (&key.shape, key.name) {
            for name in names.iter().filter(|name| job.places.has(&format!("{}.{name}", key.name))) {
                of_table(job, table, &format!("{}.{name}", key.name), &mut all);
            }
        }
        let Shape::Table(table) = &key.shape else { continue };
        if !is_in_use(job, key.name) {
            continue;
        }
        if let Need::Default(value) = key.need
            && value != "{}"
            && !job.places.has(key.name)
        {
            all.push(inline(key.name, value));
        }
        of_table(job, table, key.name, &mut all);
    }
    all
}

fn of_table(job: &Job, table: &Table, path: &str, all: &mut Vec<Assumed>) {
    let terms = job.build.construction.terms();
    for key in table.keys {
        let dotted = format!("{path}.{}", key.name);
        // Trays and slipcases are lined to their walls, and cloth is slit where lids meet, or about a notch.
        let is_lined = job.liner.is_some() && terms.has_lids();
        let is_of_liner = (path == "covering" && ["reveal", "liner_trim"].contains(&key.name))
            || (path == "covering" && key.name == "groove_press" && !terms.has_case);
        let is_of_case = (path == "trays" && key.name == "square") || (path == "covering" && key.name == "corner");
        let is_of_lids = path == "covering" && key.name == "slit_stop";
        let is_notched = job.slipcase.is_some_and(|s| s.notch.is_some());
        let has_corners = terms.has_lids() || terms.has_case || is_notched;
        if (is_of_case && !has_corners) || (is_of_lids && !terms.has_lids() && !is_notched) {
            continue;
        }
        // Loose sheets have neither walls nor corners between them.
        if job.is_for_loose_sheets() && (is_of_lids || (path == "box" && key.name == "seat")) {
            continue;
        }
        let is_of_plate = path.starts_with("magnets.") && key.name.starts_with("plate_");
        if is_of_plate && !job.magnets.iter().any(|(s, m)| path.ends_with(s.word()) && m.plate.is_some()) {
            continue;
        }
        // What the other way of fastening takes is not in use.
        let pegged = |side: &str| job.ties.iter().any(|(s, t)| s.word() == side && t.peg.is_some());
        let not_used = path.strip_prefix("ties.").is_some_and(|side| match key.name {
            "bow" => pegged(side),
            "fasten" => true,
            _ => key.name.starts_with("peg_") && !pegged(side),
        });
        if not_used {
            continue;
        }
        let has_one_stack = job.inside.as_ref().is_some_and(|i| i.stacks.len() == 1);
        let is_of_many = dotted == "inside.divider" || (dotted == "inside.spacer" && !job.places.has(&dotted));
        if is_of_many && has_one_stack {
            continue;
        }
        if OF_THE_LAYOUT.contains(&key.name)
            || (is_of_liner && !is_lined)
            || (dotted == "liner.strip_lap" && job.strip_lap().is_none())
            || dotted == "liner.turn_in"
            || (path == "box" && terms.unused.contains(&key.name))
        {
            continue;
        }
        if let Shape::Table(inner) = &key.shape {
            if let Need::Default(value) = key.need
                && value != "{}"
                && !job.places.has(&dotted)
            {
                all.push(inline(&dotted, value));
                continue;
            }
            if !matches!(key.need, Need::Optional) || job.places.has(&dotted) {
                of_table(job, inner, &dotted, all);
            }
            continue;
        }
        if let Need::Default(value) = key.need
            && value != "\"auto\""
            && !job.places.has(&dotted)
            && !matches!((path, key.name), ("contents", "landscape") | ("box", "construction"))
        {
            all.push(Assumed { key: dotted, value: value.trim_matches('"').to_owned() });
        }
    }
}

/// An inline table that stands for one left out: of one value it is that value's own key, of several they are told
/// the one by the other, `700 mm x 1000 mm`.
fn inline(key: &str, table: &str) -> Assumed {
    let values: Vec<&str> = table.split('"').skip(1).step_by(2).collect();
    let name = table.trim_start_matches('{').split('=').next().unwrap_or_default().trim();
    let key = if values.len() == 1 { format!("{key}.{name}") } else { key.to_owned() };
    Assumed { key, value: values.join(" x ") }
}
