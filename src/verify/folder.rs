//! An exported folder proved: every file is what the manifest says, every drawing shows the nominal
//! pieces, every program cuts them.

use super::account::account;
use super::drawing::{drawings, without_a_sheet};
use super::nominal::Nominal;
use super::place::Coordinates;
use super::program::{ProgramProof, Subject, follow_program};
use super::read::Move;
use super::read::manifest::{self, ListedProgram, Manifest, RunKind};
use super::{Finding, of_job, register, runs};
use crate::diag::{Severity, Source, any_error};
use crate::geom::{Bounds, pt};
use crate::profile::{self, OperationKind, Profile};
use crate::units::Unit;
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// What came of a folder.
#[derive(Clone, Debug, Default)]
pub struct Folder {
    /// The job's title.
    pub title: String,
    /// The job's unit, in which a person reads what was found.
    pub unit: Unit,
    /// About the folder itself and its drawings.
    pub findings: Vec<Finding>,
    /// Each program.
    pub programs: Vec<ProgramProof>,
    /// How many drawings agree with the manifest.
    pub drawings: usize,
    /// The kinds of files that were not kept, each with the number of folders that do without.
    pub left_out: BTreeMap<String, usize>,
    /// Of these kinds those without which something could not be proved.
    pub unproved: BTreeMap<String, usize>,
}

impl Folder {
    /// Everything found, the folder's own first.
    pub fn all(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().chain(self.programs.iter().flat_map(|p| &p.findings))
    }

    /// Whether every program was compared with what it should cut, and nothing that was not kept was wanting for a proof.
    pub fn is_compared(&self) -> bool {
        self.programs.iter().all(|p| p.comparison.is_some()) && self.unproved.is_empty()
    }

    /// Whether nothing failed.
    pub fn is_good(&self) -> bool {
        !self.all().any(Finding::is_error)
    }
}

/// Proves a folder's files, name and bytes. A file that is not as the manifest has it is named and
/// still looked at: what it would cut is worth knowing, but never that it is right.
pub fn verify_folder(files: &BTreeMap<String, Vec<u8>>) -> Folder {
    let mut folder = Folder::default();
    let file = |name: &str| files.get(name).map(Vec::as_slice);
    let manifest = match files.get(manifest::FILE_NAME).map(|bytes| manifest::read_with(bytes, file)) {
        Some(Ok(manifest)) => manifest,
        Some(Err(why)) => {
            folder.findings.push(Finding::of_file(manifest::FILE_NAME, Finding::new("manifest", why)));
            return folder;
        }
        None => {
            let finding = Finding::new("manifest", "there is no manifest in the folder")
                .help("name a folder that `export` wrote");
            folder.findings.push(Finding::of_file(manifest::FILE_NAME, finding));
            return folder;
        }
    };
    folder.title.clone_from(&manifest.title);
    folder.unit = if manifest.shown_in == "in" { Unit::Inch } else { Unit::Mm };
    hashes(&manifest, files, &mut folder.findings);
    folder.left_out = manifest.left_out.iter().map(|word| (word.clone(), 1)).collect();
    folder.unproved.clone_from(&folder.left_out);
    let is_drawn = manifest.sheets.iter().all(|sheet| !sheet.drawings.is_empty());
    folder.unproved.retain(|word, _| word == "pieces" || word == "dxf" && !is_drawn);
    if !manifest.has_pieces(files) {
        folder.findings.extend(of_job::check(&manifest, files));
        return folder;
    }
    let profiles = profiles(&manifest, files, &mut folder.findings);
    // Each file on its own, gathered in the manifest's order.
    let drawings: Vec<_> = manifest.sheets.par_iter().map(|sheet| drawings(&manifest, sheet, files)).collect();
    for (name, found) in drawings.into_iter().flatten() {
        folder.drawings += usize::from(found.is_empty());
        let told = |f| Finding::of_file(&name, f).counted(&Coordinates::default());
        folder.findings.extend(found.into_iter().map(told));
    }
    folder.findings.extend(without_a_sheet(&manifest, files));
    folder.findings.extend(of_job::check(&manifest, files));
    let on_beds = on_beds(&manifest, &profiles);
    let proved = |program: &ListedProgram| {
        let (bytes, profile) = (files.get(&program.file)?, profiles.get(&program.machine)?);
        Some(prove(&manifest, program, bytes, profile, &on_beds))
    };
    let proved: Vec<_> = manifest.programs.par_iter().map(proved).collect();
    let mut seen = Vec::with_capacity(proved.len());
    for (program, proved) in manifest.programs.iter().zip(proved) {
        seen.push(proved.and_then(|p| match p {
            Ok(seen) => Some(seen),
            Err(why) => {
                folder.findings.push(Finding::of_file(&program.file, Finding::new("manifest", why)));
                None
            }
        }));
    }
    let idle: Vec<_> = (0..seen.len()).map(|i| idle(&manifest, i, &seen, &profiles)).collect();
    let mut blamed: Vec<&ListedProgram> = Vec::new();
    for ((program, seen), idle) in manifest.programs.iter().zip(seen).zip(idle) {
        let Some(Seen { mut proof, .. }) = seen else { continue };
        // Where the work itself is wrong, what shows its way is not to blame.
        if !blamed.iter().any(|b| is_of(b, program)) {
            proof.findings.extend(idle.map(|f| Finding::of_file(&program.file, f).counted(&proof.coordinates)));
        }
        if let Some(bytes) = files.get(&program.file) {
            excuse_trials(&manifest, &program.file, bytes, &mut proof.findings);
        }
        if proof.findings.iter().any(Finding::is_error) {
            blamed.push(program);
        }
        folder.programs.push(proof);
    }
    // What a program's entry says wrongly is told there; the lists that add it up are then not to blame.
    let is_told = folder.programs.iter().any(|p| p.findings.iter().any(|f| f.code == "account"));
    folder.findings.extend(register::check(&manifest));
    folder.findings.extend(account(&manifest, files, &profiles, is_told));
    by_cause(&manifest, files, &mut folder);
    folder
}

/// What to do depends on what was changed, which the hashes tell: the file itself, the profile that it was
/// judged by, or, where both are as they were written, the manifest. What is wrong with a file that nobody
/// changed has that one cause, and is told once.
fn by_cause(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>, folder: &mut Folder) {
    // What the hashes said stands among the folder's findings.
    let changed = folder.findings.iter().filter(|f| f.code == "file-changed");
    let changed: BTreeSet<String> = changed.map(|f| f.file.clone()).collect();
    let is_changed = |name: &str| changed.contains(name);
    let cause = |file: &str| {
        let of = manifest.programs.iter().find(|p| p.file == file);
        let profile = of.map(|p| format!("{}.profile.toml", p.machine)).filter(|name| is_changed(name));
        match profile {
            _ if is_changed(file) => {
                (false, "the file was changed after it was written: export the folder again".into())
            }
            Some(name) => (true, format!("{name} was changed after the program was written: export the folder again")),
            None => {
                let list = manifest::FILE_NAME;
                (
                    true,
                    format!("{file} is as it was written, and {list} does not say the same: export the folder again"),
                )
            }
        }
    };
    let mend = |findings: &mut Vec<Finding>| {
        let mut kept: Vec<Finding> = Vec::with_capacity(findings.len());
        for mut f in findings.drain(..) {
            let is_told = !f.is_error() || f.file == manifest::FILE_NAME || SELF_TOLD.contains(&f.code);
            if is_told || !files.contains_key(&f.file) {
                kept.push(f);
                continue;
            }
            let (is_one, hint) = cause(&f.file);
            f.hint = Some(hint);
            match kept.iter_mut().find(|k| is_one && k.file == f.file && k.hint == f.hint && k.is_error()) {
                Some(first) => first.count(&f),
                None => kept.push(f),
            }
        }
        *findings = kept;
    };
    mend(&mut folder.findings);
    folder.programs.iter_mut().for_each(|p| mend(&mut p.findings));
}

/// Findings that name their cause themselves.
const SELF_TOLD: [&str; 5] = ["file-changed", "file-extra", "file-missing", "profile-wrong", "profile-missing"];

fn hashes(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>, out: &mut Vec<Finding>) {
    let mut listed = BTreeSet::new();
    for file in &manifest.files {
        listed.insert(file.file.as_str());
        match files.get(&file.file) {
            None => {
                let finding = Finding::new("file-missing", format!("{} is listed and not there", file.file));
                out.push(Finding::of_file(&file.file, finding.help("export the folder again")));
            }
            // A form is there to be filled in.
            Some(_) if file.is_form => {}
            Some(bytes) if !is_as_written(file, bytes) => {
                let message = format!("{} is not as it was written: somebody or something changed it", file.file);
                out.push(Finding::of_file(
                    &file.file,
                    Finding::new("file-changed", message).help("do not run it; export the folder again"),
                ));
            }
            Some(_) => {}
        }
    }
    for program in manifest.programs.iter().filter(|p| !listed.contains(p.file.as_str())) {
        let message = format!("the program {} is not among the folder's files", program.file);
        out.push(Finding::of_file(
            &program.file,
            Finding::new("file-missing", message).help("export the folder again"),
        ));
    }
    for name in files.keys().filter(|n| *n != manifest::FILE_NAME && !listed.contains(n.as_str())) {
        let message =
            format!("{name} is not listed in the manifest: it is not of this export, or the manifest was changed");
        let hint = "move it elsewhere, so that nobody uses it, or export the folder again";
        out.push(Finding::of_file(name, Finding::new("file-extra", message).help(hint)));
    }
}

fn is_as_written(file: &manifest::File, bytes: &[u8]) -> bool {
    hex(&Sha256::digest(bytes)) == file.sha256
}

/// What a coupon's trials differ in from the lines drawn, because they are there to be compared.
const TRIALS: [&str; 7] = [
    "off-the-line",
    "to-one-side",
    "cut-in-piece",
    "pass-too-deep",
    "pass-missing",
    "worked-twice",
    super::account::PASS_COUNT,
];

/// Of a coupon's program that is byte for byte as it was written, what its trials do on purpose is a
/// warning.
fn excuse_trials(manifest: &Manifest, file: &str, bytes: &[u8], findings: &mut [Finding]) {
    let is_coupon = manifest.pieces.iter().any(|p| p.role == "coupon");
    if !is_coupon || !manifest.files.iter().any(|f| f.file == file && is_as_written(f, bytes)) {
        return;
    }
    for finding in findings.iter_mut().filter(|f| f.codes().all(|c| TRIALS.contains(&c))) {
        finding.severity = Severity::Warning;
        finding.hint = Some("a coupon's trials differ on purpose; the program is as it was written".into());
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// The machines' profiles as they were copied into the folder.
fn profiles(
    manifest: &Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    out: &mut Vec<Finding>,
) -> BTreeMap<String, Profile> {
    let own = files.keys().filter_map(|n| n.strip_suffix(".profile.toml"));
    let ids: BTreeSet<&str> = manifest.programs.iter().map(|p| p.machine.as_str()).chain(own).collect();
    let mut profiles = BTreeMap::new();
    for id in ids {
        let name = format!("{id}.profile.toml");
        let text = files.get(&name).map(|b| String::from_utf8_lossy(b).into_owned());
        let Some(text) = text else {
            let message = format!("the profile of {id} is not in the folder, so its programs cannot be proved");
            out.push(Finding::of_file(&name, Finding::new("profile-missing", message).help("export the folder again")));
            continue;
        };
        let (profile, said) = profile::read(&Source { name: name.clone(), text }, id);
        match profile.filter(|_| !any_error(&said)) {
            Some(profile) => {
                profiles.insert(id.to_owned(), profile);
            }
            None => {
                let why = said.first().map_or(String::new(), |d| format!(": {}", d.message));
                let finding = Finding::new("profile-wrong", format!("the profile in the folder has errors{why}"));
                out.push(Finding::of_file(&name, finding.help("export the folder again")));
            }
        }
    }
    profiles
}

/// What is wrong with the way of a program that does no work, held against all that do on its sheet.
fn idle(
    manifest: &Manifest,
    at: usize,
    seen: &[Option<Seen>],
    profiles: &BTreeMap<String, Profile>,
) -> Option<Finding> {
    let program = manifest.programs.get(at)?;
    let (own, profile) = (seen.get(at)?.as_ref()?, profiles.get(&program.machine)?);
    let of_work = manifest.programs.iter().zip(seen).filter(|(p, _)| p.kind == RunKind::Work && is_of(p, program));
    let work: Vec<&Seen> = of_work.filter_map(|(_, s)| s.as_ref()).collect();
    match program.kind {
        RunKind::Work => None,
        RunKind::Outline => {
            let all = work.iter().map(|s| s.worked).fold(Bounds::EMPTY, Bounds::union);
            runs::outline(&own.moves, all, profile)
        }
        RunKind::Lifted => {
            let ways: Vec<&[Move]> = work.iter().map(|s| s.moves.as_slice()).collect();
            runs::lifted(&own.moves, &ways, profile)
        }
    }
}

/// Whether two programs are for one face of one sheet on one machine.
fn is_of(a: &ListedProgram, b: &ListedProgram) -> bool {
    on_bed(a) == on_bed(b)
}

/// What lies on a bed: a sheet with this or its other face up, on a machine.
type OnBed<'m> = (&'m str, bool, &'m str);

fn on_bed(program: &ListedProgram) -> OnBed<'_> {
    (&program.sheet, program.first_side, &program.machine)
}

/// The tool that a program begins with.
fn first_tool(program: &ListedProgram, profile: &Profile) -> u16 {
    let first = program.tool.split(',').next().unwrap_or_default().trim();
    profile.tools.iter().position(|t| t.id == first).unwrap_or(0) as u16
}

/// A program proved, and what others are held against.
struct Seen {
    proof: ProgramProof,
    /// The rectangle round all that it works.
    worked: Bounds,
    /// Its moves, where it or another of its sheet is compared with them.
    moves: Vec<Move>,
}

/// Every sheet as it lies on every machine that has a program for it; what is wrong with a sheet stands in
/// its place.
type OnBeds<'m> = BTreeMap<OnBed<'m>, Result<Nominal, String>>;

fn on_beds<'m>(manifest: &'m Manifest, profiles: &BTreeMap<String, Profile>) -> OnBeds<'m> {
    let keys: BTreeSet<OnBed<'_>> = manifest.programs.iter().map(on_bed).collect();
    let keys: Vec<OnBed<'_>> = keys.into_iter().collect();
    let laid = |(id, is_first_side, machine): &OnBed<'m>| {
        let sheet = manifest.sheets.iter().find(|s| s.id == *id);
        let (sheet, profile) = (sheet?, profiles.get(*machine)?);
        let [x, y] = profile.machine.origin;
        let origin = pt(x.to_mm(), y.to_mm());
        if *is_first_side {
            // Marks are measured on a sheet that lies as it is laid out.
            return Some(((*id, true, *machine), Nominal::of_first_side(manifest, sheet, origin)));
        }
        let laid = Nominal::of_manifest(manifest, sheet, origin);
        let lies = manifest.registers.iter().find(|r| r.sheet == *id && r.machine == *machine);
        Some((
            (*id, false, *machine),
            laid.map(|n| lies.map_or_else(|| n.clone(), |r| register::in_register(&n, r, origin))),
        ))
    };
    let all: Vec<_> = keys.par_iter().map(laid).collect();
    all.into_iter().flatten().collect()
}

fn prove(
    manifest: &Manifest,
    program: &ListedProgram,
    bytes: &[u8],
    profile: &Profile,
    on_beds: &OnBeds<'_>,
) -> Result<Seen, String> {
    let sheet = manifest.sheets.iter().find(|s| s.id == program.sheet);
    let sheet = sheet.ok_or_else(|| format!("it cuts sheet {}, which the manifest does not have", program.sheet))?;
    let nominal = match on_beds.get(&on_bed(program)) {
        Some(Ok(nominal)) => nominal,
        Some(Err(why)) => return Err(why.clone()),
        None => return Err(format!("it is for {}, whose profile cannot be read", program.machine)),
    };
    let kind = |w: &String| OperationKind::ALL.into_iter().find(|k| k.word() == w);
    let operations: Vec<OperationKind> = program.operations.iter().filter_map(kind).collect();
    // What the program calls its sheet.
    let named = if program.first_side { format!("{}_first-side", sheet.id) } else { sheet.id.clone() };
    let (proof, moves) = follow_program(&Subject {
        file: &program.file,
        bytes,
        profile,
        first_tool: first_tool(program, profile),
        title: &manifest.title,
        sheet: &named,
        stock: nominal.stock,
        thickness: nominal.thickness,
        nominal: Some(nominal),
        operations: &operations,
        entry: Some((program, sheet)),
        stays_up: program.kind != RunKind::Work,
        is_ours: true,
    });
    let worked = if program.kind == RunKind::Work { runs::worked(&moves) } else { Bounds::EMPTY };
    let is_looked_at = |p: &&ListedProgram| p.kind == RunKind::Lifted && is_of(p, program);
    let keeps = program.kind != RunKind::Work || manifest.programs.iter().any(|p| is_looked_at(&p));
    Ok(Seen { proof, worked, moves: if keeps { moves } else { Vec::new() } })
}
