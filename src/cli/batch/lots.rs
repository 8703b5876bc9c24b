//! The rows of a list as lots: the numbers of lots that are cut are passed over, and what is made again since it was
//! cut comes after all other rows.

use super::cut::{CutLots, Settled, again_note};
use super::leftovers::Leftovers;
use super::list::{List, Row};
use super::problem::Problem;
use super::{Lot, Shop};
use crate::cli::Failure;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A list that is read lot by lot.
pub(super) struct Lots<'a> {
    list: List,
    cut: &'a CutLots,
    shop: &'a Shop<'a>,
    /// Rows of a lot.
    size: usize,
    /// The last number that was given.
    last: u64,
    /// Rows that are worked again, when the list has ended.
    again: VecDeque<Row>,
    has_ended: bool,
    /// The lots that were given.
    pub(super) numbers: BTreeSet<u64>,
    /// Every id that may stand in a lot that is cut, with its row.
    pub(super) seen: BTreeMap<String, u64>,
    /// Of these, the rows that are worked again.
    pub(super) twice: BTreeSet<String>,
    /// Rows of the list.
    pub(super) rows: usize,
    /// What there is to tell of rows that were cut.
    pub(super) notes: Vec<Problem>,
}

impl<'a> Lots<'a> {
    pub(super) fn new(list: List, cut: &'a CutLots, shop: &'a Shop<'a>, size: usize) -> Self {
        Self {
            list,
            cut,
            shop,
            size,
            last: 0,
            again: VecDeque::new(),
            has_ended: false,
            numbers: BTreeSet::new(),
            seen: BTreeMap::new(),
            twice: BTreeSet::new(),
            rows: 0,
            notes: Vec::new(),
        }
    }

    /// How the list was read, where that is not by commas.
    pub(super) fn list_note(&self) -> Option<Problem> {
        self.list.note()
    }

    /// The next of those lots whose numbers are wanted, at most `most`; none after the last.
    pub(super) fn next_of(&mut self, most: usize, is_wanted: impl Fn(u64) -> bool) -> Result<Vec<Lot>, Failure> {
        let mut all = Vec::new();
        while all.len() < most {
            let Some(lot) = self.next(1)?.pop() else { break };
            all.extend(Some(lot).filter(|lot| is_wanted(lot.number)));
        }
        Ok(all)
    }

    /// The next lots, at most `most`; none after the last.
    pub(super) fn next(&mut self, most: usize) -> Result<Vec<Lot>, Failure> {
        let mut lots: Vec<Lot> = Vec::new();
        while lots.len() < most {
            let mut rows = Vec::new();
            while rows.len() < self.size
                && let Some(row) = self.next_row()?
            {
                rows.push(row);
            }
            if rows.is_empty() {
                break;
            }
            self.last += 1;
            while self.cut.lots.contains(&self.last) {
                self.last += 1;
            }
            let may = if self.numbers.is_empty() { self.cut.leftovers.of_first() } else { Leftovers::default() };
            self.notes.extend(rows.iter().filter_map(|row| again_note(row, self.last)));
            self.numbers.insert(self.last);
            lots.push(Lot { number: self.last, rows, leftovers: may });
        }
        Ok(lots)
    }

    /// The next row that is not settled.
    fn next_row(&mut self) -> Result<Option<Row>, Failure> {
        while !self.has_ended {
            let Some(row) = self.list.next_row()? else {
                self.has_ended = true;
                self.notes.extend(self.cut.notes(&self.seen));
                break;
            };
            self.rows += 1;
            if self.cut.lots.is_empty() {
                return Ok(Some(row));
            }
            let (id, number) = (row.id.clone(), row.row);
            if self.cut.has(&id) {
                self.seen.insert(id.clone(), number);
            }
            match self.cut.settle(row, self.shop) {
                Settled::New(row) => return Ok(Some(row)),
                Settled::Again(row) => {
                    if self.cut.has_box(&id) {
                        self.twice.insert(id);
                    }
                    self.again.push_back(row);
                }
                Settled::Cut(note) => self.notes.extend(note),
            }
        }
        Ok(self.again.pop_front())
    }
}
