//! Slipcases: worked by hand, random ones set together and covered by a reference that shares no code, made by a hand
//! that is out, exported and proved.

#![allow(
    clippy::panic,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot read its job stops there"
)]

use crate::common::built::{Built, job_of, near};
use crate::common::dice::Dice;
use crate::common::references::python;
use crate::proved;
use flapwright::design::{design, slipcase};
use flapwright::diag::{Diagnostic, Source, any_error};
use flapwright::fit::{closing, fit};
use flapwright::job::{self, Side};
use flapwright::write::manifest::pieces_as_json;
use serde_json::{Value, json};

fn build(text: &str) -> Built {
    let job = job_of(text);
    let (design, mut said) = design(&job);
    let (fit, more) = fit(&job, &design);
    if !any_error(&said) {
        said.extend(more);
    }
    Built { job, design, fit, said }
}

impl Built {
    /// What the reference is told of it.
    fn told(&self) -> Value {
        let asked = self.job.slipcase.unwrap();
        let word = |is_outside: bool| if is_outside { "outside" } else { "inside" };
        let c = &self.job.contents;
        let mut works = [c.width, c.height].map(|l| l.to_mm());
        if matches!(asked.open, Side::Head | Side::Tail) {
            works.swap(0, 1);
        }
        let thickness = |s: &Option<job::Stock>| s.as_ref().map_or(0.0, |s| s.thickness.to_mm());
        json!({
            "pieces": pieces_as_json(&self.design.pieces).unwrap(),
            "open": asked.open.word(),
            "faces": word(asked.faces_outside),
            "back": word(asked.back_outside),
            "contents": [works[0], works[1], c.depth.to_mm()],
            "stands_out": asked.stands_out.to_mm(),
            "notch": asked.notch.map(|(w, d)| [w.to_mm(), d.to_mm()]),
            "board": self.job.board.thickness.to_mm(),
            "cloth": thickness(&self.job.cloth),
            "liner": thickness(&self.job.liner),
            "turn_in": self.job.covering.turn_in.to_mm(),
        })
    }
}

/// A case for works of 100 x 150 x 20, with these settings.
fn case(slipcase: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 100\nheight = 150\ndepth = 20\n\
         clearance = {{ width = 1, height = 2, depth = 1.5 }}\n[board]\nthickness = 2\n\
         sheet = {{ width = 700, height = 1000 }}\n[cloth]\nthickness = 0.3\n[liner]\nthickness = 0.2\n\
         [box]\nconstruction = 'slipcase'\n[slipcase]\n{slipcase}\n"
    )
}

/// Worked by hand, every layer written down; derived.
#[test]
fn a_case_worked_by_hand() {
    // From face to face 21.5 + 0.4 + 0.6, from end to end 152 + 0.4 + 0.6; from the back's board to the mouth
    // 101 + 0.2 - 0.3. Faces a board longer at the back and two boards wider.
    let b = build(&case(""));
    near(b.size("board-face"), [102.9, 157.0]);
    near(b.size("board-back"), [22.5, 157.0]);
    near(b.size("board-end"), [100.9, 22.5]);
    // The lining: off the glue by 0.5, and by its own thickness where another stands across from it; to the mouth.
    near(b.size("liner-face"), [100.9 - 0.7, 153.0 - 1.4]);
    near(b.size("liner-back"), [21.5, 152.0]);
    near(b.size("liner-end"), [100.9 - 0.7, 21.5]);
    // The cloth: two faces and a back of 26.5, two bends, and the turn-in at either end; the flap of the upper face
    // goes over an end but for 1.5.
    let bend = std::f64::consts::FRAC_PI_4 * 0.3;
    near(b.size("cloth-cover"), [2.0 * 102.9 + 26.5 + 2.0 * bend + 32.0, 157.0 + 2.0 * (bend + 26.5 - 1.5)]);
    // Outside: a cloth on the back, two about the mouth; two on either end; one on either face.
    let exterior = b.fit.exterior.map(|l| l.to_mm());
    near([exterior[0], exterior[1]], [102.9 + 0.9, 157.0 + 1.2]);
    assert!((exterior[2] - (26.5 + 0.6)).abs() < 1e-6, "{exterior:?}");
    near([b.fit.interior[1].to_mm(), b.fit.interior[2].to_mm()], [152.0, 21.5]);
    assert!(!any_error(&b.said), "{:#?}", b.said);

    // The back between the ends: these go to the rear.
    let b = build(&case("back = 'inside'"));
    near(b.size("board-back"), [22.5, 153.0]);
    near(b.size("board-end"), [102.9, 22.5]);
    near(b.size("board-face"), [102.9, 157.0]);
    // The faces between the others: these are higher by two boards.
    let b = build(&case("faces = 'inside'"));
    near(b.size("board-face"), [100.9, 153.0]);
    near(b.size("board-back"), [26.5, 157.0]);
    near(b.size("board-end"), [100.9, 26.5]);
    // Open at the head: 152 along the way in, 101 across.
    let b = build(&case("open = 'head'"));
    near(b.size("board-face"), [101.0 + 1.0 + 4.0, 152.0 + 0.2 - 0.3 + 2.0]);
    near(b.size("board-end"), [22.5, 151.9]);
    // What stands out is not in the case.
    let b = build(&case("stands_out = 6"));
    near(b.size("board-face"), [96.9, 157.0]);
    // A notch 30 wide: a strip as long as its half round, as wide as the board, a bend and 4.
    let b = build(&case("notch_width = 30"));
    near(b.size("cloth-notch"), [15.0 * std::f64::consts::PI, 2.0 + bend + 4.0]);
    assert!((b.fit.exterior[2].to_mm() - (26.5 + 1.2)).abs() < 1e-6, "the strips lie under the cloth");
    assert!(!any_error(&b.said), "{:#?}", b.said);
}

/// A random slipcase, as text.
fn random(seed: u64) -> String {
    let mut dice = Dice(seed ^ 0x511C_A5E0);
    let mut within = |low: f64, high: f64| {
        let share = (dice.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 100.0).round() / 100.0
    };
    let (w, h, d) = (within(60.0, 330.0), within(60.0, 330.0), within(4.0, 70.0));
    let room = [within(0.0, 3.0), within(0.5, 4.0), within(0.5, 3.0)];
    let (t, c, l) = (within(1.0, 3.5), within(0.15, 0.6), within(0.12, 0.4));
    let liner = if within(0.0, 1.0) < 0.7 { format!("[liner]\nthickness = {l}\n") } else { String::new() };
    let of = |words: &[&'static str], share: f64| words[((share * words.len() as f64) as usize).min(words.len() - 1)];
    let open = of(&["right", "left", "head", "tail"], within(0.0, 1.0));
    let faces = of(&["outside", "outside", "inside"], within(0.0, 1.0));
    let back = of(&["outside", "inside"], within(0.0, 1.0));
    let stands_out = if within(0.0, 1.0) < 0.3 { within(0.0, 12.0) } else { 0.0 };
    let notch = match within(0.0, 3.0) {
        x if x < 1.0 => String::new(),
        x if x < 2.0 => format!("notch_width = {}\n", within(16.0, 50.0)),
        _ => {
            let width = within(16.0, 60.0);
            format!("notch_width = {width}\nnotch_depth = {}\n", (width * within(0.15, 0.5) * 100.0).round() / 100.0)
        }
    };
    let (turn_in, by) = (within(11.0, 22.0), of(&["hand", "machine"], within(0.0, 1.0)));
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = {w}\nheight = {h}\ndepth = {d}\n\
         clearance = {{ width = {}, height = {}, depth = {} }}\n[board]\nthickness = {t}\n\
         sheet = {{ width = 560, height = 760 }}\n[cloth]\nthickness = {c}\nsheet = {{ width = 900, height = 900 }}\n\
         {liner}[box]\nconstruction = 'slipcase'\n[slipcase]\nopen = '{open}'\nfaces = '{faces}'\nback = '{back}'\n\
         stands_out = {stands_out}\n{notch}[covering]\nturn_in = {turn_in}\n[making]\nby = '{by}'\n",
        room[0], room[1], room[2]
    )
}

/// What a slipcase is refused for can be mended.
const KNOWN: [&str; 6] =
    ["turn-in-too-short", "case-too-shallow", "case-too-thin", "notch-too-wide", "notch-too-deep", "notch-too-small"];

/// Lining and cloth that come to just as much as a blade can cut, 0.4 mm.
const HARD: [u64; 1] = [463];

/// Source: the reference's own derivation, from the pieces alone. More of them: `FLAPWRIGHT_SLIPCASES=4000`.
#[test]
fn random_cases_hold_their_works() {
    let (from, count) = (proved::setting("FLAPWRIGHT_SLIPCASES_FROM", 0), proved::setting("FLAPWRIGHT_SLIPCASES", 120));
    let built: Vec<(u64, Built)> = (from..from + count)
        .chain(HARD)
        .map(|seed| (seed, build(&random(seed))))
        .filter(|(seed, b)| {
            let errors: Vec<&Diagnostic> = b.said.iter().filter(|d| d.is_error()).collect();
            let is_told = |d: &&Diagnostic| KNOWN.contains(&d.code) && d.hint.is_some();
            assert!(errors.iter().all(is_told), "{seed}: {:#?}\n{}", b.said, random(*seed));
            errors.is_empty()
        })
        .collect();
    println!("{} of {count} can be made", built.len());
    assert!(built.len() as u64 > count * 3 / 4, "only {} of {count} can be made", built.len());
    let told: Vec<Value> = built.iter().map(|(_, b)| b.told()).collect();
    let Some(seen) = python("fold_slipcase.py", &[], &Value::Array(told)) else { return };
    let wrong = built.iter().zip(seen.as_array().unwrap()).filter(|(_, seen)| seen["wrong"] != json!([]));
    let wrong: Vec<String> = wrong.map(|((seed, _), seen)| format!("{seed}: {}", seen["wrong"])).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for ((seed, b), seen) in built.iter().zip(seen.as_array().unwrap()) {
        let about = || format!("{seed}: {seen}\n{}", random(*seed));
        let of = |key: &str| -> [f64; 3] { [0, 1, 2].map(|i| seen[key][i].as_f64().unwrap()) };
        let turned = |mut all: [f64; 3]| {
            if matches!(b.job.slipcase.unwrap().open, Side::Head | Side::Tail) {
                all.swap(0, 1);
            }
            all
        };
        let (interior, exterior) = (turned(of("interior")), turned(of("exterior")));
        for i in 0..3 {
            assert!((interior[i] - b.fit.interior[i].to_mm()).abs() < 1e-6, "{}", about());
            assert!((exterior[i] - b.fit.exterior[i].to_mm()).abs() < 1e-6, "{:?} {}", b.fit.exterior, about());
        }
        let m = slipcase(&b.job).unwrap();
        assert!(m.boards.iter().zip(of("boards")).all(|(a, b)| (a - b).abs() < 1e-6), "{}", about());
    }
}

/// The reference finds what is wrong with pieces: each is made a millimetre or so other than it is.
#[test]
fn the_reference_notices_damages() {
    let b = build(&case("notch_width = 30"));
    let damaged = |change: &dyn Fn(&mut Value)| {
        let mut told = b.told();
        change(&mut told);
        told
    };
    fn piece<'a>(told: &'a mut Value, id: &str) -> &'a mut Value {
        told["pieces"].as_array_mut().unwrap().iter_mut().find(|p| p["id"] == id).unwrap()
    }
    /// Vertices beyond a line are moved.
    fn moved(told: &mut Value, id: &str, axis: usize, beyond: f64, by: f64) {
        for v in piece(told, id)["outline"].as_array_mut().unwrap() {
            let at = v[axis].as_f64().unwrap();
            if (at - beyond) * beyond.signum() > 0.0 {
                v[axis] = json!(at + by);
            }
        }
    }
    let all = [
        ("whole", damaged(&|_| ())),
        ("a back too short", damaged(&|t| moved(t, "board-back", 1, 0.1, -1.0))),
        ("an end too high", damaged(&|t| moved(t, "board-end", 1, 80.0, 1.0))),
        ("a face too wide", damaged(&|t| moved(t, "board-face", 1, 10.0, 1.0))),
        ("lining under the glue", damaged(&|t| moved(t, "liner-face", 1, 10.0, 1.0))),
        ("a flap too short", damaged(&|t| moved(t, "cloth-cover", 1, 95.0, -4.0))),
        (
            "no flap beneath",
            damaged(&|t| {
                // The lower face's flap is as wide as the turn-in, past a bend.
                let at = 78.5 + std::f64::consts::FRAC_PI_4 * 0.3 + 16.0;
                for v in piece(t, "cloth-cover")["outline"].as_array_mut().unwrap() {
                    let y = v[1].as_f64().unwrap();
                    if (y - at).abs() < 0.01 {
                        v[1] = json!(y - 15.0);
                    }
                }
            }),
        ),
        ("cloth short at the mouth", damaged(&|t| moved(t, "cloth-cover", 0, 60.0, -13.0))),
        ("a strip too short", damaged(&|t| moved(t, "cloth-notch", 0, 80.0, -3.0))),
        ("works too thick", damaged(&|t| t["contents"][2] = json!(22.0))),
        ("thicker cloth", damaged(&|t| t["cloth"] = json!(1.3))),
    ];
    let told: Vec<Value> = all.iter().map(|a| a.1.clone()).collect();
    let Some(seen) = python("fold_slipcase.py", &[], &Value::Array(told)) else { return };
    for ((what, _), seen) in all.iter().zip(seen.as_array().unwrap()) {
        let is_sound = seen["wrong"] == json!([]);
        assert_eq!(is_sound, *what == "whole", "{what}: {seen}");
    }
}

/// Cases made by a hand that is out: as many take their works as the program says.
#[test]
fn as_many_bind_as_is_said() {
    for (settings, boards) in [("faces = 'outside'", [0.0, 2.0]), ("faces = 'inside'", [2.0, 0.0])] {
        let text = case(settings).replace("height = 2, depth = 1.5", "height = 0.6, depth = 0.4");
        let b = build(&text);
        let mut dice = Dice(91);
        // A normal number: twelve even ones less six (their variance is one).
        let mut normal = || (0..12).map(|_| (dice.next() >> 11) as f64 / (1u64 << 53) as f64).sum::<f64>() - 6.0;
        let (cut, board) = (0.25, 2.0 * 0.05 / 2.0);
        let draws = 200_000;
        let goes = (0..draws)
            .filter(|_| {
                let thicker = board * normal();
                // Two edges of the back, and of a face.
                let mut left = |room: f64, boards: f64| room - boards * thicker + cut * (normal() + normal());
                left(0.4, boards[0]) >= 0.0 && left(0.6, boards[1]) >= 0.0
            })
            .count();
        let (said, seen) = (closing(&b.job, &b.design), goes as f64 / f64::from(draws));
        assert!((said.share - seen).abs() < 0.004, "said {said:?}, seen {seen}");
        let first = said.first.unwrap();
        let mend = first.mend.unwrap();
        assert!(mend.key.starts_with("contents.clearance.") && mend.share > said.share, "{mend:?}");
        assert!(b.said.iter().any(|d| d.code == "closes-unsurely" && d.hint.is_some()), "{:#?}", b.said);
    }
}

#[test]
fn what_cannot_be_made_is_told() {
    let has = |text: &str, code: &str, place: &str, is_error: bool| {
        let (job, mut said) = job::read(&Source { name: "job.toml".into(), text: text.into() });
        let mut found = said.clone();
        if let Some(job) = job {
            let (design, more) = design(&job);
            said.extend(more.clone());
            found = more;
            if !any_error(&said) {
                found.extend(fit(&job, &design).1);
            }
            found.extend(said);
            // Places of what is read are spans: only the code is asked there.
        }
        let right = |d: &&Diagnostic| {
            let at = format!("{:?}", d.place);
            d.code == code
                && (at.contains(place) || at.contains("Span"))
                && d.is_error() == is_error
                && d.hint.is_some()
        };
        assert!(found.iter().any(|d| right(&d)), "{code} at {place}: {found:#?}");
    };
    has(&case("[covering]\nturn_in = 5"), "turn-in-too-short", "covering.turn_in", true);
    has(&case("stands_out = 85"), "case-too-shallow", "slipcase.stands_out", true);
    has(&case("[covering]\nturn_in = 110"), "case-too-shallow", "covering.turn_in", true);
    has(&case("notch_width = 140"), "notch-too-wide", "slipcase.notch_width", true);
    has(&case("notch_width = 30\nnotch_depth = 16"), "notch-too-deep", "slipcase.notch_depth", true);
    has(&case("notch_width = 130"), "notch-too-deep", "slipcase.notch_width", true);
    has(&case("notch_width = 8"), "notch-too-small", "slipcase.notch_width", true);
    let thin = case("").replace("depth = 20", "depth = 0.5").replace("thickness = 2\n", "thickness = 0.5\n");
    has(&thin.replace("depth = 1.5", "depth = 0.1"), "case-too-thin", "contents.depth", true);
    has(&case("notch_depth = 5"), "no-notch", "", false);
    has(&case("[strap]"), "no-strap-here", "", false);
    has(&case("[flap.left]\ntier = 1\nreach = 50"), "no-lids-here", "", false);
    has(&case("[title_label]\nwidth = 40\nheight = 20"), "no-label-here", "", false);
    has(&case("[ties.left]"), "no-closings-here", "", true);
    has(&case("stands_out = -1"), "negative", "", true);
    has(&case("[box2]").replace("[box]\n", "[box]\njoint = 3\n").replace("[box2]\n", ""), "unused-key", "", false);
}

/// What is exported is proved; what is not says why. More of them: `FLAPWRIGHT_SLIPCASES_PROVED=2000`.
#[test]
fn random_cases_are_refused_with_a_reason_or_proved() {
    let from = proved::setting("FLAPWRIGHT_SLIPCASES_FROM", 0);
    let count = proved::setting("FLAPWRIGHT_SLIPCASES_PROVED", 12);
    let (proved, faults) =
        proved::exported_and_proved("slipcases", from..from + count, |seed| Some(random(seed)), |_| ());
    println!("{proved} of {count} slipcases were written and proved");
    assert!(faults.is_empty(), "{} of {proved} not proved\n{}", faults.len(), faults.join("\n"));
    assert!(proved * 2 > count, "only {proved} of {count} were written");
}
