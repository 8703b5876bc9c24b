//! A document that has been read -> a draft of the machine. What is not there or was refused by
//! the reader becomes NaN, which no check reports a second time.

use super::{Lift, Machine, OperationKind, Output, Profile, Rule, Tool, ToolKind};
use crate::diag::Diagnostic;
use crate::doc::{Document, RawLength};
use crate::job::StockKind;
use crate::units::{Feed, Length, deg, mm, mm_per_min};
use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error;

/// A machine that may still be wrong.
pub(super) struct Draft {
    pub(super) profile: Profile,
    /// Which tools have a readable kind.
    pub(super) tool_known: Vec<bool>,
    /// Which rules have a readable operation, stock and tool.
    pub(super) rule_known: Vec<bool>,
}

pub(super) fn build(doc: &Document, id: &str, out: &mut Vec<Diagnostic>) -> Draft {
    let mut take = Take { doc, out };
    let tools: Vec<(Tool, bool)> = (0..doc.len("tool")).map(|i| tool(&mut take, &format!("tool.{i}"))).collect();
    let rules: Vec<(Rule, bool)> = (0..doc.len("rule")).map(|i| rule(&mut take, &format!("rule.{i}"))).collect();
    Draft {
        tool_known: tools.iter().map(|t| t.1).collect(),
        rule_known: rules.iter().map(|r| r.1).collect(),
        profile: Profile {
            format: take.count("format"),
            id: id.to_owned(),
            name: take.text("name"),
            cautions: doc.texts("cautions"),
            machine: machine(&mut take),
            output: output(&mut take),
            tools: tools.into_iter().map(|t| t.0).collect(),
            rules: rules.into_iter().map(|r| r.0).collect(),
            places: doc.places.clone(),
        },
    }
}

fn machine(take: &mut Take<'_>) -> Machine {
    Machine {
        width: take.length("machine.width"),
        height: take.length("machine.height"),
        zero: take.word("machine.zero").unwrap_or(super::BedPlace::LowerLeft),
        x_points: take.word("machine.x_points").unwrap_or(super::Way::Right),
        y_points: take.word("machine.y_points").unwrap_or(super::Way::Up),
        z_axis: take.doc.flag("machine.z_axis").unwrap_or(true),
        z_zero: take.word("machine.z_zero").unwrap_or(super::ZZero::Bed),
        safe_height: take.length("machine.safe_height"),
        park: take.pair("machine.park"),
        origin: take.pair("machine.origin"),
        rapid: take.feed("machine.rapid"),
        rapid_z: take.feed("machine.rapid_z"),
        acceleration: take.number("machine.acceleration"),
        junction_deviation: take.length("machine.junction_deviation"),
        look_ahead: take.count("machine.look_ahead"),
        rotary_limit: deg(take.number("machine.rotary_limit")),
        rotary_speed: take.number("machine.rotary_speed"),
        tolerance: take.length("machine.tolerance"),
        hold: take.word("machine.hold").unwrap_or(super::Hold::Rim),
    }
}

fn output(take: &mut Take<'_>) -> Output {
    Output {
        language: take.word("output.language").unwrap_or(super::Language::Gcode),
        extension: take.text("output.extension"),
        unit: take.word("output.unit").unwrap_or(super::ProgramUnit::Mm),
        step: take.length("output.step"),
        decimals: if take.doc.has("output.decimals") { take.count("output.decimals") } else { 4 },
        arcs: take.flag("output.arcs"),
        arc_centres: take.word("output.arc_centres").unwrap_or(super::ArcCentres::FromStart),
        chord: take.length("output.chord"),
        rotary: take.doc.text("output.rotary").map(str::to_owned),
        rotary_scale: take.number("output.rotary_scale"),
        line_numbers: take.count("output.line_numbers"),
        comments: take.word("output.comments").unwrap_or(super::Comments::None),
        line_ending: take.word("output.line_ending").unwrap_or(super::LineEnding::Lf),
        line_limit: take.count("output.line_limit"),
        dwell: take.word("output.dwell").unwrap_or(super::DwellUnit::Seconds),
        percent: take.flag("output.percent"),
        start: take.doc.texts("output.start"),
        end: take.doc.texts("output.end"),
        tool_change: take.word("output.tool_change").unwrap_or(super::ToolChange::Pause),
        change: take.doc.texts("output.change"),
    }
}

fn tool(take: &mut Take<'_>, at: &str) -> (Tool, bool) {
    let k = |name: &str| format!("{at}.{name}");
    let kind = take.word(&k("kind"));
    let tool = Tool {
        id: take.text(&k("id")),
        kind: kind.unwrap_or(ToolKind::Pen),
        number: take.count(&k("number")),
        kerf: take.length(&k("kerf")),
        pivot_offset: take.length(&k("pivot_offset")),
        start_heading: deg(take.number(&k("start_heading"))),
        edge_angle: deg(take.number(&k("edge_angle"))),
        blade_width: take.length(&k("blade_width")),
        max_depth: take.length(&k("max_depth")),
        swivel_depth: take.doc.has(&k("swivel_depth")).then(|| take.length(&k("swivel_depth"))),
        lift: take.word(&k("lift")).unwrap_or(Lift::Z),
        on_dwell: take.number(&k("on_dwell")),
        off_dwell: take.number(&k("off_dwell")),
        on: take.doc.texts(&k("on")),
        off: take.doc.texts(&k("off")),
    };
    (tool, kind.is_some())
}

fn rule(take: &mut Take<'_>, at: &str) -> (Rule, bool) {
    let k = |name: &str| format!("{at}.{name}");
    let operation: Option<OperationKind> = take.word(&k("operation"));
    let stock = take.doc.text(&k("stock")).and_then(StockKind::of_word);
    let known = operation.is_some() && stock.is_some() && take.doc.text(&k("tool")).is_some();
    let rule = Rule {
        operation: operation.unwrap_or(OperationKind::Mark),
        stock: stock.unwrap_or(StockKind::Board),
        is_lent: false,
        tool: take.text(&k("tool")),
        feed: take.feed(&k("feed")),
        plunge: take.feed(&k("plunge")),
        pass_depth: take.length(&k("pass_depth")),
        extra_depth: take.length(&k("extra_depth")),
        depth: take.length(&k("depth")),
        passes: take.count(&k("passes")),
        overrun: take.length(&k("overrun")),
        corner_limit: deg(take.number(&k("corner_limit"))),
        turn_feed: take.number(&k("turn_feed")),
        finish: take.word(&k("finish")).unwrap_or(super::Finish::Bottom),
        power: take.doc.number(&k("power")),
        speed: take.doc.number(&k("speed")),
        lead: take.length(&k("lead")),
        bridges: take.count(&k("bridges")),
        bridge_width: take.length(&k("bridge_width")),
        bridge_height: take.length(&k("bridge_height")),
        hatch: take.length(&k("hatch")),
        least_strip: take.length(&k("least_strip")),
        step_over: take.number(&k("step_over")),
        ramp: deg(take.number(&k("ramp"))),
        direction: take.word(&k("direction")).unwrap_or(super::CutDirection::Conventional),
        corner_relief: take.flag(&k("corner_relief")),
        double: take.length(&k("double")),
        pattern: take.lengths(&k("pattern")),
    };
    (rule, known)
}

/// Takes values out of the document.
struct Take<'d> {
    doc: &'d Document,
    out: &'d mut Vec<Diagnostic>,
}

impl Take<'_> {
    fn text(&self, key: &str) -> String {
        self.doc.text(key).unwrap_or_default().to_owned()
    }

    fn flag(&self, key: &str) -> bool {
        self.doc.flag(key).unwrap_or(false)
    }

    fn number(&self, key: &str) -> f64 {
        self.doc.number(key).unwrap_or(f64::NAN)
    }

    fn feed(&self, key: &str) -> Feed {
        mm_per_min(self.number(key))
    }

    /// A count; one beyond 32 bits is cut down here and refused by its range.
    fn count(&self, key: &str) -> u32 {
        self.doc.count(key).map_or(0, |n| u32::try_from(n).unwrap_or(u32::MAX))
    }

    fn length(&mut self, key: &str) -> Length {
        self.doc.length(key).map_or(mm(f64::NAN), |raw| self.fixed(raw, key))
    }

    fn lengths(&mut self, key: &str) -> Vec<Length> {
        let raw = self.doc.lengths(key);
        raw.into_iter().enumerate().map(|(i, l)| self.fixed(l, &format!("{key}.{i}"))).collect()
    }

    fn pair(&mut self, key: &str) -> [Length; 2] {
        let found = self.lengths(key);
        if let [x, y] = found[..] {
            return [x, y];
        }
        if self.doc.has(key) {
            let message = format!("`{key}` has {} numbers, and it needs two: x and y", found.len());
            self.out.push(Diagnostic::error("not-a-pair", message).at(key).help("write it as [0, 0]"));
        }
        [mm(f64::NAN); 2]
    }

    /// A machine knows no board, so `t` stands for nothing here.
    fn fixed(&mut self, raw: RawLength, key: &str) -> Length {
        if let RawLength::Fixed(length) = raw {
            return length;
        }
        let message = format!("`{key}` counts in boards, and a machine profile knows no board");
        let d = Diagnostic::error("no-board-here", message).at(key);
        self.out.push(d.help("write a number of millimetres"));
        mm(f64::NAN)
    }

    /// One of a choice of words.
    fn word<T: for<'a> Deserialize<'a>>(&self, key: &str) -> Option<T> {
        let word = self.doc.text(key)?;
        let de: serde::de::value::StrDeserializer<'_, Error> = word.into_deserializer();
        T::deserialize(de).ok()
    }
}
