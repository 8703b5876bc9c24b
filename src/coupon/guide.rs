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
        let _ = writeln!(
            s,
            "### Pivot offset: the cards with tongues and notches (`[offset]`)\n\n\
             Too large an offset makes every round too wide, too small a one too narrow. With a caliper, on card {own},\n\
             cut with your profile's own offset: three readings over the tips of its two tongues (nominal {over} mm)\n\
             into `over`, three between the bottoms of its two notches (nominal {web} mm) into `web`.\n\
             Without: hold a straight edge to the sides of each tongue, where the cut leaves the round. A side that\n\
             swells there had too large an offset, one that is hollow too small. The letter of the card whose sides\n\
             run straight goes into `best`.\n",
            own = o.own_card(),
            over = decimal(o.over, 2),
            web = decimal(o.web, 2)
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
