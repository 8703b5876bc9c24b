//! Text, tables and figures one below the other, page after page. A heading stays with what follows
//! it; a row of a table or a step is never torn.

use super::paper::Paper;
use super::parts::{shrunk, wrapped};
use crate::drawing::Faces;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::geom::{Point, pt};
use crate::write::style::{FAINT, INK, QUIET};

/// The margin of text pages, mm.
pub(super) const MARGIN: f64 = 18.0;
/// Body text.
pub(super) const BODY: Type = Type::new(3.5);
const LEAD: f64 = 1.4;
/// A table of no more rows than this stays whole.
const SHORT: usize = 6;

/// The letters of a note.
const NOTE: Type = Type::new(3.0).color(QUIET);
/// A note hangs no deeper into the margin than this, mm, clear of the page's number.
const HANG: f64 = 5.5;
/// The letters of a table.
const TABLE: Type = Type::new(3.1);
/// What a heading takes of the page, in its size, and how much of that down to the foot of its letters.
const WAITING: f64 = 2.4;
const ABOVE: f64 = 1.7;
/// Left free below a table, mm.
const BELOW_TABLE: f64 = 2.0;
/// Between two rows of a table, mm, and where it would be torn otherwise.
const APART: f64 = 1.6;
const CLOSE: f64 = 0.5;

/// The cells of one row, each in its lines.
type Cells = Vec<Vec<String>>;

/// A table as it is set.
struct Table {
    widths: Vec<f64>,
    heads: Cells,
    rows: Vec<Cells>,
}

impl Table {
    fn row_height(cells: &[Vec<String>], apart: f64) -> f64 {
        TABLE.size * LEAD * cells.iter().map(Vec::len).max().unwrap_or(1) as f64 + apart
    }

    fn height(&self, apart: f64) -> f64 {
        Self::row_height(&self.heads, apart) + self.rows.iter().map(|r| Self::row_height(r, apart)).sum::<f64>()
    }
}

/// Pages being filled from the top.
pub(super) struct Flow<'a> {
    pub(super) faces: &'a Faces,
    size: (f64, f64),
    /// Left free at the bottom, mm.
    foot: f64,
    pages: Vec<Page>,
    /// The height up to which the last page is free.
    y: f64,
    /// Headings that wait for what they head.
    waiting: Vec<(Type, String)>,
    /// By so much the margin at the bottom is taken, mm.
    hang: f64,
}

impl<'a> Flow<'a> {
    const TITLE: Type = Type::new(6.5).bold();

    pub(super) fn new(faces: &'a Faces, paper: Paper, foot: f64) -> Self {
        let size = paper.size();
        let mut flow = Self { faces, size, foot, pages: Vec::new(), y: 0.0, waiting: Vec::new(), hang: 0.0 };
        flow.turn();
        flow
    }

    /// A fresh page.
    pub(super) fn turn(&mut self) {
        self.pages.push(Page::new(self.size.0, self.size.1));
        self.y = self.size.1 - MARGIN;
    }

    /// The width that text has, mm.
    pub(super) fn room(&self) -> f64 {
        self.size.0 - 2.0 * MARGIN
    }

    fn bottom(&self) -> f64 {
        MARGIN.max(self.foot + 10.0) - self.hang
    }

    fn is_fresh(&self) -> bool {
        self.y >= self.size.1 - MARGIN - 1e-9
    }

    /// What a title and the paragraphs below it take of the page as it is, mm.
    pub(super) fn titled_height(&self, words: &[String]) -> f64 {
        let title = Self::TITLE.size * if self.is_fresh() { WAITING - ABOVE + 1.0 } else { WAITING };
        title + words.iter().map(|w| self.text_height(w)).sum::<f64>()
    }

    /// The height of the headings that wait, mm.
    fn waiting(&self) -> f64 {
        self.waiting.iter().map(|(kind, _)| kind.size * WAITING).sum()
    }

    /// Makes `height` mm free, headings that wait included, and gives the top of it.
    fn take(&mut self, height: f64) -> f64 {
        if self.y - self.waiting() - height < self.bottom() && !self.is_fresh() {
            self.turn();
        }
        for (kind, text) in std::mem::take(&mut self.waiting) {
            let above = if self.is_fresh() { kind.size } else { kind.size * ABOVE };
            let y = self.y - above;
            self.y = y - kind.size * (WAITING - ABOVE);
            let kind = shrunk(self.faces, &text, kind, self.room());
            let faces = self.faces;
            if let Some(page) = self.pages.last_mut() {
                page.text(faces, pt(MARGIN, y), Anchor::Left, kind, &text);
            }
        }
        let top = self.y;
        self.y -= height;
        top
    }

    pub(super) fn title(&mut self, text: &str) {
        self.waiting.push((Self::TITLE, text.into()));
    }

    pub(super) fn heading(&mut self, text: &str) {
        self.waiting.push((Type::new(4.4).bold(), text.into()));
    }

    /// What heads a part of what a heading heads.
    pub(super) fn subheading(&mut self, text: &str) {
        self.waiting.push((Type::new(3.7).bold(), text.into()));
    }

    /// A paragraph.
    pub(super) fn text(&mut self, text: &str) {
        self.paragraph(text, BODY, 0.0, "");
    }

    /// A paragraph that stands back. One of a line or so hangs into the margin before it would stand alone on a page.
    pub(super) fn note(&mut self, text: &str) {
        let over = self.paragraph_height(text, NOTE, 0.0) - self.left();
        self.hang = if self.waiting.is_empty() && over > 0.0 && over <= HANG { HANG } else { 0.0 };
        self.paragraph(text, NOTE, 0.0, "");
        self.hang = 0.0;
    }

    /// One of a list.
    pub(super) fn item(&mut self, text: &str) {
        self.paragraph(text, BODY, 5.0, "\u{2022}");
    }

    /// One to be ticked off.
    pub(super) fn tick(&mut self, text: &str) {
        self.paragraph(text, BODY, 6.0, "\u{25a1}");
    }

    fn paragraph(&mut self, text: &str, kind: Type, indent: f64, sign: &str) {
        let lines = wrapped(self.faces, text, kind, self.room() - indent);
        let lead = kind.size * LEAD;
        let top = self.take(lead * lines.len() as f64 + 1.2);
        let faces = self.faces;
        let Some(page) = self.pages.last_mut() else { return };
        for (i, line) in lines.iter().enumerate() {
            let y = top - lead * (i as f64 + 0.75);
            if i == 0 {
                page.text(faces, pt(MARGIN + 0.5, y), Anchor::Left, kind, sign);
            }
            page.text(faces, pt(MARGIN + indent, y), Anchor::Left, kind, line);
        }
    }

    /// How high a paragraph of body text is, mm.
    pub(super) fn text_height(&self, text: &str) -> f64 {
        self.paragraph_height(text, BODY, 0.0)
    }

    fn paragraph_height(&self, text: &str, kind: Type, indent: f64) -> f64 {
        kind.size * LEAD * wrapped(self.faces, text, kind, self.room() - indent).len() as f64 + 1.2
    }

    /// Something drawn across the page, `height` mm high: it is given its lower left corner and its
    /// width.
    pub(super) fn row(&mut self, height: f64, draw: impl FnOnce(&mut Page, Point, f64)) {
        let top = self.take(height);
        let room = self.room();
        if let Some(page) = self.pages.last_mut() {
            draw(page, pt(MARGIN, top - height), room);
        }
    }

    /// What is left of the page, mm.
    pub(super) fn left(&self) -> f64 {
        self.y - self.bottom()
    }

    /// A little room.
    pub(super) fn gap(&mut self, height: f64) {
        if !self.is_fresh() {
            self.y -= height;
        }
    }

    /// Half the height that a page has, mm.
    pub(super) fn half(&self) -> f64 {
        (self.size.1 - MARGIN - self.bottom()) / 2.0
    }

    /// Turns the page unless `height` mm are left on it.
    pub(super) fn need(&mut self, height: f64) {
        if self.y - height < self.bottom() && !self.is_fresh() {
            self.turn();
        }
    }

    /// How high a table is that no page tears, mm.
    pub(super) fn table_height(&self, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) -> f64 {
        self.broken(heads, shares, rows).height(APART) + BELOW_TABLE
    }

    /// How high a [`Self::close_table`] is that no page tears, mm.
    pub(super) fn close_table_height(&self, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) -> f64 {
        self.broken(heads, shares, rows).height(CLOSE) + BELOW_TABLE
    }

    /// A table's cells in the lines that its columns make of them.
    fn broken(&self, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) -> Table {
        let total: f64 = shares.iter().sum();
        let widths: Vec<f64> = shares.iter().map(|s| s / total * self.room()).collect();
        let cells = |row: &Vec<String>| {
            row.iter().zip(&widths).map(|(cell, w)| wrapped(self.faces, cell, TABLE, w - 2.5)).collect()
        };
        let rows = rows.iter().map(cells).collect();
        let heads = heads.iter().map(|h| vec![(*h).to_owned()]).collect();
        Table { widths, heads, rows }
    }

    /// A table: columns by shares of the width, numbers and words alike on the left. A cell too long
    /// for its column is broken into lines.
    pub(super) fn table(&mut self, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) {
        let table = self.broken(heads, shares, rows);
        // One that would be torn, or turn the page, by a little is set closer.
        let left = self.y - self.waiting() - self.bottom();
        let is_close = table.height(APART) > left && table.height(CLOSE) < left - 0.01;
        self.set(table, if is_close { CLOSE } else { APART });
    }

    /// A table of many short rows, set close.
    pub(super) fn close_table(&mut self, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) {
        self.set(self.broken(heads, shares, rows), CLOSE);
    }

    fn set(&mut self, table: Table, apart: f64) {
        let left = self.y - self.waiting() - self.bottom();
        let all = table.height(apart);
        let Table { widths, heads, rows: broken } = table;
        let (kind, room, faces) = (TABLE, self.room(), self.faces);
        let lead = kind.size * LEAD;
        let height = |cells: &[Vec<String>]| Table::row_height(cells, apart);
        let put = |flow: &mut Self, cells: &[Vec<String>], kind: Type, rule: Pen, with: f64| {
            let high = height(cells);
            // The head stays with the first row, and the headings with it.
            if flow.y - flow.waiting() - high - with < flow.bottom() && !flow.is_fresh() {
                flow.turn();
            }
            let top = flow.take(high);
            let Some(page) = flow.pages.last_mut() else { return };
            let mut x = MARGIN;
            for (cell, w) in cells.iter().zip(&widths) {
                for (i, line) in cell.iter().enumerate() {
                    let kind = shrunk(faces, line, kind, w - 2.0);
                    page.text(faces, pt(x, top - lead * (i as f64 + 0.8)), Anchor::Left, kind, line);
                }
                x += w;
            }
            page.line(pt(MARGIN, top - high + 0.3), pt(MARGIN + room, top - high + 0.3), rule);
        };
        // A short table is not torn.
        if broken.len() <= SHORT && all > left && !self.is_fresh() {
            self.turn();
        }
        let dark = Pen::solid(INK, 0.25);
        let faint = Pen::solid(FAINT, 0.15);
        let first = broken.first().map_or(0.0, |r| height(r));
        put(self, &heads, kind.bold(), dark, first);
        for row in &broken {
            if self.y - height(row) < self.bottom() {
                self.turn();
                put(self, &heads, kind.bold(), dark, height(row));
            }
            put(self, row, kind, faint, 0.0);
        }
        self.y -= BELOW_TABLE;
    }

    pub(super) fn finish(mut self) -> Vec<Page> {
        // A heading that heads nothing is still shown; a note may hang below the last line.
        if !self.waiting.is_empty() {
            self.take(0.0);
        }
        self.pages
    }
}
