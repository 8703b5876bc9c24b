//! An exported folder proved: every file is what the manifest says, every drawing shows the nominal
//! pieces, every program cuts them.

use super::account::account;
use super::compare::{Bench, Comparison, compare};
use super::nominal::Nominal;
use super::physics::Trace;
use super::program::{ProgramProof, Subject, verify_program};
use super::read::manifest::{self, ListedProgram, ListedSheet, Manifest, RunKind};
use super::read::{self, Expectation, Move};
use super::{Finding, Many, runs};
use crate::diag::{Severity, Source, any_error};
use crate::geom::{Contour, Point, pt};
use crate::profile::{self, OperationKind, Profile, ZZero};
use crate::units::{Unit, decimal};
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
}

impl Folder {
    /// Everything found, the folder's own first.
    pub fn all(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().chain(self.programs.iter().flat_map(|p| &p.findings))
    }

    /// Whether every program was compared with what it should cut.
    pub fn is_compared(&self) -> bool {
        self.programs.iter().all(|p| p.comparison.is_some())
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
    let manifest = match files.get(manifest::FILE_NAME).map(|bytes| manifest::read(bytes)) {
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
    let profiles = profiles(&manifest, files, &mut folder.findings);
    for sheet in &manifest.sheets {
        if sheet.drawings.is_empty() {
            let finding = Finding::new("drawing-missing", format!("{} has no drawing", sheet.id));
            folder.findings.push(Finding::of_file(manifest::FILE_NAME, finding.help("export the folder again")));
        }
        for name in &sheet.drawings {
            if let Some(bytes) = files.get(name) {
                let found = drawing(&manifest, sheet, name, bytes);
                folder.drawings += usize::from(found.is_empty());
                folder.findings.extend(found.into_iter().map(|f| Finding::of_file(name, f)));
            }
        }
    }
    folder.findings.extend(drawings_of_no_sheet(&manifest, files));
    let mut work = BTreeMap::new();
    for program in &manifest.programs {
        let (Some(bytes), Some(profile)) = (files.get(&program.file), profiles.get(&program.machine)) else { continue };
        match prove(&manifest, program, bytes, profile) {
            Ok(mut proof) => {
                // Where the work itself is wrong, what shows its way is not to blame.
                let is_of = |p: &&ListedProgram| p.sheet == program.sheet && p.machine == program.machine;
                let of_work = || manifest.programs.iter().filter(is_of).map(|p| p.file.as_str());
                let is_wrong = |p: &ProgramProof| p.findings.iter().any(Finding::is_error);
                let is_blamed = folder.programs.iter().any(|p| is_wrong(p) && of_work().any(|f| f == p.file));
                if program.kind != RunKind::Work && !is_blamed {
                    proof.findings.extend(idle(&manifest, program, files, profile, &mut work));
                }
                excuse_trials(&manifest, &program.file, bytes, &mut proof.findings);
                folder.programs.push(proof);
            }
            Err(why) => folder.findings.push(Finding::of_file(&program.file, Finding::new("manifest", why))),
        }
    }
    // What a program's entry says wrongly is told there; the lists that add it up are then not to blame.
    let is_told = folder.programs.iter().any(|p| p.findings.iter().any(|f| f.code == "account"));
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

/// Every drawing is of a sheet, and of one alone.
fn drawings_of_no_sheet(manifest: &Manifest, files: &BTreeMap<String, Vec<u8>>) -> Vec<Finding> {
    let is_drawing = |name: &str| name.ends_with(".dxf") || name.ends_with(".cut.svg");
    let sheets = |name: &str| manifest.sheets.iter().flat_map(|s| &s.drawings).filter(|d| *d == name).count();
    let listed = manifest.sheets.iter().flat_map(|s| &s.drawings).filter(|d| !files.contains_key(*d));
    let missing = listed.map(|name| (name, format!("{name} is said to show a sheet and is not there")));
    let stray = files.keys().filter(|name| is_drawing(name)).filter_map(|name| match sheets(name) {
        0 => Some((name, format!("{name} shows no sheet that is known"))),
        1 => None,
        n => Some((name, format!("{name} is said to show {n} sheets"))),
    });
    let hint = "do not cut from it; export the folder again";
    missing
        .chain(stray)
        .map(|(name, why)| Finding::of_file(name, Finding::new("drawing-stray", why).help(hint)))
        .collect()
}

/// A drawing's lines as cuts of its own kerf, against the nominal pieces.
fn drawing(manifest: &Manifest, sheet: &ListedSheet, name: &str, bytes: &[u8]) -> Vec<Finding> {
    let (drawn, mut found) = if name.ends_with(".svg") { read::svg::read(bytes) } else { read::dxf::read(bytes) };
    let nominal = match Nominal::of_manifest(manifest, sheet, pt(0.0, 0.0)) {
        Ok(nominal) => nominal,
        Err(why) => {
            found.push(Finding::new("manifest", why));
            return found;
        }
    };
    if manifest.edge_drawn {
        found.extend(stock_rectangle(drawn.stock.as_ref(), sheet));
    } else if drawn.stock.is_some() {
        let message = "the drawing shows the sheet's edge, which was to be left out";
        found.push(Finding::new("stock-rectangle", message).help("a cutter may cut it: export the folder again"));
    }
    // The drawing as the work of a machine with one beam that does everything.
    let profile = match any_beam(sheet, manifest.kerf) {
        Ok(profile) => profile,
        Err(why) => {
            found.push(Finding::new("manifest", format!("the drawing cannot be proved against it: {why}")));
            return found;
        }
    };
    let rule = |kind: OperationKind| OperationKind::ALL.iter().position(|k| *k == kind).map_or(0, |i| 1u64 << i);
    let mut traces = Vec::new();
    for (run, (kind, stroke)) in (1u32..).zip(&drawn.lines) {
        let has_width = matches!(kind, OperationKind::ThroughCut | OperationKind::HalfDepthPocket);
        let radius = if has_width { manifest.kerf / 2.0 } else { 0.0 };
        traces.extend(stroke.segments().into_iter().map(|way| Trace {
            way,
            depth: (0.0, 0.0),
            by_words: true,
            radius,
            rules: rule(*kind),
            tool: 0,
            line: 0,
            run,
            is_edge: false,
        }));
    }
    let bench = Bench::new(&profile, &nominal, &traces, &OperationKind::ALL);
    let mut out = Many::default();
    let _: Comparison = compare(&bench, &mut out);
    // A drawing has no order, and a pocket in it is its outline.
    let apart = ["order", "pocket-floor"];
    found.extend(out.into_vec().into_iter().filter(|f| !apart.contains(&f.code)).map(|f| Finding { line: None, ..f }));
    found
}

/// The sheet itself stands in its drawing, as large as it is.
fn stock_rectangle(stock: Option<&Contour>, sheet: &ListedSheet) -> Option<Finding> {
    let hint = "whoever lays the stock goes by it: export the folder again";
    let Some(stock) = stock else {
        return Some(Finding::new("stock-rectangle", "the drawing does not show the sheet").help(hint));
    };
    let b = stock.bounds();
    let (area, whole) = (stock.area().abs(), sheet.width * sheet.height);
    let off = b.min.x.abs().max(b.min.y.abs()).max((b.max.x - sheet.width).abs()).max((b.max.y - sheet.height).abs());
    // A corner that is cut off leaves less of it.
    (off > 0.01 || (area - whole).abs() > 0.01 * (sheet.width + sheet.height)).then(|| {
        let (w, h) = (decimal(b.width(), 2), decimal(b.height(), 2));
        let message = format!(
            "the drawing shows a sheet of {w} mm x {h} mm, and it is {} mm x {} mm",
            decimal(sheet.width, 2),
            decimal(sheet.height, 2)
        );
        let message = if off > 0.01 { message } else { "the drawing shows a sheet with a corner cut off".to_owned() };
        Finding::new("stock-rectangle", message).help(hint)
    })
}

/// A profile whose rules stand in the order of the operations.
fn any_beam(sheet: &ListedSheet, kerf: f64) -> Result<Profile, String> {
    let (w, h, stock) = (sheet.width + 1.0, sheet.height + 1.0, &sheet.stock);
    let mut text = format!(
        "format = 1\nname = \"drawing\"\n[machine]\nwidth = {w}\nheight = {h}\nz_axis = false\nrapid = 6000\n\
         acceleration = 500\ntolerance = 0.01\n[output]\nlanguage = \"gcode\"\nextension = \"nc\"\n\
         start = [\"G21 G90\"]\nend = [\"M5\", \"M2\"]\n[[tool]]\nid = \"beam\"\nkind = \"beam\"\nkerf = {kerf}\n\
         max_depth = 200\nlift = \"words\"\non = [\"M4 S1\"]\noff = [\"M5\"]\n"
    );
    for kind in OperationKind::ALL {
        text.push_str(&format!(
            "[[rule]]\noperation = \"{}\"\nstock = \"{stock}\"\ntool = \"beam\"\nfeed = 600\n",
            kind.word()
        ));
    }
    let (profile, said) = profile::read(&Source { name: "drawing".into(), text }, "drawing");
    profile.ok_or_else(|| said.iter().find(|d| d.is_error()).map_or(String::new(), |d| d.message.clone()))
}

/// The moves of the programs that work a sheet on a machine, by both names: an outline run and a lifted one
/// are compared with the same.
type Work<'m> = BTreeMap<(&'m str, &'m str), Vec<Vec<Move>>>;

/// What is wrong with the way of a program that does no work.
fn idle<'m>(
    manifest: &'m Manifest,
    program: &'m ListedProgram,
    files: &BTreeMap<String, Vec<u8>>,
    profile: &Profile,
    work: &mut Work<'m>,
) -> Option<Finding> {
    let sheet = manifest.sheets.iter().find(|s| s.id == program.sheet)?;
    let moves = |p: &ListedProgram| -> Option<Vec<Move>> {
        let expect = Expectation {
            profile,
            first_tool: first_tool(p, profile),
            sheet: &sheet.id,
            title: &manifest.title,
            safe_z: sheet_top(sheet, profile) + profile.machine.safe_height.to_mm(),
        };
        Some(read::program(files.get(&p.file)?, &expect).moves)
    };
    let is_work =
        |p: &&ListedProgram| p.kind == RunKind::Work && p.sheet == program.sheet && p.machine == program.machine;
    let read_all = || manifest.programs.iter().filter(is_work).filter_map(moves).collect();
    let work = work.entry((program.sheet.as_str(), program.machine.as_str())).or_insert_with(read_all);
    let own = moves(program)?;
    let found = match program.kind {
        RunKind::Work => None,
        RunKind::Outline => runs::outline(&own, runs::worked(work), profile),
        RunKind::Lifted => runs::lifted(&own, work, profile),
    };
    found.map(|f| Finding::of_file(&program.file, f))
}

/// The Z of a sheet's top face, mm.
fn sheet_top(sheet: &ListedSheet, profile: &Profile) -> f64 {
    if profile.machine.z_zero == ZZero::Bed { sheet.thickness } else { 0.0 }
}

/// The tool that a program begins with.
fn first_tool(program: &ListedProgram, profile: &Profile) -> u16 {
    let first = program.tool.split(',').next().unwrap_or_default().trim();
    profile.tools.iter().position(|t| t.id == first).unwrap_or(0) as u16
}

fn prove(
    manifest: &Manifest,
    program: &ListedProgram,
    bytes: &[u8],
    profile: &Profile,
) -> Result<ProgramProof, String> {
    let sheet = manifest.sheets.iter().find(|s| s.id == program.sheet);
    let sheet = sheet.ok_or_else(|| format!("it cuts sheet {}, which the manifest does not have", program.sheet))?;
    let [x, y] = profile.machine.origin;
    let origin: Point = pt(x.to_mm(), y.to_mm());
    let nominal = Nominal::of_manifest(manifest, sheet, origin)?;
    let kind = |w: &String| OperationKind::ALL.into_iter().find(|k| k.word() == w);
    let operations: Vec<OperationKind> = program.operations.iter().filter_map(kind).collect();
    Ok(verify_program(&Subject {
        file: &program.file,
        bytes,
        profile,
        first_tool: first_tool(program, profile),
        title: &manifest.title,
        sheet: &sheet.id,
        stock: nominal.stock,
        thickness: nominal.thickness,
        nominal: Some(&nominal),
        operations: &operations,
        entry: Some((program, sheet)),
        stays_up: program.kind != RunKind::Work,
        is_ours: true,
    }))
}
