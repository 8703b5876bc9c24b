//! What limits a leaf with the colophon: the lining or the board of its lid, and what else is in that.

use super::Limits;
use crate::assembly::Part;
use crate::design::colophon::{BESIDE, colophon, in_tray, taken};
use crate::design::cuts::{Cut, CutFor};
use crate::design::flat::Flat;
use crate::design::limits::closings::between;
use crate::design::window::{lined, openings};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, offset};
use crate::job::{Held, Job};
use crate::units::{Length, Unit, inch, mm};

/// The leaf of a job that is laid flat, held against its lid and what is cut into that.
pub(in crate::design) fn leaf(job: &Job, flat: &Flat, cuts: &[Cut]) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    check.leaf(flat, cuts);
    check.out
}

/// The same of a box of trays, the lining of whose floor is so wide and high; `None` without one.
pub(in crate::design) fn leaf_on_floor(job: &Job, room: Option<[Length; 2]>) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    check.leaf_on_floor(room);
    check.out
}

impl Limits<'_> {
    /// A leaf on the lining of a tray's floor, so wide and high.
    fn leaf_on_floor(&mut self, room: Option<[Length; 2]>) {
        let Some(leaf) = in_tray(self.job) else { return };
        let table = "inside.colophon";
        let Some(room) = room else {
            let message = "the leaf is held by slits in the lining of a tray, and the box has none";
            let d = Diagnostic::error("colophon-without-liner", message).at(table);
            self.push(d.help("add [liner], or take the table out"));
            return;
        };
        let size = [leaf.width, leaf.height];
        let spare = mm(BESIDE).max(leaf.ease) * 2.0;
        let most = room.map(|l| self.floored((l - spare).max(Length::ZERO)));
        let is_low = leaf.from_top.is_some_and(|top| top * 2.0 < spare || top + leaf.height + spare / 2.0 > room[1]);
        if (0..2).any(|i| size[i] + spare > room[i]) || is_low {
            let message = format!(
                "a leaf of {} with what holds it does not lie on the lining of the tray's floor",
                self.job.units.show_size(&size)
            );
            let help = format!(
                "make it smaller or move it by from_top: that lining holds {} at the most",
                self.job.units.show_size(&most)
            );
            self.push(Diagnostic::error("colophon-off-lid", message).at(table).help(help));
        }
    }

    fn leaf(&mut self, flat: &Flat, cuts: &[Cut]) {
        let job = self.job;
        let Some((leaf, side, at)) = colophon(job, flat) else { return };
        let Some(arm) = flat.arms.get(&side) else { return };
        let is_cover = job.within().is_some();
        let lid = if is_cover { "front cover".to_owned() } else { format!("{} lid", side.word()) };
        let (table, word) = ("inside.colophon", side.word());
        let has_liner = if is_cover { job.lining() > Length::ZERO } else { job.liner.is_some() };
        if leaf.held == Held::Corners && !has_liner {
            let message = format!("the leaf is held by slits in the liner of the {lid}, and that has none");
            let at = self.key_or(&format!("{table}.held"), table.into());
            let d = Diagnostic::error("colophon-without-liner", message).at(at);
            self.push(d.help("add [liner], or write `held = \"inset\"`"));
            return;
        }
        // On the lining within its reveal; a recess clear of what is turned in.
        let turned = (job.covering.turn_in - job.board.thickness).to_mm();
        let inwards = match leaf.held {
            Held::Corners => job.covering.reveal.to_mm(),
            Held::Inset if job.cloth.is_some() => turned,
            Held::Inset => 0.0,
        };
        let all = taken(&leaf, at);
        let wanted = Contour::rectangle(all.min, all.max);
        let room = offset(&arm.flap(), -inwards.max(0.01), Join::Mitre);
        if !room.is_ok_and(|room| wanted.vertices().iter().all(|v| room.contains(v.point()))) {
            let size = job.units.show_size(&[leaf.width, leaf.height]);
            let b = arm.flap().bounds();
            let left = [b.width(), b.height()]
                .map(|l| self.floored(mm((l - 2.0 * inwards - (all.width() - at.width())).max(0.0))));
            let what = if leaf.held == Held::Corners { "the lining of the" } else { "the board of the" };
            let message = format!("a leaf of {size} with what holds it does not lie on {what} {lid}");
            let help = format!(
                "make it smaller or move it by from_top: a lid with straight sides of this size holds {} at the most",
                job.units.show_size(&left)
            );
            self.push(Diagnostic::error("colophon-off-lid", message).at(table).help(help));
            return;
        }
        let own = openings(job, flat).into_iter().find(|w| w.side == side);
        if let Some(window) = own.map(|w| lined(job, &w)).filter(|w| w.shared(all).is_some()) {
            let message = format!("the leaf lies over the window of the {lid}");
            let d = Diagnostic::error("colophon-meets-window", message).at(table);
            let apart = mm((all.max.y - at.max.y).max(0.0)) + job.covering.reveal;
            let room = arm.flap().bounds().beside(window);
            let room = [room.width(), room.height()]
                .map(|l| self.floored(mm((l - inwards - (all.width() - at.width())).max(0.0))));
            self.push(d.help(format!(
                "move the leaf by inside.colophon.from_top, or the window by window.{word}.from_left and from_head, until {} are between them; beside the window as it lies there is room for a leaf of {}",
                self.say(apart),
                job.units.show_size(&room)
            )));
        }
        // Those of a recess are held against each other with all that is cut.
        let others = cuts.iter().filter(|c| c.part == Part::Lid(side) && c.of != CutFor::Colophon);
        let leaf_at = Contour::rectangle(at.min, at.max);
        let meets = |c: &Cut| c.slot.iter().chain([&c.pocket.outline]).any(|o| between(o, &leaf_at) <= 0.0);
        if leaf.held == Held::Corners && others.into_iter().any(meets) {
            let message = format!("the leaf lies over what is cut into the {lid} for its ties or magnets");
            let d = Diagnostic::warning("colophon-over-cuts", message).at(table);
            self.push(d.help("move one of them: the lining is thin there, and a slit near a pocket tears"));
        }
    }

    /// A length as a maker may write it and be right: no more than it is.
    fn floored(&self, length: Length) -> Length {
        let step = match self.job.units {
            Unit::Mm => mm(0.1),
            Unit::Inch => inch(0.01),
        };
        step * (length / step + 1e-9).floor()
    }
}
