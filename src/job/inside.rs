//! What lies inside a box besides one stack, as it is written, and whether it can lie there.

use super::check::{Check, Sign};
use super::fill::{Cover, Divider, Inside, Laid, LiftRibbon, Padding, Spacer, ThingKind};
use super::{Contents, Side, Stock, StockKind, StrapAlong};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// So many stacks lie in one box at the most (our choice: a row that a table still holds).
const MOST_STACKS: usize = 8;
/// What is left over of a height and is less is taken up by any stack (our choice: half a sheet of card).
const EVEN: Length = mm(0.25);
/// A spacer is not narrower, nor a sheet of padding (our choice: a hand cannot hold it to a rule).
const LEAST: Length = mm(5.0);

/// The stocks of a box, as far as its construction takes them.
#[derive(Clone, Copy)]
pub(super) struct Stocks<'s> {
    pub(super) board: Option<&'s Stock>,
    pub(super) cloth: Option<&'s Stock>,
    pub(super) liner: Option<&'s Stock>,
}

impl Stocks<'_> {
    fn thickness(&self, kind: StockKind) -> Option<Length> {
        let stock = match kind {
            StockKind::Board => self.board,
            StockKind::Cloth => self.cloth,
            // Nothing that lies inside is cut from the paper of the sides.
            StockKind::Paper => None,
            StockKind::Liner => self.liner,
        };
        stock.map(|s| s.thickness)
    }

    fn cover(&self, kind: StockKind) -> Option<Cover> {
        self.thickness(kind).map(|thickness| Cover { stock: Some(kind), thickness })
    }
}

impl Check<'_> {
    /// `[inside]` and the stacks it holds; `None` inside where the job has none.
    pub(super) fn inside(&mut self, contents: Option<&Contents>, stocks: Stocks<'_>) -> Option<Option<Inside>> {
        if self.doc.get("inside").is_none() {
            return if self.doc.is_written("inside") { None } else { Some(None) };
        }
        let under = self.padding("under", stocks);
        let over = self.padding("over", stocks);
        let further = self.further_stacks();
        let many = self.doc.len("inside.beside") > 0;
        let spacer = self.spacer(many, stocks);
        let divider = if many { self.divider(stocks).map(Some) } else { self.no_divider() };
        let ribbon = self.lift_ribbon(1 + self.doc.len("inside.beside"));
        let colophon = self.colophon(1 + self.doc.len("inside.beside"));
        let (contents, board) = (contents?, self.t?);
        let mut stacks = vec![[contents.width, contents.height, contents.depth]];
        stacks.extend(further?);
        let mut inside = Inside {
            under: under?,
            over: over?,
            spacer: spacer?,
            ribbon: ribbon?,
            divider: divider?,
            colophon: colophon?,
            stacks,
            room: contents.clearance,
            board,
            laid: Laid::default(),
        };
        inside.lay();
        let before = self.out.iter().filter(|d| d.is_error()).count();
        self.room_for_sheets(&inside);
        self.spacers_told(&inside);
        self.dividers_fit(&inside);
        self.ribbon_fits(&inside);
        let is_sound = self.out.iter().filter(|d| d.is_error()).count() == before;
        is_sound.then_some(Some(inside))
    }

    /// A sheet of padding; `None` inside where there is none.
    fn padding(&mut self, which: &str, stocks: Stocks<'_>) -> Option<Option<Padding>> {
        let table = format!("inside.{which}");
        if self.doc.get(&table).is_none() {
            return if self.doc.is_written(&table) { None } else { Some(None) };
        }
        let key = |k: &str| format!("{table}.{k}");
        let smaller = self.length(&key("smaller"), Sign::NotNegative);
        let what = self.doc.text(&key("what"))?.trim().to_owned();
        if what.is_empty() || what.chars().any(char::is_control) || what.chars().count() > 40 {
            let d = Diagnostic::error("padding-name", "the padding's name is empty, too long or no line of text");
            self.push(d.at(key("what")).help("call it what the shop calls it, in 40 letters: \"felt\""));
            return None;
        }
        let stock = match self.doc.text(&key("stock"))? {
            "board" => Some(StockKind::Board),
            "cloth" => Some(StockKind::Cloth),
            "liner" => Some(StockKind::Liner),
            _ => None,
        };
        let is_given = self.doc.is_written(&key("thickness"));
        let thickness = match stock {
            None if !is_given => {
                let d = Diagnostic::error("missing-key", format!("`{}` is missing", key("thickness")));
                self.push(d.at(&*table).help("measure the padding under the weight of the stack, and write it"));
                None
            }
            None => self.length(&key("thickness"), Sign::Positive),
            Some(kind) => {
                if is_given {
                    let message = format!("padding cut from the {} is as thick as that", kind.word());
                    let d = Diagnostic::error("padding-thickness", message).at(key("thickness"));
                    self.push(d.help("take the thickness out, or write `stock = \"none\"`"));
                }
                self.of_stock(kind, stocks, &key("stock"), "to cut the padding from")
            }
        };
        Some(Some(Padding { what, thickness: thickness?, smaller: smaller?, stock }))
    }

    /// The thickness of a stock that something is cut from, if the box has it.
    fn of_stock(&mut self, kind: StockKind, stocks: Stocks<'_>, key: &str, what: &str) -> Option<Length> {
        let thickness = stocks.thickness(kind);
        if thickness.is_none() && kind != StockKind::Board && self.is_clean {
            let message = format!("the box has no {} {what}", kind.word());
            let d = Diagnostic::error("no-such-stock", message).at(key);
            self.push(d.help(format!("add [{}] where the construction takes one, or name another stock", kind.word())));
        }
        thickness
    }

    /// A cover of the stock of this word, if the box has it.
    fn covered_in(&mut self, word: &str, stocks: Stocks<'_>, key: &str, what: &str) -> Option<Cover> {
        let kind = if word == "cloth" { StockKind::Cloth } else { StockKind::Liner };
        let thickness = self.of_stock(kind, stocks, key, what)?;
        Some(Cover { stock: Some(kind), thickness })
    }

    /// The stacks of `[[inside.beside]]`.
    fn further_stacks(&mut self) -> Option<Vec<[Length; 3]>> {
        let count = self.doc.len("inside.beside");
        if count >= MOST_STACKS {
            let message = format!("{} stacks in one box", count + 1);
            let d = Diagnostic::error("too-many-stacks", message).at("inside.beside.0");
            self.push(d.help(format!("{MOST_STACKS} are the most; make two boxes")));
            return None;
        }
        let one = |check: &mut Self, i: usize| {
            let of = |check: &mut Self, k: &str| check.largest(&format!("inside.beside.{i}.{k}"));
            let (width, height, depth) = (of(check, "width"), of(check, "height"), of(check, "depth"));
            Some([width?, height?, depth?])
        };
        let all: Vec<Option<[Length; 3]>> = (0..count).map(|i| one(self, i)).collect();
        all.into_iter().collect()
    }

    /// `[inside.spacer]`; several stacks are brought level without it too.
    fn spacer(&mut self, many: bool, stocks: Stocks<'_>) -> Option<Option<Spacer>> {
        let is_asked = self.doc.is_written("inside.spacer");
        if !is_asked && !many {
            return Some(None);
        }
        let given = |check: &mut Self, key: &str| match check.doc.is_written(key) {
            true => check.length(key, Sign::Positive).map(Some),
            false => Some(None),
        };
        let height = given(self, "inside.spacer.height");
        let interior_depth = given(self, "inside.spacer.interior_depth");
        let clearance = self.length("inside.spacer.clearance", Sign::NotNegative);
        let cover = match self.doc.text("inside.spacer.cover") {
            Some("none") => Some(Cover { stock: None, thickness: Length::ZERO }),
            Some(word @ ("cloth" | "liner")) => {
                self.covered_in(word, stocks, "inside.spacer.cover", "to cover the spacer in")
            }
            Some(_) => Some(
                stocks
                    .cover(StockKind::Liner)
                    .or(stocks.cover(StockKind::Cloth))
                    .unwrap_or(Cover { stock: None, thickness: Length::ZERO }),
            ),
            None => None,
        };
        let (height, interior_depth) = (height?, interior_depth?);
        let both = height.is_some() && interior_depth.is_some();
        if both {
            let d = Diagnostic::error("spacer-twice", "a spacer's height and a depth of interior are both given");
            self.push(d.at("inside.spacer.height").help("keep one of them: the other follows from it"));
        } else if many && height.is_some() {
            let d = Diagnostic::error("spacer-height-here", "several stacks are brought level: each spacer follows");
            self.push(
                d.at("inside.spacer.height").help("take it out, or say by `interior_depth` how deep the box is to be"),
            );
        } else if is_asked && !many && height.is_none() && interior_depth.is_none() {
            let d = Diagnostic::error("spacer-unsaid", "a spacer is asked for, and not how high");
            self.push(d.at("inside.spacer").help("write its `height`, or the `interior_depth` that you want"));
        } else {
            return Some(Some(Spacer { height, interior_depth, clearance: clearance?, cover: cover? }));
        }
        None
    }

    /// `[inside.divider]` where there is nothing to be divided.
    fn no_divider(&mut self) -> Option<Option<Divider>> {
        if self.doc.is_written("inside.divider") {
            let d = Diagnostic::warning("unused-key", "[inside.divider] has no meaning for one stack alone");
            self.push(d.at("inside.divider").help("add a stack in [[inside.beside]], or take the table out"));
        }
        Some(None)
    }

    fn divider(&mut self, stocks: Stocks<'_>) -> Option<Divider> {
        let height = self.length_or_word("inside.divider.height", Sign::Positive);
        let foot = self.length("inside.divider.foot", Sign::Positive);
        let ease = self.length("inside.divider.ease", Sign::NotNegative);
        let along = match self.doc.text("inside.divider.along")? {
            "height" => StrapAlong::Height,
            _ => StrapAlong::Width,
        };
        let cover = match self.doc.text("inside.divider.cover")? {
            word @ ("cloth" | "liner") => {
                self.covered_in(word, stocks, "inside.divider.cover", "to cover the dividers in")
            }
            _ => {
                let cover = stocks.cover(StockKind::Cloth).or(stocks.cover(StockKind::Liner));
                if cover.is_none() && self.is_clean {
                    let message = "a divider stands by the feet of its cover, and this box has neither cloth nor liner";
                    let d = Diagnostic::error("no-divider-here", message).at("inside.beside.0");
                    self.push(
                        d.help("line a box of creased board, build of hinged boards or trays, or make two boxes"),
                    );
                }
                cover
            }
        };
        Some(Divider { along, cover: cover?, height: height?, foot: foot?, ease: ease? })
    }

    /// `[inside.lift_ribbon]`; `None` inside where there is none.
    fn lift_ribbon(&mut self, stacks: usize) -> Option<Option<LiftRibbon>> {
        if self.doc.get("inside.lift_ribbon").is_none() {
            return if self.doc.is_written("inside.lift_ribbon") { None } else { Some(None) };
        }
        let key = |k: &str| format!("inside.lift_ribbon.{k}");
        let width = self.length(&key("width"), Sign::Positive);
        let thickness = self.length(&key("thickness"), Sign::Positive);
        let glued = self.length(&key("glued"), Sign::Positive);
        let pull = self.length(&key("pull"), Sign::Positive);
        let price = self.price(&key("price"));
        let n = self.doc.count(&key("stack"))?;
        let stack = usize::try_from(n).ok().filter(|n| (1..=stacks).contains(n));
        if stack.is_none() {
            let there = if stacks == 1 { "there is one".to_owned() } else { format!("there are {stacks}") };
            let d = Diagnostic::error("no-such-stack", format!("the ribbon runs under stack {n}, and {there}"));
            let help = match stacks {
                1 => "leave `stack` out, or add a stack in [[inside.beside]]".to_owned(),
                _ => format!("1 to {stacks}; the first is that of [contents]"),
            };
            self.push(d.at(key("stack")).help(help));
        }
        let glued_at = Side::of_word(self.doc.text(&key("glued_at"))?)?;
        let (width, thickness, glued, pull) = (width?, thickness?, glued?, pull?);
        Some(Some(LiftRibbon { glued_at, width, thickness, glued, pull, stack: stack? - 1, price: price? }))
    }

    /// Sheets and spacers that would be nothing, or next to it.
    fn room_for_sheets(&mut self, inside: &Inside) {
        let smallest = |kind: ThingKind| {
            let of = inside.laid.things.iter().filter(move |t| t.kind == kind);
            of.flat_map(|t| [t.size()[0], t.size()[1]]).reduce(Length::min)
        };
        let round = inside.spacer.map_or(Length::ZERO, |s| s.cover.round_spacer() * 2.0);
        let of = [
            (ThingKind::Under, "inside.under.smaller", "the padding under the stack", Length::ZERO),
            (ThingKind::Over, "inside.over.smaller", "the padding over the stack", Length::ZERO),
            (ThingKind::Spacer, "inside.spacer.clearance", "the spacer", round),
            (ThingKind::SpacerBeside, "inside.spacer.clearance", "a spacer beside a stack", round),
        ];
        for (kind, key, what, round) in of {
            if let Some(left) = smallest(kind)
                && left - round < LEAST
            {
                let left = (left - round).max(Length::ZERO);
                let message = format!("{what} would be {} wide: nothing to cut", self.say(left));
                self.push(Diagnostic::error("nothing-inside", message).at(key).help("make it smaller"));
            }
        }
    }

    /// What spacers make of the height that they were to have.
    fn spacers_told(&mut self, inside: &Inside) {
        let Some(spacer) = inside.spacer else { return };
        let (t, over, laid) = (inside.board, inside.room.depth, &inside.laid);
        let most = laid.columns.iter().map(|c| c.bare).fold(Length::ZERO, Length::max);
        let cover = spacer.cover.on_spacer();
        if let Some(depth) = spacer.interior_depth {
            if depth < most + over - mm(1e-6) {
                let message = format!(
                    "the interior is to be {} deep, and what lies in it takes {} with its clearance",
                    self.say(depth),
                    self.say(most + over)
                );
                let help = format!("write interior_depth = {} or more", self.say(most + over));
                let d = Diagnostic::error("interior-too-shallow", message).at("inside.spacer.interior_depth");
                self.push(d.help(help).weighing((most + over - depth).to_mm()));
                return;
            }
            // What is over the highest column, whose remainder is the least that a choice of the depth could mend.
            let Some(column) = laid.columns.iter().reduce(|a, b| if b.bare > a.bare { b } else { a }) else { return };
            self.remainder(depth, column.layers, column.remainder, (t, cover));
        }
        if let Some(height) = spacer.height
            && let Some(column) = laid.columns.first()
            && (column.spacer - height).abs() > EVEN
        {
            let n = f64::from(column.layers);
            let next = if column.spacer < height { t * (n + 1.0) + cover } else { t * (n - 1.0).max(0.0) + cover };
            let message = format!(
                "a spacer {} high is asked for; {} make {}",
                self.say(height),
                told_boards(column.layers),
                self.say(column.spacer)
            );
            let other = if next > cover { format!("; the next would be {}", self.say(next)) } else { String::new() };
            let help = format!("write height = {}{other}", self.say(column.spacer));
            let d = Diagnostic::warning("spacer-uneven", message).at("inside.spacer.height").help(help);
            self.push(d.weighing((column.spacer - height).abs().to_mm()));
        }
        if inside.stacks.len() > 1 && spacer.interior_depth.is_none() {
            for (k, column) in laid.columns.iter().enumerate().filter(|(_, c)| c.remainder > EVEN) {
                let with = if column.layers > 0 {
                    format!("on {} of spacer", told_boards(column.layers))
                } else {
                    "without a board under it".to_owned()
                };
                let message =
                    format!("stack {} lies {} lower than the highest, {with}", k + 1, self.say(column.remainder));
                let help = "a sheet of card of that thickness under it brings it level; a lid lies flat either way";
                let d = Diagnostic::hint("spacer-remainder", message).at("inside.beside.0").help(help);
                self.push(d.weighing(column.remainder.to_mm()));
            }
        }
    }

    /// What a depth of interior leaves over the boards that find room in it.
    fn remainder(&mut self, depth: Length, layers: u32, left: Length, (t, cover): (Length, Length)) {
        if left <= EVEN {
            return;
        }
        let even = depth - left;
        let next = if layers > 0 { even + t } else { even + t + cover };
        let with = if layers > 0 {
            format!("{} find room, and {} is left over", told_boards(layers), self.say(left))
        } else {
            format!("no board finds room in the {} that are left over", self.say(left))
        };
        let message = format!("for an interior {} deep {with}", self.say(depth));
        let help = format!(
            "interior_depth = {} leaves nothing, {} takes {}; a sheet of padding that thick makes it up",
            self.say(even),
            self.say(next),
            told_boards(layers + 1)
        );
        // More than a board in all is never left: one more would go in.
        let d = if layers > 0 {
            Diagnostic::hint("spacer-remainder", message)
        } else {
            Diagnostic::warning("no-spacer-fits", message)
        };
        self.push(d.at("inside.spacer.interior_depth").help(help).weighing(left.to_mm()));
    }

    fn dividers_fit(&mut self, inside: &Inside) {
        let Some(divider) = inside.divider else { return };
        let laid = &inside.laid;
        let highest = laid.things.iter().filter(|t| t.kind != ThingKind::Divider).map(|t| t.high[2]);
        let highest = highest.fold(Length::ZERO, Length::max);
        if let Some(height) = divider.height {
            if height > highest + mm(1e-6) {
                let message = format!(
                    "dividers {} high stand above what lies beside them, {} high: lids would lie on them alone",
                    self.say(height),
                    self.say(highest)
                );
                let help = format!("lower them to {} or less, or leave it \"auto\"", self.say(highest));
                let d = Diagnostic::error("divider-too-high", message).at("inside.divider.height").help(help);
                self.push(d.weighing((height - highest).to_mm()));
            }
            if height < divider.cover.thickness + LEAST {
                let message = format!("dividers {} high have no board to cut", self.say(height));
                let d = Diagnostic::error("divider-too-low", message).at("inside.divider.height");
                self.push(d.help("leave it \"auto\""));
            }
        } else if highest < divider.cover.thickness + LEAST {
            let message = format!("between stacks {} high there is no room for a divider", self.say(highest));
            let d = Diagnostic::error("divider-too-low", message).at("inside.beside.0");
            self.push(d.help("so thin works lie in a folder each; leave [[inside.beside]] out"));
        }
        let axis = usize::from(divider.along == StrapAlong::Height);
        for (k, column) in laid.columns.iter().enumerate() {
            let feet = if k == 0 || k + 1 == laid.columns.len() { 1.0 } else { 2.0 };
            let room = column.cell[axis][1] - column.cell[axis][0];
            if divider.foot * feet > room {
                let message =
                    format!("the feet of the dividers are wider than the room for stack {}, {}", k + 1, self.say(room));
                let help = format!("make the foot {} or less", self.say(room / feet));
                self.push(Diagnostic::error("foot-too-wide", message).at("inside.divider.foot").help(help));
            }
        }
        let across = laid.interior[1 - axis];
        if across - divider.ease - divider.cover.thickness * 2.0 < LEAST {
            let message = format!("dividers are {} shorter than the interior: nothing is left", self.say(divider.ease));
            self.push(Diagnostic::error("nothing-inside", message).at("inside.divider.ease").help("make it smaller"));
        }
    }

    fn ribbon_fits(&mut self, inside: &Inside) {
        let Some(ribbon) = inside.ribbon else { return };
        let axis = usize::from(matches!(ribbon.glued_at, Side::Head | Side::Tail));
        let Some(stack) = inside.stacks.get(ribbon.stack) else { return };
        let (along, across) = (stack[axis], stack[1 - axis]);
        if ribbon.width > across {
            let message =
                format!("a ribbon {} wide is wider than the stack, {}", self.say(ribbon.width), self.say(across));
            let d = Diagnostic::error("ribbon-too-wide", message).at("inside.lift_ribbon.width");
            self.push(d.help(format!("take one of {} or less", self.say(across / 2.0))));
        }
        for (key, tail) in [("glued", ribbon.glued), ("pull", ribbon.pull)] {
            if tail > along {
                let message = format!(
                    "a tail of {} is longer than the stack that it lies on, {}",
                    self.say(tail),
                    self.say(along)
                );
                let d = Diagnostic::error("tail-too-long", message).at(format!("inside.lift_ribbon.{key}"));
                self.push(d.help(format!("make it {} or less", self.say(along / 2.0))));
            }
        }
        // It comes up beside the stack, and goes down beside what it turns back over.
        let of = |kind: ThingKind| inside.laid.things.iter().find(move |t| t.kind == kind && t.stack == ribbon.stack);
        let Some(column) = inside.laid.columns.get(ribbon.stack) else { return };
        let (low, high) = (column.cell[axis][0], column.cell[axis][1]);
        let beside = |kind: ThingKind| of(kind).map(|t| (t.low[axis] - low).min(high - t.high[axis]));
        let word = if axis == 0 { "width" } else { "height" };
        let places = [
            (ThingKind::Stack, format!("contents.clearance.{word}"), "the stack"),
            (ThingKind::Spacer, "inside.spacer.clearance".to_owned(), "the spacer"),
            (ThingKind::Under, "inside.under.smaller".to_owned(), "the padding"),
        ];
        for (kind, key, what) in places {
            if let Some(room) = beside(kind)
                && room < ribbon.thickness - mm(1e-6)
            {
                let message = format!(
                    "beside {what} there is {} of room, and the ribbon is {} thick",
                    self.say(room),
                    self.say(ribbon.thickness)
                );
                let help = format!("raise {key} to {} or more", self.say(ribbon.thickness * 2.0));
                self.push(Diagnostic::error("no-room-for-ribbon", message).at(key).help(help));
            }
        }
    }
}

/// Boards, counted in words.
/// `1 board`, `3 boards`.
pub fn told_boards(n: u32) -> String {
    if n == 1 { "1 board".into() } else { format!("{n} boards") }
}
