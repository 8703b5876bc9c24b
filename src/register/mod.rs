//! Cutting in register: where a sheet really lies, by marks measured on the bed.
//!
//! A print is never where a layout has it. Two to four marks whose places on the sheet are known are measured on the
//! bed in the machine's own coordinates; the best fit ([`fit`](mod@fit), with the formulas) brings the sheet's lines
//! there before anything is moved for a tool, so that kerfs and offsets stay what they are. What a sheet does not do
//! is refused: a mark misread or two exchanged show as a residual, a turn or a stretch that no sheet has.

mod affine;
pub mod fit;
pub mod form;

pub use affine::Affine;
pub use fit::{Fit, NoFit, Pair, Stretch};

use crate::diag::{Diagnostic, listed};
use crate::geom::{Bounds, Point, pt};
use crate::units::{decimal, mm};
use form::Marks;

/// No mark is measured farther from its place than this, mm (our choice): a pointer is read to a few tenths.
pub const MOST_RESIDUAL: f64 = 0.5;
/// No sheet is stretched by more than this share (our choice): paper and cloth do some tenths of a percent when wet.
pub const MOST_STRETCH: f64 = 0.02;
/// No sheet is laid so far aslant, degrees (our choice).
pub const MOST_TURN: f64 = 10.0;
/// No sheet leans so far, degrees (our choice): as much as the stretch.
pub const MOST_SHEAR: f64 = 1.0;

/// A sheet in register on a machine.
#[derive(Clone, Debug)]
pub struct Register {
    /// The sheet's id.
    pub sheet: String,
    /// The machine's.
    pub machine: String,
    /// Whether the other face lies up.
    pub is_turned_over: bool,
    /// What the sheet is thought to have done.
    pub stretch: Stretch,
    /// From the sheet as it is laid out to where it lies, both from the place of its lower left corner as the machine
    /// has it; a sheet that is turned over is so first.
    pub map: Affine,
    /// The fit by itself.
    pub fit: Fit,
    /// The marks: name, place on the sheet as it is laid out, and where it was measured, counted as the map does, mm.
    pub marks: Vec<(String, Point, Point)>,
}

/// Where a sheet is to be found, and how to count there.
pub struct Bed<'a> {
    /// The sheet's id and the machine's.
    pub names: [&'a str; 2],
    /// The width of the sheet, mm.
    pub width: f64,
    /// From the file's places to the sheet's.
    pub to_sheet: &'a dyn Fn(Point) -> Point,
    /// From the machine's own coordinates to those of the sheet as it is laid out.
    pub to_bed: &'a dyn Fn(Point) -> Point,
}

/// The register of a sheet by these marks, and what is to be said of it; nothing where they do not fit.
pub fn register(file: &Marks, bed: &Bed<'_>) -> (Option<Register>, Vec<Diagnostic>) {
    let over = if file.is_turned_over { Affine::turned_over(bed.width) } else { Affine::IDENTITY };
    let marks: Vec<(String, Point, Point)> =
        file.marks.iter().map(|m| (m.name.clone(), (bed.to_sheet)(m.at), (bed.to_bed)(m.measured))).collect();
    let pairs: Vec<Pair> =
        marks.iter().map(|(_, at, measured)| Pair { nominal: over.apply(*at), measured: *measured }).collect();
    let stretch = file.stretch.unwrap_or(Stretch::usual(pairs.len()));
    let fit = match fit::fit(&pairs, stretch) {
        Ok(fit) => fit,
        Err(why) => return (None, vec![unfit(why, stretch)]),
    };
    let faults = faults(&fit, &names(file));
    if !faults.is_empty() {
        let all: Vec<&str> = faults.iter().map(String::as_str).collect();
        let message = format!("the marks of {} do not fit: {}", bed.names[0], listed(&all));
        let hint = cause(&pairs, stretch, &names(file), file.is_turned_over);
        return (None, vec![Diagnostic::error("marks-do-not-fit", message).at("mark").help(hint)]);
    }
    let mut said = Vec::new();
    if pairs.len() == 2 {
        let message = "two marks do not show a sheet that is laid the other way round, nor a mark that is misread along with the other";
        let hint = "measure a third";
        said.push(Diagnostic::hint("two-marks", message).at("mark").help(hint));
        if stretch == Stretch::None && (fit.scales[0] - 1.0).abs() > 1e-3 {
            let message = format!(
                "between its marks {} measures {} % of what it should, which is not made up",
                bed.names[0],
                decimal(fit.scales[0] * 100.0, 2)
            );
            let hint =
                "if the sheet grew or shrank, set stretch = \"even\" or measure three marks; if not, measure again";
            said.push(Diagnostic::warning("stretch-left", message).at("mark").help(hint));
        }
    }
    let map = fit.map.after(&over);
    let [sheet, machine] = bed.names.map(str::to_owned);
    (Some(Register { sheet, machine, is_turned_over: file.is_turned_over, stretch, map, fit, marks }), said)
}

fn names(file: &Marks) -> Vec<&str> {
    file.marks.iter().map(|m| m.name.as_str()).collect()
}

fn unfit(why: NoFit, stretch: Stretch) -> Diagnostic {
    let (message, hint) = match why {
        NoFit::TooFew => (
            format!("stretch = \"{}\" takes {} marks at least", stretch.word(), stretch.least()),
            "measure another, or set stretch = \"none\"",
        ),
        NoFit::TooNear => (
            format!("the marks stand less than {} apart, which fixes no turn", mm(fit::NEAREST)),
            "take marks at opposite ends of the sheet",
        ),
        NoFit::InLine => (
            "the marks stand nearly in one line, which does not say how the sheet is stretched across it".to_owned(),
            "take marks at three corners, or set stretch = \"none\" or \"even\"",
        ),
    };
    Diagnostic::error("marks-too-poor", message).at("mark").help(hint)
}

/// What of a fit no sheet does.
fn faults(fit: &Fit, names: &[&str]) -> Vec<String> {
    let mut faults = Vec::new();
    let (at, worst) = fit.worst();
    if worst > MOST_RESIDUAL {
        let name = names.get(at).copied().unwrap_or_default();
        faults.push(format!("{name} is off by {} mm ({MOST_RESIDUAL} mm are let pass)", decimal(worst, 2)));
    }
    let [along, across] = fit.scales;
    if (along - 1.0).abs() > MOST_STRETCH || (across - 1.0).abs() > MOST_STRETCH {
        let percent = |s: f64| decimal(s * 100.0, 1);
        let both = if (along - across).abs() < 1e-9 {
            percent(along)
        } else {
            format!("{} % across and {}", percent(along), percent(across))
        };
        faults.push(format!("it would measure {both} % of its size (98 to 102 % are let pass)"));
    }
    let turn = fit.map.turn_deg();
    if turn.abs() > MOST_TURN {
        faults.push(format!("it would lie turned by {} degrees ({MOST_TURN} are let pass)", decimal(turn, 1)));
    }
    if fit.map.determinant() < 0.0 {
        faults.push("it would lie turned over".into());
    } else if fit.map.shear_deg().abs() > MOST_SHEAR {
        let shear = decimal(fit.map.shear_deg(), 1);
        faults.push(format!("its corners would lean by {shear} degrees ({MOST_SHEAR} is let pass)"));
    }
    faults
}

fn is_good(pairs: &[Pair], stretch: Stretch) -> bool {
    let names = vec![""; pairs.len()];
    fit::fit(pairs, stretch).is_ok_and(|f| faults(&f, &names).is_empty())
}

/// What is usually wrong with marks that do not fit: tried, one after the other.
fn cause(pairs: &[Pair], stretch: Stretch, names: &[&str], is_turned_over: bool) -> String {
    let with = |change: &dyn Fn(usize, &Pair) -> Pair| -> Vec<Pair> {
        pairs.iter().enumerate().map(|(i, p)| change(i, p)).collect()
    };
    for i in 0..pairs.len() {
        for j in i + 1..pairs.len() {
            let exchanged = with(&|k, p| Pair {
                measured: pairs[if k == i {
                    j
                } else if k == j {
                    i
                } else {
                    k
                }]
                .measured,
                ..*p
            });
            if is_good(&exchanged, stretch) {
                return format!("they fit if {} and {} are exchanged: look which is which", names[i], names[j]);
            }
        }
    }
    let around = Bounds::of(pairs.iter().map(|p| p.nominal)).center();
    for (turn, words) in [(90.0, "a quarter to the left"), (180.0, "by a half"), (-90.0, "a quarter to the right")] {
        let turned = |p: Point| around + (p - around).rotated(f64::to_radians(turn));
        if is_good(&with(&|_, p| Pair { nominal: turned(p.nominal), ..*p }), stretch) {
            return format!("they fit a sheet that lies turned {words}: lay it as its picture shows it");
        }
    }
    if is_good(&with(&|_, p| Pair { nominal: pt(-p.nominal.x, p.nominal.y), ..*p }), stretch) {
        let now = if is_turned_over {
            "is not: leave turned_over out"
        } else {
            "is: set turned_over = true if it is meant to lie so"
        };
        return format!("they fit if the sheet lies with its other face up, which it {now}");
    }
    let inch = mm(1.0).to_inch();
    for (factor, words) in [(1.0 / inch, "inches"), (inch, "millimetres"), (10.0, "centimetres"), (1000.0, "metres")] {
        if is_good(&with(&|_, p| Pair { measured: p.measured * factor, ..*p }), stretch) {
            return format!("they fit if what was measured is in {words}: set units, or write the unit with each");
        }
    }
    // Each in its turn left out: the others then say where it should be.
    for i in (0..pairs.len()).filter(|_| pairs.len() > 3) {
        let others: Vec<Pair> = pairs.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, p)| *p).collect();
        if is_good(&others, stretch) && others_alone(pairs, stretch, i) {
            return format!("the others fit without {}: measure that one again", names[i]);
        }
    }
    "measure them again: a mark is misread, or the sheet is not the one that this job lays out".into()
}

/// Whether of all marks this one alone is the one without which the others fit.
fn others_alone(pairs: &[Pair], stretch: Stretch, alone: usize) -> bool {
    (0..pairs.len()).filter(|i| *i != alone).all(|i| {
        let others: Vec<Pair> = pairs.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, p)| *p).collect();
        !is_good(&others, stretch)
    })
}

#[cfg(test)]
mod tests;
