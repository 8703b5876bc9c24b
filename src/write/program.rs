//! A machine's program in the language of its controller: which files it becomes.

use super::script::{Script, Writer};
use super::{gcode, hpgl};
use crate::diag::Diagnostic;
use crate::motion::Program;
use crate::profile::{Language, Profile, ToolChange};
use std::borrow::Cow;
use std::ops::Range;

/// Who writes a language.
const fn writer(language: Language) -> Writer {
    match language {
        Language::Gcode => gcode::WRITER,
        Language::Hpgl => hpgl::WRITER,
    }
}

/// A program as bytes.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgramFile {
    /// What sets its name apart from the others of the same sheet and machine: `1-pen`; empty for a
    /// single program.
    pub suffix: String,
    /// The sections of the motion program that it holds.
    pub sections: Range<usize>,
    /// The file.
    pub bytes: Vec<u8>,
}

/// The program in the profile's language: one file, or one for each stretch of work with one tool
/// where the profile wants separate files, in the order in which they must be run. With what the
/// language cannot hold.
pub fn write(program: &Program, profile: &Profile, title: &str) -> (Vec<ProgramFile>, Vec<Diagnostic>) {
    let writer = writer(profile.output.language);
    let told = (writer.past_its_reach)(program, profile);
    let file = |sections: Range<usize>, suffix: String| {
        let part = part_of(program, sections.clone());
        let script = Script { program: &part, whole: program, profile, title, suffix: &suffix };
        let bytes = (writer.work)(&script);
        ProgramFile { suffix, sections, bytes }
    };
    let n = program.sections.len();
    let files = if profile.output.tool_change == ToolChange::SeparateFiles && n > 1 {
        (0..n).map(|i| file(i..i + 1, format!("{}-{}", i + 1, profile.tools[program.sections[i].tool].id))).collect()
    } else {
        vec![file(0..n, String::new())]
    };
    (files, told.into_iter().collect())
}

/// A program that traces the rectangle round all the work at safe height with the tool off, to see
/// that the sheet lies where it must. `None` for a program without work.
pub fn outline(program: &Program, profile: &Profile, title: &str) -> Option<Vec<u8>> {
    if program.used.is_empty() || program.sections.is_empty() {
        return None;
    }
    let script = Script { program, whole: program, profile, title, suffix: "outline" };
    Some((writer(profile.output.language).outline)(&script))
}

/// The whole program with the tool kept above the work, off, and never changed: for the first run.
pub fn lifted(program: &Program, profile: &Profile, title: &str) -> Option<Vec<u8>> {
    if program.used.is_empty() || program.sections.is_empty() {
        return None;
    }
    let script = Script { program, whole: program, profile, title, suffix: "lifted" };
    Some((writer(profile.output.language).lifted)(&script))
}

fn part_of(program: &Program, sections: Range<usize>) -> Cow<'_, Program> {
    if sections.len() == program.sections.len() {
        return Cow::Borrowed(program);
    }
    let Program { sheet, is_first_side, used, moved, .. } = program;
    let sections = program.sections[sections].to_vec();
    Cow::Owned(Program { sheet: sheet.clone(), is_first_side: *is_first_side, used: *used, moved: *moved, sections })
}
