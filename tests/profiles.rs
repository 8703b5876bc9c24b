//! The machine profiles that come with the program, and profiles in general: nothing that a person
//! writes into one makes it panic, and as JSON it keeps the keys of its file.

#![allow(clippy::panic, clippy::unwrap_used, reason = "tests stop where they cannot go on")]

use flapwright::diag::{Diagnostic, Places, Source, any_error, render};
use flapwright::doc::{Need, Shape, Table};
use flapwright::job::StockKind;
use flapwright::profile::{
    Ability, OperationKind, Profile, TABLE, ToolKind, depth_check, describe, operation_depth_check, read, shipped,
};
use flapwright::units::mm;
use proptest::prelude::*;

fn told(text: &str) -> (Option<Profile>, Vec<Diagnostic>) {
    read(&Source { name: "profile.toml".into(), text: text.into() }, "profile")
}

fn ship(id: &str) -> Profile {
    let text = shipped().iter().find(|p| p.0 == id).unwrap().1;
    told(text).0.unwrap()
}

#[test]
fn every_shipped_profile_reads_without_a_word() {
    assert!(shipped().len() >= 6);
    for (id, text) in shipped() {
        let (profile, all) = told(text);
        let source = Source { name: (*id).into(), text: (*text).into() };
        assert!(all.is_empty(), "{}", render(&all, &source, &Places::default(), false));
        assert!(profile.unwrap().cautions.iter().any(|c| c.contains("come first")), "{id}");
    }
}

#[test]
fn every_file_in_machine_profiles_is_shipped() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/machine-profiles");
    let mut files: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    files.retain(|f| f.ends_with(".toml"));
    files.sort();
    let ids: Vec<String> = shipped().iter().map(|(id, _)| format!("{id}.toml")).collect();
    assert_eq!(files, ids);
}

#[test]
fn every_number_of_a_shipped_profile_says_where_it_comes_from() {
    const ORIGINS: [&str; 6] =
        ["source: ", "from memory", "measure yours", "derived: ", "choice: ", "common practice, no source"];
    let mut numbers = 0;
    for (id, text) in shipped() {
        for line in text.lines().filter(|l| !l.starts_with("format")) {
            let (code, comment) = line.split_once(" #").unwrap_or((line, ""));
            let Some((_, value)) = code.split_once(" = ").filter(|_| !code.starts_with('#')) else { continue };
            if value.starts_with(|c: char| c.is_ascii_digit() || c == '-') || value.starts_with("[0") {
                numbers += 1;
                assert!(ORIGINS.iter().any(|o| comment.contains(o)), "{id}: {line}");
            }
        }
    }
    assert!(numbers > 250, "{numbers}");
}

/// The samples' largest usual sheets: board 700 x 1000, cloth and liner 1000 x 1400, lying as given.
#[test]
fn the_large_machines_hold_the_usual_sheets_and_the_small_ones_say_that_they_do_not() {
    let room = |id: &str| {
        let m = ship(id).machine;
        ((m.width - m.origin[0]).to_mm(), (m.height - m.origin[1]).to_mm())
    };
    for id in ["drag-knife-table", "oscillating-knife-table", "servo-plotter", "shared-laser-cutter"] {
        let (w, h) = room(id);
        assert!(w >= 1000.0 && h >= 1400.0, "{id}: {w} x {h}");
    }
    let (w, h) = room("small-router");
    assert!(w >= 700.0 && h >= 1000.0, "{w} x {h}");
    let text = shipped().iter().find(|p| p.0 == "scoring-plotter").unwrap().1;
    assert!(room("scoring-plotter").0 < 700.0 && text.contains("a larger sheet is an error"));
}

#[test]
fn what_a_machine_cannot_do_is_said_with_the_reason() {
    let all = ship("small-router").capabilities();
    assert_eq!(all.len(), 13, "four operations on board, three on cloth, paper and liner, which have no pockets");
    let of = |op, stock| all.iter().find(|c| c.operation == op && c.stock == stock).unwrap().ability.clone();
    let can = Ability::Can { tool: "bit".into(), note: None };
    assert_eq!(of(OperationKind::ThroughCut, StockKind::Board), can);
    let Ability::Cannot { why } = of(OperationKind::ThroughCut, StockKind::Cloth) else { panic!() };
    assert!(why.contains("a turning bit tears cloth") && why.contains("a pen cannot cut"), "{why}");

    let plotter = ship("scoring-plotter");
    let Ability::Cannot { why } = plotter.ability(OperationKind::HalfDepthPocket, StockKind::Board) else { panic!() };
    assert_eq!(why, "no rule (a tool that might: fine-knife, to 0.6 mm)");
    let laser = ship("shared-laser-cutter");
    let Ability::Can { note, .. } = laser.ability(OperationKind::ThroughCut, StockKind::Cloth) else { panic!() };
    assert!(note.unwrap().contains("safety data sheet"));
}

/// What a profile does not say of the paper of sides is done as to the liner, and its own rule goes before that.
#[test]
fn paper_is_cut_as_the_liner_unless_the_profile_says_otherwise() {
    let rule = |p: &Profile, stock| p.rule(OperationKind::ThroughCut, stock).map(|(r, _)| r.clone()).unwrap();
    let lent = ship("drag-knife-table");
    let (paper, liner) = (rule(&lent, StockKind::Paper), rule(&lent, StockKind::Liner));
    assert!(paper.is_lent && !liner.is_lent);
    assert_eq!((paper.tool, paper.feed, paper.pass_depth), (liner.tool, liner.feed, liner.pass_depth));
    assert!(describe(&lent).contains("as the liner"));
    let text = shipped().iter().find(|p| p.0 == "drag-knife-table").unwrap().1.to_owned();
    let own = "\n[[rule]]\noperation = \"through-cut\"\nstock = \"paper\"\ntool = \"fine-knife\"\nfeed = 1100\nplunge = 400\npass_depth = 0.3\noverrun = 1\n";
    let (own, said) = told(&(text + own));
    let own = own.unwrap_or_else(|| panic!("{said:?}"));
    let paper = rule(&own, StockKind::Paper);
    assert!(!paper.is_lent && (paper.feed.to_mm_per_min() - 1100.0).abs() < 1e-9);
    // What it does not say is still lent.
    assert!(own.rule(OperationKind::Mark, StockKind::Paper).unwrap().0.is_lent);
}

#[test]
fn a_stock_that_no_tool_gets_through_is_told_before_anything_is_written() {
    let knife = ship("oscillating-knife-table"); // the blade is 6 mm long, and goes 0.2 mm into the mat
    assert!(depth_check(&knife, StockKind::Board, mm(5.8)).is_empty());
    let deep = depth_check(&knife, StockKind::Board, mm(5.9));
    assert_eq!(deep.len(), 1);
    assert_eq!(
        deep[0].message,
        "through-cut in board needs 6.1 mm (5.9 mm of board and 0.2 mm below it), and `knife` reaches 6 mm"
    );
    // Half of 12.2 mm is deeper than 6 mm: the pocket too.
    assert_eq!(depth_check(&knife, StockKind::Board, mm(12.2)).len(), 2);
    let pocket = |d| operation_depth_check(&knife, OperationKind::HalfDepthPocket, StockKind::Board, mm(d), mm(2.0));
    assert!(pocket(6.0).is_none() && pocket(6.1).is_some());

    // A groove of 0.6 mm goes right through board of 0.5 mm; a wheel only presses.
    let router = ship("small-router");
    let codes = |p: &Profile, t| depth_check(p, StockKind::Board, mm(t)).iter().map(|d| d.code).collect::<Vec<_>>();
    assert_eq!(codes(&router, 0.5), ["crease-through"]);
    assert!(codes(&knife, 0.5).is_empty());
    for (id, _) in shipped() {
        let (p, none) = (ship(id), Vec::<Diagnostic>::new());
        for (stock, t) in [(StockKind::Board, 2.0), (StockKind::Cloth, 0.35), (StockKind::Liner, 0.25)] {
            assert_eq!(depth_check(&p, stock, mm(t)), none, "{id} on the usual {}", stock.word());
        }
    }
}

#[test]
fn a_description_names_every_tool_rule_and_reason() {
    for (id, _) in shipped() {
        let p = ship(id);
        let text = describe(&p);
        for c in &p.cautions {
            assert!(text.contains(c.as_str()), "{id}: {c}");
        }
        let rule_lines = text.lines().skip_while(|l| !l.starts_with("Rules")).take_while(|l| !l.is_empty()).count();
        assert_eq!(rule_lines, p.rules.len() + 2, "{id}");
        let can = text.lines().filter(|l| l.starts_with("  can:") || l.starts_with("  cannot:")).count();
        assert_eq!(can, p.capabilities().len(), "{id}");
        assert!(text.lines().all(|l| l.chars().count() <= 150), "{id}");
    }
}

/// Every key of a declared table is in the JSON, unless it may be left out; and no other is.
fn same_keys(json: &serde_json::Value, table: &Table, at: &str) {
    let found = json.as_object().unwrap_or_else(|| panic!("{at} is no object"));
    for name in found.keys() {
        assert!(table.keys.iter().any(|k| k.name == name), "{at}.{name} is not declared");
    }
    for key in table.keys {
        let Some(value) = found.get(key.name) else {
            assert!(matches!(key.need, Need::Optional), "{at}.{} is not in the JSON", key.name);
            continue;
        };
        assert!(!value.is_null(), "{at}.{}", key.name);
        match &key.shape {
            Shape::Table(inner) => same_keys(value, inner, key.name),
            Shape::Tables(inner) => value.as_array().unwrap().iter().for_each(|v| same_keys(v, inner, key.name)),
            _ => {}
        }
    }
}

#[test]
fn as_json_a_profile_has_the_keys_of_its_file_and_reads_back_the_same() {
    for (id, text) in shipped() {
        let p = told(text).0.unwrap();
        let json = serde_json::to_value(&p).unwrap();
        same_keys(&json, &TABLE, "profile");
        let order: Vec<&String> = json.as_object().unwrap().keys().collect();
        assert_eq!(order, ["format", "name", "cautions", "machine", "output", "tool", "rule"], "{id}");
        // The filled-in profile is itself a profile: written as TOML it reads to the same machine.
        let again = told(&toml::to_string(&json).unwrap());
        assert!(!any_error(&again.1), "{id}: {:?}", again.1);
        assert_eq!(serde_json::to_value(again.0.unwrap()).unwrap(), json, "{id}");
    }
}

#[test]
fn defaults_stand_for_all_but_a_few_keys() {
    let text = "format = 1\nname = 'Least'\ncautions = ['Hands off.']\n[machine]\nwidth = 700\nheight = '40 in'\n\
                [[tool]]\nid = 'pen'\nkind = 'pen'\n[[rule]]\noperation = 'mark'\nstock = 'board'\ntool = 'pen'\nfeed = 900\n";
    let (p, all) = told(text);
    assert!(all.is_empty(), "{all:?}");
    let p = p.unwrap();
    assert_eq!((p.machine.height, p.machine.tolerance, p.output.decimals), (mm(1016.0), mm(0.1), 4));
    assert_eq!((p.tools[0].kind, p.output.start.len(), p.output.rotary), (ToolKind::Pen, 1, None));
    assert_eq!(p.output.end, ["M5", "M2"]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_mutated_profile_never_panics(
        which in 0..6usize,
        edits in prop::collection::vec(
            (0.0..1.0f64, 0..8usize, "\\PC{0,6}|[0-9.eE\"\\[\\]={}#\n-]{0,4}|-|99999999999|nan|\"z\"|\\{power\\}"), 1..6),
    ) {
        let mut text: Vec<char> = shipped()[which].1.chars().collect();
        for (at, cut, put) in edits {
            let at = (at * text.len() as f64) as usize;
            let end = (at + cut).min(text.len());
            text.splice(at..end, put.chars());
        }
        check(&text.into_iter().collect::<String>())?;
    }

    #[test]
    fn a_profile_with_lines_lost_or_exchanged_never_panics(
        which in 0..6usize, lost in prop::collection::vec(0.0..1.0f64, 0..5), number in "-?[0-9]{1,12}(\\.[0-9]{1,3})?",
        at in 0.0..1.0f64,
    ) {
        let mut lines: Vec<String> = shipped()[which].1.lines().map(str::to_owned).collect();
        for l in lost {
            lines.remove((l * lines.len() as f64) as usize);
        }
        let at = (at * lines.len() as f64) as usize;
        if let Some((key, _)) = lines[at].clone().split_once(" = ") {
            lines[at] = format!("{key} = {number}");
        }
        check(&lines.join("\n"))?;
    }
}

fn check(text: &str) -> Result<(), TestCaseError> {
    let source = Source { name: "profile.toml".into(), text: text.into() };
    let (profile, all) = read(&source, "profile");
    prop_assert_eq!(profile.is_none(), any_error(&all));
    prop_assert_eq!(render(&all, &source, &Places::default(), false).matches("--> profile.toml:").count(), all.len());
    if let Some(p) = profile {
        prop_assert!(!describe(&p).contains("NaN"));
        for thickness in [0.0, 2.0, 1e6] {
            depth_check(&p, StockKind::Board, mm(thickness));
        }
    }
    Ok(())
}
