//! What the manifest says of ribbon ties and magnets, against the slots and recesses of the boards.

use super::wrong;
use crate::units::decimal;
use crate::verify::Many;
use crate::verify::read::manifest::{ListedPiece, Manifest, Pegs, Pocket, Tied};

/// A gap is the sum of its layers within what rounding leaves of them, mm.
const ROUNDED: f64 = 0.01;

pub(super) fn check(manifest: &Manifest, out: &mut Many) {
    let Some(fit) = &manifest.fit else { return };
    let board = |role: &str, side: Option<&str>| {
        manifest.pieces.iter().find(|p| p.stock == "board" && p.role == role && p.side.as_deref() == side)
    };
    let mut of_recesses = 0;
    for magnets in &fit.magnets {
        let side = magnets.side.as_str();
        let in_lid = board("flap", Some(side)).map_or(0, round);
        if in_lid < magnets.count as usize {
            out.push(wrong(format!(
                "{} magnets are said to be in the {side} lid, and it has {in_lid} recesses",
                magnets.count
            )));
        }
        if magnets.magnets + magnets.plates != magnets.count * 2 {
            let both = magnets.magnets + magnets.plates;
            out.push(wrong(format!(
                "{} pairs in the {side} lid are said to take {both} magnets and plates",
                magnets.count
            )));
        }
        let sum: f64 = magnets.layers.iter().map(|l| l.thickness).sum();
        if (sum - magnets.gap).abs() > ROUNDED {
            let (said, is) = (decimal(magnets.gap, 2), decimal(sum, 2));
            out.push(wrong(format!(
                "the magnets of the {side} lid are said to be {said} mm apart, and their layers make {is} mm"
            )));
        }
        of_recesses += magnets.count as usize * 2;
    }
    let recesses: usize = manifest.pieces.iter().filter(|p| p.stock == "board" && p.role != "coupon").map(round).sum();
    if !fit.magnets.is_empty() && recesses != of_recesses {
        out.push(wrong(format!("the boards have {recesses} round recesses, and {of_recesses} are for magnets")));
    }
    for ties in &fit.ties {
        let side = ties.side.as_str();
        let across = match side {
            "left" => "right",
            "right" => "left",
            "head" => "tail",
            _ => "head",
        };
        let (role, at) = match ties.to.as_str() {
            "wall" => ("wall", Some(across)),
            "lid" => ("flap", Some(across)),
            _ => ("base", None),
        };
        // A case is tied by its covers, whatever is in it.
        let cover = |id: &str| manifest.pieces.iter().find(|p| p.id == id);
        let lid = cover("board-front-cover").or_else(|| board("flap", Some(side)));
        let other = cover("board-back-cover").or_else(|| board(role, at));
        for (name, piece) in [("lid", lid), (ties.to.as_str(), other)] {
            let slots = piece.map_or(0, |p| p.holes.len());
            let ribbons = ties.ribbons + ties.pegs.as_ref().map_or(0, |p| p.count);
            if slots * 2 < ribbons as usize {
                out.push(wrong(format!(
                    "the {side} lid is said to be tied by {ribbons} ribbons, and the {name} has {slots} slots for them",
                )));
            }
        }
        if let Some(pegs) = &ties.pegs {
            pegged(ties, pegs, out);
        } else if ties.length < ties.way / 2.0 {
            let (said, way) = (decimal(ties.length, 2), decimal(ties.way, 2));
            out.push(wrong(format!("ribbons of {said} mm do not meet over a way of {way} mm")));
        }
    }
}

/// Ribbons laid double round a peg and a loop of as many: what each must be at the least for the peg to lie in both.
fn pegged(ties: &Tied, pegs: &Pegs, out: &mut Many) {
    let side = ties.side.as_str();
    if pegs.count != ties.ribbons {
        out.push(wrong(format!("{} ribbons of the {side} lid hold {} pegs", ties.ribbons, pegs.count)));
    }
    let round = std::f64::consts::PI * pegs.diameter;
    for (what, is, least) in [
        ("ribbons of the pegs", ties.length, (ties.way - pegs.loop_way) * 2.0 + round / 2.0),
        ("loops", pegs.loop_length, pegs.loop_way * 2.0 + round),
        ("pegs", pegs.length, ties.width * 2.0),
    ] {
        if is < least {
            let (is, least) = (decimal(is, 2), decimal(least, 2));
            out.push(wrong(format!("the {what} of the {side} lid are {is} mm, and need {least} mm at the least")));
        }
    }
}

/// How many of its recesses are round.
fn round(piece: &ListedPiece) -> usize {
    let is_round = |p: &&Pocket| p.outline.len() == 2;
    piece.all_pockets().filter(is_round).count()
}
