//! `new`: a short job of what is named and nothing else; what it leaves out is assumed, and `check` lists it.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use crate::common;

use common::program::{err, out, run};
use common::references::scratch;
use flapwright::diag::{Source, any_error};
use flapwright::job::{self, Construction, ShortJob, Side};
use flapwright::units::Unit;

const SIDES: [Side; 4] = [Side::Head, Side::Tail, Side::Left, Side::Right];

/// Every choice of lids in every order, one to four of them.
fn orders() -> Vec<Vec<Side>> {
    let mut all: Vec<Vec<Side>> = SIDES.iter().map(|s| vec![*s]).collect();
    let mut from = 0;
    while from < all.len() {
        let more: Vec<Vec<Side>> =
            SIDES.iter().filter(|s| !all[from].contains(s)).map(|s| [all[from].clone(), vec![*s]].concat()).collect();
        all.extend(more);
        from += 1;
    }
    all
}

#[test]
fn every_choice_of_lids_and_construction_is_a_box_that_fits() {
    assert_eq!(orders().len(), 64);
    for construction in Construction::ALL {
        let terms = construction.terms();
        let mut lids = if !terms.has_lids() || terms.has_strips { vec![Vec::new()] } else { orders() };
        if terms.holds_wrapper() {
            // Loose sheets have none.
            lids.push(Vec::new());
        }
        for lids in lids {
            let asked = ShortJob {
                title: "My \"own\" box",
                unit: Unit::Mm,
                construction,
                size: "210x297x12",
                board: None,
                lids: &lids,
            };
            let text = asked.text().unwrap();
            // Nothing that was not asked for.
            assert!(!text.contains("strap") && !text.contains("notch") && !text.contains("cloth"), "{text}");
            assert!(text.lines().filter(|l| !l.is_empty()).count() <= 10 + 3 * lids.len(), "{text}");
            let (job, mut said) = job::read(&Source { name: "job.toml".into(), text: text.clone() });
            let job = job.unwrap_or_else(|| panic!("{said:#?}\n{text}"));
            assert_eq!(job.title, "My \"own\" box");
            let (design, more) = flapwright::design::design(&job);
            said.extend(more);
            said.extend(flapwright::fit::fit(&job, &design).1);
            assert!(!any_error(&said), "{said:#?}\n{text}");
            let assumed = job::assumed(&job);
            let has = |key: &str| assumed.iter().any(|a| a.key == key);
            assert!(has("contents.clearance.width") && has("board.sheet") && has("making.by"), "{assumed:?}");
            assert_eq!(has("cloth.thickness"), terms.is_hinged);
            assert!(!has("strap.inset") && !has("elastic.width"), "{assumed:?}");
        }
    }
}

#[test]
fn sizes_as_makers_write_them() {
    let text = |size: &str, unit: Unit| {
        let lids = [Side::Left];
        let construction = Construction::HingedBoards;
        ShortJob { title: "x", unit, construction, size, board: Some("80 pt"), lids: &lids }.text()
    };
    assert!(text("a4x12", Unit::Mm).unwrap().contains("size = \"A4\"\ndepth = 12\n"));
    let inches = text("8 1/2 in X 11 in X 1/2 in", Unit::Inch).unwrap();
    assert!(inches.contains("units = \"in\"") && inches.contains("width = \"8 1/2 in\""), "{inches}");
    assert!(text("8.5x11x0.5", Unit::Inch).unwrap().contains("width = 8.5\n"));
    let once = text("9 1/2 x 12 3/4 x 3/4 in", Unit::Mm).unwrap();
    assert!(once.contains("width = \"9 1/2 in\"\nheight = \"12 3/4 in\"\ndepth = \"3/4 in\""), "{once}");
    for wrong in ["", "210", "210x297", "axbxc", "210xx12", "210x297x12x3", "infxnanx1"] {
        assert!(text(wrong, Unit::Mm).is_err(), "{wrong}");
    }
}

#[test]
fn the_command_writes_a_short_job_and_check_lists_what_it_assumes() {
    let dir = scratch("new-jobs");
    let made = run(&dir, &["new", "box.toml", "--size", "210x297x12", "--board", "2.5", "--lids", "left,right"]);
    assert!(made.status.success(), "{}", err(&made));
    let text = std::fs::read_to_string(dir.join("box.toml")).unwrap();
    assert_eq!(
        text,
        "format = 1\ntitle = \"My box\"\n\n[contents]\nwidth = 210\nheight = 297\ndepth = 12\n\n[board]\nthickness = 2.5\n\n\
         [flap.left]\ntier = 1\nreach = \"45 %\"\n\n[flap.right]\ntier = 2\nreach = \"100 %\"\n"
    );
    let checked = run(&dir, &["check", "box.toml"]);
    let said = out(&checked);
    assert!(checked.status.success() && said.contains("Assumed, as the job does not say"), "{said}");
    for part in ["clearance.width 2 mm", "sheet 700 mm x 1000 mm", "thickness 0.35 mm", "turn_in 16 mm", "by hand"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // What cannot be made is told, and nothing is written.
    let wrong = run(
        &dir,
        &[
            "new",
            "thick.toml",
            "--size",
            "210x297x12",
            "--construction",
            "creased-board",
            "--board",
            "3",
            "--lids",
            "left",
        ],
    );
    assert_eq!(wrong.status.code(), Some(1));
    assert!(err(&wrong).contains("Nothing was written") && !dir.join("thick.toml").exists(), "{}", err(&wrong));
    for args in [
        &["new", "--size", "210x297x12"][..],
        &["new", "--size", "210x297x12", "--lids", "left,left"],
        &["new", "--size", "210 by 297", "--lids", "left"],
        &["new", "--size", "210x297x12", "--construction", "drop-spine", "--lids", "left"],
        &["new", "--size", "210x297x12", "--all", "--lids", "left"],
        &["new", "--lids", "left"],
    ] {
        assert_eq!(run(&dir, args).status.code(), Some(2), "{args:?}");
    }
    let five = "format = 1\ntitle = 'x'\ncontents = { size = 'A4', depth = 12 }\nboard = { thickness = 2 }\nflap.left = { tier = 1, reach = '100 %' }\n";
    std::fs::write(dir.join("five.toml"), five).unwrap();
    let checked = run(&dir, &["check", "five.toml"]);
    assert!(checked.status.success(), "{}", err(&checked));
}
