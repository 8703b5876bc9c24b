//! What the work takes: minutes, days and money against sums made by hand, and what must hold of any plan.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common::dice::Dice;
use crate::common::random_job::RandomJob;
use flapwright::design::{Design, Step, design, steps};
use flapwright::diag::{Source, any_error};
use flapwright::estimate::{
    Asked, Doing, Entry, Estimate, Plan, Run, beside_machines, day_lines, estimate, hours_among_others, stretches,
};
use flapwright::fit::{Bill, Fit, bill, fit};
use flapwright::job::{self, Job, StockKind};
use flapwright::profile::OperationKind;
use std::fmt::Write as _;

/// A job as far as its pieces.
struct Made {
    job: Job,
    design: Design,
    fit: Fit,
    bill: Bill,
}

/// `None` where the box cannot be made.
fn made(text: &str) -> Option<Made> {
    let (job, said) = job::read(&Source { name: "job.toml".into(), text: text.into() });
    let job = job.unwrap_or_else(|| panic!("{said:?}\n{text}"));
    let (design, said) = design(&job);
    let (fit, more) = fit(&job, &design);
    let bill = bill(&job, &design);
    (!any_error(&said) && !any_error(&more)).then_some(Made { job, design, fit, bill })
}

impl Made {
    fn asked<'a>(&'a self, runs: &'a [Run]) -> Asked<'a> {
        Asked {
            job: &self.job,
            design: &self.design,
            strap: self.fit.strap.as_ref(),
            ties: &self.fit.ties,
            glue_m2: self.bill.glue_m2,
            boxes: self.job.copies,
            first: 1,
            sheets: &[],
            runs,
        }
    }

    fn estimate(&self, runs: &[Run]) -> Estimate {
        estimate(&self.asked(runs))
    }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// Two lids across from each other: a base, two walls and two lids of board, one cloth without slits, one liner.
const FOLDER: &str = "format = 1\ntitle = 'Whelk folder'\ncopies = 8\n\
    contents = { width = 148, height = 210, depth = 8 }\n\
    board = { thickness = 2, sheet = { width = 700, height = 1000 } }\n\
    cloth = { thickness = 0.3 }\nliner = { thickness = 0.2 }\n\
    flap.left = { tier = 1, reach = '60 %' }\nflap.right = { tier = 2, reach = '90 %' }\n";
const MINUTES: &str = "[work.minutes]\ncut = [10, 2]\nlay_out = [0, 10]\nglue_down = [5, 2]\ncorner_cuts = [0, 4]\n\
    turn_in = [5, 3]\ndry_covered = [0, 1]\nliner = [5, 6]\npress = [0, 1]\nclose = [0, 3]\n";

/// Day, start, step or run, boxes, minutes.
type Told = (u32, f64, String, (u32, u32), f64);

/// The entries of a plan.
fn told(plan: &Plan) -> Vec<Told> {
    let doing = |e: &Entry| match &e.doing {
        Doing::Step(step) => step.key().to_owned(),
        Doing::Run(i) => format!("run {i}"),
    };
    plan.entries.iter().map(|e| (e.day, e.start, doing(e), e.of, e.minutes())).collect()
}

/// Derived, by hand. Days of 3 h are 180 minutes, 4 boxes lie in the press, a night is enough to dry.
///
/// A box has 5 boards, a cloth and a liner. To cut: 7 pieces of 2 minutes, 14 a box. To lay out: 10. To cover: 5 boards of
/// 2 and of 3 minutes, 4 for the corners, 1 into the press: 10 + 4 + 15 + 1 = 30, and 5 + 5 a session. To line: 6 + 1,
/// and 5 a session. To close: 3.
///
/// Day 1: all 8 are cut, 10 + 8 x 14 = 122; of the 58 minutes left 50 lay out boxes 1 to 5. Day 2: 30 for the other three;
/// 150 are left, and 4 boxes are covered in 10 + 4 x 30 = 130. More do not lie in the press. Day 3: they are dry and lined
/// in 5 + 4 x 7 = 33; the press is full again, so that nothing else is covered. Day 4: closed in 12; the other 4 are
/// covered. Day 5: lined. Day 6: closed.
/// By smaller batches it would take as long (2 or 1 at a time) or longer (3: only one batch lies in the press).
#[test]
fn a_plan_of_eight_boxes_is_that_made_by_hand() {
    let text = format!("{FOLDER}[work]\nrate = 30\nhours = 3\npress = 4\n{MINUTES}");
    let made = made(&text).unwrap();
    let all = made.estimate(&[]);
    let plan = all.plan.as_ref().unwrap();
    let row = |day, start: f64, what: &str, of, minutes: f64| (day, start, what.to_owned(), of, minutes);
    let cover = |day: u32, start: f64, of: (u32, u32)| {
        [("glue_down", 45.0), ("corner_cuts", 16.0), ("turn_in", 65.0), ("dry_covered", 4.0)].into_iter().scan(
            start,
            move |at, (what, minutes)| {
                let entry = row(day, *at, what, of, minutes);
                *at += minutes;
                Some(entry)
            },
        )
    };
    let mut want = vec![
        row(1, 0.0, "cut", (1, 8), 122.0),
        row(1, 122.0, "lay_out", (1, 5), 50.0),
        row(2, 0.0, "lay_out", (6, 8), 30.0),
    ];
    want.extend(cover(2, 30.0, (1, 4)));
    want.extend([row(3, 0.0, "liner", (1, 4), 29.0), row(3, 29.0, "press", (1, 4), 4.0)]);
    want.push(row(4, 0.0, "close", (1, 4), 12.0));
    want.extend(cover(4, 12.0, (5, 8)));
    want.extend([row(5, 0.0, "liner", (5, 8), 29.0), row(5, 29.0, "press", (5, 8), 4.0)]);
    want.push(row(6, 0.0, "close", (5, 8), 12.0));
    assert_eq!(told(plan), want);
    assert_eq!((plan.batch, plan.days), (4, 6));
    let dry: Vec<u32> = plan.entries.iter().filter_map(|e| e.under_weight).map(|u| u.day).collect();
    assert_eq!(dry, [3, 4, 5, 6]);
    // 122 + 80 + 2 x 130 + 2 x 33 + 24 = 552 minutes, 9.2 h at 30 an hour: 276.
    assert!(same(all.hours.minutes(), 552.0), "{}", all.hours.minutes());
    let money = all.money.as_ref().unwrap();
    let work = money.lines.iter().find(|l| l.what == "work").unwrap();
    assert!(same(work.amount, 9.2) && same(work.cost.unwrap(), 276.0), "{work:?}");
    // Glue has no price: what all of it costs is not known.
    assert_eq!((money.in_all, money.unpriced()), (None, vec!["glue"]));
    let lines: Vec<String> = day_lines(&all, &plan.entries[..1]).into_iter().map(|l| l.what).collect();
    assert_eq!(lines, ["Cut"]);
}

/// Derived, by hand: a machine cuts 3 sheets of board with two tools, 10 minutes each. Beside it 4 minutes for a sheet and
/// 3 for each of two changes, as the first tool goes in again for the next sheet: 10. So 20 a sheet, and 10 to set up:
/// 70 minutes, of which 30 run. A day of 0.5 h holds one sheet with its setting up: 10 + 20, and so does the next.
#[test]
fn a_machine_takes_its_runs_its_sheets_and_its_changes() {
    let run = |machine: &str, operations: &[OperationKind]| Run {
        machine: machine.into(),
        sheet: "board-1".into(),
        first_side: false,
        stock: StockKind::Board,
        count: 3,
        seconds: 600.0,
        tools: 2,
        operations: operations.to_vec(),
    };
    let work = "[work]\nmachine_rate = 12\nmachine = [10, 4]\ntool_change = 3\nhours = 6\n";
    let folder = made(&format!("{FOLDER}{work}{MINUTES}")).unwrap();
    let runs = [run("table", &[OperationKind::Mark, OperationKind::ThroughCut])];
    let all = folder.estimate(&runs);
    let first = &all.plan.as_ref().unwrap().entries[0];
    assert_eq!((first.doing.clone(), first.of, first.day), (Doing::Run(0), (1, 3), 1));
    assert!(same(first.by_hand, 40.0) && same(first.run, 30.0), "{first:?}");
    assert!(same(beside_machines(&folder.asked(&runs)), 40.0));
    // 30 minutes at 12 an hour.
    let money = all.money.as_ref().unwrap();
    assert!(same(money.lines.iter().find(|l| l.what == "machines").unwrap().cost.unwrap(), 6.0));
    // What is left to the hand of the cutting: cloth and liner.
    assert_eq!((all.steps[0].step, all.steps[0].count), (Step::Cut, 2));
    // Programs of one tool each for the same sheet are one going at it: the same changes, twice the run.
    let mut one = run("table", &[OperationKind::ThroughCut]);
    one.tools = 1;
    let parted = folder.estimate(&[one.clone(), one]);
    assert!(same(parted.runs[0].run, 20.0) && same(parted.runs[0].by_hand, 10.0), "{:?}", parted.runs);
    // Short days: each sheet on a day of its own, the machine set up anew.
    let short = made(&format!("{FOLDER}{}{MINUTES}", work.replace("hours = 6", "hours = 0.5"))).unwrap();
    let days: Vec<(u32, (u32, u32), f64)> =
        told(short.estimate(&runs).plan.as_ref().unwrap())[..3].iter().map(|e| (e.0, e.3, e.4)).collect();
    assert_eq!(days, [(1, (1, 1), 30.0), (2, (2, 2), 30.0), (3, (3, 3), 30.0)]);
}

/// Derived: 8 boxes of a list among 40, of which 4 lie in the press: a session is shared by 4.
#[test]
fn among_others_a_box_has_its_share_of_each_session() {
    let folder = made(&format!("{FOLDER}[work]\npress = 4\n{MINUTES}")).unwrap();
    let hours = hours_among_others(&folder.asked(&[]), 40);
    // A box: 14 + 10 + 30 + 7 + 3 = 64. Sessions: 10 + 5 + 5 + 5 = 25, a quarter of it 6.25.
    assert!(same(hours.by_hand_minutes, 8.0 * 70.25), "{hours:?}");
}

/// Derived: the strap's length in metres at its price; the glued area at so many grams a square metre.
#[test]
fn elastic_and_glue_cost_what_they_measure() {
    let sample = include_str!("../samples/tideline-folio.toml");
    let text = sample
        .replace("stretch = \"6 %\"", "stretch = \"6 %\"\nprice = 0.8")
        .replace("copies = 1", "copies = 3\nglue = { price = 9, grams = 200 }");
    let folio = made(&text).unwrap();
    let money = folio.estimate(&[]).money.unwrap();
    let cost = |what: &str| money.lines.iter().find(|l| l.what == what).unwrap().cost.unwrap();
    let metres = folio.fit.strap.as_ref().unwrap().length.to_mm() / 1000.0;
    assert!(same(cost("elastic"), metres * 3.0 * 0.8));
    assert!(same(cost("glue"), folio.bill.glue_m2 * 0.2 * 3.0 * 9.0));
    // Nothing is told of hours that have no rate.
    assert!(money.lines.iter().all(|l| l.unit != "h"), "{money:?}");
    assert!(made(sample).unwrap().estimate(&[]).money.is_none());
}

/// Derived, by hand: the eight boxes of `a_plan_of_eight_boxes_is_that_made_by_hand`, the first of them made whole before
/// the others.
///
/// Day 1: box 1 is cut in 10 + 14, laid out in 10, covered in 10 + 30. Day 2: it is dry, and lined in 5 + 7. Day 3: it is
/// closed and tried in 3. The other seven are cut in 10 + 7 x 14 = 108; of the 69 minutes left 60 lay out six. Day 4: 10 for
/// the last; four are covered in 10 + 4 x 30 = 130. Day 5: lined. Day 6: closed; three are covered in 10 + 3 x 30. Day 7:
/// lined. Day 8: closed.
#[test]
fn a_first_article_is_whole_before_the_others_are_begun() {
    let text = format!("{FOLDER}[work]\nhours = 3\npress = 4\nfirst_article = true\n{MINUTES}");
    let made = made(&text).unwrap();
    let all = made.estimate(&[]);
    let plan = all.plan.as_ref().unwrap();
    assert_eq!((plan.batch, plan.days, plan.others_from), (4, 8, Some(3)));
    // What is done in one go told together.
    let mut lines: Vec<(u32, (u32, u32), f64)> = Vec::new();
    for (day, _, _, of, minutes) in told(plan) {
        match lines.last_mut().filter(|l| l.0 == day && l.1 == of) {
            Some(line) => line.2 += minutes,
            None => lines.push((day, of, minutes)),
        }
    }
    let want = [
        (1, (1, 1), 74.0),
        (2, (1, 1), 12.0),
        (3, (1, 1), 3.0),
        (3, (2, 8), 108.0),
        (3, (2, 7), 60.0),
        (4, (8, 8), 10.0),
        (4, (2, 5), 130.0),
        (5, (2, 5), 33.0),
        (6, (2, 5), 12.0),
        (6, (6, 8), 100.0),
        (7, (6, 8), 26.0),
        (8, (6, 8), 9.0),
    ];
    assert_eq!(lines, want);
    let sum: f64 = plan.entries.iter().map(Entry::minutes).sum();
    assert!(same(all.hours.minutes(), sum) && same(sum, 577.0), "{sum}");
    assert_eq!(faults(&made, &all, &[]), Vec::<String>::new());
    // Whoever goes on with the others has made it, and an edition of one has no others.
    let rest = estimate(&Asked { first: 2, boxes: 7, ..made.asked(&[]) });
    assert_eq!(rest.plan.unwrap().others_from, None);
    let one = estimate(&Asked { boxes: 1, ..made.asked(&[]) });
    assert_eq!(one.plan.unwrap().others_from, None);
}

/// Derived: of sheets that are alike those with a piece of the first box are run first, and the others when it is whole.
#[test]
fn the_sheets_of_a_first_article_are_run_first() {
    let text = format!("{FOLDER}[work]\nfirst_article = true\n");
    let home = crate::common::references::scratch("estimate-first");
    let job = home.join("job.toml");
    for (name, text, arguments) in [
        ("asked", &text, &[][..]),
        ("alone", &FOLDER.to_owned(), &["--first-article"][..]),
        ("both", &text, &["--first-article"]),
        ("plain", &FOLDER.to_owned(), &[]),
    ] {
        std::fs::write(&job, text).unwrap();
        let out = home.join(name);
        let all =
            ["export", job.to_str().unwrap(), "--machine", "oscillating-knife-table", "--out", out.to_str().unwrap()];
        said(&[&all[..], arguments].concat());
        let manifest: serde_json::Value =
            serde_json::from_slice(&std::fs::read(out.join("manifest.json")).unwrap()).unwrap();
        let plan = &manifest["work"]["plan"];
        let others_from = plan["others_from_day"].as_u64();
        assert_eq!(others_from.is_some(), name != "plain", "{name}");
        let Some(others_from) = others_from else { continue };
        let work: Vec<&serde_json::Value> =
            plan["stretches"].as_array().unwrap().iter().flat_map(|s| s["work"].as_array().unwrap()).collect();
        // Up to the first step on another box nothing but the first one's sheets is run.
        let others = work.iter().position(|w| w["to"].as_u64().unwrap() > 1 && w["step"].is_string()).unwrap();
        let closed = work[..others].iter().rposition(|w| w["step"] == "close").unwrap();
        let sheets = manifest["sheets"].as_array().unwrap();
        let pieces = manifest["pieces"].as_array().unwrap();
        let mut run = 0;
        for w in work.iter().filter(|w| w["sheet"].is_string()) {
            let at = work.iter().position(|other| std::ptr::eq(*other, *w)).unwrap();
            let sheet = sheets.iter().find(|s| s["id"] == w["sheet"]).unwrap();
            let count = |p: &serde_json::Value| {
                pieces.iter().find(|q| q["id"] == p["piece"]).unwrap()["count"].as_u64().unwrap()
            };
            // Each of the sheets that are alike by the copies on it.
            let has_first = (0..sheet["count"].as_u64().unwrap() as usize).filter(|n| {
                sheet["placed"].as_array().unwrap().iter().any(|p| p["copies"][n].as_u64().unwrap() <= count(p))
            });
            let first = has_first.count() as u64;
            let (from, to) = (w["from"].as_u64().unwrap(), w["to"].as_u64().unwrap());
            assert!(if at < closed { to <= first } else { from > first }, "{name}: {w} with {first}");
            run += to + 1 - from;
        }
        assert_eq!(run, sheets.iter().map(|s| s["count"].as_u64().unwrap()).sum::<u64>(), "{name}");
        assert!(work[closed]["day"].as_u64().unwrap() <= others_from && others_from > 2, "{name}");
        if name == "alone" {
            let proof = flapwright::verify::verify_folder(&crate::common::proof::files_of(&out));
            assert_eq!(crate::common::proof::told(&proof), Vec::<String>::new());
        }
    }
}

/// Derived: a metre's price times the metres of all boxes; the ribbons of two lids are one line, which has a cost where
/// both have a price.
#[test]
fn ribbons_cost_what_their_metres_cost() {
    // Two lids that stop short of each other, each tied down for itself.
    let tie = |left: &str, right: &str| {
        let short = FOLDER.replace("depth = 8", "depth = 20").replace("'60 %'", "'48 %'");
        let text = short.replace("tier = 2, reach = '90 %'", "tier = 1, reach = '48 %'");
        made(&format!("{text}ties.left = {{ count = 2{left} }}\nties.right = {{ to = 'base'{right} }}\n")).unwrap()
    };
    let lines = |made: &Made| {
        let money = made.estimate(&[]).money.unwrap();
        let of = |what: &str| money.lines.iter().filter(|l| l.what == what).cloned().collect::<Vec<_>>();
        (of("ribbon"), money.unpriced().into_iter().map(str::to_owned).collect::<Vec<_>>())
    };
    let both = tie(", price = 1.1", ", width = 12, price = 2");
    let [left, right] = ["left", "right"].map(|side| {
        let ties = both.fit.ties.iter().find(|t| t.side.word() == side).unwrap();
        ties.length.to_mm() / 1000.0 * f64::from(ties.ribbons) * 8.0
    });
    let (ribbon, _) = lines(&both);
    let [line] = &ribbon[..] else { panic!("{ribbon:?}") };
    assert!(left > 8.0 && right > 4.0 && same(line.amount, left + right) && line.unit == "m", "{line:?}");
    assert!(same(line.cost.unwrap(), left * 1.1 + right * 2.0), "{line:?}");
    // One without a price leaves both without a cost, and the whole too.
    let one = tie(", price = 1.1", "");
    let (ribbon, unpriced) = lines(&one);
    assert!(ribbon[0].cost.is_none() && unpriced.contains(&"ribbon".to_owned()), "{unpriced:?}");
    assert!(tie("", "").estimate(&[]).money.is_none());
    let (_, said) =
        job::read(&Source { name: "job.toml".into(), text: format!("{FOLDER}ties.left = {{ price = -1 }}\n") });
    assert!(said.iter().any(|d| d.code == "out-of-range"), "{said:?}");
}

/// What the program says, run with these arguments.
fn said(arguments: &[&str]) -> String {
    let (mut out, mut errors) = (Vec::new(), Vec::new());
    let args: Vec<std::ffi::OsString> =
        std::iter::once("flapwright").chain(arguments.iter().copied()).map(Into::into).collect();
    let exit = flapwright::cli::run(args, &mut out, &mut errors, false);
    assert_eq!(exit, flapwright::cli::Exit::Good, "{arguments:?}: {}", String::from_utf8_lossy(&errors));
    String::from_utf8(out).unwrap()
}

/// Derived: what the rows cost and take comes to what the list costs and takes, but for a cent and three minutes of
/// rounding in each. Without a price but those of stocks no row says what it costs.
#[test]
fn rows_of_a_list_come_to_the_whole() {
    let home = crate::common::references::scratch("estimate-list");
    let samples = concat!(env!("CARGO_MANIFEST_DIR"), "/samples");
    let text = std::fs::read_to_string(format!("{samples}/herbarium-survey.toml")).unwrap();
    let priced = text.replace("[board]", "[glue]\nprice = 9\n\n[work]\nrate = 25\nmachine_rate = 12\n\n[board]");
    for (name, text, is_priced) in [("priced", priced, true), ("bare", text, false)] {
        let (job, out) = (home.join(format!("{name}.toml")), home.join(name));
        std::fs::write(&job, text).unwrap();
        let list = format!("{samples}/herbarium-survey.csv");
        let (job, folder) = (job.to_str().unwrap(), out.to_str().unwrap());
        let machine = "oscillating-knife-table";
        let text =
            said(&["batch", &list, "--job", job, "--out", folder, "--machine", machine, "--effort", "1", "--lot", "9"]);
        assert_eq!(text.contains("work by the hour"), is_priced, "{text}");
        assert!(text.contains("by hand, about"), "{text}");
        let column = |file: &str, name: &str| -> Vec<f64> {
            let text = std::fs::read_to_string(out.join(file)).unwrap();
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let at = reader.headers().unwrap().iter().position(|h| h == name).unwrap();
            reader.records().filter_map(|r| r.unwrap().get(at).unwrap().parse().ok()).collect()
        };
        let count = column("batch.csv", "hours").len();
        let rows = count as f64;
        let hours: f64 = column("batch.csv", "hours").iter().sum();
        let minutes = *column("cost.csv", "minutes").last().unwrap();
        assert!((hours * 60.0 - minutes).abs() < rows * 3.0, "{hours} h, {minutes} min");
        let costs = column("batch.csv", "cost_in_all");
        assert_eq!(costs.len(), if is_priced { count } else { 0 });
        if is_priced {
            let (sum, whole) = (costs.iter().sum::<f64>(), *column("cost.csv", "cost").last().unwrap());
            assert!((sum - whole).abs() < rows * 0.02, "{sum} against {whole}");
        }
    }
}

/// Derived: hours and days for every job; money beyond the sheets' only where it has a price for it.
#[test]
fn check_tells_hours_always_and_money_where_it_is_asked() {
    let home = crate::common::references::scratch("estimate-check");
    let sample = include_str!("../samples/tideline-folio.toml");
    let job = home.join("job.toml");
    std::fs::write(&job, sample.replace("copies = 1", "copies = 4")).unwrap();
    let path = job.to_str().unwrap();
    let text = said(&["check", path]);
    let line = text.lines().find(|l| l.trim_start().starts_with("work ")).unwrap();
    assert!(line.contains(" h, ") && line.contains(" a box, in ") && line.contains("an estimate"), "{line}");
    assert!(!text.contains("in all  "), "{text}");
    std::fs::write(&job, sample.replace("copies = 1", "copies = 4\nwork = { rate = 25 }")).unwrap();
    let text = said(&["check", path]);
    let line = text.lines().find(|l| l.trim_start().starts_with("in all ")).unwrap();
    // The sample has no price for its cloth, its liner, elastic and glue.
    assert!(line.contains("without cloth, liner, elastic and glue, whose price is not given"), "{line}");
    assert!(line.contains(" a box") && line.contains("board "), "{line}");
}

/// What must hold of any plan. `made` has the minutes, `runs` the sheets.
fn faults(made: &Made, all: &Estimate, runs: &[Run]) -> Vec<String> {
    let mut faults = Vec::new();
    let (work, boxes) = (&made.job.work, made.job.copies);
    let Some(plan) = &all.plan else { return vec!["no plan".into()] };
    let length = work.hours * 60.0;
    // No day is longer than its hours, and nothing is done at the same time as something else.
    for day in plan.entries.chunk_by(|a, b| a.day == b.day) {
        let minutes: f64 = day.iter().map(Entry::minutes).sum();
        let end = day.iter().map(|e| e.start + e.minutes()).fold(0.0, f64::max);
        if minutes > length + 1e-5 || end > length + 1e-5 {
            faults.push(format!("day {} has {minutes} minutes and ends at {end}", day[0].day));
        }
        if day.windows(2).any(|w| w[1].start < w[0].start + w[0].minutes() - 1e-5) {
            faults.push(format!("day {} does two things at once", day[0].day));
        }
    }
    if plan.entries.windows(2).any(|w| w[1].day < w[0].day) {
        faults.push("days run backwards".into());
    }
    // Every step of every box once, every sheet once.
    let once = |doing: &Doing, count: u32, faults: &mut Vec<String>| {
        let mut of: Vec<(u32, u32)> =
            plan.entries.iter().filter(|e| e.doing == *doing && !e.goes_on).map(|e| e.of).collect();
        of.sort_unstable();
        let ends = of.iter().try_fold(0, |last, o| (o.0 == last + 1 && o.1 >= o.0).then_some(o.1));
        if ends != Some(count) {
            faults.push(format!("{doing:?} is done to {of:?} of {count}"));
        }
    };
    for load in &all.steps {
        once(&Doing::Step(load.step), boxes, &mut faults);
    }
    for (i, run) in all.runs.iter().enumerate() {
        once(&Doing::Run(i), run.count, &mut faults);
        let run_minutes: f64 = plan.entries.iter().filter(|e| e.doing == Doing::Run(i)).map(|e| e.run).sum();
        let want: f64 =
            runs.iter().filter(|r| r.sheet == run.sheet && r.machine == run.machine).map(|r| r.seconds / 60.0).sum();
        if (run_minutes - want * f64::from(run.count)).abs() > 1e-5 {
            faults.push(format!("run {i} runs {run_minutes}"));
        }
    }
    // What is left out is of no piece of the box, or a machine does it.
    let by_hand: Vec<Step> = all.steps.iter().map(|s| s.step).collect();
    let order = steps(&made.job, &made.design);
    let may_lack = [Step::Cut, Step::SlotsAndPockets, Step::Crease, Step::LayOut, Step::CornerCuts, Step::Slits];
    for step in order.iter().filter(|s| !by_hand.contains(s)) {
        if !may_lack.contains(step) || (runs.is_empty() && *step != Step::Slits) {
            faults.push(format!("{step:?} is not done"));
        }
    }
    if !order.iter().filter(|s| by_hand.contains(s)).eq(&by_hand) {
        faults.push(format!("{by_hand:?} is not the order {order:?}"));
    }
    // A first article is whole and dry before anything of the others is begun.
    let is_asked = work.first_article && boxes > 1 && all.first == 1;
    if is_asked != plan.others_from.is_some() {
        faults.push(format!("the others are begun on {:?}", plan.others_from));
    }
    if is_asked {
        let is_others = |e: &&Entry| match e.doing {
            Doing::Step(_) => e.of.1 > 1,
            Doing::Run(i) => e.of.1 > all.runs[i].first,
        };
        let begun = plan.entries.iter().position(|e| is_others(&e)).unwrap();
        if let Some(late) = plan.entries[begun..].iter().find(|e| !is_others(e)) {
            faults.push(format!("{:?} is of the first, and others are begun before it", late.doing));
        }
        let last = plan.entries[begun - 1].under_weight.map_or((0, 0.0), |u| (u.day, u.minute));
        if (plan.entries[begun].day, plan.entries[begun].start + 1e-4) < last
            || Some(plan.entries[begun].day) != plan.others_from
        {
            faults.push(format!("the others are begun on day {}", plan.entries[begun].day));
        }
    }
    // In order, box by box, each dry before it goes on; the press holds no more than it does.
    let time = |e: &Entry| f64::from(e.day - 1) * 1440.0 + e.start;
    let wait = |step: Step| match step {
        Step::DryCovered => work.dry_covered * 60.0,
        Step::Press => work.dry_lined * 60.0,
        Step::Strap | Step::Cross => work.dry_glued * 60.0,
        _ => 0.0,
    };
    for number in [1, boxes / 2 + 1, boxes] {
        let mut free = 0.0;
        for step in &by_hand {
            let of_box: Vec<&Entry> = plan
                .entries
                .iter()
                .filter(|e| e.doing == Doing::Step(*step) && e.of.0 <= number && number <= e.of.1)
                .collect();
            let begins = of_box.iter().map(|e| time(e)).fold(f64::INFINITY, f64::min);
            if begins < free - 1e-4 {
                faults.push(format!("box {number} is not ready for {step:?} at {begins}, but at {free}"));
            }
            free = of_box.iter().map(|e| time(e) + e.minutes()).fold(0.0, f64::max) + wait(*step);
        }
    }
    let pressed: Vec<(f64, f64, u32)> = plan
        .entries
        .iter()
        .filter(|e| e.under_weight.is_some_and(|u| u.in_press))
        .map(|e| {
            let Doing::Step(step) = e.doing else { panic!("a machine presses") };
            let from = time(e) + e.minutes();
            (from, from + wait(step), e.of.1 + 1 - e.of.0)
        })
        .collect();
    for (at, ..) in &pressed {
        let held: u32 = pressed.iter().filter(|p| p.0 <= at + 1e-5 && p.1 > at + 1e-5).map(|p| p.2).sum();
        if held > work.press {
            faults.push(format!("{held} boxes in a press for {}", work.press));
        }
    }
    // Each day is told once.
    let days = plan.entries.chunk_by(|a, b| a.day == b.day).count();
    let told: usize = stretches(plan).iter().map(|s| s.days.len() * s.times as usize).sum();
    if days != told {
        faults.push(format!("{told} of {days} days are told"));
    }
    faults
}

/// A random job with random minutes, hours, press and drying.
fn random(seed: u64) -> String {
    let mut dice = Dice(seed ^ 0x3A57);
    let mut pick = |from: &[f64]| from[(dice.next() % from.len() as u64) as usize];
    let copies = pick(&[1.0, 2.0, 7.0, 12.0, 75.0, 130.0, 500.0]);
    let mut text = RandomJob::new(seed).toml(1.0).replacen("format = 1", &format!("format = 1\ncopies = {copies}"), 1);
    let _ = write!(
        text,
        "[work]\nhours = {}\npress = {}\ndry_covered = {}\ndry_lined = {}\ndry_glued = {}\nmachine = [{}, {}]\ntool_change = {}\n",
        pick(&[0.5, 2.0, 6.0, 8.0, 24.0]),
        pick(&[1.0, 3.0, 12.0, 40.0, 600.0]),
        pick(&[0.0, 0.5, 12.0, 30.0, 200.0]),
        pick(&[0.0, 2.0, 12.0, 48.0]),
        pick(&[0.0, 1.0, 20.0]),
        pick(&[0.0, 10.0]),
        pick(&[0.0, 4.5]),
        pick(&[0.0, 3.0]),
    );
    let _ = writeln!(text, "first_article = {}", seed.is_multiple_of(2));
    text.push_str("[work.minutes]\n");
    for step in ["cut", "lay_out", "glue_down", "turn_in", "dry_covered", "strap", "liner", "press", "close", "cross"] {
        let _ = writeln!(text, "{step} = [{}, {}]", pick(&[0.0, 5.0, 20.0, 45.0]), pick(&[0.0, 0.7, 3.0, 11.0]));
    }
    text
}

#[test]
fn every_plan_of_random_jobs_can_be_worked() {
    let (mut tried, mut days, mut bad) = (0, 0, Vec::new());
    for seed in 1..260 {
        let Some(made) = made(&random(seed)) else { continue };
        let run = |sheet: u32, stock, seconds, operations: &[OperationKind]| Run {
            machine: "table".into(),
            sheet: format!("sheet-{sheet}"),
            first_side: false,
            stock,
            count: 1 + made.job.copies / 3,
            seconds,
            tools: sheet,
            operations: operations.to_vec(),
        };
        let runs = match seed % 3 {
            0 => vec![
                run(1, StockKind::Board, 1500.0, &[OperationKind::ThroughCut, OperationKind::CreaseScore]),
                run(2, StockKind::Cloth, 90.0, &[OperationKind::Mark, OperationKind::ThroughCut]),
            ],
            _ => Vec::new(),
        };
        let all = made.estimate(&runs);
        tried += 1;
        days += all.plan.as_ref().map_or(0, |p| p.days);
        bad.extend(faults(&made, &all, &runs).into_iter().map(|f| format!("seed {seed}: {f}")));
    }
    assert!(bad.is_empty(), "{} faults, of them {:#?}", bad.len(), &bad[..bad.len().min(20)]);
    assert!(tried > 120 && days > 3000, "{tried} jobs, {days} days");
}

/// The property above would be worth nothing if it let everything pass.
#[test]
fn a_plan_that_cannot_be_worked_is_found() {
    let folder = made(&format!("{FOLDER}[work]\nhours = 3\npress = 4\n{MINUTES}")).unwrap();
    let good = folder.estimate(&[]);
    assert_eq!(faults(&folder, &good, &[]), Vec::<String>::new());
    let damaged = |damage: &dyn Fn(&mut Vec<Entry>)| {
        let mut bad = good.clone();
        damage(&mut bad.plan.as_mut().unwrap().entries);
        faults(&folder, &bad, &[]).join("; ")
    };
    let at = |all: &[Entry], step: Step| all.iter().position(|e| e.doing == Doing::Step(step)).unwrap();
    assert!(damaged(&|all| all.truncate(all.len() - 1)).contains("Step(Close) is done to"));
    assert!(damaged(&|all| all[0].by_hand += 100.0).contains("day 1 has"));
    assert!(damaged(&|all| all[1].start -= 5.0).contains("two things at once"));
    assert!(damaged(&|all| all[0].of.1 = 7).contains("Step(Cut) is done to"));
    // Lined the same day that it was covered.
    let early = damaged(&|all| {
        for step in [Step::Liner, Step::Press] {
            let i = at(all, step);
            all[i].day = 2;
        }
    });
    assert!(early.contains("is not ready for Liner"), "{early}");
    // A first article before which the others are cut.
    let whole_first = made(&format!("{FOLDER}[work]\nhours = 3\npress = 4\nfirst_article = true\n{MINUTES}")).unwrap();
    let mut early = whole_first.estimate(&[]);
    let entries = &mut early.plan.as_mut().unwrap().entries;
    let others = entries.iter().position(|e| e.of.1 > 1).unwrap();
    let cut = entries.remove(others);
    entries.insert(others - 1, cut);
    let early = faults(&whole_first, &early, &[]).join("; ");
    assert!(early.contains("others are begun before it"), "{early}");
    let full = damaged(&|all| {
        let i = at(all, Step::DryCovered);
        all[i].of.1 = 6;
    });
    assert!(full.contains("6 boxes in a press for 4"), "{full}");
}

/// Derived: a press of 12 takes two loads of a box, each over a night: no more than 12 a night, and not 500 in a day.
#[test]
fn editions_take_the_nights_that_their_press_asks_for() {
    let sample = include_str!("../samples/tideline-folio.toml");
    let mut before = 0;
    for copies in [1_u32, 12, 75, 500] {
        let made = made(&sample.replace("copies = 1", &format!("copies = {copies}"))).unwrap();
        let all = made.estimate(&[]);
        assert_eq!(faults(&made, &all, &[]), Vec::<String>::new(), "{copies}");
        let plan = all.plan.as_ref().unwrap();
        // Two nights at least, twelve box-loads in each.
        assert!(plan.days > (copies * 2).div_ceil(12) && plan.days > 2, "{copies}: {} days", plan.days);
        assert!(f64::from(plan.days) * 360.0 >= all.hours.minutes(), "{copies}");
        assert!(plan.batch <= 12 && plan.days > before, "{copies}");
        // A maker can read it: few rows, whatever the number.
        let told: usize = stretches(plan).iter().map(|s| s.days.len()).sum();
        assert!(told < 40, "{copies}: {told} days are told");
        before = plan.days;
    }
    // More days than anybody plans.
    let made = made(&sample.replace("copies = 1", "copies = 100000\nwork = { press = 1 }")).unwrap();
    let all = made.estimate(&[]);
    assert!(all.plan.is_none() && all.hours.minutes() > 1e7, "{:?}", all.hours);
}

/// Pegs, magnets and plates are bought by the piece. By hand: 8 boxes of 2 ties, a peg of 0.90 each, make 16 of 14.40; a
/// magnet of 0.35 over a plate of 0.10, 8 of each: 2.80 and 0.80. Of a magnet over a magnet there are 16.
#[test]
fn pegs_and_magnets_are_paid_by_the_piece() {
    let closings = "[ties.right]\ncount = 2\nfasten = 'peg'\nprice = 1.2\npeg_price = 0.90\n[magnets.right]\ncount = 1\nprice = 0.35\n\
                    counterpart = 'steel'\nplate_price = 0.1\n";
    let lines = |text: &str| -> Vec<(String, f64, String, Option<f64>)> {
        let money = made(text).unwrap().estimate(&[]).money.unwrap();
        money.lines.into_iter().map(|l| (l.what, l.amount, l.unit, l.cost)).collect()
    };
    let folder = FOLDER.replace("thickness = 2,", "thickness = 3,");
    let all = lines(&format!("{folder}{closings}"));
    let line =
        |all: &[(String, f64, String, Option<f64>)], what: &str| all.iter().find(|l| l.0 == what).unwrap().clone();
    for (what, amount, cost) in [("pegs", 16.0, 14.4), ("magnets", 8.0, 2.8), ("steel plates", 8.0, 0.8)] {
        let (_, is, unit, costs) = line(&all, what);
        assert!(same(is, amount) && unit == "pieces" && same(costs.unwrap(), cost), "{what}: {all:?}");
    }
    let closings = closings.replace("counterpart = 'steel'\nplate_price = 0.1\n", "");
    let all = lines(&format!("{folder}{closings}"));
    assert!(same(line(&all, "magnets").1, 16.0) && all.iter().all(|l| l.0 != "steel plates"), "{all:?}");
}
