//! Windows: whether the cloth can be turned in through them, and whether the lid has room for them.

use super::Limits;
use super::closings::{CHORD, between, words};
use crate::assembly::Part;
use crate::design::cuts::Cut;
use crate::design::flat::{Arm, Flat};
use crate::design::measures::{Measures, over_wall, thicknesses};
use crate::design::sides::{Lies, Parted, parted};
use crate::design::title_label::{labelled, recess};
use crate::design::window::{
    LEAST_HOLE, ON_ONE, Opening, least_turn_in, openings, patched_deep, turned_deep, turned_thickness,
};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Segment, intersections};
use crate::job::{Job, Side};
use crate::units::{Length, Unit, inch, mm};

/// Board that is left beside a window, at the least: a narrower strip bends and breaks (common practice, no source).
const STRIP: Length = mm(10.0);
/// Liner that is left beside one, at the least: less is not laid straight (our choice).
const LINER: Length = mm(5.0);
/// Board that is left between a window and a label's recess, mm (our choice, as at the board's edges).
const BESIDE: f64 = 4.0;

/// The windows of a job that is laid flat, held against their boards and what else is cut into these.
pub(in crate::design) fn windows(job: &Job, m: &Measures, flat: &Flat, cuts: &[Cut]) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    let by_part = parted(job, m, flat);
    for opening in openings(job, flat) {
        let is_paper = opening.is_of_paper(&by_part);
        if !check.is_turned_in(&opening, is_paper) {
            continue;
        }
        if let Some(arm) = flat.arms.get(&opening.side) {
            check.in_lid(&opening, arm, is_paper);
        }
        check.on_one_piece(&opening, &by_part);
        check.off_cuts(&opening, cuts, is_paper);
        check.off_label(&opening, flat);
    }
    check.out
}

impl Limits<'_> {
    /// What needs no layout: how the lid is covered and lined.
    pub(super) fn windowed(&mut self) {
        for side in self.job.windows.keys() {
            self.is_cut(*side);
        }
    }

    /// Whether the window is large enough for its tabs.
    fn is_turned_in(&mut self, opening: &Opening, is_paper: bool) -> bool {
        if self.job.cloth.is_none() {
            return true;
        }
        let wanted = least_turn_in(self.job, turned_thickness(self.job, is_paper));
        if opening.turn_in >= wanted - mm(1e-9) {
            return true;
        }
        let least = wanted * 2.0 + LEAST_HOLE;
        let side = opening.side.word();
        let b = opening.board;
        let key = if b.width() < b.height() { "width" } else { "height" };
        let message = format!(
            "the {side} lid's window is too small to turn cloth in through it: {} is the least width and height here",
            self.say(least)
        );
        let hint = format!(
            "make it {} or more: on each side {} of cloth go round the board, hold and lie under the liner's edge, and {} stay free between them",
            self.say(least),
            self.say(wanted),
            self.say(LEAST_HOLE)
        );
        self.push(Diagnostic::error("window-too-small", message).at(format!("window.{side}.{key}")).help(hint));
        false
    }

    /// What is turned in through a window is one piece: of cloth, or of paper.
    fn on_one_piece(&mut self, opening: &Opening, by_part: &[Parted]) {
        if opening.lies(by_part) != Some(Lies::Across) {
            return;
        }
        let Some(one) = by_part.iter().find(|one| one.part == Part::Lid(opening.side)) else { return };
        let side = opening.side.word();
        let message =
            format!("the {side} lid's window lies across the line where cloth and paper meet, or on their lap");
        let apart = self.say(mm(one.lap() + ON_ONE));
        let moved = self.beside_the_line(opening, one);
        let d = Diagnostic::error("window-across-side", message).at(format!("window.{side}"));
        self.push(d.help(format!(
            "{moved}move the window by from_left and from_head, or the line by sides.{side}.cloth, until they are {apart} apart on the cloth's side, or {} on the paper's",
            self.say(mm(ON_ONE))
        )));
    }

    /// What may be written to bring a window to the one side of the line beside the joint or to the other.
    fn beside_the_line(&self, opening: &Opening, one: &Parted) -> String {
        let (b, side) = (opening.board, opening.side);
        let (size, key) = match side {
            Side::Left | Side::Right => (b.width(), "from_left"),
            Side::Head | Side::Tail => (b.height(), "from_head"),
        };
        let wide = one.size[0];
        let far = one.cut.edge.to_mm().max(one.cut.corner.to_mm());
        let [free, hinge] =
            [self.left(opening, true), self.left(opening, false)].map(|(free, hinge)| free.max(hinge).to_mm());
        let on_paper = one.cloth + ON_ONE;
        let on_cloth = one.cloth - one.lap() - ON_ONE - size;
        // From the hinge to the nearer edge of the window, the room to spare on either side.
        let paper = (on_paper + size + far.max(free) <= wide).then_some((on_paper, "paper"));
        let cloth = (on_cloth >= hinge).then_some((on_cloth, "cloth"));
        let written = |(from_hinge, on): (f64, &str)| {
            let is_from_hinge = matches!(side, Side::Left | Side::Head);
            let at = if is_from_hinge { from_hinge } else { wide - from_hinge - size };
            // Rounded to where it is right.
            let is_up = is_from_hinge == (on == "paper");
            let step = if self.job.units == Unit::Mm { 0.1 } else { inch(0.01).to_mm() };
            let at = if is_up { (at / step - 1e-9).ceil() } else { (at / step + 1e-9).floor() } * step;
            format!("{key} = {} in the {on}", self.written(mm(at)))
        };
        let all: Vec<String> = [paper, cloth].into_iter().flatten().map(written).collect();
        if all.is_empty() { String::new() } else { format!("write {}; or ", all.join(" or ")) }
    }

    /// A lining whose edges are folded under has none to fold about a window.
    fn is_cut(&mut self, side: Side) {
        if self.job.folded() <= Length::ZERO {
            return;
        }
        let message =
            "a lining whose edges are folded under cannot be folded about a window: its corners would be bare";
        let d = Diagnostic::error("window-folded-lining", message).at(format!("window.{}", side.word()));
        self.push(d.help("take liner.turn_in out, so that the lining is cut to size, or leave the window out"));
    }

    /// What must be left to a free edge of the lid, and to its hinge.
    fn left(&self, opening: &Opening, is_paper: bool) -> (Length, Length) {
        let (t, c, _) = thicknesses(self.job);
        let covering = self.job.covering;
        let lined = if self.job.liner.is_some() { covering.reveal } else { Length::ZERO };
        let (mut free, mut hinge) = (STRIP.max(lined * 2.0 + LINER), STRIP.max(lined + LINER));
        if self.job.cloth.is_some() {
            let own = turned_deep(self.job, opening, is_paper).max(patched_deep(self.job));
            let at_edge = covering.turn_in - t - if is_paper { c.min(turned_thickness(self.job, true)) } else { c };
            free = free.max(at_edge + own);
            // On the base a lid lies on its wall by its inside: nothing of the window's cloth may lie there.
            hinge = hinge.max(own + t.max(over_wall(self.job)).max(self.job.strip_lap().unwrap_or_default()));
        }
        (free, hinge)
    }

    /// Whether it lies in its lid, and far enough from every edge.
    fn in_lid(&mut self, opening: &Opening, arm: &Arm, is_paper: bool) {
        let lid = arm.flap();
        let window = opening.outline();
        let side = opening.side;
        let table = format!("window.{}", side.word());
        let (free, hinge) = self.left(opening, is_paper);
        let is_inside = window.vertices().iter().all(|v| lid.contains(v.point()));
        let edges: Vec<Segment> = lid.segments().collect();
        let to = |edges: &[Segment]| edges.iter().map(|s| distance(s, &window)).fold(f64::INFINITY, f64::min);
        let (hinge_edge, others) = edges.split_at(1.min(edges.len()));
        let (at_hinge, at_free) = (to(hinge_edge), to(others));
        let is_crossed = at_hinge.min(at_free) <= 0.0;
        let at = |is_hinge: bool| {
            let key = if matches!(side, Side::Left | Side::Right) { "from_left" } else { "from_head" };
            if is_hinge { self.key_or(&format!("{table}.{key}"), table.clone()) } else { table.clone() }
        };
        let b = lid.bounds();
        let (along_x, along_y) = match side {
            Side::Left | Side::Right => (free + hinge, free * 2.0),
            Side::Head | Side::Tail => (free * 2.0, free + hinge),
        };
        let most = [mm(b.width()) - along_x, mm(b.height()) - along_y].map(|l| l.max(Length::ZERO));
        let room = if most.iter().all(|l| *l > Length::ZERO) {
            format!("the lid has room for {} at the most", self.job.units.show_size(&most))
        } else {
            "the lid is too small for a window".to_owned()
        };
        let hint = format!(
            "move it by from_left and from_head, or make it smaller: {} from the free edges and {} from the hinge are the least here, and {room}",
            self.say(free),
            self.say(hinge)
        );
        let name = side.word();
        if !is_inside || is_crossed {
            let d = Diagnostic::error("window-off-lid", format!("the {name} lid's window does not lie in the lid"));
            let at = at(at_hinge < at_free);
            self.push(d.at(at).help(hint));
            return;
        }
        let near = |is_hinge: bool, left: f64, least: Length| (left < least.to_mm() - 1e-6).then_some((is_hinge, left));
        let found = near(false, at_free, free).or_else(|| near(true, at_hinge, hinge));
        let Some((is_hinge, left)) = found else { return };
        let why = if self.job.cloth.is_some() && !is_hinge && free > STRIP {
            "the cloth turned in at both would meet inside"
        } else if self.job.cloth.is_some() && hinge > STRIP {
            "the cloth turned in there would come to the joint and what lies beside it"
        } else {
            "so narrow a strip does not hold"
        };
        let message = format!(
            "only {} of board are left between the {name} lid's window and {}: {why}",
            self.say(mm(left)),
            if is_hinge { "the hinge" } else { "a free edge" }
        );
        let at = at(is_hinge);
        self.push(Diagnostic::error("window-near-edge", message).at(at).help(hint).weighing(-left));
    }

    /// Slots, pockets and recesses of its board.
    fn off_cuts(&mut self, opening: &Opening, cuts: &[Cut], is_paper: bool) {
        let t = self.job.board.thickness;
        let least = if self.job.cloth.is_some() {
            turned_deep(self.job, opening, is_paper).max(patched_deep(self.job))
        } else {
            t
        };
        let least = least.max(t);
        let window = opening.outline();
        let side = opening.side.word();
        for cut in cuts.iter().filter(|c| c.part == Part::Lid(opening.side)) {
            let shapes = cut.slot.iter().chain([&cut.pocket.outline]);
            let left = shapes.map(|c| between(c, &window)).fold(f64::INFINITY, f64::min);
            if left >= least.to_mm() - 1e-6 {
                continue;
            }
            let what = words(&cut.of);
            let message = if left <= 0.0 {
                format!("the {side} lid's window runs into the cuts for {what}")
            } else {
                format!("the {side} lid's window leaves {} to the cuts for {what}", self.say(mm(left)))
            };
            let hint = format!(
                "move one of them, or make the window smaller: with {} between them the cloth turned in at the window stays clear of the cuts",
                self.say(least)
            );
            let d = Diagnostic::error("window-meets-cuts", message).at(format!("window.{side}"));
            self.push(d.help(hint).weighing(-left));
            return;
        }
    }

    /// The recess of a title label.
    fn off_label(&mut self, opening: &Opening, flat: &Flat) {
        let Some((label, part)) = labelled(self.job).filter(|(_, part)| *part == Part::Lid(opening.side)) else {
            return;
        };
        let Some(arm) = flat.arms.get(&opening.side) else { return };
        let b = recess(self.job, &label, part, arm.flap().bounds());
        let left = between(&Contour::rectangle(b.min, b.max), &opening.outline());
        if left >= BESIDE - 1e-6 {
            return;
        }
        let side = opening.side.word();
        let message = format!("the {side} lid's window leaves {} to the recess of the title label", self.say(mm(left)));
        let hint = format!(
            "move one of them until {} are between them, or write title_label.on = \"spine\"",
            self.say(mm(BESIDE))
        );
        self.push(Diagnostic::error("window-meets-label", message).at(format!("window.{side}")).help(hint));
    }
}

/// The least distance between an edge and a window, mm; zero where they cross.
fn distance(edge: &Segment, window: &Contour) -> f64 {
    if window.segments().any(|s| !intersections(edge, &s).is_empty()) {
        return 0.0;
    }
    let from = edge.flatten(CHORD).iter().map(|p| window.distance_to(*p)).fold(f64::INFINITY, f64::min);
    window.vertices().iter().map(|v| edge.distance_to(v.point())).fold(from, f64::min)
}
