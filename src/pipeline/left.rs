//! What machines leave to the hand or to another machine, as `--leave` names it.

use crate::job::StockKind;
use crate::profile::OperationKind;
use std::str::FromStr;

/// An operation, all that is done to a stock, or an operation on one stock alone: `through-cut`, `board`,
/// `board/through-cut`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeftOut {
    stock: Option<StockKind>,
    operation: Option<OperationKind>,
}

impl LeftOut {
    /// All that is done to a stock.
    pub const fn all_of(stock: StockKind) -> Self {
        Self { stock: Some(stock), operation: None }
    }

    fn covers(self, stock: StockKind, operation: OperationKind) -> bool {
        self.stock.is_none_or(|s| s == stock) && self.operation.is_none_or(|o| o == operation)
    }
}

impl FromStr for LeftOut {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let operation = |word: &str| OperationKind::ALL.into_iter().find(|o| o.word() == word);
        let found = match text.split_once('/') {
            Some((of, what)) => {
                StockKind::of_word(of).zip(operation(what)).map(|(s, o)| Self { stock: Some(s), operation: Some(o) })
            }
            None => StockKind::of_word(text)
                .map(|s| Self { stock: Some(s), operation: None })
                .or_else(|| operation(text).map(|o| Self { stock: None, operation: Some(o) })),
        };
        found.ok_or_else(|| {
            let operations = OperationKind::ALL.map(OperationKind::word).join(", ");
            let stocks = StockKind::ALL.map(StockKind::word).join(", ");
            format!("name an operation ({operations}), a stock ({stocks}), or both as STOCK/OPERATION")
        })
    }
}

/// Whether any of them covers an operation on a stock.
pub(super) fn is_left(left: &[LeftOut], stock: StockKind, operation: OperationKind) -> bool {
    left.iter().any(|l| l.covers(stock, operation))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stock_an_operation_or_both_can_be_left() {
        let left = |text: &str| -> Vec<LeftOut> { text.split(',').map(|t| t.parse().unwrap()).collect() };
        let (cut, score) = (OperationKind::ThroughCut, OperationKind::CreaseScore);
        assert!(is_left(&left("through-cut"), StockKind::Liner, cut));
        assert!(!is_left(&left("through-cut"), StockKind::Liner, score));
        assert!(is_left(&left("board"), StockKind::Board, score) && !is_left(&left("board"), StockKind::Cloth, score));
        let one = left("board/through-cut,cloth/crease-score");
        assert!(is_left(&one, StockKind::Board, cut) && is_left(&one, StockKind::Cloth, score));
        assert!(!is_left(&one, StockKind::Cloth, cut));
        for wrong in ["boards", "through-cut/board", "board/", "", "/"] {
            assert!(wrong.parse::<LeftOut>().unwrap_err().contains("board"), "{wrong}");
        }
    }
}
