//! How surely a box closes: the stated share against boxes made one by one, with their own errors.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that cannot read its job stops there")]

use crate::common::dice::Dice;
use crate::common::random_job::RandomJob;
use flapwright::design::{Design, design, thicknesses};
use flapwright::diag::{Source, any_error};
use flapwright::fit::{Failing, closing_by_marks, fit};
use flapwright::job::{self, Job, Seat, Side};
use flapwright::units::Unit;

/// How many boxes are made of each job.
const BOXES: u32 = 200_000;

fn build(text: &str) -> (Job, Design, f64) {
    let (job, told) = job::read(&Source { name: "job.toml".into(), text: text.into() });
    let job = job.unwrap_or_else(|| panic!("{told:#?}"));
    let (design, said) = design(&job);
    assert!(!any_error(&said), "{said:#?}");
    let share = fit(&job, &design).0.closing.share;
    (job, design, share)
}

fn text(more: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 210\nheight = 297\ndepth = 12\n\
         clearance = {{ width = 2, height = 2, depth = 1 }}\n[board]\nthickness = 2.5\n\
         sheet = {{ width = 1000, height = 1400 }}\n[cloth]\nthickness = 0.35\n[liner]\nthickness = 0.25\n{more}"
    )
}

const TWO: &str = "[flap.right]\ntier = 1\nreach = '60 %'\n[flap.left]\ntier = 2\nreach = '97 %'\n";
const FOUR: &str = "[flap.tail]\ntier = 1\nreach = '45 %'\n[flap.head]\ntier = 1\nreach = '45 %'\n\
                    [flap.right]\ntier = 2\nreach = '60 %'\n[flap.left]\ntier = 3\nreach = '97 %'\n";

/// A normal error by the polar method (Marsaglia and Bray, 1964).
pub(crate) fn normal(dice: &mut Dice) -> f64 {
    loop {
        let unit = |d: &mut Dice| (d.next() >> 11) as f64 / (1u64 << 53) as f64 * 2.0 - 1.0;
        let (x, y) = (unit(dice), unit(dice));
        let s = x * x + y * y;
        if s > 0.0 && s < 1.0 {
            return x * (-2.0 * s.ln() / s).sqrt();
        }
    }
}

/// One side of a box as it came out.
struct Made {
    side: Side,
    /// The widths of its two joints.
    joints: [f64; 2],
    wall: f64,
    /// How far its lid reaches, and how far its two sides stand out beyond where they should.
    reach: f64,
    out: [f64; 2],
}

/// Makes one box by hand: every edge cut, every joint spaced, one board for all; and tries to close it.
/// Written after what happens at the bench, and not after the program: nothing but the design's nominal
/// measures is taken from it.
/// Every edge is besides off by anything up to half of `step`, as it is where it is marked at the nearest line of a rule.
fn closes(job: &Job, design: &Design, step: f64, dice: &mut Dice) -> bool {
    let thick = thickness(job, dice);
    closes_patched(job, design, step, |_| 0.0, thick, dice)
}

/// How thick the board of one box is, mm.
fn thickness(job: &Job, dice: &mut Dice) -> f64 {
    job.board.thickness.to_mm() * (1.0 + job.making.board / 2.0 * normal(dice))
}

/// The same of a box whose board is so thick, mm.
pub(crate) fn closes_of(job: &Job, design: &Design, thick: f64, dice: &mut Dice) -> bool {
    closes_patched(job, design, 0.0, |_| 0.0, thick, dice)
}

/// The same where at this lid's sides so much more lies between it and the walls beside it than the cloth of each and
/// the walls' liner: patches.
fn closes_patched(
    job: &Job,
    design: &Design,
    step: f64,
    more: impl Fn(Side) -> f64,
    thick: f64,
    dice: &mut Dice,
) -> bool {
    let m = &design.measures;
    let (t, c, l) = thicknesses(job);
    let (t, c, l) = (t.to_mm(), c.to_mm(), l.to_mm());
    let cut = job.making.cut.to_mm() / 2.0;
    let spacer = job.making.spacer.to_mm() / 2.0;
    let edge = |dice: &mut Dice| {
        let marked = if step > 0.0 { step * ((dice.next() >> 11) as f64 / (1u64 << 53) as f64 - 0.5) } else { 0.0 };
        cut * normal(dice) + marked
    };
    let is_on_base = job.build.seat == Seat::OnBase;
    let base: Vec<(Side, f64)> = Side::ALL.map(|s| (s, edge(dice))).to_vec();
    let base_edge = |side: Side| base.iter().find(|b| b.0 == side).unwrap().1;
    let all: Vec<Made> = job
        .flaps
        .keys()
        .map(|side| Made {
            side: *side,
            joints: [(); 2].map(|()| m.joint.to_mm() + spacer * normal(dice)),
            wall: m.walls[side].to_mm() + edge(dice) + edge(dice),
            reach: m.reach[side].to_mm() + edge(dice) + edge(dice),
            out: [edge(dice), edge(dice)],
        })
        .collect();
    let passes = m.joint_thickness.to_mm() + (thick - t);
    for made in &all {
        // Every joint must pass what lies in it.
        if made.joints.iter().any(|g| *g < passes - 1e-9) {
            return false;
        }
        // The wall, and what its joints add by standing aslant, must reach over the measured stack.
        let lower = f64::from(m.lower_tiers[&made.side]);
        let rise: f64 =
            made.joints.iter().map(|g| if is_on_base { g - passes } else { (g * g - passes * passes).sqrt() }).sum();
        let boards = if is_on_base { lower } else { lower + 2.0 };
        let needed = m.needed[&made.side].to_mm() - job.contents.clearance.depth.to_mm() + boards * (thick - t);
        if made.wall + rise < needed - 1e-9 {
            return false;
        }
        for (k, beside) in Side::ALL.into_iter().filter(|s| *s != made.side && *s != made.side.opposite()).enumerate() {
            let Some(wall) = all.iter().find(|w| w.side == beside) else { continue };
            if m.lower_tiers[&beside] < m.lower_tiers[&made.side] {
                continue;
            }
            // From the edge of the base to the dressed inside of the wall, and to the lid's dressed side.
            let inside = if is_on_base { l + c - (thick - t) } else { wall.joints[0] - thick } - (c + l);
            if base_edge(beside) + inside < made.out[k] - m.flap_inset.to_mm() + c + more(made.side) - 1e-9 {
                return false;
            }
        }
        let Some(across) = all.iter().find(|w| w.side == made.side.opposite()) else { continue };
        if m.lower_tiers[&across.side] <= lower as u32 || is_on_base {
            continue;
        }
        // The lid turns about its wall's outer upper edge: its own foot joint out, its lid joint in again.
        let interior = job.contents.along(made.side).to_mm() + base_edge(made.side) + base_edge(across.side);
        let room = made.joints[0] + interior + across.joints[0] - thick - (c + l);
        let long = made.joints[1] + made.reach + c;
        if room < long.hypot(thick + c + l + c) - 1e-9 {
            return false;
        }
    }
    true
}

#[test]
fn the_stated_share_is_that_of_200_000_boxes_made_one_by_one() {
    let thick = |text: &str| text.replace("thickness = 2.5", "thickness = 3.2");
    let jobs = [
        ("two lids, left to the program", text(TWO)),
        ("four lids, left to the program", text(FOUR)),
        ("four lids, joint 3.9", text(&format!("[box]\njoint = 3.9\n{FOUR}"))),
        ("four lids, joint 4.0 by machine", text(&format!("[making]\nby = 'machine'\n[box]\njoint = 4.0\n{FOUR}"))),
        (
            "thick board that differs by a tenth",
            thick(&text(&format!("[making]\nboard = '10 %'\n[box]\njoint = 4.8\n{FOUR}"))),
        ),
        ("walls 4.6 mm low", text(&format!("[box]\nwall_extra = 1.2\njoint = 4.2\n{TWO}"))),
        ("lids with no room beside", text(&format!("[box]\nflap_inset = 0\njoint = 4.4\n{FOUR}"))),
        (
            "a first lid of full reach",
            text(
                "[box]\nflap_inset = 0.2\n[flap.right]\ntier = 2\nreach = '60 %'\n[flap.left]\ntier = 1\nreach = '100 %'\n",
            ),
        ),
        ("walls on the base", text(&format!("[box]\nseat = 'on-base'\nflap_inset = 0.9\n{FOUR}"))),
        ("cut to two millimetres", text(&format!("[making]\ncut = 2\nspacer = 0.6\n[box]\njoint = 4.6\n{TWO}"))),
    ];
    let mut unsure = 0;
    for (i, (name, text)) in jobs.iter().enumerate() {
        let (job, design, stated) = build(text);
        let mut dice = Dice(7_919 * (i as u64 + 1));
        let closed = (0..BOXES).filter(|_| closes(&job, &design, 0.0, &mut dice)).count();
        let counted = closed as f64 / f64::from(BOXES);
        // Twice the error of counting so many is 0.2 percent points at one half.
        assert!((counted - stated).abs() < 0.003, "{name}: {stated} is stated, {counted} counted");
        unsure += usize::from(stated < 0.99);
    }
    assert!(unsure >= 5, "only {unsure} of these jobs say anything");
}

/// Where patches of a lid and of the walls beside it meet, their cloth lies double. Source: derived, as in
/// `folded_boxes::a_lid_that_meets_a_wall_only_at_its_patches_is_refused`: between the boards are the inset, a liner and
/// two cloths, and four cloths lie there; otherwise it is one cloth on the lid, and on the wall a cloth and the liner.
#[test]
fn the_stated_share_counts_patches_beside_a_lid() {
    let text = RandomJob::for_folding(3289).toml(1.0);
    assert!(text.contains("flap_inset = 0.61\n"), "{text}");
    let (job, design, stated) = build(&text.replace("flap_inset = 0.61\n", "flap_inset = 1.2\n"));
    let (_, c, l) = thicknesses(&job);
    let patched = |side: Side| if side == Side::Right { (c - l).to_mm() } else { 0.0 };
    let share = |more: &dyn Fn(Side) -> f64| {
        let mut dice = Dice(3289);
        let closes = |_: &u32| {
            let thick = thickness(&job, &mut dice);
            closes_patched(&job, &design, 0.0, more, thick, &mut dice)
        };
        (0..BOXES).filter(closes).count() as f64 / f64::from(BOXES)
    };
    let counted = share(&patched);
    assert!((counted - stated).abs() < 0.003, "{stated} is stated, {counted} counted");
    assert!(share(&|_| 0.0) - stated > 0.05, "patches matter little here: then the test wants another box");
}

#[test]
fn the_share_of_boxes_cut_by_marks_is_that_of_boxes_rounded_one_by_one() {
    let jobs = [
        ("four lids, left to the program", text(FOUR)),
        ("lids with no room beside", text(&format!("[box]\nflap_inset = 0\njoint = 4.4\n{FOUR}"))),
        ("the same in thirty-seconds", text(&format!("[box]\nflap_inset = '0.02 mm'\njoint = 4.4\n{FOUR}"))),
        ("walls on the base", text(&format!("[box]\nseat = 'on-base'\nflap_inset = 0.7\n{FOUR}"))),
    ];
    let mut worse = 0;
    for (i, (name, text)) in jobs.iter().enumerate() {
        let (mut job, design, exactly) = build(text);
        if name.contains("thirty-seconds") {
            job.units = Unit::Inch;
        }
        let stated = closing_by_marks(&job, &design);
        let mut dice = Dice(104_729 * (i as u64 + 1));
        let step = job.units.bench_step().to_mm();
        let closed = (0..BOXES).filter(|_| closes(&job, &design, step, &mut dice)).count();
        let counted = closed as f64 / f64::from(BOXES);
        assert!((counted - stated).abs() < 0.003, "{name}: {stated} is stated, {counted} counted");
        assert!(stated <= exactly + 1e-6, "{name}: marks do no good");
        worse += usize::from(exactly - stated > 0.01);
    }
    assert!(worse >= 2, "only {worse} of these jobs say anything");
}

#[test]
fn shares_of_the_published_joints() {
    // 200,000 draws, normal, the figures as 2 sigma, 2.5 mm board, cloth 0.35, liner 0.25, two lids: joints of
    // 3.3 always bind, 4.0 in 12 %, 4.2 in 0.4 % of boxes; by machine (spacer 0.1) 4.0 in none (derived).
    let share = |joint: f64, making: &str| {
        let (_, design, share) = build(&text(&format!("[making]\n{making}\n[box]\njoint = {joint}\n{TWO}")));
        assert!((design.measures.joint.to_mm() - joint).abs() < 1e-12);
        1.0 - share
    };
    assert!((share(4.0, "cut = 0.1") - 0.12).abs() < 0.01);
    assert!((share(4.2, "cut = 0.1") - 0.004).abs() < 0.001);
    assert!(share(4.0, "by = 'machine'\nspacer = 0.1") < 0.0005);
    // 3.3 is less than what it must pass, 3.7: no box of these closes, and that is an error.
    let (job, design, closes) = build(&text(&format!("[box]\njoint = 3.3\n{TWO}")));
    assert!(closes < 0.02 && fit(&job, &design).1.iter().any(|d| d.code == "joint-clash"));
}

#[test]
fn the_ease_left_to_the_program_lets_995_of_1000_close_and_a_tenth_less_does_not() {
    for lids in [TWO, FOUR] {
        let (job, design, _) = build(&text(lids));
        let ease = design.measures.ease.to_mm();
        let joints_alone = |ease: f64| {
            let d = flapwright::design::Deviations::of(&job);
            let n = 2 * job.flaps.len() as i32;
            flapwright::design::mean_over(d.board, |x| (1.0 - flapwright::design::binds(ease, x, d.spacer)).powi(n))
        };
        assert!(joints_alone(ease) >= 0.995 && joints_alone(ease - 0.1) < 0.995, "{ease}");
        // Never under what the cloth uses at its bend.
        assert!(ease >= std::f64::consts::FRAC_PI_4 * 0.35);
    }
    // Near 1.6 to 1.7 boards by hand, where rules of thumb are 1.5, 1.67 and 2 (common practice, no source).
    let joint = build(&text(TWO)).1.measures.joint.to_mm();
    assert!((1.6..=1.72).contains(&(joint / 2.5)), "{joint}");
}

#[test]
fn what_fails_first_is_named_with_what_mends_it() {
    let (job, design, share) = build(&text(&format!("[box]\njoint = 3.9\n{FOUR}")));
    let closing = fit(&job, &design).0.closing;
    let first = closing.first.unwrap();
    assert!(matches!(first.what, Failing::FootJoint | Failing::LidJoint) && share < 0.8);
    let mend = first.mend.unwrap();
    assert_eq!(mend.key, "box.joint");
    // Written into the job it does what it says.
    let (_, _, mended) = build(&text(&format!("[box]\njoint = '{}'\n{FOUR}", mend.value)));
    assert!(mended >= 0.994 && (mended - mend.share).abs() < 0.002, "{mended} {}", mend.share);
}
