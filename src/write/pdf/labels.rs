//! Labels for the boxes, one a box, on sheets that a straight edge cuts apart.

use super::paper::Paper;
use super::parts::{shrunk, wrapped};
use crate::drawing::{Anchor, Drawing as Page, Faces, Pen, Type, pdf};
use crate::geom::{Point, pt};
use crate::job::Job;
use crate::units::{Length, Unit};
use crate::write::style::QUIET;

/// A label, mm (our choice: two beside one another on A4, and shorter than the side of a box for A5).
const SIZE: (f64, f64) = (90.0, 38.0);
/// What a printer leaves white, mm (our choice).
const RIM: f64 = 8.0;
/// On a label so many times as high as wide, or more, the lines run up it.
const TALL: f64 = 1.5;
/// Free on each side of the text, mm.
const PAD: f64 = 5.0;
/// Smaller than this no title is written: it takes two lines then, mm.
const SMALLEST: f64 = 4.2;
/// With more copies than this, labels carry no numbers, and one page of them is printed as often as it takes (our
/// choice: forty pages).
const MOST: u32 = 600;
/// Where labels are cut apart.
const CUT: Pen = Pen::solid(QUIET, 0.25);

/// What stands on the label of one box.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What the box is called.
    pub title: String,
    /// Which item of a list it holds; empty for a job alone.
    pub item: String,
    /// Which copy it is, and of how many.
    pub copy: Option<[u32; 2]>,
    /// How large what it holds is, in words.
    pub holds: String,
}

impl Label {
    /// That of a box which holds something of this width, height and depth, where that is known.
    pub fn new(title: &str, item: &str, size: Option<[Length; 3]>, unit: Unit) -> Self {
        let holds = size.map(|s| format!("holds {}", unit.show_size(&s))).unwrap_or_default();
        Self { title: title.into(), item: item.into(), copy: None, holds }
    }

    /// One for each copy from `first` on; the only copy has no number.
    pub fn numbered(self, first: u32, of: u32) -> Vec<Self> {
        if of == 1 {
            return vec![self];
        }
        (first..=of).map(|n| Self { copy: Some([n, of]), ..self.clone() }).collect()
    }

    /// What tells it from the other labels.
    fn which(&self) -> String {
        let copy = self.copy.map(|[n, of]| format!("{n} of {of}"));
        let both = [(!self.item.is_empty()).then(|| self.item.clone()), copy];
        both.into_iter().flatten().collect::<Vec<_>>().join("  ·  ")
    }
}

/// The labels of all copies of a job, of which the first has the number `first`.
pub fn of_job(job: &Job, first: u32) -> Vec<Label> {
    // Of several stacks the label says the title alone.
    let stacks = job.stacks();
    let size = stacks.first().copied().filter(|_| stacks.len() == 1);
    let one = Label::new(&job.title, &job.item, size, job.units);
    match job.copies + first.saturating_sub(1) {
        of if of <= MOST => one.numbered(first, of),
        _ => vec![one; 14],
    }
}

/// The labels in their order, row by row, of the size that their recess is for, or of one that goes on the side of a
/// box. An error only where the PDF library cannot write.
pub fn labels(all: &[Label], title: &str, size: Option<[Length; 2]>, paper: Paper) -> Result<Vec<u8>, String> {
    let faces = Faces::new();
    let size = size.map_or(SIZE, |[w, h]| (w.to_mm(), h.to_mm()));
    pdf(&pages(all, size, paper, &faces), &format!("{title}: labels"), &faces)
}

fn pages(all: &[Label], size: (f64, f64), paper: Paper, faces: &Faces) -> Vec<Page> {
    let (width, height) = paper.size();
    let fit = |room: f64, one: f64| ((room - 2.0 * RIM) / one).floor().max(1.0);
    let (columns, rows) = (fit(width, size.0), fit(height, size.1));
    let corner = pt((width - columns * size.0) / 2.0, (height - rows * size.1) / 2.0);
    let (columns, rows) = (columns as usize, rows as usize);
    let page = |some: &[Label]| {
        let mut page = Page::new(width, height);
        let used = some.len().div_ceil(columns);
        // Cuts run to the paper's edge, so that a rule finds both ends of each.
        for c in 0..=columns.min(some.len()) {
            let x = corner.x + size.0 * c as f64;
            page.line(pt(x, RIM / 2.0), pt(x, height - RIM / 2.0), CUT);
        }
        for r in 0..=used {
            let y = height - corner.y - size.1 * r as f64;
            page.line(pt(RIM / 2.0, y), pt(width - RIM / 2.0, y), CUT);
        }
        for (i, label) in some.iter().enumerate() {
            let (c, r) = (i % columns, i / columns);
            let middle = pt(corner.x + size.0 * (c as f64 + 0.5), height - corner.y - size.1 * (r as f64 + 0.5));
            draw(&mut page, faces, middle, label, size);
        }
        page
    };
    all.chunks(columns * rows).map(page).collect()
}

/// A label about its middle; on one much higher than wide the lines run up it, as on a spine. What finds no room is
/// left out, the title last.
fn draw(page: &mut Page, faces: &Faces, middle: Point, label: &Label, size: (f64, f64)) {
    let is_upright = size.1 > TALL * size.0;
    let (long, short) = if is_upright { (size.1, size.0) } else { size };
    let room = long - 2.0 * PAD.min(long * 0.06);
    let which = label.which();
    let bold = Type::new(6.5).bold();
    let whole = shrunk(faces, &label.title, bold, room);
    let small = Type { size: SMALLEST, ..bold };
    let title: Vec<(String, Type)> = if whole.size >= SMALLEST {
        vec![(label.title.clone(), whole)]
    } else {
        let mut lines = wrapped(faces, &label.title, small, room);
        let rest = lines.split_off(lines.len().min(1)).join(" ");
        lines.push(rest);
        lines.retain(|l| !l.is_empty());
        lines.into_iter().map(|l| (l.clone(), shrunk(faces, &l, small, room))).collect()
    };
    // However small it becomes, the title stays whole.
    let fewest = title.len().max(1);
    let others = [(which, Type::new(5.0)), (label.holds.clone(), Type::new(3.4).color(QUIET))];
    let others = others.into_iter().map(|(text, kind)| {
        let kind = shrunk(faces, &text, kind, room);
        (text, kind)
    });
    let mut lines: Vec<(String, Type)> = title.into_iter().chain(others).filter(|l| !l.0.is_empty()).collect();
    let lead = |kind: &Type| kind.size * 1.5;
    let high = |lines: &[(String, Type)]| lines.iter().map(|l| lead(&l.1)).sum::<f64>();
    while lines.len() > fewest && high(&lines) > short {
        lines.pop();
    }
    let smaller = (short / high(&lines).max(1e-9)).min(1.0);
    for line in &mut lines {
        line.1.size *= smaller;
    }
    let mut y = high(&lines) / 2.0;
    for (text, kind) in lines {
        y -= lead(&kind);
        let up = y + 0.4 * kind.size;
        if is_upright {
            page.upright(faces, middle - pt(up, 0.0), Anchor::Middle, kind, &text);
        } else {
            page.text(faces, middle + pt(0.0, up), Anchor::Middle, kind, &text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::clashes;

    #[test]
    fn labels_hold_what_tells_boxes_apart_and_nothing_overlaps() {
        let label = |n: u32, title: &str| Label {
            title: title.into(),
            item: format!("TH-{n:03}"),
            copy: Some([n, 30]),
            holds: "holds 210 x 297 x 12 mm".into(),
        };
        let long = "Pressed weeds of the lower shore, gathered between two spring tides and mounted on blue paper";
        let all: Vec<Label> = (1..=30).map(|n| label(n, if n % 2 == 0 { long } else { "Tideline folio" })).collect();
        let faces = Faces::new();
        for paper in [Paper::A4, Paper::Letter] {
            let made = pages(&all, SIZE, paper, &faces);
            let (width, height) = paper.size();
            let texts: Vec<String> = made.iter().flat_map(|p| p.texts()).map(|t| t.text.clone()).collect();
            for n in 1..=30 {
                assert!(texts.contains(&format!("TH-{n:03}  ·  {n} of 30")), "{paper:?}: {n}");
            }
            for page in &made {
                assert_eq!(clashes(page), Vec::<String>::new());
                let inside = |t: &&crate::drawing::Text| {
                    let b = t.bounds();
                    b.min.x > RIM && b.min.y > RIM && b.max.x < width - RIM && b.max.y < height - RIM
                };
                assert!(page.texts().iter().all(inside));
            }
        }
    }

    #[test]
    fn a_label_for_a_recess_is_as_large_as_it_and_holds_the_title() {
        let label = Label::new("Oarweed trays", "", None, Unit::Mm);
        let faces = Faces::new();
        for (size, is_upright) in
            [((120.0, 30.0), false), ((22.0, 90.0), true), ((9.0, 60.0), true), ((18.0, 8.0), false)]
        {
            let made = pages(std::slice::from_ref(&label), size, Paper::A4, &faces);
            let texts = made[0].texts();
            // On a small one it breaks, and its lines are the whole of it.
            let lines: Vec<&str> = texts.iter().map(|t| t.text.as_str()).collect();
            assert_eq!(lines.join(" "), "Oarweed trays", "{size:?}");
            for b in texts.iter().map(|t| t.bounds()) {
                assert!(b.width() < size.0 && b.height() < size.1, "{size:?}: {b:?}");
                assert_eq!(b.height() > b.width(), is_upright);
            }
        }
    }
}
