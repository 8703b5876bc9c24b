//! Mutations of kept inputs, the same for the same seed: bytes, tokens, numbers and lines changed,
//! and words put in that one of the readers knows.

use crate::common::dice::Dice;

/// Longer inputs are cut: limits on size have tests of their own.
const LONGEST: usize = 1 << 16;

const WORDS: [&str; 62] = [
    "0",
    "-0",
    "1",
    "-1",
    "0.0000001",
    "1e-300",
    "1e300",
    "-1e300",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "4294967296",
    "9223372036854775808",
    "999999999999999999999999",
    "1000000000000",
    "0.5",
    "90",
    "360",
    "1/0",
    "1/16 in",
    "98 pt",
    "2 t",
    "50%",
    "true",
    "false",
    "\"\"",
    "[]",
    "{}",
    "[[",
    "]]",
    "=",
    "\"",
    "'",
    "\n",
    "\r\n",
    "\t",
    "\0",
    "\u{feff}",
    "é",
    "\u{1f58c}",
    "null",
    "[0]",
    ",",
    ";",
    "(",
    ")",
    "%",
    "#",
    "G2",
    "G3",
    "G20",
    "G91",
    "M3",
    "I0J0",
    "R1",
    "PU;",
    "AA0,0,360;",
    "POLYLINE",
    "INSERT",
    "SPLINE",
    "ELLIPSE",
];

impl Dice {
    /// Below some power of two less than `2^n`, the small as likely as the large.
    fn up_to_two_to(&mut self, n: usize) -> usize {
        let power = self.below(n);
        self.below(1 << power)
    }

    /// Below `n`; 0 where that is 0.
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

/// The input that belongs to a seed.
pub(crate) fn mutated(seeds: &[&[u8]], seed: u64) -> Vec<u8> {
    let mut dice = Dice(seed);
    let mut input = seeds[dice.below(seeds.len())].to_vec();
    let times = 1 + dice.up_to_two_to(4);
    for _ in 0..times {
        change(&mut input, seeds, &mut dice);
        input.truncate(LONGEST);
    }
    input
}

fn change(input: &mut Vec<u8>, seeds: &[&[u8]], dice: &mut Dice) {
    let at = dice.below(input.len() + 1);
    let end = (at + 1 + dice.up_to_two_to(8)).min(input.len());
    let at = at.min(end);
    match dice.below(16) {
        0 if at < input.len() => input[at] ^= 1 << dice.below(8),
        1 if at < input.len() => input[at] = dice.next() as u8,
        2 => drop(input.drain(at..end)),
        3 => {
            let copy = input[at..end].to_vec();
            let to = dice.below(input.len() + 1);
            input.splice(to..to, copy);
        }
        4 => {
            let copy = input[at..end].repeat(1 << dice.below(6));
            input.splice(at..at, copy);
        }
        5 => input.truncate(at),
        6 => {
            let other = seeds[dice.below(seeds.len())];
            let from = dice.below(other.len() + 1);
            let to = (from + dice.below(400)).min(other.len());
            input.splice(at..end, other[from..to].iter().copied());
        }
        7 => {
            let (one, two) = (line(input, at), line(input, dice.below(input.len() + 1)));
            let moved = input[two].to_vec();
            input.splice(one.start..one.start, moved);
        }
        8 => drop(input.drain(line(input, at))),
        9 | 10 => {
            let word = WORDS[dice.below(WORDS.len())].bytes();
            input.splice(at..at, word);
        }
        // A value or key in place of another.
        11 | 12 => {
            let span = token(input, at, |b| b.is_ascii_alphanumeric() || b"._+-\"%".contains(&b));
            let word = if dice.below(2) == 0 {
                WORDS[dice.below(WORDS.len())].as_bytes().to_vec()
            } else {
                let from = dice.below(input.len());
                input[token(input, from, |b| b.is_ascii_alphanumeric() || b"._+-\"%".contains(&b))].to_vec()
            };
            input.splice(span, word);
        }
        // A number moved a little or a lot, so that the text keeps its form.
        _ => {
            let starts: Vec<usize> = (0..input.len())
                .filter(|i| input[*i].is_ascii_digit() && (*i == 0 || !input[*i - 1].is_ascii_digit()))
                .collect();
            if starts.is_empty() {
                return;
            }
            let span = token(input, starts[dice.below(starts.len())], |b| b.is_ascii_digit() || b == b'.');
            let was: f64 = String::from_utf8_lossy(&input[span.clone()]).parse().unwrap_or(1.0);
            let to = match dice.below(8) {
                0 => "0".to_owned(),
                1 => format!("{}", was * 10.0),
                2 => format!("{}", was / 10.0),
                3 => format!("{}", was + 1.0),
                4 => format!("-{was}"),
                5 => format!("{}", dice.below(400)),
                6 => format!("{:.2}", dice.below(40_000) as f64 / 100.0),
                _ => WORDS[dice.below(20)].to_owned(),
            };
            input.splice(span, to.into_bytes());
        }
    }
}

fn line(input: &[u8], at: usize) -> std::ops::Range<usize> {
    let start = input[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    let end = input[at..].iter().position(|b| *b == b'\n').map_or(input.len(), |i| at + i + 1);
    start..end
}

fn token(input: &[u8], at: usize, is_in: impl Fn(u8) -> bool) -> std::ops::Range<usize> {
    let start = input[..at].iter().rposition(|b| !is_in(*b)).map_or(0, |i| i + 1);
    let end = input[at..].iter().position(|b| !is_in(*b)).map_or(input.len(), |i| at + i);
    start..end
}
