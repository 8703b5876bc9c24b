//! What holds of every piece of every job, whatever its shape.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use flapwright::design::{Design, design};
use flapwright::diag::{Source, any_error};
use flapwright::geom::{Contour, first_self_crossing};
use flapwright::job::{self, Job, StockKind};
use flapwright::nest::nest;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

const SAMPLES: [(&str, &str); 3] = [
    ("tideline-folio", include_str!("../samples/tideline-folio.toml")),
    ("rockpool-folder", include_str!("../samples/rockpool-folder.toml")),
    ("dulse-atlas", include_str!("../samples/dulse-atlas.toml")),
];

fn job_of(text: &str) -> Option<Job> {
    job::read(&Source { name: "job.toml".into(), text: text.into() }).0
}

/// Every contour closed by its form, simple, and run the right way; holes and pockets inside.
fn check_pieces(name: &str, design: &Design) {
    for p in &design.pieces {
        let whole = |what: &str, c: &Contour| {
            assert!(c.vertices().len() >= 2, "{name} {}: {what} is nothing", p.id);
            assert_eq!(first_self_crossing(c), None, "{name} {}: {what} crosses itself", p.id);
            assert!(
                c.segments().all(|s| s.bulge.abs() <= 1.0 + 1e-12),
                "{name} {}: {what} has an arc over a half circle",
                p.id
            );
        };
        whole("outline", &p.outline);
        assert!(p.outline.is_ccw(), "{name} {}: outline runs clockwise", p.id);
        for hole in &p.holes {
            whole("hole", hole);
            assert!(!hole.is_ccw(), "{name} {}: hole runs counter-clockwise", p.id);
            assert!(hole.vertices().iter().all(|v| p.outline.contains(v.point())), "{name} {}: hole outside", p.id);
        }
        for pocket in &p.pockets {
            whole("pocket", &pocket.outline);
            assert!(pocket.outline.is_ccw());
            assert!(pocket.outline.vertices().iter().all(|v| p.outline.contains(v.point())));
        }
    }
}

#[test]
fn pieces_of_the_samples_are_sound_and_placing_keeps_their_area() {
    for (name, text) in SAMPLES {
        let job = job_of(text).unwrap();
        let (design, said) = design(&job);
        assert!(!any_error(&said), "{said:?}");
        check_pieces(name, &design);
        let (sheets, _) = nest(&design.pieces, &job);
        for kind in StockKind::ALL {
            let needed: f64 = design
                .pieces
                .iter()
                .filter(|p| p.stock == kind)
                .map(|p| p.outline.area() * f64::from(p.count * job.copies))
                .sum();
            let placed: f64 = sheets
                .iter()
                .filter(|s| s.stock == kind)
                .flat_map(|s| &s.placed)
                .map(|at| design.pieces[at.piece].outline.transformed(&at.transform).area())
                .sum();
            assert!((needed - placed).abs() < 1e-6 * needed.max(1.0), "{name} {}: {needed} {placed}", kind.word());
        }
    }
}

/// One lid of a random job, as lines of its table.
fn lid() -> impl Strategy<Value = String> {
    (5u32..100, 0u8..3, 0.0..20.0f64, 0.0..15.0f64).prop_map(|(reach, shape, amount, radius)| {
        let shape = match shape {
            0 => "shape = 'square'".to_owned(),
            1 => format!("shape = 'taper'\ntaper = {amount:.2}"),
            _ => format!("shape = 'bow'\nbow = {amount:.2}"),
        };
        format!("reach = '{reach} %'\n{shape}\ncorner_radius = {radius:.2}\n")
    })
}

fn random_job() -> impl Strategy<Value = String> {
    let size = (30.0..600.0f64, 30.0..600.0f64, 2.0..60.0f64, 0.8..4.0f64);
    (
        size,
        prop::option::of(lid()),
        prop::option::of(lid()),
        prop::option::of(lid()),
        prop::option::of(lid()),
        8.0..30.0f64,
    )
        .prop_map(|((w, h, d, t), head, tail, left, right, turn_in)| {
            let mut text = format!(
                "format = 1\ntitle = 'Random'\n[contents]\nwidth = {w:.2}\nheight = {h:.2}\ndepth = {d:.2}\n\
                 [board]\nthickness = {t:.2}\nsheet = {{ width = 5000, height = 5000 }}\n\
                 [cloth]\nthickness = 0.35\nsheet = {{ width = 9000, height = 9000 }}\n\
                 [liner]\nthickness = 0.25\nsheet = {{ width = 9000, height = 9000 }}\n\
                 [covering]\nturn_in = {turn_in:.2}\n"
            );
            for (tier, (side, lid)) in [("tail", tail), ("head", head), ("right", right), ("left", left)]
                .into_iter()
                .filter_map(|(s, l)| Some((s, l?)))
                .enumerate()
            {
                text += &format!("[flap.{side}]\ntier = {}\n{lid}", tier + 1);
            }
            text
        })
}

/// A random job is refused with reasons, or gives pieces that are sound.
#[test]
fn pieces_of_random_jobs_are_sound() {
    const CASES: u32 = 2000;
    let mut runner =
        TestRunner::new(ProptestConfig { cases: CASES, failure_persistence: None, ..ProptestConfig::default() });
    let sound = std::cell::Cell::new(0);
    let tried = runner.run(&random_job(), |text| {
        if let Some(job) = job_of(&text) {
            let (design, said) = design(&job);
            if !any_error(&said) {
                check_pieces("random", &design);
                sound.set(sound.get() + 1);
            }
        }
        Ok(())
    });
    assert!(tried.is_ok(), "{tried:?}");
    // Derived: lids with a taper of up to 30 degrees or a deep arc are often refused, the others are not.
    assert!(sound.get() > CASES / 4, "only {} of {CASES} jobs were made", sound.get());
}
