//! The sheet of paper that goes with a coupon: what to cut, what to measure, where it goes. As Markdown that
//! reads as plain text too, and with the papers as pages with the cards drawn.

use super::{By, Coupon, form, letter};
use crate::profile::Profile;
use crate::units::decimal;
use std::fmt::Write as _;

/// The text's file name in a coupon's folder.
pub const FILE_NAME: &str = "coupon.md";
/// The pages' file name.
pub const PAGES_NAME: &str = "coupon.pdf";

/// A part of it, the one below the other. Names of files and keys stand between back ticks.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// Its title.
    Title(String),
    /// What heads the parts below.
    Heading(String),
    /// What heads one thing to measure.
    Subheading(String),
    /// A paragraph.
    Text(String),
    /// One of a list.
    Item(String),
    /// A line to type.
    Command(String),
    /// The cards whose ids begin so, drawn.
    Cards(&'static str),
}

/// All parts in their order, of what the coupon holds and of nothing else. `programs` are the file names to be
/// run, in order.
pub fn parts(coupon: &Coupon, profile: &Profile, programs: &[&str]) -> Vec<Part> {
    let sheet = &coupon.sheet;
    let mut all = vec![
        Part::Title(format!("Coupon for {}", profile.name)),
        Part::Text(format!(
            "Cut it from the very {} that you will use: {} thick, a piece of at least {} x {} mm. A coupon of another \
             stock, or of the same one next year, measures something else.",
            sheet.stock.word(),
            sheet.thickness,
            decimal(sheet.width.to_mm(), 0),
            decimal(sheet.height.to_mm(), 0)
        )),
        Part::Heading("Before you cut".into()),
    ];
    all.extend(profile.cautions.iter().cloned().map(Part::Item));
    let files: Vec<String> = programs.iter().map(|p| format!("`{p}`")).collect();
    all.extend([
        Part::Item("Read the program first; make the first run above the work.".into()),
        Part::Text(format!("Then run, in this order: {}.", files.join(", "))),
        Part::Heading(format!("Measure, and write it into `{}`", form::FILE_NAME)),
    ]);
    all.extend(trials(coupon));
    all.extend([
        Part::Heading("Let the profile learn it".into()),
        Part::Command(format!("flapwright coupon --machine YOUR-PROFILE.toml --read {}", form::FILE_NAME)),
        Part::Text(format!(
            "shows what would change in your profile and writes nothing. With `--write` at its end it is written; your \
             comments stay. `{}.profile.toml` in this folder is the profile that the coupon was cut with: copy it for a \
             profile of your own. Cut the coupon once more afterwards: the middle letters should win.",
            profile.id
        )),
        Part::Text(
            "`flapwright verify` on this folder names the trials that differ from your profile. They are meant to."
                .into(),
        ),
    ]);
    all
}

/// The same as Markdown.
pub fn text(parts: &[Part]) -> String {
    let mut s = String::new();
    let mut is_listing = false;
    for part in parts {
        if is_listing && !matches!(part, Part::Item(_)) {
            s.push('\n');
        }
        is_listing = matches!(part, Part::Item(_));
        let _ = match part {
            Part::Title(t) => writeln!(s, "# {t}\n"),
            Part::Heading(t) => writeln!(s, "## {t}\n"),
            Part::Subheading(t) => writeln!(s, "### {t}\n"),
            Part::Text(t) => writeln!(s, "{}\n", broken(t)),
            Part::Item(t) => writeln!(s, "- {t}"),
            Part::Command(t) => writeln!(s, "    {t}\n"),
            Part::Cards(_) => Ok(()),
        };
    }
    s
}

/// Lines of a text are at most so long, characters.
const LINE: usize = 100;

fn broken(text: &str) -> String {
    let (mut lines, mut line) = (Vec::new(), String::new());
    for word in text.split(' ') {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > LINE {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines.join("\n")
}

fn trials(coupon: &Coupon) -> Vec<Part> {
    let trials = &coupon.trials;
    let mut all = Vec::new();
    let mut add = |head: &str, cards: &'static str, texts: Vec<String>| {
        all.push(Part::Subheading(head.into()));
        all.push(Part::Cards(cards));
        all.extend(texts.into_iter().map(Part::Text));
    };
    if let Some(k) = &trials.kerf {
        let last = letter(k.tried.len().saturating_sub(1));
        add(
            "Kerf: the comb and its plug (`[kerf]`)",
            "kerf-",
            vec![
                format!(
                    "Let both cool or dry. Slide the plug's end into the notches from A (widest) to {last} (narrowest). \
                     The last one that it enters by hand, without force and without wobble, goes into `fits`."
                ),
                format!(
                    "Or, with a caliper: three readings of the plug's width (nominal {} mm) into `plug`, three of notch A \
                     (nominal {} mm) into `slot`, away from corners and burrs. Both together are best.",
                    decimal(k.plug, 2),
                    decimal(k.slot, 2)
                ),
            ],
        );
    }
    if let Some(o) = &trials.offset {
        add(
            "Pivot offset: the cards with tongues and notches (`[offset]`)",
            "offset-",
            vec![
                format!(
                    "Too large an offset makes every round too wide, too small a one too narrow. With a caliper, on card \
                     {own}, cut with your profile's own offset: three readings over the tips of its two tongues (nominal \
                     {over} mm) into `over`, three between the bottoms of its two notches (nominal {web} mm) into `web`.",
                    own = o.own_card(),
                    over = decimal(o.over, 2),
                    web = decimal(o.web, 2)
                ),
                "Without: hold a straight edge to the sides of each tongue, where the cut leaves the round. A side that \
                 swells there had too large an offset, one that is hollow too small. The letter of the card whose sides \
                 run straight goes into `best`."
                    .into(),
            ],
        );
    }
    if let Some(l) = &trials.pocket {
        let what = match l.by {
            By::Depth => "The figures on the cards are the depths asked for.",
            By::Passes => "The figures on the cards are the passes made.",
        };
        add(
            "Pockets (`[pocket]`)",
            "pocket-",
            vec![format!(
                "Peel or brush the pockets out and measure the depth of each with the caliper's rod, in the middle. Into \
                 `depths`, A first. {what}"
            )],
        );
    }
    if let Some(l) = &trials.crease {
        let what = match l.by {
            By::Depth => "The figures are how deep the tool pressed.",
            By::Passes => "The figures are how often the tool went over.",
        };
        add(
            "Creases (`[crease]`)",
            "crease-",
            vec![format!(
                "Fold each strip once, away from the crease's groove, slowly. The letter of the one that folds straight, by \
                 itself, and without a crack goes into `best`. {what}"
            )],
        );
    }
    all
}
