//! `coupon`: a small sheet that measures a machine, and its measurements read into a profile.

use super::args::{CouponArgs, ReportFormat};
use super::folder::{replace_file, write_whole};
use super::load::LoadedProfile;
use super::said::Said;
use super::{Exit, Failure, Terminal, load, programs};
use crate::coupon::{coupon, edit, figures, form, guide};
use crate::diag::{Places, Source, any_error};
use crate::job::StockKind;
use crate::pipeline::{CouponWish, coupon_folder};
use crate::profile::{self, Profile};
use crate::units::{Length, Unit};
use crate::write::pdf::Paper;
use serde_json::json;
use std::path::Path;

pub(super) fn run(args: &CouponArgs, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let machine = load::profile(&args.machine)?;
    let mut said = Said::new(args.report.format, Unit::Mm);
    let places = machine.profile.as_ref().map(|p| p.places.clone()).unwrap_or_default();
    said.add(&machine.source, &places, machine.diagnostics.clone());
    let Some(profile) = &machine.profile else { return said.refuse(terminal) };
    match (&args.read, &args.out) {
        (Some(file), _) => learn(args, file, &machine, profile, said, terminal),
        (None, Some(out)) => write(args, out, &machine, profile, said, terminal),
        // The arguments ask for one of the two.
        (None, None) => Err(Failure::usage("neither --out nor --read".into(), "give one of them".into())),
    }
}

/// The coupon's folder.
fn write(
    args: &CouponArgs,
    out: &Path,
    machine: &LoadedProfile,
    profile: &Profile,
    mut said: Said,
    terminal: &mut Terminal<'_>,
) -> Result<Exit, Failure> {
    let stock = StockKind::from(args.stock);
    let thickness = thickness(args.thickness.as_deref(), stock)?;
    let (coupon, mut more) = coupon(profile, stock, thickness);
    let wish = CouponWish { has_png: args.png, paper: args.paper.map(Paper::from) };
    let made = match coupon.as_ref().zip(machine.machine()) {
        None => None,
        Some((coupon, machine)) => {
            let (made, about) = coupon_folder(coupon, &machine, wish);
            more.extend(about);
            made.map_err(|why| Failure::Output(std::io::Error::other(why)))?
        }
    };
    said.add(&machine.source, &profile.places, more);
    let Some(made) = made else { return said.refuse(terminal) };
    if said.has_errors() {
        return said.refuse(terminal);
    }
    write_whole(out, &made.files).map_err(|e| {
        Failure::usage(e.to_string(), e.hint("nothing was changed; the folder before, if any, is as it was"))
    })?;
    let folder = out.display().to_string();
    match args.report.format {
        ReportFormat::Json => {
            let names: Vec<&String> = made.files.iter().map(|(name, _)| name).collect();
            let report = json!({"format": 1, "folder": folder, "files": names, "programs": made.programs, "diagnostics": said.as_json()});
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text if terminal.is_quiet() => {}
        ReportFormat::Text => {
            writeln!(terminal.out, "Coupon for {}: written to {folder}\n", profile.name)?;
            writeln!(
                terminal.out,
                "  Cut it from {} {} thick, then go by {}/{}: it says what to measure and where it goes.",
                stock.word(),
                thickness,
                folder,
                guide::PAGES_NAME
            )?;
            terminal.out.write_all(programs::report(&made.programs).as_bytes())?;
            terminal.out.write_all(programs::cautions(std::slice::from_ref(machine)).as_bytes())?;
            if !said.is_empty() {
                writeln!(terminal.out)?;
            }
            said.show(terminal)?;
        }
    }
    Ok(Exit::Good)
}

fn thickness(text: Option<&str>, stock: StockKind) -> Result<Length, Failure> {
    crate::coupon::thickness(text, stock).ok_or_else(|| {
        Failure::usage(
            format!("--thickness {} is no thickness of {}", text.unwrap_or_default(), stock.told_thicknesses(Unit::Mm)),
            "write it as measured, such as \"2.5 mm\" or \"80 pt\"".into(),
        )
    })
}

/// The measurements, as changes of the profile: shown, and written where that is asked.
fn learn(
    args: &CouponArgs,
    file: &Path,
    machine: &LoadedProfile,
    profile: &Profile,
    mut said: Said,
    terminal: &mut Terminal<'_>,
) -> Result<Exit, Failure> {
    let source = load::text(file)?;
    let (measured, mut more) = form::read(&source);
    let mut changes = Vec::new();
    if let Some(measured) = &measured {
        let (found, about) = figures::changes(measured, profile);
        changes = found;
        more.extend(form::placed(&source, about));
    }
    said.add(&source, &Places::default(), more);
    let old = &machine.source.text;
    let mut new = None;
    if !said.has_errors() {
        let text = edit::edited(old, &changes).map_err(|why| {
            Failure::usage(format!("{} cannot be changed: {why}", machine.origin), "is it a profile?".into())
        })?;
        // What a bad figure would make of the profile is said before it is written.
        let edited = Source { name: machine.source.name.clone(), text };
        let (_, about) = profile::read(&edited, &profile.id);
        if any_error(&about) {
            said.add(&edited, &Places::default(), about);
        } else {
            new = Some(edited.text);
        }
    }
    let Some(new) = new else { return said.refuse(terminal) };
    let write = args.write && !changes.is_empty();
    if write {
        replace(args, machine, &new)?;
    }
    let shown = edit::diff(old, &new);
    match args.report.format {
        ReportFormat::Json => {
            let told: Vec<_> = changes
                .iter()
                .map(|c| json!({"of": named(c, profile), "key": c.key, "from": c.from, "to": c.to, "why": c.why}))
                .collect();
            let report = json!({"format": 1, "profile": machine.origin, "changes": told, "diff": shown, "written": write, "diagnostics": said.as_json()});
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text if terminal.is_quiet() => {}
        ReportFormat::Text if changes.is_empty() => {
            writeln!(terminal.out, "{} says so already: nothing to change.\n", machine.origin)?;
            said.show(terminal)?;
        }
        ReportFormat::Text => {
            for change in &changes {
                writeln!(terminal.out, "{}", edit::in_words(change, &named(change, profile)))?;
            }
            writeln!(terminal.out, "\n{shown}")?;
            if write {
                writeln!(terminal.out, "Written to {}.", machine.origin)?;
            } else {
                writeln!(terminal.out, "Nothing was written: add --write to write it to {}.", machine.origin)?;
            }
            if !said.is_empty() {
                writeln!(terminal.out)?;
            }
            said.show(terminal)?;
        }
    }
    Ok(Exit::Good)
}

/// What a change is of.
fn named(change: &figures::Change, profile: &Profile) -> String {
    match change.table {
        figures::TableAt::Tool(i) => profile.tools.get(i).map(|t| t.id.clone()).unwrap_or_default(),
        figures::TableAt::Rule(i) => {
            profile.rules.get(i).map(|r| format!("{} in {}", r.operation.word(), r.stock.word())).unwrap_or_default()
        }
    }
}

/// The profile's file replaced in one step, so that a full disk does not leave half of it.
fn replace(args: &CouponArgs, machine: &LoadedProfile, text: &str) -> Result<(), Failure> {
    if machine.is_shipped {
        let name = &args.machine;
        let hint = format!(
            "make a copy of your own and name that: flapwright profiles copy {name} my-machine.toml, then --machine \
             my-machine.toml"
        );
        return Err(Failure::usage(format!("the profile {name} comes with the program and is not changed"), hint));
    }
    let path = Path::new(&args.machine);
    replace_file(path, text.as_bytes()).map_err(|e| Failure::usage(e.to_string(), e.hint("nothing was changed")))
}
