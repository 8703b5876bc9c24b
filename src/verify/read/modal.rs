//! What a controller makes of a program's words: its modal state, after NIST RS274/NGC. The order
//! of execution within a block is that of its section 3.8: feed, tool, spindle, dwell, modes,
//! motion, stop.

use super::lexical::Word;
use super::vocabulary::{Meaning, Vocabulary, tenths};
use super::{Expectation, Kind, Move, Position};
use crate::geom::{Point, pt};
use crate::profile::{ArcCentres, DwellUnit, ToolKind};
use crate::units::inch;
use crate::verify::place::Count;
use crate::verify::{Finding, Many};
use std::f64::consts::{PI, TAU};

/// Whether a code, in tenths, moves the machine or changes what a coordinate means in a way that is
/// not followed: splines, offsets, probes, other planes, homes, shifted zeros, canned cycles, feeds
/// by time or turn.
const fn is_beyond(code: i64) -> bool {
    matches!(code, 50..=80 | 100 | 160 | 171 | 180..=191 | 280 | 300 | 310 | 330 | 331 | 380..=389 | 410..=439)
        || matches!(code, 510 | 511 | 520 | 530 | 550..=593 | 650..=669 | 680..=689 | 730..=769 | 810..=899)
        || matches!(code, 920..=929 | 930 | 950)
}

/// Whether a code chooses one of the controller's zeros.
const fn is_zero(code: i64) -> bool {
    matches!(code, 540..=593)
}

/// The controller on its way through a program.
pub(super) struct Controller<'a> {
    expect: &'a Expectation<'a>,
    vocabulary: &'a Vocabulary,
    moves: Vec<Move>,
    at: Position,
    motion: Option<u8>,
    /// mm in the program's unit, once it has said it.
    unit: Option<f64>,
    absolute: Option<bool>,
    feed: f64,
    /// Whether the feed was said for a turn, in degrees a minute.
    feed_is_turn: bool,
    tool: u16,
    /// The tools that the lines of a change have left possible so far, and which line that was.
    changing: Vec<(u16, usize)>,
    /// Whether I and J are a place rather than counted from the arc's start.
    centre_is_place: bool,
    ended: bool,
    rotary: Option<char>,
    /// Where the program first says another unit than the profile's.
    other_unit: Option<Finding>,
}

impl<'a> Controller<'a> {
    pub(super) fn new(expect: &'a Expectation<'a>, vocabulary: &'a Vocabulary) -> Self {
        let turned = |k: ToolKind| matches!(k, ToolKind::TangentialKnife | ToolKind::CreaseWheel);
        let axis = expect.profile.tools.iter().find(|t| turned(t.kind));
        let turn = axis.map_or(0.0, |t| t.start_heading.to_deg());
        Self {
            expect,
            vocabulary,
            moves: Vec::new(),
            at: Position { x: f64::NAN, y: f64::NAN, z: f64::NAN, turn },
            motion: None,
            unit: None,
            absolute: None,
            feed: f64::NAN,
            feed_is_turn: false,
            tool: expect.first_tool,
            changing: Vec::new(),
            centre_is_place: expect.profile.output.arc_centres == ArcCentres::Places,
            ended: false,
            rotary: expect.profile.output.rotary.as_ref().and_then(|r| r.chars().next()),
            other_unit: None,
        }
    }

    /// What the program's numbers count: the unit that it last said.
    pub(super) fn count(&self) -> Count {
        let is_mm = (self.unit.unwrap_or(self.vocabulary.unit()) - 1.0).abs() < 1e-9;
        if is_mm { Count::Mm } else { Count::Inch }
    }

    pub(super) fn into_moves(self) -> (Vec<Move>, Option<Finding>) {
        (self.moves, self.other_unit)
    }

    fn push(&mut self, kind: Kind, line: u32, to: Position) {
        self.moves.push(Move { kind, line, from: self.at, to, feed: self.feed });
        self.at = to;
    }

    /// One block.
    pub(super) fn block(&mut self, words: &[Word], comment: Option<&str>, line: u32, out: &mut Many) {
        if self.ended {
            out.push(Finding::at("after-the-end", line, "there are words after the program's end").help("remove them"));
            return;
        }
        let value = |letter: char| words.iter().find(|w| w.letter == letter).map(|w| w.value);
        let has = |code: i64| words.iter().any(|w| w.letter == 'G' && tenths(w.value) == code);
        let meanings = self.vocabulary.meanings(words, comment);
        if meanings.is_empty() {
            self.unknown(words, line, out);
        }
        self.repeated(words, line, out);
        let axes = words.iter().any(|w| matches!(w.letter, 'X' | 'Y' | 'Z') || Some(w.letter) == self.rotary);
        self.modes(words, line, out);
        // An arc that says its centre alone is a whole circle.
        let beyond = words.iter().any(|w| w.letter == 'G' && self.is_beyond(w));
        let round = words.iter().any(|w| matches!(w.letter, 'I' | 'J' | 'R')) && !beyond;
        if round && !matches!(self.motion, Some(2 | 3)) {
            let message = "I, J or R stands where no G2 or G3 holds";
            out.push(Finding::at("arc", line, message).help("a controller refuses it, or goes straight"));
        }
        let axes = axes || round && matches!(self.motion, Some(2 | 3));
        let sideways = goes_sideways(words);
        if let Some(feed) = value('F') {
            let only_turn = axes && !sideways;
            self.feed = if only_turn { feed } else { feed * self.unit.unwrap_or(1.0) };
            self.feed_is_turn = only_turn;
        }
        self.mean(&meanings, line, out);
        if has(40) {
            let scale = if self.expect.profile.output.dwell == DwellUnit::Seconds { 1.0 } else { 1e-3 };
            match value('P') {
                Some(p) if p >= 0.0 => self.push(Kind::Dwell(p * scale), line, self.at),
                _ => out.push(Finding::at("dwell", line, "a dwell without its time").help("write G4 P and the time")),
            }
        } else if axes && !beyond {
            self.motion(words, line, out);
        }
        if words.iter().any(|w| w.letter == 'M' && matches!(tenths(w.value), 20 | 300)) {
            self.push(Kind::End, line, self.at);
            self.ended = true;
        }
    }

    /// Words that neither motion nor the profile knows.
    fn unknown(&mut self, words: &[Word], line: u32, out: &mut Many) {
        let output = &self.expect.profile.output;
        let mut codes = 0;
        for w in words {
            let known = match w.letter {
                'G' => {
                    let arcs = if output.arcs { [20, 30] } else { [0, 0] };
                    [0, 10, 40, 170, 200, 210, 900, 910, 940].contains(&tenths(w.value))
                        || arcs.contains(&tenths(w.value))
                        || self.vocabulary.has_code(w)
                }
                'M' => {
                    codes += 1;
                    self.vocabulary.has_code(w)
                }
                'X' | 'Y' | 'F' | 'N' | 'I' | 'J' | 'R' => true,
                'P' => {
                    words.iter().any(|g| g.letter == 'G' && tenths(g.value) == 40) || self.vocabulary.has_letter('P')
                }
                'Z' => self.expect.profile.machine.z_axis,
                c => Some(c) == self.rotary || self.vocabulary.has_letter(c),
            };
            if !known {
                let message = format!("the machine does not know the word {}{}", w.letter, w.value);
                let hint = "it is in none of the profile's lines; take it out, or add it to the profile if the machine does know it";
                out.push(Finding::at("unknown-word", line, message).help(hint));
                return;
            }
        }
        let bare = codes == 0 && words.iter().any(|w| w.letter == 'S' || w.letter == 'T');
        if codes > 0 || bare {
            let message = "the profile's lines do not have these words together: the tool, its power or its speed is none of the profile's";
            out.push(
                Finding::at("words-not-of-the-profile", line, message)
                    .help("compare `on`, `off`, `start`, `end` and `change`"),
            );
            // Followed all the same, by what such words commonly do.
            for w in words.iter().filter(|w| w.letter == 'M') {
                match tenths(w.value) {
                    30 | 40 => self.push(Kind::On { rules: u64::MAX }, line, self.at),
                    50 => self.push(Kind::Off, line, self.at),
                    _ => {}
                }
            }
        }
    }

    fn repeated(&self, words: &[Word], line: u32, out: &mut Many) {
        for (i, w) in words.iter().enumerate() {
            if !matches!(w.letter, 'G' | 'M') && words[..i].iter().any(|v| v.letter == w.letter) {
                let message = format!("the word {} stands twice in a block", w.letter);
                out.push(Finding::at("repeated-word", line, message).help("a controller refuses it or takes either"));
            }
        }
    }

    fn modes(&mut self, words: &[Word], line: u32, out: &mut Many) {
        for w in words.iter().filter(|w| w.letter == 'G') {
            match tenths(w.value) {
                c @ (0 | 10 | 20 | 30) => self.motion = Some((c / 10) as u8),
                c @ (200 | 210) => {
                    let unit = if c == 200 { inch(1.0).to_mm() } else { 1.0 };
                    self.unit = Some(unit);
                    self.own_unit(unit, line);
                }
                900 => self.absolute = Some(true),
                910 => self.absolute = Some(false),
                901 => self.centre_is_place = true,
                911 => self.centre_is_place = false,
                800 => self.motion = None,
                _ if self.is_beyond(w) => {
                    let message = format!("G{} changes what the words after it mean, and is not followed", w.value);
                    out.push(Finding::at("not-followed", line, message).help("what comes after it is not proved"));
                    self.at = Position { turn: self.at.turn, x: f64::NAN, y: f64::NAN, z: f64::NAN };
                }
                _ => {}
            }
        }
    }

    /// A unit that is not the profile's makes everything after it 25.4 times too large or too small.
    fn own_unit(&mut self, unit: f64, line: u32) {
        let own = self.vocabulary.unit();
        if (unit - own).abs() > 1e-9 && self.other_unit.is_none() {
            let (is, wanted) = if unit > own { ("inches (G20)", "mm (G21)") } else { ("mm (G21)", "inches (G20)") };
            let message = format!("the program is in {is} here, and the profile's programs are in {wanted}");
            let hint = "everything after it comes out in the wrong size: do not run it, and export it again";
            self.other_unit = Some(Finding::at("other-unit", line, message).help(hint));
        }
    }

    /// Whether a word changes what is not followed. A zero that the profile's first lines choose is the
    /// one that everything counts from, as long as nothing has moved.
    fn is_beyond(&self, w: &Word) -> bool {
        let code = tenths(w.value);
        is_beyond(code) && !(is_zero(code) && self.at.x.is_nan() && self.vocabulary.has_code(w))
    }

    /// What the profile's lines mean for the tool in hand.
    fn mean(&mut self, meanings: &[Meaning], line: u32, out: &mut Many) {
        if meanings.iter().any(|m| matches!(m, Meaning::Off { tool } if *tool == self.tool)) {
            self.push(Kind::Off, line, self.at);
        }
        let rules = meanings.iter().fold(0u64, |bits, m| match m {
            Meaning::On { tool, rule } if *tool == self.tool && *rule < 64 => bits | 1 << rule,
            _ => bits,
        });
        let of_another = meanings.iter().any(|m| matches!(m, Meaning::On { .. }));
        if rules != 0 {
            self.push(Kind::On { rules }, line, self.at);
        } else if of_another && !meanings.iter().any(|m| matches!(m, Meaning::Off { .. } | Meaning::Frame)) {
            let message = "these words start a tool that is not the one fitted";
            out.push(Finding::at("wrong-tool", line, message).help("see the `change` lines of the profile"));
            self.push(Kind::On { rules: 0 }, line, self.at);
        }
        // Whichever of a change's lines names the tool: what all of them together leave possible. A line
        // that does not come after the one before it is another's: a dwell may be one of a change too.
        let before = std::mem::take(&mut self.changing);
        let (mut to, mut on) = (Vec::new(), Vec::new());
        for m in meanings {
            let Meaning::Change { tool, at, last } = *m else { continue };
            if at > 0 && !before.contains(&(tool, at - 1)) {
                continue;
            }
            if last {
                to.push(tool);
            } else {
                on.push((tool, at));
            }
        }
        self.changing = on;
        match to[..] {
            [] => {}
            [tool] => self.change(tool, line),
            // The line does not say which; the only one that it can be is another than now.
            _ => match to.iter().filter(|t| **t != self.tool).collect::<Vec<_>>()[..] {
                [tool] => self.change(*tool, line),
                _ => {
                    let message = "a tool is changed, and the words do not say to which";
                    out.push(Finding::at("change-unnamed", line, message).help("put {tool} or {number} into `change`"));
                }
            },
        }
    }

    fn change(&mut self, tool: u16, line: u32) {
        self.push(Kind::Change(tool), line, self.at);
        self.tool = tool;
    }

    /// Where a block's words lead to.
    fn target(&self, words: &[Word]) -> Position {
        let unit = self.unit.unwrap_or(1.0);
        let absolute = self.absolute.unwrap_or(true);
        let scale = self.expect.profile.output.rotary_scale;
        let mut to = self.at;
        for w in words {
            let along = |now: f64, value: f64| if absolute { value } else { now + value };
            match w.letter {
                'X' => to.x = along(to.x, w.value * unit),
                'Y' => to.y = along(to.y, w.value * unit),
                'Z' => to.z = along(to.z, w.value * unit),
                c if Some(c) == self.rotary => to.turn = along(to.turn, w.value / scale),
                _ => {}
            }
        }
        to
    }

    fn motion(&mut self, words: &[Word], line: u32, out: &mut Many) {
        if self.unit.is_none() || self.absolute.is_none() {
            let message = "the machine moves before the program has said G20 or G21 and G90 or G91";
            out.push(Finding::at("modes-unsaid", line, message).help("say units and distances in the first lines"));
            (self.unit, self.absolute) = (self.unit.or(Some(1.0)), self.absolute.or(Some(true)));
        }
        let to = self.target(words);
        let sideways = goes_sideways(words);
        let Some(motion) = self.motion else {
            let message = "the machine is to move, and no G0 to G3 holds";
            out.push(Finding::at("motion-unsaid", line, message).help("say G0 or G1"));
            return;
        };
        if motion != 0 {
            self.feed_is_said(sideways, line, out);
        }
        match motion {
            0 => self.push(Kind::Rapid, line, to),
            _ if !sideways => self.push(Kind::Turn, line, to),
            1 => self.push(Kind::Line, line, to),
            _ => self.arc(words, motion == 3, line, to, out),
        }
    }

    fn feed_is_said(&self, sideways: bool, line: u32, out: &mut Many) {
        if self.feed.is_nan() || self.feed <= 0.0 {
            out.push(Finding::at("feed-unsaid", line, "a move at a feed that is not said").help("say F"));
        } else if self.feed_is_turn == sideways {
            let (what, unit) = if sideways { ("a cut", "degrees") } else { ("a turn", "mm") };
            let message = format!("{what} goes at a feed that was said in {unit} a minute");
            out.push(
                Finding::at("feed-of-the-other-kind", line, message).help("say F again where turns and ways meet"),
            );
        }
    }

    fn arc(&mut self, words: &[Word], ccw: bool, line: u32, to: Position, out: &mut Many) {
        let unit = self.unit.unwrap_or(1.0);
        let value = |letter: char| words.iter().find(|w| w.letter == letter).map(|w| w.value * unit);
        let (start, end) = (self.at.xy(), to.xy());
        let by_centre = value('I').is_some() || value('J').is_some();
        let centre = match value('R') {
            Some(r) if !by_centre => centre_by_radius(start, end, r, ccw),
            None if by_centre && self.centre_is_place => {
                Some(pt(value('I').unwrap_or(start.x), value('J').unwrap_or(start.y)))
            }
            None if by_centre => Some(start + pt(value('I').unwrap_or(0.0), value('J').unwrap_or(0.0))),
            _ => None,
        };
        let Some(centre) = centre else {
            let message = "an arc without a centre that can be found";
            out.push(Finding::at("arc", line, message).help("write it with I and J"));
            self.at = to;
            return;
        };
        let (r1, r2) = (start.distance(centre), end.distance(centre));
        let apart = (r1 - r2).abs();
        let (a, b) = ((start - centre).heading(), (end - centre).heading());
        let turn = if ccw { (b - a).rem_euclid(TAU) } else { (a - b).rem_euclid(TAU) };
        let turn = if turn < 1e-9 { TAU } else { turn };
        let sign = if ccw { 1.0 } else { -1.0 };
        let kind = |sweep: f64| Kind::Arc { bulge: (sign * sweep / 4.0).tan(), apart };
        if turn <= PI + 1e-9 {
            self.push(kind(turn), line, to);
            return;
        }
        let from = self.at;
        let half = centre + (start - centre).rotated(sign * turn / 2.0);
        let mid = Position { x: half.x, y: half.y, z: (from.z + to.z) / 2.0, turn: (from.turn + to.turn) / 2.0 };
        self.push(kind(turn / 2.0), line, mid);
        self.push(kind(turn / 2.0), line, to);
    }
}

/// Whether a block's words move more than the rotary axis.
fn goes_sideways(words: &[Word]) -> bool {
    words.iter().any(|w| matches!(w.letter, 'X' | 'Y' | 'Z' | 'I' | 'J' | 'R'))
}

/// The centre of an arc given by its radius: the shorter way for a positive one (NIST RS274/NGC
/// 3.5.3.1).
fn centre_by_radius(start: Point, end: Point, radius: f64, ccw: bool) -> Option<Point> {
    let chord = end - start;
    let half = chord.length() / 2.0;
    if half < 1e-9 || radius.abs() < half - 1e-3 {
        return None;
    }
    let rise = (radius * radius - half * half).max(0.0).sqrt();
    let left = chord.left() / chord.length();
    let side = if ccw == (radius > 0.0) { 1.0 } else { -1.0 };
    Some(start.lerp(end, 0.5) + left * (rise * side))
}
