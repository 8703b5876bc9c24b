//! Every sample job on every shipped machine.
#![allow(clippy::panic, clippy::unwrap_used, reason = "tests stop where they cannot go on")]

use flapwright::design::design;
use flapwright::diag::Source;
use flapwright::job;
use flapwright::motion::build;
use flapwright::nest::nest;
use flapwright::ops::{SheetOps, operations};
use flapwright::profile::{self, Language, Profile, ZZero, shipped};
use flapwright::write::program::write;

const SAMPLES: [(&str, &str); 3] = [
    ("tideline-folio", include_str!("../samples/tideline-folio.toml")),
    ("rockpool-folder", include_str!("../samples/rockpool-folder.toml")),
    ("dulse-atlas", include_str!("../samples/dulse-atlas.toml")),
];

fn machines() -> Vec<Profile> {
    shipped()
        .iter()
        .map(|(id, text)| profile::read(&Source { name: (*id).into(), text: (*text).into() }, id).0.unwrap())
        .collect()
}

fn sheets(text: &str) -> Vec<SheetOps> {
    let job = job::read(&Source { name: "job.toml".into(), text: text.into() }).0.unwrap();
    let pieces = design(&job).0.pieces;
    nest(&pieces, &job).0.iter().map(|s| operations(&s.clone().into(), &pieces)).collect()
}

/// Whatever a machine writes is ASCII within its line limit and travels at safe height only.
fn checked(text: &str, machine: &Profile, thickness: f64) {
    let limit = machine.output.line_limit as usize;
    assert!(text.is_ascii() && text.lines().all(|l| limit == 0 || l.len() <= limit), "{}", machine.id);
    if machine.output.language == Language::Hpgl || !machine.machine.z_axis {
        return;
    }
    let safe = machine.machine.safe_height.to_mm() + if machine.machine.z_zero == ZZero::Bed { thickness } else { 0.0 };
    let (mut z, mut is_rapid) = (f64::NAN, false);
    for line in text.lines().filter(|l| !l.starts_with(['(', ';', 'M', 'T'])) {
        for word in line.split(' ') {
            match word.split_at(1) {
                ("G", "0") => is_rapid = true,
                ("G", "1" | "2" | "3") => is_rapid = false,
                ("Z", value) => z = value.parse().unwrap(),
                ("X" | "Y", _) => assert!(!is_rapid || z >= safe - 1e-3, "{}: {line} at Z{z}", machine.id),
                _ => {}
            }
        }
    }
}

#[test]
fn every_sample_on_every_machine_is_a_program_or_says_why_not() {
    let reasons = ["sheet-larger-than-bed", "no-rule", "kerf-too-wide"];
    let mut written = 0;
    for (name, text) in SAMPLES {
        for sheet in sheets(text) {
            for machine in machines() {
                let (program, told) = build(&sheet, &machine);
                let errors: Vec<_> = told.iter().filter(|d| d.is_error()).collect();
                assert_eq!(program.is_none(), !errors.is_empty(), "{name} {} {}", sheet.sheet.id, machine.id);
                assert!(errors.iter().all(|e| reasons.contains(&e.code) && e.hint.is_some()), "{errors:?}");
                let Some(program) = program else { continue };
                let runs: usize = program.sections.iter().map(|s| s.runs.len()).sum();
                assert_eq!(runs, sheet.operations.len(), "every line is worked: {name} {}", machine.id);
                for file in write(&program, &machine, name).0 {
                    checked(std::str::from_utf8(&file.bytes).unwrap(), &machine, sheet.sheet.thickness.to_mm());
                    written += 1;
                }
                // The same again, byte for byte.
                let again = build(&sheet, &machine).0.unwrap();
                assert_eq!(write(&again, &machine, name).0, write(&program, &machine, name).0);
                if name == "dulse-atlas" {
                    break;
                }
            }
        }
    }
    assert!(written > 20, "{written}");
}
