//! A share of a list's lots: several runs at once, on one machine or on many, each work one.

use std::fmt;
use std::str::FromStr;

/// So many runs a list can be divided over (our choice: more than any cluster's users are given at once).
const MOST: u64 = 10_000;
/// Which share of the lots: the third of eight has lots 3, 11, 19 and so on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Shard {
    part: u64,
    of: u64,
}

impl FromStr for Shard {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let hint = || format!("write which share and of how many, 3/8: 1/8 to 8/8 are all of it; at most {MOST}");
        let (part, of) = text.split_once('/').ok_or_else(hint)?;
        let number = |s: &str| s.trim().parse::<u64>().map_err(|_| hint());
        let (part, of) = (number(part)?, number(of)?);
        if (1..=of).contains(&part) && of <= MOST { Ok(Self { part, of }) } else { Err(hint()) }
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.part, self.of)
    }
}

impl Shard {
    /// What a file of this name is called that is of this share alone.
    pub(crate) fn named(self, file: &str) -> String {
        format!("{file}.{}-of-{}", self.part, self.of)
    }

    /// Whether a lot is of this share.
    pub(crate) fn has(self, lot: u64) -> bool {
        lot % self.of == self.part % self.of
    }
}

#[cfg(test)]
mod tests {
    use super::Shard;

    #[test]
    fn shares_are_all_lots_and_each_once() {
        for of in 1..=9u64 {
            let shares: Vec<Shard> = (1..=of).map(|k| format!("{k}/{of}").parse().unwrap()).collect();
            for lot in 1..=100 {
                assert_eq!(shares.iter().filter(|s| s.has(lot)).count(), 1, "lot {lot} of {of}");
            }
            assert!((1..=of).all(|k| shares[k as usize - 1].has(k)));
        }
    }

    #[test]
    fn what_is_no_share_is_refused() {
        for wrong in ["", "3", "0/8", "9/8", "1/0", "a/b", "1/2/3", "-1/8", "1/20000"] {
            assert!(wrong.parse::<Shard>().is_err_and(|e| e.contains("3/8")), "{wrong}");
        }
    }
}
