//! Ribbon ties and magnets: boxes worked out by hand, what is refused, random jobs that are exported and proved.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::job_of;
use crate::common::dice::Dice;
use crate::common::proof::told;
use crate::proved;
use flapwright::design::{Design, design};
use flapwright::diag::{Diagnostic, Source, any_error};
use flapwright::fit::{Fit, fit};
use flapwright::geom::{Bounds, Contour};
use flapwright::job;
use flapwright::units::Length;
use flapwright::verify::verify_folder;
use serde_json::Value;

struct Built {
    design: Design,
    /// `None` where nothing was laid out.
    fit: Option<Fit>,
    said: Vec<Diagnostic>,
}

fn build(text: &str) -> Built {
    let job = job_of(text);
    let (design, mut said) = design(&job);
    let fit = (!any_error(&said) || design.flat.is_some()).then(|| fit(&job, &design));
    let fit = fit.map(|(fit, more)| {
        said.extend(more);
        fit
    });
    Built { design, fit, said }
}

impl Built {
    fn piece(&self, id: &str) -> &flapwright::design::Piece {
        self.design.pieces.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no {id}"))
    }

    fn slots(&self, id: &str) -> Vec<Bounds> {
        self.piece(id).holes.iter().map(Contour::bounds).collect()
    }

    fn fit(&self) -> &Fit {
        self.fit.as_ref().unwrap()
    }

    fn errors(&self) -> Vec<&str> {
        self.said.iter().filter(|d| d.is_error()).map(|d| d.code).collect()
    }
}

/// Board of 2 mm, a cloth that counts as nothing, interior 100 x 150 x 20; two lids, the left one last.
fn bare(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 20\n\
         clearance = {{ width = 0, height = 0, depth = 0 }}\n[board]\nthickness = 2\n\
         sheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0\n[box]\nease = 0\njoint = 2\n\
         flap_inset = 0.5\n{more}"
    )
}

const TWO_LIDS: &str = "[flap.right]\ntier = 1\nreach = 40\n[flap.left]\ntier = 2\nreach = 96\n";

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

fn is_long(length: Length, mm: f64) -> bool {
    near(length.to_mm(), mm)
}

/// Worked by hand; derived. Walls are 20 + 2 t and 20 + 3 t high, the left lid's free edge stands at 96 - 50 = 46 from
/// the middle and 26 above the table, the right wall's outer edge at 52 and 24.
#[test]
fn a_lid_tied_to_the_wall_across_by_hand() {
    let b = build(&bare(&format!("{TWO_LIDS}[ties.left]\n")));
    assert_eq!(b.errors(), [""; 0], "{:#?}", b.said);
    let lid = b.piece("board-flap-left").outline.bounds();
    let [slot] = b.slots("board-flap-left")[..] else { panic!() };
    // 10.5 along the free edge, 0.8 across, its middle 20 in from the free edge and in the middle of it.
    assert!(near(slot.width(), 0.8) && near(slot.height(), 10.5), "{slot:?}");
    assert!(near(slot.center().x - lid.min.x, 20.0) && near(slot.center().y, 0.0), "{slot:?}");
    // Its pocket begins at the slot and runs 25 towards the hinge, half the board deep.
    let pocket = &b.piece("board-flap-left").pockets[0];
    let at = pocket.outline.bounds();
    assert!(near(at.min.x, slot.max.x) && near(at.width(), 25.0) && near(at.height(), 10.5), "{at:?}");
    assert!(is_long(pocket.depth, 1.0));
    // In the right wall, 24 high: two boards down from its upper edge; 24 - 4 - 0.4 - 2 are left for the pocket.
    let wall = b.piece("board-wall-right").outline.bounds();
    let [slot] = b.slots("board-wall-right")[..] else { panic!() };
    assert!(near(wall.width(), 24.0) && near(wall.max.x - slot.center().x, 4.0), "{slot:?}");
    let at = b.piece("board-wall-right").pockets[0].outline.bounds();
    assert!(near(at.max.x, slot.min.x) && near(at.width(), 17.6), "{at:?}");
    // The cloth is cut open over both.
    assert_eq!(b.piece("cloth-cover").holes.len(), 2);
    // 20 to the free edge, sqrt(6^2 + 2^2) to the wall's edge, 4 down to its slot.
    let [ties] = &b.fit().ties[..] else { panic!() };
    let way = 20.0 + 40.0_f64.sqrt() + 4.0;
    assert!(ties.to == "wall" && ties.ribbons == 2 && (ties.way.to_mm() - way).abs() < 1e-3, "{ties:?}");
    assert!((ties.length.to_mm() - (25.0 + 2.0 + way / 2.0 + 200.0)).abs() < 1e-3, "{ties:?}");
}

/// Worked by hand; derived: without a wall across the fellow comes out under the base, 20 in from its edge.
#[test]
fn a_lid_tied_to_the_base_by_hand() {
    let b = build(&bare("[flap.left]\ntier = 1\nreach = 96\n[ties.left]\ncount = 2\n"));
    assert_eq!(b.errors(), [""; 0], "{:#?}", b.said);
    // The lid is 149 long: a quarter of that from its middle each. The base's edge lies at 50.
    let slots = b.slots("board-base");
    assert_eq!(slots.len(), 2);
    for slot in &slots {
        assert!(near(slot.center().x, 30.0) && near(slot.center().y.abs(), 37.25), "{slot:?}");
    }
    let lid = b.slots("board-flap-left");
    assert!(lid.iter().all(|s| near(s.center().y.abs(), 37.25)));
    // From (26, 24) out over the free edge (46, 24), down to the base's upper edge (50, 2), round it, back to (30, 0).
    let way = 20.0 + (4.0_f64.powi(2) + 22.0_f64.powi(2)).sqrt() + 2.0 + 20.0;
    let [ties] = &b.fit().ties[..] else { panic!() };
    assert!(ties.to == "base" && ties.ribbons == 4 && (ties.way.to_mm() - way).abs() < 1e-3, "{ties:?} {way}");
}

/// A lid that stops half-way is tied to the lid across, beyond its own free edge.
#[test]
fn a_short_lid_is_tied_to_the_one_across() {
    let lids = "[flap.right]\ntier = 1\nreach = 70\n[flap.left]\ntier = 2\nreach = 45\n";
    let b = build(&bare(&format!("{lids}[ties.left]\nto_inset = 8\ntail = 20\n")));
    assert_eq!(b.errors(), [""; 0], "{:#?}", b.said);
    // The left lid ends 55 from the right hinge: the slot lies 8 short of that, in the right lid's own measure.
    let lid = b.piece("board-flap-right").outline.bounds();
    let [slot] = b.slots("board-flap-right")[..] else { panic!() };
    assert!(near(slot.center().x - lid.min.x, 47.0), "{slot:?} {lid:?}");
    // 20 to the free edge, then 8 along and a board down, all level: sqrt(8^2 + 2^2).
    let [ties] = &b.fit().ties[..] else { panic!() };
    assert!(ties.to == "lid" && (ties.way.to_mm() - 20.0 - 68.0_f64.sqrt()).abs() < 1e-3, "{ties:?}");
}

/// Worked by hand; derived: the lid of the first case here with a peg of 6 mm and ribbons of 10 mm, 0.3 mm thick, laid double.
#[test]
fn a_lid_held_by_a_peg_by_hand() {
    let b = build(&bare(&format!("{TWO_LIDS}[ties.left]\nfasten = 'peg'\n")));
    assert_eq!(b.errors(), [""; 0], "{:#?}", b.said);
    let ([lid], [wall]) = (&b.slots("board-flap-left")[..], &b.slots("board-wall-right")[..]) else { panic!() };
    // Two ribbons and 0.5 of room; 12 from middle to middle, so that the peg lies in both.
    for slot in [lid, wall] {
        assert!(near(slot.width(), 1.1) && near(slot.height(), 10.5), "{slot:?}");
    }
    assert!(near((lid.center().y - wall.center().y).abs(), 12.0), "{lid:?} {wall:?}");
    assert!(near(lid.center().y.abs(), 6.0), "{lid:?}");
    let [ties] = &b.fit().ties[..] else { panic!() };
    let pegs = ties.pegs.as_ref().unwrap();
    // 10 + 2 + 10, and 5 at each end.
    assert!(ties.ribbons == 1 && pegs.count == 1 && is_long(pegs.length, 32.0), "{ties:?}");
    let (way, round) = (20.0 + 40.0_f64.sqrt() + 4.0, std::f64::consts::PI * 6.3);
    assert!((ties.way.to_mm() - way).abs() < 1e-3, "{ties:?}");
    assert!((ties.length.to_mm() - (2.0 * (25.0 + 2.0 + way) + round / 2.0)).abs() < 1e-3, "{ties:?}");
    // The wall leaves 24 - 4 - 0.55 - 2 for the pocket.
    assert!((pegs.loop_length.to_mm() - (2.0 * (17.45 + 2.0) + round + 2.0)).abs() < 1e-3, "{ties:?}");
    // Out of the base, 20 in from its edge: the peg lies half-way up the side. As in the case below this one's way is.
    let b = build(&bare("[flap.left]\ntier = 1\nreach = 96\n[ties.left]\nfasten = 'peg'\n"));
    let [ties] = &b.fit().ties[..] else { panic!() };
    let pegs = ties.pegs.as_ref().unwrap();
    let side = (4.0_f64.powi(2) + 22.0_f64.powi(2)).sqrt() + 2.0;
    assert!((pegs.loop_way.to_mm() - (20.0 + side / 2.0)).abs() < 1e-3, "{ties:?}");
    assert!(
        (pegs.loop_length.to_mm() - (2.0 * (25.0 + 2.0 + 20.0 + side / 2.0) + round + 2.0)).abs() < 1e-3,
        "{ties:?}"
    );
    assert!((ties.length.to_mm() - (2.0 * (25.0 + 2.0 + 20.0 + side / 2.0) + round / 2.0)).abs() < 1e-3, "{ties:?}");
    // A peg's measure without a peg, a bow's with one, a peg that does not lie in both, and no room in the pocket.
    let said = |ties: &str| {
        let text = bare(&format!("{TWO_LIDS}[ties.left]\n{ties}\n"));
        let (job, mut said) = job::read(&Source { name: "job.toml".into(), text });
        said.extend(job.into_iter().flat_map(|job| design(&job).1));
        said.iter().map(|d| d.code).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(said("peg_diameter = 5"), "not-this-shape");
    assert_eq!(said("fasten = 'peg'\nbow = 100"), "not-this-shape");
    assert_eq!(said("fasten = 'peg'\npeg_length = 20"), "peg-short");
    assert_eq!(said("fasten = 'peg'\nthickness = 0.6"), "ribbon-proud");
}

/// Every way a tie cannot be, each by its code and at its table.
#[test]
fn ties_that_cannot_be_are_refused_where_they_stand() {
    let said = |more: &str| {
        let b = build(&bare(more));
        assert!(b.said.iter().filter(|d| d.is_error()).all(|d| d.hint.is_some() && d.key().is_some()), "{:#?}", b.said);
        b.errors().join(" ")
    };
    let of = |ties: &str| said(&format!("{TWO_LIDS}[ties.left]\n{ties}\n"));
    assert_eq!(of("inset = 0.3"), "tie-off-board");
    assert_eq!(of("inset = 90"), "tie-off-board");
    assert_eq!(of("width = 160"), "tie-off-board tie-off-board");
    assert_eq!(of("width = 48\ncount = 3"), "cuts-meet cuts-meet cuts-meet cuts-meet");
    assert_eq!(of("to_inset = 12\nto = 'wall'"), "tie-wall-low");
    assert_eq!(of("pocket_depth = 2"), "pocket-too-deep");
    let one = |ties: &str| said(&format!("[flap.left]\ntier = 1\nreach = 96\n[ties.left]\n{ties}\n"));
    assert_eq!((one("to = 'wall'"), one("to = 'lid'")), ("tied-to-nothing".into(), "tied-to-nothing".into()));
    // Under the lid that closes last no bow can be tied.
    assert_eq!(said(&format!("{TWO_LIDS}[ties.right]\nto = 'base'\ntail = 12\n")), "tie-covered");
    let notched = "[flap.left]\ntier = 1\nreach = 96\nnotch = { width = 40, depth = 20 }\n";
    // In the middle it lies so far in from the notch's bottom; beside the notch a broad one runs into it.
    assert_eq!(said(&format!("{notched}[ties.left]\n")), "");
    let broad = "width = 40\ncount = 2\ninset = 5\n";
    assert_eq!(said(&format!("{notched}[ties.left]\n{broad}")), "tie-off-board tie-off-board");
    assert_eq!(said(&format!("{notched}[ties.left]\ncount = 2\n")), "");
    // A strap's slot where the fellow comes out of the base.
    let strap = "[strap]\nalong = 'width'\nfrom_edge = 75\ninset = 20\ntail = 10\n";
    assert_eq!(said(&format!("[flap.left]\ntier = 1\nreach = 96\n{strap}[ties.left]\n")), "cuts-meet");
}

/// Worked by hand; derived: every layer between the faces of a pair, and with them the distance of the boards.
#[test]
fn the_gap_between_magnets_by_hand() {
    let text = |more: &str| {
        format!(
            "format = 1\ntitle = 'x'\n[contents]\nwidth = 130\nheight = 180\ndepth = 14\n[board]\nthickness = 2.5\n\
             sheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.35\n[liner]\nthickness = 0.2\n\
             [flap.right]\ntier = 1\nreach = '45 %'\n[flap.left]\ntier = 2\nreach = '95 %'\n{more}"
        )
    };
    let b = build(&text("[magnets.left]\nthickness = 1.5\n"));
    assert_eq!(b.errors(), [""; 0], "{:#?}", b.said);
    let [m] = &b.fit().magnets[..] else { panic!() };
    let of = |what: &str| m.layers.iter().find(|l| l.what == what).map_or(0.0, |l| l.thickness.to_mm());
    // A recess is 1.6 deep: 0.9 of board are left, under 0.1 of glue; 20 in from the edge there is no turn-in.
    assert!(near(of("liner"), 0.2) && near(of("cloth"), 0.35) && near(of("board"), 0.9) && near(of("glue"), 0.1));
    assert!(near(of("turn-in"), 0.0) && m.magnets == 4 && m.plates == 0, "{m:?}");
    // The left lid lies on its own turn-in at the rim: under its liner there is a cloth's thickness of air at most.
    assert!(of("air") <= 0.35 + 1e-6, "{m:?}");
    let sum: f64 = m.layers.iter().map(|l| l.thickness.to_mm()).sum();
    assert!(near(m.gap.to_mm(), sum), "{m:?}");
    // True circles, 10.2 across, one over the other: 20 in from the left lid's edge, which reaches 0.95 of 132.
    for id in ["board-flap-left", "board-flap-right"] {
        let pockets = &b.piece(id).pockets;
        assert!(pockets.len() == 2 && b.piece(id).holes.is_empty());
        for p in pockets {
            assert!(p.outline.vertices().len() == 2 && p.outline.vertices().iter().all(|v| near(v.bulge, 1.0)));
            assert!(near(p.outline.bounds().width(), 10.2) && is_long(p.depth, 1.6));
        }
    }
    let left = b.piece("board-flap-left");
    assert!(near(left.pockets[0].outline.bounds().center().x - left.outline.bounds().min.x, 20.0));
    let right = b.piece("board-flap-right");
    let from_hinge = right.pockets[0].outline.bounds().center().x - right.outline.bounds().min.x;
    // From the right hinge it is what the left lid leaves, and its inset: 132 - 125.4 + 20, a joint's layers aside.
    assert!((from_hinge - 26.6).abs() < 2.5, "{from_hinge}");
    // With a turn-in over them they lie a cloth farther apart; a plate of 0.5 leaves 1.9 of board.
    let rim = build(&text("[magnets.left]\nthickness = 1.5\ninset = 8\n"));
    let over = |b: &Built, what: &str| {
        b.fit().magnets[0].layers.iter().find(|l| l.what == what).map_or(0.0, |l| l.thickness.to_mm())
    };
    assert!(near(over(&rim, "turn-in"), 0.35), "{:?}", rim.fit().magnets);
    let steel = build(&text("[magnets.left]\nthickness = 1.5\ncounterpart = 'steel'\nplate_diameter = 14\n"));
    assert!(near(over(&steel, "board"), 1.9) && steel.fit().magnets[0].plates == 2, "{:?}", steel.fit().magnets);
    assert!(near(steel.piece("board-flap-right").pockets[0].outline.bounds().width(), 14.2));
    // What cannot be.
    let said = |more: &str| build(&text(more)).errors().join(" ");
    assert_eq!(said("[magnets.right]\n"), "magnet-over-nothing");
    assert_eq!(said("[magnets.left]\ninset = 80\n"), "magnet-over-nothing");
    assert_eq!(said("[magnets.left]\ninset = 4\n"), "magnet-off-board magnet-off-board");
    assert_eq!(said("[magnets.left]\nthickness = 3\n"), "pocket-too-deep");
    // Four of 44.2 across, 45 from middle to middle: three pairs of neighbours in either lid.
    assert_eq!(said("[magnets.left]\ndiameter = 44\ncount = 4\ninset = 25\n"), ["cuts-meet"; 6].join(" "));
}

/// A random job with random ties and magnets, where it is one of hinged boards with a lid.
pub(crate) fn random(seed: u64) -> Option<String> {
    let text = proved::job(seed);
    let sides: Vec<&str> =
        ["left", "right", "head", "tail"].into_iter().filter(|s| text.contains(&format!("[flap.{s}]"))).collect();
    if sides.is_empty() || !text.contains("hinged-boards") {
        return None;
    }
    let mut d = Dice(seed ^ 0x71E5_0F1A);
    let mut pick = |low: f64, high: f64| {
        let share = (d.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let mut more = String::new();
    // Mostly for the lid that closes last, on which they can be; now and then for any.
    let tier = |side: &str| -> u32 {
        let of = text.split(&format!("[flap.{side}]")).nth(1).and_then(|t| t.split("tier = ").nth(1));
        of.and_then(|t| t.lines().next()).and_then(|t| t.trim().parse().ok()).unwrap_or(0)
    };
    let last = sides.iter().map(|s| tier(s)).max().unwrap_or(0);
    let any = pick(0.0, 1.0) < 0.15;
    let what = pick(0.0, 3.0);
    for side in sides.into_iter().filter(|s| any || tier(s) == last) {
        if what < 2.0 {
            let to = ["auto", "auto", "auto", "wall", "lid", "base"][pick(0.0, 5.99) as usize];
            more.push_str(&format!(
                "[ties.{side}]\nwidth = {}\nthickness = {}\ncount = {}\ninset = {}\ntail = {}\nto = '{to}'\n",
                pick(3.0, 14.0),
                pick(0.1, 0.6),
                pick(1.0, 2.99) as u32,
                pick(3.0, 25.0),
                pick(5.0, 25.0),
            ));
            if seed.is_multiple_of(3) {
                more.push_str("fasten = 'peg'\n");
            }
        }
        if what > 1.6 {
            let steel = if pick(0.0, 1.0) < 0.4 { "counterpart = 'steel'\nplate_thickness = 0.2\n" } else { "" };
            more.push_str(&format!(
                "[magnets.{side}]\ndiameter = {}\nthickness = {}\ncount = {}\ninset = {}\n{steel}",
                pick(4.0, 12.0),
                pick(0.3, 1.5),
                pick(1.0, 3.99) as u32,
                pick(6.0, 25.0),
            ));
        }
    }
    Some(format!("{text}{more}"))
}

/// A slot so short that a bit is through the stock on much of it while it still goes down its ramp.
const KEPT: [u64; 1] = [654];

/// What is exported is proved; what is not says why. More of them: `FLAPWRIGHT_CLOSINGS_JOBS=2000`.
#[test]
fn random_ties_and_magnets_are_refused_with_a_reason_or_proved() {
    let from = proved::setting("FLAPWRIGHT_CLOSINGS_FROM", 0);
    let count = proved::setting("FLAPWRIGHT_CLOSINGS_JOBS", 160);
    let mut closed = 0;
    let (proved, faults) = proved::exported_and_proved("closings", (from..from + count).chain(KEPT), random, |out| {
        let manifest: Value = serde_json::from_slice(&std::fs::read(out.join("manifest.json")).unwrap()).unwrap();
        closed += usize::from(!manifest["fit"]["ties"].is_null() || !manifest["fit"]["magnets"].is_null());
    });
    println!("{proved} of {count} jobs were written and proved, {closed} of them with ties or magnets");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(closed > 3 || count < 160, "only {closed} with ties or magnets");
}

/// Whatever is written, nothing panics, and what is refused is refused by an error with a hint.
#[test]
fn random_ties_and_magnets_never_panic() {
    let (mut good, mut all) = (0, 0);
    for seed in 1000..1600 {
        let Some(text) = random(seed) else { continue };
        let (job, said) = job::read(&Source { name: "job.toml".into(), text });
        let Some(job) = job else {
            assert!(any_error(&said), "{seed}");
            continue;
        };
        let (design, mut said) = design(&job);
        if !any_error(&said) {
            said.extend(fit(&job, &design).1);
        }
        all += 1;
        good += usize::from(!any_error(&said));
        assert!(said.iter().filter(|d| d.is_error()).all(|d| d.hint.is_some()), "{seed}: {said:#?}");
    }
    println!("{good} of {all} can be made");
    assert!(all > 200 && good > 10, "{good} of {all}");
}

/// A sample, what is done to its manifest in words, and the deed.
type Change<'a> = (&'a str, &'a str, &'a dyn Fn(&mut Value));

/// Each figure that the boards can say is changed once, and each change is found.
#[test]
fn what_is_said_of_ties_and_magnets_is_held_against_the_boards() {
    let changes: [Change<'_>; 13] = [
        ("samphire-folder", "ribbons more", &|m| m["fit"]["ties"][0]["ribbons"] = 6.into()),
        ("samphire-folder", "ribbons longer", &|m| m["fit"]["ties"][0]["length"] = 300.into()),
        ("samphire-folder", "to the base", &|m| m["fit"]["ties"][0]["to"] = "base".into()),
        ("samphire-folder", "a way that is too long", &|m| m["fit"]["ties"][0]["way"] = 900.into()),
        ("samphire-folder", "no ties", &|m| m["fit"]["ties"] = Value::Array(Vec::new())),
        ("bladderwrack-case", "a magnet more", &|m| m["fit"]["magnets"][0]["count"] = 3.into()),
        ("bladderwrack-case", "no plates", &|m| m["fit"]["magnets"][0]["plates"] = 0.into()),
        ("bladderwrack-case", "nearer", &|m| m["fit"]["magnets"][0]["gap"] = 1.into()),
        ("cockle-portfolio", "pegs more", &|m| m["fit"]["ties"][0]["pegs"]["count"] = 2.into()),
        ("cockle-portfolio", "a thick peg", &|m| m["fit"]["ties"][0]["pegs"]["diameter"] = 40.into()),
        ("cockle-portfolio", "a short peg", &|m| m["fit"]["ties"][0]["pegs"]["length"] = 12.into()),
        ("cockle-portfolio", "a short loop", &|m| m["fit"]["ties"][0]["pegs"]["loop_length"] = 12.into()),
        ("cockle-portfolio", "a short ribbon", &|m| m["fit"]["ties"][0]["length"] = 50.into()),
    ];
    for sample in ["samphire-folder", "bladderwrack-case", "cockle-portfolio"] {
        let files = crate::common::proof::export(sample, &[], &format!("closings-{sample}"));
        assert_eq!(told(&verify_folder(&files)), [""; 0], "{sample}");
        for (_, what, change) in changes.iter().filter(|c| c.0 == sample) {
            let mut damaged = files.clone();
            let mut manifest: Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
            change(&mut manifest);
            damaged.insert("manifest.json".into(), serde_json::to_vec(&manifest).unwrap());
            assert!(!told(&verify_folder(&damaged)).is_empty(), "{sample}: {what} is not found");
        }
    }
}
