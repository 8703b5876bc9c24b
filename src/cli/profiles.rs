//! `profiles`: the machines that the program knows of.

use super::args::{ProfilesCommand, ReportFormat};
use super::{Exit, Failure, Terminal, load};
use crate::diag::{Places, any_error, render, to_json};
use crate::profile::{self, Profile};
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
            let all: Vec<_> = shipped.iter().map(|p| json!({"id": p.id, "name": p.name})).collect();
            writeln!(terminal.out, "{:#}", json!(all))?;
        }
        ReportFormat::Text => {
            let rows: Vec<Vec<String>> = shipped.iter().map(|p| vec![p.id.clone(), p.name.clone()]).collect();
            terminal.out.write_all(super::columns::table(&rows).as_bytes())?;
            writeln!(
                terminal.out,
                "\nEach is a starting point. Copy the one nearest to your machine into a file of your own\n\
                 (flapwright profiles copy NAME my-table.toml), put your machine's figures in, and name it\n\
                 by its path."
            )?;
        }
    }
    Ok(Exit::Good)
}

/// A profile's own text, comments and all, as a file for the maker to edit.
fn copy(name: &str, file: &Path, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let loaded = load::profile(name)?;
    super::new::write_new(file, loaded.source.text.as_bytes())?;
    let file = file.display();
    writeln!(
        terminal.out,
        "Wrote {file}, a copy of {}. Put your machine's figures in, then: flapwright profiles check {file}",
        loaded.origin
    )?;
    Ok(Exit::Good)
}

/// Shows a profile, or (`check`) says what is wrong with it and what it can and cannot do.
fn one(name: &str, format: ReportFormat, check: bool, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let loaded = load::profile(name)?;
    let none = Places::default();
    let places = loaded.profile.as_ref().map_or(&none, |p| &p.places);
    let exit = if any_error(&loaded.diagnostics) { Exit::Errors } else { Exit::Good };
    match format {
        ReportFormat::Json => {
            let said = to_json(&loaded.diagnostics, &loaded.source, places);
            let shown = loaded.profile.as_ref().map(|p| json!(p));
            let report = match (check, shown) {
                (false, Some(profile)) => profile,
                (_, shown) => json!({
                    "file": loaded.origin,
                    "diagnostics": said,
                    "profile": shown,
                    "can": loaded.profile.as_ref().map(Profile::capabilities),
                }),
            };
            writeln!(terminal.out, "{report:#}")?;
        }
        ReportFormat::Text => {
            let said = render(&loaded.diagnostics, &loaded.source, places, terminal.color);
            if let Some(profile) = &loaded.profile {
                writeln!(terminal.out, "{} ({})\n", profile.name, loaded.origin)?;
                terminal.out.write_all(profile::describe(profile).as_bytes())?;
                writeln!(terminal.out)?;
            }
            terminal.out.write_all(said.as_bytes())?;
            if check && exit == Exit::Good {
                writeln!(terminal.out, "The profile can be used.")?;
            }
        }
    }
    Ok(exit)
}
