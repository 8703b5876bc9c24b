//! Many of a kind told as one: by the worst of them, and how many they are.

use super::{Diagnostic, Severity};
use serde::{Deserialize, Serialize};

/// What a diagnostic has in common with others of its code.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Kin {
    /// The dotted key that it is about.
    pub key: Option<String>,
    /// How it is told where it is one of many.
    pub case: Option<Case>,
}

/// How one of a kind of which there may be many is told.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Case {
    /// How bad it is: the largest is the worst. Compared among those of one code and key alone.
    pub weight: f64,
    /// What is said of all of them.
    pub words: Option<Words>,
}

/// What many have in common, and the worst of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Words {
    /// The cause, with `{}` where it is said how many they are: `the liner's sheet is too small for {}`.
    pub common: String,
    /// What is said of the worst, to stand after it: `the largest needs 34.1 x 16 in`.
    pub worst: String,
}

impl Words {
    /// The sentence for so many, counted in words: `92 rows`.
    pub fn of(&self, many: &str) -> String {
        format!("{}; {}", self.common.replace("{}", many), self.worst)
    }
}

/// Those of one kind.
pub(super) struct Group<'d> {
    /// The worst of them, the first of those.
    pub worst: &'d Diagnostic,
    /// How many there are.
    pub count: usize,
}

impl Group<'_> {
    /// What is wrong, for all of them.
    pub(super) fn message(&self) -> String {
        let d = self.worst;
        match (self.count, d.case().and_then(|c| c.words.as_ref())) {
            (1, _) => d.message.clone(),
            (n, Some(words)) => words.of(&format!("{n} pieces")),
            (n, None) => format!("{} (the worst of {n})", d.message),
        }
    }
}

/// Those that weigh, as one for each code and key, in the order of the first; the others one by one.
pub(super) fn grouped<'d>(all: &[&'d Diagnostic]) -> Vec<Group<'d>> {
    let id = |d: &'d Diagnostic| (d.code, d.severity, d.key(), &d.place);
    let weight = |d: &Diagnostic| d.case().map_or(0.0, |c| c.weight);
    let mut groups: Vec<Group<'d>> = Vec::new();
    for d in all {
        let same = |g: &&mut Group<'d>| d.case().is_some() && g.worst.case().is_some() && id(g.worst) == id(d);
        match groups.iter_mut().find(same) {
            Some(group) => {
                group.count += 1;
                if weight(d) > weight(group.worst) {
                    group.worst = d;
                }
            }
            None => groups.push(Group { worst: d, count: 1 }),
        }
    }
    groups
}

/// How many there are of each gravity: hints, warnings, errors.
pub(super) fn counts<'d>(all: impl Iterator<Item = &'d Diagnostic>) -> [usize; 3] {
    let mut counts = [0; 3];
    all.for_each(|d| {
        counts[match d.severity {
            Severity::Hint => 0,
            Severity::Warning => 1,
            Severity::Error => 2,
        }] += 1
    });
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_of_a_kind_are_told_by_the_worst() {
        let large = |mm: f64| {
            let words = format!("the largest needs {mm} mm");
            Diagnostic::error("piece-too-large", format!("a piece of {mm} mm")).at("liner.sheet").weighing_as(
                mm,
                "the liner's sheet is too small for {}",
                words,
            )
        };
        let others =
            [Diagnostic::error("title", "the title is empty").at("title"), Diagnostic::error("title", "x").at("title")];
        let all = [large(410.0), others[0].clone(), large(866.0), large(500.0).at("board.sheet"), others[1].clone()];
        let told: Vec<String> = grouped(&all.iter().collect::<Vec<_>>()).iter().map(Group::message).collect();
        let together = "the liner's sheet is too small for 2 pieces; the largest needs 866 mm";
        assert_eq!(told, [together, "the title is empty", "a piece of 500 mm", "x"]);
        let plain = [Diagnostic::hint("a", "by 1 mm").weighing(1.0), Diagnostic::hint("a", "by 3 mm").weighing(3.0)];
        assert_eq!(grouped(&plain.iter().collect::<Vec<_>>())[0].message(), "by 3 mm (the worst of 2)");
    }
}
