//! The cards of a coupon: a comb and its plug, tongues and notches, pockets, creases. Each is a
//! piece of its own with a letter and a figure on it, where the machine can draw.

use super::{By, Kerf, Ladder, Measured, Offset, Trials, by, letter};
use crate::design::{Piece, Pocket, Role, extent, letters};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Path, Point, Stroke, Transform, Vertex, pt};
use crate::job::StockKind;
use crate::profile::{OperationKind, Profile, Rule, Tool, ToolKind};
use crate::units::{Length, decimal, mm, tidy};

/// A card.
pub(super) struct Card {
    pub(super) piece: Piece,
    /// The profile that it is cut with, where that is not the profile itself.
    pub(super) tuned: Option<Profile>,
    /// Cards of a row lie side by side.
    pub(super) row: u32,
    /// What is measured on it.
    pub(super) measured: Vec<Measured>,
}

/// Height of a card's letter, mm. Sizes of cards and figures are our choice where nothing else is said.
const LETTER: f64 = 4.0;
/// Height of the figure beside it, mm.
const FIGURE: f64 = 2.5;
/// What both keep from the card's corner, mm.
const INSET: f64 = 2.0;
/// Notches of the comb.
const NOTCHES: usize = 9;
/// From one notch's kerf to the next, mm: what a hand feels in a plug (common practice, no source).
const KERF_STEP: f64 = 0.05;
/// The width of a comb's teeth, mm.
const TOOTH: f64 = 8.0;
/// Between the notches of a card of the pivot offset, mm: room for its letter and figure.
const WEB: f64 = 12.0;
/// Beside such a notch, mm: stiff enough for the caliper's jaws.
const WALL: f64 = 6.0;
/// Board thicker than this is hinged, not creased, mm (the limit of the creased construction).
const CREASED: f64 = 1.5;

/// Every card that the profile can cut from the stock, what they try, and what is left out.
pub(super) fn cards(profile: &Profile, stock: StockKind, thickness: Length) -> (Vec<Card>, Trials, Vec<Diagnostic>) {
    let mut make = Make {
        profile,
        stock,
        thickness,
        draws: profile.rule(OperationKind::Mark, stock).is_some(),
        cards: Vec::new(),
        said: Vec::new(),
    };
    let trials = Trials { kerf: make.kerf(), offset: make.offset(), pocket: make.pocket(), crease: make.crease() };
    if !make.draws {
        let message = format!("{} draws nothing on {}: cards without letters", profile.name, stock.word());
        let hint = "write the letters on by hand as the pieces come off, A at the left of each row";
        make.said.push(Diagnostic::hint("coupon-without-letters", message).help(hint));
    }
    (make.cards, trials, make.said)
}

struct Make<'a> {
    profile: &'a Profile,
    stock: StockKind,
    thickness: Length,
    draws: bool,
    cards: Vec<Card>,
    said: Vec<Diagnostic>,
}

impl<'a> Make<'a> {
    fn rule(&self, operation: OperationKind) -> Option<(&'a Rule, usize, &'a Tool, usize)> {
        let (rule, tool_at) = self.profile.rule(operation, self.stock)?;
        let rule_at = self.profile.rules.iter().position(|r| std::ptr::eq(r, rule))?;
        Some((rule, rule_at, &self.profile.tools[tool_at], tool_at))
    }

    fn leave_out(&mut self, what: &str, why: &str) {
        self.said.push(Diagnostic::hint("coupon-part-left-out", format!("no {what} on the coupon: {why}")));
    }

    fn add(&mut self, row: u32, tuned: Option<Profile>, piece: Piece) {
        self.cards.push(Card { piece, tuned, row, measured: Vec::new() });
    }

    /// A distance that is measured on the card added last.
    fn measure(&mut self, from: Point, to: Point, name: &str) {
        if let Some(card) = self.cards.last_mut() {
            card.measured.push(Measured { card: card.piece.id.clone(), from, to, name: name.into() });
        }
    }

    fn card(&self, id: String, outline: Contour) -> Piece {
        Piece::plain(id, self.stock, Role::Coupon, outline)
    }

    /// A text on a piece, its lower left corner there, where the machine draws.
    fn write(&self, piece: &mut Piece, text: &str, height: f64, x: f64, y: f64) {
        if self.draws {
            let to = Transform::shift(pt(x, y));
            piece.marks.extend(letters(text, height).into_iter().map(|s| Stroke::Open(s.transformed(&to))));
        }
    }

    /// The rung's letter in the card's lower left corner and its figure in the upper left.
    fn name(&self, piece: &mut Piece, rung: usize, figure: &str) {
        let height = piece.outline.bounds().height();
        self.write(piece, &letter(rung).to_string(), LETTER, INSET, INSET);
        self.write(piece, figure, FIGURE, INSET, height - INSET - FIGURE);
    }

    /// The comb and its plug. With the profile's kerf k0 and the true kerf k an outline comes out
    /// k0 - k larger than nominal and an opening as much smaller: half of either on each side. So
    /// the plug is P + k0 - k wide, a notch S - k0 + k, and they match where S = P - 2 (k - k0).
    fn kerf(&mut self) -> Option<Kerf> {
        if self.stock != StockKind::Board {
            self.leave_out("comb", "only board is stiff enough for a plug");
            return None;
        }
        let now = self.rule(OperationKind::ThroughCut)?.2.kerf.to_mm();
        let plug = (3.0 * now).ceil().max(10.0);
        let first = (now - 3.0 * KERF_STEP).max(0.0);
        let tried: Vec<f64> = (0..NOTCHES).map(|i| tidy(first + KERF_STEP * i as f64, 4)).collect();
        let slots: Vec<f64> = tried.iter().map(|k| plug - 2.0 * (k - now)).collect();
        let (deep, body) = (18.0, 20.0);
        let pitch = plug + TOOTH;
        let long = pitch * NOTCHES as f64 + TOOTH;
        let mut points = vec![pt(0.0, 0.0), pt(long, 0.0), pt(long, body + deep)];
        for (i, slot) in slots.iter().enumerate().rev() {
            let middle = TOOTH + plug / 2.0 + pitch * i as f64;
            let (left, right) = (middle - slot / 2.0, middle + slot / 2.0);
            points.extend([pt(right, body + deep), pt(right, body), pt(left, body), pt(left, body + deep)]);
        }
        points.push(pt(0.0, body + deep));
        let mut comb = self.card("kerf-comb".into(), Contour::polygon(points));
        for (i, kerf) in tried.iter().enumerate() {
            let middle = TOOTH + plug / 2.0 + pitch * i as f64;
            let figure = decimal(*kerf, 2);
            let at = |text: &str, height: f64| middle - extent(text, height).x / 2.0;
            let name = letter(i).to_string();
            self.write(&mut comb, &name, 5.0, at(&name, 5.0), 10.0);
            self.write(&mut comb, &figure, FIGURE, at(&figure, FIGURE), 4.0);
        }
        let mut block = self.card("kerf-plug".into(), Contour::rectangle(pt(0.0, 0.0), pt(plug, 40.0)));
        let text = format!("PLUG {}", decimal(plug, 2));
        let turned = Transform {
            mirrored: false,
            rotation_deg: 90.0,
            shift: pt(plug / 2.0 + FIGURE / 2.0, 20.0 - extent(&text, FIGURE).x / 2.0),
        };
        if self.draws {
            block.marks = letters(&text, FIGURE).into_iter().map(|s| Stroke::Open(s.transformed(&turned))).collect();
        }
        self.add(0, None, comb);
        let first = pt(TOOTH + plug / 2.0, body + deep * 0.6);
        let half = pt(slots[0] / 2.0, 0.0);
        self.measure(first - half, first + half, "slot");
        self.add(0, None, block);
        self.measure(pt(0.0, 32.0), pt(plug, 32.0), "plug");
        Some(Kerf { now, plug, slot: slots[0], tried })
    }

    /// Cards whose edge runs out of straights into rounds, to the left about the tongues and to the
    /// right about the notches, cut with five pivot offsets about the profile's. What the rounds tell
    /// is derived at the head of `figures.rs`.
    fn offset(&mut self) -> Option<Offset> {
        let (_, _, tool, at) = self.rule(OperationKind::ThroughCut)?;
        if tool.kind != ToolKind::DragKnife {
            return None;
        }
        let now = tool.pivot_offset.to_mm();
        let step = ((now / 15.0 / 0.05).round() * 0.05).max(0.05);
        let first = (now - 2.0 * step).max(0.0);
        let tried: Vec<f64> = (0..5).map(|i| tidy(first + step * f64::from(i), 4)).collect();
        // Twice the offset: half of an error of it shows (derived at the head of `figures.rs`).
        let radius = tidy((2.0 * now).clamp(2.0, 10.0), 1);
        // Before a round the blade has come round from the corner before it to a tenth of its angle.
        let run = (2.5 * now).max(5.0);
        let (side, over) = (radius + WALL, 2.0 * (radius + WALL + run + radius));
        let outline = tongues_and_notches(radius, run, side);
        let offset = Offset { now, radius, over, web: WEB, tried: tried.clone() };
        let own = offset.own_card();
        for (i, value) in tried.iter().enumerate() {
            let mut tuned = self.profile.clone();
            tuned.tools[at].pivot_offset = mm(*value);
            let mut piece = self.card(format!("offset-{}", letter(i)), outline.clone());
            let middle = piece.outline.bounds().center();
            let (name, figure) = (letter(i).to_string(), decimal(*value, 2));
            let left = |text: &str, height: f64| middle.x - extent(text, height).x / 2.0;
            self.write(&mut piece, &name, LETTER, left(&name, LETTER), middle.y + 0.75);
            self.write(&mut piece, &figure, FIGURE, left(&figure, FIGURE), middle.y - 0.75 - FIGURE);
            let tall = piece.outline.bounds().height();
            self.add(1, Some(tuned), piece);
            if letter(i) == own {
                self.measure(pt(0.0, tall + 3.0), pt(over, tall + 3.0), "over");
                let beside = middle + pt(radius, 0.0);
                self.measure(beside - pt(0.0, WEB / 2.0), beside + pt(0.0, WEB / 2.0), "web");
            }
        }
        Some(offset)
    }

    /// Pockets of five depths, or of one to five passes.
    fn pocket(&mut self) -> Option<Ladder> {
        if self.stock != StockKind::Board {
            return None;
        }
        let Some((_, rule_at, tool, _)) = self.rule(OperationKind::HalfDepthPocket) else {
            self.leave_out("pockets", "the profile has no rule for them");
            return None;
        };
        let (by, thickness) = (by(tool), self.thickness.to_mm());
        let tried: Vec<f64> = match by {
            By::Depth => [0.3, 0.4, 0.5, 0.6, 0.7].map(|share| tidy(share * thickness, 2)).to_vec(),
            By::Passes => (1..=5).map(f64::from).collect(),
        };
        // A round bit must get in and round.
        let wide = (3.0 * tool.kerf.to_mm()).ceil().max(10.0);
        for (i, value) in tried.iter().enumerate() {
            let (depth, tuned) = match by {
                By::Depth => (*value, None),
                By::Passes => (thickness / 2.0, Some(self.with_passes(rule_at, *value))),
            };
            let id = format!("pocket-{}", letter(i));
            let mut piece = self.card(id, Contour::rectangle(pt(0.0, 0.0), pt(wide + 14.0, 34.0)));
            let outline = Contour::rectangle(pt(7.0, 8.5), pt(7.0 + wide, 27.0));
            piece.pockets.push(Pocket { outline, depth: mm(depth) });
            self.name(&mut piece, i, &figure(by, *value));
            self.add(2, tuned, piece);
        }
        Some(Ladder { by, tried })
    }

    /// Creases of five depths, or of one to five passes.
    fn crease(&mut self) -> Option<Ladder> {
        let (rule, rule_at, tool, _) = self.rule(OperationKind::CreaseScore)?;
        let thickness = self.thickness.to_mm();
        if self.stock == StockKind::Board && thickness > CREASED {
            self.leave_out("creases", "board over 1.5 mm is hinged, not creased");
            return None;
        }
        let by = by(tool);
        let mut tried: Vec<f64> = match by {
            By::Depth => {
                let steps = [0.5, 0.75, 1.0, 1.25, 1.5].map(|share| share * rule.depth.to_mm());
                steps.into_iter().map(|d| tidy(d.min(0.8 * thickness), 2)).filter(|d| *d > 0.0).collect()
            }
            By::Passes => (1..=5).map(f64::from).collect(),
        };
        tried.dedup();
        for (i, value) in tried.iter().enumerate() {
            let tuned = match by {
                By::Passes => self.with_passes(rule_at, *value),
                By::Depth => {
                    let mut tuned = self.profile.clone();
                    tuned.rules[rule_at].depth = mm(*value);
                    tuned
                }
            };
            let mut piece =
                self.card(format!("crease-{}", letter(i)), Contour::rectangle(pt(0.0, 0.0), pt(50.0, 20.0)));
            piece.creases.push(Path::line(pt(32.0, 0.0), pt(32.0, 20.0)));
            self.name(&mut piece, i, &figure(by, *value));
            self.add(3, Some(tuned), piece);
        }
        Some(Ladder { by, tried })
    }

    fn with_passes(&self, rule_at: usize, passes: f64) -> Profile {
        let mut tuned = self.profile.clone();
        tuned.rules[rule_at].passes = passes as u32;
        tuned
    }
}

/// A plate `2 side` wide: a tongue from either side of it, a notch in its upper and its lower edge,
/// all `2 radius` wide, straight for `run` and round at their ends. Its lower left corner at the origin.
fn tongues_and_notches(radius: f64, run: f64, side: f64) -> Contour {
    let (tall, deep) = (WEB / 2.0 + radius + run, WEB / 2.0 + radius);
    // The lower and right half, counter-clockwise; the other is the same, turned by half.
    let half = [
        (-side, -tall, 0.0),
        (-radius, -tall, 0.0),
        (-radius, -deep, -1.0),
        (radius, -deep, 0.0),
        (radius, -tall, 0.0),
        (side, -tall, 0.0),
        (side, -radius, 0.0),
        (side + run, -radius, 1.0),
        (side + run, radius, 0.0),
        (side, radius, 0.0),
    ];
    let middle = pt(side + run + radius, tall);
    let turned = half.map(|(x, y, bulge)| (-x, -y, bulge));
    let all = half.into_iter().chain(turned);
    Contour::new(all.map(|(x, y, bulge)| Vertex::new(middle + pt(x, y), bulge)))
}

fn figure(by: By, value: f64) -> String {
    match by {
        By::Depth => decimal(value, 2),
        By::Passes => format!("{} X", decimal(value, 0)),
    }
}
