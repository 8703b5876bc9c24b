//! From the text of a job file to a checked job.

use super::check::Check;
use super::inside::Stocks;
use super::{Division, JOB, Job, StockKind, slip};
use crate::diag::{Diagnostic, Place, Places, Source, any_error, shorten};
use crate::doc::{self, Override};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Reads and checks a job file. The job is there only if none of the diagnostics is an error;
/// warnings and hints come beside it. Every error that can be told is told at once; the text's own
/// mistakes hide those of meaning only where the text is not TOML.
///
/// Every diagnostic is placed in the text. A job that names a drawing is an error here; see
/// [`read_with`].
pub fn read(source: &Source) -> (Option<Job>, Vec<Diagnostic>) {
    read_with(source, &|_| Err("drawings cannot be read here".into()))
}

/// The same, where `drawing` gives the bytes of a file that the job names, its path as written
/// there (relative to the job file), or says why it cannot.
pub fn read_with(source: &Source, drawing: Drawing<'_>) -> (Option<Job>, Vec<Diagnostic>) {
    let (job, diagnostics, _) = read_over(source, drawing, &[]);
    (job, diagnostics)
}

/// Gives the bytes of a drawing by its path as the job has it, or says why it cannot.
pub type Drawing<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// The same, some keys given from outside: see [`doc::read_over`], also for the text that comes back.
pub fn read_over(
    source: &Source,
    drawing: Drawing<'_>,
    overrides: &[Override],
) -> (Option<Job>, Vec<Diagnostic>, String) {
    let (job, diagnostics, text) = draft(source, drawing, overrides);
    (job.filter(|_| !any_error(&diagnostics)), diagnostics, text)
}

/// The same, the job given also where some of it is wrong, if enough is right to go on looking for
/// mistakes: nothing is to be made of it.
pub fn draft(source: &Source, drawing: Drawing<'_>, overrides: &[Override]) -> (Option<Job>, Vec<Diagnostic>, String) {
    let (document, mut diagnostics, text) = doc::read_over(&source.text, &JOB, Some("units"), overrides);
    let is_toml = !diagnostics.iter().any(|d| doc::is_syntax(d.code));
    let mut job = None;
    if is_toml {
        let is_clean = !any_error(&diagnostics);
        // What was read is what the job keeps: a file may change at any time.
        let read: RefCell<BTreeMap<String, Arc<[u8]>>> = RefCell::default();
        let drawing = |path: &str| {
            let bytes = drawing(path)?;
            read.borrow_mut().insert(path.to_owned(), bytes.as_slice().into());
            Ok(bytes)
        };
        let mut check = Check { doc: &document, out: Vec::new(), t: None, is_clean, drawing: &drawing };
        job = check.job();
        if let Some(job) = &mut job {
            job.drawings = read.take();
        }
        diagnostics.extend(slip::told(&slip::slips(&text, &document), document.unit));
        diagnostics.append(&mut check.out);
        slip::without_what_follows(&mut diagnostics);
    }
    shorten(&mut diagnostics);
    for d in &mut diagnostics {
        d.place = Some(Place::Span(span(d.place.take(), &document.places)));
    }
    (job, diagnostics, text)
}

fn span(place: Option<Place>, places: &Places) -> std::ops::Range<usize> {
    match place {
        Some(Place::Span(span)) => span,
        Some(Place::Key(key)) => places.find(&key).unwrap_or(0..0),
        None => 0..0,
    }
}

impl Check<'_> {
    /// Everything, each part checked whatever became of the others.
    fn job(&mut self) -> Option<Job> {
        let title = self.head();
        let copies = self.copies();
        self.board_thickness();
        let contents = self.contents();
        let board = self.stock(StockKind::Board);
        let cloth = self.stock(StockKind::Cloth);
        let paper = self.stock(StockKind::Paper);
        let liner = self.stock(StockKind::Liner);
        let (a_cloth, a_liner) = (cloth.as_ref().and_then(Option::as_ref), liner.as_ref().and_then(Option::as_ref));
        let a_board = board.as_ref().and_then(Option::as_ref);
        let a_paper = paper.as_ref().and_then(Option::as_ref);
        self.thicknesses(contents.as_ref(), a_board, [("cloth", a_cloth), ("paper", a_paper), ("liner", a_liner)]);
        let terms = self.construction().map(super::Construction::terms);
        let taken = Stocks {
            board: a_board,
            cloth: a_cloth.filter(|_| terms.is_none_or(|t| t.is_hinged)),
            liner: a_liner.filter(|_| terms.is_none_or(|t| t.takes_liner)),
        };
        let inside = if terms.is_some_and(|t| t.has_mouth) && self.doc.is_written("inside") {
            let message = "a slipcase holds the works alone: what slides in and out cannot lie on loose parts";
            let d = Diagnostic::error("no-inside-here", message).at("inside");
            self.push(d.help("take [inside] out; contents.clearance gives the works more room"));
            None
        } else {
            self.inside(contents.as_ref(), taken)
        };
        // The box is built round all that lies in it.
        let contents = match (&inside, contents) {
            (Some(Some(inside)), Some(first)) => {
                let all = inside.as_contents(&first);
                self.contents_size(&all);
                Some(all)
            }
            (None, _) | (_, None) => None,
            (Some(None), first) => first,
        };
        let build = self.build(contents.as_ref());
        self.lining_here(liner.as_ref().and_then(Option::as_ref));
        let (cloth, liner) = self.stocks_in_use(cloth, liner);
        let strips = match build.as_ref().map(|b| b.construction.terms().has_strips) {
            Some(true) => self.strips(contents.as_ref()).map(Some),
            _ => Some(None),
        };
        let trays = match build.as_ref().map(|b| b.construction.terms().has_trays) {
            Some(true) => self.trays().map(Some),
            _ => Some(None),
        };
        let slipcase = match build.as_ref().map(|b| b.construction.terms().has_mouth) {
            Some(true) => self.slipcase().map(Some),
            _ => Some(None),
        };
        let portfolio = match build.as_ref().map(|b| b.construction.terms().holds_wrapper()) {
            Some(true) => self.portfolio().map(Some),
            _ => Some(None),
        };
        let has_lids = build.as_ref().is_none_or(|b| b.construction.terms().has_lids());
        let flaps = match (&strips, &contents) {
            _ if !has_lids => self.no_flaps(),
            (Some(Some(strips)), Some(contents)) => self.strip_flaps(strips, contents),
            (None, _) | (Some(Some(_)), None) => None,
            (Some(None), _) => self.flaps(contents.as_ref()),
        };
        let covering = self.covering();
        let sides = self.sides();
        let paper = self.paper_in_use(paper, sides.as_ref());
        let making = self.making();
        let elastic = self.elastic();
        let strap = self.strap();
        let title_label = self.title_label();
        let takes_closings = build.as_ref().is_none_or(|b| b.construction.terms().takes_closings);
        let ties = self.ties(takes_closings);
        let magnets = self.magnets(takes_closings);
        let turning = self.turning();
        let windows = self.windows();
        let marks = self.marks();
        let glue = self.glue();
        let work = self.work();
        let layout = match self.doc.text("layout") {
            Some(word) if word == Division::StraightCuts.word() => Division::StraightCuts,
            _ => Division::Outlines,
        };
        let layout_effort = self.layout_effort();
        Some(Job {
            // What no measure hangs on may be wrong in a draft.
            title: title.unwrap_or_default(),
            item: String::new(),
            units: self.doc.unit,
            copies: copies.unwrap_or(1),
            contents: contents?,
            inside: inside?,
            board: board??,
            cloth: cloth?,
            paper: paper?,
            liner: liner?,
            elastic: elastic?,
            build: build?,
            flaps: flaps?,
            strips: strips?,
            trays: trays?,
            slipcase: slipcase?,
            portfolio: portfolio?,
            sides: sides?,
            covering: covering?,
            making: making?,
            strap: strap?.filter(|_| has_lids && !terms.is_some_and(super::Terms::holds_wrapper)),
            title_label: title_label?,
            glue: glue?,
            work: work?,
            ties,
            magnets,
            turning: turning?,
            windows,
            marks: marks?,
            layout,
            layout_effort: layout_effort?,
            drawings: BTreeMap::new(),
            places: self.doc.places.clone(),
        })
    }
}
