//! What the writers of all languages share: what is written, what its lines may name, what the person at the
//! machine reads first.

use crate::diag::Diagnostic;
use crate::geom::{Point, pt};
use crate::motion::Program;
use crate::ops::side_name;
use crate::profile::{Placeholder, Profile, ProgramUnit, Rule, Tool, ZZero, fill};
use crate::units::decimal;

/// Who writes a language.
pub(super) struct Writer {
    /// The program as the controller reads it.
    pub(super) work: fn(&Script<'_>) -> Vec<u8>,
    /// The rectangle round the work, traced with the tool off.
    pub(super) outline: fn(&Script<'_>) -> Vec<u8>,
    /// The whole program with the tool never lowered and never on.
    pub(super) lifted: fn(&Script<'_>) -> Vec<u8>,
    /// What the language cannot hold of a program.
    pub(super) past_its_reach: fn(&Program, &Profile) -> Option<Diagnostic>,
}

/// What is written, and all that its lines may name.
pub(super) struct Script<'a> {
    /// The part of the program in this file.
    pub(super) program: &'a Program,
    /// All of it.
    pub(super) whole: &'a Program,
    pub(super) profile: &'a Profile,
    pub(super) title: &'a str,
    pub(super) suffix: &'a str,
}

impl Script<'_> {
    /// The Z of the stock's top in the machine's coordinates, mm.
    pub(super) fn top(&self) -> f64 {
        match self.profile.machine.z_zero {
            ZZero::Bed => self.program.sheet.thickness.to_mm(),
            ZZero::StockTop => 0.0,
        }
    }

    /// The Z of safe height in the machine's coordinates, mm.
    pub(super) fn safe_z(&self) -> f64 {
        self.top() + self.profile.machine.safe_height.to_mm()
    }

    /// A place on the sheet, in the machine's coordinates, mm.
    pub(super) fn placed(&self, p: Point) -> Point {
        let [ox, oy] = self.profile.machine.origin;
        self.profile.machine.to_controller(p + pt(ox.to_mm(), oy.to_mm()))
    }

    /// A line of the profile with its placeholders filled in. Names are made harmless first: they
    /// may come to stand in a comment.
    pub(super) fn filled(&self, line: &str, tool: Option<&Tool>, rule: Option<&Rule>) -> String {
        let number = |v: Option<f64>| decimal(v.unwrap_or(0.0), 3);
        fill(line, |p| match p {
            Placeholder::Tool => tool.map(|t| harmless(&t.id)),
            Placeholder::Number => tool.map(|t| t.number.to_string()),
            Placeholder::Power => rule.map(|r| number(r.power)),
            Placeholder::Speed => rule.map(|r| number(r.speed)),
            Placeholder::Sheet => Some(harmless(&self.program.sheet_name())),
            Placeholder::Title => Some(harmless(self.title)),
            Placeholder::SafeZ => {
                let output = &self.profile.output;
                Some(decimal(self.safe_z() / output.unit.length().to_mm(), output.decimals as usize))
            }
        })
    }

    /// On a sheet that is worked from both faces, which face lies up and what is to be done before or after.
    fn turning(&self) -> Option<String> {
        let turn = self.whole.sheet.turn?;
        let id = &self.whole.sheet.id;
        let by = match turn.pins {
            _ if self.whole.moved.is_some() => "where its marks were measured".to_owned(),
            Some(pins) => format!("over the two pins of {}", pins.diameter),
            None => "with its lower left corner at the same place".to_owned(),
        };
        Some(if self.whole.is_first_side {
            let pins = if turn.pins.is_some() { ", put the pins into the bed through its two holes" } else { "" };
            format!(
                "first run of {id}, its other face up: afterwards{pins}, turn the sheet over left to right and lay it {by}"
            )
        } else {
            format!(
                "second run of {id}: run {} first and turn the sheet over left to right; it lies {by}",
                side_name(id, true)
            )
        })
    }

    /// What the person at the machine must read first, a paragraph each.
    pub(super) fn header(&self) -> Vec<String> {
        let profile = self.profile;
        let mut lines = vec![
            format!("title: {}", self.title),
            format!("sheet: {}, {} thick", self.whole.sheet_name(), self.whole.sheet.thickness),
            format!("machine: {}", profile.name),
            match (profile.output.language.terms().has_units, profile.output.unit) {
                (true, ProgramUnit::Inch) => "inches, feed in inches a minute".to_owned(),
                _ => "millimetres, feed in mm a minute".to_owned(),
            },
        ];
        if self.whole.sheet.count() > 1 {
            lines.push(format!("cut {} sheets alike with this program", self.whole.sheet.count()));
        }
        let used = self.whole.used;
        if !used.is_empty() {
            let (a, b, corner) = (
                self.placed(used.min),
                self.placed(used.max),
                self.placed(self.whole.moved.map_or(pt(0.0, 0.0), |m| m.shift)),
            );
            let (unit, decimals) = match profile.output.unit {
                ProgramUnit::Mm => (1.0, 1),
                ProgramUnit::Inch => (profile.output.unit.length().to_mm(), 2),
            };
            let at = |v: f64| decimal(v / unit, decimals);
            lines.push(format!(
                "works from X{} Y{} to X{} Y{}; the sheet's lower left corner lies at X{} Y{}",
                at(a.x.min(b.x)),
                at(a.y.min(b.y)),
                at(a.x.max(b.x)),
                at(a.y.max(b.y)),
                at(corner.x),
                at(corner.y)
            ));
        }
        if let Some(moved) = &self.whole.moved {
            let turn = decimal(moved.turn_deg(), 2);
            let over = if moved.determinant() < 0.0 { ", turned over" } else { "" };
            lines.push(format!(
                "in register: for the one sheet whose marks were measured{over}, which lies turned by {turn} degrees"
            ));
        }
        lines.extend(self.turning());
        if profile.machine.z_axis {
            lines.push(match profile.machine.z_zero {
                ZZero::Bed => "Z0 is on the bed, under the stock".to_owned(),
                ZZero::StockTop => "Z0 is on the top face of the stock".to_owned(),
            });
        }
        if self.suffix == "outline" {
            lines.push("outline run: traces the rectangle round the work at safe height, tool off".to_owned());
        } else if self.suffix == "lifted" {
            lines.push("lifted run: the whole way with the tool above the work and off, no tool changed".to_owned());
        } else {
            let of = self.whole.sections.len();
            if self.program.sections.len() < of {
                lines.push(format!("program {} of {of} for this sheet: run them in order", self.suffix));
            }
            let mut tools: Vec<String> = Vec::new();
            for section in &self.program.sections {
                let tool = &profile.tools[section.tool];
                let tool = format!("{} ({})", tool.id, tool.number);
                if !tools.contains(&tool) {
                    tools.push(tool);
                }
            }
            lines.push(format!("tools: {}", tools.join(", ")));
        }
        lines.extend(profile.cautions.iter().map(|c| format!("caution: {c}")));
        lines
    }
}

/// Text that may stand in any comment and on any line: printable ASCII without brackets, without
/// what starts a comment or a block's number, without what small controllers take as a command
/// wherever it stands (% ! ~ ?).
pub(super) fn harmless(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '(' | '[' | '{' => plain.push('<'),
            ')' | ']' | '}' => plain.push('>'),
            ';' => plain.push(','),
            '!' => plain.push('.'),
            '%' | '~' | '?' => plain.push(' '),
            ' '..='~' => plain.push(c),
            '\u{2013}' | '\u{2014}' | '\u{2212}' => plain.push('-'),
            '\u{2018}' | '\u{2019}' => plain.push('\''),
            '\u{d7}' => plain.push('x'),
            c if c.is_control() || c.is_whitespace() => plain.push(' '),
            c => plain.push_str(without_accent(c)),
        }
    }
    plain
}

/// The plain letter or letters of the commonest accented ones; an underscore for all else.
fn without_accent(c: char) -> &'static str {
    match c {
        'à' | 'á' | 'â' | 'ã' | 'å' => "a",
        'ä' | 'æ' => "ae",
        'ç' | 'č' | 'ć' => "c",
        'è' | 'é' | 'ê' | 'ë' | 'ě' => "e",
        'ì' | 'í' | 'î' | 'ï' => "i",
        'ñ' | 'ń' | 'ň' => "n",
        'ò' | 'ó' | 'ô' | 'õ' => "o",
        'ö' | 'ø' | 'œ' => "oe",
        'ù' | 'ú' | 'û' | 'ů' => "u",
        'ü' => "ue",
        'ý' | 'ÿ' => "y",
        'š' | 'ś' => "s",
        'ž' | 'ź' | 'ż' => "z",
        'ř' => "r",
        'ł' => "l",
        'ß' => "ss",
        'À' | 'Á' | 'Â' | 'Ã' | 'Å' => "A",
        'Ä' | 'Æ' => "Ae",
        'Ç' | 'Č' => "C",
        'È' | 'É' | 'Ê' | 'Ë' => "E",
        'Ò' | 'Ó' | 'Ô' | 'Õ' => "O",
        'Ö' | 'Ø' => "Oe",
        'Ù' | 'Ú' | 'Û' => "U",
        'Ü' => "Ue",
        'Š' => "S",
        'Ž' => "Z",
        'Ł' => "L",
        _ => "_",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_made_harmless() {
        assert_eq!(harmless("Größe (A); 50 % – 2 × 3!"), "Groesse <A>, 50   - 2 x 3.");
        assert_eq!(harmless("a\nM3 S1000\u{7}"), "a M3 S1000 ");
    }
}
