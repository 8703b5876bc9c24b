//! Figures set in columns.

use std::fmt::Write as _;

/// Rows of text set in columns, each as wide as its widest cell, the first ones indented by two.
pub(super) fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = String::from("  ");
        for (cell, width) in row.iter().zip(&widths) {
            let _ = write!(line, "{cell:<width$}  ");
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// A time as a person says it.
pub(super) fn minutes(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    match (whole / 60, whole % 60) {
        (0, s) => format!("{s} s"),
        (m, s) if m < 60 => format!("{m} min {s:02} s"),
        (m, _) => format!("{} h {:02} min", m / 60, m % 60),
    }
}
