//! The lists for people, `cut-list.csv`, `cut-list.json` and `cost.csv`, against the manifest.

use super::sheets::{outline, totals};
use crate::geom::Contour;
use crate::units::{decimal, inch, tidy};
use crate::verify::read::manifest::{ListedPiece, Manifest, vertex};
use crate::verify::{Finding, Many};
use serde_json::{Value, json};
use std::collections::BTreeMap;

const CUT_LIST: &str = "cut-list.csv";
const CUT_LIST_JSON: &str = "cut-list.json";
const COST: &str = "cost.csv";

pub(super) fn check(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>, is_time_told: bool, out: &mut Many) {
    let mut boxes = None;
    let list = files.get(CUT_LIST_JSON);
    match list.map(|b| serde_json::from_slice::<Value>(b)) {
        Some(Ok(list)) => {
            boxes = list["copies"].as_u64();
            cut_list(manifest, &list, out);
            if let Some(bytes) = files.get(CUT_LIST) {
                same_rows(&list, bytes, out);
            }
        }
        Some(Err(_)) => out.push(wrong(CUT_LIST_JSON, "it is no list that can be read".into())),
        None => {}
    }
    if let Some(bytes) = files.get(COST) {
        cost(manifest, bytes, boxes.filter(|_| !is_time_told), is_time_told, out);
    }
}

fn wrong(file: &str, message: String) -> Finding {
    let hint = "the list or the manifest was changed: export the folder again";
    Finding::of_file(file, Finding::new("account", message).help(hint))
}

/// Whether a cell says what it should; a number that was rounded may have been rounded either way.
fn is_same(key: &str, said: &Value, should: &Value) -> bool {
    let slack = match key {
        "width_mm" | "height_mm" | "width" | "height" | "thickness_mm" | "pocket_depth_mm" => 0.0101,
        "area_mm2" => 1.01,
        _ => 1e-6,
    };
    match (said.as_f64(), should.as_f64()) {
        (Some(a), Some(b)) => (a - b).abs() < slack,
        _ => said == should,
    }
}

fn cut_list(manifest: &Manifest, list: &Value, out: &mut Many) {
    let none = Vec::new();
    let rows = list["pieces"].as_array().unwrap_or(&none);
    if list["title"] != manifest.title.as_str() {
        out.push(wrong(CUT_LIST_JSON, format!("it is a list of \"{}\"", list["title"].as_str().unwrap_or_default())));
    }
    let totals = totals(manifest);
    let is_bought = |r: &&Value| ["elastic", "ribbon", "padding"].iter().any(|word| r["stock"] == *word);
    let of_stock: Vec<&Value> = rows.iter().filter(|r| !is_bought(r)).collect();
    if of_stock.len() != manifest.pieces.len() {
        let message = format!("it lists {} pieces, and there are {}", of_stock.len(), manifest.pieces.len());
        out.push(wrong(CUT_LIST_JSON, message));
    }
    let strap = rows.iter().find(|r| r["stock"] == "elastic");
    let length = manifest.fit.as_ref().and_then(|f| f.strap_length);
    let said = strap.and_then(|r| r["height_mm"].as_f64());
    if manifest.fit.is_some()
        && (length.is_some() != said.is_some() || (length.unwrap_or(0.0) - said.unwrap_or(0.0)).abs() > 0.0101)
    {
        let show = |l: Option<f64>| l.map_or("none".to_owned(), |l| format!("{} mm", decimal(l, 2)));
        out.push(wrong(
            CUT_LIST_JSON,
            format!("elastic: {} in the list, {} in the manifest", show(said), show(length)),
        ));
    }
    ribbons(manifest, rows, list["copies"].as_u64().unwrap_or(0), out);
    for (piece, row) in manifest.pieces.iter().zip(of_stock) {
        let mut want = expected(manifest, piece, totals.get(piece.id.as_str()).copied().unwrap_or(0));
        if list["unit"] == "in" {
            let inches = |v: f64| tidy(v / inch(1.0).to_mm(), 3);
            let b = outline(piece).bounds();
            want.push(("width", json!(inches(b.width()))));
            want.push(("height", json!(inches(b.height()))));
        } else {
            want.push(("width", row["width_mm"].clone()));
            want.push(("height", row["height_mm"].clone()));
        }
        // What is the same for all stands at the head of the list too.
        want.push(("copies", list["copies"].clone()));
        want.push(("unit", list["unit"].clone()));
        for (key, value) in want {
            if !is_same(key, &row[key], &value) {
                let message = format!("`{key}` of {} is {}, and should be {value}", piece.id, row[key]);
                out.push(wrong(CUT_LIST_JSON, message));
            }
        }
        let needed = list["copies"].as_u64().unwrap_or(0) * u64::from(piece.count);
        if piece.role != "gauge" && row["count"].as_u64() != Some(needed) {
            out.push(wrong(
                CUT_LIST_JSON,
                format!("of {} {needed} are needed, and {} are cut", piece.id, row["count"]),
            ));
        }
    }
}

/// The ribbons of the list against those of the manifest, lid by lid.
fn ribbons(manifest: &Manifest, rows: &[Value], copies: u64, out: &mut Many) {
    let Some(fit) = &manifest.fit else { return };
    inside(manifest, rows, copies, out);
    let is_lift = |r: &&Value| r["piece"].as_str().is_some_and(|name| name.ends_with("lift-ribbon"));
    let listed: Vec<&Value> = rows.iter().filter(|r| r["stock"] == "ribbon" && !is_lift(r)).collect();
    // Of each lid the ribbons, and where pegs hold them the loops.
    let kinds = fit.ties.iter().flat_map(|tied| {
        let loops = tied.pegs.as_ref().map(|p| (tied, p.count, p.loop_length));
        std::iter::once((tied, tied.ribbons, tied.length)).chain(loops)
    });
    let kinds: Vec<_> = kinds.collect();
    if listed.len() != kinds.len() {
        let message = format!("it lists {} kinds of ribbon, and the manifest {}", listed.len(), kinds.len());
        out.push(wrong(CUT_LIST_JSON, message));
    }
    for (row, (tied, each, length)) in listed.iter().zip(kinds) {
        let want = [
            ("side", json!(tied.side)),
            ("each", json!(each)),
            ("count", json!(u64::from(each) * copies)),
            ("width_mm", json!(tidy(tied.width, 2))),
            ("height_mm", json!(tidy(length, 2))),
        ];
        same_cells(row, &want, out);
    }
}

fn same_cells(row: &Value, want: &[(&str, Value)], out: &mut Many) {
    for (key, value) in want {
        if !is_same(key, &row[key], value) {
            let message = format!("`{key}` of {} is {}, and should be {value}", row["piece"], row[key]);
            out.push(wrong(CUT_LIST_JSON, message));
        }
    }
}

/// What of that which lies inside is cut from no stock, against the manifest.
fn inside(manifest: &Manifest, rows: &[Value], copies: u64, out: &mut Many) {
    let inside = manifest.fit.as_ref().and_then(|f| f.inside.as_ref());
    let ends = |r: &&Value, with: &str| r["piece"].as_str().is_some_and(|name| name.ends_with(with));
    let mut want: Vec<Vec<(&str, Value)>> = Vec::new();
    let row = |what: String, [width, height, thickness]: [f64; 3]| {
        vec![
            ("each", json!(1)),
            ("count", json!(copies)),
            ("piece", json!(what)),
            ("width_mm", json!(tidy(width, 2))),
            ("height_mm", json!(tidy(height, 2))),
            ("thickness_mm", json!(tidy(thickness, 2))),
        ]
    };
    if let Some(r) = inside.and_then(|i| i.ribbon.as_ref()) {
        let mut one = row("lift-ribbon".into(), [r.width, r.length, r.thickness]);
        one.push(("side", json!(r.glued_at)));
        want.push(one);
    }
    let padding = inside.map(|i| &i.padding[..]).unwrap_or_default();
    want.extend(padding.iter().map(|p| row(p.what.clone(), [p.width, p.height, p.thickness])));
    let is_own = |r: &&Value| r["stock"] == "padding" || (r["stock"] == "ribbon" && ends(r, "lift-ribbon"));
    let listed: Vec<&Value> = rows.iter().filter(is_own).collect();
    if listed.len() != want.len() {
        let message =
            format!("it lists {} lift ribbons and sheets of padding, and the manifest {}", listed.len(), want.len());
        out.push(wrong(CUT_LIST_JSON, message));
    }
    for (row, want) in listed.into_iter().zip(&want) {
        same_cells(row, want, out);
    }
}

/// A piece's row as the manifest has it.
fn expected(manifest: &Manifest, piece: &ListedPiece, count: usize) -> Vec<(&'static str, Value)> {
    let outline = outline(piece);
    let b = outline.bounds();
    let openings: f64 = piece.holes.iter().map(|h| Contour::new(h.iter().map(vertex)).area().abs()).sum();
    let on: Vec<_> =
        manifest.sheets.iter().filter(|s| s.count > 0 && s.placed.iter().any(|p| p.piece == piece.id)).collect();
    let mut sizes: Vec<String> = Vec::new();
    for sheet in &on {
        let size = format!("{}x{}", decimal(sheet.width, 1), decimal(sheet.height, 1));
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    let deepest = piece.all_pockets().map(|p| p.depth).reduce(f64::max).map(|d| tidy(d, 2));
    let mut row = vec![
        ("stock", json!(piece.stock)),
        ("piece", json!(piece.id)),
        ("role", json!(piece.role)),
        ("side", json!(piece.side)),
        ("each", json!(piece.count)),
        ("count", json!(count)),
        ("width_mm", json!(tidy(b.width(), 2))),
        ("height_mm", json!(tidy(b.height(), 2))),
        ("area_mm2", json!(tidy(outline.area().abs() - openings, 0))),
        ("grain", json!(piece.grain)),
        ("slots", json!(piece.holes.len())),
        ("pockets", json!(piece.all_pockets().count())),
        ("pocket_depth_mm", json!(deepest)),
        ("slits", json!(piece.slits.len())),
        ("creases", json!(piece.creases.len())),
        ("sheets", json!(on.iter().map(|s| s.id.as_str()).collect::<Vec<_>>())),
        ("sheet_sizes_mm", json!(sizes)),
    ];
    if let Some(sheet) = on.first() {
        row.push(("thickness_mm", json!(tidy(sheet.thickness, 2))));
    }
    row
}

/// Whether the list as CSV has the rows of the one as JSON.
fn same_rows(list: &Value, bytes: &[u8], out: &mut Many) {
    let none = Vec::new();
    let rows = list["pieces"].as_array().unwrap_or(&none);
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
    let Ok(heads) = reader.headers().cloned() else {
        out.push(wrong(CUT_LIST, "it is no list that can be read".into()));
        return;
    };
    let records: Vec<csv::StringRecord> = reader.records().filter_map(Result::ok).collect();
    if records.len() != rows.len() {
        out.push(wrong(CUT_LIST, format!("it has {} rows, and cut-list.json {}", records.len(), rows.len())));
    }
    for (row, record) in rows.iter().zip(&records) {
        for (key, value) in row.as_object().into_iter().flatten() {
            let cell = heads.iter().position(|h| h == key).and_then(|i| record.get(i)).unwrap_or_default();
            let is_same = match value {
                Value::Null => cell.is_empty(),
                Value::Number(n) => cell.parse::<f64>().is_ok_and(|c| n.as_f64().is_some_and(|n| (n - c).abs() < 6e-4)),
                // A text that a spreadsheet would take for a formula has an apostrophe before it.
                Value::String(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => {
                    cell.strip_prefix('\'').unwrap_or(cell) == text
                }
                Value::String(text) => cell == text,
                Value::Array(all) => {
                    all.iter().map(|v| v.as_str().unwrap_or_default()).collect::<Vec<_>>().join(" ") == cell
                }
                _ => false,
            };
            if !is_same {
                let message = format!("`{key}` of {} is {cell}, and {value} in cut-list.json", row["piece"]);
                out.push(wrong(CUT_LIST, message));
            }
        }
    }
}

/// Sheets, areas and minutes as the manifest has them. What sheets cost it does not know.
fn cost(manifest: &Manifest, bytes: &[u8], boxes: Option<u64>, is_time_told: bool, out: &mut Many) {
    let mut want: Vec<(String, [Option<f64>; 7])> = Vec::new();
    let mut all = [0.0; 4];
    const MM2: f64 = 1e-6;
    for stock in ["board", "cloth", "paper", "liner"] {
        let of: Vec<_> = manifest.sheets.iter().filter(|s| s.stock == stock).collect();
        if of.is_empty() {
            continue;
        }
        let sum = |f: &dyn Fn(&crate::verify::read::manifest::ListedSheet) -> f64| {
            of.iter().map(|s| f(s) * f64::from(s.count)).sum::<f64>()
        };
        let row = [
            sum(&|_| 1.0),
            sum(&|s| s.width * s.height * MM2),
            sum(&|s| s.used * s.width * s.height * MM2),
            sum(&|s| s.offcut.map_or(0.0, |o| o.width * o.height * MM2)),
        ];
        (0..4).for_each(|i| all[i] += row[i]);
        want.push((stock.to_owned(), areas(row)));
    }
    let mut minutes: Vec<(&str, f64)> = Vec::new();
    for p in &manifest.programs {
        let more = p.seconds * f64::from(p.count) / 60.0;
        match minutes.iter_mut().find(|m| m.0 == p.machine) {
            Some(m) => m.1 += more,
            None => minutes.push((&p.machine, more)),
        }
    }
    let a_box = |m: f64| boxes.map(|b| m / b.max(1) as f64);
    for (machine, m) in &minutes {
        want.push(((*machine).to_owned(), [None, None, None, None, None, Some(*m), a_box(*m)]));
    }
    let by_hand = manifest.work.as_ref().map(|w| w.by_hand_minutes);
    if let Some(m) = by_hand {
        want.push(("by hand".to_owned(), [None, None, None, None, None, Some(m), a_box(m)]));
    }
    let mut last = areas(all);
    if !minutes.is_empty() || by_hand.is_some() {
        let m = minutes.iter().map(|m| m.1).sum::<f64>() + by_hand.unwrap_or(0.0);
        (last[5], last[6]) = (Some(m), a_box(m));
    }
    want.push(("all".to_owned(), last));
    // Each figure with what its rounding and that of the manifest's may make of it.
    const COLUMNS: [(&str, f64); 7] = [
        ("sheets", 1e-6),
        ("area_m2", 6e-5),
        ("used_m2", 6e-5),
        ("offcut_m2", 6e-5),
        ("waste_percent", 0.06),
        ("minutes", 0.06),
        ("minutes_a_box", 0.01),
    ];
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
    let heads = reader.headers().cloned().unwrap_or_default();
    let mut records: Vec<csv::StringRecord> = reader.records().filter_map(Result::ok).collect();
    // What they say is money alone, which the job knows.
    records.retain(|r| !r.get(0).is_some_and(|what| PAID.contains(&what) && is_money_alone(r)));
    if records.len() != want.len() {
        out.push(wrong(COST, format!("it has {} rows, and {} are to be told", records.len(), want.len())));
    }
    for ((what, row), record) in want.iter().zip(&records) {
        let cell = |key: &str| heads.iter().position(|h| h == key).and_then(|i| record.get(i)).unwrap_or_default();
        if cell("what") != what {
            out.push(wrong(COST, format!("a row is of {}, and should be of {what}", cell("what"))));
            continue;
        }
        // A tenth of a second for each program is rounded away.
        let rounded = manifest.programs.iter().map(|p| f64::from(p.count)).sum::<f64>() * 0.05 / 60.0;
        for ((key, slack), value) in COLUMNS.iter().zip(row) {
            let slack = if key.starts_with("minutes") { slack + rounded } else { *slack };
            let Some(value) = value else { continue };
            if is_time_told && key.starts_with("minutes") {
                continue;
            }
            if !cell(key).parse::<f64>().is_ok_and(|said| (said - value).abs() <= slack) {
                let message = format!("`{key}` of {what} is {}, and should be {}", cell(key), decimal(*value, 4));
                out.push(wrong(COST, message));
            }
        }
    }
}

/// The rows of what is paid for besides sheets.
const PAID: [&str; 6] = ["elastic", "ribbon", "lift ribbon", "glue", "machines by the hour", "work by the hour"];

/// Whether a row has no figures but what something costs.
fn is_money_alone(row: &csv::StringRecord) -> bool {
    row.iter().enumerate().all(|(i, cell)| [0, 6, 7].contains(&i) || cell.is_empty())
}

/// What the manifest says of the work: its parts come to the whole, and machines run as long as their programs.
pub(super) fn work(manifest: &Manifest, is_time_told: bool, out: &mut Many) {
    let Some(work) = &manifest.work else { return };
    let parts = work.steps.iter().map(|s| s.minutes).chain(work.runs.iter().map(|r| r.by_hand_minutes));
    let (sum, count) = parts.fold((0.0, 1.0), |(sum, n), m| (sum + m, n + 1.0));
    let mut tell = |what: &str, said: f64, should: f64, slack: f64| {
        if (said - should).abs() > slack {
            let message =
                format!("`work.{what}` is {}, and its parts come to {}", decimal(said, 1), decimal(should, 1));
            let hint = "the manifest was changed: export the folder again";
            out.push(Finding::of_file("manifest.json", Finding::new("account", message).help(hint)));
        }
    };
    tell("by_hand_minutes", work.by_hand_minutes, sum, 0.051 * count);
    if !is_time_told {
        let run: f64 = manifest.programs.iter().map(|p| p.seconds * f64::from(p.count) / 60.0).sum();
        let rounded: f64 = manifest.programs.iter().map(|p| f64::from(p.count)).sum();
        tell("run_minutes", work.run_minutes, run, 0.06 + rounded * 0.05 / 60.0);
    }
}

/// Sheets, areas and the share that is waste, per cent; no minutes.
fn areas([sheets, area, used, offcut]: [f64; 4]) -> [Option<f64>; 7] {
    let waste = if area > 0.0 { (1.0 - used / area - offcut / area).max(0.0) * 100.0 } else { 0.0 };
    [Some(sheets), Some(area), Some(used), Some(offcut), Some(waste), None, None]
}
