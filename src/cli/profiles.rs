//! `profiles`: the machines that the program knows of.

use super::args::{ProfilesCommand, ReportFormat};
use super::said::Said;
use super::{Exit, Failure, Terminal, load};
use crate::diag::{Places, any_error, listed};
use crate::job::StockKind;
use crate::profile::{self, OperationKind, Profile, Tool};
use crate::units::Unit;
use serde_json::json;
use std::path::Path;

pub(super) fn run(
    what: Option<ProfilesCommand>,
    format: ReportFormat,
    terminal: &mut Terminal<'_>,
) -> Result<Exit, Failure> {
    match what.unwrap_or(ProfilesCommand::List) {
        ProfilesCommand::List => list(format, terminal),
        ProfilesCommand::Show { profile } => one(&profile, format, false, terminal),
        ProfilesCommand::Copy { profile, file } => copy(&profile, &file, terminal),
        ProfilesCommand::Check { profile } => one(&profile, format, true, terminal),
    }
}

fn list(format: ReportFormat, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let mut shipped = Vec::new();
    for (id, _) in profile::shipped() {
        shipped.extend(load::profile(id)?.profile);
    }
    match format {
        ReportFormat::Json => {
            let all: Vec<_> = shipped.iter().map(machine_json).collect();
            writeln!(terminal.out, "{:#}", json!(all))?;
        }
        ReportFormat::Text => {
            for machine in &shipped {
                terminal.out.write_all(machine_text(machine).as_bytes())?;
            }
            let without: Vec<&str> = shipped.iter().filter(|p| !p.machine.z_axis).map(|p| p.id.as_str()).collect();
            if !without.is_empty() {
                writeln!(terminal.out, "Without a word of Z: {}.\n", listed(&without))?;
            }
            writeln!(
                terminal.out,
                "Each is a starting point. Copy the one nearest to your machine into a file of your own\n\
                 (flapwright profiles copy NAME my-table.toml), put your machine's figures in, and name it\n\
                 by its path. What a machine cannot do, and why: flapwright profiles check NAME."
            )?;
        }
    }
    Ok(Exit::Good)
}

/// What a tool does, stock by stock, in the order of stocks and the hard order of operations.
fn does(profile: &Profile, tool: &Tool) -> Vec<(StockKind, Vec<OperationKind>)> {
    let is_done = |stock, operation| profile.rule(operation, stock).is_some_and(|(rule, _)| rule.tool == tool.id);
    let of = |stock| (stock, OperationKind::ALL.into_iter().filter(|o| is_done(stock, *o)).collect());
    StockKind::ALL.into_iter().map(of).filter(|(_, all): &(_, Vec<_>)| !all.is_empty()).collect()
}

/// A machine in a few lines: its language, how tools go up and down, and what each does to which stock.
fn machine_text(profile: &Profile) -> String {
    let mut rows = Vec::new();
    for tool in &profile.tools {
        let mut name = vec![format!("  {}", tool.id), tool.kind.name().to_owned()];
        // Stocks to which it does the same stand together.
        for same in does(profile, tool).chunk_by(|a, b| a.1 == b.1) {
            let stocks: Vec<&str> = same.iter().map(|(stock, _)| stock.word()).collect();
            let words: Vec<&str> = same[0].1.iter().map(|o| o.word()).collect();
            rows.push([&name[..], &[stocks.join(", "), words.join(", ")]].concat());
            name = vec![String::new(); 2];
        }
    }
    let terms = profile.output.language.terms();
    let z = match (profile.machine.z_axis, terms.lifts) {
        (true, _) => "moves Z",
        (false, true) => "has no word of Z: tools go up and down by pen up and pen down",
        (false, false) => "has no word of Z: tools go on and off by words of their own",
    };
    format!("{}: {}\n  {}, {z}\n{}\n", profile.id, profile.name, terms.name, super::columns::table(&rows))
}

fn machine_json(profile: &Profile) -> serde_json::Value {
    let tool = |tool: &Tool| {
        let does: Vec<_> = does(profile, tool)
            .into_iter()
            .map(|(stock, operations)| json!({"stock": stock, "operations": operations}))
            .collect();
        json!({"id": tool.id, "kind": tool.kind, "does": does})
    };
    json!({
        "id": profile.id,
        "name": profile.name,
        "language": profile.output.language.terms().name,
        "moves_z": profile.machine.z_axis,
        "tools": profile.tools.iter().map(tool).collect::<Vec<_>>(),
    })
}

/// A profile's own text, comments and all, as a file for the maker to edit.
fn copy(name: &str, file: &Path, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let loaded = load::profile(name)?;
    super::new::write_new(file, loaded.source.text.as_bytes())?;
    if terminal.is_quiet() {
        return Ok(Exit::Good);
    }
    let file = file.display();
    let of = if loaded.is_shipped { format!("the profile {name}") } else { loaded.origin };
    writeln!(
        terminal.out,
        "Wrote {file}, a copy of {of}. Put your machine's figures in, then: flapwright profiles check {file}"
    )?;
    Ok(Exit::Good)
}

/// Shows a profile, or (`check`) says what is wrong with it and what it can and cannot do.
fn one(name: &str, format: ReportFormat, check: bool, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let loaded = load::profile(name)?;
    let none = Places::default();
    let places = loaded.profile.as_ref().map_or(&none, |p| &p.places);
    let exit = if any_error(&loaded.diagnostics) { Exit::Errors } else { Exit::Good };
    let mut said = Said::new(format, Unit::Mm);
    said.add(&loaded.source, places, loaded.diagnostics.clone());
    match format {
        ReportFormat::Json => {
            let shown = loaded.profile.as_ref().map(|p| json!(p));
            let report = match (check, shown) {
                (false, Some(profile)) => profile,
                (_, shown) => json!({
                    "file": loaded.origin,
                    "diagnostics": said.as_json(),
                    "profile": shown,
                    "can": loaded.profile.as_ref().map(Profile::capabilities),
                }),
            };
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text => {
            let said = said.text(terminal);
            if let Some(profile) = loaded.profile.as_ref().filter(|_| !terminal.is_quiet()) {
                writeln!(terminal.out, "{} ({})\n", profile.name, loaded.origin)?;
                terminal.out.write_all(profile::describe(profile).as_bytes())?;
                writeln!(terminal.out)?;
            }
            terminal.out.write_all(said.as_bytes())?;
            if check && exit == Exit::Good && !terminal.is_quiet() {
                writeln!(terminal.out, "The profile can be used.")?;
            }
        }
    }
    Ok(exit)
}
