//! A piece's name and size as marks on it: inside it, on the face that gets covered, clear of its
//! edges and of everything that is cut, pressed or marked there.

use super::lettering::{extent, lacks, letters};
use super::{Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Contour, Point, Segment, Stroke, Transform, intersections, pt};
use crate::job::{CutFace, Job, StockKind};
use crate::units::mm;

/// Letter heights in mm, the first that finds a place is taken (our choice, of the heights of ISO 3098, from
/// memory). Smaller ones clog under a pen.
const HEIGHTS: [f64; 4] = [7.0, 5.0, 3.5, 2.5];
/// How far letters keep from every line of the piece, mm (our choice).
const CLEARANCE: f64 = 2.0;
/// Steps of the search for a place, in each direction.
const STEPS: i32 = 12;

/// Adds each piece's label to its marks: name and size, or on a small piece the name alone, or its
/// words' first letters. A piece too small for these goes without, which is said; so does one whose
/// upper face shows in the finished box.
pub(super) fn add(pieces: &mut [Piece], job: &Job) -> Option<Diagnostic> {
    let mut bare: Vec<&str> = Vec::new();
    for piece in pieces {
        if !is_covered(piece, job) {
            continue;
        }
        if job.marks.copy_numbers {
            // As large as the label, which stands beside it; a number alone is as large as it finds room.
            let number = number(job.copies);
            let both = texts(piece, job).iter().find_map(|text| with_number(piece, text, &number));
            if let Some((label, place)) = both {
                piece.number = Some(place);
                piece.marks.extend(label);
                continue;
            }
        }
        let label = texts(piece, job).iter().map(|text| label(piece, text)).find(|l| !l.is_empty());
        // Patches are as small as they come, and alike.
        if label.is_none() && piece.role != Role::Patch {
            bare.push(&piece.id);
        }
        piece.marks.extend(label.unwrap_or_default());
    }
    (!bare.is_empty()).then(|| {
        let message = format!("there is no room for letters on {}", bare.join(", "));
        Diagnostic::hint("no-label", message)
            .at("marks.labels")
            .help("write what they are on them as they come off the table")
    })
}

/// Letters of an item's id that stand on its pieces as squares.
pub(super) fn unknown_letters(job: &Job) -> Option<Diagnostic> {
    let lacking = lacks(&job.item);
    (job.marks.labels && !lacking.is_empty()).then(|| {
        let named: Vec<String> = lacking.iter().map(char::to_string).collect();
        let message =
            format!("the lettering on the pieces has no {}: of the id a small square stands for it", named.join(" "));
        Diagnostic::warning("id-letters", message)
            .at("marks.labels")
            .help("write ids in letters from A to Z, figures, points, dashes and strokes: TH-001")
            .weighing(lacking.len() as f64)
    })
}

/// Whether the face that lies up on the bed is hidden in the finished box: a board's inside under
/// the liner, the back of cloth and liner under their glue.
fn is_covered(piece: &Piece, job: &Job) -> bool {
    if piece.role == Role::Inside {
        return super::inside::is_covered(piece, job);
    }
    let face_up = |stock: &Option<crate::job::Stock>| stock.as_ref().is_some_and(|s| s.cut_face == CutFace::Face);
    match piece.stock {
        // Turned over, a board's outside lies up, and the cloth covers it.
        StockKind::Board if piece.is_mirrored(job.board.cut_face) => job.cloth.is_some(),
        StockKind::Board => job.liner.is_some(),
        StockKind::Cloth => !face_up(&job.cloth),
        StockKind::Paper => !face_up(&job.paper),
        StockKind::Liner => !face_up(&job.liner),
    }
}

/// The number of a copy of the box as marks on one of its pieces, clear of all its lines; none where
/// there is no room or the face shows.
pub fn copy_label(piece: &Piece, job: &Job, copy: u32) -> Vec<Stroke> {
    let text = number(copy);
    match piece.number {
        Some(Lettered { height, center, is_upright }) => {
            drawn(&text, height, extent(&text, height), center, is_upright, piece.has_mirrored_letters())
        }
        None if is_covered(piece, job) => label(piece, &text),
        None => Vec::new(),
    }
}

/// The number of a copy as it is lettered.
fn number(copy: u32) -> String {
    format!("NO {copy}")
}

/// Where a line of letters stands.
#[derive(Clone, Copy, Debug)]
pub struct Lettered {
    /// The letters' height, mm.
    height: f64,
    /// The line's middle, in the piece's coordinates.
    center: Point,
    /// Whether it runs up the piece.
    is_upright: bool,
}

/// A label and beside it, after it or below it, the place of a number in letters of the same height: the largest
/// that find room together.
fn with_number(piece: &Piece, text: &str, number: &str) -> Option<(Vec<Stroke>, Lettered)> {
    let lines = lines(piece);
    let b = piece.outline.bounds();
    let (middle, is_tall) = (b.center(), b.height() > b.width());
    let is_mirrored = piece.has_mirrored_letters();
    for height in HEIGHTS {
        let (label, number) = (extent(text, height), extent(number, height));
        let gap = height;
        // From the middle of both to the middle of each, before they are turned.
        let after =
            (pt(label.x + gap + number.x, height), pt(-(gap + number.x) / 2.0, 0.0), pt((label.x + gap) / 2.0, 0.0));
        let below = (
            pt(label.x.max(number.x), 2.0 * height + gap),
            pt(0.0, (height + gap) / 2.0),
            pt(0.0, -(height + gap) / 2.0),
        );
        for is_upright in [is_tall, !is_tall] {
            for (size, to_label, to_number) in [after, below] {
                let whole = size + pt(2.0 * CLEARANCE, 2.0 * CLEARANCE);
                let room = if is_upright { pt(whole.y, whole.x) } else { whole };
                if let Some(center) = place(piece, &lines, room, middle) {
                    let onto = turned(is_mirrored, is_upright, center);
                    let strokes = drawn(text, height, label, onto.apply(to_label), is_upright, is_mirrored);
                    return Some((strokes, Lettered { height, center: onto.apply(to_number), is_upright }));
                }
            }
        }
    }
    None
}

/// A piece's id as words: `board-flap-left` is the left lid's board, `board left lid`.
pub fn piece_words(id: &str) -> String {
    let mut words: Vec<&str> = id.split('-').collect();
    if let Some(at) = words.iter().position(|w| ["flap", "wall"].contains(w))
        && at + 1 < words.len()
    {
        words.swap(at, at + 1);
    }
    words.into_iter().map(|w| if w == "flap" { "lid" } else { w }).collect::<Vec<_>>().join(" ")
}

/// What may stand on a piece, the fullest first.
fn texts(piece: &Piece, job: &Job) -> [String; 3] {
    let b = piece.outline.bounds();
    let name = piece_words(piece.id.split_once('-').map_or(piece.id.as_str(), |(_, rest)| rest));
    let initials: String = name.split(' ').filter_map(|word| word.chars().next()).collect();
    let item = if job.item.is_empty() { String::new() } else { format!("{}  ", job.item) };
    let size = job.units.show_size(&[mm(b.width()), mm(b.height())]);
    [format!("{item}{name}  {size}"), format!("{item}{name}"), format!("{item}{initials}")].map(|t| t.to_uppercase())
}

/// The text on a piece, in the largest letters that find a place on it; nothing where none do.
pub(super) fn label(piece: &Piece, text: &str) -> Vec<Stroke> {
    let lines = lines(piece);
    let b = piece.outline.bounds();
    let (middle, is_tall) = (b.center(), b.height() > b.width());
    for height in HEIGHTS {
        let size = extent(text, height);
        let whole = pt(size.x + 2.0 * CLEARANCE, size.y + 2.0 * CLEARANCE);
        for upright in [is_tall, !is_tall] {
            let room = if upright { pt(whole.y, whole.x) } else { whole };
            if let Some(center) = place(piece, &lines, room, middle) {
                return drawn(text, height, size, center, upright, piece.has_mirrored_letters());
            }
        }
    }
    Vec::new()
}

/// Everything that a label must not meet.
fn lines(piece: &Piece) -> Vec<Segment> {
    let mut all: Vec<Segment> = piece.outline.segments().collect();
    all.extend(piece.holes.iter().flat_map(Contour::segments));
    all.extend(piece.pockets.iter().flat_map(|p| p.outline.segments()));
    all.extend(piece.slits.iter().chain(&piece.creases).flat_map(|p| p.segments()));
    all.extend(piece.marks.iter().flat_map(Stroke::segments));
    all
}

/// The middle of a free rectangle of `room` inside the piece, the one nearest to `middle` of those
/// tried.
fn place(piece: &Piece, lines: &[Segment], room: Point, middle: Point) -> Option<Point> {
    let b = piece.outline.bounds();
    let spare = pt(b.width() - room.x, b.height() - room.y);
    if spare.x < 0.0 || spare.y < 0.0 {
        return None;
    }
    let half = STEPS / 2;
    let mut tried: Vec<Point> = (-half..=half)
        .flat_map(|i| (-half..=half).map(move |j| (f64::from(i), f64::from(j))))
        .map(|(i, j)| middle + pt(i * spare.x, j * spare.y) / f64::from(STEPS))
        .collect();
    tried.sort_by(|p, q| {
        p.distance(middle).total_cmp(&q.distance(middle)).then(p.x.total_cmp(&q.x)).then(p.y.total_cmp(&q.y))
    });
    tried.into_iter().find(|center| is_free(piece, lines, *center, room))
}

fn is_free(piece: &Piece, lines: &[Segment], center: Point, room: Point) -> bool {
    let rectangle = Bounds { min: center - room / 2.0, max: center + room / 2.0 };
    let inside = piece.outline.contains(center)
        && !piece.holes.iter().any(|h| h.contains(center))
        && !piece.pockets.iter().any(|p| p.outline.contains(center));
    let sides: Vec<Segment> = Contour::rectangle(rectangle.min, rectangle.max).segments().collect();
    inside
        && lines.iter().all(|line| {
            !line.bounds().grown(1e-6).overlaps(rectangle, 0.0)
                || (!rectangle.contains(line.bounds(), 0.0)
                    && sides.iter().all(|side| intersections(side, line).is_empty()))
        })
}

/// The letters about `center`, turned upright and mirrored as the piece will lie, so that they
/// read rightly on the bed.
fn drawn(text: &str, height: f64, size: Point, center: Point, upright: bool, mirrored: bool) -> Vec<Stroke> {
    let about_middle = Transform::shift(-size / 2.0);
    let onto = turned(mirrored, upright, center);
    letters(text, height)
        .into_iter()
        .map(|stroke| Stroke::Open(stroke.transformed(&about_middle).transformed(&onto)))
        .collect()
}

/// How letters about the origin come to lie about `center`.
fn turned(mirrored: bool, upright: bool, center: Point) -> Transform {
    Transform { mirrored, rotation_deg: if upright { 90.0 } else { 0.0 }, shift: center }
}
