//! HP-GL, the plotter language: whole steps, pens up and down.

use super::{Expectation, Kind, Move, Position, Reading};
use crate::diag::Severity;
use crate::units::decimal;
use crate::verify::place::Count;
use crate::verify::{Finding, Many};

/// Some plotters stop at this step without a word (from memory).
const CLAMP: f64 = 32_767.0;
/// The most numbers of one instruction that are read.
const MOST_NUMBERS: usize = 1_000_000;

/// The moves of a plot.
pub(super) fn read(bytes: &[u8], expect: &Expectation<'_>) -> Reading {
    let mut out = Many::default();
    let mut plot = Plot {
        expect,
        moves: Vec::new(),
        at: Position { x: f64::NAN, y: f64::NAN, z: f64::NAN, turn: 0.0 },
        is_down: false,
        feed: f64::NAN,
        tool: expect.first_tool,
        initialized: false,
        is_clamp_told: false,
    };
    let mut reading = Reading { lines: bytes.iter().filter(|b| **b == b'\n').count() as u32, ..Reading::default() };
    let (mut at, mut line) = (0usize, 1u32);
    let mut last = String::new();
    while at < bytes.len() {
        match bytes[at] {
            b'\n' => {
                line += 1;
                at += 1;
            }
            b' ' | b'\r' | b'\t' | b';' => at += 1,
            c if c.is_ascii_alphabetic() && bytes.get(at + 1).is_some_and(u8::is_ascii_alphabetic) => {
                let word: String = [c, bytes[at + 1]].iter().map(|b| char::from(b.to_ascii_uppercase())).collect();
                at += 2;
                let start = at;
                while at < bytes.len() && (bytes[at].is_ascii_digit() || b"+-., ".contains(&bytes[at])) {
                    at += 1;
                }
                if bytes.get(at) != Some(&b';') {
                    let message =
                        format!("the instruction {word} does not end with a semicolon: the file may be cut off");
                    out.push(Finding::at("cut-off", line, message).help("export it again"));
                }
                match numbers(&bytes[start..at]) {
                    Ok(numbers) => plot.instruction(&word, &numbers, line, &mut out),
                    Err(why) => {
                        out.push(Finding::at("bad-number", line, format!("{word} has {why}")).help("export it again"))
                    }
                }
                last = format!("{word}{}", String::from_utf8_lossy(&bytes[start..at]));
            }
            c => {
                let message = format!("the byte {c:#04x} stands where an instruction should");
                out.push(
                    Finding::at("bad-word", line, message).help("only two letters and numbers belong into a plot"),
                );
                at += 1;
            }
        }
    }
    let end: Vec<String> = instructions(&expect.profile.output.end).collect();
    if !end.is_empty() {
        // The pen is put away in any case.
        let want = end.last().filter(|_| end.iter().any(|i| i.contains("SP0"))).map_or("SP0", String::as_str);
        if last.trim() != want {
            let message = format!("the plot does not end with {want}: it may be cut off");
            out.push(Finding::at("end-lines", line, message).help("export it again, or see `end` in the profile"));
        }
    }
    reading.count = Count::Steps(expect.profile.output.step.to_mm());
    reading.moves = plot.moves;
    reading.findings = out.into_vec();
    reading
}

/// The instructions of a profile's lines, in capitals.
fn instructions(lines: &[String]) -> impl Iterator<Item = String> {
    lines.iter().flat_map(|l| l.split(';')).map(str::trim).filter(|i| !i.is_empty()).map(str::to_ascii_uppercase)
}

fn numbers(text: &[u8]) -> Result<Vec<f64>, String> {
    let text = std::str::from_utf8(text).map_err(|_| "bytes that are no text".to_owned())?.trim();
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let parts = text.split(',').take(MOST_NUMBERS);
    parts
        .map(|p| {
            let p = p.trim();
            let n: f64 = p.parse().map_err(|_| format!("`{p}`, which is no number"))?;
            if n.abs() < 1e9 { Ok(n) } else { Err(format!("{p}, which no plotter reaches")) }
        })
        .collect()
}

struct Plot<'a> {
    expect: &'a Expectation<'a>,
    moves: Vec<Move>,
    at: Position,
    is_down: bool,
    feed: f64,
    tool: u16,
    initialized: bool,
    /// Whether it is told already that some plotters cannot count so far.
    is_clamp_told: bool,
}

impl Plot<'_> {
    fn push(&mut self, kind: Kind, line: u32, to: Position) {
        self.moves.push(Move { kind, line, from: self.at, to, feed: self.feed });
        self.at = to;
    }

    fn instruction(&mut self, word: &str, n: &[f64], line: u32, out: &mut Many) {
        if !self.initialized && word != "IN" {
            out.push(Finding::at("start-lines", line, "the plot does not begin with IN").help("export it again"));
        }
        self.initialized = true;
        match word {
            "IN" => self.is_down = false,
            "PA" => self.points(n, line, out),
            "PU" | "PD" => {
                let down = word == "PD";
                if down != self.is_down {
                    self.is_down = down;
                    // A pen has no words of its own here: any rule of the fitted tool may be meant.
                    self.push(if down { Kind::On { rules: u64::MAX } } else { Kind::Off }, line, self.at);
                }
                self.points(n, line, out);
            }
            "VS" => match n.first() {
                // Centimetres a second.
                Some(v) if *v > 0.0 => self.feed = v * 600.0,
                _ => out.push(Finding::at("feed-unsaid", line, "VS without a speed").help("export it again")),
            },
            "SP" => self.pen(n.first().copied().unwrap_or(0.0), line, out),
            // Defaults, force and acceleration, where the profile's owner has them.
            "DF" | "FS" | "AS" if self.is_of_the_profile(word) => {}
            _ => {
                let message = format!("the instruction {word} is not followed: it is none of IN, SP, VS, PU, PD, PA");
                out.push(Finding::at("unknown-word", line, message).help("write the plot with those"));
            }
        }
    }

    fn is_of_the_profile(&self, word: &str) -> bool {
        let o = &self.expect.profile.output;
        [&o.start, &o.change, &o.end].into_iter().any(|lines| instructions(lines).any(|i| i.starts_with(word)))
    }

    fn pen(&mut self, number: f64, line: u32, out: &mut Many) {
        if number.abs() < 0.5 {
            return;
        }
        let fits = |t: &crate::profile::Tool| (f64::from(t.number) - number).abs() < 0.5;
        let tools = &self.expect.profile.tools;
        if tools.get(usize::from(self.tool)).is_some_and(fits) {
            return;
        }
        match tools.iter().position(fits) {
            Some(tool) => {
                self.tool = tool as u16;
                self.push(Kind::Change(self.tool), line, self.at);
            }
            None => {
                let message = format!("the profile has no tool number {number}");
                out.push(Finding::at("wrong-tool", line, message).help("see `number` of its tools"));
            }
        }
    }

    fn points(&mut self, n: &[f64], line: u32, out: &mut Many) {
        if self.is_down && self.feed.is_nan() && n.len() >= 2 {
            let message = "the pen goes over the sheet lowered before the plot has said how fast (VS)";
            out.push(Finding::at("feed-unsaid", line, message).help("a lift may be missing: export it again"));
        }
        if !n.len().is_multiple_of(2) {
            out.push(Finding::at("bad-number", line, "a point lacks its y").help("export it again"));
        }
        for p in n.chunks_exact(2) {
            if p.iter().any(|v| v.fract().abs() > 0.0) {
                out.push(Finding::at("decimals", line, "a place is not in whole steps").help("export it again"));
            }
            let step = self.expect.profile.output.step.to_mm();
            if !self.is_clamp_told && p.iter().any(|v| v.abs() > CLAMP) {
                self.is_clamp_told = true;
                let message = format!(
                    "the plot goes past step 32767 ({} mm), where some plotters stop without a word",
                    decimal(CLAMP * step, 0)
                );
                let finding = Finding { severity: Severity::Warning, ..Finding::at("hpgl-clamp", line, message) };
                out.push(finding.help("try the outline run first, or use a smaller sheet"));
            }
            let to = Position { x: p[0] * step, y: p[1] * step, ..self.at };
            let kind = if self.is_down { Kind::Line } else { Kind::Rapid };
            self.push(kind, line, to);
        }
    }
}
