//! The words of G-code in the lines that the owner writes: none may change what the program's own
//! numbers mean, move the machine without the program's knowing, or end it before its end.
//! What the codes do: NIST RS274/NGC (NISTIR 6556) sections 3.5 and 3.6; those that it does not have (G16, G31,
//! G33, G50 to G52, G65 to G68, G73 to G76, G90.1, G91.1, G95, M47, M97 to M99) from memory.

use super::Checking;
use crate::diag::Diagnostic;
use crate::profile::placeholder::{Part, parts};
use crate::profile::{ArcCentres, ProgramUnit};

/// When a line is sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum When {
    /// Before anything.
    Start,
    /// After everything.
    End,
    /// Between tools.
    Change,
    /// While lines are worked: `on` and `off`.
    Work,
}

/// Codes from one to another, in tenths (G91.1 is 911), why they cannot stand there, and what to do.
struct Code {
    from: i64,
    to: i64,
    why: &'static str,
    hint: &'static str,
}

const fn codes(from: i64, to: i64, why: &'static str, hint: &'static str) -> Code {
    Code { from, to, why, hint }
}

const ZERO: &str = "shifts the machine's zero, and the program's coordinates count from where it is";
const HOME: &str = "sends the machine where the program does not know it to be";
const PARK: &str = "say where the machine rests by `machine.park`; the program lifts and goes there by itself";
const CYCLE: &str = "is a cycle of moves of its own, and a program says every move itself";
const PLANE: &str = "turns arcs out of the bed's plane";
const CALL: &str = "calls another program, whose moves nobody has looked at";
const LEAVE_OUT: &str = "leave it out";
const SET_ZERO: &str = "set the zero at the machine, and leave it out";

/// G words that no line may hold.
const G_CODES: &[Code] = &[
    codes(50, 80, "draws curves or changes what a coordinate means, on one controller or another", LEAVE_OUT),
    codes(100, 100, "writes over the zeros and tools that the controller keeps", SET_ZERO),
    codes(160, 160, "makes coordinates polar, and programs are in X and Y", "write G15, or leave it out"),
    codes(171, 171, PLANE, "write G17"),
    codes(180, 191, PLANE, "write G17"),
    codes(280, 280, HOME, PARK),
    codes(300, 300, HOME, PARK),
    codes(310, 310, "probes: where the machine then stands is not known", LEAVE_OUT),
    codes(330, 331, "ties the feed to the spindle", LEAVE_OUT),
    codes(380, 389, "probes: where the machine then stands is not known", LEAVE_OUT),
    codes(410, 429, "moves the path sideways, which has already been done", "write G40"),
    codes(430, 439, "shifts Z by a length that the program does not know", "set Z0 anew for each tool, or write G49"),
    codes(510, 511, "scales or mirrors all that comes after it", LEAVE_OUT),
    codes(520, 520, ZERO, SET_ZERO),
    codes(530, 530, "counts from the machine's own zero, which the program does not know", PARK),
    codes(650, 669, CALL, LEAVE_OUT),
    codes(680, 689, "turns all that comes after it", "write G69, or leave it out"),
    codes(730, 769, CYCLE, LEAVE_OUT),
    codes(810, 899, CYCLE, "write G80, or leave it out"),
    codes(910, 910, "makes coordinates relative, and programs are absolute", "write G90"),
    codes(920, 929, ZERO, SET_ZERO),
    codes(930, 930, "makes F a time, and programs give speeds in mm/min", "write G94"),
    codes(950, 950, "makes F a feed per turn, and programs give speeds in mm/min", "write G94"),
];

/// Where the profile says otherwise.
const INCHES: Code =
    codes(200, 200, "makes the controller read inches, and `unit` says mm", "write G21, or `unit = \"inch\"`");
const METRIC: Code =
    codes(210, 210, "makes the controller read mm, and `unit` says inches", "write G20, or `unit = \"mm\"`");
const PLACES: Code = codes(
    901,
    901,
    "makes the controller read an arc's centre as a place, and programs count it from the arc's start",
    "write G91.1, or `arc_centres = \"places\"`",
);
const FROM_START: Code = codes(
    911,
    911,
    "makes the controller count an arc's centre from its start, and `arc_centres` says that it is a place",
    "write G90.1, or `arc_centres = \"from-start\"`",
);

/// Zeros besides the first. The first lines may choose one for the whole program.
const OTHER_ZEROS: Code =
    codes(540, 593, "goes over to another zero in the middle of the program", "choose it in `start`");

/// M words that no line may hold.
const M_CODES: &[Code] =
    &[codes(470, 470, CALL, LEAVE_OUT), codes(970, 980, CALL, LEAVE_OUT), codes(990, 990, CALL, "end with M2 or M30")];

/// What ends a program.
const ENDS: [i64; 2] = [20, 300];

pub(super) fn check(c: &mut Checking<'_>, at: &str, line: &str, when: When) {
    let words = words(line);
    let o = &c.profile().output;
    let modes = [
        if o.unit == ProgramUnit::Mm { &INCHES } else { &METRIC },
        if o.arc_centres == ArcCentres::FromStart { &PLACES } else { &FROM_START },
    ];
    let mut has_wrong_code = false;
    let mut tell = |word: &str, why: &str, hint: &str| {
        c.push(Diagnostic::error("contradiction", format!("{word} {why}")).at(at).help(hint));
    };
    for word in &words {
        let Some(code) = tenths(word) else { continue };
        let table = if word.starts_with('G') { G_CODES } else { M_CODES };
        let zeros = Some(&OTHER_ZEROS).filter(|_| when != When::Start);
        let more = modes.into_iter().chain(zeros).filter(|_| word.starts_with('G'));
        if let Some(wrong) = table.iter().chain(more).find(|w| (w.from..=w.to).contains(&code)) {
            has_wrong_code = true;
            tell(word, wrong.why, wrong.hint);
        } else if word.starts_with('M') && when != When::End && ENDS.contains(&code) {
            tell(word, "ends the program before its end", "write it into `end`");
        }
    }
    let axes: &[char] = match when {
        When::Change => &[],
        When::Start | When::End => &['X', 'Y'],
        When::Work => &['X', 'Y', 'Z', 'I', 'J', 'R'],
    };
    // The words of a code that cannot stand there go with it.
    if let Some(word) = words.iter().find(|w| w.len() > 1 && w.starts_with(axes)).filter(|_| !has_wrong_code) {
        let hint = match when {
            When::Start | When::Change => "the program lifts first and then goes where the work begins by itself",
            When::End => PARK,
            When::Work => "a tool that goes up and down by Z is described by `z_axis = true` and `lift = \"z\"`",
        };
        tell(word, "moves the machine, and the program does not know where it then is", hint);
    }
}

/// Whether the first lines say what numbers mean.
pub(super) fn start(c: &mut Checking<'_>) {
    let unit = match c.profile().output.unit {
        ProgramUnit::Mm => (210, 200, "G21", "that numbers are mm"),
        ProgramUnit::Inch => (200, 210, "G20", "that numbers are inches"),
    };
    let start: Vec<i64> = c
        .profile()
        .output
        .start
        .iter()
        .flat_map(|l| words(l))
        .filter_map(|w| tenths(&w).filter(|_| w.starts_with('G')))
        .collect();
    for (code, contrary, word, what) in [unit, (900, 910, "G90", "that coordinates are absolute")] {
        if !start.iter().any(|w| [code, contrary].contains(w)) {
            let message = format!("nothing in `start` says {what} ({word})");
            let d = Diagnostic::error("no-mode", message).at("output.start");
            c.push(d.help(format!("write {word} into the first line; a controller keeps what the last program left")));
        }
    }
}

/// The number of a G or M word in tenths.
fn tenths(word: &str) -> Option<i64> {
    let number = word.strip_prefix(['G', 'M'])?;
    number.parse::<f64>().ok().filter(|n| n.abs() < 1e6).map(|n| (n * 10.0).round() as i64)
}

/// The words of a line of G-code, comments left out, in capitals and without leading zeros: `G1`,
/// `M3`, `S8000`; a placeholder counts as 0.
pub(super) fn words(line: &str) -> Vec<String> {
    let plain: String = parts(line)
        .into_iter()
        .map(|part| match part {
            Part::Text(text) | Part::Stray(text) => text,
            Part::Named(..) => "0",
        })
        .collect();
    let mut all = Vec::new();
    let mut in_comment = false;
    let mut word = String::new();
    for ch in plain.chars().chain([' ']) {
        match ch {
            '(' => in_comment = true,
            ')' => in_comment = false,
            _ if in_comment => {}
            ';' => break,
            '0'..='9' | '.' | '-' | '+' if !word.is_empty() => word.push(ch),
            // Blanks mean nothing in G-code: `G 21` is G21.
            ' ' => {}
            _ => {
                all.push(std::mem::take(&mut word));
                if ch.is_ascii_alphabetic() {
                    word.push(ch.to_ascii_uppercase());
                }
            }
        }
    }
    all.push(word);
    all.retain(|w| !w.is_empty());
    for w in &mut all {
        let value = w[1..].trim_start_matches('0');
        *w = if value.is_empty() && w.len() > 1 { format!("{}0", &w[..1]) } else { format!("{}{value}", &w[..1]) };
    }
    all
}

#[cfg(test)]
mod tests {
    use super::{tenths, words};

    #[test]
    fn words_are_read_as_a_controller_reads_them() {
        // NIST RS274/NGC 3.3.2: blanks and the case of letters mean nothing, numbers may have leading zeros.
        assert_eq!(words("g21 G 90"), ["G21", "G90"]);
        assert_eq!(words("M03S8000 (M5)"), ["M3", "S8000"]);
        assert_eq!(words("M4 S{power} ; M5"), ["M4", "S0"]);
        assert_eq!(words("G00X-1.5"), ["G0", "X-1.5"]);
        assert!(words("(fit M3 wheel)").is_empty());
    }

    #[test]
    fn codes_are_counted_in_tenths() {
        assert_eq!(tenths("G90.1"), Some(901));
        assert_eq!(tenths("M30"), Some(300));
        assert_eq!(tenths("S8000"), None);
        assert_eq!(tenths("G"), None);
    }
}
