//! Whether values make sense: what all checks of a job share, and the checks of its head, its
//! contents and the box. The limits are physical: what cannot be made is an error, what a maker
//! would look at twice a warning.

use super::{Build, Clearance, Construction, Contents, Maker, Making, Seat, sizes};
use crate::diag::Diagnostic;
use crate::doc::{Document, RawLength};
use crate::drawing::Faces;
use crate::units::{Length, Unit, decimal, mm};

/// No sheet, box or measure is longer; it also keeps every later sum finite.
const LONGEST: Length = mm(10_000.0);
/// What a maker measures is no less: a caliper reads as much (our choice).
const LEAST: Length = mm(0.01);
/// A base larger than this is more likely a mistake of units than a box (our choice, as the two below).
const LARGE_BASE: Length = mm(2_000.0);
/// A base with both sides smaller than this likewise.
const SMALL_BASE: Length = mm(20.0);
/// No box can be folded round a stack narrower than this.
const LEAST_SIDE: Length = mm(5.0);

/// Whoever is farther out than this measures again (our choice).
const LOOSEST: Length = mm(3.0);

/// So many letters are named one by one.
const TOLD: usize = 12;

/// Whether a letter is of a script that runs from right to left: the blocks that Unicode keeps for them
/// (UAX 9, table 4).
const fn runs_left(c: char) -> bool {
    matches!(c as u32, 0x0590..=0x08FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFF | 0x1_0800..=0x1_0FFF | 0x1_E800..=0x1_EFFF)
}

/// Which lengths a key takes.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// Any.
    Any,
}

/// The document under check and what was found wrong so far. Every method returns `None` for a
/// value that is missing or wrong; whatever it was, it has been reported by then.
pub(super) struct Check<'d> {
    pub(super) doc: &'d Document,
    pub(super) out: Vec<Diagnostic>,
    /// Whether the reading of the document found no error.
    pub(super) is_clean: bool,
    /// The board's thickness, once known: what `t` stands for.
    pub(super) t: Option<Length>,
    /// Gives the bytes of a drawing that the job names.
    pub(super) drawing: &'d dyn Fn(&str) -> Result<Vec<u8>, String>,
}

impl Check<'_> {
    pub(super) fn push(&mut self, d: Diagnostic) {
        self.out.push(d);
    }

    /// A length in the maker's unit, fine enough for cloth.
    pub(super) fn say(&self, length: Length) -> String {
        match self.doc.unit {
            _ if length.abs() > mm(1e9) || !length.is_finite() => "beyond all measure".into(),
            _ if length > Length::ZERO && length < LEAST / 2.0 => format!("less than {}", self.say(LEAST)),
            Unit::Mm if length.abs() >= LONGEST => format!("{} m", decimal(length.to_mm() / 1000.0, 1)),
            Unit::Mm => length.to_string(),
            // Tissue in thousandths of an inch would be nothing.
            Unit::Inch if length.abs() < mm(0.05) => format!("{} in", decimal(length.to_inch(), 4)),
            Unit::Inch => Unit::Inch.show(length),
        }
    }

    /// The length under a key.
    pub(super) fn length(&mut self, key: &str, sign: Sign) -> Option<Length> {
        let raw = self.doc.length(key)?;
        self.resolve(key, raw, Length::ZERO, sign)
    }

    /// The length or the share of `whole` under a key.
    pub(super) fn reach(&mut self, key: &str, whole: Option<Length>, sign: Sign) -> Option<Length> {
        match (self.doc.length(key)?, whole) {
            (RawLength::Share(s), None) => {
                // The whole is wrong and told; the share itself can still be judged.
                if sign == Sign::Positive && s <= 0.0 {
                    let message = format!("`{key}` is {} %; it must be more than 0", decimal(s * 100.0, 1));
                    self.push(Diagnostic::error("not-positive", message).at(key).help("100 % is the whole interior"));
                }
                None
            }
            (raw, whole) => self.resolve(key, raw, whole.unwrap_or_default(), sign),
        }
    }

    /// The length under a key that takes a word too, `None` inside for the word.
    pub(super) fn length_or_word(&mut self, key: &str, sign: Sign) -> Option<Option<Length>> {
        match self.doc.text(key) {
            Some(_) => Some(None),
            None => self.length(key, sign).map(Some),
        }
    }

    fn resolve(&mut self, key: &str, raw: RawLength, whole: Length, sign: Sign) -> Option<Length> {
        if matches!(raw, RawLength::Boards(_)) && key == "board.thickness" {
            self.push(
                Diagnostic::error("own-measure", "`t` is the board's thickness, so it cannot give that thickness")
                    .at(key)
                    .help("measure the board with a caliper and write the length: \"2 mm\", \"80 pt\""),
            );
            return None;
        }
        let t = match (raw, self.t) {
            (RawLength::Boards(_), None) => return None,
            (_, t) => t.unwrap_or_default(),
        };
        let length = raw.resolve(t, whole);
        let said = self.say(length);
        // Which of several readings it is shows in the place.
        let name = key.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end_matches('.');
        let wrong = if !length.is_finite() || length.abs() > LONGEST {
            Some((
                "too-long",
                format!("`{name}` is {said}; nothing here is longer than {}", self.say(LONGEST)),
                "is the unit right? A bare number is in the file's `units`",
            ))
        } else if sign == Sign::Positive && length <= Length::ZERO {
            Some((
                "not-positive",
                format!("`{name}` is {said}; it must be more than 0"),
                "write the length as measured, without a sign",
            ))
        } else if sign == Sign::Positive && length < LEAST {
            Some((
                "too-fine",
                format!("`{name}` is {said}; nothing here is measured finer than {}", self.say(LEAST)),
                "is the unit right? A bare number is in the file's `units`",
            ))
        } else if sign == Sign::NotNegative && length < Length::ZERO {
            Some(("negative", format!("`{name}` is {said}; it cannot be below 0"), "0 is the least"))
        } else {
            None
        };
        match wrong {
            Some((code, message, hint)) => {
                self.push(Diagnostic::error(code, message).at(key).help(hint));
                None
            }
            None => Some(length),
        }
    }

    /// A key, or where it is left out to its default, the other that brought it into play.
    pub(super) fn key_or(&self, key: &str, other: &str) -> String {
        if self.doc.is_written(key) { key.to_owned() } else { other.to_owned() }
    }

    /// The number under a key, if it lies between two limits.
    pub(super) fn number_in(
        &mut self,
        key: &str,
        least: f64,
        most: f64,
        code: &'static str,
        hint: &str,
    ) -> Option<f64> {
        let n = self.doc.number(key)?;
        if (least..=most).contains(&n) {
            return Some(n);
        }
        let side = if n < least {
            format!("less than {}", decimal(least, 3))
        } else {
            format!("more than {}", decimal(most, 3))
        };
        let n = if n.abs() < 1e9 { decimal(n, 4) } else { format!("{n:.0e}") };
        self.push(Diagnostic::error(code, format!("`{key}` is {n}, {side}")).at(key).help(hint));
        None
    }

    /// `format` and `title`.
    pub(super) fn head(&mut self) -> Option<String> {
        if let Some(n) = self.doc.count("format")
            && n != 1
        {
            self.push(
                Diagnostic::error("unknown-format", format!("format {n} is not known; this program reads format 1"))
                    .at("format")
                    .help("write `format = 1`, or use the program that wrote this file"),
            );
        }
        let title = self.doc.text("title")?.trim().to_owned();
        let wrong = if title.is_empty() {
            "the title is empty"
        } else if title.chars().any(char::is_control) {
            "the title holds a line break or another control character"
        } else if title.chars().count() > 100 {
            "the title is longer than 100 characters"
        } else {
            self.letters(&title);
            return Some(title);
        };
        self.push(
            Diagnostic::error("title", wrong).at("title").help("give the box a short name; it stands on every label"),
        );
        None
    }

    /// Letters of the title that the papers cannot draw, and those that they would draw the wrong way round.
    fn letters(&mut self, title: &str) {
        let told = |letters: &[char]| {
            let named: Vec<String> = letters.iter().take(TOLD).map(char::to_string).collect();
            let more = letters.len().saturating_sub(TOLD);
            if more > 0 { format!("{} and {more} more", named.join(" ")) } else { named.join(" ") }
        };
        let lacking = Faces::new().lacks(title);
        if !lacking.is_empty() {
            let message = format!("the font of the papers has no letters for {}", told(&lacking));
            let hint = "guide, templates and PNG pictures show an empty box for each; write the title in letters \
                        that DejaVu Sans has: Latin, Greek, Cyrillic, Armenian, Georgian";
            self.push(Diagnostic::warning("title-letters", message).at("title").help(hint));
        }
        if title.chars().any(|c| runs_left(c) && !lacking.contains(&c)) {
            let message = "the title is written from right to left, and the papers set it from left to right, its letters not joined";
            let hint = "write it in letters that run from left to right";
            self.push(Diagnostic::warning("title-direction", message).at("title").help(hint));
        }
    }

    /// `copies`.
    pub(super) fn copies(&mut self) -> Option<u32> {
        let n = self.doc.count("copies")?;
        if (1..=100_000).contains(&n) {
            return u32::try_from(n).ok();
        }
        let wrong = if n == 0 { "no copies, so there is nothing to make".to_owned() } else { format!("{n} copies") };
        self.push(Diagnostic::error("copies", wrong).at("copies").help("write how many boxes, 1 to 100000"));
        None
    }

    /// `layout_effort`.
    pub(super) fn layout_effort(&mut self) -> Option<u32> {
        let n = self.doc.count("layout_effort")?;
        if (1..=1_000_000).contains(&n) {
            return u32::try_from(n).ok();
        }
        let message = format!("a layout effort of {n} cannot be: it is 1 to 1000000");
        self.push(Diagnostic::error("layout-effort", message).at("layout_effort").help("48 is the default"));
        None
    }

    /// The contents.
    pub(super) fn contents(&mut self) -> Option<Contents> {
        self.doc.get("contents")?;
        let (short, long) = self.standard_size();
        let is_standard = self.doc.is_written("contents.size");
        let width = if is_standard { short } else { self.largest("contents.width") };
        let height = if is_standard { long } else { self.largest("contents.height") };
        let depth = self.largest("contents.depth");
        let room =
            |check: &mut Self, side: &str| check.length(&format!("contents.clearance.{side}"), Sign::NotNegative);
        let clearance = (room(self, "width"), room(self, "height"), room(self, "depth"));
        let contents = Contents {
            width: width?,
            height: height?,
            depth: depth?,
            depth_readings: self.doc.lengths("contents.depth").iter().map(|r| self.boards(*r)).collect(),
            size: self.doc.text("contents.size").map(str::to_owned),
            clearance: Clearance { width: clearance.0?, height: clearance.1?, depth: clearance.2? },
        };
        // Of a box that holds more the whole is judged.
        if !self.doc.is_written("inside") {
            self.contents_size(&contents);
        }
        Some(contents)
    }

    fn boards(&self, raw: RawLength) -> Length {
        raw.resolve(self.t.unwrap_or_default(), Length::ZERO)
    }

    /// Width and height of the standard size that is named.
    fn standard_size(&mut self) -> (Option<Length>, Option<Length>) {
        let is_landscape = self.doc.flag("contents.landscape") == Some(true);
        if !self.doc.is_written("contents.size") {
            if is_landscape {
                self.push(
                    Diagnostic::error("landscape-alone", "`landscape` turns a standard size, and none is named")
                        .at("contents.landscape")
                        .help("name a `size`, or take `landscape` out and write width and height as they lie"),
                );
            }
            return (None, None);
        }
        for key in ["contents.width", "contents.height"].into_iter().filter(|k| self.doc.is_written(k)) {
            self.out.push(
                Diagnostic::error("size-twice", format!("`{key}` and a standard `size` are both given"))
                    .at(key)
                    .help("keep the measured width and height, or the size"),
            );
        }
        match self.doc.text("contents.size").and_then(sizes::size) {
            Some((short, long)) if is_landscape => (Some(long), Some(short)),
            Some((short, long)) => (Some(short), Some(long)),
            None => (None, None),
        }
    }

    /// The largest of one or several readings.
    pub(super) fn largest(&mut self, key: &str) -> Option<Length> {
        if !self.doc.is_written(key) {
            // What must be there is told when the file is read.
            if ["contents.width", "contents.height"].contains(&key) {
                self.push(
                    Diagnostic::error("missing-key", format!("`{key}` is missing"))
                        .at(key)
                        .help("write the largest reading, or a list of readings, or name a standard `size`"),
                );
            }
            return None;
        }
        let readings = self.doc.lengths(key);
        if readings.is_empty() {
            // Entries that were there but wrong have been reported.
            if self.doc.get(key).is_some() && !self.doc.is_written(&format!("{key}.0")) {
                self.push(
                    Diagnostic::error("no-reading", format!("`{key}` is an empty list"))
                        .at(key)
                        .help("write at least one reading"),
                );
            }
            return None;
        }
        let mut found = Vec::new();
        for (i, raw) in readings.iter().enumerate() {
            found.push(self.resolve(&format!("{key}.{i}"), *raw, Length::ZERO, Sign::Positive));
        }
        let found: Vec<Length> = found.into_iter().collect::<Option<_>>()?;
        let largest = found.iter().copied().fold(Length::ZERO, Length::max);
        let smallest = found.iter().copied().fold(LONGEST, Length::min);
        if largest > smallest * 1.5 {
            let message = format!("the readings run from {} to {}", self.say(smallest), self.say(largest));
            self.push(
                Diagnostic::warning("readings-differ", message)
                    .at(key)
                    .help("the largest counts; is one of them a slip?")
                    .weighing(largest / smallest),
            );
        }
        Some(largest)
    }

    /// Sizes that are more likely a slip, and a standard size with less room than the standard allows.
    pub(super) fn contents_size(&mut self, contents: &Contents) {
        let (w, h) = (contents.interior_width(), contents.interior_height());
        let key = if contents.size.is_some() { "contents.size" } else { "contents.width" };
        let both = format!("{} by {}", self.say(w), self.say(h));
        let hint = "are `units` and the readings in the same unit?";
        if w.max(h) > LARGE_BASE {
            let d = Diagnostic::warning("very-large", format!("the interior is {both}")).at(key).help(hint);
            self.push(d.weighing(w.max(h).to_mm()));
        }
        if w.min(h) < LEAST_SIDE {
            let message = format!("the interior is {both}; no cloth folds into a box under {}", self.say(LEAST_SIDE));
            self.push(Diagnostic::error("too-small", message).at(key).help(hint).weighing(-w.min(h).to_mm()));
        } else if w.max(h) < SMALL_BASE {
            let d = Diagnostic::warning("very-small", format!("the interior is only {both}")).at(key).help(hint);
            self.push(d.weighing(-w.max(h).to_mm()));
        }
        let tight = |side: Length, room: Length| room < sizes::tolerance(side);
        if let Some(size) = &contents.size
            && (tight(contents.width, contents.clearance.width) || tight(contents.height, contents.clearance.height))
        {
            let most = sizes::tolerance(contents.width.max(contents.height));
            let message = format!("a sheet of {size} may be {} over its nominal size (ISO 216)", self.say(most));
            self.push(
                Diagnostic::warning("size-tolerance", message)
                    .at(key)
                    .help("measure the stack, or give it more clearance")
                    .unless_assumed(&self.doc.places, &["contents.clearance"])
                    .weighing(most.to_mm()),
            );
        }
    }

    /// `[box]`.
    pub(super) fn build(&mut self, contents: Option<&Contents>) -> Option<Build> {
        let construction = self.construction();
        let seat = match self.doc.text("box.seat") {
            Some("on-base") => Some(Seat::OnBase),
            Some(_) => Some(Seat::Beside),
            None => None,
        };
        let joint = self.length_or_word("box.joint", Sign::Positive);
        let step = self.length_or_word("box.step", Sign::NotNegative);
        let wall_extra = self.length_or_word("box.wall_extra", Sign::Any);
        let ease = self.length_or_word("box.ease", Sign::NotNegative);
        let flap_inset = self.length_or_word("box.flap_inset", Sign::NotNegative);
        self.not_of_this_construction();
        if let (Some(Some(extra)), Some(contents)) = (wall_extra, contents)
            && contents.interior_depth() + extra <= Length::ZERO
        {
            let message = format!(
                "a wall_extra of {} leaves nothing of a wall for an interior {} deep",
                self.say(extra),
                self.say(contents.interior_depth())
            );
            self.push(
                Diagnostic::error("no-wall", message).at("box.wall_extra").help("use \"auto\", or take off less"),
            );
        }
        Some(Build {
            construction: construction?,
            seat: seat?,
            joint: joint?,
            step: step?,
            wall_extra: wall_extra?,
            ease: ease?,
            flap_inset: flap_inset?,
        })
    }

    /// Settings of `[box]` that are written and that the construction has no use for.
    fn not_of_this_construction(&mut self) {
        let Some(terms) = self.construction().map(Construction::terms) else { return };
        for key in terms.unused.iter().map(|k| format!("box.{k}")) {
            if self.doc.is_written(&key) && self.doc.text(&key) != Some("auto") {
                let d = Diagnostic::warning("unused-key", format!("`{key}` has no meaning for \"{}\"", terms.word));
                self.push(d.at(key).help(terms.unused_hint));
            }
        }
    }

    /// The construction that the job names.
    pub(super) fn construction(&self) -> Option<Construction> {
        self.doc.text("box.construction").and_then(Construction::of)
    }

    /// `[making]`.
    pub(super) fn making(&mut self) -> Option<Making> {
        let by = match self.doc.text("making.by")? {
            "machine" => Maker::Machine,
            _ => Maker::Hand,
        };
        // Common practice, no source.
        let (usual_cut, usual_spacer) = match by {
            Maker::Hand => (mm(0.5), mm(0.3)),
            Maker::Machine => (mm(0.1), mm(0.2)),
        };
        let cut = self.length_or_word("making.cut", Sign::NotNegative);
        let spacer = self.length_or_word("making.spacer", Sign::NotNegative);
        let hint = "write a share, \"5 %\": how far boards of one caliper differ from each other";
        let board = self.number_in("making.board", 0.0, 0.3, "board-tolerance", hint);
        for (key, is) in [("making.cut", cut), ("making.spacer", spacer)] {
            if let Some(Some(is)) = is
                && is > LOOSEST
            {
                let message = format!("`{key}` is {}: no box can be reckoned with that", self.say(is));
                let hint = format!("{} is the most; half a millimetre is usual by hand", self.say(LOOSEST));
                self.push(Diagnostic::error("tolerance-too-large", message).at(key).help(hint));
            }
        }
        Some(Making { by, cut: cut?.unwrap_or(usual_cut), spacer: spacer?.unwrap_or(usual_spacer), board: board? })
    }
}
