//! A short job: what a maker asks for, and nothing else.

use super::{Construction, Side, sizes};
use crate::doc::parse_length;
use crate::units::Unit;
use std::fmt::Write as _;

/// What a short job is to say.
#[derive(Clone, Debug)]
pub struct ShortJob<'a> {
    /// What the box is called.
    pub title: &'a str,
    /// What bare numbers are in.
    pub unit: Unit,
    /// How it is built.
    pub construction: Construction,
    /// The stack, `210x297x12`, or a standard size and the depth, `A4x12`.
    pub size: &'a str,
    /// The board's thickness; a usual one where it is left out.
    pub board: Option<&'a str>,
    /// The lids in the order in which they close.
    pub lids: &'a [Side],
}

/// The last lid covers the whole stack, those before it nearly half (our choice).
const LAST: &str = "100 %";
const OTHERS: &str = "45 %";

impl ShortJob<'_> {
    /// The job's text. An error says which part of what was asked is not to be understood.
    pub fn text(&self) -> Result<String, String> {
        let terms = self.construction.terms();
        let mut s = format!("format = 1\ntitle = {}\n", quoted(self.title));
        if self.unit == Unit::Inch {
            s.push_str("units = \"in\"\n");
        }
        s.push_str("\n[contents]\n");
        let parts: Vec<String> = self.size.split(['x', 'X', '\u{d7}']).map(|p| p.trim().to_owned()).collect();
        // Said once at the end, a unit is that of all.
        let unit = parts.last().and_then(|p| ["mm", "cm", "in"].into_iter().find(|u| p.ends_with(u)));
        let with_unit = |p: &String| match unit {
            Some(unit) if p.ends_with(|c: char| c.is_ascii_digit()) => format!("{p} {unit}"),
            _ => p.clone(),
        };
        let parts: Vec<String> = match &parts[..] {
            [_, _, _] => parts.iter().map(with_unit).collect(),
            _ => parts,
        };
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        let _ = match parts[..] {
            [name, depth] if sizes::size(&name.to_uppercase()).is_some() => {
                writeln!(s, "size = \"{}\"\ndepth = {}", name.to_uppercase(), self.length(depth)?)
            }
            [width, height, depth] => writeln!(
                s,
                "width = {}\nheight = {}\ndepth = {}",
                self.length(width)?,
                self.length(height)?,
                self.length(depth)?
            ),
            _ => {
                return Err(format!(
                    "\"{}\" is no size: write width, height and depth, 210x297x12, or A4x12",
                    self.size
                ));
            }
        };
        let board = match self.board {
            Some(board) => self.length(board)?,
            // From memory: greyboard where cloth hinges it, folding board where it is creased.
            None if terms.is_hinged => "\"2.5 mm\"".into(),
            None => "\"1 mm\"".into(),
        };
        let _ = writeln!(s, "\n[board]\nthickness = {board}");
        if self.construction != Construction::HingedBoards {
            let _ = writeln!(s, "\n[box]\nconstruction = \"{}\"", terms.word);
        }
        if !terms.has_lids() || terms.has_strips {
            return match self.lids {
                [] => Ok(s),
                _ => Err(format!("a box of construction \"{}\" has no lids to be named", terms.word)),
            };
        }
        let last = self.lids.len().saturating_sub(1);
        if self.lids.is_empty() && !terms.holds_wrapper() {
            return Err("a box wants a lid: name the sides, --lids left,right, in the order in which they close".into());
        }
        for (i, side) in self.lids.iter().enumerate() {
            if self.lids[..i].contains(side) {
                return Err(format!("the {} lid is named twice", side.word()));
            }
            let reach = if i == last { LAST } else { OTHERS };
            let _ = writeln!(s, "\n[flap.{}]\ntier = {}\nreach = \"{reach}\"", side.word(), i + 1);
        }
        Ok(s)
    }

    /// A length as it is written in a job: a bare number, or text with its unit.
    fn length(&self, text: &str) -> Result<String, String> {
        if text.parse::<f64>().is_ok_and(f64::is_finite) {
            return Ok(text.to_owned());
        }
        match parse_length(text, self.unit) {
            Ok(_) => Ok(quoted(text)),
            Err(_) => Err(format!("\"{text}\" is no length: write 12, 12.5 mm, 3/32 in")),
        }
    }
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string().trim().to_owned()
}
