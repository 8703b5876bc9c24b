//! What a machine can and cannot do, by operation and stock.

use super::{OperationKind, Profile, Rule, Tool, ToolKind};
use crate::diag::Diagnostic;
use crate::job::StockKind;
use crate::units::Length;
use serde::Serialize;

/// Whether a machine does an operation on a stock.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Capability {
    /// The operation.
    pub operation: OperationKind,
    /// The stock.
    pub stock: StockKind,
    /// Whether it does, and with what.
    #[serde(flatten)]
    pub ability: Ability,
}

/// Whether it does, and with what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ability {
    /// By this tool.
    Can {
        /// The tool's id.
        tool: String,
        /// What to know before it is done.
        #[serde(skip_serializing_if = "Option::is_none")]
        note: Option<&'static str>,
    },
    /// Not at all.
    Cannot {
        /// Why, in plain words.
        why: String,
    },
}

/// Why a kind of tool cannot do an operation on a stock, whatever the rule says; `None` when it can.
pub(super) fn why_not(kind: ToolKind, operation: OperationKind, stock: StockKind) -> Option<&'static str> {
    use OperationKind::{CreaseScore, HalfDepthPocket, Mark, ThroughCut};
    match (kind, operation, stock) {
        (ToolKind::Pen, Mark, _) => None,
        (ToolKind::Pen, CreaseScore, _) => Some("a pen draws and does not press a crease"),
        (ToolKind::Pen, ..) => Some("a pen cannot cut"),
        (ToolKind::CreaseWheel, CreaseScore | Mark, _) => None,
        (ToolKind::CreaseWheel, ..) => Some("a crease wheel must not cut"),
        (ToolKind::Router, _, StockKind::Cloth) => Some("a turning bit tears cloth"),
        (ToolKind::Router, _, StockKind::Paper | StockKind::Liner) => Some("a turning bit tears paper and cloth"),
        (ToolKind::DragKnife | ToolKind::TangentialKnife, CreaseScore, StockKind::Cloth) => {
            Some("a blade cuts the cloth where it should only be creased")
        }
        (_, Mark | CreaseScore | HalfDepthPocket | ThroughCut, _) => None,
    }
}

impl Profile {
    /// What the machine can and cannot do: every operation on every stock, with the reason.
    pub fn capabilities(&self) -> Vec<Capability> {
        let mut all = Vec::new();
        for stock in StockKind::ALL {
            for operation in OperationKind::ALL {
                // Nothing has pockets in cloth, paper or liner.
                if operation == OperationKind::HalfDepthPocket && stock != StockKind::Board {
                    continue;
                }
                all.push(Capability { operation, stock, ability: self.ability(operation, stock) });
            }
        }
        all
    }

    /// Whether the machine does an operation on a stock, and why not.
    pub fn ability(&self, operation: OperationKind, stock: StockKind) -> Ability {
        if let Some((_, tool)) = self.rule(operation, stock) {
            let tool = &self.tools[tool];
            return Ability::Can { tool: tool.id.clone(), note: note(tool, stock) };
        }
        // Whether it reaches deep enough is for the maker to see: a small blade cuts thin card.
        let reach = |t: &Tool| match operation {
            OperationKind::ThroughCut | OperationKind::HalfDepthPocket => format!("{}, to {}", t.id, t.max_depth),
            OperationKind::Mark | OperationKind::CreaseScore => t.id.clone(),
        };
        let able: Vec<String> =
            self.tools.iter().filter(|t| why_not(t.kind, operation, stock).is_none()).map(reach).collect();
        let why = if able.is_empty() {
            let reasons: Vec<String> = self
                .tools
                .iter()
                .filter_map(|t| why_not(t.kind, operation, stock).map(|w| format!("{}: {w}", t.id)))
                .collect();
            format!("none of its tools can ({})", reasons.join("; "))
        } else {
            format!("no rule (a tool that might: {})", able.join("; "))
        };
        Ability::Cannot { why }
    }
}

fn note(tool: &Tool, stock: StockKind) -> Option<&'static str> {
    (tool.kind == ToolKind::Beam && stock != StockKind::Board)
        .then_some("only if its safety data sheet shows that it has no coating")
}

/// Whether the machine's tools reach deep enough for a stock of this thickness: every operation
/// that it has a rule for, a pocket taken as half the thickness. To be asked before anything is
/// written. The diagnostics point into the profile.
pub fn depth_check(profile: &Profile, stock: StockKind, thickness: Length) -> Vec<Diagnostic> {
    OperationKind::ALL
        .into_iter()
        .filter_map(|operation| {
            let depth = match operation {
                OperationKind::ThroughCut => thickness,
                OperationKind::HalfDepthPocket => thickness * 0.5,
                OperationKind::Mark | OperationKind::CreaseScore => Length::ZERO,
            };
            operation_depth_check(profile, operation, stock, depth, thickness)
        })
        .collect()
}

/// The same for one operation of a known depth below the stock's top. For marks and creases the
/// depth is the rule's own, and `depth` is not looked at.
pub fn operation_depth_check(
    profile: &Profile,
    operation: OperationKind,
    stock: StockKind,
    depth: Length,
    thickness: Length,
) -> Option<Diagnostic> {
    let index = profile.rules.iter().position(|r| r.operation == operation && r.stock == stock)?;
    let index = profile.written_at(index);
    let (rule, tool) = profile.rule(operation, stock)?;
    let tool = &profile.tools[tool];
    let (op, of) = (operation.word(), stock.word());
    if !tool.kind.cuts() {
        return None;
    }
    let deepest = deepest(rule, depth);
    if matches!(operation, OperationKind::Mark | OperationKind::CreaseScore) && deepest >= thickness {
        let message = format!("{op} in {of} goes {deepest} deep with `{}`: right through {thickness} of it", tool.id);
        let hint = "make the rule's `depth` less than the stock's thickness";
        return Some(Diagnostic::error("crease-through", message).at(format!("rule.{index}.depth")).help(hint));
    }
    if deepest <= tool.max_depth {
        return None;
    }
    let extra = if operation == OperationKind::ThroughCut && rule.extra_depth > Length::ZERO {
        format!(" ({thickness} of {of} and {} below it)", rule.extra_depth)
    } else {
        String::new()
    };
    let message = format!("{op} in {of} needs {deepest}{extra}, and `{}` reaches {}", tool.id, tool.max_depth);
    let hint = format!(
        "take thinner stock, a longer tool or another machine, or leave this to the hand with --leave {of}/{op}; \
         mend `max_depth` only if the tool was measured"
    );
    Some(Diagnostic::error("too-thick", message).at(format!("rule.{index}.tool")).help(hint))
}

fn deepest(rule: &Rule, depth: Length) -> Length {
    match rule.operation {
        OperationKind::ThroughCut => depth + rule.extra_depth,
        OperationKind::HalfDepthPocket => depth,
        OperationKind::Mark | OperationKind::CreaseScore => rule.depth,
    }
}
