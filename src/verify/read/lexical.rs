//! A strict look at the text of a G-code program before anything is made of it: the parser behind
//! it forgives too much (it drops a number that is too large, and an unclosed bracket swallows the
//! line after it).

use crate::verify::{Finding, Many};

/// A word as written: its letter in upper case, its number read as f64.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Word {
    pub(super) letter: char,
    pub(super) value: f64,
    /// Digits after the point.
    pub(super) decimals: u32,
}

/// Above this no number in a program has a meaning: ten kilometres in mm.
const LARGEST: f64 = 1e7;
/// More digits than this are noise that a controller may refuse.
const MOST_DIGITS: usize = 16;

/// One line without its ending.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Line {
    pub(super) words: Vec<Word>,
    pub(super) comments: Vec<String>,
    /// The line is a lone percent sign.
    pub(super) percent: bool,
    /// It has a fault and none of its words count.
    pub(super) broken: bool,
}

/// The words of one line, `number` from 1. What is wrong with it goes to `out`.
pub(super) fn line(text: &[u8], number: u32, out: &mut Many) -> Line {
    let mut line = Line::default();
    let mut bad = |line: &mut Line, code: &'static str, message: String, hint: &str| {
        out.push(Finding::at(code, number, message).help(hint));
        line.broken = true;
    };
    if let Some(b) = text.iter().find(|b| !matches!(b, b' '..=b'~' | b'\t')) {
        bad(
            &mut line,
            "not-printable",
            format!("the line holds the byte {b:#04x}, which no controller prints"),
            "only plain ASCII belongs into a program",
        );
        return line;
    }
    let trimmed = text.trim_ascii();
    if trimmed == b"%" {
        line.percent = true;
        return line;
    }
    let mut at = 0;
    while at < text.len() {
        match text[at] {
            b' ' | b'\t' => at += 1,
            b'(' => {
                let inner = &text[at + 1..];
                match inner.iter().position(|b| matches!(b, b')' | b'(')) {
                    Some(end) if inner[end] == b')' => {
                        line.comments.push(String::from_utf8_lossy(&inner[..end]).into_owned());
                        at += end + 2;
                    }
                    Some(_) => {
                        let hint = "brackets in a comment end it early on some controllers";
                        bad(&mut line, "nested-comment", "a comment opens within a comment".into(), hint);
                        return line;
                    }
                    None => {
                        let hint = "a controller may take what follows as part of the comment";
                        bad(&mut line, "unclosed-comment", "a comment is not closed in its line".into(), hint);
                        return line;
                    }
                }
            }
            b';' => {
                line.comments.push(String::from_utf8_lossy(&text[at + 1..]).trim().to_owned());
                at = text.len();
            }
            c if c.is_ascii_alphabetic() => match word(&text[at..]) {
                Ok((word, used)) => {
                    line.words.push(word);
                    at += used;
                }
                Err(why) => {
                    let hint = "a word is a letter and a plain number: X12.5";
                    bad(&mut line, "bad-number", format!("the word {} {why}", c as char), hint);
                    return line;
                }
            },
            c => {
                let message = format!("`{}` stands where a word should", c as char);
                let hint = "optional blocks, parameters and expressions cannot be followed: write the numbers out";
                bad(&mut line, "bad-word", message, hint);
                return line;
            }
        }
    }
    line
}

fn word(text: &[u8]) -> Result<(Word, usize), String> {
    let letter = char::from(text[0].to_ascii_uppercase());
    // No word begins with E (NIST RS274/NGC, table 3); some read a power of ten into it.
    if letter == 'E' {
        return Err("is none that a machine knows, and no power of ten".into());
    }
    let mut at = 1;
    while text.get(at) == Some(&b' ') {
        at += 1;
    }
    let start = at;
    if matches!(text.get(at), Some(b'-' | b'+')) {
        at += 1;
    }
    let digits_from = at;
    while text.get(at).is_some_and(|b| b.is_ascii_digit() || *b == b'.') {
        at += 1;
    }
    let number = std::str::from_utf8(&text[start..at]).map_err(|_| "is not text".to_owned())?;
    let digits = &number[digits_from - start..];
    let count = digits.bytes().filter(u8::is_ascii_digit).count();
    if count == 0 {
        return Err("has no number".into());
    }
    if digits.matches('.').count() > 1 {
        return Err(format!("has the number {number} with two points"));
    }
    if count > MOST_DIGITS {
        return Err(format!("has a number of {count} digits"));
    }
    let value: f64 = number.parse().map_err(|_| format!("has {number}, which is no number"))?;
    if value.abs() > LARGEST {
        return Err(format!("has {number}, which no machine reaches"));
    }
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len() as u32);
    Ok((Word { letter, value, decimals }, at))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Vec<(char, f64)>, Vec<&'static str>) {
        let mut out = Many::default();
        let line = line(text.as_bytes(), 1, &mut out);
        (line.words.iter().map(|w| (w.letter, w.value)).collect(), out.into_vec().iter().map(|f| f.code).collect())
    }

    #[test]
    fn words_are_read_as_written() {
        let (words, faults) = read("g1x-.5 Y+12.25(a note)F1200 ; the rest");
        assert_eq!(words, [('G', 1.0), ('X', -0.5), ('Y', 12.25), ('F', 1200.0)]);
        assert!(faults.is_empty());
    }

    #[test]
    fn whatever_a_parser_might_forgive_is_a_fault() {
        for (text, code) in [
            ("G1 X1.2.3", "bad-number"),
            ("G1 X", "bad-number"),
            ("G1 X99999999999", "bad-number"),
            ("G1 X1 (open", "unclosed-comment"),
            ("(a (b) c)", "nested-comment"),
            ("G1 X#5", "bad-number"),
            ("/G1 X5", "bad-word"),
            ("G1 X1 \u{e9}", "not-printable"),
            ("G1 X1 2", "bad-word"),
            ("G1 X1e3", "bad-number"),
            ("G1 X[1+2]", "bad-number"),
        ] {
            assert_eq!(read(text).1.first().copied().unwrap_or_default(), code, "{text}");
        }
    }
}
