//! Whether a profile makes sense: one file for each thing that is checked. Every check reports all
//! that it finds, and none stops the others.

mod codes;
mod lines;
mod machine;
mod output;
mod place;
mod plotter;
mod ranges;
mod rules;
mod tools;

use super::build::{Draft, build};
use super::keys::TABLE;
use super::{Profile, Rule};
use crate::diag::{Diagnostic, Source, any_error, shorten};
use crate::doc::{self, Document};
use crate::job::StockKind;

/// Reads a machine profile and checks all of it. `id` is its short name for file names.
///
/// The profile is there only where no diagnostic is an error.
pub fn read(source: &Source, id: &str) -> (Option<Profile>, Vec<Diagnostic>) {
    let (doc, mut out) = doc::read(&source.text, &TABLE, None);
    let draft = build(&doc, id, &mut out);
    let mut c = Checking { doc: &doc, draft: &draft, out };
    // Without the three tables that every profile has, or in a file that is not TOML, there is
    // nothing to be said about meaning.
    let is_text_only = c.out.iter().any(|d| doc::is_syntax(d.code));
    if !is_text_only && doc.has("machine") && doc.has("output") && doc.has("tool") && doc.has("rule") {
        ranges::check(&mut c);
        machine::check(&mut c);
        output::check(&mut c);
        tools::check(&mut c);
        rules::check(&mut c);
        lines::check(&mut c);
    }
    let mut out = c.out;
    shorten(&mut out);
    // Places are written into the diagnostics, for a caller that gets no profile to look them up in.
    for d in &mut out {
        if let Some(crate::diag::Place::Key(key)) = &d.place {
            d.place = Some(crate::diag::Place::Span(doc.places.find(key).unwrap_or(0..0)));
        }
    }
    let mut profile = draft.profile;
    lend(&mut profile);
    let profile = (!any_error(&out)).then_some(profile);
    (profile, out)
}

/// What a profile does not say of the paper of the sides it does as to the liner, which mostly is a paper too.
fn lend(profile: &mut Profile) {
    let has = |operation| profile.rules.iter().any(|r| r.operation == operation && r.stock == StockKind::Paper);
    let lent = profile.rules.iter().filter(|r| r.stock == StockKind::Liner && !has(r.operation));
    let lent: Vec<Rule> = lent.map(|r| Rule { stock: StockKind::Paper, is_lent: true, ..r.clone() }).collect();
    profile.rules.extend(lent);
}

/// What the checks share.
struct Checking<'c> {
    doc: &'c Document,
    draft: &'c Draft,
    out: Vec<Diagnostic>,
}

impl<'c> Checking<'c> {
    fn profile(&self) -> &'c Profile {
        &self.draft.profile
    }

    fn push(&mut self, d: Diagnostic) {
        self.out.push(d);
    }

    /// The number under a key in its own unit, as mm, whatever its shape.
    fn raw(&self, key: &str) -> Option<f64> {
        let length = || match self.doc.length(key)? {
            doc::RawLength::Fixed(l) => Some(l.to_mm()),
            _ => None,
        };
        length().or_else(|| self.doc.number(key)).or_else(|| self.doc.count(key).map(|n| n as f64))
    }

    /// A tool in a sentence, its entry in the list when it has no name yet.
    fn tool_name(&self, i: usize) -> String {
        match self.profile().tools[i].id.as_str() {
            "" => format!("tool {}", i + 1),
            id => format!("tool `{id}`"),
        }
    }

    /// A rule in a sentence.
    fn rule_name(&self, i: usize) -> String {
        if self.draft.rule_known[i] { rule_name(&self.profile().rules[i]) } else { format!("rule {}", i + 1) }
    }
}

/// A rule in a sentence.
fn rule_name(rule: &Rule) -> String {
    format!("the rule for {} in {}", rule.operation.word(), rule.stock.word())
}
