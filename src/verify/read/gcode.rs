//! G-code (NIST RS274/NGC): each line is looked at strictly, then parsed by a general library, and
//! both must see the same words; `modal` then does what a controller does with them.

use super::lexical::{Line, Word, line};
use super::modal::Controller;
use super::vocabulary::{Vocabulary, canonical, tenths};
use super::{Expectation, Reading};
use crate::profile::LineEnding;
use crate::verify::{Finding, Many};
use gcode::core::{BlockVisitor, CommandVisitor, ControlFlow, Diagnostics, Number, ProgramVisitor, Span, Value};

/// The moves of a program.
pub(super) fn read(bytes: &[u8], expect: &Expectation<'_>) -> Reading {
    let vocabulary = Vocabulary::new(expect);
    let mut out = Many::default();
    let mut controller = Controller::new(expect, &vocabulary);
    let mut reading = Reading::default();
    let mut frame = Frame::default();
    let output = &expect.profile.output;
    let mut lines = bytes.split(|b| *b == b'\n').peekable();
    while let Some(raw) = lines.next() {
        let is_last = lines.peek().is_none();
        if is_last && raw.is_empty() {
            break;
        }
        reading.lines += 1;
        let number = reading.lines;
        if is_last {
            let message = "the last line does not end: the file may be cut off";
            out.push(Finding::at("cut-off", number, message).help("export it again"));
        }
        let (text, has_cr) = raw.strip_suffix(b"\r").map_or((raw, false), |t| (t, true));
        if has_cr != (output.line_ending == LineEnding::Crlf) && !is_last {
            let message = "the line does not end as the profile says";
            out.push(Finding::at("line-ending", number, message).help("see `line_ending` in the profile"));
        }
        if output.line_limit > 0 && text.len() > output.line_limit as usize {
            let message = format!("the line has {} characters, the controller takes {}", text.len(), output.line_limit);
            out.push(Finding::at("line-too-long", number, message).help("see `line_limit` in the profile"));
        }
        let mut read = line(text, number, &mut out);
        if read.percent {
            frame.percents.push(number);
        }
        let comments = std::mem::take(&mut read.comments);
        let comment = comments.first().cloned();
        reading.comments.extend(comments.into_iter().map(|c| (number, c)));
        if read.broken || read.words.is_empty() {
            continue;
        }
        frame.note(&read);
        if !agrees(text, &read, number, &mut out) {
            continue;
        }
        for w in read.words.iter().filter(|w| w.decimals > output.decimals && is_coordinate(w, expect)) {
            let message = format!("{} has {} decimals, the machine takes {}", w.letter, w.decimals, output.decimals);
            out.push(Finding::at("decimals", number, message).help("see `decimals` in the profile"));
        }
        controller.block(&read.words, comment.as_deref(), number, &mut out);
    }
    frame.check(expect, reading.lines, &mut out);
    reading.count = controller.count();
    (reading.moves, reading.other_unit) = controller.into_moves();
    reading.findings = out.into_vec();
    reading
}

fn is_coordinate(w: &Word, expect: &Expectation<'_>) -> bool {
    matches!(w.letter, 'X' | 'Y' | 'Z' | 'I' | 'J' | 'R')
        || expect.profile.output.rotary.as_deref().is_some_and(|r| r.starts_with(w.letter))
}

/// The first and last lines as a profile wants them.
#[derive(Default)]
struct Frame {
    first: Vec<String>,
    last: Vec<String>,
    percents: Vec<u32>,
}

/// The most lines of a frame that are compared.
const FRAME: usize = 64;

impl Frame {
    fn note(&mut self, line: &Line) {
        let text = canonical(&line.words, None);
        if self.first.len() < FRAME {
            self.first.push(text.clone());
        }
        if self.last.len() == FRAME {
            self.last.remove(0);
        }
        self.last.push(text);
    }

    fn check(&self, expect: &Expectation<'_>, lines: u32, out: &mut Many) {
        let output = &expect.profile.output;
        let want = if output.percent { vec![1, lines] } else { Vec::new() };
        if self.percents != want {
            let message = if output.percent {
                "the program does not stand between two percent signs"
            } else {
                "the program has a percent sign, which this controller refuses"
            };
            out.push(Finding::new("percent", message).help("see `percent` in the profile"));
        }
        let words = |lines: &[String]| -> Vec<String> {
            let scratch = &mut Many::default();
            let all = lines.iter().map(|l| canonical(&line(l.as_bytes(), 1, scratch).words, None));
            all.filter(|l| !l.is_empty() && !l.contains('{')).take(FRAME).collect()
        };
        let has_placeholder = |lines: &[String]| lines.iter().any(|l| l.contains('{'));
        let (start, end) = (words(&output.start), words(&output.end));
        if !has_placeholder(&output.start) && !self.first.starts_with(&start) {
            let message = "the program does not begin with the profile's first lines";
            out.push(Finding::at("start-lines", 1, message).help("export it again, or see `start` in the profile"));
        }
        if !has_placeholder(&output.end) && !self.last.ends_with(&end) {
            let message = "the program does not end with the profile's last lines: it may be cut off";
            out.push(Finding::at("end-lines", lines, message).help("export it again, or see `end` in the profile"));
        }
    }
}

/// Whether the general parser sees the same words in a line as the strict look at it.
fn agrees(text: &[u8], read: &Line, number: u32, out: &mut Many) -> bool {
    let Ok(text) = std::str::from_utf8(text) else { return false };
    let mut seen = Seen { text, words: Vec::with_capacity(read.words.len()), faults: 0 };
    gcode::core::parse(text, &mut seen);
    let same = |(a, b): (&Word, &(char, f64))| {
        let value = if matches!(a.letter, 'G' | 'M' | 'T' | 'N') { tenths(a.value) as f64 / 10.0 } else { a.value };
        a.letter == b.0 && (value - b.1).abs() < 1e-9
    };
    let words: Vec<&Word> = read.words.iter().collect();
    let agree = seen.faults == 0 && words.len() == seen.words.len() && words.iter().copied().zip(&seen.words).all(same);
    if !agree {
        let message = "two readers do not agree on this line's words, so it is not followed";
        out.push(Finding::at("ambiguous-line", number, message).help("write each word as a letter and a number"));
    }
    agree
}

/// What the general parser sees in one line.
struct Seen<'t> {
    text: &'t str,
    words: Vec<(char, f64)>,
    faults: usize,
}

impl Seen<'_> {
    /// The number again, from its text: the parser's own are f32.
    fn push(&mut self, letter: char, span: Span) {
        let text = self.text.get(span.start..span.end()).unwrap_or_default();
        let text = text.trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
        match text.trim().parse() {
            Ok(value) => self.words.push((letter.to_ascii_uppercase(), value)),
            Err(_) => self.faults += 1,
        }
    }

    fn code(&mut self, letter: char, number: Number) {
        let minor = number.minor().map_or(0, std::num::NonZeroU32::get);
        self.words.push((letter, f64::from(number.major()) + f64::from(minor) / 10.0));
    }
}

impl Diagnostics for Seen<'_> {
    fn emit_unknown_content(&mut self, _: &str, _: Span) {
        self.faults += 1;
    }
    fn emit_unexpected(&mut self, _: &str, _: &[gcode::core::TokenType], _: Span) {
        self.faults += 1;
    }
    fn emit_parse_int_error(&mut self, _: &str, _: std::num::ParseIntError, _: Span) {
        self.faults += 1;
    }
}

impl ProgramVisitor for Seen<'_> {
    fn start_block(&mut self) -> ControlFlow<impl BlockVisitor + '_> {
        ControlFlow::Continue(Block(self))
    }
}

struct Block<'a, 't>(&'a mut Seen<'t>);

impl gcode::core::HasDiagnostics for Block<'_, '_> {
    fn diagnostics(&mut self) -> &mut dyn Diagnostics {
        // The trait object may not outlive the text that it does not look at.
        Seen::as_faults(self.0)
    }
}

impl<'t> Seen<'t> {
    fn as_faults(seen: &mut Self) -> &mut (dyn Diagnostics + 't) {
        seen
    }
}

impl BlockVisitor for Block<'_, '_> {
    fn line_number(&mut self, n: u32, _: Span) {
        self.0.words.push(('N', f64::from(n)));
    }
    fn program_number(&mut self, n: u32, _: Span) {
        self.0.words.push(('O', f64::from(n)));
    }
    fn word_address(&mut self, letter: char, _: Value<'_>, span: Span) {
        self.0.push(letter, span);
    }
    fn start_general_code(&mut self, number: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.code('G', number);
        ControlFlow::Continue(Block(self.0))
    }
    fn start_miscellaneous_code(&mut self, number: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.code('M', number);
        ControlFlow::Continue(Block(self.0))
    }
    fn start_tool_change_code(&mut self, number: Number) -> ControlFlow<impl CommandVisitor + '_> {
        self.0.code('T', number);
        ControlFlow::Continue(Block(self.0))
    }
}

impl CommandVisitor for Block<'_, '_> {
    fn argument(&mut self, letter: char, _: Value<'_>, span: Span) {
        self.0.push(letter, span);
    }
}
