//! The sheet of paper that goes with a coupon: what to cut, what to measure, where it goes.

use super::{By, Coupon, form, letter};
use crate::profile::Profile;
use crate::units::decimal;
use std::fmt::Write as _;

/// The sheet's file name in a coupon's folder.
pub const FILE_NAME: &str = "coupon.md";

/// The sheet, as Markdown that reads as plain text too. `programs` are the file names to be run, in
/// order.
pub fn guide(coupon: &Coupon, profile: &Profile, programs: &[&str]) -> String {
    let sheet = &coupon.sheet;
    let mut s = String::new();
    let _ = writeln!(s, "# Coupon for {}\n", profile.name);
    let _ = writeln!(
        s,
        "Cut it from the very {} that you will use: {} thick, a piece of at least {} x {} mm. A coupon of\n\
         another stock, or of the same one next year, measures something else.\n",
        sheet.stock.word(),
        sheet.thickness,
        decimal(sheet.width.to_mm(), 0),
        decimal(sheet.height.to_mm(), 0)
    );
    let _ = writeln!(s, "## Before you cut\n");
    for caution in &profile.cautions {
        let _ = writeln!(s, "- {caution}");
    }
    let _ = writeln!(s, "- Read the program first; make the first run above the work.\n");
    let _ = writeln!(
        s,
        "Then run, in this order: {}.\n",
        programs.iter().map(|p| format!("`{p}`")).collect::<Vec<_>>().join(", ")
    );
    let _ = writeln!(s, "## Measure, and write it into `{}`\n", form::FILE_NAME);
    parts(&mut s, coupon);
    let _ = writeln!(s, "## Let the profile learn it\n");
    let _ = writeln!(
        s,
        "    flapwright coupon --machine YOUR-PROFILE.toml --read {}\n\n\
         shows what would change in your profile and writes nothing. With `--write` at its end it is written;\n\
         your comments stay. `{}.profile.toml` in this folder is the profile that the coupon was cut with: copy\n\
         it for a profile of your own. Cut the coupon once more afterwards: the middle letters should win.\n\n\
         `flapwright verify` on this folder names the trials that differ from your profile. They are meant to.",
        form::FILE_NAME,
        profile.id
    );
    s
}

fn parts(s: &mut String, coupon: &Coupon) {
    let trials = &coupon.trials;
    if let Some(k) = &trials.kerf {
        let last = letter(k.tried.len().saturating_sub(1));
        let _ = writeln!(
            s,
            "### Kerf: the comb and its plug (`[kerf]`)\n\n\
             Let both cool or dry. Slide the plug's end into the notches from A (widest) to {last} (narrowest).\n\
             The last one that it enters by hand, without force and without wobble, goes into `fits`.\n\
             Or, with a caliper: three readings of the plug's width (nominal {} mm) into `plug`, three of\n\
             notch A (nominal {} mm) into `slot`, away from corners and burrs. Both together are best.\n",
            decimal(k.plug, 2),
            decimal(k.slot, 2)
        );
    }
    if let Some(o) = &trials.offset {
        let own = o.tried.iter().position(|d| (d - o.now).abs() < 1e-9).map_or('D', letter);
        let _ = writeln!(
            s,
            "### Pivot offset: the squares (`[offset]`)\n\n\
             Look at the corners and at where the circle closes. Too small an offset rounds the corners off,\n\
             too large a one leaves hooks beside them. The letter of the sharpest square goes into `best`.\n\
             If none is sharp: look at square {own}, cut with your profile's own offset. How far a cut runs past\n\
             its corner, in mm, goes into `hook`; how far it stops short of it, with a minus.\n"
        );
    }
    if let Some(l) = &trials.pocket {
        let what = match l.by {
            By::Depth => "The figures on the cards are the depths asked for.",
            By::Passes => "The figures on the cards are the passes made.",
        };
        let _ = writeln!(
            s,
            "### Pockets (`[pocket]`)\n\n\
             Peel or brush the pockets out and measure the depth of each with the caliper's rod, in the middle.\n\
             Into `depths`, A first. {what}\n"
        );
    }
    if let Some(l) = &trials.crease {
        let what = match l.by {
            By::Depth => "The figures are how deep the tool pressed.",
            By::Passes => "The figures are how often the tool went over.",
        };
        let _ = writeln!(
            s,
            "### Creases (`[crease]`)\n\n\
             Fold each strip once, away from the crease's groove, slowly. The letter of the one that folds\n\
             straight, by itself, and without a crack goes into `best`. {what}\n"
        );
    }
}
