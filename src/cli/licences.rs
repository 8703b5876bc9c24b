//! `licences`: the program's own terms and those of all that is in it.

use super::{Exit, Failure, Terminal};

const OWN: &str = include_str!("../../LICENSE");
/// Made by `licences/gather`.
const THIRD_PARTY: &str = include_str!("../../licences/third-party.txt");

pub(super) fn run(terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    write!(terminal.out, "{OWN}\n{}\n{THIRD_PARTY}", "=".repeat(78))?;
    Ok(Exit::Good)
}
