//! Lines of words, put together in one buffer without an allocation for each.

use crate::profile::{Comments, LineEnding, Output};
use crate::write::script::harmless;

/// The highest block number (NIST RS274/NGC 3.3: up to five digits).
const LAST_NUMBER: u32 = 99_999;

/// A program as it grows.
pub(super) struct Lines<'a> {
    out: Vec<u8>,
    output: &'a Output,
    ending: &'static [u8],
    /// Where the line in hand begins; the words come after its number.
    start: usize,
    words: usize,
    number: u32,
    /// Where the F word of the line in hand stands.
    feed: Option<(usize, usize)>,
}

impl<'a> Lines<'a> {
    pub(super) fn new(output: &'a Output, room: usize) -> Self {
        let ending: &[u8] = match output.line_ending {
            LineEnding::Lf => b"\n",
            LineEnding::Crlf => b"\r\n",
        };
        Self { out: Vec::with_capacity(room), output, ending, start: 0, words: 0, number: 0, feed: None }
    }

    pub(super) fn into_bytes(self) -> Vec<u8> {
        self.out
    }

    /// Starts a block.
    pub(super) fn begin(&mut self) {
        self.start = self.out.len();
        self.number_word();
        self.words = self.out.len();
        self.feed = None;
    }

    fn number_word(&mut self) {
        let step = self.output.line_numbers;
        if step > 0 {
            self.number = if self.number + step > LAST_NUMBER { step } else { self.number + step };
            self.out.push(b'N');
            push_fixed(&mut self.out, i64::from(self.number), 0);
        }
    }

    /// A word of the block: its letter or letters, and `value` in units of the last of `decimals`.
    pub(super) fn word(&mut self, letter: &[u8], value: i64, decimals: u32) {
        if self.out.len() > self.start {
            self.out.push(b' ');
        }
        self.out.extend_from_slice(letter);
        push_fixed(&mut self.out, value, decimals);
    }

    /// The F word.
    pub(super) fn feed(&mut self, value: i64, decimals: u32) {
        let from = self.out.len();
        self.word(b"F", value, decimals);
        self.feed = Some((from, self.out.len()));
    }

    /// Whether the block in hand stays too long for the controller however it is packed.
    pub(super) fn is_too_long(&self) -> bool {
        let limit = self.output.line_limit as usize;
        let letters = |b: &[u8]| b.iter().filter(|c| **c != b' ').count();
        let feed = self.feed.map_or(0, |(from, to)| letters(&self.out[from..to]));
        limit > 0 && self.out.len() - self.start > limit && letters(&self.out[self.start..]) - feed > limit
    }

    /// Takes the block in hand back, number and all.
    pub(super) fn take_back(&mut self) {
        self.out.truncate(self.start);
        if self.number >= self.output.line_numbers {
            self.number -= self.output.line_numbers;
        }
    }

    /// Ends the block; one without words leaves no line.
    pub(super) fn end(&mut self) {
        if self.out.len() == self.words {
            self.take_back();
            return;
        }
        let limit = self.output.line_limit as usize;
        if limit > 0 && self.out.len() - self.start > limit {
            self.shorten(limit);
        }
        self.out.extend_from_slice(self.ending);
    }

    /// A block that is longer than the controller takes: without spaces, and where that does not
    /// do, its feed in a block of its own before it.
    #[cold]
    fn shorten(&mut self, limit: usize) {
        let block = self.out.split_off(self.start);
        let packed = |b: &[u8]| -> Vec<u8> { b.iter().copied().filter(|c| *c != b' ').collect() };
        let Some((from, to)) = self.feed.filter(|_| packed(&block).len() > limit) else {
            self.out.extend(packed(&block));
            return;
        };
        let (from, to) = (from - self.start, to - self.start);
        let feed = packed(&block[from..to]);
        let number_len = self.words - self.start;
        self.out.extend_from_slice(&block[..number_len]);
        self.out.extend(feed);
        self.out.extend_from_slice(self.ending);
        self.start = self.out.len();
        self.number_word();
        self.out.extend(packed(&block[number_len..from]));
        self.out.extend(packed(&block[to..]));
    }

    /// A line of the profile as it stands.
    pub(super) fn given(&mut self, line: &str) {
        let line = line.trim();
        if line.is_empty() {
            return;
        }
        let is_comment = line.starts_with('(') || line.starts_with(';') || line.starts_with('%');
        if !is_comment && self.output.line_numbers > 0 {
            self.number_word();
            self.out.push(b' ');
        }
        // Only ASCII may reach a controller; a profile's own comment may hold more.
        self.out.extend(line.chars().map(|c| if c.is_ascii() { c as u8 } else { b'_' }));
        self.out.extend_from_slice(self.ending);
    }

    /// A comment in the controller's way, made harmless and parted into lines that it takes.
    pub(super) fn comment(&mut self, text: &str) {
        let (open, close): (&[u8], &[u8]) = match self.output.comments {
            Comments::Parentheses => (b"(", b")"),
            Comments::Semicolon => (b"; ", b""),
            Comments::None => return,
        };
        let limit = if self.output.line_limit > 0 { self.output.line_limit.min(100) } else { 100 } as usize;
        let room = limit.saturating_sub(open.len() + close.len()).max(8);
        for part in wrapped(&harmless(text), room) {
            self.out.extend_from_slice(open);
            self.out.extend_from_slice(part.as_bytes());
            self.out.extend_from_slice(close);
            self.out.extend_from_slice(self.ending);
        }
    }
}

/// ASCII text in lines of at most `room`, parted at spaces where there are any.
fn wrapped(text: &str, room: usize) -> Vec<&str> {
    let mut lines = Vec::new();
    let mut rest = text.trim();
    while rest.len() > room {
        let cut = rest[..=room].rfind(' ').filter(|c| *c > 0).unwrap_or(room);
        lines.push(rest[..cut].trim_end());
        rest = rest[cut..].trim_start();
    }
    if !rest.is_empty() {
        lines.push(rest);
    }
    lines
}

/// `value` in units of the last of `decimals`, without trailing zeros, never -0.
pub(super) fn push_fixed(out: &mut Vec<u8>, value: i64, decimals: u32) {
    if value < 0 {
        out.push(b'-');
    }
    let mut left = value.unsigned_abs();
    let mut decimals = decimals;
    if decimals > 0 && left == 0 {
        decimals = 0;
    }
    while decimals > 0 && left.is_multiple_of(10) {
        left /= 10;
        decimals -= 1;
    }
    let mut digits = [0u8; 24];
    let mut at = digits.len();
    let mut written = 0;
    while left > 0 || written <= decimals {
        if decimals > 0 && written == decimals {
            at -= 1;
            digits[at] = b'.';
        }
        at -= 1;
        digits[at] = b'0' + (left % 10) as u8;
        left /= 10;
        written += 1;
    }
    out.extend_from_slice(&digits[at..]);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(value: i64, decimals: u32) -> String {
        let mut out = Vec::new();
        push_fixed(&mut out, value, decimals);
        String::from_utf8(out).expect("ASCII")
    }

    #[test]
    fn numbers_are_trimmed_and_never_minus_zero() {
        for (value, decimals, expected) in [
            (0, 4, "0"),
            (-5, 4, "-0.0005"),
            (12_500, 3, "12.5"),
            (12_000, 3, "12"),
            (-123_456, 4, "-12.3456"),
            (7, 0, "7"),
            (100, 0, "100"),
            (i64::from(i32::MAX), 2, "21474836.47"),
        ] {
            assert_eq!(text(value, decimals), expected);
        }
    }

    #[test]
    fn they_read_back_as_they_were() {
        for value in (-20_000..20_000).step_by(7) {
            let back: f64 = text(value, 3).parse().expect("a number");
            assert!((back * 1e3 - value as f64).abs() < 1e-6);
        }
    }

    #[test]
    fn comments_are_parted_at_spaces() {
        assert_eq!(wrapped("one two three", 8), ["one two", "three"]);
        assert_eq!(wrapped("abcdefghij", 4), ["abcd", "efgh", "ij"]);
        assert!(wrapped("", 8).is_empty());
    }
}
