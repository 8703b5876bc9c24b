//! The words that a profile's machine knows: those that its owner wrote into the profile, and
//! those of motion. A line of a program is looked up here as a whole, so that `M3 S8000` is not
//! `M3 S18000`.

use super::Expectation;
use super::lexical::{Word, line};
use crate::profile::{Placeholder, Rule, Tool, fill};
use crate::units::decimal;
use crate::verify::Many;
use std::collections::{BTreeMap, BTreeSet};

/// What a line of the profile means in a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Meaning {
    /// The last line of those that start this tool for this rule.
    On { tool: u16, rule: u16 },
    /// Another line of those.
    PartOfOn,
    /// The first line of those that stop this tool.
    Off { tool: u16 },
    /// A line of a change to this tool, which of them, and whether it is the last.
    Change { tool: u16, at: usize, last: bool },
    /// A line of the program's beginning or end, or another of those that stop a tool.
    Frame,
}

/// Everything that a program for this profile may say besides motion.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    lines: BTreeMap<String, BTreeSet<Meaning>>,
    codes: BTreeSet<(char, i64)>,
    letters: BTreeSet<char>,
    unit: f64,
}

/// A line's words in a form that compares: `M3 S8000`, comments kept where the line names a tool.
pub(super) fn canonical(words: &[Word], comment: Option<&str>) -> String {
    let mut text: Vec<String> =
        words.iter().filter(|w| w.letter != 'N').map(|w| format!("{}{}", w.letter, decimal(w.value, 6))).collect();
    text.extend(comment.map(|c| format!("({})", c.trim())));
    text.join(" ")
}

/// A code such as G91.1 as a whole number of tenths.
pub(super) fn tenths(value: f64) -> i64 {
    (value * 10.0).round() as i64
}

impl Vocabulary {
    /// What the profile's programs count in, mm.
    pub(super) const fn unit(&self) -> f64 {
        self.unit
    }

    /// The words of the profile as they come out for this sheet and every tool and rule of it.
    pub fn new(expect: &Expectation<'_>) -> Self {
        let profile = expect.profile;
        let mut v = Self { unit: profile.output.unit.length().to_mm(), ..Self::default() };
        let filled = |line: &str, tool: Option<&Tool>, rule: Option<&Rule>| {
            let number = |n: Option<f64>| decimal(n.unwrap_or(0.0), 3);
            fill(line, |p| match p {
                Placeholder::Tool => tool.map(|t| plain(&t.id)),
                Placeholder::Number => tool.map(|t| t.number.to_string()),
                Placeholder::Power => rule.map(|r| number(r.power)),
                Placeholder::Speed => rule.map(|r| number(r.speed)),
                Placeholder::Sheet => Some(plain(expect.sheet)),
                Placeholder::Title => Some(plain(expect.title)),
                Placeholder::SafeZ => {
                    let unit = profile.output.unit.length().to_mm();
                    Some(decimal(expect.safe_z / unit, profile.output.decimals as usize))
                }
            })
        };
        for line in profile.output.start.iter().chain(&profile.output.end) {
            v.add(&filled(line, None, None), Meaning::Frame);
        }
        for (t, tool) in (0u16..).zip(&profile.tools) {
            for (r, rule) in (0u16..).zip(&profile.rules).filter(|(_, r)| r.tool == tool.id) {
                for (i, line) in tool.on.iter().enumerate() {
                    let last = i + 1 == tool.on.len();
                    let meaning = if last { Meaning::On { tool: t, rule: r } } else { Meaning::PartOfOn };
                    v.add(&filled(line, Some(tool), Some(rule)), meaning);
                }
            }
            for (i, line) in tool.off.iter().enumerate() {
                v.add(&filled(line, Some(tool), None), if i == 0 { Meaning::Off { tool: t } } else { Meaning::Frame });
            }
            let n = profile.output.change.len();
            for (i, line) in profile.output.change.iter().enumerate() {
                v.add(&filled(line, Some(tool), None), Meaning::Change { tool: t, at: i, last: i + 1 == n });
            }
        }
        v
    }

    fn add(&mut self, text: &str, meaning: Meaning) {
        // The profile's own lines were checked when it was read; what is not a word here is no code.
        let ascii: Vec<u8> = text.chars().map(|c| if c.is_ascii() { c as u8 } else { b'_' }).collect();
        let parsed = line(&ascii, 1, &mut Many::default());
        for w in &parsed.words {
            self.letters.insert(w.letter);
            if matches!(w.letter, 'G' | 'M') {
                self.codes.insert((w.letter, tenths(w.value)));
            }
        }
        let with_comment = canonical(&parsed.words, parsed.comments.first().map(String::as_str));
        for key in [canonical(&parsed.words, None), with_comment] {
            self.lines.entry(key).or_default().insert(meaning);
        }
    }

    /// Whether the machine knows this G or M code.
    pub(super) fn has_code(&self, word: &Word) -> bool {
        self.codes.contains(&(word.letter, tenths(word.value)))
    }

    /// Whether any line of the profile uses this letter.
    pub(super) fn has_letter(&self, letter: char) -> bool {
        self.letters.contains(&letter)
    }

    /// What a line means, the comment looked at first because a change may name its tool there.
    pub(super) fn meanings(&self, words: &[Word], comment: Option<&str>) -> Vec<Meaning> {
        let with = comment.and_then(|c| self.lines.get(&canonical(words, Some(c))));
        let without = || self.lines.get(&canonical(words, None));
        with.or_else(without).map(|m| m.iter().copied().collect()).unwrap_or_default()
    }
}

/// A name as it may stand in a comment: printable ASCII, without brackets and what starts one.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '(' | '[' | '{' => '<',
            ')' | ']' | '}' => '>',
            ';' => ',',
            c => c,
        })
        .collect()
}
