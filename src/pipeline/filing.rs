//! Where in its folder a file of a sheet lies: beside the papers, or in a folder of its stock.
//!
//! Every name of a sheet's file goes through [`Filing::place`]; what is told of the file (the manifest, lists, the page, the
//! sheet for whoever cuts) has the name from there.

use super::File;
use crate::job::StockKind;

/// With more sheets than this, that differ, the files of each stock have a folder of their own (our choice). Every sheet has
/// a drawing and a picture at least, so that it is more than forty files of sheets; a program, a picture as pixels or
/// another form of drawing more moves none of those that are there.
const MOST: usize = 20;

/// How the files of sheets lie in their folder.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filing {
    /// All beside the papers.
    #[default]
    Together,
    /// `board/`, `cloth/`, `paper/` and `liner/`, the papers, the manifest and the lists above them.
    ByStock,
}

impl Filing {
    /// That of a folder of so many sheets that differ, by stock where that is asked for.
    pub const fn of(sheets: usize, is_asked: bool) -> Self {
        if is_asked || sheets > MOST { Self::ByStock } else { Self::Together }
    }

    /// The name of a file of a sheet, from the folder, its parts divided by `/`.
    pub fn place(self, stock: StockKind, name: &str) -> String {
        match self {
            Self::Together => name.to_owned(),
            Self::ByStock => format!("{}/{name}", stock.word()),
        }
    }

    /// Files of a sheet in their places.
    pub fn files(self, stock: StockKind, files: Vec<File>) -> Vec<File> {
        files.into_iter().map(|(name, bytes)| (self.place(stock, &name), bytes)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_sheets_lie_by_stock_and_few_where_asked() {
        let place = |sheets, is_asked| Filing::of(sheets, is_asked).place(StockKind::Cloth, "cloth-1.svg");
        assert_eq!(place(20, false), "cloth-1.svg");
        assert_eq!(place(21, false), "cloth/cloth-1.svg");
        assert_eq!(place(1, true), "cloth/cloth-1.svg");
    }
}
