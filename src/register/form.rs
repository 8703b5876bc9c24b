//! The file of marks: where they should be and where they were measured on the bed.

use super::Stretch;
use crate::diag::{Diagnostic, Places, Source, any_error};
use crate::doc::Need::{Default, Optional, Required};
use crate::doc::{self, Document, RawLength, Shape, Table, key};
use crate::geom::{Point, pt};
use crate::units::{Length, Unit, decimal, mm};
use std::fmt::Write as _;

/// The file that goes with an artwork sheet.
pub const FILE_NAME: &str = "register.toml";
/// The version of its form.
pub const FORMAT: u64 = 1;

/// The keys of a file of marks.
pub static TABLE: Table = Table {
    about: "Where a sheet lies on a machine's bed, by two to four marks on it.",
    keys: &[
        key("format", Shape::Count, Required, "The version of this form: 1."),
        key("units", Shape::Word(&["mm", "in"]), Default("\"mm\""), "What bare numbers are in."),
        key("sheet", Shape::Text, Required, "The sheet that was measured, such as cloth-1."),
        key("machine", Shape::Text, Optional, "The machine that it lies on; needed where there are several."),
        key(
            "on",
            Shape::Word(&["sheet", "artwork"]),
            Default("\"sheet\""),
            "Where marks are counted from: the sheet's lower left corner as it is laid out, or the artwork sheet's.",
        ),
        key(
            "piece",
            Shape::Text,
            Optional,
            "Whose artwork sheet that is, such as paper-flap-left; the covering cloth's where it is left out.",
        ),
        key("bleed", Shape::Length, Default("\"3 mm\""), "How far ink runs past the cloth on that artwork sheet."),
        key(
            "turned_over",
            Shape::Flag,
            Default("false"),
            "Whether the sheet lies with its other face up, turned about the line that runs up its middle.",
        ),
        key(
            "stretch",
            Shape::Word(Stretch::WORDS),
            Optional,
            "What the sheet did besides lying elsewhere: none, even (one scale) or any (along, across and leaning); none with two marks, any with more, when left out.",
        ),
        key("mark", Shape::Tables(&MARK), Required, "Two to four marks."),
    ],
};

static MARK: Table = Table {
    about: "A mark.",
    keys: &[
        key("name", Shape::Text, Required, "What it is called."),
        key("at", Shape::List(&Shape::Length), Required, "Where it should be: across and up."),
        key(
            "measured",
            Shape::List(&Shape::Length),
            Optional,
            "Where it is: X and Y as the machine shows them with its tool over the mark. One without is left out.",
        ),
    ],
};

/// What a file says.
#[derive(Clone, Debug)]
pub struct Marks {
    /// The sheet.
    pub sheet: String,
    /// The machine, where it is named.
    pub machine: Option<String>,
    /// Whether places are those of the artwork sheet.
    pub is_on_artwork: bool,
    /// The piece that it is of, where it is said.
    pub piece: Option<String>,
    /// The bleed of that.
    pub bleed: Length,
    /// Whether the other face lies up.
    pub is_turned_over: bool,
    /// What is thought of the sheet, where it is said.
    pub stretch: Option<Stretch>,
    /// The marks that were measured.
    pub marks: Vec<Measured>,
    /// Where its keys stand.
    pub places: Places,
}

/// A mark that was measured.
#[derive(Clone, Debug)]
pub struct Measured {
    /// What it is called.
    pub name: String,
    /// Where it should be, mm.
    pub at: Point,
    /// Where it is in the machine's own coordinates, mm.
    pub measured: Point,
    /// Its place in the file's list.
    pub entry: usize,
}

/// A file of marks to be filled in: for a sheet, a machine, the piece that is printed, and the name of the file.
pub fn form([sheet, machine, piece, file]: [&str; 4], bleed: Length, marks: &[(char, Point)]) -> String {
    let mut s = String::from(
        "# Where the print lies on the bed. Copy this file beside the job: a later export writes it anew. Lay\n\
         # the print down, bring the tool (or its pointer) over each register mark, write the X and Y that the machine\n\
         # shows into `measured` and take the # off. Two marks far apart are enough for a sheet that did not stretch;\n\
         # four show a mark that was misread. Then run\n",
    );
    let _ = writeln!(s, "#   flapwright export JOB --out DIR --machine {machine} --register {file}");
    let _ = writeln!(s, "# with the same job. `at` is where a mark stands on the artwork sheet: do not change it.\n");
    let _ = writeln!(s, "format = {FORMAT}\nunits = \"mm\"\nsheet = {sheet:?}\n# machine = {machine:?}");
    let _ = writeln!(s, "on = \"artwork\"\npiece = {piece:?}\nbleed = \"{} mm\"", decimal(bleed.to_mm(), 4));
    for (name, at) in marks {
        let _ = writeln!(s, "\n[[mark]]\nname = \"{name}\"\nat = [{}, {}]", decimal(at.x, 4), decimal(at.y, 4));
        let _ = writeln!(s, "# measured = [0, 0]");
    }
    s
}

/// A file of marks read, all that is wrong with it told at once.
pub fn read(source: &Source) -> (Option<Marks>, Places, Vec<Diagnostic>) {
    let (doc, mut said) = doc::read(&source.text, &TABLE, Some("units"));
    let places = doc.places.clone();
    if any_error(&said) {
        return (None, places, said);
    }
    if doc.count("format") != Some(FORMAT) {
        let message = format!("this program reads files of marks of format = {FORMAT}");
        said.push(Diagnostic::error("wrong-format", message).at("format"));
    }
    let marks = marks(&doc, &mut said);
    let is_wrong = any_error(&said);
    (marks.filter(|_| !is_wrong), places, said)
}

fn marks(doc: &Document, said: &mut Vec<Diagnostic>) -> Option<Marks> {
    let n = doc.len("mark");
    let mut marks: Vec<Measured> = Vec::new();
    for entry in 0..n {
        let key = |k: &str| format!("mark.{entry}.{k}");
        let name = doc.text(&key("name"))?.to_owned();
        if marks.iter().any(|m| m.name == name) {
            said.push(Diagnostic::error("mark-twice", format!("two marks are called `{name}`")).at(key("name")));
        }
        let at = place(doc, &key("at"), said);
        let measured = doc.has(&key("measured")).then(|| place(doc, &key("measured"), said));
        if let (Some(at), Some(Some(measured))) = (at, measured) {
            marks.push(Measured { name, at, measured, entry });
        }
    }
    if !any_error(said) && !(2..=MOST).contains(&marks.len()) {
        let message = format!("{} marks are measured; a sheet is found by 2 to {MOST}", marks.len());
        let hint = "write the X and Y that the machine shows at each into its `measured`";
        said.push(Diagnostic::error("marks-missing", message).at("mark").help(hint));
    }
    let bleed = match doc.length("bleed")? {
        RawLength::Fixed(l) if l.is_finite() && l >= Length::ZERO => l,
        _ => {
            said.push(Diagnostic::error("not-a-bleed", "a bleed is a length from 0").at("bleed"));
            return None;
        }
    };
    let word = |key| doc.text(key).unwrap_or_default();
    let stretches = [Stretch::None, Stretch::Even, Stretch::Any];
    Some(Marks {
        sheet: doc.text("sheet")?.to_owned(),
        machine: doc.text("machine").map(str::to_owned),
        is_on_artwork: word("on") == "artwork",
        piece: doc.text("piece").map(str::to_owned),
        bleed,
        is_turned_over: doc.flag("turned_over").unwrap_or(false),
        stretch: doc.text("stretch").and_then(|w| stretches.into_iter().find(|s| s.word() == w)),
        marks,
        places: doc.places.clone(),
    })
}

/// As many marks as are taken: a corner each.
const MOST: usize = 4;
/// No bed reaches so far, mm (our choice).
const FARTHEST: Length = mm(100_000.0);

/// Two lengths as a place, mm.
fn place(doc: &Document, key: &str, said: &mut Vec<Diagnostic>) -> Option<Point> {
    let fixed = |l: RawLength| match l {
        RawLength::Fixed(l) if l.to_mm().abs() <= FARTHEST.to_mm() => Some(l.to_mm()),
        _ => None,
    };
    match doc.lengths(key).as_slice() {
        [x, y] => {
            if let (Some(x), Some(y)) = (fixed(*x), fixed(*y)) {
                return Some(pt(x, y));
            }
        }
        _ if doc.len(key) != 2 => {}
        _ => return None,
    }
    let message = "a place is two lengths, across and up";
    let hint = format!(
        "write [120.5, 33] in {}, or [\"4 3/4 in\", \"1.3 in\"]",
        if doc.unit == Unit::Inch { "inches" } else { "millimetres" }
    );
    said.push(Diagnostic::error("not-a-place", message).at(key).help(hint));
    None
}
