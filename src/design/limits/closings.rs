//! Ribbon ties and magnets: whether their slots, pockets and recesses stay in the board, on it and off each
//! other.

use super::Limits;
use super::strap::{DEEPEST, GLUE, SLACK};
use crate::assembly::{Assembly, Part};
use crate::design::cuts::{Cut, CutFor};
use crate::design::flat::Flat;
use crate::design::measures::{Measures, thicknesses};
use crate::design::ties::{LEAST_TAIL, tied_to, wall_tail};
use crate::design::title_label::{labelled, recess};
use crate::design::{Piece, magnets};
use crate::diag::Diagnostic;
use crate::geom::Contour;
use crate::job::{Held, Job, TiedTo};
use crate::units::{Length, mm};

/// Less board than this under a magnet is felt and may break through (our choice).
const LEAST_UNDER: Length = mm(0.5);
/// What lengths that are added up are off by at the most.
const ROUNDING: Length = mm(1e-6);

/// What is cut into laid-out boards, held against them.
pub(in crate::design) fn cut(
    job: &Job,
    m: &Measures,
    flat: &Flat,
    boards: &Assembly,
    pieces: &[Piece],
    cuts: &[Cut],
) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    check.tied(m, flat);
    check.over_something(flat, boards);
    for piece in pieces {
        let Some(part) = part_of(piece) else { continue };
        let own: Vec<&Cut> = cuts.iter().filter(|c| c.part == part).collect();
        check.on_board(part, &piece.outline, &own);
        check.apart(part, &own);
        check.under_label(part, &piece.outline, &own);
    }
    check.out
}

fn part_of(piece: &Piece) -> Option<Part> {
    use crate::design::Role;
    match (piece.role, piece.side) {
        (Role::Base, _) => Some(Part::Base),
        (Role::Wall, Some(side)) => Some(Part::Wall(side)),
        (Role::Flap, Some(side)) => Some(Part::Lid(side)),
        _ => None,
    }
}

/// What asks for a cut, in words.
pub(super) fn words(of: &CutFor) -> String {
    match of {
        CutFor::Strap => "the strap".into(),
        CutFor::Ribbon(side) => format!("the {} lid's ties", side.word()),
        CutFor::Magnet(side) => format!("the {} lid's magnets", side.word()),
        CutFor::Colophon => "the colophon's leaf".into(),
    }
}

/// The table that asks for it.
fn table(of: &CutFor) -> String {
    match of {
        CutFor::Strap => "strap".into(),
        CutFor::Ribbon(side) => format!("ties.{}", side.word()),
        CutFor::Magnet(side) => format!("magnets.{}", side.word()),
        CutFor::Colophon => "inside.colophon".into(),
    }
}

/// The least distance between two outlines, mm; zero where they cross or one holds the other.
pub(super) fn between(a: &Contour, b: &Contour) -> f64 {
    let (p, q) = (a.flatten(CHORD), b.flatten(CHORD));
    if p.first().is_some_and(|p| b.contains(*p)) || q.first().is_some_and(|q| a.contains(*q)) {
        return 0.0;
    }
    apart(&p, a, &q, b)
}

/// The least distance between two outlines that do not hold each other, mm; zero where they cross.
fn apart(p: &[crate::geom::Point], a: &Contour, q: &[crate::geom::Point], b: &Contour) -> f64 {
    let is_crossing = a.segments().any(|s| b.segments().any(|t| !crate::geom::intersections(&s, &t).is_empty()));
    if is_crossing {
        return 0.0;
    }
    let to = |points: &[crate::geom::Point], c: &Contour| {
        points.iter().map(|p| c.distance_to(*p)).fold(f64::INFINITY, f64::min)
    };
    to(p, b).min(to(q, a))
}

/// How far inside an outline a cut stays, mm; `None` where it comes out of it.
fn inside(outline: &Contour, cut: &Contour) -> Option<f64> {
    let points = cut.flatten(CHORD);
    if !points.iter().all(|p| outline.contains(*p)) {
        return None;
    }
    Some(apart(&points, cut, &outline.flatten(CHORD), outline)).filter(|d| *d > 1e-9)
}

/// Distances to arcs are those to their chords within this, mm.
pub(super) const CHORD: f64 = 0.01;

impl Limits<'_> {
    /// What is cut into the inside of a board with a label's recess in its outside: slots keep clear of the recess, and
    /// between it and what is cut towards it board is left.
    fn under_label(&mut self, part: Part, outline: &Contour, own: &[&Cut]) {
        let Some((label, _)) = labelled(self.job).filter(|(_, on)| *on == part) else { return };
        let t = self.job.board.thickness;
        let b = recess(self.job, &label, part, outline.bounds());
        let recess = Contour::rectangle(b.min, b.max);
        let board = part.name();
        for cut in own {
            let (of, table) = (words(&cut.of), table(&cut.of));
            let move_it = if cut.of == CutFor::Strap {
                "move the label by title_label.from_head, or make it smaller".to_owned()
            } else if cut.of == CutFor::Colophon {
                "move the label by title_label.from_head, or the leaf by inside.colophon.from_top".to_owned()
            } else {
                format!(
                    "move the label by title_label.from_head, make it smaller, or change {table}.inset or {table}.count"
                )
            };
            let beside = cut.slot.as_ref().map(|slot| between(slot, &recess)).filter(|d| *d < t.to_mm() - 1e-6);
            if let Some(left) = beside {
                let message = if left <= 0.0 {
                    format!("a slot of {of} comes out in the label's recess on the {board}")
                } else {
                    format!(
                        "only {} of the {board} is left between a slot of {of} and the label's recess",
                        self.say(mm(left))
                    )
                };
                let hint = format!("{move_it}; keep a board's thickness between them");
                let d = Diagnostic::error("label-meets-slot", message)
                    .at(self.key_or("title_label.from_head", "title_label".into()));
                self.push(d.help(hint).weighing(-left));
            }
            // What lies closer beside it than this is as good as beneath it.
            if between(&cut.pocket.outline, &recess) >= LEAST_UNDER.to_mm() {
                continue;
            }
            let (depth, what) = (cut.pocket.depth, if cut.slot.is_some() { "pocket" } else { "recess" });
            let (taken, left) = (depth + label.depth, t - depth - label.depth);
            // A board that is cut through from its inside alone is told of that.
            let is_thin = left < LEAST_UNDER - ROUNDING;
            if depth >= t || !is_thin && taken <= t * DEEPEST + SLACK {
                continue;
            }
            let told = format!(
                "on the {board} the label's recess is {} deep, and the {what} of {of} beneath it {}",
                self.say(label.depth),
                self.say(depth)
            );
            let hint = format!("{move_it}; or make one of them shallower, or take a thicker board");
            let at = self.key_or("title_label.depth", "title_label".into());
            let d = if left <= Length::ZERO {
                Diagnostic::error("label-meets-pocket", format!("{told}: they meet in a board of {}", self.say(t)))
            } else if is_thin {
                Diagnostic::error("label-meets-pocket", format!("{told}: only {} of board is left", self.say(left)))
            } else {
                Diagnostic::warning("thin-under-label", format!("{told}: {} of board is left", self.say(left)))
            };
            self.push(d.at(at).help(hint).weighing(-left.to_mm()));
        }
    }

    /// What needs no layout: depths against the board.
    pub(super) fn closings(&mut self) {
        let t = self.job.board.thickness;
        for (side, ties) in &self.job.ties {
            let key = format!("ties.{}.pocket_depth", side.word());
            let table = format!("ties.{}", side.word());
            let needs = ties.in_slot() + GLUE * f64::from(ties.layers());
            self.depth(
                ties.pocket_depth,
                t,
                "pocket",
                self.key_or(&key, table.clone()),
                "a ribbon's pocket is \"half\" the board or less",
            );
            if ties.pocket_depth < t && needs > ties.pocket_depth + SLACK {
                let over = if self.job.liner.is_some() { "under the liner" } else { "of the board" };
                let message = format!(
                    "the {} {} thick and the pocket {} deep: {} stand proud {over}",
                    if ties.peg.is_some() { "ribbon laid double and its glue are" } else { "ribbon and its glue are" },
                    self.say(needs),
                    self.say(ties.pocket_depth),
                    self.say(needs - ties.pocket_depth)
                );
                let d = Diagnostic::warning("ribbon-proud", message).at(self.key_or(&key, table));
                let hint = if needs <= t * DEEPEST {
                    format!("write {key} = {}, or use a thinner ribbon", self.written(needs))
                } else {
                    "use a thinner ribbon or a thicker board".to_owned()
                };
                let keys = [key, format!("ties.{}.thickness", side.word())];
                self.push(d.help(hint).unless_assumed(&self.job.places, &[&keys[0], &keys[1]]));
            }
        }
        if let Some((leaf, _)) = crate::design::colophon::held(self.job).filter(|(leaf, _)| leaf.held == Held::Inset) {
            let at = self.key_or("inside.colophon.thickness", "inside.colophon".into());
            self.depth(leaf.recess_depth(), t, "recess", at, "take a thinner leaf, or write held = \"corners\"");
        }
        for (side, magnets) in &self.job.magnets {
            let key = |k: &str| format!("magnets.{}.{k}", side.word());
            let hint = "use a thinner magnet or a thicker board";
            let at = if self.job.places.has(&key("depth")) { key("depth") } else { key("thickness") };
            let at = self.key_or(&at, format!("magnets.{}", side.word()));
            self.depth(magnets.depth, t, "recess", at, hint);
            if let Some(plate) = magnets.plate {
                let at = self.key_or(&key("plate_thickness"), key("counterpart"));
                self.depth(plate.depth, t, "plate's recess", at, "use a thinner plate or a thicker board");
            }
        }
    }

    fn depth(&mut self, depth: Length, t: Length, what: &str, at: String, hint: &str) {
        let left = t - depth;
        if left <= Length::ZERO {
            let message = format!("a {what} {} deep goes through a board of {}", self.say(depth), self.say(t));
            self.push(Diagnostic::error("pocket-too-deep", message).at(at).help(hint));
        } else if depth > t * DEEPEST + SLACK || left < LEAST_UNDER {
            let message = format!("a {what} {} deep leaves {} of the board under it", self.say(depth), self.say(left));
            let hint = format!("{hint}: three quarters of the board is the most, and {} left", self.say(LEAST_UNDER));
            self.push(Diagnostic::warning("thin-pocket", message).at(at).help(hint));
        }
    }

    /// Whether what a lid is tied to is there, and a wall high enough.
    fn tied(&mut self, m: &Measures, flat: &Flat) {
        for (side, ties) in &self.job.ties {
            let across = side.opposite().word();
            let at = self.key_or(&format!("ties.{}.to", side.word()), format!("ties.{}", side.word()));
            let to = tied_to(self.job, m, flat, *side, ties);
            let arm = flat.arms.get(&side.opposite());
            let base = format!("write ties.{}.to = \"base\"", side.word());
            match (to, arm) {
                (TiedTo::Base, _) | (TiedTo::Lid, Some(_)) => {}
                (TiedTo::Wall | TiedTo::Lid, None) => {
                    let message = format!("the {} lid cannot be tied to the {across}: there is no wall", side.word());
                    self.push(Diagnostic::error("tied-to-nothing", message).at(at).help(base));
                }
                (TiedTo::Wall, Some(arm)) => {
                    let tail = wall_tail(self.job, ties, arm);
                    if tail < LEAST_TAIL.min(ties.tail) {
                        let message = format!(
                            "the {across} wall is {} high and leaves {} for the pocket of a ribbon",
                            self.say(mm(arm.wall_height())),
                            self.say(tail.max(Length::ZERO))
                        );
                        self.push(Diagnostic::error("tie-wall-low", message).at(at).help(base));
                    }
                }
            }
        }
    }

    /// Whether a lid lies beneath every magnet.
    fn over_something(&mut self, flat: &Flat, boards: &Assembly) {
        let pairs = magnets(self.job, flat, boards);
        for side in self.job.magnets.keys() {
            let alone = pairs.iter().filter(|p| p.side == *side && p.beneath.is_none()).count();
            if alone == 0 {
                continue;
            }
            let name = side.word();
            let message = format!("closed, no lid lies beneath {alone} of the {name} lid's magnets: they hold nothing");
            let hint = format!(
                "lengthen the {} lid until it lies under the free edge, move the magnets by magnets.{name}.inset or .count, or tie the lid with [ties.{name}]",
                side.opposite().word()
            );
            self.push(Diagnostic::error("magnet-over-nothing", message).at(format!("magnets.{name}")).help(hint));
        }
    }

    /// Cuts against the edge of their board.
    fn on_board(&mut self, part: Part, outline: &Contour, own: &[&Cut]) {
        let t = self.job.board.thickness;
        let (_, c, _) = thicknesses(self.job);
        let turned_in = (self.job.covering.turn_in - t - c).to_mm();
        // A leaf's recess is held against its lid by itself.
        for cut in own.iter().filter(|c| !matches!(c.of, CutFor::Strap | CutFor::Colophon)) {
            let kinds = [
                cut.slot.as_ref().map(|s| (s, "slot")),
                Some((&cut.pocket.outline, if cut.slot.is_some() { "pocket" } else { "recess" })),
            ];
            let table = table(&cut.of);
            let nearest = |c: &Contour| inside(outline, c);
            for (contour, what) in kinds.into_iter().flatten() {
                let of = words(&cut.of);
                let board = part.name();
                match nearest(contour) {
                    None => {
                        let message = format!("a {what} of {of} comes out of the {board}");
                        let hint = match (&cut.of, what) {
                            (CutFor::Ribbon(_), "pocket") => {
                                format!("shorten {table}.tail, or make {table}.inset smaller")
                            }
                            (CutFor::Ribbon(_), _) => format!(
                                "change {table}.inset or to_inset, the ribbon's width or {table}.count, and keep clear of a notch and of rounded corners"
                            ),
                            _ => format!(
                                "change {table}.inset or {table}.count, and keep clear of a notch and of rounded corners; a lid beneath must hold the whole recess"
                            ),
                        };
                        let code = if what == "recess" { "magnet-off-board" } else { "tie-off-board" };
                        self.push(Diagnostic::error(code, message).at(table.clone()).help(hint));
                        break;
                    }
                    Some(left) if left < t.to_mm() - 1e-6 => {
                        let message =
                            format!("only {} of the {board} is left beside a {what} of {of}", self.say(mm(left)));
                        let d = Diagnostic::warning("slot-near-edge", message).at(table.clone()).weighing(-left);
                        self.push(d.help("keep at least a board's thickness"));
                        break;
                    }
                    // Only over free edges is cloth turned in.
                    Some(_) if what == "slot" && part.lid().is_some() => {
                        let free = outline.segments().skip(1).map(|s| near(&s, contour)).fold(f64::INFINITY, f64::min);
                        if free < turned_in - 0.01 {
                            let message = format!(
                                "a slot of {of} lies {} under the turn-in of the {board}",
                                self.say(mm(turned_in - free))
                            );
                            let d = Diagnostic::warning("slot-under-turn-in", message)
                                .at(self.key_or(&format!("{table}.inset"), table.clone()));
                            self.push(d.help(
                                "move it farther in, or cut the turn-in open over it before the ribbon goes through",
                            ));
                            break;
                        }
                    }
                    Some(_) => {}
                }
            }
        }
    }

    /// Cuts of one board against each other: those of one tie share their edge.
    fn apart(&mut self, part: Part, own: &[&Cut]) {
        let t = self.job.board.thickness.to_mm();
        for (i, a) in own.iter().enumerate() {
            for b in &own[i + 1..] {
                if a.of == CutFor::Strap && b.of == CutFor::Strap {
                    continue;
                }
                let of = |c: &Cut| -> Vec<Contour> { c.slot.iter().chain([&c.pocket.outline]).cloned().collect() };
                let left = of(a)
                    .iter()
                    .flat_map(|x| of(b).iter().map(|y| between(x, y)).collect::<Vec<_>>())
                    .fold(f64::INFINITY, f64::min);
                if left >= t - 1e-6 {
                    continue;
                }
                let (one, other) = (words(&a.of), words(&b.of));
                let board = part.name();
                let message = if left <= 0.0 {
                    if one == other {
                        format!("cuts of {one} run into each other on the {board}")
                    } else {
                        format!("cuts of {one} and of {other} run into each other on the {board}")
                    }
                } else {
                    format!("only {} of the {board} is left between cuts of {one} and of {other}", self.say(mm(left)))
                };
                let table = table(&b.of);
                let hint = if b.of == CutFor::Colophon {
                    "move the leaf by from_top, make it smaller, or write held = \"corners\"".to_owned()
                } else {
                    format!(
                        "lower {table}.count, change {table}.inset, or move the other; keep a board's thickness between them"
                    )
                };
                self.push(Diagnostic::error("cuts-meet", message).at(table).help(hint).weighing(-left));
            }
        }
    }
}

fn near(s: &crate::geom::Segment, c: &Contour) -> f64 {
    c.flatten(CHORD).iter().map(|p| s.distance_to(*p)).fold(f64::INFINITY, f64::min)
}
